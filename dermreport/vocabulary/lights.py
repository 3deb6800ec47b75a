"""Light of a view: one light each; a device switched between two gives two views."""

from __future__ import annotations

from dermreport.sources import COMMON_PRACTICE
from dermreport.vocabulary.term import Term


class Light(Term):
    """Light of a view: one light each; a device switched between two gives two views."""

    NON_POLARISED = (
        "non-polarised",
        "non-polarised",
        "Light that isn’t filtered; needs contact and a medium to get past the surface.",
        COMMON_PRACTICE,
    )
    POLARISED = "polarised", "polarised", "Cross-polarised light; needs neither contact nor a medium.", COMMON_PRACTICE
    UNKNOWN = (
        "unknown",
        "not known",
        "Nobody recorded the light: whether a structure could have been seen can’t be told.",
        COMMON_PRACTICE,
    )
