"""Whether a condition of a plugin is one: nodes of the condition language, paths of the model, codes of its tables."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING, Any, Final

from dermreport.examination.observed import Finding
from dermreport.expressions.nodes import (
    All,
    AtLeast,
    AtLeastOf,
    ColourSeen,
    Exists,
    Fact,
    Found,
    Given,
    Holds,
    Is,
    MoreThan,
    MoreThanAt,
    Not,
    Present,
    Unresolved,
    entry_path,
)
from dermreport.expressions.nodes import Any as AnyOf
from dermreport.pathways.paths import Target, target
from dermreport.rules.facts import FACTS
from dermreport.vocabulary.colours import Colour
from dermreport.vocabulary.structures import Structure
from dermreport.vocabulary.term import Term

if TYPE_CHECKING:
    from collections.abc import Iterator

#: Conditions within conditions, at most.
MAX_DEPTH: Final = 16
_FINDING: Final = Target(part=Finding)


def wrong_in(condition: Any, item: Target | None = None, depth: int = 0) -> Iterator[str]:  # noqa: ANN401 - a plugin's
    """Yield what is wrong with a condition.

    Args:
        condition: What a plugin gave as one.
        item: What the item at hand is; None where none is.
        depth: In how many conditions it stands.
    """
    if depth > MAX_DEPTH:
        yield f"a condition stands in more than {MAX_DEPTH} others"
    elif type(condition) in _JOINTS:
        parts = condition.parts if type(condition) is not Not else (condition.part,)
        if not isinstance(parts, tuple) or not parts:
            yield "a condition joins no others"
            return
        if type(condition) is AtLeastOf and not (are_whole(condition.number) and 0 < condition.number <= len(parts)):
            yield "a condition asks for more than it joins"
        for part in parts:
            yield from wrong_in(part, item, depth + 1)
    else:
        yield from _wrong_leaf(condition, item, depth)


_JOINTS: Final = frozenset((All, AnyOf, Not, AtLeastOf))


def _wrong_leaf(leaf: Any, item: Target | None, depth: int) -> Iterator[str]:  # noqa: ANN401 - a plugin's
    kind = type(leaf)
    if kind is Present:
        yield from () if type(leaf.structure) is Structure else ("a condition names no structure",)
    elif kind is ColourSeen:
        yield from () if type(leaf.colour) is Colour else ("a condition names no colour",)
    elif kind is Fact:
        yield from () if leaf.name in FACTS else ("a condition names no derived fact of the rules",)
    elif kind is Unresolved:
        yield from () if isinstance(leaf.name, str) and leaf.name else ("a condition says not what is open",)
    elif kind is Found:
        yield from () if type(leaf.structure) is Structure else ("a condition names no structure",)
        yield from wrong_in(leaf.where, _FINDING, depth + 1)
    elif kind in _AT_A_PATH:
        yield from _wrong_at_path(leaf, item, depth)
    else:
        yield "a condition isn’t one of the condition language"


_AT_A_PATH: Final = frozenset((Is, Holds, Given, AtLeast, MoreThan, MoreThanAt, Exists))


def _wrong_at_path(leaf: Any, item: Target | None, depth: int) -> Iterator[str]:  # noqa: ANN401 - a plugin's
    found = leads_to(leaf.path, item)
    if found is None:
        yield "a condition has a path that the entry hasn’t"
        return
    kind = type(leaf)
    if kind is Exists:
        if not found.listed:
            yield "a condition goes through what is no list"
            return
        yield from wrong_in(leaf.where, Target(part=found.part, table=found.table), depth + 1)
    elif kind is Given:
        return
    elif found.listed:
        yield "a condition asks a list as if it were one answer"
    elif kind is Is:
        values = leaf.values if isinstance(leaf.values, tuple) else ()
        if not values or not all(_fits(value, found) for value in values):
            yield "a condition names a value that can’t stand at its path"
    elif kind is Holds:
        yield from () if found.truth or found.table is not None else ("a condition asks a yes of what has none",)
    else:
        yield from _wrong_number(leaf, found, item)


def _wrong_number(leaf: Any, found: Target, item: Target | None) -> Iterator[str]:  # noqa: ANN401 - a plugin's
    if not found.number:
        yield "a condition asks a number of what has none"
    elif type(leaf) is MoreThanAt:
        other = leads_to(leaf.other, item)
        yield from () if other is not None and other.number else ("a condition compares with what is no number",)
    elif not _is_number(leaf.limit):
        yield "a condition has a limit that is no number"


def leads_to(path: Any, item: Target | None) -> Target | None:  # noqa: ANN401 - a plugin's
    """Return what a path leads to, None where the entry has no such path."""
    return target(entry_path(path), item) if isinstance(path, str) and path else None


def _fits(value: object, found: Target) -> bool:
    if isinstance(value, bool):
        return found.truth
    return isinstance(value, Term) and found.table is not None and type(value) is found.table


def are_whole(*values: object) -> bool:
    """Whether all are whole numbers, which truth values aren't here."""
    return all(isinstance(one, int) and not isinstance(one, bool) for one in values)


def _is_number(value: object) -> bool:
    return are_whole(value) or (isinstance(value, Decimal) and value.is_finite())
