"""How much of the skin was examined at the visit."""

from __future__ import annotations

from dermreport.sources import COMMON_PRACTICE
from dermreport.vocabulary.term import Term


class SkinExtent(Term):
    """How much of the skin was examined at the visit."""

    WHOLE = "whole", "whole skin", "The whole skin was examined.", COMMON_PRACTICE
    PART = "part", "part of the skin", "More than the lesion, less than all.", COMMON_PRACTICE
    LESION_ONLY = "lesion-only", "this lesion only", "Only the lesion was examined.", COMMON_PRACTICE
