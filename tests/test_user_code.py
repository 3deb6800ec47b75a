"""What a host's type checker makes of a host's code: right code passes mypy and pyright in their strict modes, wrong
code is refused on its line. ``pip install 'dermreport[dev]'`` brings the checkers; without them this is skipped.
"""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from importlib.util import find_spec
from pathlib import Path
from shutil import copy

import pytest

import dermreport

ROOT = Path(__file__).parent.parent
CODE = Path(__file__).parent / "user_code"
RIGHT, WRONG = CODE / "right.py", CODE / "wrong.py"

#: A complaint: its file, its line, and what the checker calls it.
Complaint = tuple[str, int, str]

needs_checkers = pytest.mark.skipif(
    any(find_spec(one) is None for one in ("mypy", "pyright")), reason="mypy and pyright come with the extra «dev»"
)


def expected(checker: int) -> set[Complaint]:
    lines = enumerate(WRONG.read_text(encoding="utf-8").splitlines(), start=1)
    marked = ((number, re.search(r"  # ([a-z-]+) (report\w+)$", line)) for number, line in lines)
    return {(WRONG.name, number, found[checker]) for number, found in marked if found}


def test_right_code_uses_every_public_name_and_runs() -> None:
    text = RIGHT.read_text(encoding="utf-8")
    assert [name for name in dermreport.__all__ if not re.search(rf"\b{name}\b", text)] == []
    done = subprocess.run([sys.executable, str(RIGHT)], cwd=ROOT, capture_output=True, text=True, check=False)
    assert (done.returncode, done.stderr) == (0, "")


@needs_checkers
def test_mypy_takes_right_code_and_refuses_wrong_code(tmp_path: Path) -> None:
    command = [sys.executable, "-m", "mypy", "--strict", "--config-file=", "--cache-dir", str(tmp_path / "cache")]
    command += ["--follow-imports=silent", "--output=json", str(RIGHT), str(WRONG)]
    done = subprocess.run(
        command, cwd=tmp_path, env={**os.environ, "MYPYPATH": str(ROOT)}, capture_output=True, text=True, check=False
    )
    told = [json.loads(line) for line in done.stdout.splitlines()]
    assert done.stderr == ""
    found = {(Path(one["file"]).name, one["line"], one["code"]) for one in told if one["severity"] == "error"}
    assert found == expected(1), done.stdout


@needs_checkers
def test_pyright_takes_right_code_and_refuses_wrong_code(tmp_path: Path) -> None:
    for one in (RIGHT, WRONG):
        copy(one, tmp_path)
    settings = {"extraPaths": [str(ROOT)], "typeCheckingMode": "strict"}
    (tmp_path / "pyrightconfig.json").write_text(json.dumps(settings), encoding="utf-8")
    command = [sys.executable, "-m", "pyright", "--pythonpath", sys.executable, "--outputjson", "-p", str(tmp_path)]
    done = subprocess.run(command, cwd=tmp_path, capture_output=True, text=True, check=False)
    told = json.loads(done.stdout)["generalDiagnostics"]
    found = {
        (Path(one["file"]).name, one["range"]["start"]["line"] + 1, one["rule"])
        for one in told
        if one["severity"] == "error"
        # What follows from a name that there isn't: its type is unknown too.
        and not (one["file"].endswith(WRONG.name) and one["rule"].startswith("reportUnknown"))
    }
    assert found == expected(2), done.stdout
