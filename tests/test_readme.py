"""Every command and snippet of the README is executed."""

import re
from pathlib import Path

import pytest
from snippets import ROOT, blocks, commands, run_command, run_snippet

README = (ROOT / "README.md").read_text(encoding="utf-8")
BLOCKS = blocks(README)
SHELL = [text for kind, text in BLOCKS if kind == "sh"]
PYTHON = [text for kind, text in BLOCKS if kind == "python"]


def test_every_block_is_of_a_kind_that_is_executed() -> None:
    assert {kind for kind, _ in BLOCKS} == {"sh", "python"}


def test_the_first_two_blocks_set_up_everything_and_ci_runs_them_as_they_stand() -> None:
    for block in SHELL[:2]:
        assert commands(block)[0] == "python3 -m venv .venv"
        assert " install " in commands(block)[1]
    assert "dermreport report" in SHELL[0]
    assert "pytest" in SHELL[1]
    ci = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    assert '"$(readme_block 1)"' in ci
    assert '"$(readme_block 2)"' in ci


def test_first_command_writes_r4_and_r5_as_json_and_xml(tmp_path: Path) -> None:
    command = commands(SHELL[0])[-1].replace("--output report", f"--output {tmp_path}")
    done = run_command(command)
    assert done.returncode == 0, done.stderr
    names = {path.name for path in tmp_path.iterdir()}
    assert names == {f"usual.{release}.transaction.{form}" for release in ("r4", "r5") for form in ("json", "xml")}


@pytest.mark.parametrize("command", [command for block in SHELL[2:] for command in commands(block)])
def test_other_commands_run(command: str) -> None:
    done = run_command(command)
    assert done.returncode == 0, done.stderr
    assert done.stdout


@pytest.mark.parametrize("snippet", PYTHON, ids=range(len(PYTHON)))
def test_snippets_run(snippet: str) -> None:
    done = run_snippet(snippet)
    assert done.returncode == 0, done.stderr
    assert done.stdout


def test_links_to_files_lead_somewhere() -> None:
    for target in re.findall(r"\]\(([^)#]+)\)", README):
        assert (ROOT / target).exists(), target


def test_exit_codes_are_those_of_the_command_line() -> None:
    from dermreport import cli

    rows = dict(re.findall(r"^\| (\d) \| ([^|]+) \|$", README, re.MULTILINE))
    assert {int(code) for code in rows} == {cli.DONE, cli.ERROR_STANDS, cli.WRONG_CALL, cli.NOT_DONE}
