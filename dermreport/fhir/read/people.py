"""Patient and examiner as they were entered."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from dermreport.fhir.extensions import Extension
from dermreport.fhir.ids import Identity, Thing
from dermreport.fhir.people import BIRTH_TIME, versionless
from dermreport.fhir.read.parts import Json, extended, first, objects, text
from dermreport.fhir.read.values import identifier_of, is_made_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from dermreport.fhir.read.received import Box, Received


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of person.

    Attributes:
        thing: What the writer calls it.
        entered: The extension that leads to what was entered.
    """

    thing: Thing
    entered: Extension


PATIENT = Kind(Thing.PATIENT, Extension.PATIENT_AS_ENTERED)
EXAMINER = Kind(Thing.EXAMINER, Extension.EXAMINER_AS_ENTERED)


def person(kind: Kind, reference: Json, report: Received, box: Box, identities: Sequence[Identity]) -> Json:
    """Return a person as entered: all of it is with the report, or in the bundle's own resource, or the reference."""
    entered = extended(report.resource, kind.entered, "valueReference")
    found = box.find(entered, report) if type(entered) is dict else None
    if found is None:
        found = box.find(reference, report)
        literal = text(reference, "reference")
        if found is None or not _is_of_a_bundle(literal):
            return {"reference": versionless(literal)} if literal is not None and "?" not in literal else {}
    if found.changed:
        return {}
    return as_entered(kind, found.resource, identities)


def _is_of_a_bundle(literal: str | None) -> bool:
    return literal is not None and literal.startswith("urn:uuid:")


def as_entered(kind: Kind, resource: Json, identities: Iterable[Identity]) -> Json:
    """Return a person's resource as an entry has them, without the number that the writer makes where none is given."""
    made: Json = {}
    literal = extended(resource, Extension.HOST_REFERENCE, "valueString")
    if literal is not None:
        made["reference"] = literal
    numbers = [
        identifier_of(identifier)
        for identifier in objects(resource, "identifier")
        if not any(is_made_of(identity, kind.thing, identifier) for identity in identities)
    ]
    if numbers:
        made["identifiers"] = numbers
    details = _patient_details(resource) if kind is PATIENT else _examiner_details(resource)
    if details:
        made["details"] = details
    return made


def _name(resource: Json) -> Json:
    name = first(resource, "name")
    return {part: name[part] for part in ("family", "given") if part in name}


def _patient_details(resource: Json) -> Json:
    made = _name(resource)
    birth: Any = resource.get("birthDate")
    for said in objects(first(resource, "_birthDate"), "extension"):
        if said.get("url") == BIRTH_TIME:
            birth = said.get("valueDateTime")
    if birth is not None:
        made["birth_date"] = birth
    for way in objects(resource, "telecom"):
        system = text(way, "system")
        if system is not None and system in {"phone", "email"} and "value" in way:
            made.setdefault(system, way["value"])
    address = first(resource, "address")
    if "text" in address:
        made["address"] = address["text"]
    return made


def _examiner_details(resource: Json) -> Json:
    made = _name(resource)
    role = extended(resource, Extension.EXAMINER_ROLE, "valueString")
    if role is not None:
        made["role"] = role
    training = first(first(resource, "qualification"), "code")
    if "text" in training:
        made["training"] = training["text"]
    return made
