"""The whole body, front and back: an upright adult, palms to the front, neither sex drawn.

Heights follow the usual proportions of a standing adult (head an eighth to a seventh of the height, elbow at the
waist, wrist at the hip joint, crotch a little below the middle, knee halfway from there to the sole): common practice,
no source.
"""

from __future__ import annotations

from functools import cache
from typing import Final

from dermreport.body_map.drawing import Drawing, even
from dermreport.body_map.shapes import Shape, band, both_sides, box, closed, curve, cut, joined, oval, ring
from dermreport.vocabulary.sites import Site

_WIDTH, _HEIGHT = 400, 800
_FAR: Final = 220

# --- the right half of the outline, piece by piece, as distances from the midline ---------------------------------

_HEAD: Final = curve((0, 22), (17, 25), (29, 36), (35, 54), (35.5, 68))
_EAR: Final = curve((35.5, 68), (39, 66.5), (40, 73), (37.5, 83), (34, 88))
_JAW: Final = curve((34, 88), (31, 99), (26, 108), (24, 116), (24, 126))
_SHOULDER: Final = curve((24, 126), (29, 140), (48, 149), (70, 155), (86, 163))
_OUTER_ARM: Final = curve(
    (86, 163),
    (97, 172.5),
    (104, 186),
    (108, 204),
    (111.5, 224),
    (117, 250),
    (123, 276),
    (129, 298),
    (138, 322),
    (145, 346),
    (152, 376),
    (158, 410),
)
_HAND: Final = curve(
    (158, 410),
    (163, 420),
    (171, 430),
    (181, 444),
    (185, 457),
    (180.5, 459.5),
    (173, 449),
    (168, 446),
    (169.5, 460),
    (173, 476),
    (174, 486),
    (170.5, 490),
    (166.5, 484),
    (164, 470),
    (162.8, 464.5),
    (163.5, 472),
    (165.5, 490),
    (162.5, 496.5),
    (158.8, 491),
    (157.2, 472),
    (156, 466),
    (156, 474),
    (156.8, 488),
    (153.5, 493),
    (150.3, 487),
    (149.2, 472),
    (148.2, 465),
    (147.8, 471),
    (147, 479),
    (143.6, 482),
    (141.2, 477),
    (141, 462),
    (140, 446),
    (138, 430),
    (138.5, 413),
)
_INNER_ARM: Final = curve(
    (138.5, 413), (132, 396), (122, 370), (112, 342), (104, 318), (98, 298), (91, 272), (82, 242), (73, 212)
)
_FLANK: Final = curve((73, 212), (72, 236), (69, 262), (66, 290), (65, 312), (67, 336), (71, 360), (75, 382), (78, 404))
_OUTER_LEG: Final = curve(
    (78, 404),
    (79.5, 430),
    (78, 466),
    (73, 510),
    (65, 545),
    (60, 570),
    (61, 592),
    (65, 622),
    (63, 652),
    (56, 694),
    (49, 730),
    (47, 748),
)
_FOOT_FRONT: Final = curve(
    (47, 748), (51, 757), (60, 767), (65, 774), (62, 779), (50, 781), (36, 780), (29, 777), (26, 768), (25, 748)
)
_FOOT_BACK: Final = curve(
    (47, 748),
    (48, 757),
    (56, 764),
    (61, 770),
    (58, 774),
    (49, 773),
    (45, 779),
    (35, 781),
    (26, 778),
    (24, 766),
    (25, 748),
)
_INNER_LEG: Final = curve(
    (25, 748),
    (24, 728),
    (24, 692),
    (19, 652),
    (17, 624),
    (19, 598),
    (20, 570),
    (17, 548),
    (12, 512),
    (6, 468),
    (2, 430),
    (0, 420),
)

_ARM_AXIS: Final = ((88.0, 170.0), (148.0, 411.0))
_LEG_AXIS: Final = ((41.0, 400.0), (40.0, 570.0))
#: How far along the arm's axis a joint is.
_ELBOW, _WRIST = (122.0, 148.0), 248.5
_SHOULDER_ENDS: Final = 42.0


def _outline(foot: Shape) -> Shape:
    return both_sides(
        joined(_HEAD, _EAR, _JAW, _SHOULDER, _OUTER_ARM, _HAND, _INNER_ARM, _FLANK, _OUTER_LEG, foot, _INNER_LEG)
    )


def _arm() -> Shape:
    """Return arm and hand, with the shoulder down to the armpit."""
    return joined(_SHOULDER[-7:], _OUTER_ARM, _HAND, _INNER_ARM, ((62, 190), (62, 166)))


def _arm_part(start: float, end: float, left: float = -60, right: float = 60) -> Shape:
    # Looking down the arm, what is towards the trunk lies to the right.
    return cut(_arm(), band(_ARM_AXIS, (start, end), (left, right)))


def _leg_part(leg: Shape, top: float, foot: float, left: float = -90, right: float = 90) -> Shape:
    # Looking down the leg, what is towards the other one lies to the right.
    at = _LEG_AXIS[0][1]
    return cut(leg, band(_LEG_AXIS, (top - at, foot - at), (left, right)))


def _limbs(leg: Shape) -> dict[Site, tuple[Shape, ...]]:
    """Return what front and back show alike."""
    elbow_top, elbow_foot = _ELBOW
    return {
        Site.UPPER_LIMB: (_arm(),),
        Site.SHOULDER: (cut(_arm(), band(_ARM_AXIS, (-40, _SHOULDER_ENDS), (-60, 30))),),
        Site.UPPER_ARM_OUTER: (_arm_part(_SHOULDER_ENDS, elbow_top, -60, 6),),
        Site.UPPER_ARM_INNER: (_arm_part(_SHOULDER_ENDS, elbow_top, 6, 60),),
        Site.FOREARM: (_arm_part(elbow_foot, _WRIST - 14),),
        Site.WRIST: (_arm_part(_WRIST - 14, _WRIST + 6),),
        Site.HAND: (_arm_part(_WRIST + 6, _WRIST + 120),),
        Site.LOWER_LIMB: (leg,),
        Site.HIP: (_leg_part(leg, 350, 412, -90, -14),),
        Site.THIGH_MEDIAL: (_leg_part(leg, 424, 538, 16, 90),),
        Site.THIGH_LATERAL: (_leg_part(leg, 412, 538, -90, -18),),
        Site.LOWER_LEG: (_leg_part(leg, 600, 728),),
        Site.ANKLE: (_leg_part(leg, 728, 756),),
        Site.FOOT: (_leg_part(leg, 756, 800),),
    }


@cache
def body_front() -> Drawing:
    """Return the body from the front."""
    outline = _outline(_FOOT_FRONT)
    groin = curve((74, 372), (54, 388), (26, 408), (0, 420))
    leg = joined(groin[::-1], _hip_of(372), _OUTER_LEG, _FOOT_FRONT, _INNER_LEG)
    trunk = both_sides(joined(((0, 140),), _SHOULDER[6:-6], ((62, 166), (62, 190), (73, 212)), _flank_to(372), groin))
    abdomen = cut(trunk, ((-_FAR, 274), (_FAR, 274), (_FAR, 360), (0, 440), (-_FAR, 360)))
    areas = {
        Site.SKIN: (outline,),
        Site.HEAD: (both_sides(joined(_HEAD, _EAR, _JAW[:7], curve((30.8, 99.5), (22, 112), (10, 120.5), (0, 122)))),),
        Site.SCALP: (both_sides(joined(_HEAD[:19], curve((31.5, 44), (20, 41), (0, 40)))),),
        Site.FACE: (
            both_sides(
                joined(
                    curve((0, 40), (20, 41), (31.5, 46), (33, 68), (32.5, 88)),
                    curve((32.5, 88), (29.5, 100), (22, 111), (10, 119.5), (0, 121)),
                )
            ),
        ),
        Site.NECK: (_neck(((21.5, 113), (10, 120.5), (0, 122))),),
        Site.NECK_ANTERIOR: (cut(_neck(((21.5, 113), (10, 120.5), (0, 122))), box(-17, 100, 17, 160)),),
        Site.TRUNK: (trunk,),
        Site.CHEST: (cut(trunk, box(-_FAR, 120, _FAR, 274)),),
        Site.STERNUM: (joined(((-9, 160), (9, 160), (7, 200), (8, 256), (0, 268), (-8, 256), (-7, 200))),),
        Site.CLAVICLE: (
            joined(
                curve((10, 154), (30, 155), (52, 153), (64, 157)), curve((64, 167), (48, 166), (28, 169), (10, 167))
            ),
        ),
        Site.BREAST: (ring((14, 214), (30, 196), (50, 196), (64, 212), (66, 234), (56, 252), (36, 256), (18, 244)),),
        Site.NIPPLE_AREOLA: (oval((42, 231), 8, 8),),
        Site.INFRAMAMMARY_FOLD: (
            joined(
                curve((16, 251), (30, 260), (46, 261), (58, 255)), curve((62, 262), (48, 270), (28, 268), (12, 258))
            ),
        ),
        Site.AXILLA: (ring((60, 190), (65, 201), (71, 214), (71, 227), (64, 226), (58, 208)),),
        Site.FLANK: (cut(trunk, box(44, 268, _FAR, 352)),),
        Site.ABDOMEN: (abdomen,),
        Site.ABDOMEN_UPPER: (cut(abdomen, box(-44, 260, 44, 318)),),
        Site.ABDOMEN_LOWER: (cut(abdomen, box(-44, 330, 44, 384)),),
        Site.UMBILICUS: (oval((0, 324), 7, 8),),
        Site.GROIN: (
            joined(curve((66, 365), (46, 377), (23, 390)), curve((24, 408), (40, 397), (54, 386.5), (72, 373))),
        ),
        Site.PUBIC_AREA: (both_sides(((0, 386), (24, 388), (21, 408), (8, 418), (0, 421))),),
        **_limbs(leg),
        Site.ELBOW_CREASE: (_arm_part(*_ELBOW),),
        Site.FOREARM_FLEXOR: (_arm_part(_ELBOW[1], _WRIST - 14),),
        Site.THIGH_ANTERIOR: (_leg_part(leg, 412, 538, -18, 16),),
        Site.KNEE: (_leg_part(leg, 542, 596),),
        Site.SHIN: (_leg_part(leg, 600, 728, -12, 12),),
    }
    lines = (
        # face
        curve((9, 70.5), (14, 67.5), (20, 68), (24, 71)),
        curve((10, 75.5), (15, 73), (20, 73.5), (23, 76), (16, 78), (10, 75.5)),
        curve((4, 90), (6, 93.5), (0, 95)),
        curve((0, 104), (5, 103), (10, 103.5)),
        curve((0, 110), (5, 109)),
        curve((24, 111), (16, 117.5), (8, 121), (0, 122)),
        # neck and collarbones
        curve((19, 121), (15, 138), (6, 153)),
        curve((8, 157), (28, 159), (48, 156), (70, 160)),
        # chest and belly
        curve((73, 212), (70, 200), (71, 186)),
        curve((24, 253), (36, 256), (48, 255), (58, 249)),
        closed(oval((42, 231), 3, 3)),
        curve((0, 276), (16, 282), (32, 294)),
        curve((0, 320), (3, 323), (0, 328)),
        curve((72, 376), (54, 389), (34, 403), (16, 415)),
        # limbs
        curve((99, 300), (110, 304), (121, 302)),
        curve((140, 411), (149, 412.5), (156, 410)),
        curve((162.8, 466), (161, 456)),
        curve((156, 467), (155, 457)),
        curve((148.2, 466), (148, 457)),
        curve((28, 553), (36, 548), (48, 549), (54, 555)),
        curve((30, 586), (38, 591), (48, 590)),
        curve((31, 748), (35, 752), (42, 750)),
        curve((36, 774), (36.5, 779.5)),
        curve((44, 774.5), (44.5, 780)),
        curve((50, 774.5), (51.5, 780)),
        curve((55.5, 773.5), (58, 779)),
    )
    return even(_WIDTH, _HEIGHT, outline=outline, contour=(_half(outline),), lines=lines, areas=areas)


@cache
def body_back() -> Drawing:
    """Return the body from the back."""
    outline = _outline(_FOOT_BACK)
    fold = curve((0, 420), (12, 432), (34, 438), (56, 434), (66, 424))
    rim = joined(((66, 424), (68, 390), (72, 366)))
    leg = joined(((0, 420),), fold, rim, _hip_of(366), _OUTER_LEG, _FOOT_BACK, _INNER_LEG)
    trunk = both_sides(
        joined(((0, 140),), _SHOULDER[6:-6], ((62, 166), (62, 190), (73, 212)), _flank_to(366), rim[::-1], fold[::-1])
    )
    neck = _neck(((24, 114), (12, 113), (0, 113)))
    back = cut(trunk, box(-_FAR, 120, _FAR, 384))
    areas = {
        Site.SKIN: (outline,),
        Site.HEAD: (cut(outline, box(-45, 0, 45, 113)),),
        Site.SCALP: (both_sides(joined(_HEAD, ((32, 74), (31, 92), (27, 104), (14, 108), (0, 109)))),),
        Site.NECK: (neck,),
        Site.NECK_POSTERIOR: (cut(neck, box(-20, 100, 20, 160)),),
        Site.TRUNK: (trunk,),
        Site.BACK: (back,),
        Site.BACK_UPPER: (cut(back, box(-_FAR, 120, _FAR, 274)),),
        Site.SCAPULAR_AREA: (
            ring((26, 172), (44, 170), (62, 172), (60, 196), (50, 226), (40, 248), (32, 240), (26, 206)),
        ),
        Site.INTERSCAPULAR_AREA: (both_sides(((0, 166), (22, 168), (22, 206), (28, 244), (0, 246))),),
        Site.BACK_LOWER: (cut(back, box(-_FAR, 274, _FAR, 352)),),
        Site.SACRAL_AREA: (both_sides(((0, 352), (24, 352), (18, 368), (6, 384), (0, 384))),),
        Site.AXILLA: (ring((60, 190), (65, 201), (71, 214), (71, 227), (64, 226), (58, 208)),),
        Site.FLANK: (cut(trunk, box(46, 268, _FAR, 352)),),
        Site.BUTTOCK: (
            joined(
                curve((7, 382), (22, 366), (44, 362), (62, 372)),
                curve((66, 392), (64, 422), (54, 432), (34, 436), (14, 430), (6, 420)),
            ),
        ),
        Site.NATAL_CLEFT: (both_sides(joined(((0, 384), (5, 386), (5, 422), (0, 421)))),),
        **_limbs(leg),
        Site.ELBOW: (_arm_part(*_ELBOW),),
        Site.FOREARM_EXTENSOR: (_arm_part(_ELBOW[1], _WRIST - 14),),
        Site.THIGH_POSTERIOR: (_leg_part(leg, 440, 538, -18, 16),),
        Site.KNEE_HOLLOW: (_leg_part(leg, 544, 594, -13, 13),),
        Site.CALF: (_leg_part(leg, 600, 728),),
    }
    lines = (
        curve((27, 104), (14, 108.5), (0, 110)),
        curve((16, 116), (14, 130), (20, 144)),
        curve((0, 150), (0, 250), (0, 350)),
        curve((60, 180), (44, 178), (28, 178), (29, 208), (38, 242), (48, 226), (56, 204)),
        curve((73, 212), (70, 200), (71, 186)),
        curve((60, 320), (48, 326), (34, 324)),
        closed(oval((19, 350), 2, 3)),
        curve((0, 382), (0.8, 400), (0, 421)),
        curve((2, 420), (14, 432), (34, 438), (54, 434)),
        curve((103, 300), (110, 306), (117, 300)),
        curve((140, 411), (149, 412.5), (156, 410)),
        curve((162.8, 466), (160, 452)),
        curve((156, 467), (154, 452)),
        curve((148.2, 466), (147, 452)),
        curve((25, 562), (38, 567), (54, 564)),
        curve((28, 584), (33, 574)),
        curve((40, 640), (37, 672), (34, 690)),
        curve((31, 726), (32, 746), (30, 758)),
        curve((42, 726), (41, 746), (43, 758)),
    )
    return even(_WIDTH, _HEIGHT, outline=outline, contour=(_half(outline),), lines=lines, areas=areas)


def _half(outline: Shape) -> Shape:
    """Return the right half of an outline as an open line."""
    return outline[: len(outline) // 2 + 1]


def _flank_to(y: float) -> Shape:
    return tuple(point for point in _FLANK if point[1] <= y)


def _hip_of(y: float) -> Shape:
    return tuple(point for point in _FLANK if point[1] >= y)


def _neck(top: tuple[tuple[float, float], ...]) -> Shape:
    """Return the neck under the head's edge, down to where the trunk begins."""
    side = tuple(point for point in joined(_JAW, _SHOULDER[:7]) if point[1] >= top[0][1])
    return both_sides(joined(top[::-1], side, ((0, 144),)))
