"""What happens when the site is built: pages are made, texts of other files taken in, tables named cell by cell."""

from __future__ import annotations

import json
import re
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from lxml import html
from made import api, doors, fhir, files, hazards, methods, rules, schema, settings, vocabulary
from made.included import ROOT, Includes
from made.markup import Page
from mkdocs.structure.files import File

if TYPE_CHECKING:
    from mkdocs.config.defaults import MkDocsConfig
    from mkdocs.structure.files import Files
    from mkdocs.structure.pages import Page as SitePage

_COPIED = "files"
_DIRECTIVE = re.compile(r"^\[\[(issues|routes|statuses|usage)(?: ([\w-]+))?\]\]$", re.MULTILINE)
_FILE = re.compile(r"\[\[file ([^\]]+)\]\]")
_ROLE = re.compile(r":(?:attr|class|data|func|meth|mod):<code>")
_TABLE = re.compile(r"<table.*?</table>", re.DOTALL)


@cache
def _made() -> tuple[Page, ...]:
    return (
        *vocabulary.pages(),
        *methods.pages(),
        *rules.pages(),
        *fhir.pages(),
        *api.pages(),
        files.page(),
        schema.page(),
        settings.page(),
        hazards.page(),
    )


def on_config(config: MkDocsConfig) -> MkDocsConfig:
    """Put the pages that are made in the contents, where a folder is named."""
    config.nav = _filled(config.nav)
    return config


def _filled(nav: list[Any]) -> list[Any]:
    filled: list[Any] = []
    for entry in nav:
        ((title, target),) = entry.items()
        if isinstance(target, list):
            filled.append({title: _filled(target)})
        elif target.endswith("/"):
            pages = [page for page in _made() if page.uri.startswith(target)]
            filled.append(
                {title: [{"Overview" if page.uri.endswith("/index.md") else page.title: page.uri} for page in pages]}
            )
        else:
            filled.append(entry)
    return filled


def on_files(files: Files, config: MkDocsConfig) -> Files:
    """Add what is made."""
    for page in _made():
        files.append(File.generated(config, page.uri, content=page.markdown))
    files.append(File.generated(config, hazards.CSV, content=hazards.as_csv()))
    return files


@cache
def _includes(docs: str) -> Includes:
    sources = [
        (path.relative_to(docs).as_posix(), path.read_text(encoding="utf-8")) for path in Path(docs).rglob("*.md")
    ]
    return Includes.of([*sources, *((page.uri, page.markdown) for page in _made())])


def on_page_markdown(markdown: str, page: SitePage, config: MkDocsConfig, files: Files) -> str:
    """Take in what other files own, and the tables of a door."""
    uri = page.file.src_uri

    def copied(path: str) -> str:
        if not (ROOT / path).is_file():
            raise LookupError(f"{uri}: there is no file {path}")
        target = f"{_COPIED}/{path}"
        # A page of Markdown would be built as a page of the site.
        target = f"{target}.txt" if target.endswith((".md", ".html")) else target
        if files.get_file_from_path(target) is None:
            files.append(File.generated(config, target, content=(ROOT / path).read_bytes()))
        return target

    def file(found: re.Match[str]) -> str:
        depth = uri.count("/")
        return f"[`{found[1]}`]({'../' * depth}{copied(found[1])})"

    def table(found: re.Match[str]) -> str:
        match found[1]:
            case "issues":
                return rules.issue_table(uri, found[2])
            case "routes":
                return doors.routes()
            case "statuses":
                return doors.statuses()
            case _:
                return doors.usage()

    text = _includes(config.docs_dir).replaced(uri, markdown, copied)
    return _FILE.sub(file, _DIRECTIVE.sub(table, text))


def on_page_content(html: str, **_: object) -> str:
    """Name each cell of a table by its column: narrow screens stack them, and roles keep it a table there."""
    # A docstring names other things by a role, which says nothing to a reader.
    plain = _ROLE.sub("<code>", html)
    return _TABLE.sub(lambda found: _named(found[0]), plain)


def _named(text: str) -> str:
    table = html.fragment_fromstring(text)
    heads = [head.text_content() for head in table.iterfind("thead/tr/th")]
    roles = {"table": "table", "thead": "rowgroup", "tbody": "rowgroup", "tr": "row", "td": "cell"}
    for element in table.iter("table", "thead", "tbody", "tr", "td"):
        element.set("role", roles[element.tag])
    for head in table.iter("th"):
        head.set("role", "rowheader" if head.getparent().getparent().tag == "tbody" else "columnheader")
    for row in table.iterfind("tbody/tr"):
        # A table of Markdown has no header in its rows: the first cell says what the row is about.
        for cell, head in zip(row, heads, strict=False):
            if cell.tag == "td" and head:
                cell.set("data-label", head)
    return html.tostring(table, encoding="unicode")


def on_post_build(config: MkDocsConfig) -> None:
    """Keep the index of the search as a script, which a page from a disk may load too, and drop what isn't used."""
    folder = Path(config.site_dir) / "search"
    index = json.loads((folder / "search_index.json").read_text(encoding="utf-8"))
    titles = {one["location"]: one["title"] for one in index["docs"]}
    # A page is there as a whole, so the part under its own title would say it twice.
    index["docs"] = [
        one
        for one in index["docs"]
        if "#" not in one["location"] or one["title"] != titles[one["location"].partition("#")[0]]
    ]
    (folder / "index.js").write_text(f"window.searchIndex = {json.dumps(index)}\n", encoding="utf-8")
    # Without an address of the site a map of it is empty; the rest belongs to other themes.
    unused = ("search/search_index.json", "search/main.js", "search/worker.js", "assets/_mkdocstrings.css")
    for name in (*unused, "sitemap.xml", "sitemap.xml.gz"):
        (folder.parent / name).unlink(missing_ok=True)
