"""How much of the lesion a view shows."""

from __future__ import annotations

from dermreport.sources import COMMON_PRACTICE
from dermreport.vocabulary.term import Term


class Coverage(Term):
    """How much of the lesion a view shows."""

    WHOLE = "whole", "whole lesion", "The whole lesion with its edge is in the field.", COMMON_PRACTICE
    PART = "part", "part of the lesion", "Some of the lesion is outside the field.", COMMON_PRACTICE
