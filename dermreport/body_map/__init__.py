"""The body map: outlines of twelve drawings made for this project, and on them the area of every site.

Geometry only: :mod:`dermreport.plots.body_map` draws it, and a rule compares an entered point with it. A drawing
is worked out when it is first asked for, of curves that the modules make when they are loaded.

Sides are the patient's. On a drawing from the front (the mouth and the genital region too) the patient's left is at
the viewer's right, on one from the back at the viewer's left. One drawing serves both hands and one both feet: it is
shown as it is for one side and as in a mirror for the other, and a point belongs to it as it is shown for its side.
"""

from __future__ import annotations

from dermreport.body_map.regions import (
    BY_SIDE,
    FROM_BEHIND,
    PROFILES,
    area_of,
    best_map,
    centre_of,
    drawing_of,
    lies_outside,
    on_the_other_side,
    shows,
    side_at,
)
from dermreport.body_map.shapes import Point, Shape

__all__ = [
    "BY_SIDE",
    "FROM_BEHIND",
    "PROFILES",
    "Point",
    "Shape",
    "area_of",
    "best_map",
    "centre_of",
    "drawing_of",
    "lies_outside",
    "on_the_other_side",
    "shows",
    "side_at",
]
