"""A second reading of StructureDefinitions, without a validator: which of its lines a resource breaks.

It reads the published differentials alone: cardinality, types, fixed values and patterns, required bindings, slices and
conditions (FHIRPath by fhirpathpy), as https://hl7.org/fhir/R4/profiling.html says. What the base resource asks is the
reference validator's matter.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from functools import cache
from typing import Any, NamedTuple

import fhirpathpy
from fhirpathpy.models import models

Json = Any

_BY_URL = {"discriminator": [{"type": "value", "path": "url"}]}
MODELS = {"R4": "r4", "R4B": "r4", "R5": "r5"}


class Place(NamedTuple):
    """An element in a resource: the dict or list that holds it, the key or position there, its FHIR type's suffix."""

    holder: Json
    key: Json
    suffix: str

    @property
    def value(self) -> Json:
        return self.holder[self.key]


class Definition:
    """One StructureDefinition, read for checking."""

    def __init__(self, release: str, resource: Json, value_sets: Mapping[str, Json]) -> None:
        self.release = release
        self.id: str = resource["id"]
        self.type: str = resource["type"]
        self.url: str = resource["url"]
        self.parent: str = resource["baseDefinition"]
        self.elements = {one["id"]: one for one in resource["differential"]["element"]}
        self.value_sets = value_sets

    def places(self, root: Json, element: str) -> list[list[Place]]:
        """Return the occurrences of an element, by the occurrence of its parent that they stand in."""
        if element == self.type:
            return [[Place([root], 0, "")]]
        parent, _, step = element.rpartition(".")
        name, _, slice_name = step.partition(":")
        found = []
        for around in (place for group in self.places(root, parent) for place in group):
            inside = list(_children(around.value, name))
            if slice_name:
                inside = [one for one in inside if self.in_slice(one.value, f"{parent}.{step}")]
            found.append(inside)
        return found

    def in_slice(self, value: Json, element: str) -> bool:
        """Return whether a value is of a slice: by the values that the slicing names."""
        # Extensions within an extension are told apart by their URL, as its own definition says.
        slicing = self.elements.get(element.rpartition(":")[0], {}).get("slicing", _BY_URL)
        return all(self._matches(value, element, one["path"]) for one in slicing["discriminator"])

    def _matches(self, value: Json, element: str, path: str) -> bool:
        own = self.elements[element]
        if path == "$this":
            return contains(value, _asked(own))
        if path == "url" and "type" in own:
            return value["url"] in own["type"][0]["profile"]
        if path == "resource":
            wanted = self.elements[f"{element}.resource"]["type"][0]["code"]
            return value.get("resource", {}).get("resourceType") == wanted
        return path in value and contains(value[path], _asked(self.elements[f"{element}.{path}"]))

    def broken(
        self,
        root: Json,
        resolve: Mapping[str, str],
        elements: Iterable[str] | None = None,
        skip: Callable[[str], bool] = lambda _: False,
    ) -> list[tuple[str, str]]:
        """Return the element and the aspect of each line that a resource breaks.

        Args:
            root: The resource.
            resolve: Resource type by the reference that leads to it.
            elements: The elements to look at; all where none are named.
            skip: Whether to leave out the condition of a key.
        """
        found = []
        for element in self.elements if elements is None else elements:
            asked = self.elements[element]
            for group in self.places(root, element):
                found += [(element, aspect) for aspect in self._of_group(asked, group, resolve, skip)]
        return found

    def _of_group(
        self, asked: Json, group: list[Place], resolve: Mapping[str, str], skip: Callable[[str], bool]
    ) -> Iterable[str]:
        if len(group) < asked.get("min", 0):
            yield "given"
        if len(group) > int(asked.get("max", "9999")):
            yield "at-most"
        for place in group:
            yield from self._of_value(asked, place, resolve)
            for rule in asked.get("constraint", ()):
                if not skip(rule["key"]) and not self.holds(place.value, asked["path"], rule["expression"]):
                    yield rule["key"]

    def _of_value(self, asked: Json, place: Place, resolve: Mapping[str, str]) -> Iterable[str]:
        types = asked.get("type", [])
        if place.suffix and types and place.suffix.lower() not in {one["code"].lower() for one in types}:
            yield "kind"
            return
        targets = [target.rsplit("/", 1)[-1] for one in types for target in one.get("targetProfile", ())]
        if targets and _target(place.value, resolve) not in {*targets, None}:
            yield "kind"
        wanted = _asked(asked)
        if wanted is not None and "sliceName" not in asked and not contains(place.value, wanted):
            yield "value"
        if "binding" in asked and not self._bound(place.value, asked["binding"]["valueSet"]):
            yield "code"

    def _bound(self, value: Json, value_set: str) -> bool:
        codes = self.value_sets[value_set]
        if isinstance(value, str):
            return any(value == code for _, code in codes)
        codings = value.get("coding", []) if "coding" in value or "text" in value else [value]
        return bool(codings) and all((one.get("system"), one.get("code")) in codes for one in codings)

    def holds(self, value: Json, path: str, expression: str) -> bool:
        """Return whether a condition holds on an element; one whose answer is empty holds, as the standard says."""
        model = models[MODELS[self.release]]
        if path == self.type or "value" not in expression:
            result = _compiled(expression, MODELS[self.release])(value, {"resource": value})
        else:
            # Without the path nothing tells that the part of a resource has a choice of types.
            result = fhirpathpy.evaluate(value, {"base": path, "expression": expression}, None, model)
        return result in ([], [True])


@cache
def _compiled(expression: str, release: str) -> Any:
    return fhirpathpy.compile(expression, models[release])


def _children(value: Json, name: str) -> Iterable[Place]:
    if not isinstance(value, dict):
        return
    choice = name.removesuffix("[x]")
    for key in list(value):
        bare = key.removeprefix("_")
        if key != bare and bare in value:
            continue
        suffix = bare[len(choice) :] if name.endswith("[x]") and bare.startswith(choice) else ""
        if bare != name and not (suffix and suffix[0].isupper()):
            continue
        if isinstance(value[key], list):
            yield from (Place(value[key], position, suffix) for position in range(len(value[key])))
        else:
            yield Place(value, key, suffix)


def _asked(element: Json) -> Json:
    return next((value for name, value in element.items() if name.startswith(("fixed", "pattern"))), None)


def contains(value: Json, pattern: Json) -> bool:
    """Return whether a value has all that a pattern has."""
    if isinstance(pattern, dict):
        return isinstance(value, dict) and all(
            name in value and contains(value[name], one) for name, one in pattern.items()
        )
    if isinstance(pattern, list):
        return isinstance(value, list) and all(any(contains(one, wanted) for one in value) for wanted in pattern)
    return bool(value == pattern)


def _target(reference: Json, resolve: Mapping[str, str]) -> str | None:
    """Return the type that a reference leads to; ``None`` where nothing tells."""
    literal = reference.get("reference")
    if literal is None:
        return reference.get("type")
    if literal in resolve:
        return resolve[literal]
    if literal.startswith("urn:"):
        return None
    parts = literal.partition("?")[0].split("/")
    return parts[0] if len(parts) == 1 else parts[-2] if "_history" not in parts else parts[-4]
