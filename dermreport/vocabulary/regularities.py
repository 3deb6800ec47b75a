"""Whether a structure is even in size, shape, colour and spacing."""

from __future__ import annotations

from dermreport.sources import COMMON_PRACTICE
from dermreport.vocabulary.term import Term


class Regularity(Term):
    """Whether a structure is even in size, shape, colour and spacing."""

    REGULAR = "regular", "regular", "Even.", COMMON_PRACTICE
    IRREGULAR = "irregular", "irregular", "Uneven.", COMMON_PRACTICE
