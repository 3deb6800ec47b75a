"""The packages: their form, the same bytes at every making, and that what is committed is what the tables give.

Outside facts: FHIR's description of packages (https://hl7.org/fhir/R5/packages.html) and three packages as they were
published, read from the reference implementation's archive. That a real server installs a package is shown under
``tests/conformance``.
"""

from __future__ import annotations

import gzip
import hashlib
import io
import json
import os
import re
import subprocess
import sys
import tarfile
from collections import Counter
from functools import cache
from pathlib import Path

import profiles_output
import pytest
from terminology import definitions

from dermreport import cli
from dermreport.fhir.releases import Release
from dermreport.profiles.artefacts import artefacts, file_name
from dermreport.profiles.package import index, manifest, package, package_file, package_name
from dermreport.publication import CANONICAL_BASE, PUBLISHED

RELEASES = list(Release)
PUBLISHED_PACKAGES = (definitions.CORE, definitions.EXTENSIONS, definitions.TERMINOLOGY)
#: https://semver.org, 2.0.0, without the rarer endings.
SEMANTIC_VERSION = re.compile(r"(0|[1-9]\d*)\.(0|[1-9]\d*)\.(0|[1-9]\d*)(-[0-9A-Za-z.-]+)?")
#: Two or more parts, each a lower-case letter and then lower-case letters, digits and hyphens (packages.html, name).
PACKAGE_NAME = re.compile(r"[a-z][a-z0-9-]*(\.[a-z][a-z0-9-]*)+")


@cache
def packed(release: Release) -> bytes:
    return package(release)


@cache
def contents(release: Release) -> dict[str, bytes]:
    with tarfile.open(fileobj=io.BytesIO(packed(release)), mode="r:gz") as archive:
        return {member.name: archive.extractfile(member).read() for member in archive}


# -- what is committed -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("release", RELEASES)
def test_the_committed_files_are_what_the_tables_give(release: Release) -> None:
    """``python tests/profiles_output.py`` writes them anew."""
    made, there = profiles_output.files(release), profiles_output.written(profiles_output.folder(release))
    assert made.keys() == there.keys()
    assert [name for name, text in made.items() if there[name] != text] == []


@pytest.mark.parametrize("release", RELEASES)
def test_each_artefact_has_an_address_of_its_own_and_refers_only_to_what_is_there(release: Release) -> None:
    found = artefacts(release)
    addresses = Counter(one["url"] for one in found if "url" in one)
    assert set(addresses.values()) == {1}
    # Addresses of a server, of a namespace or of a schema aren't artefacts.
    kinds = "StructureDefinition|ValueSet|CodeSystem|SearchParameter|Questionnaire"
    address = rf"{re.escape(CANONICAL_BASE)}/(?:{kinds})/[A-Za-z0-9.-]+"
    named = set(re.findall(rf'"({address})[#|"]', json.dumps(found)))
    assert named - set(addresses) == set()
    assert len(named) > 100


# -- the form of a package ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize("release", RELEASES)
def test_the_manifest_has_what_the_standard_asks_and_nothing_that_no_published_package_has(release: Release) -> None:
    made = json.loads(contents(release)["package/package.json"])
    assert made == manifest(release)
    # Required by packages.html; a server finds the package by these.
    assert {"name", "version", "description", "author", "fhirVersions", "dependencies", "license", "canonical"} <= set(
        made
    )
    assert PACKAGE_NAME.fullmatch(made["name"])
    assert SEMANTIC_VERSION.fullmatch(made["version"])
    assert made["canonical"] == CANONICAL_BASE
    published = [json.loads(definitions.package(one)["package/package.json"]) for one in PUBLISHED_PACKAGES]
    for one in published:
        assert PACKAGE_NAME.fullmatch(one["name"])
    assert set(made) <= set().union(*published)
    for name, value in made.items():
        assert {type(value)} == {type(one[name]) for one in published if name in one}, name


def test_the_version_of_the_standard_is_the_one_that_published_packages_name() -> None:
    core = json.loads(definitions.package(definitions.CORE)["package/package.json"])
    terminology = json.loads(definitions.package(definitions.TERMINOLOGY)["package/package.json"])
    assert manifest(Release.R5)["fhirVersions"] == core["fhirVersions"]
    assert manifest(Release.R5)["dependencies"] == {core["name"]: core["version"]}
    assert manifest(Release.R4)["dependencies"] == terminology["dependencies"]
    assert manifest(Release.R4)["fhirVersions"] == terminology["fhirVersions"]
    # Of R4B no published package is at hand; the code list of versions has it.
    assert manifest(Release.R4B)["fhirVersions"][0] in definitions.r5_code_system("FHIR-version")


@pytest.mark.parametrize("name", PUBLISHED_PACKAGES)
def test_our_index_tells_of_published_resources_what_their_own_index_tells(name: str) -> None:
    files = definitions.package(name)
    theirs = {one["filename"]: one for one in json.loads(files["package/.index.json"])["files"]}
    checked = 0
    for file, entry in theirs.items():
        resource = json.loads(files[f"package/{file}"])
        ours = index([resource])["files"][0]
        for key in ours.keys() & entry.keys() - {"filename"}:
            assert ours[key] == entry[key], (file, key)
        # An operation's type is a boolean, which that tool writes as a text.
        assert entry.keys() - ours.keys() <= ({"type"} if resource["resourceType"] == "OperationDefinition" else set())
        checked += 1
    assert checked > 300


@pytest.mark.parametrize("release", RELEASES)
def test_the_index_lists_each_resource_once_and_nothing_else(release: Release) -> None:
    files = contents(release)
    listed = json.loads(files["package/.index.json"])
    assert listed["index-version"] == 2
    resources = {name for name in files if re.fullmatch(r"package/[A-Z][A-Za-z]+-[A-Za-z0-9.-]+\.json", name)}
    assert Counter(f"package/{one['filename']}" for one in listed["files"]) == Counter(resources)
    assert set(files) - resources == {
        "package/package.json",
        "package/.index.json",
        "package/other/LICENSE",
        "package/other/NOTICES.md",
    }
    for one in listed["files"]:
        resource = json.loads(files[f"package/{one['filename']}"])
        assert {name: resource.get(name) for name in one if name != "filename"} == {
            name: value for name, value in one.items() if name != "filename"
        }


@pytest.mark.parametrize("release", RELEASES)
def test_a_package_holds_every_artefact_the_form_too_and_the_owners_notices(release: Release) -> None:
    files = contents(release)
    for one in artefacts(release):
        assert json.loads(files[f"package/{file_name(one)}"]) == json.loads(json.dumps(one, default=float))
    kinds = {json.loads(text).get("resourceType") for name, text in files.items() if name.endswith(".json")}
    assert {
        "CapabilityStatement",
        "CodeSystem",
        "ConceptMap",
        "NamingSystem",
        "Questionnaire",
        "SearchParameter",
        "StructureDefinition",
        "ValueSet",
    } <= kinds
    assert "SNOMED International" in files["package/other/NOTICES.md"].decode()


# -- the same bytes ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("release", RELEASES)
def test_nothing_in_the_archive_depends_on_who_makes_it_when_or_where(release: Release) -> None:
    data = packed(release)
    # RFC 1952, 2.3: no name, no time.
    assert data[:4] == b"\x1f\x8b\x08\x00"
    assert data[4:8] == b"\x00\x00\x00\x00"
    with tarfile.open(fileobj=io.BytesIO(gzip.decompress(data))) as archive:
        members = archive.getmembers()
    assert {(one.uid, one.gid, one.uname, one.gname, one.mode, one.type) for one in members} == {
        (0, 0, "", "", 0o644, tarfile.REGTYPE)
    }
    assert len({one.mtime for one in members}) == 1
    names = [one.name for one in members]
    assert names[0] == "package/package.json"
    resources = [name for name in names if re.match(r"package/[A-Z]", name)]
    assert resources == sorted(resources)
    assert json.loads(contents(release)["package/package.json"])["date"].startswith(PUBLISHED.replace("-", ""))


def test_two_makings_in_different_surroundings_give_the_same_bytes(tmp_path: Path) -> None:
    hashes = []
    for number, (seed, zone, mask) in enumerate((("1", "UTC", 0o022), ("2", "Pacific/Apia", 0o077))):
        folder = tmp_path / str(number) / "packages"
        folder.parent.mkdir()
        command = [sys.executable, "-m", "dermreport", "profiles", "pack", "-o", "packages"]
        subprocess.run(
            command,
            check=True,
            capture_output=True,
            cwd=folder.parent,
            umask=mask,
            env={**os.environ, "PYTHONHASHSEED": seed, "TZ": zone},
        )
        hashes.append({one.name: hashlib.sha256(one.read_bytes()).hexdigest() for one in sorted(folder.iterdir())})
    assert hashes[0] == hashes[1]
    assert hashes[0].keys() == {package_file(release) for release in Release}
    assert hashes[0] == {package_file(one): hashlib.sha256(packed(one)).hexdigest() for one in Release}


# -- on the command line -----------------------------------------------------------------------------------------------


def test_pack_writes_the_releases_that_were_asked_for_and_says_where(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "new" / "packages"
    assert cli.main(["profiles", "pack", "--release", "R4B", "-o", str(folder)]) == cli.DONE
    path = folder / "dermreport.dermoscopy.r4b-1.0.0.tgz"
    assert capsys.readouterr().out == f"{path}\n"
    assert list(folder.iterdir()) == [path]
    assert path.read_bytes() == packed(Release.R4B)


def test_pack_of_an_unknown_release_is_a_wrong_call(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        cli.main(["profiles", "pack", "--release", "R3", "-o", str(tmp_path)])
    assert ended.value.code == cli.WRONG_CALL
    assert "R3" in capsys.readouterr().err


def test_pack_into_a_place_that_is_no_folder_ends_with_3(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    place = tmp_path / "file"
    place.write_text("", encoding="utf-8")
    assert cli.main(["profiles", "pack", "--release", "R4", "-o", str(place)]) == cli.NOT_DONE
    assert str(place) in capsys.readouterr().err


def test_packages_have_names_of_their_own() -> None:
    names = [package_name(release) for release in Release]
    assert len(set(names)) == len(names)
    assert all(package_file(one).startswith(package_name(one)) for one in Release)


@pytest.mark.parametrize("release", RELEASES)
def test_nothing_of_the_machine_is_published(release: Release) -> None:
    text = b"\n".join(contents(release).values()).decode()
    assert str(Path(__file__).parent.parent) not in text
    assert str(Path.home()) not in text
