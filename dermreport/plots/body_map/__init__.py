"""Lesions on the body map: where each stands and what is said of it, and the drawings as SVG."""

from __future__ import annotations

from dermreport.plots.body_map.marks import (
    ENGLISH,
    MapTexts,
    Mark,
    drawing_name,
    mark,
    mark_words,
    why_unmarked,
)
from dermreport.plots.body_map.svg import Extent, MarkedDrawing, body_map_svg

__all__ = [
    "ENGLISH",
    "Extent",
    "MapTexts",
    "Mark",
    "MarkedDrawing",
    "body_map_svg",
    "drawing_name",
    "mark",
    "mark_words",
    "why_unmarked",
]
