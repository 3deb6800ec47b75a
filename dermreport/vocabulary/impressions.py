"""What a clinician takes a lesion for.

A suspected cancer has a row of its own, whose name says «suspected»: the name of the disease itself belongs to a
pathologist's result (:mod:`dermreport.vocabulary.histology_results`). Expectations say what usually follows in
practice; they are for reading, no rule takes them for an order.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Self

from dermreport.sources import COMMON_PRACTICE, MEMORY, Basis, Source, seen
from dermreport.vocabulary.implied_concerns import ImpliedConcern
from dermreport.vocabulary.impression_groups import ImpressionGroup
from dermreport.vocabulary.term import Term


@dataclass(frozen=True, slots=True, kw_only=True)
class _Row:
    """One row as it is written below; :class:`Impression` documents the columns."""

    code: str
    display: str
    definition: str
    group: ImpressionGroup
    concern: ImpliedConcern
    expectation: str
    histology: str
    specific: bool = True
    melanoma_possible: bool = False
    synonyms: tuple[str, ...] = ()
    basis: Basis = MEMORY


class Impression(Term):
    """What a clinician takes a lesion for.

    Attributes:
        group: Family of the name.
        concern: What the name implies, apart from the clinician's own concern.
        specific: The name is that of one recognisable entity, not of a group and not a failure to classify.
        melanoma_possible: Melanoma is what is suspected, or can't be excluded under this name: destroying the
            lesion or sampling a part of it needs a reason.
        expectation: What usually follows, in words.
        histology: When a pathologist's result is expected, in words.
    """

    group: ImpressionGroup
    concern: ImpliedConcern
    specific: bool
    melanoma_possible: bool
    expectation: str
    histology: str

    def __new__(cls, row: _Row) -> Self:
        """Make one member from its row."""
        member = str.__new__(cls, row.code)
        member._value_ = row.code
        member.display = row.display
        member.definition = row.definition
        member.basis = row.basis
        member.synonyms = row.synonyms
        member.group = row.group
        member.concern = row.concern
        member.specific = row.specific
        member.melanoma_possible = row.melanoma_possible
        member.expectation = row.expectation
        member.histology = row.histology
        return member

    NAEVUS_JUNCTIONAL = _Row(
        code="naevus-junctional",
        display="junctional naevus",
        definition="Flat naevus with its nests at the junction of epidermis and dermis.",
        group=ImpressionGroup.MELANOCYTIC,
        concern=ImpliedConcern.BENIGN,
        expectation="reassurance with advice",
        histology="if in doubt",
    )
    NAEVUS_COMPOUND = _Row(
        code="naevus-compound",
        display="compound naevus",
        definition="Naevus with nests both at the junction and in the dermis, often slightly raised.",
        group=ImpressionGroup.MELANOCYTIC,
        concern=ImpliedConcern.BENIGN,
        expectation="reassurance with advice",
        histology="if in doubt",
    )
    NAEVUS_DERMAL = _Row(
        code="naevus-dermal",
        display="dermal naevus",
        definition="Raised, soft naevus with its nests in the dermis; curved vessels can imitate basal cell carcinoma.",
        group=ImpressionGroup.MELANOCYTIC,
        concern=ImpliedConcern.BENIGN,
        expectation="reassurance with advice",
        histology="if in doubt",
        synonyms=("intradermal naevus",),
    )
    NAEVUS_MELANOCYTIC = _Row(
        code="naevus-melanocytic",
        display="melanocytic naevus, type not given",
        definition="A naevus whose type nobody named.",
        group=ImpressionGroup.MELANOCYTIC,
        concern=ImpliedConcern.BENIGN,
        expectation="reassurance with advice",
        histology="if in doubt",
        specific=False,
        synonyms=("mole",),
    )
    NAEVUS_ACRAL = _Row(
        code="naevus-acral",
        display="acral naevus",
        definition="Naevus of palm, sole or ridged skin of a digit.",
        group=ImpressionGroup.MELANOCYTIC,
        concern=ImpliedConcern.BENIGN,
        expectation="by the acral method",
        histology="if the pattern is not typical",
    )
    NAEVUS_CONGENITAL = _Row(
        code="naevus-congenital",
        display="congenital naevus",
        definition="Naevus present at birth or soon after; large ones have a follow-up of their own.",
        group=ImpressionGroup.MELANOCYTIC,
        concern=ImpliedConcern.BENIGN,
        expectation="by size and change",
        histology="if it changes",
    )
    NAEVUS_HALO = _Row(
        code="naevus-halo",
        display="halo naevus",
        definition="Naevus in a white ring; in an adult the whole skin is searched for a melanoma.",
        group=ImpressionGroup.MELANOCYTIC,
        concern=ImpliedConcern.BENIGN,
        expectation="examination of the whole skin in adults",
        histology="if irregular, changing or in an adult",
        synonyms=("Sutton naevus",),
        basis=COMMON_PRACTICE,
    )
    NAEVUS_BLUE = _Row(
        code="naevus-blue",
        display="blue naevus",
        definition="Blue, structureless naevus of the dermis; the name needs a convincing history of no change.",
        group=ImpressionGroup.MELANOCYTIC,
        concern=ImpliedConcern.BENIGN,
        expectation="reassurance only with a convincing history of no change",
        histology="if new, changing or in doubt",
        basis=seen(
            Source.BLUE_NAEVUS_TEXTBOOK, note="Seen: the name needs a history of no change. The rest from memory."
        ),
    )
    NAEVUS_RECURRENT = _Row(
        code="naevus-recurrent",
        display="recurrent naevus in a scar",
        definition="Pigment that came back after incomplete removal; imitates melanoma, and scores don't hold.",
        group=ImpressionGroup.MELANOCYTIC,
        concern=ImpliedConcern.UNCERTAIN,
        expectation="the earlier histology is obtained",
        histology="if pigment passes the scar or the earlier result is missing",
        melanoma_possible=True,
        synonyms=("persistent naevus",),
    )
    NAEVUS_SPITZ_REED = _Row(
        code="naevus-spitz-reed",
        display="Spitz or Reed naevus",
        definition="Naevus of large spindle or epithelioid cells; in adults it can't be told from melanoma by sight.",
        group=ImpressionGroup.MELANOCYTIC,
        concern=ImpliedConcern.UNCERTAIN,
        expectation="removal or referral in adults and adolescents, a specialist's opinion in children",
        histology="always in adults",
        melanoma_possible=True,
        synonyms=("spindle cell naevus",),
    )
    NAEVUS_ATYPICAL = _Row(
        code="naevus-atypical",
        display="atypical naevus",
        definition="Naevus with irregular edge, colour or structure; dysplasia itself is a histological word.",
        group=ImpressionGroup.MELANOCYTIC,
        concern=ImpliedConcern.UNCERTAIN,
        expectation="removal, referral, or monitoring where that is allowed",
        histology="if melanoma can't be excluded",
        specific=False,
        melanoma_possible=True,
        synonyms=("clinically dysplastic naevus",),
    )
    NAEVUS_NAIL_MATRIX = _Row(
        code="naevus-nail-matrix",
        display="naevus or lentigo of the nail matrix",
        definition="Brown band of one nail from melanocytes of the matrix.",
        group=ImpressionGroup.MELANOCYTIC,
        concern=ImpliedConcern.UNCERTAIN,
        expectation="an opinion in adults, watching with a specialist in children",
        histology="usual in adults",
        specific=False,
        melanoma_possible=True,
    )
    MELANONYCHIA_ACTIVATION = _Row(
        code="melanonychia-activation",
        display="nail band by activated melanocytes",
        definition="Grey or brown bands because melanocytes of the matrix make more pigment, often of several nails.",
        group=ImpressionGroup.MELANOCYTIC,
        concern=ImpliedConcern.UNCERTAIN,
        expectation="a cause is looked for on all digits",
        histology="if a single digit of an adult",
        melanoma_possible=True,
        synonyms=("melanonychia by melanocyte activation",),
    )
    LENTIGO_SIMPLEX = _Row(
        code="lentigo-simplex",
        display="simple lentigo",
        definition="Small, even brown spot with more melanocytes at the junction.",
        group=ImpressionGroup.MELANOCYTIC,
        concern=ImpliedConcern.BENIGN,
        expectation="reassurance with advice",
        histology="not expected",
    )
    LENTIGO_MUCOSAL = _Row(
        code="lentigo-mucosal",
        display="melanotic macule of mucosa",
        definition="Flat brown spot of lip, mouth or genital mucosa.",
        group=ImpressionGroup.MELANOCYTIC,
        concern=ImpliedConcern.BENIGN,
        expectation="reassurance with advice if typical, referral when in doubt",
        histology="if blue, grey, white or structureless",
        synonyms=("mucosal lentigo",),
    )
    EPHELIS = _Row(
        code="ephelis",
        display="freckle",
        definition="Small, pale brown spot of sun-exposed skin that fades in winter.",
        group=ImpressionGroup.MELANOCYTIC,
        concern=ImpliedConcern.BENIGN,
        expectation="reassurance",
        histology="not expected",
        synonyms=("ephelis",),
    )
    MELANOMA_SUSPECTED = _Row(
        code="melanoma-suspected",
        display="melanoma suspected",
        definition="Invasive melanoma is what the clinician suspects.",
        group=ImpressionGroup.MELANOCYTIC,
        concern=ImpliedConcern.MALIGNANT,
        expectation="urgent referral, or complete excision by a competent person",
        histology="always",
        melanoma_possible=True,
    )
    MELANOMA_IN_SITU_SUSPECTED = _Row(
        code="melanoma-in-situ-suspected",
        display="melanoma in situ suspected",
        definition="Melanoma confined to the epidermis is what the clinician suspects.",
        group=ImpressionGroup.MELANOCYTIC,
        concern=ImpliedConcern.PREMALIGNANT_OR_IN_SITU,
        expectation="urgent referral",
        histology="always",
        melanoma_possible=True,
    )
    LENTIGO_MALIGNA_SUSPECTED = _Row(
        code="lentigo-maligna-suspected",
        display="lentigo maligna suspected",
        definition="Melanoma in situ of sun-damaged skin, mostly of the face, is suspected.",
        group=ImpressionGroup.MELANOCYTIC,
        concern=ImpliedConcern.PREMALIGNANT_OR_IN_SITU,
        expectation="urgent referral, a partial biopsy only by a specialist's choice",
        histology="always",
        melanoma_possible=True,
    )
    MELANOMA_NODULAR_SUSPECTED = _Row(
        code="melanoma-nodular-suspected",
        display="nodular melanoma suspected",
        definition="A raised, growing melanoma is suspected, often without the usual colours.",
        group=ImpressionGroup.MELANOCYTIC,
        concern=ImpliedConcern.MALIGNANT,
        expectation="urgent referral now",
        histology="always",
        melanoma_possible=True,
    )
    MELANOMA_ACRAL_NAIL_SUSPECTED = _Row(
        code="melanoma-acral-nail-suspected",
        display="acral or nail melanoma suspected",
        definition="Melanoma of palm, sole or nail unit is suspected.",
        group=ImpressionGroup.MELANOCYTIC,
        concern=ImpliedConcern.MALIGNANT,
        expectation="urgent referral",
        histology="always",
        melanoma_possible=True,
        synonyms=("acral lentiginous melanoma suspected",),
    )
    MELANOMA_NO_PIGMENT_SUSPECTED = _Row(
        code="melanoma-no-pigment-suspected",
        display="melanoma without pigment suspected",
        definition="Melanoma with little or no pigment is suspected.",
        group=ImpressionGroup.MELANOCYTIC,
        concern=ImpliedConcern.MALIGNANT,
        expectation="urgent referral",
        histology="always",
        melanoma_possible=True,
        synonyms=("amelanotic melanoma suspected",),
    )
    MELANOMA_RECURRENCE_OR_METASTASIS_SUSPECTED = _Row(
        code="melanoma-recurrence-or-metastasis-suspected",
        display="return or metastasis of melanoma suspected",
        definition="Growth in or near a melanoma scar, or in the skin elsewhere, after a melanoma.",
        group=ImpressionGroup.MELANOCYTIC,
        concern=ImpliedConcern.MALIGNANT,
        expectation="urgent referral to the treating team",
        histology="always",
        specific=False,
        melanoma_possible=True,
    )
    MELANOMA_CANNOT_BE_EXCLUDED = _Row(
        code="melanoma-cannot-be-excluded",
        display="melanoma cannot be excluded",
        definition="The honest entry for a doubtful lesion: other names fit too, and melanoma stays open.",
        group=ImpressionGroup.MELANOCYTIC,
        concern=ImpliedConcern.UNCERTAIN,
        expectation="urgent referral or excision",
        histology="always",
        specific=False,
        melanoma_possible=True,
    )
    SEBORRHOEIC_KERATOSIS = _Row(
        code="seborrhoeic-keratosis",
        display="seborrhoeic keratosis",
        definition="Warty, stuck-on growth of the epidermis with cysts and openings.",
        group=ImpressionGroup.KERATINOCYTIC,
        concern=ImpliedConcern.BENIGN,
        expectation="reassurance with advice",
        histology="if in any doubt",
        synonyms=("seborrhoeic wart",),
    )
    LICHEN_PLANUS_LIKE_KERATOSIS = _Row(
        code="lichen-planus-like-keratosis",
        display="lichen planus-like keratosis",
        definition="A lentigo or keratosis that the immune system clears; regressing melanoma has such grey dots too.",
        group=ImpressionGroup.KERATINOCYTIC,
        concern=ImpliedConcern.UNCERTAIN,
        expectation="histology when grey dots lie without a remnant of keratosis",
        histology="often",
        melanoma_possible=True,
        synonyms=("benign lichenoid keratosis",),
    )
    SOLAR_LENTIGO = _Row(
        code="solar-lentigo",
        display="solar lentigo",
        definition="Flat, even brown spot of sun-exposed skin with a sharp, scalloped edge.",
        group=ImpressionGroup.KERATINOCYTIC,
        concern=ImpliedConcern.BENIGN,
        expectation="reassurance with advice",
        histology="if grey, changing or in doubt",
        synonyms=("age spot",),
    )
    ACTINIC_KERATOSIS = _Row(
        code="actinic-keratosis",
        display="actinic keratosis",
        definition="Rough, scaly spot of sun-damaged skin that can become squamous cell carcinoma.",
        group=ImpressionGroup.KERATINOCYTIC,
        concern=ImpliedConcern.PREMALIGNANT_OR_IN_SITU,
        expectation="treatment or referral by the local pathway",
        histology="if thick, tender or growing",
        synonyms=("solar keratosis",),
    )
    ACTINIC_KERATOSIS_PIGMENTED = _Row(
        code="actinic-keratosis-pigmented",
        display="pigmented actinic keratosis",
        definition="Actinic keratosis with brown or grey pigment, which lentigo maligna resembles.",
        group=ImpressionGroup.KERATINOCYTIC,
        concern=ImpliedConcern.UNCERTAIN,
        expectation="histology when lentigo maligna can't be excluded",
        histology="often",
        melanoma_possible=True,
        basis=seen(Source.LENTIGO_MALIGNA_REVIEW_2016, note="Seen: biopsy when grey. The rest from memory."),
    )
    SCC_IN_SITU_SUSPECTED = _Row(
        code="scc-in-situ-suspected",
        display="squamous cell carcinoma in situ suspected",
        definition="Squamous cell carcinoma confined to the epidermis is suspected.",
        group=ImpressionGroup.KERATINOCYTIC,
        concern=ImpliedConcern.PREMALIGNANT_OR_IN_SITU,
        expectation="referral or biopsy",
        histology="expected",
        synonyms=("Bowen disease suspected",),
    )
    SCC_SUSPECTED = _Row(
        code="scc-suspected",
        display="squamous cell carcinoma suspected",
        definition="Invasive squamous cell carcinoma is suspected.",
        group=ImpressionGroup.KERATINOCYTIC,
        concern=ImpliedConcern.MALIGNANT,
        expectation="urgent referral",
        histology="always",
    )
    KERATOACANTHOMA_SUSPECTED = _Row(
        code="keratoacanthoma-suspected",
        display="keratoacanthoma suspected",
        definition="A fast-growing crater with a horny plug; handled as squamous cell carcinoma.",
        group=ImpressionGroup.KERATINOCYTIC,
        concern=ImpliedConcern.MALIGNANT,
        expectation="as for squamous cell carcinoma",
        histology="always",
    )
    BCC_SUPERFICIAL_SUSPECTED = _Row(
        code="bcc-superficial-suspected",
        display="superficial basal cell carcinoma suspected",
        definition="Flat, pink, slowly spreading basal cell carcinoma is suspected.",
        group=ImpressionGroup.KERATINOCYTIC,
        concern=ImpliedConcern.MALIGNANT,
        expectation="referral by the local pathway",
        histology="expected unless the local pathway differs",
    )
    BCC_NODULAR_SUSPECTED = _Row(
        code="bcc-nodular-suspected",
        display="nodular basal cell carcinoma suspected",
        definition="Raised, shining basal cell carcinoma with branching vessels is suspected.",
        group=ImpressionGroup.KERATINOCYTIC,
        concern=ImpliedConcern.MALIGNANT,
        expectation="referral, sooner by site or size",
        histology="expected",
    )
    BCC_PIGMENTED_SUSPECTED = _Row(
        code="bcc-pigmented-suspected",
        display="pigmented basal cell carcinoma suspected",
        definition="Basal cell carcinoma with pigment is suspected; where melanoma stays open, that is entered too.",
        group=ImpressionGroup.KERATINOCYTIC,
        concern=ImpliedConcern.MALIGNANT,
        expectation="referral, urgent when melanoma isn't excluded",
        histology="expected",
    )
    BCC_INFILTRATIVE_SUSPECTED = _Row(
        code="bcc-infiltrative-suspected",
        display="infiltrating basal cell carcinoma suspected",
        definition="Scar-like basal cell carcinoma with an edge that can't be seen is suspected.",
        group=ImpressionGroup.KERATINOCYTIC,
        concern=ImpliedConcern.MALIGNANT,
        expectation="referral",
        histology="expected",
        synonyms=("morphoeic basal cell carcinoma suspected",),
    )
    VIRAL_WART = _Row(
        code="viral-wart",
        display="viral wart",
        definition="Rough growth caused by a papilloma virus.",
        group=ImpressionGroup.KERATINOCYTIC,
        concern=ImpliedConcern.BENIGN,
        expectation="reassurance; a wart that fails to clear is looked at again",
        histology="if on a nail or the sole of an older adult and not healing",
        synonyms=("verruca",),
    )
    CLEAR_CELL_ACANTHOMA = _Row(
        code="clear-cell-acanthoma",
        display="clear cell acanthoma",
        definition="Red, shining growth of the epidermis with strings of dotted vessels.",
        group=ImpressionGroup.KERATINOCYTIC,
        concern=ImpliedConcern.BENIGN,
        expectation="an opinion when unsure",
        histology="often",
    )
    POROKERATOSIS = _Row(
        code="porokeratosis",
        display="porokeratosis",
        definition="Ring with a thin horny edge; some types can become cancer.",
        group=ImpressionGroup.KERATINOCYTIC,
        concern=ImpliedConcern.UNCERTAIN,
        expectation="by type",
        histology="if growing",
    )
    DERMATOFIBROMA = _Row(
        code="dermatofibroma",
        display="dermatofibroma",
        definition="Firm button in the skin that dimples when pinched.",
        group=ImpressionGroup.FIBROUS,
        concern=ImpliedConcern.BENIGN,
        expectation="reassurance when dimple and pattern agree",
        histology="if atypical or growing",
        synonyms=("fibrous histiocytoma",),
    )
    SCAR_OR_KELOID = _Row(
        code="scar-or-keloid",
        display="scar or keloid",
        definition="Scar tissue, flat or raised.",
        group=ImpressionGroup.FIBROUS,
        concern=ImpliedConcern.BENIGN,
        expectation="the earlier histology is asked for",
        histology="if something new grows in it",
        specific=False,
    )
    SKIN_TAG_FIBROMA = _Row(
        code="skin-tag-fibroma",
        display="skin tag",
        definition="Soft, skin-coloured growth on a stalk.",
        group=ImpressionGroup.FIBROUS,
        concern=ImpliedConcern.BENIGN,
        expectation="reassurance",
        histology="not expected",
        synonyms=(
            "soft fibroma",
            "fibroepithelial polyp",
        ),
    )
    HAEMANGIOMA = _Row(
        code="haemangioma",
        display="haemangioma",
        definition="Red or purple growth of small vessels.",
        group=ImpressionGroup.VASCULAR,
        concern=ImpliedConcern.BENIGN,
        expectation="reassurance",
        histology="not expected",
        synonyms=("cherry angioma",),
    )
    ANGIOKERATOMA = _Row(
        code="angiokeratoma",
        display="angiokeratoma",
        definition="Dark red or black widened vessels under a horny surface.",
        group=ImpressionGroup.VASCULAR,
        concern=ImpliedConcern.BENIGN,
        expectation="an opinion when dark and solitary",
        histology="if in doubt",
    )
    PYOGENIC_GRANULOMA = _Row(
        code="pyogenic-granuloma",
        display="pyogenic granuloma",
        definition="Fast-growing, bleeding red growth; melanoma without pigment imitates it.",
        group=ImpressionGroup.VASCULAR,
        concern=ImpliedConcern.UNCERTAIN,
        expectation="removal with histology",
        histology="always",
        melanoma_possible=True,
        synonyms=("lobular capillary haemangioma",),
    )
    VENOUS_LAKE = _Row(
        code="venous-lake",
        display="venous lake",
        definition="Soft, blue, widened vein, mostly of the lip, that empties on pressure.",
        group=ImpressionGroup.VASCULAR,
        concern=ImpliedConcern.BENIGN,
        expectation="reassurance when it empties on pressure",
        histology="if firm",
    )
    HAEMORRHAGE = _Row(
        code="haemorrhage",
        display="blood in the skin or under the nail",
        definition="Blood outside the vessels; it has to move or clear, and a tumour can lie beneath it.",
        group=ImpressionGroup.VASCULAR,
        concern=ImpliedConcern.UNCERTAIN,
        expectation="another look within weeks",
        histology="if it doesn't clear",
        melanoma_possible=True,
        synonyms=("haematoma",),
        basis=seen(Source.NAIL_DERMOSCOPY_COURSE, note="Seen: blood occurs in melanoma too. The rest from memory."),
    )
    MERKEL_CELL_CARCINOMA_SUSPECTED = _Row(
        code="merkel-cell-carcinoma-suspected",
        display="Merkel cell carcinoma suspected",
        definition="A fast-growing, firm, red growth of sun-damaged skin is suspected to be Merkel cell carcinoma.",
        group=ImpressionGroup.OTHER_MALIGNANT,
        concern=ImpliedConcern.MALIGNANT,
        expectation="urgent referral",
        histology="always",
    )
    CUTANEOUS_LYMPHOMA_SUSPECTED = _Row(
        code="cutaneous-lymphoma-suspected",
        display="lymphoma of the skin suspected",
        definition="A lymphoma of the skin is suspected.",
        group=ImpressionGroup.OTHER_MALIGNANT,
        concern=ImpliedConcern.MALIGNANT,
        expectation="referral",
        histology="expected",
        specific=False,
    )
    KAPOSI_OR_ANGIOSARCOMA_SUSPECTED = _Row(
        code="kaposi-or-angiosarcoma-suspected",
        display="Kaposi sarcoma or angiosarcoma suspected",
        definition="A cancer of vessels is suspected.",
        group=ImpressionGroup.OTHER_MALIGNANT,
        concern=ImpliedConcern.MALIGNANT,
        expectation="urgent referral",
        histology="expected",
        specific=False,
    )
    METASTASIS_SUSPECTED = _Row(
        code="metastasis-suspected",
        display="metastasis in the skin suspected",
        definition="Spread of another cancer to the skin is suspected.",
        group=ImpressionGroup.OTHER_MALIGNANT,
        concern=ImpliedConcern.MALIGNANT,
        expectation="urgent referral",
        histology="expected",
        specific=False,
    )
    PAGET_SUSPECTED = _Row(
        code="paget-suspected",
        display="Paget disease suspected",
        definition="Eczema-like plaque of nipple, groin or genital skin that may be Paget disease.",
        group=ImpressionGroup.OTHER_MALIGNANT,
        concern=ImpliedConcern.MALIGNANT,
        expectation="urgent referral",
        histology="expected",
    )
    ATYPICAL_FIBROXANTHOMA_SUSPECTED = _Row(
        code="atypical-fibroxanthoma-suspected",
        display="atypical fibroxanthoma suspected",
        definition="A fast-growing growth of the sun-damaged head, or another spindle cell cancer, is suspected.",
        group=ImpressionGroup.OTHER_MALIGNANT,
        concern=ImpliedConcern.MALIGNANT,
        expectation="urgent referral",
        histology="expected",
    )
    ADNEXAL_TUMOUR = _Row(
        code="adnexal-tumour",
        display="tumour of a skin appendage",
        definition="Growth of sweat gland, sebaceous gland or follicle whose type is open.",
        group=ImpressionGroup.ADNEXAL,
        concern=ImpliedConcern.UNCERTAIN,
        expectation="referral",
        histology="expected",
        specific=False,
    )
    SEBACEOUS_HYPERPLASIA = _Row(
        code="sebaceous-hyperplasia",
        display="sebaceous hyperplasia",
        definition="Enlarged sebaceous gland with a central opening and crown of vessels.",
        group=ImpressionGroup.ADNEXAL,
        concern=ImpliedConcern.BENIGN,
        expectation="reassurance",
        histology="if basal cell carcinoma stays possible",
    )
    CYST = _Row(
        code="cyst",
        display="cyst",
        definition="Closed sac in the skin.",
        group=ImpressionGroup.ADNEXAL,
        concern=ImpliedConcern.BENIGN,
        expectation="reassurance, or removal by need",
        histology="if removed",
        specific=False,
    )
    INFLAMMATORY = _Row(
        code="inflammatory",
        display="inflammatory or infectious skin disease",
        definition="A disease of the skin, no growth; a single plaque that doesn't respond needs histology.",
        group=ImpressionGroup.INFLAMMATORY,
        concern=ImpliedConcern.BENIGN,
        expectation="treatment and another look at a date",
        histology="if it doesn't clear",
        specific=False,
    )
    SCABIES_OR_PARASITE = _Row(
        code="scabies-or-parasite",
        display="scabies or another parasite",
        definition="A parasite in or on the skin.",
        group=ImpressionGroup.INFLAMMATORY,
        concern=ImpliedConcern.BENIGN,
        expectation="treatment",
        histology="not expected",
        specific=False,
    )
    FOREIGN_PIGMENT = _Row(
        code="foreign-pigment",
        display="tattoo or other foreign pigment",
        definition="Pigment from outside; a naevus within a tattoo is hard to judge.",
        group=ImpressionGroup.OTHER,
        concern=ImpliedConcern.BENIGN,
        expectation="reassurance",
        histology="if changing",
        specific=False,
    )
    PIGMENTED_LESION_UNSPECIFIED = _Row(
        code="pigmented-lesion-unspecified",
        display="pigmented lesion, not classified",
        definition="A pigmented lesion to which the clinician puts no name.",
        group=ImpressionGroup.UNCLASSIFIED,
        concern=ImpliedConcern.UNCERTAIN,
        expectation="referral when in doubt",
        histology="by decision",
        specific=False,
        melanoma_possible=True,
        basis=COMMON_PRACTICE,
    )
    LESION_UNSPECIFIED = _Row(
        code="lesion-unspecified",
        display="skin lesion, not classified",
        definition="A lesion to which the clinician puts no name.",
        group=ImpressionGroup.UNCLASSIFIED,
        concern=ImpliedConcern.UNCERTAIN,
        expectation="referral when in doubt",
        histology="by decision",
        specific=False,
        melanoma_possible=True,
        basis=COMMON_PRACTICE,
    )
    NO_LESION_FOUND = _Row(
        code="no-lesion-found",
        display="lesion not found",
        definition="What was to be examined was not found.",
        group=ImpressionGroup.UNCLASSIFIED,
        concern=ImpliedConcern.UNCERTAIN,
        expectation="patient and photograph are asked, another look at a date",
        histology="not expected",
        specific=False,
        basis=COMMON_PRACTICE,
    )
