"""``table``: the flat table for people who count."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from dermreport.cli.arguments import Commands
from dermreport.cli.codes import DONE, ERROR_STANDS, WRONG_CALL
from dermreport.cli.entries import add_input, inputs
from dermreport.cli.hosts import add_settings, host_settings, reviews, say_failed
from dermreport.cli.outputs import Utf8

if TYPE_CHECKING:
    from dermreport.reviews import Review


def add(commands: Commands) -> None:
    """Add the command."""
    tables = commands.add_parser("table", help="write a flat table for people who count, as CSV or Parquet")
    add_input(tables)
    tables.add_argument(
        "--kind", choices=("visits", "findings"), default="visits", help="one row a lesion visit, or one a finding"
    )
    tables.add_argument("--format", choices=("csv", "parquet"), default="csv")
    tables.add_argument(
        "--also", action="append", default=[], metavar="NAME", help="a column that is left out unless it is asked for"
    )
    tables.add_argument("--columns", action="store_true", help="say what each column means, and write no table")
    tables.add_argument("-o", "--output", metavar="FILE", help="default: standard output; Parquet needs a file")
    add_settings(tables)
    tables.set_defaults(run=_table)


def _table(options: argparse.Namespace) -> int:
    from dermreport.doors.table.tables import asked_columns, table  # noqa: PLC0415 - loaded on first use
    from dermreport.doors.table.words import columns_as_text  # noqa: PLC0415 - loaded on first use

    if options.columns:
        print(columns_as_text(table((), options.kind).columns, asked_columns(options.kind)))
        return DONE
    output = None if options.output in (None, "-") else Path(options.output)
    if output is None and options.format == "parquet":
        print("dermreport table: Parquet needs -o FILE", file=sys.stderr)
        return WRONG_CALL
    codes = {DONE}
    try:
        made = table(_reviewed(options, codes), options.kind, also=options.also)
    except ValueError as error:
        print(f"dermreport table: {error}", file=sys.stderr)
        return WRONG_CALL
    if options.format == "parquet" and output is not None:
        made.write_parquet(output)
    elif output is not None:
        with output.open("w", encoding="utf-8", newline="") as file:
            made.write_csv(file)
    else:
        made.write_csv(Utf8())
    return max(codes)


def _reviewed(options: argparse.Namespace, codes: set[int]) -> Iterator[Review]:
    """Yield the reviews of every entry, one by one; what can't be read or has an error is told, its code noted."""
    settings = host_settings(options)
    for entry in inputs(options):
        codes.add(entry.code)
        entry.say(settings)
        for review in reviews(entry, settings):
            if review.has_errors:
                codes.add(ERROR_STANDS)
                print(f"{entry.name}: an error stands: see check", file=sys.stderr)
            codes.add(say_failed(entry.name, review.issues, review.language))
            yield review
