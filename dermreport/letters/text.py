"""A letter as plain text: UTF-8, lines of at most 96 characters where words allow, no control characters."""

from __future__ import annotations

import re
import textwrap
import unicodedata
from collections.abc import Iterable, Iterator

from dermreport.letters.blocks import (
    Beside,
    Block,
    Code,
    Entered,
    Fact,
    Facts,
    Figures,
    Items,
    Line,
    Paragraph,
    Section,
    Signature,
    Tone,
    Tree,
)
from dermreport.letters.characters import undirected

_WIDTH = 96
#: What a paragraph begins with, by its tone.
_MARKS = {Tone.PLAIN: "", Tone.SMALL: "", Tone.URGENT: "!! ", Tone.WARNING: "! "}
_INDENT = "    "
_RIGHT_TO_LEFT = frozenset(("R", "AL", "AN"))
_breaks = re.compile(r"[\t\r\n\u2028\u2029\x0b\x0c\x85]+")


def write_text(tree: Tree) -> str:
    """Return a letter as plain text.

    Every letter ends in a line break; lines are wrapped at 96 characters between words, and a word is never broken.
    """
    lines: list[str] = []
    for line in tree.banner:
        lines += [*_wrapped(_said(line)), ""]
    for party in (tree.sender, tree.recipient):
        if party:
            lines += [*(_said(line) for line in party), ""]
    if tree.date:
        lines += [_said(tree.date), ""]
    title = _said(tree.title)
    lines += [title, "=" * min(len(title), _WIDTH), _said(tree.running), ""]
    for line in tree.header:
        lines += [*_wrapped(_said(line)), ""]
    for section in tree.sections:
        lines += [*_section(section), ""]
    for line in tree.footer:
        lines += [*_wrapped(_said(line)), ""]
    return "\n".join(lines).rstrip() + "\n"


def _said(line: Line) -> str:
    """Return a line as text, entered words that could turn the direction set apart; nothing in it breaks the line."""
    return "".join(_isolated(part) if isinstance(part, Entered) else part for part in line)


def _isolated(entered: str) -> str:
    text = _breaks.sub(" ", entered)
    kept = undirected(text)
    turned = kept != text or any(unicodedata.bidirectional(one) in _RIGHT_TO_LEFT for one in text)
    return f"\u2068{kept}\u2069" if turned else text


def _wrapped(text: str, first: str = "", rest: str = "") -> list[str]:
    return textwrap.wrap(
        text,
        width=_WIDTH,
        initial_indent=first,
        subsequent_indent=rest,
        break_long_words=False,
        break_on_hyphens=False,
    ) or [first.rstrip()]


def _section(section: Section) -> Iterator[str]:
    if section.heading:
        heading = _said(section.heading)
        yield heading
        yield ("-" if section.level == 2 else "·") * min(len(heading), _WIDTH)  # noqa: PLR2004 - the level of a part
    for block in section.blocks:
        yield from _block(block)


def _block(block: Block) -> Iterator[str]:
    """Yield the lines of a block."""
    match block:
        case Paragraph(line, tone):
            yield from _wrapped(_said(line), _MARKS[tone], " " * len(_MARKS[tone]))
        case Items(lines, _):
            yield from _items(lines)
        case Facts(rows):
            yield from _facts(rows)
        case Beside(facts, figure):
            yield from _facts(facts.rows)
            yield from _wrapped(_said(figure.picture.words), "", _INDENT)
        case Figures(figures):
            yield from _items([figure.caption for figure in figures])
        case Code():
            yield from _code(block)
        case Signature(lines, codes):
            yield from ("", "_" * 40, *(wrapped for line in lines for wrapped in _wrapped(_said(line))))
            for code in codes:
                yield from _code(code)


def _code(code: Code) -> Iterator[str]:
    yield from (_said((Entered(line),)) for line in code.content.split("\n"))
    yield from _wrapped(_said(code.caption))


def _items(lines: Iterable[Line]) -> Iterator[str]:
    for line in lines:
        yield from _wrapped(_said(line), "- ", "  ")


def _facts(rows: Iterable[Fact]) -> Iterator[str]:
    for row in rows:
        yield from _fact(row)


def _fact(row: Fact) -> Iterator[str]:
    if len(row.lines) == 1:
        yield from _wrapped(f"{row.label}: {_said(row.lines[0])}", "", _INDENT)
        return
    yield f"{row.label}:"
    for line in row.lines:
        yield from _wrapped(_said(line), "  - ", _INDENT)
