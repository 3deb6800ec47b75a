"""How each method counts each colour: one crosswalk, read by the methods' criteria.

A cell that no source settles stays open, so that the total becomes an interval.
"""

from __future__ import annotations

from dermreport.expressions.nodes import ColourSeen, Expression, Not, Unresolved, every, some
from dermreport.vocabulary.colours import Colour

#: Brown of a shade that nobody told: at least one of the two shades. A look at the lesion tells which.
_COUNTS_AS_LIGHT = Unresolved("brown of a shade not given counts as light brown", answerable=True)
_COUNTS_AS_DARK = Unresolved("brown of a shade not given counts as dark brown", answerable=True)
#: Sources name red among the colours and don't say whether pink is one.
_PINK_COUNTS = Unresolved("pink counts as red")

LIGHT_BROWN: Expression = some(ColourSeen(Colour.LIGHT_BROWN), every(ColourSeen(Colour.BROWN), _COUNTS_AS_LIGHT))
DARK_BROWN: Expression = some(
    ColourSeen(Colour.DARK_BROWN),
    every(ColourSeen(Colour.BROWN), some(_COUNTS_AS_DARK, Not(_COUNTS_AS_LIGHT))),
)
RED_PINK_OPEN: Expression = some(ColourSeen(Colour.RED), every(ColourSeen(Colour.PINK), _PINK_COUNTS))
RED_WITH_PINK: Expression = some(ColourSeen(Colour.RED), ColourSeen(Colour.PINK))
RED_WITHOUT_PINK: Expression = ColourSeen(Colour.RED)
BLUE_GREY_AS_ONE: Expression = some(ColourSeen(Colour.BLUE), ColourSeen(Colour.GREY))
BLUE: Expression = ColourSeen(Colour.BLUE)
GREY: Expression = ColourSeen(Colour.GREY)
BLACK: Expression = ColourSeen(Colour.BLACK)
WHITE: Expression = ColourSeen(Colour.WHITE)
