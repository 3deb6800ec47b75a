"""References that lead back to where they start: a reader that follows them would never end."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from dermreport.examination.people import URN_UUID
from dermreport.fhir.read.parts import objects, text
from dermreport.fhir.read.rules import read_issue

if TYPE_CHECKING:
    from collections.abc import Iterator

    from dermreport.fhir.read.received import Box, Received
    from dermreport.issues import Issue

#: What an Observation is made of: it can't be a part of itself.
_PARTS: Final = ("hasMember", "derivedFrom")


def circle_issues(box: Box) -> Iterator[Issue]:
    """Yield each Observation that is a part of itself, at once or over others; each circle once."""
    whole = [one for one in box.of("Observation") if one.resource.keys() & _PARTS]
    tails = {tail for one in whole for tail in (_tail(one.full_url or ""), text(one.resource, "id"))}
    parts = {id(one): _parts(one, tails, box) for one in whole}
    if not any(parts.values()):
        return
    done: set[int] = set()
    for start in whole:
        way: list[tuple[Received, Iterator[Received]]] = [(start, iter(parts[id(start)]))]
        on_the_way = {id(start)}
        while way and id(start) not in done:
            here, below = way[-1]
            part = next(below, None)
            if part is None:
                done.add(id(here))
                on_the_way.discard(id(here))
                way.pop()
            elif id(part) in on_the_way:
                yield read_issue("read-circle", part.path)
            elif id(part) not in done and id(part) in parts:
                on_the_way.add(id(part))
                way.append((part, iter(parts[id(part)])))


def _parts(owner: Received, tails: set[str | None], box: Box) -> list[Received]:
    """Return the parts that have parts. Most lead to what has none: that is seen by the end of the address."""
    found = [
        box.find(reference, owner)
        for name in _PARTS
        if name in owner.resource
        for reference in objects(owner.resource, name)
        if type(literal := reference.get("reference")) is str and _tail(literal) in tails
    ]
    return [one for one in found if one is not None]


def _tail(address: str) -> str:
    if address[:9] == URN_UUID:
        return address[9:]
    return address.partition("/_history/")[0].rpartition("/")[2]
