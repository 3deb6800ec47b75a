"""What was received, resource by resource, and what its references point to within it."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Final

from dermreport.fhir.ids import name_uuid
from dermreport.fhir.people import versionless
from dermreport.fhir.read.parts import Json, objects, text
from dermreport.fhir.read.rules import read_issue

if TYPE_CHECKING:
    from collections.abc import Iterator
    from collections.abc import Set as AbstractSet

    from dermreport.issues import Issue
    from dermreport.limits import Limits

#: The id of a resource (FHIR R4 and R5, data type id).
_is_id = re.compile(r"[A-Za-z0-9.-]{1,64}\Z").match
#: What a bundle can be for, if it holds resources that are meant to be read together.
_READ_KINDS: Final = frozenset(("transaction", "batch", "collection", "document", "searchset", "message"))


#: What a bundle says of itself and is made anew at each sending.
_OF_THE_SENDING: Final = frozenset(
    ("resourceType", "id", "meta", "type", "identifier", "timestamp", "total", "link", "entry")
)


@dataclass(slots=True, eq=False)
class Received:
    """One resource as it was received.

    Attributes:
        kind: Its type.
        resource: The resource; nobody changes it.
        path: Where it stood, as ``$.entry[3].resource``.
        full_url: Its address in the bundle, where it has one.
        changed: Whether a modifier that isn't known here changes what it says: it is not read.
        contradicted: Whether another resource has its address and says something else: neither is read.
        consistent: Whether it was looked through, and nothing in it contradicts itself: nobody need look again.
        plain: Whether all its concepts are ours exactly as we write them.
        written_as: The UUID under which we write the item that it was read as, where its own number doesn't tell.
    """

    kind: str
    resource: Json
    path: str
    full_url: str | None
    changed: bool = False
    contradicted: bool = False
    consistent: bool = False
    plain: bool = False
    written_as: str | None = None

    @property
    def address(self) -> str:
        """What tells it from every other resource received: its address, its id on the server, or where it stood."""
        own_id = text(self.resource, "id")
        return self.full_url or (f"{self.kind}/{own_id}" if own_id is not None else self.path)

    @property
    def fingerprint(self) -> str:
        """A text that the same content always has."""
        return name_uuid(repr(self.resource))

    @property
    def status(self) -> str | None:
        """Its status."""
        return text(self.resource, "status")

    @property
    def withdrawn(self) -> bool:
        """Whether it was entered in error."""
        return self.resource.get("status") == "entered-in-error"


@dataclass(slots=True)
class Box:
    """All resources that were received together.

    Attributes:
        resources: In the order received.
        by_kind: The same by their type.
        issues: What is wrong with them as a whole.
        refused: Whether nothing of it may be read.
        envelope: What a bundle says of itself that isn't about its sending.
        may_be_modified: Whether a modifier can stand anywhere in it.
    """

    resources: list[Received] = field(default_factory=list)
    by_kind: dict[str, list[Received]] = field(default_factory=dict)
    issues: list[Issue] = field(default_factory=list)
    refused: bool = False
    envelope: Json = field(default_factory=dict)
    may_be_modified: bool = True
    _pockets: dict[int, dict[str, Received]] = field(default_factory=dict)
    _addresses: dict[str, Received | None] = field(default_factory=dict)

    def of(self, kind: str) -> list[Received]:
        """Return the resources of a type."""
        return self.by_kind.get(kind, [])

    def _contained(self, owner: Received) -> dict[str, Received]:
        """Return the resources in a resource's own pocket by their ids."""
        if id(owner) not in self._pockets:
            pocket = self._pockets[id(owner)] = {}
            for position, resource in enumerate(objects(owner.resource, "contained")):
                own_id = text(resource, "id")
                if own_id is not None:
                    kind = text(resource, "resourceType") or ""
                    changed = owner.changed or is_modified(resource) or own_id in pocket
                    path = f"{owner.path}.contained[{position}]"
                    pocket[own_id] = Received(kind, resource, path, None, changed)
        return self._pockets[id(owner)]

    def refuse(self, issue: Issue) -> None:
        """Note why nothing is read."""
        self.issues.append(issue)
        self.refused = True

    def add(self, resource: Json, path: str, full_url: str | None) -> None:
        """Take a resource in, under every address at which another one can point to it."""
        changed = self.may_be_modified and is_modified(resource)
        made = Received(text(resource, "resourceType") or "", resource, path, full_url, changed)
        if full_url is not None:
            there = self._addresses.get(full_url)
            if there is not None and there.resource == resource:
                # The same resource twice, as in search sets that were joined.
                return
            if full_url in self._addresses:
                self._collide(full_url, made)
            else:
                self._addresses[full_url] = made
        own_id = text(resource, "id")
        if own_id is not None and _is_id(own_id) is None:
            self.issues.append(read_issue("read-id", path))
        if own_id is not None:
            for address in (f"{made.kind}/{own_id}", f"urn:uuid:{own_id}"):
                there = self._addresses.setdefault(address, made)
                if there is made:
                    continue
                if there is not None and there.full_url != full_url:
                    # Of two servers: only a reference that says which one can be followed.
                    self._addresses[address] = None
                else:
                    self._collide(address, made)
        self.resources.append(made)
        self.by_kind.setdefault(made.kind, []).append(made)

    def _collide(self, address: str, made: Received) -> None:
        """Note that two resources have one address: neither is read."""
        there = self._addresses[address]
        if there is not None:
            there.changed = there.contradicted = True
        made.changed = made.contradicted = True
        self._addresses[address] = None
        self.issues.append(read_issue("read-same-address", made.path))

    def find(self, reference: Json, owner: Received) -> Received | None:
        """Return the resource that a Reference points to, ``None`` where it wasn't received."""
        literal = text(reference, "reference")
        if literal is None:
            return None
        found = self._addresses.get(literal)
        if found is not None:
            return found
        if literal.startswith("#"):
            return self._contained(owner).get(literal[1:])
        literal = versionless(literal)
        base = base_of(owner.full_url)
        return self._addresses.get(f"{base}{literal}") or self._addresses.get(literal)


def base_of(full_url: str | None) -> str:
    """Return the address of the server whose entry this is: a relative reference is one to the same server."""
    if full_url is None or not full_url.startswith(("http://", "https://")):
        return ""
    return "/".join(full_url.split("/")[:-2]) + "/"


#: Names that say that something is modified.
_MODIFYING: Final = frozenset(("modifierExtension", "implicitRules", "_implicitRules"))


def may_be_modified(names: AbstractSet[str]) -> bool:
    """Return whether a modifier can stand in what has members of these names."""
    return not _MODIFYING.isdisjoint(names)


def is_modified(value: Any) -> bool:  # noqa: ANN401 - any JSON
    """Return whether something says that what stands here means something else than it says.

    No modifier is known here. A contained resource has its own meaning.
    """
    below = [value]
    while below:
        here = below.pop()
        if type(here) is dict:
            if here.get("modifierExtension") or here.get("implicitRules") or "_implicitRules" in here:
                return True
            below.extend(item for name, item in here.items() if name != "contained" and type(item) in _HOLDERS)
        else:
            below.extend(item for item in here if type(item) in _HOLDERS)
    return False


_HOLDERS: Final = (dict, list)


def unpack(content: Any, limits: Limits, *, may_be_modified: bool = True) -> Box:  # noqa: ANN401 - any JSON
    """Return the resources of a bundle, of a list of resources, or a single one.

    Args:
        content: What was received.
        limits: How much of it is read at most.
        may_be_modified: Whether a modifier can stand anywhere in it.
    """
    box = Box(may_be_modified=may_be_modified)
    for number, (resource, path, full_url) in enumerate(_found(content, box), start=1):
        if number > limits.resources:
            box.refuse(read_issue("read-too-many", "$", limit=str(limits.resources)))
            break
        box.add(resource, path, full_url)
    return box


def _found(content: Any, box: Box) -> Iterator[tuple[Json, str, str | None]]:  # noqa: ANN401 - any JSON
    """Yield each resource with its path and its address in a bundle."""
    if type(content) is list:
        yield from _listed(content, box)
        return
    if type(content) is not dict or not text(content, "resourceType"):
        box.refuse(read_issue("read-not-fhir", "$"))
        return
    if content["resourceType"] != "Bundle":
        yield content, "$", None
        return
    yield from _entries(content, box)


def _listed(content: list[Any], box: Box) -> Iterator[tuple[Json, str, None]]:
    for position, resource in enumerate(content):
        if type(resource) is dict and text(resource, "resourceType"):
            yield resource, f"$[{position}]", None
        else:
            box.issues.append(read_issue("read-not-fhir", f"$[{position}]"))


def _entries(content: Json, box: Box) -> Iterator[tuple[Json, str, str | None]]:
    if text(content, "type") not in _READ_KINDS:
        box.refuse(read_issue("read-bundle-kind", "$.type"))
        return
    if is_modified({name: value for name, value in content.items() if name != "entry"}):
        box.refuse(read_issue("read-modifier", "$"))
        return
    box.envelope = {name: value for name, value in content.items() if name not in _OF_THE_SENDING}
    for position, entry in enumerate(objects(content, "entry")):
        resource = entry.get("resource")
        if entry.get("modifierExtension"):
            box.refuse(read_issue("read-modifier", f"$.entry[{position}]"))
            return
        if type(resource) is dict and text(resource, "resourceType"):
            yield resource, f"$.entry[{position}].resource", text(entry, "fullUrl")
