"""What a method says of its total: below or above its own threshold, never more."""

from __future__ import annotations

from dermreport.sources import COMMON_PRACTICE
from dermreport.vocabulary.term import Term


class Verdict(Term):
    """What a method says of its total: below or above its own threshold, never more."""

    BELOW_THRESHOLD = (
        "below-threshold",
        "below this method’s threshold",
        "The total is below the method’s threshold; this excludes nothing.",
        COMMON_PRACTICE,
    )
    BETWEEN_THRESHOLDS = (
        "between-thresholds",
        "between this method’s two thresholds",
        "The total is at or above the lower threshold and not above the higher one.",
        COMMON_PRACTICE,
    )
    ABOVE_THRESHOLD = (
        "above-threshold",
        "at or above this method’s threshold",
        "The total reaches the method’s threshold, or its higher one where it has two.",
        COMMON_PRACTICE,
    )
    NOT_SETTLED = (
        "not-settled",
        "not settled",
        "Open inputs decide on which side of the threshold the total falls.",
        COMMON_PRACTICE,
    )
    NOT_VALID = (
        "not-valid",
        "not valid here",
        "The method was not studied for such a lesion, or its inputs are missing: no number.",
        COMMON_PRACTICE,
    )
