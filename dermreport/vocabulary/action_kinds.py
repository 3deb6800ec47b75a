"""What a plan action does for the lesion, so that rules need not name every action."""

from __future__ import annotations

from dermreport.sources import COMMON_PRACTICE
from dermreport.vocabulary.term import Term


class ActionKind(Term):
    """What a plan action does for the lesion."""

    REFERRAL = "referral", "referral", "Another service takes the lesion over.", COMMON_PRACTICE
    OPINION = (
        "opinion",
        "opinion asked",
        "Somebody else is asked; the lesion stays with the one who asks.",
        COMMON_PRACTICE,
    )
    TISSUE_WHOLE = (
        "tissue-whole",
        "whole lesion removed for histology",
        "A pathologist receives the whole lesion.",
        COMMON_PRACTICE,
    )
    TISSUE_PART = (
        "tissue-part",
        "part removed for histology",
        "A pathologist receives a part, or pieces whose margins can’t be read.",
        COMMON_PRACTICE,
    )
    DESTRUCTION = (
        "destruction",
        "treated without tissue",
        "The lesion is treated and nothing is left for a pathologist.",
        COMMON_PRACTICE,
    )
    MONITORING = (
        "monitoring",
        "monitoring with pictures",
        "The lesion is compared with its own baseline picture.",
        COMMON_PRACTICE,
    )
    EXAMINATION = "examination", "further examination", "Somebody looks or feels again.", COMMON_PRACTICE
    REASSURANCE = (
        "reassurance",
        "left to the patient",
        "Nothing is arranged: the patient is told what to watch for.",
        COMMON_PRACTICE,
    )
    ADVICE = "advice", "advice", "Advice on behaviour, no care of this lesion.", COMMON_PRACTICE
    ADMINISTRATION = (
        "administration",
        "record and messages",
        "Records, messages, decisions of the patient: no care of the lesion by itself.",
        COMMON_PRACTICE,
    )
