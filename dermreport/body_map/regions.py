"""Where each site lies on each drawing, for each side that it can have; and what a point there says."""

from __future__ import annotations

from functools import cache
from typing import Final

from dermreport.body_map.body import body_back, body_front
from dermreport.body_map.drawing import Area, Drawing, is_paired
from dermreport.body_map.foot import foot_sole, foot_top
from dermreport.body_map.genital import genital
from dermreport.body_map.hand import hand_back, hand_palm
from dermreport.body_map.head import head_back, head_front, head_left
from dermreport.body_map.mouth import mouth
from dermreport.body_map.shapes import Point, area, box, centre, cut, distance, inside, mirrored
from dermreport.vocabulary.body_maps import BodyMap
from dermreport.vocabulary.sides import Side
from dermreport.vocabulary.sites import Site

_DRAWINGS: Final = {
    BodyMap.BODY_FRONT: body_front,
    BodyMap.BODY_BACK: body_back,
    BodyMap.HEAD_FRONT: head_front,
    BodyMap.HEAD_LEFT: head_left,
    BodyMap.HEAD_RIGHT: head_left,
    BodyMap.HEAD_BACK: head_back,
    BodyMap.HAND_PALM: hand_palm,
    BodyMap.HAND_BACK: hand_back,
    BodyMap.FOOT_SOLE: foot_sole,
    BodyMap.FOOT_TOP: foot_top,
    BodyMap.MOUTH: mouth,
    BodyMap.GENITAL: genital,
}

#: Drawings of one hand or foot, and the side that their data shows.
BY_SIDE: Final = {
    BodyMap.HAND_BACK: Side.LEFT,
    BodyMap.HAND_PALM: Side.RIGHT,
    BodyMap.FOOT_TOP: Side.LEFT,
    BodyMap.FOOT_SOLE: Side.RIGHT,
}
#: Drawings of one side of the head.
PROFILES: Final = {BodyMap.HEAD_LEFT: Side.LEFT, BodyMap.HEAD_RIGHT: Side.RIGHT}
#: Drawings seen from the back: the patient's left is the viewer's left.
FROM_BEHIND: Final = frozenset((BodyMap.BODY_BACK, BodyMap.HEAD_BACK))
_OTHER: Final = {Side.LEFT: Side.RIGHT, Side.RIGHT: Side.LEFT}

#: Sites that another drawing shows better than the first one of their region.
_BETTER: Final = {Site.SCALP: BodyMap.HEAD_BACK, Site.SCALP_VERTEX: BodyMap.HEAD_BACK}

#: How far outside its site a point may be, as a share of the drawing's longer side: borders of sites are no lines, and
#: a hand isn't still. Five centimetres on the body, half a finger's width on the hand (common practice, no source).
TOLERANCE: Final = 0.03
#: How far beyond the midline a point may be, as a share of the width; and how far from it a midline reaches (common
#: practice, no source).
_BEYOND: Final = 0.02
_MIDLINE: Final = 0.05


@cache
def drawing_of(map_: BodyMap, side: Side | None = None) -> Drawing:
    """Return a drawing as it is shown.

    Args:
        map_: Which drawing.
        side: For hands and feet whose; without effect on the others.
    """
    drawing = _DRAWINGS[map_]()
    if map_ is BodyMap.HEAD_RIGHT or (map_ in BY_SIDE and side in _OTHER and side is not BY_SIDE[map_]):
        return drawing.mirrored()
    return drawing


def side_at(map_: BodyMap, x: float) -> Side | None:
    """Return on which side of the patient a point of a drawing lies.

    Args:
        map_: Which drawing.
        x: Share of its width from the left.

    Returns:
        The side; none for hands and feet, which are the same for both, and on the midline itself.
    """
    if map_ in PROFILES:
        return PROFILES[map_]
    if map_ in BY_SIDE or x == 0.5:  # noqa: PLR2004 - the middle
        return None
    return Side.LEFT if (x > 0.5) is (map_ not in FROM_BEHIND) else Side.RIGHT  # noqa: PLR2004 - the middle


def shows(site: Site, map_: BodyMap) -> bool:
    """Return whether a drawing has an area of this very site."""
    return site in drawing_of(map_).areas


@cache
def area_of(site: Site, map_: BodyMap, side: Side | None) -> Area | None:
    """Return where a site lies on a drawing as it is shown.

    Args:
        site: The site.
        map_: Which drawing.
        side: Its side. Without one, or on the midline, the whole site; of a paired site both.

    Returns:
        Closed shapes in units of the drawing, the largest first. None where the drawing doesn't show the site or this
        side of it, and for hands and feet without left or right.
    """
    if (map_ in BY_SIDE and side not in _OTHER) or (map_ in PROFILES and _OTHER.get(PROFILES[map_]) is side):
        return None
    drawing = drawing_of(map_, side)
    found = drawing.areas.get(site)
    if found is None or map_ in BY_SIDE or map_ in PROFILES:
        return found
    at_right = Side.RIGHT if map_ in FROM_BEHIND else Side.LEFT
    if is_paired(site):
        other = tuple(mirrored(shape, drawing.width) for shape in found)
        return found if side is at_right else other if side in _OTHER else (*found, *other)
    if side not in _OTHER:
        return found
    middle = drawing.width / 2
    left, right = (middle, drawing.width) if side is at_right else (0.0, middle)
    halves = [cut(shape, box(left - _FAR * (left == 0), -_FAR, right + _FAR * (left > 0), _FAR)) for shape in found]
    return tuple(sorted((one for one in halves if one), key=lambda shape: -abs(area(shape)))) or None


_FAR: Final = 10_000.0


def best_map(site: Site, side: Side | None) -> BodyMap | None:
    """Return the drawing that shows a site best, with its side.

    Returns:
        None for a paired site without left or right: nothing is marked on a side that nobody gave.
    """
    if is_paired(site) and side not in _OTHER:
        return None
    better = _BETTER.get(site)
    maps = (better, *site.map_region.maps) if better else site.map_region.maps
    return next((map_ for map_ in maps if area_of(site, map_, side) is not None), None)


@cache
def centre_of(site: Site, map_: BodyMap, side: Side | None) -> Point | None:
    """Return the visual centre of a site on a drawing, in its units: a point inside the area.

    Without a side, or on the midline, it stands on the midline of the drawing where the site reaches it, so that it
    tells no side. None where :func:`area_of` gives no area.
    """
    found = area_of(site, map_, side)
    if found is None:
        return None
    on = None
    if side not in _OTHER and map_ not in BY_SIDE and map_ not in PROFILES:
        on = drawing_of(map_).width / 2
    x, y = centre(found[0], on)
    return (round(x, 1), round(y, 1))


def lies_outside(site: Site, map_: BodyMap, side: Side | None, point: Point) -> bool:
    """Return whether a point lies outside its site, whichever side it is on, by more than the tolerance.

    Args:
        site: The site.
        map_: The drawing on which the point was entered.
        side: The side of a hand or foot, as which the drawing was shown; without one the point may lie on either.
        point: The point, as shares of width and height.
    """
    sides = (side,) if side is not None and side in _OTHER and map_ in BY_SIDE else (Side.LEFT, Side.RIGHT)
    return not any(_reaches(_where(site, map_, one), drawing_of(map_, one), point) for one in sides)


def _where(site: Site, map_: BodyMap, side: Side) -> Area:
    """Return within which area a point of a site may lie: its own, or else that of the nearest wider site shown."""
    if map_ not in site.map_region.maps and not shows(site, map_):
        return ()
    wider: Site | None = site
    while wider is not None and not shows(wider, map_):
        wider = wider.parent
    # On a drawing of one side of the head the other side isn't asked: that is another rule's.
    return () if wider is None else area_of(wider, map_, PROFILES.get(map_, side)) or ()


def _reaches(found: Area, drawing: Drawing, point: Point) -> bool:
    here = (point[0] * drawing.width, point[1] * drawing.height)
    margin = TOLERANCE * max(drawing.width, drawing.height)
    return any(inside(shape, here) or distance(shape, here) <= margin for shape in found)


def on_the_other_side(map_: BodyMap, side: Side, x: float) -> bool:
    """Return whether a point lies on another side than the one given, by more than the tolerance.

    Args:
        map_: The drawing on which the point was entered.
        side: The side given.
        x: Share of the drawing's width from the left.

    Returns:
        Never true for hands and feet, whose drawing is the same for both sides.
    """
    if map_ in BY_SIDE:
        return False
    # Decimal places that were entered aren't exact in binary.
    off = round(abs(x - 0.5), 9)
    if side is Side.MIDLINE:
        # Seen from one side the midline is the rim, which isn't at one distance.
        return map_ not in PROFILES and off > _MIDLINE
    return side_at(map_, x) is _OTHER[side] and (map_ in PROFILES or off > _BEYOND)
