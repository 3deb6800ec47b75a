"""Whether a site lies on a side."""

from __future__ import annotations

from dermreport.sources import COMMON_PRACTICE
from dermreport.vocabulary.term import Term


class Laterality(Term):
    """Whether a site lies on a side."""

    PAIRED = "paired", "left or right", "There is one on each side, so the side has to be given.", COMMON_PRACTICE
    MIDLINE = "midline", "midline", "It lies on the midline and has no side.", COMMON_PRACTICE
    EITHER_OR_NONE = (
        "either-or-none",
        "left, right, midline or not given",
        "It crosses the midline: a side tells more, and may be left out.",
        COMMON_PRACTICE,
    )
