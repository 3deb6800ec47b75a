"""One process, one loop over the lines: what the others must give, byte for byte."""

from __future__ import annotations

from contextlib import ExitStack
from pathlib import Path

from bulk.work import Counts, Files, Job, Work

#: What a job gives: bundles and issues one a line, the table as CSV.
BUNDLES, TABLE, ISSUES = NAMES = ("bundles.ndjson", "visits.csv", "issues.ndjson")


def single(job: Job, source: Path, output: Path) -> Counts:
    """Do a job and return how many lines became what.

    Args:
        job: What is wanted.
        source: Examinations as JSON, one a line.
        output: A folder, for ``bundles.ndjson``, ``visits.csv`` and ``issues.ndjson``.
    """
    output.mkdir(parents=True, exist_ok=True)
    with ExitStack() as stack:
        lines = stack.enter_context(source.open("rb"))
        made = [stack.enter_context((output / name).open("w", encoding="utf-8", newline="")) for name in NAMES]
        return Work(job, Files(*made)).run(enumerate(lines, start=1))
