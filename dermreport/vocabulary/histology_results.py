"""What a pathologist finds: the only table whose rows carry the names of confirmed cancers."""

from __future__ import annotations

from typing import TYPE_CHECKING, Self

from dermreport.sources import MEMORY
from dermreport.vocabulary.implied_concerns import ImpliedConcern
from dermreport.vocabulary.term import Term

if TYPE_CHECKING:
    from dermreport.sources import Basis


class HistologyResult(Term):
    """What a pathologist finds; ``concern`` lets a rule compare it with an impression's.

    A result that names no tumour is not a harmless result: ``no-tumour-found`` and ``insufficient`` are uncertain.
    """

    concern: ImpliedConcern

    def __new__(  # noqa: PLR0913, PLR0917 - a row is positional: a term's five fields and the one of this table
        cls,
        code: str,
        display: str,
        definition: str,
        basis: Basis,
        concern: ImpliedConcern,
        synonyms: tuple[str, ...] = (),
    ) -> Self:
        """Make one row: a term and what the result means for the patient."""
        member = str.__new__(cls, code)
        member._value_ = code
        member.display = display
        member.definition = definition
        member.basis = basis
        member.synonyms = synonyms
        member.concern = concern
        return member

    MELANOMA = (
        "melanoma",
        "melanoma",
        "Invasive melanoma of the skin or mucosa.",
        MEMORY,
        ImpliedConcern.MALIGNANT,
        ("malignant melanoma",),
    )
    MELANOMA_IN_SITU = (
        "melanoma-in-situ",
        "melanoma in situ",
        "Melanoma confined to the epidermis.",
        MEMORY,
        ImpliedConcern.PREMALIGNANT_OR_IN_SITU,
    )
    LENTIGO_MALIGNA = (
        "lentigo-maligna",
        "lentigo maligna",
        "Melanoma in situ of sun-damaged skin.",
        MEMORY,
        ImpliedConcern.PREMALIGNANT_OR_IN_SITU,
    )
    MELANOMA_METASTASIS = (
        "melanoma-metastasis",
        "metastasis of melanoma in the skin",
        "Melanoma that came to the skin from elsewhere.",
        MEMORY,
        ImpliedConcern.MALIGNANT,
    )
    MELANOCYTIC_UNCERTAIN = (
        "melanocytic-uncertain",
        "melanocytic tumour of uncertain potential",
        "The pathologist can't tell naevus from melanoma.",
        MEMORY,
        ImpliedConcern.UNCERTAIN,
        ("MELTUMP",),
    )
    NAEVUS_MELANOCYTIC = (
        "naevus-melanocytic",
        "melanocytic naevus",
        "A naevus whose type isn't given.",
        MEMORY,
        ImpliedConcern.BENIGN,
    )
    NAEVUS_JUNCTIONAL = (
        "naevus-junctional",
        "junctional naevus",
        "Naevus with nests at the junction only.",
        MEMORY,
        ImpliedConcern.BENIGN,
    )
    NAEVUS_COMPOUND = (
        "naevus-compound",
        "compound naevus",
        "Naevus with nests at the junction and in the dermis.",
        MEMORY,
        ImpliedConcern.BENIGN,
    )
    NAEVUS_DERMAL = (
        "naevus-dermal",
        "dermal naevus",
        "Naevus with nests in the dermis only.",
        MEMORY,
        ImpliedConcern.BENIGN,
        ("intradermal naevus",),
    )
    NAEVUS_CONGENITAL = (
        "naevus-congenital",
        "congenital naevus",
        "Naevus with the pattern of one present at birth.",
        MEMORY,
        ImpliedConcern.BENIGN,
    )
    NAEVUS_HALO = (
        "naevus-halo",
        "halo naevus",
        "Naevus with a dense infiltrate of lymphocytes.",
        MEMORY,
        ImpliedConcern.BENIGN,
    )
    NAEVUS_BLUE = (
        "naevus-blue",
        "blue naevus",
        "Naevus of dermal melanocytes with heavy pigment.",
        MEMORY,
        ImpliedConcern.BENIGN,
    )
    NAEVUS_SPITZ_REED = (
        "naevus-spitz-reed",
        "Spitz or Reed naevus",
        "Naevus of large spindle or epithelioid cells without atypia.",
        MEMORY,
        ImpliedConcern.BENIGN,
    )
    NAEVUS_RECURRENT = (
        "naevus-recurrent",
        "recurrent naevus",
        "Naevus that grew back in a scar.",
        MEMORY,
        ImpliedConcern.BENIGN,
    )
    NAEVUS_DYSPLASTIC = (
        "naevus-dysplastic",
        "dysplastic naevus",
        "Naevus with disordered architecture and atypia; the grade is in the text.",
        MEMORY,
        ImpliedConcern.UNCERTAIN,
    )
    LENTIGO_SIMPLEX = (
        "lentigo-simplex",
        "simple lentigo",
        "More melanocytes at the junction, no nests.",
        MEMORY,
        ImpliedConcern.BENIGN,
    )
    BASAL_CELL_CARCINOMA = (
        "basal-cell-carcinoma",
        "basal cell carcinoma",
        "Basal cell carcinoma; its growth pattern is in the text.",
        MEMORY,
        ImpliedConcern.MALIGNANT,
    )
    SQUAMOUS_CELL_CARCINOMA = (
        "squamous-cell-carcinoma",
        "squamous cell carcinoma",
        "Invasive squamous cell carcinoma of the skin.",
        MEMORY,
        ImpliedConcern.MALIGNANT,
    )
    SQUAMOUS_CELL_CARCINOMA_IN_SITU = (
        "squamous-cell-carcinoma-in-situ",
        "squamous cell carcinoma in situ",
        "Squamous cell carcinoma confined to the epidermis.",
        MEMORY,
        ImpliedConcern.PREMALIGNANT_OR_IN_SITU,
        ("Bowen disease",),
    )
    KERATOACANTHOMA = (
        "keratoacanthoma",
        "keratoacanthoma",
        "Crater-shaped squamous growth, handled as squamous cell carcinoma.",
        MEMORY,
        ImpliedConcern.MALIGNANT,
    )
    ACTINIC_KERATOSIS = (
        "actinic-keratosis",
        "actinic keratosis",
        "Atypical keratinocytes in the lower epidermis of sun-damaged skin.",
        MEMORY,
        ImpliedConcern.PREMALIGNANT_OR_IN_SITU,
        ("solar keratosis",),
    )
    SEBORRHOEIC_KERATOSIS = (
        "seborrhoeic-keratosis",
        "seborrhoeic keratosis",
        "Benign growth of basal keratinocytes with horny cysts.",
        MEMORY,
        ImpliedConcern.BENIGN,
    )
    LICHEN_PLANUS_LIKE_KERATOSIS = (
        "lichen-planus-like-keratosis",
        "lichen planus-like keratosis",
        "A lentigo or keratosis under a band of lymphocytes.",
        MEMORY,
        ImpliedConcern.BENIGN,
        ("benign lichenoid keratosis",),
    )
    SOLAR_LENTIGO = (
        "solar-lentigo",
        "solar lentigo",
        "Elongated, pigmented ridges of sun-damaged skin.",
        MEMORY,
        ImpliedConcern.BENIGN,
    )
    VIRAL_WART = (
        "viral-wart",
        "viral wart",
        "Growth caused by a papilloma virus.",
        MEMORY,
        ImpliedConcern.BENIGN,
    )
    CLEAR_CELL_ACANTHOMA = (
        "clear-cell-acanthoma",
        "clear cell acanthoma",
        "Sharply bounded growth of pale keratinocytes.",
        MEMORY,
        ImpliedConcern.BENIGN,
    )
    DERMATOFIBROMA = (
        "dermatofibroma",
        "dermatofibroma",
        "Benign growth of fibrous and histiocytic cells in the dermis.",
        MEMORY,
        ImpliedConcern.BENIGN,
        ("fibrous histiocytoma",),
    )
    SCAR = (
        "scar",
        "scar",
        "Scar tissue.",
        MEMORY,
        ImpliedConcern.BENIGN,
    )
    HAEMANGIOMA = (
        "haemangioma",
        "haemangioma",
        "Benign growth of vessels.",
        MEMORY,
        ImpliedConcern.BENIGN,
    )
    ANGIOKERATOMA = (
        "angiokeratoma",
        "angiokeratoma",
        "Widened vessels under a horny epidermis.",
        MEMORY,
        ImpliedConcern.BENIGN,
    )
    PYOGENIC_GRANULOMA = (
        "pyogenic-granuloma",
        "pyogenic granuloma",
        "Lobules of small vessels with an inflamed surface.",
        MEMORY,
        ImpliedConcern.BENIGN,
        ("lobular capillary haemangioma",),
    )
    VENOUS_LAKE = (
        "venous-lake",
        "venous lake",
        "A widened vein of the upper dermis.",
        MEMORY,
        ImpliedConcern.BENIGN,
    )
    HAEMORRHAGE = (
        "haemorrhage",
        "haemorrhage",
        "Blood in the skin or under the nail, no tumour in what was sent.",
        MEMORY,
        ImpliedConcern.BENIGN,
    )
    SEBACEOUS_HYPERPLASIA = (
        "sebaceous-hyperplasia",
        "sebaceous hyperplasia",
        "Enlarged sebaceous gland.",
        MEMORY,
        ImpliedConcern.BENIGN,
    )
    CYST = (
        "cyst",
        "cyst",
        "Closed sac with its own lining.",
        MEMORY,
        ImpliedConcern.BENIGN,
    )
    ADNEXAL_TUMOUR_BENIGN = (
        "adnexal-tumour-benign",
        "benign tumour of a skin appendage",
        "Benign growth of gland or follicle, named in the text.",
        MEMORY,
        ImpliedConcern.BENIGN,
    )
    ADNEXAL_CARCINOMA = (
        "adnexal-carcinoma",
        "carcinoma of a skin appendage",
        "Cancer of gland or follicle, named in the text.",
        MEMORY,
        ImpliedConcern.MALIGNANT,
    )
    MERKEL_CELL_CARCINOMA = (
        "merkel-cell-carcinoma",
        "Merkel cell carcinoma",
        "Neuroendocrine carcinoma of the skin.",
        MEMORY,
        ImpliedConcern.MALIGNANT,
    )
    CUTANEOUS_LYMPHOMA = (
        "cutaneous-lymphoma",
        "lymphoma of the skin",
        "Lymphoma in the skin, named in the text.",
        MEMORY,
        ImpliedConcern.MALIGNANT,
    )
    KAPOSI_SARCOMA = (
        "kaposi-sarcoma",
        "Kaposi sarcoma",
        "Kaposi sarcoma of skin or mucosa.",
        MEMORY,
        ImpliedConcern.MALIGNANT,
    )
    ANGIOSARCOMA = (
        "angiosarcoma",
        "angiosarcoma",
        "Cancer of vessels of the skin.",
        MEMORY,
        ImpliedConcern.MALIGNANT,
    )
    ATYPICAL_FIBROXANTHOMA = (
        "atypical-fibroxanthoma",
        "atypical fibroxanthoma",
        "Spindle cell cancer of sun-damaged skin confined to the dermis.",
        MEMORY,
        ImpliedConcern.MALIGNANT,
    )
    PAGET_DISEASE = (
        "paget-disease",
        "Paget disease",
        "Glandular cancer cells within the epidermis, of the nipple or elsewhere.",
        MEMORY,
        ImpliedConcern.MALIGNANT,
    )
    METASTASIS = (
        "metastasis",
        "metastasis of another cancer in the skin",
        "Cancer that came to the skin from elsewhere, named in the text.",
        MEMORY,
        ImpliedConcern.MALIGNANT,
    )
    INFLAMMATORY = (
        "inflammatory",
        "inflammatory skin disease",
        "Inflammation, no tumour in what was sent.",
        MEMORY,
        ImpliedConcern.BENIGN,
    )
    UNCERTAIN_BEHAVIOUR = (
        "uncertain-behaviour",
        "tumour of uncertain behaviour",
        "A tumour whose behaviour the pathologist can't foretell.",
        MEMORY,
        ImpliedConcern.UNCERTAIN,
    )
    OTHER_BENIGN = (
        "other-benign",
        "other harmless lesion",
        "Another lesion that the pathologist calls harmless, named in the text.",
        MEMORY,
        ImpliedConcern.BENIGN,
    )
    OTHER_MALIGNANT = (
        "other-malignant",
        "other cancer",
        "Another cancer, named in the text.",
        MEMORY,
        ImpliedConcern.MALIGNANT,
    )
    NO_TUMOUR_FOUND = (
        "no-tumour-found",
        "no tumour found",
        "No tumour in what was sent: this clears what was examined, and nothing else.",
        MEMORY,
        ImpliedConcern.UNCERTAIN,
    )
    INSUFFICIENT = (
        "insufficient",
        "not enough to tell",
        "What was sent doesn't allow a result.",
        MEMORY,
        ImpliedConcern.UNCERTAIN,
        ("unsatisfactory specimen",),
    )
