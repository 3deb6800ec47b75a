"""The job on the command line: ``python -m bulk --help``."""

from __future__ import annotations

import argparse
import json
import sys
import time
from dataclasses import asdict
from pathlib import Path

import dermreport
from bulk.engines import ENGINES
from bulk.partitions import join, partitions
from bulk.single import single
from bulk.work import Counts, Job


def job_of(options: argparse.Namespace) -> Job:
    """Return what is wanted, once all that it needs is there: what is missing ends no job half done.

    Raises:
        OSError: The input or the settings can't be read, or the output is no folder.
        SettingsError: The settings don't fit.
    """
    with options.source.open("rb"):
        pass
    settings = options.settings.read_text(encoding="utf-8", errors="replace") if options.settings else ""
    if settings:
        dermreport.settings_from_toml(settings)
    options.output.mkdir(parents=True, exist_ok=True)
    return Job(options.release, options.bundle, settings)


def run(options: argparse.Namespace, job: Job) -> Counts:
    """Do what the options say."""
    if options.engine == "single":
        return single(job, options.source, options.output)
    source, output = options.source.resolve(), options.output.resolve()
    parts = partitions(source, options.partition_bytes)
    found = dict(ENGINES[options.engine](job, source, output, parts, options.workers)) if parts else {}
    return join(output, parts, [found[part.number] for part in parts if part.number in found])


def main() -> int:
    """Run the job: 0 done, 1 done and some lines gave no bundle, which the issues name, 2 the call is wrong."""
    parser = argparse.ArgumentParser(prog="bulk", description="Examinations, one a line, as FHIR bundles and a table.")
    parser.add_argument("engine", choices=("single", *ENGINES))
    parser.add_argument("source", type=Path)
    parser.add_argument("output", type=Path)
    parser.add_argument("--release", default="R4", choices=[str(one) for one in dermreport.Release])
    parser.add_argument("--bundle", default="transaction", choices=("transaction", "collection"))
    parser.add_argument("--settings", type=Path, help="the host's settings as TOML")
    parser.add_argument("--partition-bytes", type=int, default=8_000_000)
    parser.add_argument("--workers", type=int, default=2)
    options = parser.parse_args()
    try:
        job = job_of(options)
    except OSError as error:
        print(f"bulk: {error.strerror}: {error.filename}", file=sys.stderr)
        return 2
    except dermreport.DermReportError as error:
        print(f"bulk: {options.settings}: {error}", file=sys.stderr)
        return 2
    start = time.monotonic()
    counts = run(options, job)
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
