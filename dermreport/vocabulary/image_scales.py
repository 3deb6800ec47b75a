"""Measure within a picture."""

from __future__ import annotations

from dermreport.sources import COMMON_PRACTICE
from dermreport.vocabulary.term import Term


class ImageScale(Term):
    """Measure within a picture."""

    NONE = "none", "none", "No measure in the picture.", COMMON_PRACTICE
    RULER = "ruler", "ruler", "A ruler or marker in the picture.", COMMON_PRACTICE
    BUILT_IN = "built-in", "built-in scale", "A scale on the faceplate or fixed by the optics.", COMMON_PRACTICE
