"""The issues of any door as an OperationOutcome: each one once, where it is, with its rule and source, and valid."""

from __future__ import annotations

from typing import Any

import pytest
from fhir.resources.operationoutcome import OperationOutcome
from fhir.resources.R4B.operationoutcome import OperationOutcome as OperationOutcomeR4B

import dermreport
from dermreport.fhir.codes import RULE_SYSTEM

MARKER = "Marker-Zebra"
#: What each door says of something that it can't take, and where the paths of its issues start.
DOORS: dict[str, tuple[tuple[dermreport.Issue, ...], str]] = {
    "entry": (
        dermreport.from_entry({"status": MARKER, "views": [{"key": "a", "light": MARKER}]}).issues,
        "Examination",
    ),
    "form": (dermreport.from_response({"resourceType": MARKER}).issues, "QuestionnaireResponse"),
    "fhir": (dermreport.from_fhir('{"resourceType": "Bundle", "type": "collection", "entry": 7}').issues, "Bundle"),
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
