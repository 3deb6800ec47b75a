"""What a later look at the lesion showed."""

from __future__ import annotations

from dermreport.sources import COMMON_PRACTICE
from dermreport.vocabulary.term import Term


class ChangeSeen(Term):
    """What a later look at the lesion showed."""

    UNCHANGED = "unchanged", "unchanged", "Compared like with like, no change.", COMMON_PRACTICE
    CHANGED = "changed", "changed", "Changed.", COMMON_PRACTICE
    NOT_COMPARABLE = "not-comparable", "not comparable", "Pictures or lights don’t match.", COMMON_PRACTICE
    NOT_ATTENDED = "not-attended", "not attended", "The patient didn’t come.", COMMON_PRACTICE
