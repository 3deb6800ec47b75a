"""What coverage-guided fuzzing of the doors once broke, made small: each goes through its door again.

The file's name begins with its door. One that is mended stays here, with the rules that it breaks.
"""

from __future__ import annotations

from pathlib import Path

import pytest

import dermreport

FOLDER = Path(__file__).parent / "fuzz_findings"
DOORS = {"response": dermreport.from_response}
#: Each file with the rules of its issues, and what is planned and must go out.
FINDINGS: dict[str, tuple[set[str], list[tuple[str, str]]]] = {
    "response-unit-is-an-object.json": ({"form-unit"}, []),
    "response-two-plans-and-two-keys.json": (
        {"form-two-answers", "entry-wrong-kind", "entry-unknown-field", "entry-plan-not-known"},
        [("refer-suspected-cancer", "immediate")],
    ),
}


def test_every_file_is_replayed() -> None:
    assert {path.name for path in FOLDER.iterdir()} == FINDINGS.keys()


@pytest.mark.parametrize("name", FINDINGS)
def test_it_ends_in_issues(name: str) -> None:
    rules, planned = FINDINGS[name]
    found = DOORS[name.partition("-")[0]]((FOLDER / name).read_bytes())
    assert {issue.rule for issue in found.issues} == rules
    assert found.examination is not None
    review = dermreport.review(found.examination)
    assert review.has_errors
    plan = found.examination.plan
    assert [(one.action, one.urgency) for one in (plan.actions if plan is not None else ())] == planned
    requests = [one for one in dermreport.to_fhir(review).resources if one["resourceType"] == "ServiceRequest"]
    assert [(one["status"], one["priority"]) for one in requests] == [("active", "stat")] * len(planned)
