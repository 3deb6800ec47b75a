"""The rules as constraints, asked of whole bundles: which are broken, by an engine and by the library's review."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Any, NamedTuple

from conformance import paths

import dermreport
from dermreport.fhir.releases import Release
from dermreport.profiles.constraints.printed import BUNDLE, Constraint, all_constraints
from dermreport.publication import CANONICAL_BASE
from dermreport.vocabulary.statuses import Status

_PROFILE = f"{CANONICAL_BASE}/StructureDefinition/"


class Broken(NamedTuple):
    """A broken constraint: the rule's id, and where its resource stands in the bundle."""

    rule: str
    where: str


def settled(value: Any) -> Any:
    """Return a resource as if no error stood in it: a constraint that is an error asks nothing of a preliminary one."""
    if isinstance(value, dict):
        return {
            name: "final" if name == "status" and part == "preliminary" else settled(part)
            for name, part in value.items()
        }
    return [settled(part) for part in value] if isinstance(value, list) else value


def by_review(review: dermreport.Review, release: str) -> set[str]:
    """Return the rules that are constraints and broken, as the library says."""
    if review.examination.status is Status.ENTERED_IN_ERROR:
        return set()
    known = {one.rule.id for one in all_constraints(Release(release))}
    return {issue.rule for issue in review.issues} & known


def by_engine(engine: str, release: str, bundles: Iterable[dict[str, Any]]) -> list[set[Broken]]:
    """Return for each bundle the constraints that an engine finds broken."""
    asked = [(number, *one) for number, bundle in enumerate(bundles) for one in _asked(bundle, release)]
    cases = [paths.Case(resource, _expressions(release, profile)) for _, profile, resource, _ in asked]
    answers = paths.evaluate_all(engine, release, cases)
    broken: list[set[Broken]] = [set() for _ in range(asked[-1][0] + 1)]
    for (number, profile, _, where), values in zip(asked, answers, strict=True):
        for constraint, value in zip(_constraints(release, profile), values, strict=True):
            assert value in ([True], [False]), (engine, constraint.rule.id, value)
            if value == [False]:
                broken[number].add(Broken(constraint.rule.id, where))
    return broken


def _asked(bundle: dict[str, Any], release: str) -> Iterator[tuple[str, dict[str, Any], str]]:
    """Yield each profile that has constraints, with a resource that claims it and where that stands."""
    yield BUNDLE, bundle, "Bundle"
    for number, entry in enumerate(bundle["entry"]):
        resource = entry["resource"]
        for url in resource.get("meta", {}).get("profile", ()):
            if _constraints(release, url.removeprefix(_PROFILE)):
                yield url.removeprefix(_PROFILE), resource, f"Bundle.entry[{number}].resource"


def _constraints(release: str, profile: str) -> Sequence[Constraint]:
    return [one for one in all_constraints(Release(release)) if one.profile == profile]


def _expressions(release: str, profile: str) -> tuple[str, ...]:
    return tuple(one.expression for one in _constraints(release, profile))
