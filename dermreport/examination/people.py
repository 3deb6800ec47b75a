"""Who: identifiers, the host's references, patient, examiner, and what is known of the patient."""

import re
from typing import ClassVar, Final, Self

from pydantic import ConfigDict, model_validator
from pydantic_core import PydanticCustomError

from dermreport.examination.base import Coded, Listed, Model, OtherCode
from dermreport.examination.types import (
    UUID_PATTERN,
    ExaminerReference,
    HostReference,
    PartialTime,
    PatientReference,
    ShortText,
    Text,
    Uri,
    Years,
)
from dermreport.vocabulary.atypical_naevus_counts import AtypicalNaevusCount
from dermreport.vocabulary.blood_thinners import BloodThinner
from dermreport.vocabulary.earlier_cancers import EarlierCancer
from dermreport.vocabulary.family_histories import FamilyHistory
from dermreport.vocabulary.genetic_syndromes import GeneticSyndrome
from dermreport.vocabulary.immune_suppressions import ImmuneSuppression
from dermreport.vocabulary.naevus_counts import NaevusCount
from dermreport.vocabulary.phototypes import Phototype
from dermreport.vocabulary.pregnancies import Pregnancy
from dermreport.vocabulary.replies import Reply
from dermreport.vocabulary.sexes import Sex
from dermreport.vocabulary.sites import Site
from dermreport.vocabulary.skin_extents import SkinExtent

#: System of an identifier that is a UUID or another URN.
URN_SYSTEM: Final = "urn:ietf:rfc:3986"
#: What a UUID begins with as a URN.
URN_UUID: Final = "urn:uuid:"

_is_uuid = re.compile(UUID_PATTERN).match


class Identifier(Model):
    """A number in a system of the host's; without a system the value must be a UUID in lower case.

    Attributes:
        system: URI of the system that gave the number.
        value: The number, or a UUID.
    """

    model_config: ClassVar[ConfigDict] = ConfigDict(
        json_schema_extra={
            "anyOf": [
                {"required": ["system"], "properties": {"system": {"type": "string"}}},
                {"properties": {"value": {"pattern": UUID_PATTERN}}},
            ]
        }
    )
    held_whole = True

    system: Uri | None = None
    value: ShortText

    @model_validator(mode="after")
    def _needs_a_system(self) -> Self:
        if self.system is None and _is_uuid(self.value) is None:
            raise PydanticCustomError("identifier_without_system", "An identifier without a system must be a UUID.")
        return self


def system_and_value(identifier: Identifier) -> tuple[str, str]:
    """Return system and value as FHIR has them: without a system the value is a UUID, written as a URN."""
    if identifier.system is not None:
        return identifier.system, identifier.value
    value = identifier.value
    return URN_SYSTEM, value if value.startswith(URN_UUID) else f"{URN_UUID}{value}"


class Reference(Model):
    """Something that the host keeps: a literal reference, an identifier, a name to show, or several of these.

    Attributes:
        reference: Literal reference, as ``Practitioner/7``.
        identifier: Identifier in a system of the host's.
        display: Name to show.
    """

    model_config: ClassVar[ConfigDict] = ConfigDict(
        json_schema_extra={
            "anyOf": [
                {"required": ["reference"], "properties": {"reference": {"type": "string"}}},
                {"required": ["identifier"], "properties": {"identifier": {"type": "object"}}},
                {"required": ["display"], "properties": {"display": {"type": "string"}}},
            ]
        }
    )
    held_whole = True

    reference: HostReference | None = None
    identifier: Identifier | None = None
    display: ShortText | None = None

    @model_validator(mode="after")
    def _needs_something(self) -> Self:
        if self.reference is None and self.identifier is None and self.display is None:
            raise PydanticCustomError("reference_empty", "A reference needs a reference, an identifier or a display.")
        return self


class PatientDetails(Model):
    """The patient in words, for a host that sends no reference of its own.

    Attributes:
        family: Family name.
        given: Given names, in their order.
        birth_date: Date of birth, as precise as it is known.
        phone: Telephone number.
        email: E-mail address.
        address: Postal address in one text.
    """

    family: ShortText | None = None
    given: Listed[ShortText] = ()
    birth_date: PartialTime | None = None
    phone: ShortText | None = None
    email: ShortText | None = None
    address: Text | None = None


class Patient(Model):
    """Whose skin: the host's reference, identifiers, details, or several of these.

    Attributes:
        reference: The host's literal reference, as ``Patient/7``.
        identifiers: Numbers in systems of the host's.
        details: Name, date of birth and how to reach the patient.
    """

    reference: PatientReference | None = None
    identifiers: Listed[Identifier] = ()
    details: PatientDetails | None = None


def may_be_one_patient(former: Patient, current: Patient) -> bool:
    """Whether two entries can be of one patient: no reference and no number of one system says otherwise."""
    if former.reference is not None and current.reference is not None:
        return former.reference == current.reference
    numbers = {one.system: one.value for one in former.identifiers}
    return all(numbers.get(one.system, one.value) == one.value for one in current.identifiers)


class ExaminerDetails(Model):
    """The examiner in words.

    Attributes:
        family: Family name.
        given: Given names, in their order.
        role: Profession or role.
        training: Training in dermatoscopy: how much weight a reader can give.
    """

    family: ShortText | None = None
    given: Listed[ShortText] = ()
    role: ShortText | None = None
    training: ShortText | None = None


class Examiner(Model):
    """Who examined: the host's reference, identifiers, details, or several of these.

    Attributes:
        reference: The host's literal reference, as ``Practitioner/7``.
        identifiers: Numbers in systems of the host's.
        details: Name, role and training.
    """

    reference: ExaminerReference | None = None
    identifiers: Listed[Identifier] = ()
    details: ExaminerDetails | None = None


class EarlierSkinCancer(Model):
    """One skin cancer that the patient has had.

    Attributes:
        kind: What it was.
        year: When, as precise as it is known.
        site: Where it was.
        note: Anything else about it.
    """

    kind: Coded[EarlierCancer]
    year: PartialTime | None = None
    site: Coded[Site] | None = None
    note: Text | None = None


class Background(Model):
    """What is known of the patient at the examination; a field left out is not recorded, which isn't no.

    Attributes:
        age_years: Age at the examination, in completed years.
        sex: Sex as recorded.
        phototype: How the skin reacts to sun, I to VI.
        had_skin_cancer: Whether any skin cancer was found before.
        earlier_skin_cancers: Which ones.
        family_melanoma: Melanoma in first-degree relatives.
        genetic_syndrome: A syndrome that raises the risk.
        naevi: Number of naevi, by band.
        atypical_naevi: Number of atypical naevi, by band.
        sun_damage: Whether the skin shows damage by sun.
        sunbeds: Whether tanning devices were used.
        outdoor_work: Whether the work is, or was, in the sun.
        immune_suppression: Weakened immunity, and by what.
        pregnancy: Pregnant at the examination.
        blood_thinner: Kind of blood thinner, which an operator asks.
        blood_thinner_name: Its name and dose.
        implanted_device: Pacemaker or the like, which matters for electrosurgery.
        allergy: Any allergy that matters for a procedure.
        allergy_to: To what: anaesthetic, latex, dressing.
        skin_examined: How much of the skin was looked at.
        needs: Interpreter, transport, capacity, carer.
        reach_quickly: How to reach the patient for a quick appointment.
        note: Anything else about the patient.
    """

    age_years: Years | None = None
    sex: Sex | None = None
    phototype: Phototype | None = None
    had_skin_cancer: Reply | None = None
    earlier_skin_cancers: Listed[EarlierSkinCancer] = ()
    family_melanoma: Coded[FamilyHistory] | None = None
    genetic_syndrome: Coded[GeneticSyndrome] | None = None
    naevi: Coded[NaevusCount] | None = None
    atypical_naevi: Coded[AtypicalNaevusCount] | None = None
    sun_damage: Reply | None = None
    sunbeds: Reply | None = None
    outdoor_work: Reply | None = None
    immune_suppression: Coded[ImmuneSuppression] | None = None
    pregnancy: Pregnancy | None = None
    blood_thinner: Coded[BloodThinner] | None = None
    blood_thinner_name: ShortText | None = None
    implanted_device: Reply | None = None
    allergy: Reply | None = None
    allergy_to: Text | None = None
    skin_examined: SkinExtent | None = None
    needs: Text | None = None
    reach_quickly: Text | None = None
    note: Text | None = None


__all__ = [
    "Background",
    "EarlierSkinCancer",
    "Examiner",
    "ExaminerDetails",
    "Identifier",
    "OtherCode",
    "Patient",
    "PatientDetails",
    "Reference",
]
