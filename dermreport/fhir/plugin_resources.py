"""Resources that plugins make of a report: held to what a plugin may add, and named so that they are nobody else's.

Each gets its id and number from the examination, the plugin, its maker and its key, so it can take no other resource's
place, and the same entry gives the same one again.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from importlib import import_module
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Final, NamedTuple

from msgspec.structs import replace

from dermreport.examination.people import URN_UUID
from dermreport.examination.reader import read_json, write_json
from dermreport.fhir.foreign import Kept, KeptKind
from dermreport.fhir.frame import Built, Request, built, reference_to
from dermreport.fhir.ids import Thing
from dermreport.fhir.plugin_constraints import breaks
from dermreport.fhir.releases import shape_of
from dermreport.fhir.write import fresh
from dermreport.plugin import Making
from dermreport.plugins.copies import own_copy, refuse_changed
from dermreport.plugins.guarding import Failure, NotTakenError, guarded
from dermreport.plugins.issue_rules import failed
from dermreport.publication import CANONICAL_BASE

if TYPE_CHECKING:
    from dermreport.fhir.build import One, Visit
    from dermreport.fhir.releases import Release
    from dermreport.issues import Issue
    from dermreport.plugin import Plugin, ResourceMaker

#: What a plugin may make, and the statuses that it may have. What asks for something, or says of the library's own
#: resources that they are withdrawn, replaced or entered in error, isn't among it.
MAY_BE: Final[Mapping[str, frozenset[str] | None]] = MappingProxyType(
    {
        "AuditEvent": None,
        "DocumentReference": frozenset(("current",)),
        "Flag": frozenset(("active", "inactive")),
        "List": frozenset(("current", "retired")),
        "Observation": frozenset(("registered", "preliminary", "final", "amended")),
    }
)
#: The library's own, or what would change what something else means.
_NOT_ITS_OWN: Final = frozenset(
    (
        "id",
        "identifier",
        "meta",
        "contained",
        "implicitRules",
        "modifierExtension",
        "relatesTo",
        "replaces",
        "_status",
        "docStatus",
        "_docStatus",
    )
)
#: What changes what an element means, wherever it stands.
_CHANGING: Final = frozenset(("modifierExtension", "implicitRules", "contained"))
_MALFORMED: Final = "an element that is missing, too many, or not what the standard asks"
_is_key: Final = re.compile(r"[a-z0-9][a-z0-9-]{0,31}").fullmatch
#: Resources of one maker, and bytes of one of them, at most.
_MOST: Final = 50
_MOST_BYTES: Final = 1_000_000


class Maker(NamedTuple):
    """One maker of one examination, by what is known of both."""

    report: str
    plugin: str
    maker: str


#: What is said of what a resource breaks that is no constraint with a key.
_BROKEN: Final[Mapping[str, str]] = MappingProxyType(
    {
        "data type": "a data type that isn’t taken",
        "required binding": "a code that isn’t one of its required binding",
        "reference type": "a reference to a type of resource that may not stand there",
        "a harmless word": "a word or code that calls something harmless",
    }
)


def with_plugins(
    visit: Visit, release: Release, without: frozenset[Maker] = frozenset()
) -> tuple[Visit, dict[Maker, str]]:
    """Return a visit with the resources of plugins, and which makers failed and why: nothing of these is there.

    Args:
        visit: The library's own resources.
        release: The release.
        without: Makers that aren't asked.
    """
    broken: dict[Maker, str] = {}
    if not any(one.frame.review.settings.plugins.loaded for one in visit.examinations):
        return visit, broken
    taken = {built.uuid for built in visit.all}
    made = [_with_plugins(one, _Own(visit, one, release, taken), without, broken) for one in visit.examinations]
    return replace(visit, examinations=made), broken


def failures(visit: Visit, broken: Mapping[Maker, str]) -> tuple[Issue, ...]:
    """Return an issue for each maker that failed, in the order of the plugins."""
    return tuple(
        failed(plugin.about, f"its resources ({maker.id})", broken[_known(one, plugin, maker)])
        for one in visit.examinations
        for plugin in one.frame.review.settings.plugins.loaded
        for maker in plugin.resources
        if _known(one, plugin, maker) in broken
    )


def _known(one: One, plugin: Plugin, maker: ResourceMaker) -> Maker:
    return Maker(one.report.uuid, plugin.about.name, maker.id)


def _with_plugins(one: One, own: _Own, without: frozenset[Maker], broken: dict[Maker, str]) -> One:
    found: list[Built] = []
    named: list[Plugin] = []
    for plugin in one.frame.review.settings.plugins.loaded:
        several: list[Built] = []
        for maker in plugin.resources:
            known = _known(one, plugin, maker)
            if known in without:
                continue
            resources = guarded(lambda plugin=plugin, maker=maker: own.made(plugin, maker))  # type: ignore[misc]  # the loop's own
            if isinstance(resources, Failure):
                broken[known] = resources.why
            else:
                several.extend(resources)
        found.extend(several)
        if several or plugin.is_in_reports:
            named.append(plugin)
    if not named:
        return one
    return replace(one, added=found, provenance=_naming(one.provenance, named))


def _naming(provenance: Built, plugins: Sequence[Plugin]) -> Built:
    """Return who made a report, with the plugins that had part in it among its sources."""
    from dermreport.fhir.resources import plugin_source  # noqa: PLC0415 - it needs what this module's users make

    before: list[dict[str, Any]] = provenance.resource["entity"]
    sources = [one for one in before if one["role"] == "source"]
    others = [one for one in before if one["role"] != "source"]
    entity = [*sources, *(plugin_source(one.about) for one in plugins), *others]
    return provenance._replace(resource={**provenance.resource, "entity": entity})


class _Own:
    """Makes the resources of one examination's plugins."""

    def __init__(self, visit: Visit, one: One, release: Release, taken: set[str]) -> None:
        """Take the library's own resources, which nothing here changes."""
        self._one = one
        self._release = release
        self._taken = taken
        literal = _references([built.resource for built in (*visit.people, *one.all)])
        #: Every reference that may be given; the type of what it leads to where that is in the report.
        self._there: Mapping[str, str] = dict.fromkeys(literal, "") | {
            f"{URN_UUID}{built.uuid}": built.resource["resourceType"] for built in visit.all
        }

    def made(self, plugin: Plugin, maker: ResourceMaker) -> list[Built]:
        """Return what one maker makes.

        Raises:
            NotTakenError: It makes something else than it may.
            Exception: Its code fails; whoever calls this says no more than that.
        """
        asked: set[str] = set()

        def own(key: str) -> dict[str, Any]:
            """Return a Reference to another one of the same maker."""
            asked.add(key)
            return reference_to(self._uuid(plugin, maker, key))

        frame = self._one.frame
        review = own_copy(frame.review)
        making = Making(
            review=review,
            release=self._release.value,
            resources=tuple(fresh({"id": built.uuid, **built.resource}) for built in self._one.all),
            report=fresh(self._one.report.reference),
            subject=fresh(frame.patient.reference),
            lesion=fresh(self._one.lesion.reference),
            own=own,
        )
        given = maker.make(making)
        if not isinstance(given, Mapping):
            raise NotTakenError("it gives no mapping of keys to resources")
        if len(given) > _MOST:
            raise NotTakenError(f"it gives more than {_MOST} resources")
        if not asked <= set(given):
            raise NotTakenError("a reference to a resource that it doesn’t make")
        fitting = {key: self._fitting(resource) for key, resource in given.items()}
        refuse_changed(review, frame.review)
        numbered = (key for key, resource in fitting.items() if MAY_BE[resource["resourceType"]] is not None)
        there = {f"{URN_UUID}{self._uuid(plugin, maker, key)}": fitting[key]["resourceType"] for key in numbered}
        there |= self._there
        return [self._built(plugin, maker, key, resource, there) for key, resource in fitting.items()]

    def _key(self, plugin: Plugin, maker: ResourceMaker, key: str) -> str:
        if not isinstance(key, str) or not _is_key(key):
            raise NotTakenError("a key that isn’t of at most 32 small letters, digits and hyphens")
        return f"{plugin.about.name}/{maker.id}/{key}"

    def _uuid(self, plugin: Plugin, maker: ResourceMaker, key: str) -> str:
        return self._one.frame.identity.uuid(Thing.PLUGIN, self._key(plugin, maker, key))

    def _built(
        self, plugin: Plugin, maker: ResourceMaker, key: str, resource: dict[str, Any], there: Mapping[str, str]
    ) -> Built:
        frame, named = self._one.frame, self._key(plugin, maker, key)
        known = frame.identity.item(Thing.PLUGIN, named)
        kind = resource["resourceType"]
        if known.uuid in self._taken:
            raise NotTakenError(f"{kind}: an id that another resource has")
        if not set(_references(resource)) <= set(there):
            raise NotTakenError(f"{kind}: a reference that leads nowhere")
        statuses = MAY_BE[kind]
        if statuses is None:
            # It has no number, and what happened at one revision isn't what happened at the next.
            uuid = frame.identity.uuid(Thing.PLUGIN, f"{named}/{frame.revision}")
            self._refuse_malformed(resource, there)
            return Built(uuid, resource, "", Request.BY_ID, frame.revision, reference_to(uuid))
        if resource.get("status") not in statuses:
            raise NotTakenError(f"{kind}: a status that it may not have")
        if resource.get("subject") != frame.patient.reference:
            raise NotTakenError(f"{kind}: a subject that isn’t the report’s")
        status = "entered-in-error" if frame.withdrawn else resource["status"]
        numbered = self._in_order({**resource, "identifier": [known.identifier], "status": status})
        self._refuse_malformed(numbered, there)
        return built(known, numbered, Request.VERSIONED, frame.revision)

    def _refuse_malformed(self, resource: dict[str, Any], there: Mapping[str, str]) -> None:
        """Refuse what the standard's definitions don't allow: a server refuses the whole transaction for it.

        Raises:
            NotTakenError: An element is missing, too many, or not what it must be, or something that is held true of
                it isn't; what was given isn't said.
        """
        name = resource["resourceType"]
        kind = getattr(import_module(f"{shape_of(self._release).typed_package}.{name.lower()}"), name)
        try:
            kind.model_validate(fresh(resource))
        except ValueError:
            raise NotTakenError(f"{name}: {_MALFORMED}") from None
        broken = breaks(resource, self._release, there)
        if broken is not None:
            raise NotTakenError(f"{name}: {_BROKEN.get(broken, f'the constraint {broken} of the standard is broken')}")

    def _fitting(self, given: object) -> dict[str, Any]:
        """Return a resource as plain data in the standard's order, which shares nothing with what the plugin has."""
        if not isinstance(given, Mapping):
            raise NotTakenError("a value that is no resource")
        try:
            text = write_json(dict(given))
        except (TypeError, ValueError, RecursionError):
            raise NotTakenError("a value that JSON doesn’t have") from None
        if len(text) > _MOST_BYTES:
            raise NotTakenError(f"a resource of more than {_MOST_BYTES} characters")
        resource = read_json(text)
        kind = resource.get("resourceType")
        if not isinstance(kind, str) or kind not in MAY_BE:
            raise NotTakenError(f"a type of resource that isn’t one of {', '.join(MAY_BE)}")
        if set(resource) & _NOT_ITS_OWN:
            raise NotTakenError(f"{kind}: one of the elements {', '.join(sorted(_NOT_ITS_OWN))}")
        if not _is_plain(resource):
            raise NotTakenError(f"{kind}: one of {', '.join(sorted(_CHANGING))} within, or a URI of the library’s")
        return self._in_order(resource)

    def _in_order(self, resource: dict[str, Any]) -> dict[str, Any]:
        from dermreport.fhir.read.sending import Sending  # noqa: PLC0415 - needs the standard's definitions, slow to load

        kept = Kept(KeptKind.RESOURCE, "$", resource["resourceType"], write_json(resource))
        sending = Sending(self._release, {}, set())
        fitting = sending.resource(kept)
        if fitting is None or sending.issues:
            raise NotTakenError(f"{resource['resourceType']}: {_MALFORMED}")
        return fitting


def _is_plain(value: Any) -> bool:  # noqa: ANN401 - any JSON
    """Return whether nothing in it changes what something else means, or speaks in the library's name."""
    if isinstance(value, dict):
        return not set(value) & _CHANGING and all(_is_plain(item) for item in value.values())
    if isinstance(value, list):
        return all(_is_plain(item) for item in value)
    return not (isinstance(value, str) and CANONICAL_BASE in value)


def _references(value: Any) -> Iterator[str]:  # noqa: ANN401 - any JSON
    """Yield every literal reference in some resources."""
    if isinstance(value, dict):
        for name, item in value.items():
            if name == "reference" and isinstance(item, str):
                yield item
            else:
                yield from _references(item)
    elif isinstance(value, list):
        for item in value:
            yield from _references(item)
