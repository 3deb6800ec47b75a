"""Lesions on the body map, as SVG: the area of the site hatched and edged, and a mark with the lesion's label.

Nothing is told by colour alone, so that it can be printed in black and white; lines take the colour of the text around
them. Whoever can't see the drawing has the same in its description.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from types import MappingProxyType
from typing import Final, TypeAlias
from xml.sax.saxutils import escape

from dermreport.body_map import BY_SIDE, FROM_BEHIND, PROFILES, Point, Shape, area_of, best_map, centre_of, drawing_of
from dermreport.body_map.drawing import Drawing
from dermreport.body_map.shapes import distance, inside
from dermreport.examination.lesion import Lesion
from dermreport.issues import SettingsError, must_be
from dermreport.vocabulary.body_maps import BodyMap
from dermreport.vocabulary.lateralities import Laterality
from dermreport.vocabulary.sides import Side
from dermreport.vocabulary.sites import Site

#: Room round the drawing, so that a mark on its rim is whole, and for the line below it.
_RIM: Final = 24
_BELOW: Final = 30
#: Radius of a mark; and of one in an area whose edge is nearer to its centre than ``_NARROW``, so that it covers less.
_RING, _SMALL_RING = 9.0, 6.0
_NARROW: Final = 15.0
_NEAR: Final = 20.0
_LETTER: Final = 24
#: Width and foot of the room in both upper corners that is kept for the words for left and right.
_CORNER: Final = (56.0, 38.0)
#: A name further from its mark than this has a line to it.
_LEADER: Final = 12.0
#: Left, top, right and foot of a rectangle.
_Box: TypeAlias = tuple[float, float, float, float]
#: A label is drawn as it is if it is so short and plain; else the lesions are numbered.
_PLAIN: Final = re.compile(r"[A-Za-z0-9]{1,3}")
_PREFIX: Final = re.compile(r"[A-Za-z][A-Za-z0-9-]{0,63}")
_COLOUR: Final = re.compile(r"currentColor|#[0-9a-fA-F]{6}")
#: Characters that would change the direction of what follows, or end an isolate.
_DIRECTIONS: Final = dict.fromkeys((0x61C, 0x200E, 0x200F, *range(0x202A, 0x202F), *range(0x2066, 0x206A)))
_FIRST_STRONG_ISOLATE, _POP_ISOLATE = "\u2068", "\u2069"
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


@dataclass(frozen=True, slots=True)
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
    site: Site | None = field(repr=False)
    side: Side | None = field(repr=False)
    area: tuple[Shape, ...] = field(repr=False)

    @property
    def words(self) -> str:
        """Return where it is and how that is known, in English: «upper back, left; the point as entered»."""
        return mark_words(self)


@dataclass(frozen=True, slots=True)
class MarkedDrawing:
    """One drawing with its marks.

    Attributes:
        map: Which drawing.
        shown_as: For a hand or foot whose it is; else none.
        title: Its title.
        description: The text of the drawing, sentence by sentence.
        marks: The marks, with the name that each has on the drawing: its label or a number.
        svg: The drawing, a whole SVG document without a declaration in front.
    """

    map: BodyMap
    shown_as: Side | None
    title: str
    description: tuple[str, ...] = field(repr=False)
    marks: tuple[tuple[str, Mark], ...] = field(repr=False)
    svg: str = field(repr=False)


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


def body_map_svg(
    lesions: Sequence[Lesion],
    *,
    prefix: str = "body-map",
    colour: str = "currentColor",
    texts: MapTexts = ENGLISH,
) -> tuple[MarkedDrawing, ...]:
    """Draw lesions on the body map.

    A mark carries the lesion's label where all lesions have labels of at most three plain letters or digits, each
    another; else the lesions are numbered in their order, and the description tells the labels.

    Args:
        lesions: The lesions.
        prefix: Begins every id of the drawings; two calls whose drawings stand in one page need two.
        colour: Colour of all lines: ``currentColor`` follows the text around, ``#rrggbb`` is for makers of PDF that
            know no colour around.
        texts: The words.

    Returns:
        Each drawing that has a mark, in the order of the vocabulary, left before right.

    Raises:
        SettingsError: ``prefix`` or ``colour`` is of another form.
    """
    must_be("body_map_svg: lesions", lesions, list, tuple)
    for lesion in lesions:
        must_be("body_map_svg: each of lesions", lesion, Lesion)
    if not isinstance(prefix, str) or not _PREFIX.fullmatch(prefix):
        raise SettingsError("body_map_svg: prefix is a letter and then at most 63 letters, digits and hyphens")
    if not isinstance(colour, str) or not _COLOUR.fullmatch(colour):
        raise SettingsError("body_map_svg: colour is currentColor or #rrggbb")
    must_be("body_map_svg: texts", texts, MapTexts)
    found: dict[tuple[BodyMap, Side | None], list[_Sign]] = {}
    for name, lesion in zip(_names(lesions), lesions, strict=True):
        one = mark(lesion)
        if one is not None:
            found.setdefault((one.map, one.shown_as), []).append(_sign(name, lesion.label or "", one))
    sides = (None, *Side)
    return tuple(
        _drawn(
            map_,
            side,
            found[map_, side],
            _Frame(f"{prefix}-{map_.value}{f'-{side.value}' if side else ''}", colour, texts),
        )
        for map_ in BodyMap
        for side in sides
        if (map_, side) in found
    )


@dataclass(frozen=True, slots=True)
class _Frame:
    """What all parts of one drawing share: how its ids begin, its colour, its words."""

    id: str
    colour: str
    texts: MapTexts


@dataclass(frozen=True, slots=True)
class _Sign:
    """A mark as it is drawn: its name on the drawing, the label as entered, where it is in units, its radius."""

    name: str
    label: str
    mark: Mark
    at: Point
    ring: float

    @property
    def box(self) -> _Box:
        """Return the room that it takes; in a narrow area what of that is near."""
        x, y = self.at
        if self.ring == _RING:
            return (x - _RING, y - _RING, x + _RING, y + _RING)
        across = [min(max(one, x - _NEAR), x + _NEAR) for one, _ in self.mark.area[0]]
        down = [min(max(one, y - _NEAR), y + _NEAR) for _, one in self.mark.area[0]]
        return (min(across), min(down), max(across), max(down))


def _sign(name: str, label: str, of: Mark) -> _Sign:
    drawing = drawing_of(of.map, of.shown_as)
    at = (float(of.x) * drawing.width, float(of.y) * drawing.height)
    narrow = not of.entered and distance(of.area[0], at) < _NARROW
    return _Sign(name, label, of, at, _SMALL_RING if narrow else _RING)


def _shown_as(map_: BodyMap, side: Side | None) -> Side | None:
    return side if map_ in BY_SIDE else None


def _area(site: Site | None, map_: BodyMap, side: Side | None) -> tuple[Shape, ...]:
    if site is None or (site.laterality is Laterality.PAIRED and side not in _LEFT_OR_RIGHT):
        return ()
    return area_of(site, map_, side) or ()


def _names(lesions: Sequence[Lesion]) -> list[str]:
    labels = [lesion.label or "" for lesion in lesions]
    if all(_PLAIN.fullmatch(one) for one in labels) and len(set(labels)) == len(labels):
        return labels
    return [str(place) for place in range(1, len(labels) + 1)]


def _drawn(map_: BodyMap, side: Side | None, signs: Sequence[_Sign], frame: _Frame) -> MarkedDrawing:
    texts, drawing = frame.texts, drawing_of(map_, side)
    name = drawing_name(map_, side, texts)
    title = texts.title.format(drawing=name)
    description = (*_told(map_, signs, texts), texts.signs)
    width, height = drawing.width + 2 * _RIM, drawing.height + 2 * _RIM + _BELOW
    boxes = _boxes(signs, drawing)
    sites = [one.mark.site for one in signs if one.mark.site is not None]
    details = dict.fromkeys(line for site in sites for line in drawing.details.get(site, ()))
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{-_RIM} {-_RIM} {_n(width)} {_n(height)}" '
        f'width="{_n(width)}" height="{_n(height)}" role="img" '
        f'aria-labelledby="{frame.id}-title {frame.id}-text" font-family="sans-serif">'
    )
    pen = f'fill="none" stroke="{frame.colour}" stroke-linecap="round" stroke-linejoin="round"'
    svg = (
        head,
        f'<title id="{frame.id}-title">{escape(title)}</title>',
        f'<desc id="{frame.id}-text">{escape(" ".join(description))}</desc>',
        *_definitions(frame, boxes, signs, (width, height)),
        f'<g mask="url(#{frame.id}-room)" {pen}>',
        *_areas(frame, signs),
        f'<path stroke-width="2.2" d="{_lines(drawing.contour)}"/>',
        f'<path stroke-width="1.1" d="{_lines(drawing.lines)}"/>',
        *([f'<path stroke-width="1.4" d="{_lines(details)}"/>'] if details else []),
        "</g>",
        *_sides(map_, side, drawing.width, frame),
        *(line for one, box in zip(signs, boxes, strict=True) for line in _mark(one, box, frame)),
        _text((drawing.width / 2, drawing.height + _RIM + 16), name, 20, frame, anchor="middle"),
        "</svg>\n",
    )
    return MarkedDrawing(map_, side, title, description, tuple((one.name, one.mark) for one in signs), "\n".join(svg))


def _told(map_: BodyMap, signs: Sequence[_Sign], texts: MapTexts) -> Iterator[str]:
    """Yield what the drawing shows, a sentence a mark; a label is entered text and stands in an isolate."""
    for one in signs:
        words = mark_words(one.mark, texts)
        if one.label and one.label != one.name:
            isolated = f"{_FIRST_STRONG_ISOLATE}{one.label.translate(_DIRECTIONS)}{_POP_ISOLATE}"
            yield texts.labelled.format(name=one.name, label=isolated, words=words)
        else:
            yield texts.mark.format(name=one.name, words=words)
    if _both_sides(map_):
        yield texts.viewed[map_ in FROM_BEHIND]


def _both_sides(map_: BodyMap) -> bool:
    return map_ not in BY_SIDE and map_ not in PROFILES


def _n(value: float) -> str:
    """Return a coordinate with at most one decimal place."""
    shown = f"{value:.1f}".removesuffix(".0")
    return "0" if shown == "-0" else shown


def _exact(value: float) -> str:
    """Return the coordinate of a mark with three decimal places."""
    return f"{value:.3f}".rstrip("0").rstrip(".")


def _path(shape: Sequence[Point]) -> str:
    return "M" + " ".join(f"{_n(x)} {_n(y)}" for x, y in shape)


def _lines(lines: Iterator[Shape] | Sequence[Shape] | Mapping[Shape, None]) -> str:
    return "".join(_path(line) for line in lines)


def _text(  # noqa: PLR0913 - what a text has
    at: Point, words: str, size: int, frame: _Frame, *, anchor: str = "start", bold: bool = False
) -> str:
    weight = ' font-weight="bold"' if bold else ""
    return (
        f'<text x="{_n(at[0])}" y="{_n(at[1])}" font-size="{size}" text-anchor="{anchor}" '
        f'fill="{frame.colour}"{weight}>{escape(words)}</text>'
    )


def _definitions(
    frame: _Frame, boxes: Sequence[_Box], signs: Sequence[_Sign], size: tuple[float, float]
) -> Iterator[str]:
    """Yield the hatching, and the mask that keeps lines away from marks and their names."""
    yield "<defs>"
    yield (
        f'<pattern id="{frame.id}-hatch" patternUnits="userSpaceOnUse" width="7" height="7" '
        f'patternTransform="rotate(45)"><path d="M0 0V7" stroke="{frame.colour}" stroke-width="1.6"/></pattern>'
    )
    whole = f'x="{-_RIM}" y="{-_RIM}" width="{_n(size[0])}" height="{_n(size[1])}"'
    yield f'<mask id="{frame.id}-room" maskUnits="userSpaceOnUse" {whole}><rect {whole} fill="#ffffff"/>'
    for left, top, right, foot in boxes:
        yield (
            f'<rect x="{_n(left)}" y="{_n(top)}" width="{_n(right - left)}" height="{_n(foot - top)}" rx="4" '
            'fill="#000000"/>'
        )
    for one in signs:
        yield f'<circle {_circle(one)} fill="none" stroke="#000000" stroke-width="{_n(0.7 * one.ring)}"/>'
    yield "</mask>"
    yield "</defs>"


def _circle(of: _Sign) -> str:
    return f'cx="{_exact(of.at[0])}" cy="{_exact(of.at[1])}" r="{_n(of.ring)}"'


def _areas(frame: _Frame, signs: Sequence[_Sign]) -> Iterator[str]:
    """Yield each area once, hatched and with a broken edge."""
    for shape in dict.fromkeys(shape for one in signs for shape in one.mark.area):
        yield (f'<path fill="url(#{frame.id}-hatch)" stroke-width="1.8" stroke-dasharray="6 4" d="{_path(shape)}Z"/>')


def _sides(map_: BodyMap, side: Side | None, width: float, frame: _Frame) -> Iterator[str]:
    """Yield which side is which: a letter and the word, above the drawing."""
    one = side or PROFILES.get(map_)
    if one is not None:
        yield from _side(one, 0, "start", frame)
        return
    left, right = (Side.LEFT, Side.RIGHT) if map_ in FROM_BEHIND else (Side.RIGHT, Side.LEFT)
    yield from _side(left, 0, "start", frame)
    yield from _side(right, width, "end", frame)


def _side(side: Side, x: float, anchor: str, frame: _Frame) -> Iterator[str]:
    yield _text((x, 14), frame.texts.letters[side], 28, frame, anchor=anchor, bold=True)
    yield _text((x, 34), frame.texts.sides[side], 16, frame, anchor=anchor)


def _mark(of: _Sign, box: _Box, frame: _Frame) -> Iterator[str]:
    """Yield the sign of a mark and its name."""
    line = f'fill="none" stroke="{frame.colour}"'
    if of.mark.entered:
        (x, y), arm = of.at, of.ring + 4
        yield f'<circle {_circle(of)} {line} stroke-width="2.6"/>'
        yield (
            f'<path {line} stroke-width="1.8" d="M{_exact(x - arm)} {_exact(y)}H{_exact(x + arm)}'
            f'M{_exact(x)} {_exact(y - arm)}V{_exact(y + arm)}"/>'
        )
    else:
        dashes = f"{_n(of.ring / 2)} {_n(of.ring / 3)}"
        yield f'<circle {_circle(of)} {line} stroke-width="2.4" stroke-dasharray="{dashes}"/>'
    gap = _gap(of, box)
    if gap > _LEADER:
        (x, y), (to_x, to_y) = of.at, _nearest(of, box)
        share = of.ring / (gap + of.ring)
        start = (x + share * (to_x - x), y + share * (to_y - y))
        yield f'<path {line} stroke-width="1.2" d="{_path((start, (to_x, to_y)))}"/>'
    yield _text(((box[0] + box[2]) / 2, box[3] - 0.2 * _LETTER), of.name, _LETTER, frame, anchor="middle", bold=True)


#: Where a name may stand beside its mark, the best first: in which direction of both axes.
_AROUND: Final = ((1, 0), (-1, 0), (0, -1), (0, 1), (1, -1), (-1, -1), (1, 1), (-1, 1))
#: How far further away a name may be set, in its own heights, where the places at hand are taken.
_FURTHER: Final = 12
#: So much further away a name is set, in units, so as not to stand on another part of the body, as a next finger.
_WORTH: Final = 60.0


def _boxes(signs: Sequence[_Sign], drawing: Drawing) -> list[_Box]:
    """Return where the names stand: within the drawing, off marks and other names, beside the body where it is near."""
    wide, low = _CORNER
    corners = ((-_RIM, -_RIM, wide, low), (drawing.width - wide, -_RIM, drawing.width + _RIM, low))
    marks = [*corners, *(one.box for one in signs)]
    taken: list[_Box] = []
    for one in signs:
        fitting = [box for box in _around(one) if _within(box, drawing)]
        free = [box for box in fitting if not any(_overlap(box, other) for other in (*marks, *taken))]
        near = sorted((_gap(one, box), box) for box in free or fitting)
        limit = near[0][0] + _WORTH
        beside = (box for gap, box in near if gap < limit and not _on_the_body(box, drawing))
        taken.append(next(beside, near[0][1]))
    return taken


def _on_the_body(box: _Box, drawing: Drawing) -> bool:
    return any(inside(shape, point) for shape in drawing.outline for point in _points(box))


def _around(of: _Sign) -> Iterator[_Box]:
    left, top, right, foot = of.box
    across, down = (0.66 * _LETTER * len(of.name) + 6) / 2, _LETTER / 2
    for further in range(_FURTHER):
        for to_x, to_y in _AROUND:
            x = of.at[0] + to_x * ((right - left) / 2 + 4 + across + further * _LETTER)
            y = of.at[1] + to_y * ((foot - top) / 2 + 3 + down + further * _LETTER)
            yield (x - across, y - down, x + across, y + down)


def _points(box: _Box) -> Iterator[Point]:
    left, top, right, foot = box
    for x in (left, (left + right) / 2, right):
        for y in (top, (top + foot) / 2, foot):
            yield (x, y)


def _nearest(of: _Sign, box: _Box) -> Point:
    """Return the point of a box that is nearest to a mark."""
    return (min(max(of.at[0], box[0]), box[2]), min(max(of.at[1], box[1]), box[3]))


def _gap(of: _Sign, box: _Box) -> float:
    x, y = _nearest(of, box)
    return float(((x - of.at[0]) ** 2 + (y - of.at[1]) ** 2) ** 0.5) - of.ring


def _within(box: _Box, drawing: Drawing) -> bool:
    left, top, right, foot = box
    return left >= -_RIM and top >= -_RIM and right <= drawing.width + _RIM and foot <= drawing.height + _RIM


def _overlap(one: _Box, other: _Box) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]
