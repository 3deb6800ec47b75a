"""The block tree as the data that the page template reads: JSON, and a file for each picture."""

from __future__ import annotations

import json
import re
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Any, Final, NamedTuple

from dermreport.letter_file import LetterKind
from dermreport.letters.blocks import (
    Beside,
    Code,
    Entered,
    Facts,
    Figure,
    Figures,
    Items,
    LetterPart,
    Paragraph,
    Signature,
)
from dermreport.letters.pdf.text import Run, Words, texts_of

if TYPE_CHECKING:
    from collections.abc import Collection, Iterator, Sequence

    from dermreport.letters.blocks import Block, Line, Picture, Section, Tree

#: The template's name for what a picture is written in.
_FORMATS: Final = {"image/svg+xml": "svg", "image/png": "png", "image/jpeg": "jpg"}
#: Smallest and largest width of a picture, and the space between two, over the text width.
_NARROW, _WIDE, _WIDE_BESIDE, _GAP = 0.1, 1.0, 0.5, 4 / 165
#: How many rows or lines, and how many characters, are kept on one page.
_SHORT_LINES, _SHORT = 8, 800
#: How many characters a label has at most.
_LONG_LABEL = 300
_is_language = re.compile(r"([A-Za-z]{2,3})(?:-[A-Za-z]{4})?(?:-([A-Za-z]{2}))?(?:-.*)?").fullmatch


class Placed(NamedTuple):
    """A picture and where in the tree it stands."""

    path: str
    picture: Picture


@dataclass(frozen=True, slots=True)
class Page:
    """What the template reads.

    Attributes:
        letter: ``letter.json``.
        files: Every other file, by its name: one a picture.
        day: The day on it, for metadata.
        replaced: How many characters were replaced.
    """

    letter: dict[str, Any]
    files: dict[str, bytes]
    day: date | None
    replaced: int

    def as_files(self) -> dict[str, bytes]:
        """Return all files by their names."""
        return {"letter.json": json.dumps(self.letter, ensure_ascii=False).encode(), **self.files}


def placed(tree: Tree) -> Iterator[Placed]:
    """Yield every picture with its path in the tree."""
    for number, section in enumerate(tree.sections):
        for place, block in enumerate(section.blocks):
            path = f"$.sections[{number}].blocks[{place}]"
            match block:
                case Figures(figures):
                    for position, one in enumerate(figures):
                        yield Placed(f"{path}.figures[{position}].picture", one.picture)
                case Beside(_, figure):
                    yield Placed(f"{path}.figure.picture", figure.picture)
                case Code(_, picture, _) if picture is not None:
                    yield Placed(f"{path}.picture", picture)
                case Signature(_, codes):
                    for position, code in enumerate(codes):
                        if code.picture is not None:
                            yield Placed(f"{path}.codes[{position}].picture", code.picture)
                case _:
                    pass


def as_file(picture: Picture) -> tuple[str, bytes] | None:
    """Return the format of a picture and its file for the template, which takes text only; nothing if it can't be."""
    form = _FORMATS.get(picture.media_type)
    if form == "svg":
        try:
            picture.content.decode()
        except UnicodeDecodeError:
            return None
        return form, picture.content
    return (form, str(list(picture.content)).encode()) if form is not None else None


def page_of(tree: Tree, left_out: Collection[Picture] = ()) -> Page:
    """Return the data of a letter.

    Args:
        tree: The letter.
        left_out: Pictures that are left out; their words stand in their place.
    """
    return _Pages(tree, left_out).page()


def plain_page(tree: Tree) -> Page:
    """Return the data of a letter as plain lines."""
    words = Words(tree.language)
    lines = [made for line in lines_of(tree) if (made := words.plain(line))]
    return Page({"subject": words.plain((tree.subject,)), "lines": lines}, {}, None, words.replaced)


class _Pages:
    """Makes the data of one letter."""

    def __init__(self, tree: Tree, left_out: Collection[Picture]) -> None:
        self._tree = tree
        self._words = Words(tree.language)
        self._files: dict[str, bytes] = {}
        self._left_out = left_out

    def page(self) -> Page:
        tree, words = self._tree, self._words
        language = _is_language(tree.language)
        day = _day(tree.written)
        letter = {
            "subject": words.plain((tree.subject,)),
            "day": {"year": day.year, "month": day.month, "day": day.day} if day is not None else None,
            "language": language[1].lower() if language else "und",
            "region": language[2] if language else None,
            "compact": tree.kind is not LetterKind.PATIENT,
            "title": words.runs(tree.title),
            "running": words.runs(tree.running),
            "date": words.runs(tree.date),
            "sections": self._sections(tree.sections),
        }
        for name in ("sender", "recipient", "banner", "header", "footer"):
            letter[name] = self._lines(getattr(tree, name))
        return Page(letter, self._files, day, words.replaced)

    def _sections(self, sections: Sequence[Section]) -> list[dict[str, Any]]:
        done = []
        depth = 1 if any(self._tree.title) else 0
        for section in sections:
            heading = self._words.runs(section.heading)
            if heading:
                # A level that is left out would break the outline that is read aloud.
                depth = min(section.level, depth + 1)
            blocks = [made for block in section.blocks if (made := self._block(block)) is not None]
            done.append(
                {
                    "heading": heading,
                    "level": section.level,
                    "depth": depth,
                    "small": section.part is LetterPart.CAUTIONS,
                    "blocks": blocks,
                    "together": all(one["together"] for one in blocks) and _length(blocks) <= _SHORT,
                }
            )
        return done

    def _block(self, block: Block) -> dict[str, Any] | None:
        made = self._content(block)
        return {**made, "together": _is_short(made)} if made is not None else None

    def _content(self, block: Block) -> dict[str, Any] | None:  # noqa: PLR0911 - one return a kind of block
        words = self._words
        match block:
            case Paragraph(line, tone):
                text = words.runs(line)
                return {"kind": "paragraph", "tone": tone.value, "text": text} if text else None
            case Items(lines, tone):
                made = self._lines(lines)
                return {"kind": "items", "lines": made, "tone": tone} if made else None
            case Facts():
                rows = self._rows(block)
                return {"kind": "facts", "rows": rows} if rows else None
            case Figures(figures):
                return {"kind": "figures", "rows": _packed([self._figure(one) for one in figures])}
            case Beside(facts, figure):
                beside = self._figure(figure)
                beside["width"] = min(beside["width"], _WIDE_BESIDE)
                rows = self._rows(facts)
                if not rows:
                    return {"kind": "figures", "rows": [[beside]]}
                return {"kind": "beside", "rows": rows, "figure": beside}
            case Code():
                return {"kind": "code", **self._code(block)}
            case Signature(lines, codes):
                return {"kind": "signature", "lines": self._lines(lines), "codes": [self._code(one) for one in codes]}

    def _code(self, code: Code) -> dict[str, Any]:
        figure = self._figure(Figure(code.picture, ())) if code.picture is not None else None
        return {"figure": figure, "text": self._under((code.caption, (Entered(code.content),)))}

    def _lines(self, lines: Sequence[Line]) -> list[list[Run]]:
        return [made for line in lines if (made := self._words.runs(line))]

    def _under(self, lines: Sequence[Line]) -> list[Run]:
        """Return lines under each other."""
        return [run for runs in self._lines(lines) for run in ("\n", *runs)][1:]

    def _rows(self, facts: Facts) -> list[dict[str, Any]]:
        rows = []
        for fact in facts.rows:
            # A label stands on one page; one that is longer than any of ours stands with what it labels.
            label, text = (self._words.plain((fact.label,)),), fact.lines
            if len(label[0]) > _LONG_LABEL:
                label, text = ("",), (label, *text)
            rows.append({"label": self._words.runs(label), "lines": self._lines(text) or [[]]})
        return rows

    def _figure(self, figure: Figure) -> dict[str, Any]:
        picture = figure.picture
        file = as_file(picture) if picture not in self._left_out else None
        name = f"picture-{len(self._files)}"
        if file is not None:
            name = f"{name}.{'svg' if file[0] == 'svg' else 'json'}"
            self._files[name] = file[1]
        words = self._words.plain(picture.words) or self._words.plain(figure.caption)
        return {
            "file": name if file is not None else None,
            "format": file[0] if file is not None else None,
            "alt": words or self._words.plain((self._tree.subject,)),
            "words": self._words.runs(picture.words),
            "caption": self._words.runs(figure.caption),
            "width": min(max(picture.width, _NARROW), _WIDE),
        }


def _day(written: str) -> date | None:
    try:
        return date.fromisoformat(written[:10])
    except ValueError:
        return None


def _is_short(made: dict[str, Any]) -> bool:
    """Return whether a block is so short that it better isn't divided."""
    lines = made.get("rows") or made.get("lines", ())
    return len(lines) <= _SHORT_LINES and _length(made) <= _SHORT


def _length(made: Any) -> int:  # noqa: ANN401 - JSON
    return sum(map(len, texts_of(made)))


def _packed(figures: list[dict[str, Any]]) -> list[list[dict[str, Any]]]:
    """Return figures in rows, as many side by side as the width takes."""
    rows: list[list[dict[str, Any]]] = []
    taken = _WIDE
    for figure in figures:
        taken += _GAP + figure["width"]
        if taken > _WIDE:
            rows.append([])
            taken = figure["width"]
        rows[-1].append(figure)
    return rows


def lines_of(tree: Tree) -> Iterator[Line]:
    """Yield every line of a letter in the order in which it is read, the running one last."""
    yield from (*tree.banner, *tree.recipient, *tree.sender, tree.date, tree.title, *tree.header)
    for section in tree.sections:
        yield section.heading
        for block in section.blocks:
            yield from _lines_of_block(block)
    yield from (*tree.footer, tree.running)


def _lines_of_block(block: Block) -> Iterator[Line]:
    match block:
        case Paragraph(line):
            yield line
        case Items(lines, _):
            yield from lines
        case Signature(lines, codes):
            yield from (*lines, *(line for code in codes for line in _lines_of_block(code)))
        case Facts(rows):
            for row in rows:
                yield (row.label,)
                yield from row.lines
        case Figures(figures):
            for figure in figures:
                yield from (figure.picture.words, figure.caption)
        case Beside(facts, figure):
            yield from _lines_of_block(facts)
            yield from (figure.picture.words, figure.caption)
        case Code(content, _, caption):
            yield from (caption, (Entered(content),))
