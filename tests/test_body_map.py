"""The body map: each site's mark lies in its area and on its side; what is drawn says the same in words.

Geometry is checked with shapely, which shares no code with ours. Facts of anatomy that the drawings have to keep (the
order from head to foot, the thumb away from the trunk) are common practice, no source.
"""

from __future__ import annotations

import re
import subprocess
import sys
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from lxml import etree
from shapely.geometry import LineString, Point, Polygon
from shapely.geometry.base import BaseGeometry
from shapely.ops import unary_union

from dermreport.body_map import BY_SIDE, PROFILES, area_of, best_map, centre_of, drawing_of, shows, side_at
from dermreport.body_map.drawing import is_paired
from dermreport.examination.lesion import Lesion
from dermreport.issues import SettingsError
from dermreport.plots.body_map import MapTexts, Mark, body_map_svg, mark, mark_words, why_unmarked
from dermreport.vocabulary.body_maps import BodyMap
from dermreport.vocabulary.lateralities import Laterality
from dermreport.vocabulary.sides import Side
from dermreport.vocabulary.site_traits import SiteTrait
from dermreport.vocabulary.sites import Site

PAIR = (Side.LEFT, Side.RIGHT)
SVG = "{http://www.w3.org/2000/svg}"
SHARES = st.decimals(0, 1, places=9)
TEXTS = st.text(st.characters(exclude_categories=("Cc", "Cs"), exclude_characters="\ufffe\uffff"), max_size=60)


def sides_of(site: Site) -> tuple[Side | None, ...]:
    """Return the sides that a site can have."""
    return {
        Laterality.PAIRED: PAIR,
        Laterality.MIDLINE: (None, Side.MIDLINE),
        Laterality.EITHER_OR_NONE: (None, *Side),
    }[site.laterality]


EACH = [(site, side) for site in Site for side in sides_of(site)]
NAMED = [pytest.param(site, side, id=f"{site.value} {side or 'no side'}") for site, side in EACH]
SHOWN = [
    pytest.param(map_, site, id=f"{map_.value} {site.value}") for map_ in BodyMap for site in drawing_of(map_).areas
]


def lesion(**fields: Any) -> Lesion:
    return Lesion.model_validate(fields)


def at(map_: str, x: object, y: object) -> dict[str, Any]:
    return {"map": map_, "x": Decimal(str(x)), "y": Decimal(str(y))}


def marked(**fields: Any) -> Mark:
    found = mark(lesion(**fields))
    assert found is not None
    return found


def spot(of: Mark) -> Point:
    drawing = drawing_of(of.map, of.shown_as)
    return Point(float(of.x) * drawing.width, float(of.y) * drawing.height)


def joined(shapes: Any) -> BaseGeometry:
    return unary_union([Polygon(shape) for shape in shapes])


@cache
def outline(map_: BodyMap, side: Side | None = None) -> BaseGeometry:
    return joined(drawing_of(map_, side).outline)


@cache
def ground(site: Site, map_: BodyMap) -> BaseGeometry:
    """Return the area of a site on one side of a drawing."""
    side = PROFILES.get(map_) or (Side.LEFT if is_paired(site) or map_ in BY_SIDE else None)
    return joined(area_of(site, map_, side) or ())


# --- each site, each side ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("site", "side"), NAMED)
def test_the_mark_of_each_site_lies_in_its_area_on_its_side(site: Site, side: Side | None) -> None:
    found = marked(site=site, side=side)
    assert not found.entered
    assert (found.site, found.side) == (site, side)
    assert found.map in site.map_region.maps
    place, drawing = spot(found), drawing_of(found.map, found.shown_as)
    assert joined(found.area).contains(place)
    assert outline(found.map, found.shown_as).contains(place)
    if found.map in BY_SIDE:
        assert found.shown_as is side
        return
    assert found.shown_as is None
    where = side_at(found.map, float(found.x))
    if side in PAIR:
        assert where is side
        # All of the area lies there, not only its centre.
        half = {True: (0.0, drawing.width / 2), False: (drawing.width / 2, drawing.width)}
        at_left = (side is Side.LEFT) is (found.map in {BodyMap.BODY_BACK, BodyMap.HEAD_BACK})
        low, high = half[at_left] if found.map not in PROFILES else (0.0, drawing.width)
        left, _, right, _ = joined(found.area).bounds
        assert left >= low - 0.01
        assert right <= high + 0.01
    else:
        assert where is None
        assert float(found.x) == 0.5


def test_every_site_is_marked() -> None:
    assert {site for site, _ in EACH} == set(Site)
    assert {marked(site=site, side=side).map for site, side in EACH} == set(BodyMap)


@pytest.mark.parametrize("site", [site for site in Site if is_paired(site)], ids=lambda site: site.value)
def test_no_side_is_marked_that_nobody_gave(site: Site) -> None:
    for side in (None, Side.MIDLINE):
        one = lesion(site=site, side=side)
        assert best_map(site, side) is None
        assert mark(one) is None
        assert why_unmarked(one) == "left or right isn’t given"
        assert body_map_svg([one]) == ()


@pytest.mark.parametrize("site", list(Site), ids=lambda site: site.value)
def test_left_and_right_are_mirror_images(site: Site) -> None:
    if Side.LEFT not in sides_of(site):
        assert site.laterality is Laterality.MIDLINE
        return
    left, right = (marked(site=site, side=side) for side in PAIR)
    assert {left.map, right.map} in ({left.map}, set(PROFILES))
    width = drawing_of(left.map, Side.LEFT).width
    turned = joined([[(width - x, y) for x, y in shape] for shape in right.area])
    assert joined(left.area).symmetric_difference(turned).area < 1
    assert float(left.x) == pytest.approx(1 - float(right.x), abs=0.01)
    assert float(left.y) == pytest.approx(float(right.y), abs=0.01)


@pytest.mark.parametrize(("map_", "site"), SHOWN)
def test_an_area_lies_in_the_outline_and_in_that_of_the_wider_site(map_: BodyMap, site: Site) -> None:
    area = ground(site, map_)
    assert area.is_valid
    assert area.area > 0
    # A tenth of a unit is what lines are rounded to.
    assert area.difference(outline(map_, PROFILES.get(map_) or Side.LEFT).buffer(0.6)).area < 0.05
    wider = site.parent
    while wider is not None and not shows(wider, map_):
        wider = wider.parent
    if wider is not None:
        assert area.intersection(ground(wider, map_)).area > 0.95 * area.area


@pytest.mark.parametrize("map_", list(BodyMap))
def test_every_shape_is_one_plain_polygon(map_: BodyMap) -> None:
    drawing = drawing_of(map_)
    for shapes in ([drawing.outline], drawing.areas.values()):
        for shape in (one for area in shapes for one in area):
            assert Polygon(shape).is_valid
            assert Polygon(shape).area > 20
    for line in (*drawing.contour, *drawing.lines):
        # Neat lines: nothing is drawn off the body.
        assert outline(map_).buffer(3).contains(LineString(line))
    assert outline(map_).bounds[0] >= 0
    assert outline(map_).bounds[3] <= drawing.height


@pytest.mark.parametrize(("map_", "site"), SHOWN)
def test_a_drawing_shows_only_what_can_be_seen_on_it(map_: BodyMap, site: Site) -> None:
    # Wider sites are there for points of narrower ones, and the thigh for the genital region's rim.
    rim = {Site.TRUNK, Site.UPPER_LIMB, Site.LOWER_LIMB, Site.HEAD, Site.FACE, Site.THIGH_MEDIAL, Site.BUTTOCK}
    assert map_ in site.map_region.maps or site in rim


# --- facts of anatomy (common practice, no source) --------------------------------------------------------------------


def y_of(site: str, side: str | None = "left", map_: str | None = None) -> float:
    where = BodyMap(map_) if map_ else marked(site=site, side=side).map
    centre = centre_of(Site(site), where, Side(side) if side else None)
    assert centre is not None
    return centre[1]


def x_of(site: str, side: str, map_: str) -> float:
    centre = centre_of(Site(site), BodyMap(map_), Side(side))
    assert centre is not None
    return centre[0] - drawing_of(BodyMap(map_), Side(side)).width / 2


@pytest.mark.parametrize(
    ("map_", "order"),
    [
        ("body-front", "scalp face neck-anterior clavicle breast abdomen-upper umbilicus abdomen-lower pubic-area"),
        ("body-front", "pubic-area thigh-anterior knee shin ankle foot"),
        ("body-back", "scalp neck-posterior scapular-area back-lower sacral-area buttock thigh-posterior knee-hollow"),
        ("body-back", "knee-hollow calf ankle foot"),
        ("body-front", "shoulder upper-arm-outer elbow-crease forearm-flexor wrist hand"),
        ("body-back", "shoulder upper-arm-inner elbow forearm-extensor wrist hand"),
        ("body-front", "breast inframammary-fold flank hip thigh-lateral"),
        (
            "head-front",
            "scalp-vertex scalp-frontal forehead eyebrow eyelid-upper conjunctiva eyelid-lower zygoma cheek",
        ),
        ("head-front", "cheek lip-lower-skin chin neck-anterior"),
        ("head-front", "nose-bridge nose-tip nostril-mucosa lip-upper-skin lip-upper-vermilion lip-lower-vermilion"),
        ("head-front", "lip-lower-vermilion lip-lower-skin chin"),
        ("head-back", "scalp-vertex scalp-occipital neck-posterior"),
        ("head-left", "scalp-vertex scalp-temporal ear-canal ear-lobe neck-lateral"),
        ("hand-back", "middle-finger-nail middle-finger-dorsal hand-dorsum wrist"),
        ("hand-palm", "middle-finger-palmar finger-web palm-thenar wrist"),
        ("foot-top", "great-toe-nail great-toe-dorsal foot-dorsum ankle"),
        ("foot-sole", "great-toe-plantar sole-forefoot sole-arch heel"),
        ("mouth", "lip-upper-vermilion gum palate tongue lip-lower-vermilion"),
        ("genital", "pubic-area external-genitalia perineum anal-mucosa natal-cleft"),
        ("genital", "penis-shaft prepuce glans"),
        ("genital", "clitoral-area vulval-vestibule perineum"),
    ],
)
def test_from_head_to_foot(map_: str, order: str) -> None:
    sites = [Site(one) for one in order.split()]
    heights = [y_of(site, None if site.laterality is Laterality.MIDLINE else "left", map_) for site in sites]
    assert heights == sorted(heights)
    assert len(set(heights)) == len(heights)


@pytest.mark.parametrize("side", ["left", "right"])
@pytest.mark.parametrize(
    ("map_", "order"),
    [
        # From the patient's midline outwards, on the whole body.
        ("body-front", "breast upper-arm-inner upper-arm-outer"),
        ("body-front", "thigh-medial thigh-anterior thigh-lateral"),
        ("body-back", "thigh-medial thigh-posterior thigh-lateral"),
        ("head-front", "canthus-inner conjunctiva canthus-outer temple ear"),
        ("head-front", "nose-ala nasolabial-fold cheek"),
        ("genital", "labium-minus labium-majus groin"),
    ],
)
def test_from_the_midline_outwards(map_: str, order: str, side: str) -> None:
    away = [abs(x_of(site, side, map_)) for site in order.split()]
    assert away == sorted(away)


# Of one's own hands, thumbs point inwards seen from the back and outwards seen on the palm; great toes lie inwards.
@pytest.mark.parametrize(
    ("map_", "inner_to_outer", "left_is"),
    [
        ("hand-back", "thumb index-finger middle-finger ring-finger little-finger", "right to left"),
        ("hand-palm", "thumb index-finger middle-finger ring-finger little-finger", "left to right"),
        ("foot-top", "great-toe second-toe third-toe fourth-toe fifth-toe", "right to left"),
        ("foot-sole", "great-toe second-toe third-toe fourth-toe fifth-toe", "left to right"),
    ],
)
def test_the_order_of_fingers_and_toes_tells_the_side(map_: str, inner_to_outer: str, left_is: str) -> None:
    part = {"hand-back": "dorsal", "hand-palm": "palmar", "foot-top": "dorsal", "foot-sole": "plantar"}[map_]
    for side in ("left", "right"):
        across = [x_of(f"{digit}-{part}", side, map_) for digit in inner_to_outer.split()]
        falling = (left_is == "right to left") is (side == "left")
        assert across == sorted(across, reverse=falling)
    if map_ in {"hand-back", "foot-top"}:
        for digit in inner_to_outer.split():
            unit = ground(Site(f"{digit}-nail"), BodyMap(map_))
            assert unit.area < 0.4 * ground(Site(f"{digit}-dorsal"), BodyMap(map_)).area


@pytest.mark.parametrize(
    ("map_", "x", "side"),
    [
        ("body-front", 0.9, "left"), ("body-back", 0.9, "right"), ("head-front", 0.9, "left"),
        ("head-back", 0.9, "right"), ("mouth", 0.9, "left"), ("genital", 0.9, "left"),
        ("body-front", 0.1, "right"), ("body-back", 0.1, "left"), ("head-front", 0.1, "right"),
        ("head-back", 0.1, "left"), ("mouth", 0.1, "right"), ("genital", 0.1, "right"),
        ("head-left", 0.1, "left"), ("head-left", 0.9, "left"),
        ("head-right", 0.1, "right"), ("head-right", 0.9, "right"),
        ("body-front", 0.5, None), ("hand-back", 0.9, None), ("foot-sole", 0.1, None),
    ],
)  # fmt: skip
def test_whoever_faces_a_patient_has_the_left_at_the_right(map_: str, x: float, side: str | None) -> None:
    assert side_at(BodyMap(map_), x) == side


def test_a_head_from_the_left_looks_to_the_left() -> None:
    # Whose left side is seen has the nose at the viewer's left, and the back of the head at the right.
    assert x_of("nose-tip", "left", "head-left") < x_of("ear-canal", "left", "head-left")
    assert x_of("ear-canal", "left", "head-left") < x_of("scalp-occipital", "left", "head-left")
    assert x_of("nose-tip", "right", "head-right") > x_of("ear-canal", "right", "head-right")


def test_hands_hang_with_thumbs_outwards_and_reach_the_thigh() -> None:
    hand = joined(area_of(Site.HAND, BodyMap.BODY_FRONT, Side.LEFT))
    forearm = joined(area_of(Site.FOREARM, BodyMap.BODY_FRONT, Side.LEFT))
    thigh = joined(area_of(Site.THIGH_ANTERIOR, BodyMap.BODY_FRONT, Side.LEFT))
    assert hand.bounds[2] > forearm.bounds[2]
    assert thigh.bounds[1] < hand.bounds[3] < thigh.bounds[3]


def test_proportions_of_a_standing_adult() -> None:
    # Shares of the height from the top, within two hundredths: Drillis and Contini, Body Segment Parameters, 1966, from
    # memory (chin 0.130, elbow 0.370, wrist 0.515, knee 0.715, ankle 0.961).
    top, foot = outline(BodyMap.BODY_FRONT).bounds[1], outline(BodyMap.BODY_FRONT).bounds[3]

    def share(y: float) -> float:
        return (y - top) / (foot - top)

    chin = joined(area_of(Site.HEAD, BodyMap.BODY_FRONT, None)).bounds[3]
    assert share(chin) == pytest.approx(0.130, abs=0.02)
    assert share(y_of("elbow-crease")) == pytest.approx(0.370, abs=0.02)
    assert share(y_of("wrist", map_="body-front")) == pytest.approx(0.515, abs=0.02)
    assert share(y_of("knee")) == pytest.approx(0.715, abs=0.02)
    assert share(y_of("ankle", map_="body-front")) == pytest.approx(0.961, abs=0.02)


# --- what was entered -------------------------------------------------------------------------------------------------


@given(st.sampled_from(list(BodyMap)), st.sampled_from(PAIR), SHARES, SHARES)
def test_any_point_is_drawn_exactly_there(map_: BodyMap, side: Side, x: Decimal, y: Decimal) -> None:
    one = lesion(side=side, map_point=at(map_.value, x, y))
    found = mark(one)
    assert found is not None
    assert found.entered
    assert (found.map, found.x, found.y) == (map_, x, y)
    (drawn,) = body_map_svg([one])
    root = etree.fromstring(drawn.svg.encode())
    (ring,) = [each for each in root.iter(f"{SVG}circle") if each.getparent() is root]
    drawing = drawing_of(map_, side)
    assert float(ring.get("cx")) == pytest.approx(float(x) * drawing.width, abs=0.0006)
    assert float(ring.get("cy")) == pytest.approx(float(y) * drawing.height, abs=0.0006)
    left, top, width, height = (float(one) for one in root.get("viewBox").split())
    radius = float(ring.get("r"))
    assert left <= float(ring.get("cx")) - radius
    assert float(ring.get("cx")) + radius <= left + width
    assert top <= float(ring.get("cy")) - radius
    assert float(ring.get("cy")) + radius <= top + height


@pytest.mark.parametrize(
    ("fields", "unmarked"),
    [
        ({}, "no site that the drawings show"),
        ({"site": {"system": "urn:x-host:sites", "code": "17"}, "side": "left"}, "no site that the drawings show"),
        (
            {"map_point": {"map": {"system": "urn:x-host:maps", "code": "1"}, "x": 0, "y": 0}},
            "no site that the drawings show",
        ),
        ({"site": "calf"}, "left or right isn’t given"),
        ({"site": "calf", "side": "midline"}, "left or right isn’t given"),
        # The drawing of a hand is that of a left or a right one: without a side the point isn't a place.
        ({"map_point": {"map": "hand-back", "x": 0.5, "y": 0.5}}, "left or right isn’t given"),
        ({"site": "palm", "map_point": {"map": "hand-palm", "x": 0.5, "y": 0.5}}, "left or right isn’t given"),
        ({"site": "calf", "map_point": {"map": "body-back", "x": 0.5, "y": 0.5}}, ""),
        ({"site": {"system": "urn:x-host:sites", "code": "17"}, "map_point": {"map": "mouth", "x": 0.5, "y": 0.5}}, ""),
        ({"site": "tongue"}, ""),
        ({"site": "tongue", "map_point": {"map": {"system": "urn:x-host:maps", "code": "1"}, "x": 0, "y": 0}}, ""),
    ],
)
def test_what_has_a_mark(fields: dict[str, Any], unmarked: str) -> None:
    one = lesion(**fields)
    assert why_unmarked(one) == unmarked
    assert (mark(one) is None) is bool(unmarked)
    assert len(body_map_svg([one])) == (0 if unmarked else 1)


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        (
            {"site": "scapular-area", "side": "left"},
            "over the shoulder blade, left; the centre of the site, no exact point was entered",
        ),
        (
            {"site": "back-upper", "side": "left", "map_point": at("body-back", 0.46, 0.31)},
            "upper back, left; the point as entered",
        ),
        ({"site": "sternum"}, "over the breastbone; the centre of the site, no exact point was entered"),
        ({"site": "chest"}, "chest, side not given; the centre of the site, no exact point was entered"),
        ({"map_point": at("mouth", 0.5, 0.5)}, "site not given, side not given; the point as entered"),
    ],
)
def test_words(fields: dict[str, Any], words: str) -> None:
    assert marked(**fields).words == words


def test_words_of_another_language() -> None:
    texts = MapTexts(
        title="Körperschema: {drawing}",
        sided="{side}: {drawing}",
        drawings={**MapTexts().drawings, BodyMap.HAND_BACK: "Handrücken"},
        sites={**MapTexts().sites, Site.THUMB_NAIL: "Daumennagel"},
        sides={Side.LEFT: "links", Side.RIGHT: "rechts", Side.MIDLINE: "Mitte"},
        letters={Side.LEFT: "Li", Side.RIGHT: "Re"},
        entered="Punkt wie eingegeben",
    )
    one = lesion(label="A", site="thumb-nail", side="left", map_point=at("hand-back", 0.85, 0.41))
    assert mark_words(marked(site="thumb-nail", side="left", map_point=at("hand-back", 0.85, 0.41)), texts) == (
        "Daumennagel, links; Punkt wie eingegeben"
    )
    (drawn,) = body_map_svg([one], texts=texts)
    assert drawn.title == "Körperschema: links: Handrücken"
    shown = {text.text for text in etree.fromstring(drawn.svg.encode()).iter(f"{SVG}text")}
    assert shown == {"Li", "links", "A", "links: Handrücken"}


# --- the drawing ------------------------------------------------------------------------------------------------------

SEVERAL = [
    lesion(label="A", site="scapular-area", side="left"),
    lesion(label="B", site="back-upper", side="left", map_point=at("body-back", 0.46, 0.31)),
    lesion(label="C", site="thumb-nail", side="right"),
    lesion(label="D", site="thumb-nail", side="left"),
    lesion(label="E", site="glans"),
]


def test_each_drawing_with_a_mark_once_in_the_order_of_the_vocabulary() -> None:
    drawn = body_map_svg(SEVERAL)
    assert [(one.map.value, one.shown_as, [name for name, _ in one.marks]) for one in drawn] == [
        ("body-back", None, ["A", "B"]),
        ("hand-back", Side.LEFT, ["D"]),
        ("hand-back", Side.RIGHT, ["C"]),
        ("genital", None, ["E"]),
    ]
    assert [one.title for one in drawn] == [
        "Body map: body, back",
        "Body map: left hand, back",
        "Body map: right hand, back",
        "Body map: genital and anal region",
    ]
    assert drawn[0].description == (
        "Mark A: over the shoulder blade, left; the centre of the site, no exact point was entered.",
        "Mark B: upper back, left; the point as entered.",
        "Seen from behind: the patient’s left is at the viewer’s left.",
        MapTexts().signs,
    )


def test_what_not_everybody_has_is_drawn_only_where_it_is_marked() -> None:
    def paths(site: str, side: str | None = None) -> int:
        (drawn,) = body_map_svg([lesion(site=site, side=side)])
        return len(etree.fromstring(drawn.svg.encode()).findall(f"{SVG}g/{SVG}path"))

    assert paths("external-genitalia") == paths("perineum") == 3
    assert paths("glans") == paths("labium-minus", "left") == 4


@pytest.mark.parametrize("one", body_map_svg(SEVERAL), ids=lambda one: one.title)
def test_a_drawing_is_well_formed_accessible_and_alone(one: Any) -> None:
    root = etree.fromstring(one.svg.encode())
    assert root.get("role") == "img"
    ids = [each.get("id") for each in root.iter() if each.get("id")]
    assert len(ids) == len(set(ids))
    assert root.get("aria-labelledby").split() == [
        root.find(f"{SVG}title").get("id"),
        root.find(f"{SVG}desc").get("id"),
    ]
    assert root.find(f"{SVG}title").text == one.title
    assert root.find(f"{SVG}desc").text == " ".join(one.description)
    used = set(re.findall(r"url\(#([^)]*)\)", one.svg))
    assert used <= set(ids)
    assert len(used) == 2
    # No script, style or link; nothing is fetched.
    assert {etree.QName(each).localname for each in root.iter()} <= {
        "svg", "title", "desc", "defs", "pattern", "mask", "rect", "g", "path", "circle", "text",
    }  # fmt: skip
    assert not any(
        "href" in name or name == "style" or name.startswith("on") for each in root.iter() for name in each.attrib
    )
    # No colour tells anything: all ink is one.
    inks = {each.get(name) for each in root.iter() for name in ("fill", "stroke")} - {None, "none"}
    assert {ink for ink in inks if not ink.startswith("url(")} <= {"currentColor", "#ffffff", "#000000"}


def test_sides_stand_in_letters_and_words_where_the_viewer_sees_them() -> None:
    def seen(**fields: Any) -> list[tuple[str, float]]:
        (drawn,) = body_map_svg([lesion(label="A", **fields)])
        root = etree.fromstring(drawn.svg.encode())
        return [
            (text.text, float(text.get("x")))
            for text in root.iter(f"{SVG}text")
            if text.text in {"L", "R", "left", "right"}
        ]

    assert seen(site="sternum") == [("R", 0), ("right", 0), ("L", 400), ("left", 400)]
    assert seen(site="calf", side="left") == [("L", 0), ("left", 0), ("R", 400), ("right", 400)]
    assert seen(site="ear-lobe", side="right") == [("R", 0), ("right", 0)]
    assert seen(site="heel", side="left") == [("L", 0), ("left", 0)]


def test_two_calls_in_one_page_have_other_ids() -> None:
    def ids(prefix: str) -> set[str]:
        return set(re.findall(r' id="([^"]*)"', "".join(one.svg for one in body_map_svg(SEVERAL, prefix=prefix))))

    assert ids("letter-1")
    assert ids("letter-1").isdisjoint(ids("letter-2"))


def test_labels_or_numbers() -> None:
    def names(*labels: str | None) -> list[str]:
        lesions = [lesion(label=label, site="sternum") for label in labels]
        return [name for one in body_map_svg(lesions) for name, _ in one.marks]

    assert names("A", "B2", "007") == ["A", "B2", "007"]
    assert names("A", "A") == ["1", "2"]
    assert names("A", None) == ["1", "2"]
    assert names("A", "left calf") == ["1", "2"]
    assert names("é") == ["1"]
    assert names("A<b") == ["1"]
    (drawn,) = body_map_svg([lesion(label="A", site="sternum")], names=["7"])
    assert [name for name, _ in drawn.marks] == ["7"]
    assert drawn.description[0].startswith("Mark 7, labelled «\u2068A\u2069»: over the breastbone;")
    (drawn,) = body_map_svg([lesion(label="left calf", site="sternum")])
    assert drawn.description[0].startswith("Mark 1, labelled «\u2068left calf\u2069»: over the breastbone;")


@given(TEXTS, st.sampled_from([*Site]), st.sampled_from(list(Side)))
def test_entered_text_stays_text(label: str, site: Site, side: Side) -> None:
    one = lesion(label=f"<b onload='x'>{label}"[:80].strip(), site=site, side=side)
    for drawn in body_map_svg([one]):
        root = etree.fromstring(drawn.svg.encode())
        assert {etree.QName(each).localname for each in root.iter()}.isdisjoint({"b", "script"})
        assert root.find(f"{SVG}desc").text == " ".join(drawn.description)
        assert [text.text for text in root.iter(f"{SVG}text")].count("1") == 1


def test_a_label_cannot_turn_the_words_after_it() -> None:
    (drawn,) = body_map_svg([lesion(label="x\u2069\u202ey", site="sternum")])
    assert drawn.description[0].startswith("Mark 1, labelled «\u2068xy\u2069»: ")


def test_names_of_marks_cover_neither_each_other_nor_marks() -> None:
    near = [
        lesion(label=f"A{place}", side="left", map_point=at("body-back", 0.4 + 0.03 * place, 0.3)) for place in range(6)
    ]
    (drawn,) = body_map_svg(near)
    root = etree.fromstring(drawn.svg.encode())
    boxes = room_of_names(drawn.svg)
    rings = [Point(float(each.get("cx")), float(each.get("cy"))).buffer(8.9) for each in root.findall(f"{SVG}circle")]
    assert len(boxes) == len(rings) == 6
    for place, one in enumerate(boxes):
        assert not any(one.intersection(other).area > 0.5 for other in (*boxes[:place], *rings))


def room_of_names(svg: str) -> list[Polygon]:
    """Return the boxes that are kept free for the names of marks."""
    boxes = [each for each in etree.fromstring(svg.encode()).iter(f"{SVG}rect") if each.get("fill") == "#000000"]
    found = [[float(each.get(name)) for name in ("x", "y", "width", "height")] for each in boxes]
    return [Polygon([(x, y), (x + w, y), (x + w, y + h), (x, y + h)]) for x, y, w, h in found]


@pytest.mark.parametrize("site", [site for site in Site if SiteTrait.DIGIT in site.traits], ids=lambda site: site.value)
@pytest.mark.parametrize("side", PAIR)
def test_the_name_of_a_mark_on_one_finger_stands_on_no_other(site: Site, side: Side) -> None:
    one = lesion(label="A", site=site, side=side)
    (drawn,) = body_map_svg([one])
    (name,) = room_of_names(drawn.svg)
    own = site.value.rsplit("-", 1)[0]
    for other in drawing_of(drawn.map, side).areas:
        if SiteTrait.DIGIT in other.traits and not other.value.startswith(own):
            assert not joined(area_of(other, drawn.map, side)).intersects(name), other


def test_the_same_lesions_give_the_same_bytes_in_another_process() -> None:
    code = (
        "import hashlib; from dermreport.examination.lesion import Lesion\n"
        "from dermreport.plots.body_map import body_map_svg\n"
        "from dermreport.vocabulary.sites import Site\n"
        "text = ''.join(one.svg for site in Site for side in ('left', 'right')\n"
        "               for one in body_map_svg([Lesion.model_validate({'site': site, 'side': side})]))\n"
        "print(hashlib.sha256(text.encode()).hexdigest())"
    )
    seen = {
        subprocess.run(
            [sys.executable, "-c", code],
            check=True,
            capture_output=True,
            text=True,
            cwd=Path(__file__).parent.parent,
            env={"PYTHONHASHSEED": seed, "PYTHONPATH": "."},
        ).stdout
        for seed in ("1", "2")
    }
    assert len(seen) == 1


@pytest.mark.parametrize(
    ("settings", "error"),
    [
        ({"names": ["1"]}, SettingsError),
        ({"names": ["1", "2", "3", "4", "4"]}, SettingsError),
        ({"names": ["1", "2", "3", "4", "<"]}, SettingsError),
        ({"names": ["1", "2", "3", "4", "1234"]}, SettingsError),
        ({"names": "12345"}, TypeError),
        ({"prefix": ""}, SettingsError),
        ({"prefix": "1"}, SettingsError),
        ({"prefix": 'a"b'}, SettingsError),
        ({"prefix": "a b"}, SettingsError),
        ({"colour": "red"}, SettingsError),
        ({"colour": "#12345"}, SettingsError),
        ({"texts": {}}, TypeError),
    ],
)
def test_settings_of_another_form_are_refused(settings: dict[str, Any], error: type[Exception]) -> None:
    with pytest.raises(error, match="body_map_svg"):
        body_map_svg(SEVERAL, **settings)


def test_other_kinds_are_refused() -> None:
    with pytest.raises(TypeError, match="lesions"):
        body_map_svg(SEVERAL[0])  # type: ignore[arg-type]
    with pytest.raises(TypeError, match="lesions"):
        body_map_svg(["A"])  # type: ignore[list-item]
    with pytest.raises(TypeError, match="lesion"):
        mark({})  # type: ignore[arg-type]


def test_a_colour_is_in_every_line() -> None:
    (drawn, *_) = body_map_svg(SEVERAL, colour="#003366")
    assert "currentColor" not in drawn.svg
    assert "#003366" in drawn.svg


def test_nothing_of_a_lesion_is_in_a_repr() -> None:
    drawn = body_map_svg([lesion(label="secret", site="glans")])
    for shown in (repr(drawn), repr(drawn[0].marks)):
        assert "secret" not in shown
        assert "glans" not in shown
        assert "genital" not in shown


def test_geometry_is_loaded_only_where_a_point_was_entered() -> None:
    code = (
        "import sys, json, dermreport\n"
        "exam = dermreport.Examination.model_validate(json.load(open('tests/rules/base.json')))\n"
        "dermreport.review(exam)\n"
        "print(any(name.startswith('dermreport.body_map') for name in sys.modules))"
    )
    shown = subprocess.run(
        [sys.executable, "-c", code], check=True, capture_output=True, text=True, cwd=Path(__file__).parent.parent
    )
    assert shown.stdout == "False\n"
