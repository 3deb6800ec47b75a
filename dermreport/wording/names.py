"""Codes, numbers and times in words."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING, Any

from dermreport.examination.base import OtherCode
from dermreport.vocabulary.structures import Structure
from dermreport.wording.items import Kind, Unit

if TYPE_CHECKING:
    from dermreport.examination.lesion import Lesion
    from dermreport.examination.people import Reference
    from dermreport.vocabulary.term import Term


def words(code: Term | OtherCode) -> str:
    """Return a code in words: both names of a structure, the display of any other row, somebody else's display."""
    if isinstance(code, OtherCode):
        return code.display or code.code
    if isinstance(code, Structure):
        return structure_words(code)
    return code.display


def structure_words(structure: Structure) -> str:
    """Return both names of a structure, the descriptive one first."""
    if structure.metaphoric and structure.metaphoric != structure.descriptive:
        return f"{structure.descriptive} ({structure.metaphoric})"
    return structure.descriptive


def number_words(number: Decimal | int, unit: Unit) -> str:
    """Return a number with the digits that were entered, never with an exponent, and its unit."""
    return f"{number:f}{unit.words}" if isinstance(number, Decimal) else f"{number}{unit.words}"


def value_words(kind: Kind, unit: Unit, value: Any) -> str:  # noqa: ANN401 - a value of any kind
    """Return a value of an entry in words."""
    if kind is Kind.CODE:
        return words(value)
    if kind is Kind.NUMBER:
        return number_words(value, unit)
    if kind is Kind.TRUTH:
        return "yes" if value else "no"
    text: str = value
    return text


def place_words(lesion: Lesion | None) -> str:
    """Return where the lesion is: site, side and detail; empty where nothing of it is recorded."""
    if lesion is None:
        return ""
    site = words(lesion.site) if lesion.site is not None else None
    side = lesion.side.display if lesion.side is not None else None
    return ", ".join(part for part in (site, side, lesion.site_detail) if part)


def somebody(reference: Reference | None) -> str | None:
    """Return a reference of the host's in words, without the number by which the host knows it."""
    if reference is None:
        return None
    return reference.display or "named in the request"
