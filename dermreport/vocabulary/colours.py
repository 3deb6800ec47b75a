"""Colours of a lesion or of one finding."""

from __future__ import annotations

from dermreport.sources import COMMON_PRACTICE
from dermreport.vocabulary.term import Term


class Colour(Term):
    """Colours of a lesion or of one finding."""

    LIGHT_BROWN = "light-brown", "light brown", "Brown paler than dark brown; tan.", COMMON_PRACTICE, ("tan",)
    DARK_BROWN = "dark-brown", "dark brown", "Deep brown, not black.", COMMON_PRACTICE
    BROWN = (
        "brown",
        "brown, shade not given",
        "Brown of a shade that nobody told; methods that tell shades apart stay open.",
        COMMON_PRACTICE,
    )
    BLACK = "black", "black", "Black.", COMMON_PRACTICE
    BLUE = "blue", "blue", "Blue, from pigment deep in the dermis.", COMMON_PRACTICE
    GREY = "grey", "grey", "Grey or slate, from pigment in the upper dermis.", COMMON_PRACTICE
    WHITE = "white", "white", "White; whether it is paler than the skin around is recorded apart.", COMMON_PRACTICE
    RED = "red", "red", "Red.", COMMON_PRACTICE
    PINK = "pink", "pink", "Pale or milky red.", COMMON_PRACTICE, ("milky red",)
    YELLOW = "yellow", "yellow", "Yellow.", COMMON_PRACTICE
    ORANGE = "orange", "orange", "Orange.", COMMON_PRACTICE
    PURPLE = "purple", "purple", "Purple or maroon.", COMMON_PRACTICE, ("maroon",)
    SKIN_COLOURED = "skin-coloured", "skin-coloured", "The colour of the skin around.", COMMON_PRACTICE
