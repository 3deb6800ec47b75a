"""Where the form holds what scores read, as FHIRPath from the response.

Every text starts at ``%resource``, or at the item of a repeating group at hand: an item kept in a variable loses its
type in two of three engines, and with it the value of its answers. So variables hold codes, keys, numbers and truths.
"""

from __future__ import annotations

from collections.abc import Iterable

from dermreport.form.layout import CHECKLIST, ItemKind, by_link_id, tick, way
from dermreport.vocabulary.presences import Presence
from dermreport.vocabulary.structures import Structure
from dermreport.vocabulary.term import Term, code_system

_RESOURCE = "%resource"
#: With what the linkId of a structure on the checklist begins; its code follows.
_TICK = tick(Structure.NETWORK).removesuffix(Structure.NETWORK)


def quoted(text: str) -> str:
    """Return a FHIRPath string."""
    escaped = text.replace("\\", "\\\\").replace("'", "\\'")
    return f"'{escaped}'"


def codes(values: Iterable[str]) -> str:
    """Return a collection of codes, in brackets."""
    return f"({'|'.join(quoted(value) for value in values)})"


def group(path: str) -> str:
    """Return the items of a group of the form, as often as it was filled."""
    return _RESOURCE + "".join(f".item.where(linkId={quoted(link_id)})" for link_id in way(path))


def answers(path: str) -> str:
    """Return the answers at a path of the model."""
    return f"{group(path)}.answer"


def answers_here(path: str) -> str:
    """Return the answers at a path of the model, from an item of the repeating group that it is in."""
    return f"item.where(linkId={quoted(path)}).answer"


def checked(presence: Presence) -> str:
    """Return the structures to which the checklist has this answer."""
    ticked = f"{_RESOURCE}.item.where(linkId={quoted(CHECKLIST)}).item.item"
    return (
        f"{ticked}.where({ours('answer', Presence)} = {quoted(presence)}).linkId.select($this.substring({len(_TICK)}))"
    )


def coded_answers(room: str) -> str:
    """Return the answers of an item of a group at hand to which somebody else's code is an answer too."""
    asked = " or ".join(f"linkId={quoted(item.path)}" for item in by_link_id()[room].items if item.other)
    return f"item.where({asked}).answer"


def ours(answer: str, table: type[Term]) -> str:
    """Return the codes of one of our tables among some answers; somebody else's code is none of them."""
    return f"{answer}.{our_value(table)}"


#: Words that give somebody else's code: its system, ``|``, the code, and what may follow.
_A_CODE = quoted("^[A-Za-z][A-Za-z0-9+.-]*:[^|]+[|][^|]+([|][^|]*)*$")
#: Whether an answer at hand is no code: a renderer lets a person write words instead, which no examination can hold.
NO_CODE = f"iif(value.code.exists() and value.system.exists(), false, value.toString().matches({_A_CODE}).not())"


def our_value(table: type[Term]) -> str:
    """Return the code of one of our tables, from an answer at hand."""
    return f"value.where(system={quoted(code_system(table))}).code"


def number(answer: str, path: str) -> str:
    """Return the number among some answers, in the unit of the field."""
    return f"{answer}.value.value" if by_link_id()[path].kind is ItemKind.QUANTITY else f"{answer}.value"
