"""How deep in the skin a structure lies."""

from __future__ import annotations

from dermreport.sources import COMMON_PRACTICE
from dermreport.vocabulary.term import Term


class Depth(Term):
    """How deep in the skin a structure lies, in the layers that dermatoscopy reaches."""

    SURFACE_EPIDERMIS = (
        "surface-epidermis",
        "surface and epidermis",
        "On the surface, in the horny layer or in the living epidermis.",
        COMMON_PRACTICE,
    )
    JUNCTION = (
        "junction",
        "dermo-epidermal junction",
        "At the junction of epidermis and dermis.",
        COMMON_PRACTICE,
    )
    PAPILLARY_DERMIS = "papillary-dermis", "papillary dermis", "In the uppermost dermis.", COMMON_PRACTICE
    DERMIS = "dermis", "deeper dermis", "In the dermis below its uppermost layer, or throughout it.", COMMON_PRACTICE
    NAIL_UNIT = (
        "nail-unit",
        "nail unit",
        "In or under the nail plate, or in the skin folds round it.",
        COMMON_PRACTICE,
    )
    MIXED = "mixed", "more than one layer", "In more than one layer, or in one that differs by case.", COMMON_PRACTICE
