"""Foreign pieces as they can be sent: with what the release has elements for, in the standard's order, and safe."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from decimal import Decimal
from typing import TYPE_CHECKING, Any, Final

from dermreport.examination.people import URN_UUID
from dermreport.fhir.foreign import Kept, KeptKind, Step
from dermreport.fhir.ids import Thing
from dermreport.fhir.read.compare import mark
from dermreport.fhir.read.contradictions import is_contradictory
from dermreport.fhir.read.definitions import Class, Element, Kind, elements, resource_class
from dermreport.fhir.read.narratives import cleaned
from dermreport.fhir.read.observations import what_it_is
from dermreport.fhir.read.parts import Json, objects, text
from dermreport.fhir.read.rules import read_issue
from dermreport.fhir.write import exact, fresh
from dermreport.issues import EntryError

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from dermreport.fhir.releases import Release
    from dermreport.issues import Issue

#: What XML 1.0 can't hold (production Char).
_has_forbidden = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]").search
#: The id of a resource (FHIR R4 and R5, data type id).
_is_id = re.compile(r"[A-Za-z0-9.-]{1,64}\Z").match
#: A number with more digits or places is a measurement of nothing.
_MOST_DIGITS: Final = 40


#: Elements of the resources that we write which change what the rest means (isModifier: FHIR R4 and R5, element tables
#: of these resources, from memory). Where the record has none of them, nobody else's is put into it.
MODIFIERS: Final = frozenset(
    ("status", "doNotPerform", "intent", "active", "deceasedBoolean", "deceasedDateTime", "link")
)


#: What has parts of its own, so that nothing is said on it beside its value.
_HOLDING: Final = frozenset((Kind.OBJECT, Kind.RESOURCE, Kind.MARKUP))
_EXTENSION: Final = "Extension"


def _is_said(name: str, items: list[Any], item: Any) -> bool:  # noqa: ANN401 - any JSON
    """Return whether a report says a piece by itself.

    That is so where it was written with the previous examination that it was read with, or where the host's settings
    add the coding that stood there.
    """
    if name == "coding" and "code" in item:
        return (item.get("system"), item["code"]) in [(one.get("system"), one.get("code")) for one in items]
    return name in {"coding", "extension"} and item in items


class _NoPlaceError(Exception):
    """There is no place for a piece in the release."""


@dataclass(slots=True)
class Sending:
    """Puts foreign pieces into one release.

    Attributes:
        release: The release.
        received: Every foreign resource by its UUID, sent or not.
        there: UUIDs of the resources that are sent.
        issues: What isn't sent, or not as it was received.
    """

    release: Release
    received: Mapping[str, Kept]
    there: set[str]
    issues: list[Issue] = field(default_factory=list)
    #: For each list that was looked into its items by their marks; the list is kept too, so that its id stays its own.
    _marked: dict[int, tuple[list[Any], dict[str, Any]]] = field(default_factory=dict)

    def leave_out(self, kept: Kept) -> None:
        """Note that a piece isn't sent."""
        self.issues.append(read_issue("read-not-sent", kept.path))

    def keep_own(self, kept: Kept) -> None:
        """Note that the record's own value is sent in place of another one that was received."""
        self.issues.append(read_issue("read-own-sent", kept.path))

    def let_go(self, kept: Kept) -> None:
        """Note that a piece isn't sent because the value beside which it stood is another one now."""
        self.issues.append(read_issue("read-not-beside", kept.path))

    def resource(self, kept: Kept) -> Json | None:
        """Return a whole resource, ``None`` where the release has no place for all of it."""
        try:
            value = _value(kept)
            found = what_it_is(value)
            if found is not None and found[0] is Thing.LIST:
                # A list that wasn't read isn't one that was gone through: what is unticked in it must not be absent.
                return None
            # Its own id is left behind: it is sent under a UUID.
            return self._fitting_resource({name: item for name, item in value.items() if name != "id"}, kept.path)
        except _NoPlaceError:
            return None

    def repointed(self, value: Any) -> Any:  # noqa: ANN401 - any JSON
        """Return a value whose references to what isn't sent say at least what that is known by.

        A server refuses a whole transaction in which one reference leads nowhere.
        """
        if type(value) is list:
            return [self.repointed(item) for item in value]
        if type(value) is not dict:
            return value
        if not self._leads_nowhere(value):
            return {name: self.repointed(item) for name, item in value.items()}
        target = self.received.get(value["reference"].removeprefix(URN_UUID))
        made = {name: item for name, item in value.items() if name != "reference"}
        if target is not None and resource_class(target.resource_type, self.release) is not None:
            made["type"] = target.resource_type
            number = next(iter(objects(_value(target), "identifier")), {})
            known_by = {name: number[name] for name in ("system", "value") if _is_of_kind(number.get(name), Kind.TEXT)}
            if "value" in known_by:
                made["identifier"] = known_by
        return {**made, "display": value.get("display", "something that isn't sent")}

    def _leads_nowhere(self, value: Any) -> bool:  # noqa: ANN401 - any JSON
        literal = text(value, "reference") if type(value) is dict else None
        return literal is not None and literal.startswith(URN_UUID) and literal.removeprefix(URN_UUID) not in self.there

    def joined(self, resource: Json, pieces: Iterable[Kept]) -> Json:
        """Return one of the report's own resources with pieces in it; one that has no place there is left out."""
        owner = resource_class(resource["resourceType"], self.release)
        made: Json = fresh(resource)
        for kept in pieces:
            try:
                if owner is None:
                    self.leave_out(kept)
                elif kept.kind is KeptKind.NARRATIVE:
                    self._narrate(made, kept)
                else:
                    self._put(made, owner, kept)
            except _NoPlaceError:
                self.leave_out(kept)
        return made if owner is None else self._ordered(made, owner)

    def _narrate(self, made: Json, kept: Kept) -> None:
        """Put the narrative of others below a resource's own, where theirs says more than the data."""
        received = _value(kept)
        div = text(received, "div") if type(received) is dict and received.get("status") == "additional" else None
        if div is None:
            raise _NoPlaceError
        theirs = cleaned(div)
        if theirs.changed:
            self.issues.append(read_issue("read-narrative-cleaned", kept.path))
        if theirs.div is None:
            raise _NoPlaceError
        own: str = made["text"]["div"]
        made["text"] = {"status": "additional", "div": f"{own.removesuffix('</div>')}{theirs.div}</div>"}

    def _append(self, here: Json, items: list[Any], item: Any, kept: Kept) -> None:  # noqa: ANN401 - any JSON
        """Put an item at the end of a list; a coding that would contradict another one there stays out."""
        name = kept.steps[-1].name
        if name == "coding" and is_contradictory({**here, "coding": [*items, item]}):
            self.keep_own(kept)
        elif not _is_said(name, items, item):
            items.append(item)

    def _put(self, made: Json, owner: Class, kept: Kept) -> None:
        """Put a piece where it stood, never over something that is there."""
        received = _value(kept)
        if self._leads_nowhere(received):
            raise _NoPlaceError
        received = self.repointed(received)
        here, holds = made, owner
        *way, last = kept.steps
        if not way and last.name.removeprefix("_") in MODIFIERS:
            # It would turn what the record says into something else.
            raise _NoPlaceError
        for step in way:
            element = self._element(holds, step.name)
            # What is said of a resource as a whole needs no place that the record gives it.
            below = here.setdefault(step.name, {}) if step.name == "meta" else self._at(here, step)
            if below is None or element.kind is Kind.RESOURCE:
                raise _NoPlaceError
            here, holds = below, _holds(element)
        element = self._element(holds, last.name.removeprefix("_"))
        if last.name.startswith("_"):
            self._say(here, last.name, received, holds)
            return
        if kept.listed:
            item = self._fitting(received, element, kept.path)
            items = here.setdefault(last.name, [])
            if not element.listed or type(items) is not list:
                raise _NoPlaceError
            self._append(here, items, item, kept)
            return
        if last.name in here or _other_choice(here, holds, last.name):
            raise _NoPlaceError
        here[last.name] = self._fitting_all(received, element, kept.path)

    def _say(self, here: Json, name: str, received: Any, holds: Class) -> None:  # noqa: ANN401 - any JSON
        """Put what is said on a primitive beside it, never beside another one than it was said on."""
        if name in here or (self._element(holds, name[1:]).listed and name[1:] in here):
            raise _NoPlaceError
        here[name] = self._said(received, name[1:], holds)

    def _at(self, here: Json, step: Step) -> Json | None:
        """Return the object at a step, the item with its mark in a list."""
        value = here.get(step.name)
        if type(value) is list and id(value) not in self._marked:
            counted: dict[str, int] = {}
            self._marked[id(value)] = value, {mark(item, counted): item for item in value}
        found = self._marked[id(value)][1].get(step.mark) if type(value) is list else None if step.mark else value
        return found if type(found) is dict else None

    def _element(self, owner: Class, name: str) -> Element:
        element = elements(owner).get(name)
        if element is None:
            raise _NoPlaceError
        return element

    def _fitting_all(self, value: Any, element: Element, path: str) -> Any:  # noqa: ANN401 - any JSON
        """Return an element's value with each of its items fitting."""
        if not element.listed:
            return self._fitting(value, element, path)
        if type(value) is not list or not value:
            raise _NoPlaceError
        if element.kind in _HOLDING:
            return [self._fitting(item, element, path) for item in value]
        return [None if item is None else self._fitting(item, element, path) for item in value]

    def _fitting(self, value: Any, element: Element, path: str) -> Any:  # noqa: ANN401 - any JSON
        """Return one value as the release has it.

        Raises:
            _NoPlaceError: The release has no place for something in it.
        """
        if element.kind is Kind.RESOURCE:
            return self._fitting_resource(value, path)
        if element.kind is Kind.OBJECT:
            if type(value) is not dict or not value:
                raise _NoPlaceError
            return self._fitting_members(value, _holds(element), path)
        if not _is_of_kind(value, element.kind):
            raise _NoPlaceError
        return exact(value) if type(value) is Decimal else value

    def _fitting_resource(self, value: Any, path: str) -> Json:  # noqa: ANN401 - any JSON
        kind = text(value, "resourceType") if type(value) is dict else None
        owner = resource_class(kind, self.release) if kind is not None else None
        if owner is None:
            raise _NoPlaceError
        if "id" in value and not _is_id(text(value, "id") or ""):
            raise _NoPlaceError
        members = {name: item for name, item in value.items() if name != "resourceType"}
        return {"resourceType": kind, **self._fitting_members(members, owner, path)}

    def _fitting_members(self, value: Json, owner: Class, path: str) -> Json:
        known = elements(owner)
        made: Json = {}
        if owner.__name__ == _EXTENSION and not text(value, "url"):
            raise _NoPlaceError
        for name, item in value.items():
            if name.startswith("_"):
                made[name] = self._said(item, name[1:], owner)
                continue
            element = self._element(owner, name)
            if element.kind is Kind.MARKUP:
                made[name] = self._markup(item, path)
            else:
                made[name] = self._fitting_all(item, element, path)
        order = {name: rank for rank, name in enumerate(known)}
        return dict(sorted(made.items(), key=lambda member: (order[member[0].removeprefix("_")], member[0][0] == "_")))

    def _markup(self, div: Any, path: str) -> str:  # noqa: ANN401 - any JSON
        theirs = cleaned(div) if type(div) is str else None
        if theirs is None or theirs.div is None:
            raise _NoPlaceError
        if theirs.changed:
            self.issues.append(read_issue("read-narrative-cleaned", path))
        return theirs.div

    def _said(self, value: Any, name: str, owner: Class) -> Any:  # noqa: ANN401 - any JSON
        """Return what is said on a primitive: an id and extensions; for a list one for each item, or ``None``."""
        element = self._element(owner, name)
        if element.kind in _HOLDING or name == "id" or (name == "url" and owner.__name__ == _EXTENSION):
            # XML has the last two as attributes, on which nothing can be said.
            raise _NoPlaceError
        if not element.listed:
            return self._said_once(value, owner)
        if type(value) is not list or not any(value):
            raise _NoPlaceError
        return [None if item is None else self._said_once(item, owner) for item in value]

    def _said_once(self, value: Any, owner: Class) -> Json:  # noqa: ANN401 - any JSON
        if type(value) is not dict or not value or not value.keys() <= {"id", "extension"}:
            raise _NoPlaceError
        return self._fitting_members(value, _primitive_holder(owner), "$")

    def _ordered(self, made: Json, owner: Class) -> Json:
        """Return a resource of the report's own with its elements in order; what was there is left as it is."""
        known = {name: rank for rank, name in enumerate(elements(owner))}

        def rank(member: tuple[str, Any]) -> tuple[int, bool]:
            name = member[0]
            return known.get(name.removeprefix("_"), -1), name.startswith("_")

        ordered = dict(sorted(made.items(), key=rank))
        for name, element in elements(owner).items():
            if element.kind is not Kind.OBJECT or name not in ordered:
                continue
            value, holds = ordered[name], _holds(element)
            if type(value) is list:
                ordered[name] = [self._ordered(item, holds) if type(item) is dict else item for item in value]
            elif type(value) is dict:
                ordered[name] = self._ordered(value, holds)
        return ordered


def _value(kept: Kept) -> Any:  # noqa: ANN401 - any JSON
    try:
        return kept.value()
    except EntryError:
        raise _NoPlaceError from None


def _holds(element: Element) -> Class:
    if element.holds is None:
        raise _NoPlaceError
    return element.holds


def _primitive_holder(owner: Class) -> Class:
    """Return the class of what has an id and extensions and nothing else."""
    extension = elements(owner).get("extension")
    if extension is None or extension.holds is None:
        raise _NoPlaceError
    base: Class = extension.holds.__mro__[1]
    return base


def _other_choice(here: Json, owner: Class, name: str) -> bool:
    """Return whether an element of which there is a choice of types has another one already."""
    choices = {
        (field.alias or own): (field.json_schema_extra or {}).get("one_of_many")
        for own, field in owner.model_fields.items()
    }
    choice = choices.get(name)
    if choice is not None and choice in [choices.get(other) for other in here]:
        return True
    # An Observation has a value, or the reason why there is none (obs-6).
    return name in _SAYS and any(other in _SAYS for other in here)


_SAYS: Final = frozenset(
    (
        "dataAbsentReason",
        "valueQuantity",
        "valueCodeableConcept",
        "valueString",
        "valueBoolean",
        "valueInteger",
        "valueRange",
        "valueRatio",
        "valueSampledData",
        "valueTime",
        "valueDateTime",
        "valuePeriod",
        "valueAttachment",
        "valueReference",
    )
)


def _is_of_kind(value: Any, kind: Kind) -> bool:  # noqa: ANN401 - any JSON
    if kind is Kind.TEXT:
        return type(value) is str and value != "" and _has_forbidden(value) is None
    if kind is Kind.TRUTH:
        return type(value) is bool
    if isinstance(value, int):
        return not isinstance(value, bool) and abs(value) < 10**_MOST_DIGITS
    if kind is not Kind.DECIMAL or not isinstance(value, Decimal) or not value.is_finite():
        return False
    _, digits, exponent = value.as_tuple()
    return len(digits) <= _MOST_DIGITS and abs(int(exponent)) <= _MOST_DIGITS
