"""Sex at the examination, as the record gives it."""

from __future__ import annotations

from dermreport.sources import COMMON_PRACTICE
from dermreport.vocabulary.term import Term


class Sex(Term):
    """Sex at the examination, as the record gives it."""

    FEMALE = "female", "female", "Female.", COMMON_PRACTICE
    MALE = "male", "male", "Male.", COMMON_PRACTICE
    OTHER = "other", "other", "Another.", COMMON_PRACTICE
    UNKNOWN = "unknown", "unknown", "Not known.", COMMON_PRACTICE
