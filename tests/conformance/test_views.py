"""The views, run by an engine of others, and the queries over them give the library's own tables.

The engine is that of npm ``@medplum/core``, an implementation of the SQL-on-FHIR specification; the queries run in
SQLite. ``tests/test_table.py`` asks ``fhirpathpy`` the same of a part.
"""

from __future__ import annotations

import json
import re
import subprocess
from pathlib import Path
from typing import Any

import pytest
import view_rows
from conformance import building, random_examinations

import dermreport
from dermreport.examination.base import OtherCode
from dermreport.examination.model import Examination

_JAVASCRIPT = Path(__file__).parent / "views_js"
RELEASES = ("R4", "R4B", "R5")
#: So many random examinations are asked.
NUMBER = 100


def by_engine(folder: str, resources: list[dict[str, Any]]) -> dict[str, list[dict[str, Any]]]:
    """Return the rows of each view of a folder."""
    building.npm(_JAVASCRIPT)
    lines = "\n".join(json.dumps(one) for one in resources)
    done = subprocess.run(
        ["node", "run_views.mjs", str(view_rows.VIEWS / folder)],
        input=lines,
        capture_output=True,
        check=True,
        cwd=_JAVASCRIPT,
        encoding="utf-8",
    )
    found: dict[str, list[dict[str, Any]]] = json.loads(done.stdout)
    return found


@pytest.mark.parametrize("release", RELEASES)
def test_the_examples_give_the_same_tables(release: str) -> None:
    folder = view_rows.FOLDERS[release]
    kept = view_rows.kept_examples(release)
    found = by_engine(folder, kept.resources)
    assert view_rows.differences(kept.reviews, found, folder) == []
    assert all(found.values())
    assert [row for row in found["dermoscopy_outcome"] if row["result"] is not None]


def _held_by_fhir(examination: Examination) -> bool:
    """Whether each code of others is one that FHIR's type holds; another has no code in a view."""
    codes = [one.code for one in _codes(examination)]
    return all(re.fullmatch(r"[^\s]+( [^\s]+)*", code) for code in codes)


def _codes(part: Any) -> list[OtherCode]:
    if isinstance(part, OtherCode):
        return [part]
    if isinstance(part, tuple):
        return [code for one in part for code in _codes(one)]
    if hasattr(type(part), "model_fields"):
        return [code for name in type(part).model_fields for code in _codes(getattr(part, name))]
    return []


def _numbered(position: int, examination: Examination) -> Examination:
    """Return an examination with numbers that no other has, so that one server can keep all."""
    own = {"system": "https://host.example/ids", "value": f"{position}"}
    entry = examination.to_dict() | {"identifier": own}
    if examination.lesion is not None and examination.lesion.identifier is not None:
        entry["lesion"]["identifier"] = own
    return Examination.model_validate(entry)


@pytest.mark.parametrize("release", RELEASES)
def test_random_examinations_give_the_same_tables(release: str) -> None:
    drawn = [one for one in random_examinations.examinations() if _held_by_fhir(one)][:NUMBER]
    assert len(drawn) == NUMBER
    reviews = [dermreport.review(_numbered(*one)) for one in enumerate(drawn)]
    kept = view_rows.kept([dermreport.to_fhir(one, release=release) for one in reviews], reviews)
    folder = view_rows.FOLDERS[release]
    assert view_rows.differences(kept.reviews, by_engine(folder, kept.resources), folder) == []
