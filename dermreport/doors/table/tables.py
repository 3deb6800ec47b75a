"""A flat table for people who count: a row a lesion visit, or a row a finding, with documented columns."""

from __future__ import annotations

import csv
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from itertools import islice
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, NamedTuple, Protocol

from dermreport.doors.table.column import Cell, Column, ColumnType
from dermreport.doors.table.findings import FINDING_COLUMNS, looked_for
from dermreport.doors.table.visits import ASKED_VISIT_COLUMNS, VISIT_COLUMNS
from dermreport.extras import loaded
from dermreport.issues import SettingsError, must_be, one_of
from dermreport.reviews.review import Review

if TYPE_CHECKING:
    from os import PathLike

Row = tuple[Cell, ...]
#: Rows that are written to Parquet at once.
_BATCH: Final = 1_000
#: Digits and decimal places of a Parquet decimal: exact for all that is measured, within what engines read.
_DIGITS, PLACES = 38, 18


class Writable(Protocol):
    """What CSV is written to: a text file, or whatever takes texts."""

    def write(self, text: str, /) -> object:
        """Write a text."""


class TableKind(StrEnum):
    """The tables that there are."""

    VISITS = "visits"
    """One row a lesion visit: an examination of a lesion, in one revision."""
    FINDINGS = "findings"
    """One row a finding, or an item of a list that was gone through."""


class _Kind(NamedTuple):
    """A kind of table: its columns, those that are asked for by name, and what its rows are read from."""

    columns: tuple[Column[Any], ...]
    asked: tuple[Column[Any], ...]
    subjects: Callable[[Review], Iterable[Any]]


_KINDS: Final = {
    TableKind.VISITS: _Kind(VISIT_COLUMNS, ASKED_VISIT_COLUMNS, lambda review: (review,)),
    TableKind.FINDINGS: _Kind(FINDING_COLUMNS, (), looked_for),
}


@dataclass(frozen=True, slots=True)
class Table:
    """A table over reviews: its rows are made one by one as they are asked for, so memory stays flat.

    Attributes:
        kind: Which table.
        columns: Its columns in order, each with name, type, unit and description.
        reviews: What it is made of; an iterator can be read once.
    """

    kind: TableKind
    columns: tuple[Column[Any], ...]
    reviews: Iterable[Review]

    @property
    def rows(self) -> Iterator[Row]:
        """The rows, each with a cell a column; ``None`` where nothing was recorded or nothing can be said."""
        subjects = _KINDS[self.kind].subjects
        readers = [column.read for column in self.columns]
        for review in self.reviews:
            for subject in subjects(review):
                yield tuple(read(subject) for read in readers)

    def write_csv(self, file: Writable) -> int:
        """Write the table as CSV (RFC 4180): a line of names, then the rows; an empty cell where there is nothing.

        Numbers keep their digits, ``true`` and ``false`` are words, dates are ISO 8601. No text begins with a sign that
        a spreadsheet takes for a formula: codes and times begin with a letter or digit, identifiers and codes of others
        with the address of their system, and free text is in no column. A total can be a negative number.

        Args:
            file: An open text file; open it with ``encoding="utf-8", newline=""``.

        Returns:
            The number of rows.
        """
        writer = csv.writer(file, lineterminator="\r\n")
        writer.writerow([column.name for column in self.columns])
        number = 0
        for number, row in enumerate(self.rows, start=1):  # noqa: B007 - the number of rows is the answer
            writer.writerow(map(_csv_text, row))
        return number

    def write_parquet(self, path: str | PathLike[str]) -> int:
        """Write the table as Parquet; the fields carry unit and description as metadata.

        Decimals have 18 decimal places, so that whatever is measured is exact; a smaller remainder of a calculation
        is rounded there. CSV has every digit as it was entered.

        Args:
            path: Where to write; a file that is there is replaced.

        Returns:
            The number of rows.

        Raises:
            MissingExtraError: ``pyarrow`` isn't installed.
        """
        arrow, parquet = _arrow()
        schema = arrow.schema([_field(arrow, column) for column in self.columns])
        rows = self.rows
        number = 0
        with Path(path).open("wb") as file, parquet.ParquetWriter(file, schema) as writer:
            while batch := list(islice(rows, _BATCH)):
                cells = zip(*batch, strict=True)
                arrays = [
                    arrow.array(list(map(_parquet_value, values)), field.type)
                    for values, field in zip(cells, schema, strict=True)
                ]
                writer.write_batch(arrow.record_batch(arrays, schema=schema))
                number += len(batch)
        return number


def table(
    reviews: Review | Iterable[Review], kind: TableKind | str = TableKind.VISITS, *, also: Iterable[str] = ()
) -> Table:
    """Make a flat table of reviews, for people who count.

    By default it has no patient’s reference, number or age; names, birth dates and free text it never has. Numbers of
    examinations and lesions are keys of the host's record: the table is pseudonymous at best, not anonymous.

    Args:
        reviews: One review, or any number of them; an iterator is read row by row.
        kind: ``visits`` for one row an examination of a lesion, ``findings`` for one row a finding.
        also: Names of columns that are left out unless they are asked for: see :func:`asked_columns`.

    Returns:
        The table; the same reviews give the same table.

    Raises:
        SettingsError: There is no such table, or no such column to be asked for.
    """
    must_be("table: reviews", reviews, Review, Iterable)
    must_be("table: also", also, Iterable)
    kind = one_of("table: kind", TableKind, kind)
    known = {column.name: column for column in _KINDS[kind].asked}
    names = tuple(dict.fromkeys(also))
    if not set(names) <= set(known):
        raise SettingsError(f"table: also names columns that the table of {kind} has: {', '.join(known) or 'none'}")
    several = (reviews,) if isinstance(reviews, Review) else reviews
    return Table(kind, (*_KINDS[kind].columns, *(known[name] for name in names)), several)


def asked_columns(kind: TableKind | str = TableKind.VISITS) -> tuple[Column[Any], ...]:
    """Return the columns of a table that are left out unless they are asked for: they tell more of the patient.

    Raises:
        SettingsError: There is no such table.
    """
    return _KINDS[one_of("asked_columns: kind", TableKind, kind)].asked


def _csv_text(cell: Cell) -> str:
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return "true" if cell else "false"
    return format(cell, "f") if isinstance(cell, Decimal) else str(cell)


def _parquet_value(cell: Cell) -> Cell:
    if isinstance(cell, Decimal) and -int(cell.as_tuple().exponent) > PLACES:
        return round(cell, PLACES)
    return cell


def _arrow() -> tuple[Any, Any]:
    """Return pyarrow and its Parquet part, loaded on first use."""
    return loaded("pyarrow"), loaded("pyarrow.parquet")


def _field(arrow: Any, column: Column[Any]) -> Any:  # noqa: ANN401 - pyarrow has no types
    types = {
        ColumnType.TEXT: arrow.string(),
        ColumnType.CODE: arrow.string(),
        ColumnType.INTEGER: arrow.int64(),
        ColumnType.DECIMAL: arrow.decimal128(_DIGITS, PLACES),
        ColumnType.BOOLEAN: arrow.bool_(),
        ColumnType.DATE: arrow.date32(),
    }
    told = {"description": column.description, "origin": column.origin}
    return arrow.field(column.name, types[column.type], metadata=told | ({"unit": column.unit} if column.unit else {}))
