"""Head and neck: from the front, from the back and from one side; the other side is that in a mirror.

Proportions are the usual ones of a drawing lesson (eyes at half the height of the head, the nose's foot halfway from
the brows to the chin, the ear between brow and nose): common practice, no source.
"""

from __future__ import annotations

from functools import cache
from types import MappingProxyType
from typing import Final

from dermreport.body_map.drawing import Drawing, even
from dermreport.body_map.shapes import Shape, both_sides, box, closed, curve, cut, joined, oval, ring, stretch
from dermreport.vocabulary.sites import Site

_WIDTH, _HEIGHT = 400, 480
_FOOT: Final = 470
#: Where the neck ends.
_COLLAR: Final = 428

# --- front and back: the right half, as distances from the midline ----------------------------------------------------

_SKULL: Final = curve((0, 30), (26, 32), (54, 41), (80, 62), (98, 96), (106, 138), (107, 184))
_EAR: Final = curve((107, 184), (114, 177), (123, 182), (126, 200), (121, 226), (114, 248), (108, 259), (103, 258))
_JAW: Final = curve((103, 258), (101, 278), (93, 304), (80, 326), (70, 337))
_NECK: Final = curve((70, 337), (65, 352), (63, 380), (67, 404), (84, 424), (124, 440), (164, 452), (192, 470))
_UNDER_JAW: Final = curve((70, 337), (54, 350), (34, 361), (14, 365), (0, 365))

_HAIRLINE: Final = curve((0, 92), (36, 93), (66, 101), (84, 116), (92, 138), (96, 168), (107, 184))
_BROW: Final = ring((20, 176), (34, 167), (56, 164), (76, 169), (88, 180), (72, 174), (52, 173), (34, 175))
_EYE_TOP: Final = curve((29, 199), (38, 191), (51, 187.5), (64, 190), (76, 199))
_EYE_FOOT: Final = curve((76, 199), (64, 204.5), (52, 206), (40, 204), (29, 199))
_LIPS: Final = curve((0, 290), (9, 287), (26, 293), (46, 303))
_MOUTH: Final = curve((46, 303), (26, 303.5), (10, 302), (0, 303.5))
_LOWER_LIP: Final = curve((46, 303), (32, 314), (16, 319.5), (0, 320.5))
_NOSE_SIDE: Final = curve(
    (12, 182), (12, 206), (17, 230), (26, 248), (31, 260), (27, 271), (17, 273), (8, 278), (0, 279)
)
_FOLD: Final = curve((33, 262), (44, 276), (52, 290), (58, 308))


def _bust() -> Shape:
    return both_sides(joined(_SKULL, _EAR, _JAW, _NECK, ((0, _FOOT),)))


def _between(line: Shape, top: float, foot: float) -> Shape:
    return tuple(point for point in line if top < point[1] < foot)


def _edge(bust: Shape) -> Shape:
    """Return the right half of the outline without the straight line below, which is no edge of the body."""
    return bust[: len(_SKULL) + len(_EAR) + len(_JAW) + len(_NECK) - 3]


@cache
def head_front() -> Drawing:
    """Return head and neck from the front."""
    bust = _bust()
    skull = joined(_SKULL, _EAR, _JAW, _UNDER_JAW)
    face = both_sides(joined(_HAIRLINE, ((103, 210), (102, 240), (103, 258)), _JAW, _UNDER_JAW))
    neck = both_sides(joined(_UNDER_JAW[::-1], _between(_NECK, 0, _COLLAR), ((0, _COLLAR),)))
    ear = joined(_EAR, ((103, 240), (103.5, 210)))
    areas = {
        Site.SKIN: (bust,),
        Site.HEAD: (both_sides(skull),),
        Site.SCALP: (both_sides(joined(_SKULL, _HAIRLINE[::-1])),),
        Site.SCALP_FRONTAL: (
            both_sides(joined(curve((0, 52), (38, 55), (66, 70), (84, 92), (90, 112)), _HAIRLINE[17::-1])),
        ),
        Site.SCALP_VERTEX: (cut(both_sides(_SKULL), box(-90, 20, 90, 52)),),
        Site.SCALP_TEMPORAL: (
            joined(curve((89, 108), (97, 112), (104, 140), (105, 180)), curve((106, 183), (97, 168), (93, 138))),
        ),
        Site.FACE: (face,),
        Site.FOREHEAD: (
            both_sides(
                joined(
                    curve((0, 93), (36, 94), (65, 102), (82, 117)),
                    ((86, 140), (84, 162)),
                    curve((76, 163), (54, 159), (32, 162), (16, 174), (0, 176)),
                )
            ),
        ),
        Site.TEMPLE: (
            joined(
                curve((85, 120), (91, 138), (95, 166), (104, 184), (103, 206)),
                curve((94, 202), (91, 182), (86, 164), (87, 140)),
            ),
        ),
        Site.EYEBROW: (_BROW,),
        Site.EYELID_UPPER: (
            joined(_EYE_TOP, ((85, 199),), curve((85, 191), (72, 180), (52, 177), (34, 181), (22, 196)), ((29, 199),)),
        ),
        Site.EYELID_LOWER: (
            joined(_EYE_FOOT, ((24, 204),), curve((26, 208), (40, 216), (54, 218.5), (70, 214), (82, 204))),
        ),
        Site.CANTHUS_INNER: (oval((26, 199.5), 5.5, 6),),
        Site.CANTHUS_OUTER: (oval((80, 199.5), 6, 6),),
        Site.CONJUNCTIVA: (joined(_EYE_TOP, _EYE_FOOT),),
        Site.CHEEK: (
            joined(
                curve((36, 236), (54, 238), (78, 236), (98, 232)),
                curve((101, 262), (96, 286), (84, 308), (70, 322)),
                curve((64, 312), (60, 296), (50, 276), (38, 258)),
            ),
        ),
        Site.ZYGOMA: (ring((40, 224), (62, 222), (84, 212), (98, 210), (99, 228), (78, 234), (54, 235)),),
        Site.NASOLABIAL_FOLD: (joined(_FOLD, curve((50, 308), (46, 294), (38, 281), (30, 272))),),
        Site.NOSE: (both_sides(joined(((0, 180),), _NOSE_SIDE)),),
        Site.NOSE_BRIDGE: (
            both_sides(joined(curve((0, 182), (9, 184), (8.5, 206), (10, 232), (12, 242)), ((0, 244),))),
        ),
        Site.NOSE_TIP: (oval((0, 259), 14, 14),),
        Site.NOSE_ALA: (ring((17, 247), (24, 250), (29, 259), (26, 268), (19, 268), (15.5, 258)),),
        Site.NOSTRIL_MUCOSA: (oval((12, 271), 5, 3.2),),
        Site.LIP_UPPER_SKIN: (
            both_sides(
                joined(
                    curve((0, 280), (10, 279), (18, 275), (28, 274)),
                    curve((38, 284), (46, 296), (49, 303)),
                    ((46, 303),),
                    _LIPS[::-1],
                )
            ),
        ),
        Site.LIP_LOWER_SKIN: (
            both_sides(joined(_LOWER_LIP[::-1], ((49, 304),), curve((49, 312), (42, 326), (24, 333), (0, 335)))),
        ),
        Site.LIP_UPPER_VERMILION: (both_sides(joined(_LIPS, _MOUTH)),),
        Site.LIP_LOWER_VERMILION: (both_sides(joined(_MOUTH[::-1], _LOWER_LIP)),),
        Site.CHIN: (
            both_sides(joined(curve((0, 337), (24, 335), (41, 330)), curve((44, 344), (36, 356), (18, 362), (0, 363)))),
        ),
        Site.JAW: (
            joined(
                curve((102, 266), (98, 292), (86, 316), (70, 335), (48, 351)),
                curve((45, 340), (60, 328), (74, 322), (88, 306), (96, 288)),
            ),
        ),
        Site.EAR: (ear,),
        Site.EAR_HELIX: (
            joined(
                curve((109, 184), (115, 179), (122, 184), (124.5, 200), (120, 226)),
                curve((115, 224), (118, 202), (116, 190)),
            ),
        ),
        Site.EAR_ANTIHELIX_CONCHA: (ring((110, 194), (115, 194), (115, 208), (112, 222), (107, 226), (106, 208)),),
        Site.EAR_LOBE: (ring((106, 240), (114, 238), (112, 248), (108, 256), (104, 255)),),
        Site.NECK: (neck,),
        Site.NECK_ANTERIOR: (cut(neck, box(-46, 320, 46, 440)),),
        Site.NECK_LATERAL: (cut(neck, box(48, 320, 130, 440)),),
    }
    lines = (
        _HAIRLINE,
        closed(_BROW),
        closed(joined(_EYE_TOP, _EYE_FOOT)),
        closed(oval((52, 197), 7.5, 8.4)),
        curve((27, 190), (40, 183), (54, 181), (70, 184), (80, 192)),
        curve((34, 212), (50, 216), (64, 213)),
        curve((12, 188), (12, 206), (15, 226)),
        curve((26, 248), (31, 259), (27, 270), (20, 269)),
        curve((7, 272), (12, 269.5), (18, 271)),
        curve((7, 273), (4, 277.5), (0, 278.5)),
        _FOLD,
        curve((4, 281), (5, 287)),
        _LIPS,
        _MOUTH,
        _LOWER_LIP,
        curve((14, 334), (6, 337), (0, 337)),
        _UNDER_JAW,
        curve((113, 190), (117, 196), (116, 216), (110, 236)),
        curve((56, 356), (44, 400), (16, 440)),
        curve((14, 446), (60, 440), (108, 446)),
    )
    return even(_WIDTH, _HEIGHT, outline=bust, contour=(_edge(bust),), lines=lines, areas=areas)


@cache
def head_back() -> Drawing:
    """Return head and neck from the back."""
    bust = _bust()
    nape = curve((0, 318), (30, 318), (52, 312), (70, 300), (84, 288))
    hair = joined(_SKULL, curve((107, 184), (100, 196), (98, 230), (96, 262), (84, 288)), nape[::-1])
    scalp = both_sides(hair)
    neck = both_sides(
        joined(
            nape,
            curve((84, 288), (88, 300), (84, 318)),
            _between((*_JAW, *_NECK), 318, _COLLAR),
            ((0, _COLLAR),),
        )
    )
    areas = {
        Site.SKIN: (bust,),
        Site.HEAD: (both_sides(joined(_SKULL, _EAR, _between(_JAW, 0, 288), nape[::-1])),),
        Site.SCALP: (scalp,),
        Site.SCALP_VERTEX: (cut(scalp, box(-84, 20, 84, 96)),),
        Site.SCALP_PARIETAL: (cut(scalp, box(30, 98, 130, 180)),),
        Site.SCALP_OCCIPITAL: (cut(scalp, box(-70, 186, 70, 330)),),
        Site.EAR: (joined(_EAR, ((101, 240), (101, 204))),),
        Site.EAR_HELIX: (
            joined(
                curve((109, 184), (115, 179), (122, 184), (124.5, 200), (120, 226)),
                curve((118, 224), (121, 202), (117, 188)),
            ),
        ),
        Site.EAR_POSTERIOR: (
            joined(
                curve((106, 190), (114, 186), (119, 202), (114, 228), (108, 248)),
                curve((103, 246), (102, 226), (103, 204)),
            ),
        ),
        Site.EAR_LOBE: (ring((105, 244), (112, 242), (111, 250), (108, 257), (104, 256)),),
        Site.POSTAURICULAR: (
            joined(curve((100, 206), (99, 232), (97, 260)), ((92, 274),), curve((86, 262), (88, 232), (92, 204))),
        ),
        Site.NECK: (neck,),
        Site.NECK_POSTERIOR: (cut(neck, box(-48, 280, 48, 440)),),
        Site.NECK_LATERAL: (cut(neck, box(50, 280, 130, 440)),),
    }
    lines = (
        curve((107, 184), (100, 196), (98, 230), (96, 262), (84, 288)),
        nape,
        curve((115, 186), (119, 200), (115, 224), (108, 246)),
        curve((34, 330), (30, 372), (44, 420)),
        curve((0, 340), (0, 464)),
    )
    return even(_WIDTH, _HEIGHT, outline=bust, contour=(_edge(bust),), lines=lines, areas=areas)


# --- from the left, in units of the drawing ---------------------------------------------------------------------------

_PROFILE: Final = curve(
    (118, 470),
    (136, 452),
    (152, 434),
    (160, 412),
    (162, 392),
    (156, 378),
    (136, 372),
    (112, 370),
    (94, 364),
    (84, 352),
    (83, 340),
    (88, 328),
    (84, 321),
    (76, 314),
    (77, 307),
    (83, 303.5),
    (75, 298),
    (74, 290),
    (82, 283),
    (83, 276),
    (76, 274),
    (62, 271),
    (53, 262),
    (56, 251),
    (69, 230),
    (80, 206),
    (85, 190),
    (82, 177),
    (80, 160),
    (84, 130),
    (97, 92),
    (124, 58),
    (164, 37),
    (212, 30),
    (262, 38),
    (304, 66),
    (330, 108),
    (338, 154),
    (330, 204),
    (314, 248),
    (300, 284),
    (296, 318),
    (300, 356),
    (312, 394),
    (336, 424),
    (366, 446),
    (388, 470),
)
_SIDE_EAR: Final = ring(
    (200, 214),
    (199, 196),
    (207, 182),
    (224, 176),
    (241, 184),
    (247, 203),
    (241, 224),
    (231, 240),
    (224, 254),
    (214, 263),
    (205, 258),
    (203, 243),
)
_SIDE_HAIRLINE: Final = curve(
    (97, 92), (122, 104), (140, 124), (150, 146), (166, 158), (180, 168), (186, 188), (190, 208), (196, 212)
)
_BEHIND_EAR: Final = curve(
    (196, 190), (206, 174), (226, 168), (246, 177), (256, 202), (254, 228), (260, 254), (276, 278), (298, 292)
)


@cache
def head_left() -> Drawing:
    """Return head and neck from the left, looking to the viewer's left."""
    whole = joined(_PROFILE)
    under = curve((110, 369), (140, 362), (172, 346), (192, 318), (200, 286), (203, 262))
    hair = joined(_profile("hairline", "nape"), _BEHIND_EAR[::-1], _SIDE_HAIRLINE[::-1])
    head = joined(
        _profile("chin", "nape"),
        curve((299, 288), (276, 280), (250, 272), (228, 274), (202, 276)),
        under[-7::-1],
    )
    face = joined(_profile("chin", "hairline"), _SIDE_HAIRLINE, ((199, 214), (202, 243), (203, 262)), under[::-1])
    neck = joined(
        under,
        curve((203, 262), (228, 274), (250, 272), (276, 280), (299, 288)),
        _profile("nape", "shoulder")[:-1],
        ((310, 434), (152, 434)),
        _profile("throat", "chin"),
    )
    areas = {
        Site.SKIN: (whole,),
        Site.HEAD: (head,),
        Site.SCALP: (hair,),
        Site.SCALP_FRONTAL: (cut(hair, ((60, 60), (150, 20), (172, 50), (160, 150), (140, 150))),),
        Site.SCALP_VERTEX: (cut(hair, ((160, 20), (268, 20), (258, 76), (176, 76))),),
        Site.SCALP_TEMPORAL: (
            joined(
                curve((158, 112), (182, 106), (206, 112), (214, 140), (212, 166)),
                curve((198, 176), (190, 194), (184, 172), (168, 156), (156, 146)),
            ),
        ),
        Site.SCALP_PARIETAL: (
            ring(
                (218, 84),
                (252, 80),
                (284, 92),
                (294, 124),
                (288, 166),
                (268, 192),
                (256, 180),
                (238, 166),
                (222, 150),
                (214, 116),
            ),
        ),
        Site.SCALP_OCCIPITAL: (cut(hair, ((296, 112), (345, 112), (345, 300), (270, 300), (272, 200), (292, 176))),),
        Site.FACE: (face,),
        Site.FOREHEAD: (
            joined(
                _profile("brow", "hairline")[:-2],
                curve((100, 96), (114, 104), (122, 118)),
                curve((122, 140), (118, 158), (100, 162)),
                ((81, 166),),
            ),
        ),
        Site.TEMPLE: (
            ring(
                (126, 122),
                (140, 132),
                (148, 150),
                (166, 164),
                (176, 176),
                (178, 196),
                (160, 196),
                (142, 186),
                (126, 170),
                (122, 146),
            ),
        ),
        Site.EYEBROW: (ring((84, 174), (94, 167), (110, 167), (126, 176), (110, 173), (94, 174)),),
        Site.EYELID_UPPER: (
            joined(
                curve((96, 201), (92, 190), (100, 183), (116, 185), (130, 198)),
                curve((122, 202), (110, 196), (100, 195)),
            ),
        ),
        Site.EYELID_LOWER: (
            joined(
                curve((97, 207), (106, 206.5), (114, 205), (122, 203)),
                curve((128, 206), (116, 216), (104, 217), (96, 213)),
            ),
        ),
        Site.CANTHUS_OUTER: (oval((125, 203), 6, 6),),
        Site.CONJUNCTIVA: (
            joined(
                curve((97, 207), (95, 200), (100, 195.5)),
                curve((100, 195.5), (110, 197), (121, 202.5)),
                curve((121, 202.5), (112, 205), (97, 207)),
            ),
        ),
        Site.CHEEK: (
            joined(
                curve((98, 240), (128, 240), (156, 239), (180, 238)),
                curve((184, 264), (184, 292), (172, 318), (146, 334)),
                curve((122, 320), (118, 302), (108, 284), (98, 266)),
            ),
        ),
        Site.ZYGOMA: (ring((102, 224), (128, 216), (152, 206), (174, 207), (180, 222), (156, 233), (126, 237)),),
        Site.NASOLABIAL_FOLD: (
            joined(
                curve((92, 262), (102, 276), (109, 292), (113, 310)),
                curve((105, 310), (100, 294), (94, 281), (86, 272)),
            ),
        ),
        Site.NOSE: (
            joined(
                _profile("subnasale", "nasion"),
                curve((95, 196), (94, 214), (92, 236), (96, 256), (90, 270)),
            ),
        ),
        Site.NOSE_BRIDGE: (joined(_profile("tip", "nasion"), curve((92, 200), (84, 218), (72, 240), (66, 250))),),
        Site.NOSE_TIP: (joined(_profile("subnasale", "tip")[9:], curve((66, 251), (70, 260), (66, 269))),),
        Site.NOSE_ALA: (ring((76, 248), (86, 248), (93, 258), (90, 267), (78, 268), (74, 258)),),
        Site.LIP_UPPER_SKIN: (
            joined(
                _profile("upper-lip", "subnasale"),
                curve((88, 274), (97, 286), (103, 304)),
                curve((98, 303), (90, 297), (84, 294)),
            ),
        ),
        Site.LIP_LOWER_SKIN: (
            joined(
                _profile("groove", "lower-lip"),
                curve((86, 313), (94, 308), (99, 305)),
                curve((104, 306), (106, 318), (98, 328)),
            ),
        ),
        Site.LIP_UPPER_VERMILION: (joined(_profile("mouth", "upper-lip"), curve((84, 294), (90, 297), (99, 304))),),
        Site.LIP_LOWER_VERMILION: (
            joined(_profile("lower-lip", "mouth"), ((99, 304),), curve((99, 304), (92, 310), (84, 314))),
        ),
        Site.CHIN: (joined(_profile("chin", "groove"), curve((98, 329), (110, 334), (116, 348), (112, 368))),),
        Site.JAW: (joined(under[1:-5], curve((200, 266), (192, 290), (180, 310), (158, 330), (130, 342), (116, 348))),),
        Site.EAR: (_SIDE_EAR,),
        Site.EAR_HELIX: (
            joined(
                curve(
                    (203, 206),
                    (201, 196),
                    (208, 184.5),
                    (224, 178.5),
                    (239.5, 186),
                    (244.5, 203),
                    (239, 223),
                    (230, 238),
                ),
                curve((223, 235), (231, 220), (235.5, 203), (231, 193), (222, 188), (211, 192), (209, 206)),
            ),
        ),
        Site.EAR_ANTIHELIX_CONCHA: (
            ring((212, 196), (222, 191), (231, 197), (232, 209), (226, 224), (217, 236), (209, 234), (212, 218)),
        ),
        Site.EAR_LOBE: (ring((206, 241), (217, 240), (225, 243), (221, 254), (213, 260.5), (207, 255)),),
        Site.EAR_CANAL: (oval((213, 217), 5, 5.5),),
        Site.PREAURICULAR: (
            joined(
                curve((182, 204), (194, 210), (198, 218)), curve((201, 242), (200, 264)), curve((186, 262), (182, 236))
            ),
        ),
        Site.POSTAURICULAR: (
            joined(
                curve((246, 184), (254, 202), (252, 228), (257, 252), (264, 264)),
                curve((244, 268), (228, 266), (228, 252), (242, 228), (249, 206)),
            ),
        ),
        Site.NECK: (neck,),
        Site.NECK_ANTERIOR: (cut(neck, ((90, 352), (150, 352), (196, 340), (196, 440), (130, 440))),),
        Site.NECK_LATERAL: (cut(neck, ((204, 276), (214, 262), (254, 262), (266, 440), (200, 440))),),
        Site.NECK_POSTERIOR: (cut(neck, ((262, 262), (330, 262), (330, 440), (274, 440))),),
    }
    lines = (
        _SIDE_HAIRLINE,
        _BEHIND_EAR[5:],
        closed(_SIDE_EAR),
        curve((206, 208), (207, 194), (222, 186), (236, 194), (238, 206), (230, 224), (224, 236)),
        curve((210, 232), (216, 238), (223, 230), (228, 212), (222, 199), (213, 202)),
        curve((203, 206), (209, 212), (206, 220), (209, 226)),
        curve((84, 174), (94, 167.5), (110, 168), (126, 176)),
        joined(
            curve((97, 207), (95, 200), (100, 195)),
            curve((100, 195), (112, 197), (124, 204)),
            curve((124, 204), (112, 206), (97, 207)),
        ),
        curve((96, 196.5), (101, 201), (98, 206)),
        curve((94, 190), (104, 186), (118, 190)),
        curve((88, 250), (94, 260), (88, 269), (80, 268)),
        curve((66, 270), (72, 266), (79, 268)),
        curve((93, 264), (102, 276), (109, 292), (112, 308)),
        curve((83, 303.5), (91, 302.5), (99, 304)),
        curve((74.5, 294), (84, 294), (92, 299)),
        curve((77, 316), (86, 314), (94, 308)),
        under[:-5],
        curve((232, 286), (206, 352), (168, 434)),
    )
    return Drawing(_WIDTH, _HEIGHT, (whole,), (_PROFILE,), lines, MappingProxyType(areas))


#: Points of the profile, by what stands there.
_SPOTS: Final = {
    "throat": (152, 434),
    "chin": (112, 370),
    "groove": (88, 328),
    "lower-lip": (76, 314),
    "mouth": (83, 303.5),
    "upper-lip": (74, 290),
    "subnasale": (83, 276),
    "tip": (56, 251),
    "nasion": (85, 190),
    "brow": (80, 160),
    "hairline": (97, 92),
    "nape": (300, 284),
    "shoulder": (336, 424),
}


def _profile(start: str, end: str) -> Shape:
    """Return the part of the profile from one of its points to another."""
    return stretch(_PROFILE, _SPOTS[start], _SPOTS[end])
