"""What the columns of a table mean, as text for people."""

from __future__ import annotations

from textwrap import wrap
from typing import TYPE_CHECKING, Any, Final

if TYPE_CHECKING:
    from collections.abc import Sequence

    from dermreport.doors.table.column import Column

_WIDTH: Final = 110
_HEAD: Final = (
    "An empty cell says that nothing was recorded or nothing can be said: it is never «no», «absent» or nought. "
    "Names, birth dates and free text are in no column. Scores and counts support judgement and never replace it; a "
    "total below a threshold excludes nothing."
)
_ASKED: Final = "Left out unless asked for by name (--also NAME), because they tell more of the patient:"


def columns_as_text(columns: Sequence[Column[Any]], asked: Sequence[Column[Any]]) -> str:
    """Return name, type, unit, meaning and origin of each column.

    Args:
        columns: The columns of a table.
        asked: Those that are in it only where they are asked for.
    """
    lines = [*wrap(_HEAD, _WIDTH), ""]
    for column in columns:
        lines += _told(column)
    if asked:
        lines += ["", *wrap(_ASKED, _WIDTH), ""]
        for column in asked:
            lines += _told(column)
    return "\n".join(lines)


def _told(column: Column[Any]) -> list[str]:
    unit = f", unit {column.unit}" if column.unit else ""
    views = "" if column.found is not None else f" Not in the FHIR views: {column.not_in_views}"
    meaning = f"{column.description} From: {column.origin}.{views}"
    return [
        f"{column.name} ({column.type.value}{unit})",
        *wrap(meaning, _WIDTH, initial_indent="    ", subsequent_indent="    "),
    ]
