"""What we publish, against the reference validator: no error and no warning in any artefact, best-practice advice on.

A wrong path in a differential is otherwise silent: the profile is then just not enforced. Here also the answers to the
form.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from conformance import engine
from conformance.definitions import definitions, published
from conformance.example_bundles import EXAMPLES, RELEASES, reviews_of
from conformance.expected_messages import PUBLISHED, expected, missing, surprises

import dermreport
from dermreport.examination.reader import read_json, write_json


def _bundled(files: list[Path], folder: Path) -> Path:
    """Write a bundle of extension definitions: for each file the engine would load a package of the standard anew."""
    resources = [read_json(file.read_text(encoding="utf-8")) for file in files]
    assert {one["type"] for one in resources} == {"Extension"}
    entries = [{"fullUrl": one["url"], "resource": one} for one in resources]
    path = folder / "extensions.json"
    bundle = {"resourceType": "Bundle", "type": "collection", "entry": entries}
    path.write_text(write_json(bundle), encoding="utf-8")
    return path


@pytest.mark.parametrize("release", RELEASES)
def test_every_artefact_and_example_of_a_profile_validates(release: str, tmp_path: Path) -> None:
    home = published(release)
    artefacts = sorted(home.glob("*.json"))
    extensions = [one for one in artefacts if '"type": "Extension"' in one.read_text(encoding="utf-8")]
    files = [one for one in (*artefacts, *sorted((home / "examples").glob("*.json"))) if one not in extensions]
    assert len(files) > 180
    answers = engine.validate(release, [*files, _bundled(extensions, tmp_path)], definitions(release))
    found = [
        {**message, "where": f"{Path(file).name}: {message['where']}"} for file in answers for message in answers[file]
    ]
    assert surprises(release, found, expected(PUBLISHED.format(release))) == []
    assert missing(release, found, expected(PUBLISHED.format(release))) == []


@pytest.mark.parametrize("release", RELEASES)
def test_a_wrong_path_in_a_differential_is_caught(release: str, tmp_path: Path) -> None:
    text = (published(release) / "StructureDefinition-dermoscopy-view.json").read_text(encoding="utf-8")
    damaged = text.replace('"Observation.value[x]"', '"Observation.valueX"')
    assert damaged != text
    path = tmp_path / "damaged.json"
    path.write_text(damaged, encoding="utf-8")
    (messages,) = engine.validate(release, [path], definitions(release)).values()
    assert any(one["severity"] == "error" for one in messages)


@pytest.mark.parametrize("release", RELEASES)
def test_the_answers_to_the_form_validate(release: str, tmp_path: Path) -> None:
    files = []
    for example in EXAMPLES:
        for number, review in enumerate(reviews_of(example)):
            path = tmp_path / f"{example.stem}-{number}.json"
            response = dermreport.to_response(review.examination, release=release)
            path.write_text(write_json(response), encoding="utf-8")
            files.append(path)
    answers = engine.validate(release, files, definitions(release))
    wrong = [line for file in files for line in surprises(file.name, answers[str(file)])]
    assert wrong == []


def test_answers_that_the_form_does_not_ask_for_are_caught(tmp_path: Path) -> None:
    response = dermreport.to_response(reviews_of(EXAMPLES[0])[0].examination, release="R4")
    response["item"][0]["linkId"] = "of-another-form"
    path = tmp_path / "damaged.json"
    path.write_text(write_json(response), encoding="utf-8")
    (messages,) = engine.validate("R4", [path], definitions("R4")).values()
    assert any(one["severity"] == "error" for one in messages)
