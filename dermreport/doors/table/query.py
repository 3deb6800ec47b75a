"""The queries that make the tables of the views, generated from the columns' own rows.

A report that another software made can lack what ours always has; the queries take reports of this library.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from dermreport.doors.table.findings import FINDING_COLUMNS, LOOKED_FOR_QUERY
from dermreport.doors.table.visits import ASKED_VISIT_COLUMNS, URGENCY_RANK, VISIT_COLUMNS

if TYPE_CHECKING:
    from collections.abc import Iterable

    from dermreport.doors.table.column import Column

#: Which Observation belongs to which report: those that it points to, and the members of its panels.
_BELONGS: Final = (
    "belongs AS (SELECT report_key, observation_key FROM dermoscopy_report_result "
    "UNION SELECT a.report_key, m.observation_key FROM dermoscopy_report_result a "
    "JOIN dermoscopy_panel_member m ON m.panel_key = a.observation_key)"
)
_OUTCOMES: Final = (
    "(SELECT o.*, a.report_key, ROW_NUMBER() OVER (PARTITION BY a.report_key, sort "
    "ORDER BY COALESCE(known, '') DESC, entry_key DESC) AS latest "
    "FROM dermoscopy_outcome o JOIN belongs a ON a.observation_key = o.observation_key)"
)
#: A step that a later revision withdrew isn't planned any more; of an examination that is withdrawn all are.
_PLANNED: Final = (
    "(SELECT p.*, a.report_key, ROW_NUMBER() OVER (PARTITION BY a.report_key "
    f"ORDER BY {URGENCY_RANK} DESC, rank) AS place "
    "FROM dermoscopy_plan p JOIN dermoscopy_report a ON a.identifier_system = p.identifier_system "
    "AND a.identifier_value = p.identifier_value "
    "WHERE p.status <> 'entered-in-error' OR a.status = 'entered-in-error')"
)


def _observed(view: str) -> str:
    return f"(SELECT o.*, a.report_key FROM {view} o JOIN belongs a ON a.observation_key = o.observation_key)"


#: Each part of the query by its name: its rows, and its letter in the result.
SOURCES: Final = {
    "statement": (_observed("dermoscopy_statement"), "s"),
    "view": (_observed("dermoscopy_view"), "v"),
    "list": (_observed("dermoscopy_list"), "l"),
    "finding": (_observed("dermoscopy_finding"), "f"),
    "colour": (_observed("dermoscopy_colour"), "c"),
    "score": (_observed("dermoscopy_score"), "n"),
    "impression": (_observed("dermoscopy_impression"), "i"),
    "outcome": (_OUTCOMES, "o"),
    "plan": (_PLANNED, "p"),
}
#: What a part has beside the columns, because others read it.
_ALSO: Final = {"view": ("MIN(CASE WHEN covers = 'part' THEN 1 ELSE 0 END) AS only_parts",)}


def _result(column: Column[Any]) -> str:
    """Return a column of the result."""
    if column.found is None:
        raise ValueError(column.name)
    source, value, final = column.found
    if source == "report":
        return f"{value} AS {column.name}"
    return f"{final.replace('{0}', '{}').replace('{}', f'{SOURCES[source][1]}.{column.name}')} AS {column.name}"


def _with(columns: Iterable[Column[Any]]) -> tuple[list[str], list[str]]:
    """Return the parts of the query, and the joins to them."""
    parts, joins = [], []
    for source, (rows, letter) in SOURCES.items():
        values = [f"{one.found.value} AS {one.name}" for one in columns if one.found and one.found.source == source]
        values += _ALSO.get(source, ())
        if values:
            listed = ",\n    ".join(values)
            chosen = f"SELECT report_key,\n    {listed}\n  FROM {rows} x\n  GROUP BY report_key"
            parts.append(f"{source}s AS (\n  {chosen}\n)")
            joins.append(f"LEFT JOIN {source}s {letter} ON {letter}.report_key = r.report_key")
    return parts, joins


_HEAD: Final = "-- {title}\n-- Over the views beside this file; generated from the table’s own columns.\n"


def visits_query() -> str:
    """Return the query that makes the table of visits, with the columns that are asked for by name at its end."""
    columns = [one for one in (*VISIT_COLUMNS, *ASKED_VISIT_COLUMNS) if one.found is not None]
    parts, joins = _with(columns)
    listed = ",\n  ".join(map(_result, columns))
    joined = "\n".join(("LEFT JOIN dermoscopy_lesion b ON b.lesion_key = r.lesion_key", *joins))
    head = _HEAD.format(title="One row an examination of a lesion.")
    before = ",\n".join((_BELONGS, *parts))
    return f"{head}WITH {before}\nSELECT\n  {listed}\nFROM dermoscopy_report r\n{joined}\n"


def findings_query() -> str:
    """Return the query that makes the table of findings."""
    listed = ",\n  ".join(
        f"{f'k.{one.found.value}' if one.found.source == 'looked' else one.found.value} AS {one.name}"
        for one in FINDING_COLUMNS
        if one.found is not None
    )
    head = _HEAD.format(title="One row a finding, or an item of a list that no finding names.")
    return (
        f"{head}WITH {_BELONGS},\nlooked AS ({LOOKED_FOR_QUERY})\nSELECT\n  {listed}\n"
        "FROM dermoscopy_report r\nJOIN looked k ON k.report_key = r.report_key\n"
    )
