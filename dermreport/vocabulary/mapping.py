"""Which codes of open terminologies our terms correspond to, and how closely.

The codes themselves, with their displays and sources, are in :mod:`dermreport.vocabulary.standard_codes`. That a
code exists is seen there; that it corresponds to our term, and how closely, is our judgement.

Three rules decide what goes out beside our own code:

- A standard code goes out only when our term implies it: the meanings are equal, or the standard's is wider.
- A suspected cancer implies no disorder. Names that imply more than a harmless lesion are only *related* to the
  disorder's code, for a reader of the concept map; the disorder itself belongs to a pathologist's result.
- What only one indirect source gives, and anatomy codes of a system that HL7 has no address for, is left out.

Loaded on first use: nothing that is imported with the package imports this module.
"""

from __future__ import annotations

from enum import StrEnum
from types import MappingProxyType
from typing import TYPE_CHECKING, Final

from msgspec import Struct

from dermreport.sources import Basis
from dermreport.vocabulary.attributes import Attribute
from dermreport.vocabulary.colours import Colour
from dermreport.vocabulary.consistencies import Consistency
from dermreport.vocabulary.documents import Document
from dermreport.vocabulary.earlier_cancers import EarlierCancer
from dermreport.vocabulary.elevations import Elevation
from dermreport.vocabulary.family_histories import FamilyHistory
from dermreport.vocabulary.genetic_syndromes import GeneticSyndrome
from dermreport.vocabulary.histology_results import HistologyResult
from dermreport.vocabulary.impressions import Impression
from dermreport.vocabulary.judgements import Judgement
from dermreport.vocabulary.plan_actions import PlanAction
from dermreport.vocabulary.pregnancies import Pregnancy
from dermreport.vocabulary.presences import Presence
from dermreport.vocabulary.replies import Reply
from dermreport.vocabulary.sides import Side
from dermreport.vocabulary.sites import Site
from dermreport.vocabulary.standard_codes import STANDARD_CODES

if TYPE_CHECKING:
    from dermreport.vocabulary.term import Term


class Relation(StrEnum):
    """What the standard concept is, seen from our term.

    The direction is always the standard's: ``broader`` says that the *standard* concept is broader than our term, so
    whatever is ours is also the standard's. It is ``wider`` in an R4 concept map from ours to theirs and
    ``source-is-narrower-than-target`` in R5.
    """

    EQUIVALENT = "equivalent"
    BROADER = "broader"
    NARROWER = "narrower"
    RELATED = "related"


class Mapping(Struct, frozen=True):
    """One standard code beside one of our terms.

    Attributes:
        system: URI of the terminology.
        code: The code.
        display: The display of the library that carries it.
        relation: What the standard concept is, seen from our term.
        basis: How the code is known; the relation is our judgement.
    """

    system: str
    code: str
    display: str
    relation: Relation
    basis: Basis

    @property
    def implied(self) -> bool:
        """Return whether whatever our term says, the standard code says too, so that it may stand beside ours."""
        return self.relation in {Relation.EQUIVALENT, Relation.BROADER}


def _mapping(display: str, relation: Relation) -> Mapping:
    standard = STANDARD_CODES[display]
    return Mapping(standard.system, standard.code, standard.display, relation, standard.basis)


def _equivalent(display: str) -> Mapping:
    return _mapping(display, Relation.EQUIVALENT)


def _broader(display: str) -> Mapping:
    return _mapping(display, Relation.BROADER)


def _narrower(display: str) -> Mapping:
    return _mapping(display, Relation.NARROWER)


def _related(display: str) -> Mapping:
    return _mapping(display, Relation.RELATED)


_SITES: Final[dict[Term, tuple[Mapping, ...]]] = {
    Site.SKIN: (_equivalent("Skin"),),
    Site.HEAD: (_equivalent("Skin of head"),),
    Site.SCALP: (_equivalent("Skin of scalp"),),
    Site.SCALP_FRONTAL: (_broader("Skin of scalp"),),
    Site.SCALP_VERTEX: (_equivalent("Skin of vertex of scalp"),),
    Site.SCALP_PARIETAL: (_equivalent("Skin of parietal region"),),
    Site.SCALP_TEMPORAL: (_broader("Skin of temporal region"),),
    Site.SCALP_OCCIPITAL: (_equivalent("Skin of occipital region"),),
    Site.FACE: (_equivalent("Skin of face"),),
    Site.FOREHEAD: (_equivalent("Skin of forehead"),),
    Site.TEMPLE: (_broader("Skin of temporal region"),),
    Site.EYEBROW: (_equivalent("Skin of eyebrow"),),
    Site.EYELID_UPPER: (_equivalent("Skin of upper eyelid"),),
    Site.EYELID_LOWER: (_equivalent("Skin of lower eyelid"),),
    Site.CANTHUS_INNER: (_equivalent("Skin of medial canthus"),),
    Site.CANTHUS_OUTER: (_equivalent("Skin of lateral canthus"),),
    Site.CHEEK: (_equivalent("Skin of cheek"),),
    Site.ZYGOMA: (_broader("Skin of face"),),
    Site.NASOLABIAL_FOLD: (_equivalent("Skin of nasolabial fold"),),
    Site.NOSE: (_equivalent("Skin of nose"),),
    Site.NOSE_BRIDGE: (_broader("Skin of nose"),),
    Site.NOSE_TIP: (_equivalent("Skin of tip of nose"),),
    Site.NOSE_ALA: (_equivalent("Skin of ala nasi"),),
    Site.LIP_UPPER_SKIN: (_equivalent("Skin of upper lip"),),
    Site.LIP_LOWER_SKIN: (_equivalent("Skin of lower lip"),),
    Site.LIP_UPPER_VERMILION: (_broader("Skin of lip"),),
    Site.LIP_LOWER_VERMILION: (_broader("Skin of lip"),),
    Site.CHIN: (_equivalent("Skin of chin"),),
    Site.JAW: (_equivalent("Skin of jawline"),),
    Site.EAR: (_equivalent("Skin of ear"),),
    Site.EAR_HELIX: (_equivalent("Skin of helix of ear"),),
    Site.EAR_ANTIHELIX_CONCHA: (_broader("Skin of ear"),),
    Site.EAR_LOBE: (_equivalent("Skin of ear lobule"),),
    Site.EAR_POSTERIOR: (_broader("Skin of ear"),),
    Site.EAR_CANAL: (_equivalent("Skin of external auditory canal"),),
    Site.PREAURICULAR: (_equivalent("Skin of preauricular region"),),
    Site.POSTAURICULAR: (_equivalent("Skin of postauricular region"),),
    Site.MOUTH_MUCOSA: (_equivalent("Oral mucosa"),),
    Site.TONGUE: (_equivalent("Mucosa of tongue"),),
    Site.GUM: (
        _broader("Oral mucosa"),
        _narrower("Mucosa of mandibular gingiva"),
        _narrower("Mucosa of maxillary gingiva"),
    ),
    Site.PALATE: (_broader("Oral mucosa"),),
    Site.BUCCAL_MUCOSA: (_equivalent("Structure of buccal mucosa (body structure)"),),
    Site.NECK: (_equivalent("Skin of neck"),),
    Site.NECK_ANTERIOR: (_equivalent("Skin of anterior portion of neck"),),
    Site.NECK_LATERAL: (_equivalent("Skin of lateral portion of neck"),),
    Site.NECK_POSTERIOR: (_equivalent("Skin of nuchal region"),),
    Site.TRUNK: (
        _equivalent("Skin structure of trunk (body structure)"),
        _narrower("Skin of upper trunk"),
    ),
    Site.CHEST: (
        _equivalent("Skin of chest"),
        _narrower("Skin of anterior surface of thorax"),
    ),
    Site.STERNUM: (_equivalent("Sternal skin"),),
    Site.CLAVICLE: (_broader("Skin of upper trunk"),),
    Site.BREAST: (_broader("Skin of chest"),),
    Site.NIPPLE_AREOLA: (
        _broader("Skin of chest"),
        _narrower("Skin of areola"),
        _narrower("Skin of nipple"),
    ),
    Site.INFRAMAMMARY_FOLD: (_broader("Skin of chest"),),
    Site.AXILLA: (_equivalent("Skin of axilla"),),
    Site.FLANK: (_broader("Skin structure of trunk (body structure)"),),
    Site.ABDOMEN: (_equivalent("Skin of abdomen"),),
    Site.ABDOMEN_UPPER: (_equivalent("Skin of upper abdomen"),),
    Site.ABDOMEN_LOWER: (_equivalent("Skin of lower abdomen"),),
    Site.UMBILICUS: (_equivalent("Skin of umbilicus"),),
    Site.GROIN: (_equivalent("Skin of inguinal region"),),
    Site.PUBIC_AREA: (_broader("Skin structure of trunk (body structure)"),),
    Site.BACK: (_equivalent("Skin of back"),),
    Site.BACK_UPPER: (_equivalent("Skin of back of upper thoracic region"),),
    Site.SCAPULAR_AREA: (_broader("Skin of back"),),
    Site.INTERSCAPULAR_AREA: (_broader("Skin of back"),),
    Site.BACK_LOWER: (_equivalent("Skin of lower back"),),
    Site.SACRAL_AREA: (_broader("Skin of back"),),
    Site.BUTTOCK: (_equivalent("Skin of buttock"),),
    Site.NATAL_CLEFT: (_broader("Skin structure of trunk (body structure)"),),
    Site.PERINEUM: (_equivalent("Skin of perineum"),),
    Site.PERIANAL_SKIN: (_related("Skin of anus"),),
    Site.ANAL_MUCOSA: (_related("Skin of anus"),),
    Site.EXTERNAL_GENITALIA: (_equivalent("Skin of external genitalia"),),
    Site.PENIS_SHAFT: (_equivalent("Skin of shaft of penis"),),
    Site.PREPUCE: (_broader("Skin of penis"),),
    Site.GLANS: (_equivalent("Skin of glans penis"),),
    Site.SCROTUM: (_equivalent("Skin of scrotum"),),
    Site.LABIUM_MAJUS: (_equivalent("Skin of labium majus"),),
    Site.LABIUM_MINUS: (_equivalent("Skin of labium minus"),),
    Site.CLITORAL_AREA: (
        _equivalent("Skin of clitoris"),
        _narrower("Skin of prepuce of clitoris"),
    ),
    Site.VULVAL_VESTIBULE: (_equivalent("Vulval vestibule"),),
    Site.UPPER_LIMB: (_equivalent("Skin of upper extremity"),),
    Site.SHOULDER: (_equivalent("Skin structure of shoulder (body structure)"),),
    Site.UPPER_ARM_OUTER: (_broader("Skin of upper extremity"),),
    Site.UPPER_ARM_INNER: (_broader("Skin of upper extremity"),),
    Site.ELBOW: (
        _broader("Skin of upper extremity"),
        _narrower("Skin of posterior surface of elbow"),
    ),
    Site.ELBOW_CREASE: (_equivalent("Skin of antecubital fossa"),),
    Site.FOREARM: (_equivalent("Skin structure of forearm (body structure)"),),
    Site.FOREARM_EXTENSOR: (_equivalent("Skin of posterior surface of forearm"),),
    Site.FOREARM_FLEXOR: (_equivalent("Skin of anterior surface of forearm"),),
    Site.WRIST: (
        _broader("Skin of upper extremity"),
        _narrower("Skin of palmar area of wrist"),
        _narrower("Skin of dorsal area of wrist"),
    ),
    Site.HAND: (_equivalent("Skin of hand"),),
    Site.HAND_DORSUM: (
        _broader("Skin of hand"),
        _narrower("Skin of part of dorsal surface of hand"),
    ),
    Site.PALM: (_equivalent("Skin of palm of hand"),),
    Site.PALM_THENAR: (_equivalent("Skin of thenar region of palm"),),
    Site.PALM_HYPOTHENAR: (_equivalent("Skin of hypothenar region of palm"),),
    Site.HAND_EDGE_ULNAR: (_broader("Skin of hand"),),
    Site.FINGER_WEB: (_broader("Skin of hand"),),
    Site.THUMB_PALMAR: (_broader("Skin of digit of hand"),),
    Site.THUMB_DORSAL: (_broader("Skin of digit of hand"),),
    Site.THUMB_NAIL: (_equivalent("Nail unit of thumb"),),
    Site.INDEX_FINGER_PALMAR: (_broader("Skin of digit of hand"),),
    Site.INDEX_FINGER_DORSAL: (_broader("Skin of digit of hand"),),
    Site.INDEX_FINGER_NAIL: (_equivalent("Nail unit of index finger"),),
    Site.MIDDLE_FINGER_PALMAR: (_broader("Skin of digit of hand"),),
    Site.MIDDLE_FINGER_DORSAL: (_broader("Skin of digit of hand"),),
    Site.MIDDLE_FINGER_NAIL: (_equivalent("Nail unit of middle finger"),),
    Site.RING_FINGER_PALMAR: (_broader("Skin of digit of hand"),),
    Site.RING_FINGER_DORSAL: (_broader("Skin of digit of hand"),),
    Site.RING_FINGER_NAIL: (_equivalent("Nail unit of ring finger"),),
    Site.LITTLE_FINGER_PALMAR: (_broader("Skin of digit of hand"),),
    Site.LITTLE_FINGER_DORSAL: (_broader("Skin of digit of hand"),),
    Site.LITTLE_FINGER_NAIL: (_equivalent("Nail unit of little finger"),),
    Site.LOWER_LIMB: (_equivalent("Skin of lower extremity"),),
    Site.HIP: (_broader("Skin of lower extremity"),),
    Site.THIGH_ANTERIOR: (_equivalent("Skin of anterior surface of thigh"),),
    Site.THIGH_POSTERIOR: (_equivalent("Skin of posterior surface of thigh"),),
    Site.THIGH_MEDIAL: (_equivalent("Skin of medial surface of thigh"),),
    Site.THIGH_LATERAL: (_broader("Skin of lower extremity"),),
    Site.KNEE: (
        _broader("Skin of lower extremity"),
        _narrower("Skin of anterior surface of knee"),
    ),
    Site.KNEE_HOLLOW: (_equivalent("Skin of popliteal fossa"),),
    Site.LOWER_LEG: (_equivalent("Skin structure of lower leg (body structure)"),),
    Site.SHIN: (_equivalent("Skin of anterior surface of lower leg"),),
    Site.CALF: (_equivalent("Skin of posterior surface of lower leg"),),
    Site.ANKLE: (
        _broader("Skin of lower extremity"),
        _narrower("Skin of medial aspect of ankle"),
        _narrower("Skin of lateral aspect of ankle"),
    ),
    Site.FOOT: (_equivalent("Skin of foot"),),
    Site.FOOT_DORSUM: (
        _broader("Skin of foot"),
        _narrower("Skin of lateral part of dorsum of foot"),
        _narrower("Skin of medial part of dorsum of foot"),
    ),
    Site.SOLE: (_equivalent("Skin structure of sole of foot (body structure)"),),
    Site.SOLE_FOREFOOT: (
        _equivalent("Skin of sole of forefoot"),
        _broader("Skin of foot"),
    ),
    Site.SOLE_ARCH: (_broader("Skin of foot"),),
    Site.HEEL: (_equivalent("Skin of heel"),),
    Site.FOOT_EDGE_LATERAL: (
        _broader("Skin of foot"),
        _narrower("Skin of lateral border of sole of foot"),
    ),
    Site.FOOT_EDGE_MEDIAL: (
        _broader("Skin of foot"),
        _narrower("Skin of medial border of sole of foot"),
    ),
    Site.TOE_WEB: (_broader("Skin of foot"),),
    Site.GREAT_TOE_PLANTAR: (_broader("Skin of toe"),),
    Site.GREAT_TOE_DORSAL: (_broader("Skin of toe"),),
    Site.GREAT_TOE_NAIL: (_equivalent("Nail unit of great toe"),),
    Site.SECOND_TOE_PLANTAR: (_broader("Skin of toe"),),
    Site.SECOND_TOE_DORSAL: (_broader("Skin of toe"),),
    Site.SECOND_TOE_NAIL: (_equivalent("Nail unit of second toe"),),
    Site.THIRD_TOE_PLANTAR: (_broader("Skin of toe"),),
    Site.THIRD_TOE_DORSAL: (_broader("Skin of toe"),),
    Site.THIRD_TOE_NAIL: (_equivalent("Nail unit of third toe"),),
    Site.FOURTH_TOE_PLANTAR: (_broader("Skin of toe"),),
    Site.FOURTH_TOE_DORSAL: (_broader("Skin of toe"),),
    Site.FOURTH_TOE_NAIL: (_equivalent("Nail unit of fourth toe"),),
    Site.FIFTH_TOE_PLANTAR: (_broader("Skin of toe"),),
    Site.FIFTH_TOE_DORSAL: (_broader("Skin of toe"),),
    Site.FIFTH_TOE_NAIL: (_equivalent("Nail unit of fifth toe"),),
}

_SIDES: Final[dict[Term, tuple[Mapping, ...]]] = {
    Side.LEFT: (_equivalent("Left"),),
    Side.RIGHT: (_equivalent("Right"),),
    Side.MIDLINE: (_equivalent("Median"),),
}

_COLOURS: Final[dict[Term, tuple[Mapping, ...]]] = {
    Colour.LIGHT_BROWN: (_equivalent("Light brown color"),),
    Colour.DARK_BROWN: (_equivalent("Dark brown color"),),
    Colour.BROWN: (_equivalent("Brown"),),
    Colour.BLACK: (_equivalent("Black"),),
    Colour.BLUE: (_equivalent("Blue"),),
    Colour.GREY: (_equivalent("Gray"),),
    Colour.WHITE: (_equivalent("White"),),
    Colour.RED: (_equivalent("Red"),),
    Colour.PINK: (_equivalent("Pink"),),
    Colour.YELLOW: (_equivalent("Yellow"),),
    Colour.ORANGE: (_equivalent("Orange"),),
    Colour.PURPLE: (_equivalent("Purple"),),
}

_PRESENCES: Final[dict[Term, tuple[Mapping, ...]]] = {
    Presence.PRESENT: (_equivalent("Present"),),
    Presence.ABSENT: (_equivalent("Absent (qualifier value)"),),
    Presence.UNCERTAIN: (_equivalent("Indeterminate"),),
}

_REPLIES: Final[dict[Term, tuple[Mapping, ...]]] = {
    Reply.YES: (_equivalent("Yes"),),
    Reply.NO: (_equivalent("No"),),
    Reply.UNKNOWN: (_equivalent("Unknown"),),
}

_JUDGEMENTS: Final[dict[Term, tuple[Mapping, ...]]] = {
    Judgement.YES: (_equivalent("Yes"),),
    Judgement.NO: (_equivalent("No"),),
    Judgement.UNCERTAIN: (_equivalent("Indeterminate"),),
}

_PREGNANCIES: Final[dict[Term, tuple[Mapping, ...]]] = {
    Pregnancy.YES: (_equivalent("Patient currently pregnant"),),
    Pregnancy.NO: (_equivalent("Not pregnant (finding)"),),
}

_ATTRIBUTES: Final[dict[Term, tuple[Mapping, ...]]] = {
    # Only related: the code is a tumour's, and no library here carries it.
    Attribute.LONGEST_DIAMETER: (_related("Size.maximum dimension in Tumor"),),
    Attribute.LESION_COLOURS: (_equivalent("Skin lesion color"),),
    Attribute.ITCHING: (_equivalent("Itching"),),
    Attribute.PAIN: (_equivalent("Pain of skin (finding)"),),
    Attribute.INFLAMED: (_related("Erythema"),),
    Attribute.BLEEDING: (_narrower("Bleeding skin"),),
    Attribute.CHANGED_COLOUR: (_related("Symptom has changed"),),
    Attribute.CHANGED_SHAPE: (_related("Symptom has changed"),),
}

_CONSISTENCIES: Final[dict[Term, tuple[Mapping, ...]]] = {
    Consistency.FIRM: (_equivalent("Firm skin lesion"),),
}

_ELEVATIONS: Final[dict[Term, tuple[Mapping, ...]]] = {
    Elevation.RAISED: (_equivalent("Raised skin lesion"),),
    Elevation.NODULAR: (_broader("Raised skin lesion"),),
    Elevation.PEDUNCULATED: (_broader("Raised skin lesion"),),
}

_EARLIER_CANCERS: Final[dict[Term, tuple[Mapping, ...]]] = {
    EarlierCancer.MELANOMA: (_equivalent("History of malignant melanoma of the skin"),),
    EarlierCancer.MELANOMA_IN_SITU: (_equivalent("History of melanoma in situ of the skin"),),
    EarlierCancer.SQUAMOUS_CELL: (_equivalent("History of squamous cell carcinoma of skin"),),
    EarlierCancer.BASAL_CELL: (_equivalent("History of malignant basal cell neoplasm of skin"),),
    EarlierCancer.OTHER: (_broader("History of malignant neoplasm of skin excluding melanoma"),),
}

_FAMILY_HISTORIES: Final[dict[Term, tuple[Mapping, ...]]] = {
    FamilyHistory.ONE_FIRST_DEGREE: (_broader("Family history of malignant melanoma (situation)"),),
    FamilyHistory.TWO_OR_MORE: (_broader("Family history of malignant melanoma (situation)"),),
}

_GENETIC_SYNDROMES: Final[dict[Term, tuple[Mapping, ...]]] = {
    GeneticSyndrome.ATYPICAL_MOLE_SYNDROME: (_equivalent("Atypical mole syndrome"),),
    GeneticSyndrome.GORLIN: (_equivalent("Gorlin syndrome"),),
}

_IMPRESSIONS: Final[dict[Term, tuple[Mapping, ...]]] = {
    Impression.NAEVUS_JUNCTIONAL: (_broader("Melanocytic nevus of skin (disorder)"),),
    Impression.NAEVUS_COMPOUND: (_equivalent("Compound nevus of skin (disorder)"),),
    Impression.NAEVUS_DERMAL: (_broader("Melanocytic nevus of skin (disorder)"),),
    Impression.NAEVUS_MELANOCYTIC: (_equivalent("Melanocytic nevus of skin (disorder)"),),
    Impression.NAEVUS_ACRAL: (_broader("Melanocytic nevus of skin (disorder)"),),
    Impression.NAEVUS_CONGENITAL: (_equivalent("Congenital pigmented melanocytic nevus (disorder)"),),
    Impression.NAEVUS_HALO: (_equivalent("Halo nevus (disorder)"),),
    Impression.NAEVUS_BLUE: (_broader("Melanocytic nevus (disorder)"),),
    Impression.NAEVUS_ATYPICAL: (_related("Dysplastic nevus of skin (disorder)"),),
    Impression.EPHELIS: (_equivalent("Ephelis (disorder)"),),
    Impression.MELANOMA_SUSPECTED: (_related("Malignant melanoma of skin (disorder)"),),
    Impression.MELANOMA_IN_SITU_SUSPECTED: (_related("Melanoma in situ of skin (disorder)"),),
    Impression.LENTIGO_MALIGNA_SUSPECTED: (_related("Melanoma in situ of skin (disorder)"),),
    Impression.MELANOMA_NODULAR_SUSPECTED: (_related("Malignant melanoma of skin (disorder)"),),
    Impression.MELANOMA_ACRAL_NAIL_SUSPECTED: (_related("Malignant melanoma of skin (disorder)"),),
    Impression.MELANOMA_NO_PIGMENT_SUSPECTED: (_related("Malignant melanoma of skin (disorder)"),),
    Impression.MELANOMA_RECURRENCE_OR_METASTASIS_SUSPECTED: (_related("Metastatic malignant melanoma (disorder)"),),
    Impression.MELANOMA_CANNOT_BE_EXCLUDED: (_related("Malignant melanoma of skin (disorder)"),),
    Impression.SEBORRHOEIC_KERATOSIS: (_narrower("Inflamed seborrheic keratosis (disorder)"),),
    Impression.SOLAR_LENTIGO: (_equivalent("Solar lentigo (disorder)"),),
    Impression.ACTINIC_KERATOSIS: (_related("Actinic keratosis"),),
    Impression.ACTINIC_KERATOSIS_PIGMENTED: (_related("Actinic keratosis"),),
    Impression.SCC_IN_SITU_SUSPECTED: (_related("Squamous cell carcinoma in situ of skin (disorder)"),),
    Impression.SCC_SUSPECTED: (_related("Squamous cell carcinoma of skin"),),
    Impression.KERATOACANTHOMA_SUSPECTED: (_related("Keratoacanthoma (disorder)"),),
    Impression.BCC_SUPERFICIAL_SUSPECTED: (_related("Basal cell carcinoma of skin (disorder)"),),
    Impression.BCC_NODULAR_SUSPECTED: (_related("Basal cell carcinoma of skin (disorder)"),),
    Impression.BCC_PIGMENTED_SUSPECTED: (_related("Basal cell carcinoma of skin (disorder)"),),
    Impression.BCC_INFILTRATIVE_SUSPECTED: (_related("Basal cell carcinoma of skin (disorder)"),),
    Impression.VIRAL_WART: (
        _narrower("Verruca vulgaris (disorder)"),
        _narrower("Verruca plantaris (disorder)"),
    ),
    Impression.DERMATOFIBROMA: (_equivalent("Dermatofibroma (disorder)"),),
    Impression.SCAR_OR_KELOID: (
        _narrower("Scar of skin (disorder)"),
        _narrower("Keloid scar (disorder)"),
    ),
    Impression.SKIN_TAG_FIBROMA: (_equivalent("Skin tag (disorder)"),),
    Impression.HAEMANGIOMA: (
        _equivalent("Hemangioma of skin (disorder)"),
        _narrower("Senile angioma (disorder)"),
    ),
    Impression.PYOGENIC_GRANULOMA: (_related("Pyogenic granuloma of skin (disorder)"),),
    Impression.VENOUS_LAKE: (_equivalent("Venous lake (disorder)"),),
    Impression.HAEMORRHAGE: (
        _narrower("Hematoma of skin (disorder)"),
        _narrower("Subungual hematoma (disorder)"),
    ),
    Impression.MERKEL_CELL_CARCINOMA_SUSPECTED: (_related("Merkel cell carcinoma (disorder)"),),
    Impression.CUTANEOUS_LYMPHOMA_SUSPECTED: (_related("Primary cutaneous T-cell lymphoma (disorder)"),),
    Impression.KAPOSI_OR_ANGIOSARCOMA_SUSPECTED: (
        _related("Kaposi's sarcoma (disorder)"),
        _related("Angiosarcoma of skin (disorder)"),
    ),
    Impression.METASTASIS_SUSPECTED: (_related("Secondary malignant neoplasm of skin (disorder)"),),
    Impression.PAGET_SUSPECTED: (_related("Extramammary Paget's disease of skin (disorder)"),),
    Impression.SEBACEOUS_HYPERPLASIA: (_equivalent("Sebaceous hyperplasia (finding)"),),
    Impression.CYST: (_equivalent("Cyst of skin (disorder)"),),
    Impression.INFLAMMATORY: (
        _narrower("Inflammatory dermatosis (disorder)"),
        _narrower("Infection of skin (disorder)"),
    ),
    Impression.SCABIES_OR_PARASITE: (_narrower("Infestation caused by Sarcoptes scabiei var hominis (disorder)"),),
    Impression.FOREIGN_PIGMENT: (_narrower("Decorative tattoo of skin (finding)"),),
    Impression.PIGMENTED_LESION_UNSPECIFIED: (_equivalent("Pigmented skin lesion (disorder)"),),
    Impression.LESION_UNSPECIFIED: (_equivalent("Skin lesion"),),
}

_HISTOLOGY_RESULTS: Final[dict[Term, tuple[Mapping, ...]]] = {
    HistologyResult.MELANOMA: (_equivalent("Malignant melanoma of skin (disorder)"),),
    HistologyResult.MELANOMA_IN_SITU: (_equivalent("Melanoma in situ of skin (disorder)"),),
    HistologyResult.LENTIGO_MALIGNA: (_broader("Melanoma in situ of skin (disorder)"),),
    HistologyResult.MELANOMA_METASTASIS: (_broader("Secondary malignant neoplasm of skin (disorder)"),),
    HistologyResult.MELANOCYTIC_UNCERTAIN: (_broader("Neoplasm of uncertain behavior of skin (disorder)"),),
    HistologyResult.NAEVUS_MELANOCYTIC: (_equivalent("Melanocytic nevus of skin (disorder)"),),
    HistologyResult.NAEVUS_JUNCTIONAL: (_broader("Melanocytic nevus of skin (disorder)"),),
    HistologyResult.NAEVUS_COMPOUND: (_equivalent("Compound nevus of skin (disorder)"),),
    HistologyResult.NAEVUS_DERMAL: (_broader("Melanocytic nevus of skin (disorder)"),),
    HistologyResult.NAEVUS_CONGENITAL: (_equivalent("Congenital pigmented melanocytic nevus (disorder)"),),
    HistologyResult.NAEVUS_HALO: (_equivalent("Halo nevus (disorder)"),),
    HistologyResult.NAEVUS_BLUE: (_broader("Melanocytic nevus (disorder)"),),
    HistologyResult.NAEVUS_RECURRENT: (_broader("Melanocytic nevus of skin (disorder)"),),
    HistologyResult.NAEVUS_DYSPLASTIC: (_equivalent("Dysplastic nevus of skin (disorder)"),),
    HistologyResult.BASAL_CELL_CARCINOMA: (_equivalent("Basal cell carcinoma of skin (disorder)"),),
    HistologyResult.SQUAMOUS_CELL_CARCINOMA: (_equivalent("Squamous cell carcinoma of skin"),),
    HistologyResult.SQUAMOUS_CELL_CARCINOMA_IN_SITU: (
        _equivalent("Squamous cell carcinoma in situ of skin (disorder)"),
    ),
    HistologyResult.KERATOACANTHOMA: (_equivalent("Keratoacanthoma (disorder)"),),
    HistologyResult.ACTINIC_KERATOSIS: (_equivalent("Actinic keratosis"),),
    HistologyResult.SEBORRHOEIC_KERATOSIS: (_equivalent("Seborrheic keratosis (morphologic abnormality)"),),
    HistologyResult.SOLAR_LENTIGO: (_equivalent("Solar lentigo (disorder)"),),
    HistologyResult.VIRAL_WART: (
        _narrower("Verruca vulgaris (disorder)"),
        _narrower("Verruca plantaris (disorder)"),
    ),
    HistologyResult.DERMATOFIBROMA: (_equivalent("Dermatofibroma (disorder)"),),
    HistologyResult.SCAR: (_equivalent("Scar of skin (disorder)"),),
    HistologyResult.HAEMANGIOMA: (_equivalent("Hemangioma of skin (disorder)"),),
    HistologyResult.PYOGENIC_GRANULOMA: (_equivalent("Pyogenic granuloma of skin (disorder)"),),
    HistologyResult.VENOUS_LAKE: (_equivalent("Venous lake (disorder)"),),
    HistologyResult.HAEMORRHAGE: (
        _narrower("Hematoma of skin (disorder)"),
        _narrower("Subungual hematoma (disorder)"),
    ),
    HistologyResult.SEBACEOUS_HYPERPLASIA: (_equivalent("Sebaceous hyperplasia (finding)"),),
    HistologyResult.CYST: (_equivalent("Cyst of skin (disorder)"),),
    HistologyResult.MERKEL_CELL_CARCINOMA: (_equivalent("Merkel cell carcinoma (disorder)"),),
    HistologyResult.CUTANEOUS_LYMPHOMA: (_narrower("Primary cutaneous T-cell lymphoma (disorder)"),),
    HistologyResult.KAPOSI_SARCOMA: (_broader("Kaposi's sarcoma (disorder)"),),
    HistologyResult.ANGIOSARCOMA: (_equivalent("Angiosarcoma of skin (disorder)"),),
    HistologyResult.PAGET_DISEASE: (_narrower("Extramammary Paget's disease of skin (disorder)"),),
    HistologyResult.METASTASIS: (_broader("Secondary malignant neoplasm of skin (disorder)"),),
    HistologyResult.INFLAMMATORY: (_equivalent("Inflammatory dermatosis (disorder)"),),
    HistologyResult.UNCERTAIN_BEHAVIOUR: (_equivalent("Neoplasm of uncertain behavior of skin (disorder)"),),
    HistologyResult.INSUFFICIENT: (_equivalent("Specimen unsatisfactory for evaluation (finding)"),),
}

_PLAN_ACTIONS: Final[dict[Term, tuple[Mapping, ...]]] = {
    PlanAction.REFER_SUSPECTED_CANCER: (_broader("Patient referral (procedure)"),),
    PlanAction.REFER_DERMATOLOGY: (_equivalent("Referral to dermatology service (procedure)"),),
    PlanAction.REFER_OTHER: (_broader("Patient referral (procedure)"),),
    PlanAction.EXCISE_COMPLETE: (_equivalent("Excision biopsy of skin lesion (procedure)"),),
    PlanAction.BIOPSY_INCISIONAL: (_broader("Incisional biopsy (procedure)"),),
    PlanAction.BIOPSY_PUNCH: (_broader("Punch biopsy (procedure)"),),
    PlanAction.BIOPSY_SHAVE_DEEP: (_broader("Shave biopsy (procedure)"),),
    PlanAction.CRYOTHERAPY: (_equivalent("Cryotherapy to skin lesion"),),
    PlanAction.LASER: (_equivalent("Laser procedure on skin"),),
    PlanAction.CAUTERY: (_narrower("Diathermy of skin lesion (procedure)"),),
    PlanAction.PHOTODYNAMIC_THERAPY: (_equivalent("Photodynamic therapy of skin"),),
    PlanAction.MONITOR_SHORT: (_broader("Skin disorder monitoring (regime/therapy)"),),
    PlanAction.MONITOR_SHORT_FACE: (_broader("Skin disorder monitoring (regime/therapy)"),),
    PlanAction.MONITOR_LONG: (_broader("Skin disorder monitoring (regime/therapy)"),),
    PlanAction.WHOLE_SKIN_EXAMINATION: (_broader("Examination of skin (procedure)"),),
    PlanAction.TOTAL_BODY_PHOTOGRAPHY: (_broader("Photography of patient"),),
    PlanAction.REVIEW_IN_PERSON: (_broader("Follow-up visit (procedure)"),),
}

_DOCUMENTS: Final[dict[Term, tuple[Mapping, ...]]] = {
    Document.DERMOSCOPY_REPORT: (_broader("Diagnostic imaging study"),),
    Document.DERMATOSCOPIC_IMAGE: (
        _broader("Photographic image Unspecified body region Document"),
        _related("Dermoscopic photography (procedure)"),
    ),
    Document.REFERRAL_LETTER: (_broader("Dermatology Referral note"),),
    Document.CLINICAL_IMAGE: (_broader("Photographic image Unspecified body region Document"),),
    Document.SKIN_LESION: (_equivalent("Skin lesion"),),
}

#: Every correspondence, by table and term: all relations, for a concept map. A term of one table is equal, as text,
#: to one of another with the same code, so the table comes first.
MAPPINGS: Final[MappingProxyType[type[Term], MappingProxyType[Term, tuple[Mapping, ...]]]] = MappingProxyType(
    {
        Site: MappingProxyType(_SITES),
        Side: MappingProxyType(_SIDES),
        Colour: MappingProxyType(_COLOURS),
        Presence: MappingProxyType(_PRESENCES),
        Reply: MappingProxyType(_REPLIES),
        Judgement: MappingProxyType(_JUDGEMENTS),
        Pregnancy: MappingProxyType(_PREGNANCIES),
        Attribute: MappingProxyType(_ATTRIBUTES),
        Consistency: MappingProxyType(_CONSISTENCIES),
        Elevation: MappingProxyType(_ELEVATIONS),
        EarlierCancer: MappingProxyType(_EARLIER_CANCERS),
        FamilyHistory: MappingProxyType(_FAMILY_HISTORIES),
        GeneticSyndrome: MappingProxyType(_GENETIC_SYNDROMES),
        Impression: MappingProxyType(_IMPRESSIONS),
        HistologyResult: MappingProxyType(_HISTOLOGY_RESULTS),
        PlanAction: MappingProxyType(_PLAN_ACTIONS),
        Document: MappingProxyType(_DOCUMENTS),
    }
)

_NO_ROWS: Final[MappingProxyType[Term, tuple[Mapping, ...]]] = MappingProxyType({})
_IMPLIED: Final = MappingProxyType(
    {
        table: MappingProxyType(
            {term: tuple(mapping for mapping in mappings if mapping.implied) for term, mappings in rows.items()}
        )
        for table, rows in MAPPINGS.items()
    }
)


def standard_codes(term: Term) -> tuple[Mapping, ...]:
    """Return the standard codes that may stand beside our code for a term, the closest first.

    Those are the ones that our term implies; what is merely narrower or related is in :data:`MAPPINGS` only.
    """
    return _IMPLIED.get(type(term), _NO_ROWS).get(term, ())
