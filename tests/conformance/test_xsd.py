"""Every example's XML against the official schema, as the engine's own jars hold it: that of R4 serves R4B too.

The schema finds what the reference validator forgives: an element out of order, an attribute that isn't one.
"""

from __future__ import annotations

import io
import tarfile
import zipfile
from functools import cache
from pathlib import Path

import pytest
from conformance import engine
from conformance.example_bundles import EXAMPLES, RELEASES, bundles
from lxml import etree

from dermreport.settings import Settings

_FILES = ("fhir-single.xsd", "fhir-xhtml.xsd", "xml.xsd")


def _definitions(release: str) -> zipfile.ZipFile:
    (jar,) = (engine.PROJECT / "target" / "lib").glob(f"hapi-fhir-validation-resources-{release.lower()}-*.jar")
    return zipfile.ZipFile(jar)


def _r4_files() -> dict[str, bytes]:
    with _definitions("R4") as jar:
        return {name: jar.read(f"org/hl7/fhir/r4/model/schema/{name}") for name in _FILES}


def _r5_files() -> dict[str, bytes]:
    with _definitions("R5") as jar:
        content = jar.read("org/hl7/fhir/r5/packages/hl7.fhir.r5.core-5.0.0.tgz")
    with tarfile.open(fileobj=io.BytesIO(content)) as package:
        members = {Path(one.name).name: one for one in package if one.name.startswith("package/xml/")}
        return {name: package.extractfile(members[name]).read() for name in _FILES}  # type: ignore[union-attr] # files


@cache
def schema(release: str) -> etree.XMLSchema:
    """Return the schema of a release; that of R4 serves R4B, whose own the jars don't hold."""
    engine.build()
    files = _r5_files() if release == "R5" else _r4_files()

    class Near(etree.Resolver):
        """Finds what the schema includes among the files at hand, and nothing anywhere else."""

        def resolve(self, url: str, _public: str, context: object) -> object:
            return self.resolve_string(files[Path(url).name], context)

    parser = etree.XMLParser(no_network=True)
    parser.resolvers.add(Near())
    return etree.XMLSchema(etree.fromstring(files[_FILES[0]], parser))


@pytest.mark.parametrize("release", RELEASES)
def test_every_example_passes_the_schema(release: str) -> None:
    wrong = []
    seen = 0
    for example in EXAMPLES:
        for kind, bundle in bundles(example, release, Settings(claim_profiles=True)):
            checked = schema(release)
            checked.validate(etree.fromstring(bundle.to_xml().encode()))
            wrong += [f"{example.stem}.{kind}: {one.line}: {one.message}" for one in checked.error_log]
            seen += 1
    assert seen >= len(EXAMPLES) * 2
    assert wrong == []


@pytest.mark.parametrize("release", RELEASES)
def test_the_schema_finds_an_element_out_of_order(release: str) -> None:
    _, bundle = next(bundles(EXAMPLES[0], release))
    root = etree.fromstring(bundle.to_xml().encode())
    (report,) = root.iterfind(".//{*}DiagnosticReport")
    status = report.find("{*}status")
    assert schema(release).validate(root)
    report.append(status)
    assert not schema(release).validate(root)
