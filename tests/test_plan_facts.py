"""Calendar arithmetic of the plan rules: each function and its FHIRPath text on the same cases.

FHIRPath is evaluated by ``fhirpathpy``, an independent implementation. Its comparison of a date with a partial one
gives nothing where the partial one holds the date (FHIRPath, comparison of dates), as the functions give None.
"""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest
from fhirpathpy import evaluate
from hypothesis import given, settings
from hypothesis import strategies as st

from dermreport.answers import answers
from dermreport.examination.decided import Action, Outcome
from dermreport.examination.model import Examination
from dermreport.expressions.evaluate import Scope
from dermreport.rules.context import Context
from dermreport.rules.facts_plans import (
    PLAN_FACTS,
    PLAN_FHIRPATH,
)
from dermreport.rules.windows import FACE, SHORT
from dermreport.settings import Settings

EXAMINED = "2026-03-04T10:15:00+01:00"
WITHIN_75 = "outcome-within-75-days"
WITHIN_180 = "outcome-within-180-days"
AFTER_WINDOW = "action-after-short-window"
OVERDUE = "result-overdue"

#: Fact, examined, the other time, what follows.
CASES = [
    (WITHIN_75, EXAMINED, "2026-05-17", True),
    (WITHIN_75, EXAMINED, "2026-05-18", False),
    (WITHIN_75, EXAMINED, "2026-05-17T23:59:59-11:00", True),
    (WITHIN_75, EXAMINED, "2026-05-18T00:00:00+14:00", False),
    (WITHIN_75, "2026-03-04", "2026-03-04", True),
    (WITHIN_75, "2026-03-04", "2026-03-03", False),
    (WITHIN_75, "2025-12-20", "2026-03-04", True),
    (WITHIN_75, "2025-12-20", "2026-03-05", False),
    (WITHIN_75, "2023-12-20", "2024-03-04", False),
    (WITHIN_180, EXAMINED, "2026-08-30", True),
    (WITHIN_180, EXAMINED, "2026-08-31", False),
    (AFTER_WINDOW, EXAMINED, "2026-07-19", False),
    (AFTER_WINDOW, EXAMINED, "2026-07-20", True),
    (AFTER_WINDOW, EXAMINED, "2026-07-20T08:00:00+02:00", True),
    (AFTER_WINDOW, EXAMINED, "2026-06", False),
    (AFTER_WINDOW, EXAMINED, "2026-07", None),
    (AFTER_WINDOW, EXAMINED, "2026-08", True),
    (AFTER_WINDOW, EXAMINED, "2026", None),
    (AFTER_WINDOW, EXAMINED, "2025", False),
    (AFTER_WINDOW, EXAMINED, "2027", True),
    (OVERDUE, "2026-03-21T08:00:00+01:00", "2026-03-20", True),
    (OVERDUE, "2026-03-21T08:00:00+01:00", "2026-03-21", False),
    (OVERDUE, "2026-03-21T08:00:00+01:00", "2026-03-22", False),
    (OVERDUE, "2026-03-21T08:00:00+01:00", "2026-02", True),
    (OVERDUE, "2026-03-21T08:00:00+01:00", "2026-03", None),
    (OVERDUE, "2026-03-21T08:00:00+01:00", "2026-04", False),
    (OVERDUE, "2026-03-21T08:00:00+01:00", "2026", None),
]


def _examination(examined: str) -> Examination:
    return Examination.model_validate(
        {
            "identifier": {"value": "0b6c1f0e-93b5-4a36-8a0d-7f1f4c1f2a10"},
            "status": "final",
            "patient": {"reference": "Patient/1"},
            "examined": examined,
        }
    )


def _by_function(fact: str, given_time: str, other: str) -> bool | None:
    if fact == OVERDUE:
        scope = Scope(answers(_examination("2026-03-04")), PLAN_FACTS, Context({}, Settings(now=given_time)))
        item: Any = Action(key="a", action="excise-complete", result_by=other)
    else:
        scope = Scope(answers(_examination(given_time)), PLAN_FACTS, Context({}, Settings()))
        if fact == AFTER_WINDOW:
            item = Action(key="a", action="monitor-short", date=other)
        else:
            item = Outcome(key="o", kind="monitoring", date=other)
    return PLAN_FACTS[fact](scope, item)


def _by_fhirpath(fact: str, given_time: str, other: str) -> bool | None:
    names = {OVERDUE: ("now", "resultBy"), AFTER_WINDOW: ("examined", "deadline")}
    known, asked = names.get(fact, ("examined", "date"))
    found = evaluate({}, PLAN_FHIRPATH[fact], {known: given_time, asked: other})
    return found[0] if found else None


@pytest.mark.parametrize(("fact", "given_time", "other", "expected"), CASES)
def test_function_and_fhirpath_agree(fact: str, given_time: str, other: str, expected) -> None:
    assert _by_function(fact, given_time, other) is expected
    assert _by_fhirpath(fact, given_time, other) is expected


def test_every_text_has_cases_on_both_sides() -> None:
    for fact in PLAN_FHIRPATH:
        assert {expected for name, _, _, expected in CASES if name == fact} >= {True, False}


@settings(max_examples=60)
@given(st.dates(date(1990, 1, 1), date(2090, 12, 31)), st.integers(-400, 400))
def test_they_agree_on_any_two_days(start: date, days: int) -> None:
    other = (start + timedelta(days)).isoformat()
    for fact, limit in ((WITHIN_75, SHORT.from_days), (WITHIN_180, FACE.from_days)):
        assert _by_function(fact, start.isoformat(), other) is (0 <= days < limit)
        assert _by_fhirpath(fact, start.isoformat(), other) is (0 <= days < limit)
    assert _by_function(AFTER_WINDOW, start.isoformat(), other) is (days > SHORT.to_days)
    assert _by_fhirpath(AFTER_WINDOW, start.isoformat(), other) is (days > SHORT.to_days)


@pytest.mark.parametrize("fact", [WITHIN_75, WITHIN_180])
def test_without_a_date_nothing_follows(fact: str) -> None:
    scope = Scope(answers(_examination(EXAMINED)), PLAN_FACTS, Context({}, Settings()))
    assert PLAN_FACTS[fact](scope, Outcome(key="o", kind="monitoring")) is None


def test_the_end_of_a_window_counts_where_no_date_is_given() -> None:
    scope = Scope(answers(_examination(EXAMINED)), PLAN_FACTS, Context({}, Settings()))
    window = Action(key="a", action="monitor-short", earliest="2026-06-01", latest="2026-07-20")
    assert PLAN_FACTS[AFTER_WINDOW](scope, window) is True
    assert PLAN_FACTS[AFTER_WINDOW](scope, window.model_copy(update={"latest": None})) is False
    assert PLAN_FACTS[AFTER_WINDOW](scope, Action(key="a", action="monitor-short")) is None
