"""The one engine that reads the rule tables."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from typing import Any, TypeAlias

from msgspec import Struct

from dermreport.expressions.evaluate import Deciding, Getter, Scope, Surely, getter
from dermreport.issues import Issue, Severity, filled
from dermreport.rules.rule import Group, Rule
from dermreport.rules.tables import RULES
from dermreport.vocabulary.term import Term

_ORDER = {group: position for position, group in enumerate(Group)}


class _Compiled(Struct, frozen=True):
    rule: Rule
    holds: Surely
    shown: tuple[tuple[str, Getter], ...]
    source: str


@cache
def deciding() -> Deciding:
    """Return what turns the rules' conditions into functions: a condition of theirs is decided once a scope."""
    return Deciding(rule.when for rule in RULES)


#: Rules by the list that they look at: its path (``""`` for the whole), what reads it, the rules.
_ByList: TypeAlias = tuple[tuple[str, Getter | None, tuple[_Compiled, ...]], ...]


@cache
def _all_rules() -> _ByList:
    """Return the rules by the list that they look at, each with its expressions turned into functions."""
    by_list: dict[str, list[_Compiled]] = {}
    for rule in RULES:
        shown = tuple((name, getter(path)) for name, path in rule.shown)
        compiled = _Compiled(rule, deciding().surely(rule.when), shown, rule.basis.text)
        by_list.setdefault(rule.each, []).append(compiled)
    return tuple((path, getter(path) if path else None, tuple(rules)) for path, rules in by_list.items())


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
    found = [_issue(*broken) for broken in _broken(scope, _all_rules())]
    place = _places()
    return tuple(sorted(found, key=lambda issue: (issue.severity.rank, place[issue.rule])))


def weighty(scope: Scope) -> tuple[Rule, ...]:
    """Return the rules of which :func:`check` makes an issue, warning signs and errors only, each once or oftener."""
    return tuple(compiled.rule for compiled, *_ in _broken(scope, _weighty_rules()))


def _broken(scope: Scope, by_list: _ByList) -> Iterator[tuple[_Compiled, Scope, Any, str]]:
    """Yield each rule that is broken with the item at hand and its place, as :func:`_issue` takes them."""
    for path, read, rules in by_list:
        if read is None:
            for one in rules:
                if one.holds(scope, None):
                    yield one, scope, None, "$"
            continue
        for position, item in enumerate(read(scope, None) or ()):
            for one in rules:
                if one.holds(scope, item):
                    yield one, scope, item, f"$.{path}[{position}]"


@cache
def _places() -> dict[str, int]:
    """Return the place of each rule's group, by the rule's id."""
    return {rule.id: _ORDER[rule.group] for rule in RULES}


def _issue(compiled: _Compiled, scope: Scope, item: Any, here: str) -> Issue:  # noqa: ANN401 - any part of an entry
    rule = compiled.rule
    parameters = tuple((name, _named(read(scope, item))) for name, read in compiled.shown)
    return Issue(
        rule=rule.id,
        severity=rule.severity,
        path=f"{here}.{rule.at}" if rule.at else here,
        message=filled(rule.message, parameters),
        source=compiled.source,
        hazard=rule.hazard,
        parameters=parameters,
    )


def _named(value: Any) -> str:  # noqa: ANN401 - any part of an entry
    """Return a code of ours or a count; nothing else of an entry ever reaches an issue."""
    if isinstance(value, Term):
        return value
    return str(value) if isinstance(value, int) else "?"
