"""FHIR's own definitions, read from the reference implementation's archives: searches, code systems, packages.

- ``hapi-fhir-validation-resources-r4`` and ``-r4b``: the search parameters of these releases, R4's code systems;
- ``hapi-fhir-validation-resources-r5``: three packages as they were published, ``hl7.fhir.r5.core`` 5.0.0 among them.
"""

from __future__ import annotations

import io
import json
import tarfile
import zipfile
from functools import cache
from typing import TYPE_CHECKING, Any, NamedTuple

from lxml import etree
from terminology.libraries import FHIR, archive, at_hand

from dermreport.fhir.releases import Release

if TYPE_CHECKING:
    from collections.abc import Mapping

_ARTIFACT = {release: f"hapi-fhir-validation-resources-{release.value.lower()}" for release in Release}
_definition = etree.XPath("f:definition/@value", namespaces={"f": FHIR.strip("{}")})
_PACKAGES = "org/hl7/fhir/r5/packages/"
CORE = "hl7.fhir.r5.core-5.0.0.tgz"
EXTENSIONS = "hl7.fhir.uv.extensions.r5-1.0.0.tgz"
TERMINOLOGY = "hl7.terminology-5.1.0.tgz"


class Search(NamedTuple):
    """A search parameter of the standard."""

    url: str
    kind: str


def _read(release: Release, file: str) -> bytes:
    at_hand(_ARTIFACT[release])
    with zipfile.ZipFile(archive(_ARTIFACT[release])) as jar:
        return jar.read(file)


@cache
def package(name: str) -> Mapping[str, bytes]:
    """Return the files of a published package by their names in it."""
    data = _read(Release.R5, _PACKAGES + name)
    with tarfile.open(fileobj=io.BytesIO(data), mode="r:gz") as files:
        return {member.name: files.extractfile(member).read() for member in files if member.isfile()}


@cache
def searches(release: Release) -> Mapping[tuple[str, str], Search]:
    """Return the search parameters of a release by resource type and name."""
    return {
        (base, one["code"]): Search(one["url"], one["type"])
        for one in _search_parameters(release)
        for base in one["base"]
    }


def _search_parameters(release: Release) -> list[dict[str, Any]]:
    if release is Release.R5:
        return [json.loads(text) for name, text in package(CORE).items() if name.startswith("package/SearchParameter-")]
    home = f"org/hl7/fhir/{release.value.lower()}/model/sp/search-parameters"
    if release is Release.R4:
        return [entry["resource"] for entry in json.loads(_read(release, f"{home}.json"))["entry"]]
    found = etree.fromstring(_read(release, f"{home}.xml")).iter(f"{FHIR}SearchParameter")
    return [
        {
            "base": [base.get("value") for base in one.iterfind(f"{FHIR}base")],
            **{name: one.find(FHIR + name).get("value") for name in ("code", "url", "type")},
        }
        for one in found
    ]


@cache
def r4_code_system(url: str) -> Mapping[str, str]:
    """Return the definitions of one code system of R4 by code."""
    root = etree.fromstring(_read(Release.R4, "org/hl7/fhir/r4/model/valueset/valuesets.xml"))
    for system in root.iter(f"{FHIR}CodeSystem"):
        if system.find(f"{FHIR}url").get("value") == url:
            found = system.iter(f"{FHIR}concept")
            return {one.find(f"{FHIR}code").get("value"): "".join(_definition(one)) for one in found}
    raise LookupError(url)


@cache
def r5_code_system(identity: str) -> Mapping[str, str]:
    """Return the definitions of one code system of R5 by code."""

    def below(concepts: list[dict[str, Any]]) -> Mapping[str, str]:
        own = {one["code"]: one["definition"] for one in concepts}
        for one in concepts:
            own |= below(one.get("concept", []))
        return own

    return below(json.loads(package(CORE)[f"package/CodeSystem-{identity}.json"])["concept"])
