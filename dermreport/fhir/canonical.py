"""What every published artefact starts with: address, name, version, state, narrative.

The elements are those that FHIR's canonical resources share
(https://hl7.org/fhir/R4/metadatatypes.html, https://hl7.org/fhir/R5/canonicalresource.html), in the standard's order.
"""

from __future__ import annotations

from typing import Any, Final

from dermreport.fhir.narrative import narrative
from dermreport.publication import CANONICAL_BASE, PROFILES_VERSION, PUBLISHED, PUBLISHER

#: What one resource type has before ``experimental`` or before ``date``, in the standard's order.
_BEFORE_EXPERIMENTAL: Final = {"NamingSystem": "kind", "OperationDefinition": "kind"}
_BEFORE_DATE: Final = {"Questionnaire": "subjectType"}


def canonical(kind: str, identity: str) -> str:
    """Return the address of an artefact: ``kind`` is its resource type, ``identity`` its id."""
    return f"{CANONICAL_BASE}/{kind}/{identity}"


def computable_name(identity: str) -> str:
    """Return the name of an artefact for programs: ``plan-action`` gives ``PlanAction``."""
    return "".join(part[:1].upper() + part[1:] for part in identity.split("-"))


def head(  # noqa: PLR0913, PLR0917 - what an artefact has of its own, in the standard's order
    kind: str,
    identity: str,
    title: str,
    description: str,
    parts: dict[str, Any] | None = None,
    version: str = PROFILES_VERSION,
) -> dict[str, Any]:
    """Return a canonical resource from its head on.

    Args:
        kind: Resource type, as ``StructureDefinition``.
        identity: Its id, the last part of its address.
        title: Its title in words.
        description: What it is for, in words; its narrative says the same.
        parts: Its own elements behind the description, in the standard's order; extensions and those that the standard
            puts beside the status (a NamingSystem's kind, a Questionnaire's subject) are put where they belong.
            ``None`` leaves one out.
        version: Version of what it publishes.
    """
    own = {name: value for name, value in (parts or {}).items() if value is not None}
    return {
        "resourceType": kind,
        "id": identity,
        "text": narrative(f"{title}: {description}"),
        **_taken(own, "extension"),
        "url": canonical(kind, identity),
        "version": version,
        "name": computable_name(identity),
        "title": title,
        "status": "active",
        **_taken(own, _BEFORE_EXPERIMENTAL.get(kind)),
        "experimental": False,
        **_taken(own, _BEFORE_DATE.get(kind)),
        "date": PUBLISHED,
        "publisher": PUBLISHER,
        "description": description,
        **own,
    }


def _taken(own: dict[str, Any], name: str | None) -> dict[str, Any]:
    """Take an element out of the others, where it is among them."""
    return {name: own.pop(name)} if name is not None and name in own else {}
