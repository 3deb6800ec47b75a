"""Why the immune defence is weakened."""

from __future__ import annotations

from dermreport.sources import COMMON_PRACTICE
from dermreport.vocabulary.term import Term


class ImmuneSuppression(Term):
    """Why the immune defence is weakened."""

    NONE = "none", "none", "No known cause.", COMMON_PRACTICE
    TRANSPLANT = "transplant", "organ transplant", "After an organ transplant.", COMMON_PRACTICE
    BLOOD_CANCER = "blood-cancer", "blood cancer", "Leukaemia, lymphoma or the like.", COMMON_PRACTICE
    HIV = "hiv", "HIV", "Infection with HIV.", COMMON_PRACTICE
    MEDICINE = "medicine", "medicine", "Medicines that suppress immunity.", COMMON_PRACTICE
    OTHER = "other", "other", "Another cause, named in the note.", COMMON_PRACTICE
    UNKNOWN = "unknown", "unknown", "Asked and not known.", COMMON_PRACTICE
