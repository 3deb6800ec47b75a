"""FHIR packages: one archive for each release, the same bytes at every making, from the tables alone.

The form is that of https://hl7.org/fhir/R5/packages.html: a gzipped tar with a folder ``package`` that holds
``package.json``, ``.index.json`` and the resources. Times, owners and order in it are fixed. The archive within is the
same everywhere; the compressed bytes are the same wherever the same version of zlib packs it.
"""

from __future__ import annotations

import gzip
import io
import tarfile
from datetime import UTC, datetime
from importlib.resources import files
from typing import TYPE_CHECKING, Any, Final

from dermreport.profiles.artefacts import artefacts, file_name, file_text, json_text
from dermreport.profiles.releases import CORE_PACKAGE, FHIR_VERSION
from dermreport.publication import CANONICAL_BASE, PACKAGE, PROFILES_VERSION, PUBLISHED, PUBLISHER

if TYPE_CHECKING:
    from collections.abc import Iterable

    from dermreport.fhir.releases import Release

#: What an index tells of a resource, beside the name of its file: https://hl7.org/fhir/R5/packages.html.
_INDEXED: Final = ("resourceType", "id", "url", "version", "kind", "type", "supplements", "content")
_INDEX_VERSION: Final = 2
_READABLE: Final = 0o644
_LICENCE_FILES: Final = ("LICENSE", "NOTICES.md")


def package_name(release: Release) -> str:
    """Return the name of the package of a release, as ``dermreport.dermoscopy.r4``."""
    return f"{PACKAGE}.{release.value.lower()}"


def package_file(release: Release) -> str:
    """Return the name of the package's file: name, version, ``.tgz``."""
    return f"{package_name(release)}-{PROFILES_VERSION}.tgz"


def manifest(release: Release) -> dict[str, Any]:
    """Return the package's own description, ``package.json``."""
    return {
        "name": package_name(release),
        "version": PROFILES_VERSION,
        "type": "Conformance",
        "date": PUBLISHED.replace("-", "") + "000000",
        "license": "Apache-2.0",
        "canonical": CANONICAL_BASE,
        "url": CANONICAL_BASE,
        "title": f"Dermatoscopic examination of a skin lesion, FHIR {release.value}",
        "description": "Profiles, extensions, terminology, searches and a form for the report of a dermatoscopic "
        "examination. It supports judgement and never replaces it; it is no certified medical device. The licence "
        "covers the package’s own content; codes of other terminologies belong to their owners: see other/NOTICES.md.",
        "author": PUBLISHER,
        "fhirVersions": [FHIR_VERSION[release]],
        "dependencies": {CORE_PACKAGE[release]: FHIR_VERSION[release]},
        "directories": {"lib": "package"},
    }


def index(resources: Iterable[dict[str, Any]]) -> dict[str, Any]:
    """Return the index of resources, ``.index.json``, by which a reader finds one without opening all."""
    return {
        "index-version": _INDEX_VERSION,
        "files": [
            {"filename": file_name(one), **{name: one[name] for name in _INDEXED if isinstance(one.get(name), str)}}
            for one in resources
        ],
    }


def package(release: Release) -> bytes:
    """Return the package of a release: a gzipped tar."""
    resources = artefacts(release)
    contents = {
        "package/package.json": json_text(manifest(release)),
        "package/.index.json": json_text(index(resources)),
        **{f"package/{file_name(one)}": file_text(one) for one in resources},
        **{f"package/other/{name}": _shipped(name) for name in _LICENCE_FILES},
    }
    packed = io.BytesIO()
    with gzip.GzipFile(filename="", mode="wb", fileobj=packed, mtime=0) as compressed:
        compressed.write(_archive(contents))
    return packed.getvalue()


def _archive(contents: dict[str, str]) -> bytes:
    """Return a tar of these texts: nothing in it depends on who makes it, when or where."""
    made = int(datetime.fromisoformat(PUBLISHED).replace(tzinfo=UTC).timestamp())
    archived = io.BytesIO()
    with tarfile.open(fileobj=archived, mode="w", format=tarfile.USTAR_FORMAT) as archive:
        for name, text in contents.items():
            data = text.encode()
            entry = tarfile.TarInfo(name)
            entry.size, entry.mtime, entry.mode = len(data), made, _READABLE
            archive.addfile(entry, io.BytesIO(data))
    return archived.getvalue()


def _shipped(name: str) -> str:
    """Return a text that is part of this library."""
    return (files("dermreport") / name).read_text(encoding="utf-8")
