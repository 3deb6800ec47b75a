"""Published scores, by our code; the method itself stands in the scores room."""

from __future__ import annotations

from dermreport.sources import MEMORY
from dermreport.vocabulary.term import Term


class ScoreMethod(Term):
    """Published scores, by our code; the method itself stands in the scores room."""

    TOTAL_DERMOSCOPY_SCORE = (
        "total-dermoscopy-score",
        "total dermoscopy score (ABCD rule)",
        "Weighted sum of asymmetry, border, colours and structures.",
        MEMORY,
        ("TDS", "ABCD rule of dermoscopy"),
    )
    SEVEN_POINT = (
        "seven-point",
        "seven-point checklist, original",
        "Three major criteria of 2 points, four minor ones of 1.",
        MEMORY,
    )
    SEVEN_POINT_REVISED = (
        "seven-point-revised",
        "seven-point checklist, revised threshold",
        "The same seven criteria, one point each, with a threshold of one.",
        MEMORY,
    )
    THREE_POINT = "three-point", "three-point checklist", "Asymmetry, atypical network, blue-white structures.", MEMORY
    MENZIES = (
        "menzies",
        "Menzies method",
        "Two features that must both be lacking, nine of which one must be there.",
        MEMORY,
    )
    WEIGHTED_SEVEN_POINT = (
        "weighted-seven-point",
        "weighted seven-point checklist, clinical",
        "Seven clinical signs without a dermatoscope, three of 2 points and four of 1.",
        MEMORY,
    )
    BRAAFF = (
        "braaff",
        "BRAAFF checklist for palms and soles",
        "Six signs of acral skin, two of which count against.",
        MEMORY,
    )
