"""Derived facts on time: what lies before what, and how old somebody is.

Times are compared only where their order is certain, so a missing month or an unknown zone leaves a fact open. Each
fact that FHIRPath can say has its text in ``TIME_FHIRPATH``. Its variables are first and last instants that a time of
the entry can mean (:mod:`dermreport.examination.times`): ``%examinedFirst`` and ``%examinedLast``, and so on. ``now``
is the host's time; no clock is read.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from datetime import timedelta
from typing import Any

from dermreport.examination.decided import Action, Outcome
from dermreport.examination.lesion import HistoryAnswer, LesionHistory
from dermreport.examination.observed import Image, View
from dermreport.examination.people import EarlierSkinCancer
from dermreport.examination.times import certainly_apart, certainly_before, whole_years
from dermreport.expressions.evaluate import Scope, Truth, any_of
from dermreport.scores.validity import ADULT_YEARS
from dermreport.vocabulary.replies import Reply

#: Clocks of a practice differ by so much: within it nothing counts as later.
CLOCK_TOLERANCE = timedelta(minutes=10)
#: A picture taken within a day of the examination belongs to the visit.
SAME_VISIT = timedelta(days=1)
#: The shortest month: growth over that time counts as growth over a month.
A_MONTH = timedelta(days=28)
#: An age may be a year off the date of birth: told before a birthday, or reckoned by the calendar year.
AGE_TOLERANCE_YEARS = 1
#: The most days that a year can have.
LONGEST_YEAR_DAYS = 366


def _before(one: str | None, other: str | None, margin: timedelta = timedelta()) -> Truth:
    return None if one is None or other is None else certainly_before(one, other, margin)


def _examined(scope: Scope) -> str:
    return scope.answers.examination.examined


def _recorded(scope: Scope) -> str | None:
    return scope.answers.examination.recorded


def _now(scope: Scope) -> str | None:
    now: str | None = scope.context.settings.now
    return now


def _birth(scope: Scope) -> str | None:
    details = scope.answers.examination.patient.details
    return None if details is None else details.birth_date


def _history(scope: Scope) -> LesionHistory | None:
    lesion = scope.answers.examination.lesion
    return None if lesion is None else lesion.history


def _history_answers(scope: Scope) -> Iterator[HistoryAnswer]:
    history = _history(scope)
    if history is not None:
        yield from (value for value in history.__dict__.values() if isinstance(value, HistoryAnswer))


def _onsets(scope: Scope) -> list[str]:
    """Return every time since which something of the history is so."""
    history = _history(scope)
    if history is None:
        return []
    onsets = [answer.since for answer in _history_answers(scope) if answer.since is not None]
    return onsets if history.since is None else [history.since, *onsets]


def examined_in_future(scope: Scope, _item: object) -> Truth:
    """The examination lies after the host's time."""
    return _before(_now(scope), _examined(scope), CLOCK_TOLERANCE)


def recorded_in_future(scope: Scope, _item: object) -> Truth:
    """The record was made after the host's time."""
    return _before(_now(scope), _recorded(scope), CLOCK_TOLERANCE)


def recorded_before_examined(scope: Scope, _item: object) -> Truth:
    """The record was made before the examination."""
    return _before(_recorded(scope), _examined(scope), CLOCK_TOLERANCE)


def taken_in_future(scope: Scope, item: Image | View) -> Truth:
    """The picture or view at hand was taken after the host's time, or after the record where no such time is given."""
    return _before(_now(scope) or _recorded(scope), item.taken, CLOCK_TOLERANCE)


def dated_in_future(scope: Scope, item: Outcome) -> Truth:
    """The outcome at hand is dated after the host's time, or after the record where no such time is given."""
    return _before(_now(scope) or _recorded(scope), item.date, CLOCK_TOLERANCE)


def examined_before_birth(scope: Scope, _item: object) -> Truth:
    """The examination lies before the date of birth."""
    return _before(_examined(scope), _birth(scope))


def taken_before_birth(scope: Scope, item: Image | View) -> Truth:
    """The picture or view at hand was taken before the date of birth."""
    return _before(item.taken, _birth(scope))


def earlier_cancer_before_birth(scope: Scope, item: EarlierSkinCancer) -> Truth:
    """The earlier skin cancer at hand is dated before the date of birth."""
    return _before(item.year, _birth(scope))


def earlier_cancer_after_examination(scope: Scope, item: EarlierSkinCancer) -> Truth:
    """The earlier skin cancer at hand is dated after the examination."""
    return _before(_examined(scope), item.year)


def onset_before_birth(scope: Scope, _item: object) -> Truth:
    """Something of the lesion's history began before the date of birth."""
    return any_of(_before(since, _birth(scope)) for since in _onsets(scope))


def onset_after_examination(scope: Scope, _item: object) -> Truth:
    """Something of the lesion's history began after the examination."""
    return any_of(_before(_examined(scope), since) for since in _onsets(scope))


def taken_on_another_day(scope: Scope, item: Image | View) -> Truth:
    """The picture or view at hand was taken more than a day before or after the examination."""
    return None if item.taken is None else certainly_apart(item.taken, _examined(scope), SAME_VISIT)


def outcome_before_examination(scope: Scope, item: Outcome) -> Truth:
    """The outcome at hand is dated before the examination."""
    return _before(item.date, _examined(scope))


def action_before_examination(scope: Scope, item: Action) -> Truth:
    """The action at hand, or its result, is planned for a time before the examination."""
    return any_of(_before(planned, _examined(scope)) for planned in (item.date, item.latest, item.result_by))


def action_window_reversed(_scope: Scope, item: Action) -> Truth:
    """The window of the action at hand ends before it begins, or its date lies outside the window."""
    return any_of(
        (
            _before(item.latest, item.earliest),
            _before(item.latest, item.date),
            _before(item.date, item.earliest),
        )
    )


def advice_before_examination(scope: Scope, _item: object) -> Truth:
    """A date in the advice to the patient lies before the examination."""
    plan = scope.answers.examination.plan
    advice = None if plan is None else plan.safety_net
    times = () if advice is None else (advice.by_when, advice.heard_by)
    return any_of(_before(time, _examined(scope)) for time in times)


def _growing(scope: Scope) -> HistoryAnswer | None:
    history = _history(scope)
    return None if history is None else history.growing


def growing_for_a_month(scope: Scope, _item: object) -> Truth:
    """The lesion has grown for a month or more: by the days told, or by since when."""
    growing = _growing(scope)
    if growing is None:
        return None
    if growing.answer is not Reply.YES:
        return False if growing.answer is Reply.NO else None
    if growing.for_days is not None:
        return growing.for_days >= A_MONTH.days
    shorter = _before(_examined(scope), growing.since, -A_MONTH)
    return None if shorter is None else not shorter


def growing_time_not_told(scope: Scope, _item: object) -> bool:
    """The lesion grows, and what is recorded leaves open whether it has done so for a month."""
    growing = _growing(scope)
    return growing is not None and growing.answer is Reply.YES and growing_for_a_month(scope, None) is None


def _ages(scope: Scope) -> tuple[int, int] | None:
    """Return the fewest and the most whole years that the patient can have by the date of birth."""
    birth = _birth(scope)
    return None if birth is None else whole_years(birth, _examined(scope))


def _age_told(scope: Scope) -> int | None:
    background = scope.answers.examination.background
    return None if background is None else background.age_years


def adult_or_age_not_known(scope: Scope, _item: object) -> bool:
    """The patient isn't known to be a child, by the age told or else by the date of birth."""
    told, ages = _age_told(scope), _ages(scope)
    if told is not None:
        return told >= ADULT_YEARS
    return ages is None or ages[1] >= ADULT_YEARS


def age_differs_from_birth_date(scope: Scope, _item: object) -> Truth:
    """The age told is more than a year off the one that the date of birth gives."""
    told, ages = _age_told(scope), _ages(scope)
    if told is None or ages is None:
        return None
    return not ages[0] - AGE_TOLERANCE_YEARS <= told <= ages[1] + AGE_TOLERANCE_YEARS


def history_longer_than_life(scope: Scope, _item: object) -> Truth:
    """Something of the lesion's history has lasted longer than the patient can have lived."""
    told, ages = _age_told(scope), _ages(scope)
    known = [age for age in (told, None if ages is None else ages[1]) if age is not None]
    if not known:
        return None
    most_days = (max(known) + 1) * LONGEST_YEAR_DAYS
    return any((answer.for_days or 0) > most_days for answer in _history_answers(scope))


TIME_FACTS: Mapping[str, Callable[[Scope, Any], Truth]] = {
    "examined-in-future": examined_in_future,
    "recorded-in-future": recorded_in_future,
    "recorded-before-examined": recorded_before_examined,
    "taken-in-future": taken_in_future,
    "dated-in-future": dated_in_future,
    "examined-before-birth": examined_before_birth,
    "taken-before-birth": taken_before_birth,
    "earlier-cancer-before-birth": earlier_cancer_before_birth,
    "earlier-cancer-after-examination": earlier_cancer_after_examination,
    "onset-before-birth": onset_before_birth,
    "onset-after-examination": onset_after_examination,
    "taken-on-another-day": taken_on_another_day,
    "outcome-before-examination": outcome_before_examination,
    "action-before-examination": action_before_examination,
    "action-window-reversed": action_window_reversed,
    "advice-before-examination": advice_before_examination,
    "growing-for-a-month": growing_for_a_month,
    "growing-time-not-told": growing_time_not_told,
    "adult-or-age-not-known": adult_or_age_not_known,
    "age-differs-from-birth-date": age_differs_from_birth_date,
    "history-longer-than-life": history_longer_than_life,
}


def _certainly(one: str, other: str, margin: str = "") -> str:
    """Return in FHIRPath that one time lies certainly before another: true, false, or empty where it depends."""
    return f"iif(%{one}Last{margin} < %{other}First, true, iif(%{one}First{margin} >= %{other}Last, false, {{}}))"


_TOLERANCE = " + 10 minutes"

TIME_FHIRPATH: Mapping[str, str] = {
    "examined-in-future": _certainly("now", "examined", _TOLERANCE),
    "recorded-in-future": _certainly("now", "recorded", _TOLERANCE),
    "recorded-before-examined": _certainly("recorded", "examined", _TOLERANCE),
    "taken-in-future": _certainly("now", "taken", _TOLERANCE),
    "dated-in-future": _certainly("now", "dated", _TOLERANCE),
    "examined-before-birth": _certainly("examined", "birth"),
    "taken-before-birth": _certainly("taken", "birth"),
    "earlier-cancer-before-birth": _certainly("year", "birth"),
    "earlier-cancer-after-examination": _certainly("examined", "year"),
    "onset-before-birth": _certainly("since", "birth"),
    "onset-after-examination": _certainly("examined", "since"),
    "taken-on-another-day": (
        f"{_certainly('taken', 'examined', ' + 1 day')} or {_certainly('examined', 'taken', ' + 1 day')}"
    ),
    "outcome-before-examination": _certainly("dated", "examined"),
    "action-before-examination": " or ".join(
        _certainly(planned, "examined") for planned in ("date", "latest", "resultBy")
    ),
    "action-window-reversed": " or ".join(
        (
            _certainly("latest", "earliest"),
            _certainly("latest", "date"),
            _certainly("date", "earliest"),
        )
    ),
    "advice-before-examination": " or ".join(_certainly(time, "examined") for time in ("byWhen", "heardBy")),
    "growing-for-a-month": "iif(%sinceLast + 28 days <= %examinedFirst, true, "
    "iif(%sinceFirst + 28 days > %examinedLast, false, {}))",
}
