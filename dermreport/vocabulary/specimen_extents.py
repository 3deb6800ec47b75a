"""How much of the lesion the pathologist received."""

from __future__ import annotations

from dermreport.sources import COMMON_PRACTICE
from dermreport.vocabulary.term import Term


class SpecimenExtent(Term):
    """How much of the lesion the pathologist received."""

    WHOLE = "whole", "whole lesion", "The whole lesion with a margin.", COMMON_PRACTICE
    PART = "part", "part of the lesion", "A part only.", COMMON_PRACTICE
