"""Rules on the plan: what is arranged, by whom, by when, and what isn't.

A rule that judges a choice is silenced by a recorded departure that names it: the reason then goes with the report.
No rule here makes a plan less urgent, and none holds a request back.
"""

from __future__ import annotations

from dermreport.expressions.nodes import AtLeast, Exists, Expression, Fact, Given, Not, every, some
from dermreport.issues import Severity
from dermreport.rules.conditions import (
    ACTIONS,
    ADULT,
    CLEARED_BY_HISTOLOGY,
    CONCERN_BENIGN,
    DOUBTFUL,
    FIRM,
    HISTOLOGY_KNOWN,
    IMPRESSIONS,
    JUDGED_ELSEWHERE,
    MELANOCYTIC_OR_UNCERTAIN,
    MELANOMA_POSSIBLE,
    NOTHING_ARRANGED,
    OUTCOMES,
    RAISED,
    SCORE_CALLS,
    SCORE_IN_DOUBT,
    SLOW_ON_THE_FACE,
    SUSPICIOUS,
    TISSUE_PLANNED,
    UNKNOWN_ACTION,
    UNKNOWN_IMPRESSION,
    UNSUITED_FOR_MONITORING,
    URGENT_STEP,
    planned,
    planned_action,
    recorded_as,
    unless_departed,
)
from dermreport.rules.rule import Group, Rule
from dermreport.rules.windows import FACE, SHORT
from dermreport.sources import COMMON_PRACTICE, Source, seen
from dermreport.vocabulary.action_kinds import ActionKind
from dermreport.vocabulary.changes_seen import ChangeSeen
from dermreport.vocabulary.comparisons import Comparison
from dermreport.vocabulary.concerns import Concern
from dermreport.vocabulary.implied_concerns import ImpliedConcern
from dermreport.vocabulary.impression_groups import ImpressionGroup
from dermreport.vocabulary.impressions import Impression
from dermreport.vocabulary.outcome_kinds import OutcomeKind
from dermreport.vocabulary.plan_actions import PlanAction
from dermreport.vocabulary.replies import Reply
from dermreport.vocabulary.urgencies import Urgency

_MONITORING = recorded_as("@.action.kind", ActionKind.MONITORING)
_REFERRAL = recorded_as("@.action.kind", ActionKind.REFERRAL)
_DESTRUCTION_WITHOUT_HISTOLOGY = every(
    recorded_as("@.action.kind", ActionKind.DESTRUCTION), Not(recorded_as("@.histology", Reply.YES))
)
_TISSUE = recorded_as("@.action.kind", ActionKind.TISSUE_WHOLE, ActionKind.TISSUE_PART)
_DECLINED = planned_action(PlanAction.DECLINED_BY_PATIENT)

#: A score above its threshold still calls for a step: no departure names its method.
_SCORE_UNANSWERED = every(SCORE_CALLS, Not(Fact("reached-scores-departed-from")))

_CALLED_UNCHANGED = every(recorded_as("@.kind", OutcomeKind.MONITORING), recorded_as("@.change", ChangeSeen.UNCHANGED))


def _sooner_than(days: int, by_the_calendar: str) -> Expression:
    """Return the condition that the outcome at hand lies so few days after its baseline: stated, or by the dates."""
    return some(
        every(Given("@.days_since_baseline"), Not(AtLeast("@.days_since_baseline", days))),
        every(Not(Given("@.days_since_baseline")), Fact(by_the_calendar)),
    )


#: Melanoma, or another cancer that spreads early, is among the names given.
_FAST_CANCER_NAMED = Exists(
    "assessment.impressions",
    some(
        every(
            recorded_as("@.impression.group", ImpressionGroup.MELANOCYTIC),
            recorded_as("@.impression.concern", ImpliedConcern.MALIGNANT),
        ),
        recorded_as("@.impression", Impression.MERKEL_CELL_CARCINOMA_SUSPECTED, Impression.SCC_SUSPECTED),
    ),
)
#: The pathway for suspected cancer is urgent by itself, unless a slower word is given.
_SUSPECTED_CANCER_PATHWAY = Exists(
    ACTIONS, every(recorded_as("@.action", PlanAction.REFER_SUSPECTED_CANCER), Not(Given("@.urgency")))
)
_AWAITED_HISTOLOGY = every(TISSUE_PLANNED, Not(HISTOLOGY_KNOWN))
_SURGERY = some(
    TISSUE_PLANNED, planned_action(PlanAction.CURETTAGE_WITHOUT_HISTOLOGY, PlanAction.CAUTERY, PlanAction.LASER)
)


PLAN_RULES: tuple[Rule, ...] = (
    Rule(
        id="plan-unknown-impression",
        group=Group.PLAN,
        severity=Severity.WARNING,
        each=IMPRESSIONS,
        when=UNKNOWN_IMPRESSION,
        at="impression",
        message="This name isn’t in the vocabulary, nothing weighs it: give the list’s closest, and words in `note`.",
        basis=COMMON_PRACTICE,
        hazard="H17",
    ),
    Rule(
        id="plan-unknown-action",
        group=Group.PLAN,
        severity=Severity.WARNING,
        each=ACTIONS,
        when=UNKNOWN_ACTION,
        at="action",
        message="This step isn’t in the vocabulary: it goes out with its urgency, and nothing here checks it.",
        basis=COMMON_PRACTICE,
        hazard="H17",
    ),
    Rule(
        id="plan-suspicious-reassured",
        group=Group.PLAN,
        severity=Severity.ERROR,
        when=unless_departed(
            "plan-suspicious-reassured",
            every(NOTHING_ARRANGED, some(SUSPICIOUS, _SCORE_UNANSWERED), Not(CLEARED_BY_HISTOLOGY)),
        ),
        at="plan.actions",
        message="Suspicious by judgement or by a score, and nothing is arranged: refer or remove it, or say why not.",
        basis=COMMON_PRACTICE,
        hazard="H06",
    ),
    Rule(
        id="plan-monitor-raised",
        group=Group.PLAN,
        severity=Severity.ERROR,
        each=ACTIONS,
        when=unless_departed("plan-monitor-raised", every(_MONITORING, some(RAISED, FIRM), DOUBTFUL)),
        at="action",
        message="A raised or firm spot that is doubtful is never watched: refer or remove it, or record why not.",
        basis=seen(
            Source.MONITORING_CONTRAINDICATIONS,
            note="Seen: nodular. Palpable and firm are common practice, no source.",
        ),
        hazard="H06",
    ),
    Rule(
        id="plan-monitor-without-baseline",
        group=Group.PLAN,
        severity=Severity.ERROR,
        each=ACTIONS,
        when=every(_MONITORING, Not(Fact("baseline-image"))),
        at="action",
        message="Without a first dermatoscopic picture in a known light there is nothing to compare: take one.",
        basis=COMMON_PRACTICE,
        hazard="H12",
    ),
    Rule(
        id="plan-destroy-without-histology",
        group=Group.PLAN,
        severity=Severity.ERROR,
        each=ACTIONS,
        when=unless_departed(
            "plan-destroy-without-histology",
            every(
                _DESTRUCTION_WITHOUT_HISTOLOGY,
                some(MELANOMA_POSSIBLE, recorded_as("assessment.concern", Concern.SUSPICIOUS)),
                Not(HISTOLOGY_KNOWN),
            ),
        ),
        at="action",
        message="This destroys what a pathologist would need. Get histology first, or record why not.",
        basis=COMMON_PRACTICE,
        hazard="H13",
    ),
    Rule(
        id="plan-specimen-without-histology",
        group=Group.PLAN,
        severity=Severity.ERROR,
        each=ACTIONS,
        when=unless_departed("plan-specimen-without-histology", every(_TISSUE, recorded_as("@.histology", Reply.NO))),
        at="histology",
        message="Send everything that is removed to a pathologist.",
        basis=COMMON_PRACTICE,
        hazard="H13",
    ),
    Rule(
        id="plan-referral-without-urgency",
        group=Group.PLAN,
        severity=Severity.ERROR,
        each=ACTIONS,
        when=every(_REFERRAL, some(Not(Given("@.urgency")), recorded_as("@.urgency", Urgency.NONE))),
        at="urgency",
        message="How urgent is the referral?",
        basis=COMMON_PRACTICE,
        hazard="H11",
    ),
    Rule(
        id="plan-conflict",
        group=Group.PLAN,
        severity=Severity.ERROR,
        when=every(
            planned_action(PlanAction.DISCHARGE_TO_USUAL_CARE),
            some(planned(ActionKind.REFERRAL, ActionKind.OPINION, ActionKind.MONITORING), _AWAITED_HISTOLOGY),
        ),
        at="plan.actions",
        message="The episode can’t end while a referral, an opinion, monitoring or a result is pending.",
        basis=COMMON_PRACTICE,
        hazard="H11",
    ),
    Rule(
        id="plan-missing",
        group=Group.PLAN,
        severity=Severity.WARNING,
        when=Not(Given(ACTIONS)),
        at="plan",
        message="What happens next? No planned step is held here.",
        basis=COMMON_PRACTICE,
        hazard="H11",
    ),
    Rule(
        id="plan-unsettled-reassured",
        group=Group.PLAN,
        severity=Severity.WARNING,
        when=unless_departed(
            "plan-unsettled-reassured",
            every(
                NOTHING_ARRANGED,
                some(recorded_as("assessment.concern", Concern.UNCERTAIN), SCORE_IN_DOUBT),
                Not(SUSPICIOUS),
                Not(SCORE_CALLS),
                Not(CLEARED_BY_HISTOLOGY),
            ),
        ),
        at="plan.actions",
        message="It isn’t settled, and nothing is arranged: look again at what is open, ask, or refer.",
        basis=COMMON_PRACTICE,
        hazard="H06",
    ),
    Rule(
        id="plan-departure-without-reason",
        group=Group.PLAN,
        severity=Severity.WARNING,
        when=unless_departed(
            "plan-departure-without-reason",
            every(
                Given(ACTIONS),
                some(SUSPICIOUS, _SCORE_UNANSWERED),
                Not(NOTHING_ARRANGED),
                Not(JUDGED_ELSEWHERE),
                Not(planned(ActionKind.DESTRUCTION)),
                Not(_DECLINED),
                Not(Exists(ACTIONS, Not(Given("@.action.kind")))),
                Not(CLEARED_BY_HISTOLOGY),
            ),
        ),
        at="plan.departures",
        message="Suspicious by judgement or by a score, and neither referred nor removed: say why, and the reason goes "
        "with the report.",
        basis=COMMON_PRACTICE,
        hazard="H06",
    ),
    Rule(
        id="plan-melanoma-not-urgent",
        group=Group.PLAN,
        severity=Severity.WARNING,
        when=unless_departed(
            "plan-melanoma-not-urgent",
            every(
                recorded_as("assessment.concern", Concern.SUSPICIOUS),
                _FAST_CANCER_NAMED,
                JUDGED_ELSEWHERE,
                Not(URGENT_STEP),
                Not(_SUSPECTED_CANCER_PATHWAY),
                # A result on a part doesn't make it slower.
                Not(CLEARED_BY_HISTOLOGY),
            ),
        ),
        at="plan.actions",
        message="A fast cancer is suspected and no step is urgent: refer or remove it urgently, or record why not.",
        basis=COMMON_PRACTICE,
        hazard="H11",
    ),
    Rule(
        id="plan-departure-unknown",
        group=Group.PLAN,
        severity=Severity.WARNING,
        each="plan.departures",
        when=Fact("departure-names-nothing"),
        at="departs_from",
        message="This names no rule, no method and no step of the pathway: name the one from which the plan departs.",
        basis=COMMON_PRACTICE,
        hazard="H06",
    ),
    Rule(
        id="plan-departure-reason-empty",
        group=Group.PLAN,
        severity=Severity.WARNING,
        each="plan.departures",
        when=Fact("departure-without-words"),
        at="reason",
        message="No reason can be read here, so this departure silences nothing: give it in words.",
        basis=COMMON_PRACTICE,
        hazard="H06",
    ),
    Rule(
        id="plan-departure-recorded",
        group=Group.PLAN,
        severity=Severity.INFORMATION,
        when=Exists("plan.departures", Not(Fact("departure-without-words"))),
        at="plan.departures",
        message="The plan departs from a rule, a score or a pathway, with a reason. It goes with the report.",
        basis=COMMON_PRACTICE,
        hazard="H06",
    ),
    Rule(
        id="plan-referral-without-reason",
        group=Group.PLAN,
        severity=Severity.WARNING,
        each=ACTIONS,
        when=every(some(_REFERRAL, recorded_as("@.action", PlanAction.ADVICE_AND_GUIDANCE)), Not(Given("@.reason"))),
        at="reason",
        message="What do you ask, and why? The reader needs the question.",
        basis=COMMON_PRACTICE,
        hazard="H11",
    ),
    Rule(
        id="plan-monitor-contraindicated",
        group=Group.PLAN,
        severity=Severity.WARNING,
        each=ACTIONS,
        when=unless_departed("plan-monitor-contraindicated", every(_MONITORING, UNSUITED_FOR_MONITORING, DOUBTFUL)),
        at="action",
        message="A doubtful spot with regression, without pigment, with an ulcer, or like a Spitz naevus in an adult "
        "isn’t suited for watching: remove or refer it.",
        basis=seen(
            Source.MONITORING_CONTRAINDICATIONS,
            note="Seen: regression, no pigment. Ulcer: common practice. Spitz-like in an adult: from memory.",
        ),
        hazard="H06",
    ),
    Rule(
        id="plan-monitor-baseline-without-scale",
        group=Group.PLAN,
        severity=Severity.WARNING,
        each=ACTIONS,
        when=every(_MONITORING, Fact("baseline-image"), Not(Fact("baseline-image-with-scale"))),
        at="action",
        message="The first picture has no scale: growth can’t be measured later. Take one with a scale.",
        basis=COMMON_PRACTICE,
        hazard="H12",
    ),
    Rule(
        id="plan-monitor-without-owner",
        group=Group.PLAN,
        severity=Severity.WARNING,
        each=ACTIONS,
        when=every(
            _MONITORING,
            Not(
                every(
                    some(Given("@.date"), Given("@.earliest"), Given("@.latest")),
                    Given("@.responsible"),
                    Given("@.if_not_attended"),
                )
            ),
        ),
        at="responsible",
        message="When, who calls the patient back, and what if nobody comes? About half did not in one practice.",
        basis=seen(Source.MONITORING_ATTENDANCE, note="Seen: 46 % attended although they were reminded."),
        hazard="H12",
    ),
    Rule(
        id="plan-monitor-short-too-late",
        group=Group.PLAN,
        severity=Severity.WARNING,
        each=ACTIONS,
        when=every(recorded_as("@.action", PlanAction.MONITOR_SHORT), Fact("action-after-short-window")),
        at="action",
        message="Short-term monitoring was studied after 2.5 to 4.5 months: plan it within that time.",
        basis=SHORT.basis,
        hazard="H12",
    ),
    Rule(
        id="plan-monitor-short-too-early",
        group=Group.PLAN,
        severity=Severity.WARNING,
        each=OUTCOMES,
        when=every(_CALLED_UNCHANGED, Not(SLOW_ON_THE_FACE), _sooner_than(SHORT.from_days, "outcome-within-75-days")),
        at="change",
        message="Too early to call it unchanged: compare again 2.5 months or more after the first picture. Coming "
        "earlier for a change is always right.",
        basis=SHORT.basis,
        hazard="H12",
    ),
    Rule(
        id="plan-monitor-face-interval",
        group=Group.PLAN,
        severity=Severity.WARNING,
        each=OUTCOMES,
        when=every(_CALLED_UNCHANGED, SLOW_ON_THE_FACE, _sooner_than(FACE.from_days, "outcome-within-180-days")),
        at="change",
        message="Changes on the face are slower: wait 6 to 12 months to call it unchanged, where it is watched at all.",
        basis=FACE.basis,
        hazard="H12",
    ),
    Rule(
        id="plan-monitor-single-doubtful",
        group=Group.PLAN,
        severity=Severity.WARNING,
        each=ACTIONS,
        when=unless_departed(
            "plan-monitor-single-doubtful",
            every(
                _MONITORING,
                ADULT,
                DOUBTFUL,
                recorded_as("lesion.compared_with_others", Comparison.STANDS_OUT, Comparison.ONLY_LESION),
                Not(Given("@.reason")),
            ),
        ),
        at="reason",
        message="One doubtful spot of an adult: removal is mostly preferred to watching. Say why it is watched.",
        basis=seen(Source.MONITORING_DELPHI),
        hazard="H06",
    ),
    Rule(
        id="plan-destroy-melanocytic",
        group=Group.PLAN,
        severity=Severity.WARNING,
        each=ACTIONS,
        when=unless_departed(
            "plan-destroy-melanocytic",
            every(
                _DESTRUCTION_WITHOUT_HISTOLOGY,
                MELANOCYTIC_OR_UNCERTAIN,
                CONCERN_BENIGN,
                Not(MELANOMA_POSSIBLE),
                Not(HISTOLOGY_KNOWN),
            ),
        ),
        at="action",
        message="A melanocytic spot is destroyed without histology: get histology, or record why not.",
        basis=COMMON_PRACTICE,
        hazard="H13",
    ),
    Rule(
        id="plan-partial-biopsy-melanoma",
        group=Group.PLAN,
        severity=Severity.WARNING,
        each=ACTIONS,
        when=unless_departed(
            "plan-partial-biopsy-melanoma",
            every(recorded_as("@.action.kind", ActionKind.TISSUE_PART), MELANOMA_POSSIBLE, Not(Given("@.reason"))),
        ),
        at="reason",
        message="Melanoma is possible, and a part may miss or under-stage it: remove it whole, leave the choice to a "
        "specialist, or give the reason.",
        basis=seen(Source.BIOPSY_TECHNIQUE_REVIEWS),
        hazard="H13",
    ),
    Rule(
        id="plan-specimen-without-result-owner",
        group=Group.PLAN,
        severity=Severity.WARNING,
        each=ACTIONS,
        when=every(_TISSUE, Not(every(Given("@.result_owner"), Given("@.result_by"))), Not(HISTOLOGY_KNOWN)),
        at="result_owner",
        message="Who looks for the result, and by when?",
        basis=COMMON_PRACTICE,
        hazard="H14",
    ),
    Rule(
        id="plan-procedure-bleeding-risk",
        group=Group.PLAN,
        severity=Severity.INFORMATION,
        when=every(
            _SURGERY,
            Not(
                every(
                    Given("background.blood_thinner"), Given("background.implanted_device"), Given("background.allergy")
                )
            ),
        ),
        at="background",
        message="The operator will ask: blood thinners, an implanted device, allergies.",
        basis=COMMON_PRACTICE,
        hazard="H19",
    ),
    Rule(
        id="plan-safety-net-missing",
        group=Group.PLAN,
        severity=Severity.WARNING,
        when=every(Given(ACTIONS), Not(Given("plan.safety_net.watch_for"))),
        at="plan.safety_net",
        message="What should the patient watch for? No advice is recorded.",
        basis=COMMON_PRACTICE,
        hazard="H11",
    ),
    Rule(
        id="plan-safety-net-vague",
        group=Group.PLAN,
        severity=Severity.WARNING,
        when=every(
            Given("plan.safety_net.watch_for"),
            Not(
                every(
                    Given("plan.safety_net.contact"),
                    some(Given("plan.safety_net.by_when"), Given("plan.safety_net.heard_by"), CONCERN_BENIGN),
                )
            ),
        ),
        at="plan.safety_net",
        message="By when, and whom does the patient call?",
        basis=COMMON_PRACTICE,
        hazard="H11",
    ),
    Rule(
        id="plan-appointment-not-heard",
        group=Group.PLAN,
        severity=Severity.WARNING,
        when=every(planned(ActionKind.REFERRAL), Not(Given("plan.safety_net.heard_by"))),
        at="plan.safety_net.heard_by",
        message="Give the date after which the patient rings if no appointment has come.",
        basis=COMMON_PRACTICE,
        hazard="H11",
    ),
    Rule(
        id="plan-patient-not-told",
        group=Group.PLAN,
        severity=Severity.WARNING,
        when=every(
            planned_action(PlanAction.REFER_SUSPECTED_CANCER), Not(recorded_as("plan.patient_told.told", Reply.YES))
        ),
        at="plan.patient_told",
        message="Does the patient know that cancer is in question? Record what was said.",
        basis=COMMON_PRACTICE,
        hazard="H15",
    ),
    Rule(
        id="plan-contact-missing",
        group=Group.PLAN,
        severity=Severity.WARNING,
        when=every(
            Exists(
                ACTIONS,
                every(_REFERRAL, Given("@.urgency"), AtLeast("@.urgency.rank", Urgency.URGENT.rank)),
            ),
            Not(
                some(
                    Given("patient.reference"),
                    Given("patient.identifiers"),
                    Given("patient.details.phone"),
                    Given("patient.details.email"),
                    Given("background.reach_quickly"),
                )
            ),
        ),
        at="patient",
        message="How can the hospital reach the patient quickly?",
        basis=COMMON_PRACTICE,
        hazard="H11",
    ),
    Rule(
        id="plan-declined",
        group=Group.PLAN,
        severity=Severity.WARNING,
        each=ACTIONS,
        when=every(
            recorded_as("@.action", PlanAction.DECLINED_BY_PATIENT),
            Not(
                every(
                    some(Given("@.note"), Given("@.reason")),
                    Given("plan.safety_net.watch_for"),
                    Given("plan.safety_net.contact"),
                )
            ),
        ),
        at="note",
        message="Keep what was advised, what was said, and the way back.",
        basis=COMMON_PRACTICE,
        hazard="H11",
    ),
)
