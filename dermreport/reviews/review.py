"""The review: answers, scores, issues, completeness, what is open, and one word on the whole."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from dermreport.answers import Answers, answers
from dermreport.examination.model import Examination
from dermreport.expressions.evaluate import Scope
from dermreport.issues import Issue, Severity
from dermreport.reviews.disagreement import SideBySide, side_by_side
from dermreport.reviews.looks import OpenQuestion, SecondView, open_questions, second_views
from dermreport.reviews.sensitivity import Turned, sensitivity
from dermreport.rules.completeness import ReportItem, completeness
from dermreport.rules.conditions import (
    CANCER_FOUND,
    CONCERN_BENIGN,
    DOUBTFUL,
    JUDGED_ELSEWHERE,
    NOT_CLEARED_LATER,
    NOT_UNDERSTOOD,
    SCORE_CALLS,
    SUSPICIOUS,
    UNEQUIVOCALLY_OTHER,
    URGENT_STEP,
    URGENT_UNNAMED_STEP,
    planned_action,
)
from dermreport.rules.engine import check, deciding
from dermreport.rules.facts import FACTS, Context
from dermreport.rules.facts_scores import waited_for
from dermreport.rules.red_flags import ANSWERED, SIGN_RULES
from dermreport.scores.associations import ClueResult, associations
from dermreport.scores.engine import ScoreResult, score
from dermreport.scores.methods import CLUE_LISTS, METHODS
from dermreport.settings import DEFAULTS, Settings
from dermreport.vocabulary.plan_actions import PlanAction
from dermreport.vocabulary.summaries import Summary


@dataclass(frozen=True, slots=True)
class Review:
    """All that the library says of one examination.

    Attributes:
        examination: The entry, as the clinician wrote it.
        answers: What each structure and colour counts as.
        issues: Everything that the rules found, the gravest first, then in the order of the rules.
        scores: Every method with a threshold, by its code; one that isn't valid here says why and gives no number.
        clues: Every list of associations, by its code: which signs are there; a list gives no number.
        completeness: The ten items of the published report standard, given or missing.
        summary: One word on the whole: suspicious, not settled, or no suspicious feature found.
        settings: The host's settings.
    """

    examination: Examination
    answers: Answers
    issues: tuple[Issue, ...]
    scores: Mapping[str, ScoreResult]
    clues: Mapping[str, ClueResult]
    completeness: tuple[ReportItem, ...]
    summary: Summary
    settings: Settings

    @property
    def has_errors(self) -> bool:
        """Whether an error stands: the report is then preliminary, and nothing is withheld."""
        return any(issue.severity is Severity.ERROR for issue in self.issues)

    @property
    def red_flags(self) -> tuple[Issue, ...]:
        """The issues of the red-flag rules: they outrank every score."""
        return tuple(issue for issue in self.issues if issue.rule.startswith("flag-"))

    @property
    def side_by_side(self) -> SideBySide:
        """The methods that fit this lesion, by what they say: where they disagree, the more careful one counts."""
        return side_by_side(self.scores)

    @property
    def open_questions(self) -> tuple[OpenQuestion, ...]:
        """What to look at next: the question first on whose answer most methods' verdicts can hang."""
        return open_questions(self.scores)

    @property
    def second_views(self) -> tuple[SecondView, ...]:
        """What a view in a light that wasn't used would add."""
        return second_views(self.examination, self.scores, self.clues)

    def sensitivity(self) -> tuple[Turned, ...]:
        """Return each recorded answer that alone, if it were wrong, changes a settled verdict.

        The scores are made anew for each answer, some dozen times: call it where it is shown.
        """
        return sensitivity(self.answers, self.scores)


def review(examination: Examination, settings: Settings = DEFAULTS) -> Review:
    """Check and score one examination.

    Args:
        examination: The entry. It is not changed. What a partly filled one couldn't hold is among the issues.
        settings: The host's settings.

    Returns:
        Answers, issues, scores, completeness and a summary; nothing is raised for what the entry says.

    Raises:
        TypeError: It isn't an examination; a dict is read by ``from_entry`` or ``Examination.model_validate``.
    """
    if not isinstance(examination, Examination):
        raise TypeError(f"review takes an Examination, not {type(examination).__name__}: see from_entry")
    found = answers(examination)
    unscored = Scope(found, FACTS)
    scores = {method.code.value: score(method, unscored) for method in METHODS}
    clues = {method.code.value: associations(method, unscored) for method in CLUE_LISTS}
    # What the scores read of the entry isn't read again.
    scope = Scope(found, FACTS, Context(scores, settings), read=unscored.read)
    issues = (*examination.not_held, *check(scope))
    return Review(
        examination=examination,
        answers=found,
        issues=issues,
        scores=MappingProxyType(scores),
        clues=MappingProxyType(clues),
        completeness=completeness(scope),
        summary=_summary(scope, issues, scores),
        settings=settings,
    )


#: The clinician suspects, a score calls, a pathologist found cancer, or an urgent step is planned.
_CALLS_FOR_ACTION = tuple(
    deciding().surely(condition)
    for condition in (
        SUSPICIOUS,
        SCORE_CALLS,
        CANCER_FOUND,
        URGENT_STEP,
        URGENT_UNNAMED_STEP,
        planned_action(PlanAction.REFER_SUSPECTED_CANCER),
    )
)
#: Somebody else judges it, or not all that was said clears it, or nobody here understands all of it.
_LEAVES_OPEN = tuple(
    deciding().surely(condition) for condition in (JUDGED_ELSEWHERE, DOUBTFUL, NOT_CLEARED_LATER, NOT_UNDERSTOOD)
)
_EXEMPT = deciding().surely(UNEQUIVOCALLY_OTHER)
_CLINICIAN_REASSURED = deciding().surely(CONCERN_BENIGN)


def _summary(scope: Scope, issues: tuple[Issue, ...], scores: Mapping[str, ScoreResult]) -> Summary:
    """Return one word on the whole: whatever calls for action outranks what doesn't.

    While an error stands nothing is settled. A warning sign that the record answers (a referral, a reason) stays
    suspicious unless the clinician takes the lesion for harmless; even then it is no better than not settled.
    """
    signs = {issue.rule for issue in issues} & SIGN_RULES
    unanswered = any(not sign.endswith(ANSWERED) for sign in signs)
    reassured = _CLINICIAN_REASSURED(scope, None)
    if unanswered or (signs and not reassured) or any(calls(scope, None) for calls in _CALLS_FOR_ACTION):
        return Summary.SUSPICIOUS
    in_error = any(issue.severity is Severity.ERROR for issue in issues)
    if signs or in_error or any(leaves(scope, None) for leaves in _LEAVES_OPEN):
        return Summary.NOT_SETTLED
    if _EXEMPT(scope, None):
        return Summary.NO_SUSPICIOUS_FEATURE_FOUND
    valid = [result for result in scores.values() if result.valid and waited_for(result, scope)]
    if not valid or not all(result.settled for result in valid):
        return Summary.NOT_SETTLED
    return Summary.NO_SUSPICIOUS_FEATURE_FOUND
