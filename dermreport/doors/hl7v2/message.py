r"""A report as a message ORU^R01 of HL7 v2.5.1, for hospitals that take nothing newer.

::

    message = dermreport.to_hl7v2(review, routing=dermreport.Routing(receiving_facility="HOSPITAL"))
    message.text       # segments that end with a carriage return
    message.encode()   # bytes in the character set that MSH-18 names
    message.issues     # what the format can't hold

One OBR for each lesion; its status is P while an error stands in the review, which withholds nothing. Every message is
the whole report: a receiver replaces what it has under the same filler number (OBR-3), as no segment deletes what a
former revision had.

Source: HL7 v2.5.1, chapter 2 (MSH), 3 (PID, PV1), 4 (ORC, OBR), 7 (ORU^R01, OBX); tables 0074, 0076, 0003, 0103, 0104,
0119, 0123, 0211, 0354.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from dermreport.doors.hl7v2.issues import issues
from dermreport.doors.hl7v2.observations import Observations, Shape, ce, comments
from dermreport.doors.hl7v2.parties import ei, interpreter, named_authority, notes, pid, pv1, reference_ei
from dermreport.doors.hl7v2.text import ENCODING_CHARACTERS, CharacterSet, Ink, components, segment, set_id
from dermreport.examination.types import DAY_TIME_PATTERN
from dermreport.fhir import software
from dermreport.fhir.frame import Frame, frame
from dermreport.fhir.ids import Identity
from dermreport.fhir.people import Pointing, patient_party
from dermreport.issues import Issue, SettingsError, must_be
from dermreport.reviews.review import Review
from dermreport.reviews.together import of_one_patient
from dermreport.vocabulary.documents import Document
from dermreport.wording.report import tell
from dermreport.wording.sentences import lesion_sentence

if TYPE_CHECKING:
    from collections.abc import Iterable

    from dermreport.examination.people import Reference

__all__ = ["CharacterSet", "Message", "Routing", "to_hl7v2"]

VERSION: Final = "2.5.1"
#: Table 0103: production, training, debugging.
_PROCESSING: Final = ("P", "T", "D")
#: A namespace has twenty characters (IS of HD), a control id too.
_LONGEST_NAME: Final = 20
_is_name: Final = re.compile(r"[!-~](?:[ -~]{0,18}[!-~])?").fullmatch
_is_oid: Final = re.compile(r"[0-2](?:\.(?:0|[1-9][0-9]*)){1,60}").fullmatch


@dataclass(frozen=True, slots=True, kw_only=True)
class Routing:
    """From whom a message goes to whom, and in which characters: what a host agrees with one receiver.

    Attributes:
        sending_application: MSH-3: up to 20 printable characters of ASCII, or an object identifier.
        sending_facility: MSH-4.
        receiving_application: MSH-5.
        receiving_facility: MSH-6.
        processing: MSH-11: P for production, T for training, D for debugging.
        characters: MSH-18: the character set. What it can't hold is written in hexadecimal, and an issue says so.
    """

    sending_application: str = software.NAME
    sending_facility: str = ""
    receiving_application: str = ""
    receiving_facility: str = ""
    processing: str = "P"
    characters: CharacterSet = CharacterSet.UTF_8

    def __post_init__(self) -> None:
        """Take the words for the members, and refuse what isn't a setting; no value is in the error."""
        for name in ("sending_application", "sending_facility", "receiving_application", "receiving_facility"):
            given = getattr(self, name)
            if not isinstance(given, str) or (given and _is_name(given) is None and _is_oid(given) is None):
                raise SettingsError(
                    f"routing: {name} is at most {_LONGEST_NAME} printable characters of ASCII, or an object identifier"
                )
        if self.processing not in _PROCESSING:
            raise SettingsError(f"routing: processing is one of {', '.join(_PROCESSING)}")
        if self.characters not in set(CharacterSet):
            raise SettingsError(f"routing: characters is one of {', '.join(CharacterSet)}")
        object.__setattr__(self, "characters", CharacterSet(self.characters))


@dataclass(frozen=True, slots=True)
class Message:
    """A message.

    Attributes:
        text: Its segments, each ending with a carriage return.
        characters: The character set that MSH-18 names.
        control_id: MSH-10.
        issues: What the format can't hold, or holds otherwise than it was entered; paths, never an entered value.
    """

    text: str
    characters: CharacterSet
    control_id: str
    issues: tuple[Issue, ...]

    def encode(self) -> bytes:
        """Return the message in its character set."""
        return self.text.encode(self.characters.codec)

    def __repr__(self) -> str:
        """Name the message, never what it holds: a repr ends in logs."""
        return f"<Message with {len(self.issues)} issues>"


#: The largest letter that is embedded, in bytes: receivers of HL7 v2 take messages of some megabytes at most.
MAX_LETTER = 4 * 1024 * 1024


def to_hl7v2(
    review: Review | Sequence[Review],
    *,
    routing: Routing | None = None,
    sent: str | None = None,
    control_id: str | None = None,
    letter: bytes | None = None,
) -> Message:
    """Write reviews as a message ORU^R01 of HL7 v2.5.1.

    Args:
        review: The review of one examination, or those of one visit. Nothing in it is changed.
        routing: Sender, receiver and character set.
        sent: Time of the message, a day or a time with its offset; without it that of the record, else of the
            examination. The library reads no clock.
        control_id: Id of the message, up to 20 printable characters of ASCII; without it one made of the content, so
            that the same content has the same id.
        letter: A PDF of at most ``MAX_LETTER`` bytes, embedded in the first report.

    Returns:
        The message; the same arguments give the same one.

    Raises:
        TypeError: It isn't a review, or the routing isn't one.
        BuildError: The examinations are of different patients, or two of them are the same one.
        SettingsError: A time, control id or letter that can't be one.
    """
    reviews = (review,) if isinstance(review, Review) else tuple(review) if isinstance(review, Sequence) else (review,)
    if not all(isinstance(one, Review) for one in reviews):
        raise TypeError("to_hl7v2 takes a Review, or several of one visit: see dermreport.review")
    must_be("to_hl7v2: routing", routing, Routing, type(None))
    if letter is not None and not (
        isinstance(letter, bytes) and letter.startswith(b"%PDF-") and len(letter) <= MAX_LETTER
    ):
        raise SettingsError(f"letter: it is a PDF, as bytes, of at most {MAX_LETTER} bytes")
    if control_id is not None and (not isinstance(control_id, str) or _is_name(control_id) is None):
        raise SettingsError(f"control_id: at most {_LONGEST_NAME} printable characters of ASCII")
    if sent is not None and (not isinstance(sent, str) or re.match(DAY_TIME_PATTERN, sent) is None):
        raise SettingsError("sent: a day, or a time with its offset, as 2026-03-04T10:15:00+01:00")
    of_one_patient(reviews)
    routing = Routing() if routing is None else routing
    ink = Ink(routing.characters)
    examinations = [one.examination for one in reviews]
    visit = examinations[0].encounter
    body = [pid(ink, examinations), pv1(ink, visit)]
    for position, one in enumerate(reviews):
        own = _frame(one)
        observed = Observations(ink, own).segments(letter if position == 0 else None)
        body += [*_report(ink, own, position + 1), *comments(ink, _beside_fields(own, visit)), *observed]
    content = [one for one in body if one]
    known = control_id if control_id is not None else _control_id(content)
    head = _head(ink, routing, sent or examinations[0].recorded or examinations[0].examined, known)
    text = "".join(f"{one}\r" for one in (head, *content))
    return Message(text, routing.characters, known, tuple(issues(ink, examinations)))


def _control_id(content: Iterable[str]) -> str:
    """Return an id made of the content: a repeated message is known as such, a changed one is another."""
    return hashlib.sha256("\r".join(content).encode()).hexdigest()[:_LONGEST_NAME]


def _head(ink: Ink, routing: Routing, sent: str, control_id: str) -> str:
    """Return MSH, whose first field is the separator itself."""
    fields = {
        1: ENCODING_CHARACTERS,
        2: named_authority(ink, routing.sending_application),
        3: named_authority(ink, routing.sending_facility),
        4: named_authority(ink, routing.receiving_application),
        5: named_authority(ink, routing.receiving_facility),
        6: ink.time(sent),
        8: components("ORU", "R01", "ORU_R01"),
        9: ink.st(control_id),
        10: routing.processing,
        11: VERSION,
        17: routing.characters.value,
    }
    return segment("MSH", fields)


_SHAPE: Final = Shape()


def _frame(review: Review) -> Frame:
    patient = patient_party(
        review.examination.patient, Identity(review.examination.identifier), Pointing.TO_HOST, _SHAPE
    )
    return frame(review, tell(review), _SHAPE, Pointing.TO_HOST, (patient, None))


#: Table 0123, by FHIR's status of the report: final, preliminary, a correction, no results available.
_STATUSES: Final = {"final": "F", "preliminary": "P", "amended": "C", "entered-in-error": "X"}
#: Table 0074: what a physician tells.
_SECTION: Final = "PHY"
#: Table 0119: the observations follow.
_OBSERVATIONS_FOLLOW: Final = "RE"


def _beside_fields(shared: Frame, visit: Reference | None) -> Iterable[str]:
    """Yield the notes of a report: which lesion it is about, and what no field holds."""
    yield lesion_sentence(shared.examination)
    yield from notes(shared.review, visit)


def _report(ink: Ink, shared: Frame, rank: int) -> list[str]:
    """Return the segments of the order and of the report."""
    examination = shared.examination
    placer, filler = reference_ei(ink, examination.order), ei(ink, examination.identifier)
    fields = {
        1: set_id(rank),
        2: placer,
        3: filler,
        4: ce(ink, shared.codes.concept(Document.DERMOSCOPY_REPORT)),
        7: ink.time(examination.examined),
        22: ink.time(examination.recorded) if examination.recorded is not None else "",
        24: _SECTION,
        25: _STATUSES[shared.status],
        32: interpreter(ink, examination.examiner),
    }
    return [segment("ORC", {1: _OBSERVATIONS_FOLLOW, 2: placer, 3: filler}), segment("OBR", fields)]
