"""Conditions that several rules share, each said once.

``recorded_as`` is how a rule asks what was *recorded*: an answer that is missing, or a code that isn't ours, is not
that answer. So its negation holds for a gap, which is what a rule about gaps needs.
"""

from __future__ import annotations

from dermreport.expressions.nodes import (
    AtLeast,
    Exists,
    Expression,
    Fact,
    Given,
    Holds,
    Not,
    Present,
    every,
    is_one_of,
    some,
)
from dermreport.vocabulary.action_kinds import ActionKind
from dermreport.vocabulary.agreements import Agreement
from dermreport.vocabulary.certainties import Certainty
from dermreport.vocabulary.changes_seen import ChangeSeen
from dermreport.vocabulary.concerns import Concern
from dermreport.vocabulary.consistencies import Consistency
from dermreport.vocabulary.elevations import Elevation
from dermreport.vocabulary.histology_results import HistologyResult
from dermreport.vocabulary.implied_concerns import ImpliedConcern
from dermreport.vocabulary.impression_groups import ImpressionGroup
from dermreport.vocabulary.impressions import Impression
from dermreport.vocabulary.outcome_kinds import OutcomeKind
from dermreport.vocabulary.pigmentations import Pigmentation
from dermreport.vocabulary.plan_actions import PlanAction
from dermreport.vocabulary.presences import Presence
from dermreport.vocabulary.specimen_extents import SpecimenExtent
from dermreport.vocabulary.step_ones import StepOne
from dermreport.vocabulary.structures import Structure
from dermreport.vocabulary.term import Term
from dermreport.vocabulary.urgencies import Urgency

ACTIONS = "plan.actions"
IMPRESSIONS = "assessment.impressions"
OUTCOMES = "outcomes"


def recorded_as(path: str, *values: Term | bool) -> Expression:
    """Return the condition that one of these was recorded at a path: True or False, never open."""
    return every(Given(path), is_one_of(path, *values))


def of_another_list(path: str, attribute: str) -> Expression:
    """Return the condition that a code at a path isn't ours; ``attribute`` is one that each of our terms has."""
    return every(Given(path), Not(Given(f"{path}.{attribute}")))


#: A name, a step, a result that nobody here knows the meaning of.
UNKNOWN_IMPRESSION: Expression = of_another_list("@.impression", "concern")
UNKNOWN_ACTION: Expression = of_another_list("@.action", "kind")
UNKNOWN_RESULT: Expression = of_another_list("@.result", "concern")


def planned(*kinds: ActionKind) -> Expression:
    """Return the condition that an action of one of these kinds is planned."""
    return Exists(ACTIONS, recorded_as("@.action.kind", *kinds))


def planned_action(*actions: PlanAction) -> Expression:
    """Return the condition that one of these actions is planned."""
    return Exists(ACTIONS, recorded_as("@.action", *actions))


def unless_departed(rule: str, condition: Expression) -> Expression:
    """Return a condition that a recorded departure silences when it names the rule."""
    return every(condition, Not(Fact(f"departs-from.{rule}")))


#: By age or date of birth; without either a patient counts as an adult.
ADULT: Expression = Fact("adult-or-age-not-known")
CHILD: Expression = Not(ADULT)

RAISED: Expression = recorded_as(
    "lesion.elevation", Elevation.PALPABLE, Elevation.RAISED, Elevation.NODULAR, Elevation.PEDUNCULATED
)
#: Seen above the skin, and not only felt.
STANDS_UP: Expression = recorded_as("lesion.elevation", Elevation.RAISED, Elevation.NODULAR, Elevation.PEDUNCULATED)
FIRM: Expression = recorded_as("lesion.palpation.consistency", Consistency.FIRM, Consistency.HARD)

CONCERN_BENIGN: Expression = recorded_as("assessment.concern", Concern.BENIGN)

#: A cancer, or a melanoma that can't be excluded, is among the names given, however sure.
CANCER_NAMED: Expression = Exists(
    IMPRESSIONS,
    some(
        recorded_as("@.impression.concern", ImpliedConcern.MALIGNANT),
        recorded_as(
            "@.impression",
            Impression.MELANOMA_IN_SITU_SUSPECTED,
            Impression.LENTIGO_MALIGNA_SUSPECTED,
            Impression.SCC_IN_SITU_SUSPECTED,
            Impression.MELANOMA_CANNOT_BE_EXCLUDED,
        ),
    ),
)

#: The clinician suspects cancer, by concern or by name.
SUSPICIOUS: Expression = some(recorded_as("assessment.concern", Concern.SUSPICIOUS), CANCER_NAMED)

#: Not every statement of the assessment says harmless.
DOUBTFUL: Expression = some(
    Not(CONCERN_BENIGN),
    Exists(IMPRESSIONS, Not(recorded_as("@.impression.concern", ImpliedConcern.BENIGN))),
)

#: A harmless lesion is named with confidence, and the name is that of one recognisable entity.
SURE_HARMLESS_NAME: Expression = every(
    CONCERN_BENIGN,
    Exists(
        IMPRESSIONS,
        every(
            recorded_as("@.certainty", Certainty.CONFIDENT),
            recorded_as("@.impression.specific", True),  # noqa: FBT003 - the truth value is what the table holds
            recorded_as("@.impression.concern", ImpliedConcern.BENIGN),
        ),
    ),
)

MELANOCYTIC_OR_UNCERTAIN: Expression = some(
    recorded_as("description.step_one", StepOne.MELANOCYTIC, StepOne.UNCERTAIN),
    Exists(IMPRESSIONS, recorded_as("@.impression.group", ImpressionGroup.MELANOCYTIC)),
)

#: Every name given is that of something else than a melanocytic lesion, and none leaves melanoma open.
OTHERWISE_NAMED: Expression = every(
    Given(IMPRESSIONS),
    Not(Exists(IMPRESSIONS, Not(recorded_as("@.impression.melanoma_possible", False)))),  # noqa: FBT003 - as above
    Not(MELANOCYTIC_OR_UNCERTAIN),
)

#: The exemption of a published triage: an unequivocal harmless lesion that isn't melanocytic.
UNEQUIVOCALLY_OTHER: Expression = every(
    recorded_as("assessment.unequivocal", True),  # noqa: FBT003 - as above
    CONCERN_BENIGN,
    OTHERWISE_NAMED,
)

#: A score is at or above its threshold, and the lesion isn't exempt.
SCORE_CALLS: Expression = every(Fact("score-reached"), Not(UNEQUIVOCALLY_OTHER))

#: A score may still reach its threshold, and the clinician relied on it or couldn't decide a finding.
SCORE_IN_DOUBT: Expression = some(
    every(Fact("used-score-unsettled"), Not(UNEQUIVOCALLY_OTHER)),
    every(Fact("score-unsettled"), Exists("findings", recorded_as("@.presence", Presence.UNCERTAIN))),
)

#: Melanoma can't be left out of account: destroying the lesion or sampling a part of it needs a reason.
MELANOMA_POSSIBLE: Expression = some(
    Exists(IMPRESSIONS, recorded_as("@.impression.melanoma_possible", True)),  # noqa: FBT003 - as above
    SCORE_CALLS,
    every(some(Not(CONCERN_BENIGN), SCORE_IN_DOUBT), Not(OTHERWISE_NAMED)),
)

#: A plan was written, and nothing in it does anything for the lesion.
NOTHING_ARRANGED: Expression = every(
    Given(ACTIONS),
    Not(
        Exists(
            ACTIONS,
            some(
                Not(recorded_as("@.action.kind", ActionKind.REASSURANCE, ActionKind.ADVICE, ActionKind.ADMINISTRATION)),
                recorded_as("@.action", PlanAction.DECLINED_BY_PATIENT),
            ),
        )
    ),
)

#: Somebody else judges the lesion, or a pathologist gets tissue.
JUDGED_ELSEWHERE: Expression = planned(
    ActionKind.REFERRAL, ActionKind.OPINION, ActionKind.TISSUE_WHOLE, ActionKind.TISSUE_PART
)

TISSUE_PLANNED: Expression = planned(ActionKind.TISSUE_WHOLE, ActionKind.TISSUE_PART)


def _urgent(step: Expression) -> Expression:
    """Return the condition that a planned step of this kind is urgent or sooner."""
    return Exists(ACTIONS, every(step, Given("@.urgency"), AtLeast("@.urgency.rank", Urgency.URGENT.rank)))


#: A referral or the taking of tissue is urgent or sooner.
URGENT_STEP: Expression = _urgent(
    recorded_as("@.action.kind", ActionKind.REFERRAL, ActionKind.TISSUE_WHOLE, ActionKind.TISSUE_PART)
)

#: Of a planned step: nobody here knows what it is, for it stands in words or has a code that isn't ours.
_UNNAMED_STEP: Expression = some(UNKNOWN_ACTION, recorded_as("@.action", PlanAction.OTHER_STEP))

#: Such a step is urgent or sooner. It answers nothing, and calls for action all the same.
URGENT_UNNAMED_STEP: Expression = _urgent(_UNNAMED_STEP)

#: What was seen, named or planned has a code that isn't ours, or a step stands in words: nobody here knows its meaning.
NOT_UNDERSTOOD: Expression = some(
    Exists(
        "findings",
        every(recorded_as("@.presence", Presence.PRESENT, Presence.UNCERTAIN), of_another_list("@.structure", "kind")),
    ),
    of_another_list("description.pattern", "kind"),
    Exists(IMPRESSIONS, UNKNOWN_IMPRESSION),
    Exists(ACTIONS, _UNNAMED_STEP),
)

HISTOLOGY_RESULT: Expression = every(recorded_as("@.kind", OutcomeKind.HISTOLOGY), Given("@.result"))

#: A pathologist has answered.
HISTOLOGY_KNOWN: Expression = Exists(OUTCOMES, HISTOLOGY_RESULT)

#: Of one outcome: a cancer by its pathologist.
CANCER_RESULT: Expression = every(
    HISTOLOGY_RESULT,
    some(
        recorded_as("@.result.concern", ImpliedConcern.MALIGNANT),
        recorded_as(
            "@.result",
            HistologyResult.MELANOMA_IN_SITU,
            HistologyResult.LENTIGO_MALIGNA,
            HistologyResult.SQUAMOUS_CELL_CARCINOMA_IN_SITU,
        ),
    ),
)

#: A pathologist found a cancer.
CANCER_FOUND: Expression = Exists(OUTCOMES, CANCER_RESULT)

#: Something that became known later doesn't clear the lesion: another result, a dissent, a change, or words alone.
NOT_CLEARED_LATER: Expression = Exists(
    OUTCOMES,
    some(
        every(
            recorded_as("@.kind", OutcomeKind.HISTOLOGY), Not(recorded_as("@.result.concern", ImpliedConcern.BENIGN))
        ),
        every(recorded_as("@.kind", OutcomeKind.OPINION), Not(recorded_as("@.agreement", Agreement.AGREES))),
        every(recorded_as("@.kind", OutcomeKind.MONITORING), Not(recorded_as("@.change", ChangeSeen.UNCHANGED))),
    ),
)

#: A pathologist found a harmless lesion, and had the whole of it; an extent that nobody stated clears nothing.
CLEARED_BY_HISTOLOGY: Expression = Exists(
    OUTCOMES,
    every(
        HISTOLOGY_RESULT,
        recorded_as("@.result.concern", ImpliedConcern.BENIGN),
        recorded_as("@.specimen", SpecimenExtent.WHOLE),
    ),
)

_SPITZ_LIKE = some(
    Exists("assessment.impressions", recorded_as("@.impression", Impression.NAEVUS_SPITZ_REED)),
    Present(Structure.PATTERN_STARBURST),
    recorded_as("description.pattern", Structure.PATTERN_STARBURST),
)
#: What was never to be watched in the studies: regression, no pigment, an open surface, a Spitz-like adult lesion.
UNSUITED_FOR_MONITORING: Expression = some(
    Present(Structure.REGRESSION_STRUCTURES),
    recorded_as("lesion.pigmentation", Pigmentation.NONE),
    Holds("lesion.ulcerated"),
    Present(Structure.ULCERATION),
    every(ADULT, _SPITZ_LIKE),
)

#: Suspected lentigo maligna, or a flat facial lesion that is watched as one.
SLOW_ON_THE_FACE: Expression = some(
    Exists("assessment.impressions", recorded_as("@.impression", Impression.LENTIGO_MALIGNA_SUSPECTED)),
    planned_action(PlanAction.MONITOR_SHORT_FACE),
)
