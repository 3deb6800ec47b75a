"""Rules on whose record it is, who made it, and what it amends."""

from __future__ import annotations

from dermreport.expressions.nodes import AtLeast, Fact, Given, Not, every, some
from dermreport.issues import Severity
from dermreport.rules.conditions import recorded_as
from dermreport.rules.rule import Group, Rule
from dermreport.sources import COMMON_PRACTICE
from dermreport.vocabulary.consistencies import Consistency
from dermreport.vocabulary.modes import Mode
from dermreport.vocabulary.statuses import Status

_FELT = some(
    recorded_as("lesion.palpation.consistency", Consistency.SOFT, Consistency.FIRM, Consistency.HARD),
    *(Given(f"lesion.palpation.{item}") for item in ("mobile", "tender", "dimple", "blanches")),
)


def _none_given(*paths: str) -> tuple[Not, ...]:
    return tuple(Not(Given(path)) for path in paths)


IDENTITY_RULES: tuple[Rule, ...] = (
    Rule(
        id="identity-patient-missing",
        group=Group.IDENTITY,
        severity=Severity.ERROR,
        when=every(
            *_none_given(
                "patient.reference",
                "patient.identifiers",
                "patient.details.family",
                "patient.details.given",
                "patient.details.birth_date",
            )
        ),
        at="patient",
        message="Say whose skin this is: a reference or an identifier of your system, or a name.",
        basis=COMMON_PRACTICE,
        hazard="H01",
    ),
    Rule(
        id="identity-amends-missing",
        group=Group.IDENTITY,
        severity=Severity.ERROR,
        when=every(
            recorded_as("status", Status.AMENDED),
            Not(AtLeast("revision", 2)),
            Not(Given("earlier")),
        ),
        at="revision",
        message="An amended record says what it amends: raise the revision, or name the earlier record.",
        basis=COMMON_PRACTICE,
        hazard="H18",
    ),
    Rule(
        id="identity-examiner-missing",
        group=Group.IDENTITY,
        severity=Severity.WARNING,
        when=every(
            recorded_as("status", Status.FINAL, Status.AMENDED),
            *_none_given(
                "examiner.reference",
                "examiner.identifiers",
                "examiner.details.family",
                "examiner.details.given",
                "examiner.details.role",
            ),
        ),
        at="examiner",
        message="Who examined? A reader can’t ask back without a name, a role or a reference.",
        basis=COMMON_PRACTICE,
        hazard="H19",
    ),
    Rule(
        id="identity-images-only-palpation",
        group=Group.IDENTITY,
        severity=Severity.WARNING,
        when=every(recorded_as("mode", Mode.IMAGES_ONLY), _FELT),
        at="lesion.palpation",
        message="Pictures were examined, not the patient: say in words who felt the lesion, or take the entry out.",
        basis=COMMON_PRACTICE,
        hazard="H10",
    ),
    Rule(
        id="identity-examination-elsewhere",
        group=Group.IDENTITY,
        severity=Severity.WARNING,
        when=Fact("examination-numbered-elsewhere"),
        at="identifier",
        message="This number of the examination isn’t of your system: under another one it is another record. Correct "
        "the system, unless the record came from elsewhere.",
        basis=COMMON_PRACTICE,
        hazard="H18",
    ),
    Rule(
        id="identity-lesion-elsewhere",
        group=Group.IDENTITY,
        severity=Severity.WARNING,
        when=Fact("lesion-numbered-elsewhere"),
        at="lesion.identifier",
        message="This number of the lesion isn’t of your system: under another one it is another lesion. Correct the "
        "system, unless the record came from elsewhere.",
        basis=COMMON_PRACTICE,
        hazard="H18",
    ),
    Rule(
        id="identity-patient-elsewhere",
        group=Group.IDENTITY,
        severity=Severity.WARNING,
        when=Fact("patient-numbered-elsewhere"),
        at="patient.identifiers",
        message="None of the patient’s numbers is of your system: check that it is this patient, and add your number.",
        basis=COMMON_PRACTICE,
        hazard="H01",
    ),
)
