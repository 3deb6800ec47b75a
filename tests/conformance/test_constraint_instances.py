"""For each constraint a bundle that breaks it and one that holds it, in the reference validator (HAPI FHIR 8.8.0).

In each bundle exactly those constraints are broken, at those places, that the library's issues name. Few bundles do:
each breaks several constraints and holds all others. Every case of ``tests/rules`` is asked by FHIRPath alone.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from conformance import engine, paths
from conformance.constraint_checks import by_review
from conformance.definitions import definitions
from constraint_instances import Instance, all_cases, claiming, constraint_of, expected_places, instances

from dermreport.examination.reader import write_json
from dermreport.fhir.releases import Release
from dermreport.profiles.constraints.printed import all_constraints


def _covering() -> list[Instance]:
    """Return few instances that break every constraint, those that break most first."""
    left = {one.rule.id for one in all_constraints(Release.R4)}
    breaking = {one.rule: by_review(one.review, "R4") for one in instances() if one.breaks}
    chosen = []
    while left:
        best = max(breaking, key=lambda rule: len(breaking[rule] & left))
        chosen.append(next(one for one in instances() if one.rule == best and one.breaks))
        left -= breaking[best]
    return chosen


@pytest.mark.parametrize("release", ["R4", "R5"])
def test_the_validator_finds_each_constraint_broken_where_the_library_does(release: str, tmp_path: Path) -> None:
    bundles = {tmp_path / f"{one.rule}.json": (one, one.bundle(release)) for one in _covering()}
    for path, (_, bundle) in bundles.items():
        path.write_text(write_json(bundle), encoding="utf-8")
    answers = engine.validate(release, list(bundles), definitions(release))
    known = {one.rule.id for one in all_constraints(Release(release))}
    seen: set[str] = set()
    for path, (instance, bundle) in bundles.items():
        found = {
            (key, re.sub(r"/\*.*?\*/", "", one["where"]))
            for one in answers[str(path)]
            if (key := one["id"].rpartition("#")[2]) in known
        }
        broken = by_review(instance.review, release)
        expected = {
            (rule, place) for rule in broken for place in expected_places(instance._replace(rule=rule), bundle, release)
        }
        assert found == expected, instance.rule
        seen |= broken
    assert seen == known


@pytest.mark.parametrize("release", ["R4", "R5"])
def test_each_case_of_each_rule_is_read_alike(release: str) -> None:
    cases = all_cases()
    asked = []
    for instance in cases:
        constraint = constraint_of(instance.rule, release)
        bundle = instance.bundle(release)
        expected = expected_places(instance, bundle, release)
        for place, resource in claiming(bundle, constraint.profile).items():
            asked.append((instance, place in expected, paths.Case(resource, (constraint.expression,))))
    answers = paths.evaluate_all("java", release, [case for _, _, case in asked])
    wrong = [
        (instance.rule, instance.case, values)
        for (instance, breaks, _), [values] in zip(asked, answers, strict=True)
        if values != [not breaks]
    ]
    assert wrong == []
    assert len(cases) > 1000
