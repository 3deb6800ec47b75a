"""The HL7 v2 door: what ``hl7apy`` says of its messages, what they say, and what they never say.

HL7 tables are read from ``hl7apy``, which carries those of version 2.5.1.
"""

from __future__ import annotations

import base64
import copy
import re
import subprocess
import sys
from collections.abc import Callable, Iterator
from decimal import Decimal
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
import strategies
import v2_messages
from examples_output import ENTRIES, examinations
from hl7apy.v2_5_1.tables import TABLES
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from records import at, finding, gone_through, record

import dermreport
from dermreport.doors.hl7v2.message import MAX_LETTER
from dermreport.doors.hl7v2.observations import system_name
from dermreport.doors.hl7v2.text import MAX_FT, CharacterSet, Ink, number, set_id, time
from dermreport.issues import EntryError, Severity
from dermreport.scores.method import CAUTIONS
from dermreport.vocabulary.presences import Presence
from dermreport.vocabulary.tables import tables
from dermreport.vocabulary.term import code_system
from dermreport.vocabulary.urgencies import Urgency


def reviews_of(path: Path) -> list[dermreport.Review]:
    return [dermreport.review(one) for one in examinations(path)]


def written(path: Path, **options: Any) -> dermreport.Message:
    return dermreport.to_hl7v2(reviews_of(path), **options)


def reported(**changes: Any) -> dermreport.Message:
    """Return the message of the sound lesion with these changes."""
    return dermreport.to_hl7v2(dermreport.review(record(**changes)))


def coded(message: dermreport.Message, code: str) -> list[v2_messages.Row]:
    """Return the rows that are about this code."""
    return [row for row in v2_messages.rows(message.text) if row.code[0] == code]


def example(stem: str) -> Path:
    (path,) = (path for path in ENTRIES if path.stem == stem)
    return path


# --- the standard


@pytest.mark.parametrize("path", ENTRIES, ids=lambda path: path.stem)
def test_every_example_is_strictly_valid(path: Path, tmp_path: Path) -> None:
    message = written(path, letter=v2_messages.PDF)
    parsed = v2_messages.parsed(message.text, tmp_path / "warnings")
    assert v2_messages.surprises(tmp_path / "warnings") == []
    orders = parsed.oru_r01_patient_result.oru_r01_order_observation
    assert len(orders) == len(examinations(path))


@settings(
    max_examples=8,
    derandomize=True,
    database=None,
    phases=(Phase.generate,),
    suppress_health_check=list(HealthCheck),
)
@given(strategies.usual_examinations(), st.sampled_from(CharacterSet))
def test_random_examinations_are_strictly_valid(
    tmp_path: Path, examination: dermreport.Examination, characters: CharacterSet
) -> None:
    message = dermreport.to_hl7v2(dermreport.review(examination), routing=dermreport.Routing(characters=characters))
    v2_messages.parsed(message.encode().decode(characters.codec), tmp_path / "warnings")
    assert v2_messages.surprises(tmp_path / "warnings") == []


@pytest.mark.parametrize("changes", [{"status": "entered-in-error"}, {"lesion": {"site": "thumb-nail"}}])
def test_what_is_withdrawn_or_has_no_number_is_strictly_valid(changes: dict[str, Any], tmp_path: Path) -> None:
    review = dermreport.review(record(**changes), dermreport.Settings(unsuitable_scores=True))
    v2_messages.parsed(dermreport.to_hl7v2(review).text, tmp_path / "warnings")
    assert v2_messages.surprises(tmp_path / "warnings") == []


#: Fields that a table binds, where what is sent can be compared with the table.
_BOUND = {
    ("MSH", 10): "0103",
    ("MSH", 17): "0211",
    ("PID", 8): "0001",
    ("PV1", 2): "0004",
    ("ORC", 1): "0119",
    ("OBR", 24): "0074",
    ("OBR", 25): "0123",
    ("OBX", 2): "0125",
    ("OBX", 8): "0078",
    ("OBX", 11): "0085",
}


@pytest.mark.parametrize("path", ENTRIES, ids=lambda path: path.stem)
def test_bound_fields_have_codes_of_their_tables(path: Path) -> None:
    seen = set()
    for line in written(path, letter=v2_messages.PDF).text.split("\r"):
        values = line.split("|")
        for (name, position), table in _BOUND.items():
            if name == values[0] and len(values) > position and values[position]:
                assert values[position] in TABLES[f"HL7{table}"][1], (name, position)
                seen.add((name, position))
    assert seen >= _BOUND.keys() - {("PV1", 2), ("PID", 8), ("OBX", 8)}


def test_head_says_what_version_and_structure_it_is() -> None:
    routing = dermreport.Routing(
        sending_application="DERM",
        sending_facility="2.16.840.1.113883.19.5",
        receiving_application="RECORDS",
        receiving_facility="HOSPITAL",
        processing="T",
    )
    message = written(example("usual"), routing=routing, sent="2026-03-05T08:00:00Z", control_id="M-1")
    (head,) = v2_messages.fields(message.text, "MSH")
    assert message.text.startswith("MSH|^~\\&|DERM|^2.16.840.1.113883.19.5^ISO|RECORDS|HOSPITAL|20260305080000+0000||")
    assert head[8:12] == ["ORU^R01^ORU_R01", "M-1", "T", "2.5.1"]
    assert head[17] == "UNICODE UTF-8"
    assert message.control_id == "M-1"
    assert message.text.endswith("\r")
    assert "\n" not in message.text


# --- status


@pytest.mark.parametrize(
    ("changes", "report", "observation"),
    [
        ({"status": "final"}, "F", "F"),
        ({"status": "amended", "revision": 2}, "C", "C"),
        ({"status": "draft"}, "P", "P"),
        ({"status": "entered-in-error"}, "X", "W"),
        # A freezing without histology: an error stands.
        ({"plan": {"actions": [{"key": "1", "action": "cryotherapy"}]}}, "P", "P"),
    ],
)
def test_status_is_that_of_the_tables_0123_and_0085(changes: dict[str, Any], report: str, observation: str) -> None:
    review = dermreport.review(record(**changes))
    if changes.keys() == {"plan"}:
        assert review.has_errors
    text = dermreport.to_hl7v2(review).text
    ((*_, status),) = (fields[:26] for fields in v2_messages.fields(text, "OBR"))
    assert status == report
    found = {row.status for row in v2_messages.rows(text)}
    assert observation in found
    assert found <= {observation, "X"}


def test_a_withdrawn_record_says_so_first_and_raises_no_alarm() -> None:
    urgent = {"plan": {"actions": [{"key": "1", "action": "refer-suspected-cancer", "urgency": "urgent"}]}}
    rows = v2_messages.rows(reported(status="entered-in-error", **urgent).text)
    assert rows[0].texts[0].startswith("Withdrawn: ")
    assert {row.status for row in rows} == {"W"}
    assert {row.flag for row in rows} == {""}


# --- what was seen, and what couldn't be

ONLY_POLARISED = "lines-white-perpendicular"


def test_absent_in_a_light_that_can_not_show_it_is_not_assessed() -> None:
    message = reported(
        findings=[finding(ONLY_POLARISED, "absent", views=["plain"])],
        views=[{"key": "plain", "light": "non-polarised", "contact": "contact", "immersion": ["gel"]}],
    )
    (row,) = coded(message, ONLY_POLARISED)
    assert row.coded[0][0] == Presence.NOT_ASSESSED
    assert row.status == "X"
    (sentence,) = row.notes
    assert "not assessed" in sentence
    assert "look again in polarised light" in sentence
    group = {one.code[0]: one for one in v2_messages.rows(message.text) if one.sub_id == row.sub_id}
    assert group["not-assessed-because"].coded[0][0] == "not-visible-in-this-light"
    assert group["recorded-answer"].coded[0][0] == Presence.ABSENT
    assert group["view-key"].texts == ["plain"]


@pytest.mark.parametrize("presence", Presence)
def test_each_answer_to_a_finding_is_coded_and_worded(presence: Presence) -> None:
    message = reported(findings=[finding("network", presence.value)])
    (row,) = coded(message, "network")
    assert row.coded[0][0] == presence
    assert presence.display in row.notes[0]
    assert row.status == ("X" if presence is Presence.NOT_ASSESSED else "F")


def test_items_of_a_list_that_no_light_could_show_are_not_assessed_there_too() -> None:
    views = [{"key": "plain", "light": "non-polarised", "contact": "contact", "immersion": ["gel"]}]
    message = reported(views=views, lists_gone_through=gone_through("pigmented-lesion"))
    (whole,) = coded(message, "list-gone-through")
    items = [row for row in v2_messages.rows(message.text) if row.sub_id.startswith(f"{whole.sub_id}.")]
    answers = {row.code[0]: row for row in items if row.code[2] == "99drstructure"}
    assert answers[ONLY_POLARISED].coded[0][0] == Presence.NOT_ASSESSED
    assert answers[ONLY_POLARISED].status == "X"
    assert answers["network"].coded[0][0] == Presence.ABSENT
    (reason,) = (
        row for row in items if row.sub_id == answers[ONLY_POLARISED].sub_id and row.code[0] == "not-assessed-because"
    )
    assert reason.coded[0][0] == "not-visible-in-this-light"
    assert len({row.sub_id for row in answers.values()}) == len(answers)


def test_each_view_has_its_light_and_key() -> None:
    rows = coded(reported(), "view")
    assert [row.coded[0][0] for row in rows] == ["non-polarised", "polarised"]
    keys = coded(reported(), "view-key")
    assert [(row.sub_id, row.texts) for row in keys] == [(rows[0].sub_id, ["plain"]), (rows[1].sub_id, ["crossed"])]


@pytest.mark.parametrize("path", ENTRIES, ids=lambda path: path.stem)
def test_codes_are_those_that_fhir_gets(path: Path) -> None:
    """Each coding of an Observation or of the report is in the message, ours and the standard one beside it."""
    reviews = reviews_of(path)
    rows = v2_messages.rows(dermreport.to_hl7v2(reviews).text)
    sent = {tuple(row.code) for row in rows} | {
        tuple(one) for row in rows if row.data_type == "CE" for one in row.coded
    }
    for resource in dermreport.to_fhir(reviews, release="R5").resources:
        if resource["resourceType"] == "DiagnosticReport":
            assert _in_v2(resource["code"]) in sent
        if resource["resourceType"] != "Observation" or "hasMember" in resource:
            continue
        for part in (resource, *resource.get("component", ())):
            for concept in (part["code"], part.get("valueCodeableConcept", {})):
                if "coding" in concept:
                    assert _in_v2(concept) in sent


def _in_v2(concept: dict[str, Any]) -> tuple[str, ...]:
    first, *others = concept["coding"]
    made = [first["code"], concept["text"], system_name(first["system"])]
    return (*made, *((others[0]["code"], others[0]["display"], system_name(others[0]["system"])) if others else ()))


def test_names_of_our_systems_are_short_unlike_and_of_the_form_of_local_ones() -> None:
    names = {system_name(code_system(table)) for table in tables().values()}
    assert len(names) == len(tables())
    assert all(re.fullmatch("99[a-z]{1,18}", name) for name in names)


def test_a_code_of_somebody_else_keeps_its_system_in_a_note() -> None:
    other = {"system": "https://host.example/lights", "code": "a code", "display": "shown", "version": "7"}
    (row,) = coded(reported(findings=[{"structure": other, "presence": "present"}]), "a code")
    assert row.code == ["a code", "shown", "L"]
    assert "coding system of a code: https://host.example/lights, version 7" in row.notes


# --- scores, urgency


@pytest.mark.parametrize("path", ENTRIES, ids=lambda path: path.stem)
def test_scores_are_those_of_the_library_with_their_cautions(path: Path) -> None:
    for review in reviews_of(path):
        message = dermreport.to_hl7v2(review)
        for code, result in review.scores.items():
            found = coded(message, code)
            if not result.valid:
                assert found == []
                continue
            (row,) = found
            if result.low == result.high:
                assert (row.data_type, row.values) == ("NM", [f"{result.low:f}"])
            else:
                assert (row.data_type, row.values) == ("SN", [f"^{result.low:f}^-^{result.high:f}"])
            assert row.units == "1^points^UCUM"
            assert row.flag == ""
            for caution in result.cautions:
                assert any(caution in note for note in row.notes)
            (verdict,) = (
                one for one in v2_messages.rows(message.text) if one.sub_id == row.sub_id and one.code[0] == "verdict"
            )
            assert verdict.coded[0][0] == result.verdict
            assert verdict.flag in {"", "A"}


def test_a_method_that_is_not_valid_here_gives_no_value_and_says_why() -> None:
    review = dermreport.review(record(lesion={"site": "thumb-nail"}), dermreport.Settings(unsuitable_scores=True))
    (code, *_) = (code for code, result in review.scores.items() if not result.valid)
    (row,) = coded(dermreport.to_hl7v2(review), code)
    assert (row.data_type, row.values, row.status) == ("", [], "X")
    assert any(review.scores[code].reasons[0] in note for note in row.notes)


@pytest.mark.parametrize(
    ("urgency", "flag"),
    [("immediate", "AA"), ("same-visit", "A"), ("urgent", "A"), ("soon", "A"), ("routine", ""), (None, "")],
)
def test_what_is_urgent_is_flagged_where_it_stands_and_at_the_top(urgency: str | None, flag: str) -> None:
    step = {"key": "1", "action": "refer-dermatology", **({"urgency": urgency} if urgency is not None else {})}
    message = reported(plan={"actions": [step]})
    (row,) = coded(message, "refer-dermatology")
    assert row.flag == flag
    first = v2_messages.rows(message.text)[0]
    if urgency is not None and flag:
        assert first.flag == flag
        assert first.texts[0].startswith(f"{Urgency(urgency).display}: ")
    assert "refer" in " ".join([*row.texts, *row.notes])


def test_an_error_withholds_no_urgent_step() -> None:
    steps = [
        {"key": "1", "action": "cryotherapy"},
        {"key": "2", "action": "refer-suspected-cancer", "urgency": "urgent"},
    ]
    message = reported(plan={"actions": steps})
    (row,) = coded(message, "refer-suspected-cancer")
    assert (row.coded[0][0], row.flag, row.status) == ("urgent", "A", "P")


@pytest.mark.parametrize("path", ENTRIES, ids=lambda path: path.stem)
def test_nothing_is_ever_flagged_normal_and_the_cautions_are_there(path: Path) -> None:
    rows = v2_messages.rows(written(path).text)
    assert {row.flag for row in rows} <= {"", "A", "AA"}
    texts = [text for row in rows for text in row.texts]
    for caution in CAUTIONS:
        assert any(caution in text for text in texts)


def test_a_value_below_a_threshold_has_no_flag() -> None:
    below = [row for path in ENTRIES for row in coded(written(path), "verdict") if row.coded[0][0] == "below-threshold"]
    assert below
    assert {row.flag for row in below} == {""}


# --- texts


CHARACTER_SETS = pytest.mark.parametrize("characters", CharacterSet)


@CHARACTER_SETS
@given(
    text=st.text(
        st.one_of(st.characters(codec="utf-8"), st.sampled_from('’\u2018“”–—…× "|^&~\\\r\n\u202e')), min_size=1
    )
)
def test_any_text_comes_out_as_it_went_in(characters: CharacterSet, text: str) -> None:
    expected = v2_messages.as_sent(text, characters.codec)
    for write in (Ink.st, Ink.ft):
        ink = Ink(characters)
        escaped = write(ink, text)
        assert v2_messages.unescaped(escaped.encode(characters.codec).decode(characters.codec)) == expected
        assert (expected != text) is (ink.plain > 0)
        assert re.search(r"[|^&~\x00-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]", escaped) is None
        assert escaped == escaped.strip(" ")
        assert escaped != '""'


@CHARACTER_SETS
@pytest.mark.parametrize(
    ("text", "rule", "lacking"),
    [
        ("a", "", ()),
        ("é", "v2-character-set", (CharacterSet.ASCII,)),
        ("漢🙂", "v2-character-set", (CharacterSet.ASCII, CharacterSet.LATIN_1)),
        ("“10×” – yes", "v2-punctuation", (CharacterSet.ASCII, CharacterSet.LATIN_1)),
    ],
)
def test_what_the_character_set_lacks_is_an_issue(
    characters: CharacterSet, text: str, rule: str, lacking: tuple[CharacterSet, ...]
) -> None:
    ink = Ink(characters)
    written_text = ink.st(text)
    assert (ink.outside > 0) is (rule == "v2-character-set" and characters in lacking)
    assert (ink.plain > 0) is (rule == "v2-punctuation" and characters in lacking)
    assert (written_text == text) is (characters not in lacking)
    message = dermreport.to_hl7v2(
        dermreport.review(record(note=text)), routing=dermreport.Routing(characters=characters)
    )
    (row,) = coded(message, "examination-note")
    assert row.texts == [v2_messages.as_sent(text, characters.codec)]
    assert not (rule and characters in lacking) or rule in {issue.rule for issue in message.issues}


def test_in_utf_8_no_text_is_bent() -> None:
    rules = {issue.rule for path in ENTRIES for issue in written(path).issues}
    assert rules == {"v2-patient-number", "v2-patient-reference", "v2-picture", "v2-replaces"}


def test_a_text_can_not_make_a_segment_a_field_or_a_deletion() -> None:
    name = {"family": "X|Y^Z\rOBX|1|ST|fake||no&~\\F\\", "given": ['""', "\u202egnp"]}
    message = reported(patient={"identifiers": [{"system": "urn:oid:1.2.3", "value": " 7 "}], "details": name})
    (pid,) = v2_messages.fields(message.text, "PID")
    assert [v2_messages.unescaped(one) for one in pid[5].split("^")] == [name["family"], '""', "\u202egnp"]
    assert "\u202e" not in message.text
    assert '""' not in message.text
    assert pid[3] == "\\X20\\7\\X20\\^^^&1.2.3&ISO"
    assert coded(message, "fake") == []


@pytest.mark.parametrize("text", ["|" * 20_000, "a|" * 10_000, "\u202e" * 19_999 + "z", "漢" * 20_000])
def test_a_long_text_goes_on_in_the_next_repetition(text: str) -> None:
    message = dermreport.to_hl7v2(
        dermreport.review(record(note=text)), routing=dermreport.Routing(characters=CharacterSet.ASCII)
    )
    (row,) = coded(message, "examination-note")
    assert row.texts == [text]
    assert max(map(len, row.values)) <= MAX_FT
    assert (len(row.values) > 1) is any(issue.rule == "v2-divided" for issue in message.issues)
    for part in row.values:
        assert part.count("\\") % 2 == 0


def test_a_text_that_is_too_long_for_its_type_is_whole_and_an_issue() -> None:
    message = reported(patient={"reference": "Patient/1", "details": {"address": "a" * 200}})
    assert "a" * 200 in message.text
    assert [issue.parameters for issue in message.issues if issue.rule == "v2-length"] == [(("count", "1"),)]
    fits = reported(patient={"reference": "Patient/1", "details": {"address": "a" * 199}})
    assert "v2-length" not in {issue.rule for issue in fits.issues}


# --- times and numbers


@pytest.mark.parametrize(
    ("entered", "value", "data_type", "exact"),
    [
        ("2026", "2026", "DT", True),
        ("2026-03", "202603", "DT", True),
        ("2026-03-04", "20260304", "DT", True),
        ("2026-03-04T10:15:30+01:00", "20260304101530+0100", "TS", True),
        ("2026-03-04T10:15:30Z", "20260304101530+0000", "TS", True),
        ("2026-03-04T10:15:30-11:30", "20260304101530-1130", "TS", True),
        ("2026-03-04T10:15:30.1234Z", "20260304101530.1234+0000", "TS", True),
        ("2026-03-04T10:15:30.12345Z", "20260304101530.1234+0000", "TS", False),
        ("2026-12-31T23:59:60Z", "20261231235959+0000", "TS", False),
    ],
)
def test_times_keep_their_precision_and_offset(entered: str, value: str, data_type: str, *, exact: bool) -> None:
    made = time(entered)
    assert (made.value, made.data_type, made.exact) == (value, data_type, exact)


def test_a_time_that_a_field_cuts_is_an_issue_and_one_that_is_a_value_stays_whole() -> None:
    cut = reported(examined="2026-01-02T10:00:00.123456Z")
    assert [issue.parameters for issue in cut.issues if issue.rule == "v2-time"] == [(("count", "2"),)]
    whole = reported(views=[{"key": "a", "light": "polarised", "taken": "2026-01-02T10:00:00.123456Z"}])
    (row,) = coded(whole, "taken")
    assert (row.data_type, row.texts) == ("ST", ["2026-01-02T10:00:00.123456Z"])


def test_an_outcome_has_its_own_time() -> None:
    outcomes = [
        {"key": "1", "kind": "opinion", "date": "2026-02-01"},
        {"key": "2", "kind": "opinion", "text": "told later"},
    ]
    dated, undated = coded(reported(outcomes=outcomes), "outcome")
    assert dated.observed == "20260201"
    assert undated.observed == ""
    assert "time not known" in undated.notes


def test_numbers_keep_their_digits_and_a_long_one_is_a_text() -> None:
    assert [number(one) for one in (Decimal("6.0"), Decimal("1E-7"), 7)] == ["6.0", "0.0000001", "7"]
    sizes = {"longest_mm": Decimal("6.0"), "crosswise_mm": Decimal("1.2345678901234567")}
    message = reported(lesion=sizes)
    (longest,), (crosswise,) = coded(message, "longest-diameter"), coded(message, "crosswise-diameter")
    assert (longest.data_type, longest.values, longest.units) == ("NM", ["6.0"], "mm^mm^UCUM")
    assert (crosswise.data_type, crosswise.values) == ("ST", ["1.2345678901234567"])


def test_a_number_of_a_segment_has_four_digits() -> None:
    assert [set_id(one) for one in (1, 9999, 10_000)] == ["1", "9999", ""]


# --- people and references


def test_the_patient_is_the_one_of_the_report() -> None:
    patient = {
        "identifiers": [
            {"system": "https://host.example/patients", "value": "7"},
            {"value": "0190b0a5-3f0e-7000-8000-000000000000"},
        ],
        "details": {
            "family": "Sample",
            "given": ["Ada", "Bea", "Cis"],
            "birth_date": "1964-05",
            "phone": "+00 1",
            "email": "a@host.example",
            "address": "1 Road\nTown",
        },
    }
    message = reported(patient=patient, background={"age_years": 50, "sex": "female"})
    (pid,) = v2_messages.fields(message.text, "PID")
    assert pid[3] == "7^^^&https://host.example/patients&URI~0190b0a5-3f0e-7000-8000-000000000000"
    assert pid[5] == "Sample^Ada^Bea Cis"
    assert pid[7:9] == ["196405", "F"]
    assert v2_messages.unescaped(pid[11]) == "1 Road\nTown"
    assert pid[13] == "^PRN^PH^^^^^^^^^+00 1~^NET^Internet^a@host.example"


def test_a_patient_without_a_number_is_an_issue() -> None:
    literal = reported(patient={"reference": "Patient/1"})
    assert v2_messages.fields(literal.text, "PID")[0][3] == "Patient/1"
    nothing = reported(patient={"reference": None})
    assert v2_messages.fields(nothing.text, "PID")[0][3].startswith("1/patient^^^&https://host.example/examinations")
    for message in (literal, nothing):
        (issue,) = (one for one in message.issues if one.rule == "v2-patient-number")
        assert issue.severity is Severity.WARNING


def test_a_visit_is_one_patient_with_a_report_for_each_lesion() -> None:
    message = written(example("visit-three-lesions"), letter=v2_messages.PDF)
    assert len(v2_messages.fields(message.text, "PID")) == 1
    orders = v2_messages.fields(message.text, "OBR")
    assert [order[1] for order in orders] == ["1", "2", "3"]
    assert len({order[3] for order in orders}) == 3
    assert message.text.count("|ED|") == 1


def test_two_patients_are_refused() -> None:
    two = [
        dermreport.review(record(**at("patient.reference", f"Patient/{number}"), **at("identifier.value", str(number))))
        for number in (1, 2)
    ]
    with pytest.raises(dermreport.BuildError, match="different patients"):
        dermreport.to_hl7v2(two)
    with pytest.raises(dermreport.BuildError, match="no examination"):
        dermreport.to_hl7v2([])
    with pytest.raises(TypeError):
        dermreport.to_hl7v2(record())


# --- the letter


def test_a_letter_is_an_embedded_pdf() -> None:
    row = v2_messages.rows(written(example("usual"), letter=v2_messages.PDF).text)[-1]
    assert row.data_type == "ED"
    source, kind, subtype, encoding, data = row.values[0].split("^")
    assert (source, subtype) == ("", "PDF")
    assert kind in TABLES["HL70191"][1]
    assert encoding in TABLES["HL70299"][1]
    assert base64.b64decode(data, validate=True) == v2_messages.PDF


def test_a_letter_may_be_as_large_as_the_limit() -> None:
    letter = b"%PDF-" + bytes(MAX_LETTER - 5)
    assert len(written(example("usual"), letter=letter).text) > MAX_LETTER


# --- what a caller gives


@pytest.mark.parametrize(
    "call",
    [
        lambda: dermreport.Routing(sending_application="x" * 21),
        lambda: dermreport.Routing(receiving_facility="marker\r"),
        lambda: dermreport.Routing(sending_facility="märker"),
        lambda: dermreport.Routing(processing="marker"),
        lambda: dermreport.Routing(characters="marker"),
        lambda: reported_with(letter=b"marker"),
        lambda: reported_with(letter=b"%PDF-" + bytes(MAX_LETTER - 4)),
        lambda: reported_with(control_id="marker marker marker marker"),
        lambda: reported_with(control_id=""),
        lambda: reported_with(sent="marker"),
        lambda: reported_with(sent="2026-03"),
    ],
)
def test_what_is_no_setting_is_refused_without_its_value(call: Callable[[], Any]) -> None:
    with pytest.raises(dermreport.SettingsError) as refused:
        call()
    assert "marker" not in str(refused.value)
    assert "märker" not in str(refused.value)


def reported_with(**options: Any) -> dermreport.Message:
    return dermreport.to_hl7v2(dermreport.review(record()), **options)


def test_a_setting_can_be_given_by_its_word() -> None:
    assert dermreport.Routing(characters="8859/1").characters is CharacterSet.LATIN_1


def test_the_same_review_gives_the_same_message_and_another_one_another_id() -> None:
    assert reported() == reported()
    assert reported().control_id != reported(note="more").control_id
    assert len(reported().control_id) <= 20


def test_a_message_does_not_show_what_it_holds() -> None:
    assert "Patient" not in repr(reported())


def test_a_message_loads_no_library_that_it_does_not_need() -> None:
    code = (
        "import dermreport, sys, pathlib\n"
        "exam = dermreport.Examination.from_json(pathlib.Path('examples/usual.json').read_bytes())\n"
        "dermreport.to_hl7v2(dermreport.review(exam)).encode()\n"
        "print(sorted({'fhir.resources', 'hl7apy', 'lxml', 'tqdm'} & sys.modules.keys()))"
    )
    root = Path(__file__).parent.parent
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=root)
    assert done.stdout == "[]\n"


# --- nothing is dropped in silence, and nothing of the entry is in an issue

_FULL = settings(
    max_examples=3,
    derandomize=True,
    database=None,
    phases=(Phase.generate,),
    suppress_health_check=list(HealthCheck),
)
#: Keys by which an entry names its own items: no content.
_OWN_KEYS = {"key"}


def _leaves(part: Any, path: str = "$") -> Iterator[tuple[str, Any, Any]]:
    """Yield path, container and key of each text."""
    for key, value in part.items() if isinstance(part, dict) else enumerate(part):
        below = f"{path}[{key}]" if isinstance(key, int) else f"{path}.{key}"
        if isinstance(value, str):
            yield below, part, key
        elif isinstance(value, dict | list | tuple):
            yield from _leaves(value, below)


def _marked(examination: dermreport.Examination) -> tuple[dermreport.Examination, dict[str, str]]:
    """Return an examination in which each text that can be any is a marker, and the path of each marker."""
    entry = _lists(examination.to_dict())
    paths = {}
    for count, (path, part, key) in enumerate(list(_leaves(entry))):
        if key in _OWN_KEYS:
            continue
        before = part[key]
        marker = f"m{count}q"
        for form in (marker, f"urn:{marker}", f"Patient/{marker}", f"Practitioner/{marker}"):
            part[key] = form
            try:
                dermreport.Examination.model_validate(copy.deepcopy(entry))
            except EntryError:
                part[key] = before
            else:
                paths[marker] = path
                break
    return dermreport.Examination.model_validate(entry), paths


def _lists(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _lists(one) for key, one in value.items()}
    return [_lists(one) for one in value] if isinstance(value, list | tuple) else value


@_FULL
@given(strategies.full_examinations())
def test_every_text_of_an_entry_is_in_the_message_or_an_issue_says_not(examination: dermreport.Examination) -> None:
    marked, paths = _marked(examination)
    message = dermreport.to_hl7v2(dermreport.review(marked))
    told = {issue.path for issue in message.issues}
    lost = [path for marker, path in paths.items() if marker not in message.text]
    assert len(paths) > 100
    assert [path for path in lost if not any(path.startswith(one) for one in told if one != "$")] == []
    shown = " ".join(f"{issue} {issue.parameters} {issue.source}" for issue in message.issues)
    assert [marker for marker in paths if re.search(rf"\b{marker}\b", shown)] == []


def test_issues_have_paths_of_the_lesion_they_are_about() -> None:
    picture = {"key": "1", "address": "https://host.example/1.jpg", "size_bytes": 7}
    first = record(images=[picture])
    second = record(images=[picture], **at("identifier.value", "2"), revision=2, status="amended")
    alone = dermreport.to_hl7v2(dermreport.review(first))
    both = dermreport.to_hl7v2([dermreport.review(first), dermreport.review(second)])
    assert "$.images[0]" in {issue.path for issue in alone.issues}
    assert {"$.lesions[0].images[0]", "$.lesions[1].images[0]", "$.lesions[1].revision"} <= {
        issue.path for issue in both.issues
    }
    for issue in both.issues:
        assert re.fullmatch("[a-z0-9.-]{1,64}", issue.rule)


def test_sub_ids_rise_and_the_numbers_are_in_order() -> None:
    text = written(example("usual")).text
    numbers = [int(fields[1]) for fields in v2_messages.fields(text, "OBX")]
    assert numbers == list(range(1, len(numbers) + 1))
    groups = [int(row.sub_id.partition(".")[0]) for row in v2_messages.rows(text)]
    assert all(later - former in {0, 1} for former, later in pairwise(groups))
