"""``series``: one lesion over time."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

import dermreport
from dermreport.cli.arguments import Commands, file_name
from dermreport.cli.codes import DONE, ERROR_STANDS, NOT_DONE
from dermreport.cli.entries import add_input, inputs
from dermreport.cli.hosts import add_settings, host_settings, reviews, say_failed
from dermreport.examination.reader import write_json
from dermreport.issues import SeriesError, Severity


def add(commands: Commands) -> None:
    """Add the command."""
    series = commands.add_parser("series", help="compare the examinations of one lesion, in the order of their times")
    add_input(series)
    series.add_argument("--format", choices=("text", "json"), default="text")
    series.add_argument(
        "--as-of", type=_day, metavar="DATE", help="what was due by then: default: the last examination"
    )
    series.add_argument(
        "--plot", type=file_name, metavar="FILE", help="also write diameters and a score over time as SVG"
    )
    series.add_argument("--method", type=_method, default=None, metavar="CODE", help="the score that is drawn")
    add_settings(series)
    series.set_defaults(run=_series)


def _day(text: str) -> str:
    from datetime import date  # noqa: PLC0415 - loaded on first use

    try:
        return date.fromisoformat(text).isoformat()
    except ValueError:
        raise argparse.ArgumentTypeError("give a day as 2026-09-01") from None


def _method(text: str) -> str:
    from dermreport.plots.series import DRAWN  # noqa: PLC0415 - loaded on first use

    if text not in DRAWN:
        raise argparse.ArgumentTypeError(f"no method with a total: name one of {', '.join(DRAWN)}")
    return text


def _series(options: argparse.Namespace) -> int:
    from dermreport.languages.language import language  # noqa: PLC0415 - loaded on first use
    from dermreport.wording.issues import issue_lines  # noqa: PLC0415 - loaded on first use
    from dermreport.wording.series import series_as_data, series_as_text  # noqa: PLC0415 - loaded on first use

    code, made_of = DONE, []
    settings = host_settings(options)
    for entry in inputs(options):
        code = max(code, entry.code)
        entry.say(settings)
        found = reviews(entry, settings)
        issues = (issue for one in found for issue in one.issues)
        code = max(code, say_failed(entry.name, issues, language(settings.language)))
        made_of += found
    try:
        made = dermreport.series(made_of, as_of=options.as_of)
    except SeriesError as error:
        for line in issue_lines(error.issues, language(settings.language)):
            print(f"dermreport series: {line}", file=sys.stderr)
        return NOT_DONE
    print(write_json(series_as_data(made)) if options.format == "json" else series_as_text(made))
    if options.plot is not None:
        drawn = dermreport.series_plot(made, **({"method": options.method} if options.method is not None else {}))
        Path(options.plot).write_text(drawn, encoding="utf-8", newline="\n")
    errors = any(issue.severity is Severity.ERROR for issue in made.issues)
    standing = errors or any(review.has_errors for review in made.reviews)
    return max(code, ERROR_STANDS if standing else DONE)
