"""Where each field of an examination stands in FHIR, as FHIRPath.

What the rows of :mod:`dermreport.wording.items` carry is found by those rows, which also wrote it; what has a resource
of its own stands here once. A text that asks something gives true or false and is never empty.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from typing import TYPE_CHECKING, Final

from dermreport.examination.base import Model
from dermreport.examination.fields import classes_of
from dermreport.examination.model import Examination
from dermreport.expressions.fhirpath import NotSaidHereError
from dermreport.fhir.codes import ABSENT_REASONS
from dermreport.fhir.extensions import Extension
from dermreport.fhir.releases import Release
from dermreport.vocabulary.attributes import Attribute
from dermreport.vocabulary.presences import Presence
from dermreport.vocabulary.term import Term, code_system
from dermreport.wording.items import (
    BEDSIDE_TEST,
    EARLIER_SKIN_CANCER,
    FINDING,
    IMPRESSION,
    OUTCOME,
    SINGLE,
    VIEW,
    Item,
    Part,
)

if TYPE_CHECKING:
    from decimal import Decimal

#: What was withdrawn is out of account.
IN_FORCE: Final = "status != 'entered-in-error'"


def one_of(codes: tuple[str, ...]) -> str:
    """Return the condition that ``code`` is one of these: a long list is one pattern, which engines read faster."""
    return f"code = '{codes[0]}'" if len(codes) == 1 else f"code.matches('^({'|'.join(codes)})$')"


def coded(table: type[Term], terms: tuple[Term, ...] | None = None) -> str:
    """Return the condition on a Coding that it is one of these terms, or any term of the table."""
    system = f"system = '{code_system(table)}'"
    if terms is None or len(terms) == len(table):
        return system
    if not terms:
        return "false"
    # The code is asked first: most Codings of a bundle differ in it, and engines stop there.
    codes = one_of(tuple(term.value for term in terms))
    return f"{codes} and {system}" if len(terms) == 1 else f"{system} and {codes}"


def about(*attributes: Attribute) -> str:
    """Return the condition on an Observation or component that it is about one of these."""
    return f"code.coding.exists({coded(Attribute, attributes)})"


def component(attribute: Attribute) -> str:
    """Return the path from an Observation to its components about something."""
    return f"component.where({about(attribute)})"


def extension(which: Extension, part: str = "") -> str:
    """Return the path to one of our extensions, or to a part of it."""
    return f"extension('{which.url}')" + (f".extension.where(url = '{part}')" if part else "")


@dataclass(frozen=True, slots=True)
class Field:
    """A field in FHIR.

    Attributes:
        base: Path to what holds the value; ``""`` where that is the resource at hand.
        coding: Path from there to the codings of the answer.
        table: The field's own table.
        reasons: Whether an answer can stand as the reason why there is none.
        number: Path from there to the number.
        time: Path from there to the time.
        given: Condition there that something is recorded; ``""`` where it is by being there.
        plain: Whether the value is a code alone, without its system.
    """

    base: str
    coding: str = "value.coding"
    table: type[Term] | None = None
    reasons: bool = False
    number: str = "value.ofType(Quantity).value"
    time: str = "value.ofType(dateTime)"
    given: str = "value.exists()"
    plain: bool = False

    def exists(self, condition: str) -> str:
        """Return whether a condition is met by what holds the value."""
        if not self.base:
            return f"({condition})" if condition else "true"
        return f"{self.base}.exists({condition})"

    def compares(self, comparison: str, limit: int | Decimal) -> str:
        """Return whether the number stands so to a limit."""
        if not self.base:
            return f"{self.number}.exists($this {comparison} {limit})"
        return f"{self.base}.exists({self.number} {comparison} {limit})"

    def path(self, rest: str) -> str:
        """Return a path from what holds the value on."""
        return f"{self.base}.{rest}" if self.base else rest

    def recorded(self) -> str:
        """Return whether something is recorded."""
        return self.exists(self.given)

    def is_one_of(self, terms: tuple[Term, ...] | None) -> str:
        """Return whether the answer is one of these terms of the field's table, or any of them."""
        if self.table is None:
            raise NotSaidHereError("a code without a table")
        if terms == ():
            return "false"
        if self.plain:
            return self.exists(" or ".join(f"value = '{term.value}'" for term in terms or ()))
        reasons = ABSENT_REASONS.get(self.table, {}) if self.reasons else {}
        asked = tuple(self.table) if terms is None else terms
        values = tuple(term for term in asked if term not in reasons)
        every_value = len(values) == len([term for term in self.table if term not in reasons])
        ways = [f"{self.coding}.exists({coded(self.table, None if every_value else values)})"] if values else []
        codes = tuple(reasons[term] for term in asked if term in reasons)
        if codes:
            ways.append(f"dataAbsentReason.coding.exists({one_of(codes)})")
        return self.exists(" or ".join(ways))


@dataclass(frozen=True, slots=True)
class FindingPresence(Field):
    """What the clinician recorded of a structure: beside what it counts as, where that is something else."""

    def is_one_of(self, terms: tuple[Term, ...] | None) -> str:
        """Return whether the clinician's answer is one of these."""
        counted = Field.is_one_of(self, terms)
        recorded = component(Attribute.RECORDED_ANSWER)
        ways = [f"{recorded}.empty() and {counted}"]
        others = tuple(term for term in terms or () if term is not Presence.PRESENT)
        if others:
            ways.append(f"{recorded}.value.coding.exists({coded(Presence, others)})")
        return f"({' or '.join(ways)})"


@cache
def table_of(path: str, owner: type[Model] = Examination) -> tuple[tuple[str, ...], type[Term] | None, tuple[str, ...]]:
    """Return the way of a path through the model, the table of the code at its end, and what it asks of a row."""
    names = path.split(".")
    holds: tuple[type, ...] = (owner,)
    for position, name in enumerate(names):
        part = next((one for one in holds if issubclass(one, Model) and name in one.model_fields), None)
        if part is None:
            table = next((one for one in holds if issubclass(one, Term)), None)
            return tuple(names[:position]), table, tuple(names[position:])
        holds = classes_of(part, name)
    return tuple(names), next((one for one in holds if issubclass(one, Term)), None), ()


@cache
def class_of_items(path: str) -> type[Model]:
    """Return the class of the items of a list."""
    holds: tuple[type, ...] = (Examination,)
    for name in path.split("."):
        part = next(one for one in holds if issubclass(one, Model) and name in one.model_fields)
        holds = classes_of(part, name)
    return next(one for one in holds if issubclass(one, Model))


def _item_field(base: str, item: Item, part: Part | None, table: type[Term] | None) -> Field:
    """Return the field of a row: the answer of an Observation, or one of its components."""
    reasons = table in ABSENT_REASONS
    given = "value.exists() or dataAbsentReason.exists()" if reasons else "value.exists()"
    if part is not None:
        inside = component(part.attribute)
        return Field(f"{base}.{inside}" if base else inside, table=table, reasons=reasons, given=given)
    if item is FINDING:
        return FindingPresence(base, table=table, reasons=True, given="")
    return Field(base, table=table, reasons=reasons, given=given)


_ROWS: Final = {VIEW.path: VIEW, FINDING.path: FINDING, BEDSIDE_TEST.path: BEDSIDE_TEST, IMPRESSION.path: IMPRESSION}
_ROWS_OF_LISTS: Final[dict[str, Item]] = {
    **_ROWS,
    EARLIER_SKIN_CANCER.path: EARLIER_SKIN_CANCER,
    OUTCOME.path: OUTCOME,
}
LISTS, ACTIONS, IMAGES, DEPARTURES = "lists_gone_through", "plan.actions", "images", "plan.departures"


@cache
def single_rows() -> dict[str, tuple[Item, Part | None]]:
    """Return the row, and the detail of it, that carries each field of the single items."""
    found: dict[str, tuple[Item, Part | None]] = {}
    for item in SINGLE:
        if item.value:
            found[f"{item.path}.{item.value}".lstrip(".")] = (item, None)
        for part in item.parts:
            found[f"{item.path}.{part.field}".lstrip(".")] = (item, part)
    return found


@cache
def rows_of_objects() -> dict[str, tuple[Item, ...]]:
    """Return the single rows that carry each object of the model, which is recorded where one of them is."""
    found: dict[str, tuple[Item, ...]] = {}
    for item in SINGLE:
        found[item.path] = (*found.get(item.path, ()), item)
    return found


#: Fields of an item that no row has; for each list of the examination by the item's field.
_SEEN_IN: Final = f"derivedFrom.exists() or {component(Attribute.VIEW_KEY)}.exists()"
_OWN_REASON: Final = (
    f"{component(Attribute.RECORDED_REASON)}.exists() or "
    f"({component(Attribute.RECORDED_ANSWER)}.empty() and {component(Attribute.NOT_ASSESSED_BECAUSE)}.exists())"
)


def _coded_extension(which: Extension, part: str = "") -> Field:
    return Field(extension(which, part), coding="value", time="value", given="")


def _items(release: Release) -> dict[str, dict[str, Field]]:
    r5 = release is Release.R5
    action_code = "code.concept.coding" if r5 else "code.coding"
    reason = "reason.concept.text" if r5 else "reasonCode.text"
    taken = "content.attachment.creation" if r5 else "created"
    return {
        FINDING.path: {
            "structure": Field("", coding="code.coding", given=""),
            "views": Field("", given=_SEEN_IN),
            "not_assessed_because": Field("", given=_OWN_REASON),
        },
        BEDSIDE_TEST.path: {"test": Field("", coding="code.coding", given="")},
        OUTCOME.path: {"date": Field("", time="effective")},
        LISTS: {"list": Field(""), "views": Field("", given=_SEEN_IN)},
        ACTIONS: {
            "action": Field("", coding=action_code, given=""),
            "urgency": _coded_extension(Extension.URGENCY),
            "date": _coded_extension(Extension.PLAN_INTERVAL, "date"),
            "earliest": _coded_extension(Extension.PLAN_INTERVAL, "earliest"),
            "latest": _coded_extension(Extension.PLAN_INTERVAL, "latest"),
            "responsible": Field("performer", given=""),
            "reason": Field(reason, given=""),
            "histology": _coded_extension(Extension.HISTOLOGY_REQUESTED),
            "result_owner": _coded_extension(Extension.RESULT_OWNER),
            "result_by": _coded_extension(Extension.RESULT_BY),
            "if_not_attended": _coded_extension(Extension.IF_NOT_ATTENDED),
            "note": Field("note", given=""),
        },
        IMAGES: {
            "role": _coded_extension(Extension.IMAGE_ROLE),
            "scale": _coded_extension(Extension.IMAGE_SCALE),
            "consent.care": _coded_extension(Extension.IMAGE_CONSENT, "care"),
            "taken": Field("", time=taken),
        },
    }


_ITEMS: Final = {release: _items(release) for release in Release}

#: Fields of the report itself; paths from the report on.
_REPORT: Final[dict[str, Field]] = {
    "status": Field(extension(Extension.ENTRY_STATUS), given="", plain=True),
    "revision": Field(extension(Extension.ENTRY_REVISION), number="value.toString().toInteger()", given=""),
    "examined": Field("", time="effective"),
    "recorded": Field("", time="issued", given="issued.exists()"),
}
_EARLIER: Final = {
    release: Field("supportingInfo", given="")
    if release is Release.R5
    else Field("extension('http://hl7.org/fhir/StructureDefinition/workflow-supportingInfo')", given="")
    for release in Release
}
_ADVICE: Final = {
    f"plan.safety_net.{name}": _coded_extension(Extension.SAFETY_NET, name.replace("_", "-"))
    for name in ("watch_for", "by_when", "contact", "heard_by")
}


def report_field(path: str, release: Release) -> Field | None:
    """Return a field of the report, from the report on; ``None`` where it has none."""
    found = _EARLIER[release] if path == "earlier" else _REPORT.get(path)
    if found is None:
        return None
    return replace(found, table=table_of(path)[1])


def advice_field(path: str) -> Field | None:
    """Return a field of the advice to the patient, from its Communication on; ``None`` where it has none."""
    return _ADVICE.get(path)


def field_of_item(items: str, path: str, release: Release) -> Field:
    """Return a field of an item at hand, from its resource on.

    Args:
        items: Path of the list.
        path: The field, with what it asks of a row already taken off.
        release: The release.

    Raises:
        NotSaidHereError: The item's resource doesn't hold it.
    """
    table = table_of(path, class_of_items(items))[1]
    own = _ITEMS[release].get(items, {}).get(path)
    if own is not None:
        return replace(own, table=table)
    row = _ROWS_OF_LISTS.get(items)
    if row is not None and path == row.value:
        return _item_field("", row, None, table)
    if row is not None:
        for part in row.parts:
            if part.field == path:
                return _item_field("", row, part, table)
    raise NotSaidHereError(f"@.{path} of {items}")


def field_of_statement(base: str, path: str) -> Field:
    """Return a field of the single items, from its Observation on.

    Args:
        base: Path to the Observation; ``""`` where it is at hand.
        path: The field.

    Raises:
        NotSaidHereError: No row carries it.
    """
    found = single_rows().get(path)
    if found is None:
        raise NotSaidHereError(path)
    item, part = found
    return _item_field(base, item, part, table_of(path)[1])


#: What makes an Observation an item of a list.
_CATEGORIES: Final = {FINDING.path: Attribute.FINDING, BEDSIDE_TEST.path: Attribute.BEDSIDE_TEST}
_CODES: Final = {
    VIEW.path: Attribute.VIEW,
    LISTS: Attribute.LIST_GONE_THROUGH,
    IMPRESSION.path: Attribute.IMPRESSION,
    OUTCOME.path: Attribute.OUTCOME,
    EARLIER_SKIN_CANCER.path: Attribute.EARLIER_SKIN_CANCER,
}
_RESOURCES: Final = {ACTIONS: "ServiceRequest", DEPARTURES: "DetectedIssue"}


def resource_of_items(items: str, release: Release) -> str:
    """Return the resource type of a list's items."""
    if items == IMAGES:
        return "DocumentReference" if release is Release.R5 else "Media"
    return _RESOURCES.get(items, "Observation")


def condition_of_items(items: str) -> str:
    """Return the condition that tells a list's items from other resources of their type, withdrawn ones left out.

    Raises:
        NotSaidHereError: The items have no resource of their own.
    """
    if items in _CATEGORIES:
        return f"category.coding.exists({coded(Attribute, (_CATEGORIES[items],))}) and {IN_FORCE}"
    if items in _CODES:
        return f"{about(_CODES[items])} and {IN_FORCE}"
    if items == IMAGES:
        # In R5 letters are of the same type: a picture has a key in the entry.
        return f"{IN_FORCE} and {extension(Extension.ENTRY_KEY)}.exists()"
    if items in _RESOURCES:
        return IN_FORCE
    raise NotSaidHereError(items)
