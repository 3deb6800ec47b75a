"""Derived facts about plan, outcomes and pictures: calendar arithmetic, keys that point elsewhere, recorded reasons.

Where FHIRPath can say the same, its text stands in ``PLAN_FHIRPATH`` and a test runs both on the same cases. Its
variables hold texts as entered: ``%examined``, ``%date`` of an outcome, ``%deadline`` and ``%resultBy`` of a planned
action, ``%now`` of the host.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from collections.abc import Set as AbstractSet
from datetime import timedelta
from functools import cache
from typing import TYPE_CHECKING, Any

from dermreport.examination.decided import Action, Departure, Outcome
from dermreport.examination.times import calendar_day, is_after_day, is_before_day
from dermreport.rules.facts_scores import reached
from dermreport.rules.tables import RULES
from dermreport.rules.windows import FACE, SHORT
from dermreport.scores.methods import NAMES
from dermreport.vocabulary.image_roles import ImageRole
from dermreport.vocabulary.image_scales import ImageScale
from dermreport.vocabulary.lights import Light
from dermreport.vocabulary.score_methods import ScoreMethod

if TYPE_CHECKING:
    from dermreport.examination.observed import Image, View
    from dermreport.expressions.evaluate import Scope


def _within(days: int) -> Callable[[Scope, Any], bool | None]:
    def within(scope: Scope, item: Outcome) -> bool | None:
        if item.date is None:
            return None
        baseline = calendar_day(scope.answers.examination.examined)
        return timedelta() <= calendar_day(item.date) - baseline < timedelta(days)

    within.__doc__ = f"The outcome at hand is dated fewer than {days} calendar days after the examination."
    return within


def action_after_short_window(scope: Scope, item: Action) -> bool | None:
    """The action at hand is due later than short-term monitoring was studied; open where its date leaves it open."""
    deadline = item.date or item.latest or item.earliest
    if deadline is None:
        return None
    baseline = calendar_day(scope.answers.examination.examined)
    try:
        last = baseline + timedelta(SHORT.to_days)
    except OverflowError:
        # The calendar ends before the window does: no day is later.
        return False
    return is_after_day(deadline, last)


def result_overdue(scope: Scope, item: Action) -> bool | None:
    """The day by which the result of the action at hand was due is over, by the host's time or by ``recorded``."""
    now = scope.context.settings.now or scope.answers.examination.recorded
    if now is None or item.result_by is None:
        return None
    return is_before_day(item.result_by, calendar_day(now))


def _dermatoscopic_images(scope: Scope) -> Iterator[tuple[Image, View]]:
    """Return each dermatoscopic picture that belongs to a view in a known light, with its view."""
    examination = scope.answers.examination
    views = {view.key: view for view in examination.views}
    for image in examination.images:
        view = views.get(image.view or "")
        if view is not None and view.light is not Light.UNKNOWN and image.role in {None, ImageRole.DERMATOSCOPIC}:
            yield image, view


def baseline_image(scope: Scope, _item: object) -> bool:
    """There is a dermatoscopic picture whose view says its light."""
    return any(True for _ in _dermatoscopic_images(scope))


def baseline_image_with_scale(scope: Scope, _item: object) -> bool:
    """There is a dermatoscopic picture whose view says its light, and in which something can be measured."""
    return any(image.scale in {ImageScale.RULER, ImageScale.BUILT_IN} for image, _ in _dermatoscopic_images(scope))


#: Letters, by ranges that every engine of regular expressions reads alike; what they hold beside letters (marks, digits
#: of other scripts) counts as one.
_LETTERS = "A-Za-zÀ-ÖØ-öø-῿Ⰰ-ⷿ぀-퟿"
_WITH_ONE = f"([{_LETTERS}][^{_LETTERS}]*)?"
#: A text with two letters at most: a reason has a word at least (common practice, no source).
SAYS_NOTHING = f"^[^{_LETTERS}]*{_WITH_ONE}{_WITH_ONE}$"


def gives_reason(departure: Departure) -> bool:
    """Return whether a departure's reason has as many letters as a word has; one without silences nothing."""
    # Compiled (and kept by ``re``) when the first reason is read: its ranges of letters take long.
    return re.fullmatch(SAYS_NOTHING, departure.reason) is None


def departure_without_words(_scope: Scope, item: Departure) -> bool:
    """The departure at hand gives no reason that can be read."""
    return not gives_reason(item)


def _planned_departures(scope: Scope) -> tuple[Departure, ...]:
    plan = scope.answers.examination.plan
    return plan.departures if plan is not None else ()


def _departs_from(rule: str) -> Callable[[Scope, Any], bool]:
    def departs(scope: Scope, _item: object) -> bool:
        return any(one.departs_from == rule and gives_reason(one) for one in _planned_departures(scope))

    departs.__doc__ = f"The plan records a reason for departing from the rule ``{rule}``."
    return departs


_EVERY_METHOD = frozenset(ScoreMethod)


def reached_scores_departed_from(scope: Scope, _item: object) -> bool:
    """Each score at or above its threshold is named, by code or by code and version, in a departure with a reason."""
    return not reached_without_reason(scope, _EVERY_METHOD)


def reached_without_reason(scope: Scope, methods: AbstractSet[ScoreMethod]) -> bool:
    """Return whether one of these methods is at or above its threshold, and no departure names it with a reason."""
    named = {one.departs_from for one in _planned_departures(scope) if gives_reason(one)}
    results = (result for result in scope.context.scores.values() if result.method.code in methods)
    return any(
        result.valid and reached(result) and named.isdisjoint((result.method.code.value, result.method.id))
        for result in results
    )


@cache
def _departable() -> frozenset[str]:
    """Return what a departure can name: the id of a rule, the code of a method, or its code and version."""
    return frozenset((*(rule.id for rule in RULES), *NAMES))


#: How a departure names a step of a pathway: the pathway's id and the step's.
PATHWAY_STEP = re.compile(r"([a-z0-9][a-z0-9.-]{0,63})/([a-z0-9][a-z0-9.-]{0,63})", re.ASCII)


def departure_names_nothing(scope: Scope, item: Departure) -> bool | None:
    """The departure at hand names no rule, no method and no pathway's step; open for another pathway's step."""
    if item.departs_from in _departable():
        return False
    named = PATHWAY_STEP.fullmatch(item.departs_from)
    if named is None:
        return True
    pathway = scope.context.pathway
    if pathway is None or pathway.id != named[1]:
        return None
    return named[2] not in pathway.step_ids


PLAN_FACTS: Mapping[str, Callable[[Scope, Any], bool | None]] = {
    "outcome-within-75-days": _within(SHORT.from_days),
    "outcome-within-180-days": _within(FACE.from_days),
    "action-after-short-window": action_after_short_window,
    "result-overdue": result_overdue,
    "baseline-image": baseline_image,
    "baseline-image-with-scale": baseline_image_with_scale,
    "reached-scores-departed-from": reached_scores_departed_from,
    "departure-names-nothing": departure_names_nothing,
    "departure-without-words": departure_without_words,
    **{f"departs-from.{rule.id}": _departs_from(rule.id) for rule in RULES},
}

_EXAMINED = "%examined.substring(0, 10).toDate()"
_OUTCOME = "%date.substring(0, 10).toDate()"
_DEADLINE = "%deadline.substring(0, 10).toDate()"
_RESULT_BY = "%resultBy.substring(0, 10).toDate()"
_NOW = "%now.substring(0, 10).toDate()"

PLAN_FHIRPATH: Mapping[str, str] = {
    "outcome-within-75-days": f"{_OUTCOME} >= {_EXAMINED} and {_OUTCOME} < {_EXAMINED} + {SHORT.from_days} days",
    "outcome-within-180-days": f"{_OUTCOME} >= {_EXAMINED} and {_OUTCOME} < {_EXAMINED} + {FACE.from_days} days",
    "action-after-short-window": f"{_DEADLINE} > {_EXAMINED} + {SHORT.to_days} days",
    "result-overdue": f"{_RESULT_BY} < {_NOW}",
}
