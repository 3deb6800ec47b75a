"""Texts that other files own, taken into a page: sections of README and DEVELOPERS.md, files of examples.

A line ``[[include README.md#Settings]]`` is replaced by that section, its headings below the page's own; without a
heading it is what stands before the first one. ``[[include? …]]`` is left out where file or section isn't there.
A link to a section that isn't taken in leads to the page that the section points to. Links of a page to files of the
project are written as they work in a checkout, and led to the copies in the site.
"""

from __future__ import annotations

import posixpath
import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[3]
_LINE = re.compile(r"^\[\[include(\??) ([^#\]]+)(?:#([^\]]+))?\]\]$", re.MULTILINE)
_FENCE = re.compile(r"^(`{3,}).*?^\1$", re.MULTILINE | re.DOTALL)
_HEADING = re.compile(r"^(#{1,5}) (.+)$", re.MULTILINE)
_PAGES = "examples/site/docs/"
#: The page of what is published as files.
FILES_PAGE = "reference/files.md"
_LINK = re.compile(r"(?<=\]\()([^)\s]+)(?=\))")


def slug(heading: str) -> str:
    """Return the anchor of a heading."""
    return re.sub(r"[^\w\- ]", "", heading.lower()).strip().replace(" ", "-")


def headings(text: str) -> list[re.Match[str]]:
    """Return the headings of a Markdown text; lines within code are none."""
    fences = [found.span() for found in _FENCE.finditer(text)]
    return [
        found for found in _HEADING.finditer(text) if not any(start <= found.start() < end for start, end in fences)
    ]


def section(text: str, heading: str | None) -> str | None:
    """Return what stands below a heading, or before the first one of the second level; None where there is none."""
    found = headings(text)
    if heading is None:
        title = next((one for one in found if len(one[1]) == 1), None)
        first = next((one for one in found if len(one[1]) > 1), None)
        return text[title.end() if title else 0 : first.start() if first else len(text)].strip()
    for at, one in enumerate(found):
        if one[2] == heading:
            end = next((other.start() for other in found[at + 1 :] if len(other[1]) <= len(one[1])), len(text))
            return text[one.end() : end].strip()
    return None


def pointed_to(file: str, anchor: str) -> str | None:
    """Return the page of the site that a section of a file points to first; None where it points to none."""
    text = (ROOT / file).read_text(encoding="utf-8")
    for one in headings(text):
        if slug(one[2]) == anchor:
            links = _LINK.findall(section(text, one[2]) or "")
            return next((link.removeprefix(_PAGES) for link in links if link.startswith(_PAGES)), None)
    return None


def whole(text: str) -> str:
    """Return a file without its title."""
    title = next((one for one in headings(text) if len(one[1]) == 1), None)
    return text[title.end() :].strip() if title else text.strip()


@dataclass(frozen=True, slots=True)
class Includes:
    """Where each section of another file stands in the site.

    Attributes:
        places: By file and anchor: the page.
    """

    places: dict[tuple[str, str], str]

    @classmethod
    def of(cls, sources: Iterable[tuple[str, str]]) -> Includes:
        """Read the pages of the site: each with its uri and its text."""
        places: dict[tuple[str, str], str] = {}
        for uri, text in sources:
            for _, file, heading in _LINE.findall(text):
                places.setdefault((file, slug(heading)), uri)
                # A whole file, or a section, also has the headings within.
                path = ROOT / file
                if path.is_file():
                    own = path.read_text(encoding="utf-8")
                    body = section(own, heading) if heading else (whole(own) if _is_whole(file) else "")
                    for inner in headings(body or ""):
                        places.setdefault((file, slug(inner[2])), uri)
        return cls(places)

    def replaced(self, uri: str, text: str, copied: Callable[[str], str]) -> str:
        """Return a page with what it includes.

        Args:
            uri: The page.
            text: Its text.
            copied: Takes a file of the project into the site and returns where it is there.

        Raises:
            LookupError: A file or section that must be there isn't.
        """

        def taken(line: re.Match[str]) -> str:
            optional, file, heading = line.groups()
            path = ROOT / file
            own = path.read_text(encoding="utf-8") if path.is_file() else None
            body = None
            if own is not None:
                body = whole(own) if heading is None and _is_whole(file) else section(own, heading)
            if body is None:
                if optional:
                    return ""
                raise LookupError(f"{uri}: there is no {line[0]}")
            taken_in = self._led(uri, file, _lowered(body), copied)
            return f'<div id="{_mark(file)}"></div>\n\n{taken_in}' if heading is None and _is_whole(file) else taken_in

        return _LINE.sub(taken, self._out_of_the_pages(uri, text, copied))

    def _led(self, uri: str, file: str, body: str, copied: Callable[[str], str]) -> str:
        """Return a text whose links lead to where things are in the site."""

        def led(found: re.Match[str]) -> str:
            target = found[1]
            if re.match(r"[a-z]+:", target):
                return target
            path, _, anchor = target.partition("#")
            owner = posixpath.normpath(posixpath.join(posixpath.dirname(file), path)) if path else file
            if not path or owner in {"README.md", "DEVELOPERS.md"}:
                return self._page(uri, owner, anchor)
            if owner.startswith(_PAGES):
                page = posixpath.relpath(owner.removeprefix(_PAGES), posixpath.dirname(uri) or ".")
                return f"{page}#{anchor}" if anchor else page
            return self._copy(uri, owner, copied)

        return _LINK.sub(led, body)

    def _out_of_the_pages(self, uri: str, text: str, copied: Callable[[str], str]) -> str:
        """Return a page whose links to files of the project, as they work in a checkout, lead to their copies."""

        def led(found: re.Match[str]) -> str:
            owner = posixpath.normpath(posixpath.join(_PAGES, posixpath.dirname(uri), found[1]))
            within = owner.startswith(_PAGES) or not found[1].startswith("../")
            return found[1] if within else self._copy(uri, owner, copied)

        return _LINK.sub(led, text)

    def _copy(self, uri: str, owner: str, copied: Callable[[str], str]) -> str:
        """Return where a file of the project, or what a folder has, is for a page."""
        if (ROOT / owner).is_dir():
            return self._folder(uri, owner.rstrip("/"), copied)
        return posixpath.relpath(copied(owner), posixpath.dirname(uri) or ".")

    def _folder(self, uri: str, folder: str, copied: Callable[[str], str]) -> str:
        """Return where what a folder has is told: where its README is taken in, else a copy of it.

        Raises:
            LookupError: Nothing in the site tells of it.
        """
        here = posixpath.dirname(uri) or "."
        if folder.partition("/")[0] == "profiles":
            return posixpath.relpath(FILES_PAGE, here)
        readme = f"{folder}/README.md"
        if not (ROOT / readme).is_file():
            raise LookupError(f"{uri}: the folder {folder} is on no page of the site, and has no README")
        page = self.places.get((readme, ""))
        if page is None:
            return posixpath.relpath(copied(readme), here)
        return f"{posixpath.relpath(page, here)}#{_mark(readme)}"

    def _page(self, uri: str, file: str, anchor: str) -> str:
        if anchor:
            page = self.places.get((file, anchor))
            if page is None and (pointed := pointed_to(file, anchor)):
                return posixpath.relpath(pointed, posixpath.dirname(uri) or ".")
            if page is None:
                raise LookupError(f"{uri}: {file}#{anchor} is on no page of the site")
            own = slug(next((one for one in _titles(file) if slug(one) == anchor), anchor))
            heads_page = (file, own) in self.places and _is_head(page, file, own)
            return posixpath.relpath(page, posixpath.dirname(uri) or ".") + ("" if heads_page else f"#{anchor}")
        page = {"README.md": "index.md", "DEVELOPERS.md": "project/versions.md"}[file]
        return posixpath.relpath(page, posixpath.dirname(uri) or ".")


def _mark(file: str) -> str:
    """Return the anchor of a file that is taken in as a whole: it has no heading of its own there."""
    return slug(file.replace("/", "-").replace(".", "-"))


def _is_whole(file: str) -> bool:
    return file not in {"README.md", "DEVELOPERS.md"}


def _titles(file: str) -> list[str]:
    return [one[2] for one in headings((ROOT / file).read_text(encoding="utf-8"))]


def _is_head(page: str, file: str, anchor: str) -> bool:
    """Return whether a page includes a section by its own name, so that the section's heading isn't on it."""
    source = Path(__file__).resolve().parents[1] / "docs" / page
    text = source.read_text(encoding="utf-8") if source.is_file() else ""
    return any(owner == file and slug(heading) == anchor for _, owner, heading in _LINE.findall(text))


def _lowered(body: str) -> str:
    """Return a section whose headings begin at the second level."""
    found = headings(body)
    if not found:
        return body
    shift = 2 - min(len(one[1]) for one in found)
    parts, at = [], 0
    for one in found:
        parts += [body[at : one.start()], "#" * (len(one[1]) + shift), " ", one[2]]
        at = one.end()
    return "".join([*parts, body[at:]]) if shift else body
