"""A letter as PDF: tagged for screen readers (PDF/UA-1) and made to be kept (PDF/A-2a), set by typst.

Whatever stands against that, a letter comes of it: without the standards, without pictures, or as plain lines, each
with an issue that says so.
"""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any, NamedTuple

from dermreport.issues import BuildError
from dermreport.letters.pdf import rules
from dermreport.letters.pdf.page import Page, as_file, form_of, page_of, placed, plain_page
from dermreport.letters.pdf.setting import READABLE, STANDARDS, pdf_of, typefaces
from dermreport.letters.pdf.text import rare_words

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from dermreport.issues import Issue
    from dermreport.letters.blocks import Picture, Tree


class _Way(NamedTuple):
    """One way to write a letter, and what is to be said of it."""

    template: str
    page: Page
    faces: Any
    standards: tuple[str, ...]
    issues: tuple[Issue, ...]


def write_pdf(tree: Tree, fonts: Path | None = None) -> tuple[bytes, tuple[Issue, ...]]:
    """Write a letter as PDF: PDF/UA-1 and PDF/A-2a in one file, the same bytes for the same letter and fonts.

    Nothing of the letter is read as markup. No font of the machine is taken, and nothing is read but the templates
    and the folder of fonts.

    Args:
        tree: The letter.
        fonts: A folder of fonts for scripts that the built-in ones lack; read when it is first asked for.

    Returns:
        The file, and what couldn't be written as asked. None of that withholds the letter.

    Raises:
        MissingExtraError: typst isn't installed.
        BuildError: typst writes nothing at all here; the letter can still be had as text or HTML.
    """
    for way in _ways(tree, fonts):
        content = pdf_of(way.template, way.page.as_files(), way.faces, standards=way.standards, day=way.page.day)
        if content is not None:
            return content, way.issues
    raise BuildError("typst writes no PDF here: take the letter as text or HTML")


def _ways(tree: Tree, fonts: Path | None) -> Iterator[_Way]:
    """Yield the ways to write a letter, the best first; what a later one needs to know is found out on the way."""
    faces = typefaces(fonts)
    issues: list[Issue] = []
    if fonts is not None and all(one.path is None for one in faces.fonts()):
        issues.append(rules.FONTS_UNREADABLE.at("$"))
    page = page_of(tree)
    if page.replaced:
        issues.append(rules.CHARACTER_REPLACED.at("$", count=str(page.replaced)))
    pictures = tuple(placed(tree))
    broken = {one.picture for one in pictures if form_of(one.picture) is None}
    issues += [rules.PICTURE_UNREADABLE.at(one.path) for one in pictures if one.picture in broken]
    standards = STANDARDS if page.day is not None else READABLE
    if page.day is None:
        issues.append(rules.WITHOUT_DAY.at("$"))
    yield _Way("letter", page, faces, standards, tuple(issues))
    more = {one.picture for one in pictures if one.picture not in broken and not _is_readable(one.picture, faces)}
    if more:
        issues += [rules.PICTURE_UNREADABLE.at(one.path) for one in pictures if one.picture in more]
        page = page_of(tree, more)
        yield _Way("letter", page, faces, standards, tuple(issues))
    words = json.dumps(rare_words(page.letter)).encode()
    shown = pdf_of("words", {"letter.json": words}, faces, standards=READABLE) is not None
    issues.append((rules.NOT_ARCHIVABLE if shown else rules.GLYPH_MISSING).at("$"))
    yield _Way("letter", page, faces, (), tuple(issues))
    issues.append(rules.PICTURES_LEFT_OUT.at("$"))
    page = page_of(tree, {one.picture for one in pictures})
    yield _Way("letter", page, faces, (), tuple(issues))
    issues.append(rules.NOT_SET.at("$"))
    yield _Way("plain", plain_page(tree), typefaces(None), (), tuple(issues))


def _is_readable(picture: Picture, faces: Any) -> bool:  # noqa: ANN401 - typst is loaded on first use
    file = as_file(picture)
    if file is None:
        return False
    form, content = file
    one = json.dumps({"file": "picture", "format": form}).encode()
    return pdf_of("picture", {"letter.json": one, "picture": content}, faces) is not None
