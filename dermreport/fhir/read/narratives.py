"""Narratives of others, cleaned by an allow-list before they are sent again.

What may stand in a narrative is said by FHIR (R4 and R5, Narrative, txt-1 and txt-3): basic formatting of XHTML, no
script, form, frame, style sheet or object, and no address that a reader's program would fetch or run.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final, NamedTuple

from dermreport.fhir.narrative import XHTML_NAMESPACE, escaped
from dermreport.wording.report import Heading

if TYPE_CHECKING:
    from lxml import etree

_ELEMENTS: Final = frozenset(
    [
        "div",
        "p",
        "br",
        "h1",
        "h2",
        "h3",
        "h4",
        "h5",
        "h6",
        "span",
        "b",
        "i",
        "em",
        "strong",
        "small",
        "big",
        "tt",
        "dfn",
        "q",
        "var",
        "abbr",
        "acronym",
        "cite",
        "blockquote",
        "hr",
        "ul",
        "ol",
        "li",
        "dl",
        "dt",
        "dd",
        "pre",
        "code",
        "samp",
        "kbd",
        "table",
        "caption",
        "colgroup",
        "col",
        "thead",
        "tbody",
        "tfoot",
        "tr",
        "th",
        "td",
        "sub",
        "sup",
        "bdo",
    ]
)
_ATTRIBUTES: Final = frozenset(
    [
        "title",
        "dir",
        "lang",
        "xml:lang",
        "colspan",
        "rowspan",
        "headers",
        "scope",
        "abbr",
        "axis",
        "span",
        "align",
        "valign",
        "start",
        "type",
        "value",
    ]
)
#: Elements that hold nothing.
_EMPTY: Final = frozenset(("br", "hr", "col"))
#: Elements of which not even the text is kept.
_WITHOUT_TEXT: Final = frozenset(
    [
        "script",
        "style",
        "object",
        "embed",
        "applet",
        "iframe",
        "frame",
        "frameset",
        "noscript",
        "form",
        "input",
        "button",
        "select",
        "textarea",
        "svg",
        "math",
        "head",
        "title",
        "link",
        "meta",
        "base",
    ]
)
_has_document_type = re.compile(r"<!\s*(?:DOCTYPE|ENTITY)", re.IGNORECASE).search
_XML_LANG: Final = "{http://www.w3.org/XML/1998/namespace}lang"


class Cleaned(NamedTuple):
    """A narrative that may be sent.

    Attributes:
        div: The markup, ``None`` where nothing of it can be.
        changed: Whether something was taken out.
    """

    div: str | None
    changed: bool


def cleaned(div: str) -> Cleaned:
    """Return a narrative with nothing but the elements and attributes that are allowed."""
    root = _parsed(div)
    if root is None or _local(root) != "div":
        return Cleaned(None, changed=True)
    out: list[str] = []
    changed = _write(root, out, top=True)
    text = "".join(out)
    return Cleaned(text if _has_words(text) else None, changed)


#: Elements after which a line ends.
_BLOCKS: Final = frozenset(
    ["div", "p", "br", "h1", "h2", "h3", "h4", "h5", "h6", "li", "dt", "dd", "tr", "caption", "blockquote", "hr", "pre"]
)


def text_of(div: str) -> str:
    """Return a narrative's text, a line feed after each block; of what isn't XHTML the text between its tags."""
    root = _parsed(div)
    if root is None:
        return re.sub(r"<[^<>]*>", " ", div)
    found: list[str] = []
    _collect(root, found)
    return "".join(found)


def _collect(node: etree._Element, found: list[str]) -> None:
    name = _local(node)
    if name not in _WITHOUT_TEXT:
        found.append(" ".join((node.text or "").split("\n")))
        for child in node:
            if isinstance(child.tag, str):
                _collect(child, found)
            found.append(" ".join((child.tail or "").split("\n")))
    if name in _BLOCKS:
        found.append("\n")
    elif name in {"td", "th"}:
        found.append(" ")


def has_our_form(div: str) -> bool:
    """Return whether a narrative is built as ours are, however its characters are written: nothing stands between."""
    root = _parsed(div)
    if root is None or _local(root) != "div" or root.attrib:
        return False
    below = [_local(child) if isinstance(child.tag, str) else "" for child in root]
    if below != ["p"] and (below[:1] != ["h1"] or below[1:] != ["h2", "ul"] * (len(below) // 2) or len(below) == 1):
        return False
    if not _says_nothing(root.text) or not all(_says_nothing(child.tail) for child in root):
        return False
    lines = [child for child in root if _local(child) != "ul"]
    for listed in root.iterchildren(f"{{{XHTML_NAMESPACE}}}ul"):
        items = list(listed)
        if not _says_nothing(listed.text) or any(_local(one) != "li" or not _says_nothing(one.tail) for one in items):
            return False
        lines += items
    headings = {one.value for one in Heading}
    titles = [one.text for one in root if _local(one) == "h2"]
    return set(titles) <= headings and all(_local(one) == "br" and not len(one) for line in lines for one in line)


def _says_nothing(between: str | None) -> bool:
    return not between or not between.strip()


def same(one: str, other: str) -> bool:
    """Return whether two narratives are the same markup, however their characters are written."""
    if one == other:
        return True
    from lxml import etree  # noqa: PLC0415 - loaded on first use

    first, second = _parsed(one), _parsed(other)
    if first is None or second is None:
        return False
    return bool(etree.tostring(first, method="c14n") == etree.tostring(second, method="c14n"))


def _parsed(div: str) -> etree._Element | None:
    from lxml import etree  # noqa: PLC0415 - loaded on first use

    if _has_document_type(div) is not None:
        return None
    parser = etree.XMLParser(
        encoding="utf-8", resolve_entities=False, no_network=True, load_dtd=False, remove_comments=True, remove_pis=True
    )
    try:
        return etree.fromstring(div.encode(), parser)
    except (etree.XMLSyntaxError, UnicodeEncodeError, ValueError):
        return None


def _local(node: etree._Element) -> str:
    namespace, _, name = str(node.tag).rpartition("}")
    return name if namespace in {"", f"{{{XHTML_NAMESPACE}"} else ""


def _write(node: etree._Element, out: list[str], *, top: bool = False, lines: bool = False) -> bool:
    """Write an element, or its text alone where it isn't allowed; return whether something was left out.

    Args:
        node: The element.
        out: What is written so far.
        top: Whether it is the outermost one.
        lines: Whether line feeds are meant, as in preformatted text.
    """
    name = _local(node)
    allowed = name in _ELEMENTS
    changed = not allowed
    lines = lines or name == "pre"
    if allowed:
        out.append(f"<{name}")
        if top:
            out.append(f' xmlns="{XHTML_NAMESPACE}"')
        for attribute, value in node.attrib.items():
            shown = "xml:lang" if attribute == _XML_LANG else str(attribute)
            if shown in _ATTRIBUTES:
                out.append(f' {shown}="{_text(str(value), lines=False)}"')
            else:
                changed = True
        out.append("/>" if name in _EMPTY else ">")
    if (allowed or name not in _WITHOUT_TEXT) and name not in _EMPTY:
        out.append(_text(node.text or "", lines=lines))
        for child in node:
            changed = not isinstance(child.tag, str) or _write(child, out, lines=lines) or changed
            out.append(_text(child.tail or "", lines=lines))
    if allowed and name not in _EMPTY:
        out.append(f"</{name}>")
    return changed


def _text(text: str, *, lines: bool) -> str:
    return escaped(text if lines else text.replace("\n", " "))


def _has_words(markup: str) -> bool:
    return bool(re.sub(r"<[^>]*>", "", markup).strip())
