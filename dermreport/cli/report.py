"""``report``: FHIR bundles."""

from __future__ import annotations

import argparse
import sys
from dataclasses import replace
from pathlib import Path

import dermreport
from dermreport.cli.arguments import Commands, Once, listed, releases
from dermreport.cli.codes import DONE, ERROR_STANDS, NOT_DONE, WRONG_CALL
from dermreport.cli.entries import add_input, inputs, say_unreadable
from dermreport.cli.hosts import add_settings, host_settings, reviews, say_failed
from dermreport.cli.outputs import Names, stem
from dermreport.issues import BuildError
from dermreport.languages.language import language


def add(commands: Commands) -> None:
    """Add the command."""
    report = commands.add_parser("report", help="write checked and scored FHIR bundles")
    add_input(report)
    report.add_argument(
        "--release", type=releases, action=Once, default=["R4"], metavar="R4[,R4B,R5]", help="default: R4"
    )
    report.add_argument(
        "--format", type=_formats, action=Once, default=["json"], metavar="json[,xml]", help="default: json"
    )
    report.add_argument("--bundle", choices=("transaction", "collection", "document"), default="transaction")
    report.add_argument(
        "-o", "--output", metavar="PATH", help="a file, or a folder for several; default: standard output"
    )
    report.add_argument("--without-snomed", action="store_true", help="send no SNOMED CT codings")
    add_settings(report)
    report.set_defaults(run=_report)


def _formats(text: str) -> list[str]:
    return listed(("json", "xml"), text)


def _report(options: argparse.Namespace) -> int:
    outputs = [(release, form) for release in options.release for form in options.format]
    output = None if options.output in (None, "-") else Path(options.output)
    folder = output is not None and (len(outputs) > 1 or len(options.files) > 1 or output.is_dir())
    if output is None and len(outputs) > 1:
        print("dermreport report: several releases or formats need -o FOLDER", file=sys.stderr)
        return WRONG_CALL
    settings = _settings(options)
    code = DONE
    if folder and output is not None:
        output.mkdir(parents=True, exist_ok=True)
    single = None if folder or output is None else output.open("w", encoding="utf-8", newline="\n")
    names = Names()
    try:
        for entry in inputs(options):
            if entry.issues:
                code = NOT_DONE
                say_unreadable(entry, settings)
                continue
            made = reviews(entry, settings)
            if any(review.has_errors for review in made):
                code = max(code, ERROR_STANDS)
                print(f"{entry.name}: an error stands, the report is preliminary: see check", file=sys.stderr)
            found = dict.fromkeys(issue for review in made for issue in review.issues)
            for release, form in outputs:
                try:
                    report = dermreport.to_fhir(made, release=release)
                    bundle = report.bundle(options.bundle)
                except BuildError as error:
                    print(f"{entry.name}: {error}", file=sys.stderr)
                    code = NOT_DONE
                    continue
                found |= dict.fromkeys(report.left_out)
                text = bundle.to_xml() if form == "xml" else bundle.to_json()
                if folder and output is not None:
                    path = output / names.of(stem(entry.name), f"{release.lower()}.{options.bundle}.{form}")
                    path.write_text(text + "\n", encoding="utf-8", newline="\n")
                    print(path)
                else:
                    print(text, file=single or sys.stdout)
            code = max(code, say_failed(entry.name, found, language(settings.language)))
    finally:
        if single is not None:
            single.close()
    return code


def _settings(options: argparse.Namespace) -> dermreport.Settings:
    settings = host_settings(options)
    return replace(settings, snomed=False) if options.without_snomed else settings
