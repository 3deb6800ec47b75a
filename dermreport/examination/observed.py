"""What was seen: views, images, lists gone through, findings, and the lesion as a whole."""

from collections.abc import Hashable
from operator import attrgetter
from typing import Annotated, ClassVar, Self

from pydantic import ConfigDict, model_validator
from pydantic_core import PydanticCustomError

from dermreport.examination.base import Coded, Listed, Model, code_mark
from dermreport.examination.types import (
    Address,
    Bytes,
    Count,
    DayTime,
    DicomUid,
    HexDigest,
    Key,
    Magnification,
    MediaType,
    Millimetres,
    Percent,
    Segments,
    ShortText,
    Text,
)
from dermreport.examination.unique import unique_by
from dermreport.vocabulary.architectures import Architecture
from dermreport.vocabulary.colours import Colour
from dermreport.vocabulary.consents import Consent
from dermreport.vocabulary.contacts import Contact
from dermreport.vocabulary.coverages import Coverage
from dermreport.vocabulary.distributions import Distribution
from dermreport.vocabulary.finding_lists import FindingList
from dermreport.vocabulary.hash_algorithms import HashAlgorithm
from dermreport.vocabulary.image_roles import ImageRole
from dermreport.vocabulary.image_scales import ImageScale
from dermreport.vocabulary.judgements import Judgement
from dermreport.vocabulary.lights import Light
from dermreport.vocabulary.mediums import Medium
from dermreport.vocabulary.not_assessed_reasons import NotAssessedReason
from dermreport.vocabulary.places import Place
from dermreport.vocabulary.presences import Presence
from dermreport.vocabulary.pressures import Pressure
from dermreport.vocabulary.regularities import Regularity
from dermreport.vocabulary.step_ones import StepOne
from dermreport.vocabulary.structures import Structure
from dermreport.vocabulary.view_limits import ViewLimit


class View(Model):
    """One look through the dermatoscope in one light; a device switched between two lights gives two views.

    Attributes:
        key: The entry's own key; findings and images name it.
        light: The one light of this view.
        contact: Whether the faceplate touched the skin.
        immersion: What lay between faceplate and skin; ``none`` says that there was nothing.
        pressure: How hard the faceplate was pressed.
        magnification: Optical magnification, times.
        equipment: Dermatoscope or camera, in words.
        taken: When, where it differs from the examination.
        covers: Whether the whole lesion is in the field.
        limits: What hid or blurred it.
        field_of_view_mm: Diameter of the field, millimetres.
        note: Anything else about the view.
    """

    key: Key
    light: Light
    contact: Contact | None = None
    immersion: Listed[Coded[Medium]] = ()
    pressure: Pressure | None = None
    magnification: Magnification | None = None
    equipment: ShortText | None = None
    taken: DayTime | None = None
    covers: Coverage | None = None
    limits: Listed[Coded[ViewLimit]] = ()
    field_of_view_mm: Millimetres | None = None
    note: Text | None = None


class ImageHash(Model):
    """The hash of a picture's bytes, with its algorithm.

    Attributes:
        algorithm: How it was made.
        value: Lower-case hexadecimal: 40 digits for SHA-1, 64 for SHA-256.
    """

    model_config: ClassVar[ConfigDict] = ConfigDict(
        json_schema_extra={
            "if": {"properties": {"algorithm": {"const": HashAlgorithm.SHA_1.value}}},
            "then": {"properties": {"value": {"maxLength": 40}}},
            "else": {"properties": {"value": {"minLength": 64}}},
        }
    )
    held_whole = True

    algorithm: HashAlgorithm
    value: HexDigest

    @model_validator(mode="after")
    def _length_fits(self) -> Self:
        if (len(self.value) == 40) is not (self.algorithm is HashAlgorithm.SHA_1):  # noqa: PLR2004 - 160 bits in hex
            raise PydanticCustomError("hash_not_allowed", "The hash hasn't the length of its algorithm.")
        return self


class ImageConsent(Model):
    """Consent to a picture by purpose; a purpose left out was not recorded.

    Attributes:
        care: For the patient's own care.
        teaching: For teaching.
        research: For research.
        recorded: When consent was recorded.
        given_by: Who gave it, where it wasn't the patient.
    """

    care: Consent | None = None
    teaching: Consent | None = None
    research: Consent | None = None
    recorded: DayTime | None = None
    given_by: ShortText | None = None


class Image(Model):
    """A picture by reference: this library never opens it.

    Attributes:
        key: The entry's own key.
        view: Key of the view that it shows.
        address: Where the host keeps it.
        media_type: Its kind, as ``image/jpeg``.
        size_bytes: Its size in bytes.
        hash: Hash of its bytes.
        role: Overview, close-up or dermatoscopic.
        scale: Whether a scale is in the picture.
        taken: When it was taken.
        dicom_uid: SOP instance UID, where it is a DICOM object.
        consent: What the patient agreed to.
        note: Anything else about the picture.
    """

    key: Key
    view: Key | None = None
    address: Address | None = None
    media_type: MediaType | None = None
    size_bytes: Bytes | None = None
    hash: ImageHash | None = None
    role: ImageRole | None = None
    scale: ImageScale | None = None
    taken: DayTime | None = None
    dicom_uid: DicomUid | None = None
    consent: ImageConsent | None = None
    note: Text | None = None


class ListGoneThrough(Model):
    """A list whose items were all looked for: an unticked item is absent by this statement.

    Attributes:
        list: Which list.
        views: Keys of the views in which it was gone through; none means all.
    """

    list: Coded[FindingList]
    views: Listed[Key] = ()


class Finding(Model):
    """One structure, what was recorded of it, and in which views.

    Attributes:
        structure: What was looked for or seen.
        place: Where in the lesion.
        presence: Present, absent, uncertain or not assessed.
        not_assessed_because: Why it was not assessed.
        views: Keys of the views in which it was seen; none means all.
        distribution: How it is spread.
        regularity: Whether it is even.
        colours: Its colours.
        count: How many.
        area_percent: Share of the lesion's area, per cent.
        size_mm: Measured size of one, millimetres.
        note: Anything else about it.
    """

    structure: Coded[Structure]
    place: Coded[Place] | None = None
    presence: Presence
    not_assessed_because: NotAssessedReason | None = None
    views: Listed[Key] = ()
    distribution: Coded[Distribution] | None = None
    regularity: Regularity | None = None
    colours: Listed[Coded[Colour]] = ()
    count: Count | None = None
    area_percent: Percent | None = None
    size_mm: Millimetres | None = None
    note: Text | None = None


class Axis(Model):
    """What is asymmetric along one of two axes at right angles.

    Attributes:
        contour: Whether the outline differs on the two sides.
        colour: Whether colour differs.
        structure: Whether structure differs.
    """

    contour: Judgement | None = None
    colour: Judgement | None = None
    structure: Judgement | None = None


class Description(Model):
    """The lesion as a whole. ``colours`` is the full list: a colour left out was not seen.

    Attributes:
        first_axis: Asymmetry along the axis that was laid for the least asymmetry.
        second_axis: Asymmetry along the axis at right angles.
        symmetric_all_axes: Whether the pattern is symmetric across every axis.
        architecture: How far the order of its structures is lost.
        border_segments: Eighths of the border at which pigment ends abruptly, 0 to 8.
        colours: All colours seen.
        doubtful_colours: Colours that may be there.
        white_paler_than_skin: Whether white areas are whiter than the skin around.
        pattern: The prevailing pattern.
        step_one: First step of the two-step method: melanocytic or not.
        note: Anything else about the whole lesion.
    """

    first_axis: Axis | None = None
    second_axis: Axis | None = None
    symmetric_all_axes: Judgement | None = None
    architecture: Architecture | None = None
    border_segments: Segments | None = None
    colours: Listed[Coded[Colour]] = ()
    doubtful_colours: Listed[Coded[Colour]] = ()
    white_paler_than_skin: Judgement | None = None
    pattern: Coded[Structure] | None = None
    step_one: StepOne | None = None
    note: Text | None = None


def finding_key(finding: Finding) -> Hashable:
    """Return what makes a finding the same one: structure and place."""
    place = finding.place
    return code_mark(finding.structure), None if place is None else code_mark(place)


def list_key(gone_through: ListGoneThrough) -> Hashable:
    """Return what makes a list the same one."""
    return code_mark(gone_through.list)


Views = Annotated[Listed[View], unique_by(attrgetter("key"))]
Images = Annotated[Listed[Image], unique_by(attrgetter("key"))]
Findings = Annotated[Listed[Finding], unique_by(finding_key)]
Lists = Annotated[Listed[ListGoneThrough], unique_by(list_key)]
