"""Where a lesion stands on the body map, and what is said of it: no drawing yet."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from types import MappingProxyType
from typing import Final

from dermreport.body_map import BY_SIDE, Shape, area_of, best_map, centre_of, drawing_of
from dermreport.examination.lesion import Lesion
from dermreport.issues import must_be
from dermreport.vocabulary.body_maps import BodyMap
from dermreport.vocabulary.lateralities import Laterality
from dermreport.vocabulary.sides import Side
from dermreport.vocabulary.sites import Site

_LEFT_OR_RIGHT: Final = frozenset((Side.LEFT, Side.RIGHT))


@dataclass(frozen=True, slots=True, kw_only=True)
class MapTexts:
    """The words of the body map; those in English are the default, a translation gives its own.

    Attributes:
        title: Title of a drawing, with ``{drawing}``.
        drawings: Names of the drawings.
        sided: Name of a drawing of one hand or foot, with ``{side}`` and ``{drawing}``.
        sites: Names of the sites.
        sides: Names of the sides, in words.
        letters: A letter for left and for right.
        viewed: How the sides of a drawing lie, by whether it is seen from behind.
        place: What a mark says, with ``{place}`` and ``{how}``.
        with_side: A site with its side, with ``{site}`` and ``{side}``.
        mark: The description's sentence on a mark, with ``{name}`` and ``{words}``.
        labelled: The same with the label as entered, with ``{name}``, ``{label}`` and ``{words}``.
        entered: That the point is as entered.
        centre: That only the site is known.
        no_site: That no site of the vocabulary was given.
        no_side: That a site has sides and none was given.
        signs: What the signs mean.
        unmarked_no_site: Why there is no mark: no site that a drawing shows.
        unmarked_no_side: Why there is no mark: left or right wasn't given.
    """

    title: str = "Body map: {drawing}"
    drawings: Mapping[BodyMap, str] = field(
        default_factory=lambda: MappingProxyType({one: one.display for one in BodyMap})
    )
    sided: str = "{side} {drawing}"
    sites: Mapping[Site, str] = field(default_factory=lambda: MappingProxyType({one: one.display for one in Site}))
    sides: Mapping[Side, str] = field(default_factory=lambda: MappingProxyType({one: one.display for one in Side}))
    letters: Mapping[Side, str] = field(default_factory=lambda: MappingProxyType({Side.LEFT: "L", Side.RIGHT: "R"}))
    viewed: Mapping[bool, str] = field(
        default_factory=lambda: MappingProxyType(
            {
                False: "The patient’s left is at the viewer’s right.",
                True: "Seen from behind: the patient’s left is at the viewer’s left.",
            }
        )
    )
    place: str = "{place}; {how}"
    with_side: str = "{site}, {side}"
    mark: str = "Mark {name}: {words}."
    labelled: str = "Mark {name}, labelled «{label}»: {words}."
    entered: str = "the point as entered"
    centre: str = "the centre of the site, no exact point was entered"
    no_site: str = "site not given"
    no_side: str = "side not given"
    signs: str = (
        "Hatched: the whole site. A ring with a cross: a point as entered. A broken ring: the centre of the site, "
        "where only the site is known."
    )
    unmarked_no_site: str = "no site that the drawings show"
    unmarked_no_side: str = "left or right isn’t given"


ENGLISH: Final = MapTexts()


@dataclass(frozen=True, slots=True, repr=False)
class Mark:
    """Where a lesion stands on the body map.

    Attributes:
        map: Which drawing.
        shown_as: For a hand or foot whose it is; else none.
        x: Share of the drawing's width from the left.
        y: Share of its height from the top.
        entered: Whether the point was entered; else it is the centre of the site's area.
        site: The site; none where it is none of the vocabulary.
        side: The side as recorded.
        area: The area of the site on the drawing, in its units; empty where the drawing doesn't show it.
    """

    map: BodyMap
    shown_as: Side | None
    x: Decimal
    y: Decimal
    entered: bool
    site: Site | None
    side: Side | None
    area: tuple[Shape, ...]

    @property
    def words(self) -> str:
        """Return where it is and how that is known, in English: «upper back, left; the point as entered»."""
        return mark_words(self)


def mark(lesion: Lesion) -> Mark | None:
    """Return where a lesion stands on the body map.

    Args:
        lesion: The lesion.

    Returns:
        The point as entered, on the drawing on which it was entered; else the visual centre of the site's area on the
        drawing that shows the site best. None where there is neither, see :func:`why_unmarked`.
    """
    must_be("mark: lesion", lesion, Lesion)
    site = lesion.site if isinstance(lesion.site, Site) else None
    side, point = lesion.side, lesion.map_point
    if point is not None and isinstance(point.map, BodyMap):
        if point.map in BY_SIDE and side not in _LEFT_OR_RIGHT:
            return None
        area = _area(site, point.map, side)
        return Mark(
            point.map, _shown_as(point.map, side), point.x, point.y, entered=True, site=site, side=side, area=area
        )
    best = None if site is None else best_map(site, side)
    if site is None or best is None:
        return None
    drawing = drawing_of(best, side)
    centre = centre_of(site, best, side)
    if centre is None:
        return None
    x, y = (
        Decimal(str(round(place / size, 6)))
        for place, size in zip(centre, (drawing.width, drawing.height), strict=True)
    )
    return Mark(best, _shown_as(best, side), x, y, entered=False, site=site, side=side, area=_area(site, best, side))


def why_unmarked(lesion: Lesion, texts: MapTexts = ENGLISH) -> str:
    """Return why a lesion has no mark; empty where it has one.

    Args:
        lesion: The lesion.
        texts: The words.
    """
    if mark(lesion) is not None:
        return ""
    on_a_drawing = lesion.map_point is not None and isinstance(lesion.map_point.map, BodyMap)
    return texts.unmarked_no_side if on_a_drawing or isinstance(lesion.site, Site) else texts.unmarked_no_site


def mark_words(of: Mark, texts: MapTexts = ENGLISH) -> str:
    """Return where a mark is and how that is known.

    Args:
        of: The mark.
        texts: The words.
    """
    place = texts.no_site if of.site is None else texts.sites[of.site]
    if of.side is not None:
        place = texts.with_side.format(site=place, side=texts.sides[of.side])
    elif of.site is None or of.site.laterality is not Laterality.MIDLINE:
        place = texts.with_side.format(site=place, side=texts.no_side)
    return texts.place.format(place=place, how=texts.entered if of.entered else texts.centre)


def drawing_name(map_: BodyMap, shown_as: Side | None, texts: MapTexts = ENGLISH) -> str:
    """Return what a drawing is called: «body, back», «left hand, palm».

    Args:
        map_: Which drawing.
        shown_as: For a hand or foot whose it is.
        texts: The words.
    """
    name = texts.drawings[map_]
    return name if shown_as is None else texts.sided.format(side=texts.sides[shown_as], drawing=name)


def _shown_as(map_: BodyMap, side: Side | None) -> Side | None:
    return side if map_ in BY_SIDE else None


def _area(site: Site | None, map_: BodyMap, side: Side | None) -> tuple[Shape, ...]:
    if site is None or (site.laterality is Laterality.PAIRED and side not in _LEFT_OR_RIGHT):
        return ()
    return area_of(site, map_, side) or ()
