"""What a series shows that somebody has to act on: changes, results that don't fit, answers that never came."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from dermreport.examination.times import calendar_day, certainly_before, is_before_day
from dermreport.expressions.evaluate import Scope
from dermreport.over_time.comparison import (
    Comparison,
    Interval,
    SeriesVerdict,
    another_site,
    compare,
)
from dermreport.over_time.results import Result, not_clearing
from dermreport.over_time.rules import series_issue
from dermreport.rules.conditions import planned
from dermreport.rules.engine import deciding
from dermreport.rules.facts import FACTS, Context
from dermreport.vocabulary.action_kinds import ActionKind
from dermreport.vocabulary.agreements import Agreement
from dermreport.vocabulary.changes_seen import ChangeSeen
from dermreport.vocabulary.concerns import Concern
from dermreport.vocabulary.histology_results import HistologyResult
from dermreport.vocabulary.outcome_kinds import OutcomeKind
from dermreport.vocabulary.plan_actions import PlanAction
from dermreport.vocabulary.specimen_extents import SpecimenExtent

if TYPE_CHECKING:
    from collections.abc import Iterator
    from datetime import date

    from dermreport.examination.decided import Action, Outcome
    from dermreport.issues import Issue
    from dermreport.reviews.review import Review


def checked(
    reviews: tuple[Review, ...], steps: tuple[Comparison, ...], overall: Comparison, as_of: str | None
) -> Iterator[Issue]:
    """Yield the issues of a series.

    Args:
        reviews: The examinations in their order.
        steps: Each compared with the one before it.
        overall: The last one compared with the first one.
        as_of: The time at which it is asked, or ``None`` for that of the last examination.
    """
    for step in steps:
        yield from _of_step(reviews, step)
    yield from _named_otherwise(reviews)
    changed = [step for step in steps if step.changed]
    # Slow growth can hide between steps that are each too small to be measured.
    if not changed and overall.changed:
        changed = [overall]
    for one in changed:
        answered = any(_ANSWERS(_scope(review), None) for review in reviews[one.now :])
        rule = "series-change-answered" if answered else "series-change-significant"
        yield series_issue(rule, f"$[{one.now}]")
    results = tuple(not_clearing(reviews))
    for result in results:
        if result.cancer:
            yield _of_cancer(reviews, result)
    for place, review in enumerate(reviews):
        for position, outcome in enumerate(review.examination.outcomes):
            cancer = any(one.cancer and one.outcome is outcome for one in results)
            yield from _of_outcome(reviews, place, outcome, f"$[{place}].outcomes[{position}]", cancer=cancer)
        plan = review.examination.plan
        for position, action in enumerate(plan.actions if plan is not None else ()):
            if _is_answer_overdue(reviews, place, action, as_of):
                yield series_issue("series-outcome-overdue", f"$[{place}].plan.actions[{position}]")
    yield from _of_follow_up(reviews, as_of)


def _scope(review: Review) -> Scope:
    return Scope(review.answers, FACTS, Context(review.scores, review.settings))


#: Somebody removes the lesion or is asked to.
_ANSWERS = deciding().surely(planned(ActionKind.REFERRAL, ActionKind.TISSUE_WHOLE, ActionKind.TISSUE_PART))


def _of_step(reviews: tuple[Review, ...], step: Comparison) -> Iterator[Issue]:
    here = f"$[{step.now}]"
    if not step.comparable:
        yield series_issue("series-no-common-light", f"{here}.views")
    if step.interval is Interval.TOO_SOON and not step.changed:
        yield series_issue("series-too-soon", f"{here}.examined", days=str(step.days), window=step.window.words)
    if step.interval is Interval.LATER:
        yield series_issue("series-late", f"{here}.examined", days=str(step.days), window=step.window.words)
    if another_site(reviews[step.then], reviews[step.now]):
        yield series_issue("series-other-site", f"{here}.lesion")


#: The rule of one examination on a cancer by histology on which nobody acts.
_UNOWNED: Final = "pathology-malignant-without-plan"


def _of_cancer(reviews: tuple[Review, ...], result: Result) -> Issue:
    """Name the result. It is answered where its own record says who acts on it, or a later plan removes or refers.

    The plan of its own record doesn't answer it by a removal or referral alone: that may be how it became known.
    """
    path = f"outcomes[{result.position}].result"
    owned = not any(one.rule == _UNOWNED and one.path == f"$.{path}" for one in reviews[result.review].issues)
    answered = owned or any(_ANSWERS(_scope(review), None) for review in reviews[result.review + 1 :])
    name = result.outcome.result if isinstance(result.outcome.result, HistologyResult) else ""
    rule = "series-cancer-answered" if answered else "series-cancer-found"
    return series_issue(rule, f"$[{result.review}].{path}", result=name)


def _named_otherwise(reviews: tuple[Review, ...]) -> Iterator[Issue]:
    """Yield where body map or label differ from those recorded last under the same identifier."""
    last: dict[str, object] = {}
    for place, review in enumerate(reviews):
        lesion = review.examination.lesion
        if lesion is None:
            continue
        told = {
            "map_point.map": lesion.map_point.map if lesion.map_point is not None else None,
            "label": lesion.label.strip().casefold() if lesion.label is not None else None,
        }
        for name, value in told.items():
            if value is not None and last.setdefault(name, value) != value:
                yield series_issue("series-named-otherwise", f"$[{place}].lesion.{name}")
                last[name] = value


def _of_outcome(
    reviews: tuple[Review, ...], place: int, outcome: Outcome, path: str, *, cancer: bool
) -> Iterator[Issue]:
    if outcome.kind is OutcomeKind.MONITORING:
        pair = _compared(reviews, place, outcome)
        if pair is not None:
            yield from _of_monitoring(compare(reviews, *pair), outcome, path)
    elif outcome.kind is OutcomeKind.HISTOLOGY:
        yield from _of_histology(reviews, place, outcome, path, cancer=cancer)
    if outcome.agreement is Agreement.DIFFERS:
        yield series_issue("series-outcome-disagrees", f"{path}.agreement")


def _compared(reviews: tuple[Review, ...], place: int, outcome: Outcome) -> tuple[int, int] | None:
    """Return the two examinations that a monitoring outcome compares.

    It stands with the earlier one and is dated on the day of the later one, or with the later one itself. Without a
    date it compares the one that has it with the next, and the last with the one before. ``None`` where no
    examination of the series has its day: what was seen then isn't in the series.
    """
    if outcome.date is None:
        return (place, place + 1) if place + 1 < len(reviews) else (place - 1, place)
    day = calendar_day(outcome.date)
    days = [calendar_day(one.examination.examined) for one in reviews]
    if day == days[place]:
        return (place - 1, place) if place else None
    later = [other for other in range(place + 1, len(reviews)) if days[other] == day]
    return (place, later[0]) if later else None


def _of_monitoring(comparison: Comparison, outcome: Outcome, path: str) -> Iterator[Issue]:
    verdict, said = comparison.verdict, outcome.change
    if said is ChangeSeen.UNCHANGED and comparison.changed:
        yield series_issue("series-recorded-unchanged-but-changed", f"{path}.change")
    elif said is ChangeSeen.UNCHANGED and verdict is not SeriesVerdict.NO_SIGNIFICANT_CHANGE:
        gaps = ", ".join(comparison.gaps)
        yield series_issue("series-unchanged-not-supported", f"{path}.change", gaps=gaps)
    elif said is ChangeSeen.CHANGED and verdict is SeriesVerdict.NO_SIGNIFICANT_CHANGE:
        yield series_issue("series-outcome-disagrees", f"{path}.change")


def _of_histology(
    reviews: tuple[Review, ...], place: int, outcome: Outcome, path: str, *, cancer: bool
) -> Iterator[Issue]:
    later = reviews[place + 1 :]
    assessments = [review.examination.assessment for review in later]
    benign = any(one is not None and one.concern is Concern.BENIGN for one in assessments)
    if benign and cancer:
        yield series_issue("series-outcome-disagrees", f"{path}.result")
    if outcome.specimen is SpecimenExtent.WHOLE and any(
        outcome.date is not None and certainly_before(outcome.date, review.examination.examined) for review in later
    ):
        yield series_issue("series-removed-and-seen-again", f"{path}.specimen")


_ORDERED = {
    ActionKind.TISSUE_WHOLE: OutcomeKind.HISTOLOGY,
    ActionKind.TISSUE_PART: OutcomeKind.HISTOLOGY,
    ActionKind.OPINION: OutcomeKind.OPINION,
}


def _asked(reviews: tuple[Review, ...], as_of: str | None) -> date:
    return calendar_day(as_of if as_of is not None else reviews[-1].examination.examined)


def _is_look_overdue(reviews: tuple[Review, ...], place: int, action: Action, as_of: str | None) -> bool:
    """Whether a planned look was due and none was recorded in time."""
    step, due = action.action, action.latest or action.date or action.earliest
    if not isinstance(step, PlanAction) or step.kind is not ActionKind.MONITORING or due is None:
        return False
    looks = [calendar_day(review.examination.examined) for review in reviews[place + 1 :]]
    # A look within the time asked: one that isn't known to come after it.
    in_time = any(not is_before_day(due, look) for look in looks)
    return is_before_day(due, _asked(reviews, as_of)) is True and not in_time


def _of_follow_up(reviews: tuple[Review, ...], as_of: str | None) -> Iterator[Issue]:
    """One call to the patient is enough, for what was planned last: an earlier look that came late has come."""
    overdue = [
        (-place, position)
        for place, review in enumerate(reviews)
        if review.examination.plan is not None
        for position, action in enumerate(review.examination.plan.actions)
        if _is_look_overdue(reviews, place, action, as_of)
    ]
    if overdue:
        place, position = min(overdue)
        yield series_issue("series-follow-up-overdue", f"$[{-place}].plan.actions[{position}]")


def _is_answer_overdue(reviews: tuple[Review, ...], place: int, action: Action, as_of: str | None) -> bool:
    """Whether an answer that was ordered was due and stands in no examination since."""
    step = action.action
    awaited = _ORDERED.get(step.kind) if isinstance(step, PlanAction) else None
    due = action.result_by or action.latest or action.date or action.earliest
    known = any(outcome.kind is awaited for review in reviews[place:] for outcome in review.examination.outcomes)
    return awaited is not None and due is not None and is_before_day(due, _asked(reviews, as_of)) is True and not known
