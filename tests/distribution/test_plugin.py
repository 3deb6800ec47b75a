"""The worked plugin as its author would give it out: built, installed beside the library's wheel, and asked for."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
from pathlib import Path
from typing import TYPE_CHECKING
from zipfile import ZipFile

import pytest
from distribution.building import ROOT, environment, run

if TYPE_CHECKING:
    from collections.abc import Sequence

NAME, VERSION = "example-clinic", "1.2.0"


@pytest.fixture(scope="module")
def plugin(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The plugin's wheel."""
    home = tmp_path_factory.mktemp("plugin")
    copy = shutil.copytree(ROOT / "examples" / "plugin", home / "source", ignore=shutil.ignore_patterns("__pycache__"))
    run([sys.executable, "-m", "build", "--outdir", str(home / "built"), "."], cwd=copy)
    (wheel,) = (home / "built").glob("*.whl")
    return wheel


@pytest.fixture(scope="module")
def host(plugin: Path, built: list[tuple[Path, Path]], tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The interpreter of an environment with both wheels."""
    library = f"dermreport[letter,plugins] @ {built[0][0].as_uri()}"
    return environment(tmp_path_factory.mktemp("both") / "host", sys.executable, library, str(plugin))


def said(interpreter: Path, folder: Path, arguments: Sequence[str]) -> tuple[int, str, str]:
    """Run the command line where no checkout is in reach."""
    command = [str(interpreter.parent / "dermreport"), *arguments]
    done = subprocess.run(command, cwd=folder, env={"PATH": ""}, capture_output=True, text=True, check=False)
    return done.returncode, done.stdout, done.stderr


def test_it_holds_its_package_and_nothing_else(plugin: Path) -> None:
    names = {name.partition("/")[0] for name in ZipFile(plugin).namelist()}
    assert names == {"example_clinic", f"dermreport_example_clinic-{VERSION}.dist-info"}


@pytest.fixture
def entry(tmp_path: Path) -> Path:
    """A growing lesion of 7 mm: the clinic's list is at its threshold."""
    made = json.loads((ROOT / "examples" / "usual.json").read_text(encoding="utf-8"))
    made["lesion"]["history"]["growing"]["answer"] = "yes"
    made["lesion"]["longest_mm"] = 7
    path = tmp_path / "entry.json"
    path.write_text(json.dumps(made), encoding="utf-8")
    return path


def test_the_command_line_uses_it(host: Path, entry: Path) -> None:
    chosen = ["--plugin", NAME, "--pathway", f"{NAME}/recheck"]
    code, out, err = said(host, entry.parent, ["check", entry.name, *chosen])
    # That a growing lesion is reassured is an error of the library's own.
    assert (code, err) == (1, "")
    assert f"[{NAME}.no-overview]" in out
    assert "«Recheck pathway», version 2026-03" in out
    code, out, err = said(host, entry.parent, ["letter", entry.name, *chosen])
    assert code == 0
    assert f"From the example clinic (plugin {NAME}, version {VERSION})" in out
    assert f"recheck list (plugin {NAME}): 2 points" in " ".join(out.split())


@pytest.mark.parametrize("release", ["R4", "R4B", "R5"])
def test_a_report_has_its_score_and_its_resources_and_names_it(host: Path, entry: Path, release: str) -> None:
    code, out, err = said(host, entry.parent, ["report", entry.name, "--plugin", NAME, "--release", release])
    assert code == 1
    assert "the report is preliminary" in err
    resources = [one["resource"] for one in json.loads(out)["entry"]]
    kinds = [one["resourceType"] for one in resources]
    assert kinds[-2:] == ["AuditEvent", "Flag"]
    (origin,) = (one for one in resources if one["resourceType"] == "Provenance")
    assert f"plugin {NAME} {VERSION}" in {one["what"]["display"] for one in origin["entity"]}
    _, alone, _ = said(host, entry.parent, ["report", entry.name, "--release", release])
    assert NAME not in alone


def test_the_readme_of_the_plugin_runs(host: Path, tmp_path: Path) -> None:
    text = (ROOT / "examples" / "plugin" / "README.md").read_text(encoding="utf-8")
    (snippet,) = (part.partition("```")[0] for part in text.split("```python\n")[1:])
    done = subprocess.run([str(host), "-c", snippet], cwd=tmp_path, capture_output=True, text=True, check=False)
    assert done.stdout.strip() == f"('{NAME}',) []", done.stderr
    shutil.copy(ROOT / "examples" / "usual.json", tmp_path / "record.json")
    (commands,) = (part.partition("```")[0] for part in text.split("```sh\n")[1:])
    first, *others = commands.splitlines()
    assert first == "pip install ."
    for command in others:
        assert command.startswith("dermreport ")
        code, out, err = said(host, tmp_path, command.split()[1:])
        assert code == 0, err
        assert out


def test_where_it_is_not_installed_the_error_says_so(built: list[tuple[Path, Path]], tmp_path: Path) -> None:
    library = f"dermreport[plugins] @ {built[0][0].as_uri()}"
    alone = environment(tmp_path / "host", sys.executable, library)
    shutil.copy(ROOT / "examples" / "usual.json", tmp_path / "usual.json")
    code, _, err = said(alone, tmp_path, ["check", "usual.json", "--plugin", NAME])
    assert code == 2
    assert "no plugin of this name is installed; installed are: none" in err
