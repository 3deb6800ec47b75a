"""Small tables that how-to pages show: addresses of the HTTP door, help of the command line."""

from __future__ import annotations

import subprocess
import sys
from html import escape

from dermreport.http.routes import ROUTES
from made.included import ROOT
from made.markup import Row, table
from made.rules import http_refusals

_COMMANDS = (
    "check",
    "score",
    "series",
    "report",
    "letter",
    "table",
    "view",
    "terms",
    "schema",
    "pathway",
    "profiles pack",
    "serve",
)


def routes() -> str:
    """Return the addresses of the HTTP door."""
    rows = [
        Row(
            (
                f"<code>{escape(f'{one.method} {one.path}')}</code>",
                escape(one.words),
                escape(", ".join(one.takes)),
                escape(", ".join(one.gives)),
                ", ".join(str(status.value) for status in sorted(one.statuses)),
            )
        )
        for one in ROUTES
    ]
    return table(("Address", "What is there", "Takes", "Gives", "Can refuse with"), rows)


def statuses() -> str:
    """Return what the HTTP door refuses with."""
    rows = [
        Row(
            (
                f"{one.status.value} {escape(one.status.phrase)}",
                f"<code>{one.rule.id}</code>",
                one.kind,
                str(one.retry or ""),
            )
        )
        for one in sorted(http_refusals(), key=lambda one: one.status)
    ]
    return table(("Status", "Issue", "FHIR’s type of issue", "Retry-After, seconds"), rows)


def usage() -> str:
    """Return the help of each command, as the command line prints it."""
    parts = []
    for command in _COMMANDS:
        done = subprocess.run(  # noqa: S603 - a command of this table
            [sys.executable, "-m", "dermreport", *command.split(), "--help"],
            cwd=ROOT,
            env={"COLUMNS": "100", "PYTHONPATH": str(ROOT)},
            capture_output=True,
            text=True,
            check=True,
        )
        parts.append(f"### dermreport {command}\n\n```text\n{done.stdout.strip()}\n```\n")
    return "\n".join(parts)
