"""What a letter lacks, or couldn't be written as asked: issues of the letter, none of which withholds it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from types import MappingProxyType

from dermreport.issues import Issue, IssueRule, Severity
from dermreport.letter_file import LetterKind
from dermreport.letters.pathologist import specimens
from dermreport.letters.patient_copy import contacts, heard_by, waits_for_others
from dermreport.letters.visit_parts import Sitting
from dermreport.sources import Source, seen
from dermreport.vocabulary.statuses import Status

_SOURCE = "common practice, no source"

NO_CONTACT = IssueRule(
    "letter-no-contact",
    "The patient’s copy says nowhere whom to call: record it in the safety-net advice, or set contact or the sender’s "
    "telephone in the letter’s settings.",
    _SOURCE,
    Severity.WARNING,
    "H11",
)
NOT_HEARD = IssueRule(
    "letter-no-heard-by",
    "Somebody else is to act, and the patient’s copy has no day by which to have heard: record it in the safety-net "
    "advice.",
    _SOURCE,
    Severity.WARNING,
    "H11",
)
NO_SPECIMEN = IssueRule(
    "letter-no-specimen",
    "No step of the plan takes a specimen from this lesion: record what was taken, or leave it out of the letter.",
    _SOURCE,
    Severity.WARNING,
    "H14",
)
NO_OWNER = IssueRule(
    "letter-no-result-owner",
    "The letter to the pathologist says nowhere who must get the result: record who looks for it.",
    _SOURCE,
    Severity.WARNING,
    "H14",
)
NO_SENDER = IssueRule(
    "letter-no-sender",
    "The letter says nowhere how to reach who writes it: set the sender with a telephone or e-mail in the letter’s "
    "settings.",
    seen(Source.REFERRAL_MINIMUM_VICTORIA, Source.HISTOLOGY_REQUEST_PLYMOUTH).text,
    Severity.WARNING,
    "H19",
)
NO_PATIENT_CONTACT = IssueRule(
    "letter-no-patient-contact",
    "The letter says nowhere how to reach the patient: record a telephone, an e-mail or how to reach the patient "
    "quickly.",
    seen(Source.REFERRAL_MINIMUM_VICTORIA).text,
    Severity.WARNING,
    "H19",
)


def _of_the_patients_copy(sitting: Sitting) -> Iterator[Issue]:
    if not any(contacts(sitting)):
        yield NO_CONTACT.at("$.plan.safety_net.contact")
    for case in sitting.cases:
        if waits_for_others(case) and heard_by(case) is None:
            yield NOT_HEARD.at("$.plan.safety_net.heard_by")


def _of_the_sender(sitting: Sitting) -> Iterator[Issue]:
    settings = sitting.first.settings
    sender = settings.sender
    # A host that writes its own head names itself there.
    if not (settings.header or settings.page) and (sender is None or not (sender.phone or sender.email)):
        yield NO_SENDER.at("$")


def _of_the_pathologists(sitting: Sitting) -> Iterator[Issue]:
    yield from _of_the_sender(sitting)
    for case in sitting.cases:
        if case.examination.status is Status.ENTERED_IN_ERROR:
            continue
        taken = specimens(case)
        if not taken:
            yield NO_SPECIMEN.at("$.plan.actions")
        elif all(one.result_owner is None for one in taken):
            yield NO_OWNER.at("$.plan.actions")


def _of_the_referral(sitting: Sitting) -> Iterator[Issue]:
    """Yield how nobody can be reached: what else a referral lacks the review says, and the letter repeats it."""
    yield from _of_the_sender(sitting)
    details, background = sitting.examination.patient.details, sitting.examination.background
    reached = (details is not None and (details.phone or details.email)) or (
        background is not None and background.reach_quickly
    )
    if not reached:
        yield NO_PATIENT_CONTACT.at("$.patient.details")


#: What each kind of letter may lack.
LACKS: Mapping[LetterKind, Callable[[Sitting], Iterator[Issue]]] = MappingProxyType(
    {
        LetterKind.REFERRAL: _of_the_referral,
        LetterKind.PATIENT: _of_the_patients_copy,
        LetterKind.PATHOLOGIST: _of_the_pathologists,
    }
)

#: All rules of this room that the composition of a letter can break.
LETTER_RULES = (NO_CONTACT, NOT_HEARD, NO_SPECIMEN, NO_OWNER, NO_SENDER, NO_PATIENT_CONTACT)
