"""How sure an impression is."""

from __future__ import annotations

from dermreport.sources import COMMON_PRACTICE
from dermreport.vocabulary.term import Term


class Certainty(Term):
    """How sure an impression is."""

    POSSIBLE = "possible", "possible", "One of several that fit.", COMMON_PRACTICE
    PROBABLE = "probable", "probable", "The likeliest by far.", COMMON_PRACTICE
    CONFIDENT = "confident", "confident", "No reasonable doubt.", COMMON_PRACTICE
