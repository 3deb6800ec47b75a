"""Whom received resources are about: one patient, or it isn't read; and which parts say it clearly.

Patients are told apart by the address that a reference leads to, and by numbers: two numbers of one system are two
patients, whatever stands beside them. A part of a record of ours that has a number which its report doesn't know isn't
of its patient.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from dermreport.fhir.extensions import Extension
from dermreport.fhir.people import PATIENT_TYPES, points_to, versionless
from dermreport.fhir.read.parts import Json, extended, first, objects, text
from dermreport.fhir.read.received import base_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from dermreport.fhir.read.received import Box, Received

#: Elements that say whom a resource is about.
_WHOM: Final = ("subject", "patient")
_PATIENT: Final = "Patient"

#: System and value of an identifier.
Number = tuple[str | None, str]


def are_several(box: Box) -> bool:
    """Return whether resources, or those contained in them, are about more than one patient."""
    found: set[str] = {one.address for one in box.of(_PATIENT)}
    followed: set[tuple[str, str]] = set()
    known: set[Number] | None = None
    for reference, holder, owner in _references(box):
        literal = text(reference, "reference")
        plain = literal is not None and literal[:1] != "#"
        if plain and len(reference) == 1:
            way = (str(literal), base_of(owner.full_url))
            if way in followed:
                continue
            followed.add(way)
        known = _known(box) if known is None else known
        whom = _whom(reference, owner, box, known)
        if whom is not None:
            found.add(whom)
        if plain and _has_another(_numbers(reference), known, strictly=_is_ours(holder, box)):
            return True
    return len(found) > 1


def _references(box: Box) -> Iterator[tuple[Json, Json, Received]]:
    """Yield each reference to a patient, the resource that has it, and the resource received in which that stands."""
    for one in box.resources:
        resource = one.resource
        for name in _WHOM:
            if name in resource:
                for reference in objects(resource, name):
                    yield reference, resource, one
        if "contained" in resource:
            for within in objects(resource, "contained"):
                for name in _WHOM:
                    for reference in objects(within, name):
                        yield reference, resource, one


def _whom(reference: Json, owner: Received, box: Box, known: set[Number]) -> str | None:
    """Return what tells the patient apart whom a reference means, ``None`` where that is one who is known already."""
    target = box.find(reference, owner)
    if target is not None:
        if target.kind != _PATIENT:
            return None
        return _unknown(numbers_of(target.resource), known) if ".contained[" in target.path else target.address
    literal = text(reference, "reference")
    if literal is None and reference.get("type", _PATIENT) != _PATIENT:
        return None
    if literal is None:
        return _unknown(_numbers(reference), known)
    if not points_to(literal, PATIENT_TYPES):
        return None
    literal = versionless(literal)
    of_a_server = not literal.startswith(("http", "urn:", "#"))
    return f"{base_of(owner.full_url)}{literal}" if of_a_server else literal


def _unknown(numbers: set[Number], known: set[Number]) -> str | None:
    """Return a patient's number where none of them is that of the report's patient."""
    if not numbers or numbers & known:
        return None
    return "|".join(str(part) for part in min(numbers, key=str))


def _known(box: Box) -> set[Number]:
    """Return the numbers of the reports' patient: those of the patient's own resource, and those that were entered."""
    found: set[Number] = set()
    for one in box.of(_PATIENT):
        found |= numbers_of(one.resource)
    for report in box.of("DiagnosticReport"):
        subject = first(report.resource, "subject")
        found |= _numbers(subject)
        entered = extended(report.resource, Extension.PATIENT_AS_ENTERED, "valueReference")
        for reference in (subject, entered):
            target = box.find(reference, report) if type(reference) is dict else None
            if target is not None and target.kind == _PATIENT:
                found |= numbers_of(target.resource)
    return found


def _numbers(reference: Json) -> set[Number]:
    """Return the number that a reference itself has."""
    return _valued(objects(reference, "identifier"))


def numbers_of(patient: Json) -> set[Number]:
    """Return the numbers of a patient's resource."""
    return _valued(objects(patient, "identifier"))


def _valued(identifiers: Iterable[Json]) -> set[Number]:
    return {(text(one, "system"), value) for one in identifiers if (value := text(one, "value")) is not None}


def _has_another(numbers: set[Number], known: set[Number], *, strictly: bool) -> bool:
    """Return whether a number beside a reference is another patient's.

    Args:
        numbers: The numbers of the reference.
        known: Those of the reports' patient.
        strictly: Whether one of a system of which no number is known is too: so it is in a record of ours, where each
            part has the same reference. Others have numbers of their own.
    """
    if not numbers or numbers & known:
        return False
    systems = {system for system, _ in known}
    return strictly or any(system in systems for system, _ in numbers)


def _is_ours(resource: Json, box: Box) -> bool:
    """Return whether a resource has a number that was made of a report's."""
    begins = [
        (text(number, "system"), f"{text(number, 'value')}/")
        for report in box.of("DiagnosticReport")
        for number in objects(report.resource, "identifier")[:1]
    ]
    return any(
        system == begun and value.startswith(begin) for system, value in numbers_of(resource) for begun, begin in begins
    )


def is_of_a_patient(source: Received, box: Box) -> bool:
    """Return whether a part of a record says clearly that it is about a patient: by an address or a number."""
    references = [one for name in _WHOM for one in objects(source.resource, name)]
    return len(references) == 1 and _is_clear(references[0], source, box)


def _is_clear(reference: Json, source: Received, box: Box) -> bool:
    if reference.get("type", _PATIENT) != _PATIENT:
        return False
    target = box.find(reference, source)
    literal = text(reference, "reference")
    if target is not None:
        return target.kind == _PATIENT and (".contained[" not in target.path or bool(numbers_of(target.resource)))
    if literal is not None:
        return literal[:1] != "#" and points_to(literal, PATIENT_TYPES)
    return bool(_numbers(reference))
