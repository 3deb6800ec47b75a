"""The entries that a command works on: read one by one, and held no longer than needed."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import IO, TYPE_CHECKING, Any, Final

from dermreport.examination.model import Examination, Visit
from dermreport.examination.not_sent import unheld, unread
from dermreport.examination.reader import MAX_ENTRY, read_json
from dermreport.issues import EntryError, Issue

if TYPE_CHECKING:
    from dermreport.settings import Settings

#: The rule whose message names a list: a message is for a clinician, a command for whoever calls one.
_NOT_IN_ITS_LIST: Final = "entry-unknown-code"


@dataclass(frozen=True, slots=True)
class Given:
    """One entry, read: where it came from and its examinations, or what is wrong with it."""

    name: str
    examinations: tuple[Examination, ...]
    issues: tuple[Issue, ...] = ()


def add_input(parser: argparse.ArgumentParser) -> None:
    """Add the entries that a command works on."""
    parser.add_argument(
        "files", nargs="*", metavar="FILE", help="examinations or visits as JSON; - or none: standard input"
    )
    parser.add_argument("--lines", action="store_true", help="one examination a line (also for files named *.ndjson)")


def inputs(options: argparse.Namespace) -> Iterator[Given]:
    """Yield every entry; a file of lines is read line by line and never held whole."""
    names = options.files or ["-"]
    for name in progress(names):
        lines = options.lines or name.endswith(".ndjson")
        with opened(name) as stream:
            shown = "standard input" if name == "-" else name
            if lines:
                every = _lines(stream)
                alone = len(names) == 1 and name != "-"
                for number, line in enumerate(progress(every) if alone else every, start=1):
                    if line.strip():
                        yield _read(f"{shown}:{number}", line)
            else:
                yield _read(shown, stream.read(MAX_ENTRY + 1))


def _read(name: str, text: bytes) -> Given:
    try:
        value = read_json(text)
    except EntryError as error:
        return Given(name, (), unread(error.issues))
    try:
        if isinstance(value, dict) and "lesions" in value:
            return Given(name, Visit.model_validate(value).examinations)
        return Given(name, (Examination.model_validate(value),))
    except EntryError as error:
        return Given(name, (), unheld(value, error.issues))


def _lines(stream: IO[bytes]) -> Iterator[bytes]:
    """Yield the lines of a stream; of one that is longer than an entry may be as much as it takes to refuse it."""
    for line in iter(lambda: stream.readline(MAX_ENTRY + 1), b""):
        yield line
        rest = line
        while len(rest) > MAX_ENTRY and not rest.endswith(b"\n"):
            rest = stream.readline(MAX_ENTRY + 1)


@contextmanager
def opened(name: str) -> Iterator[IO[bytes]]:
    """Open a file; ``-`` is standard input."""
    if name == "-":
        yield sys.stdin.buffer
    else:
        with Path(name).open("rb") as stream:
            yield stream


def progress(items: Iterable[Any]) -> Iterable[Any]:
    """Show a progress bar over many items, on a terminal only."""
    many = not isinstance(items, list) or len(items) > 1
    if not (many and sys.stderr.isatty()):
        return items
    from tqdm import tqdm  # noqa: PLC0415 - loaded on first use

    return tqdm(items, unit=" entries", file=sys.stderr)


def say_unreadable(entry: Given, settings: Settings) -> None:
    """Say what is wrong with an entry in the host's language, and which command prints the lists that it isn't in."""
    from dermreport.languages.language import language  # noqa: PLC0415 - loaded on first use
    from dermreport.wording.issues import issue_lines  # noqa: PLC0415 - loaded on first use

    for line in issue_lines(entry.issues, language(settings.language)):
        print(f"{entry.name}: {line}", file=sys.stderr)
    named = (dict(issue.parameters).get("list") for issue in entry.issues if issue.rule == _NOT_IN_ITS_LIST)
    for name in dict.fromkeys(one for one in named if one is not None):
        print(f"{entry.name}: `dermreport terms {name}` prints the list {name}", file=sys.stderr)
