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
    REFERRAL_LETTER = (
        "referral-letter",
        "referral letter for a skin lesion",
        "A letter to the colleague who takes over, made of the report.",
        COMMON_PRACTICE,
    )
    PATIENT_COPY = (
        "patient-copy",
        "patient’s copy",
        "What the patient takes home: what was looked at, what happens next, what to watch for, whom to call.",
        COMMON_PRACTICE,
    )
    PATHOLOGY_REQUEST = (
        "pathology-request",
        "request to the pathologist",
        "A letter that goes with a specimen: from where, what it is taken for, which question to answer.",
        COMMON_PRACTICE,
    )
    SKIN_LESION = "skin-lesion", "skin lesion", "A circumscribed change of the skin.", COMMON_PRACTICE
