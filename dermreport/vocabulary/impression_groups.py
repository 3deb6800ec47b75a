"""Families of impressions, by what the lesion grows from."""

from __future__ import annotations

from dermreport.sources import COMMON_PRACTICE
from dermreport.vocabulary.term import Term


class ImpressionGroup(Term):
    """Families of impressions, by what the lesion grows from."""

    MELANOCYTIC = "melanocytic", "melanocytic", "Of pigment cells.", COMMON_PRACTICE
    KERATINOCYTIC = (
        "keratinocytic",
        "epidermal",
        "Of the epidermis and its follicles: keratoses, warts, squamous and basal cell carcinoma.",
        COMMON_PRACTICE,
    )
    FIBROUS = "fibrous", "fibrous", "Of connective tissue.", COMMON_PRACTICE
    VASCULAR = "vascular", "vascular", "Of vessels, or blood outside them.", COMMON_PRACTICE
    OTHER_MALIGNANT = "other-malignant", "other cancers", "Cancers of another origin.", COMMON_PRACTICE
    ADNEXAL = "adnexal", "of skin appendages", "Of sweat glands, sebaceous glands or follicles.", COMMON_PRACTICE
    INFLAMMATORY = (
        "inflammatory",
        "inflammatory or infectious",
        "Not a growth but a disease of the skin.",
        COMMON_PRACTICE,
    )
    OTHER = "other", "other", "None of these.", COMMON_PRACTICE
    UNCLASSIFIED = "unclassified", "not classified", "The clinician doesn’t put a name to it.", COMMON_PRACTICE
