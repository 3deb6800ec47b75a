"""Runs the tests that need a dependency, in environments of their own: ``python environments.py WHEEL``.

Each Python that the metadata claims, with the newest versions that the metadata allows, and the oldest Python with the
lowest ones. What was tested and what was skipped is printed at the end; it ends with 1 where a test failed.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path
from tempfile import TemporaryDirectory

from distribution.building import ROOT, UV, environment, run

PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
EXTRAS = [name for name in PROJECT["optional-dependencies"] if name not in {"dev", "docs", "test"}]

#: Between them these use every dependency, each public call, and what differs among versions of Python.
CHOSEN = (
    "test_dicom.py",
    "test_entry.py",
    "test_examination_schema.py",
    "test_fhir_write.py",
    "test_form_response.py",
    "test_letter_html.py",
    "test_letter_pdf.py",
    "test_letter_pictures.py",
    "test_letter_templates.py",
    "test_plugins.py",
    "test_reader.py",
    "test_readme.py",
    "test_scores_published.py",
    "test_series.py",
    "test_settings.py",
    "test_surface.py",
    "test_table.py",
    "test_user_code.py",
    "test_versions.py",
)


def claimed() -> list[str]:
    """Return the Pythons that the metadata claims, the oldest first."""
    found = [re.fullmatch(r"Programming Language :: Python :: (3\.\d+)", one) for one in PROJECT["classifiers"]]
    return sorted((one[1] for one in found if one), key=lambda version: int(version.partition(".")[2]))


def interpreter(version: str) -> str | None:
    """Return an interpreter of this version, or None where there is none that runs."""
    candidates = [sys.executable, shutil.which(f"python{version}")]
    if shutil.which("pyenv"):
        told = subprocess.run(["pyenv", "prefix", version], capture_output=True, text=True, check=False)
        candidates.append(f"{told.stdout.strip()}/bin/python" if told.returncode == 0 else None)
    for one in filter(None, candidates):
        asked = [one, "-c", "import sys; print('{}.{}'.format(*sys.version_info))"]
        said = subprocess.run(asked, capture_output=True, text=True, check=False)
        if said.stdout.strip() == version:
            return one
    return None


def tested(python: str, folder: Path, *installed: str) -> tuple[bool, str]:
    """Return whether the chosen tests pass in a new environment, and what is told of it."""
    made = environment(folder, python, *installed)
    # The checkout isn't on the path of that process: what is tested is what was installed.
    command = [str(made.parent / "pytest"), "-q", "-n", "2", "-p", "no:cacheprovider", *CHOSEN]
    own = {name: value for name, value in os.environ.items() if name != "PYTHONPATH"}
    done = subprocess.run(command, cwd=ROOT / "tests", env=own, capture_output=True, text=True, check=False)
    if done.returncode:
        print(done.stdout, done.stderr)
    exact = run([str(made), "-c", "import platform; print(platform.python_version())"]).strip()
    return done.returncode == 0, f"Python {exact}: {done.stdout.strip().splitlines()[-1]}"


def lowest(version: str, folder: Path) -> Path:
    """Return a file of the lowest versions that the metadata allows of each direct dependency."""
    file = folder / "lowest.txt"
    extras = [part for extra in EXTRAS for part in ("--extra", extra)]
    command = [*UV, "pip", "compile", "--resolution", "lowest-direct", "--python-version", version, "--no-header"]
    run([*command, "--no-annotate", *extras, "pyproject.toml", "-o", str(file)])
    return file


def main(wheel: Path) -> int:
    passed, told = [], []
    oldest, *newer = claimed()
    with TemporaryDirectory() as home:
        file = lowest(oldest, Path(home))
        runs = [(oldest, "lowest", ["-c", str(file)]), *((version, "newest", []) for version in (oldest, *newer))]
        for version, which, constraints in runs:
            python = interpreter(version)
            if python is None:
                told.append(
                    f"Python {version}, {which} versions: skipped, no interpreter, though the metadata claims it"
                )
                continue
            folder = Path(home) / f"{version}-{which}"
            well, said = tested(python, folder, f"{wheel.resolve()}[test]", *constraints)
            passed.append(well)
            told.append(f"{said}, {which} versions")
        told.append(f"lowest versions: {', '.join(file.read_text(encoding='utf-8').split())}")
    print("\n".join(told))
    return 0 if passed and all(passed) else 1


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1])))
