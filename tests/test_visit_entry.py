"""Partly filled visits: of each lesion what can be held is held, and none takes another one's urgent step with it."""

from __future__ import annotations

import copy
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from strategies import parts
from test_entry import JSON

from dermreport import Severity, Visit, VisitEntry, from_entry, from_visit, review, to_fhir
from dermreport.examination.model import LesionRecord
from dermreport.examination.reader import MAX_ENTRY

EXAMPLES = Path(__file__).parent.parent / "examples"
TEXT = (EXAMPLES / "visit-three-lesions.json").read_text(encoding="utf-8")
PATIENT = {"reference": "Patient/1"}
SHARED = {"patient": PATIENT, "examined": "2026-03-04"}
STEP = {"key": "1", "action": "refer-suspected-cancer", "urgency": "urgent"}
FINDING = {"structure": "network", "presence": "present"}
LISTS = [{"list": "pigmented-lesion"}]
PLAN_RULES = {"entry-plan-not-sent", "entry-plan-not-known"}
SLOW = settings(max_examples=40, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])


def record(value: str, **fields: Any) -> dict[str, Any]:
    return {"identifier": {"system": "urn:x:ids", "value": value}, "status": "final", **fields}


def urgent(value: str, **fields: Any) -> dict[str, Any]:
    return record(value, plan={"actions": [STEP]}, **fields)


def told(found: VisitEntry) -> list[tuple[str, str]]:
    return sorted((one.rule, one.path) for one in found.issues)


def held(found: VisitEntry) -> list[bool]:
    return [one.examination is not None for one in found.entries]


def requests(found: VisitEntry) -> list[tuple[str, str | None]]:
    """Return state and priority of each request that goes out."""
    made = to_fhir([review(one) for one in found.examinations]).resources
    return [(one["status"], one.get("priority")) for one in made if one["resourceType"] == "ServiceRequest"]


@pytest.mark.parametrize("entered", [TEXT, TEXT.encode(), json.loads(TEXT)], ids=["text", "bytes", "dict"])
def test_a_good_visit_is_held_as_the_strict_reader_reads_it(entered: Any) -> None:
    found = from_visit(entered)
    assert (found.issues, found.lost) == ((), ())
    assert [one.to_json() for one in found.examinations] == [
        one.to_json() for one in Visit.from_json(TEXT).examinations
    ]
    assert [one.position_in_visit for one in found.examinations] == [None] * 3


@SLOW
@given(st.lists(parts(LesionRecord), min_size=1, max_size=3))
def test_any_visit_that_the_strict_reader_takes_is_held_as_it_reads_it(records: list[LesionRecord]) -> None:
    lesions = [of.model_dump(exclude_defaults=True) for of in records]
    for at, one in enumerate(lesions):
        one["identifier"] = {"system": "urn:x:ids", "value": str(at)}
        for name in ("label", "identifier"):
            one.get("lesion", {}).pop(name, None)
    entered = {**SHARED, "lesions": lesions}
    found = from_visit(entered)
    assert found.issues == ()
    assert [one.to_json() for one in found.examinations] == [
        one.to_json() for one in Visit.model_validate(entered).examinations
    ]


def test_one_examination_is_a_visit_of_one() -> None:
    for text in ((EXAMPLES / "usual.json").read_text("utf-8"), "{", "[]", "{}", " " * (MAX_ENTRY + 1)):
        assert from_visit(text).entries == (from_entry(text),)


#: A visit beside the shared facts; which lesions are held; what is told.
CASES: tuple[tuple[str, dict[str, Any], list[bool], list[tuple[str, str]]], ...] = (
    (
        "one wrong field of one lesion",
        {"lesions": [urgent("1"), urgent("2", lesion={"site": "tail"}), urgent("3")]},
        [True, True, True],
        [("entry-unknown-code", "$.lesions[1].lesion.site")],
    ),
    (
        "a list within a list keeps its positions",
        {"lesions": [urgent("1"), urgent("2", findings=[{}, FINDING, FINDING])]},
        [True, True],
        [
            ("entry-given-twice", "$.lesions[1].findings[2]"),
            ("entry-missing", "$.lesions[1].findings[0].presence"),
            ("entry-missing", "$.lesions[1].findings[0].structure"),
        ],
    ),
    (
        "a shared fact is told once",
        {"mode": "by-owl", "lesions": [urgent("1"), urgent("2")]},
        [True, True],
        [("entry-unknown-code", "$.mode")],
    ),
    (
        "the visit's number",
        {"identifier": {"value": "7"}, "lesions": [urgent("1")]},
        [True],
        [("entry-identifier-without-system", "$.identifier")],
    ),
    (
        "a lesion of which nothing is held",
        {"lesions": [urgent("1"), urgent("2", status="x", note=7), record("3")]},
        [True, False, True],
        [
            ("entry-lesion-not-held", "$.lesions[0]"),
            ("entry-lesion-not-held", "$.lesions[2]"),
            ("entry-nothing-held", "$.lesions[1]"),
            ("entry-plan-not-sent", "$.lesions[1].plan"),
            ("entry-unknown-code", "$.lesions[1].status"),
            ("entry-wrong-kind", "$.lesions[1].note"),
        ],
    ),
    (
        "a lesion that is no object",
        {"lesions": ["refer at once", urgent("2")]},
        [False, True],
        [
            ("entry-lesion-not-held", "$.lesions[1]"),
            ("entry-plan-not-known", "$.lesions[0]"),
            ("entry-wrong-kind", "$.lesions[0]"),
        ],
    ),
    (
        "a shared fact without which there is no examination",
        {"patient": None, "lesions": [urgent("1"), record("2", note=7)]},
        [False, False],
        [
            ("entry-nothing-held", "$.lesions[0]"),
            ("entry-nothing-held", "$.lesions[1]"),
            ("entry-plan-not-sent", "$.lesions[0].plan"),
            ("entry-wrong-kind", "$.lesions[1].note"),
            ("entry-wrong-kind", "$.patient"),
        ],
    ),
    (
        "a plan of the whole visit",
        {"plan": {"actions": [STEP]}, "lesions": [record("1")]},
        [True],
        [("entry-plan-not-known", "$"), ("entry-unknown-field", "$")],
    ),
    (
        "findings of the whole visit undo what was gone through",
        {"findings": [FINDING], "lesions": [record("1", lists_gone_through=LISTS), record("2")]},
        [True, True],
        [
            ("entry-list-undone", "$.lesions[0].lists_gone_through"),
            ("entry-plan-not-known", "$"),
            ("entry-unknown-field", "$"),
        ],
    ),
    (
        "a fact of the visit in a lesion",
        {"lesions": [urgent("1", examined="2026-03-05", patient=PATIENT)]},
        [True],
        [("entry-plan-not-known", "$.lesions[0]"), ("entry-unknown-field", "$.lesions[0]")],
    ),
    (
        "another patient in a lesion",
        {"lesions": [urgent("1"), urgent("2", patient={"reference": "Patient/2"})]},
        [True, False],
        [
            ("entry-lesion-not-held", "$.lesions[0]"),
            ("entry-nothing-held", "$.lesions[1]"),
            ("entry-plan-not-sent", "$.lesions[1].plan"),
            ("entry-two-patients", "$.lesions[1].patient"),
            ("entry-unknown-field", "$.lesions[1]"),
        ],
    ),
    (
        "two lesions with one label and one number",
        {
            "lesions": [
                urgent("1", lesion={"label": "A", "identifier": {"system": "urn:x:l", "value": "7"}}),
                urgent("2", lesion={"label": "A", "identifier": {"system": "urn:x:l", "value": "7"}}),
            ]
        },
        [True, True],
        [
            ("entry-given-twice", "$.lesions[1].lesion.identifier"),
            ("entry-given-twice", "$.lesions[1].lesion.label"),
        ],
    ),
    (
        "of two examinations with one number the urgent one is held",
        {"lesions": [record("1"), urgent("1"), urgent("1")]},
        [False, True, False],
        [
            ("entry-given-twice", "$.lesions[0].identifier"),
            ("entry-given-twice", "$.lesions[2].identifier"),
            ("entry-lesion-not-held", "$.lesions[1]"),
            ("entry-nothing-held", "$.lesions[0]"),
            ("entry-nothing-held", "$.lesions[2]"),
            ("entry-plan-not-sent", "$.lesions[2].plan"),
        ],
    ),
    (
        "the patient in a lesion, and none of the visit",
        {"patient": None, "lesions": [urgent("1", patient=PATIENT)]},
        [False],
        [
            ("entry-nothing-held", "$.lesions[0]"),
            ("entry-plan-not-sent", "$.lesions[0].plan"),
            ("entry-unknown-field", "$.lesions[0]"),
            ("entry-wrong-kind", "$.patient"),
        ],
    ),
    (
        "no lesion",
        {"lesions": []},
        [False],
        [("entry-list-empty", "$.lesions"), ("entry-nothing-held", "$")],
    ),
    (
        "lesions that are no list",
        {"lesions": urgent("1")},
        [False],
        [("entry-nothing-held", "$"), ("entry-plan-not-sent", "$.plan"), ("entry-wrong-kind", "$.lesions")],
    ),
)


@pytest.mark.parametrize("lesions", [None, [], 7, {"plan": STEP}])
def test_an_examination_beside_lesions_that_are_none_is_held(lesions: Any) -> None:
    found = from_visit({**SHARED, **urgent("1"), "lesions": lesions})
    assert requests(found) == [("active", "urgent")]
    assert ("entry-unknown-field", "$") in told(found)
    assert (("entry-plan-not-known", "$") in told(found)) is bool(lesions)


@pytest.mark.parametrize(("extra", "which", "issues"), [case[1:] for case in CASES], ids=[case[0] for case in CASES])
def test_what_can_be_held_of_each_lesion_is_held(
    extra: dict[str, Any], which: list[bool], issues: list[tuple[str, str]]
) -> None:
    entered = {**SHARED, **extra}
    before = copy.deepcopy(entered)
    found = from_visit(entered)
    assert (held(found), told(found)) == (which, issues)
    assert entered == before, "the visit that was handed in is not changed"
    assert from_visit(json.dumps(entered)).entries == found.entries
    assert {one for entry in found.entries if entry.examination is None for one in entry.issues} == set(found.lost)
    # Each review has all that its lesion's entry was told, and each urgent step of a lesion that is held goes out.
    for at, (entry, one) in enumerate(zip(found.entries, entered["lesions"], strict=False)):
        if entry.examination is not None:
            known = {(issue.rule, issue.path) for issue in review(entry.examination).issues}
            assert {(issue.rule, issue.path.replace(f"$.lesions[{at}]", "$")) for issue in entry.issues} <= known
            assert (entry.examination.plan is not None) is ("plan" in one)
    if any(which):
        planned = [one for one, is_held in zip(entered["lesions"], which, strict=True) if is_held and "plan" in one]
        assert requests(found) == [("active", "urgent")] * len(planned)


def test_what_is_set_aside_stands_there_by_the_paths_of_the_visit() -> None:
    lesions = [record("1", note=7, mode="x", mood={"a": [1]}), record("2", status=None), record("3")]
    found = from_visit({**SHARED, "mood": "fine", "identifier": 7, "recorded": "today", "lesions": lesions})
    shared = {"$.mood": "fine", "$.identifier": 7, "$.recorded": "today"}
    assert [dict(one.set_aside) for one in found.entries] == [
        {**shared, "$.lesions[0].note": 7, "$.lesions[0].mood": {"a": [1]}, "$.lesions[0].mode": "x"},
        {**shared, "$.lesions[1]": lesions[1]},
        shared,
    ]


def test_the_others_say_that_a_lesion_is_not_among_them_and_which_they_are() -> None:
    entered = json.loads(TEXT)
    entered["lesions"][0]["status"] = "x"
    del entered["lesions"][2]["lesion"]["site"]
    found = from_visit(entered)
    reviews = [review(one) for one in found.examinations]
    assert [one.examination.position_in_visit for one in reviews] == [1, 2]
    report = to_fhir(reviews)
    reports = [one for one in report.resources if one["resourceType"] == "DiagnosticReport"]
    assert [one["status"] for one in reports] == ["preliminary"] * 2
    assert all("Another lesion of this visit" in one["text"]["div"] for one in reports)
    issues = {(one["details"]["coding"][0]["code"], *one.get("expression", ())) for one in report.outcome()["issue"]}
    assert {("entry-lesion-not-held", "Visit.lesions[1]"), ("entry-lesion-not-held", "Visit.lesions[2]")} <= issues
    assert {one for one in issues if one[0] == "site-missing"} == {("site-missing", "Visit.lesions[2].lesion.site")}
    assert to_fhir(reviews[1:]).outcome()["issue"][0]["expression"] == ["Visit.lesions[2]"]


def test_a_later_revision_with_a_lesion_that_is_not_held_withdraws_nothing() -> None:
    first = {**SHARED, "lesions": [urgent("1"), urgent("2")]}
    later = {**SHARED, "lesions": [record("1", revision=2), urgent("2", revision=2, status="x")]}
    (earlier, _) = from_visit(first).examinations
    (one,) = from_visit(later).examinations
    sent = to_fhir(review(one), earlier=review(earlier)).bundle("transaction").to_dict()["entry"]
    assert [one for one in sent if one["resource"].get("status") == "entered-in-error"] == []


DAMAGES: tuple[Callable[[Any], Any], ...] = (lambda _: 7, lambda _: "x", lambda _: None, lambda one: [one])


@SLOW
@given(st.data())
def test_whatever_is_wrong_in_a_visit_each_urgent_step_goes_out_or_is_said_not_to(data: st.DataObject) -> None:
    entered: dict[str, Any] = copy.deepcopy({**SHARED, "lesions": [urgent(str(at)) for at in range(3)]})
    for _ in range(data.draw(st.integers(1, 3))):
        here: Any = entered
        for _ in range(data.draw(st.integers(0, 3))):
            keys = range(len(here)) if isinstance(here, list) else [*here] if isinstance(here, dict) else ()
            inner = [one for one in keys if isinstance(here[one], dict | list) and here[one]]
            if inner:
                here = here[data.draw(st.sampled_from(inner))]
        keys = [*(range(len(here)) if isinstance(here, list) else here)]
        key = data.draw(st.sampled_from(keys))
        here[key] = data.draw(st.sampled_from(DAMAGES))(here[key]) if data.draw(st.booleans()) else data.draw(JSON)
    found = from_visit(entered)
    lesions = entered.get("lesions")
    for at, one in enumerate(lesions if isinstance(lesions, list) else ()):
        if not isinstance(one, dict) or one.get("plan") != {"actions": [STEP]}:
            continue
        (entry,) = found.entries[at : at + 1]
        if entry.examination is None:
            assert any(issue.rule in PLAN_RULES and issue.severity is Severity.ERROR for issue in entry.issues)
        else:
            assert ("active", "urgent") in requests(VisitEntry((entry,)))
    if found.examinations:
        # Whatever is held can go out together.
        requests(found)


def test_thousands_of_lesions_that_cannot_be_held_are_no_hang() -> None:
    lesions = [record(str(at % 7000), lesion={"label": "A"}, mood=1) for at in range(8000)]
    patient = {**PATIENT, "identifiers": [{"system": "urn:x", "value": str(at)} for at in range(5000)]}
    found = from_visit({**SHARED, "patient": patient, "lesions": lesions})
    assert len(found.examinations) == 7000
    assert len(found.lost) >= 1000
