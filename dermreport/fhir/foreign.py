"""What others added to a report, as data that nobody can change, and how it goes out again.

A kept piece is JSON text: it shares nothing with what was received and with what is sent. It enters a report again only
where the release has a place for it, and never over what the report itself says.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from typing import TYPE_CHECKING, Any, Final, NamedTuple

from dermreport.examination.people import Patient, may_be_one_patient, system_and_value
from dermreport.examination.reader import read_json, write_json
from dermreport.fhir.frame import Built, Request, reference_to
from dermreport.fhir.ids import name_uuid, search
from dermreport.fhir.write import fresh
from dermreport.issues import BuildError, Issue
from dermreport.publication import CANONICAL_BASE

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from dermreport.examination.model import Examination
    from dermreport.fhir.build import Visit
    from dermreport.fhir.read.sending import Sending
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
        beside: Fingerprint of the record's own value beside which it stood, ``""`` where it hangs on none.
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
    beside: str = field(default="", repr=False)

    def value(self) -> Any:  # noqa: ANN401 - any JSON
        """Return the piece as new objects."""
        return read_json(self.text)


class Stood(NamedTuple):
    """One report with which something was received; as text it shows nothing.

    Attributes:
        number: System and value of its identifier.
        patient: Whose it is.
        text: Fingerprint of all that it recorded.
    """

    number: tuple[str, str]
    patient: Patient
    text: str

    def __repr__(self) -> str:
        """Return no number: it is the patient's."""
        return "Stood()"


def stood(examination: Examination) -> Stood:
    """Return how an examination's report is known again."""
    number = system_and_value(examination.identifier)
    return Stood(number, examination.patient, name_uuid(examination.to_json()))


@dataclass(frozen=True, slots=True)
class Foreign:
    """Everything that was received and isn't the report's own.

    Attributes:
        kept: The pieces, in the order received: ``CHANGED`` ones are other values of the report's own elements.
        issues: What each of them is, with its path in what was received.
        reports: The reports with which it was received: it is sent with these, and later revisions of them, alone.
    """

    kept: tuple[Kept, ...] = ()
    issues: tuple[Issue, ...] = ()
    reports: tuple[Stood, ...] = field(default=(), repr=False)

    def __bool__(self) -> bool:
        """Whether anything was kept."""
        return bool(self.kept)


def check_foreign(foreign: Foreign, examinations: Sequence[Examination]) -> None:
    """Refuse what was received with another report, or with another patient's.

    Raises:
        BuildError: It says which of these.
    """
    if not foreign:
        return
    numbers = {one.number for one in foreign.reports}
    if not any(system_and_value(one.identifier) in numbers for one in examinations):
        raise BuildError("`foreign` was read with another report: give what was read with this one, or leave it out.")
    if not all(may_be_one_patient(one.patient, other.patient) for one in foreign.reports for other in examinations):
        raise BuildError("`foreign` was read with a report of another patient: it isn't sent with this patient's.")


#: What hangs on a resource as a whole and not on what it says: labels, numbers, whom and what it points to.
_OF_THE_WHOLE: Final = frozenset(
    (
        "basedOn",
        "category",
        "contained",
        "derivedFrom",
        "device",
        "encounter",
        "extension",
        "focus",
        "hasMember",
        "identifier",
        "implicitRules",
        "language",
        "media",
        "meta",
        "partOf",
        "performer",
        "result",
        "resultsInterpreter",
        "specimen",
        "subject",
        "supportingInfo",
    )
)
#: What a resource says: a piece on one of these, or beside them, is about just that.
_SAID: Final = frozenset(
    ("code", "dataAbsentReason", "conclusion", "conclusionCode", "priority", "location", "includedStructure", "payload")
)
_SAID_BEGIN: Final = ("value", "occurrence")
#: What is about a report as a whole, with all that it recorded.
_ON_THE_REPORT: Final = frozenset(("conclusion", "conclusionCode", "note", "presentedForm", "text"))


def is_on_the_report(resource_type: str, steps: tuple[Step, ...]) -> bool:
    """Return whether a piece is about a report as a whole: its conclusion, a note, the printed report."""
    return resource_type == "DiagnosticReport" and steps[0].name.removeprefix("_") in _ON_THE_REPORT


def value_beside(own: dict[str, Any], steps: tuple[Step, ...]) -> str:
    """Return a fingerprint of the record's own value beside which a piece stands, ``""`` where it hangs on none.

    Args:
        own: One of the report's own resources.
        steps: From it to the place of the piece.
    """
    from dermreport.fhir.read.compare import mark  # noqa: PLC0415 - it needs this module

    step = steps[0]
    name = step.name.removeprefix("_")
    if name == "meta" or (len(steps) == 1 and name in _OF_THE_WHOLE):
        return ""
    here = own.get(name)
    if len(steps) > 1 and isinstance(here, list) and step.mark:
        counted: dict[str, int] = {}
        found = next((item for item in here if mark(item, counted) == step.mark), None)
        return name_uuid(write_json(_bare(found)))
    if name in _OF_THE_WHOLE or name == "code":
        return name_uuid(write_json(_bare(here)))
    said = {one: _bare(own[one]) for one in own if one in _SAID or one.startswith(_SAID_BEGIN)}
    return name_uuid(write_json([said, _bare(here)]))


def _bare(value: Any) -> Any:  # noqa: ANN401 - any JSON
    """Return a value as it is in every release and under every setting: a concept by our own coding and its words."""
    if isinstance(value, list):
        return [_bare(item) for item in value]
    if not isinstance(value, dict):
        return fresh(value)
    if "concept" in value:
        return _bare(value["concept"])
    made = {name: _bare(item) for name, item in value.items() if name != "coding"}
    codings = value.get("coding", ())
    ours = [one for one in codings if str(one.get("system", "")).startswith(CANONICAL_BASE)]
    return made | {"coding": [_bare(one) for one in ours or codings]} if codings else made


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
    made_here = {built.uuid for one in visit.examinations for built in one.of_plugins}
    others: list[tuple[Kept, dict[str, Any]]] = []
    numbers = {number for built in visit.all for number in _numbers(built.resource)}
    for kept in foreign.kept:
        if kept.kind is not KeptKind.RESOURCE:
            continue
        if kept.uuid in made_here:
            # A plugin here makes it of the record as it is now.
            if not _is_alike(kept, own[kept.uuid].resource):
                sending.keep_own(kept)
            continue
        may_go = kept.resource_type not in NOT_SENT and kept.uuid not in own and not kept.contradicted
        resource = sending.resource(kept) if may_go else None
        if resource is None or numbers & set(_numbers(resource)):
            sending.leave_out(kept)
        else:
            others.append((kept, resource))
            sending.there.add(kept.uuid)
    pieces = _pieces(visit, foreign, own, sending)
    for uuid, added in pieces.items():
        if uuid in own:
            own[uuid] = own[uuid]._replace(resource=sending.joined(own[uuid].resource, added))
        else:
            for kept in added:
                sending.leave_out(kept)
    sent = [_built(kept, sending.repointed(resource)) for kept, resource in others]
    return visit.with_foreign(own, sent), tuple(sending.issues)


def _pieces(visit: Visit, foreign: Foreign, own: dict[str, Built], sending: Sending) -> dict[str, list[Kept]]:
    """Return the pieces that may go into the report's own resources, by the UUIDs of these, and note the others."""
    pieces: dict[str, list[Kept]] = {}
    unchanged = _unchanged(visit, foreign)
    for kept in foreign.kept:
        if kept.kind is KeptKind.CHANGED and _is_status_of_errors(kept):
            continue
        if kept.kind is KeptKind.CHANGED:
            sending.keep_own(kept)
        elif kept.kind is KeptKind.ENVELOPE:
            sending.leave_out(kept)
        elif kept.owner in own and _is_said_here(kept, own[kept.owner].resource):
            continue
        elif kept.owner in own and not _still_fits(kept, own[kept.owner].resource, unchanged):
            sending.let_go(kept)
        elif kept.kind is KeptKind.ADDED or kept.kind is KeptKind.NARRATIVE:
            pieces.setdefault(kept.owner, []).append(kept)
    return pieces


def _is_alike(kept: Kept, own: dict[str, Any]) -> bool:
    """Return whether a resource that was received says what the one that is made here does; its labels don't count."""
    made = read_json(write_json(own))
    said = [{name: item for name, item in one.items() if name not in _LABELS} for one in (kept.value(), made)]
    return bool(said[0] == said[1])


#: Where people are pointed to differently in each kind of bundle.
_LABELS: Final = _OF_THE_WHOLE | {"id"}


def _is_said_here(kept: Kept, own: dict[str, Any]) -> bool:
    """Return whether one of the report's own resources now has a piece by itself: by the host's settings."""
    from dermreport.fhir.read.compare import mark  # noqa: PLC0415 - it needs this module

    if kept.kind is KeptKind.NARRATIVE:
        return bool(kept.value() == own.get("text"))
    if not kept.listed or kept.kind is not KeptKind.ADDED:
        return False
    here: Any = own
    for step in kept.steps[:-1]:
        here = here.get(step.name)
        if isinstance(here, list):
            counted: dict[str, int] = {}
            here = next((item for item in here if mark(item, counted) == step.mark), None)
        if not isinstance(here, dict):
            return False
    items = here.get(kept.steps[-1].name)
    return isinstance(items, list) and kept.value() in items


#: What a receiver acts on, and changes.
_ACTED_ON: Final = frozenset(("ServiceRequest", "Communication"))


def _is_status_of_errors(kept: Kept) -> bool:
    """Return whether a piece is the status of what is written anew by the errors that stand in the record.

    The reading says where a part's status isn't its report's, and the report what its errors are.
    """
    return [step.name for step in kept.steps] == ["status"] and kept.resource_type not in _ACTED_ON


def _unchanged(visit: Visit, foreign: Foreign) -> set[str]:
    """Return the UUIDs of the reports that record just what they recorded when the pieces were received."""
    received = {one.number: one.text for one in foreign.reports}
    known = ((one.report.uuid, stood(one.frame.examination)) for one in visit.examinations)
    return {uuid for uuid, now in known if received.get(now.number) == now.text}


def _still_fits(kept: Kept, own: dict[str, Any], unchanged: set[str]) -> bool:
    """Return whether a piece still stands beside the value beside which it was received."""
    if not kept.steps:
        return True
    if is_on_the_report(kept.resource_type, kept.steps):
        return kept.owner in unchanged
    return kept.beside == value_beside(own, kept.steps)


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
