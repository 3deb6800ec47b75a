"""Builds the site as a reader of the README would, and reads what came of it."""

from __future__ import annotations

import subprocess
import sys
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from urllib.parse import unquote, urlsplit

from lxml import html

ROOT = Path(__file__).parent.parent
SOURCES = ROOT / "examples" / "site"
DOCS = SOURCES / "docs"


def build(folder: Path) -> None:
    """Build the site; a warning is an error."""
    command = [sys.executable, "-m", "mkdocs", "build", "--strict", "--config-file", str(SOURCES / "mkdocs.yml")]
    done = subprocess.run([*command, "--site-dir", str(folder)], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    assert "WARNING" not in done.stderr, done.stderr


@dataclass
class Site:
    """A built site."""

    folder: Path
    _trees: dict[str, html.HtmlElement] = field(default_factory=dict)

    @cached_property
    def pages(self) -> list[str]:
        """Addresses of all pages."""
        return sorted(path.relative_to(self.folder).as_posix() for path in self.folder.rglob("*.html"))

    def tree(self, page: str) -> html.HtmlElement:
        """Return a page."""
        if page not in self._trees:
            self._trees[page] = html.document_fromstring((self.folder / page).read_bytes().decode())
        return self._trees[page]

    def main(self, page: str) -> html.HtmlElement:
        """Return what a page says."""
        return self.tree(page).get_element_by_id("content")

    def text(self, page: str) -> str:
        """Return the words of a page, with one space between them."""
        return " ".join(self.main(page).text_content().split())

    def row(self, page: str, name: str) -> str:
        """Return the words of a row by its id."""
        return " ".join(self.tree(page).get_element_by_id(name).text_content().split())

    def dead_links(self, page: str) -> list[str]:
        """Return links within the site that lead to no file or to no place in it."""
        dead = []
        for element, attribute, target, _ in self.tree(page).iterlinks():
            parts = urlsplit(target)
            if parts.scheme in {"http", "https", "mailto", "data"}:
                continue
            path = ((self.folder / page).parent / unquote(parts.path)).resolve() if parts.path else self.folder / page
            if not path.is_file() or not path.is_relative_to(self.folder.resolve()):
                dead.append(f"{page}: {element.tag} {attribute} {target}")
            elif parts.fragment and path.suffix == ".html":
                names = self.tree(path.relative_to(self.folder.resolve()).as_posix()).xpath("//@id | //a/@name")
                if unquote(parts.fragment) not in names:
                    dead.append(f"{page}: no place {target}")
        return dead

    def fetched(self, page: str) -> list[str]:
        """Return what a page would fetch from elsewhere."""
        return [
            target
            for element, attribute, target, _ in self.tree(page).iterlinks()
            if urlsplit(target).scheme in {"http", "https"} and not (element.tag == "a" and attribute == "href")
        ]
