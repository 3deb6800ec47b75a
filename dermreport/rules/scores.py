"""Rules on the scores: where a total would mislead, and where a warning sign outranks it.

Why a method gives no number, and what its number can't say, stands in the score itself; a rule speaks where the
clinician can do something about it.
"""

from __future__ import annotations

from dermreport.expressions.nodes import Expression, Fact, Given, Holds, Not, every, some
from dermreport.issues import Severity
from dermreport.rules.conditions import (
    HISTOLOGY_KNOWN,
    JUDGED_ELSEWHERE,
    SURE_HARMLESS_NAME,
    planned_action,
    recorded_as,
)
from dermreport.rules.red_flags import RED_FLAG_RULES, SIGN_RULES
from dermreport.rules.rule import Group, Rule
from dermreport.sources import COMMON_PRACTICE, Source, seen
from dermreport.vocabulary.pigmentations import Pigmentation
from dermreport.vocabulary.plan_actions import PlanAction
from dermreport.vocabulary.step_ones import StepOne

#: A warning sign stands that nothing in the record answers, by the red flags' own conditions.
_SIGN_STANDS: Expression = some(
    *(rule.when for rule in RED_FLAG_RULES if rule.id in SIGN_RULES and rule.severity is not Severity.INFORMATION)
)

SCORE_RULES: tuple[Rule, ...] = (
    Rule(
        id="score-unequivocal-benign-with-flag",
        group=Group.SCORE,
        severity=Severity.ERROR,
        when=every(recorded_as("assessment.unequivocal", True), _SIGN_STANDS),  # noqa: FBT003 - the entry's own value
        at="assessment.unequivocal",
        message="Called unequivocal, and a warning sign stands: take «unequivocal» back, or explain the sign.",
        basis=COMMON_PRACTICE,
        hazard="H06",
    ),
    Rule(
        id="score-used-without-number",
        group=Group.SCORE,
        severity=Severity.WARNING,
        each="assessment.methods_used",
        when=Fact("method-without-number"),
        at="",
        message="This method wasn’t studied for such a lesion and gives no number here; the score says why.",
        basis=COMMON_PRACTICE,
        hazard="H05",
    ),
    Rule(
        id="score-little-pigment",
        group=Group.SCORE,
        severity=Severity.WARNING,
        when=every(
            recorded_as("lesion.pigmentation", Pigmentation.SLIGHT, Pigmentation.NONE),
            Given("plan.actions"),
            Not(SURE_HARMLESS_NAME),
            Not(JUDGED_ELSEWHERE),
            Not(HISTOLOGY_KNOWN),
        ),
        at="lesion.pigmentation",
        message="Little pigment: a low score means nothing. Look for ulceration, white structures and vessels, or "
        "have it judged elsewhere.",
        basis=seen(Source.PREDICTION_WITHOUT_PIGMENT_2014, Source.LITTLE_PIGMENT_2008),
        hazard="H05",
    ),
    Rule(
        id="score-recurrent-or-treated",
        group=Group.SCORE,
        severity=Severity.WARNING,
        when=every(
            some(Holds("lesion.history.treated_before.answer"), Holds("lesion.in_scar")),
            Not(planned_action(PlanAction.OBTAIN_EARLIER_HISTOLOGY)),
            Not(HISTOLOGY_KNOWN),
        ),
        at="lesion.history.treated_before",
        message="Scars imitate melanoma and its regression, and scores don’t hold in them: get the earlier histology.",
        basis=COMMON_PRACTICE,
        hazard="H05",
    ),
    Rule(
        id="score-verdicts-disagree",
        group=Group.SCORE,
        severity=Severity.INFORMATION,
        when=Fact("scores-disagree"),
        at="",
        message="The methods disagree about their thresholds. Act on the more careful one, or say why not.",
        basis=COMMON_PRACTICE,
        hazard="H06",
    ),
    Rule(
        id="score-threshold-variant",
        group=Group.SCORE,
        severity=Severity.INFORMATION,
        when=Fact("thresholds-disagree"),
        at="",
        message="The seven-point checklist is below its original threshold and reaches the revised one.",
        basis=seen(Source.SEVEN_POINT_CRITERIA_PAGES, Source.SEVEN_POINT_2011),
        hazard="H07",
    ),
    Rule(
        id="score-class-uncertain",
        group=Group.SCORE,
        severity=Severity.INFORMATION,
        when=Not(recorded_as("description.step_one", StepOne.MELANOCYTIC, StepOne.NON_MELANOCYTIC)),
        at="description.step_one",
        message="Whether it is melanocytic is open: it counts as melanocytic, and each number carries that caution.",
        basis=seen(Source.TERMINOLOGY_CONSENSUS_2003),
        hazard="H05",
    ),
    Rule(
        id="score-open-inputs",
        group=Group.SCORE,
        severity=Severity.INFORMATION,
        when=Fact("score-unsettled"),
        at="findings",
        message="A score is a range, because something wasn’t looked for or stayed uncertain; the score says what "
        "would settle it.",
        basis=COMMON_PRACTICE,
        hazard="H07",
    ),
)
