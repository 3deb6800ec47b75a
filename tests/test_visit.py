"""A visit: one patient, the shared facts once, any number of lesions, and each lesion an examination."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from strategies import examinations, parts

from dermreport import EntryError, Examination, Visit
from dermreport.examination.model import LesionRecord
from dermreport.examination.people import Identifier

EXAMPLES = Path(__file__).parent.parent / "examples"
TEXT = (EXAMPLES / "visit-three-lesions.json").read_text(encoding="utf-8")
SHARED = {"patient": {"reference": "Patient/1"}, "examined": "2026-03-04"}
SLOW = settings(max_examples=25, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])


def record(value: str, **lesion: Any) -> dict[str, Any]:
    return {"identifier": {"system": "urn:x:ids", "value": value}, "status": "draft", "lesion": lesion}


def spot(value: str) -> dict[str, str]:
    return {"system": "urn:x:lesions", "value": value}


def examination(value: str, **fields: Any) -> Examination:
    return Examination.model_validate({**SHARED, **record(value), **fields})


def told(raised: pytest.ExceptionInfo[EntryError]) -> list[tuple[str, str]]:
    return [(issue.rule, issue.path) for issue in raised.value.issues]


def test_the_example_is_read_written_and_read_as_the_same() -> None:
    visit = Visit.from_json(TEXT)
    assert Visit.from_json(visit.to_json()).to_json() == visit.to_json()
    assert Visit.model_validate_json(TEXT).to_json() == visit.to_json()
    assert json.loads(visit.to_json()) == json.loads(TEXT)


def test_shared_facts_are_said_once_and_each_examination_has_them() -> None:
    visit = Visit.from_json(TEXT)
    assert visit.to_json().count('"background"') == 1
    assert len(visit.examinations) == 3
    for one, of_visit in zip(visit.examinations, visit.lesions, strict=True):
        assert (one.patient, one.examiner, one.background) == (visit.patient, visit.examiner, visit.background)
        assert one.identifier == of_visit.identifier
        assert json.loads(one.to_json()) == {
            **{name: value for name, value in json.loads(TEXT).items() if name not in {"identifier", "lesions"}},
            **json.loads(of_visit.model_dump_json(exclude_defaults=True)),
        }


def test_examinations_of_one_visit_are_put_together_again() -> None:
    visit = Visit.from_json(TEXT)
    again = Visit.of(visit.examinations, visit.identifier)
    assert again == visit
    assert again.to_json() == visit.to_json()


def test_one_lesion_is_the_examination_itself() -> None:
    usual = Examination.from_json((EXAMPLES / "usual.json").read_bytes())
    visit = Visit.of([usual])
    assert visit.examinations == (usual,)
    assert visit.examinations[0].to_json() == usual.to_json()
    assert Visit.from_json(visit.to_json()).examinations[0].to_json() == usual.to_json()


@SLOW
@given(examinations())
def test_any_examination_survives_a_visit_of_its_own(one: Examination) -> None:
    visit = Visit.of([one])
    assert visit.examinations[0].to_json() == one.to_json()
    assert Visit.from_json(visit.to_json()).to_json() == visit.to_json()


@SLOW
@given(st.lists(parts(LesionRecord), min_size=1, max_size=4), examinations())
def test_any_lesions_share_the_facts_of_one_visit(records: list[LesionRecord], one: Examination) -> None:
    shared = {name: value for name, value in one.to_dict().items() if name not in LesionRecord.model_fields}
    marks = [(of.identifier, of.lesion and of.lesion.label, of.lesion and of.lesion.identifier) for of in records]
    alike = any(
        first is not None and first == second
        for position, mark in enumerate(marks)
        for later in marks[position + 1 :]
        for first, second in zip(mark, later, strict=True)
    )
    entry = {**shared, "lesions": [of.model_dump(exclude_defaults=True) for of in records]}
    if alike:
        with pytest.raises(EntryError, match="entry-given-twice"):
            Visit.model_validate(entry)
    else:
        visit = Visit.model_validate(entry)
        assert Visit.of(visit.examinations).to_json() == visit.to_json()


def test_two_patients_are_refused_and_nothing_is_merged() -> None:
    others = [{"reference": "Patient/2"}, {**SHARED["patient"], "details": {"family": "Sample"}}]
    ones = [examination("1"), *(examination(str(at), patient=other) for at, other in enumerate(others, start=2))]
    with pytest.raises(EntryError) as raised:
        Visit.of(ones)
    assert told(raised) == [("entry-two-patients", "$[1].patient"), ("entry-two-patients", "$[2].patient")]
    assert "Sample" not in str(raised.value)


def test_every_shared_fact_that_differs_is_told_at_once() -> None:
    ones = [
        examination("1", mode="in-person"),
        examination("2", mode="images-only", background={"age_years": 42}),
        examination("3", mode="in-person", patient={"reference": "Patient/2"}, examined="2026-03-05"),
    ]
    with pytest.raises(EntryError) as raised:
        Visit.of(ones)
    assert told(raised) == [
        ("entry-visit-differs", "$[1].mode"),
        ("entry-visit-differs", "$[1].background"),
        ("entry-two-patients", "$[2].patient"),
        ("entry-visit-differs", "$[2].examined"),
    ]


def test_a_visit_without_a_lesion_is_none() -> None:
    with pytest.raises(EntryError) as raised:
        Visit.model_validate({**SHARED, "lesions": []})
    assert told(raised) == [("entry-list-empty", "$.lesions")]
    with pytest.raises(EntryError) as raised:
        Visit.of([])
    assert ("entry-list-empty", "$.lesions") in told(raised)


@pytest.mark.parametrize(
    ("lesions", "positions"),
    [
        ([record("1"), record("1")], [1]),
        ([record("1"), record("2"), record("1"), record("1")], [2, 3]),
        ([record("1", label="A"), record("2", label="A")], [1]),
        ([record("1", label="A"), record("2"), record("3", label="A")], [2]),
        ([record("1", identifier=spot("7")), record("2", identifier=spot("7"))], [1]),
        ([record("1", label="A", identifier=spot("7")), record("2", label="B", identifier=spot("7"))], [1]),
    ],
)
def test_two_lesions_that_are_called_the_same_are_refused(lesions: list[dict[str, Any]], positions: list[int]) -> None:
    with pytest.raises(EntryError) as raised:
        Visit.model_validate({**SHARED, "lesions": lesions})
    assert told(raised) == [("entry-given-twice", f"$.lesions[{position}]") for position in positions]
    with pytest.raises(EntryError, match="entry-given-twice"):
        Visit.of([Examination.model_validate({**SHARED, **one}) for one in lesions])


@pytest.mark.parametrize(
    "lesions",
    [
        [record("1"), record("2")],
        [record("1", label="A"), record("2", label="B")],
        [record("1", label="A"), record("2")],
        [record("1", identifier=spot("1")), record("2", identifier=spot("2"))],
        # The identifier of an examination and that of a lesion are of two kinds.
        [record("1"), record("2", identifier={"system": "urn:x:ids", "value": "1"})],
    ],
)
def test_lesions_that_can_be_told_apart_are_taken(lesions: list[dict[str, Any]]) -> None:
    assert len(Visit.model_validate({**SHARED, "lesions": lesions}).examinations) == len(lesions)


def test_issues_of_a_lesion_are_gathered_with_their_place() -> None:
    lesions = [record("1", label=""), {**record("2"), "views": [{"key": "v", "light": "bright"}], "mood": 1}]
    with pytest.raises(EntryError) as raised:
        Visit.model_validate({**SHARED, "examined": "today", "lesions": lesions})
    assert sorted(told(raised)) == [
        ("entry-text-not-allowed", "$.lesions[0].lesion.label"),
        ("entry-time-not-allowed", "$.examined"),
        ("entry-unknown-code", "$.lesions[1].views[0].light"),
        ("entry-unknown-field", "$.lesions[1]"),
    ]


def test_the_identifier_of_the_visit_is_its_own() -> None:
    of_visit = Identifier.model_validate({"system": "urn:x:visits", "value": "V1"})
    visit = Visit.of([examination("1"), examination("2")], of_visit)
    assert visit.identifier == of_visit
    assert [one.identifier.value for one in visit.examinations] == ["1", "2"]
