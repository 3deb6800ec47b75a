"""A condition of a method in words: what has to be recorded so that it holds."""

from __future__ import annotations

from html import escape

from dermreport.expressions.nodes import (
    All,
    Any,
    AtLeast,
    AtLeastOf,
    ColourSeen,
    Exists,
    Expression,
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
from dermreport.vocabulary.term import Term
from made.markup import items
from made.vocabulary import name


def _path(path: str) -> str:
    return f"<code>{escape(entry_path(path).removeprefix('@.'))}</code>"


def _value(here: str, value: Term | bool) -> str:  # noqa: FBT001 - a value of the data, no switch
    return name(here, value) if isinstance(value, Term) else ("yes" if value else "no")


def _joined(here: str, heading: str, parts: tuple[Expression, ...]) -> str:
    if len(parts) == 1:
        return condition(here, parts[0])
    return heading + items(condition(here, part) for part in parts)


def condition(here: str, one: Expression) -> str:  # noqa: C901, PLR0911, PLR0912 - one case a node
    """Return a condition in words, as HTML."""
    match one:
        case Present(structure):
            return name(here, structure)
        case Found(structure, where):
            return f"{name(here, structure)}, where {condition(here, where)}"
        case ColourSeen(colour):
            return f"the colour {name(here, colour)}"
        case Is(path, values):
            return f"{_path(path)} is {' or '.join(_value(here, value) for value in values)}"
        case Holds(path):
            return f"{_path(path)} is yes"
        case Given(path):
            return f"{_path(path)} is recorded"
        case AtLeast(path, limit):
            return f"{_path(path)} is {limit} or more"
        case MoreThan(path, limit):
            return f"{_path(path)} is more than {limit}"
        case MoreThanAt(path, other):
            return f"{_path(path)} is more than {_path(other)}"
        case Exists(path, where):
            return f"some of {_path(path)}, where {condition(here, where)}"
        case Fact(fact):
            return f"derived: {escape(fact.replace('-', ' '))}"
        case Unresolved(what, answerable):
            return f"{escape(what)} ({'open until a narrower answer' if answerable else 'left open by the sources'})"
        case All(parts):
            return _joined(here, "all of", parts)
        case Any(parts):
            return _joined(here, "one or more of", parts)
        case Not(part):
            return f"not: {condition(here, part)}"
        case AtLeastOf(number, parts):
            return _joined(here, f"{number} or more of", parts)
