"""The job on the command line: ``python -m bulk --help``."""

from __future__ import annotations

import argparse
import json
import sys
import time
from dataclasses import asdict
from pathlib import Path

from bulk.engines import ENGINES
from bulk.partitions import join, partitions
from bulk.single import single
from bulk.work import Counts, Job


def run(options: argparse.Namespace) -> Counts:
    """Do what the options say."""
    settings = options.settings.read_text(encoding="utf-8") if options.settings else ""
    job = Job(options.release, options.bundle, settings)
    if options.engine == "single":
        return single(job, options.source, options.output)
    source, output = options.source.resolve(), options.output.resolve()
    parts = partitions(source, options.partition_bytes)
    found = dict(ENGINES[options.engine](job, source, output, parts, options.workers)) if parts else {}
    return join(output, parts, [found[part.number] for part in parts if part.number in found])


def main() -> int:
    """Run the job: 0 done, 1 done and some lines gave no bundle, which the issues name."""
    parser = argparse.ArgumentParser(prog="bulk", description="Examinations, one a line, as FHIR bundles and a table.")
    parser.add_argument("engine", choices=("single", *ENGINES))
    parser.add_argument("source", type=Path)
    parser.add_argument("output", type=Path)
    parser.add_argument("--release", default="R4")
    parser.add_argument("--bundle", default="transaction", choices=("transaction", "collection"))
    parser.add_argument("--settings", type=Path, help="the host's settings as TOML")
    parser.add_argument("--partition-bytes", type=int, default=8_000_000)
    parser.add_argument("--workers", type=int, default=2)
    options = parser.parse_args()
    start = time.monotonic()
    counts = run(options)
    seconds = round(time.monotonic() - start, 3)
    print(json.dumps(asdict(counts) | {"seconds": seconds}))
    if counts.plans_not_sent:
        print(f"{counts.plans_not_sent} lines have a plan that nobody gets whole: see the issues", file=sys.stderr)
    if counts.plans_not_known:
        print(
            f"{counts.plans_not_known} lines failed or can't be read whole, and nobody gets what may be planned there: "
            "see the issues",
            file=sys.stderr,
        )
    return 1 if counts.refused or counts.failed else 0


if __name__ == "__main__":
    sys.exit(main())
