"""What a message of v2.5.1 can't hold, or holds otherwise than it was entered: one table, and where it is so."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Final

from dermreport.doors.hl7v2.text import Ink
from dermreport.issues import IssueRule, Severity
from dermreport.sources import Source, seen

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from dermreport.examination.model import Examination
    from dermreport.issues import Issue

_SOURCE: Final = seen(Source.HL7_V2_5_1).text


CHARACTER_SET: Final = IssueRule(
    "v2-character-set",
    "The message’s character set lacks some characters: they are written as the hexadecimal bytes of UTF-8. Agree on "
    "that with the receiver, or send UNICODE UTF-8.",
    _SOURCE,
    Severity.WARNING,
)
PUNCTUATION: Final = IssueRule(
    "v2-punctuation",
    "The message’s character set lacks some punctuation of print (quotation marks, dashes, times signs): "
    "the plain characters stand for it.",
    _SOURCE,
    Severity.INFORMATION,
)
LENGTH: Final = IssueRule(
    "v2-length",
    "Some texts are longer than the 199 characters that v2.5.1 gives their type: they are written whole, and a "
    "receiver may cut or refuse them.",
    _SOURCE,
    Severity.WARNING,
)
DIVIDED: Final = IssueRule(
    "v2-divided",
    "Some texts are longer than 65,536 characters as written: they go on in the next repetition of the field, with "
    "nothing between.",
    _SOURCE,
    Severity.WARNING,
)
TIME: Final = IssueRule(
    "v2-time",
    "Some times are leap seconds, or finer than a ten-thousandth of a second: the message has the last time before "
    "them that v2.5.1 can write.",
    _SOURCE,
    Severity.WARNING,
)
PATIENT_NUMBER: Final = IssueRule(
    "v2-patient-number",
    "The patient has no number: the message names the patient by the host’s reference, or by the examination’s own "
    "number. Give a number that the receiver knows, or the report may not find its patient.",
    _SOURCE,
    Severity.WARNING,
)
PATIENT_REFERENCE: Final = IssueRule(
    "v2-patient-reference",
    "The host’s literal reference to the patient is left out; the patient’s numbers are sent.",
    _SOURCE,
    Severity.INFORMATION,
)
REPLACES: Final = IssueRule(
    "v2-replaces",
    "This is a later revision: the message is the whole report, and what only the former revision had is not deleted "
    "by it. The receiver must replace what it has under the same filler order number.",
    _SOURCE,
    Severity.WARNING,
)
PICTURE: Final = IssueRule(
    "v2-picture",
    "Size, hash, DICOM identifier and consent of a picture have no place in the message: they are left out.",
    _SOURCE,
    Severity.INFORMATION,
)

_OF_THE_TEXT: Final[tuple[tuple[IssueRule, Callable[[Ink], int]], ...]] = (
    (CHARACTER_SET, lambda ink: ink.outside),
    (PUNCTUATION, lambda ink: ink.plain),
    (LENGTH, lambda ink: ink.too_long),
    (DIVIDED, lambda ink: ink.divided),
    (TIME, lambda ink: ink.cut),
)


def issues(ink: Ink, examinations: Sequence[Examination]) -> Iterable[Issue]:
    """Yield the issues of a message, those on the whole first; no entered value is in any of them."""
    for rule, count_of in _OF_THE_TEXT:
        count = count_of(ink)
        if count:
            yield rule.at("$", count=str(count))
    patient = examinations[0].patient
    if not patient.identifiers:
        yield PATIENT_NUMBER.at("$.patient.identifiers")
    elif patient.reference is not None:
        yield PATIENT_REFERENCE.at("$.patient.reference")
    for position, examination in enumerate(examinations):
        root = f"$.lesions[{position}]" if len(examinations) > 1 else "$"
        if examination.revision > 1:
            yield REPLACES.at(f"{root}.revision")
        for rank, image in enumerate(examination.images):
            left_out = (image.size_bytes, image.hash, image.dicom_uid, image.consent)
            if any(one is not None for one in left_out):
                yield PICTURE.at(f"{root}.images[{rank}]")
