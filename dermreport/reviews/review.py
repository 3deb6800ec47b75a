"""The review: answers, scores, issues, completeness, what is open, and one word on the whole."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from dermreport.answers import Answers, answers
from dermreport.examination.model import Examination
from dermreport.expressions.evaluate import Scope, evaluator
from dermreport.issues import Issue, Severity
from dermreport.rules.completeness import ReportItem, completeness
from dermreport.rules.conditions import CONCERN_BENIGN, SCORE_CALLS, SUSPICIOUS, UNEQUIVOCALLY_OTHER
from dermreport.rules.engine import check
from dermreport.rules.facts import FACTS, Context
from dermreport.rules.red_flags import ANSWERED, SIGN_RULES
from dermreport.scores.engine import ScoreResult, score
from dermreport.scores.methods import METHODS
from dermreport.settings import DEFAULTS, Settings
from dermreport.vocabulary.summaries import Summary


@dataclass(frozen=True, slots=True)
class Review:
    """All that the library says of one examination.

    Attributes:
        examination: The entry, as the clinician wrote it.
        answers: What each structure and colour counts as.
        issues: Everything that the rules found, the gravest first, then in the order of the rules.
        scores: Every method, by its code; one that isn't valid here says why and gives no number.
        completeness: The ten items of the published report standard, given or missing.
        summary: One word on the whole: suspicious, not settled, or no suspicious feature found.
        settings: The host's settings.
    """

    examination: Examination
    answers: Answers
    issues: tuple[Issue, ...]
    scores: Mapping[str, ScoreResult]
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


def review(examination: Examination, settings: Settings = DEFAULTS) -> Review:
    """Check and score one examination.

    Args:
        examination: The entry. It is not changed.
        settings: The host's settings.

    Returns:
        Answers, issues, scores, completeness and a summary; nothing is raised for what the entry says.
    """
    found = answers(examination)
    unscored = Scope(found, FACTS)
    scores = {method.code.value: score(method, unscored) for method in METHODS}
    # What the scores read of the entry isn't read again.
    scope = Scope(found, FACTS, Context(scores, settings), read=unscored.read)
    issues = check(scope)
    return Review(
        examination=examination,
        answers=found,
        issues=issues,
        scores=MappingProxyType(scores),
        completeness=completeness(scope),
        summary=_summary(scope, issues, scores),
        settings=settings,
    )


_CLINICIAN_SUSPECTS = evaluator(SUSPICIOUS)
_A_SCORE_CALLS = evaluator(SCORE_CALLS)
_EXEMPT = evaluator(UNEQUIVOCALLY_OTHER)
_CLINICIAN_REASSURED = evaluator(CONCERN_BENIGN)


def _summary(scope: Scope, issues: tuple[Issue, ...], scores: Mapping[str, ScoreResult]) -> Summary:
    """Return one word on the whole: whatever calls for action outranks what doesn't.

    A warning sign that the record answers (a referral, a reason) stays suspicious unless the clinician takes the
    lesion for harmless; even then it is no better than not settled.
    """
    signs = {issue.rule for issue in issues} & SIGN_RULES
    unanswered = any(not sign.endswith(ANSWERED) for sign in signs)
    reassured = _CLINICIAN_REASSURED(scope, None)
    if unanswered or (signs and not reassured) or _CLINICIAN_SUSPECTS(scope, None) or _A_SCORE_CALLS(scope, None):
        return Summary.SUSPICIOUS
    if signs or not reassured:
        return Summary.NOT_SETTLED
    if _EXEMPT(scope, None):
        return Summary.NO_SUSPICIOUS_FEATURE_FOUND
    valid = [result for result in scores.values() if result.valid]
    if not valid or not all(result.settled for result in valid):
        return Summary.NOT_SETTLED
    return Summary.NO_SUSPICIOUS_FEATURE_FOUND
