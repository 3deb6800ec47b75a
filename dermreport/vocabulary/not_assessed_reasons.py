"""Why a structure was not assessed."""

from __future__ import annotations

from dermreport.sources import COMMON_PRACTICE
from dermreport.vocabulary.term import Term


class NotAssessedReason(Term):
    """Why a structure was not assessed."""

    NOT_LOOKED_FOR = "not-looked-for", "not looked for", "Nobody looked.", COMMON_PRACTICE
    NOT_VISIBLE_IN_THIS_LIGHT = (
        "not-visible-in-this-light",
        "not visible in this light",
        "The light used can’t show it.",
        COMMON_PRACTICE,
    )
    LIGHT_NOT_KNOWN = (
        "light-not-known",
        "light not known",
        "Nobody recorded a light that can show it.",
        COMMON_PRACTICE,
    )
    HIDDEN = "hidden", "hidden", "Hair, crust, blood, polish or the edge of the field hid it.", COMMON_PRACTICE
    NO_MEANING_HERE = (
        "no-meaning-here",
        "no meaning at this site",
        "The structure isn’t described for this kind of skin.",
        COMMON_PRACTICE,
    )
