"""Cuts a file into partitions, does one of them, and joins what came out.

A partition knows its first line's number, so that an issue names the line of the whole file: the readers of the engines
don't tell it. It is cut by bytes, at line ends: lines differ in length, and work goes with bytes.
"""

from __future__ import annotations

import hashlib
import json
import shutil
import uuid
from collections.abc import Iterator, Sequence
from contextlib import ExitStack
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Final

import dermreport
from bulk.single import NAMES, TABLE
from bulk.work import Counts, Files, Job, Work

_CHUNK: Final = 1 << 20
MANIFEST: Final = "manifest.json"


class IncompleteError(Exception):
    """What came out isn't all of what went in; nothing is joined."""


@dataclass(frozen=True, slots=True)
class Partition:
    """A part of a file: whole lines.

    Attributes:
        number: Its position among the partitions, from 0.
        first_line: The number of its first line in the file, from 1.
        start: Its first byte.
        end: The byte after its last.
    """

    number: int
    first_line: int
    start: int
    end: int


def partitions(source: Path, size: int) -> list[Partition]:
    """Cut a file into partitions of about so many bytes; a line is never cut.

    It reads the file once to count lines, some GB a second, and holds none of it.
    """
    made: list[Partition] = []
    start, first_line, line, at = 0, 1, 1, 0
    with source.open("rb") as file:
        while chunk := file.read(_CHUNK):
            place = chunk.find(b"\n", max(0, start + size - at - 1))
            while place >= 0 and at + place + 1 >= start + size:
                line += chunk.count(b"\n", max(0, start - at), place + 1)
                made.append(Partition(len(made), first_line, start, at + place + 1))
                start, first_line = at + place + 1, line
                place = chunk.find(b"\n", max(0, start + size - at - 1))
            line += chunk.count(b"\n", max(0, start - at))
            at += len(chunk)
    # A file without lines has a partition too, for its table has a head.
    if start < at or not made:
        made.append(Partition(len(made), first_line, start, at))
    return made


def do(job: Job, source: Path, output: Path, part: Partition) -> Counts:
    """Do one partition; done again, by whomever and whenever, it gives the same files.

    Everything is written beside its place and renamed, the counts last: a task that is killed leaves nothing that looks
    whole, and of two that do the same at once either may win. A partition that is done already, by the same library
    from the same bytes, isn't done again.
    """
    done = output / "parts" / f"{part.number:06}.done.json"
    what = _what(job, source, part)
    if done.exists():
        said = json.loads(done.read_bytes())
        if said["what"] == what:
            return Counts(**said["counts"])
    own = output / "parts" / f".{part.number:06}.{uuid.uuid4().hex}"
    own.mkdir(parents=True)
    try:
        with ExitStack() as stack:
            made = [stack.enter_context((own / name).open("w", encoding="utf-8", newline="")) for name in NAMES]
            counts = Work(job, Files(*made)).run(_lines(source, part))
        for name in NAMES:
            (own / name).replace(_part(output, part.number, name))
        (own / "done").write_text(json.dumps({"what": what, "counts": asdict(counts)}), encoding="utf-8")
        (own / "done").replace(done)
    finally:
        shutil.rmtree(own)
    return counts


def join(output: Path, parts: Sequence[Partition], counts: Sequence[Counts]) -> Counts:
    """Join the files of all partitions to those that one process gives, and return what became of all lines.

    Raises:
        IncompleteError: A line is missing.
    """
    total = Counts()
    for one in counts:
        total.add(one)
    if len(counts) != len(parts) or not total.adds_up:
        raise IncompleteError(f"{len(counts)} of {len(parts)} partitions; {asdict(total)}")
    for name in NAMES:
        own = output / f".{name}.{uuid.uuid4().hex}"
        with own.open("wb") as joined:
            for part in parts:
                with _part(output, part.number, name).open("rb") as file:
                    if name == TABLE and part.number > 0:
                        file.readline()
                    shutil.copyfileobj(file, joined)
        own.replace(output / name)
    digests = {name: _digest(output / name) for name in NAMES}
    manifest = {"library": dermreport.__version__, "counts": asdict(total), "sha256": digests}
    (output / MANIFEST).write_text(json.dumps(manifest, indent=2) + "\n", encoding="utf-8")
    return total


def _part(output: Path, number: int, name: str) -> Path:
    return output / "parts" / f"{number:06}.{name}"


def _lines(source: Path, part: Partition) -> Iterator[tuple[int, bytes]]:
    with source.open("rb") as file:
        file.seek(part.start)
        number = part.first_line
        while file.tell() < part.end:
            yield number, file.readline()
            number += 1


def _what(job: Job, source: Path, part: Partition) -> dict[str, object]:
    """Return what a partition's files depend on."""
    digest = hashlib.sha256()
    with source.open("rb") as file:
        file.seek(part.start)
        left = part.end - part.start
        while left > 0 and (chunk := file.read(min(_CHUNK, left))):
            digest.update(chunk)
            left -= len(chunk)
    return {
        "library": dermreport.__version__,
        "job": asdict(job),
        "partition": asdict(part),
        "sha256": digest.hexdigest(),
    }


def _digest(file: Path) -> str:
    with file.open("rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()
