"""Where a command writes: names of files in a folder, and bytes as they are on standard output."""

from __future__ import annotations

import sys
from pathlib import Path


class Names:
    """Names of files in one folder: two entries of one name give two files."""

    def __init__(self) -> None:
        self._given: set[str] = set()

    def of(self, stem: str, suffix: str) -> str:
        """Return a name that none had before."""
        name, number = f"{stem}.{suffix}", 1
        while name in self._given:
            number += 1
            name = f"{stem}-{number}.{suffix}"
        self._given.add(name)
        return name


def stem(name: str) -> str:
    """Return what the files made of an entry are called by: its file's name, and the line in it."""
    file, _, line = name.partition(".ndjson:")
    made = Path(file).name.removesuffix(".json").replace(" ", "-")
    return f"{made}-{line}" if line else made


class Utf8:
    """Standard output for CSV: UTF-8 and the line ends as they are written, whatever the terminal's settings are."""

    def write(self, text: str) -> int:
        """Write a text."""
        sys.stdout.flush()
        return sys.stdout.buffer.write(text.encode())
