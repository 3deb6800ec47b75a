"""Inherited syndromes that raise the risk of skin cancer."""

from __future__ import annotations

from dermreport.sources import COMMON_PRACTICE
from dermreport.vocabulary.term import Term


class GeneticSyndrome(Term):
    """Inherited syndromes that raise the risk of skin cancer."""

    NONE = "none", "none", "None known.", COMMON_PRACTICE
    ATYPICAL_MOLE_SYNDROME = (
        "atypical-mole-syndrome",
        "atypical mole syndrome",
        "Many atypical naevi, with or without a family history of melanoma.",
        COMMON_PRACTICE,
    )
    GORLIN = (
        "gorlin",
        "naevoid basal cell carcinoma syndrome",
        "Inherited early and many basal cell carcinomas.",
        COMMON_PRACTICE,
        ("Gorlin syndrome",),
    )
    XERODERMA_PIGMENTOSUM = (
        "xeroderma-pigmentosum",
        "xeroderma pigmentosum",
        "Inherited failure to repair sun damage.",
        COMMON_PRACTICE,
    )
    MELANOMA_GENE = (
        "melanoma-gene",
        "inherited melanoma gene",
        "A gene variant known to raise the risk of melanoma, as CDKN2A.",
        COMMON_PRACTICE,
    )
    OTHER = "other", "other", "Another, named in the note.", COMMON_PRACTICE
    UNKNOWN = "unknown", "unknown", "Asked and not known.", COMMON_PRACTICE
