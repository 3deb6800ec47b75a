"""Small pieces of HTML that several pages share: escaped text, tables, sources, links between pages."""

from __future__ import annotations

import posixpath
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from html import escape

from dermreport.sources import Basis, Known, Source


@dataclass(frozen=True, slots=True)
class Page:
    """One page that is made.

    Attributes:
        uri: Where it stands among the sources, as ``reference/rules.md``.
        title: Its title.
        body: Markdown or HTML below the title.
    """

    uri: str
    title: str
    body: str

    @property
    def markdown(self) -> str:
        """The page as a source of the site."""
        return f"# {self.title}\n\n{self.body}\n"


@dataclass(frozen=True, slots=True)
class Row:
    """One row of a table.

    Attributes:
        cells: HTML; the first is the row's header.
        id: By what a link finds it.
        data: What a filter asks of it, by the filter's name: words without spaces.
    """

    cells: Sequence[str]
    id: str = ""
    data: Mapping[str, Iterable[str]] = field(default_factory=dict)


def link(here: str, to: str, words: str) -> str:
    """Return a link to another page of the site, or a row of it; ``words`` are HTML."""
    uri, _, anchor = to.partition("#")
    path = posixpath.relpath(uri.removesuffix(".md") + ".html", posixpath.dirname(here) or ".") if uri else ""
    return f'<a href="{escape(path)}{"#" if anchor else ""}{escape(anchor)}">{words}</a>'


def table(heads: Sequence[str], rows: Iterable[Row], name: str = "", caption: str = "") -> str:
    """Return a table: the first cell of a row is its header."""
    lines = [f'<table id="{name}">' if name else "<table>"]
    if caption:
        lines.append(f"<caption>{escape(caption)}</caption>")
    lines.append("<thead><tr>" + "".join(f'<th scope="col">{escape(one)}</th>' for one in heads) + "</tr></thead>")
    lines.append("<tbody>")
    for row in rows:
        data = "".join(f' data-{key}="{escape(" ".join(words))}"' for key, words in row.data.items())
        first, *others = row.cells
        cells = f'<th scope="row">{first}</th>' + "".join(f"<td>{cell}</td>" for cell in others)
        named = f' id="{escape(row.id)}"' if row.id else ""
        lines.append(f"<tr{named}{data}>{cells}</tr>")
    return "\n".join([*lines, "</tbody>", "</table>"]) + "\n"


def plain_rows(pairs: Iterable[Sequence[str]]) -> list[Row]:
    """Return rows without id and filter; the cells are HTML."""
    return [Row(pair) for pair in pairs]


def items(parts: Iterable[str]) -> str:
    """Return a list of pieces of HTML; nothing where there is none."""
    joined = "".join(f"<li>{part}</li>" for part in parts)
    return f"<ul>{joined}</ul>" if joined else ""


def source(one: Source) -> str:
    """Return a source with its title as a link to where it is."""
    address = f"https://doi.org/{one.locator[4:]}" if one.locator.startswith("doi:") else one.locator
    if not address.startswith("https://"):
        return f"{escape(one.title)} ({escape(one.locator)})"
    return f'<a href="{escape(address)}">{escape(one.title)}</a>'


def known(basis: Basis) -> str:
    """Return how a fact is known: seen in which sources, from memory, or common practice."""
    if basis.known is Known.SEEN:
        words = "seen: " + "; ".join(map(source, basis.sources))
    elif basis.known is Known.MEMORY:
        words = "from memory, not checked"
    else:
        words = "common practice, no source"
    return f"{words}. {escape(basis.note)}" if basis.note else words


def because(basis: Basis) -> str:
    """Return how a fact is known, set apart from the fact."""
    return f'<span class="source">{known(basis)}</span>'


def choice(name: str, label: str, options: Iterable[tuple[str, str]], of: str) -> str:
    """Return one choice of a filter; ``of`` is the id of its table."""
    listed = "".join(f'<option value="{escape(value)}">{escape(words)}</option>' for value, words in options)
    return (
        f'<div><label for="{of}-{name}">{escape(label)}</label>'
        f'<select id="{of}-{name}" name="{name}"><option value="">any</option>{listed}</select></div>'
    )


def filters(of: str, choices: Iterable[str]) -> str:
    """Return the filter of a table: words, choices, and how many rows are shown; a script shows it."""
    return (
        f'<form class="filter" data-table="{of}" aria-label="Filter the table" hidden>'
        f'<div><label for="{of}-words">Words</label><input id="{of}-words" type="search" autocomplete="off"></div>'
        f'{"".join(choices)}<div><button type="reset">Show all</button></div><p role="status"></p></form>\n\n'
    )
