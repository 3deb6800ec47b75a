"""How much of somebody else's input is read at most: what is larger is refused before it costs anything."""

from __future__ import annotations

from dataclasses import dataclass

from dermreport.examination.reader import MAX_ENTRY


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """What is read at most.

    Attributes:
        size: Characters or bytes of the input; never more than the one reader takes.
        depth: How deep objects and lists may stand in one another.
        resources: How many resources the input may hold, contained ones not counted.
        number: Characters of a number.
    """

    size: int = MAX_ENTRY
    depth: int = 64
    resources: int = 20_000
    number: int = 100


DEFAULT_LIMITS = Limits()
