"""What is distributed: the same bytes wherever it is built, small, only what a host needs, and with complete types.

Outside facts: https://reproducible-builds.org/specs/source-date-epoch, the wheel's form (PEP 427, PEP 639), and
pyright's measure of complete types.
"""

from __future__ import annotations

import email
import json
import os
import re
import subprocess
import sys
import tarfile
import zipfile
from datetime import UTC, datetime
from pathlib import Path

import pytest
from distribution.building import ROOT, environment, run
from distribution.conftest import EPOCH

import dermreport

Built = list[tuple[Path, Path]]
#: In bytes: a host fetches it at every installation. A tenth of them are the heads and hashes of its files.
LARGEST = 1_100_000
#: What the documentation and the tests alone read.
NOT_IN_THE_WHEEL = {"dermreport/hazards.py", "dermreport/fhir/places.py"}
INFO = f"dermreport-{dermreport.__version__}.dist-info"


def test_two_builds_in_different_surroundings_give_the_same_bytes(built: Built) -> None:
    one, other = built
    for first, second in zip(one, other, strict=True):
        assert first.name == second.name
        assert first.read_bytes() == second.read_bytes()


def test_nothing_in_them_tells_who_built_it_when_or_where(built: Built) -> None:
    wheel, source = built[0]
    when = datetime.fromtimestamp(EPOCH, tz=UTC)
    with zipfile.ZipFile(wheel) as archive:
        entries = archive.infolist()
        assert {one.date_time for one in entries} == {when.timetuple()[:6]}
        assert {one.external_attr >> 16 & 0o777 for one in entries} == {0o644}
        texts = [archive.read(one) for one in entries]
    with tarfile.open(source) as archive:
        members = [one for one in archive if one.isfile()]
        assert {(one.mtime, one.uid, one.gid, one.uname, one.gname) for one in members} == {(EPOCH, 0, 0, "", "")}
        texts += [archive.extractfile(one).read() for one in members]
    for hidden in (str(wheel.parent.parent.parent), str(ROOT)):
        assert not any(hidden.encode() in text for text in texts)


def test_the_wheel_is_small(built: Built) -> None:
    assert built[0][0].stat().st_size < LARGEST


def test_the_wheel_holds_the_package_and_nothing_else(built: Built) -> None:
    with zipfile.ZipFile(built[0][0]) as archive:
        names = set(archive.namelist())
    ours = {
        path.relative_to(ROOT).as_posix()
        for path in (ROOT / "dermreport").rglob("*")
        if path.is_file() and "__pycache__" not in path.parts
    }
    about = {"METADATA", "RECORD", "WHEEL", "entry_points.txt"}
    licences = {f"licenses/dermreport/{name}" for name in ("LICENSE", "NOTICES.md")}
    assert ours >= NOT_IN_THE_WHEEL
    assert names == ours - NOT_IN_THE_WHEEL | {f"{INFO}/{name}" for name in about | licences}
    assert "dermreport/py.typed" in names


def test_the_source_distribution_has_all_that_building_and_testing_it_need(built: Built) -> None:
    with tarfile.open(built[0][1]) as archive:
        names = {one.name.partition("/")[2] for one in archive if one.isfile()}
    tracked = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True).stdout.split(
        "\n"
    )
    needed = {name for name in tracked if name and not name.startswith(".")}
    assert needed - names == set()
    assert {name.partition("/")[0] for name in names} <= {name.partition("/")[0] for name in needed} | {
        "PKG-INFO",
        ".gitignore",
    }


def test_nothing_in_the_wheel_asks_for_what_it_lacks() -> None:
    modules = {name.removesuffix(".py").replace("/", ".") for name in NOT_IN_THE_WHEEL}
    for path in (ROOT / "dermreport").rglob("*.py"):
        text = path.read_text(encoding="utf-8")
        assert not any(re.search(rf"import.*\b{module}\b|from {module} ", text) for module in modules), path


def test_the_metadata_claims_what_the_project_file_says(built: Built) -> None:
    with zipfile.ZipFile(built[0][0]) as archive:
        about = email.message_from_bytes(archive.read(f"{INFO}/METADATA"))
    assert about["License-Expression"] == "Apache-2.0"
    assert about["Requires-Python"] == ">=3.11"
    assert about["Version"] == dermreport.__version__


def test_every_type_of_the_installed_wheel_is_complete(built: Built, tmp_path: Path) -> None:
    extras = "dicom,http,images,letter,parquet,plugins"
    interpreter = environment(tmp_path / "host", sys.executable, f"{built[0][0]}[{extras}]")
    path = f"{interpreter.parent}{os.pathsep}{os.environ['PATH']}"
    command = [sys.executable, "-m", "pyright", "--verifytypes", "dermreport", "--ignoreexternal", "--outputjson"]
    done = subprocess.run(
        command, cwd=tmp_path, env={**os.environ, "PATH": path}, capture_output=True, text=True, check=False
    )
    told = json.loads(done.stdout)["typeCompleteness"]
    assert told["exportedSymbolCounts"]["withKnownType"] > 5_000
    unknown = [one["name"] for one in told["symbols"] if not one["isTypeKnown"]]
    assert unknown == []
    assert told["completenessScore"] == pytest.approx(1)


def test_the_first_report_is_made_by_the_wheel_alone(built: Built, tmp_path: Path) -> None:
    """An environment without any extra, far from the checkout."""
    interpreter = environment(tmp_path / "host", sys.executable, str(built[0][0]))
    command = [str(interpreter), "-I", "-m", "dermreport", "report", str(ROOT / "examples" / "usual.json")]
    done = subprocess.run(command, cwd=tmp_path, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    assert json.loads(done.stdout)["resourceType"] == "Bundle"
    where = [str(interpreter), "-I", "-c", "import dermreport; print(dermreport.__file__)"]
    assert "site-packages" in run(where, cwd=tmp_path)
