"""Vessels as several methods count them: any of the shapes, and more than one of them."""

from __future__ import annotations

from dermreport.expressions.nodes import AtLeastOf, Expression, Present, some, some_present
from dermreport.scores.recorded import present_where_recorded
from dermreport.vocabulary.structures import Structure

#: The shapes that the lists for pigmented lesions ask for; a hairpin with a white halo is one of the looped.
SHAPES = (
    Structure.VESSELS_DOTTED,
    Structure.VESSELS_COILED,
    Structure.VESSELS_LOOPED,
    Structure.VESSELS_SERPENTINE,
    Structure.VESSELS_STRAIGHT,
    Structure.VESSELS_HELICAL,
    Structure.VESSELS_CURVED,
    Structure.VESSELS_BRANCHED,
    Structure.VESSELS_SHORT_FINE,
)

ANY_SHAPE: Expression = some_present(*SHAPES)

#: Said of the vessels as a whole, or two shapes recorded.
POLYMORPHOUS: Expression = some(
    present_where_recorded(Structure.VESSELS_POLYMORPHOUS),
    AtLeastOf(2, tuple(Present(shape) for shape in SHAPES)),
)
