"""``check``: what is wrong or missing."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

import dermreport
from dermreport.cli.arguments import Commands
from dermreport.cli.codes import DONE, ERROR_STANDS
from dermreport.cli.entries import add_input, inputs
from dermreport.cli.hosts import add_settings, host_settings, reviews, say_failed
from dermreport.cli.labels import label
from dermreport.examination.reader import write_json

if TYPE_CHECKING:
    from dermreport.issues import Issue
    from dermreport.reviews import Review


def add(commands: Commands) -> None:
    """Add the command."""
    check = commands.add_parser("check", help="say what is wrong or missing in examinations")
    add_input(check)
    check.add_argument("--format", choices=("text", "json"), default="text", help="json: a FHIR OperationOutcome each")
    add_settings(check)
    check.set_defaults(run=_check)


def _check(options: argparse.Namespace) -> int:
    code = DONE
    settings = host_settings(options)
    for entry in inputs(options):
        code = max(code, entry.code)
        if options.format != "json":
            entry.say_lost(settings)
        elif entry.read.lost:
            kind = "Visit" if entry.examinations else "Examination"
            print(write_json(dermreport.to_outcome(entry.read.lost, kind, language=settings.language)))
        for review in reviews(entry, settings):
            as_json = options.format == "json"
            # A text needs no report, but where a plugin makes resources, what it fails to make is said.
            report = dermreport.to_fhir(review) if as_json or _makes_resources(review) else None
            left_out = report.left_out if report is not None else ()
            code = max(code, ERROR_STANDS if review.has_errors else DONE)
            code = max(code, say_failed(entry.name, (*review.issues, *left_out), review.language))
            if report is not None and as_json:
                print(write_json(report.outcome()))
            else:
                print(_checked(entry.name, review, left_out))
    return code


def _makes_resources(review: Review) -> bool:
    return any(plugin.resources for plugin in review.settings.plugins.loaded)


def _checked(name: str, review: Review, left_out: tuple[Issue, ...]) -> str:
    from dermreport.wording.issues import issue_lines  # noqa: PLC0415 - loaded on first use
    from dermreport.wording.pathways import pathway_sentence  # noqa: PLC0415 - loaded on first use

    said = review.language
    lines = [f"{name}: {label(review)}"]
    lines += [f"  {line}" for line in issue_lines((*review.issues, *left_out), said)] or ["  no issue"]
    given = [item for item in review.completeness if item.state == "given"]
    missing = [item for item in review.completeness if item.state == "missing"]
    asked = f"{len(given)} of the {len(given) + len(missing)} items that apply are given"
    lines.append(f"  published report standard, ten items: {asked}")
    lines += [f"    {item.number}: {said.text(item.message)}" for item in missing]
    lines.append(f"  {pathway_sentence(review.expected)}")
    return "\n".join(lines)
