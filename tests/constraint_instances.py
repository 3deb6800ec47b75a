"""For each constraint an instance that breaks it and one that holds it, from the rules' own cases.

An instance is the bundle of a case of ``tests/rules``, written as a sender would who claims that no error stands in it:
the library itself never sends a final report that breaks a rule, and a constraint asks nothing of a preliminary one.
"""

from __future__ import annotations

import re
from functools import cache
from typing import Any, NamedTuple

from conformance import paths
from conformance.constraint_checks import settled
from test_rules import CASES, base, changed

import dermreport
from dermreport.examination.model import Examination
from dermreport.fhir.releases import Release
from dermreport.profiles.constraints.printed import BUNDLE, Constraint, all_constraints
from dermreport.publication import CANONICAL_BASE
from dermreport.settings import Settings
from dermreport.vocabulary.statuses import Status


class Instance(NamedTuple):
    """A bundle for one constraint.

    Attributes:
        rule: Id of the rule.
        case: Name of the case.
        breaks: Whether the bundle breaks the constraint.
        review: The review of the case.
    """

    rule: str
    case: str
    breaks: bool
    review: dermreport.Review

    def bundle(self, release: str) -> dict[str, Any]:
        """Return the bundle, as if no error stood in it."""
        made: dict[str, Any] = settled(dermreport.to_fhir(self.review, release=release).bundle("collection").to_dict())
        return made


def all_cases() -> list[Instance]:
    """Return every case of every rule that is a constraint.

    Without those of the host's time, which is in no resource, and of withdrawn records, which are out of account.
    """
    rules = {one.rule.id for one in all_constraints(Release.R4)}
    return [
        Instance(case["rule"], case["name"], case["fires"], _review(case))
        for case in CASES
        if case["rule"] in rules and "settings.now" not in case["set"] and case["set"].get("status") != _WITHDRAWN
    ]


_WITHDRAWN = Status.ENTERED_IN_ERROR.value


@cache
def instances() -> tuple[Instance, ...]:
    """Return for each constraint one instance that breaks it and one that holds it, in the order of the cases."""
    first: dict[tuple[str, bool], Instance] = {}
    for one in all_cases():
        first.setdefault((one.rule, one.breaks), one)
    return tuple(first.values())


def _review(case: dict[str, Any]) -> dermreport.Review:
    return dermreport.review(Examination.model_validate(changed(base(), case["set"])), Settings(claim_profiles=True))


_PROFILE = f"{CANONICAL_BASE}/StructureDefinition/"
_POSITION = re.compile(r"\$\.[a-z_.]+\[([0-9]+)\]")


def constraint_of(rule: str, release: str) -> Constraint:
    """Return the constraint of a rule."""
    return next(one for one in all_constraints(Release(release)) if one.rule.id == rule)


def claiming(bundle: dict[str, Any], profile: str) -> dict[str, dict[str, Any]]:
    """Return the resources that claim a profile, by their place in the bundle, in its order."""
    if profile == BUNDLE:
        return {"Bundle": bundle}
    return {
        f"Bundle.entry[{number}].resource": entry["resource"]
        for number, entry in enumerate(bundle["entry"])
        if _PROFILE + profile in entry["resource"].get("meta", {}).get("profile", ())
    }


def broken_places(engine: str, release: str, bundle: dict[str, Any], rule: str) -> set[str]:
    """Return where in a bundle an engine finds the constraint of a rule broken."""
    constraint = constraint_of(rule, release)
    found = set()
    for where, resource in claiming(bundle, constraint.profile).items():
        [values] = paths.evaluate(engine, release, resource, [constraint.expression])
        assert values in ([True], [False]), (rule, where, values)
        if values == [False]:
            found.add(where)
    return found


def expected_places(instance: Instance, bundle: dict[str, Any], release: str) -> set[str]:
    """Return where the library's issues on the rule lie in the bundle: by the issue's path, or by what it is about."""
    constraint = constraint_of(instance.rule, release)
    places = list(claiming(bundle, constraint.profile))
    issues = [issue for issue in instance.review.issues if issue.rule == instance.rule]
    if len(places) == 1:
        return set(places) if issues else set()
    positions = [_POSITION.match(issue.path) for issue in issues]
    if constraint.rule.each:
        return {places[int(position[1])] for position in positions if position is not None}
    about = _attribute_of(constraint)
    resources = claiming(bundle, constraint.profile)
    return {place for place in places if issues and resources[place]["code"]["coding"][0]["code"] == about}


def _attribute_of(constraint: Constraint) -> str:
    """Return which Observation a constraint on the single items is about."""
    found = re.search(
        r"code = '([a-z-]+)' and system = '[^']*/CodeSystem/attribute'\)\) implies", constraint.expression
    )
    assert found is not None
    return found[1]
