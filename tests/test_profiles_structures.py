"""The profiles: what claims them is defined, what they name exists, what is sent keeps them, and nothing more is sent.

Sources: the standard's rules on profiling (https://hl7.org/fhir/R4/profiling.html, https://hl7.org/fhir/R5/profiling.html)
and its definitions of resources as ``fhir.resources`` carries them. The reference validator sees the same in
``tests/conformance``.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from typing import Any

import pytest
import requirement_cases as made

import dermreport
from dermreport.fhir.extensions import Extension
from dermreport.fhir.ids import Thing
from dermreport.fhir.releases import Release
from dermreport.profiles.structures.example_resources import example_resources
from dermreport.profiles.structures.extension_definitions import extension_definitions
from dermreport.profiles.structures.structure_definitions import structure_definitions
from dermreport.profiles.structures.tables import profiles
from dermreport.profiles.terminology.value_sets import value_sets
from dermreport.wording.items import SINGLE

RELEASES = tuple(Release)
BASE = "https://dermreport.example/fhir"
#: People are the host's, and a plugin's resources are its own: no profile of ours asks anything of them.
WITHOUT_PROFILE = {Thing.PATIENT, Thing.EXAMINER, Thing.PLUGIN}


def lines(release: Release) -> Iterator[tuple[str, dict[str, Any]]]:
    for one in (*structure_definitions(release), *extension_definitions(release)):
        for element in one["differential"]["element"]:
            yield one["id"], element


@pytest.mark.parametrize("release", RELEASES)
def test_each_thing_that_is_claimed_has_a_profile(release: Release) -> None:
    assert {one.name for one in profiles(release)} == {thing.value for thing in Thing} - {
        thing.value for thing in WITHOUT_PROFILE
    }


@pytest.mark.parametrize("release", RELEASES)
def test_each_extension_has_a_definition(release: Release) -> None:
    only_in = {Extension.REPORT_LESION: {"R5"}, Extension.LETTER_REPORT: {"R5"}, Extension.SIZE: {"R4", "R4B"}}
    expected = {one.value for one in Extension if release.value in only_in.get(one, {release.value})}
    assert {one["id"] for one in extension_definitions(release)} == expected


@pytest.mark.parametrize("release", RELEASES)
def test_every_value_set_that_is_bound_is_published(release: Release) -> None:
    published = {one["url"] for one in value_sets(release)}
    bound = {element["binding"]["valueSet"] for _, element in lines(release) if "binding" in element}
    assert len(bound) > 30
    assert bound - published == set()


@pytest.mark.parametrize("release", RELEASES)
def test_keys_are_of_the_standard_and_unique_in_a_profile(release: Release) -> None:
    keys: dict[tuple[str, str], list[str]] = {}
    for profile, element in lines(release):
        for constraint in element.get("constraint", ()):
            assert re.fullmatch(r"[A-Za-z0-9\-.]{1,64}", constraint["key"])
            keys.setdefault((profile, constraint["key"]), []).append(constraint["expression"])
    # One condition on several elements has one key and one text.
    assert [key for key, texts in keys.items() if len(set(texts)) > 1] == []


@pytest.mark.parametrize("release", RELEASES)
def test_each_single_item_has_its_condition(release: Release) -> None:
    root = next(one for one in structure_definitions(release) if one["id"] == "dermoscopy-statement")
    keys = {one["key"] for one in root["differential"]["element"][0]["constraint"]}
    assert {f"statement-{item.key}" for item in SINGLE} <= keys
    assert len(SINGLE) == len({item.key for item in SINGLE})


@pytest.mark.parametrize("release", RELEASES)
def test_paths_are_elements_of_the_standard(release: Release) -> None:
    """``fhir.resources`` knows each resource's elements; R4 and R4B have the same in what is sent."""
    package = "fhir.resources" if release is Release.R5 else "fhir.resources.R4B"
    unknown = []
    for one in structure_definitions(release):
        kind = one["type"]
        fields = _fields(package, kind)
        for element in one["differential"]["element"][1:]:
            step = element["path"].split(".")[1]
            stem = step.removesuffix("[x]")
            if step not in fields and not any(name.startswith(stem) and step != stem for name in fields):
                # R4's own element that R4B's class has too, or a mistake.
                unknown.append((one["id"], element["path"]))
    assert unknown == []


def _fields(package: str, kind: str) -> set[str]:
    from importlib import import_module

    model = getattr(import_module(f"{package}.{kind.lower()}"), kind)
    return {field.alias or name for name, field in model.model_fields.items()}


@pytest.mark.parametrize("release", RELEASES)
def test_what_must_be_supported_is_sent(release: Release) -> None:
    """The full entry has each element that a sender must fill: one that is never sent would promise nothing."""
    sent: set[tuple[str, str]] = set()
    for url, definition in made.definitions(release.value).items():
        for case in made.cases(release.value).get(url, ()):
            root = case.within(made.bundles(release.value)[case.bundle])
            sent |= {(definition.id, one) for one in definition.elements if any(definition.places(root, one))}
    asked = {(profile, element["id"]) for profile, element in lines(release) if element.get("mustSupport")}
    assert asked - sent == set()


@pytest.mark.parametrize("release", RELEASES)
def test_what_is_sent_is_named(release: Release) -> None:
    """Each element that a report has, and that its resource doesn't have by itself, is a line of its profile."""
    unnamed = set()
    for url, definition in made.definitions(release.value).items():
        named = {one.split(".")[1].partition(":")[0].removesuffix("[x]") for one in definition.elements if "." in one}
        for case in made.cases(release.value).get(url, ()):
            root = case.within(made.bundles(release.value)[case.bundle])
            if "resourceType" in root:
                names = {name.removeprefix("_") for name in root} - {"resourceType", "id", "meta", "contained"}
                unnamed |= {(definition.id, name) for name in names if not any(name.startswith(one) for one in named)}
    assert unnamed == set()


def test_examples_stand_for_each_profile() -> None:
    release = Release.R4
    found = example_resources(_reports(), release)
    assert set(found) == {one.name for one in profiles(release)}
    text = json.dumps({name: one for name, one in found.items() if one["resourceType"] != "Bundle"}, default=str)
    assert "urn:uuid:" not in text


def _reports() -> list[list[dermreport.Review]]:
    return [made.reviews_of(path) for path in sorted(made.EXAMPLE_FOLDER.glob("*.json"))]
