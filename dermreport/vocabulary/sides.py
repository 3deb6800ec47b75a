"""Side of the body."""

from __future__ import annotations

from dermreport.sources import COMMON_PRACTICE
from dermreport.vocabulary.term import Term


class Side(Term):
    """Side of the body."""

    LEFT = "left", "left", "The patient’s left.", COMMON_PRACTICE
    RIGHT = "right", "right", "The patient’s right.", COMMON_PRACTICE
    MIDLINE = "midline", "midline", "On the midline.", COMMON_PRACTICE
