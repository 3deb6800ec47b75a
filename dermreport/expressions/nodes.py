"""The nodes of the condition language: frozen values without behaviour.

A leaf asks one thing; a joint joins leaves. Evaluation stands in ``evaluate``.
"""

from __future__ import annotations

from decimal import Decimal
from typing import TypeAlias

from msgspec import Struct

from dermreport.vocabulary.colours import Colour
from dermreport.vocabulary.structures import Structure
from dermreport.vocabulary.term import Term


class Present(Struct, frozen=True, cache_hash=True):
    """The structure counts as present (see the answers)."""

    structure: Structure


class Found(Struct, frozen=True, cache_hash=True):
    """Some present finding of the structure also meets a condition on itself (``@.count`` …)."""

    structure: Structure
    where: Expression


class ColourSeen(Struct, frozen=True, cache_hash=True):
    """The colour was seen in the lesion (see the answers)."""

    colour: Colour


class Is(Struct, frozen=True, cache_hash=True):
    """The code or truth value at a path is one of these; None where nothing is there."""

    path: str
    values: tuple[Term | bool, ...]


class Holds(Struct, frozen=True, cache_hash=True):
    """The answer at a path is yes: yes gives True, no False, uncertain, unknown and nothing give None."""

    path: str


class Given(Struct, frozen=True, cache_hash=True):
    """Something is recorded at a path: True or False, never None."""

    path: str


class AtLeast(Struct, frozen=True, cache_hash=True):
    """The number at a path is at least this; in the unit of the field. None where nothing is there."""

    path: str
    limit: int | Decimal


class MoreThan(Struct, frozen=True, cache_hash=True):
    """The number at a path is more than this; in the unit of the field. None where nothing is there."""

    path: str
    limit: int | Decimal


class MoreThanAt(Struct, frozen=True, cache_hash=True):
    """The number at one path is more than the number at another. None where one is missing."""

    path: str
    other: str


class Exists(Struct, frozen=True, cache_hash=True):
    """Some item of the list at a path meets a condition on itself; False where the list is empty."""

    path: str
    where: Expression


class Fact(Struct, frozen=True, cache_hash=True):
    """A derived fact by name: one that this language can't say (calendar arithmetic, references, verdicts)."""

    name: str


class Unresolved(Struct, frozen=True, cache_hash=True):
    """Something that the entry can't tell: always None.

    Attributes:
        name: What is open, as a statement.
        answerable: True where the entry's own word is too wide and a narrower one settles it; False where the
            published sources leave it open, so that no answer of a clinician does.
    """

    name: str
    answerable: bool = False


class All(Struct, frozen=True, cache_hash=True):
    """All parts hold."""

    parts: tuple[Expression, ...]


class Any(Struct, frozen=True, cache_hash=True):
    """At least one part holds."""

    parts: tuple[Expression, ...]


class Not(Struct, frozen=True, cache_hash=True):
    """The part does not hold."""

    part: Expression


class AtLeastOf(Struct, frozen=True, cache_hash=True):
    """At least so many parts hold."""

    number: int
    parts: tuple[Expression, ...]


Leaf: TypeAlias = (
    Present | Found | ColourSeen | Is | Holds | Given | AtLeast | MoreThan | MoreThanAt | Exists | Fact | Unresolved
)
Joint: TypeAlias = All | Any | Not | AtLeastOf
Expression: TypeAlias = Leaf | Joint


def every(*parts: Expression) -> All:
    """Return the condition that all parts hold."""
    return All(parts)


def some(*parts: Expression) -> Any:
    """Return the condition that at least one part holds."""
    return Any(parts)


def some_present(*structures: Structure) -> Any:
    """Return the condition that at least one of the structures counts as present."""
    return Any(tuple(Present(structure) for structure in structures))


def is_one_of(path: str, *values: Term | bool) -> Is:
    """Return the condition that the code at a path is one of these."""
    return Is(path, values)


def leaves(expression: Expression) -> tuple[Leaf, ...]:
    """Return the leaves of an expression in order, a leaf as often as it occurs."""
    if isinstance(expression, All | Any | AtLeastOf):
        return tuple(leaf for part in expression.parts for leaf in leaves(part))
    if isinstance(expression, Not):
        return leaves(expression.part)
    return (expression,)


def paths_of(leaf: Leaf) -> tuple[str, ...]:
    """Return the paths that a leaf reads; none for a structure, a colour, a fact, and what no entry tells."""
    match leaf:
        case Is(path, _) | Holds(path) | Given(path) | AtLeast(path, _) | MoreThan(path, _) | Exists(path, _):
            return (path,)
        case MoreThanAt(path, other):
            return (path, other)
    return ()


_WHOLE = "whole."


def entry_path(path: str) -> str:
    """Return the path in the entry of what a path reads: ``whole.`` is the description of the lesion as a whole."""
    return f"description.{path.removeprefix(_WHOLE)}" if path.startswith(_WHOLE) else path
