"""What each requirement of the profiles asks, seen by the reference validator: kept, and broken.

One resource that carries everything passes without an error; of the damages that ``test_requirements`` makes, one for
each requirement, none passes. A condition must be named by its key.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import requirement_cases as made
from conformance import engine
from conformance.definitions import definitions

from dermreport.examination.reader import write_json
from dermreport.fhir.releases import Release
from dermreport.profiles.structures.example_resources import example_resources
from dermreport.profiles.structures.requirements import Requirement, requirements

RELEASES = ("R4", "R4B", "R5")
#: R4B has R4's elements: one release of each shape is damaged.
SHAPES = ("R4", "R5")
#: Transaction, document, and document of a later revision of the full entry; other tests validate the examples.
FULL_ENTRY = 3
BASE = "https://dermreport.example/fhir/StructureDefinition"


def _asked(release: str, folder: Path, resources: dict[str, Any]) -> dict[str, list[dict[str, Any]]]:
    """Return the errors for each resource, by its name."""
    files = {}
    for number, (name, resource) in enumerate(resources.items()):
        path = folder / f"{number}.json"
        path.write_text(write_json(resource), encoding="utf-8")
        files[path] = name
    answers = engine.validate(release, list(files), definitions(release))
    assert len(answers) == len(resources) > 0
    return {name: [one for one in answers[str(path)] if one["severity"] == "error"] for path, name in files.items()}


@pytest.mark.parametrize("release", RELEASES)
def test_what_carries_everything_passes(release: str, tmp_path: Path) -> None:
    reports = [made.reviews_of(path) for path in sorted(made.EXAMPLE_FOLDER.glob("*.json"))]
    resources = {
        **{f"bundle {number}": bundle for number, bundle in enumerate(made.bundles(release)[:FULL_ENTRY])},
        **example_resources(reports, Release(release)),
    }
    found = _asked(release, tmp_path, resources)
    assert {name: several for name, several in found.items() if several} == {}


@pytest.mark.parametrize("release", SHAPES)
def test_every_damage_is_caught(release: str, tmp_path: Path) -> None:
    """The same resources without the damage bring no error, so it is the damage that is caught."""
    rows = {row.number: row for row in requirements() if release in row.releases}
    damaged, whole = {}, {}
    for number, row in rows.items():
        broken = made.broken(row, release, f"{BASE}/{row.definition}")
        assert broken is not None, number
        damaged[number] = _alone(broken.bundle, broken.case)
        whole[f"{broken.case.bundle} {broken.case.path[:2]}"] = _alone(
            made.bundles(release)[broken.case.bundle], broken.case
        )
    found = _asked(release, tmp_path, {**damaged, **whole})
    assert [name for name in whole if found[name]] == []
    assert [number for number, row in rows.items() if not _caught(row, found[number])] == []


def _alone(bundle: Any, case: made.Case) -> Any:
    """Return the resource of a case without its bundle, unless the case is the bundle."""
    return bundle["entry"][case.path[1]]["resource"] if case.path[:1] == ("entry",) else bundle


def _caught(row: Requirement, errors: list[dict[str, Any]]) -> bool:
    return any(one["id"].endswith(f"#{row.key}") for one in errors) if row.key else bool(errors)
