"""``report``: FHIR bundles."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TextIO

import dermreport
from dermreport.cli.arguments import Commands, Once, listed, releases
from dermreport.cli.codes import DONE, ERROR_STANDS, NOT_DONE, WRONG_CALL
from dermreport.cli.entries import Given, add_input, inputs
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
    target = _Target(options.bundle, output if folder else None, single)
    try:
        for entry in inputs(options):
            code = max(code, entry.code)
            entry.say(settings)
            if entry.examinations:
                code = max(code, _written(entry, outputs, settings, target))
    finally:
        if single is not None:
            single.close()
    return code


@dataclass(frozen=True, slots=True)
class _Target:
    """Where bundles are written.

    Attributes:
        bundle: Their kind.
        folder: A folder, where each has a file of its own.
        single: Else the file of all; ``None`` is standard output.
    """

    bundle: str
    folder: Path | None
    single: TextIO | None
    names: Names = field(default_factory=Names)

    def write(self, entry: Given, release: str, form: str, text: str) -> None:
        """Write a bundle."""
        if self.folder is None:
            print(text, file=self.single or sys.stdout)
            return
        path = self.folder / self.names.of(stem(entry.name), f"{release.lower()}.{self.bundle}.{form}")
        path.write_text(text + "\n", encoding="utf-8", newline="\n")
        print(path)


def _written(entry: Given, outputs: Sequence[tuple[str, str]], settings: dermreport.Settings, target: _Target) -> int:
    """Write the bundles of an entry, and say why one can't be made or stands with an error."""
    made, code = reviews(entry, settings), DONE
    if any(review.has_errors for review in made):
        code = ERROR_STANDS
        print(f"{entry.name}: an error stands, the report is preliminary: see check", file=sys.stderr)
    reasons: dict[str, None] = {}
    found = dict.fromkeys(issue for review in made for issue in review.issues)
    for release, form in outputs:
        try:
            report = dermreport.to_fhir(made, release=release)
            bundle = report.bundle(target.bundle)
        except BuildError as error:
            reasons[str(error)] = None
            continue
        found |= dict.fromkeys(report.left_out)
        text = bundle.to_xml() if form == "xml" else bundle.to_json()
        try:
            target.write(entry, release, form, text)
        except OSError as error:
            if target.folder is None:
                # What all bundles go to: no other one can be written either.
                raise
            reasons[f"{error.strerror}: {error.filename}"] = None
    for reason in reasons:
        from dermreport.profiles.operations.refusals import NOTHING_MADE  # noqa: PLC0415 - needed only when it fails

        code = NOT_DONE
        print(f"{entry.name}: {reason.removesuffix('.')}. {NOTHING_MADE}", file=sys.stderr)
    return max(code, say_failed(entry.name, found, language(settings.language)))


def _settings(options: argparse.Namespace) -> dermreport.Settings:
    settings = host_settings(options)
    return replace(settings, snomed=False) if options.without_snomed else settings
