"""The example of a bulk job: many processes give what one gives, byte for byte, and no line is lost.

Dask runs here; Spark in ``tests/conformance/test_bulk_spark.py``.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from dataclasses import asdict
from pathlib import Path

import pytest
from bulk import partitions as parted
from bulk.partitions import MANIFEST, IncompleteError, Partition, do, join, partitions
from bulk.single import BUNDLES, ISSUES, NAMES, TABLE, single
from bulk.work import Counts, Job
from hosts.bulk_lines import MARK, write
from hypothesis import given
from hypothesis import strategies as st

import dermreport

ROOT = Path(__file__).parent.parent.parent
HOSTS = ROOT / "examples" / "hosts"
JOB = Job()


def command(*arguments: str) -> subprocess.CompletedProcess[str]:
    environment = {**os.environ, "PYTHONPATH": f"{ROOT}{os.pathsep}{HOSTS}"}
    return subprocess.run(
        [sys.executable, "-m", "bulk", *arguments], env=environment, capture_output=True, text=True, check=False
    )


def contents(folder: Path) -> dict[str, bytes]:
    return {name: (folder / name).read_bytes() for name in NAMES}


def in_parts(source: Path, output: Path, size: int) -> Counts:
    parts = partitions(source, size)
    return join(output, parts, [do(JOB, source, output, part) for part in parts])


# --- what is made of a line


def test_a_line_becomes_what_the_library_gives(tmp_path: Path) -> None:
    source, output = tmp_path / "in.ndjson", tmp_path / "out"
    lines = write(source, 20, bad_each=0)
    counts = single(Job("R5", "collection"), source, output)
    assert counts.bundles == counts.lines == 20
    reviews = [dermreport.review(dermreport.Examination.from_json(line)) for line in lines]
    expected = [dermreport.to_fhir(one, release="R5").bundle("collection").to_json() for one in reviews]
    assert (output / BUNDLES).read_text(encoding="utf-8").split("\n") == [*expected, ""]
    with (tmp_path / "table").open("w", encoding="utf-8", newline="") as file:
        dermreport.table(reviews).write_csv(file)
    assert (output / TABLE).read_bytes() == (tmp_path / "table").read_bytes()


def test_every_line_becomes_one_thing_and_the_issues_name_the_bad_ones(tmp_path: Path) -> None:
    source, output = tmp_path / "in.ndjson", tmp_path / "out"
    lines = write(source, 100)
    bad = {place for place, line in enumerate(lines, start=1) if place % 9 == 0 and line.strip()}
    counts = single(JOB, source, output)
    assert counts.adds_up
    assert (counts.lines, counts.refused, counts.blank) == (100, len(bad), 11 - len(bad))
    issues = [json.loads(line) for line in (output / ISSUES).read_text(encoding="utf-8").splitlines()]
    assert {one["line"] for one in issues} >= bad
    assert all(one["issues"] and all(set(i) == {"rule", "severity", "path"} for i in one["issues"]) for one in issues)
    text = (output / ISSUES).read_text(encoding="utf-8")
    assert MARK not in text
    assert "clinic.example" not in text
    # The mark is in what was given, so it would have been found.
    assert MARK in (output / BUNDLES).read_text(encoding="utf-8")


def test_a_refused_plan_is_counted_for_somebody_to_see_to(tmp_path: Path) -> None:
    source = tmp_path / "in.ndjson"
    source.write_text('{"plan": {"actions": [{"key": "1", "action": "refer-suspected-cancer"}]}}\n{}', encoding="utf-8")
    counts = single(JOB, source, tmp_path / "out")
    assert (counts.refused, counts.plans_not_sent) == (2, 1)
    done = command("single", str(source), str(tmp_path / "out"))
    assert done.returncode == 1
    assert "have a plan that nobody gets whole" in done.stderr


def test_a_line_that_can_not_be_read_is_none_without_a_plan(tmp_path: Path) -> None:
    source = tmp_path / "in.ndjson"
    whole = json.dumps({"plan": {"actions": [{"key": "1", "action": "refer-suspected-cancer", "urgency": "urgent"}]}})
    source.write_text("\n".join([whole, whole[:-1], "[]", whole.replace("plan", "plann"), "{}"]), encoding="utf-8")
    counts = single(JOB, source, tmp_path / "out")
    assert (counts.refused, counts.plans_not_sent, counts.plans_not_known) == (5, 1, 3)
    done = command("dask", str(source), str(tmp_path / "many"), "--partition-bytes", "100")
    assert (done.returncode, json.loads(done.stdout)["plans_not_known"]) == (1, 3)
    assert "3 lines failed or can't be read whole" in done.stderr


def test_bytes_that_are_no_text_end_in_the_issues(tmp_path: Path) -> None:
    source = tmp_path / "in.ndjson"
    source.write_bytes(
        b"\xff\xfe\x00\n" + b"\x00" * 100 + b"\r\n" + (ROOT / "examples/usual.json").read_bytes().replace(b"\n", b" ")
    )
    counts = single(JOB, source, tmp_path / "out")
    assert (counts.lines, counts.refused, counts.plans_not_known, counts.bundles) == (3, 2, 2, 1)


def test_a_defect_of_the_library_costs_one_line_and_a_missing_library_the_task(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    source, calls = tmp_path / "in.ndjson", []
    write(source, 3, bad_each=0)
    real = dermreport.to_fhir

    def failing(error: Exception):
        def call(*given, **named):
            calls.append(1)
            if len(calls) == 2:
                raise error
            return real(*given, **named)

        return call

    monkeypatch.setattr(dermreport, "to_fhir", failing(ValueError(MARK)), raising=False)
    counts = single(JOB, source, tmp_path / "out")
    assert (counts.bundles, counts.failed, counts.plans_not_known, counts.adds_up) == (2, 1, 1, True)
    told = (tmp_path / "out" / ISSUES).read_text(encoding="utf-8")
    assert '{"rule": "bulk-failed", "severity": "error", "path": "ValueError"}' in told
    assert MARK not in told
    calls.clear()
    monkeypatch.setattr(dermreport, "to_fhir", failing(ModuleNotFoundError(MARK)), raising=False)
    with pytest.raises(ModuleNotFoundError):
        single(JOB, source, tmp_path / "out")


# --- partitions


@given(st.lists(st.sampled_from([b"", b"a", b"bc" * 9, b"\r", "é\u2028".encode()])), st.integers(1, 40), st.booleans())
def test_partitions_are_the_whole_file_cut_at_line_ends(
    tmp_path_factory: pytest.TempPathFactory,
    lines: list[bytes],
    size: int,
    ended: bool,  # noqa: FBT001
) -> None:
    source = tmp_path_factory.mktemp("cut") / "in"
    content = b"\n".join(lines) + (b"\n" if ended else b"")
    source.write_bytes(content)
    for chunk in (1, 3, 1 << 20):
        with pytest.MonkeyPatch.context() as patched:
            patched.setattr(parted, "_CHUNK", chunk)
            parts = partitions(source, size)
        assert b"".join(content[one.start : one.end] for one in parts) == content
        assert [one.number for one in parts] == list(range(len(parts)))
        with source.open("rb") as file:
            whole = list(enumerate(file, start=1))
        assert [line for one in parts for line in parted._lines(source, one)] == whole
        for one in parts[:-1]:
            assert content[one.end - 1 : one.end] == b"\n"
            assert one.end - one.start >= size


@pytest.mark.parametrize("end", ["\n", "\r\n"])
@pytest.mark.parametrize("size", [1, 20_000, 10**9])
def test_parts_give_what_one_process_gives(tmp_path: Path, size: int, end: str) -> None:
    source = tmp_path / "in.ndjson"
    write(source, 60, end=end)
    whole = single(JOB, source, tmp_path / "single")
    assert in_parts(source, tmp_path / "parts", size) == whole
    assert contents(tmp_path / "parts") == contents(tmp_path / "single")
    manifest = json.loads((tmp_path / "parts" / MANIFEST).read_bytes())
    assert manifest["counts"] == asdict(whole)


def test_what_is_done_again_is_the_same_and_what_is_done_is_not_done_again(tmp_path: Path) -> None:
    source, output = tmp_path / "in.ndjson", tmp_path / "out"
    write(source, 30)
    counts = in_parts(source, output, 20_000)
    before = contents(output)
    files = sorted((output / "parts").iterdir())
    # As if one task had been killed before its end, and one have left what it was writing.
    (output / "parts" / "000001.done.json").unlink()
    (output / "parts" / "000001.bundles.ndjson").write_text("half", encoding="utf-8")
    times = {one: one.stat().st_mtime_ns for one in files if one.name.startswith("000000")}
    assert in_parts(source, output, 20_000) == counts
    assert contents(output) == before
    assert sorted((output / "parts").iterdir()) == files
    assert times == {one: one.stat().st_mtime_ns for one in times}


def test_another_input_or_job_is_not_taken_for_what_is_done(tmp_path: Path) -> None:
    source, output = tmp_path / "in.ndjson", tmp_path / "out"
    write(source, 10)
    in_parts(source, output, 10**9)
    before = contents(output)
    write(source, 10, seed=2)
    in_parts(source, output, 10**9)
    assert contents(output) != before
    (part,) = partitions(source, 10**9)
    do(Job("R5"), source, output, part)
    assert '"release": "R5"' in (output / "parts" / "000000.done.json").read_text(encoding="utf-8")


def test_nothing_is_joined_while_a_line_is_missing(tmp_path: Path) -> None:
    parts = [Partition(0, 1, 0, 5), Partition(1, 2, 5, 9)]
    for counts in ([Counts(lines=1, blank=1)], [Counts(lines=2, blank=1), Counts()]):
        with pytest.raises(IncompleteError):
            join(tmp_path, parts, counts)
    assert list(tmp_path.iterdir()) == []


# --- an engine


@pytest.mark.parametrize("workers", ["1", "2"])
def test_dask_gives_what_one_process_gives(tmp_path: Path, workers: str) -> None:
    source = tmp_path / "in.ndjson"
    write(source, 60)
    whole = command("single", str(source), str(tmp_path / "single"))
    options = ("--partition-bytes", "30000", "--workers", workers)
    done = command("dask", str(source), str(tmp_path / "dask"), *options)
    assert done.returncode == whole.returncode == 1, done.stderr
    said = [json.loads(one.stdout) | {"seconds": None} for one in (whole, done)]
    assert said[0] == said[1]
    assert contents(tmp_path / "dask") == contents(tmp_path / "single")
    assert len(list((tmp_path / "dask" / "parts").glob("*.done.json"))) > 5


def test_an_empty_file_gives_an_empty_table(tmp_path: Path) -> None:
    source = tmp_path / "in.ndjson"
    source.write_bytes(b"")
    for engine in ("single", "dask"):
        assert command(engine, str(source), str(tmp_path / engine)).returncode == 0
    assert contents(tmp_path / "dask") == contents(tmp_path / "single")


def test_settings_of_a_host_are_taken(tmp_path: Path) -> None:
    source, settings = tmp_path / "in.ndjson", tmp_path / "host.toml"
    write(source, 3, bad_each=0)
    settings.write_text('snomed = false\n[identifier_systems]\nexamination = "https://clinic.example/bulk"\n')
    done = command("dask", str(source), str(tmp_path / "out"), "--settings", str(settings))
    assert done.returncode == 0, done.stderr
    assert "snomed.info" not in (tmp_path / "out" / BUNDLES).read_text(encoding="utf-8")


def test_a_wrong_call_is_one_line_and_2_and_nothing_is_done(tmp_path: Path) -> None:
    source, output, settings = tmp_path / "in.ndjson", tmp_path / "out", tmp_path / "settings.toml"
    write(source, 1)
    settings.write_text("snomed = 7", encoding="utf-8")
    taken = tmp_path / "taken"
    taken.write_text("", encoding="utf-8")
    missing = str(tmp_path / "missing")
    for arguments, said in (
        ((missing, str(output)), f"No such file or directory: {missing}"),
        ((str(tmp_path), str(output)), f"Is a directory: {tmp_path}"),
        ((str(source), str(output), "--settings", missing), f"No such file or directory: {missing}"),
        ((str(source), str(taken)), f"File exists: {taken}"),
    ):
        for engine in ("single", "dask"):
            done = command(engine, *arguments)
            assert (done.returncode, done.stderr) == (2, f"bulk: {said}\n")
    done = command("single", str(source), str(output), "--settings", str(settings))
    assert done.returncode == 2
    assert "identifier_systems" in done.stderr
    assert "snomed is True or False" in done.stderr
    assert "Traceback" not in done.stderr
    assert command("single", str(source), str(output), "--release", "R3").returncode == 2
    assert not output.exists()
