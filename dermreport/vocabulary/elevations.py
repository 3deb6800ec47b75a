"""How far the lesion stands out of the skin, by sight and touch."""

from __future__ import annotations

from dermreport.sources import COMMON_PRACTICE
from dermreport.vocabulary.term import Term


class Elevation(Term):
    """How far the lesion stands out of the skin, by sight and touch."""

    FLAT = "flat", "flat", "Neither seen nor felt above the skin.", COMMON_PRACTICE, ("macule",)
    PALPABLE = "palpable", "just palpable", "Felt but hardly seen above the skin.", COMMON_PRACTICE
    RAISED = "raised", "raised", "Seen above the skin.", COMMON_PRACTICE, ("papule", "plaque")
    NODULAR = "nodular", "nodular", "A rounded, solid elevation.", COMMON_PRACTICE, ("nodule",)
    PEDUNCULATED = "pedunculated", "on a stalk", "Raised on a narrow base.", COMMON_PRACTICE
    DEPRESSED = "depressed", "depressed", "Below the level of the skin.", COMMON_PRACTICE
