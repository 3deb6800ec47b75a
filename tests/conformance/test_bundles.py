"""Every example, release, kind of bundle and format against the reference validator (HAPI FHIR 8.8.0).

Against the base definitions and our profiles no error and no warning, best-practice advice included, but those that
``expected_messages.tsv`` lists with their reasons; and once as a receiver sees it who has no package of ours.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from conformance import engine
from conformance.definitions import definitions
from conformance.example_bundles import EXAMPLES, RELEASES, bundles, write_all
from conformance.expected_messages import RECEIVER, expected, listed_examples, missing, places, surprises

from dermreport.examination.reader import write_json
from dermreport.settings import Settings

CLAIMING = Settings(claim_profiles=True)


@pytest.mark.parametrize("release", RELEASES)
def test_every_example_validates(release: str, tmp_path: Path) -> None:
    files = write_all(tmp_path, release, CLAIMING)
    assert len(files) >= len(EXAMPLES) * 5
    answers = engine.validate(release, [one.path for one in files], definitions(release))
    wrong = []
    for one in files:
        messages, patterns = answers[str(one.path)], expected(one.example)
        wrong += surprises(one.path.name, messages, patterns) + missing(one.path.name, messages, patterns)
    assert wrong == []


def test_every_listed_message_names_an_example() -> None:
    assert listed_examples() <= {path.stem for path in EXAMPLES} | places()


@pytest.mark.parametrize("release", RELEASES)
def test_a_receiver_without_our_package_refuses_nothing(release: str, tmp_path: Path) -> None:
    files = [one for one in write_all(tmp_path, release) if one.kind == "transaction" and one.format == "json"]
    answers = engine.validate(release, [one.path for one in files], [])
    found = [message for messages in answers.values() for message in messages]
    patterns = expected(RECEIVER.format(release))
    assert surprises("a receiver", found, patterns) == []
    assert missing("a receiver", found, patterns) == []


def test_a_receiver_without_our_package_refuses_a_claim_to_our_profiles(tmp_path: Path) -> None:
    # Why the claim is off unless a host wants it.
    _, bundle = next(bundles(EXAMPLES[0], "R4", CLAIMING))
    path = tmp_path / "claiming.json"
    path.write_text(bundle.to_json(), encoding="utf-8")
    messages = engine.validate("R4", [path], [])[str(path)]
    assert any(one["severity"] == "error" and "dermoscopy-report" in one["message"] for one in messages)


def test_a_damaged_bundle_is_caught(tmp_path: Path) -> None:
    _, bundle = next(bundles(EXAMPLES[0], "R4", CLAIMING))
    damaged = bundle.to_dict()
    report = next(one["resource"] for one in damaged["entry"] if one["resource"]["resourceType"] == "DiagnosticReport")
    del report["status"]
    path = tmp_path / "damaged.json"
    path.write_text(write_json(damaged), encoding="utf-8")
    messages = engine.validate("R4", [path], definitions("R4"))[str(path)]
    assert any(one["severity"] == "error" and "status" in one["message"] for one in messages)
