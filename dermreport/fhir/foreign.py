"""What others added to a report, as data that nobody can change, and how it goes out again.

A kept piece is JSON text: it shares nothing with what was received and with what is sent. It enters a report again only
where the release has a place for it, and never over what the report itself says.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from typing import TYPE_CHECKING, Any, Final, NamedTuple

from dermreport.examination.reader import read_json
from dermreport.fhir.frame import Built, Request, reference_to
from dermreport.fhir.ids import search
from dermreport.issues import Issue

if TYPE_CHECKING:
    from collections.abc import Iterable

    from dermreport.fhir.build import Visit
    from dermreport.fhir.releases import Release


class KeptKind(StrEnum):
    """What a kept piece is."""

    RESOURCE = "resource"
    """A whole resource that isn't the report's own, or one that couldn't be read."""
    ADDED = "added"
    """Something within one of the report's own resources."""
    CHANGED = "changed"
    """Another value than the report's own: it is shown, and never sent again."""
    NARRATIVE = "narrative"
    """Another narrative than the report's own."""
    ENVELOPE = "envelope"
    """What the bundle itself says beside its entries: it is shown, and never sent again."""


class Step(NamedTuple):
    """One step from a resource to something in it.

    Attributes:
        name: The element.
        mark: What tells an item of a list from the others, ``""`` where there is one or the whole list is meant.
    """

    name: str
    mark: str = ""


@dataclass(frozen=True, slots=True)
class Kept:
    """One piece that is kept; as text it shows where it stood, never what it holds.

    Attributes:
        kind: What it is.
        path: Where it stood in what was received.
        resource_type: Type of the resource that it is, or in which it stood.
        text: The piece as JSON.
        withdrawn: Whether it was entered in error.
        contradicted: Whether another resource had its address and said something else: neither is sent again.
        owner: UUID of the report's own resource in which it stood, ``""`` for a whole resource.
        uuid: UUID under which a whole resource is sent again, ``""`` for a piece of one.
        steps: From the resource to the place where it stood.
        listed: Whether it is an item of a list there.
    """

    kind: KeptKind
    path: str
    resource_type: str = field(repr=False)
    text: str = field(repr=False)
    withdrawn: bool = False
    contradicted: bool = False
    owner: str = field(default="", repr=False)
    uuid: str = field(default="", repr=False)
    steps: tuple[Step, ...] = field(default=(), repr=False)
    listed: bool = False

    def value(self) -> Any:  # noqa: ANN401 - any JSON
        """Return the piece as new objects."""
        return read_json(self.text)


@dataclass(frozen=True, slots=True)
class Foreign:
    """Everything that was received and isn't the report's own.

    Attributes:
        kept: The pieces, in the order received.
        issues: What each of them is, with its path in what was received.
    """

    kept: tuple[Kept, ...] = ()
    issues: tuple[Issue, ...] = ()

    def __bool__(self) -> bool:
        """Whether anything was kept."""
        return bool(self.kept)


#: People, places and encounters are the host's own, and what a server says of a search is nobody's.
NOT_SENT: Final = frozenset(
    (
        "Patient",
        "Practitioner",
        "PractitionerRole",
        "Person",
        "RelatedPerson",
        "Organization",
        "Location",
        "Encounter",
        "EpisodeOfCare",
        "Account",
        "OperationOutcome",
        "Bundle",
        "Binary",
        "Composition",
    )
)


#: What a receiver acts on, and changes: that the record's own goes out again must not be silent.
_ACTED_ON: Final = frozenset(("ServiceRequest", "Communication"))


def joined(visit: Visit, foreign: Foreign, release: Release) -> tuple[Visit, tuple[Issue, ...]]:
    """Return a visit with what others added to it, and an issue on each piece that isn't sent.

    Args:
        visit: The resources of a report.
        foreign: What was kept when it, or an earlier revision of it, was read.
        release: The release in which it is sent.
    """
    from dermreport.fhir.read.sending import Sending  # noqa: PLC0415 - needs the standard's definitions, slow to load

    own = {built.uuid: built for built in visit.all}
    sending = Sending(release, {kept.uuid: kept for kept in foreign.kept if kept.kind is KeptKind.RESOURCE}, set(own))
    others: list[tuple[Kept, dict[str, Any]]] = []
    numbers = {number for built in visit.all for number in _numbers(built.resource)}
    for kept in foreign.kept:
        if kept.kind is not KeptKind.RESOURCE:
            continue
        may_go = kept.resource_type not in NOT_SENT and kept.uuid not in own and not kept.contradicted
        resource = sending.resource(kept) if may_go else None
        if resource is None or numbers & set(_numbers(resource)):
            sending.leave_out(kept)
        else:
            others.append((kept, resource))
            sending.there.add(kept.uuid)
    pieces: dict[str, list[Kept]] = {}
    for kept in foreign.kept:
        if kept.kind is KeptKind.CHANGED and kept.resource_type in _ACTED_ON and kept.owner in own:
            sending.keep_own(kept)
        elif kept.kind is KeptKind.ADDED or kept.kind is KeptKind.NARRATIVE:
            pieces.setdefault(kept.owner, []).append(kept)
    for uuid, added in pieces.items():
        if uuid in own:
            own[uuid] = own[uuid]._replace(resource=sending.joined(own[uuid].resource, added))
        else:
            for kept in added:
                sending.leave_out(kept)
    sent = [_built(kept, sending.repointed(resource)) for kept, resource in others]
    return visit.with_foreign(own, sent), tuple(sending.issues)


def _numbers(resource: dict[str, Any]) -> Iterable[tuple[Any, Any, Any]]:
    """Yield type, system and value of each identifier of a resource."""
    identifiers = resource.get("identifier", ())
    for one in identifiers if isinstance(identifiers, list) else [identifiers]:
        if "value" in one:
            yield resource["resourceType"], one.get("system"), one["value"]


def _built(kept: Kept, resource: dict[str, Any]) -> Built:
    """Return a foreign resource as it enters a server: created where none has its number, else at its own UUID."""
    found = next(((system, value) for _, system, value in _numbers(resource) if system), None)
    if found is None:
        return Built(kept.uuid, resource, "", Request.BY_ID, 1, reference_to(kept.uuid))
    return Built(kept.uuid, resource, search(*found), Request.ONCE, 1, reference_to(kept.uuid))
