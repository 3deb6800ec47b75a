"""Medicines that thin the blood."""

from __future__ import annotations

from dermreport.sources import COMMON_PRACTICE
from dermreport.vocabulary.term import Term


class BloodThinner(Term):
    """Medicines that thin the blood."""

    NONE = "none", "none", "None.", COMMON_PRACTICE
    ANTIPLATELET = "antiplatelet", "against platelets", "A medicine against platelets, as aspirin.", COMMON_PRACTICE
    ANTICOAGULANT = "anticoagulant", "against clotting", "A medicine against clotting.", COMMON_PRACTICE
    BOTH = "both", "both kinds", "Both kinds together.", COMMON_PRACTICE
    UNKNOWN = "unknown", "unknown", "Asked and not known.", COMMON_PRACTICE
