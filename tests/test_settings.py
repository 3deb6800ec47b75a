"""A host's settings: words are taken for the members, and what isn't a setting is refused without its value; each says
what it does to a report, and the settings of two hosts in one process don't meet.
"""

from __future__ import annotations

import dataclasses
import json
import pickle
import sys
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import a_plugin
import pytest

import dermreport
from dermreport import (
    ExtraCoding,
    IdentifierSystems,
    Intent,
    PersonEntry,
    Settings,
    SettingsError,
    settings_from_toml,
)
from dermreport.vocabulary.colours import Colour
from dermreport.vocabulary.judgements import Judgement
from dermreport.vocabulary.replies import Reply
from dermreport.vocabulary.standard_codes import DICOM, LOINC, SNOMED_CT
from dermreport.vocabulary.structures import Structure

EXAMPLES = Path(__file__).parent.parent / "examples"
HOST = "https://clinic.example/codes"
SYSTEMS = IdentifierSystems(examination="https://clinic.example/ids/examination")


def test_words_are_taken_for_the_members() -> None:
    settings = Settings(intent="order", persons="match-only", now="2026-03-04T10:15:00+01:00")  # type: ignore[arg-type]
    assert settings.intent is Intent.ORDER
    assert settings.persons is PersonEntry.MATCH_ONLY


@pytest.mark.parametrize(
    "wrong",
    [
        {"intent": "wish-marker"},
        {"persons": "never-marker"},
        {"snomed": "no-marker"},
        {"claim_profiles": 1},
        {"unsuitable_scores": None},
        {"now": "yesterday-marker"},
        {"now": "2026-03-04T10:15:00"},
        {"now": "2026-13-04T10:15:00Z"},
        {"now": 7},
        {"loinc": "no-marker"},
        {"dicom": None},
        {"pathway": "marker"},
        {"language": "marker"},
        {"language": None},
        {"limits": {"size": 7}},
        {"identifier_systems": {"examination": "marker"}},
        {"organisation": "marker"},
        {"organisation": {"reference": "no marker"}},
        {"organisation": {"marker": "x"}},
        {"extra_codings": [ExtraCoding(of="colour/red", system=HOST, code="R")]},
        {"extra_codings": ("marker",)},
        {"extra_codings": (ExtraCoding(of="colour/red", system=HOST, code="R", display="one"),) * 2},
    ],
)
def test_what_is_no_setting_is_refused_without_its_value(wrong: dict[str, Any]) -> None:
    with pytest.raises(SettingsError, match=r"^settings: ") as refused:
        Settings(**wrong)
    assert "marker" not in str(refused.value)


@pytest.mark.parametrize(
    "wrong",
    [
        {"examination": "marker"},
        {"examination": ""},
        {"examination": None},
        {"examination": "https://clinic.example/ids/x", "patient": "marker"},
        {"examination": "https://clinic.example/ids/x", "lesion": 7},
        {"examination": "https://dermreport.example/fhir/CodeSystem/marker"},
    ],
)
def test_what_is_no_system_of_a_host_is_refused(wrong: dict[str, Any]) -> None:
    with pytest.raises(SettingsError, match=r"^settings: identifier_systems: ") as refused:
        IdentifierSystems(**wrong)
    assert "marker" not in str(refused.value)


@pytest.mark.parametrize(
    "wrong",
    [
        {"of": "marker/red"},
        {"of": "colour/marker"},
        {"of": "red"},
        {"of": ""},
        {"of": None},
        {"system": "marker"},
        {"system": "https://dermreport.example/fhir/CodeSystem/colour"},
        {"code": ""},
        {"code": " marker"},
        {"code": "marker "},
        {"code": "marker  B"},
        {"code": "marker\tB"},
        {"code": 7},
        {"display": ""},
        {"version": 1},
    ],
)
def test_what_is_no_coding_is_refused(wrong: dict[str, Any]) -> None:
    with pytest.raises(SettingsError, match=r"^settings: extra_codings: ") as refused:
        ExtraCoding(**{"of": "colour/red", "system": HOST, "code": "R", **wrong})
    assert "marker" not in str(refused.value)


def test_a_row_is_named_by_itself_or_by_table_and_code() -> None:
    by_name = ExtraCoding(of="colour/red", system=HOST, code="R")
    assert by_name == ExtraCoding(of=Colour.RED, system=HOST, code="R")
    assert by_name.of is Colour.RED


def test_rows_of_two_tables_with_the_same_code_stay_two() -> None:
    """As text they are equal, and what is made once for equal settings must not be another row's."""
    one, other = (ExtraCoding(of=row, system=HOST, code="x") for row in (Reply.NO, Judgement.NO))
    assert one.of == other.of
    assert one != other
    assert sent(Settings(extra_codings=(one,))) != sent(Settings(extra_codings=(other,)))


# -- what each does ----------------------------------------------------------------------------------------------------


def examination(name: str = "usual") -> dermreport.Examination:
    return dermreport.Examination.from_json((EXAMPLES / f"{name}.json").read_bytes())


def concepts(value: Any) -> Iterator[dict[str, Any]]:
    """Yield every concept with codings in a report."""
    if isinstance(value, dict):
        if "coding" in value:
            yield value
        for one in value.values():
            yield from concepts(one)
    elif isinstance(value, list):
        for one in value:
            yield from concepts(one)


def sent(settings: Settings, release: str = "R5", name: str = "usual") -> dict[str, Any]:
    report = dermreport.to_fhir(dermreport.review(examination(name), settings), release=release)
    bundle: dict[str, Any] = report.bundle("collection").to_dict()
    return bundle


@pytest.mark.parametrize(("name", "system"), [("snomed", SNOMED_CT), ("loinc", LOINC), ("dicom", DICOM)])
def test_a_code_system_that_is_off_stands_beside_no_code_of_ours(name: str, system: str) -> None:
    def beside_ours(settings: Settings) -> set[str]:
        found = set()
        for concept in concepts(sent(settings, name="calf-excised-with-histology")):
            ours = [one for one in concept["coding"] if one["system"].startswith("https://dermreport.example")]
            found |= {one["system"] for one in concept["coding"]} if ours else set()
        return found

    assert system in beside_ours(Settings())
    assert beside_ours(Settings(**{name: False})) == beside_ours(Settings()) - {system}


def extra() -> tuple[ExtraCoding, ...]:
    exam = examination()
    assert exam.lesion is not None
    site, structure = exam.lesion.site, exam.findings[0].structure
    return (
        ExtraCoding(of=f"site/{site}", system=HOST, code="S-7", display="Our name of the site"),
        ExtraCoding(of=structure, system=HOST, code="one space", version="2026"),  # type: ignore[arg-type]
    )


def test_an_extra_coding_stands_last_beside_each_concept_of_its_row_and_beside_no_other() -> None:
    for_site, _ = extra()
    with_it, without = list(concepts(sent(Settings(extra_codings=extra())))), list(concepts(sent(Settings())))
    assert len(with_it) == len(without)
    wanted = {"system": HOST, "code": "S-7", "display": "Our name of the site"}
    added = 0
    for one, other in zip(with_it, without, strict=True):
        if {"system": f"https://dermreport.example/fhir/CodeSystem/{for_site.table}", "code": str(for_site.of)} in [
            {name: coding.get(name) for name in ("system", "code")} for coding in other["coding"]
        ]:
            assert one == {**other, "coding": [*other["coding"], wanted]}
            added += 1
        else:
            assert [coding for coding in one["coding"] if coding.get("code") == "S-7"] == []
    assert added > 1


def test_an_extra_coding_of_a_standard_that_stands_there_anyway_is_not_said_twice() -> None:
    colour = next(one for one in concepts(sent(Settings())) if any(c["system"] == SNOMED_CT for c in one["coding"]))
    ours, standard, *_ = colour["coding"]
    table = ours["system"].rpartition("/")[2]
    again = ExtraCoding(of=f"{table}/{ours['code']}", system=SNOMED_CT, code=standard["code"], display="x")
    assert sent(Settings(extra_codings=(again,))) == sent(Settings())


@pytest.mark.parametrize("release", ["R4", "R5"])
@pytest.mark.parametrize("kind", ["transaction", "collection", "document"])
def test_extra_codings_are_read_back_as_foreign_and_go_out_again_once(kind: str, release: str) -> None:
    settings = Settings(extra_codings=extra())
    report = dermreport.to_fhir(dermreport.review(examination(), settings), release=release).bundle(kind).to_json()
    reading = dermreport.from_fhir(report)
    assert reading.examination is not None
    assert reading.examination.to_json() == examination().to_json()
    assert not [issue for issue in reading.issues if issue.severity is not dermreport.Severity.INFORMATION]
    for again in (settings, Settings()):
        review = dermreport.review(reading.examination, again)
        made = dermreport.to_fhir(review, release=release, foreign=reading.foreign).bundle(kind).to_json()
        assert made.count(HOST) == report.count(HOST) > 2
    assert (
        dermreport.to_fhir(dermreport.review(reading.examination, settings), release=release, foreign=reading.foreign)
        .bundle(kind)
        .to_json()
        == report
    )


def test_extra_codings_are_in_hl7_v2_too() -> None:
    message = dermreport.to_hl7v2(dermreport.review(examination(), Settings(extra_codings=extra())))
    assert f"also coded as S-7 (Our name of the site) of {HOST}" in message.text
    assert f"coding system of one space: {HOST}, version 2026" in message.text


def test_the_hosts_organisation_stands_where_the_entry_has_none() -> None:
    ours = dermreport.Reference.model_validate({"reference": "Organization/7", "display": "Example clinic"})
    settings = Settings(organisation=ours)
    assert settings == Settings(organisation={"reference": "Organization/7", "display": "Example clinic"})  # type: ignore[arg-type]
    entry = examination().to_dict()
    for entered, expected in ((None, "Organization/7"), ({"reference": "Organization/8"}, "Organization/8")):
        exam = dermreport.Examination.model_validate({**entry, "organisation": entered})
        review = dermreport.review(exam, settings)
        assert review.examination.to_json() == exam.to_json()
        assert review.organisation is not None
        assert review.organisation.reference == expected
        reports = [one for one in dermreport.to_fhir(review).resources if one["resourceType"] == "DiagnosticReport"]
        assert [one["performer"][-1]["reference"] for one in reports] == [expected]
        assert f"organisation: {'Example clinic; ' if entered is None else ''}{expected}" in (
            dermreport.to_hl7v2(review).text
        )
    assert dermreport.review(examination()).organisation is None


def test_issues_are_said_in_the_hosts_language_and_a_draft_says_so() -> None:
    entry = examination().to_dict()
    del entry["examiner"]
    exam = dermreport.Examination.model_validate(entry)
    english, german = (dermreport.review(exam, Settings(language=code)) for code in ("en", "de"))
    assert english.issues == german.issues
    (issue,) = [one for one in german.issues if one.rule == "identity-examiner-missing"]
    said = german.language.message(issue)
    assert said == dermreport.language("de").message(issue) != english.language.message(issue) == issue.message
    for outcome in (
        dermreport.to_fhir(german).outcome(),
        dermreport.to_outcome(german.issues, language="de"),
    ):
        texts = [one["details"]["text"] for one in outcome["issue"]]
        assert outcome["language"] == "de"
        assert said in texts
        assert issue.message not in texts
        assert texts[-1].startswith("de: machine-drafted")
    assert "language" not in dermreport.to_fhir(english).outcome()
    # What is stored stays as it is.
    assert dermreport.to_fhir(german).bundle().to_json() == dermreport.to_fhir(english).bundle().to_json()


def test_the_limits_are_those_of_reading() -> None:
    settings = Settings(limits=dermreport.Limits(size=10))
    assert [issue.rule for issue in dermreport.from_fhir("{" + " " * 10 + "}", limits=settings.limits).issues] == [
        "read-too-large",
        "entry-plan-not-known",
    ]


# -- as a file ---------------------------------------------------------------------------------------------------------

TOML = """
snomed = false
loinc = false
dicom = false
claim_profiles = true
unsuitable_scores = true
intent = "order"
persons = "match-only"
pathway = "uk-ng12"
language = "de"

[identifier_systems]
examination = "https://clinic.example/ids/examination"
patient = "https://clinic.example/ids/patient"
lesion = "urn:oid:1.2.3"

[organisation]
reference = "Organization/7"

[limits]
size = 2_000_000
attachment_kinds = ["image/png"]

[[extra_codings]]
of = "structure/network-atypical"
system = "https://clinic.example/codes"
code = "NET-A"

[[extra_codings]]
of = "colour/red"
system = "https://clinic.example/codes"
code = "R"
display = "Red"
version = "2"
"""
#: What a file must have.
LEAST = '[identifier_systems]\nexamination = "https://clinic.example/ids/examination"\n'


def test_a_file_says_every_setting_but_the_time(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    a_plugin.install(monkeypatch, tmp_path, {a_plugin.NAME: "lakeside_file:plugin"}, {"lakeside_file": a_plugin.MODULE})
    text = f'plugins = ["{a_plugin.NAME}"]\n{TOML}'
    read = settings_from_toml(text)
    assert read == Settings(
        snomed=False,
        loinc=False,
        dicom=False,
        claim_profiles=True,
        unsuitable_scores=True,
        intent=Intent.ORDER,
        persons=PersonEntry.MATCH_ONLY,
        pathway=dermreport.shipped_pathway("uk-ng12"),
        language="de",
        identifier_systems=IdentifierSystems(
            examination="https://clinic.example/ids/examination",
            patient="https://clinic.example/ids/patient",
            lesion="urn:oid:1.2.3",
        ),
        organisation=dermreport.Reference.model_validate({"reference": "Organization/7"}),
        limits=dermreport.Limits(size=2_000_000, attachment_kinds=frozenset({"image/png"})),
        plugins=dermreport.load_plugins(a_plugin.whole()),
        extra_codings=(
            ExtraCoding(of=Structure.NETWORK_ATYPICAL, system=HOST, code="NET-A"),
            ExtraCoding(of=Colour.RED, system=HOST, code="R", display="Red", version="2"),
        ),
    )
    assert read == settings_from_toml(text.encode())
    defaults = Settings()
    same = {one.name for one in dataclasses.fields(Settings) if getattr(read, one.name) == getattr(defaults, one.name)}
    assert same == {"now"}
    assert settings_from_toml(LEAST) == Settings(identifier_systems=SYSTEMS)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "a setting is missing: identifier_systems"),
        ("[identifier_systems]", "settings: identifier_systems: a setting is missing: examination"),
        ("[identifier_systems]\nexamination = 7", "identifier_systems: examination is the URI"),
        ("marker = ", "no TOML"),
        ("a" * 20 + " = [" * 2000, "no TOML"),
        (f"marker = true\n{LEAST}", "other settings than"),
        (f"now = 2026-03-04T10:15:00+01:00\n{LEAST}", "a file can't say now"),
        (f'snomed = "marker"\n{LEAST}', "snomed is True or False"),
        (f'pathway = "marker"\n{LEAST}', "pathway is one of"),
        (f"pathway = 7\n{LEAST}", "pathway is one of"),
        (f"limits = 7\n{LEAST}", "limits: it is a table"),
        (f"limits = {{ size = -1 }}\n{LEAST}", "limits: size is a whole number"),
        (f"limits = {{ attachment_kinds = 7 }}\n{LEAST}", "attachment_kinds is a set"),
        (f"limits = {{ attachment_kinds = [[7]] }}\n{LEAST}", "attachment_kinds is a set"),
        (f"extra_codings = 7\n{LEAST}", "extra_codings is a tuple"),
        (f"extra_codings = [7]\n{LEAST}", "extra_codings[0]: it is a table"),
        (f'extra_codings = [{{ of = "colour/red", table = "marker" }}]\n{LEAST}', "other settings than"),
        (f'extra_codings = [{{ of = "colour/red" }}]\n{LEAST}', "a setting is missing: code, system"),
        (f'organisation = "marker"\n{LEAST}', "organisation is a Reference"),
        (f'{LEAST}marker = "x"', "other settings than"),
    ],
)
def test_a_file_that_does_not_fit_is_refused_without_its_values(text: str, said: str) -> None:
    with pytest.raises(SettingsError) as refused:
        settings_from_toml(text)
    assert said in str(refused.value)
    assert "marker" not in str(refused.value)


MANY_WRONG = """
marker = 1
snomed = "marker"
loinc = 7
intent = ["marker"]
persons = "marker"
pathway = "marker"
language = ["marker"]
now = "marker"
organisation = "marker"
plugins = "marker"

[identifier_systems]
examination = "marker"
patient = "marker"

[limits]
size = -1
depth = "marker"
attachment_kinds = 7

[[extra_codings]]
of = "marker"
system = "https://clinic.example/codes"
code = "R"

[[extra_codings]]
of = "colour/red"
system = "https://clinic.example/codes"
code = "R"

[[extra_codings]]
of = "colour/red"
marker = 1
"""


def test_all_that_is_wrong_in_a_file_is_said_at_once_with_its_place() -> None:
    with pytest.raises(SettingsError) as refused:
        settings_from_toml(MANY_WRONG)
    problems = refused.value.problems
    assert [one.partition(" is ")[0] for one in problems] == [
        "settings: a file can't say now",
        f"settings: it has other settings than {', '.join(sorted(one.name for one in dataclasses.fields(Settings)))}",
        "settings: pathway",
        "settings: identifier_systems: examination",
        "settings: identifier_systems: patient",
        "settings: extra_codings[0]: of",
        "settings: extra_codings[2]: it has other settings than code, display, of, system, version",
        "settings: extra_codings[2]: a setting",
        "settings: limits: size",
        "settings: limits: depth",
        "settings: limits: attachment_kinds",
        "settings: plugins",
        "settings: intent",
        "settings: persons",
        "settings: snomed",
        "settings: loinc",
        "settings: language",
        "settings: organisation",
    ]
    assert str(refused.value) == "\n".join(problems)
    assert "marker" not in str(refused.value)
    assert refused.value.__context__ is None
    again = pickle.loads(pickle.dumps(refused.value))  # noqa: S301 - our own
    assert again.problems == problems


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ("snomed = marker", "line 1, column 10"),
        ("snomed = true\n\nloinc = tru", "line 3, column 9"),
        ("snomed = true\nsnomed = false\n", "line 2, column 15: a setting or table is there twice"),
        ("snomed = true\nsnomed = false", "end of document: a setting or table is there twice"),
        ("[limits]\n[limits]\n", "line 2, column 8: a setting or table is there twice"),
        ("[marker]\nx = 1\n[marker]\n", "line 3, column 8: a setting or table is there twice"),
        ("[limits", "end of document"),
        ('x = "(at line 7, column 7)" y', "line 1, column 29"),
    ],
)
def test_a_file_that_is_no_toml_says_where(text: str, place: str) -> None:
    with pytest.raises(SettingsError) as refused:
        settings_from_toml(text)
    assert str(refused.value) == f"settings: the file is no TOML in UTF-8: {place}"
    assert refused.value.__context__ is None


@pytest.mark.parametrize("as_bytes", [True, False])
def test_a_byte_order_mark_before_a_file_is_passed_over(as_bytes: bool) -> None:  # noqa: FBT001 - a case
    text = '\ufeffsnomed = false\n[identifier_systems]\nexamination = "https://clinic.example/ids"\n'
    assert settings_from_toml(text.encode() if as_bytes else text) == settings_from_toml(text[1:])
    assert dermreport.letter_settings_from_toml("\ufeff") == dermreport.LetterSettings()


def test_all_that_is_wrong_in_settings_is_said_at_once() -> None:
    with pytest.raises(SettingsError) as refused:
        Settings(snomed=7, intent=[], limits=None, extra_codings=(SYSTEMS,))  # type: ignore[arg-type]
    assert [one.partition(" is ")[0] for one in refused.value.problems] == [
        "settings: intent",
        "settings: snomed",
        "settings: limits",
        "settings: extra_codings",
    ]


def test_a_file_is_text_or_bytes() -> None:
    with pytest.raises(TypeError, match=r"^settings: text is str or bytes, not int$"):
        settings_from_toml(7)  # type: ignore[arg-type]


# -- two hosts in one process ------------------------------------------------------------------------------------------


def test_two_hosts_in_one_process_do_not_meet() -> None:
    """Reports that are made in turns by many threads are the ones that each host gets alone in a fresh process."""
    other = f"""
snomed = false
language = "de"
pathway = "uk-ng12"
[identifier_systems]
examination = "https://other.example/ids/examination"
[organisation]
reference = "Organization/9"
[[extra_codings]]
of = "site/{examination().lesion.site}"
system = "https://other.example/codes"
code = "O"
"""
    hosts = [settings_from_toml(LEAST), settings_from_toml(other), settings_from_toml(TOML)]

    def told(settings: Settings) -> tuple[str, ...]:
        review = dermreport.review(examination(), settings)
        report = dermreport.to_fhir(review)
        return (
            report.bundle("transaction").to_json(),
            json.dumps(report.outcome(), default=str),
            dermreport.to_hl7v2(review).text,
            *(review.language.message(issue) for issue in review.issues),
        )

    alone = [told(settings) for settings in hosts]
    assert len(set(alone)) == len(hosts)
    before = sys.getswitchinterval()
    sys.setswitchinterval(1e-5)
    try:
        with ThreadPoolExecutor(max_workers=6) as pool:
            together = list(pool.map(told, hosts * 8))
    finally:
        sys.setswitchinterval(before)
    assert together == alone * 8
    assert "other.example" not in alone[0][0] + alone[2][0]
