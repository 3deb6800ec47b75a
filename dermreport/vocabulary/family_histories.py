"""Melanoma in blood relatives."""

from __future__ import annotations

from dermreport.sources import COMMON_PRACTICE
from dermreport.vocabulary.term import Term


class FamilyHistory(Term):
    """Melanoma in blood relatives."""

    NONE = "none", "none", "No relative is known to have had melanoma.", COMMON_PRACTICE
    ONE_FIRST_DEGREE = "one-first-degree", "one first-degree relative", "One parent, sibling or child.", COMMON_PRACTICE
    TWO_OR_MORE = "two-or-more", "two or more relatives", "Two or more blood relatives.", COMMON_PRACTICE
    UNKNOWN = "unknown", "unknown", "Asked and not known.", COMMON_PRACTICE
