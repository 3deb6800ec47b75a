"""An examination as answers to the form: a FHIR QuestionnaireResponse, from which the same examination is read again.

Findings go to the groups of findings in detail, never to the checklist, so that their order and every detail stay.
Scores are not answered: the form calculates them. Digits of numbers, offsets and precision of times stay as entered; a
form that runs in JavaScript drops trailing zeros of a number (``6.0`` becomes ``6``) as soon as it reads it.

Source: HL7 FHIR R4, R4B and R5, QuestionnaireResponse, which have the same elements in what is written here.
"""

from __future__ import annotations

from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Final

from dermreport.examination.base import OtherCode
from dermreport.examination.model import Examination
from dermreport.examination.reader import write_json
from dermreport.fhir.narrative import narrative
from dermreport.fhir.releases import Release
from dermreport.form.layout import (
    AT_THE_ROOT,
    GROUP_LABELS,
    READING_STYLES,
    ROOTS,
    FormItem,
    ItemKind,
    asked_styles,
    by_link_id,
    fields_at_the_root,
    style_item,
)
from dermreport.form.other_codes import words_of
from dermreport.form.questionnaire import FORM, TITLE, coding
from dermreport.issues import must_be, one_of
from dermreport.publication import PROFILES_VERSION
from dermreport.vocabulary.reading_styles import ReadingStyle
from dermreport.vocabulary.standard_codes import UCUM
from dermreport.vocabulary.statuses import Status
from dermreport.vocabulary.term import Term

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping


#: Where a form stands whose examination is in this state.
STATUSES: Final = MappingProxyType(
    {
        Status.DRAFT: "in-progress",
        Status.FINAL: "completed",
        Status.AMENDED: "amended",
        Status.ENTERED_IN_ERROR: "entered-in-error",
    }
)
_ELEMENTS: Final = MappingProxyType(
    {
        ItemKind.STRING: "valueString",
        ItemKind.TEXT: "valueString",
        ItemKind.DECIMAL: "valueDecimal",
        ItemKind.INTEGER: "valueInteger",
        ItemKind.BOOLEAN: "valueBoolean",
    }
)


def to_response(examination: Examination, *, release: Release | str = Release.R4) -> dict[str, Any]:
    """Return an examination as a response to the form, as new dicts and lists in the standard's element order.

    Numbers are as entered (:class:`~decimal.Decimal`), so :func:`form_json` makes its text, not ``json.dumps``.

    Args:
        examination: Any examination; it isn't changed.
        release: R4, R4B or R5.

    Raises:
        SettingsError: There is no such release.
    """
    must_be("to_response: examination", examination, Examination)
    one_of("to_response: release", Release, release)
    patient, examiner = examination.patient, examination.examiner
    return {
        "resourceType": "QuestionnaireResponse",
        "text": narrative(f"Answers to the form: {TITLE}."),
        "questionnaire": f"{FORM}|{PROFILES_VERSION}",
        "status": STATUSES[examination.status],
        **_reference("subject", patient.reference),
        **({"authored": examination.recorded} if examination.recorded is not None else {}),
        **_reference("author", examiner.reference if examiner is not None else None),
        "item": [item for name in ROOTS for item in _root(name, examination)],
    }


def form_json(resource: Mapping[str, Any]) -> str:
    """Return a form, or a response to it, as JSON text: numbers digit for digit, the same content the same text.

    Args:
        resource: What :func:`to_response` or :func:`~dermreport.form.questionnaire.questionnaire` gave.
    """
    return write_json(resource)


def _reference(name: str, reference: str | None) -> dict[str, Any]:
    return {name: {"reference": reference}} if reference is not None else {}


def _root(name: str, examination: Examination) -> list[dict[str, Any]]:
    """Return the items at the root with this linkId; none for what is calculated or ticked."""
    if name in AT_THE_ROOT:
        answered = _fields(fields_at_the_root(name), examination)
        return [_group(name, GROUP_LABELS[name], answered)] if answered else []
    if name == READING_STYLES:
        asked = asked_styles(examination.lesion.site if examination.lesion is not None else None)
        answers = [_question(style_item(one), one.display, [{"valueBoolean": one in asked}]) for one in ReadingStyle]
        return [_group(name, GROUP_LABELS[name], answers)]
    item = by_link_id().get(name)
    return _field(item, getattr(examination, item.name)) if item is not None else []


def _fields(items: Iterable[FormItem], part: Any) -> list[dict[str, Any]]:  # noqa: ANN401 - any part of an examination
    return [answered for item in items for answered in _field(item, getattr(part, item.name))]


def _field(item: FormItem, value: Any) -> list[dict[str, Any]]:  # noqa: ANN401 - a value of any kind
    """Return the items that answer a field: a question once with all its answers, a group once for each part."""
    values = value if item.repeats else (value,)
    if value is None or not values or (item.name == "revision" and value == 1):
        return []
    if item.kind is ItemKind.GROUP:
        return [_group(item.path, item.label, _fields(item.items, one)) for one in values]
    return [_question(item.path, item.label, [_answer(item, one) for one in values])]


def _group(link_id: str, text: str, items: list[dict[str, Any]]) -> dict[str, Any]:
    return {"linkId": link_id, "text": text, **({"item": items} if items else {})}


def _question(link_id: str, text: str, answers: list[dict[str, Any]]) -> dict[str, Any]:
    return {"linkId": link_id, "text": text, "answer": answers}


def _answer(item: FormItem, value: Any) -> dict[str, Any]:  # noqa: ANN401 - a value of any kind
    """Return one answer, digits and text as entered."""
    if isinstance(value, Term):
        return {"valueCoding": coding(value)}
    if isinstance(value, OtherCode):
        return {"valueString": words_of(value)}
    if item.kind is ItemKind.QUANTITY and item.unit is not None:
        unit = {"unit": item.unit.shown, "system": UCUM, "code": item.unit.ucum}
        return {"valueQuantity": {"value": value, **unit}}
    return {_ELEMENTS[item.kind]: value}
