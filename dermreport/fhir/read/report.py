"""One report as an examination: which resources are its own, in which order, and what they say together."""

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any, Final, NamedTuple

from dermreport.answers import answers
from dermreport.examination.entry import from_entry
from dermreport.examination.entry_rules import entry_issue
from dermreport.examination.model import Examination
from dermreport.examination.people import Identifier
from dermreport.fhir.empty_parts import may_be_empty
from dermreport.fhir.extensions import Extension
from dermreport.fhir.ids import Identity, Thing
from dermreport.fhir.read import differences, people, resources
from dermreport.fhir.read.checks import SentScore, checked, sent_score, status_issues, summary_issues
from dermreport.fhir.read.contradictions import is_contradictory, looked_through, says_two_things
from dermreport.fhir.read.either import (
    earlier_reference,
    lesion_reference,
    request_concept,
    request_information,
)
from dermreport.fhir.read.observations import Seen, key_of, rank_of, read_observations, what_it_is
from dermreport.fhir.read.parts import Json, codings, extended, extensions, first, objects, our_code, text
from dermreport.fhir.read.patients import is_of_a_patient
from dermreport.fhir.read.rules import read_issue
from dermreport.fhir.read.values import identifier_of, is_made_of, reference_of
from dermreport.issues import EntryError, Issue, Severity
from dermreport.publication import CANONICAL_BASE
from dermreport.reviews.review import ReviewParts
from dermreport.vocabulary.concerns import Concern
from dermreport.vocabulary.finding_lists import FindingList
from dermreport.vocabulary.implied_concerns import ImpliedConcern
from dermreport.vocabulary.impressions import Impression
from dermreport.vocabulary.plan_actions import PlanAction
from dermreport.vocabulary.presences import Presence
from dermreport.vocabulary.replies import Reply
from dermreport.vocabulary.statuses import Status
from dermreport.vocabulary.structures import Structure
from dermreport.vocabulary.term import code_system

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence
    from collections.abc import Set as AbstractSet

    from dermreport.answers import Answers
    from dermreport.fhir.read.received import Box, Received


STRUCTURES: Final = code_system(Structure)
ACTIONS: Final = code_system(PlanAction)
#: The items of each list.
_ASKED: Final = {one.value: frozenset(item.value for item in one.structures) for one in FindingList}


class Own(NamedTuple):
    """An Observation of a report, and what it is."""

    source: Received
    thing: Thing
    code: str


@dataclass(slots=True)
class Parts:
    """The resources of one report.

    Attributes:
        report: The report.
        observations: In the order in which they are read.
        others: The others by what they are, in their order.
        issues: What is missing or not read among them.
        incomplete: Whether something of what was seen is missing or not read.
        focus: How each Observation points to the report's lesion, as it is written.
        settled: The statuses of a part that is as settled as the report.
    """

    report: Received
    observations: list[Own] = field(default_factory=list)
    others: dict[Thing, list[Received]] = field(default_factory=dict)
    issues: list[Issue] = field(default_factory=list)
    incomplete: bool = False
    focus: list[Json] = field(default_factory=list)
    settled: frozenset[str | None] = field(init=False)

    def __post_init__(self) -> None:
        """Look at the report's own status once."""
        own = self.report.status
        self.settled = _SETTLED if own in _SETTLED else _SETTLED | {own}

    @property
    def all(self) -> list[Received]:
        """Every resource of the report, itself included."""
        return [
            self.report,
            *(own.source for own in self.observations),
            *(one for several in self.others.values() for one in several),
        ]


class Read(NamedTuple):
    """What became of one report.

    Attributes:
        examination: The examination, or ``None`` where it can't be held.
        issues: Everything that was found.
        scores: The scores that were sent.
        parts: The resources of the report.
    """

    examination: Examination | None
    issues: tuple[Issue, ...]
    scores: tuple[SentScore, ...]
    parts: Parts


def is_ours(report: Json) -> bool:
    """Return whether a report was written by this library: it keeps the status under which it was entered."""
    return bool(extensions(report, Extension.ENTRY_STATUS))


def own_identifier(report: Json) -> Json:
    """Return the Identifier of an examination: the first one of its report."""
    return first(report, "identifier")


def identity_of(report: Json) -> Identity | None:
    """Return the identity of a report's examination."""
    number = own_identifier(report)
    try:
        return Identity(Identifier.model_validate({name: number[name] for name in ("system", "value")}))
    except (KeyError, EntryError):
        return None


def parts_of(report: Received, identity: Identity, box: Box) -> Parts:
    """Return the resources of a report: those it refers to, and those that refer to it."""
    parts = Parts(report, focus=[lesion_reference(report.resource)])
    _observations(parts, identity, box)
    others = parts.others
    for place, reference in (("extension", lesion_reference(report.resource)),):
        if reference and (found := _followed(parts, box, reference, f"{report.path}.{place}")):
            others.setdefault(Thing.LESION, []).append(found)
    linked = []
    for position, media in enumerate(objects(report.resource, "media")):
        found = _followed(parts, box, first(media, "link"), f"{report.path}.media[{position}].link")
        if found is not None:
            linked.append(found)
    others[Thing.IMAGE] = linked
    parts.issues.extend(read_issue("read-part-status", one.path) for one in linked if one.status not in _PICTURED)
    others[Thing.ACTION] = _ranked(_current(parts, _requests(report, identity, box)))
    advice = (one for one in box.of("Communication") if _points(one, "about", report, box) or _is_owned(one, identity))
    given = _current(parts, advice)
    others[Thing.SAFETY_NET] = [one for one in given if is_like(parts, one, _GIVEN)]
    owned = (one for one in box.of("DetectedIssue") if _is_departure(one, identity) or _is_owned(one, identity))
    departures = _current(parts, owned)
    others[Thing.DEPARTURE] = _ranked([one for one in departures if is_like(parts, one, parts.settled)])
    return parts


#: Status of a picture: Media in R4, DocumentReference in R5.
_PICTURED: Final = frozenset(("completed", "current", "entered-in-error"))
#: Status of advice that was given.
_GIVEN: Final = frozenset(("completed", "entered-in-error"))
#: Statuses of what is finished, in a report and in an Observation.
_SETTLED: Final[frozenset[str | None]] = frozenset(("final", "amended", "corrected", "appended"))


def is_like(parts: Parts, source: Received, statuses: frozenset[str | None] | frozenset[str]) -> bool:
    """Return whether a part has one of some statuses, and note it where it hasn't."""
    if parts.report.withdrawn or source.status in statuses:
        return True
    parts.issues.append(read_issue("read-part-status", source.path))
    return False


def _requests(report: Received, identity: Identity, box: Box) -> Iterable[Received]:
    for request in box.of("ServiceRequest"):
        number = first(request.resource, "requisition")
        asked_here = number.get("system") == identity.system and number.get("value") == identity.value
        if (
            asked_here
            or _is_owned(request, identity)
            or (is_our_request(request.resource) and rests_on(request, report, box))
        ):
            yield request


def is_our_request(request: Json) -> bool:
    """Return whether a request is a step of ours: by its key, or by its code where a server took out extensions."""
    if extensions(request, Extension.ENTRY_KEY):
        return True
    return our_code(request_concept(request), ACTIONS) is not None


def rests_on(request: Received, report: Received, box: Box) -> bool:
    """Return whether a request points to a report as what it rests on."""
    return any(box.find(one, request) is report for one in request_information(request.resource))


def _points(source: Received, name: str, report: Received, box: Box) -> bool:
    return any(box.find(reference, source) is report for reference in objects(source.resource, name))


def _is_owned(source: Received, identity: Identity) -> bool:
    """Whether a resource has a number that was made of the examination's own; a plugin's isn't the record's."""
    begin, added = f"{identity.value}/", f"{identity.value}/{Thing.PLUGIN}/"
    numbers = [
        text(number, "value") or ""
        for number in objects(source.resource, "identifier")
        if number.get("system") == identity.system
    ]
    return any(number.startswith(begin) and not number.startswith(added) for number in numbers)


def _is_departure(source: Received, identity: Identity) -> bool:
    key = key_of(source.resource, identity, Thing.DEPARTURE)
    if type(key) is not str:
        return False
    own = identity.item(Thing.DEPARTURE, key).identifier
    return any(
        number.get("system") == own["system"] and number.get("value") == own["value"]
        for number in objects(source.resource, "identifier")
    )


def _current(parts: Parts, found: Iterable[Received]) -> list[Received]:
    """Return those that may be read, and note the others: nothing of what was seen is in them."""
    before = parts.incomplete
    made = [one for one in found if _is_current(parts, one, linked=_is_planned(parts.report, one))]
    parts.incomplete = before
    return made


def _planned(report: Received) -> Iterator[tuple[str, Json]]:
    """Yield what a report says that there is beside it, which points to it: path and reference."""
    for position, one in enumerate(objects(report.resource, "extension")):
        if one.get("url") == Extension.PLANNED.url:
            yield f"{report.path}.extension[{position}]", first(one, "valueReference")


def _is_planned(report: Received, source: Received) -> bool:
    return any(_has_number(source, first(reference, "identifier")) for _, reference in _planned(report))


def _has_number(source: Received, number: Json) -> bool:
    return any(
        (text(one, "system"), text(one, "value")) == (text(number, "system"), text(number, "value"))
        for one in objects(source.resource, "identifier")
    )


def _missing_plan(parts: Parts, box: Box) -> None:
    """Note planned steps, advice and departures of which the report knows and which weren't received."""
    for path, reference in _planned(parts.report):
        number = first(reference, "identifier")
        there = (one for kind in _PLAN_KINDS for one in box.of(kind))
        if not any(_has_number(one, number) for one in there):
            parts.issues.append(read_issue("read-part-missing", path))


_PLAN_KINDS: Final = ("ServiceRequest", "Communication", "DetectedIssue")


def _is_current(parts: Parts, source: Received, *, linked: bool) -> bool:
    if source.changed:
        parts.issues.append(read_issue("read-modifier", source.path))
        parts.incomplete = True
        return False
    if source.withdrawn and not parts.report.withdrawn:
        parts.issues.append(read_issue("read-part-withdrawn" if linked else "read-withdrawn", source.path))
        parts.incomplete = parts.incomplete or linked
        return False
    return True


def _ranked(found: list[Received]) -> list[Received]:
    """Return items in the order of their list; one without a place comes last."""
    return sorted(found, key=lambda one: (resources.entry_rank(one.resource) or _LAST, one.path))


_LAST: Final = 1 << 30


def _followed(parts: Parts, box: Box, reference: Json, path: str) -> Received | None:
    found = box.find(reference, parts.report)
    if found is None:
        parts.issues.append(read_issue("read-part-missing", path))
        parts.incomplete = True
        return None
    return found if _is_current(parts, found, linked=True) else None


#: Views are read before what names them.
_ORDER: Final = {thing: rank for rank, thing in enumerate((Thing.VIEW, Thing.LIST, Thing.FINDING))}


def _observations(parts: Parts, identity: Identity, box: Box) -> None:
    """Follow the report's results and their members, each once, and take what else is the report's own."""
    seen: set[int] = set()
    found = list(_linked(parts, box, identity, seen))
    for source in box.of("Observation"):
        if id(source) in seen or not _is_owned(source, identity):
            continue
        # What nothing points to may be left over from another reading: it counts only where the way to it is missing.
        if source.withdrawn or parts.incomplete:
            found.extend(_own(parts, source, box, identity, linked=False))
    _not_linked(parts, box, identity, seen)
    impressions = [one for one in found if one.thing is Thing.IMPRESSION]
    impressions.sort(key=lambda one: rank_of(one.source.resource) or _LAST)
    others = [one for one in found if one.thing is not Thing.IMPRESSION]
    others.sort(key=lambda one: _ORDER.get(one.thing, len(_ORDER)))
    parts.observations = [*others, *impressions]


def _not_linked(parts: Parts, box: Box, identity: Identity, seen: set[int]) -> None:
    """Note each Observation of ours about the report's lesion to which nothing points, but what was withdrawn."""
    report = parts.report.resource
    for source in box.of("Observation"):
        if id(source) in seen or source.withdrawn or parts.report.withdrawn:
            continue
        resource = source.resource
        if what_it_is(resource) is None and not _has_our_code(resource):
            continue
        here = bool(resource.get("focus")) and _is_of_its_lesion(parts, source, box)
        at_once = resource.get("effectiveDateTime") == report.get("effectiveDateTime")
        if _is_owned(source, identity) or (here and at_once):
            parts.issues.append(read_issue("read-not-linked", source.path))
            parts.incomplete = True


def _linked(parts: Parts, box: Box, identity: Identity, seen: set[int]) -> Iterator[Own]:
    """Yield the report's results and their members; references that lead in a circle are followed once."""
    below: list[tuple[Received, str]] = [(parts.report, "result")]
    for owner, member in below:
        references = objects(owner.resource, member)
        if not references and any(one.kind == "Observation" and _is_owned(one, identity) for one in box.resources):
            # The way to what is there is gone: what was seen must not look like nothing.
            parts.issues.append(read_issue("read-part-missing", f"{owner.path}.{member}"))
            parts.incomplete = True
        for position, reference in enumerate(references):
            source = box.find(reference, owner)
            if source is None or source.kind != "Observation":
                parts.issues.append(read_issue("read-part-missing", f"{owner.path}.{member}[{position}]"))
                parts.incomplete = True
            elif id(source) not in seen:
                seen.add(id(source))
                for own in _own(parts, source, box, identity, linked=True):
                    yield own
                    if own.thing is Thing.PANEL:
                        below.append((source, "hasMember"))


def _own(parts: Parts, source: Received, box: Box, identity: Identity, *, linked: bool) -> list[Own]:
    """Return an Observation with what it is, in a list; an empty one where it isn't ours or may not be read."""
    if not _is_current(parts, source, linked=linked):
        return []
    own = what_it_is(source.resource)
    if own is not None and not _is_of_its_patient(parts, source, box):
        return []
    if own is None and linked and not _is_owned(source, identity) and not _has_our_code(source.resource):
        parts.issues.append(read_issue("read-foreign-member", source.path))
    if own is None:
        if _is_owned(source, identity) and not _has_our_code(source.resource):
            # It was a part of the record once, and nobody can tell whether an alarming one.
            parts.issues.append(read_issue("read-not-held", source.path, reason="nothing says what it is about"))
            parts.incomplete = True
        return []
    made = Own(source, *own)
    contradictory, source.plain = looked_through(source.resource)
    source.consistent = not contradictory
    if not source.consistent:
        parts.issues.append(read_issue("read-contradiction", source.path))
        parts.incomplete = True
        if is_contradictory(first(source.resource, "code")):
            return []
    return [made] if _may_count(parts, made) else []


def _is_of_its_patient(parts: Parts, source: Received, box: Box) -> bool:
    """Return whether an Observation says clearly that it is about the report's patient, and note it where it doesn't.

    That all patients who are named are one is known by now.
    """
    if not _is_of_its_lesion(parts, source, box):
        parts.issues.append(read_issue("read-lesion-differs", source.path))
        parts.incomplete = True
        return False
    subject = source.resource.get("subject")
    if subject is not None and subject == parts.report.resource.get("subject"):
        return True
    if is_of_a_patient(source, box):
        return True
    parts.issues.append(read_issue("read-patient-unclear", source.path))
    parts.incomplete = True
    return False


def _is_of_its_lesion(parts: Parts, source: Received, box: Box) -> bool:
    """Return whether an Observation is about the report's lesion, where either says which."""
    about = source.resource.get("focus")
    if about is None or about == parts.focus:
        return True
    lesion = first(parts.report.resource, "extension") and lesion_reference(parts.report.resource)
    if not lesion:
        return True
    known = box.find(lesion, parts.report)
    literal = text(lesion, "reference")
    for one in objects(source.resource, "focus"):
        found = box.find(one, source)
        if found is not known or (found is None and text(one, "reference") != literal):
            return False
    return True


def _has_our_code(observation: Json) -> bool:
    """Return whether a code of ours says what it is about, which may be one of a newer version."""
    return any((system or "").startswith(CANONICAL_BASE) for system, _ in codings(first(observation, "code")))


def _may_count(parts: Parts, own: Own) -> bool:
    """Return whether an Observation is as settled as its report; what alarms is read all the same, and so is a panel.

    What is less settled than its report never reassures: it is no «absent», and the lists are undone.
    """
    if is_like(parts, own.source, parts.settled):
        return True
    parts.incomplete = True
    if own.thing is Thing.PANEL:
        return True
    return any(one in _ALARMING for one in codings(first(own.source.resource, "valueCodeableConcept")))


#: Answers that nobody takes for harmless.
_ALARMING: Final = {
    (code_system(type(one)), one.value)
    for one in (
        Presence.PRESENT,
        Presence.UNCERTAIN,
        Reply.YES,
        Concern.SUSPICIOUS,
        Concern.UNCERTAIN,
        *(one for one in Impression if one.concern is not ImpliedConcern.BENIGN),
    )
}


def read_report(report: Received, box: Box, identities: Sequence[Identity]) -> Read:
    """Read one report of ours.

    Args:
        report: The report.
        box: What was received with it.
        identities: Those of all reports received.
    """
    if report.changed:
        return Read(None, (read_issue("read-modifier", report.path),), (), Parts(report))
    identity = identity_of(report.resource)
    if identity is None:
        issue = read_issue("read-not-held", f"{report.path}.identifier", reason="no identifier")
        return Read(None, (issue,), (), Parts(report))
    parts = parts_of(report, identity, box)
    seen = Seen(_head(report, box, identities), makes_keys=True, identity=identity)
    _without_extensions(parts, identity)
    _missing_plan(parts, box)
    _documents(parts, box)
    _patients(parts, box)
    _in_use(parts, box)
    parts.issues.extend(read_observations(seen, box, parts.observations))
    _sites(seen, parts)
    _lesion(seen, parts, identity)
    _images(seen, parts, box)
    _plan(seen, parts)
    _empty(seen.entry, report.resource)
    return _held(seen, parts)


def _head(report: Received, box: Box, identities: Sequence[Identity]) -> Json:
    resource = report.resource
    empty = {text(found, "valueString") for found in extensions(resource, Extension.ENTRY_EMPTY)}
    made: Json = {
        "identifier": identifier_of(own_identifier(resource)),
        "status": _status(resource),
        "patient": (
            {}
            if people.PATIENT.thing.value in empty
            else people.person(people.PATIENT, first(resource, "subject"), report, box, identities)
        ),
        "examined": resource.get("effectiveDateTime"),
        "recorded": resource.get("issued"),
        "revision": extended(resource, Extension.ENTRY_REVISION, "valuePositiveInt"),
    }
    references = {
        "encounter": first(resource, "encounter"),
        "order": first(resource, "basedOn"),
        "earlier": earlier_reference(resource),
    }
    for performer in objects(resource, "performer"):
        if performer.get("type") == "Organization" or (text(performer, "reference") or "").startswith("Organization/"):
            references["organisation"] = performer
        elif "examiner" not in made:
            made["examiner"] = (
                {}
                if people.EXAMINER.thing.value in empty
                else people.person(people.EXAMINER, performer, report, box, identities)
            )
    made |= {name: reference_of(reference) for name, reference in references.items()}
    return {name: value for name, value in made.items() if value is not None}


def _status(report: Json) -> Any:  # noqa: ANN401 - any JSON
    """Return the status as entered; a report that was entered in error is, whoever said so."""
    if report.get("status") == "entered-in-error":
        return Status.ENTERED_IN_ERROR.value
    return extended(report, Extension.ENTRY_STATUS, "valueCode")


def _lesion(seen: Seen, parts: Parts, identity: Identity) -> None:
    for source in parts.others.get(Thing.LESION, ()):
        number = first(source.resource, "identifier")
        if number and not is_made_of(identity, Thing.LESION, number):
            seen.put("lesion", {"identifier": identifier_of(number)}, source)
        elif not number:
            source.written_as = identity.uuid(Thing.LESION, "")


def _sites(seen: Seen, parts: Parts) -> None:
    """Note what was seen at another site than the lesion's."""
    lesion = seen.entry.get("lesion", {})
    found = list(differences.site_issues(parts.observations, lesion.get("site"), known="site" in lesion))
    parts.issues.extend(issue for _, issue in found)
    parts.incomplete = parts.incomplete or bool(found)


def _images(seen: Seen, parts: Parts, box: Box) -> None:
    views = {}
    for own in parts.observations:
        if own.thing is Thing.VIEW:
            for reference in objects(own.source.resource, "derivedFrom"):
                picture = box.find(reference, own.source)
                if picture is None:
                    parts.issues.append(read_issue("read-part-missing", own.source.path))
                else:
                    views[id(picture)] = seen.view_keys.get(id(own.source.resource))
    for source in parts.others.get(Thing.IMAGE, ()):
        key = seen.key(source, "images", Thing.IMAGE)
        seen.add("images", resources.image(source.resource, key, views.get(id(source))), source)


def _plan(seen: Seen, parts: Parts) -> None:
    for source in parts.others.get(Thing.ACTION, ()):
        add_action(seen, source, parts.issues)
    for source in parts.others.get(Thing.SAFETY_NET, ()):
        seen.put("plan", {"safety_net": resources.safety_net(source.resource)}, source)
    for source in parts.others.get(Thing.DEPARTURE, ()):
        key = seen.key(source, "plan.departures", Thing.DEPARTURE)
        seen.add("plan.departures", resources.departure(source.resource, key), source)


def add_action(seen: Seen, source: Received, issues: list[Issue]) -> None:
    """Read a planned step, whatever became of its request since: the record keeps what the clinician planned."""
    resource = source.resource
    key = seen.key(source, "plan.actions", Thing.ACTION)
    seen.add("plan.actions", resources.action(resource, key), source)
    if resources.is_stopped(resource):
        issues.append(read_issue("read-request-stopped", source.path))
    if resources.urgency_differs(resource):
        issues.append(read_issue("read-urgency-differs", f"{source.path}.priority"))
    if is_contradictory(request_concept(resource)):
        issues.append(read_issue("read-contradiction", f"{source.path}.code"))


def _documents(parts: Parts, box: Box) -> None:
    """Note a document that is less settled than the report in it, or was called off."""
    for source in box.of("Composition"):
        if not is_like(parts, source, parts.settled):
            parts.incomplete = True


def _patients(parts: Parts, box: Box) -> None:
    """Note where the report, or what stands beside its Observations, doesn't say clearly whom it is about.

    A planned step is read all the same.
    """
    others = (one for several in parts.others.values() for one in several)
    unclear = [one for one in (parts.report, *others) if not is_of_a_patient(one, box)]
    parts.issues.extend(read_issue("read-patient-unclear", one.path) for one in unclear)
    parts.incomplete = parts.incomplete or parts.report in unclear


def _in_use(parts: Parts, box: Box) -> None:
    """Note where the patient's or the lesion's own record says that it is no longer the one to use."""
    patient = box.find(first(parts.report.resource, "subject"), parts.report)
    for source in (patient, *parts.others.get(Thing.LESION, ())):
        if source is not None and _is_out_of_use(source.resource):
            parts.issues.append(read_issue("read-out-of-use", source.path))


def _is_out_of_use(resource: Json) -> bool:
    ended = resource.get("deceasedBoolean", False) is not False or "deceasedDateTime" in resource
    return resource.get("active", True) is not True or ended or bool(resource.get("link"))


#: What always has one of our extensions, and which one.
_ALWAYS: Final = {
    Thing.VIEW: Extension.ENTRY_KEY,
    Thing.IMPRESSION: Extension.ENTRY_KEY,
    Thing.OUTCOME: Extension.ENTRY_KEY,
    Thing.IMAGE: Extension.ENTRY_KEY,
    Thing.ACTION: Extension.ENTRY_KEY,
    Thing.DEPARTURE: Extension.ENTRY_KEY,
    Thing.SAFETY_NET: Extension.SAFETY_NET,
}


def _without_extensions(parts: Parts, identity: Identity) -> None:
    """Note what a server took our extensions out of: what stands in the standard's elements is read.

    A key that isn't the one in the number would go out beside it, as two parts in place of one.
    """
    given = [(own.thing, own.source) for own in parts.observations if own.thing in _ALWAYS]
    given += [(thing, one) for thing, several in parts.others.items() if thing in _ALWAYS for one in several]
    parts.issues.extend(
        read_issue("read-extension-missing", source.path)
        for thing, source in given
        if not extensions(source.resource, _ALWAYS[thing])
    )
    parts.issues.extend(
        read_issue("read-contradiction", source.path)
        for thing, source in given
        if _ALWAYS[thing] is Extension.ENTRY_KEY and _has_another_key(source.resource, identity, thing)
    )


def _has_another_key(resource: Json, identity: Identity, thing: Thing) -> bool:
    """Return whether the key of a part isn't the one of which its number was made."""
    key = extended(resource, Extension.ENTRY_KEY, "valueString")
    begin = f"{identity.value}/{thing.value}/"
    numbers = [
        value
        for number in objects(resource, "identifier")
        if number.get("system") == identity.system and (value := text(number, "value") or "").startswith(begin)
    ]
    return type(key) is str and bool(numbers) and identity.item(thing, key).identifier["value"] not in numbers


_steps_of = re.compile(r"([a-z_]+)(?:\[([0-9]{1,4})\])?(?:\.|\Z)").findall


def _empty(entry: Json, report: Json) -> None:
    """Put in the parts that were given and say nothing."""
    for found in extensions(report, Extension.ENTRY_EMPTY):
        path = text(found, "valueString") or ""
        here: Any = entry
        for name, position in _steps_of(path) if may_be_empty(path) else ():
            if type(here) is not dict:
                break
            if position:
                items = here.get(name, [])
                here = items[int(position)] if type(items) is list and int(position) < len(items) else None
            else:
                here = here.setdefault(name, {})


def _without_other_lists(seen: Seen, issues: list[Issue]) -> None:
    """Take out lists whose items were others at the sender's: what it didn't ask for isn't absent by the statement."""
    given = seen.entry.get("lists_gone_through", [])
    ticked = {one["structure"] for one in seen.entry.get("findings", ()) if type(one["structure"]) is str}
    kept = []
    for position, one in enumerate(given):
        source = seen.made["lists_gone_through", position]
        if _asks_for_more(one["list"], source.resource, ticked):
            issues.append(read_issue("read-list-differs", source.path))
        else:
            kept.append(one)
    if len(kept) < len(given):
        seen.entry["lists_gone_through"] = kept


def _asks_for_more(named: Any, resource: Json, ticked: AbstractSet[str]) -> bool:  # noqa: ANN401 - any JSON
    """Whether the list known here has an item that was neither ticked nor sent as left unticked."""
    asked = _ASKED.get(named) if type(named) is str else None
    if asked is None:
        return False
    left = {our_code(first(component, "code"), STRUCTURES) for component in objects(resource, "component")}
    return not asked <= left | ticked


def _without_lists_that_differ(seen: Seen, found: Answers, issues: list[Issue]) -> bool:
    """Take out lists that say of something, which counts as absent here, that it doesn't; return whether there are."""
    given = seen.entry.get("lists_gone_through", [])
    kept = []
    for position, one in enumerate(given):
        source = seen.made["lists_gone_through", position]
        components = objects(source.resource, "component")
        if any(_is_absent_only_here(one, found, consistent=source.consistent) for one in components):
            issues.append(read_issue("read-list-differs", source.path))
        else:
            kept.append(one)
    if len(kept) == len(given):
        return False
    seen.entry["lists_gone_through"] = kept
    return True


def _is_absent_only_here(component: Json, found: Answers, *, consistent: bool) -> bool:
    said = our_code(first(component, "valueCodeableConcept"), _ANSWERS)
    if said == Presence.ABSENT and (consistent or not says_two_things(component)):
        return False
    structure = _STRUCTURES.get(our_code(first(component, "code"), STRUCTURES))
    return structure is not None and found.of(structure).presence is Presence.ABSENT


_ANSWERS: Final = code_system(Presence)
_STRUCTURES: Final[dict[str | None, Structure]] = {one.value: one for one in Structure}


def _made(entry: Json) -> tuple[Examination | None, bool, tuple[Issue, ...]]:
    """Return what can be held of an entry, whether all of it stands in its place, and what couldn't be held."""
    try:
        return Examination.model_validate(entry), True, ()
    except EntryError:
        held = from_entry(entry)
        return held.examination, False, held.issues


def _held(seen: Seen, parts: Parts) -> Read:
    """Hold what can be held; what is missing or not read never reassures."""
    entry = seen.entry
    issues = list(parts.issues)
    if parts.incomplete and entry.pop("lists_gone_through", None) is not None:
        issues.append(entry_issue("entry-list-undone", parts.report.path))
    _without_other_lists(seen, issues)
    examination, in_place, own = _made(entry)
    found = answers(examination) if examination is not None else None
    if found is not None and _without_lists_that_differ(seen, found, issues):
        examination, in_place, own = _made(entry)
        found = answers(examination) if examination is not None else None
    report = parts.report
    scores = tuple(sent_score(one.source, one.code) for one in parts.observations if one.thing is Thing.SCORE)
    if found is not None:
        made = ReviewParts(found)
        issues.extend(checked(made, seen.made, scores, in_place=in_place))
        entered = extended(report.resource, Extension.ENTRY_STATUS, "valueCode")
        issues.extend(status_issues(made, own, entered if type(entered) is str else None, report))
        issues.extend(_changed(made.answers.examination, parts))
        examination, differs = remembering(made, own, issues, report)
        issues.extend(differs)
    received = (_as_received(one, seen, report) for one in own)
    return Read(examination, (*issues, *received), scores, parts)


def _changed(examination: Examination, parts: Parts) -> Iterator[Issue]:
    """Yield what somebody changed in the report and the record doesn't hold."""
    yield from differences.conclusion_issues(examination, parts.report)
    yield from differences.narrative_issues(parts.all)
    yield from differences.shared_issues(parts.observations, parts.report)
    yield from differences.request_issues(parts.others.get(Thing.ACTION, ()), parts.report)
    yield from differences.site_word_issues(parts.observations, examination)
    yield from differences.word_issues(parts.observations)


def remembering(
    made: ReviewParts, own: Sequence[Issue], issues: Sequence[Issue], report: Received
) -> tuple[Examination, list[Issue]]:
    """Return an examination with the errors that stood when it was read, and where its summary isn't the one sent.

    A review speaks of the entry: where something stood in what was received means nothing there.

    Args:
        made: The review of what was read.
        own: What of it couldn't be held.
        issues: What was found so far.
        report: The report that was received.
    """
    standing = [*own, *(replace(one, path="$") for one in issues if one.severity is Severity.ERROR)]
    differs = list(summary_issues(made, standing, report))
    standing.extend(replace(one, path="$") for one in differs if one.severity is Severity.ERROR)
    return made.answers.examination.remembering(tuple(standing)), differs


def _as_received(issue: Issue, seen: Seen, report: Received) -> Issue:
    """Return an issue on the entry at the resource from which that part of the entry came."""
    steps: list[str | int] = []
    found = report
    for name, position in _steps_of(issue.path.removeprefix("$.")):
        steps.append(name)
        found = seen.made.get(tuple(steps), found)
        if position:
            steps.append(int(position))
            found = seen.made.get(tuple(steps), found)
    return replace(issue, path=found.path, parameters=(*issue.parameters, ("entry", issue.path)))
