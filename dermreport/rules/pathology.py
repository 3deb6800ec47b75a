"""Rules on a pathologist's result: it is waited for, it is read beside the picture, and somebody acts on it."""

from __future__ import annotations

from dermreport.expressions.nodes import Exists, Fact, Given, Not, every, some
from dermreport.issues import Severity
from dermreport.rules.conditions import (
    ACTIONS,
    ADULT,
    CANCER_NAMED,
    CANCER_RESULT,
    HISTOLOGY_KNOWN,
    HISTOLOGY_RESULT,
    IMPRESSIONS,
    MELANOMA_POSSIBLE,
    OUTCOMES,
    SUSPICIOUS,
    UNKNOWN_RESULT,
    planned_action,
    recorded_as,
)
from dermreport.rules.rule import Group, Rule
from dermreport.sources import COMMON_PRACTICE, Source, seen
from dermreport.vocabulary.action_kinds import ActionKind
from dermreport.vocabulary.agreements import Agreement
from dermreport.vocabulary.certainties import Certainty
from dermreport.vocabulary.concerns import Concern
from dermreport.vocabulary.elevations import Elevation
from dermreport.vocabulary.histology_results import HistologyResult
from dermreport.vocabulary.implied_concerns import ImpliedConcern
from dermreport.vocabulary.outcome_kinds import OutcomeKind
from dermreport.vocabulary.plan_actions import PlanAction
from dermreport.vocabulary.reading_styles import ReadingStyle
from dermreport.vocabulary.replies import Reply
from dermreport.vocabulary.specimen_extents import SpecimenExtent

_BENIGN_RESULT = every(HISTOLOGY_RESULT, recorded_as("@.result.concern", ImpliedConcern.BENIGN))
#: Cancer was the clinician's likeliest name, or the concern and several scores agreed on it.
_HIGHLY_SUSPICIOUS = some(
    every(
        CANCER_NAMED,
        Exists(
            IMPRESSIONS,
            every(
                recorded_as("@.certainty", Certainty.PROBABLE, Certainty.CONFIDENT),
                recorded_as("@.impression.concern", ImpliedConcern.MALIGNANT, ImpliedConcern.PREMALIGNANT_OR_IN_SITU),
            ),
        ),
    ),
    every(recorded_as("assessment.concern", Concern.SUSPICIOUS), Fact("several-scores-reached")),
)

_MELANOMA_RESULT = every(
    HISTOLOGY_RESULT,
    recorded_as(
        "@.result",
        HistologyResult.MELANOMA,
        HistologyResult.MELANOMA_IN_SITU,
        HistologyResult.LENTIGO_MALIGNA,
        HistologyResult.MELANOMA_METASTASIS,
    ),
)
_MELANOMA_AMONG_THE_NAMES = Exists(
    IMPRESSIONS,
    recorded_as("@.impression.melanoma_possible", True),  # noqa: FBT003 - the truth value is what the table holds
)

_ACTED_ON = Exists(
    ACTIONS,
    every(
        some(
            recorded_as("@.action.kind", ActionKind.REFERRAL, ActionKind.OPINION, ActionKind.TISSUE_WHOLE),
            recorded_as("@.action", PlanAction.INFORM_PATHOLOGY_RESULT),
        ),
        Given("@.responsible"),
    ),
)

PATHOLOGY_RULES: tuple[Rule, ...] = (
    Rule(
        id="pathology-malignant-without-plan",
        group=Group.PATHOLOGY,
        severity=Severity.ERROR,
        each=OUTCOMES,
        when=every(CANCER_RESULT, Not(every(_ACTED_ON, recorded_as("@.patient_informed", Reply.YES)))),
        at="result",
        message="This result needs an owner today: who acts on it, and who tells the patient?",
        basis=COMMON_PRACTICE,
        hazard="H14",
    ),
    Rule(
        id="pathology-discordant",
        group=Group.PATHOLOGY,
        severity=Severity.WARNING,
        each=OUTCOMES,
        when=every(
            some(
                every(_BENIGN_RESULT, _HIGHLY_SUSPICIOUS),
                # Compared with what was thought, whatever the record says of agreement.
                every(CANCER_RESULT, Not(SUSPICIOUS)),
                every(_MELANOMA_RESULT, Given(IMPRESSIONS), Not(_MELANOMA_AMONG_THE_NAMES)),
                every(recorded_as("@.kind", OutcomeKind.HISTOLOGY), recorded_as("@.agreement", Agreement.DIFFERS)),
            ),
            Not(planned_action(PlanAction.DISCUSS_MULTIDISCIPLINARY)),
        ),
        at="result",
        message="Result and picture don’t match: speak with the pathologist, ask for more sections or a second look.",
        basis=COMMON_PRACTICE,
        hazard="H14",
    ),
    Rule(
        id="pathology-partial",
        group=Group.PATHOLOGY,
        severity=Severity.WARNING,
        each=OUTCOMES,
        when=every(
            some(_BENIGN_RESULT, every(HISTOLOGY_RESULT, recorded_as("@.result", HistologyResult.NO_TUMOUR_FOUND))),
            recorded_as("@.specimen", SpecimenExtent.PART),
            some(SUSPICIOUS, MELANOMA_POSSIBLE),
        ),
        at="specimen",
        message="Only a part was examined: the rest of the spot isn’t cleared.",
        basis=seen(Source.BIOPSY_TECHNIQUE_REVIEWS),
        hazard="H14",
    ),
    Rule(
        id="pathology-extent-not-told",
        group=Group.PATHOLOGY,
        severity=Severity.WARNING,
        each=OUTCOMES,
        when=every(_BENIGN_RESULT, Not(recorded_as("@.specimen", SpecimenExtent.WHOLE, SpecimenExtent.PART))),
        at="specimen",
        message="Was the whole lesion examined? Until that is recorded this result clears nothing.",
        basis=COMMON_PRACTICE,
        hazard="H14",
    ),
    Rule(
        id="pathology-insufficient",
        group=Group.PATHOLOGY,
        severity=Severity.WARNING,
        each=OUTCOMES,
        when=every(HISTOLOGY_RESULT, recorded_as("@.result", HistologyResult.INSUFFICIENT)),
        at="result",
        message="Nothing is cleared by this result: arrange another specimen or an opinion.",
        basis=COMMON_PRACTICE,
        hazard="H14",
    ),
    Rule(
        id="pathology-unknown-result",
        group=Group.PATHOLOGY,
        severity=Severity.WARNING,
        each=OUTCOMES,
        when=every(recorded_as("@.kind", OutcomeKind.HISTOLOGY), UNKNOWN_RESULT),
        at="result",
        message="This result isn’t in the vocabulary, nothing acts on it: give the list’s term, and words in `text`.",
        basis=COMMON_PRACTICE,
        hazard="H14",
    ),
    Rule(
        id="pathology-result-overdue",
        group=Group.PATHOLOGY,
        severity=Severity.WARNING,
        each=ACTIONS,
        when=every(
            recorded_as("@.action.kind", ActionKind.TISSUE_WHOLE, ActionKind.TISSUE_PART),
            Fact("result-overdue"),
            Not(HISTOLOGY_KNOWN),
        ),
        at="result_by",
        message="The result was due and isn’t recorded: look for it.",
        basis=COMMON_PRACTICE,
        hazard="H14",
    ),
    Rule(
        id="pathology-facial-naevus",
        group=Group.PATHOLOGY,
        severity=Severity.INFORMATION,
        each=OUTCOMES,
        when=every(
            HISTOLOGY_RESULT,
            recorded_as("@.result", HistologyResult.NAEVUS_JUNCTIONAL, HistologyResult.NAEVUS_DYSPLASTIC),
            recorded_as("lesion.site.reading_style", ReadingStyle.FACE_SCALP),
            recorded_as("lesion.elevation", Elevation.FLAT),
            ADULT,
        ),
        at="result",
        message="A flat spot of an adult’s face: ask again whether it is lentigo maligna.",
        basis=seen(Source.LENTIGO_MALIGNA_REVIEW_2016),
        hazard="H14",
    ),
)
