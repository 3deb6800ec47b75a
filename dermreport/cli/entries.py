"""The entries that a command works on: read one by one, and held no longer than needed.

What can be held of each is held, as at every door: what can't is said, and withholds nothing else.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType
from typing import IO, TYPE_CHECKING, Any, Final

from dermreport.cli.codes import DONE, ERROR_STANDS, NOT_DONE
from dermreport.examination.entry import Entry
from dermreport.examination.model import Examination
from dermreport.examination.not_sent import unread
from dermreport.examination.reader import MAX_ENTRY
from dermreport.examination.visits import VisitEntry, from_visit
from dermreport.issues import Issue

if TYPE_CHECKING:
    from dermreport.settings import Settings

#: The rule whose message names a list: a message is for a clinician, a command for whoever calls one.
_NOT_IN_ITS_LIST: Final = "entry-unknown-code"


@dataclass(frozen=True, slots=True)
class Given:
    """One entry, read: where it came from, and what became of it."""

    name: str
    read: VisitEntry

    @property
    def examinations(self) -> tuple[Examination, ...]:
        """What could be held: none, or one for each lesion of which it could."""
        return self.read.examinations

    @property
    def code(self) -> int:
        """The exit code by what couldn't be held."""
        if self.read.lost:
            return NOT_DONE
        return ERROR_STANDS if self.read.issues else DONE

    def say(self, settings: Settings) -> None:
        """Say what couldn't be held, on standard error, in the host's language."""
        self._say(self.read.issues, settings)

    def say_lost(self, settings: Settings) -> None:
        """Say the same of that alone of which nothing is held: the rest stands in what the command says itself."""
        self._say(self.read.lost, settings)

    def _say(self, issues: Sequence[Issue], settings: Settings) -> None:
        """Say issues, and which command prints the lists that something of the entry isn't in."""
        from dermreport.languages.language import language  # noqa: PLC0415 - loaded on first use
        from dermreport.wording.issues import issue_lines  # noqa: PLC0415 - loaded on first use

        for line in issue_lines(issues, language(settings.language)):
            print(f"{self.name}: {line}", file=sys.stderr)
        named = (dict(issue.parameters).get("list") for issue in self.read.issues if issue.rule == _NOT_IN_ITS_LIST)
        for name in dict.fromkeys(one for one in named if one is not None):
            print(f"{self.name}: `dermreport terms {name}` prints the list {name}", file=sys.stderr)


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
        shown = "standard input" if name == "-" else name
        every = _entries(name, shown, lines=lines)
        alone = lines and len(names) == 1 and name != "-"
        given = iter(progress(every) if alone else every)
        while True:
            try:
                one = next(given, None)
            except OSError as error:
                # The files behind it may have something urgent: they are done all the same.
                print(f"{shown}: {error.strerror}", file=sys.stderr)
                yield Given(shown, _UNREAD)
                break
            if one is None:
                break
            yield one


#: Of a file that can't be opened, or not to its end, nobody knows what was planned.
_UNREAD: Final = VisitEntry((Entry(None, unread(()), MappingProxyType({})),))


def _entries(name: str, shown: str, *, lines: bool) -> Iterator[Given]:
    with opened(name) as stream:
        if not lines:
            yield Given(shown, from_visit(stream.read(MAX_ENTRY + 1)))
            return
        for number, line in enumerate(_lines(stream), start=1):
            if line.strip():
                yield Given(f"{shown}:{number}", from_visit(line))


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
