"""Pregnancy at the examination."""

from __future__ import annotations

from dermreport.sources import COMMON_PRACTICE
from dermreport.vocabulary.term import Term


class Pregnancy(Term):
    """Pregnancy at the examination."""

    YES = "yes", "yes", "Pregnant.", COMMON_PRACTICE
    NO = "no", "no", "Not pregnant.", COMMON_PRACTICE
    UNKNOWN = "unknown", "unknown", "Asked and not known.", COMMON_PRACTICE
    NOT_APPLICABLE = "not-applicable", "not applicable", "Can’t be pregnant.", COMMON_PRACTICE
