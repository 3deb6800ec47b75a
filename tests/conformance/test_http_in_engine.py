"""What the HTTP door says of itself and answers, against the reference validator.

The OperationDefinitions are published files and validated with them (``test_profiles.py``).
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from conformance import engine
from conformance.definitions import definitions
from conformance.example_bundles import EXAMPLES, RELEASES
from conformance.expected_messages import HTTP, expected, missing, surprises
from starlette.testclient import TestClient

import dermreport
from dermreport.profiles.operations.refusals import REFUSALS
from dermreport.profiles.operations.table import OPERATIONS

pytestmark = pytest.mark.skipif(not engine.asked_for(), reason=engine.HOW)

JSON = {"Content-Type": "application/json"}
FHIR = {"Content-Type": "application/fhir+json"}
EVERY = {"types": "a", "names": "b", "name": "c", "form": "d", "limit": "1", "reason": "It can’t be made."}


def _answers(release: str) -> dict[str, str]:
    """Return what the door answers, by the name of a file."""
    base = f"/fhir/{release.lower()}"
    usual = next(one for one in EXAMPLES if one.stem == "usual").read_bytes()
    found = {f"{one.rule.id}.json": json.dumps(one.outcome(**EVERY)) for one in REFUSALS}
    with TestClient(dermreport.http_app(limits=dermreport.HttpLimits(workers=1))) as client:
        for form in ("json", "xml"):
            accept = {"Accept": f"application/fhir+{form}"}
            found[f"metadata.{form}"] = client.get(f"{base}/metadata", headers=accept).text
            for one in OPERATIONS:
                definition = client.get(f"{base}/OperationDefinition/{one.code}", headers=accept)
                found[f"{one.code}-definition.{form}"] = definition.text
            for name in ("check", "letter"):
                answer = client.post(f"{base}/$dermoscopy-{name}", content=usual, headers=JSON | accept)
                found[f"{name}.{form}"] = answer.text
            bundle = client.post(f"{base}/$dermoscopy-report?bundle=collection", content=usual, headers=JSON).content
            found[f"read.{form}"] = client.post(f"{base}/$dermoscopy-read", content=bundle, headers=FHIR | accept).text
            refused = client.post(f"{base}/$dermoscopy-report", content=b"{}", headers=JSON | accept)
            assert refused.status_code == 422
            found[f"refused.{form}"] = refused.text
    return found


@pytest.mark.parametrize("release", RELEASES)
def test_what_the_door_answers_validates(release: str, tmp_path: Path) -> None:
    files = []
    for name, text in _answers(release).items():
        path = tmp_path / name
        path.write_text(text, encoding="utf-8")
        files.append(path)
    answers = engine.validate(release, files, definitions(release))
    patterns = expected(HTTP.format(release))
    assert [line for file in files for line in surprises(file.name, answers[str(file)], patterns)] == []
    every = [message for file in files for message in answers[str(file)]]
    assert missing(release, every, patterns) == []


def test_a_damage_is_caught(tmp_path: Path) -> None:
    path = tmp_path / "metadata.json"
    with TestClient(dermreport.http_app(limits=dermreport.HttpLimits(workers=1))) as client:
        text = client.get("/fhir/r4/metadata").text
    path.write_text(text.replace('"kind":"instance"', '"kind":"example"'), encoding="utf-8")
    (messages,) = engine.validate("R4", [path], definitions("R4")).values()
    assert any(one["severity"] == "error" for one in messages)
