"""What every vocabulary row has: a code, a display, a definition, other names, and how it is known.

A table is one ``StrEnum`` derived from :class:`Term`; its members are the rows, so a code is written once, an
editor completes it, a type checker refuses a wrong one and the JSON Schema is a plain enum. A row is written as

``VEIL = "veil", "Display", "Definition in our words.", MEMORY, ("another name",)``

The member's name is its code in capitals with ``-`` as ``_``; a test holds the two together.
"""

from __future__ import annotations

import re
from enum import StrEnum
from typing import Self

from dermreport.publication import CANONICAL_BASE
from dermreport.sources import MEMORY, Basis


class Term(StrEnum):
    """One row of a vocabulary table; as text it is its code."""

    display: str
    definition: str
    basis: Basis
    synonyms: tuple[str, ...]

    def __new__(
        cls,
        code: str,
        display: str = "",
        definition: str = "",
        basis: Basis = MEMORY,
        synonyms: tuple[str, ...] = (),
    ) -> Self:
        """Make one row: the code is the value, the rest are attributes.

        The defaults are for type checkers, which read a look-up such as ``Colour("red")`` as a call of this; a test
        refuses a row without display or definition.
        """
        member = str.__new__(cls, code)
        member._value_ = code
        member.display = display
        member.definition = definition
        member.basis = basis
        member.synonyms = synonyms
        return member


def table_id(table: type[Term]) -> str:
    """Return the id of a table's CodeSystem: the class name in lower case with hyphens, as ``plan-action``."""
    return re.sub(r"(?<=[a-z])(?=[A-Z])", "-", table.__name__).lower()


def code_system(table: type[Term]) -> str:
    """Return the URL of a table's CodeSystem, a constant of the project."""
    return f"{CANONICAL_BASE}/CodeSystem/{table_id(table)}"
