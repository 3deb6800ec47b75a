"""How worried the clinician is about the lesion, before any score."""

from __future__ import annotations

from dermreport.sources import COMMON_PRACTICE
from dermreport.vocabulary.term import Term


class Concern(Term):
    """How worried the clinician is about the lesion, before any score."""

    BENIGN = "benign", "judged harmless", "The clinician takes the lesion for harmless.", COMMON_PRACTICE
    UNCERTAIN = "uncertain", "uncertain", "The clinician can’t tell.", COMMON_PRACTICE
    SUSPICIOUS = "suspicious", "suspicious", "The clinician suspects cancer.", COMMON_PRACTICE
