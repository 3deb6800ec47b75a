"""The command line: what it prints, where it writes, and how it ends."""

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from lxml import etree

import dermreport
from dermreport import cli
from dermreport.examination.reader import MAX_ENTRY

ROOT = Path(__file__).parent.parent
EXAMPLES = ROOT / "examples"
USUAL = EXAMPLES / "usual.json"
VISIT = EXAMPLES / "visit-three-lesions.json"


def run(*arguments: str, text: bytes = b"") -> subprocess.CompletedProcess[bytes]:
    command = [sys.executable, "-m", "dermreport", *arguments]
    return subprocess.run(command, input=text, capture_output=True, check=False, cwd=ROOT)


@pytest.fixture
def flawed(tmp_path: Path) -> Path:
    entry = json.loads(USUAL.read_text(encoding="utf-8"))
    del entry["lesion"]["site"]
    path = tmp_path / "flawed.json"
    path.write_text(json.dumps(entry), encoding="utf-8")
    return path


@pytest.fixture
def unreadable(tmp_path: Path) -> Path:
    path = tmp_path / "unreadable.json"
    path.write_text('{"status": "final", "patient": {"details": {"family": "Marker-Zebra"}}', encoding="utf-8")
    return path


def test_check_of_a_good_record_ends_with_0(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["check", str(USUAL)]) == cli.DONE
    out = capsys.readouterr().out
    assert str(USUAL) in out
    assert "error:" not in out
    assert "report standard, ten items:" in out


def test_check_of_a_flawed_record_ends_with_1_and_names_the_rule(
    flawed: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.main(["check", str(flawed)]) == cli.ERROR_STANDS
    assert "[site-missing]" in capsys.readouterr().out


def test_check_of_an_unreadable_file_ends_with_3_and_goes_on(
    unreadable: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.main(["check", str(unreadable), str(USUAL)]) == cli.NOT_DONE
    printed = capsys.readouterr()
    assert "[entry-not-json]" in printed.err
    assert "Marker-Zebra" not in printed.err + printed.out
    assert str(USUAL) in printed.out


URGENT = '{"plan": {"actions": [{"key": "1", "action": "refer-suspected-cancer", "urgency": "urgent"}]}'


@pytest.mark.parametrize(
    ("text", "rule"),
    [
        (URGENT, "entry-plan-not-known"),
        ("", "entry-plan-not-known"),
        ("[]", "entry-plan-not-known"),
        ("\xff", "entry-plan-not-known"),
        (" " * (MAX_ENTRY + 1), "entry-plan-not-known"),
        (URGENT + "}", "entry-plan-not-sent"),
        ('{"lesions": [' + URGENT + "}]}", "entry-plan-not-sent"),
        ('{"lesions": ["x"]}', "entry-plan-not-known"),
    ],
    ids=["cut off", "empty", "a list", "not UTF-8", "too large", "not held", "a visit", "a visit of no lesions"],
)
@pytest.mark.parametrize("command", ["check", "score", "report", "letter", "table", "series"])
def test_of_what_is_not_read_each_command_says_once_that_its_plan_was_not_sent(
    command: str, text: str, rule: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "broken.json"
    path.write_bytes(text.encode("latin-1"))
    assert cli.main([command, str(path)]) == cli.NOT_DONE
    told = [line for line in capsys.readouterr().err.splitlines() if "[entry-plan-" in line]
    assert len(told) == 1
    assert f"[{rule}]" in told[0]
    assert "see to it at once" in told[0]


COMMANDS = ["check", "score", "report", "letter", "table", "series"]


def with_urgent_step(name: Path = USUAL) -> dict[str, Any]:
    entry: dict[str, Any] = json.loads(name.read_text(encoding="utf-8"))
    for one in entry.get("lesions", [entry]):
        one["plan"] = json.loads(URGENT + "}")["plan"]
    return entry


@pytest.mark.parametrize("command", COMMANDS[:-1])
def test_what_cannot_be_held_of_an_entry_withholds_nothing_else_and_is_said(
    command: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    entry = with_urgent_step() | {"note": 7, "plann": "Marker-Zebra"}
    entry["lesion"]["site"] = "somewhere"
    path = tmp_path / "partly.json"
    path.write_text(json.dumps(entry), encoding="utf-8")
    assert cli.main([command, str(path)]) == cli.ERROR_STANDS
    shown = capsys.readouterr()
    assert "Marker-Zebra" not in shown.out + shown.err
    # What check finds is what it prints.
    said = [line for line in (shown.out if command == "check" else shown.err).splitlines() if " $." in line]
    for rule, where in (("unknown-code", "$.lesion.site"), ("wrong-kind", "$.note")):
        assert any(f"error: {where}: " in line and f"[entry-{rule}]" in line for line in said)
    assert shown.out if command != "report" else '"priority":"urgent"' in shown.out


@pytest.mark.parametrize("command", COMMANDS[:-1])
def test_one_lesion_of_which_nothing_is_held_withholds_no_other(
    command: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    visit = with_urgent_step(VISIT)
    visit["lesions"][1]["status"] = "x"
    path = tmp_path / "visit.json"
    path.write_text(json.dumps(visit), encoding="utf-8")
    assert cli.main([command, str(path)]) == cli.NOT_DONE
    shown = capsys.readouterr()
    told = [line for line in shown.err.splitlines() if "[entry-plan-" in line]
    assert len(told) == 1
    assert "$.lesions[1].plan" in told[0]
    match command:
        case "report":
            assert shown.out.count('"priority":"urgent"') == 2
        case "letter":
            assert "Another lesion of this visit" in shown.out
        case "table":
            assert len(shown.out.splitlines()) == 3
        case _:
            assert shown.out.count(str(path)) == 2


def test_check_as_json_has_what_is_said_of_a_lesion_that_is_not_held_in_an_outcome_of_its_own(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    visit = with_urgent_step(VISIT)
    visit["lesions"][1]["status"] = "x"
    path = tmp_path / "visit.json"
    path.write_text(json.dumps(visit), encoding="utf-8")
    assert cli.main(["check", "--format", "json", str(path)]) == cli.NOT_DONE
    lost, *others = map(json.loads, capsys.readouterr().out.splitlines())
    assert ["Visit.lesions[1].plan"] in [one.get("expression") for one in lost["issue"]]
    assert [{one["expression"][0][:16] for one in other["issue"] if "expression" in one} for other in others] == [
        {"Visit.lesions[0]"},
        {"Visit.lesions[2]"},
    ]


def test_a_series_goes_on_with_what_is_held_of_its_visits(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    value = json.loads(Path(LOOKS[2]).read_text(encoding="utf-8")) | {"note": 7}
    partly = tmp_path / "partly.json"
    partly.write_text(json.dumps(value), encoding="utf-8")
    assert cli.main(["series", LOOKS[1], str(partly)]) == cli.ERROR_STANDS
    shown = capsys.readouterr()
    assert "2 examinations of one lesion" in shown.out
    assert "[entry-wrong-kind]" in shown.err


def test_check_as_json_says_of_what_is_not_read_that_its_plan_was_not_sent(
    unreadable: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.main(["check", "--format", "json", str(unreadable)]) == cli.NOT_DONE
    (outcome,) = map(json.loads, capsys.readouterr().out.splitlines())
    assert [one["details"]["coding"][0]["code"] for one in outcome["issue"]] == [
        "entry-not-json",
        "entry-plan-not-known",
    ]


def test_check_as_json_is_an_operation_outcome_each(flawed: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["check", "--format", "json", str(flawed), str(USUAL)]) == cli.ERROR_STANDS
    outcomes = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert [one["resourceType"] for one in outcomes] == ["OperationOutcome"] * 2
    assert any(issue["severity"] == "error" for issue in outcomes[0]["issue"])
    assert not any(issue["severity"] == "error" for issue in outcomes[1]["issue"])


@pytest.mark.parametrize("command", COMMANDS[:4])
@pytest.mark.parametrize("missing", ["no-such-file.json", "no-such-file.ndjson", "."])
def test_a_file_that_cannot_be_opened_ends_with_3_and_withholds_none_behind_it(
    command: str, missing: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    arguments = ["-o", str(tmp_path / "out")] if command in {"report", "letter"} else []
    assert cli.main([command, missing, str(USUAL), *arguments]) == cli.NOT_DONE
    shown = capsys.readouterr()
    told = [line for line in shown.err.splitlines() if line.startswith(f"{missing}: ")]
    assert len(told) == 2
    assert "[entry-plan-not-known]" in told[1]
    assert "usual" in shown.out


@pytest.mark.parametrize(("command", "name"), [("report", "a.r4.transaction.json"), ("letter", "a.referral.txt")])
def test_a_file_that_cannot_be_written_withholds_none_behind_it(
    command: str, name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "out" / name).mkdir(parents=True)
    files = [tmp_path / f"{one}.json" for one in "ab"]
    for file in files:
        file.write_bytes(USUAL.read_bytes())
    assert cli.main([command, *map(str, files), "-o", str(tmp_path / "out")]) == cli.NOT_DONE
    shown = capsys.readouterr()
    (told,) = (line for line in shown.err.splitlines() if "Nothing has been made" in line)
    assert told.startswith(f"{files[0]}: ")
    assert len(shown.out.splitlines()) == 1
    assert "/b." in shown.out


def test_a_bundle_that_cannot_be_made_says_once_that_nothing_was(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    entry = with_urgent_step()
    del entry["examiner"]
    path = tmp_path / "no-examiner.json"
    path.write_text(json.dumps(entry), encoding="utf-8")
    arguments = ["--bundle", "document", "--release", "R4,R5", "-o", str(tmp_path)]
    assert cli.main(["report", str(path), str(USUAL), *arguments]) == cli.NOT_DONE
    shown = capsys.readouterr()
    (told,) = (line for line in shown.err.splitlines() if "Nothing has been made" in line)
    assert told.startswith(f"{path}: ")
    assert "if something in it is urgent, see to it at once another way" in told
    assert shown.out.count("usual.r") == 2


@pytest.mark.parametrize("arguments", [[], ["report", "--release", "R3"], ["report", "--format", "yaml"], ["nothing"]])
def test_wrong_call_ends_with_2(arguments: list[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        cli.main(arguments)
    assert ended.value.code == cli.WRONG_CALL


@pytest.mark.parametrize(
    "arguments",
    [
        ["profiles", "pack", "--release", "R4", "--release", "R5"],
        ["report", "--release", "R4", "--release", "R4"],
        ["report", "--format", "json", "--format", "xml"],
    ],
)
def test_a_list_that_is_given_twice_ends_with_2_and_is_said(
    arguments: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as ended:
        cli.main(arguments)
    assert ended.value.code == cli.WRONG_CALL
    assert "given twice" in capsys.readouterr().err


def test_the_package_runs_as_a_module() -> None:
    done = subprocess.run([sys.executable, "-m", "dermreport", "--help"], capture_output=True, text=True, check=True)
    assert done.stdout.startswith("usage: dermreport")


def test_score_shows_every_method_with_the_cautions(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["score", str(USUAL)]) == cli.DONE
    out = capsys.readouterr().out
    assert "three-point checklist" in out
    assert "excludes nothing" in out
    assert "When in doubt, refer." in out


def test_score_as_json_has_exact_numbers(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["score", "--format", "json", str(USUAL)]) == cli.DONE
    scores = json.loads(capsys.readouterr().out)["scores"]
    assert len(scores) >= 7
    for one in scores:
        assert (one["low"] is None) is (one["verdict"] == "not-valid")
        assert one["cautions"]


LOOKS = [str(path) for path in sorted(EXAMPLES.glob("lower-back-*.json"))]


def test_series_says_what_changed_and_draws_it(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    plot = tmp_path / "series.svg"
    assert cli.main(["series", *LOOKS, "--plot", str(plot), "--method", "menzies"]) == 0
    out = capsys.readouterr().out
    assert "4 examinations of one lesion: changed" in out
    assert "No change excludes nothing" in out
    assert plot.read_text(encoding="utf-8").startswith("<svg")
    assert "Menzies" in plot.read_text(encoding="utf-8")


def test_series_as_json_has_exact_numbers(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["series", *LOOKS, "--format", "json"]) == 0
    assert '"longest":{"then":6.0,"now":7.5,"difference_mm":1.5,"difference_percent":25.0}' in capsys.readouterr().out


def test_series_with_an_unanswered_change_ends_with_1(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    value = json.loads(Path(LOOKS[2]).read_text(encoding="utf-8"))
    value["plan"]["actions"] = value["plan"]["actions"][:0]
    changed = tmp_path / "changed.json"
    changed.write_text(json.dumps(value), encoding="utf-8")
    assert cli.main(["series", LOOKS[1], str(changed)]) == 1
    assert "[series-change-significant]" in capsys.readouterr().out


def test_series_of_one_visit_says_once_that_it_is_none(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["series", str(VISIT)]) == 3
    shown = capsys.readouterr()
    assert shown.out == ""
    assert len(shown.err.splitlines()) == 1
    assert "[series-one-visit]" in shown.err


def test_series_of_two_lesions_ends_with_3_and_says_why(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["series", LOOKS[0], str(EXAMPLES / "usual.json")]) == 3
    shown = capsys.readouterr()
    assert shown.out == ""
    assert "series-lesion-not-identified" in shown.err


@pytest.mark.parametrize(
    "wrong",
    [
        ["--as-of", "Doe Jane"],
        ["--as-of", ""],
        ["--as-of", "2026-02-30"],
        ["--method", "Doe"],
        ["--method", ""],
        # Lists of clues have no total.
        ["--method", "two-step"],
        ["--method", "nail-abcdef"],
        ["--plot", ""],
    ],
)
def test_series_of_a_wrong_call_ends_with_2(
    wrong: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    plot = [] if "--plot" in wrong else ["--plot", str(tmp_path / "series.svg")]
    with pytest.raises(SystemExit) as caught:
        cli.main(["series", *LOOKS, *plot, *wrong])
    assert caught.value.code == 2
    shown = capsys.readouterr()
    assert shown.out == ""
    assert f"argument {wrong[0]}: " in shown.err
    assert "Doe" not in shown.err
    assert not list(tmp_path.iterdir())


def test_report_to_standard_output_is_one_line_a_bundle() -> None:
    done = run("report", text=USUAL.read_bytes())
    assert done.returncode == cli.DONE, done.stderr
    lines = done.stdout.splitlines()
    assert len(lines) == 1
    assert json.loads(lines[0])["type"] == "transaction"


def test_report_of_lines_writes_lines_and_says_which_is_unreadable() -> None:
    line = json.dumps(json.loads(USUAL.read_text(encoding="utf-8"))).encode()
    done = run("report", "--lines", text=line + b"\nnot json\n\n" + line + b"\n")
    assert done.returncode == cli.NOT_DONE
    assert len(done.stdout.splitlines()) == 2
    assert b"standard input:2" in done.stderr


def test_report_of_a_visit_is_one_bundle_with_a_report_for_each_lesion(tmp_path: Path) -> None:
    target = tmp_path / "visit.json"
    assert cli.main(["report", str(VISIT), "-o", str(target)]) in (cli.DONE, cli.ERROR_STANDS)
    entries = json.loads(target.read_text(encoding="utf-8"))["entry"]
    kinds = [entry["resource"]["resourceType"] for entry in entries]
    assert kinds.count("DiagnosticReport") == 3
    assert kinds.count("Patient") <= 1


def test_report_into_a_folder_names_release_bundle_and_format(tmp_path: Path) -> None:
    arguments = ["report", str(USUAL), "--release", "R4,R4B,R5", "--format", "json,xml", "--bundle", "document"]
    assert cli.main([*arguments, "-o", str(tmp_path / "new")]) == cli.DONE
    names = sorted(path.name for path in (tmp_path / "new").iterdir())
    assert names == sorted(f"usual.{r}.document.{f}" for r in ("r4", "r4b", "r5") for f in ("json", "xml"))
    root = etree.parse(tmp_path / "new" / "usual.r5.document.xml").getroot()
    assert etree.QName(root).localname == "Bundle"


def test_several_outputs_need_a_folder(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["report", str(USUAL), "--release", "R4,R5"]) == cli.WRONG_CALL
    assert "-o FOLDER" in capsys.readouterr().err


def test_report_without_snomed_has_no_snomed_code(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["report", str(USUAL)]) == cli.DONE
    assert "http://snomed.info/sct" in capsys.readouterr().out
    assert cli.main(["report", "--without-snomed", str(USUAL)]) == cli.DONE
    assert "http://snomed.info/sct" not in capsys.readouterr().out


def test_a_list_that_an_answer_is_not_in_is_named_with_the_command_that_prints_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "entry.json"
    entry = json.loads(USUAL.read_text(encoding="utf-8"))
    entry["plan"]["actions"] = [{"key": "a1", "action": "wait-and-see"}, {"key": "a2", "action": "hope"}]
    path.write_text(json.dumps({**entry, "mode": "by-owl"}), encoding="utf-8")
    for command in ("check", "score", "report", "letter"):
        assert cli.main([command, str(path)]) == cli.ERROR_STANDS
        said = capsys.readouterr().err
        assert said.count("`dermreport terms plan-action` prints the list plan-action") == 1
        assert "`dermreport terms mode` prints the list mode" in said
        assert "owl" not in said


DRAFT = "de: machine-drafted, needs a clinician's review"


def test_every_command_says_issues_in_the_language_of_the_settings(
    tmp_path: Path, unreadable: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    settings = tmp_path / "settings.toml"
    settings.write_text('language = "de"\n[identifier_systems]\nexamination = "urn:x"\n', encoding="utf-8")
    german = dermreport.language("de")
    flawed = ROOT / "examples" / "flawed-frozen-without-histology.json"
    exam = dermreport.Examination.from_json(flawed.read_bytes())
    review = dermreport.review(exam, dermreport.settings_from_toml(settings.read_bytes()))
    assert cli.main(["check", str(flawed), "--settings", str(settings)]) == cli.ERROR_STANDS
    lines = capsys.readouterr().out.splitlines()
    assert lines[1] == f"  {DRAFT}"
    for issue in review.issues:
        assert f"  {issue.severity}: {issue.path}: {german.message(issue)} [{issue.rule}]" in lines
    missing = [item for item in review.completeness if item.state == "missing"]
    assert missing
    assert all(f"    {item.number}: {german.text(item.message)}" in lines for item in missing)
    assert cli.main(["check", str(USUAL)]) == cli.DONE
    assert DRAFT not in capsys.readouterr().out
    for command in ("check", "score", "report", "letter", "series", "table"):
        assert cli.main([command, str(unreadable), "--settings", str(settings)]) != cli.DONE
        said = capsys.readouterr().err
        assert f"{unreadable}: {DRAFT}" in said
        (issue,) = _issues_of(unreadable)
        assert f"{german.message(issue)} [{issue.rule}]" in said
        assert issue.message not in said
    assert cli.main(["check", str(unreadable), "--settings", str(settings), "--format", "json"]) == cli.NOT_DONE
    outcome = json.loads(capsys.readouterr().out)
    assert outcome["language"] == "de"
    course = [str(path) for path in sorted((ROOT / "examples").glob("lower-back-after-*.json"))]
    cli.main(["series", *course, "--settings", str(settings)])
    series = capsys.readouterr().out
    found = dermreport.series(
        [dermreport.review(dermreport.Examination.from_json(Path(one).read_bytes())) for one in course]
    )
    assert found.issues
    assert all(f"{german.message(issue)} [{issue.rule}]" in series for issue in found.issues)


def _issues_of(path: Path) -> tuple[dermreport.Issue, ...]:
    with pytest.raises(dermreport.EntryError) as refused:
        dermreport.Examination.from_json(path.read_bytes())
    return refused.value.issues


def test_terms_lists_the_lists(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["terms"]) == cli.DONE
    lines = capsys.readouterr().out.splitlines()
    assert any(line.startswith("structure ") for line in lines)
    assert len(lines) > 50


def test_terms_finds_a_structure_by_either_name(capsys: pytest.CaptureFixture[str]) -> None:
    for words in (["peppering"], ["dots", "grey"]):
        assert cli.main(["terms", "structure", *words]) == cli.DONE
        assert "dots-grey" in capsys.readouterr().out


def test_terms_shows_light_depth_criteria_and_source(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["terms", "structure", "blue-white-veil", "--format", "json"]) == cli.DONE
    (row,) = json.loads(capsys.readouterr().out)
    assert row["light"] == "better-non-polarised"
    assert "seven-point: blue-whitish veil" in row["criteria"]
    assert row["source"].startswith("seen: ")


def test_terms_in_german_are_found_by_german_and_english_words_and_say_that_they_are_a_draft(
    capsys: pytest.CaptureFixture[str],
) -> None:
    for words in (["Pfeffer"], ["peppering"], ["Punkte", "grau", "grey"]):
        assert cli.main(["terms", "structure", *words, "--language", "de", "--format", "json"]) == cli.DONE
        row = next(row for row in json.loads(capsys.readouterr().out) if row["code"] == "dots-grey")
        assert (row["display"], row["display_in_english"]) == ("pfefferartige Granula", "peppering")
        assert row["descriptive"] == "Punkte, grau oder blaugrau"
        assert row["language"] == "de: machine-drafted, needs a clinician's review"
    assert cli.main(["terms", "site", "Ferse", "--language", "de"]) == cli.DONE
    assert capsys.readouterr().out.startswith("heel: Ferse\n")
    with pytest.raises(SystemExit) as ended:
        cli.main(["terms", "site", "--language", "xx"])
    assert ended.value.code == cli.WRONG_CALL


def test_terms_of_an_unknown_list_ends_with_2(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["terms", "nothing"]) == cli.WRONG_CALL
    assert "dermreport terms" in capsys.readouterr().err


@pytest.mark.parametrize("what", ["examination", "visit"])
def test_schema_is_the_published_one(what: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["schema", what]) == cli.DONE
    published = json.loads((ROOT / "profiles" / f"{what}.schema.json").read_text(encoding="utf-8"))
    assert json.loads(capsys.readouterr().out) == published


def test_help_has_examples_exit_codes_and_the_cautions() -> None:
    done = run("--help")
    assert done.returncode == 0
    for words in (b"examples:", b"exit codes:", b"When in doubt".lower(), b"not a certified medical device"):
        assert words in done.stdout.lower()


def test_piped_output_has_no_control_characters() -> None:
    done = run("check", str(USUAL))
    assert not any(byte < 32 and byte != 10 for byte in done.stdout)
    assert done.stderr == b""


def test_reader_that_stops_early_is_no_error() -> None:
    command = f"{sys.executable} -m dermreport terms structure | head -1"
    done = subprocess.run(command, shell=True, capture_output=True, check=False, cwd=ROOT)
    assert done.returncode == 0
    assert done.stderr == b""


@pytest.mark.skipif(not Path("/dev/zero").exists(), reason="needs a file without an end")
@pytest.mark.parametrize("arguments", [["check"], ["check", "--lines"], ["report"], ["table"]])
def test_a_file_without_an_end_is_refused_and_not_read_whole(arguments: list[str]) -> None:
    # Bounded in memory as well as in time: a line that never ends is never held whole.
    command = [sys.executable, "-m", "dermreport", *arguments, "/dev/zero"]
    if "--lines" in arguments:
        command[-1:] = []
        text = b"0" * (3 * MAX_ENTRY) + b"\n" + json.dumps(json.loads(USUAL.read_bytes())).encode()
        done = subprocess.run(command, input=text, capture_output=True, check=False, cwd=ROOT, timeout=60)
        assert b"standard input:2" in done.stdout
        assert done.stderr.count(b"[entry-too-large]") == 1
    else:
        done = subprocess.run(command, capture_output=True, check=False, cwd=ROOT, timeout=60)
        assert done.stderr.count(b"[entry-too-large]") == 1
    assert done.returncode == cli.NOT_DONE


def test_letter_writes_text_to_standard_output_and_files_of_each_format(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    example = str(EXAMPLES / "usual.json")
    assert cli.main(["letter", example]) == 0
    assert "Referral letter: skin lesion" in capsys.readouterr().out
    for form, begin in (("text", b"4 March"), ("html", b"<!DOCTYPE html>"), ("pdf", b"%PDF-")):
        path = tmp_path / form
        assert cli.main(["letter", example, "--format", form, "--complete", "-o", str(path)]) == 0
        assert path.read_bytes().startswith(begin)
    folder = tmp_path / "letters"
    examples = [example, str(EXAMPLES / "visit-three-lesions.json")]
    assert cli.main(["letter", *examples, "--kind", "patient", "-o", str(folder)]) == 0
    assert sorted(one.name for one in folder.iterdir()) == ["usual.patient.txt", "visit-three-lesions.patient.txt"]


def test_letter_takes_settings_and_pictures_and_says_what_does_not_fit(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    example = str(EXAMPLES / "back-melanoma-suspected-referred.json")
    settings = tmp_path / "letters.toml"
    settings.write_text('[sender]\nname = "Harbour Lane Practice"\n', encoding="utf-8")
    assert cli.main(["letter", example, "--letter-settings", str(settings)]) == 0
    assert "Harbour Lane Practice" in capsys.readouterr().out
    picture = tmp_path / "picture.jpg"
    picture.write_bytes(b"no picture")
    path = tmp_path / "letter.html"
    assert cli.main(["letter", example, "--format", "html", "--picture", f"none={picture}", "-o", str(path)]) == 0
    assert "letter-picture-unknown" in capsys.readouterr().err
    settings.write_text("nothing = 1\n", encoding="utf-8")
    assert cli.main(["letter", example, "--letter-settings", str(settings)]) == 2
    assert cli.main(["letter", example, "--format", "pdf"]) == 2
    assert cli.main(["letter", example, example]) == 2
    assert cli.main(["letter", example, "--letter-settings", str(tmp_path / "none.toml")]) == 3
    with pytest.raises(SystemExit):
        cli.main(["letter", example, "--picture", "nothing"])


def test_two_entries_of_one_name_give_two_files_and_a_missing_picture_withholds_no_letter(tmp_path: Path) -> None:
    for folder in ("a", "b"):
        (tmp_path / folder).mkdir()
    (tmp_path / "a" / "1.json").write_bytes((EXAMPLES / "usual.json").read_bytes())
    (tmp_path / "b" / "1.json").write_bytes((EXAMPLES / "back-melanoma-suspected-referred.json").read_bytes())
    files = [str(tmp_path / folder / "1.json") for folder in ("a", "b")]
    assert cli.main(["letter", *files, "-o", str(tmp_path / "letters")]) == 0
    written = {one.name: one.read_text(encoding="utf-8") for one in (tmp_path / "letters").iterdir()}
    assert set(written) == {"1.referral.txt", "1-2.referral.txt"}
    assert "!! Urgent" in written["1-2.referral.txt"]
    assert cli.main(["report", *files, "-o", str(tmp_path / "reports")]) == 0
    assert len(list((tmp_path / "reports").iterdir())) == 2
    path = tmp_path / "letter.txt"
    assert cli.main(["letter", files[1], "--picture", f"x={tmp_path / 'none.jpg'}", "-o", str(path)]) == 3
    assert "!! Urgent" in path.read_text(encoding="utf-8")


def _settings_file(folder: Path, text: str) -> str:
    file = folder / "settings.toml"
    file.write_text(f'{text}\n[identifier_systems]\nexamination = "https://elsewhere.example/ids"\n', encoding="utf-8")
    return str(file)


@pytest.mark.parametrize("command", ["check", "score", "series", "report", "letter", "table"])
def test_what_reviews_takes_a_hosts_settings(command: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    example = str(EXAMPLES / "lower-back-watched-with-baseline.json")
    assert cli.main([command, example, "--settings", _settings_file(tmp_path, 'snomed = "marker"')]) == 2
    told = capsys.readouterr().err
    assert f"dermreport {command}: settings: snomed is True or False" in told
    assert "marker" not in told
    assert cli.main([command, example, "--settings", str(tmp_path / "none.toml")]) == 3


def test_settings_of_a_file_say_what_is_checked_and_sent(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = _settings_file(tmp_path, "snomed = false\nloinc = false")
    assert cli.main(["check", str(EXAMPLES / "usual.json"), "--settings", file]) == 0
    assert "[identity-examination-elsewhere]" in capsys.readouterr().out
    assert cli.main(["report", str(EXAMPLES / "usual.json"), "--settings", file]) == 0
    sent = capsys.readouterr().out
    assert "http://snomed.info/sct" not in sent
    assert "http://loinc.org" not in sent
