"""What limits a view."""

from __future__ import annotations

from dermreport.sources import COMMON_PRACTICE
from dermreport.vocabulary.term import Term


class ViewLimit(Term):
    """What limits a view."""

    HAIR = "hair", "hair", "Hair lies over the lesion.", COMMON_PRACTICE
    CRUST = "crust", "crust or scale", "Crust or scale hides what lies below.", COMMON_PRACTICE
    BLOOD = "blood", "blood", "Blood hides what lies below.", COMMON_PRACTICE
    BLUR = "blur", "blur", "Out of focus or moved.", COMMON_PRACTICE
    POLISH = "polish", "nail polish or dirt", "Polish, ink or dirt on the surface.", COMMON_PRACTICE
    TATTOO = "tattoo", "tattoo or dye", "Applied pigment in or on the skin.", COMMON_PRACTICE
    GLARE = "glare", "glare or bubbles", "Reflections or air bubbles.", COMMON_PRACTICE
    OTHER_LIMIT = (
        "other-limit",
        "something else",
        "Something else limits the view; the note says what.",
        COMMON_PRACTICE,
    )
