"""How the lesion feels between the fingers."""

from __future__ import annotations

from dermreport.sources import COMMON_PRACTICE
from dermreport.vocabulary.term import Term


class Consistency(Term):
    """How the lesion feels between the fingers."""

    NOT_FELT = "not-felt", "not felt", "Nobody has felt it.", COMMON_PRACTICE
    SOFT = "soft", "soft", "Yields to the finger.", COMMON_PRACTICE
    FIRM = "firm", "firm", "Resists the finger.", COMMON_PRACTICE
    HARD = "hard", "hard", "Does not yield.", COMMON_PRACTICE
