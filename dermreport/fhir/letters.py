"""Finished letters in a report: each a DocumentReference, and the referral also in the report's own presented form."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Sequence
from hashlib import sha1
from typing import TYPE_CHECKING, Any, Final

from msgspec.structs import replace

from dermreport.examination.people import system_and_value
from dermreport.fhir.ids import Thing
from dermreport.fhir.releases import Written
from dermreport.issues import BuildError
from dermreport.letter_file import LetterKind
from dermreport.vocabulary.documents import Document
from dermreport.vocabulary.term import code_system

if TYPE_CHECKING:
    from dermreport.examination.model import Examination
    from dermreport.fhir.build import Visit
    from dermreport.fhir.frame import Built
    from dermreport.fhir.releases import Shape
    from dermreport.letter_file import LetterFile

_TYPES: Final = {
    LetterKind.REFERRAL: Document.REFERRAL_LETTER,
    LetterKind.PATIENT: Document.PATIENT_COPY,
    LetterKind.PATHOLOGIST: Document.PATHOLOGY_REQUEST,
}


#: The types of our letters, as our own coding of them.
_OURS: Final = frozenset((code_system(Document), one.value) for one in _TYPES.values())


def is_letter(resource: dict[str, Any]) -> bool:
    """Return whether a resource is a letter of ours, whoever sent it."""
    if resource.get("resourceType") != "DocumentReference":
        return False
    kind = resource.get("type")
    codings = kind.get("coding") if isinstance(kind, dict) else None
    return isinstance(codings, list) and any(
        isinstance(one, dict) and (_text(one, "system"), _text(one, "code")) in _OURS for one in codings
    )


def _text(element: dict[str, Any], name: str) -> str:
    """Return a text of what was received; empty where there is none."""
    value = element.get(name)
    return value if isinstance(value, str) else ""


def check_letters(letters: Sequence[LetterFile], examinations: Sequence[Examination]) -> None:
    """Refuse letters of other reports, and two of one kind, language and format: one would take the other's place.

    Raises:
        BuildError: A letter is made of another report or revision, or there are two of one kind.
    """
    known = {(*system_and_value(one.identifier), one.revision) for one in examinations}
    if any(not one.reports or not known.issuperset(one.reports) for one in letters):
        raise BuildError(
            "A letter is made of another report, or of another revision: write it anew from these reviews."
        )
    keys = [_key(one) for one in letters]
    if len(set(keys)) != len(keys):
        raise BuildError("Two letters are of one kind, language and format: send one of each.")


def with_letters(visit: Visit, letters: Sequence[LetterFile], shape: Shape) -> Visit:
    """Return a visit with its letters; those to a colleague are the presented form of its first report."""
    attachments = [_attachment(letter, shape) for letter in letters]
    made = [_document(visit, letter, has, shape) for letter, has in zip(letters, attachments, strict=True)]
    first, *others = visit.examinations
    forms = [has for letter, has in zip(letters, attachments, strict=True) if letter.kind == LetterKind.REFERRAL]
    if forms:
        presented = shape.resource("DiagnosticReport", {**first.report.resource, "presentedForm": forms})
        first = replace(first, report=first.report._replace(resource=presented))
    return replace(visit, examinations=[first, *others], letters=made)


def _key(letter: LetterFile) -> str:
    """Return what tells a letter from the report's others; a later revision's letter takes its place."""
    kind = letter.media_type.partition(";")[0].rpartition("/")[2]
    return f"{letter.kind}-{letter.language}-{kind}"


def _document(visit: Visit, letter: LetterFile, attachment: dict[str, Any], shape: Shape) -> Built:
    frame = visit.examinations[0].frame
    known = frame.identity.item(Thing.LETTER, _key(letter))
    document = _TYPES[LetterKind(letter.kind)]
    written = Written(
        head=frame.head(Thing.LETTER, known, letter.title, []),
        kind=document,
        withdrawn=frame.withdrawn,
        status=frame.status,
        subject=frame.patient.reference,
        encounter=frame.encounter,
        author=frame.examiner.reference if frame.examiner is not None else None,
        title=letter.title,
        attachment=attachment,
        reports=[one.report.reference for one in visit.examinations],
    )
    return frame.versioned(known, shape.letter(written, frame.codes))


def _attachment(letter: LetterFile, shape: Shape) -> dict[str, Any]:
    """Return the letter's bytes: the same letter gives the same ones, so that a resend makes no new version."""
    return shape.embedded(
        {
            "contentType": letter.media_type,
            "language": letter.language,
            "data": b64encode(letter.content).decode("ascii"),
            "hash": b64encode(sha1(letter.content, usedforsecurity=False).digest()).decode("ascii"),
            "title": letter.title,
            "creation": letter.written or None,
        },
        len(letter.content),
    )
