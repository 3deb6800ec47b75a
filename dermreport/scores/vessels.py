"""Vessels as several methods count them: any of the shapes, and more than one of them."""

from __future__ import annotations

from dermreport.expressions.nodes import AtLeastOf, Expression, Present, some, some_present
from dermreport.scores.recorded import present_where_recorded
from dermreport.vocabulary.finding_lists import FindingList
from dermreport.vocabulary.structures import Structure

#: A hairpin with a white halo is one of the looped.
SHAPES = FindingList.VESSELS.structures

ANY_SHAPE: Expression = some_present(*SHAPES)

#: Said of the vessels as a whole, or two shapes recorded.
POLYMORPHOUS: Expression = some(
    present_where_recorded(Structure.VESSELS_POLYMORPHOUS),
    AtLeastOf(2, tuple(Present(shape) for shape in SHAPES)),
)
