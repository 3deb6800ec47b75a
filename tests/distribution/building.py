"""Builds what is distributed, in surroundings that are given, and makes environments to install it in."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).parent.parent.parent
#: What goes into the source distribution, and what it is built with.
SOURCES = ("dermreport", "profiles", "tests", "examples", "README.md", "DEVELOPERS.md", "pyproject.toml", ".gitignore")
_NOT_SOURCES = shutil.ignore_patterns("__pycache__", "node_modules", "target", "*.pyc")


class Surroundings(NamedTuple):
    """Where and how something is built, of which nothing may show in it."""

    folder: str
    mask: int
    zone: str
    seed: str


def build(into: Path, surroundings: Surroundings, epoch: int) -> tuple[Path, Path]:
    """Build wheel and source distribution of a copy of the sources, whose files are all new.

    Args:
        into: A folder for the copy and what is built.
        surroundings: Where and how.
        epoch: The time that the files in them get, in seconds (https://reproducible-builds.org/specs/source-date-epoch).

    Returns:
        The wheel and the source distribution.
    """
    copy = into / surroundings.folder
    for name in SOURCES:
        if (ROOT / name).is_dir():
            shutil.copytree(ROOT / name, copy / name, ignore=_NOT_SOURCES, copy_function=shutil.copy)
        else:
            shutil.copy(ROOT / name, copy / name)
    own = {"SOURCE_DATE_EPOCH": str(epoch), "TZ": surroundings.zone, "PYTHONHASHSEED": surroundings.seed}
    run([sys.executable, "-m", "build", "--outdir", "built", "."], cwd=copy, mask=surroundings.mask, **own)
    (wheel,), (source,) = (copy / "built").glob("*.whl"), (copy / "built").glob("*.tar.gz")
    return wheel, source


def environment(folder: Path, python: str, *installed: str) -> Path:
    """Make an environment, install something, and return its interpreter."""
    run([*UV, "venv", "--no-python-downloads", "--python", python, str(folder)])
    interpreter = folder / "bin" / "python"
    run([*UV, "pip", "install", "--python", str(interpreter), *installed])
    return interpreter


UV = (sys.executable, "-m", "uv", "--quiet")


def run(command: list[str], cwd: Path = ROOT, mask: int = -1, **own: str) -> str:
    """Run a command with some variables of its own, and return what it prints; what it says is shown if it fails."""
    done = subprocess.run(
        command, cwd=cwd, env={**os.environ, **own}, umask=mask, capture_output=True, text=True, check=False
    )
    if done.returncode:
        raise RuntimeError(f"{' '.join(command)}\n{done.stdout}\n{done.stderr}")
    return done.stdout
