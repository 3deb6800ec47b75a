"""Systematic damages of valid bundles: each kind at every place that the bundles have, from which 300 are taken.

A place is the profile of the resource and the path in it, without positions: the same damage of the tenth finding says
nothing new. Which are taken hardly changes when places are added: they are ordered by a hash of their names.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator
from functools import partial
from itertools import islice, pairwise
from typing import Any, NamedTuple

from conformance.example_bundles import EXAMPLES, reviews_of
from lxml import etree

import dermreport
from dermreport.examination.reader import read_json, write_json
from dermreport.settings import Settings
from dermreport.vocabulary.tables import tables
from dermreport.vocabulary.term import code_system

EACH = 50
RELEASE = "R4"
#: One bundle of each kind, of examples that differ in what they hold.
SOURCES = {
    "transaction": "nose-little-pigment-basal-cell-suspected",
    "collection": "flawed-frozen-without-histology",
    "document": "child-thigh-starburst-referred",
}
_NOWHERE = "urn:uuid:00000000-0000-4000-8000-000000000000"
_OF_TABLE = {code_system(table): [term.value for term in table] for table in tables().values()}

Json = Any
#: Damages what a list or dict has at a position or name; it is asked only of what it can damage.
Act = Callable[[Json, Json], None]
#: Makes a damaged text.
Make = Callable[[], str]
#: Gives for a bundle what can be damaged, by the names of the places.
Kind = Callable[[dermreport.Bundle], Iterator[tuple[str, Make]]]


class Damage(NamedTuple):
    """A damaged bundle.

    Attributes:
        kind: What was done.
        place: Where.
        source: Kind of the bundle to which it was done.
        text: The damaged bundle, JSON or XML.
    """

    kind: str
    place: str
    source: str
    text: str


class Place(NamedTuple):
    """A value in a bundle, and what holds it."""

    name: str
    holder: Json
    key: Json

    @property
    def value(self) -> Json:
        return self.holder[self.key]


def sources() -> dict[str, dermreport.Bundle]:
    """Return the sound bundles by their kind."""
    by_name = {path.stem: path for path in EXAMPLES}
    settings = Settings(claim_profiles=True)
    return {
        kind: dermreport.to_fhir(reviews_of(by_name[example], settings), release=RELEASE).bundle(kind)
        for kind, example in SOURCES.items()
    }


def damages() -> list[Damage]:
    """Return the 300 damages, as many of each kind."""
    sound = sources()
    return [one for kind in KINDS for one in _taken(kind, sound)]


def _taken(kind: str, sound: dict[str, dermreport.Bundle]) -> list[Damage]:
    found: dict[str, list[tuple[str, Make]]] = {}
    for source, bundle in sound.items():
        for place, make in KINDS[kind](bundle):
            found.setdefault(place, []).append((source, make))
    taken = []
    for place in sorted(found, key=_hash)[:EACH]:
        source, make = found[place][_hash(place)[-1] % len(found[place])]
        taken.append(Damage(kind, place, source, make()))
    return taken


def _hash(place: str) -> bytes:
    return hashlib.sha256(place.encode()).digest()


def _places(holder: Json, key: Json, name: str) -> Iterator[Place]:
    """Yield every value below a place, outermost first."""
    yield Place(name, holder, key)
    value = holder[key]
    if isinstance(value, list):
        for position in range(len(value)):
            yield from _places(value, position, f"{name}[]")
    elif isinstance(value, dict):
        claimed = value.get("meta", {}).get("profile", [""])[0].rpartition("/")[2]
        inside = claimed or value.get("resourceType") or name
        for part in value:
            yield from _places(value, part, f"{inside}.{part}")


def _changing(acts: Callable[[Place], Iterator[tuple[str, Act]]]) -> Kind:
    """Return a kind of damage that changes a bundle as JSON."""

    def damaged(bundle: dermreport.Bundle) -> Iterator[tuple[str, Make]]:
        text = bundle.to_json()
        seen = set()
        _, *places = _places({"Bundle": read_json(text)}, "Bundle", "Bundle")
        for number, place in enumerate(places, start=1):
            for way, act in acts(place):
                name = f"{place.name} {way}".rstrip()
                if name not in seen:
                    seen.add(name)
                    yield name, partial(_applied, text, number, act)

    return damaged


def _applied(text: str, number: int, act: Act) -> str:
    """Return a bundle's text with one of its places damaged."""
    root = {"Bundle": read_json(text)}
    place = next(islice(_places(root, "Bundle", "Bundle"), number, None))
    act(place.holder, place.key)
    return write_json(root["Bundle"])


def _drop(_place: Place) -> Iterator[tuple[str, Act]]:
    yield "", lambda holder, key: holder.pop(key)


def _duplicate(place: Place) -> Iterator[tuple[str, Act]]:
    if isinstance(place.holder, list):
        yield "", lambda holder, key: holder.insert(key, holder[key])
    elif not isinstance(place.value, list):
        yield "", lambda holder, key: holder.update({key: [holder[key], holder[key]]})


def _retype(place: Place) -> Iterator[tuple[str, Act]]:
    other: Json = {"value": "text"} if isinstance(place.value, str) else "text"
    yield "", lambda holder, key: holder.__setitem__(key, other)


def _miscode(place: Place) -> Iterator[tuple[str, Act]]:
    if place.key != "code" or not isinstance(place.value, str):
        return
    yield "unknown", lambda holder, key: holder.__setitem__(key, "no-such-code")
    others = [one for one in _OF_TABLE.get(place.holder.get("system"), ()) if one != place.value]
    if others:
        yield "another", lambda holder, key: holder.__setitem__(key, others[0])


def _misdirect(place: Place) -> Iterator[tuple[str, Act]]:
    if place.key in {"reference", "fullUrl"}:
        yield "", lambda holder, key: holder.__setitem__(key, _NOWHERE)
    elif place.key in {"url", "system", "profile[]"} and isinstance(place.value, str):
        yield "", lambda holder, key: holder.__setitem__(key, "https://nowhere.example/x")


def _turn_round(place: Place) -> Iterator[tuple[str, Act]]:
    if isinstance(place.value, list) and len(place.value) > 1:
        yield "", lambda holder, key: holder[key].reverse()


def _disorder(bundle: dermreport.Bundle) -> Iterator[tuple[str, Make]]:
    """Yield lists turned round in JSON, and in XML each element set before the one that it follows."""
    yield from _changing(_turn_round)(bundle)
    text = bundle.to_xml()
    seen = set()
    for number, resource in enumerate(_resources(etree.fromstring(text.encode()))):
        profile = resource.find("{*}meta/{*}profile")
        kind = etree.QName(resource).localname if profile is None else profile.get("value").rpartition("/")[2]
        for position, (one, other) in enumerate(pairwise(resource)):
            name = f"{kind}.{etree.QName(other).localname} before {etree.QName(one).localname}"
            if one.tag != other.tag and name not in seen:
                seen.add(name)
                yield name, partial(_swapped, text, number, position)


def _swapped(text: str, number: int, position: int) -> str:
    root = etree.fromstring(text.encode())
    resource = _resources(root)[number]
    resource[position].addprevious(resource[position + 1])
    return etree.tostring(root, encoding="unicode")


def _resources(root: etree._Element) -> list[etree._Element]:
    return root.findall("{*}entry/{*}resource/*")


#: Each kind of damage.
KINDS: dict[str, Kind] = {
    "dropped": _changing(_drop),
    "twice": _changing(_duplicate),
    "another type": _changing(_retype),
    "wrong code": _changing(_miscode),
    "pointing nowhere": _changing(_misdirect),
    "out of order": _disorder,
}
