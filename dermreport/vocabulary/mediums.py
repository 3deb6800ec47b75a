"""What lies between faceplate and skin."""

from __future__ import annotations

from dermreport.sources import COMMON_PRACTICE
from dermreport.vocabulary.term import Term


class Medium(Term):
    """What lies between faceplate and skin."""

    NONE = "none", "no medium", "Looked at dry.", COMMON_PRACTICE
    GEL = "gel", "ultrasound gel", "Water-based gel.", COMMON_PRACTICE
    ALCOHOL = "alcohol", "alcohol", "Alcohol or a disinfectant on its base.", COMMON_PRACTICE
    WATER = "water", "water", "Water.", COMMON_PRACTICE
    OIL = "oil", "mineral oil", "Mineral or immersion oil.", COMMON_PRACTICE
    CAP = "cap", "plastic cap", "A disposable plastic cap over the faceplate.", COMMON_PRACTICE
