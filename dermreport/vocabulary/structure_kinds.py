"""What sort of finding a structure is."""

from __future__ import annotations

from dermreport.sources import COMMON_PRACTICE
from dermreport.vocabulary.term import Term


class StructureKind(Term):
    """What sort of finding a structure is."""

    LOCAL = "local", "local structure", "Lies in part of the lesion and is looked for by itself.", COMMON_PRACTICE
    LANDMARK = (
        "landmark",
        "landmark",
        "Belongs to the normal skin and helps to find one's way; no criterion of any method.",
        COMMON_PRACTICE,
    )
    COMPOSITE = (
        "composite",
        "composite",
        "Follows from other structures, which are recorded themselves.",
        COMMON_PRACTICE,
    )
    PATTERN = "pattern", "pattern", "Describes the lesion as a whole.", COMMON_PRACTICE
    VESSEL_SHAPE = "vessel-shape", "shape of vessels", "What a single vessel looks like.", COMMON_PRACTICE
    VESSEL_ARRANGEMENT = (
        "vessel-arrangement",
        "arrangement of vessels",
        "How vessels of any shape are spread over the lesion.",
        COMMON_PRACTICE,
    )
    VESSEL_SUMMARY = (
        "vessel-summary",
        "summary of vessels",
        "Whether one shape of vessel prevails or several occur together.",
        COMMON_PRACTICE,
    )
