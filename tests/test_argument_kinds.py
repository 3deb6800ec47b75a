"""An argument of the wrong kind is refused at the door, in words, and no value of it is shown."""

from __future__ import annotations

import traceback
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

import dermreport

EXAMPLES = Path(__file__).parent.parent / "examples"
EXAM = dermreport.Examination.from_json((EXAMPLES / "usual.json").read_text(encoding="utf-8"))
REVIEW = dermreport.review(EXAM)
MARK = "Zaubermarke"

#: A call with an argument of the wrong kind, by the argument.
WRONG: dict[str, Callable[[Any], Any]] = {
    "review": dermreport.review,
    "review's settings": lambda wrong: dermreport.review(EXAM, wrong),
    "to_fhir": dermreport.to_fhir,
    "to_fhir's earlier": lambda wrong: dermreport.to_fhir(REVIEW, earlier=wrong),
    "to_fhir's after": lambda wrong: dermreport.to_fhir(REVIEW, after=wrong),
    "to_fhir's foreign": lambda wrong: dermreport.to_fhir(REVIEW, foreign=wrong),
    "to_hl7v2": dermreport.to_hl7v2,
    "to_hl7v2's routing": lambda wrong: dermreport.to_hl7v2(REVIEW, routing=wrong),
    "to_hl7v2's letter": lambda wrong: dermreport.to_hl7v2(REVIEW, letter=wrong),
    "to_hl7v2's sent": lambda wrong: dermreport.to_hl7v2(REVIEW, sent=wrong),
    "from_fhir's limits": lambda wrong: dermreport.from_fhir("{}", limits=wrong),
    "Limits' size": lambda wrong: dermreport.Limits(size=wrong),
    "Limits' resources": lambda wrong: dermreport.Limits(resources=wrong),
    "Limits' kinds": lambda wrong: dermreport.Limits(attachment_kinds=wrong),
    "DicomLimits' depth": lambda wrong: dermreport.DicomLimits(depth=wrong),
    "view_from_dicom's limits": lambda wrong: dermreport.view_from_dicom(b"", key="a", limits=wrong),
    "view_into_dicom's view": lambda wrong: dermreport.view_into_dicom(b"", wrong),
    "from_entry's size": lambda wrong: dermreport.from_entry("{}", size=wrong),
    "from_visit's size": lambda wrong: dermreport.from_visit("{}", size=wrong),
    "from_response's size": lambda wrong: dermreport.from_response("{}", size=wrong),
    "from_json's size": lambda wrong: dermreport.Examination.from_json("{}", size=wrong),
    "to_response": dermreport.to_response,
    "to_outcome": dermreport.to_outcome,
    "series_plot": dermreport.series_plot,
    "Visit.of": dermreport.Visit.of,
}
#: Calls that take a text there, or refuse it otherwise.
NO_TEXT_ONLY: dict[str, Callable[[Any], Any]] = {
    "to_fhir's if_match": lambda wrong: dermreport.to_fhir(REVIEW, if_match=wrong),
    "from_json": dermreport.Examination.from_json,
    "view_from_dicom": lambda wrong: dermreport.view_from_dicom(wrong, key="a"),
    "view_into_dicom": lambda wrong: dermreport.view_into_dicom(wrong, EXAM.views[0]),
    "table": dermreport.table,
    "table's also": lambda wrong: dermreport.table(REVIEW, also=wrong),
}


def refused(call: Callable[[Any], Any], wrong: object) -> None:
    with pytest.raises((TypeError, dermreport.SettingsError)) as raised:
        call(wrong)
    told = "".join(traceback.format_exception(raised.value))
    assert MARK not in told.replace(f'"{MARK}"', "")
    assert " object " not in str(raised.value)
    assert "not supported" not in str(raised.value)
    # At the door, or one step behind it.
    assert len(traceback.extract_tb(raised.value.__traceback__)) <= 6


@pytest.mark.parametrize("wrong", [MARK, 5.5, object()], ids=["a text", "a number", "an object"])
@pytest.mark.parametrize("name", WRONG)
def test_an_argument_of_the_wrong_kind_is_refused_at_the_door(name: str, wrong: object) -> None:
    refused(WRONG[name], wrong)


@pytest.mark.parametrize("wrong", [5.5, object()], ids=["a number", "an object"])
@pytest.mark.parametrize("name", NO_TEXT_ONLY)
def test_what_is_no_text_is_refused_at_the_door(name: str, wrong: object) -> None:
    refused(NO_TEXT_ONLY[name], wrong)


@pytest.mark.parametrize("name", ["size", "depth", "resources", "number", "attachment"])
def test_a_limit_is_a_whole_number_from_0(name: str) -> None:
    for value in (0, 1):
        assert getattr(dermreport.Limits(**{name: value}), name) == value
    wrong: list[Any] = [-1, True, None]
    for value in wrong:
        with pytest.raises(dermreport.SettingsError, match=f"^limits: {name} is a whole number from 0$"):
            dermreport.Limits(**{name: value})


def test_what_is_of_the_right_kind_is_taken() -> None:
    assert dermreport.to_fhir(REVIEW, foreign=None, if_match=None).resources
    assert dermreport.to_hl7v2(REVIEW, routing=dermreport.Routing(), letter=b"%PDF-1.7").text
    assert dermreport.Limits(attachment_kinds=frozenset({"image/png"})).attachment_kinds == {"image/png"}
    assert dermreport.review(EXAM, dermreport.Settings()).summary == REVIEW.summary
