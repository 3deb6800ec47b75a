"""Kinds of arguments that several commands take."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from typing import Any, TypeAlias

#: What a command adds itself to: argparse names its type by a private name.
Commands: TypeAlias = Any


class Once(argparse.Action):
    """A list that is given once: a second one would take the first one's place without a word."""

    def __call__(
        self,
        parser: argparse.ArgumentParser,
        namespace: argparse.Namespace,
        values: str | Sequence[Any] | None,
        option_string: str | None = None,
    ) -> None:
        """Take the list, or refuse a second one."""
        if getattr(namespace, self.dest) is not self.default:
            parser.error(f"{option_string} is given twice: join the values by a comma")
        setattr(namespace, self.dest, values)


def listed(allowed: Sequence[str], text: str) -> list[str]:
    """Return the names that a text lists, each once."""
    names = [name for name in text.split(",") if name]
    for name in names:
        if name not in allowed:
            raise argparse.ArgumentTypeError(f"{name!r} isn't one of {', '.join(allowed)}")
    if not names:
        raise argparse.ArgumentTypeError(f"name at least one of {', '.join(allowed)}")
    return list(dict.fromkeys(names))


def releases(text: str) -> list[str]:
    """Return the releases that a text lists."""
    return listed(("R4", "R4B", "R5"), text)


def count(text: str) -> int:
    """Return a number of things, one at least."""
    if not (text.isdecimal() and int(text)):
        raise argparse.ArgumentTypeError("give a whole number from 1")
    return int(text)


def file_name(text: str) -> str:
    """Return the name of a file; none is a slip."""
    if not text:
        raise argparse.ArgumentTypeError("name a file")
    return text
