"""``view``: what DICOM photographs say of their view."""

from __future__ import annotations

import argparse
import re
import sys
from pathlib import Path

import dermreport
from dermreport.cli.arguments import Commands
from dermreport.cli.codes import DONE, ERROR_STANDS, NOT_DONE, WRONG_CALL
from dermreport.cli.entries import opened, progress
from dermreport.examination.reader import write_json
from dermreport.issues import EntryError, Severity

#: Characters of a key that is made of a file's name.
_LONGEST_KEY = 64


def add(commands: Commands) -> None:
    """Add the command."""
    view = commands.add_parser("view", help="print what DICOM photographs say of their view, as parts of an entry")
    view.add_argument("files", nargs="*", metavar="FILE", help="DICOM files; - or none: standard input")
    view.add_argument("--key", help="key of the view and the picture; default: made of the file's name")
    view.set_defaults(run=_view)


def _view(options: argparse.Namespace) -> int:
    code = DONE
    for name in progress(options.files or ["-"]):
        shown = "standard input" if name == "-" else name
        try:
            with opened(name) as stream:
                found = dermreport.view_from_dicom(stream, key=options.key or _key(name))
        except EntryError:
            print("dermreport view: a key has 1 to 64 letters, digits, dots, hyphens or underscores", file=sys.stderr)
            return WRONG_CALL
        for issue in found.issues:
            print(f"{shown}: {issue}", file=sys.stderr)
        if found.view is None:
            code = NOT_DONE
            continue
        code = max(code, ERROR_STANDS if any(issue.severity is Severity.ERROR for issue in found.issues) else DONE)
        print(write_json(found.entry))
    return code


def _key(name: str) -> str:
    """Return a key made of a file's name."""
    return re.sub(r"[^A-Za-z0-9]+", "-", Path(name).stem)[:_LONGEST_KEY].strip("-") or "view"
