"""The genital and anal region from the front and below, thighs apart: a plain scheme for either sex.

Pubic area and groins lie above, the external genitalia as one oval in the middle, perineum, anus and the furrow between
the buttocks below. What one sex alone has is drawn only where such a site is marked.
"""

from __future__ import annotations

from functools import cache
from typing import Final

from dermreport.body_map.drawing import Drawing, even
from dermreport.body_map.shapes import Shape, both_sides, closed, curve, joined, oval, ring
from dermreport.vocabulary.sites import Site

_WIDTH, _HEIGHT = 400, 480

# The right half of each line, as distances from the midline.
_HIP: Final = curve((126, 20), (130, 44), (142, 66), (164, 82), (192, 92))
_SEAT: Final = curve((192, 330), (166, 348), (142, 376), (118, 412), (84, 440), (44, 452), (14, 450), (0, 438))
_GROIN: Final = curve((134, 58), (108, 88), (90, 120), (80, 152), (76, 190), (78, 240), (86, 286))
#: Where the thigh begins beside the groin.
_BESIDE: Final = curve((138, 62), (117, 91), (99, 124), (89, 156), (84, 192), (84, 238), (90, 290))
_OVAL: Final = curve((0, 146), (32.4, 152), (54, 176), (62.1, 216), (51.3, 260), (24.3, 290), (0, 296))

_MAJUS: Final = joined(
    curve((2.7, 156), (29.7, 160), (50, 184), (55.4, 218), (44.6, 258), (21.6, 282), (4.1, 288)),
    curve((6.8, 276), (23, 250), (28.4, 218), (21.6, 186), (2.7, 168)),
)
_MINUS: Final = joined(
    curve((2.7, 184), (16.2, 194), (24.3, 218), (18.9, 248), (6.8, 268)),
    curve((5.4, 256), (10.8, 240), (13.5, 218), (8.1, 198), (2.7, 192)),
)
_SHAFT: Final = curve((0, 154), (21.6, 156), (27, 176), (25.7, 204), (24.3, 222))
_GLANS: Final = curve((23, 238), (23.6, 248), (13.5, 260), (0, 264))
_SCROTUM: Final = joined(curve((28.4, 180), (45.9, 198), (54, 224), (50, 254), (35.1, 278), (13.5, 288), (0, 287)))


def _thigh() -> Shape:
    return joined(_HIP[12:], _SEAT[:7], curve((150, 362), (122, 330), (90, 296)), _BESIDE[::-1])


@cache
def genital() -> Drawing:
    """Return the genital and anal region."""
    outline = both_sides(joined(((0, 20),), _HIP, _SEAT))
    female = (closed(_MAJUS), closed(_MINUS), curve((0, 168), (8.1, 174), (6.8, 184), (0, 188)))
    male = (_SHAFT, curve((24.3, 222), (25, 232), (23, 238)), curve((23, 238), (10.8, 242), (0, 243)), _GLANS, _SCROTUM)
    areas = {
        Site.SKIN: (outline,),
        Site.TRUNK: (
            both_sides(
                joined(
                    ((0, 20),),
                    curve((126, 20), (130, 44), (137, 60)),
                    _BESIDE,
                    curve((92, 298), (104, 330), (118, 372), (112, 412)),
                    curve((84, 440), (44, 452), (14, 450), (0, 438)),
                )
            ),
        ),
        Site.LOWER_LIMB: (_thigh(),),
        Site.THIGH_MEDIAL: (_thigh(),),
        Site.PUBIC_AREA: (
            both_sides(
                joined(
                    curve((0, 74), (36, 76), (74, 88)),
                    curve((76, 104), (70, 126), (64, 148)),
                    curve((54, 158), (34, 146), (0, 140)),
                )
            ),
        ),
        Site.GROIN: (
            joined(
                curve((124, 60), (100, 88), (81, 118), (71, 152), (68, 190), (69, 240)),
                curve((84, 238), (84, 192), (89, 156), (99, 124), (117, 92), (136, 66)),
            ),
        ),
        Site.EXTERNAL_GENITALIA: (both_sides(_OVAL),),
        Site.PENIS_SHAFT: (both_sides(joined(_SHAFT, ((0, 222),))),),
        Site.PREPUCE: (
            both_sides(
                joined(((0, 224),), curve((24.3, 224), (25, 232), (23, 239)), curve((23, 239), (10.8, 243), (0, 244)))
            ),
        ),
        Site.GLANS: (both_sides(joined(((0, 245),), curve((10.8, 244), (23, 240)), _GLANS)),),
        Site.SCROTUM: (
            both_sides(joined(curve((0, 266), (14.9, 261), (25.7, 248), (28.4, 222), (28.4, 180)), _SCROTUM)),
        ),
        Site.LABIUM_MAJUS: (_MAJUS,),
        Site.LABIUM_MINUS: (_MINUS,),
        Site.CLITORAL_AREA: (oval((0, 178), 7, 11),),
        Site.VULVAL_VESTIBULE: (both_sides(joined(curve((0, 194), (8.1, 202), (11.5, 220), (8.8, 240), (0, 258)))),),
        Site.PERINEUM: (
            both_sides(joined(curve((0, 300), (14, 302), (20, 312)), curve((20, 322), (12, 330), (0, 331)))),
        ),
        Site.PERIANAL_SKIN: (oval((0, 356), 34, 25),),
        Site.ANAL_MUCOSA: (oval((0, 356), 9, 9),),
        Site.NATAL_CLEFT: (both_sides(joined(((0, 384), (9, 383), (10, 410)), ((8, 438), (0, 436)))),),
        Site.BUTTOCK: (
            ring((46, 340), (84, 344), (108, 374), (102, 408), (76, 434), (40, 442), (16, 432), (16, 396), (34, 372)),
        ),
    }
    lines = (
        _GROIN,
        closed(oval((0, 356), 7, 7)),
        curve((0, 366), (0, 400), (0, 438)),
        *(
            curve((9 * x, 356 + 9 * y), (17 * x, 356 + 15 * y))
            for x, y in ((0.9, -0.6), (1, 0), (0.9, 0.6), (0.35, -1), (0.35, 1))
        ),
        curve((0, 302), (0, 326)),
        curve((20, 92), (22, 100)),
        curve((44, 96), (42, 104)),
        curve((8, 112), (9, 120)),
        curve((30, 116), (29, 124)),
        curve((50, 120), (46, 127)),
        curve((176, 110), (150, 150), (136, 200)),
    )
    details = {
        **dict.fromkeys((Site.LABIUM_MAJUS, Site.LABIUM_MINUS, Site.CLITORAL_AREA, Site.VULVAL_VESTIBULE), female),
        **dict.fromkeys((Site.PENIS_SHAFT, Site.PREPUCE, Site.GLANS, Site.SCROTUM), male),
    }
    contour = (_HIP, _SEAT, _OVAL)
    return even(_WIDTH, _HEIGHT, outline=outline, contour=contour, lines=lines, areas=areas, details=details)
