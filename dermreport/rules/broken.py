"""Which rules are broken, the library's and a plugin's alike: compiled, gone through list by list, made an issue."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any, Generic, TypeAlias, TypeVar

from msgspec import Struct

from dermreport.expressions.evaluate import Getter, Scope, Surely, getter
from dermreport.issues import Issue, filled
from dermreport.plugin import Rule as PluginRule
from dermreport.rules.rule import Rule
from dermreport.vocabulary.term import Term

RuleT = TypeVar("RuleT", Rule, PluginRule)


class Compiled(Struct, Generic[RuleT], frozen=True):
    """A rule with its expressions turned into functions.

    Attributes:
        rule: The rule.
        holds: Its condition.
        shown: Each name in its message with what reads it.
        source: Where it comes from.
    """

    rule: RuleT
    holds: Surely
    shown: tuple[tuple[str, Getter], ...]
    source: str


def compiled(rule: RuleT, holds: Surely) -> Compiled[RuleT]:
    """Return a rule whose condition is compiled already with the rest of it compiled."""
    return Compiled(rule, holds, tuple((name, getter(path)) for name, path in rule.shown), rule.basis.text)


#: Rules that look at one list: its path (``""`` for the whole), what reads it, the rules.
OfList: TypeAlias = tuple[str, Getter | None, tuple[Compiled[RuleT], ...]]


def of_list(path: str, rules: Iterable[Compiled[RuleT]]) -> OfList[RuleT]:
    """Return rules that look at one list, with what reads it."""
    return path, getter(path) if path else None, tuple(rules)


def broken(scope: Scope, by_list: Iterable[OfList[RuleT]]) -> Iterator[tuple[Compiled[RuleT], Scope, Any, str]]:
    """Yield each rule that is broken with the item at hand and its place, as :func:`issue_of` takes them."""
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


def issue_of(one: Compiled[RuleT], scope: Scope, item: Any, here: str, hazard: str = "") -> Issue:  # noqa: ANN401 - any part of an entry
    """Return the issue of a broken rule.

    Args:
        one: The rule.
        scope: What was looked at.
        item: The item at hand.
        here: Its place.
        hazard: The hazard that the rule controls.
    """
    rule = one.rule
    parameters = tuple((name, _named(read(scope, item))) for name, read in one.shown)
    return Issue(
        rule=rule.id,
        severity=rule.severity,
        path=f"{here}.{rule.at}" if rule.at else here,
        message=filled(rule.message, parameters),
        source=one.source,
        hazard=hazard,
        parameters=parameters,
    )


def _named(value: Any) -> str:  # noqa: ANN401 - any part of an entry
    """Return a code of ours or a count; nothing else of an entry ever reaches an issue."""
    if isinstance(value, Term):
        return value
    return str(value) if isinstance(value, int) else "?"
