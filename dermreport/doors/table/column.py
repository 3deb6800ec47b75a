"""What a column of a table is: name, type, unit, words, how it is read, and how a query finds it in FHIR views."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum
from typing import TYPE_CHECKING, Any, Final, Generic, NamedTuple, TypeVar

from dermreport.examination.base import OtherCode

if TYPE_CHECKING:
    from dermreport.vocabulary.term import Term

#: A cell; ``None`` means not recorded, not known, or not decided.
Cell = str | int | Decimal | bool | date | None


class ColumnType(StrEnum):
    """What the cells of a column hold."""

    TEXT = "text"
    """An identifier or a time, as written."""
    CODE = "code"
    """A code of this library's vocabulary, or ``system|code`` of somebody else's."""
    INTEGER = "integer"
    DECIMAL = "decimal"
    BOOLEAN = "boolean"
    DATE = "date"


class Found(NamedTuple):
    """How a query over the views finds a column.

    Attributes:
        source: The part of the query that has it: one of ``table_query.SOURCES``.
        value: Its SQL there: of one row, or aggregated over the rows of a report.
        final: Its SQL in the result, with ``{}`` for that value; it says what a report without such rows gives.
    """

    source: str
    value: str
    final: str = "{}"


R = TypeVar("R")


@dataclass(frozen=True, slots=True)
class Column(Generic[R]):
    """One column: what it says, where it comes from, and how it is read from a row's subject.

    Attributes:
        name: Letters, digits and underscores.
        type: What its cells hold.
        description: What it says, and what an empty cell means.
        origin: Where it comes from in the review: paths in the examination, or parts of the review.
        read: Gives the cell.
        found: How a query over the views finds it; ``None`` where FHIR resources don't carry it.
        unit: UCUM code of a number.
        not_in_views: Why no query finds it.
    """

    name: str
    type: ColumnType
    description: str
    origin: str
    read: Callable[[R], Cell]
    found: Found | None = None
    unit: str = ""
    not_in_views: str = ""


MILLIMETRES: Final = "mm"
TIMES: Final = "1"
POINTS: Final = "{score}"
DAYS: Final = "d"
PER_CENT: Final = "%"
YEARS: Final = "a"


def code_text(code: Term | OtherCode | None) -> str | None:
    """Return our code, or ``system|code`` of somebody else's."""
    if code is None:
        return None
    return f"{code.system}|{code.code}" if isinstance(code, OtherCode) else str.__str__(code)


def at(source: Any, path: str) -> Any:  # noqa: ANN401 - any part of an examination
    """Return what stands at a path of field names, ``None`` where a part of the way is missing."""
    for name in path.split("."):
        if source is None:
            return None
        source = getattr(source, name)
    return source
