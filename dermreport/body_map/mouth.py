"""The open mouth from the front: lips, gums and teeth, palate, tongue, the inside of both cheeks."""

from __future__ import annotations

from functools import cache
from typing import Final

from dermreport.body_map.drawing import Drawing, even
from dermreport.body_map.shapes import Shape, both_sides, curve, joined
from dermreport.vocabulary.sites import Site

_WIDTH, _HEIGHT = 440, 400

# The right half of each line, as distances from the midline.
_UPPER_RIM: Final = curve((0, 62), (12, 52), (28, 48), (66, 62), (120, 104), (164, 152), (196, 190))
_LOWER_RIM: Final = curve((196, 190), (186, 232), (158, 286), (104, 334), (50, 353), (0, 357))
_UPPER_EDGE: Final = curve((0, 100), (30, 98), (74, 106), (116, 130), (152, 162), (182, 191))
_LOWER_EDGE: Final = curve((182, 191), (160, 236), (126, 274), (82, 300), (40, 310), (0, 312))
_GUM: Final = curve((0, 118), (34, 117), (74, 126), (108, 148), (134, 176))
_TEETH: Final = curve((0, 143), (32, 142), (66, 149), (94, 168), (112, 192))
_PALATE: Final = curve((0, 206), (28, 206), (62, 210), (94, 216), (108, 206), (112, 192))
_TONGUE: Final = curve((0, 213), (30, 210), (66, 216), (92, 234), (98, 256), (84, 274), (50, 282), (0, 284))
_LOWER_TEETH: Final = curve((0, 288), (44, 286), (82, 276), (104, 256), (112, 238))
_LOWER_GUM: Final = curve((0, 303), (42, 301), (84, 291), (118, 266), (132, 236))


@cache
def mouth() -> Drawing:
    """Return the open mouth."""
    lips = both_sides(joined(_UPPER_RIM, _LOWER_RIM))
    opening = both_sides(joined(_UPPER_EDGE, _LOWER_EDGE))
    upper_gum = both_sides(joined(((0, 102),), curve((30, 100), (74, 108), (115, 132), (146, 162)), _GUM[::-1]))
    lower_gum = both_sides(joined(_LOWER_GUM, curve((148, 238), (124, 272), (82, 298), (40, 308), (0, 310.5))))
    areas = {
        Site.SKIN: (lips,),
        Site.FACE: (lips,),
        Site.HEAD: (lips,),
        Site.LIP_UPPER_VERMILION: (both_sides(joined(_UPPER_RIM, _UPPER_EDGE[::-1])),),
        Site.LIP_LOWER_VERMILION: (both_sides(joined(_LOWER_EDGE[::-1], _LOWER_RIM)),),
        Site.MOUTH_MUCOSA: (opening,),
        Site.GUM: (upper_gum, lower_gum),
        Site.PALATE: (both_sides(joined(_TEETH, _PALATE[::-1])),),
        Site.TONGUE: (both_sides(_TONGUE),),
        Site.BUCCAL_MUCOSA: (
            joined(
                curve((124, 186), (138, 180), (148, 166)),
                curve((166, 178), (177, 191), (164, 218)),
                curve((150, 232), (134, 232), (120, 224), (116, 204)),
            ),
        ),
    }
    lines = (
        _GUM,
        _TEETH,
        _PALATE,
        _TONGUE,
        _LOWER_TEETH,
        _LOWER_GUM,
        curve((0, 232), (1, 250), (0, 274)),
        curve((0, 152), (0, 176), (0, 196)),
        curve((10, 156), (26, 154), (44, 160)),
        curve((10, 168), (28, 166), (52, 174)),
        curve((5, 206), (8, 213), (5.5, 221), (0, 224)),
        *_between_the_teeth(),
    )
    return even(
        _WIDTH,
        _HEIGHT,
        outline=lips,
        contour=(joined(_UPPER_RIM, _LOWER_RIM), joined(_UPPER_EDGE, _LOWER_EDGE)),
        lines=lines,
        areas=areas,
    )


def _between_the_teeth() -> tuple[Shape, ...]:
    upper = (
        ((0, 118), (0, 143)),
        ((27, 117), (24, 142)),
        ((52, 120), (46, 144)),
        ((76, 127), (66, 149)),
        ((98, 140), (84, 159)),
        ((117, 156), (99, 174)),
    )
    lower = (
        ((0, 289), (0, 303)),
        ((20, 288), (21, 302.5)),
        ((40, 286), (43, 301)),
        ((60, 283), (65, 297)),
        ((80, 277), (87, 289.5)),
        ((96, 266), (106, 277)),
    )
    return (*upper, *lower)
