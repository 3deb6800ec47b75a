"""The exact reader and writer: what is written is what was read, and what isn't JSON is refused with its reason.

Checked against RFC 8259 (JSON), Python's ``json`` as another reader, and Python's ``decimal`` for the digits.
"""

from __future__ import annotations

import json
import math
import re
from datetime import date, datetime, timedelta, timezone
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from strategies import examinations, full_examinations

from dermreport import EntryError, Examination, Visit, form_json, from_entry, from_response, to_response
from dermreport.examination.base import Model, OtherCode
from dermreport.examination.lesion import HistoryAnswer, Lesion, MapPoint
from dermreport.examination.observed import Description, Finding, View
from dermreport.examination.people import Background
from dermreport.examination.reader import MAX_ENTRY, NotPlainError, read_json, read_plain_json, write_json
from dermreport.vocabulary.colours import Colour

NEEDED = {
    "patient": {"reference": "Patient/1"},
    "examined": "2026-03-04",
    "identifier": {"system": "https://host.example/ids", "value": "1"},
    "status": "draft",
}
SLOW = settings(max_examples=25, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])


def text_with(lesion: str) -> str:
    """Return an examination whose lesion is this JSON text."""
    return f'{json.dumps(NEEDED)[:-1]}, "lesion": {lesion}}}'


def rules(text: str | bytes) -> list[str]:
    with pytest.raises(EntryError) as refused:
        read_json(text)
    return [issue.rule for issue in refused.value.issues]


@pytest.mark.parametrize(
    ("read", "written"),
    [
        ("6", "6"),
        ("6.0", "6.0"),
        ("6.00", "6.00"),
        ("4.50", "4.50"),
        ("0.10", "0.10"),
        ("0", "0"),
        ("0.000", "0.000"),
        ("-0.0", "-0.0"),
        ("1.00000000000000001", "1.00000000000000001"),
        ("123.456789012345678", "123.456789012345678"),
        ("0.3333333333333333", "0.3333333333333333"),
        # A power of ten has no place in a measurement: the value stays, the notation goes.
        ("1e2", "100"),
        ("1E+2", "100"),
        ("1.5e1", "15"),
        ("15e-1", "1.5"),
        ("150e-2", "1.50"),
    ],
)
def test_a_number_keeps_its_digits(read: str, written: str) -> None:
    examination = Examination.from_json(text_with(f'{{"longest_mm": {read}}}'))
    assert (
        examination.to_json()
        == json.dumps(NEEDED, separators=(",", ":"))[:-1] + f',"lesion":{{"longest_mm":{written}}}}}'
    )
    assert examination.lesion is not None
    assert examination.lesion.longest_mm == Decimal(read)
    assert Examination.from_json(examination.to_json()).to_json() == examination.to_json()


@pytest.mark.parametrize(
    "number",
    [
        "1.0000000000000000000",
        "9" * 41,
        "9" * 5000,
        "1." + "0" * 100_000,
        "1e13",
        "1e400",
        "1e-41",
        "1e999999999",
        "-1e400",
    ],
)
def test_a_number_with_more_digits_than_a_measurement_is_refused_where_it_stands(number: str) -> None:
    with pytest.raises(EntryError) as refused:
        Examination.from_json(text_with(f'{{"longest_mm": {number}, "label": ""}}'))
    issues = [(issue.rule, issue.path) for issue in refused.value.issues]
    assert issues == [("entry-text-not-allowed", "$.lesion.label"), ("entry-number-too-long", "$.lesion.longest_mm")]


@pytest.mark.parametrize("number", ["9" * 41, "1e400", "1e-41", "1e30"])
def test_a_count_with_more_digits_than_a_count_is_refused(number: str) -> None:
    with pytest.raises(EntryError) as refused:
        Background.model_validate_json(f'{{"age_years": {number}}}')
    assert {issue.path for issue in refused.value.issues} == {"$.age_years"}


def test_an_exponent_that_no_number_has_is_refused() -> None:
    assert rules("1e99999999999999999999") == ["entry-number-too-long"]
    assert rules("[1e-99999999999999999999]") == ["entry-number-too-long"]


def test_the_most_digits_that_are_held() -> None:
    assert Lesion.model_validate_json('{"longest_mm": 1.00000000000000000}').longest_mm is not None
    assert Lesion.model_validate_json('{"longest_mm": 0.1234567890123456}').longest_mm is not None
    with pytest.raises(EntryError):
        Lesion.model_validate_json('{"longest_mm": 1.000000000000000000}')


@pytest.mark.parametrize(
    ("text", "rule"),
    [
        ('{"a": 1, "a": 1}', "entry-key-twice"),
        ('[{"x": {"a": 1, "b": 2, "a": 3}}]', "entry-key-twice"),
        ('{"a": 1, "\\u0061": 2}', "entry-key-twice"),
        ("NaN", "entry-not-a-number"),
        ('{"a": Infinity}', "entry-not-a-number"),
        ("[-Infinity]", "entry-not-a-number"),
        ("", "entry-not-json"),
        (" ", "entry-not-json"),
        ("{}x", "entry-not-json"),
        ("{} {}", "entry-not-json"),
        ("{'a': 1}", "entry-not-json"),
        ('{"a": 1,}', "entry-not-json"),
        ('{"a": 01}', "entry-not-json"),
        ('{"a": 1.}', "entry-not-json"),
        ('{"a": .5}', "entry-not-json"),
        ('{"a": +1}', "entry-not-json"),
        ('{"a": 0x10}', "entry-not-json"),
        ('{"a": "line\nfeed"}', "entry-not-json"),
        ('{"a": // no\n1}', "entry-not-json"),
        ('{"a"', "entry-not-json"),
        ("[" * 100_000, "entry-too-deep"),
        ("[" * 100_000 + "]" * 100_000, "entry-too-deep"),
        ('{"a":' * 50_000 + "1" + "}" * 50_000, "entry-too-deep"),
    ],
    ids=lambda value: value[:20],
)
def test_what_is_refused_as_text(text: str, rule: str) -> None:
    assert rules(text) == [rule]
    assert rules(text.encode()) == [rule]


@pytest.mark.parametrize(
    "data", [b"\xff\xfe{}", b'{"a": "\xe4"}', b'{"a": "\xed\xa0\x80"}', "{}".encode("utf-16"), b"\x80"]
)
def test_bytes_that_are_not_utf_8_are_refused(data: bytes) -> None:
    assert rules(data) == ["entry-not-utf-8"]


def test_a_byte_order_mark_before_the_text_is_allowed_and_only_there() -> None:
    assert read_json(b"\xef\xbb\xbf{}") == read_json("\ufeff{}") == {}
    assert rules("{}\ufeff") == ["entry-not-json"]


def test_the_longest_entry() -> None:
    assert read_json("{}" + " " * (MAX_ENTRY - 2)) == {}
    assert rules("{}" + " " * (MAX_ENTRY - 1)) == ["entry-too-large"]
    assert rules(b"{}" + b" " * (MAX_ENTRY - 1)) == ["entry-too-large"]


PADDED = (Path(__file__).parent.parent / "examples" / "usual.json").read_text(encoding="ascii")
PADDED += " " * (MAX_ENTRY + 1 - len(PADDED))
ANSWERED = form_json(to_response(Examination.from_json(PADDED.strip()))).encode("ascii", "ignore").decode()
ANSWERED += " " * (MAX_ENTRY + 1 - len(ANSWERED))
READERS: dict[str, tuple[Any, str]] = {
    "from_json": (Examination.from_json, PADDED),
    "from_entry": (from_entry, PADDED),
    "from_response": (from_response, ANSWERED),
}


@pytest.mark.parametrize("door", READERS)
@pytest.mark.parametrize("kind", [str, str.encode], ids=["text", "bytes"])
@pytest.mark.parametrize(
    ("length", "options", "allowed"),
    [
        (MAX_ENTRY, {}, True),
        (MAX_ENTRY + 1, {}, False),
        (MAX_ENTRY + 1, {"size": MAX_ENTRY + 1}, True),
        (MAX_ENTRY + 1, {"size": MAX_ENTRY}, False),
        (200_000, {"size": 199_999}, False),
    ],
)
def test_how_long_an_entry_may_be_is_the_callers_matter(
    door: str, kind: Any, length: int, options: dict[str, int], allowed: object
) -> None:
    read, padded = READERS[door]
    try:
        found = read(kind(padded[:length]), **options)
        assert isinstance(getattr(found, "examination", found), Examination) is allowed
        told = [issue.rule for issue in getattr(found, "issues", ())]
    except EntryError as error:
        told = [issue.rule for issue in error.issues]
    assert ("entry-too-large" not in told) is allowed


def test_what_is_set_aside_of_a_longer_entry_is_as_written() -> None:
    text = PADDED.replace("{", '{"weight": 70.50,', 1)
    entry = from_entry(text, size=len(text))
    assert str(entry.set_aside["$.weight"]) == "70.50"


def test_a_syntax_error_names_its_place_and_not_what_stands_there() -> None:
    with pytest.raises(EntryError) as refused:
        read_json('{\n  "note": "ok",\n  Plumeria\n}')
    (issue,) = refused.value.issues
    assert issue.parameters == (("line", "3"), ("column", "3"))
    assert "Plumeria" not in str(refused.value)
    assert refused.value.__cause__ is None
    # The error of the JSON reader holds the whole text.
    assert refused.value.__context__ is None


JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False) | st.text(),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(), inner, max_size=4),
    max_leaves=12,
)


@given(JSON)
def test_another_reader_reads_the_same_values(value: Any) -> None:
    text = json.dumps(value)
    assert read_json(text) == json.loads(text, parse_float=Decimal)


def read_or_refused(text: str | bytes) -> Any:
    """Return what is read, or the paths of the issues as a tuple."""
    try:
        return read_json(text)
    except EntryError as error:
        return tuple(issue.path for issue in error.issues)


def by_another_reader(text: str) -> Any:
    """Return what Python's own reader reads, or a tuple that says where a refusal belongs."""
    try:
        return json.loads(text, parse_float=Decimal)
    except ValueError:
        return ("$",)


@given(JSON.map(json.dumps), st.integers(0, 80), st.text('{}[]:,"\\0123456789.eE+-ntf \n', max_size=3))
def test_a_damaged_text_is_read_or_refused_as_by_another_reader(text: str, position: int, damage: str) -> None:
    damaged = text[:position] + damage + text[position + 1 :]
    ours, theirs = read_or_refused(damaged), by_another_reader(damaged)
    # Ours refuses two things that the other takes: a key given twice, and exponents beyond any number.
    assert ours in (theirs, ("$",))
    if ours != theirs:
        with pytest.raises(EntryError, match=r"entry-(key-twice|number-too-long)"):
            read_json(damaged)


@given(st.binary(max_size=60))
def test_any_bytes_are_read_or_refused_and_never_more(data: bytes) -> None:
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        assert rules(data) == ["entry-not-utf-8"]
    else:
        assert read_or_refused(data) == by_another_reader(text)


@SLOW
@given(examinations())
def test_what_is_written_is_read_as_the_same(examination: Examination) -> None:
    text = examination.to_json()
    again = Examination.from_json(text)
    assert again == examination
    assert again.to_json() == text
    assert Examination.from_json(text.encode()).to_json() == text


@SLOW
@given(full_examinations())
def test_a_full_examination_is_read_as_the_same_by_every_way_in(examination: Examination) -> None:
    text = examination.to_json()
    assert Examination.model_validate_json(text).to_json() == text
    assert Examination.model_validate_json(bytearray(text.encode())).to_json() == text
    assert Examination.model_validate(read_json(text)).to_json() == text
    assert Examination.model_validate(examination.to_dict()).to_json() == text
    assert Examination.model_validate(examination).to_json() == text
    assert Examination.model_validate_json(examination.model_dump_json()).to_json() == text


@SLOW
@given(full_examinations())
def test_a_dict_as_json_loads_gives_it_is_taken(examination: Examination) -> None:
    """A float has lost the digits behind its shortest text, and nothing else."""
    loaded = json.loads(examination.to_json())
    taken = Examination.model_validate(loaded)
    assert json.loads(taken.to_json()) == loaded
    assert Examination.model_validate(json.loads(taken.to_json())).to_json() == taken.to_json()


@SLOW
@given(examinations())
def test_an_indented_text_is_read_as_the_same(examination: Examination) -> None:
    entry = json.loads(examination.to_json(), parse_float=Decimal)
    indented = json.dumps(entry, indent=2, default=lambda number: f"NUMBER{number}NUMBER", ensure_ascii=True)
    assert (
        Examination.from_json(indented.replace('"NUMBER', "").replace('NUMBER"', "")).to_json() == examination.to_json()
    )


def test_a_float_is_taken_by_its_shortest_text() -> None:
    assert Lesion.model_validate({"longest_mm": 4.1}).longest_mm == Decimal("4.1")
    assert write_json(MapPoint.model_validate({"map": "body-back", "x": 0.1 + 0.2, "y": 1e-16}).model_dump()) == (
        '{"map":"body-back","x":0.30000000000000004,"y":1E-16}'
    )


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf, Decimal("NaN"), Decimal("Infinity"), Decimal("sNaN")])
def test_a_number_that_is_none_is_refused(value: Any) -> None:
    with pytest.raises(EntryError) as refused:
        Lesion.model_validate({"longest_mm": value})
    assert [issue.rule for issue in refused.value.issues] == ["entry-not-a-number"]


@pytest.mark.parametrize(
    ("model", "entry", "rule"),
    [
        (Lesion, {"longest_mm": "6"}, "entry-wrong-kind"),
        (Lesion, {"longest_mm": True}, "entry-wrong-kind"),
        (Lesion, {"longest_mm": [6]}, "entry-wrong-kind"),
        (Lesion, {"label": 6}, "entry-wrong-kind"),
        (Lesion, {"label": True}, "entry-wrong-kind"),
        (Lesion, {"in_scar": True}, "entry-unknown-code"),
        (Lesion, {"in_scar": 1}, "entry-unknown-code"),
        (Lesion, {"site": 1}, "entry-wrong-kind"),
        (Lesion, {"history": "yes"}, "entry-wrong-kind"),
        (Lesion, {"bedside_tests": {}}, "entry-wrong-kind"),
        (Lesion, {"bedside_tests": "tape"}, "entry-wrong-kind"),
        (Background, {"age_years": True}, "entry-wrong-kind"),
        (Background, {"age_years": "42"}, "entry-wrong-kind"),
        (Background, {"age_years": 42.5}, "entry-wrong-kind"),
        (Background, {"age_years": Decimal("42.5")}, "entry-wrong-kind"),
        (View, {"key": "v", "light": "polarised", "magnification": 0}, "entry-out-of-range"),
        (View, {"key": 1, "light": "polarised"}, "entry-wrong-kind"),
        (HistoryAnswer, {"answer": "yes", "since": 2026}, "entry-wrong-kind"),
        (Description, {"colours": ["red", 1]}, "entry-wrong-kind"),
        (Description, {"border_segments": 8.5}, "entry-wrong-kind"),
    ],
)
def test_a_value_of_another_kind_is_refused(model: type[Model], entry: dict[str, Any], rule: str) -> None:
    with pytest.raises(EntryError) as refused:
        model.model_validate(entry)
    assert [issue.rule for issue in refused.value.issues] == [rule]


@pytest.mark.parametrize("value", ["yes", "true", 1, 0, "no"])
def test_only_true_and_false_are_truth_values(value: Any) -> None:
    with pytest.raises(EntryError) as refused:
        Examination.model_validate({**NEEDED, "assessment": {"unequivocal": value}})
    assert [(issue.rule, issue.path) for issue in refused.value.issues] == [
        ("entry-wrong-kind", "$.assessment.unequivocal")
    ]


@pytest.mark.parametrize("value", [42, 42.0, Decimal(42), Decimal("42.0"), Decimal("4.2e1")])
def test_a_whole_number_is_one_however_it_is_written(value: Any) -> None:
    """JSON Schema 2020-12, 6.1.1: a number with a zero fraction is an integer."""
    taken = Background.model_validate({"age_years": value})
    assert type(taken.age_years) is int
    assert write_json(taken.model_dump(exclude_defaults=True)) == '{"age_years":42}'


@pytest.mark.parametrize(
    "time",
    [
        "2026-03-04",
        "2024-02-29",
        "2000-02-29",
        "2026-03-04T10:30:00Z",
        "2026-03-04T10:30:00+00:00",
        "2026-03-04T10:30:00-00:00",
        "2026-03-04T10:30:00.5+05:45",
        "2026-03-04T10:30:00.123000000-11:00",
        "2016-12-31T23:59:60Z",
        "0001-01-01T00:00:00+14:00",
        "9999-12-31",
    ],
)
def test_a_time_stays_as_written(time: str) -> None:
    assert Examination.from_json(json.dumps({**NEEDED, "examined": time})).examined == time


@pytest.mark.parametrize(
    "time",
    [
        "2026-3-4",
        "2026",
        "2026-03",
        "2026-02-29",
        "1900-02-29",
        "2026-04-31",
        "2026-13-01",
        "0000-01-01",
        "2026-03-04T10:30:00",
        "2026-03-04T10:30Z",
        "2026-03-04T24:00:00Z",
        "2026-03-04T10:60:00Z",
        "2026-03-04T10:30:00+14:30",
        "2026-03-04 10:30:00Z",
        "2026-03-04t10:30:00z",
        "2026-03-04\n",
        " 2026-03-04",
        "٢٠٢٦-٠٣-٠٤",
        "04.03.2026",
    ],
)
def test_a_time_of_another_form_is_refused(time: str) -> None:
    """FHIR R4 and R5, data type dateTime: seconds and offset are given, or neither is."""
    with pytest.raises(EntryError) as refused:
        Examination.model_validate({**NEEDED, "examined": time})
    (issue,) = refused.value.issues
    assert (issue.rule, issue.path) == ("entry-time-not-allowed", "$.examined")
    assert "2026-03-04T10:30:00+01:00" in issue.message


def test_a_date_or_a_datetime_with_an_offset_is_taken_by_its_iso_text() -> None:
    zone = timezone(timedelta(hours=1))
    taken = Examination.model_validate({**NEEDED, "examined": datetime(2026, 3, 4, 10, 30, tzinfo=zone)})
    assert taken.examined == "2026-03-04T10:30:00+01:00"
    assert Examination.model_validate({**NEEDED, "examined": date(2026, 3, 4)}).examined == "2026-03-04"
    with pytest.raises(EntryError):
        Examination.model_validate({**NEEDED, "examined": datetime(2026, 3, 4, 10, 30)})  # noqa: DTZ001 - the point


@pytest.mark.parametrize(
    "text", ["a\tb", "a\nb\r", " a ", "\u00a0a", "\u0085a", "\U0001f642", "\u202ea", "<b>&amp;</b>", "x" * 20_000]
)
def test_a_text_stays_as_written(text: str) -> None:
    assert Examination.from_json(json.dumps({**NEEDED, "note": text})).note == text


@pytest.mark.parametrize(
    "text",
    [
        "",
        " ",
        "\n\t",
        "\u00a0",
        "\u2003\u3000",
        "\ufeff",
        "a\x00",
        "a\x08",
        "\x0b",
        "\x1f",
        "\ufffe",
        "\uffff",
        "\ud800",
        "a\udfff",
    ],
)
def test_a_text_that_says_nothing_or_that_xml_cannot_hold_is_refused(text: str) -> None:
    """XML 1.0, production Char: tab, line feed, carriage return, and from U+0020 without surrogates, U+FFFE, U+FFFF."""
    with pytest.raises(EntryError) as refused:
        Examination.model_validate({**NEEDED, "note": text})
    assert [(issue.rule, issue.path) for issue in refused.value.issues] == [("entry-text-not-allowed", "$.note")]


@given(st.characters())
def test_exactly_the_characters_that_xml_can_hold_are_taken(character: str) -> None:
    code = ord(character)
    holds = code in {0x9, 0xA, 0xD} or 0x20 <= code <= 0xD7FF or 0xE000 <= code <= 0xFFFD or code >= 0x10000
    try:
        Examination.model_validate({**NEEDED, "note": f"a{character}"})
    except EntryError:
        assert not holds
    else:
        assert holds


def test_null_means_that_it_was_not_given() -> None:
    bare = Examination.model_validate(NEEDED)
    nulls = dict.fromkeys(set(Examination.model_fields) - set(NEEDED))
    assert len(nulls) > 15
    assert Examination.model_validate({**NEEDED, **nulls}) == bare
    assert Examination.from_json(json.dumps({**NEEDED, **nulls})).to_json() == json.dumps(NEEDED, separators=(",", ":"))


@pytest.mark.parametrize("field", NEEDED)
def test_what_is_required_cannot_be_null(field: str) -> None:
    with pytest.raises(EntryError) as refused:
        Examination.model_validate({**NEEDED, field: None})
    assert [issue.path for issue in refused.value.issues] == [f"$.{field}"]


def test_a_code_of_ours_that_came_with_its_system_is_ours() -> None:
    system = "https://dermreport.example/fhir/CodeSystem/colour"
    taken = Description.model_validate({"colours": [{"system": system, "code": "red", "display": "Red!"}]})
    assert taken.colours == (Colour.RED,)


@pytest.mark.parametrize(
    "code",
    [
        {"system": "https://dermreport.example/fhir/CodeSystem/colour", "code": "ultraviolet"},
        {"system": "https://dermreport.example/fhir/CodeSystem/light", "code": "red"},
        {"system": "https://host.example/colours", "code": "red", "display": "Rot", "version": "3"},
    ],
)
def test_another_code_is_kept_as_written(code: dict[str, str]) -> None:
    taken = Description.model_validate({"colours": [code]})
    assert taken.colours == (OtherCode(**code),)
    assert taken.model_dump(exclude_defaults=True) == {"colours": (code,)}


def test_two_findings_of_one_foreign_code_are_the_same_one_whatever_they_are_called() -> None:
    code = {"system": "https://host.example/s", "code": "x"}
    findings = [{"structure": {**code, "display": name}, "presence": "present"} for name in ("One", "Two")]
    with pytest.raises(EntryError) as refused:
        Examination.model_validate({**NEEDED, "findings": findings})
    assert [(issue.rule, issue.path) for issue in refused.value.issues] == [("entry-given-twice", "$.findings[1]")]
    places = [{**finding, "place": place} for finding, place in zip(findings, ("central", "peripheral"), strict=True)]
    assert len(Examination.model_validate({**NEEDED, "findings": places}).findings) == 2


def test_the_parts_of_an_examination_cannot_be_changed() -> None:
    examination = Examination.model_validate({**NEEDED, "findings": [{"structure": "network", "presence": "present"}]})
    with pytest.raises(Exception, match="frozen"):
        examination.status = "final"  # type: ignore[assignment]
    with pytest.raises(Exception, match="frozen"):
        examination.findings[0].presence = "absent"  # type: ignore[assignment]
    assert hash(examination) == hash(Examination.model_validate_json(examination.to_json()))


def test_a_dict_that_is_handed_out_shares_nothing_with_the_examination() -> None:
    examination = Examination.model_validate({**NEEDED, "description": {"colours": ["red"]}})
    examination.to_dict()["description"].clear()
    assert examination.to_dict()["description"] == {"colours": (Colour.RED,)}


def test_the_order_of_fields_in_a_text_does_not_matter() -> None:
    finding = {"structure": "network", "presence": "present", "views": ["a"]}
    turned = dict(reversed(finding.items()))
    assert Finding.model_validate(turned).model_dump_json() == Finding.model_validate(finding).model_dump_json()


def test_a_visit_is_read_by_the_same_reader() -> None:
    text = json.dumps({**NEEDED, "lesions": 1})
    shared = {name: NEEDED[name] for name in ("patient", "examined")}
    record = {name: NEEDED[name] for name in ("identifier", "status")}
    visit = json.dumps({**shared, "lesions": [{**record, "lesion": {"longest_mm": "MM"}}]}).replace('"MM"', "6.00")
    assert Visit.model_validate_json(visit).to_json() == Visit.from_json(visit).to_json()
    assert '"longest_mm":6.00' in Visit.from_json(visit).to_json()
    with pytest.raises(EntryError):
        Visit.from_json(text)


has_many_digits = re.compile("[0-9]{41}").search
#: Any JSON that Python's own writer writes, by its rules for texts and white space.
ANY_JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.decimals(allow_nan=False, allow_infinity=False) | st.text(),
    lambda below: st.lists(below, max_size=3) | st.dictionaries(st.text(max_size=4), below, max_size=3),
    max_leaves=12,
)


@given(value=ANY_JSON)
def test_the_fast_way_reads_what_we_write_as_the_exact_way_does(value: Any) -> None:
    text = write_json(value)
    try:
        found = read_plain_json(text.encode())
    except NotPlainError:
        assert has_many_digits(text) is not None or "e" in text.lower()
        return
    assert repr(found) == repr(read_json(text))


@given(
    value=ANY_JSON.filter(lambda value: not isinstance(value, Decimal)), spaced=st.booleans(), ascii_only=st.booleans()
)
def test_the_fast_way_reads_others_text_exactly_or_not_at_all(value: Any, *, spaced: bool, ascii_only: bool) -> None:
    separators = (", ", ": ") if spaced else (",", ":")
    text = json.dumps(value, default=str, separators=separators, ensure_ascii=ascii_only)
    try:
        found = read_plain_json(text.encode())
    except NotPlainError:
        return
    assert repr(found) == repr(read_json(text))


@given(start=ANY_JSON, damage=st.lists(st.tuples(st.integers(0, 200), st.binary(max_size=2)), min_size=1, max_size=3))
def test_the_fast_way_takes_nothing_that_the_exact_way_refuses(start: Any, damage: list[tuple[int, bytes]]) -> None:
    content = write_json(start).encode()
    for place, put in damage:
        content = content[:place] + put + content[place + 1 :]
    try:
        found = read_plain_json(content)
    except NotPlainError:
        return
    assert repr(found) == repr(read_json(content))


@pytest.mark.parametrize(
    "text",
    [
        '{"a":1,"a":1}',
        '{"a":{"b":1,"c":2,"b":1}}',
        '{"a":1,"\\u0061":1}',
        '{"a": 1}',
        "[1, 2]",
        "[-0]",
        "[1e5]",
        "[NaN]",
        "[Infinity]",
        "[1e99999999999999999999]",
        f"[{'9' * 41}]",
        f"[-{'9' * 41}]",
        f"[{'9' * 5000}]",
        '["\\ud800"]',
        '["\\u00fc"]',
        '["\\/"]',
        "\ufeff{}",
        "[" * 100_000,
        "[" * 100_000 + "]" * 100_000,
        "",
        "[1,]",
        "01",
    ],
)
def test_the_fast_way_leaves_to_the_exact_way_what_may_mean_something_else(text: str) -> None:
    with pytest.raises(NotPlainError):
        read_plain_json(text.encode())
