"""Where in the lesion a structure lies."""

from __future__ import annotations

from dermreport.sources import COMMON_PRACTICE
from dermreport.vocabulary.term import Term


class Place(Term):
    """Where in the lesion a structure lies."""

    CENTRAL = "central", "central", "In the centre.", COMMON_PRACTICE
    ECCENTRIC = "eccentric", "off centre", "Off the centre, away from the edge or not.", COMMON_PRACTICE
    PERIPHERAL = "peripheral", "at the edge", "At or near the edge.", COMMON_PRACTICE
    WHOLE_LESION = "whole-lesion", "whole lesion", "Throughout the lesion.", COMMON_PRACTICE
    OUTSIDE = "outside", "outside the lesion", "In the skin around the lesion.", COMMON_PRACTICE
