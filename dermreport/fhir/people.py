"""Patient, examiner, and what else the host keeps: never changed, only pointed to.

Which way a person is pointed to depends on the bundle. A transaction uses the host's own reference, or an entry that
is created once, or a conditional reference; a document holds a resource of its own for each. Details that were
entered and go into no resource of that person are kept in the report.
"""

from __future__ import annotations

import re
from enum import StrEnum
from typing import TYPE_CHECKING, Any, Final

from msgspec import Struct

from dermreport.examination.people import system_and_value
from dermreport.fhir.extensions import Extension, extension
from dermreport.fhir.ids import Identity, Thing, entered_identifier, identifiers, search
from dermreport.fhir.narrative import narrative
from dermreport.settings import PersonEntry

if TYPE_CHECKING:
    from dermreport.examination.people import Examiner, Identifier, Patient, Reference
    from dermreport.fhir.releases import Shape

_literal_type = re.compile(r"(?:^|/)([A-Z][A-Za-z]+)/[A-Za-z0-9.-]{1,64}(?:/_history/[A-Za-z0-9.-]{1,64})?\Z").search
_is_relative = re.compile(r"[A-Z][A-Za-z]+/").match


class Pointing(StrEnum):
    """How a bundle points to people."""

    TO_HOST = "to-host"
    """By the host's reference, else to an entry of the bundle."""
    BY_SEARCH = "by-search"
    """By the host's reference, else by a conditional reference: nobody is created."""
    INSIDE = "inside"
    """To an entry of the bundle, always: a document stands alone."""


def pointing(persons: PersonEntry) -> Pointing:
    """Return how a transaction points to people by the host's settings."""
    return Pointing.BY_SEARCH if persons is PersonEntry.MATCH_ONLY else Pointing.TO_HOST


class Party(Struct, frozen=True):
    """A person as the resources of a report see them.

    Attributes:
        reference: The Reference to the person.
        resource: The person's own resource, where the bundle has one.
        uuid: Its UUID.
        search: The search that finds the person on a server: ``identifier=…``.
        as_entered: A resource with what was entered, where the bundle has none of the person's own.
    """

    reference: dict[str, Any]
    resource: dict[str, Any] | None
    uuid: str
    search: str
    as_entered: dict[str, Any] | None


#: Types that may stand wherever an examiner is pointed to.
EXAMINER_TYPES: Final = frozenset(("Practitioner", "PractitionerRole"))
PATIENT_TYPES: Final = frozenset(("Patient",))


def versionless(literal: str) -> str:
    """Return a literal reference without a version: whoever is meant is the same in each."""
    return literal.partition("/_history/")[0]


def points_to(literal: str, types: frozenset[str]) -> bool:
    """Return whether a literal reference can be one to these types; a URL of another form can."""
    found = _literal_type(literal)
    return found is None or found[1] in types


def patient_party(patient: Patient, identity: Identity, how: Pointing, shape: Shape) -> Party:
    """Return the patient as a bundle of this kind points to them."""
    details = patient.details
    parts: dict[str, Any] = {}
    if details is not None:
        name = {"family": details.family, "given": list(details.given) or None}
        phone, email = details.phone, details.email
        telecom = [("phone", phone), ("email", email)]
        parts = {
            "name": _filled(name),
            "telecom": [{"system": kind, "value": value} for kind, value in telecom if value is not None] or None,
            **_birth(details.birth_date),
            "address": [{"text": details.address}] if details.address is not None else None,
        }
    return _party(
        _Person("Patient", Thing.PATIENT, "Patient", PATIENT_TYPES, patient.reference, patient.identifiers, parts),
        identity,
        how,
        shape,
    )


def _birth(birth_date: str | None) -> dict[str, Any]:
    """Return the birth date; a time of birth is kept beside the day, as the standard's extension."""
    if birth_date is None:
        return {}
    day, clock, _ = birth_date.partition("T")
    if not clock:
        return {"birthDate": birth_date}
    return {"birthDate": day, "_birthDate": {"extension": [{"url": BIRTH_TIME, "valueDateTime": birth_date}]}}


BIRTH_TIME: Final = "http://hl7.org/fhir/StructureDefinition/patient-birthTime"


def examiner_party(examiner: Examiner, identity: Identity, how: Pointing, shape: Shape) -> Party:
    """Return the examiner as a bundle of this kind points to them."""
    details = examiner.details
    parts: dict[str, Any] = {}
    if details is not None:
        name = {"family": details.family, "given": list(details.given) or None}
        role, training = details.role, details.training
        parts = {
            "extension": [extension(Extension.EXAMINER_ROLE, "valueString", role)] if role is not None else None,
            "name": _filled(name),
            "qualification": [{"code": {"text": training}}] if training is not None else None,
        }
    return _party(
        _Person(
            "Practitioner", Thing.EXAMINER, "Examiner", EXAMINER_TYPES, examiner.reference, examiner.identifiers, parts
        ),
        identity,
        how,
        shape,
    )


def _filled(name: dict[str, Any]) -> list[dict[str, Any]] | None:
    given = {part: value for part, value in name.items() if value is not None}
    return [given] if given else None


class _Person(Struct, frozen=True):
    """A person as entered, in FHIR's elements."""

    kind: str
    thing: Thing
    title: str
    types: frozenset[str]
    literal: str | None
    identifiers: tuple[Identifier, ...]
    parts: dict[str, Any]


def _party(person: _Person, identity: Identity, how: Pointing, shape: Shape) -> Party:
    known = identity.item(person.thing, "")
    uuid = known.uuid
    literal = person.literal
    usable = literal is not None and points_to(literal, person.types)
    own = identifiers(person.identifiers) or [known.identifier]
    found_by = search(*system_and_value(person.identifiers[0])) if person.identifiers else known.search
    if usable and how is not Pointing.INSIDE:
        reference: dict[str, Any] = {"reference": literal}
    elif how is Pointing.BY_SEARCH and person.identifiers:
        reference = {"reference": f"{person.kind}?{found_by}"}
    elif how is Pointing.BY_SEARCH:
        # There is nothing to search by and nobody may be created: a logical reference, which the host can resolve.
        reference = {"type": person.kind, "identifier": own[0]}
    else:
        kept = [extension(Extension.HOST_REFERENCE, "valueString", literal)] if literal is not None else []
        resource = shape.resource(
            person.kind,
            {
                "text": narrative(f"{person.title} of the examination"),
                "identifier": own,
                **person.parts,
                "extension": [*kept, *(person.parts.get("extension") or ())] or None,
            },
        )
        # A server can have such a person already, with other details: what was entered stays with the report.
        entered = None if how is Pointing.INSIDE else _as_entered(person, shape)
        return Party({"reference": f"urn:uuid:{uuid}"}, resource, uuid, found_by, entered)
    return Party(reference, None, uuid, found_by, _as_entered(person, shape))


def _as_entered(person: _Person, shape: Shape) -> dict[str, Any] | None:
    """Return all that was entered on a person; ``None`` where the reference to them says it all, or it is nothing."""
    literal = person.literal
    usable = literal is not None and points_to(literal, person.types)
    known = bool(person.identifiers) or any(value is not None for value in person.parts.values())
    if literal is not None and versionless(literal) != literal:
        # A server adds versions of its own, which no reader takes for what was entered: this one was.
        known = True
    if not known and (usable or (literal is None and not person.parts)):
        return None
    host = [extension(Extension.HOST_REFERENCE, "valueString", literal)] if literal is not None else []
    return shape.resource(
        person.kind,
        {
            "id": f"{person.thing.value}-as-entered",
            "identifier": identifiers(person.identifiers) or None,
            **person.parts,
            "extension": [*host, *(person.parts.get("extension") or ())] or None,
        },
    )


def host_reference(reference: Reference, types: frozenset[str], how: Pointing) -> dict[str, Any]:
    """Return a FHIR Reference to something of the host's.

    A literal that can't be one to these types, or that a document can't resolve, is kept as an extension.

    Args:
        reference: What was entered.
        types: The resource types that may stand here; an empty set takes any.
        how: How the bundle points to what the host keeps.
    """
    made: dict[str, Any] = {}
    literal = reference.reference
    if literal is not None:
        local = how is Pointing.INSIDE and (_is_relative(literal) is not None or literal.startswith("urn:"))
        if local or (types and not points_to(literal, types)):
            made["extension"] = [extension(Extension.HOST_REFERENCE, "valueString", literal)]
        else:
            made["reference"] = literal
    if len(types) == 1:
        made["type"] = next(iter(types))
    if reference.identifier is not None:
        made["identifier"] = entered_identifier(reference.identifier)
    if reference.display is not None:
        made["display"] = reference.display
        if reference.display == literal and "extension" in made:
            # Else a reader would take it for the name that is made below.
            made["extension"].append(extension(Extension.AS_ENTERED, "valueString", literal))
    elif "reference" not in made and "identifier" not in made and literal is not None:
        # A reference that nobody can follow has at least a name to show.
        made["display"] = literal
    return made


__all__ = [
    "EXAMINER_TYPES",
    "Party",
    "Pointing",
    "examiner_party",
    "host_reference",
    "patient_party",
    "pointing",
    "points_to",
    "versionless",
]
