"""The codes of open terminologies that we use, each once, by the display of the library that carries it.

Displays are quoted as they are, spelling included: the short meaning of the DICOM code dictionaries, or the fully
specified name of the SNOMED CT Global Patient Set. Which of our terms they belong to, and how, is said by
:mod:`dermreport.vocabulary.mapping`.

The sources carry no history of a code. The Global Patient Set lists concepts that were active in July 2020; the
DICOM dictionaries and FHIR's value sets say nothing about activity, and what happened to a code later is not
checked here.
"""

from __future__ import annotations

from types import MappingProxyType
from typing import TYPE_CHECKING, Final

from msgspec import Struct

from dermreport.sources import Basis, Source, memory, seen

if TYPE_CHECKING:
    from collections.abc import Iterator

SNOMED_CT: Final = "http://snomed.info/sct"
LOINC: Final = "http://loinc.org"
DICOM: Final = "http://dicom.nema.org/resources/ontology/DCM"
UCUM: Final = "http://unitsofmeasure.org"


class StandardCode(Struct, frozen=True):
    """One code of an open terminology, with its display and how it is known."""

    system: str
    code: str
    display: str
    basis: Basis


_SNOMED_IN_DICOM_CONTEXT_GROUPS: Final = {
    # CID 4029, sites of the skin
    "Skin": "39937001",
    "Skin of head": "70762009",
    "Skin of scalp": "43067004",
    "Skin of vertex of scalp": "61719002",
    "Skin of parietal region": "21672008",
    "Skin of temporal region": "16621002",
    "Skin of occipital region": "79951008",
    "Skin of face": "73897004",
    "Skin of forehead": "68698007",
    "Skin of eyebrow": "367577003",
    "Skin of upper eyelid": "41310005",
    "Skin of lower eyelid": "40069000",
    "Skin of medial canthus": "27887005",
    "Skin of lateral canthus": "37671003",
    "Skin of cheek": "36141000",
    "Skin of nasolabial fold": "37108007",
    "Skin of nose": "113179006",
    "Skin of tip of nose": "79283007",
    "Skin of ala nasi": "68598004",
    "Skin of lip": "88089004",
    "Skin of upper lip": "16251004",
    "Skin of lower lip": "66934001",
    "Skin of chin": "23747009",
    "Skin of jawline": "244097004",
    "Skin of ear": "1902009",
    "Skin of helix of ear": "79313003",
    "Skin of ear lobule": "2059009",
    "Skin of external auditory canal": "86409001",
    "Skin of preauricular region": "86719006",
    "Skin of postauricular region": "24483006",
    "Oral mucosa": "113277000",
    "Mucosa of tongue": "8001006",
    "Mucosa of mandibular gingiva": "245823002",
    "Mucosa of maxillary gingiva": "245814000",
    "Skin of neck": "43081002",
    "Skin of anterior portion of neck": "11584001",
    "Skin of lateral portion of neck": "5272005",
    "Skin of nuchal region": "4658004",
    "Skin of upper trunk": "54440003",
    "Skin of anterior surface of thorax": "244106003",
    "Sternal skin": "244107007",
    "Skin of areola": "72005009",
    "Skin of nipple": "54468004",
    "Skin of axilla": "76261009",
    "Skin of abdomen": "75093004",
    "Skin of upper abdomen": "699935000",
    "Skin of lower abdomen": "699914002",
    "Skin of umbilicus": "315003",
    "Skin of inguinal region": "39687006",
    "Skin of back": "66643007",
    "Skin of back of upper thoracic region": "699893008",
    "Skin of lower back": "113182001",
    "Skin of buttock": "22180002",
    "Skin of perineum": "48014002",
    "Skin of anus": "59112000",
    "Skin of external genitalia": "60944009",
    "Skin of penis": "35900000",
    "Skin of shaft of penis": "244118007",
    "Skin of glans penis": "7991003",
    "Skin of scrotum": "81992007",
    "Skin of labium majus": "128252004",
    "Skin of labium minus": "128253009",
    "Skin of clitoris": "29353003",
    "Skin of prepuce of clitoris": "76723005",
    "Vulval vestibule": "23213005",
    "Skin of upper extremity": "371311000",
    "Skin of posterior surface of elbow": "181536004",
    "Skin of antecubital fossa": "17957002",
    "Skin of posterior surface of forearm": "41550009",
    "Skin of anterior surface of forearm": "70559009",
    "Skin of palmar area of wrist": "24527008",
    "Skin of dorsal area of wrist": "52876008",
    "Skin of hand": "33712006",
    "Skin of part of dorsal surface of hand": "281642007",
    "Skin of palm of hand": "70887009",
    "Skin of thenar region of palm": "26795005",
    "Skin of hypothenar region of palm": "89784008",
    "Skin of digit of hand": "244169007",
    "Nail unit of thumb": "770810008",
    "Nail unit of index finger": "770815003",
    "Nail unit of middle finger": "770816002",
    "Nail unit of ring finger": "770817006",
    "Nail unit of little finger": "770818001",
    "Skin of lower extremity": "371304004",
    "Skin of anterior surface of thigh": "61248009",
    "Skin of posterior surface of thigh": "4578000",
    "Skin of medial surface of thigh": "73958006",
    "Skin of anterior surface of knee": "181553006",
    "Skin of popliteal fossa": "84507004",
    "Skin of anterior surface of lower leg": "25763004",
    "Skin of posterior surface of lower leg": "47224004",
    "Skin of medial aspect of ankle": "181563003",
    "Skin of lateral aspect of ankle": "181564009",
    "Skin of foot": "60496002",
    "Skin of lateral border of sole of foot": "35739000",
    "Skin of medial border of sole of foot": "52953006",
    "Skin of heel": "84607009",
    "Skin of toe": "52034004",
    "Nail unit of great toe": "770822006",
    "Nail unit of second toe": "770823001",
    "Nail unit of third toe": "770825008",
    "Nail unit of fourth toe": "770821004",
    "Nail unit of fifth toe": "770820003",
    # CID 4402 to 4404, earlier skin cancers
    "History of malignant melanoma of the skin": "321000119108",
    "History of melanoma in situ of the skin": "1251000119106",
    "History of squamous cell carcinoma of skin": "429024007",
    "History of malignant basal cell neoplasm of skin": "428053000",
    "History of malignant neoplasm of skin excluding melanoma": "443895001",
    # CID 4405, disorders of the skin
    "Atypical mole syndrome": "254819008",
    "Gorlin syndrome": "69408002",
    "Actinic keratosis": "201101007",
    # CID 4406, what the patient reports
    "Bleeding skin": "297968009",
    "Itching": "418363000",
    "Symptom has changed": "162499001",
    "Erythema": "247441003",
    # CID 4409, procedures
    "Cryotherapy to skin lesion": "302396003",
    "Photodynamic therapy of skin": "428604001",
    "Laser procedure on skin": "445907001",
    # CID 4411, colours
    "Brown": "371254008",
    "Black": "371252007",
    "Blue": "405738005",
    "Gray": "371253002",
    "White": "371251000",
    "Red": "371240000",
    "Pink": "371243003",
    "Yellow": "371244009",
    "Orange": "371242008",
    "Purple": "371250004",
}

_SNOMED_IN_DICOM_DICTIONARIES: Final = {
    "Skin of chest": "74160004",
    "Left": "7771000",
    "Right": "24028007",
    "Yes": "373066001",
    "No": "373067005",
    "Unknown": "261665006",
    "Present": "52101004",
    "Indeterminate": "82334004",
    "Skin lesion": "95324001",
    "Patient currently pregnant": "77386006",
    "Squamous cell carcinoma of skin": "254651007",
    "Family history of malignant melanoma (situation)": "427858005",
    "Dermoscopic photography (procedure)": "446078004",
    "Photography of patient": "197157006",
}

_SNOMED_IN_GLOBAL_PATIENT_SET: Final = {
    "Absent (qualifier value)": "2667000",
    "Not pregnant (finding)": "60001007",
    "Pain of skin (finding)": "301364008",
    "Structure of buccal mucosa (body structure)": "16811007",
    # names of lesions
    "Melanocytic nevus (disorder)": "400096001",
    "Melanocytic nevus of skin (disorder)": "400010006",
    "Compound nevus of skin (disorder)": "254805008",
    "Congenital pigmented melanocytic nevus (disorder)": "398696001",
    "Halo nevus (disorder)": "398028009",
    "Dysplastic nevus of skin (disorder)": "254818000",
    "Ephelis (disorder)": "403536009",
    "Solar lentigo (disorder)": "72100002",
    "Malignant melanoma of skin (disorder)": "93655004",
    "Melanoma in situ of skin (disorder)": "109266006",
    "Metastatic malignant melanoma (disorder)": "443493003",
    "Inflamed seborrheic keratosis (disorder)": "442348004",
    "Squamous cell carcinoma in situ of skin (disorder)": "254656002",
    "Basal cell carcinoma of skin (disorder)": "254701007",
    "Keratoacanthoma (disorder)": "254662007",
    "Verruca vulgaris (disorder)": "57019003",
    "Verruca plantaris (disorder)": "63440008",
    "Dermatofibroma (disorder)": "427186000",
    "Scar of skin (disorder)": "70582006",
    "Keloid scar (disorder)": "33659008",
    "Skin tag (disorder)": "201091002",
    "Hemangioma of skin (disorder)": "93471006",
    "Senile angioma (disorder)": "5050001",
    "Pyogenic granuloma of skin (disorder)": "39629007",
    "Venous lake (disorder)": "402843003",
    "Hematoma of skin (disorder)": "279420009",
    "Subungual hematoma (disorder)": "269219004",
    "Merkel cell carcinoma (disorder)": "253001006",
    "Primary cutaneous T-cell lymphoma (disorder)": "400122007",
    "Kaposi's sarcoma (disorder)": "109385007",
    "Angiosarcoma of skin (disorder)": "254794007",
    "Extramammary Paget's disease of skin (disorder)": "254727007",
    "Secondary malignant neoplasm of skin (disorder)": "94579000",
    "Sebaceous hyperplasia (finding)": "238748009",
    "Cyst of skin (disorder)": "285302001",
    "Inflammatory dermatosis (disorder)": "703938007",
    "Infection of skin (disorder)": "108365000",
    "Infestation caused by Sarcoptes scabiei var hominis (disorder)": "128869009",
    "Decorative tattoo of skin (finding)": "403180003",
    "Pigmented skin lesion (disorder)": "201340008",
    "Neoplasm of uncertain behavior of skin (disorder)": "95087004",
    "Specimen unsatisfactory for evaluation (finding)": "125154007",
    # what is done
    "Patient referral (procedure)": "3457005",
    "Referral to dermatology service (procedure)": "183518005",
    "Excision biopsy of skin lesion (procedure)": "312968005",
    "Incisional biopsy (procedure)": "70871006",
    "Punch biopsy (procedure)": "68660007",
    "Shave biopsy (procedure)": "72342005",
    "Diathermy of skin lesion (procedure)": "307999008",
    "Skin disorder monitoring (regime/therapy)": "170856006",
    "Examination of skin (procedure)": "271303006",
    "Follow-up visit (procedure)": "185389009",
    # what is sent
    "Skin lesion sample (specimen)": "309068002",
}

_SNOMED_IN_EUROPEAN_RELEASE: Final = {
    "Skin structure of trunk (body structure)": "86381001",
    "Skin structure of shoulder (body structure)": "76552005",
    "Skin structure of forearm (body structure)": "5742000",
    "Skin structure of lower leg (body structure)": "75144006",
    "Skin structure of sole of foot (body structure)": "37136002",
    "Seborrheic keratosis (morphologic abnormality)": "25499005",
}

_DICOM_IN_FHIR_R4: Final = {
    "Light brown color": "111450",
    "Dark brown color": "111452",
}

_DICOM_NEWER_THAN_FHIR_R4: Final = {
    "Median": "130290",
    "Skin of sole of forefoot": "130317",
    "Skin of lateral part of dorsum of foot": "130309",
    "Skin of medial part of dorsum of foot": "130313",
    "Firm skin lesion": "130485",
    "Raised skin lesion": "130486",
    "Skin lesion color": "130832",
}

_LOINC_IN_FHIR_R4: Final = {
    "Photographic image Unspecified body region Document": "72170-4",
    "Dermatology Referral note": "57135-6",
    "Diagnostic imaging study": "18748-4",
    "Procedure indications Narrative": "59768-2",
    "Procedure findings Narrative": "59776-5",
    "Conclusions Document": "55110-1",
    "Recommendation [interpretation] Document": "62385-0",
}

_LOINC_IN_NO_LIBRARY_HERE: Final = {
    "Size.maximum dimension in Tumor": "33728-7",
}

#: DICOM codes that the code system of FHIR R4 and R4B does not list, because that copy is older than they are: a
#: validating server refuses a resource with one of them (422), so they are for R5 only.
DICOM_CODES_NOT_IN_FHIR_R4: Final = frozenset(_DICOM_NEWER_THAN_FHIR_R4.values())


def _every_code() -> Iterator[StandardCode]:
    """Yield all blocks above as codes with their system and basis."""
    dictionaries = seen(Source.DICOM_CODE_DICTIONARIES)
    european = seen(
        Source.EUROPEAN_CROSS_BORDER_TERMINOLOGY_2025,
        note="No library of the tests holds the code; its display is from memory.",
    )
    unchecked = memory(
        "No library of the tests holds the code. HL7's guide for oncology data elements has it for the longest "
        "dimension of a tumour."
    )
    for system, basis, codes in (
        (SNOMED_CT, seen(Source.DICOM_SKIN_CONTEXT_GROUPS), _SNOMED_IN_DICOM_CONTEXT_GROUPS),
        (SNOMED_CT, dictionaries, _SNOMED_IN_DICOM_DICTIONARIES),
        (SNOMED_CT, seen(Source.SNOMED_GLOBAL_PATIENT_SET), _SNOMED_IN_GLOBAL_PATIENT_SET),
        (SNOMED_CT, european, _SNOMED_IN_EUROPEAN_RELEASE),
        (DICOM, dictionaries, _DICOM_IN_FHIR_R4),
        (DICOM, dictionaries, _DICOM_NEWER_THAN_FHIR_R4),
        (LOINC, seen(Source.FHIR_R4), _LOINC_IN_FHIR_R4),
        (LOINC, unchecked, _LOINC_IN_NO_LIBRARY_HERE),
    ):
        for display, code in codes.items():
            yield StandardCode(system, code, display, basis)


#: Every code, by its display: no two codes share one.
STANDARD_CODES: Final = MappingProxyType({code.display: code for code in _every_code()})

#: Codes that stand in a FHIR element by themselves, beside no term of ours.
REFERRAL_LETTER: Final = STANDARD_CODES["Dermatology Referral note"]
SECTION_INDICATIONS: Final = STANDARD_CODES["Procedure indications Narrative"]
SECTION_FINDINGS: Final = STANDARD_CODES["Procedure findings Narrative"]
SECTION_CONCLUSIONS: Final = STANDARD_CODES["Conclusions Document"]
SECTION_RECOMMENDATION: Final = STANDARD_CODES["Recommendation [interpretation] Document"]
SKIN_LESION_SPECIMEN: Final = STANDARD_CODES["Skin lesion sample (specimen)"]
