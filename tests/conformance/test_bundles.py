"""Every example, release, format and bundle kind against the reference validator (HAPI FHIR 8.8.0, base definitions).

No error and no warning, best-practice advice included, but one: where an example's examiner isn't recorded, an
Observation has no performer, and the validator's advice on it is expected and must come.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from conformance import code_systems, engine

import dermreport
from dermreport.examination.reader import read_json, write_json

EXAMPLES = sorted((Path(__file__).parent.parent.parent / "examples").glob("*.json"))
KINDS = ("transaction", "collection", "document")
RELEASES = ("R4", "R4B", "R5")

NO_PERFORMER = "Best Practice Recommendation: In general, all observations should have a performer"

pytestmark = pytest.mark.skipif(not engine.asked_for(), reason=engine.HOW)


def reviews_of(path: Path) -> list[dermreport.Review]:
    value = read_json(path.read_bytes())
    if "lesions" in value:
        return [dermreport.review(one) for one in dermreport.Visit.model_validate(value).examinations]
    return [dermreport.review(dermreport.Examination.model_validate(value))]


@pytest.fixture(scope="module")
def known(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    engine.build()
    return code_systems.write(tmp_path_factory.mktemp("code-systems"))


@pytest.mark.parametrize("release", RELEASES)
def test_every_example_validates(release: str, known: list[Path], tmp_path: Path) -> None:
    files = []
    for example in EXAMPLES:
        reviews = reviews_of(example)
        report = dermreport.to_fhir(reviews, release=release)
        # A document must have an author, so none can be made where the examiner isn't recorded.
        authored = reviews[0].examination.examiner is not None
        for kind in KINDS if authored else KINDS[:2]:
            bundle = report.bundle(kind)
            for form, text in (("json", bundle.to_json()), ("xml", bundle.to_xml())):
                path = tmp_path / f"{example.stem}.{kind}.{form}"
                path.write_text(text, encoding="utf-8")
                files.append(path)
    assert len(files) >= len(EXAMPLES) * 5
    answers = engine.validate(release, files, known)
    assert set(answers) == set(map(str, files))
    unexpected = _lines(answers, lambda one: one["message"] != NO_PERFORMER)
    assert unexpected == []
    advised = {Path(line.split(": ")[0]).name.split(".")[0] for line in _lines(answers, lambda _: True)}
    assert advised == {path.stem for path in EXAMPLES if reviews_of(path)[0].examination.examiner is None}


def test_a_damaged_bundle_is_caught(known: list[Path], tmp_path: Path) -> None:
    bundle = dermreport.to_fhir(reviews_of(EXAMPLES[0])).bundle("transaction").to_dict()
    report = next(one["resource"] for one in bundle["entry"] if one["resource"]["resourceType"] == "DiagnosticReport")
    del report["status"]
    path = tmp_path / "damaged.json"
    path.write_text(write_json(bundle), encoding="utf-8")
    messages = engine.validate("R4", [path], known)[str(path)]
    assert any(one["severity"] == "error" and "status" in one["message"] for one in messages)


def _lines(answers: dict[str, list[dict[str, Any]]], wanted: Callable[[dict[str, Any]], bool]) -> list[str]:
    return [
        f"{Path(file).name}: {one['severity']}: {one['where']}: {one['message']}"
        for file, messages in answers.items()
        for one in messages
        if wanted(one)
    ]
