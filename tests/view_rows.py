"""Rows of the views by ``fhirpathpy``, as a server's resources give them, and the tables that a database makes of them.

What selects and joins the columns here is a few lines of the tests; the engines of others run the same files under
``tests/conformance``.
"""

from __future__ import annotations

import json
import re
import sqlite3
from collections.abc import Callable, Container, Iterable, Iterator
from contextlib import closing
from datetime import date
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

import fhirpathpy
from examples_output import ENTRIES, examinations
from fhirpathpy.models import models

import dermreport
from dermreport.doors.table.column import Cell, Column, ColumnType
from dermreport.doors.table.tables import TableKind, asked_columns

VIEWS = Path(__file__).parent.parent / "profiles" / "views"
#: The folder that serves a release.
FOLDERS = {"R4": "r4", "R4B": "r4", "R5": "r5"}


def definitions(folder: str) -> list[dict[str, Any]]:
    return [json.loads(path.read_text(encoding="utf-8")) for path in sorted((VIEWS / folder).glob("*.json"))]


class Kept(NamedTuple):
    """What a server keeps of reports, and the reviews whose table must be the same.

    Attributes:
        reviews: The newest revision of each examination.
        resources: As a server keeps them: what leads from one to another is a type and an id.
    """

    reviews: list[dermreport.Review]
    resources: list[dict[str, Any]]


def kept(reports: Iterable[dermreport.Report], reviews: Iterable[dermreport.Review]) -> Kept:
    made = {(one["resourceType"], one["id"]): one for report in reports for one in report.resources}
    kinds = {f"urn:uuid:{identity}": f"{kind}/{identity}" for kind, identity in made}
    text = json.dumps(list(made.values()), default=float)
    led = re.sub(r'"reference": "([^"]+)"', lambda found: f'"reference": "{kinds.get(found[1], found[1])}"', text)
    return Kept(list(reviews), json.loads(led))


def kept_examples(release: str, names: Container[str] = ()) -> Kept:
    """Return the examples on one server, all or those named; of two revisions the later one, with what it withdrew."""
    found: dict[tuple[str | None, str], list[dermreport.Review]] = {}
    for path in ENTRIES:
        if not names or path.stem in names:
            for one in examinations(path):
                number = (one.identifier.system, one.identifier.value)
                found.setdefault(number, []).append(dermreport.review(one))
    revisions = [sorted(each, key=lambda one: one.examination.revision) for each in found.values()]
    reports = [dermreport.to_fhir(last, release=release, earlier=before) for *before, last in revisions]
    return kept(reports, [each[-1] for each in revisions])


@cache
def _path(text: str, model: str) -> Callable[..., list[Any]]:
    functions = {
        "getResourceKey": {"fn": lambda found: [f"{one['resourceType']}/{one['id']}" for one in map(_data, found)]},
        "getReferenceKey": {"fn": lambda found: [one["reference"] for one in map(_data, found) if "reference" in one]},
    }
    return fhirpathpy.compile(text, model=models[model], options={"userInvocationTable": functions})


def _data(node: Any) -> Any:
    return getattr(node, "data", node)


def _cells(columns: list[dict[str, str]], context: Any, constants: dict[str, str], model: str) -> dict[str, Any]:
    found = {}
    for one in columns:
        values = _path(one["path"], model)(context, constants)
        assert len(values) <= 1, (one["path"], values)
        found[one["name"]] = values[0] if values else None
    return found


def rows(view: dict[str, Any], resources: Iterable[dict[str, Any]]) -> Iterator[dict[str, Any]]:
    """Yield the rows of a view."""
    model = "r5" if "5.0.0" in view["fhirVersion"] else "r4"
    constants = {one["name"]: one["valueUri"] for one in view["constant"]}
    for resource in resources:
        if resource["resourceType"] != view["resource"]:
            continue
        if any(_path(one["path"], model)(resource, constants) != [True] for one in view["where"]):
            continue
        head, *parts = view["select"]
        cells = _cells(head["column"], resource, constants, model)
        if not parts:
            yield cells
        for part in parts:
            # Below a part the engine needs to be told the type: it is asked for each part of the resource by position.
            count = len(_path(part["forEach"], model)(resource, constants))
            for position in range(count):
                columns = [{**one, "path": f"({part['forEach']})[{position}].{one['path']}"} for one in part["column"]]
                yield cells | _cells(columns, resource, constants, model)


def database(tables: dict[str, list[dict[str, Any]]], names: dict[str, list[str]]) -> sqlite3.Connection:
    """Return a database with the rows of each view."""
    made = sqlite3.connect(":memory:")
    for view, columns in names.items():
        made.execute(f"CREATE TABLE {view} ({', '.join(columns)})")
        held = [[_held(row[name]) for name in columns] for row in tables[view]]
        made.executemany(f"INSERT INTO {view} VALUES ({', '.join('?' * len(columns))})", held)
    return made


def column_names(view: dict[str, Any]) -> list[str]:
    return [column["name"] for part in view["select"] for column in part["column"]]


def _held(value: Any) -> Any:
    if isinstance(value, Decimal):
        return float(value)
    return value if isinstance(value, (str, int, float, type(None))) else str(value)


def queried(made: sqlite3.Connection, query: str) -> tuple[list[str], list[tuple[Any, ...]]]:
    """Return the names and rows that a query of ``profiles/views`` gives."""
    found = made.execute((VIEWS / query).read_text(encoding="utf-8"))
    return [one[0] for one in found.description], found.fetchall()


def differences(reviews: list[dermreport.Review], found: dict[str, list[dict[str, Any]]], folder: str) -> list[Any]:
    """Return where the tables and what the queries make of the views' rows differ: kind, row, column, two cells."""
    # Python 3.13 warns of a connection that nobody closes.
    with closing(database(found, {one["name"]: column_names(one) for one in definitions(folder)})) as made:
        queries = {kind: queried(made, f"{kind}.sql") for kind in TableKind}
    different: list[Any] = []
    for kind in TableKind:
        asked = [column.name for column in asked_columns(kind)]
        whole = dermreport.table(reviews, kind, also=asked)
        names, rows_found = queries[kind]
        columns = [column for column in whole.columns if column.found is not None]
        assert names == [column.name for column in columns]
        places = [position for position, column in enumerate(whole.columns) if column.found is not None]
        given = ([row[position] for position in places] for row in whole.rows)
        wanted = _sorted([comparable(*both) for both in zip(columns, row, strict=True)] for row in given)
        got = _sorted([comparable(*both) for both in zip(columns, row, strict=True)] for row in rows_found)
        if len(got) != len(wanted):
            different.append((kind, len(wanted), len(got)))
        different += [
            (kind, row[0], column.name, cell, other)
            for row, others in zip(wanted, got, strict=False)
            for column, cell, other in zip(columns, row, others, strict=True)
            if cell != other
        ]
    return different


def _sorted(found: Iterable[list[Any]]) -> list[list[Any]]:
    return sorted(found, key=lambda row: [(cell is None, str(cell)) for cell in row])


def comparable(column: Column[Any], cell: Cell | float) -> Any:
    """Return a cell so that the table and a database have the same: exact where the column is."""
    if cell is None:
        return None
    if column.type is ColumnType.BOOLEAN:
        return bool(cell)
    if column.type is ColumnType.INTEGER:
        return int(cell)  # type: ignore[arg-type]
    if column.type is ColumnType.DECIMAL:
        return float(cell)  # type: ignore[arg-type]
    return cell.isoformat() if isinstance(cell, date) else str(cell)
