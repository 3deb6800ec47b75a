"""The body map as SVG: the area of each lesion's site hatched and edged, and a mark with the lesion's label.

Nothing is told by colour alone, so that it can be printed in black and white; lines take the colour of the text around
them. Whoever can't see the drawing has the same in its description.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Final
from xml.sax.saxutils import escape

from dermreport.body_map import BY_SIDE, FROM_BEHIND, PROFILES, Point, Shape, drawing_of
from dermreport.body_map.drawing import Drawing
from dermreport.examination.lesion import Lesion
from dermreport.issues import SettingsError, must_be
from dermreport.plots.body_map.marks import ENGLISH, MapTexts, Mark, drawing_name, mark, mark_words
from dermreport.plots.body_map.placing import LETTER, RIM, Box, Sign, boxes_of_names, gap, nearest, sign
from dermreport.vocabulary.body_maps import BodyMap
from dermreport.vocabulary.sides import Side

#: Room for the line below the drawing, and above one that begins within the body.
_BELOW: Final = 30
_ABOVE: Final = 44
#: A name further from its mark than this has a line to it.
_LEADER: Final = 12.0
#: A label is drawn as it is if it is so short and plain; else the lesions are numbered.
_PLAIN: Final = re.compile(r"[A-Za-z0-9]{1,3}")
_PREFIX: Final = re.compile(r"[A-Za-z][A-Za-z0-9-]{0,63}")
_COLOUR: Final = re.compile(r"currentColor|#[0-9a-fA-F]{6}")
#: Characters that would change the direction of what follows, or end an isolate.
_DIRECTIONS: Final = dict.fromkeys((0x61C, 0x200E, 0x200F, *range(0x202A, 0x202F), *range(0x2066, 0x206A)))
_FIRST_STRONG_ISOLATE, _POP_ISOLATE = "\u2068", "\u2069"


class Extent(StrEnum):
    """How much of a standing body is shown; the other drawings are always whole."""

    WHOLE = "whole"
    HALF = "half"
    """A little more than half of its height, with the marks and their areas; whole where they need more."""


#: The drawings of a standing body, and the share of the height that half of one has; closer to an end is at the end.
_STANDING: Final = frozenset((BodyMap.BODY_FRONT, BodyMap.BODY_BACK))
_HALF, _SNAP = 0.55, 0.12


@dataclass(frozen=True, slots=True, repr=False)
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
    description: tuple[str, ...]
    marks: tuple[tuple[str, Mark], ...]
    svg: str


def body_map_svg(  # noqa: PLR0913 - what a drawing is made with, by name only
    lesions: Sequence[Lesion],
    *,
    names: Sequence[str] = (),
    prefix: str = "body-map",
    colour: str = "currentColor",
    texts: MapTexts = ENGLISH,
    extent: Extent = Extent.WHOLE,
) -> tuple[MarkedDrawing, ...]:
    """Draw lesions on the body map.

    A mark carries the lesion's label where all lesions have labels of at most three plain letters or digits, each
    another; else the lesions are numbered in their order, and the description tells the labels.

    Args:
        lesions: The lesions.
        names: What each mark is called on the drawing, at most three plain letters or digits, each another; without
            them labels or numbers as said above. A letter that draws its lesions one by one numbers them through.
        prefix: Begins every id of the drawings; two calls whose drawings stand in one page need two.
        colour: Colour of all lines: ``currentColor`` follows the text around, ``#rrggbb`` is for makers of PDF that
            know no colour around.
        texts: The words.
        extent: How much of a standing body is shown.

    Returns:
        Each drawing that has a mark, in the order of the vocabulary, left before right.

    Raises:
        SettingsError: ``names`` aren't one for each lesion, or they, ``prefix`` or ``colour`` are of another form.
    """
    must_be("body_map_svg: lesions", lesions, list, tuple)
    for lesion in lesions:
        must_be("body_map_svg: each of lesions", lesion, Lesion)
    must_be("body_map_svg: names", names, list, tuple)
    if names and not (len(names) == len(lesions) and _are_plain(names)):
        raise SettingsError(
            "body_map_svg: names are one for each lesion, three letters or digits at most, each another"
        )
    if not isinstance(prefix, str) or not _PREFIX.fullmatch(prefix):
        raise SettingsError("body_map_svg: prefix is a letter and then at most 63 letters, digits and hyphens")
    if not isinstance(colour, str) or not _COLOUR.fullmatch(colour):
        raise SettingsError("body_map_svg: colour is currentColor or #rrggbb")
    must_be("body_map_svg: texts", texts, MapTexts)
    must_be("body_map_svg: extent", extent, Extent)
    found: dict[tuple[BodyMap, Side | None], list[Sign]] = {}
    for name, lesion in zip(names or _names(lesions), lesions, strict=True):
        one = mark(lesion)
        if one is not None:
            found.setdefault((one.map, one.shown_as), []).append(sign(name, lesion.label or "", one))
    sides = (None, *Side)
    return tuple(
        _drawn(
            map_,
            side,
            found[map_, side],
            _Frame(f"{prefix}-{map_.value}{f'-{side.value}' if side else ''}", colour, texts),
            _window(map_, drawing_of(map_, side), found[map_, side], extent),
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


def _window(map_: BodyMap, drawing: Drawing, signs: Sequence[Sign], extent: Extent) -> tuple[float, float]:
    """Return from which height to which a drawing is shown."""
    height = drawing.height
    heights = [one.at[1] for one in signs] + [y for one in signs for shape in one.mark.area for _, y in shape]
    low, high = min(heights) - RIM, max(heights) + RIM
    room = _HALF * height
    if extent is Extent.WHOLE or map_ not in _STANDING or high - low > room:
        return 0, height
    top = min(max((low + high - room) / 2, 0), height - room)
    if top < _SNAP * height:
        top = 0
    elif top > height - room - _SNAP * height:
        top = height - room
    return (top, top + room) if top <= max(low, 0) and top + room >= min(high, height) else (0, height)


def _are_plain(names: Sequence[str]) -> bool:
    return all(isinstance(one, str) and _PLAIN.fullmatch(one) for one in names) and len(set(names)) == len(names)


def _names(lesions: Sequence[Lesion]) -> list[str]:
    labels = [lesion.label or "" for lesion in lesions]
    if _are_plain(labels):
        return labels
    return [str(place) for place in range(1, len(labels) + 1)]


def _drawn(
    map_: BodyMap, side: Side | None, signs: Sequence[Sign], frame: _Frame, window: tuple[float, float]
) -> MarkedDrawing:
    texts, drawing = frame.texts, drawing_of(map_, side)
    name = drawing_name(map_, side, texts)
    title = texts.title.format(drawing=name)
    description = (*_told(map_, signs, texts), texts.signs)
    top, foot = window
    # Above a drawing that begins within the body there is room for the sides, so that nothing stands in their place.
    above = RIM if top == 0 else RIM + _ABOVE
    width, height = drawing.width + 2 * RIM, foot - top + above + RIM + _BELOW
    boxes = boxes_of_names(signs, drawing)
    sites = [one.mark.site for one in signs if one.mark.site is not None]
    details = dict.fromkeys(line for site in sites for line in drawing.details.get(site, ()))
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{-RIM} {_n(top - above)} {_n(width)} {_n(height)}" '
        f'width="{_n(width)}" height="{_n(height)}" role="img" '
        f'aria-labelledby="{frame.id}-title {frame.id}-text" font-family="sans-serif">'
    )
    pen = f'fill="none" stroke="{frame.colour}" stroke-linecap="round" stroke-linejoin="round"'
    svg = (
        head,
        f'<title id="{frame.id}-title">{escape(title)}</title>',
        f'<desc id="{frame.id}-text">{escape(" ".join(description))}</desc>',
        *_definitions(frame, boxes, signs, (_edge(top), width, _edge(foot, drawing.height) - _edge(top))),
        f'<g mask="url(#{frame.id}-room)" {pen}>',
        *_areas(frame, signs),
        f'<path stroke-width="2.2" d="{_lines(drawing.contour)}"/>',
        f'<path stroke-width="1.1" d="{_lines(drawing.lines)}"/>',
        *([f'<path stroke-width="1.4" d="{_lines(details)}"/>'] if details else []),
        "</g>",
        *_sides(map_, side, (drawing.width, top - above + RIM), frame),
        *(line for one, box in zip(signs, boxes, strict=True) for line in _mark(one, box, frame)),
        _text((drawing.width / 2, foot + RIM + 16), name, 20, frame, anchor="middle"),
        "</svg>\n",
    )
    return MarkedDrawing(map_, side, title, description, tuple((one.name, one.mark) for one in signs), "\n".join(svg))


def _told(map_: BodyMap, signs: Sequence[Sign], texts: MapTexts) -> Iterator[str]:
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


def _lines(lines: Iterable[Shape]) -> str:
    return "".join(_path(line) for line in lines)


def _text(  # noqa: PLR0913 - what a text has
    at: Point, words: str, size: int, frame: _Frame, *, anchor: str = "start", bold: bool = False
) -> str:
    weight = ' font-weight="bold"' if bold else ""
    return (
        f'<text x="{_n(at[0])}" y="{_n(at[1])}" font-size="{size}" text-anchor="{anchor}" '
        f'fill="{frame.colour}"{weight}>{escape(words)}</text>'
    )


def _edge(at: float, end: float = 0) -> float:
    """Return where lines end at an edge of what is shown: beyond it only at the drawing's own end."""
    return at if at != end else at + RIM if end else at - RIM


def _definitions(
    frame: _Frame, boxes: Sequence[Box], signs: Sequence[Sign], room: tuple[float, float, float]
) -> Iterator[str]:
    """Yield the hatching, and the mask that keeps lines within what is shown and away from marks and their names.

    Args:
        frame: What all parts share.
        boxes: Where names stand.
        signs: The marks.
        room: Top, width and height of what is shown.
    """
    yield "<defs>"
    yield (
        f'<pattern id="{frame.id}-hatch" patternUnits="userSpaceOnUse" width="7" height="7" '
        f'patternTransform="rotate(45)"><path d="M0 0V7" stroke="{frame.colour}" stroke-width="1.6"/></pattern>'
    )
    whole = f'x="{-RIM}" y="{_n(room[0])}" width="{_n(room[1])}" height="{_n(room[2])}"'
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


def _circle(of: Sign) -> str:
    return f'cx="{_exact(of.at[0])}" cy="{_exact(of.at[1])}" r="{_n(of.ring)}"'


def _areas(frame: _Frame, signs: Sequence[Sign]) -> Iterator[str]:
    """Yield each area once, hatched and with a broken edge."""
    for shape in dict.fromkeys(shape for one in signs for shape in one.mark.area):
        yield (f'<path fill="url(#{frame.id}-hatch)" stroke-width="1.8" stroke-dasharray="6 4" d="{_path(shape)}Z"/>')


def _sides(map_: BodyMap, side: Side | None, corner: Point, frame: _Frame) -> Iterator[str]:
    """Yield which side is which: a letter and the word, above the drawing; ``corner`` is its right upper one."""
    width, top = corner
    one = side or PROFILES.get(map_)
    if one is not None:
        yield from _side(one, (0, top), "start", frame)
        return
    left, right = (Side.LEFT, Side.RIGHT) if map_ in FROM_BEHIND else (Side.RIGHT, Side.LEFT)
    yield from _side(left, (0, top), "start", frame)
    yield from _side(right, (width, top), "end", frame)


def _side(side: Side, at: Point, anchor: str, frame: _Frame) -> Iterator[str]:
    x, y = at
    yield _text((x, y + 14), frame.texts.letters[side], 28, frame, anchor=anchor, bold=True)
    yield _text((x, y + 34), frame.texts.sides[side], 16, frame, anchor=anchor)


def _mark(of: Sign, box: Box, frame: _Frame) -> Iterator[str]:
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
    away = gap(of, box)
    if away > _LEADER:
        (x, y), (to_x, to_y) = of.at, nearest(of, box)
        share = of.ring / (away + of.ring)
        start = (x + share * (to_x - x), y + share * (to_y - y))
        yield f'<path {line} stroke-width="1.2" d="{_path((start, (to_x, to_y)))}"/>'
    yield _text(((box[0] + box[2]) / 2, box[3] - 0.2 * LETTER), of.name, LETTER, frame, anchor="middle", bold=True)
