"""Messages that can't be avoided, each with its reason: whatever else the engine says fails, and a listed one comes.

The table's column ``message`` is «id: text», with ``*`` for any text. An error is never expected.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Iterable
from fnmatch import fnmatchcase
from functools import cache
from pathlib import Path
from typing import Any

from conformance.constraint_checks import Broken
from conformance.example_bundles import RELEASES

from dermreport.publication import CANONICAL_BASE

LISTED = Path(__file__).with_suffix(".tsv")

#: Stands in the place of an example for a run without our package, with the release.
RECEIVER = "(without our package, {})"
#: Stands there for random examinations, of which none need bring a message.
RANDOM = "(random)"
#: Stands there for what we publish, with the release.
PUBLISHED = "(published, {})"
#: Stands there for what the HTTP door answers, with the release.
HTTP = "(HTTP door, {})"


def places() -> set[str]:
    """Return what may stand in the place of an example."""
    return {RANDOM, *(place.format(release) for place in (RECEIVER, PUBLISHED, HTTP) for release in RELEASES)}


_BROKEN = re.compile(rf"{re.escape(CANONICAL_BASE)}/StructureDefinition/dermoscopy-[a-z-]+#(.+)")


@cache
def _rows() -> list[dict[str, str]]:
    with LISTED.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file, delimiter="\t"))
    assert all(row["reason"] for row in rows)
    return rows


def listed_examples() -> set[str]:
    """Return the examples of which messages are listed."""
    return {row["example"] for row in _rows()}


def expected(example: str) -> list[str]:
    """Return the patterns of the messages that an example must bring."""
    return [row["message"] for row in _rows() if row["example"] == example]


def surprises(name: str, messages: Iterable[dict[str, Any]], patterns: Iterable[str] = ()) -> list[str]:
    """Return what is wrong with a file's messages: errors, and what nobody expects."""
    return [
        f"{name}: {one['severity']}: {one['where']}: {_text(one)}"
        for one in messages
        if one["severity"] == "error" or not any(fnmatchcase(_text(one), pattern) for pattern in patterns)
    ]


def missing(name: str, messages: Iterable[dict[str, Any]], patterns: Iterable[str]) -> list[str]:
    """Return which of the patterns no message meets any more."""
    texts = [_text(one) for one in messages]
    return [
        f"{name}: no longer: {pattern}" for pattern in patterns if not any(fnmatchcase(text, pattern) for text in texts)
    ]


def broken_constraints(messages: Iterable[dict[str, Any]]) -> set[Broken]:
    """Return which of our constraints the validator found broken, and where."""
    found = ((_BROKEN.fullmatch(one["id"]), one["where"]) for one in messages)
    return {Broken(match[1], where) for match, where in found if match is not None}


def _text(message: dict[str, Any]) -> str:
    return f"{message['id']}: {message['message']}"
