"""Streaks as several methods count them: uneven, or at part of the edge; all round and even is a starburst."""

from __future__ import annotations

from dermreport.expressions.nodes import Expression, Found, Given, Present, every, is_one_of, some
from dermreport.vocabulary.distributions import Distribution
from dermreport.vocabulary.regularities import Regularity
from dermreport.vocabulary.structures import Structure

_AT_PART_OF_THE_EDGE = is_one_of(
    "@.distribution", Distribution.SEGMENTAL, Distribution.FOCAL, Distribution.MULTIFOCAL, Distribution.CLUSTERED
)
#: Even streaks at part of the edge aren't spread evenly round the lesion, so they count. Streaks all round count when
#: they are uneven, and stay open while nobody said.
_UNEVEN_OR_AT_PART_OF_THE_EDGE = some(
    is_one_of("@.regularity", Regularity.IRREGULAR),
    every(Given("@.distribution"), _AT_PART_OF_THE_EDGE),
)

#: Segmental radial lines are at part of the edge by definition.
RADIAL_STREAMING: Expression = some(
    Present(Structure.LINES_RADIAL_SEGMENTAL), Found(Structure.LINES_RADIAL, _UNEVEN_OR_AT_PART_OF_THE_EDGE)
)
UNEVEN_PSEUDOPODS: Expression = Found(Structure.PSEUDOPODS, _UNEVEN_OR_AT_PART_OF_THE_EDGE)
#: Streaks of either kind at part of the edge only; while nobody said where they are it stays open.
SEGMENTAL_STREAKS: Expression = some(
    Present(Structure.LINES_RADIAL_SEGMENTAL),
    Found(Structure.LINES_RADIAL, _AT_PART_OF_THE_EDGE),
    Found(Structure.PSEUDOPODS, _AT_PART_OF_THE_EDGE),
)
