"""How much pigment the lesion has."""

from __future__ import annotations

from dermreport.sources import COMMON_PRACTICE
from dermreport.vocabulary.term import Term


class Pigmentation(Term):
    """How much pigment the lesion has."""

    PIGMENTED = "pigmented", "pigmented", "Brown, black, blue or grey pigment in most of the lesion.", COMMON_PRACTICE
    SLIGHT = "slight", "slightly pigmented", "Traces of pigment only.", COMMON_PRACTICE, ("hypomelanotic",)
    NONE = "none", "no pigment", "No brown, black, blue or grey at all.", COMMON_PRACTICE, ("amelanotic",)
