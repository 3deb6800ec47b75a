"""A letter as templates see it: read-only values that print themselves, as text and as HTML.

A template sees a :class:`LetterView` by the name ``letter`` and nothing else. In HTML its values are escaped, and each
piece that somebody entered stands in an element of its own (``<bdi>``), so that a name in another script doesn't turn
the words round it.
"""

from __future__ import annotations

import base64
import re
from dataclasses import dataclass
from html import escape
from typing import TYPE_CHECKING, Final

from dermreport.letters.blocks import (
    Beside,
    Block,
    Code,
    Entered,
    Fact,
    Facts,
    Figure,
    Figures,
    Items,
    Line,
    Paragraph,
    Picture,
    Section,
    Signature,
    Tone,
    Tree,
)
from dermreport.letters.characters import balanced, is_right_to_left, printable, undirected

if TYPE_CHECKING:
    from collections.abc import Iterable

    from lxml import etree

_SVG: Final = "http://www.w3.org/2000/svg"
_NUMBER: Final = re.compile(r"[0-9]{1,6}(?:\.[0-9]{1,6})?")
_SVG_TYPE: Final = "image/svg+xml"
#: What a drawing of ours is made of; another element, or an address, makes it an image that can't run or fetch.
_DRAWN: Final = frozenset(
    {"svg", "title", "desc", "g", "defs", "path", "rect", "circle", "ellipse", "line", "polyline", "polygon", "text"}
    | {"tspan", "clipPath", "pattern", "marker", "use", "symbol"}
)


def plain_words(line: Line) -> str:
    """Return a line as text that any file can hold."""
    return "".join(_clean(piece) for piece in line)


def _clean(piece: str) -> str:
    return printable(undirected(piece) if isinstance(piece, Entered) else balanced(piece))


def _marked(piece: str) -> str:
    text = escape(_clean(piece))
    return f"<bdi>{text}</bdi>" if isinstance(piece, Entered) else text


class Words:
    """One line. As text it is what it says; in HTML it is escaped; an empty one is false."""

    __slots__ = ("line",)

    def __init__(self, line: Line) -> None:
        self.line: Line = line

    def __str__(self) -> str:
        return plain_words(self.line)

    def __html__(self) -> str:
        """Return it as HTML."""
        return "".join(_marked(piece) for piece in self.line if piece)

    def __bool__(self) -> bool:
        return any(self.line)


class Shown:
    """A finished piece of HTML; as text it is the words for it."""

    __slots__ = ("_html", "words")

    def __init__(self, html: str, words: Line = ()) -> None:
        self._html = html
        self.words: Words = Words(words)

    def __str__(self) -> str:
        return str(self.words)

    def __html__(self) -> str:
        """Return it as HTML."""
        return self._html

    def __bool__(self) -> bool:
        return bool(self._html)


@dataclass(frozen=True, slots=True)
class RowView:
    """A labelled fact.

    Attributes:
        label: What it is.
        lines: What is said of it.
    """

    label: str
    lines: tuple[Words, ...]


@dataclass(frozen=True, slots=True)
class FigureView:
    """A picture with its caption.

    Attributes:
        picture: The picture; as text the words for who can't see it.
        caption: What stands under it.
        width: Its width over the text's, as ``30%``.
    """

    picture: Shown
    caption: Words
    width: str


@dataclass(frozen=True, slots=True)
class BlockView:
    """One block of a section.

    Attributes:
        kind: ``paragraph``, ``items``, ``facts``, ``figures``, ``beside`` (facts beside a figure), ``code`` or
            ``signature``.
        tone: ``plain``, ``urgent``, ``warning`` or ``small``; all but paragraphs are plain.
        lines: All of it as lines of text, whatever its kind.
        rows: Its labelled facts.
        figures: Its pictures.
    """

    kind: str
    tone: str
    lines: tuple[Words, ...]
    rows: tuple[RowView, ...] = ()
    figures: tuple[FigureView, ...] = ()


@dataclass(frozen=True, slots=True)
class SectionView:
    """One part of the letter.

    Attributes:
        part: Which one, as ``findings``: see :class:`dermreport.letters.blocks.LetterPart`.
        level: Level of its heading, 2 or 3.
        heading: Its heading; can be empty.
        blocks: What it says.
    """

    part: str
    level: int
    heading: Words
    blocks: tuple[BlockView, ...]


@dataclass(frozen=True, slots=True)
class LetterView:
    """What a template sees as ``letter``.

    Attributes:
        kind: ``referral``, ``patient`` or ``pathologist``.
        language: Language tag of the words.
        direction: ``ltr`` or ``rtl``.
        written: The day on it, as ``2026-03-04``; can be empty.
        subject: Kind and number, nothing of the patient: for the page's title.
        title: The title.
        running: Who it is about and which report: it stands on every page.
        date: The date's line; can be empty.
        sender: The sender's lines.
        recipient: The recipient's lines.
        banner: Lines that stand above everything.
        header: Lines before the first section.
        footer: Lines after the last one.
        sections: The parts, in order.
    """

    kind: str
    language: str
    direction: str
    written: str
    subject: str
    title: Words
    running: Words
    date: Words
    sender: tuple[Words, ...]
    recipient: tuple[Words, ...]
    banner: tuple[Words, ...]
    header: tuple[Words, ...]
    footer: tuple[Words, ...]
    sections: tuple[SectionView, ...]


def letter_view(tree: Tree) -> LetterView:
    """Return a letter as templates see it."""
    return LetterView(
        kind=tree.kind.value,
        language=printable(tree.language),
        direction="rtl" if is_right_to_left(tree.language) else "ltr",
        written=printable(tree.written),
        subject=printable(tree.subject),
        title=Words(tree.title),
        running=Words(tree.running),
        date=Words(tree.date),
        sender=_lines(tree.sender),
        recipient=_lines(tree.recipient),
        banner=_lines(tree.banner),
        header=_lines(tree.header),
        footer=_lines(tree.footer),
        sections=tuple(section_view(section) for section in tree.sections),
    )


def section_view(section: Section) -> SectionView:
    """Return one part of a letter as templates see it."""
    blocks = tuple(_block(one) for block in section.blocks for one in _with_codes(block))
    return SectionView(section.part.value, section.level, Words(section.heading), blocks)


def _with_codes(block: Block) -> tuple[Block, ...]:
    """Return a block, and after a signature its codes as blocks of their own."""
    return (block, *block.codes) if isinstance(block, Signature) else (block,)


def _lines(lines: Iterable[Line]) -> tuple[Words, ...]:
    return tuple(Words(line) for line in lines)


def _block(block: Block) -> BlockView:
    lines: tuple[Line, ...]
    rows: tuple[Fact, ...] = ()
    figures: tuple[Figure, ...] = ()
    tone = Tone.PLAIN
    match block:
        case Paragraph(line, tone):
            kind, lines = "paragraph", (line,)
        case Items(lines):
            kind = "items"
        case Facts(rows):
            kind, lines = "facts", _as_lines(rows)
        case Figures(figures):
            kind, lines = "figures", tuple(one.caption for one in figures)
        case Beside(Facts(rows), figure):
            kind, lines, figures = "beside", (*_as_lines(rows), figure.caption), (figure,)
        case Code(content, picture, caption):
            kind, lines = "code", (caption, (Entered(content),))
            figures = () if picture is None else (Figure(picture, caption),)
        case Signature(lines, _):
            kind = "signature"
    shown = tuple(RowView(printable(row.label), _lines(row.lines)) for row in rows)
    return BlockView(kind, tone.value, _lines(lines), shown, tuple(map(_figure, figures)))


def _as_lines(rows: tuple[Fact, ...]) -> tuple[Line, ...]:
    return tuple((f"{row.label}: ", *line) for row in rows for line in row.lines)


def _figure(figure: Figure) -> FigureView:
    share = min(max(figure.picture.width, 0.0), 1.0)
    return FigureView(_picture(figure.picture), Words(figure.caption), f"{share * 100:.4g}%")


def _picture(picture: Picture) -> Shown:
    drawing = _drawing(picture) if picture.media_type == _SVG_TYPE else None
    return Shown(drawing or _embedded(picture), picture.words)


def _embedded(picture: Picture) -> str:
    data = base64.b64encode(picture.content).decode("ascii")
    words = escape(plain_words(picture.words))
    return f'<img src="data:{escape(picture.media_type)};base64,{data}" alt="{words}">'


def _drawing(picture: Picture) -> str | None:
    """Return a drawing as a part of the page, with its words; ``None`` where it is made of more than lines and text."""
    from lxml import etree  # noqa: PLC0415 - loaded on first use

    parser = etree.XMLParser(resolve_entities=False, no_network=True, remove_comments=True, remove_pis=True)
    try:
        root = etree.fromstring(picture.content, parser)
    except etree.XMLSyntaxError:
        return None
    if not all(_is_drawn(element) for element in root.iter()):
        return None
    for named in root.findall(f"{{{_SVG}}}title") + root.findall(f"{{{_SVG}}}desc"):
        root.remove(named)
    for name in {"aria-labelledby", "aria-describedby", "aria-hidden"} & set(root.attrib):
        del root.attrib[name]
    wide, high = root.get("width", ""), root.get("height", "")
    if root.get("viewBox") is None and _NUMBER.fullmatch(wide) and _NUMBER.fullmatch(high):
        # Without it a drawing isn't scaled but cut.
        root.set("viewBox", f"0 0 {wide} {high}")
    root.set("role", "img")
    root.set("aria-label", plain_words(picture.words))
    return etree.tostring(root, encoding="unicode", with_tail=False)


def _is_drawn(element: etree._Element) -> bool:
    name = element.tag
    if not isinstance(name, str) or element.prefix is not None or not name.startswith(f"{{{_SVG}}}"):
        return False
    return name.rpartition("}")[2] in _DRAWN and all(
        not (key.lower().startswith("on") or key == "style" or (key.startswith("{") and "XMLSchema" not in key))
        and ("href" not in key or value.startswith("#"))
        and ("url(" not in value or value.replace(" ", "").startswith("url(#"))
        for key, value in element.attrib.items()
    )
