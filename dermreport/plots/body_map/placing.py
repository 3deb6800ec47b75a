"""Where the names of marks stand: off marks and other names, and beside the body where that is near.

A name over the next toe would be read as that toe's.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final, TypeAlias

from dermreport.body_map import Point, drawing_of
from dermreport.body_map.drawing import Drawing
from dermreport.body_map.shapes import apart, distance, inside
from dermreport.plots.body_map.marks import Mark

#: Left, top, right and foot of a rectangle.
Box: TypeAlias = tuple[float, float, float, float]
#: Room round the drawing, so that a mark on its rim is whole.
RIM: Final = 24
#: Height of a name.
LETTER: Final = 24
#: Radius of a mark; and of one in an area whose edge is nearer to its centre than ``_NARROW``, so that it covers less.
_RING, _SMALL_RING = 9.0, 6.0
_NARROW: Final = 15.0
#: As far from the mark a name keeps off a narrow area.
_NEAR: Final = 20.0
#: Width and foot of the room in both upper corners that is kept for the words for left and right.
_CORNER: Final = (56.0, 38.0)
#: Where a name may stand beside its mark, the best first: in which direction of both axes.
_AROUND: Final = ((1, 0), (-1, 0), (0, -1), (0, 1), (1, -1), (-1, -1), (1, 1), (-1, 1))
#: How far further away a name may be set, in its own heights, where the places at hand are taken.
_FURTHER: Final = 12
#: So much further away a name is set, in units, so as not to stand on another part of the body, as a next finger.
_WORTH: Final = 60.0


@dataclass(frozen=True, slots=True, repr=False)
class Sign:
    """A mark as it is drawn: its name on the drawing, the label as entered, where it is in units, its radius."""

    name: str
    label: str
    mark: Mark
    at: Point
    ring: float

    @property
    def box(self) -> Box:
        """Return the room that it takes; in a narrow area what of that is near."""
        x, y = self.at
        if self.ring == _RING:
            return (x - _RING, y - _RING, x + _RING, y + _RING)
        across = [min(max(one, x - _NEAR), x + _NEAR) for one, _ in self.mark.area[0]]
        down = [min(max(one, y - _NEAR), y + _NEAR) for _, one in self.mark.area[0]]
        return (min(across), min(down), max(across), max(down))


def sign(name: str, label: str, of: Mark) -> Sign:
    """Return a mark as it is drawn under a name."""
    drawing = drawing_of(of.map, of.shown_as)
    at = (float(of.x) * drawing.width, float(of.y) * drawing.height)
    narrow = not of.entered and distance(of.area[0], at) < _NARROW
    return Sign(name, label, of, at, _SMALL_RING if narrow else _RING)


def boxes_of_names(signs: Sequence[Sign], drawing: Drawing) -> list[Box]:
    """Return where the names stand: within the drawing, off marks and other names, beside the body where it is near."""
    wide, low = _CORNER
    corners = ((-RIM, -RIM, wide, low), (drawing.width - wide, -RIM, drawing.width + RIM, low))
    marks = [*corners, *(one.box for one in signs)]
    taken: list[Box] = []
    for one in signs:
        fitting = [box for box in _around(one) if _within(box, drawing)]
        free = [box for box in fitting if not any(_overlap(box, other) for other in (*marks, *taken))]
        near = sorted((gap(one, box), box) for box in free or fitting)
        limit = near[0][0] + _WORTH
        beside = (box for away, box in near if away < limit and not _on_the_body(box, drawing))
        taken.append(next(beside, near[0][1]))
    return taken


def _on_the_body(box: Box, drawing: Drawing) -> bool:
    return any(inside(shape, point) for shape in drawing.outline for point in _points(box))


def _around(of: Sign) -> Iterator[Box]:
    left, top, right, foot = of.box
    across, down = (0.66 * LETTER * len(of.name) + 6) / 2, LETTER / 2
    for further in range(_FURTHER):
        for to_x, to_y in _AROUND:
            x = of.at[0] + to_x * ((right - left) / 2 + 4 + across + further * LETTER)
            y = of.at[1] + to_y * ((foot - top) / 2 + 3 + down + further * LETTER)
            yield (x - across, y - down, x + across, y + down)


def _points(box: Box) -> Iterator[Point]:
    left, top, right, foot = box
    for x in (left, (left + right) / 2, right):
        for y in (top, (top + foot) / 2, foot):
            yield (x, y)


def nearest(of: Sign, box: Box) -> Point:
    """Return the point of a box that is nearest to a mark."""
    return (min(max(of.at[0], box[0]), box[2]), min(max(of.at[1], box[1]), box[3]))


def gap(of: Sign, box: Box) -> float:
    """Return how far a box is from the ring of a mark."""
    return apart(nearest(of, box), of.at) - of.ring


def _within(box: Box, drawing: Drawing) -> bool:
    left, top, right, foot = box
    return left >= -RIM and top >= -RIM and right <= drawing.width + RIM and foot <= drawing.height + RIM


def _overlap(one: Box, other: Box) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]
