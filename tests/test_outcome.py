"""The issues of any door as an OperationOutcome: each one once, where it is, with its rule and source, and valid."""

from __future__ import annotations

from typing import Any

import pytest
from fhir.resources.operationoutcome import OperationOutcome
from fhir.resources.R4B.operationoutcome import OperationOutcome as OperationOutcomeR4B
from fhir_cases import examination
from received import about, bundle_of

import dermreport
from dermreport.fhir.codes import RULE_SYSTEM

MARKER = "Marker-Zebra"
REVIEW = dermreport.review(examination())
#: A report to which somebody added what can't be sent again: an extension without its address.
ADDED_TO = bundle_of(examination())
about(ADDED_TO, "network-atypical")["_issued"] = {"extension": [{"valueString": MARKER}]}


def of_text(text: str) -> tuple[dermreport.Issue, ...]:
    """Return the issues of an entry that can't be read."""
    with pytest.raises(dermreport.EntryError) as refused:
        dermreport.Examination.from_json(text)
    return refused.value.issues


#: What each door says of something that it can't take, and where the paths of its issues start.
DOORS: dict[str, tuple[tuple[dermreport.Issue, ...], str]] = {
    "entry": (
        dermreport.from_entry({"status": MARKER, "views": [{"key": "a", "light": MARKER}]}).issues,
        "Examination",
    ),
    "form": (dermreport.from_response({"resourceType": MARKER}).issues, "QuestionnaireResponse"),
    "fhir": (dermreport.from_fhir('{"resourceType": "Bundle", "type": "collection", "entry": 7}').issues, "Bundle"),
    "text": (of_text(f'{{"status": "{MARKER}", "{MARKER}": 1'), "Examination"),
    "review": (dermreport.review(examination(note=MARKER, lesion=None)).issues, "Examination"),
    "report": (dermreport.to_fhir(REVIEW, foreign=dermreport.from_fhir(ADDED_TO).foreign).left_out, "Bundle"),
    "hl7v2": (dermreport.to_hl7v2(REVIEW).issues, "Examination"),
    "dicom out": (dermreport.view_into_dicom(MARKER.encode(), REVIEW.examination.views[0]).issues, "File"),
    "dicom": (dermreport.view_from_dicom(MARKER.encode(), key="a").issues, "File"),
}


@pytest.mark.parametrize("door", DOORS)
def test_each_issue_is_there_once_with_place_rule_and_source(door: str) -> None:
    issues, about = DOORS[door]
    assert issues
    outcome = dermreport.to_outcome(issues, about)
    entries: list[dict[str, Any]] = outcome["issue"]
    assert [one["severity"] for one in entries] == [issue.severity.value for issue in issues]
    assert [one["expression"] for one in entries] == [[about + issue.path.removeprefix("$")] for issue in issues]
    assert [one["details"]["coding"] for one in entries] == [
        [{"system": RULE_SYSTEM, "code": issue.rule}] for issue in issues
    ]
    assert [one["diagnostics"] for one in entries] == [issue.source for issue in issues]
    assert MARKER not in str(outcome)


@pytest.mark.parametrize("door", DOORS)
@pytest.mark.parametrize("model", [OperationOutcomeR4B, OperationOutcome], ids=["R4B", "R5"])
def test_it_is_one_by_a_general_library(door: str, model: Any) -> None:
    outcome = dermreport.to_outcome(*DOORS[door])
    assert len(model.model_validate(outcome).issue) == len(outcome["issue"])


def test_without_issues_it_says_so() -> None:
    (only,) = dermreport.to_outcome(())["issue"]
    assert (only["severity"], only["details"]["text"]) == ("information", "No issue was found.")
