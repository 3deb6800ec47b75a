"""Observations as an entry has them, by the rows that wrote them."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cache
from itertools import count
from typing import TYPE_CHECKING, Any, Final

from dermreport.examination.observed import ListGoneThrough
from dermreport.fhir.extensions import Extension
from dermreport.fhir.ids import Thing
from dermreport.fhir.read.parts import Json, extended, first, objects, our_code, text
from dermreport.fhir.read.rules import read_issue
from dermreport.fhir.read.values import Coded, Field, code_of, coded, owner_of, value_of
from dermreport.fhir.read.values import field as field_of
from dermreport.vocabulary.attributes import Attribute
from dermreport.vocabulary.score_methods import ScoreMethod
from dermreport.vocabulary.term import code_system
from dermreport.wording.items import (
    BEDSIDE_TEST,
    EARLIER_SKIN_CANCER,
    FINDING,
    IMPRESSION,
    OUTCOME,
    SINGLE,
    VIEW,
    Kind,
)
from dermreport.wording.sentences import CAUTION

if TYPE_CHECKING:
    from collections.abc import Iterable

    from dermreport.fhir.ids import Identity
    from dermreport.fhir.read.received import Box, Received
    from dermreport.issues import Issue
    from dermreport.wording.items import Item

ATTRIBUTES: Final = code_system(Attribute)
METHODS: Final = code_system(ScoreMethod)

_BY_CATEGORY: Final = {Attribute.FINDING.value: Thing.FINDING, Attribute.BEDSIDE_TEST.value: Thing.TEST}
_BY_CODE: Final = {
    Attribute.VIEW.value: Thing.VIEW,
    Attribute.LIST_GONE_THROUGH.value: Thing.LIST,
    Attribute.EARLIER_SKIN_CANCER.value: Thing.EARLIER_CANCER,
    Attribute.IMPRESSION.value: Thing.IMPRESSION,
    Attribute.OUTCOME.value: Thing.OUTCOME,
    Attribute.FINDINGS.value: Thing.PANEL,
    Attribute.HISTORY.value: Thing.PANEL,
    Attribute.ASSESSMENT.value: Thing.PANEL,
}
_STATEMENTS: Final = {item.key: item for item in SINGLE}


def what_it_is(observation: Json) -> tuple[Thing, str] | None:
    """Return which of our Observations it is, and the code that it is about; ``None`` for somebody else's."""
    categories = observation.get("category")
    if type(categories) is list and len(categories) > 1:
        for category in categories:
            if type(category) is dict and (code := our_code(category, ATTRIBUTES)) in _BY_CATEGORY:
                return _BY_CATEGORY[code], ""
    concept = observation.get("code")
    if type(concept) is not dict:
        return None
    for coding in objects(concept, "coding"):
        system, code = coding.get("system"), coding.get("code")
        if type(code) is not str:
            continue
        if system == ATTRIBUTES:
            if code in _BY_CODE:
                return _BY_CODE[code], code
            return (Thing.STATEMENT, code) if code in _STATEMENTS else None
        if system == METHODS:
            return Thing.SCORE, code
    return None


def statement_of(code: str | None) -> Item | None:
    """Return the single item with the code of an attribute."""
    return _STATEMENTS.get(code) if code is not None else None


@dataclass(frozen=True, slots=True)
class _Row:
    """How one item's Observation is read."""

    value: Field | None
    parts: dict[str, Field]
    note: str


@cache
def _row(item: Item) -> _Row:
    return _Row(
        field_of(item, item.value, item.kind, item.unit) if item.value else None,
        {part.attribute.value: field_of(item, part.field, part.kind, part.unit) for part in item.parts},
        item.note,
    )


def _read(source: Received, item: Item) -> Json:
    """Return value, details and note of an Observation, by the fields of its row's object."""
    observation = source.resource
    row = _row(item)
    made: Json = {}
    if row.value is not None:
        value = value_of(observation, row.value, consistent=source.consistent)
        if value is not None:
            made[row.value.name] = value
    if row.parts:
        _details(source, row.parts, made)
    if row.note:
        note = text(first(observation, "note"), "text")
        if note is not None:
            made[row.note] = note
    return made


def _details(source: Received, parts: dict[str, Field], made: Json) -> None:
    """Put the details that the components say into an object of the entry."""
    for component in objects(source.resource, "component"):
        attribute = our_code(first(component, "code"), ATTRIBUTES)
        what = parts.get(attribute) if attribute is not None else None
        if what is None:
            continue
        value = value_of(component, what, consistent=source.consistent)
        if value is None:
            value = component
        if what.listed:
            made.setdefault(what.name, []).append(value)
        elif what.name in made:
            # Said twice: nobody can tell which is meant.
            made[what.name] = [made[what.name], value]
        else:
            made[what.name] = value


@dataclass(slots=True)
class Seen:
    """What the Observations of one report say, as lists of an entry.

    Attributes:
        entry: The entry, to which single items go.
        made: For each path in the entry the resource that it came from.
        view_keys: The key of each view, by its resource.
        makes_keys: Whether items without a key of their own get one, as in a report of another system.
        identity: That of the examination, by which the number of an item tells its key.
    """

    entry: Json
    makes_keys: bool = False
    identity: Identity | None = None
    made: dict[tuple[str | int, ...], Received] = field(default_factory=dict)
    view_keys: dict[int, Any] = field(default_factory=dict)

    def key(self, source: Received, path: str, thing: Thing) -> Any:  # noqa: ANN401 - any JSON
        """Return the key of an item that is to be added at a path."""
        found = key_of(source.resource, self.identity, thing)
        if found is not None or not self.makes_keys:
            return found
        here: Any = self.entry
        for name in path.split("."):
            here = here.get(name, {})
        taken = {one.get("key") for one in here}
        made = next(key for number in count(len(here) + 1) if (key := f"received-{number}") not in taken)
        if self.identity is not None:
            source.written_as = self.identity.uuid(thing, made)
        return made

    def put(self, path: str, values: Json, source: Received) -> None:
        """Put fields into the part of the entry at a path; one that is there already is a contradiction."""
        names = path.split(".") if path else []
        here = self.entry
        for name in names:
            here = here.setdefault(name, {})
        for name, value in values.items():
            here[name] = [here[name], value] if name in here else value
            self.made[*names, name] = source

    def add(self, path: str, item: Json, source: Received) -> None:
        """Add an item to the list of the entry at a path."""
        *names, last = path.split(".")
        here = self.entry
        for name in names:
            here = here.setdefault(name, {})
        items = here.setdefault(last, [])
        self.made[*names, last, len(items)] = source
        items.append(item)


def read_observations(seen: Seen, box: Box, observations: Iterable[tuple[Received, Thing, str]]) -> list[Issue]:
    """Put what Observations say into an entry, and return an issue on each that says nothing.

    Args:
        seen: The entry.
        box: What was received, for what they are derived from.
        observations: Each with what it is; views before what names them, lists in their order.
    """
    silent = []
    for source, thing, code in observations:
        if thing is Thing.STATEMENT:
            item = _STATEMENTS[code]
            said = _read(source, item)
            if said:
                seen.put(item.path, said, source)
            else:
                # It was an answer once, and nobody can tell whether an alarming one.
                silent.append(read_issue("read-not-held", source.path, reason="it has no value"))
        elif thing in _READERS:
            path, read = _READERS[thing]
            seen.add(path, read(seen, box, source), source)
    return silent


def key_of(resource: Json, identity: Identity | None, thing: Thing) -> Any:  # noqa: ANN401 - any JSON
    """Return an item's own key in the entry: the one that it says, else the end of its number."""
    found = extended(resource, Extension.ENTRY_KEY, "valueString")
    if found is not None or identity is None:
        return found
    begin = f"{identity.value}/{thing.value}/"
    for number in objects(resource, "identifier"):
        value = text(number, "value") or ""
        if number.get("system") == identity.system and value.startswith(begin):
            return value.removeprefix(begin)
    return None


def _view(seen: Seen, box: Box, source: Received) -> Json:
    del box
    made = {"key": seen.key(source, VIEW.path, Thing.VIEW), **_read(source, VIEW)}
    seen.view_keys[id(source.resource)] = made["key"]
    return made


@cache
def _view_key() -> Field:
    return Field("views", Kind.TEXT, VIEW.unit, None, listed=True)


def _seen_in(seen: Seen, box: Box, source: Received) -> list[Any]:
    """Return the keys of the views that an Observation names: those in components where one of them doesn't exist."""
    named = [
        value_of(component, _view_key(), consistent=source.consistent)
        for component in objects(source.resource, "component")
        if our_code(first(component, "code"), ATTRIBUTES) == Attribute.VIEW_KEY
    ]
    if named:
        return named
    keys: list[Any] = []
    for reference in objects(source.resource, "derivedFrom"):
        view = box.find(reference, source)
        if view is None or view.kind == "Observation":
            # A view that wasn't read has no key: without it «none named» would mean «all views».
            keys.append(seen.view_keys.get(id(view.resource)) if view is not None else None)
    return keys


@cache
def _coded(item: Item, name: str) -> Coded:
    return coded(owner_of(item.path), name)


def _list(seen: Seen, box: Box, source: Received) -> Json:
    concept = first(source.resource, "valueCodeableConcept")
    made: Json = {"list": code_of(concept, _list_code(), consistent=source.consistent)}
    views = _seen_in(seen, box, source)
    return {**made, "views": views} if views else made


@cache
def _list_code() -> Coded:
    return coded(ListGoneThrough, "list")


@cache
def _recorded() -> dict[str, Field]:
    """Return how the clinician's own answer is read where a finding counts otherwise."""
    because = _row(FINDING).parts[Attribute.NOT_ASSESSED_BECAUSE.value]
    presence = field_of(FINDING, FINDING.value, FINDING.kind, FINDING.unit)
    return {Attribute.RECORDED_ANSWER.value: presence, Attribute.RECORDED_REASON.value: because}


def _finding(seen: Seen, box: Box, source: Received) -> Json:
    made: Json = {
        "structure": code_of(
            first(source.resource, "code"), _coded(FINDING, "structure"), consistent=source.consistent
        ),
        **_read(source, FINDING),
    }
    recorded: Json = {}
    _details(source, _recorded(), recorded)
    if "presence" in recorded:
        made.pop("not_assessed_because", None)
        made |= recorded
    views = _seen_in(seen, box, source)
    if views:
        made["views"] = views
    return made


def _test(seen: Seen, box: Box, source: Received) -> Json:
    del seen, box
    code = code_of(first(source.resource, "code"), _coded(BEDSIDE_TEST, "test"), consistent=source.consistent)
    return {"test": code, **_read(source, BEDSIDE_TEST)}


def _earlier_cancer(seen: Seen, box: Box, source: Received) -> Json:
    del seen, box
    return _read(source, EARLIER_SKIN_CANCER)


def _impression(seen: Seen, box: Box, source: Received) -> Json:
    del box
    made = {"key": seen.key(source, IMPRESSION.path, Thing.IMPRESSION), **_read(source, IMPRESSION)}
    if len(objects(source.resource, "note")) == 1 and made.get("note") == CAUTION:
        # The caution stands behind every impression; it is no note of the clinician's.
        del made["note"]
    return made


def _outcome(seen: Seen, box: Box, source: Received) -> Json:
    del box
    made = {"key": seen.key(source, OUTCOME.path, Thing.OUTCOME), **_read(source, OUTCOME)}
    when = source.resource.get("effectiveDateTime")
    return made if when is None else {**made, "date": when}


_READERS: Final = {
    Thing.VIEW: (VIEW.path, _view),
    Thing.LIST: ("lists_gone_through", _list),
    Thing.FINDING: (FINDING.path, _finding),
    Thing.TEST: (BEDSIDE_TEST.path, _test),
    Thing.EARLIER_CANCER: (EARLIER_SKIN_CANCER.path, _earlier_cancer),
    Thing.IMPRESSION: (IMPRESSION.path, _impression),
    Thing.OUTCOME: (OUTCOME.path, _outcome),
}


def rank_of(observation: Json) -> int | None:
    """Return the clinician's rank of an impression."""
    for component in objects(observation, "component"):
        if our_code(first(component, "code"), ATTRIBUTES) == Attribute.RANK:
            rank = first(component, "valueQuantity").get("value")
            return rank if type(rank) is int else None
    return None
