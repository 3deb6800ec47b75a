"""Every SHALL of the profiles and extensions: a resource that keeps it, and one that breaks it, caught.

Each row is checked by a second reading of the published differentials (``structure_check``); the reference validator
sees the same damages in ``tests/conformance/test_requirements_in_engine.py``.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import requirement_cases as made

from dermreport.fhir.releases import Release
from dermreport.profiles.structures.requirements import FILE_NAME, HEADINGS, Requirement, csv_text, requirements

PUBLISHED = Path(__file__).parent.parent / "profiles" / FILE_NAME
ROWS = {f"{one.number} {'-'.join(one.releases)}": one for one in requirements()}
#: R4B has R4's elements: its rows are read there, and one release of each shape is damaged.
SHAPES = ("R4", "R5")
DAMAGES = [
    pytest.param(release, row, id=f"{release} {row.number}")
    for release in SHAPES
    for row in ROWS.values()
    if release in row.releases
]


def url_of(row: Requirement) -> str:
    return f"https://dermreport.example/fhir/StructureDefinition/{row.definition}"


def test_what_is_published_is_what_the_tables_say() -> None:
    assert PUBLISHED.read_text(encoding="utf-8") == csv_text()


def test_every_row_has_a_number_of_its_own_and_says_shall() -> None:
    heading, *rows = list(csv.reader(io.StringIO(csv_text())))
    assert tuple(heading) == HEADINGS
    assert len(rows) > 600
    for release in Release:
        numbers = [row[0] for row in rows if release.value in row[2].split()]
        assert len(numbers) == len(set(numbers))
    assert [row[0] for row in rows if "SHALL" not in row[4]] == []


def test_no_row_is_without_a_test() -> None:
    """Each row names its test, and there is a test of that name."""
    tests = {f"{Path(__file__).name}::{test_a_damage_is_caught.__name__}[{one.id}]" for one in DAMAGES}
    named = [row[5].removeprefix("tests/") for row in csv.reader(io.StringIO(csv_text()))][1:]
    assert set(named) <= tests
    assert len(named) == len(requirements())


@pytest.mark.parametrize("release", SHAPES)
def test_whole_reports_keep_every_requirement(release: str) -> None:
    seen = set()
    for url, definition in made.definitions(release).items():
        # The smallest bundles are enough here: the reference validator sees all of them.
        for case in made.cases(release).get(url, ())[: 2 if definition.type == "Bundle" else None]:
            bundle = made.bundles(release)[case.bundle]
            root = case.within(bundle)
            assert definition.broken(root, made.resolved(bundle), skip=_of_another_statement(root)) == [], (url, case)
            seen.add(url)
    assert seen == set(made.definitions(release))


def _of_another_statement(root: Any) -> Callable[[str], bool]:
    """Return whether a condition is on another attribute than this statement's: there are too many to look at here.

    The reference validator looks at all of them on each statement.
    """
    own = {f"statement-{one['code']}" for one in root.get("code", {}).get("coding", ())} | {"statement-code"}
    return lambda key: key.startswith("statement-") and key not in own


@pytest.mark.parametrize(("release", "row"), DAMAGES)
def test_a_damage_is_caught(release: str, row: Requirement) -> None:
    definition = made.definitions(release)[url_of(row)]
    broken = made.broken(row, release, url_of(row))
    assert broken is not None, "no resource of the cases can break it"
    elements = None if row.element.endswith("resource") else [row.element]
    root = broken.case.within(broken.bundle)
    found = definition.broken(root, broken.resolve, elements, lambda key: key != row.key)
    assert (row.element, row.key or row.aspect.value) in found
