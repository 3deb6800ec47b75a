"""Kinds of document and report."""

from __future__ import annotations

from dermreport.sources import COMMON_PRACTICE
from dermreport.vocabulary.term import Term


class Document(Term):
    """Kinds of document and report."""

    DERMOSCOPY_REPORT = (
        "dermoscopy-report",
        "dermatoscopy report",
        "Report of one dermatoscopic examination of one lesion.",
        COMMON_PRACTICE,
    )
    DERMATOSCOPIC_IMAGE = (
        "dermatoscopic-image",
        "dermatoscopic image",
        "A picture through the dermatoscope.",
        COMMON_PRACTICE,
    )
    CLINICAL_IMAGE = "clinical-image", "clinical image", "A picture without the dermatoscope.", COMMON_PRACTICE
    SAFETY_NET_ADVICE = (
        "safety-net-advice",
        "safety-net advice",
        "What the patient was told to watch for, by when and whom to call.",
        COMMON_PRACTICE,
    )
    SKIN_LESION = "skin-lesion", "skin lesion", "A circumscribed change of the skin.", COMMON_PRACTICE
