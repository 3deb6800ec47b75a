"""The releases of FHIR: the one module that knows R4 from R5.

R4B has the same elements as R4 in every resource that is sent. What differs in R5 is one method here.
"""

from __future__ import annotations

from enum import StrEnum
from typing import TYPE_CHECKING, Any, Final

from msgspec import Struct

from dermreport.fhir import elements
from dermreport.fhir.codes import ABSENT_REASON_URL, TERMINOLOGY, UNKNOWN_PRIMITIVE, Codes, codes, fixed
from dermreport.fhir.extensions import Extension, extension
from dermreport.vocabulary.documents import Document
from dermreport.vocabulary.standard_codes import DICOM_CODES_NOT_IN_FHIR_R4, STANDARD_CODES

if TYPE_CHECKING:
    from collections.abc import Mapping

    from dermreport.settings import Settings


class Release(StrEnum):
    """A release of FHIR."""

    R4 = "R4"
    R4B = "R4B"
    R5 = "R5"


class Picture(Struct, frozen=True):
    """What is sent of one picture, in the words of no release."""

    head: dict[str, Any]
    kind: Document | None
    withdrawn: bool
    subject: dict[str, Any]
    encounter: dict[str, Any] | None
    operator: dict[str, Any] | None
    body_site: dict[str, Any] | None
    attachment: dict[str, Any]
    size: int | None
    taken: str | None
    status: str
    note: str | None


class Written(Struct, frozen=True):
    """What is sent of one finished letter, in the words of no release."""

    head: dict[str, Any]
    kind: Document
    withdrawn: bool
    status: str
    subject: dict[str, Any]
    encounter: dict[str, Any] | None
    author: dict[str, Any] | None
    title: str
    attachment: dict[str, Any]
    reports: list[dict[str, Any]]


_FOCUS: Final = "http://hl7.org/fhir/StructureDefinition/diagnosticReport-focus"
_WORKFLOW_SUPPORTING_INFO: Final = "http://hl7.org/fhir/StructureDefinition/workflow-supportingInfo"
#: R4 has 31 bits for a size; a larger one goes into an extension.
_LARGEST_SIZE: Final = 2**31 - 1
_IMAGE_TYPE: Final = fixed(f"{TERMINOLOGY}/media-type", "image", "Image")
_PHOTOGRAPH: Final = STANDARD_CODES["Photographic image Unspecified body region Document"]
ANY_IMAGE: Final = fixed(_PHOTOGRAPH.system, _PHOTOGRAPH.code, _PHOTOGRAPH.display)


class Shape:
    """How R4 and R4B write what R5 writes differently."""

    orders: Mapping[str, tuple[str, ...]] = elements.R4
    #: Package of ``fhir.resources`` whose classes have the same elements.
    typed_package = "fhir.resources.R4B"
    unlisted: frozenset[str] = DICOM_CODES_NOT_IN_FHIR_R4
    image_type = "Media"

    def codes(self, settings: Settings) -> Codes:
        """Return the concepts that this release can carry, as a host wants them."""
        return codes(settings, self.unlisted)

    def resource(self, kind: str, parts: dict[str, Any]) -> dict[str, Any]:
        """Return a resource with its elements in the order of the release."""
        return elements.in_order(self.orders[kind], {"resourceType": kind, **parts})

    def image(self, picture: Picture, concepts: Codes) -> dict[str, Any]:
        """Return the resource of a picture."""
        attachment = dict(picture.attachment)
        if picture.size is not None and picture.size <= _LARGEST_SIZE:
            attachment["size"] = picture.size
        elif picture.size is not None:
            large = extension(Extension.SIZE, "valueDecimal", picture.size)
            attachment["extension"] = [*attachment.get("extension", ()), large]
        return self.resource(
            "Media",
            {
                **picture.head,
                "status": "entered-in-error" if picture.withdrawn else "completed",
                "type": _IMAGE_TYPE,
                "modality": _modality(picture.kind, concepts) if picture.kind is not None else None,
                "subject": picture.subject,
                "encounter": picture.encounter,
                "createdDateTime": picture.taken,
                "operator": picture.operator,
                "bodySite": picture.body_site,
                "content": in_attachment_order(attachment) or _NOTHING_KNOWN,
                "note": [{"text": picture.note}] if picture.note is not None else None,
            },
        )

    def embedded(self, attachment: dict[str, Any], size: int) -> dict[str, Any]:
        """Return the Attachment of an embedded file of a size in bytes."""
        return in_attachment_order({**attachment, "size": size})

    def letter(self, written: Written, concepts: Codes) -> dict[str, Any]:
        """Return the resource of a letter, which points to the reports that it is made of."""
        encounter = {"encounter": [written.encounter]} if written.encounter is not None else {}
        context = {**encounter, "related": written.reports}
        return self.resource("DocumentReference", {**_letter(written, concepts), "context": context})

    def lesion_place(self, site: dict[str, Any] | None, side: dict[str, Any] | None) -> dict[str, Any]:
        """Return the elements of a BodyStructure that say where it is."""
        return {"location": site, "locationQualifier": [side] if side is not None else None}

    def report_lesion(self, reference: dict[str, Any]) -> dict[str, Any]:
        """Return the extension of a DiagnosticReport that points to the lesion."""
        return {"url": _FOCUS, "valueReference": reference}

    def earlier_report(self, reference: dict[str, Any]) -> dict[str, Any]:
        """Return the elements of a DiagnosticReport that point to an earlier one; the caller joins extensions."""
        return {"extension": [{"url": _WORKFLOW_SUPPORTING_INFO, "valueReference": reference}]}

    def previous_report(self, reference: dict[str, Any]) -> dict[str, Any]:
        """Return the elements of a DiagnosticReport that point to that of the previous examination of the lesion."""
        return self.earlier_report(reference)

    def request_code(self, concept: dict[str, Any]) -> dict[str, Any]:
        """Return a ServiceRequest's code."""
        return concept

    def request_reasons(self, text: str | None, references: list[dict[str, Any]]) -> dict[str, Any]:
        """Return the elements of a ServiceRequest that say why."""
        return {
            "reasonCode": [{"text": text}] if text is not None else None,
            "reasonReference": references or None,
        }

    def request_information(self, references: list[dict[str, Any]]) -> list[dict[str, Any]]:
        """Return a ServiceRequest's supporting information."""
        return references

    def payload(self, text: str) -> dict[str, Any]:
        """Return the payload of a Communication."""
        return {"contentString": text}

    def issue_subject(self, reference: dict[str, Any]) -> dict[str, Any]:
        """Return the element of a DetectedIssue that says whom it is about."""
        return {"patient": reference}

    def composition_identity(self, identifier: dict[str, Any], subject: dict[str, Any]) -> dict[str, Any]:
        """Return a Composition's identifier and subject."""
        return {"identifier": identifier, "subject": subject}

    def replaces(self, identifier: dict[str, Any]) -> dict[str, Any]:
        """Return the relation of a Composition to the document that it replaces."""
        return {"code": "replaces", "targetIdentifier": identifier}

    def provenance_time(self, recorded: str | None) -> dict[str, Any]:
        """Return when a Provenance was recorded; R4 demands the element."""
        return {"recorded": recorded} if recorded is not None else {"_recorded": UNKNOWN_PRIMITIVE}


class ShapeR5(Shape):
    """How R5 writes it."""

    orders: Mapping[str, tuple[str, ...]] = elements.R5
    typed_package = "fhir.resources"
    unlisted: frozenset[str] = frozenset()
    image_type = "DocumentReference"

    def image(self, picture: Picture, concepts: Codes) -> dict[str, Any]:
        """Return the resource of a picture: R5 has no Media."""
        attachment = dict(picture.attachment)
        if picture.size is not None:
            # An integer64 is a JSON string.
            attachment["size"] = str(picture.size)
        attachment["creation"] = picture.taken
        kind = concepts.concept(picture.kind) if picture.kind is not None else ANY_IMAGE
        return self.resource(
            "DocumentReference",
            {
                **picture.head,
                "status": "entered-in-error" if picture.withdrawn else "current",
                "docStatus": picture.status,
                "type": kind,
                "subject": picture.subject,
                "context": [picture.encounter] if picture.encounter is not None else None,
                "bodySite": [{"concept": picture.body_site}] if picture.body_site is not None else None,
                "author": [picture.operator] if picture.operator is not None else None,
                "description": picture.note,
                "content": [{"attachment": in_attachment_order(attachment) or _NOTHING_KNOWN}],
            },
        )

    def embedded(self, attachment: dict[str, Any], size: int) -> dict[str, Any]:
        """Return the Attachment; an integer64 is a JSON string."""
        return in_attachment_order({**attachment, "size": str(size)})

    def letter(self, written: Written, concepts: Codes) -> dict[str, Any]:
        """Return the resource of a letter; R5 has no element for what it is made of, so an extension of ours has it."""
        made = _letter(written, concepts)
        made["extension"] = [extension(Extension.LETTER_REPORT, "valueReference", one) for one in written.reports]
        made["context"] = [written.encounter] if written.encounter is not None else None
        return self.resource("DocumentReference", made)

    def lesion_place(self, site: dict[str, Any] | None, side: dict[str, Any] | None) -> dict[str, Any]:
        """Return the structure, which R5 demands: where nobody recorded it, that is said."""
        structure = site if site is not None else {"text": "site not recorded"}
        return {"includedStructure": [{"structure": structure} | ({"laterality": side} if side is not None else {})]}

    def report_lesion(self, reference: dict[str, Any]) -> dict[str, Any]:
        """Return our own extension: the standard's has a wrong fixed URL in its package for R5 (1.0.0)."""
        return extension(Extension.REPORT_LESION, "valueReference", reference)

    def earlier_report(self, reference: dict[str, Any]) -> dict[str, Any]:
        """Return R5's own element."""
        return {"supportingInfo": [{"type": _EARLIER, "reference": reference}]}

    def previous_report(self, reference: dict[str, Any]) -> dict[str, Any]:
        """Return R5's own element, which says what the report is."""
        return {"supportingInfo": [{"type": _PREVIOUS, "reference": reference}]}

    def request_code(self, concept: dict[str, Any]) -> dict[str, Any]:
        """Return a reference that is a concept."""
        return {"concept": concept}

    def request_reasons(self, text: str | None, references: list[dict[str, Any]]) -> dict[str, Any]:
        """Return one list of concepts and references."""
        words = [{"concept": {"text": text}}] if text is not None else []
        return {"reason": [*words, *({"reference": one} for one in references)] or None}

    def request_information(self, references: list[dict[str, Any]]) -> list[dict[str, Any]]:
        """Return references that could be concepts."""
        return [{"reference": one} for one in references]

    def payload(self, text: str) -> dict[str, Any]:
        """Return a concept without a code: R5 has no string here."""
        return {"contentCodeableConcept": {"text": text}}

    def issue_subject(self, reference: dict[str, Any]) -> dict[str, Any]:
        """Return R5's name of the element."""
        return {"subject": reference}

    def composition_identity(self, identifier: dict[str, Any], subject: dict[str, Any]) -> dict[str, Any]:
        """Return lists of one."""
        return {"identifier": [identifier], "subject": [subject]}

    def replaces(self, identifier: dict[str, Any]) -> dict[str, Any]:
        """Return a related artifact."""
        return {"type": "replaces", "resourceReference": {"identifier": identifier}}

    def provenance_time(self, recorded: str | None) -> dict[str, Any]:
        """Return the time where there is one."""
        return {"recorded": recorded} if recorded is not None else {}


def _letter(written: Written, concepts: Codes) -> dict[str, Any]:
    """Return the elements of a letter that all releases share."""
    return {
        **written.head,
        "status": "entered-in-error" if written.withdrawn else "current",
        "docStatus": written.status,
        "type": concepts.concept(written.kind),
        "subject": written.subject,
        "author": [written.author] if written.author is not None else None,
        "description": written.title,
        "content": [{"attachment": written.attachment}],
    }


def _modality(kind: Document, concepts: Codes) -> dict[str, Any]:
    """Return what kind of picture it is, by our code alone: a type of document is no modality."""
    concept = concepts.concept(kind)
    return {"coding": concept["coding"][:1], "text": concept["text"]}


_EARLIER: Final = {"text": "earlier report of the same lesion"}
_PREVIOUS: Final = {"text": "report of the previous examination of the same lesion"}
_NOTHING_KNOWN: Final[dict[str, Any]] = {"extension": [{"url": ABSENT_REASON_URL, "valueCode": "unknown"}]}
_ATTACHMENT_ORDER: Final = (
    "extension",
    "contentType",
    "language",
    "data",
    "url",
    "size",
    "hash",
    "title",
    "creation",
)


def in_attachment_order(attachment: dict[str, Any]) -> dict[str, Any]:
    """Return an Attachment with its elements in the standard's order, which is that of both releases."""
    return {name: attachment[name] for name in _ATTACHMENT_ORDER if attachment.get(name) is not None}


_R4: Final = Shape()
_SHAPES: Final = {Release.R4: _R4, Release.R4B: _R4, Release.R5: ShapeR5()}


def shape_of(release: Release) -> Shape:
    """Return how a release writes what differs."""
    return _SHAPES[release]
