"""Warning signs: they outrank every score, and a plan either answers them or says why not.

Each sign is a row that gives two rules. One fires while nothing in the plan answers the sign; the other, with the same
id and ``-answered``, keeps the sign in sight of the reader once the plan answers it. A sign is answered by the steps
that its row names, by the patient's recorded refusal, by a departure that names the rule with its reason, and mostly
by a pathologist's result on the whole lesion.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from msgspec import Struct

from dermreport.expressions.nodes import (
    AtLeast,
    ColourSeen,
    Exists,
    Expression,
    Fact,
    Found,
    Given,
    Not,
    Present,
    every,
    some,
    some_present,
)
from dermreport.issues import Issue, Severity
from dermreport.rules.conditions import (
    ACTIONS,
    ADULT,
    CANCER_NAMED,
    FIRM,
    HISTOLOGY_RESULT,
    IMPRESSIONS,
    JUDGED_ELSEWHERE,
    OUTCOMES,
    STANDS_UP,
    SURE_HARMLESS_NAME,
    URGENT_STEP,
    planned,
    planned_action,
    recorded_as,
)
from dermreport.rules.rule import Group, Rule
from dermreport.sources import COMMON_PRACTICE, Basis, Source, common_practice, seen
from dermreport.vocabulary.action_kinds import ActionKind
from dermreport.vocabulary.bedside_tests import BedsideTest
from dermreport.vocabulary.certainties import Certainty
from dermreport.vocabulary.colours import Colour
from dermreport.vocabulary.comparisons import Comparison
from dermreport.vocabulary.consistencies import Consistency
from dermreport.vocabulary.elevations import Elevation
from dermreport.vocabulary.impressions import Impression
from dermreport.vocabulary.judgements import Judgement
from dermreport.vocabulary.node_states import NodeState
from dermreport.vocabulary.pigmentations import Pigmentation
from dermreport.vocabulary.plan_actions import PlanAction
from dermreport.vocabulary.presences import Presence
from dermreport.vocabulary.reading_styles import ReadingStyle
from dermreport.vocabulary.replies import Reply
from dermreport.vocabulary.specimen_extents import SpecimenExtent
from dermreport.vocabulary.structures import Structure
from dermreport.vocabulary.urgencies import Urgency

#: What the id of a rule on an answered sign ends in.
ANSWERED = "-answered"


class _Sign(Struct, frozen=True, kw_only=True):
    """One warning sign.

    Attributes:
        id: Id of the rule that fires while the sign is unanswered.
        severity: How much the unanswered sign weighs.
        sign: When the sign is there.
        answered_by: What in the record answers it, beside refusal, departure and a pathologist's result.
        at: Where both rules point.
        name: The sign in a few words.
        advice: What to do.
        basis: Where it comes from.
        by_histology: Whether a pathologist's result on the whole lesion answers it too.
    """

    id: str
    severity: Severity
    sign: Expression
    answered_by: Expression
    at: str
    name: str
    advice: str
    basis: Basis
    by_histology: bool = True

    @property
    def unanswered(self) -> Expression:
        """Return the condition that the sign is there and nothing answers it."""
        return every(self.sign, Not(self._answered))

    @property
    def _answered(self) -> Expression:
        common = (self.answered_by, _DECLINED, Fact(f"departs-from.{self.id}"))
        return some(*common, _WHOLE_LESION_EXAMINED) if self.by_histology else some(*common)

    @property
    def rules(self) -> tuple[Rule, Rule]:
        """Return the rule on the unanswered sign and the one on the answered sign."""
        return (
            Rule(
                id=self.id,
                group=Group.RED_FLAG,
                severity=self.severity,
                when=self.unanswered,
                at=self.at,
                message=f"{self.name}: {self.advice}",
                basis=self.basis,
                hazard="H06",
            ),
            Rule(
                id=f"{self.id}{ANSWERED}",
                group=Group.RED_FLAG,
                severity=Severity.INFORMATION,
                when=every(self.sign, self._answered),
                at=self.at,
                message=f"{self.name}: this sign outranks every score, and the record answers it.",
                basis=self.basis,
                hazard="H06",
            ),
        )


_DECLINED = planned_action(PlanAction.DECLINED_BY_PATIENT)
#: A pathologist has answered, on what is stated to be the whole lesion.
_WHOLE_LESION_EXAMINED = Exists(OUTCOMES, every(HISTOLOGY_RESULT, recorded_as("@.specimen", SpecimenExtent.WHOLE)))

_NEW_OR_CHANGING = some(
    *(
        recorded_as(f"lesion.history.{item}.answer", Reply.YES)
        for item in ("new", "growing", "changed_colour", "changed_shape")
    )
)
_NAMED_HARMLESS = every(SURE_HARMLESS_NAME, Not(CANCER_NAMED))

#: The pathway for suspected cancer is urgent unless a slower word is given.
_SUSPECTED_CANCER_PATHWAY = Exists(
    ACTIONS, every(recorded_as("@.action", PlanAction.REFER_SUSPECTED_CANCER), Not(Given("@.urgency")))
)


def _urgent(kind: ActionKind) -> Expression:
    return Exists(
        ACTIONS,
        every(
            recorded_as("@.action.kind", kind),
            Given("@.urgency"),
            AtLeast("@.urgency.rank", Urgency.URGENT.rank),
        ),
    )


_URGENT_REFERRAL = some(_urgent(ActionKind.REFERRAL), _SUSPECTED_CANCER_PATHWAY)
_URGENT_REFERRAL_OR_TISSUE = some(URGENT_STEP, _SUSPECTED_CANCER_PATHWAY)
_REFERRED_OR_TISSUE = planned(ActionKind.REFERRAL, ActionKind.TISSUE_WHOLE, ActionKind.TISSUE_PART)

#: Something put on or into the skin, or blood, was shown to be the cause.
_CAUSE_SHOWN = some(
    Exists(
        "lesion.bedside_tests",
        every(recorded_as("@.test", BedsideTest.SCRAPING, BedsideTest.TAPE), recorded_as("@.positive", Judgement.YES)),
    ),
    Exists(
        IMPRESSIONS,
        every(
            recorded_as("@.impression", Impression.FOREIGN_PIGMENT, Impression.HAEMORRHAGE),
            recorded_as("@.certainty", Certainty.CONFIDENT),
        ),
    ),
)

_GREY = some(
    some_present(Structure.DOTS_GREY, Structure.CIRCLES_GREY, Structure.GLOBULES_SLATE_GREY),
    ColourSeen(Colour.GREY),
)
_BLUE_AND_BLACK = some(
    Found(Structure.BLUE_BLACK_COLOUR, some(Not(Given("@.area_percent")), AtLeast("@.area_percent", 10))),
    every(
        ColourSeen(Colour.BLUE),
        ColourSeen(Colour.BLACK),
        Not(
            Exists(
                "findings",
                every(
                    recorded_as("@.structure", Structure.BLUE_BLACK_COLOUR),
                    recorded_as("@.presence", Presence.PRESENT, Presence.ABSENT),
                ),
            )
        ),
    ),
)
_NAIL_PIGMENT = some(
    recorded_as("lesion.pigmentation", Pigmentation.PIGMENTED, Pigmentation.SLIGHT),
    some_present(
        *(
            structure
            for structure in Structure
            if structure.pigmented and structure.reading_styles == frozenset((ReadingStyle.NAIL,))
        )
    ),
)

_SIGNS = (
    _Sign(
        id="flag-elevated-firm-growing",
        severity=Severity.ERROR,
        sign=every(STANDS_UP, FIRM, Fact("growing-for-a-month")),
        answered_by=_URGENT_REFERRAL_OR_TISSUE,
        at="lesion",
        name="Raised, firm and growing",
        advice="don’t wait and don’t rely on a score. Refer urgently or remove it, or record why not.",
        basis=seen(Source.ELEVATED_FIRM_GROWING),
    ),
    _Sign(
        id="flag-nodes",
        severity=Severity.ERROR,
        sign=recorded_as("lesion.nodes.state", NodeState.ENLARGED),
        answered_by=_URGENT_REFERRAL,
        at="lesion.nodes",
        name="Enlarged regional nodes",
        advice="this can’t wait. Refer urgently, or record why not.",
        basis=COMMON_PRACTICE,
        by_histology=False,
    ),
    _Sign(
        id="flag-ridge-pattern",
        severity=Severity.ERROR,
        sign=Present(Structure.RIDGE_PARALLEL),
        answered_by=some(_REFERRED_OR_TISSUE, _urgent(ActionKind.OPINION), _CAUSE_SHOWN),
        at="findings",
        name="Pigment on the ridges",
        advice="refer or get histology, whatever the size, or record what put the pigment there.",
        basis=seen(
            Source.ACRAL_THREE_STEP_REVISED_2011,
            note="The source leaves congenital lesions out; the rule is more careful and doesn't.",
        ),
    ),
    _Sign(
        id="flag-growing-time-missing",
        severity=Severity.WARNING,
        sign=every(STANDS_UP, FIRM, Fact("growing-time-not-told")),
        answered_by=_URGENT_REFERRAL_OR_TISSUE,
        at="lesion.history.growing",
        name="Raised, firm and growing",
        advice="for how long? Over a month or more it is referred urgently, whatever a score says.",
        basis=seen(Source.ELEVATED_FIRM_GROWING),
    ),
    _Sign(
        id="flag-raised-firm-no-harmless-name",
        severity=Severity.WARNING,
        sign=every(STANDS_UP, FIRM, Not(_NAMED_HARMLESS)),
        answered_by=JUDGED_ELSEWHERE,
        at="lesion",
        name="Raised and firm, without a sure harmless name",
        advice="it needs histology or an opinion.",
        basis=seen(
            Source.PREDICTION_WITHOUT_PIGMENT_2014,
            note="The source says so of lesions without pigment; the rule is more careful and asks it of all.",
        ),
    ),
    _Sign(
        id="flag-satellites",
        severity=Severity.WARNING,
        sign=recorded_as("lesion.satellites", Judgement.YES),
        answered_by=_URGENT_REFERRAL,
        at="lesion.satellites",
        name="Spots around the lesion",
        advice="that needs a specialist soon. Refer urgently, or record why not.",
        basis=COMMON_PRACTICE,
    ),
    _Sign(
        id="flag-blue-black-nodule",
        severity=Severity.WARNING,
        sign=every(STANDS_UP, _BLUE_AND_BLACK),
        answered_by=_URGENT_REFERRAL_OR_TISSUE,
        at="lesion",
        name="Blue and black in a raised lesion",
        advice="treat it as suspicious. Refer urgently or remove it, or record why not.",
        basis=seen(
            Source.BLUE_BLACK_RULE_2011,
            note="Both colours in a tenth of the surface; where nobody told the area the rule takes it for as much.",
        ),
    ),
    _Sign(
        id="flag-ulcer-unexplained",
        severity=Severity.WARNING,
        sign=every(
            some(
                recorded_as("lesion.ulcerated", Judgement.YES),
                some_present(Structure.ULCERATION, Structure.NAIL_BED_ULCER),
            ),
            Not(recorded_as("lesion.injured", Reply.YES)),
        ),
        answered_by=some(JUDGED_ELSEWHERE, planned_action(PlanAction.REVIEW_IN_PERSON)),
        at="lesion",
        name="Ulcer without a known injury",
        advice="refer, get histology, or see it again at a date.",
        basis=seen(Source.PREDICTION_WITHOUT_PIGMENT_2014),
    ),
    _Sign(
        id="flag-grey-head-neck",
        severity=Severity.WARNING,
        sign=every(recorded_as("lesion.site.head_and_neck", True), _GREY),  # noqa: FBT003 - what the table holds
        answered_by=JUDGED_ELSEWHERE,
        at="findings",
        name="Grey on the head or neck",
        advice="histology or an opinion first.",
        basis=seen(Source.LENTIGO_MALIGNA_REVIEW_2016),
    ),
    _Sign(
        id="flag-different-from-others",
        severity=Severity.WARNING,
        sign=recorded_as("lesion.compared_with_others", Comparison.STANDS_OUT),
        answered_by=some(JUDGED_ELSEWHERE, planned(ActionKind.MONITORING), _NAMED_HARMLESS),
        at="lesion.compared_with_others",
        name="Unlike the patient’s other naevi",
        advice="reassurance is not enough without a sure name. Get an opinion, or record why it is enough.",
        basis=seen(Source.DIFFERENT_LESION_SIGN),
    ),
    _Sign(
        id="flag-nail-adult-band",
        severity=Severity.WARNING,
        sign=every(
            recorded_as("lesion.site.reading_style", ReadingStyle.NAIL),
            ADULT,
            _NAIL_PIGMENT,
            _NEW_OR_CHANGING,
        ),
        answered_by=some(JUDGED_ELSEWHERE, every(_CAUSE_SHOWN, planned_action(PlanAction.REVIEW_IN_PERSON))),
        at="lesion.history",
        name="A new or changing dark band of one nail in an adult",
        advice="it needs an opinion.",
        basis=seen(Source.NAIL_BANDS_2017, Source.SUBUNGUAL_IN_SITU_2018),
    ),
)

#: Each warning sign by the id of its rule, with or without an answer; a whole lesion that a pathologist saw has none.
SIGNS: Mapping[str, Expression] = MappingProxyType(
    {sign.id: every(sign.sign, Not(_WHOLE_LESION_EXAMINED)) if sign.by_histology else sign.sign for sign in _SIGNS}
)

#: Ids of the rules that fire on a warning sign, answered or not: a lesion with one of them is never without a feature.
SIGN_RULES: frozenset[str] = frozenset(rule.id for sign in _SIGNS for rule in sign.rules)

#: Cancers that spread to the regional nodes; basal cell carcinoma hardly ever does.
_SPREADS_TO_NODES = Exists(
    IMPRESSIONS,
    recorded_as(
        "@.impression",
        Impression.MELANOMA_SUSPECTED,
        Impression.MELANOMA_NODULAR_SUSPECTED,
        Impression.MELANOMA_ACRAL_NAIL_SUSPECTED,
        Impression.MELANOMA_NO_PIGMENT_SUSPECTED,
        Impression.MELANOMA_RECURRENCE_OR_METASTASIS_SUSPECTED,
        Impression.SCC_SUSPECTED,
        Impression.MERKEL_CELL_CARCINOMA_SUSPECTED,
        Impression.METASTASIS_SUSPECTED,
    ),
)

RED_FLAG_RULES: tuple[Rule, ...] = (
    *(rule for sign in _SIGNS for rule in sign.rules),
    Rule(
        id="flag-low-score",
        group=Group.RED_FLAG,
        severity=Severity.WARNING,
        when=every(Fact("every-score-below"), some(*(sign.unanswered for sign in _SIGNS))),
        at="",
        message="No total reaches its method’s threshold so far, and a warning sign stands: the sign decides.",
        basis=COMMON_PRACTICE,
        hazard="H06",
    ),
    Rule(
        id="flag-firm-not-felt",
        group=Group.RED_FLAG,
        severity=Severity.WARNING,
        when=every(
            recorded_as("lesion.elevation", Elevation.RAISED, Elevation.NODULAR),
            Not(
                recorded_as("lesion.palpation.consistency", Consistency.SOFT, Consistency.FIRM, Consistency.HARD),
            ),
            planned(ActionKind.REASSURANCE, ActionKind.MONITORING),
            Not(JUDGED_ELSEWHERE),
            Not(_NAMED_HARMLESS),
        ),
        at="lesion.palpation",
        message="Raised, and nobody felt whether it is firm: feel it before you decide to wait.",
        basis=common_practice(),
        hazard="H06",
    ),
    Rule(
        id="flag-nodes-not-examined",
        group=Group.RED_FLAG,
        severity=Severity.INFORMATION,
        when=every(
            _SPREADS_TO_NODES,
            Not(recorded_as("lesion.nodes.state", NodeState.NOT_ENLARGED, NodeState.ENLARGED)),
        ),
        at="lesion.nodes",
        message="Say whether the regional nodes were felt.",
        basis=COMMON_PRACTICE,
        hazard="H19",
    ),
)


def is_red_flag(issue: Issue) -> bool:
    """Return whether an issue is a warning sign: answered or not, it outranks every score."""
    return issue.rule.startswith("flag-")
