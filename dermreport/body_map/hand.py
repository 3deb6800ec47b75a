"""The hand: back and palm, fingers up. What is given here has the thumb at the viewer's right.

So it is the back of a left hand and the palm of a right one; the other hand is that in a mirror.
"""

from __future__ import annotations

from functools import cache
from types import MappingProxyType
from typing import Final, NamedTuple

from dermreport.body_map.drawing import Area, Drawing
from dermreport.body_map.shapes import (
    Point,
    Shape,
    apart,
    band,
    box,
    closed,
    curve,
    cut,
    joined,
    ring,
    stretch,
    without,
)
from dermreport.vocabulary.sites import Site

_WIDTH, _HEIGHT = 380, 480
_FOOT: Final = 468


class Digit(NamedTuple):
    """A finger or toe: its root, its tip, half its width at both."""

    root: Point
    tip: Point
    at_root: float
    at_tip: float

    def length(self) -> float:
        """Return how long it is."""
        return apart(self.tip, self.root)

    def side(self) -> tuple[tuple[float, float], ...]:
        """Return one side, from root to tip: how far along, and how far from the axis."""
        length = self.length()
        return (
            (0, self.at_root),
            (0.28 * length, 0.93 * self.at_root),
            (0.5 * length, 0.97 * self.at_root),
            (0.75 * length - 0.45 * self.at_tip, 0.4 * self.at_root + 0.6 * self.at_tip),
            (length - 0.9 * self.at_tip, self.at_tip),
            (length - 0.3 * self.at_tip, 0.73 * self.at_tip),
        )

    def at(self, along: float, across: float) -> Point:
        """Return a point by its place along the axis, from the root, and across it, to the right of it."""
        return band((self.root, self.tip), (along, along), (across, across))[0]

    def edge(self) -> tuple[Point, ...]:
        """Return the points round it, from the left of its root over the tip to the right."""
        up = tuple(self.at(along, -across) for along, across in self.side())
        down = tuple(self.at(along, across) for along, across in reversed(self.side()))
        return (*up, self.at(self.length(), 0), *down)

    def of(self, outline: Shape) -> Shape:
        """Return its part of an outline that goes along its edge."""
        return stretch(outline, self.at(0, -self.at_root), self.at(0, self.at_root))

    def crease(self, share: float, bend: float) -> Shape:
        """Return a line across it, at a share of its length."""
        along, wide = share * self.length(), 0.72 * self.at_root
        return curve(self.at(along, -wide), self.at(along + bend, 0), self.at(along, wide))

    def nail(self, long: float, *, unit: bool = False) -> Shape:
        """Return the plate of its nail, or the whole nail unit with the folds round it."""
        end = self.length() - (1.5 if unit else 3)
        start = end - long - (6 if unit else 0)
        half = self.at_tip * (0.92 if unit else 0.74)
        return ring(
            self.at(start, 0),
            self.at(start + 0.16 * long, -0.8 * half),
            self.at(start + 0.55 * long, -half),
            self.at(end - 0.14 * long, -0.78 * half),
            self.at(end, 0),
            self.at(end - 0.14 * long, 0.78 * half),
            self.at(start + 0.55 * long, half),
            self.at(start + 0.16 * long, 0.8 * half),
        )


_LITTLE: Final = Digit((112, 222), (86, 116), 18, 14)
_RING: Final = Digit((151, 198), (140, 60), 19.5, 15.5)
_MIDDLE: Final = Digit((192, 190), (194, 32), 20, 16)
_INDEX: Final = Digit((232, 200), (247, 66), 20, 15.5)
_THUMB: Final = Digit((272, 300), (330, 180), 21, 17)

_HAND: Final = curve(
    (126, _FOOT),
    (125, 430),
    (121, 396),
    (107, 360),
    (95, 310),
    (91, 262),
    *_LITTLE.edge(),
    *_RING.edge(),
    *_MIDDLE.edge(),
    *_INDEX.edge(),
    (253, 232),
    (259, 262),
    (268, 268),
    (281, 248),
    *_THUMB.edge()[2:-2],
    (308, 282),
    (290, 324),
    (268, 366),
    (248, 398),
    (242, 430),
    (242, _FOOT),
)
_DIGITS: Final = (_LITTLE, _RING, _MIDDLE, _INDEX)
#: Each finger up to its root, and the thumb.
_FINGERS: Final = tuple(digit.of(_HAND) for digit in _DIGITS)
_THUMB_ALONE: Final = stretch(_HAND, (268, 268), (308, 282))
#: Between the fingers' roots and the wrist.
_PALM: Final = cut(without(_HAND, *_FINGERS, _THUMB_ALONE), box(0, 0, _WIDTH, 384))
_EDGE: Final = joined(stretch(_HAND, (116, 384), (91, 262))[3:], curve((109, 258), (113, 310), (124, 352), (132, 381)))


def _edges() -> Area:
    """Return what both sides of the hand show: the hand, the wrist, the webs, the edge."""
    return (_HAND, cut(_HAND, box(60, 384, 330, 426)))


def _webs() -> Area:
    """Return the webs: first the widest, then the others."""
    return (
        ring((247, 246), (255, 264), (266, 272), (277, 267), (279, 277), (265, 285), (249, 272)),
        *(
            ring(
                (x - 9, y - 2),
                (x - 2, y + 3),
                (x + 2, y + 3),
                (x + 9, y - 2),
                (x + 9, y + 12),
                (x, y + 18),
                (x - 9, y + 12),
            )
            for x, y in ((131, 215), (171, 199), (212, 200))
        ),
    )


def _contour() -> tuple[Shape, ...]:
    return (_HAND,)


@cache
def hand_back() -> Drawing:
    """Return the back of a left hand."""
    whole, wrist = _edges()
    backs = (Site.LITTLE_FINGER_DORSAL, Site.RING_FINGER_DORSAL, Site.MIDDLE_FINGER_DORSAL, Site.INDEX_FINGER_DORSAL)
    nails = (Site.LITTLE_FINGER_NAIL, Site.RING_FINGER_NAIL, Site.MIDDLE_FINGER_NAIL, Site.INDEX_FINGER_NAIL)
    areas = {
        Site.SKIN: (whole,),
        Site.UPPER_LIMB: (whole,),
        Site.HAND: (cut(whole, box(0, 0, _WIDTH, 384)),),
        Site.HAND_DORSUM: (_PALM,),
        Site.HAND_EDGE_ULNAR: (_EDGE,),
        Site.FINGER_WEB: _webs(),
        Site.WRIST: (wrist,),
        Site.THUMB_DORSAL: (_THUMB_ALONE,),
        Site.THUMB_NAIL: (_THUMB.nail(27, unit=True),),
        **{site: (finger,) for site, finger in zip(backs, _FINGERS, strict=True)},
        **{site: (digit.nail(26, unit=True),) for site, digit in zip(nails, _DIGITS, strict=True)},
    }
    lines = (
        *(closed(digit.nail(26)) for digit in _DIGITS),
        closed(_THUMB.nail(27)),
        *(digit.crease(share, bend) for digit in _DIGITS for share, bend in ((0.42, -2), (0.475, 2), (0.70, 2))),
        _THUMB.crease(0.42, -2),
        _THUMB.crease(0.48, 2),
        *(curve((x - 9, y), (x, y - 5), (x + 9, y)) for x, y in ((119, 246), (155, 228), (193, 221), (230, 231))),
        curve((136, 268), (146, 306), (158, 340)),
        curve((168, 252), (172, 296), (176, 336)),
        curve((198, 248), (197, 296), (194, 336)),
        curve((230, 258), (222, 300), (212, 338)),
        curve((128, 392), (142, 386), (152, 390)),
    )
    return Drawing(_WIDTH, _HEIGHT, (whole,), _contour(), lines, MappingProxyType(areas))


@cache
def hand_palm() -> Drawing:
    """Return the palm of a right hand."""
    whole, wrist = _edges()
    palms = (Site.LITTLE_FINGER_PALMAR, Site.RING_FINGER_PALMAR, Site.MIDDLE_FINGER_PALMAR, Site.INDEX_FINGER_PALMAR)
    areas = {
        Site.SKIN: (whole,),
        Site.UPPER_LIMB: (whole,),
        Site.HAND: (cut(whole, box(0, 0, _WIDTH, 384)),),
        Site.PALM: (_PALM,),
        Site.PALM_THENAR: (
            ring(
                (238, 282),
                (262, 282),
                (286, 300),
                (280, 334),
                (262, 366),
                (238, 380),
                (214, 376),
                (206, 346),
                (214, 306),
            ),
        ),
        Site.PALM_HYPOTHENAR: (
            ring((114, 288), (142, 292), (158, 318), (164, 352), (158, 378), (128, 378), (117, 350), (108, 316)),
        ),
        Site.HAND_EDGE_ULNAR: (_EDGE,),
        Site.FINGER_WEB: _webs(),
        Site.WRIST: (wrist,),
        Site.THUMB_PALMAR: (_THUMB_ALONE,),
        **{site: (finger,) for site, finger in zip(palms, _FINGERS, strict=True)},
    }
    lines = (
        *(digit.crease(share, 0) for digit in _DIGITS for share in (0.03, 0.38, 0.68)),
        _THUMB.crease(0.14, -2),
        _THUMB.crease(0.5, 0),
        # the lines of the palm
        curve((258, 270), (228, 284), (208, 318), (200, 350), (204, 380)),
        curve((256, 266), (222, 280), (176, 298), (128, 316)),
        curve((98, 268), (130, 268), (172, 258), (200, 238), (208, 222)),
        curve((126, 390), (160, 386), (200, 386), (240, 394)),
        curve((127, 400), (160, 396), (200, 396), (240, 404)),
    )
    return Drawing(_WIDTH, _HEIGHT, (whole,), _contour(), lines, MappingProxyType(areas))
