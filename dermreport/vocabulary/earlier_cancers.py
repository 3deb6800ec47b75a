"""Skin cancers that the patient has had."""

from __future__ import annotations

from dermreport.sources import COMMON_PRACTICE
from dermreport.vocabulary.term import Term


class EarlierCancer(Term):
    """Skin cancers that the patient has had."""

    MELANOMA = "melanoma", "melanoma", "Invasive melanoma of the skin.", COMMON_PRACTICE
    MELANOMA_IN_SITU = "melanoma-in-situ", "melanoma in situ", "Melanoma confined to the epidermis.", COMMON_PRACTICE
    SQUAMOUS_CELL = "squamous-cell", "squamous cell carcinoma", "Squamous cell carcinoma of the skin.", COMMON_PRACTICE
    BASAL_CELL = "basal-cell", "basal cell carcinoma", "Basal cell carcinoma.", COMMON_PRACTICE
    OTHER = "other", "other skin cancer", "Another skin cancer, named in the note.", COMMON_PRACTICE
