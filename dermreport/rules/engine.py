"""The one engine that reads the rule tables."""

from __future__ import annotations

from functools import cache
from typing import TypeAlias

from dermreport.expressions.evaluate import Deciding, Scope
from dermreport.issues import Issue, Severity
from dermreport.rules.broken import Compiled, OfList, broken, compiled, issue_of, of_list
from dermreport.rules.rule import Group, Rule
from dermreport.rules.tables import RULES

_ORDER = {group: position for position, group in enumerate(Group)}
_ByList: TypeAlias = tuple[OfList[Rule], ...]


@cache
def deciding() -> Deciding:
    """Return what turns the rules' conditions into functions: a condition of theirs is decided once a scope."""
    return Deciding(rule.when for rule in RULES)


@cache
def _all_rules() -> _ByList:
    """Return the rules by the list that they look at, each with its expressions turned into functions."""
    by_list: dict[str, list[Compiled[Rule]]] = {}
    for rule in RULES:
        by_list.setdefault(rule.each, []).append(compiled(rule, deciding().surely(rule.when)))
    return tuple(of_list(path, rules) for path, rules in by_list.items())


@cache
def _weighty_rules() -> _ByList:
    """Return those that find errors or warning signs."""
    return tuple(
        (path, read, tuple(one for one in rules if _is_weighty(one.rule))) for path, read, rules in _all_rules()
    )


def _is_weighty(rule: Rule) -> bool:
    return rule.severity is Severity.ERROR or rule.group is Group.RED_FLAG


def check(scope: Scope) -> tuple[Issue, ...]:
    """Return every issue of every rule: the gravest first, then by group and in the order of the table."""
    found = [issue_of(*one, one[0].rule.hazard) for one in broken(scope, _all_rules())]
    place = _places()
    return tuple(sorted(found, key=lambda issue: (issue.severity.rank, place[issue.rule])))


def weighty(scope: Scope) -> tuple[Rule, ...]:
    """Return the rules of which :func:`check` makes an issue, warning signs and errors only, each once or oftener."""
    return tuple(one.rule for one, *_ in broken(scope, _weighty_rules()))


@cache
def _places() -> dict[str, int]:
    """Return the place of each rule's group, by the rule's id."""
    return {rule.id: _ORDER[rule.group] for rule in RULES}
