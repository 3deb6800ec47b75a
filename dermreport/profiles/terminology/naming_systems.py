"""NamingSystems: under which names this project's codes, identifiers and versions go.

A NamingSystem of R4 has no address, version or title of its own (https://hl7.org/fhir/R4/namingsystem.html).
"""

from __future__ import annotations

from typing import Any, Final, NamedTuple

from dermreport.fhir import software
from dermreport.fhir.canonical import head
from dermreport.fhir.ids import NAMESPACE
from dermreport.fhir.releases import Release
from dermreport.publication import CANONICAL_BASE

_ONLY_IN_R5: Final = frozenset(("url", "version", "title", "experimental"))


class _System(NamedTuple):
    """One namespace: its id, title, kind, the type and value of its unique id, and what it names."""

    identity: str
    title: str
    kind: str
    unique: tuple[str, str]
    words: str


_SYSTEMS: Final = (
    _System(
        "item-identifier",
        "Identifiers of the items of an examination",
        "identifier",
        ("uuid", str(NAMESPACE)),
        "Name-based UUIDs (RFC 9562, version 5) in this namespace, of the text system|value|kind|key: the identifier "
        "of the examination, what the item is, and its key in the entry; a lesion that has a number of its own is "
        "named by that. So an item has the same UUID at every sending and at every site, and neither a fact on the "
        "patient nor a place in a list is in it. It is sent with the system urn:ietf:rfc:3986 where the examination is "
        "itself known by a UUID or its number leaves no room; otherwise an item is known as /kind/key behind the "
        "number of the examination, in the host’s own system.",
    ),
    _System(
        "software",
        "Versions that made a report",
        "identifier",
        ("uri", software.SYSTEM),
        "Identifiers of the software, the vocabulary and the rules that made a report, as name|version; they stand in "
        "its Provenance.",
    ),
    _System(
        "vocabulary",
        "Code systems of the vocabulary",
        "root",
        ("uri", f"{CANONICAL_BASE}/CodeSystem/"),
        "Root of the addresses of all code systems of this project: each table of the vocabulary is one, and its id "
        "follows the root. The root never changes; a site that renamed it could no longer be read by another.",
    ),
)


def naming_systems(release: Release) -> list[dict[str, Any]]:
    """Return the NamingSystems, sorted by id."""
    left_out = frozenset[str]() if release is Release.R5 else _ONLY_IN_R5
    return [{name: value for name, value in _made(one).items() if name not in left_out} for one in _SYSTEMS]


def _made(system: _System) -> dict[str, Any]:
    kind, value = system.unique
    parts = {"kind": system.kind, "uniqueId": [{"type": kind, "value": value, "preferred": True}]}
    return head("NamingSystem", system.identity, system.title, system.words, parts)
