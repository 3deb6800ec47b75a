"""Where the record stands."""

from __future__ import annotations

from dermreport.sources import COMMON_PRACTICE
from dermreport.vocabulary.term import Term


class Status(Term):
    """Where the record stands."""

    DRAFT = "draft", "draft", "Being written.", COMMON_PRACTICE
    FINAL = "final", "final", "Complete and signed off by the examiner.", COMMON_PRACTICE
    AMENDED = "amended", "amended", "Changed after it was final.", COMMON_PRACTICE
    ENTERED_IN_ERROR = "entered-in-error", "entered in error", "Withdrawn: must not be used.", COMMON_PRACTICE
