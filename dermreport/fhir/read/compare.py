"""What was received and isn't the report's own, found by writing the report anew and comparing.

So nothing that the reader passes over is lost: whatever this library wouldn't write for the same examination is
somebody else's.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Final

from msgspec.structs import replace

from dermreport.examination.people import URN_UUID
from dermreport.examination.reader import write_json
from dermreport.fhir.build import build
from dermreport.fhir.codes import CRITERION_SYSTEM
from dermreport.fhir.document import composition
from dermreport.fhir.foreign import NOT_SENT, Foreign, Kept, KeptKind, Step, stood, value_beside
from dermreport.fhir.frame import Built, Request
from dermreport.fhir.ids import Thing, is_uuid, name_uuid
from dermreport.fhir.letters import is_letter
from dermreport.fhir.people import Pointing
from dermreport.fhir.read.narratives import same
from dermreport.fhir.read.observations import what_it_is
from dermreport.fhir.read.parts import Json, first, objects, our_code, text
from dermreport.fhir.read.rules import read_issue
from dermreport.fhir.releases import Release, shape_of
from dermreport.fhir.write import fresh
from dermreport.issues import BuildError
from dermreport.publication import CANONICAL_BASE
from dermreport.reviews.review import review
from dermreport.settings import Intent, Settings
from dermreport.wording.report import tell

if TYPE_CHECKING:
    from collections.abc import Sequence

    from dermreport.examination.model import Examination
    from dermreport.fhir.read.received import Box, Received
    from dermreport.issues import Issue

#: What a server or a bundle says of a resource, which is nothing of the resource's own.
_OF_THE_SERVER: Final = frozenset(("versionId", "lastUpdated", "source"))


def mark(item: Any, counted: dict[str, int]) -> str:  # noqa: ANN401 - any JSON
    """Return what tells an item of a list from the others: what it is about, and which one of several of those."""
    about = _about(item)
    counted[about] = counted.get(about, 0) + 1
    return f"{about}#{counted[about]}"


def _about(item: Any) -> str:  # noqa: ANN401 - any JSON
    if type(item) is not dict:
        return write_json(item)
    named = next(
        (f"{name}:{item[name]}" for name in ("url", "reference", "title") if type(item.get(name)) is str), None
    )
    if named is not None or "coding" in item:
        return named or _concept(item)
    answer = first(item, "valueCodeableConcept")
    if our_code(answer, CRITERION_SYSTEM) is not None:
        # One of several criteria: the question is the same for all, the answer tells which one it is about.
        return f"criterion:{_concept(answer)}"
    for name in ("code", "link", "type", "structure", "concept", "reference", "attachment"):
        if type(item.get(name)) is dict:
            return f"{name}:{_about(item[name])}"
    if type(item.get("system")) is str:
        return f"{item['system']}|{item.get('code', item.get('value'))}"
    return f"{item['resourceType']}/{item.get('id')}" if "resourceType" in item else write_json(item)


def _concept(concept: Json) -> str:
    """Return the coding by which a concept is known: ours where it has one, else the first."""
    given = objects(concept, "coding")
    ours = [one for one in given if (text(one, "system") or "").startswith(CANONICAL_BASE)]
    for one in (*ours, *given):
        return f"coding:{text(one, 'system')}|{text(one, 'code')}"
    return write_json(concept)


def foreign_of(box: Box, examinations: Sequence[Examination]) -> Foreign:
    """Return everything that was received and isn't what these examinations say."""
    found = _Found(box)
    for built in _own(box, examinations):
        found.know(built)
    found.collect()
    return Foreign(tuple(found.kept), tuple(found.issues), tuple(stood(one) for one in examinations))


def _own(box: Box, examinations: Sequence[Examination]) -> Iterator[Built]:
    """Yield the resources that this library writes for the examinations, with everything that a setting can add."""
    intents = {text(one.resource, "intent") for one in box.of("ServiceRequest")}
    settings = Settings(
        claim_profiles=True,
        unsuitable_scores=any(_is_unsuitable_score(one.resource) for one in box.of("Observation")),
        intent=Intent.ORDER if Intent.ORDER.value in intents else Intent.PLAN,
    )
    reviews = [review(one, settings) for one in examinations]
    tolds = [tell(one) for one in reviews]
    shape = shape_of(_release(box))
    how = _pointing(box)
    try:
        visits = [build(reviews, tolds, shape, how)] if reviews else []
    except BuildError:
        # Reports of one patient whom they call differently.
        visits = [build([one], [told], shape, how) for one, told in zip(reviews, tolds, strict=True)]
    for visit in visits:
        yield from visit.all
        if how is Pointing.INSIDE:
            try:
                # What leads to the letters received is ours, and the letters are kept.
                yield composition(replace(visit, letters=_letters(box)), shape)
            except BuildError:
                continue


def _letters(box: Box) -> list[Built]:
    """Return the letters of ours that were received, as far as a Composition needs to know them."""
    found = [one for one in box.of("DocumentReference") if one.full_url is not None and is_letter(one.resource)]
    return [Built("", one.resource, "", Request.ONCE, 1, {"reference": one.full_url}) for one in found]


def _pointing(box: Box) -> Pointing:
    """Return how the sender pointed to people: by a search, or a number, where nobody may be created."""
    if box.of("Composition"):
        return Pointing.INSIDE
    subjects = [first(one.resource, "subject") for one in box.of("DiagnosticReport")]
    searched = any("?" in (text(one, "reference") or "?") for one in subjects)
    return Pointing.BY_SEARCH if searched else Pointing.TO_HOST


def _is_unsuitable_score(observation: Json) -> bool:
    """Return whether it is a score of a method that isn't valid there: a sender can send these or not."""
    found = what_it_is(observation)
    return found is not None and found[0] is Thing.SCORE and "dataAbsentReason" in observation


def _release(box: Box) -> Release:
    """Return the release in which the lesions are written, which differ."""
    r5 = any("includedStructure" in one.resource for one in box.of("BodyStructure"))
    return Release.R5 if r5 else Release.R4


@dataclass(slots=True)
class _Found:
    """What was found to be foreign, so far."""

    box: Box
    kept: list[Kept] = field(default_factory=list)
    issues: list[Issue] = field(default_factory=list)
    _by_number: dict[tuple[str, Any, Any], Built] = field(default_factory=dict)
    _by_uuid: dict[str, Built] = field(default_factory=dict)
    _addresses: dict[int, str] = field(default_factory=dict)
    _people: set[int] = field(default_factory=set)

    def know(self, built: Built) -> None:
        """Take in one of the report's own resources."""
        self._by_uuid.setdefault(built.uuid, built)
        for number in objects(built.resource, "identifier"):
            self._by_number.setdefault((built.resource["resourceType"], number["system"], number["value"]), built)

    def collect(self) -> None:
        """Compare every resource received with the report's own."""
        matched = {id(one): self._match(one) for one in self.box.resources}
        taken: set[str] = set()
        for one in self.box.resources:
            own = matched[id(one)]
            if own is not None and own.uuid in taken:
                matched[id(one)] = own = None
            if own is not None:
                taken.add(own.uuid)
            self._addresses[id(one)] = own.uuid if own is not None else _uuid_of(one)
        self._point_to_people()
        for one in self.box.resources:
            received = _Referring(self.box, self._addresses, self._people, one).resource()
            own = matched[id(one)]
            if own is None:
                self._keep_whole(one, received)
            else:
                _Comparison(self, one, own.uuid, own.resource).resource(own.resource, received)
        if self.box.envelope:
            self.keep(Kept(KeptKind.ENVELOPE, "$", "Bundle", write_json(self.box.envelope)), "read-kept")

    def _point_to_people(self) -> None:
        """Take the people of a report for its own, though a server can know them by other numbers."""
        for report in self.box.of("DiagnosticReport"):
            own = self._match(report)
            if own is None:
                continue
            written = [*objects(own.resource, "subject"), *objects(own.resource, "performer")]
            received = [*objects(report.resource, "subject"), *objects(report.resource, "performer")]
            for ours, theirs in zip(written, received, strict=False):
                person = self.box.find(theirs, report)
                literal = text(ours, "reference") or ""
                if person is not None and literal.startswith(URN_UUID):
                    self._addresses[id(person)] = literal.removeprefix(URN_UUID)
                    self._people.add(id(person))

    def _match(self, one: Received) -> Built | None:
        if one.changed or (one.withdrawn and not self._all_withdrawn()):
            return None
        for number in objects(one.resource, "identifier"):
            found = self._by_number.get((one.kind, text(number, "system"), text(number, "value")))
            if found is not None:
                return found
        found = self._by_uuid.get(one.written_as or text(one.resource, "id") or "")
        return found if found is not None and found.resource["resourceType"] == one.kind else None

    def _all_withdrawn(self) -> bool:
        return all(one.withdrawn for one in self.box.of("DiagnosticReport"))

    def _keep_whole(self, one: Received, received: Json) -> None:
        meta = {name: value for name, value in first(received, "meta").items() if name not in _OF_THE_SERVER}
        received = {name: value for name, value in received.items() if name != "meta"}
        if meta:
            received["meta"] = meta
        kept = Kept(
            KeptKind.RESOURCE,
            one.path,
            one.kind,
            write_json(received),
            withdrawn=one.withdrawn,
            contradicted=one.contradicted,
            uuid=self._addresses[id(one)],
        )
        self.keep(kept, "read-withdrawn" if one.withdrawn else "read-kept")

    def keep(self, kept: Kept, rule: str) -> None:
        """Keep a piece, and say so."""
        self.kept.append(kept)
        self.issues.append(read_issue(rule, kept.path))


def _uuid_of(one: Received) -> str:
    """Return the UUID under which a foreign resource is sent: its own, or one made of its address.

    It becomes a part of the address of a request, so that nothing but a UUID may be taken for one.
    """
    own = (one.full_url or "").removeprefix(URN_UUID), text(one.resource, "id") or ""
    for found in own:
        if is_uuid(found) and not found.startswith(URN_UUID):
            return found
    return name_uuid(f"received|{one.address}")


@dataclass(slots=True)
class _Referring:
    """Writes references within what was received as references to what will be sent."""

    box: Box
    addresses: dict[int, str]
    people: set[int]
    owner: Received

    def resource(self) -> Json:
        """Return a copy of the resource."""
        made: Json = self._of(fresh(self.owner.resource))
        return made

    def _of(self, value: Any) -> Any:  # noqa: ANN401 - any JSON
        if type(value) is list:
            return [self._of(item) for item in value]
        if type(value) is not dict:
            return value
        made = {name: self._of(item) if type(item) in {dict, list} else item for name, item in value.items()}
        literal = text(value, "reference")
        if literal is not None and not literal.startswith("#"):
            target = self.box.find(value, self.owner)
            uuid = self.addresses.get(id(target))
            # What the host keeps stays where the host has it.
            stays = target is not None and target.kind in NOT_SENT and id(target) not in self.people
            if uuid is not None and not (stays and not literal.startswith(URN_UUID)):
                made["reference"] = f"{URN_UUID}{uuid}"
        return made


@dataclass(slots=True)
class _Comparison:
    """Compares one resource received with the report's own."""

    found: _Found
    source: Received
    owner: str
    own: Json

    def resource(self, own: Json, received: Json) -> None:
        """Compare two resources: ids and what a server adds are nobody's content."""
        self._narrative(own, received)
        skipped = {"resourceType", "id", "text", "meta"}
        self._members(
            {name: value for name, value in own.items() if name not in skipped},
            {name: value for name, value in received.items() if name not in skipped},
            (),
            self.source.path,
        )
        meta = {name: value for name, value in first(received, "meta").items() if name not in _OF_THE_SERVER}
        if meta:
            own_meta = first(own, "meta")
            if own_meta:
                self._members(own_meta, meta, (Step("meta"),), f"{self.source.path}.meta")
            else:
                self._keep(KeptKind.ADDED, meta, (Step("meta"),), f"{self.source.path}.meta")

    def _narrative(self, own: Json, received: Json) -> None:
        theirs = received.get("text")
        ours = own.get("text")
        if theirs is None or theirs == ours:
            return
        if type(theirs) is dict and type(ours) is dict and theirs.keys() == ours.keys():
            div = text(theirs, "div")
            if theirs.get("status") == ours["status"] and div is not None and same(ours["div"], div):
                return
        self._keep(KeptKind.NARRATIVE, theirs, (Step("text"),), f"{self.source.path}.text")

    def _members(self, own: Json, received: Json, steps: tuple[Step, ...], path: str) -> None:
        for name, value in received.items():
            if name == "resourceType":
                continue
            below, there = (*steps, Step(name)), f"{path}.{name}"
            if name not in own:
                # A name that the report's own resource doesn't have can be anybody's words: it stays out of paths.
                self._keep(KeptKind.ADDED, value, below, path)
            elif type(value) is dict and type(own[name]) is dict:
                self._members(own[name], value, below, there)
            elif type(value) is list and type(own[name]) is list:
                self._items(own[name], value, below, there)
            elif name == "div" and type(value) is str and same(own[name], value):
                continue
            elif not _equal(own[name], value):
                self._keep(KeptKind.CHANGED, value, below, there)

    def _items(self, own: list[Any], received: list[Any], steps: tuple[Step, ...], path: str) -> None:
        counted: dict[str, int] = {}
        known = {mark(item, counted): item for item in own}
        counted = {}
        for position, item in enumerate(received):
            marked = mark(item, counted)
            there = f"{path}[{position}]"
            if marked not in known:
                self._keep(KeptKind.ADDED, item, steps, there, listed=True)
            elif type(item) is dict:
                way = (*steps[:-1], Step(steps[-1].name, marked))
                self._members(known[marked], item, way, there)

    def _keep(
        self,
        kind: KeptKind,
        value: Any,  # noqa: ANN401 - any JSON
        steps: tuple[Step, ...],
        path: str,
        *,
        listed: bool = False,
    ) -> None:
        kept = Kept(
            kind,
            path,
            self.source.kind,
            write_json(value),
            withdrawn=self.source.withdrawn,
            owner=self.owner,
            steps=steps,
            listed=listed,
            beside=value_beside(self.own, steps),
        )
        self.found.keep(kept, "read-changed" if kind is KeptKind.CHANGED else "read-kept")


def _equal(own: Any, received: Any) -> bool:  # noqa: ANN401 - any JSON
    """Return whether two values are the same in JSON, digit for digit."""
    return write_json(fresh(own)) == write_json(received)
