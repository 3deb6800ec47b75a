"""The form as a FHIR Questionnaire (structured data capture): a whole examination on any form renderer.

Nothing is preselected. Every list of answers stands in the form itself, so that a renderer without a terminology
server has it. What differs by the skin at the site is shown where it applies: hidden items say how it is read, and
structures ask them. Scores are calculated (:mod:`dermreport.form.scores`).

Sources: HL7 FHIR R4, R4B and R5, Questionnaire; HL7 Structured Data Capture («calculatedExpression»).
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from dermreport.fhir.canonical import canonical, head
from dermreport.fhir.releases import Release
from dermreport.form import scores
from dermreport.form.layout import (
    AT_THE_ROOT,
    CHECKLIST,
    GROUP_LABELS,
    READING_STYLES,
    ROOTS,
    SCORES,
    FormItem,
    ItemKind,
    by_link_id,
    checklist,
    checklist_group,
    fields_at_the_root,
    help_id,
    style_item,
    tick,
    tick_reason,
)
from dermreport.issues import one_of
from dermreport.scores.method import CAUTIONS
from dermreport.vocabulary.documents import Document
from dermreport.vocabulary.not_assessed_reasons import NotAssessedReason
from dermreport.vocabulary.presences import Presence
from dermreport.vocabulary.reading_styles import ReadingStyle
from dermreport.vocabulary.standard_codes import UCUM
from dermreport.vocabulary.term import Term, code_system

if TYPE_CHECKING:
    from collections.abc import Sequence

    from dermreport.vocabulary.elements import Element
    from dermreport.vocabulary.structures import Structure

FORM_ID: Final = "dermoscopy-examination"
#: Address of the form, which its responses name.
FORM: Final = canonical("Questionnaire", FORM_ID)

_STRUCTURE_DEFINITION: Final = "http://hl7.org/fhir/StructureDefinition"
_ITEM_CONTROL: Final = f"{_STRUCTURE_DEFINITION}/questionnaire-itemControl"
_HIDDEN: Final = f"{_STRUCTURE_DEFINITION}/questionnaire-hidden"
_UNIT: Final = f"{_STRUCTURE_DEFINITION}/questionnaire-unit"
_UNIT_OPTION: Final = f"{_STRUCTURE_DEFINITION}/questionnaire-unitOption"
_ENTRY_FORMAT: Final = f"{_STRUCTURE_DEFINITION}/entryFormat"
_REGEX: Final = f"{_STRUCTURE_DEFINITION}/regex"
_HELP: Final = {"coding": [{"system": "http://hl7.org/fhir/questionnaire-item-control", "code": "help"}]}

TITLE: Final = "Dermatoscopic examination of one skin lesion"
_DESCRIPTION: Final = (
    "Records one examination of one lesion as it is done: who and when, the lesion, views with their light, what was "
    "seen and what was not, the published scores, assessment, plan, and what became known later. Nothing is "
    "preselected."
)
#: The display at the head of the form.
ABOUT: Final = "about"


def questionnaire(release: Release | str = Release.R4) -> dict[str, Any]:
    """Return the form for one release, as new dicts and lists in the standard's element order.

    Its exact text is made by :func:`~dermreport.form.response.form_json`.

    Args:
        release: R4, R4B or R5.

    Raises:
        SettingsError: There is no such release.
    """
    asked = _Form(one_of("questionnaire: release", Release, release))
    parts = {
        "extension": scores.variables(asked.release),
        "subjectType": ["Patient"],
        "code": [coding(Document.DERMOSCOPY_REPORT)],
        "item": asked.items(),
    }
    return head("Questionnaire", FORM_ID, TITLE, _DESCRIPTION, parts)


def coding(term: Term) -> dict[str, Any]:
    """Return the Coding of one of our codes."""
    return {"system": code_system(type(term)), "code": term.value, "display": term.display}


class _Form:
    """Writes the items of one release."""

    def __init__(self, release: Release) -> None:
        """Take what R5 says otherwise: how a question with a list of answers is marked."""
        self.release = release
        r5 = release is Release.R5
        self._closed: dict[str, Any] = {"type": "coding" if r5 else "choice"}
        self._open: dict[str, Any] = {"type": "coding" if r5 else "open-choice"}
        self._beyond: dict[str, Any] = {"answerConstraint": "optionsOrString"} if r5 else {}

    def items(self) -> list[dict[str, Any]]:
        """Return the items at the root of the form."""
        about = {"linkId": ABOUT, "text": " ".join(CAUTIONS), "type": "display"}
        return [about, *(self._root(name) for name in ROOTS)]

    def _root(self, name: str) -> dict[str, Any]:
        if name == READING_STYLES:
            return _reading_styles()
        if name == CHECKLIST:
            return self._checklist()
        if name == SCORES:
            return _group(SCORES, scores.score_items(self.release))
        if name in AT_THE_ROOT:
            return _group(name, [self._field(item) for item in fields_at_the_root(name)])
        return self._field(by_link_id()[name])

    def _field(self, item: FormItem, lead: FormItem | None = None) -> dict[str, Any]:
        """Return the item of a field of the model.

        Args:
            item: The field.
            lead: The field without whose answer the part of the model says nothing: this one is asked after it.
        """
        after = item.lead
        inner = [self._field(one, None if one is after else after) for one in item.items]
        return {
            **_if_any("extension", _extensions(item)),
            "linkId": item.path,
            **({"code": [coding(item.about)]} if item.about is not None else {}),
            "text": item.label,
            **self._type(item),
            **_asked_after(lead),
            **({"required": True} if item.asked else {}),
            **({"repeats": True} if item.repeats else {}),
            **({"maxLength": item.longest} if item.longest is not None else {}),
            **(self._beyond if item.other else {}),
            **({"answerOption": _options(item.table)} if item.table is not None else {}),
            **_if_any("item", [*_help(item.path, _explained(item)), *inner]),
        }

    def _type(self, item: FormItem) -> dict[str, Any]:
        if item.kind is ItemKind.CODE:
            return self._open if item.other else self._closed
        return {"type": item.kind.value}

    # --- The checklist ---

    def _checklist(self) -> dict[str, Any]:
        groups = [self._element(element, structures) for element, structures in checklist()]
        explained = (
            "The structures that have a meaning in the skin at the site. What is left empty was not recorded, which "
            "is not absent. Further words on one of them go to «Finding in detail»."
        )
        return _group(CHECKLIST, [*_help(CHECKLIST, explained), *groups])

    def _element(self, element: Element, structures: Sequence[Structure]) -> dict[str, Any]:
        styles = frozenset(style for structure in structures for style in structure.reading_styles)
        group = {
            "linkId": checklist_group(element),
            "text": element.display[:1].upper() + element.display[1:],
            "type": "group",
            **_shown_in(styles),
        }
        return {**group, "item": [self._tick(structure) for structure in structures]}

    def _tick(self, structure: Structure) -> dict[str, Any]:
        """Return a structure on the checklist, with the reason asked where it was not assessed."""
        reason = {
            "linkId": tick_reason(structure),
            "text": "Not assessed because",
            **self._closed,
            "enableWhen": [
                {"question": tick(structure), "operator": "=", "answerCoding": coding(Presence.NOT_ASSESSED)}
            ],
            "answerOption": _options(NotAssessedReason),
        }
        explained = f"{structure.definition} Descriptive name: {structure.descriptive}."
        return {
            "linkId": tick(structure),
            "code": [coding(structure)],
            "text": structure.display,
            **self._closed,
            **_shown_in(structure.reading_styles),
            "answerOption": _options(Presence),
            "item": [*_help(tick(structure), explained), reason],
        }


def _group(link_id: str, items: list[dict[str, Any]]) -> dict[str, Any]:
    return {"linkId": link_id, "text": GROUP_LABELS[link_id], "type": "group", "item": items}


def _asked_after(lead: FormItem | None) -> dict[str, Any]:
    """Return when an item is shown that another one must precede."""
    if lead is None:
        return {}
    return {"enableWhen": [{"question": lead.path, "operator": "exists", "answerBoolean": True}]}


def _if_any(name: str, values: list[dict[str, Any]]) -> dict[str, Any]:
    return {name: values} if values else {}


def _options(table: type[Term]) -> list[dict[str, Any]]:
    return [{"valueCoding": coding(term)} for term in table]


def _help(link_id: str, text: str) -> list[dict[str, Any]]:
    """Return the explanation of an item, none where there is nothing to explain."""
    if not text:
        return []
    control = {"url": _ITEM_CONTROL, "valueCodeableConcept": _HELP}
    return [{"extension": [control], "linkId": help_id(link_id), "text": text, "type": "display"}]


def _explained(item: FormItem) -> str:
    """Return what is explained of a field: nothing where the label says the same, and how an answer is written."""
    text = "" if item.help.rstrip(".").casefold() == item.label.casefold() else item.help
    written = f"Write {item.written}." if item.written else ""
    return " ".join(part for part in (text, written, _OTHERWISE if item.other else "") if part)


#: What an answer outside the list can be.
_OTHERWISE: Final = (
    "A code of another system is written system|code. Other words count as no answer of the list: they are kept as "
    "words, and the report stays preliminary until an answer is chosen."
)


def _extensions(item: FormItem) -> list[dict[str, Any]]:
    """Return what form renderers are told of an answer: its unit, its limits, its form."""
    found: list[dict[str, Any]] = []
    if item.unit is not None:
        unit = {"system": UCUM, "code": item.unit.ucum, "display": item.unit.shown}
        found.append({"url": _UNIT_OPTION if item.kind is ItemKind.QUANTITY else _UNIT, "valueCoding": unit})
    if item.kind in {ItemKind.INTEGER, ItemKind.DECIMAL}:
        value = "valueInteger" if item.kind is ItemKind.INTEGER else "valueDecimal"
        found.extend(
            {"url": f"{_STRUCTURE_DEFINITION}/{name}", value: limit}
            for name, limit in zip(("minValue", "maxValue"), item.limits, strict=True)
            if limit is not None
        )
    if item.written:
        found.append({"url": _ENTRY_FORMAT, "valueString": item.written})
    if item.kind is ItemKind.STRING and item.pattern:
        found.append({"url": _REGEX, "valueString": item.pattern})
    return found


# --- How the skin at the site is read --------------------------------------------------------------------------------


def _reading_styles() -> dict[str, Any]:
    """Return the hidden items that say of each way of reading whether its structures are asked."""
    return {
        "extension": [{"url": _HIDDEN, "valueBoolean": True}],
        "linkId": READING_STYLES,
        "text": GROUP_LABELS[READING_STYLES],
        "type": "group",
        "item": [_reading_style(style) for style in ReadingStyle],
    }


def style_expression(style: ReadingStyle) -> str:
    """Return the FHIRPath that says whether the structures of a reading style are asked.

    They are where the site is read so, and where nobody told the place: nothing is hidden for lack of knowledge.
    """
    return f"%readingStyle.empty() or (%readingStyle | %secondStyle).where($this = '{style}').exists()"


def _reading_style(style: ReadingStyle) -> dict[str, Any]:
    expression = {"language": "text/fhirpath", "expression": style_expression(style)}
    return {
        "extension": [
            {"url": _HIDDEN, "valueBoolean": True},
            {"url": scores.CALCULATED_URL, "valueExpression": expression},
        ],
        "linkId": style_item(style),
        "code": [coding(style)],
        "text": style.display,
        "type": "boolean",
        "readOnly": True,
    }


def _shown_in(styles: frozenset[ReadingStyle]) -> dict[str, Any]:
    """Return when something is shown: where the skin is read in one of these ways."""
    if styles == frozenset(ReadingStyle):
        return {}
    conditions = [
        {"question": style_item(style), "operator": "=", "answerBoolean": True}
        for style in ReadingStyle
        if style in styles
    ]
    return {"enableWhen": conditions, **({"enableBehavior": "any"} if len(conditions) > 1 else {})}
