"""How far the order of a lesion's structures is lost."""

from __future__ import annotations

from dermreport.sources import COMMON_PRACTICE
from dermreport.vocabulary.term import Term


class Architecture(Term):
    """How far the order of a lesion's structures is lost."""

    ORDERED = "ordered", "ordered, or little disorder", "Structures lie evenly, or nearly so.", COMMON_PRACTICE
    MODERATE_DISORDER = (
        "moderate-disorder",
        "moderate disorder",
        "Structures lie unevenly in a part of the lesion.",
        COMMON_PRACTICE,
    )
    MARKED_DISORDER = (
        "marked-disorder",
        "marked disorder",
        "Structures lie without any order over most of the lesion.",
        COMMON_PRACTICE,
    )
