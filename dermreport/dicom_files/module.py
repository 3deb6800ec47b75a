"""Which attributes of a DICOM file are read and written, and which words of theirs are which of ours.

Attribute names, value representations and tags are those of PS3.6; words and their conditions those of PS3.3,
C.8.12.13 Dermoscopic Image Module (2024c). Nothing of the Patient and Study modules is among them: what identifies
somebody is never decoded.
"""

from __future__ import annotations

from enum import Enum
from types import MappingProxyType
from typing import TYPE_CHECKING, Final

from dermreport.vocabulary.contacts import Contact
from dermreport.vocabulary.coverages import Coverage
from dermreport.vocabulary.lights import Light
from dermreport.vocabulary.mapping import MAPPINGS, Relation
from dermreport.vocabulary.mediums import Medium
from dermreport.vocabulary.sides import Side
from dermreport.vocabulary.sites import Site
from dermreport.vocabulary.standard_codes import DICOM, SNOMED_CT

if TYPE_CHECKING:
    from dermreport.vocabulary.term import Term

#: Dermoscopic Photography Image Storage (PS3.6, table A-1).
DERMOSCOPIC_PHOTOGRAPHY: Final = "1.2.840.10008.5.1.4.1.1.77.1.7"
#: Media type of a DICOM file (PS3.18, section 8.7; RFC 3240).
MEDIA_TYPE: Final = "application/dicom"


class Attribute(Enum):
    """An attribute of PS3.6; its name is the standard's keyword with underscores."""

    tag: int
    vr: str

    def __init__(self, tag: int, vr: str) -> None:
        """Keep tag and value representation."""
        self.tag = tag
        self.vr = vr

    # File meta information, PS3.10, table 7.1-1.
    FILE_META_INFORMATION_GROUP_LENGTH = 0x00020000, "UL"
    MEDIA_STORAGE_SOP_INSTANCE_UID = 0x00020003, "UI"
    TRANSFER_SYNTAX_UID = 0x00020010, "UI"
    IMPLEMENTATION_CLASS_UID = 0x00020012, "UI"
    IMPLEMENTATION_VERSION_NAME = 0x00020013, "SH"
    SOURCE_APPLICATION_ENTITY_TITLE = 0x00020016, "AE"
    # SOP common, general image, general acquisition and general equipment: PS3.3, C.12.1, C.7.6.1, C.7.10.1, C.7.5.1.
    SPECIFIC_CHARACTER_SET = 0x00080005, "CS"
    INSTANCE_CREATION_DATE = 0x00080012, "DA"
    INSTANCE_CREATION_TIME = 0x00080013, "TM"
    SOP_CLASS_UID = 0x00080016, "UI"
    SOP_INSTANCE_UID = 0x00080018, "UI"
    ACQUISITION_DATE = 0x00080022, "DA"
    CONTENT_DATE = 0x00080023, "DA"
    ACQUISITION_DATE_TIME = 0x0008002A, "DT"
    ACQUISITION_TIME = 0x00080032, "TM"
    CONTENT_TIME = 0x00080033, "TM"
    MANUFACTURER = 0x00080070, "LO"
    TIMEZONE_OFFSET_FROM_UTC = 0x00080201, "SH"
    MANUFACTURER_MODEL_NAME = 0x00081090, "LO"
    # Where: PS3.3, C.8.12.1, C.7.3.1, 10.5 and the code sequence macro, 8.8.
    CODE_VALUE = 0x00080100, "SH"
    CODING_SCHEME_DESIGNATOR = 0x00080102, "SH"
    CODE_MEANING = 0x00080104, "LO"
    LONG_CODE_VALUE = 0x00080119, "UC"
    ANATOMIC_REGION_SEQUENCE = 0x00082218, "SQ"
    ANATOMIC_REGION_MODIFIER_SEQUENCE = 0x00082220, "SQ"
    PRIMARY_ANATOMIC_STRUCTURE_SEQUENCE = 0x00082228, "SQ"
    BODY_PART_EXAMINED = 0x00180015, "CS"
    LATERALITY = 0x00200060, "CS"
    IMAGE_LATERALITY = 0x00200062, "CS"
    # The Dermoscopic Image Module: PS3.3, C.8.12.13.
    LIGHT_SOURCE_POLARIZATION = 0x00161001, "CS"
    EMITTER_COLOR_TEMPERATURE = 0x00161002, "DS"
    CONTACT_METHOD = 0x00161003, "CS"
    IMMERSION_MEDIA = 0x00161004, "CS"
    OPTICAL_MAGNIFICATION_FACTOR = 0x00161005, "DS"
    RECOGNIZABLE_VISUAL_FEATURES = 0x00280302, "CS"
    PARTIAL_VIEW = 0x00281350, "CS"
    PARTIAL_VIEW_DESCRIPTION = 0x00281351, "ST"
    TRACKING_ID = 0x00620020, "UT"
    TRACKING_UID = 0x00620021, "UI"
    # The picture: PS3.3, C.7.6.3 and the modules of floating point pixel data.
    FLOAT_PIXEL_DATA = 0x7FE00008, "OF"
    DOUBLE_FLOAT_PIXEL_DATA = 0x7FE00009, "OD"
    PIXEL_DATA = 0x7FE00010, "OB or OW"
    # PS3.3, C.12.1.1.3.
    DIGITAL_SIGNATURES_SEQUENCE = 0xFFFAFFFA, "SQ"

    @property
    def keyword(self) -> str:
        """The standard's keyword, as ``LightSourcePolarization``."""
        return "".join(_CAPITALS.get(part, part.capitalize()) for part in self.name.split("_"))


#: Parts of keywords that aren't written with one capital.
_CAPITALS: Final = {"UID": "UID", "SOP": "SOP", "UTC": "UTC", "ID": "ID"}

#: Attributes that hold the picture; they are never decoded.
PICTURES: Final = (Attribute.FLOAT_PIXEL_DATA, Attribute.DOUBLE_FLOAT_PIXEL_DATA, Attribute.PIXEL_DATA)

#: Light Source Polarization.
LIGHTS: Final = MappingProxyType({"POLARIZED": Light.POLARISED, "NON_POLARIZED": Light.NON_POLARISED})
#: Contact Method.
CONTACTS: Final = MappingProxyType({"CONTACT": Contact.CONTACT, "NON_CONTACT": Contact.NON_CONTACT})
#: Immersion Media; there is no word for none.
MEDIUMS: Final = MappingProxyType(
    {
        "ULTRASOUND_GEL": Medium.GEL,
        "ALCOHOL": Medium.ALCOHOL,
        "WATER": Medium.WATER,
        "MINERAL_OIL": Medium.OIL,
        "PLASTIC_CAP": Medium.CAP,
    }
)
#: Partial View. That a picture isn't a partial view doesn't say that the whole lesion with its edge is in the field.
COVERAGES: Final = MappingProxyType({"YES": Coverage.PART})
#: Partial View: a word that says nothing of ours.
WHOLE_PICTURE: Final = frozenset({"NO"})
#: Image Laterality and Laterality (PS3.3, C.8.12.1 and C.7.3.1).
SIDES: Final = MappingProxyType({"L": Side.LEFT, "R": Side.RIGHT})
#: Image Laterality: unpaired and both, which are no side of ours.
NO_SIDE: Final = frozenset({"U", "B"})
#: Coding scheme designators (PS3.16, section 8) with an address.
CODING_SCHEMES: Final = MappingProxyType({"SCT": SNOMED_CT, "DCM": DICOM})


def _meaning(table: type[Term]) -> dict[tuple[str, str], Term]:
    """Return which of our terms a standard code means; codes that mean no single one of them are left out."""
    found: dict[tuple[str, str], list[Term]] = {}
    for term, mappings in MAPPINGS[table].items():
        for mapping in mappings:
            if mapping.relation is Relation.EQUIVALENT:
                found.setdefault((mapping.system, mapping.code), []).append(term)
    return {code: terms[0] for code, terms in found.items() if len(terms) == 1}


#: Sites and sides by system and code.
SITES_BY_CODE: Final = MappingProxyType(_meaning(Site))
SIDES_BY_CODE: Final = MappingProxyType(_meaning(Side))
