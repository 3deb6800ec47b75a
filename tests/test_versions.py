"""What version 1 of vocabulary, profiles and JSON Schema wrote stays readable; these files are never written again.

``version_1/`` has for each entry what was made of it: bundles of each release, kind and format, answers to the form.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest

import dermreport

FROZEN = Path(__file__).parent / "version_1"
ENTRIES = sorted(FROZEN.glob("*.entry.json"))
BUNDLES = sorted(path for path in FROZEN.iterdir() if path.name.count(".") == 3)
RESPONSES = sorted(FROZEN.glob("*.response.json"))


def entry_of(path: Path) -> tuple[dermreport.Examination, ...]:
    """Return the examinations from which a file was made."""
    text = (FROZEN / f"{path.name.split('.')[0]}.entry.json").read_text(encoding="utf-8")
    if "lesions" in json.loads(text):
        return dermreport.Visit.from_json(text).examinations
    return (dermreport.Examination.from_json(text),)


def test_there_is_one_of_each() -> None:
    assert {path.name.split(".")[1] for path in BUNDLES} == {"r4", "r4b", "r5"}
    assert {path.name.split(".")[2] for path in BUNDLES} == {"transaction", "collection", "document"}
    assert {path.suffix for path in BUNDLES} == {".json", ".xml"}
    assert RESPONSES


@pytest.mark.parametrize("path", ENTRIES, ids=lambda path: path.name)
def test_an_entry_is_held(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    if "lesions" in json.loads(text):
        assert json.loads(dermreport.Visit.from_json(text).to_json()) == json.loads(text)
    else:
        assert json.loads(dermreport.Examination.from_json(text).to_json()) == json.loads(text)
        assert dermreport.from_entry(text).issues == ()


@pytest.mark.parametrize("path", BUNDLES, ids=lambda path: path.name)
def test_a_bundle_is_read(path: Path) -> None:
    reading = dermreport.from_fhir(path.read_text(encoding="utf-8"))
    assert [one.to_json() for one in reading.examinations] == [one.to_json() for one in entry_of(path)]
    assert [issue for issue in reading.issues if issue.severity is dermreport.Severity.ERROR] == []


@pytest.mark.parametrize("path", RESPONSES, ids=lambda path: path.name)
def test_answers_to_the_form_are_read(path: Path) -> None:
    entry = dermreport.from_response(path.read_text(encoding="utf-8"))
    assert entry.examination is not None
    assert [entry.examination.to_json()] == [one.to_json() for one in entry_of(path)]
    assert entry.issues == ()
