"""The order of partial times, and that each fact on time agrees with its FHIRPath.

Outside measures: the calendar and the zones of ISO 8601 as Python's ``datetime`` has them, the order of instants of
FHIRPath as a reference engine evaluates it, and ages counted day by day.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta, timezone
from functools import cache
from typing import Any

import pytest
from fhirpathpy import compile as compile_fhirpath
from hypothesis import given
from hypothesis import strategies as st
from strategies import _DAY_TIMES, _PARTIAL_TIMES
from test_rules import base, changed

from dermreport.answers import answers
from dermreport.examination.model import Examination
from dermreport.examination.times import certainly_apart, certainly_before, earliest, latest, whole_years
from dermreport.expressions.evaluate import Scope
from dermreport.rules.context import Context
from dermreport.rules.facts import FACTS
from dermreport.rules.facts_times import TIME_FACTS, TIME_FHIRPATH
from dermreport.settings import Settings

AHEAD, BEHIND = timezone(timedelta(hours=14)), timezone(timedelta(hours=-12))
END = (23, 59, 59, 999_999)


@pytest.mark.parametrize(
    ("text", "first", "last"),
    [
        ("2026", datetime(2026, 1, 1, tzinfo=AHEAD), datetime(2026, 12, 31, *END, tzinfo=BEHIND)),
        ("2024-02", datetime(2024, 2, 1, tzinfo=AHEAD), datetime(2024, 2, 29, *END, tzinfo=BEHIND)),
        ("2026-02", datetime(2026, 2, 1, tzinfo=AHEAD), datetime(2026, 2, 28, *END, tzinfo=BEHIND)),
        ("1900-02", datetime(1900, 2, 1, tzinfo=AHEAD), datetime(1900, 2, 28, *END, tzinfo=BEHIND)),
        ("2026-03-04", datetime(2026, 3, 4, tzinfo=AHEAD), datetime(2026, 3, 4, *END, tzinfo=BEHIND)),
        (
            "2026-03-04T10:00:00Z",
            datetime(2026, 3, 4, 10, tzinfo=UTC),
            datetime(2026, 3, 4, 10, 0, 0, 999_999, tzinfo=UTC),
        ),
        (
            "2026-03-04T10:00:00.5-11:30",
            datetime(2026, 3, 4, 21, 30, 0, 500_000, tzinfo=UTC),
            datetime(2026, 3, 4, 21, 30, 0, 599_999, tzinfo=UTC),
        ),
        (
            "2026-03-04T10:00:00.123456789+01:00",
            datetime(2026, 3, 4, 9, 0, 0, 123_456, tzinfo=UTC),
            datetime(2026, 3, 4, 9, 0, 0, 123_456, tzinfo=UTC),
        ),
        (
            "2016-12-31T23:59:60Z",
            datetime(2016, 12, 31, *END, tzinfo=UTC),
            datetime(2016, 12, 31, *END, tzinfo=UTC),
        ),
    ],
)
def test_what_a_time_can_mean(text: str, first: datetime, last: datetime) -> None:
    assert earliest(text) == first
    assert latest(text) == last


@pytest.mark.parametrize(
    ("one", "other", "before"),
    [
        ("2025", "2026", None),  # New Year comes at different instants round the earth
        ("2025-12-30", "2026-01-02", True),
        ("2026-03-04", "2026-03-04", None),
        ("2026-03-04", "2026-03-06", None),  # a day ends in the last zone after the next but one began in the first
        ("2026-03-04", "2026-03-07", True),
        ("2026-03-07", "2026-03-04", False),
        ("2026-03-04T10:00:00+01:00", "2026-03-04T09:30:00Z", True),
        ("2026-03-04T10:00:00+01:00", "2026-03-04T09:00:00Z", None),  # the same second
        ("2026-03-04T10:00:00.1Z", "2026-03-04T10:00:00.2Z", True),
        ("2026-03-04T10:00:00Z", "2026-03-04", None),
        ("2026", "2026-03", None),
        ("2026-04", "2026-03", None),
        ("2026-05", "2026-03", False),
        ("0001", "9999", True),
        ("9999-12-31", "0001-01-01", False),
    ],
)
def test_the_order_of_two_times(one: str, other: str, before: bool | None) -> None:  # noqa: FBT001 - the datum
    assert certainly_before(one, other) is before


def test_a_margin_has_two_sides() -> None:
    ten_minutes = timedelta(minutes=10)
    at = "2026-03-04T10:00:00.000000Z"
    assert certainly_before(at, "2026-03-04T10:10:00.000000Z", ten_minutes) is False
    assert certainly_before(at, "2026-03-04T10:10:00.000001Z", ten_minutes) is True
    assert certainly_apart(at, "2026-03-04T09:49:59.999999Z", ten_minutes) is True
    assert certainly_apart(at, "2026-03-04T09:50:00.000000Z", ten_minutes) is False
    assert certainly_apart(at, "2026-03-04", ten_minutes) is None


@given(_PARTIAL_TIMES)
def test_a_time_begins_before_it_ends(text: str) -> None:
    assert earliest(text) <= latest(text)


@given(_PARTIAL_TIMES, _PARTIAL_TIMES)
def test_an_order_is_certain_one_way_at_most(one: str, other: str) -> None:
    assert not (certainly_before(one, other) and certainly_before(other, one))
    assert certainly_before(one, one) is not True


@given(st.datetimes(timezones=st.just(UTC)), st.datetimes(timezones=st.just(UTC)))
def test_instants_are_in_the_order_of_the_clock(one: datetime, other: datetime) -> None:
    texts = [f"{when:%Y-%m-%dT%H:%M:%S.%f}Z".zfill(27) for when in (one, other)]
    assert certainly_before(*texts) is (one < other)


def test_what_is_only_a_day_is_never_before_an_instant_of_that_day_anywhere() -> None:
    for hours in range(-12, 15):
        offset = f"{'-' if hours < 0 else '+'}{abs(hours):02}:00"
        for clock in ("00:00:00", "23:59:59"):
            assert certainly_before("2026-03-04", f"2026-03-04T{clock}{offset}") is None
            assert certainly_before(f"2026-03-04T{clock}{offset}", "2026-03-04") is None


@pytest.mark.parametrize(
    ("begin", "end", "fewest", "most"),
    [
        ("1981-07-01", "2026-03-04", 44, 44),
        ("1981-03-04", "2026-03-04", 45, 45),
        ("1981-03-05", "2026-03-04", 44, 44),
        ("1981", "2026-03-04", 44, 45),
        ("1981-03", "2026-03-04", 44, 45),
        ("1981-02", "2026-03-04", 45, 45),
        ("2008-02-29", "2026-02-28", 18, 18),
        ("2008-02-29", "2026-02-27", 17, 17),
        ("2008-03-04", "2026-03-04T00:30:00+14:00", 18, 18),
        ("2027", "2026-03-04", -2, -1),
    ],
)
def test_whole_years(begin: str, end: str, fewest: int, most: int) -> None:
    assert whole_years(begin, end) == (fewest, most)


@given(st.dates(date(1890, 1, 1), date(2060, 1, 1)), st.integers(0, 60_000))
def test_whole_years_are_birthdays_counted(born: date, days: int) -> None:
    on = born + timedelta(days)
    birthdays = 0
    for year in range(born.year + 1, on.year + 1):
        leap_day = (born.month, born.day) == (2, 29) and (year % 4 or (year % 100 == 0 and year % 400))
        birthdays += (date(year, 2, 28) if leap_day else born.replace(year=year)) <= on
    assert whole_years(str(born), str(on)) == (birthdays, birthdays)


# --- each fact beside its FHIRPath -------------------------------------------------------------------------------

#: Where the variables of the FHIRPath texts stand in an entry, and on which item the fact is asked.
WHERE: dict[str, str] = {
    "examined": "examined",
    "recorded": "recorded",
    "now": "settings.now",
    "birth": "patient.details.birth_date",
    "since": "lesion.history.growing.since",
    "year": "background.earlier_skin_cancers.0.year",
    "taken": "images.0.taken",
    "dated": "outcomes.0.date",
    "date": "plan.actions.0.date",
    "latest": "plan.actions.0.latest",
    "earliest": "plan.actions.0.earliest",
    "resultBy": "plan.actions.0.result_by",
    "byWhen": "plan.safety_net.by_when",
    "heardBy": "plan.safety_net.heard_by",
}
ITEM: dict[str, str] = {
    "taken-in-future": "images",
    "taken-before-birth": "images",
    "taken-on-another-day": "images",
    "dated-in-future": "outcomes",
    "outcome-before-examination": "outcomes",
    "action-before-examination": "plan.actions",
    "action-window-reversed": "plan.actions",
    "earlier-cancer-before-birth": "background.earlier_skin_cancers",
    "earlier-cancer-after-examination": "background.earlier_skin_cancers",
}
RECORD = {
    "images": [{"key": "p1"}],
    "outcomes": [{"key": "o1", "kind": "histology"}],
    "background.earlier_skin_cancers": [{"kind": "melanoma"}],
    "lesion.history": {"growing": {"answer": "yes"}},
    "plan.safety_net": {"contact": "the practice"},
}
#: Times on both sides of every limit: minutes, a day, a month, a year; and some that leave it open.
TIMES = (
    "1981-07-01",
    "2025",
    "2026",
    "2026-02-03T09:00:00.000000Z",
    "2026-02-04",
    "2026-02-05T09:00:00.000000Z",
    "2026-03",
    "2026-03-03T08:59:58.000000Z",
    "2026-03-03T09:00:02.000000Z",
    "2026-03-04",
    "2026-03-04T08:49:58.000000Z",
    "2026-03-04T08:50:02.000000Z",
    "2026-03-04T09:00:00.000000Z",
    "2026-03-04T10:00:00.000000+01:00",
    "2026-03-04T09:09:58.000000Z",
    "2026-03-04T09:10:02.000000Z",
    "2026-03-06",
    "2027",
)
INSTANTS = tuple(text for text in TIMES if "T" in text)
DAY_TIMES = tuple(text for text in TIMES if len(text) > len("2026-03"))
TAKES = {"recorded": INSTANTS, "now": INSTANTS, "examined": DAY_TIMES, "taken": DAY_TIMES, "dated": DAY_TIMES}


def variables_of(text: str) -> list[str]:
    return [name for name in WHERE if f"%{name}First" in text or f"%{name}Last" in text]


@cache
def compiled(text: str) -> Any:
    return compile_fhirpath(text)


def fhirpath(text: str, values: dict[str, str]) -> bool | None:
    """Return what the reference engine says; variables that aren't given are empty.

    The engine adds no time to a dateTime with a fraction of a second, so whole seconds go in: the instants of the cases
    are exact to the microsecond and lie on whole seconds.
    """
    known: dict[str, str] = {}
    for name in WHERE:
        for suffix, bound in (("First", earliest), ("Last", latest)):
            variable, value = f"{name}{suffix}", values.get(name)
            if value is None:
                text = text.replace(f"%{variable}", "{}")
            else:
                text = text.replace(f"%{variable}", f"%{variable}.toDateTime()")
                known[variable] = f"{bound(value).astimezone(UTC):%Y-%m-%dT%H:%M:%S}Z"
    result = compiled(text)({}, known)
    return None if result == [] else bool(result[0])


def fact(name: str, values: dict[str, str]) -> bool | None:
    """Return what the function behind the fact says of the ordinary good record with these times."""
    edits = {**RECORD, "examined": "2026-03-04T09:00:00Z", "recorded": None, "patient.details": {}}
    edits |= {WHERE[variable]: value for variable, value in values.items() if variable != "now"}
    bare = {name: value for name, value in base().items() if name in {"identifier", "status", "patient", "plan"}}
    examination = Examination.model_validate(changed(bare, edits))
    scope = Scope(answers(examination), FACTS, Context({}, Settings(now=values.get("now"))))
    item: Any = None
    if name in ITEM:
        item = examination
        for part in ITEM[name].split("."):
            item = getattr(item, part)
        item = item[0]
    return TIME_FACTS[name](scope, item)


@pytest.mark.parametrize("name", TIME_FHIRPATH)
def test_a_fact_agrees_with_its_fhirpath(name: str) -> None:
    text = TIME_FHIRPATH[name]
    used = variables_of(text)
    found = set()
    first, *rest = used
    for one in TAKES.get(first, TIMES):
        for variable in rest:
            for other in TAKES.get(variable, TIMES):
                values = {first: one, variable: other}
                said = fact(name, values)
                assert said is fhirpath(text, values), values
                found.add(said)
    if " or " in text and "taken" not in used:
        # It asks several pairs of times; while one pair is given, the others leave it open.
        assert found == {True, None}
    else:
        # Two instants always have an order.
        assert found == ({True, False} if {"recorded", "now"} == set(used) else {True, False, None})


def test_what_has_no_time_is_open() -> None:
    for name in TIME_FHIRPATH:
        assert fact(name, {}) is not True
        assert fhirpath(TIME_FHIRPATH[name], {"examined": "2026-03-04T09:00:00Z"}) is None


def test_facts_without_a_fhirpath_text_are_the_ones_that_fhirpath_has_no_word_for() -> None:
    """It has no difference of two dates in years, no sum of a number and a unit, and no word for «not told»."""
    assert TIME_FACTS.keys() - TIME_FHIRPATH.keys() == {
        "growing-time-not-told",
        "adult-or-age-not-known",
        "age-differs-from-birth-date",
        "history-longer-than-life",
    }


@given(_DAY_TIMES)
def test_an_examination_at_any_time_is_in_order_with_itself(examined: str) -> None:
    assert certainly_before(examined, examined) is not True
