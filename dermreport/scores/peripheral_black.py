"""Black dots or clods at the edge of the lesion, as several methods count them."""

from __future__ import annotations

from dermreport.expressions.nodes import Exists, Expression, Given, Present, every, is_one_of, some
from dermreport.vocabulary.places import Place
from dermreport.vocabulary.presences import Presence
from dermreport.vocabulary.structures import Structure

_AT_THE_EDGE = every(Given("@.place"), is_one_of("@.place", Place.PERIPHERAL))

PERIPHERAL_BLACK: Expression = some(
    Present(Structure.DOTS_BLACK_PERIPHERAL),
    Present(Structure.CLODS_BLACK_PERIPHERAL),
    Exists(
        "findings",
        every(
            is_one_of("@.structure", Structure.DOTS_BLACK),
            is_one_of("@.presence", Presence.PRESENT),
            _AT_THE_EDGE,
        ),
    ),
)
