"""What R4 and R5 write differently, read from either: the counterpart of what ``releases`` writes.

Reading needs no release to be named: where the releases have different elements, both are looked for.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from dermreport.fhir.extensions import Extension
from dermreport.fhir.read.parts import Json, extended, extensions, first, objects, text

if TYPE_CHECKING:
    from collections.abc import Iterable

#: Types that hold a picture: Media in R4, DocumentReference in R5.
PICTURE_KINDS: Final = ("Media", "DocumentReference")
_FOCUS: Final = "http://hl7.org/fhir/StructureDefinition/diagnosticReport-focus"
_SUPPORTING_INFO: Final = "http://hl7.org/fhir/StructureDefinition/workflow-supportingInfo"


def lesion_reference(report: Json) -> Json:
    """Return the reference of a report to its lesion."""
    for found in extensions(report, Extension.REPORT_LESION):
        return first(found, "valueReference")
    return _standard(report, _FOCUS)


def earlier_reference(report: Json) -> Json:
    """Return the reference of a report to the one that it replaces; the previous examination's is kept as foreign."""
    given = [first(information, "reference") for information in objects(report, "supportingInfo")]
    given += [first(found, "valueReference") for found in _standards(report, _SUPPORTING_INFO)]
    return next((one for one in given if not extensions(one, Extension.PREVIOUS_EXAMINATION)), {})


def _standards(parent: Json, url: str) -> Iterable[Json]:
    return (found for found in objects(parent, "extension") if found.get("url") == url)


def _standard(parent: Json, url: str) -> Json:
    return first(next(iter(_standards(parent, url)), {}), "valueReference")


def attachment(picture: Json) -> Json:
    """Return the attachment of a picture."""
    content = first(picture, "content")
    return first(content, "attachment") or content


def picture_taken(picture: Json) -> Any:  # noqa: ANN401 - any JSON
    """Return when a picture was taken."""
    return picture.get("createdDateTime") or attachment(picture).get("creation")


def picture_note(picture: Json) -> Any:  # noqa: ANN401 - any JSON
    """Return the note on a picture."""
    return first(picture, "note").get("text") or picture.get("description")


def picture_size(picture: Json) -> Any:  # noqa: ANN401 - any JSON
    """Return the size in bytes: a number, the digits of R5's integer64, or an extension beyond R4's 31 bits."""
    found = attachment(picture)
    size = found.get("size")
    if size is None:
        return extended(found, Extension.SIZE, "valueDecimal")
    return int(size) if type(size) is str and size.isascii() and size.isdecimal() and len(size) < _DIGITS else size


#: Longer than any integer64.
_DIGITS: Final = 20


def request_concept(request: Json) -> Json:
    """Return what is asked for."""
    code = first(request, "code")
    return first(code, "concept") or code


def request_reason(request: Json) -> str | None:
    """Return why, in words."""
    concepts = [*objects(request, "reasonCode"), *(first(reason, "concept") for reason in objects(request, "reason"))]
    return next((words for concept in concepts if (words := text(concept, "text")) is not None), None)


def request_information(request: Json) -> Iterable[Json]:
    """Return references to what a request rests on."""
    for information in objects(request, "supportingInfo"):
        yield first(information, "reference") or information


def lesion_site(lesion: Json) -> tuple[Json, Json]:
    """Return site and side of a BodyStructure as concepts."""
    included = first(lesion, "includedStructure")
    if included:
        return first(included, "structure"), first(included, "laterality")
    return first(lesion, "location"), first(lesion, "locationQualifier")
