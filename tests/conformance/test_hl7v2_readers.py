"""HL7 v2 messages in HAPI's reader (Java), and 200 random ones in ``hl7apy``.

HAPI decodes the bytes by MSH-18, refuses what breaks a rule of its default validation, and gives every value back;
these are compared with the library's review and with the tests' own reader of the message.
"""

from __future__ import annotations

import json
import subprocess
from pathlib import Path
from typing import Any

import pytest
import v2_messages
from conformance import building, random_examinations
from conformance.example_bundles import EXAMPLES, reviews_of

import dermreport
from dermreport.answers import answer_to
from dermreport.doors.hl7v2.text import CharacterSet
from dermreport.fhir.codes import ABSENT_REASONS
from dermreport.vocabulary.presences import Presence

_PROJECT = Path(__file__).parent / "hl7v2"
_JAR = _PROJECT / "target" / "hl7v2.jar"
#: How many random examinations are written.
_NUMBER = 200


def _read(folder: Path, messages: list[dermreport.Message]) -> list[dict[str, Any]]:
    """Return what HAPI reads in each message."""
    building.maven(_PROJECT, _JAR)
    paths = []
    for number, message in enumerate(messages):
        path = folder / f"{number}.hl7"
        path.write_bytes(message.encode())
        paths.append(str(path))
    done = subprocess.run(
        ["java", "-Dorg.slf4j.simpleLogger.defaultLogLevel=off", "-jar", str(_JAR)],
        input="\n".join(paths),
        stdout=subprocess.PIPE,
        text=True,
        encoding="utf-8",
        check=True,
    )
    return [json.loads(line) for line in done.stdout.splitlines()]


def _random() -> list[dermreport.Review]:
    return list(random_examinations.reviews()[:_NUMBER])


def _check(read: dict[str, Any], message: dermreport.Message, reviews: list[dermreport.Review]) -> None:
    """Check that HAPI accepts a message and reads in it what the library and the other reader say."""
    assert "refused" not in read, read
    assert read["code"] == ["ORU", "R01", "ORU_R01"]
    assert len(read["reports"]) == len(reviews)
    (pid,) = v2_messages.fields(message.text, "PID")
    assert read["name"] == [v2_messages.unescaped(one) for one in pid[5].split("^")]
    other = iter(v2_messages.rows(message.text))
    for report, review in zip(read["reports"], reviews, strict=True):
        for row in report["rows"]:
            _same(row, next(other))
        _as_reviewed(report, review, message.characters.codec)
    assert next(other, None) is None


def _same(row: dict[str, Any], other: v2_messages.Row) -> None:
    """Check that two readers that share nothing read the same row."""
    assert (row["type"], row["code"], row["sub_id"]) == (other.data_type, other.code, other.sub_id)
    assert (row["flag"], row["status"], row["notes"]) == (other.flag, other.status, other.notes)
    if other.data_type in {"CE", "ED", "RP", "SN"}:
        assert row["values"] == [[v2_messages.unescaped(one) for one in value.split("^")] for value in other.values]
    elif other.data_type != "CX":
        assert "".join(one for value in row["values"] for one in value) == "".join(other.texts)


def _as_reviewed(report: dict[str, Any], review: dermreport.Review, codec: str) -> None:
    """Check findings, their answers, and scores against the review itself."""
    examination = review.examination
    withdrawn = examination.status == "entered-in-error"
    rows = [row for row in report["rows"] if row["values"] and "." not in row["sub_id"]]
    read = [(row["code"][0], row["values"][0][0], row["status"]) for row in rows]
    for position, finding in enumerate(examination.findings):
        counted = answer_to(review.answers, position).presence
        code = getattr(finding.structure, "value", None) or finding.structure.code
        (status,) = {status for one, value, status in read if (one, value) == (code, counted.value)}
        if counted in ABSENT_REASONS[Presence] and not withdrawn:
            assert status == "X"
    for code, result in review.scores.items():
        if result.valid:
            (value,) = (row["values"][0] for row in rows if row["code"][0] == code and row["type"] in {"NM", "SN"})
            low, high = f"{result.low:f}", f"{result.high:f}"
            assert value == ([low] if low == high else ["", low, "-", high])
    notes = [note for row in report["rows"] for note in row["notes"]]
    texts = [*notes, *(text for row in report["rows"] for value in row["values"] for text in value)]
    if examination.note is not None:
        assert v2_messages.as_sent(examination.note, codec) in texts


def test_hapi_reads_every_example(tmp_path: Path) -> None:
    settings = dermreport.Settings(unsuitable_scores=True)
    reviews = [reviews_of(path, settings) for path in EXAMPLES]
    messages = [dermreport.to_hl7v2(one, letter=v2_messages.PDF) for one in reviews]
    for one, message, read in zip(reviews, messages, _read(tmp_path, messages), strict=True):
        _check(read, message, one)


@pytest.mark.parametrize("characters", CharacterSet)
def test_hapi_reads_random_examinations(characters: CharacterSet, tmp_path: Path) -> None:
    routing = dermreport.Routing(characters=characters)
    messages = [dermreport.to_hl7v2(one, routing=routing) for one in _random()]
    for review, message, read in zip(_random(), messages, _read(tmp_path, messages), strict=True):
        _check(read, message, [review])


def test_hapi_refuses_what_breaks_a_rule(tmp_path: Path) -> None:
    message = dermreport.to_hl7v2(reviews_of(EXAMPLES[0]))
    wrong = [
        message.text.replace("|NM|", "|NM|", 1).replace("|0.46|", "|0,46|", 1),
        message.text.replace("\rOBR|", "\rZZZ|1\rOBR|", 1),
        message.text.replace("|DT|since", "|XX|since", 1),
    ]
    broken = [dermreport.Message(text, message.characters, message.control_id, ()) for text in wrong]
    assert all(text != message.text for text in wrong)
    assert ["refused" in one for one in _read(tmp_path, broken)] == [True, True, True]


@pytest.mark.parametrize("first", range(0, _NUMBER, 50))
def test_hl7apy_reads_random_examinations(first: int, tmp_path: Path) -> None:
    for review in _random()[first : first + 50]:
        message = dermreport.to_hl7v2(review)
        v2_messages.parsed(message.text, tmp_path / "warnings")
        assert v2_messages.surprises(tmp_path / "warnings") == []
