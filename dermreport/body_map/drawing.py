"""What a drawing of the body map is: a size, an outline, lines, and the area of each site that it shows."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import TypeAlias

from dermreport.body_map.shapes import Shape, mirrored, shifted
from dermreport.vocabulary.lateralities import Laterality
from dermreport.vocabulary.sites import Site

#: The area of a site: one closed shape, or several where it lies in several places; the first is the largest.
Area: TypeAlias = tuple[Shape, ...]


@dataclass(frozen=True, slots=True)
class Drawing:
    """One drawing.

    Attributes:
        width: Its width in units.
        height: Its height in units.
        outline: The closed shapes within which everything lies.
        contour: The lines that are drawn strongly.
        lines: The finer lines.
        areas: The area of each site that it shows. Where the drawing shows both sides, a paired site has its area at
            the viewer's right only; the other is that in a mirror.
        details: Finer lines that are drawn only where a site is marked: what not everybody has.
    """

    width: float
    height: float
    outline: Area
    contour: tuple[Shape, ...]
    lines: tuple[Shape, ...]
    areas: Mapping[Site, Area]
    details: Mapping[Site, tuple[Shape, ...]] = field(default_factory=lambda: MappingProxyType({}))

    def mirrored(self) -> Drawing:
        """Return the drawing of the other hand, foot or side of the head."""

        def turned(shapes: Iterable[Shape]) -> Area:
            return tuple(mirrored(shape, self.width) for shape in shapes)

        return Drawing(
            self.width,
            self.height,
            turned(self.outline),
            turned(self.contour),
            turned(self.lines),
            MappingProxyType({site: turned(area) for site, area in self.areas.items()}),
            MappingProxyType({site: turned(lines) for site, lines in self.details.items()}),
        )


def even(  # noqa: PLR0913 - what a drawing has
    width: float,
    height: float,
    *,
    outline: Shape,
    contour: Iterable[Shape],
    lines: Iterable[Shape],
    areas: Mapping[Site, Area],
    details: Mapping[Site, tuple[Shape, ...]] | None = None,
) -> Drawing:
    """Return a drawing that is the same on both sides, given by distances from its midline.

    ``contour``, ``lines`` and ``details`` are given for the viewer's right and drawn on both sides.
    """
    middle = width / 2

    def placed(shapes: Iterable[Shape]) -> Area:
        return tuple(shifted(shape, middle) for shape in shapes)

    def doubled(shapes: Iterable[Shape]) -> Area:
        right = placed(shapes)
        return (*right, *(mirrored(shape, width) for shape in right))

    return Drawing(
        width,
        height,
        placed((outline,)),
        doubled(contour),
        doubled(lines),
        MappingProxyType({site: placed(area) for site, area in areas.items()}),
        MappingProxyType({site: doubled(shapes) for site, shapes in (details or {}).items()}),
    )


def is_paired(site: Site) -> bool:
    """Return whether there is one of a site on each side."""
    return site.laterality is Laterality.PAIRED
