"""Safe XHTML: every text is escaped, and a character that reorders text is shown by its number."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any, Final

if TYPE_CHECKING:
    from collections.abc import Iterable

    from dermreport.wording.report import Section

XHTML_NAMESPACE: Final = "http://www.w3.org/1999/xhtml"

#: Explicit directional formatting (UAX #9, 2): one of them can make the rest of a line read backwards.
_REORDERING: Final = (*range(0x202A, 0x202F), *range(0x2066, 0x206A))
_SHOWN: Final = {number: f"[U+{number:04X}]" for number in _REORDERING}
#: The same characters in UTF-8, where one first byte finds them fast.
_is_reordering = re.compile(rb"\xe2(?:\x80[\xaa-\xae]|\x81[\xa6-\xa9])").search


def escaped(text: str) -> str:
    """Return a text for XHTML: markup escaped, line feeds as line breaks, reordering characters shown."""
    text = text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;").replace('"', "&quot;")
    text = text.replace("'", "&#39;").replace("\n", "<br/>").replace("\r", " ")
    return text if text.isascii() or _is_reordering(text.encode()) is None else text.translate(_SHOWN)


def narrative(text: str) -> dict[str, Any]:
    """Return the narrative of a resource that has one sentence to tell."""
    return {"status": "generated", "div": f'<div xmlns="{XHTML_NAMESPACE}"><p>{escaped(text)}</p></div>'}


#: Stands between lines while all of them are escaped at once; no entry and no sentence can hold it.
_BETWEEN: Final = "\x00"


def narrative_of_lines(lines: Iterable[str]) -> dict[str, Any]:
    """Return a narrative with one list of sentences."""
    return {"status": "generated", "div": f'<div xmlns="{XHTML_NAMESPACE}">{_listed(_BETWEEN.join(lines))}</div>'}


def _listed(lines: str) -> str:
    """Return a list of the lines that are joined in a text."""
    return f"<ul><li>{escaped(lines).replace(_BETWEEN, '</li><li>')}</li></ul>"


def narrative_of_sections(title: str, sections: Iterable[Section]) -> dict[str, Any]:
    """Return the narrative of a report: a heading and a list for each section."""
    told = "".join([f"<h2>{section.heading.value}</h2>{_listed(_BETWEEN.join(section.lines))}" for section in sections])
    return {"status": "generated", "div": f'<div xmlns="{XHTML_NAMESPACE}"><h1>{escaped(title)}</h1>{told}</div>'}
