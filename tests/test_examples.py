"""The examples: what comes out of each is what lies beside it, and together they show what they should."""

import difflib
from collections import Counter
from pathlib import Path

import pytest
from examples_output import ENTRIES, examinations, outputs

import dermreport
from dermreport.vocabulary.concerns import Concern
from dermreport.vocabulary.modes import Mode
from dermreport.vocabulary.pigmentations import Pigmentation
from dermreport.vocabulary.reading_styles import ReadingStyle
from dermreport.vocabulary.sites import Site
from dermreport.vocabulary.statuses import Status

ALL = [(path, examination) for path in ENTRIES for examination in examinations(path)]


@pytest.mark.parametrize("path", ENTRIES, ids=lambda path: path.stem)
def test_what_comes_out_is_what_lies_beside_it(path: Path) -> None:
    folder = path.with_suffix("")
    fresh = outputs(path)
    assert {file.name for file in folder.iterdir()} == set(fresh)
    for name, text in fresh.items():
        kept = (folder / name).read_text(encoding="utf-8")
        changes = list(difflib.unified_diff(kept.splitlines(), text.splitlines(), "kept", "fresh", lineterm="", n=1))
        assert changes == [], f"python tests/examples_output.py writes {name} anew"


def test_no_output_lies_beside_no_example() -> None:
    folders = {path.name for path in ENTRIES[0].parent.iterdir() if (path / "check.txt").exists()}
    assert folders == {path.stem for path in ENTRIES}


def test_there_are_at_least_ten_over_all_reading_styles() -> None:
    assert len(ENTRIES) >= 10
    styles = {one.lesion.site.reading_style for _, one in ALL if one.lesion and isinstance(one.lesion.site, Site)}
    assert styles >= set(ReadingStyle)


def test_what_the_examples_show() -> None:
    assert Counter(path for path, _ in ALL).most_common(1)[0][1] == 3
    assert any(one.mode is Mode.IMAGES_ONLY for _, one in ALL)
    assert any(one.status is Status.AMENDED and one.revision > 1 for _, one in ALL)
    pigment = {one.lesion.pigmentation for _, one in ALL if one.lesion}
    assert pigment & {Pigmentation.SLIGHT, Pigmentation.NONE}
    concerns = {one.assessment.concern for _, one in ALL if one.assessment}
    assert concerns >= {Concern.BENIGN, Concern.SUSPICIOUS}


def test_the_ordinary_good_record_has_no_error_and_at_most_three_warnings() -> None:
    (usual,) = (one for path, one in ALL if path.stem == "usual")
    severities = Counter(issue.severity for issue in dermreport.review(usual).issues)
    assert severities[dermreport.Severity.ERROR] == 0
    assert severities[dermreport.Severity.WARNING] <= 3


def test_a_flawed_record_is_among_them_and_is_reported_all_the_same() -> None:
    flawed = [one for _, one in ALL if dermreport.review(one).has_errors]
    assert flawed
    for one in flawed:
        report = dermreport.to_fhir(dermreport.review(one)).bundle("collection").to_dict()
        kinds = [entry["resource"] for entry in report["entry"]]
        status = [resource["status"] for resource in kinds if resource["resourceType"] == "DiagnosticReport"]
        assert status in (["preliminary"], ["entered-in-error"])
