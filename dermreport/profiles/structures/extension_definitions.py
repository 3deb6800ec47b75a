"""Our extensions as StructureDefinitions: what each holds, and where it may stand.

One row an extension; a part of one that has parts is a row within. Where a picture is a resource of another type in a
release, or an element has another name, the row says so.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final, NamedTuple

from dermreport.fhir.canonical import head
from dermreport.fhir.extensions import Extension
from dermreport.fhir.releases import Release, shape_of
from dermreport.profiles.releases import FHIR_VERSION
from dermreport.profiles.structures.element import ALL, R4, R5
from dermreport.profiles.structures.items import own_table
from dermreport.profiles.structures.structure_definitions import constraint
from dermreport.publication import CANONICAL_BASE
from dermreport.vocabulary.body_maps import BodyMap
from dermreport.vocabulary.consents import Consent
from dermreport.vocabulary.hash_algorithms import HashAlgorithm
from dermreport.vocabulary.image_roles import ImageRole
from dermreport.vocabulary.image_scales import ImageScale
from dermreport.vocabulary.not_assessed_reasons import NotAssessedReason
from dermreport.vocabulary.replies import Reply
from dermreport.vocabulary.statuses import Status
from dermreport.vocabulary.term import Term, table_id
from dermreport.vocabulary.urgencies import Urgency

if TYPE_CHECKING:
    from collections.abc import Iterator

_BASE: Final = "http://hl7.org/fhir/StructureDefinition/"

#: Stands for the type of a picture, which is another one in each release.
PICTURE: Final = "picture"


class Content(NamedTuple):
    """What an extension or a part of one holds.

    Attributes:
        kind: FHIR's type.
        table: The table of a code, or ``None``.
        other: Whether somebody else's code may stand there.
        targets: What a Reference may lead to; empty for anything.
    """

    kind: str
    table: type[Term] | None = None
    other: bool = False
    targets: tuple[str, ...] = ()


class Component(NamedTuple):
    """A part of an extension.

    Attributes:
        name: Its URL.
        means: What it holds.
        content: Its value.
        low: At least so many.
    """

    name: str
    means: str
    content: Content
    low: int = 0


@dataclass(frozen=True, slots=True)
class Row:
    """One extension.

    Attributes:
        which: The extension.
        title: Its title.
        means: What it holds, in a sentence.
        where: Elements that it may stand on.
        content: Its value, where it has no parts.
        parts: Its parts.
        releases: The releases that use it.
    """

    which: Extension
    title: str
    means: str
    where: tuple[str, ...]
    content: Content | None = None
    parts: tuple[Component, ...] = ()
    releases: frozenset[Release] = ALL


_TEXT: Final = Content("string")
_TIME: Final = Content("dateTime")
_SHARE: Final = Content("decimal")
_COUNT: Final = Content("positiveInt")


def _code(table: type[Term], *, other: bool = False) -> Content:
    return Content("Coding", table, other)


ROWS: Final = (
    Row(
        Extension.ENTRY_KEY,
        "Key in the entry",
        "The key that the entry gives to this item, by which its other items name it.",
        ("Observation", PICTURE, "ServiceRequest", "DetectedIssue"),
        _TEXT,
    ),
    Row(
        Extension.ENTRY_RANK,
        "Place in the entry",
        "The place of this item in the entry’s list, from 1: the order is the clinician’s.",
        ("ServiceRequest", "DetectedIssue"),
        _COUNT,
    ),
    Row(
        Extension.ENTRY_STATUS,
        "Status as entered",
        "The status that was entered; the report’s own is preliminary while an error stands.",
        ("DiagnosticReport",),
        Content("code", Status),
    ),
    Row(
        Extension.ENTRY_REVISION,
        "Revision",
        "The revision of the examination, from 1: it rises with every change of content.",
        ("DiagnosticReport",),
        _COUNT,
    ),
    Row(
        Extension.ENTRY_EMPTY,
        "Part without content",
        "The path of a part that the entry has without any content in it, so that it comes back as it was.",
        ("DiagnosticReport",),
        _TEXT,
    ),
    Row(
        Extension.PLANNED,
        "Planned",
        "A planned step, advice or departure by its number: it points to the report, so whoever receives the report "
        "alone learns here that it is missing.",
        ("DiagnosticReport",),
        Content("Reference", targets=("ServiceRequest", "Communication", "DetectedIssue")),
    ),
    Row(
        Extension.AS_ENTERED,
        "As entered",
        "The text that was entered, where the element can’t hold it or several texts mean the same in it.",
        ("Coding.code", "Identifier", "Reference"),
        _TEXT,
    ),
    Row(
        Extension.PATIENT_AS_ENTERED,
        "Patient as entered",
        "What was entered on the patient, contained in the report: the host’s own record of the patient is never "
        "changed by it.",
        ("DiagnosticReport",),
        Content("Reference", targets=("Patient",)),
    ),
    Row(
        Extension.EXAMINER_AS_ENTERED,
        "Examiner as entered",
        "What was entered on the examiner, contained in the report: the host’s own record of the examiner is never "
        "changed by it.",
        ("DiagnosticReport",),
        Content("Reference", targets=("Practitioner",)),
    ),
    Row(
        Extension.HOST_REFERENCE,
        "Reference of the host",
        "The literal reference that was entered, where it can’t stand in the element: it leads to another type, or "
        "nowhere from within a document.",
        ("Reference", "Patient", "Practitioner"),
        _TEXT,
    ),
    Row(
        Extension.PREVIOUS_EXAMINATION,
        "Previous examination",
        "When the lesion was looked at before: the reference leads to the report of that examination, not to one that "
        "this report replaces.",
        ("Reference",),
        _TIME,
    ),
    Row(
        Extension.EXAMINER_ROLE,
        "Role of the examiner",
        "Profession or role of the examiner, in words.",
        ("Practitioner",),
        _TEXT,
    ),
    Row(
        Extension.REPORT_LESION,
        "Lesion of the report",
        "The lesion that the report is about; in R4 the standard’s own extension says it.",
        ("DiagnosticReport",),
        Content("Reference", targets=("BodyStructure",)),
        releases=R5,
    ),
    Row(
        Extension.BODY_MAP_POINT,
        "Point on the body map",
        "A point marked on one drawing: shares of its width from the left and of its height from the top.",
        ("BodyStructure",),
        parts=(
            Component("map", "which drawing", _code(BodyMap, other=True), 1),
            Component("x", "share of its width from the left, 0 to 1", _SHARE, 1),
            Component("y", "share of its height from the top, 0 to 1", _SHARE, 1),
        ),
    ),
    Row(
        Extension.HASH,
        "Hash of the file",
        "Hash of the file’s bytes with its algorithm: the element of an Attachment is for SHA-1 only.",
        ("Attachment",),
        parts=(
            Component("algorithm", "how it was made", _code(HashAlgorithm), 1),
            Component("value", "lower-case hexadecimal", _TEXT, 1),
        ),
    ),
    Row(
        Extension.SIZE,
        "Size of the file",
        "Bytes of the file, where they are more than the element of an Attachment can hold.",
        ("Attachment",),
        Content("decimal"),
        releases=R4,
    ),
    Row(
        Extension.IMAGE_ROLE,
        "Role of the picture",
        "Whether the picture is an overview, a close-up or through the dermatoscope.",
        (PICTURE,),
        _code(ImageRole),
    ),
    Row(
        Extension.IMAGE_SCALE,
        "Scale in the picture",
        "Whether a scale is in the picture.",
        (PICTURE,),
        _code(ImageScale),
    ),
    Row(
        Extension.IMAGE_CONSENT,
        "Consent to the picture",
        "What the patient agreed to, by purpose; a purpose left out was not recorded.",
        (PICTURE,),
        parts=(
            Component("care", "for the patient’s own care", _code(Consent)),
            Component("teaching", "for teaching", _code(Consent)),
            Component("research", "for research", _code(Consent)),
            Component("recorded", "when consent was recorded", _TIME),
            Component("given-by", "who gave it, where it wasn’t the patient", _TEXT),
        ),
    ),
    Row(
        Extension.VIEW_KEY,
        "Key of a view",
        "The key of the view that the picture shows, where the entry has no such view.",
        (PICTURE,),
        _TEXT,
    ),
    Row(
        Extension.NOT_ASSESSED_BECAUSE,
        "Not assessed because",
        "Why an item of a list that was gone through counts as not assessed.",
        ("Observation.component",),
        _code(NotAssessedReason),
    ),
    Row(
        Extension.URGENCY,
        "Urgency",
        "How soon the step is needed, finer than the standard’s four priorities.",
        ("ServiceRequest",),
        _code(Urgency),
    ),
    Row(
        Extension.PLAN_INTERVAL,
        "Date or window as entered",
        "The appointed date, and first and last date of the window, each as precise as it was entered.",
        ("ServiceRequest",),
        parts=(
            Component("date", "the appointed date", _TIME),
            Component("earliest", "first date of the window", _TIME),
            Component("latest", "last date of the window", _TIME),
        ),
    ),
    Row(
        Extension.HISTOLOGY_REQUESTED,
        "Histology requested",
        "Whether what is removed goes to a pathologist.",
        ("ServiceRequest",),
        _code(Reply),
    ),
    Row(
        Extension.RESULT_OWNER,
        "Who looks for the result",
        "Who sees to it that the result comes and is acted upon.",
        ("ServiceRequest",),
        Content("Reference"),
    ),
    Row(
        Extension.RESULT_BY,
        "Result expected by",
        "By when the result is expected.",
        ("ServiceRequest",),
        _TIME,
    ),
    Row(
        Extension.IF_NOT_ATTENDED,
        "If the patient doesn’t come",
        "What happens if the patient doesn’t come.",
        ("ServiceRequest",),
        _TEXT,
    ),
    Row(
        Extension.SAFETY_NET,
        "Safety-net advice, part by part",
        "What to watch for, by when to come back, whom to call, and by when to have heard of the appointment.",
        ("Communication",),
        parts=(
            Component("watch-for", "what to watch for", _TEXT),
            Component("by-when", "by when to come back if it isn’t settled", _TIME),
            Component("contact", "whom to call", _TEXT),
            Component("heard-by", "by when the patient should have heard of the appointment", _TIME),
        ),
    ),
    Row(
        Extension.LETTER_REPORT,
        "Report that a letter is made of",
        "The report of one of the lesions that the letter is about. Earlier releases have an element for it.",
        ("DocumentReference",),
        Content("Reference", targets=("DiagnosticReport",)),
        releases=R5,
    ),
)


def rows(release: Release) -> list[Row]:
    """Return the extensions of a release, sorted by id."""
    return sorted((row for row in ROWS if release in row.releases), key=lambda row: row.which.value)


def extension_definitions(release: Release) -> list[dict[str, Any]]:
    """Return the StructureDefinitions of our extensions, sorted by id."""
    return [_definition(row, release) for row in rows(release)]


def _definition(row: Row, release: Release) -> dict[str, Any]:
    where = (shape_of(release).image_type if one == PICTURE else one for one in row.where)
    return head(
        "StructureDefinition",
        row.which.value,
        row.title,
        row.means,
        {
            "fhirVersion": FHIR_VERSION[release],
            "kind": "complex-type",
            "abstract": False,
            "context": [{"type": "element", "expression": one} for one in where],
            "type": "Extension",
            "baseDefinition": f"{_BASE}Extension",
            "derivation": "constraint",
            "differential": {"element": list(_elements(row))},
        },
    )


def _elements(row: Row) -> Iterator[dict[str, Any]]:
    yield {"id": "Extension", "path": "Extension", "short": row.title, "definition": row.means}
    yield from _inner("Extension", row.which.url, row.content, row.parts, row.means)


def _inner(
    at: str, url: str, content: Content | None, parts: tuple[Component, ...], means: str
) -> Iterator[dict[str, Any]]:
    """Return the lines below an extension: its parts, its URL, its value."""
    path = ".".join(step.partition(":")[0] for step in at.split("."))
    if not parts:
        yield {"id": f"{at}.extension", "path": f"{path}.extension", "max": "0"}
    for part in parts:
        inside = f"{at}.extension:{part.name}"
        yield {
            "id": inside,
            "path": f"{path}.extension",
            "sliceName": part.name,
            "short": part.means,
            "min": part.low,
            "max": "1",
            "mustSupport": True,
        }
        yield from _inner(inside, part.name, part.content, (), part.means)
    yield {"id": f"{at}.url", "path": f"{path}.url", "fixedUri": url}
    yield _value(at, path, content, means)


def _value(at: str, path: str, content: Content | None, means: str) -> dict[str, Any]:
    made: dict[str, Any] = {"id": f"{at}.value[x]", "path": f"{path}.value[x]"}
    if content is None:
        return {**made, "max": "0"}
    kind: dict[str, Any] = {"code": content.kind}
    if content.targets:
        kind["targetProfile"] = [_BASE + target for target in content.targets]
    made |= {"short": means, "min": 1, "type": [kind]}
    if content.table is None:
        return made
    if content.other:
        return {**made, "constraint": [constraint(own_table(content.table))]}
    value_set = f"{CANONICAL_BASE}/ValueSet/{table_id(content.table)}"
    return {**made, "binding": {"strength": "required", "valueSet": value_set}}
