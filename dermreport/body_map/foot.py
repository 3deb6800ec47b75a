"""The foot: top and sole, toes up. What is given here has the great toe at the viewer's right.

So it is the top of a left foot and the sole of a right one; the other foot is that in a mirror.
"""

from __future__ import annotations

from functools import cache
from types import MappingProxyType
from typing import Final

from dermreport.body_map.drawing import Drawing
from dermreport.body_map.hand import Digit
from dermreport.body_map.shapes import Shape, box, closed, curve, cut, joined, ring, stretch, without
from dermreport.vocabulary.sites import Site

_WIDTH, _HEIGHT = 300, 560

_FIFTH: Final = Digit((66, 182), (52, 132), 14, 13)
_FOURTH: Final = Digit((92, 158), (80, 98), 14, 13)
_THIRD: Final = Digit((120, 143), (112, 71), 14.5, 13.5)
_SECOND: Final = Digit((151, 134), (148, 50), 15.5, 14.5)
_GREAT: Final = Digit((194, 136), (194, 36), 27, 23)
_SMALL: Final = (_FIFTH, _FOURTH, _THIRD, _SECOND)
_TOES: Final = (_FIFTH.edge(), _FOURTH.edge(), _THIRD.edge(), _SECOND.edge(), _GREAT.edge())
_ROUND_THE_TOES: Final = tuple(point for toe in _TOES for point in toe)

_TOP_FOOT: Final = 548
_TOP: Final = curve(
    (84, _TOP_FOOT),
    (83, 520),
    (76, 494),
    (63, 470),
    (61, 446),
    (58, 400),
    (50, 340),
    (44, 280),
    (43, 230),
    *_ROUND_THE_TOES,
    (226, 168),
    (227, 200),
    (220, 244),
    (213, 300),
    (212, 360),
    (214, 410),
    (220, 442),
    (219, 466),
    (208, 490),
    (204, 518),
    (204, _TOP_FOOT),
)
_SOLE: Final = ring(
    (146, 536),
    (116, 528),
    (93, 502),
    (85, 462),
    (80, 410),
    (68, 340),
    (52, 280),
    (44, 230),
    *_ROUND_THE_TOES,
    (226, 168),
    (227, 204),
    (218, 244),
    (198, 288),
    (187, 340),
    (190, 400),
    (204, 456),
    (203, 500),
    (180, 528),
)
_DIGITS: Final = (*_SMALL, _GREAT)


def _under_the_toes(outline: Shape) -> Shape:
    return without(outline, *(toe.of(outline) for toe in _DIGITS))


def _webs() -> tuple[Shape, ...]:
    return tuple(
        ring((x - 8, y - 3), (x, y + 2), (x + 8, y - 3), (x + 8, y + 9), (x, y + 14), (x - 8, y + 9))
        for x, y in ((167, 138), (136, 142), (106, 155), (79, 176))
    )


@cache
def foot_top() -> Drawing:
    """Return the top of a left foot."""
    ankle = cut(_TOP, box(0, 428, _WIDTH, 500))
    foot = cut(_TOP, box(0, 0, _WIDTH, 428))
    tops = (Site.FIFTH_TOE_DORSAL, Site.FOURTH_TOE_DORSAL, Site.THIRD_TOE_DORSAL, Site.SECOND_TOE_DORSAL)
    nails = (Site.FIFTH_TOE_NAIL, Site.FOURTH_TOE_NAIL, Site.THIRD_TOE_NAIL, Site.SECOND_TOE_NAIL)
    areas = {
        Site.SKIN: (_TOP,),
        Site.LOWER_LIMB: (_TOP,),
        Site.FOOT: (foot,),
        Site.FOOT_DORSUM: (_under_the_toes(foot),),
        Site.FOOT_EDGE_LATERAL: (
            joined(stretch(_TOP, (60, 428), (43, 230))[1:], curve((62, 232), (64, 290), (72, 350), (80, 426))),
        ),
        Site.FOOT_EDGE_MEDIAL: (
            joined(
                stretch(_TOP, (226, 168), (217, 426)), curve((196, 426), (194, 360), (198, 290), (210, 220), (211, 168))
            ),
        ),
        Site.TOE_WEB: _webs(),
        Site.ANKLE: (ankle,),
        Site.GREAT_TOE_DORSAL: (_GREAT.of(_TOP),),
        Site.GREAT_TOE_NAIL: (_GREAT.nail(34, unit=True),),
        **{site: (toe.of(_TOP),) for site, toe in zip(tops, _SMALL, strict=True)},
        **{site: (toe.nail(16, unit=True),) for site, toe in zip(nails, _SMALL, strict=True)},
    }
    lines = (
        closed(_GREAT.nail(34)),
        *(closed(toe.nail(16)) for toe in _SMALL),
        _GREAT.crease(0.42, 3),
        *(toe.crease(0.42, 2) for toe in _SMALL),
        curve((82, 212), (98, 262), (116, 320)),
        curve((110, 190), (122, 250), (134, 320)),
        curve((150, 180), (153, 250), (152, 320)),
        curve((192, 186), (184, 250), (172, 330)),
        curve((66, 446), (74, 440), (82, 450), (78, 466)),
        curve((216, 440), (206, 434), (198, 444), (202, 460)),
        curve((104, 420), (140, 430), (176, 420)),
    )
    return Drawing(_WIDTH, _HEIGHT, (_TOP,), (_TOP,), lines, MappingProxyType(areas))


@cache
def foot_sole() -> Drawing:
    """Return the sole of a right foot."""
    soles = (Site.FIFTH_TOE_PLANTAR, Site.FOURTH_TOE_PLANTAR, Site.THIRD_TOE_PLANTAR, Site.SECOND_TOE_PLANTAR)
    sole = _under_the_toes(_SOLE)
    areas = {
        Site.SKIN: (_SOLE,),
        Site.LOWER_LIMB: (_SOLE,),
        Site.FOOT: (_SOLE,),
        Site.SOLE: (sole,),
        Site.SOLE_FOREFOOT: (cut(sole, ((20, 100), (260, 100), (260, 240), (20, 264))),),
        Site.SOLE_ARCH: (cut(sole, ((20, 270), (260, 246), (260, 418), (20, 418))),),
        Site.HEEL: (cut(sole, box(20, 424, 260, 560)),),
        Site.FOOT_EDGE_LATERAL: (
            joined(stretch(_SOLE, (81, 418), (44, 230)), curve((62, 230), (72, 286), (86, 340), (98, 416))),
        ),
        Site.FOOT_EDGE_MEDIAL: (
            joined(
                stretch(_SOLE, (226, 168), (192, 410)),
                curve((178, 410), (170, 340), (181, 284), (202, 238), (211, 204), (211, 168)),
            ),
        ),
        Site.TOE_WEB: _webs(),
        Site.GREAT_TOE_PLANTAR: (_GREAT.of(_SOLE),),
        **{site: (toe.of(_SOLE),) for site, toe in zip(soles, _SMALL, strict=True)},
    }
    lines = (
        _GREAT.crease(0.16, -3),
        *(toe.crease(0.16, -2) for toe in _SMALL),
        curve((58, 214), (84, 190), (120, 172), (158, 164)),
        curve((170, 176), (166, 208), (176, 240), (200, 256)),
        curve((68, 262), (104, 268), (142, 256), (166, 240)),
        curve((184, 296), (168, 332), (166, 372), (174, 410)),
        curve((106, 430), (146, 418), (190, 430)),
    )
    return Drawing(_WIDTH, _HEIGHT, (_SOLE,), (closed(_SOLE),), lines, MappingProxyType(areas))
