"""Completeness against the report standard: Malvehy and others 2007, doi 10.1016/j.jaad.2006.02.051.

Ten items, none mandatory. Items 1 to 4 and the beginning of item 5 were read in the paper's abstract; items 6 to 10
are from memory.
"""

from __future__ import annotations

import copy
from typing import Any

import pytest

from dermreport.answers import answers
from dermreport.examination.model import Examination
from dermreport.expressions.evaluate import Scope
from dermreport.rules.completeness import REPORT_STANDARD, ItemState, ReportItem, completeness
from dermreport.rules.facts import FACTS
from dermreport.sources import Known, Source

#: A record that gives every item.
FULL: dict[str, Any] = {
    "identifier": {"value": "0b6c1f0e-93b5-4a36-8a0d-7f1f4c1f2a10"},
    "status": "final",
    "patient": {"reference": "Patient/1"},
    "examined": "2026-03-04",
    "background": {"age_years": 61, "had_skin_cancer": "no", "family_melanoma": "none"},
    "lesion": {
        "site": "scapular-area",
        "side": "left",
        "longest_mm": 8,
        "elevation": "flat",
        "history": {"growing": {"answer": "unknown"}},
    },
    "views": [{"key": "v1", "light": "polarised", "equipment": "hand-held dermatoscope", "magnification": 10}],
    "images": [{"key": "p1", "role": "overview"}, {"key": "p2", "view": "v1", "role": "dermatoscopic"}],
    "findings": [{"structure": "network-atypical", "presence": "present"}],
    "description": {"step_one": "melanocytic"},
    "assessment": {
        "impressions": [{"key": "i1", "impression": "melanoma-cannot-be-excluded"}],
        "methods_used": ["seven-point"],
    },
    "plan": {
        "actions": [{"key": "a1", "action": "excise-complete", "urgency": "urgent"}],
        "for_pathologist": "Suspected at the upper edge.",
    },
}

#: Item, what it is taken out of or changed in (None takes a field out), and the state that follows.
CASES: list[tuple[int, str, dict[str, Any], ItemState]] = [
    (1, "age not recorded", {"background.age_years": None}, ItemState.MISSING),
    (1, "no history of the lesion", {"lesion.history": None}, ItemState.MISSING),
    (1, "an empty history of the lesion", {"lesion.history": {}}, ItemState.MISSING),
    (1, "onset alone is a history", {"lesion.history": {"since": "2025"}}, ItemState.GIVEN),
    (1, "earlier skin cancer not asked", {"background.had_skin_cancer": None}, ItemState.MISSING),
    (
        1,
        "earlier skin cancer named",
        {"background.had_skin_cancer": None, "background.earlier_skin_cancers": [{"kind": "basal-cell"}]},
        ItemState.GIVEN,
    ),
    (1, "asked and not known is given", {"background.had_skin_cancer": "unknown"}, ItemState.GIVEN),
    (1, "family not asked", {"background.family_melanoma": None}, ItemState.MISSING),
    (2, "no site", {"lesion.site": None}, ItemState.MISSING),
    (2, "no size", {"lesion.longest_mm": None}, ItemState.MISSING),
    (2, "neither seen nor felt", {"lesion.elevation": None}, ItemState.MISSING),
    (2, "felt", {"lesion.elevation": None, "lesion.palpation": {"consistency": "soft"}}, ItemState.GIVEN),
    (2, "no lesion", {"lesion": None}, ItemState.MISSING),
    (3, "first step not recorded", {"description": None}, ItemState.MISSING),
    (3, "first step uncertain is given", {"description.step_one": "uncertain"}, ItemState.GIVEN),
    (4, "no structure", {"findings": None}, ItemState.MISSING),
    (
        4,
        "only a structure that isn't of the standard terms",
        {"findings": [{"structure": {"system": "https://host.example/s", "code": "s"}, "presence": "present"}]},
        ItemState.MISSING,
    ),
    (4, "an absent structure is a term", {"findings.0.presence": "absent"}, ItemState.GIVEN),
    (4, "a list gone through", {"findings": None, "lists_gone_through": [{"list": "vessels"}]}, ItemState.GIVEN),
    (4, "a pattern", {"findings": None, "description.pattern": "pattern-starburst"}, ItemState.GIVEN),
    (5, "no method named", {"assessment.methods_used": None}, ItemState.MISSING),
    (6, "no equipment", {"views.0.equipment": None}, ItemState.MISSING),
    (6, "no magnification", {"views.0.magnification": None}, ItemState.MISSING),
    (
        6,
        "equipment of one view, magnification of another",
        {
            "views": [
                {"key": "v1", "light": "polarised", "equipment": "hand-held dermatoscope"},
                {"key": "v2", "light": "polarised", "magnification": 10},
            ]
        },
        ItemState.MISSING,
    ),
    (6, "no view", {"views": None}, ItemState.MISSING),
    (7, "no picture", {"images": None}, ItemState.MISSING),
    (7, "no dermatoscopic picture", {"images.1.role": "close-up"}, ItemState.MISSING),
    (7, "no picture to the naked eye", {"images.0.role": "dermatoscopic"}, ItemState.MISSING),
    (7, "a close-up", {"images.0.role": "close-up"}, ItemState.GIVEN),
    (7, "roles not recorded", {"images.0.role": None}, ItemState.MISSING),
    (8, "no name", {"assessment.impressions": None}, ItemState.MISSING),
    (9, "no plan", {"plan": None}, ItemState.MISSING),
    (9, "a plan without a step", {"plan.actions": None}, ItemState.MISSING),
    (10, "no remarks", {"plan.for_pathologist": None}, ItemState.MISSING),
    (
        10,
        "part of it taken, no remarks",
        {"plan": {"actions": [{"key": "a", "action": "biopsy-punch"}]}},
        ItemState.MISSING,
    ),
    (10, "no tissue taken", {"plan": {"actions": [{"key": "a", "action": "cryotherapy"}]}}, ItemState.NOT_APPLICABLE),
    (10, "no plan", {"plan": None}, ItemState.NOT_APPLICABLE),
    (
        10,
        "remarks written although no tissue is taken",
        {"plan.actions.0.action": "refer-dermatology"},
        ItemState.GIVEN,
    ),
]


def _changed(edits: dict[str, Any]) -> dict[str, Any]:
    record = copy.deepcopy(FULL)
    for path, value in edits.items():
        *way, last = (int(part) if part.isdigit() else part for part in path.split("."))
        here: Any = record
        for part in way:
            here = here[part]
        if value is None:
            del here[last]
        else:
            here[last] = value
    return record


def _items(record: dict[str, Any]) -> tuple[ReportItem, ...]:
    return completeness(Scope(answers(Examination.model_validate(record)), FACTS))


def test_a_full_record_gives_all_ten_items_in_order() -> None:
    items = _items(FULL)
    assert [item.number for item in items] == list(range(1, 11))
    assert [item.state for item in items] == [ItemState.GIVEN] * 10
    assert all(item.given and item.message == "" for item in items)


@pytest.mark.parametrize(
    ("number", "name", "edits", "state"), CASES, ids=lambda value: value if isinstance(value, str) else ""
)
def test_an_item_follows_what_is_recorded(number: int, name: str, edits: dict[str, Any], state: ItemState) -> None:
    item = _items(_changed(edits))[number - 1]
    assert item.state is state, name
    assert item.given is (state is ItemState.GIVEN)
    assert bool(item.message) is (state is ItemState.MISSING)


@pytest.mark.parametrize("number", range(1, 11))
def test_each_item_can_be_missing(number: int) -> None:
    assert any(case[0] == number and case[3] is ItemState.MISSING for case in CASES)


def test_the_least_record_gives_no_item_and_one_does_not_apply() -> None:
    least = {name: FULL[name] for name in ("identifier", "status", "patient", "examined")}
    states = [item.state for item in _items(least)]
    assert states == [ItemState.MISSING] * 9 + [ItemState.NOT_APPLICABLE]


def test_taking_a_field_out_never_adds_an_item() -> None:
    given_before = {item.number for item in _items(FULL) if item.given}
    for number, _, edits, _ in CASES:
        if all(value is None for value in edits.values()):
            given_after = {item.number for item in _items(_changed(edits)) if item.given}
            assert given_after <= given_before - {number}


def test_items_1_to_5_are_seen_and_6_to_10_from_memory() -> None:
    known = [row.basis.known for row in REPORT_STANDARD]
    assert known == [Known.SEEN] * 5 + [Known.MEMORY] * 5
    assert all(row.basis.sources == (Source.REPORT_STANDARD_2007,) for row in REPORT_STANDARD[:5])
    assert "beginning" in REPORT_STANDARD[4].basis.note
