"""References that lead back to where they start: a reader that follows them would never end."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

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
    whole = [one for one in box.of("Observation") if any(name in one.resource for name in _PARTS)]
    tails = {tail for one in whole for tail in (_tail(one.address), text(one.resource, "id"))}
    parts = {id(one): list(_parts(one, tails, box)) for one in whole}
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


def _parts(owner: Received, tails: set[str | None], box: Box) -> Iterator[Received]:
    for name in _PARTS:
        if name not in owner.resource:
            continue
        for reference in objects(owner.resource, name):
            # Most lead to what has no parts: that is seen by the end of the address.
            if _tail((text(reference, "reference") or "").partition("/_history/")[0]) in tails:
                found = box.find(reference, owner)
                if found is not None:
                    yield found


def _tail(address: str) -> str:
    return address.rpartition("/")[2].rpartition(":")[2]
