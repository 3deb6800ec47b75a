"""``letter``: to a colleague, to a pathologist, or for the patient."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import dermreport
from dermreport.cli.arguments import Commands
from dermreport.cli.codes import DONE, ERROR_STANDS, NOT_DONE, WRONG_CALL
from dermreport.cli.entries import Given, add_input, inputs
from dermreport.cli.hosts import add_settings, host_settings, letter_settings, reviews, say_failed
from dermreport.cli.outputs import Names, Utf8, stem
from dermreport.issues import Severity
from dermreport.languages.language import LANGUAGES, Language, language
from dermreport.letter_file import LetterFormat, LetterKind
from dermreport.plugins.issue_rules import for_readers


def add(commands: Commands) -> None:
    """Add the command."""
    letter = commands.add_parser("letter", help="write letters: to a colleague, to a pathologist, or for the patient")
    add_input(letter)
    letter.add_argument("--kind", choices=[one.value for one in LetterKind], default=LetterKind.REFERRAL.value)
    letter.add_argument("--format", choices=[one.value for one in LetterFormat], default=LetterFormat.TEXT.value)
    letter.add_argument("--complete", action="store_true", help="say all that the report has")
    letter.add_argument("--language", choices=LANGUAGES, help="language of our words; default: that of the settings")
    letter.add_argument(
        "--letter-settings", metavar="FILE", help="settings of letters as TOML: sender, recipient, wording…"
    )
    letter.add_argument(
        "--picture", action="append", default=[], type=_picture, metavar="KEY=FILE", help="embed a picture by its key"
    )
    letter.add_argument(
        "-o", "--output", metavar="PATH", help="a file, or a folder for several; default for text: standard output"
    )
    add_settings(letter)
    letter.set_defaults(run=_letter)


def _picture(text: str) -> tuple[str, str]:
    key, found, name = text.partition("=")
    if not (key and found and name):
        raise argparse.ArgumentTypeError("give a picture as KEY=FILE")
    return key, name


def _letter(options: argparse.Namespace) -> int:
    output = None if options.output in (None, "-") else Path(options.output)
    if output is None and options.format == "pdf":
        print("dermreport letter: a PDF needs -o FILE", file=sys.stderr)
        return WRONG_CALL
    lines = options.lines or any(name.endswith(".ndjson") for name in options.files)
    folder = output if output is not None and (lines or len(options.files) > 1 or output.is_dir()) else None
    if output is None and (lines or len(options.files) > 1):
        print("dermreport letter: several letters need -o FOLDER", file=sys.stderr)
        return WRONG_CALL
    letters = letter_settings(options.letter_settings)
    if options.complete:
        letters = replace(letters, detail=dermreport.LetterDetail.COMPLETE)
    if options.language:
        letters = replace(letters, language=options.language)
    settings = host_settings(options)
    pictures, unread = _pictures(options.picture)
    code = NOT_DONE if unread else DONE
    names = Names()
    if folder is not None:
        folder.mkdir(parents=True, exist_ok=True)
    for entry in inputs(options):
        code = max(code, entry.code)
        entry.say(settings)
        if not entry.examinations:
            continue
        found = reviews(entry, settings)
        made = dermreport.letter(
            found,
            kind=options.kind,
            format=options.format,
            settings=letters,
            pictures=pictures,
        )
        suffix = f"{options.kind}{Path(made.name).suffix}"
        path = folder / names.of(stem(entry.name), suffix) if folder is not None else output
        said = language(settings.language)
        try:
            code = max(code, _written(entry, made, path, said, named=folder is not None))
        except OSError as error:
            if folder is None:
                raise
            from dermreport.profiles.operations.refusals import NOTHING_MADE  # noqa: PLC0415 - needed only then

            # The letters behind it may have something urgent.
            code = NOT_DONE
            print(f"{entry.name}: {error.strerror}: {error.filename}. {NOTHING_MADE}", file=sys.stderr)
        issues = [issue for one in found for issue in one.issues]
        code = max(code, say_failed(entry.name, dict.fromkeys((*issues, *made.issues)), said))
    return code


def _pictures(given: Sequence[tuple[str, str]]) -> tuple[dict[str, bytes], bool]:
    """Return the pictures that can be read, and whether one can't: a letter is written all the same."""
    found: dict[str, bytes] = {}
    unread = False
    for key, name in given:
        try:
            found[key] = Path(name).read_bytes()
        except OSError as error:
            print(f"dermreport letter: {error.strerror}: {error.filename}", file=sys.stderr)
            unread = True
    return found, unread


def _written(entry: Given, made: dermreport.LetterFile, path: Path | None, said: Language, *, named: bool) -> int:
    """Write one letter where it was asked for, and say what it lacks."""
    from dermreport.wording.issues import issue_lines  # noqa: PLC0415 - loaded on first use

    for line in issue_lines(for_readers(made.issues), said):
        print(f"{entry.name}: {line}", file=sys.stderr)
    if path is None:
        Utf8().write(made.text)
    else:
        path.write_bytes(made.content)
        if named:
            print(path)
    return ERROR_STANDS if any(issue.severity is Severity.ERROR for issue in made.issues) else DONE
