"""The review: answers, scores, issues, completeness, what is open, and one word on the whole."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, replace
from functools import cached_property
from types import MappingProxyType
from typing import TYPE_CHECKING

from dermreport.answers import Answers, answers
from dermreport.examination.model import Examination
from dermreport.examination.people import Reference
from dermreport.expressions.evaluate import Scope
from dermreport.issues import Issue, Severity, must_be
from dermreport.pathways.engine import compare, pathway_of
from dermreport.pathways.expected import Expected
from dermreport.plugins.reviewing import added_to
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
from dermreport.rules.engine import check, deciding, weighty
from dermreport.rules.facts import FACTS, Context
from dermreport.rules.facts_scores import waited_for
from dermreport.rules.red_flags import ANSWERED, SIGN_RULES, is_red_flag
from dermreport.rules.rule import Rule
from dermreport.scores.associations import ClueResult, associations
from dermreport.scores.engine import ScoreResult, score
from dermreport.scores.method import Clue
from dermreport.scores.methods import CLUE_LISTS, METHODS
from dermreport.settings import DEFAULTS, Settings
from dermreport.vocabulary.plan_actions import PlanAction
from dermreport.vocabulary.score_methods import ScoreMethod
from dermreport.vocabulary.statuses import Status
from dermreport.vocabulary.summaries import Summary

if TYPE_CHECKING:
    from dermreport.languages.language import Language


@dataclass(frozen=True, slots=True)
class Review:
    """All that the library says of one examination.

    Attributes:
        examination: The entry, as the clinician wrote it.
        answers: What each structure and colour counts as.
        issues: Everything that the rules found, the gravest first, then in the order of the rules.
        scores: Every method with a threshold, by its code; one that isn't valid here says why and gives no number.
        completeness: The ten items of the published report standard, given or missing.
        summary: One word on the whole: suspicious, not settled, or no suspicious feature found.
        expected: What the pathway in force expects: which steps, how urgent, by when, and how the plan stands to it.
        settings: The host's settings; a plugin that failed with this examination isn't among them.
        plugin_scores: The methods of plugins, as ``plugin/method``: beside the library's, and never in their place.
    """

    examination: Examination
    answers: Answers
    issues: tuple[Issue, ...]
    scores: Mapping[str, ScoreResult]
    completeness: tuple[ReportItem, ...]
    summary: Summary
    expected: Expected
    settings: Settings
    plugin_scores: Mapping[str, ScoreResult]

    def __repr__(self) -> str:
        """Say how many issues there are, never what was found: a repr ends in logs."""
        return f"<{type(self).__name__}: {len(self.issues)} issues>"

    @property
    def has_errors(self) -> bool:
        """Whether an error stands: the report is then preliminary, and nothing is withheld."""
        return has_error(self.issues)

    @property
    def organisation(self) -> Reference | None:
        """Where it was done: as the entry says, else as the host's settings do."""
        entered = self.examination.organisation
        return entered if entered is not None else self.settings.organisation

    @property
    def language(self) -> Language:
        """The language of the host's settings, which says issues and rows: ``review.language.message(issue)``."""
        from dermreport.languages.language import language  # noqa: PLC0415 - loaded on first use

        return language(self.settings.language)

    @property
    def red_flags(self) -> tuple[Issue, ...]:
        """The issues of the red-flag rules: they outrank every score."""
        return tuple(issue for issue in self.issues if is_red_flag(issue))

    @property
    def issues_by_urgency(self) -> tuple[Issue, ...]:
        """The issues as a page shows them: warning signs that nothing in the record answers, then the gravest."""
        return tuple(sorted(self.issues, key=lambda one: (not _calls(one), one.severity.rank)))

    @property
    def clues(self) -> Mapping[str, ClueResult]:
        """Every list of associations, by its code: which signs are there. A list gives no number and no verdict."""
        scope = Scope(self.answers, FACTS)
        return MappingProxyType({method.code.value: associations(method, scope) for method in CLUE_LISTS})

    @property
    def open_signs(self) -> Mapping[str, tuple[Clue, ...]]:
        """Signs that nobody looked for, of each list for this skin or for little pigment, by the list's code."""
        return MappingProxyType(
            {
                code: tuple(clue for clue in result.method.clues if clue.id in result.open)
                for code, result in self.clues.items()
                if result.valid and result.open and result.method.code not in _LISTS_FOR_ANY_SKIN
            }
        )

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


def _calls(issue: Issue) -> bool:
    """Whether an issue is a sign that calls for action: an answered one, or one departed from, informs."""
    return is_red_flag(issue) and issue.severity is not Severity.INFORMATION


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
    must_be("review: settings", settings, Settings)
    parts = ReviewParts(answers(examination), settings)
    checked = check(parts.scope)
    # No pathway changes the word on the whole: its issues are neither errors nor warning signs.
    found = (*examination.not_held, *checked)
    added = added_to(parts.scope, settings.plugins)
    summary = added.summary(_summary(parts, {issue.rule for issue in found}, in_error=has_error(found)))
    expected, departures = compare(parts.scope, checked, summary, signs_of_plugins=added.signs)
    ranked = sorted((*checked, *departures, *added.issues), key=lambda issue: issue.severity.rank)
    issues = (*examination.not_held, *ranked)
    if added.failed:
        settings = replace(settings, plugins=settings.plugins.without(added.failed))
    return Review(
        examination=examination,
        answers=parts.answers,
        issues=issues,
        scores=MappingProxyType(parts.scores),
        completeness=completeness(parts.scope),
        summary=summary,
        expected=expected,
        settings=settings,
        plugin_scores=added.scores,
    )


class ReviewParts:
    """What a review is made of, each part made once and when it is asked for, for whoever needs only some of it."""

    def __init__(self, found: Answers, settings: Settings = DEFAULTS) -> None:
        """Take what is judged."""
        self.answers = found
        self.settings = settings
        self._unscored = Scope(found, FACTS)

    @cached_property
    def scores(self) -> Mapping[str, ScoreResult]:
        """Every method, by its code."""
        return {method.code.value: score(method, self._unscored) for method in METHODS}

    @cached_property
    def scope(self) -> Scope:
        """What the rules look at; what the scores read of the entry isn't read again."""
        return Scope(
            self.answers,
            FACTS,
            Context(self.scores, self.settings, pathway_of(self.settings)),
            read=self._unscored.read,
        )

    @cached_property
    def _weighty(self) -> tuple[Rule, ...]:
        return weighty(self.scope)

    @property
    def has_errors(self) -> bool:
        """Whether a rule finds an error, apart from what the entry had and couldn't be held."""
        return any(rule.severity is Severity.ERROR for rule in self._weighty)

    def summary(self, *, in_error: bool) -> Summary:
        """Return one word on the whole.

        Args:
            in_error: Whether an error stands that no rule finds: something couldn't be held, or contradicts itself.
        """
        return _summary(self, {rule.id for rule in self._weighty}, in_error=in_error or self.has_errors)


def has_error(issues: Iterable[Issue]) -> bool:
    """Return whether an error is among some issues."""
    return any(issue.severity is Severity.ERROR for issue in issues)


#: Their signs are looked for where they help, and their being open asks nothing.
_LISTS_FOR_ANY_SKIN = frozenset((ScoreMethod.TWO_STEP, ScoreMethod.BENIGN_PATTERNS))

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


def _summary(parts: ReviewParts, broken: AbstractSet[str], *, in_error: bool) -> Summary:
    """Return one word on the whole: whatever calls for action outranks what doesn't.

    While an error stands nothing is settled, nor is anything in a record that was entered in error. A warning sign that
    the record answers (a referral, a reason) stays suspicious unless the clinician takes the lesion for harmless; even
    then it is no better than not settled.
    """
    scope = parts.scope
    signs = broken & SIGN_RULES
    unanswered = any(not sign.endswith(ANSWERED) for sign in signs)
    reassured = _CLINICIAN_REASSURED(scope, None)
    if unanswered or (signs and not reassured) or any(calls(scope, None) for calls in _CALLS_FOR_ACTION):
        return Summary.SUSPICIOUS
    withdrawn = parts.answers.examination.status is Status.ENTERED_IN_ERROR
    if signs or in_error or withdrawn or any(leaves(scope, None) for leaves in _LEAVES_OPEN):
        return Summary.NOT_SETTLED
    if _EXEMPT(scope, None):
        return Summary.NO_SUSPICIOUS_FEATURE_FOUND
    valid = [result for result in parts.scores.values() if result.valid and waited_for(result, scope)]
    if not valid or not all(result.settled for result in valid):
        return Summary.NOT_SETTLED
    return Summary.NO_SUSPICIOUS_FEATURE_FOUND
