"""How hard the faceplate was pressed."""

from __future__ import annotations

from dermreport.sources import COMMON_PRACTICE
from dermreport.vocabulary.term import Term


class Pressure(Term):
    """How hard the faceplate was pressed."""

    LIGHT = "light", "light touch", "Held so that vessels stay filled.", COMMON_PRACTICE
    FIRM = "firm", "firm pressure", "Pressed; vessels may be emptied.", COMMON_PRACTICE
