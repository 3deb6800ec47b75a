"""What is made of lines: the same whoever asks, so that many processes give what one gives."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from dataclasses import asdict, dataclass, field
from typing import IO, Any, Final

import dermreport

#: Written in place of a rule where a line made the library fail: a defect to be reported, which ends no job.
FAILED: Final = "bulk-failed"
_NOT_SENT: Final = "entry-plan-not-sent"
_NOT_KNOWN: Final = "entry-plan-not-known"
#: What the machine lacks: the task fails and is tried again. Were it a line's fault, a worker without a library would
#: refuse every line.
_NOT_OF_A_LINE: Final = (ImportError, MemoryError, OSError)


@dataclass(frozen=True, slots=True)
class Job:
    """What is wanted.

    Attributes:
        release: R4, R4B or R5.
        bundle: ``transaction`` or ``collection``.
        settings: The host's settings as TOML; ``""`` for those of the library.
    """

    release: str = "R4"
    bundle: str = "transaction"
    settings: str = ""


@dataclass(slots=True)
class Counts:
    """How many lines became what: each is one of ``bundles``, ``refused``, ``failed`` or ``blank``.

    Attributes:
        lines: Lines read.
        bundles: Bundles written, those of reports with errors too.
        refused: Lines of which nothing could be held, each with its number and rules among the issues.
        failed: Lines at which the library failed.
        blank: Lines with nothing on them.
        with_errors: Bundles of reports that are preliminary because errors stand.
        plans_not_sent: Lines with a plan that doesn't go out, or not whole: somebody sees to them, however urgent.
        plans_not_known: Lines with what may be a plan and doesn't go out, or that failed: the same.
        rows: Rows of the table.
    """

    lines: int = 0
    bundles: int = 0
    refused: int = 0
    failed: int = 0
    blank: int = 0
    with_errors: int = 0
    plans_not_sent: int = 0
    plans_not_known: int = 0
    rows: int = 0

    @property
    def adds_up(self) -> bool:
        """Whether no line was lost."""
        became = self.bundles + self.refused + self.failed + self.blank
        return self.lines == became and self.rows == self.bundles

    def add(self, other: Counts) -> None:
        """Add the counts of another part."""
        for name, value in asdict(other).items():
            setattr(self, name, getattr(self, name) + value)


@dataclass(slots=True)
class Files:
    """Where it goes; open text files, UTF-8, ``newline=""``."""

    bundles: IO[str]
    table: IO[str]
    issues: IO[str]


@dataclass(slots=True)
class Work:
    """The work on some lines, one after the other, in flat memory.

    Attributes:
        job: What is wanted.
        files: Where it goes.
        counts: How many lines became what, so far.
    """

    job: Job
    files: Files
    counts: Counts = field(default_factory=Counts)

    def run(self, lines: Iterable[tuple[int, bytes]]) -> Counts:
        """Make everything of numbered lines: the table asks for the reviews, and on the way the bundles are written."""
        self.counts.rows = dermreport.table(self._reviews(lines)).write_csv(self.files.table)
        return self.counts

    def _reviews(self, lines: Iterable[tuple[int, bytes]]) -> Iterator[dermreport.Review]:
        settings = dermreport.settings_from_toml(self.job.settings) if self.job.settings else dermreport.Settings()
        for number, line in lines:
            self.counts.lines += 1
            if not line.strip():
                self.counts.blank += 1
                continue
            try:
                review, issues, bundle = self._made(line, settings)
            except _NOT_OF_A_LINE:
                raise
            except Exception as error:  # noqa: BLE001 - one line must not end the job, and its text may quote the line
                self.counts.failed += 1
                self.counts.plans_not_known += 1
                self._write_issues(number, [{"rule": FAILED, "severity": "error", "path": type(error).__name__}])
                continue
            errors = [issue for issue in issues if issue.severity is dermreport.Severity.ERROR]
            if errors:
                named = [{"rule": one.rule, "severity": one.severity.value, "path": one.path} for one in errors]
                self._write_issues(number, named)
            self.counts.plans_not_sent += any(issue.rule == _NOT_SENT for issue in issues)
            self.counts.plans_not_known += any(issue.rule == _NOT_KNOWN for issue in issues)
            if review is None:
                self.counts.refused += 1
                continue
            self.counts.bundles += 1
            self.counts.with_errors += review.has_errors
            self.files.bundles.write(bundle + "\n")
            yield review

    def _made(
        self, line: bytes, settings: dermreport.Settings
    ) -> tuple[dermreport.Review | None, tuple[dermreport.Issue, ...], str]:
        held = dermreport.from_entry(line)
        if held.examination is None:
            return None, held.issues, ""
        review = dermreport.review(held.examination, settings)
        bundle = dermreport.to_fhir(review, release=self.job.release).bundle(self.job.bundle)
        return review, review.issues, bundle.to_json()

    def _write_issues(self, number: int, issues: list[dict[str, Any]]) -> None:
        """Write rules and paths of a line: neither has anything of the patient."""
        self.files.issues.write(json.dumps({"line": number, "issues": issues}) + "\n")
