"""Values of Observations and their components."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from dermreport.fhir.write import exact
from dermreport.vocabulary.standard_codes import UCUM
from dermreport.wording.items import Kind, Unit

if TYPE_CHECKING:
    from collections.abc import Iterable
    from decimal import Decimal

    from dermreport.fhir.codes import Codes
    from dermreport.vocabulary.term import Term
    from dermreport.wording.items import Part

#: A count of points has no unit of its own in UCUM.
POINTS: Final = Unit(" points", "points", "1")

_ELEMENTS: Final = {Kind.TEXT: "valueString", Kind.TIME: "valueDateTime", Kind.TRUTH: "valueBoolean"}


def quantity(number: Decimal | int, unit: Unit) -> dict[str, Any]:
    """Return a Quantity with its digits as entered and a UCUM code."""
    return {"value": exact(number), "unit": unit.shown, "system": UCUM, "code": unit.ucum}


def value(codes: Codes, kind: Kind, unit: Unit, given: Any) -> tuple[str, Any]:  # noqa: ANN401 - a value of any kind
    """Return the element and the value in it; an answer that says why there is none is a reason."""
    if kind is Kind.CODE:
        return codes.answer(given)
    if kind is Kind.NUMBER:
        return "valueQuantity", quantity(given, unit)
    return _ELEMENTS[kind], given


def component(codes: Codes, attribute: Term, element: str, given: Any) -> dict[str, Any]:  # noqa: ANN401 - a value of any kind
    """Return one component."""
    return {"code": codes.concept(attribute), element: given}


def components(codes: Codes, parts: Iterable[tuple[Part, Any]]) -> list[dict[str, Any]]:
    """Return one component for each detail of an item."""
    made = []
    for part, given in parts:
        element, answer = value(codes, part.kind, part.unit, given)
        made.append({"code": codes.concept(part.attribute), element: answer})
    return made
