"""Who and what the host knows, in v2.5.1: identifiers, names, the segments PID and PV1, and references.

Source: HL7 v2.5.1, chapters 2A (CX, EI, XPN, XTN, XAD, CNN) and 3 (PID, PV1); tables 0001, 0004, 0200, 0201, 0202,
0301.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from dermreport.doors.hl7v2.text import components, segment, subcomponents
from dermreport.fhir.ids import Identity, Thing
from dermreport.vocabulary.sexes import Sex

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from dermreport.doors.hl7v2.text import Ink
    from dermreport.examination.model import Examination
    from dermreport.examination.people import Examiner, Identifier, PatientDetails, Reference
    from dermreport.reviews.review import Review

_URN_OID: Final = "urn:oid:"
_is_oid: Final = re.compile(r"[0-2](?:\.(?:0|[1-9][0-9]*))+").fullmatch
#: Table 0001.
_SEXES: Final = {Sex.FEMALE: "F", Sex.MALE: "M", Sex.OTHER: "O", Sex.UNKNOWN: "U"}
#: Table 0200: a name whose type isn't known, here because there is none; PID-5 is required.
_NO_NAME: Final = components("", "", "", "", "", "", "U")
#: Table 0004: the entry doesn't say of which class the visit is; PV1-2 is required.
_CLASS_NOT_KNOWN: Final = "U"


def authority(ink: Ink, system: str | None) -> tuple[str, str, str]:
    """Return namespace, universal id and its type (table 0301) of whoever gave a number; empty where none is named."""
    if system is None:
        return "", "", ""
    oid = system.removeprefix(_URN_OID)
    if _is_oid(oid) is not None:
        return "", oid, "ISO"
    return "", ink.st(system), "URI"


def named_authority(ink: Ink, name: str) -> str:
    """Return an application or facility (HD): an object identifier as such, any other name as a namespace."""
    if _is_oid(name) is not None:
        return components(*authority(ink, name))
    return ink.st(name)


def cx(ink: Ink, identifier: Identifier) -> str:
    """Return an identifier as CX."""
    return components(ink.st(identifier.value), "", "", subcomponents(*authority(ink, identifier.system)))


def ei(ink: Ink, identifier: Identifier) -> str:
    """Return an identifier as EI."""
    return components(ink.st(identifier.value), *authority(ink, identifier.system))


def reference_ei(ink: Ink, reference: Reference | None) -> str:
    """Return what a reference is known by as EI: its identifier, else the host's literal, else nothing."""
    if reference is None:
        return ""
    if reference.identifier is not None:
        return ei(ink, reference.identifier)
    return ink.st(reference.reference) if reference.reference is not None else ""


def pid(ink: Ink, examinations: Sequence[Examination]) -> str:
    """Return the segment of the patient, who is the same in all examinations."""
    first = examinations[0]
    patient = first.patient
    numbers = [cx(ink, one) for one in patient.identifiers]
    if not numbers and patient.reference is not None:
        numbers = [ink.st(patient.reference)]
    elif not numbers:
        made = Identity(first.identifier).item(Thing.PATIENT, "").identifier
        numbers = [components(ink.st(made["value"]), "", "", subcomponents(*authority(ink, made["system"])))]
    fields = {1: "1", 3: "~".join(numbers), 5: _NO_NAME}
    if patient.details is not None:
        fields |= _details(ink, patient.details)
    sexes = {one.background.sex for one in examinations if one.background is not None}
    if len(sexes) == 1:
        (sex,) = sexes
        fields[8] = _SEXES[sex] if sex is not None else ""
    return segment("PID", fields)


def _details(ink: Ink, details: PatientDetails) -> dict[int, str]:
    fields = {}
    name = components(*_name(ink, details.family, details.given))
    if name:
        fields[5] = name
    if details.birth_date is not None:
        fields[7] = ink.time(details.birth_date)
    if details.address is not None:
        fields[11] = ink.st(details.address)
    telecom = []
    if details.phone is not None:
        # Tables 0201 and 0202: primary residence, telephone; the number stands as entered in the twelfth component.
        telecom.append(components("", "PRN", "PH", "", "", "", "", "", "", "", "", ink.st(details.phone)))
    if details.email is not None:
        telecom.append(components("", "NET", "Internet", ink.st(details.email)))
    fields[13] = "~".join(telecom)
    return fields


def _name(ink: Ink, family: str | None, given: tuple[str, ...]) -> tuple[str, str, str]:
    """Return family name, first given name, and the further ones in one component."""
    further = ink.st(" ".join(given[1:])) if len(given) > 1 else ""
    return ink.st(family) if family is not None else "", ink.st(given[0]) if given else "", further


def interpreter(ink: Ink, examiner: Examiner | None) -> str:
    """Return the examiner as the principal result interpreter (NDL, whose parts are subcomponents)."""
    if examiner is None:
        return ""
    details = examiner.details
    name = _name(ink, details.family, details.given) if details is not None else ("", "", "")
    known = examiner.identifiers[0] if examiner.identifiers else None
    value = known.value if known is not None else examiner.reference
    number = ink.st(value) if value is not None else ""
    source = authority(ink, known.system) if known is not None else ()
    return subcomponents(number, *name, "", "", "", "", *source)


def pv1(ink: Ink, encounter: Reference | None) -> str:
    """Return the segment of the visit; empty where no number of it is recorded."""
    if encounter is None or (encounter.identifier is None and encounter.reference is None):
        return ""
    literal = ink.st(encounter.reference) if encounter.reference is not None else ""
    number = cx(ink, encounter.identifier) if encounter.identifier is not None else literal
    return segment("PV1", {1: "1", 2: _CLASS_NOT_KNOWN, 19: number})


def notes(review: Review, visit: Reference | None) -> Iterable[str]:
    """Yield in words what no field holds of the examiner and of what the host keeps.

    Args:
        review: The review of the entry.
        visit: The encounter that the segment of the visit holds.
    """
    examination = review.examination
    examiner = examination.examiner
    if examiner is not None:
        told = [f"{one.system or 'UUID'}|{one.value}" for one in examiner.identifiers[1:]]
        if examiner.identifiers and examiner.reference is not None:
            told.append(examiner.reference)
        if examiner.details is not None:
            told += [one for one in (examiner.details.role, examiner.details.training) if one is not None]
        if told:
            yield f"examiner: {'; '.join(told)}"
    for name, reference, in_a_field in (
        ("organisation", review.organisation, False),
        ("order", examination.order, True),
        ("encounter", examination.encounter, examination.encounter == visit),
        ("earlier report", examination.earlier, False),
    ):
        told = _told(reference, in_a_field=in_a_field) if reference is not None else []
        if told:
            yield f"{name}: {'; '.join(told)}"


def _told(reference: Reference, *, in_a_field: bool) -> list[str]:
    """Return what a reference says; where a field holds what it is known by, only the rest."""
    known = known_by(reference)
    shown = [reference.display] if reference.display is not None else []
    return [*shown, *(known[1:] if in_a_field else known)]


def known_by(reference: Reference) -> list[str]:
    """Return by what the host knows what a reference points to: its identifier, its literal."""
    number = reference.identifier
    known = [f"{number.system or 'UUID'}|{number.value}"] if number is not None else []
    return [*known, reference.reference] if reference.reference is not None else known
