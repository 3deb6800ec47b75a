"""Reads the plain values of a pathway's file and gathers what is wrong, each with its path in the file.

A file is no patient's record, yet no value of it gets into an issue: only its paths, and of a key that isn't ours only
one that looks like a key.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any, TypeVar

from dermreport.issues import Issue
from dermreport.pathways.file_rules import FILE_RULES
from dermreport.vocabulary.term import Term, table_id

_KEY = re.compile(r"[A-Za-z0-9_-]{1,64}", re.ASCII)
ID = re.compile(r"[a-z0-9][a-z0-9.-]{0,63}", re.ASCII)
MAX_TEXT = 1_000

T = TypeVar("T", bound=Term)


class Noting:
    """Gathers issues; each method returns what it read, or None where it noted an issue."""

    def __init__(self) -> None:
        """Begin without an issue."""
        self.issues: list[Issue] = []

    def __call__(self, rule: str, at: str, **parameters: str) -> None:
        """Note an issue at a path."""
        self.issues.append(FILE_RULES[rule].at(at, **parameters))

    @staticmethod
    def under(at: str, key: str) -> str:
        """Return the path of a key that isn't ours."""
        return f"{at}.{key}" if _KEY.fullmatch(key) else f"{at}.?"

    def table(
        self,
        value: Any,  # noqa: ANN401 - a part of a file
        at: str,
        needed: Sequence[str],
        optional: Sequence[str] = (),
    ) -> dict[str, Any] | None:
        """Return a table that has the keys needed and no others than the optional ones."""
        if not isinstance(value, dict):
            self("pathway-wrong-type", at, wanted="a table")
            return None
        known = (*needed, *optional)
        for key in value:
            if key not in known:
                self("pathway-unknown-key", self.under(at, key), known=", ".join(known))
        missing = [key for key in needed if key not in value]
        for key in missing:
            self("pathway-key-missing", at, key=key)
        return None if missing else value

    def text(self, value: Any, at: str) -> str | None:  # noqa: ANN401 - a part of a file
        """Return a text of one line."""
        if not isinstance(value, str) or not value.strip() or len(value) > MAX_TEXT or not value.isprintable():
            self("pathway-wrong-type", at, wanted=f"a text of one line, at most {MAX_TEXT} characters")
            return None
        return value

    def id(self, value: Any, at: str) -> str | None:  # noqa: ANN401 - a part of a file
        """Return an id."""
        if not isinstance(value, str) or not ID.fullmatch(value):
            self("pathway-wrong-type", at, wanted="an id of small letters, digits, hyphens and full stops")
            return None
        return value

    def whole(self, value: Any, at: str, *, lowest: int, highest: int) -> int | None:  # noqa: ANN401 - a part of a file
        """Return a whole number within limits."""
        if isinstance(value, bool) or not isinstance(value, int) or not lowest <= value <= highest:
            self("pathway-wrong-type", at, wanted=f"a whole number from {lowest} to {highest}")
            return None
        return value

    def code(self, table: type[T], value: Any, at: str) -> T | None:  # noqa: ANN401 - a part of a file
        """Return a code of a table."""
        if isinstance(value, str):
            for term in table:
                if term == value:
                    return term
        self("pathway-unknown-code", at, table=table_id(table))
        return None

    def word(self, words: Sequence[str], value: Any, at: str) -> str | None:  # noqa: ANN401 - a part of a file
        """Return one of these words."""
        if isinstance(value, str) and value in words:
            return str(value)
        self("pathway-unknown-word", at, known=", ".join(words))
        return None
