"""The profiles as StructureDefinitions: differentials, made from the tables.

An element's line becomes an ElementDefinition (https://hl7.org/fhir/R4/elementdefinition.html); the rules of the
library join at the root of each profile, keyed by their ids.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final, TypeVar

from dermreport.fhir.canonical import canonical, head
from dermreport.fhir.releases import Release, shape_of
from dermreport.profiles.releases import FHIR_VERSION
from dermreport.profiles.structures.element import Element, Invariant, Profile, Slicing
from dermreport.profiles.structures.tables import profile_id, profile_url, profiles

if TYPE_CHECKING:
    from collections.abc import Iterable

_Given = TypeVar("_Given")
#: What the standard leaves to each set of profiles: https://hl7.org/fhir/R4/profiling.html#mustsupport.
_MUST_SUPPORT: Final = (
    "Must support means: who sends and has the content writes the element; who receives keeps it and hands it out as "
    "it came."
)
_BASE: Final = "http://hl7.org/fhir/StructureDefinition/"


def structure_definitions(release: Release) -> list[dict[str, Any]]:
    """Return the profiles of a release, sorted by id."""
    return [_structure_definition(one, release) for one in profiles(release)]


def _structure_definition(profile: Profile, release: Release) -> dict[str, Any]:
    parent = profile_url(profile.parent) if profile.parent else _BASE + profile.resource
    return head(
        "StructureDefinition",
        profile_id(profile.name),
        profile.title,
        profile.description,
        {
            "fhirVersion": FHIR_VERSION[release],
            "kind": "resource",
            "abstract": False,
            "type": profile.resource,
            "baseDefinition": parent,
            "derivation": "constraint",
            "differential": {"element": differential(profile, release)},
        },
    )


_OF_BUNDLE: Final = ("identifier", "type", "timestamp", "entry")
#: The standard's order within elements, as far as the tables name any; no two of them contradict it.
_WITHIN: Final = (
    *("extension", "fullUrl", "structure", "laterality", "contentType", "language", "data", "url", "size", "hash"),
    *("title", "creation", "encounter", "related"),
    *("type", "role", "code", "concept", "coding", "system", "text", "entry", "resource", "action", "content"),
    *("content[x]", "attachment", "value[x]", "dataAbsentReason"),
)


def _order(resource: str, release: Release) -> tuple[str, ...]:
    return _OF_BUNDLE if resource == "Bundle" else shape_of(release).orders[resource]


def differential(profile: Profile, release: Release) -> list[dict[str, Any]]:
    """Return the ElementDefinitions of a profile, the root first, in the standard's order."""
    by_path: dict[str, list[Element]] = {}
    for line in profile.lines(release):
        by_path.setdefault(line.path, []).append(line)
    order = _order(profile.resource, release)
    paths = sorted((path for path in by_path if path), key=lambda path: _position(path, order, list(by_path)))
    root = _root(profile, by_path.get("", []), release)
    return [root, *(_definition(profile.resource, path, by_path[path], release) for path in paths)]


def _position(path: str, order: tuple[str, ...], written: list[str]) -> tuple[tuple[int, int], ...]:
    """Return where an element stands: by its name at each level, an element before its slices, those as written."""
    steps = path.split(".")
    found = []
    for depth, step in enumerate(steps):
        name, _, named = step.partition(":")
        first = _first(name, order) if depth == 0 else _WITHIN.index(name)
        so_far = ".".join(steps[: depth + 1])
        sliced = (
            1 + next(i for i, one in enumerate(written) if one == so_far or one.startswith(f"{so_far}."))
            if named
            else 0
        )
        found.append((first, sliced))
    return tuple(found)


def _first(name: str, order: tuple[str, ...]) -> int:
    """Return the position of an element of the resource; a choice stands where its first type stands."""
    if not name.endswith("[x]"):
        return order.index(name)
    stem = name.removesuffix("[x]")
    return next(i for i, one in enumerate(order) if one.startswith(stem) and one[len(stem) :][:1].isupper())


def _root(profile: Profile, lines: list[Element], release: Release) -> dict[str, Any]:
    made: dict[str, Any] = {
        "id": profile.resource,
        "path": profile.resource,
        "short": profile.title,
        "definition": profile.description,
        "comment": _MUST_SUPPORT,
    }
    conditions = [constraint(rule) for line in lines for rule in line.rules]
    conditions += rule_constraints(profile.name, release)
    if conditions:
        made["constraint"] = conditions
    return made


def rule_constraints(name: str, release: Release) -> list[dict[str, Any]]:
    """Return the conditions that the rules of the library give for the root of a profile."""
    from dermreport.profiles.constraints.printed import constraints  # noqa: PLC0415 - loaded on first use

    return constraints(profile_id(name), release)


def constraint(rule: Invariant) -> dict[str, Any]:
    """Return a condition as the standard has it."""
    return {"key": rule.key, "severity": "error", "human": rule.human, "expression": rule.expression}


def _definition(resource: str, path: str, lines: list[Element], release: Release) -> dict[str, Any]:
    """Return one ElementDefinition, in the standard's order; what is ``None`` is left out."""
    name = lines[0].slice_name
    slicing = _first_of(line.slicing for line in lines)
    value_set = _first_of(line.value_set for line in lines)
    high = _first_of(None if line.high is None else str(line.high) for line in lines)
    supported = any(line.supported for line in lines) and high != "0"
    made = {
        "id": f"{resource}.{path}",
        "path": f"{resource}.{_without_slices(path)}",
        "sliceName": name or None,
        "slicing": None if slicing is None else _slicing(slicing, release),
        "short": _first_of(line.means for line in lines),
        # What an element asks at least isn't what each of its slices asks.
        "min": max((line.low for line in lines if line.low is not None), default=0 if name else None),
        "max": high,
        "type": [one for line in lines for one in _types(line)] or None,
        **_fixed(lines),
        "constraint": [constraint(rule) for line in lines for rule in line.rules] or None,
        "mustSupport": supported or None,
        "binding": None if value_set is None else _required(value_set),
    }
    return {key: value for key, value in made.items() if value is not None}


def _first_of(given: Iterable[_Given | None]) -> _Given | None:
    """Return the first that is given and not empty."""
    return next((one for one in given if one), None)


def _fixed(lines: list[Element]) -> dict[str, Any]:
    return {
        f"{line.fixed.element}{line.fixed.kind[0].upper()}{line.fixed.kind[1:]}": line.fixed.value
        for line in lines
        if line.fixed is not None
    }


def _required(value_set: str) -> dict[str, str]:
    return {"strength": "required", "valueSet": canonical("ValueSet", value_set)}


def _without_slices(path: str) -> str:
    return ".".join(step.partition(":")[0] for step in path.split("."))


def _slicing(slicing: Slicing, release: Release) -> dict[str, Any]:
    """Return a slicing; R5 has ``value`` for what R4 calls ``pattern``."""
    by = "value" if slicing.by == "pattern" and release is Release.R5 else slicing.by
    return {"discriminator": [{"type": by, "path": slicing.path}], "ordered": False, "rules": "open"}


def _types(line: Element) -> list[dict[str, Any]]:
    if line.targets:
        return [{"code": "Reference", "targetProfile": [_BASE + target for target in line.targets]}]
    if line.profiles:
        return [{"code": line.types[0] if line.types else "Extension", "profile": list(line.profiles)}]
    return [{"code": one} for one in line.types]
