"""Every constraint and required binding of what a plugin may make is looked at, and is one: the standard's definitions
say which there are, and the reference validator finds what the library finds.
"""

from __future__ import annotations

import json
import tarfile
from collections.abc import Iterator
from functools import cache
from importlib import import_module
from io import BytesIO
from pathlib import Path
from typing import Any, NamedTuple
from zipfile import ZipFile

import pytest
from conformance import engine
from conformance.definitions import definitions
from lxml import etree
from plugin_resource_cases import BINDING, CASES, REFERENCE

from dermreport.fhir.plugin_constraints import CODES, CONSTRAINTS, DATA_TYPES
from dermreport.fhir.plugin_resources import MAY_BE
from dermreport.fhir.read.definitions import Class, elements
from dermreport.fhir.releases import Release, shape_of

pytestmark = pytest.mark.skipif(not engine.asked_for(), reason=engine.HOW)

RELEASES = ("R4", "R4B", "R5")
LOOKED_AT = {*MAY_BE, *DATA_TYPES, "DomainResource", "Element"}
#: Constraints that can't be broken by what reaches the table, and why.
ELSEWHERE = {
    "dom-2": "nothing is contained",
    "dom-3": "nothing is contained",
    "dom-4": "nothing is contained",
    "dom-5": "nothing is contained",
    "ele-1": "an object without elements is refused when it is put into the release",
    "txt-1": "a narrative is cleaned by an allow-list",
    "txt-2": "a narrative without text is refused by it",
    "obs-9": "a specimen is none of the report's resources, so no group that it leads to can be in it",
    "sqty-1": "a row of its own: it is on elements of a class, and not on a class",
}
#: Bindings that are held elsewhere or to a form, and why.
BOUND_ELSEWHERE = {
    "Attachment.contentType": "held to the form",
    "Attachment.language": "held to the form",
    "Observation.status": "the statuses that a plugin may give",
}


_FOLLOWS = {REFERENCE: "it doesn't ask for the type of what it can't follow"}
#: What the validator lets pass in a release, and why.
_BOUNDARIES = "the release asks by boundaries of a date or a number, which the engine takes as holding"
LETS_PASS: dict[str, dict[str, str]] = {
    "R4": _FOLLOWS,
    "R4B": _FOLLOWS,
    "R5": {**_FOLLOWS, "per-1": _BOUNDARIES, "rng-2": _BOUNDARIES},
}


class Said(NamedTuple):
    """What the standard's definitions say: constraints that are errors, and required bindings of codes."""

    constraints: dict[str, set[str]]
    bindings: dict[str, str]
    codes: dict[str, set[str]]


def _jar(release: str) -> ZipFile:
    engine.build()
    (path,) = (engine.PROJECT / "target" / "lib").glob(f"hapi-fhir-validation-resources-{release.lower()}-*.jar")
    return ZipFile(path)


FHIR = {"f": "http://hl7.org/fhir"}


def _value(parent: Any, path: str) -> str | None:
    found = parent.find(path, FHIR)
    return None if found is None else str(found.get("value"))


def _xml(release: str) -> Iterator[tuple[str, Any]]:
    """Yield each resource of a release's definitions in XML, by its type."""
    with _jar(release) as jar:
        for name in jar.namelist():
            if name.endswith(("profiles-resources.xml", "profiles-types.xml", "valuesets.xml")):
                for one in etree.parse(jar.open(name)).iterfind(".//f:resource/*", FHIR):
                    yield etree.QName(one).localname, one


def _from_xml(release: str) -> Said:
    said = Said({}, {}, {})
    systems: dict[str, set[str]] = {}
    for kind, one in _xml(release):
        if kind == "CodeSystem":
            codes = {str(code.get("value")) for code in one.iterfind(".//f:concept/f:code", FHIR)}
            systems[_value(one, "f:valueSet") or ""] = codes
        if kind != "StructureDefinition" or _value(one, "f:type") not in LOOKED_AT:
            continue
        if _value(one, "f:derivation") == "constraint":
            continue
        for element in one.iterfind("f:differential/f:element", FHIR):
            for rule in element.iterfind("f:constraint", FHIR):
                if _value(rule, "f:severity") == "error":
                    said.constraints.setdefault(str(_value(rule, "f:key")), set()).add(str(element.get("id")))
            bound = element.find("f:binding", FHIR)
            strength = None if bound is None else _value(bound, "f:strength")
            if strength == "required" and _value(element, "f:type/f:code") == "code":
                said.bindings[str(element.get("id"))] = str(_value(bound, "f:valueSet")).partition("|")[0]
    said.codes.update({one: systems[one] for one in said.bindings.values() if one in systems})
    return said


def _packaged(packed: bytes) -> Iterator[dict[str, Any]]:
    """Yield the definitions and code systems of a package."""
    with tarfile.open(fileobj=BytesIO(packed)) as package:
        for member in package.getmembers():
            name = Path(member.name).name
            if name.startswith(("StructureDefinition-", "CodeSystem-")) and name.endswith(".json"):
                file = package.extractfile(member)
                assert file is not None
                yield json.load(file)


def _from_package(release: str) -> Said:
    said = Said({}, {}, {})
    systems: dict[str, set[str]] = {}
    with _jar(release) as jar:
        (name,) = (one for one in jar.namelist() if f"hl7.fhir.{release.lower()}.core" in one)
        packed = jar.read(name)
    for one in _packaged(packed):
        if one["resourceType"] == "CodeSystem":
            systems[one.get("valueSet", "")] = {code["code"] for code in one.get("concept", ())}
        elif one["type"] in LOOKED_AT and one.get("derivation") != "constraint":
            for element in one["differential"]["element"]:
                for rule in element.get("constraint", ()):
                    if rule["severity"] == "error":
                        said.constraints.setdefault(rule["key"], set()).add(element["id"])
                bound = element.get("binding", {})
                if bound.get("strength") == "required" and element["type"][0]["code"] == "code":
                    said.bindings[element["id"]] = bound["valueSet"].partition("|")[0]
    said.codes.update({one: systems[one] for one in said.bindings.values() if one in systems})
    return said


@cache
def _said(release: str) -> Said:
    return _from_package(release) if release == "R5" else _from_xml(release)


@pytest.mark.parametrize("release", RELEASES)
def test_every_constraint_is_in_the_table_or_cannot_be_broken(release: str) -> None:
    found = _said(release).constraints
    assert len(found) > 15
    assert {key: on for key, on in found.items() if key not in {one.key for one in CONSTRAINTS} | set(ELSEWHERE)} == {}


def test_every_row_is_a_constraint_of_the_standard_and_has_a_case() -> None:
    keys = {one.key for one in CONSTRAINTS}
    assert keys - {key for release in RELEASES for key in _said(release).constraints} == set()
    assert keys - {one.breaks for one in CASES} == set()


def _class(path: str, release: str) -> Class:
    """Return the class of the object at an element's path but its last name."""
    first, *names = path.split(".")[:-1]
    found = import_module(shape_of(Release(release)).typed_package).get_fhir_model_class(first)
    for name in names:
        found = elements(found)[name].holds
    return found


@pytest.mark.parametrize("release", RELEASES)
def test_every_required_binding_is_held(release: str) -> None:
    bindings = _said(release).bindings
    assert len(bindings) > 10
    codes = _said(release).codes
    for path, value_set in bindings.items():
        owner, element = _class(path, release), path.rpartition(".")[2]
        if path in BOUND_ELSEWHERE or element in {"id", "docStatus"} or path.endswith("relatesTo.code"):
            continue
        listed = CODES.get((owner.__name__, element))
        fields = {(field.alias or name): field for name, field in owner.model_fields.items()}
        known = listed or set((fields[element].json_schema_extra or {}).get("enum_values", ()))
        assert known, path
        assert known <= codes.get(value_set, known), path
        if value_set in codes and release != "R5":
            assert known == codes[value_set], path


def _folder(tmp_path: Path, release: str) -> list[tuple[str, Path, Path]]:
    made = []
    for number, case in enumerate(CASES):
        if release in case.releases:
            good, bad = (tmp_path / f"{number}-{name}.json" for name in ("good", "bad"))
            good.write_text(json.dumps(case.good), encoding="utf-8")
            bad.write_text(json.dumps(case.bad), encoding="utf-8")
            made.append((case.breaks, good, bad))
    return made


@pytest.mark.parametrize("release", RELEASES)
def test_the_validator_finds_what_is_found(release: str, tmp_path: Path) -> None:
    made = _folder(tmp_path, release)
    answers = engine.validate(release, [file for _, *both in made for file in both], definitions(release))
    errors = {
        path: [one["message"] for one in messages if one["severity"] in {"error", "fatal"}]
        for path, messages in answers.items()
    }
    passed = {breaks for breaks, _, bad in made if not _without_the_extension(errors[str(bad)])}
    assert {good for _, good, _ in made if _without_the_extension(errors[str(good)])} == set()
    assert passed == set(LETS_PASS.get(release, {})), passed
    for breaks, _, bad in made:
        if breaks not in {BINDING, *passed}:
            assert any(breaks in one for one in errors[str(bad)]), (breaks, errors[str(bad)])


def _without_the_extension(messages: list[str]) -> list[str]:
    """Return what is said besides that nobody knows the extension."""
    return [one for one in messages if "https://lakeside.example/extension" not in one]
