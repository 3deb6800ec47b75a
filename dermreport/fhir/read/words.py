"""Received concepts, values and narratives in words."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import TYPE_CHECKING, Any, Final

from dermreport.examination.types import MAX_DIGITS, MAX_PLACES
from dermreport.fhir.read.narratives import text_of
from dermreport.fhir.read.parts import objects, text

if TYPE_CHECKING:
    from dermreport.fhir.read.parts import Json

#: What XML 1.0 can't hold (production Char).
_forbidden: Final = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def concept_words(concept: Json) -> str:
    """Return a concept in words: its text, else a display, else a code."""
    found = text(concept, "text")
    if found is None:
        given = objects(concept, "coding")
        displays = [shown for coding in given if (shown := text(coding, "display"))]
        codes = [code for coding in given if (code := text(coding, "code"))]
        found = next(iter((*displays, *codes)), "")
    return _clean(found)


def value_words(holder: Json) -> str:
    """Return the value of an Observation or a component in words."""
    for name, value in holder.items():
        if name == "dataAbsentReason" and type(value) is dict:
            return f"no value: {concept_words(value)}"
        if name.startswith("value"):
            return _of(value)
    return ""


def _of(value: Any) -> str:  # noqa: ANN401 - any JSON
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, str):
        return _clean(value)
    if isinstance(value, int | Decimal):
        return _number(value)
    return _of_object(value) if type(value) is dict else ""


def _of_object(value: Json) -> str:
    """Return a concept, a range, a period or a quantity in words."""
    if "coding" in value or "text" in value:
        return concept_words(value)
    for begin, end in (("low", "high"), ("start", "end")):
        if begin in value or end in value:
            return f"{_of(value.get(begin)) or '…'} to {_of(value.get(end)) or '…'}"
    unit = text(value, "unit") or text(value, "code") or ""
    return " ".join(filter(None, (text(value, "comparator"), _of(value.get("value")), _clean(unit))))


def _number(value: Decimal | int) -> str:
    number = Decimal(value)
    _, digits, exponent = number.as_tuple()
    if not number.is_finite() or len(digits) > MAX_DIGITS or abs(int(exponent)) > MAX_PLACES:
        return "a number that can't be shown"
    return f"{number:f}"


def _clean(words: str) -> str:
    return _forbidden.sub(" ", words).strip()


def narrative_words(div: str) -> str:
    """Return a narrative without its markup, a line for each block."""
    lines = (" ".join(line.split()) for line in text_of(div).split("\n"))
    return _clean("\n".join(line for line in lines if line))
