"""XML of resources as JSON, in which lists, numbers and truth values are what the standard says they are.

The rules are those of https://hl7.org/fhir/R4/xml.html, which R5 shares. Nothing outside the text is ever read: a
document type, which can name files and addresses, is refused before the parser sees it.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from decimal import Decimal
from typing import TYPE_CHECKING, Any, Final

from dermreport.examination.entry_rules import entry_issue
from dermreport.fhir.narrative import XHTML_NAMESPACE
from dermreport.fhir.read.definitions import Class, Element, Kind, elements, resource_class
from dermreport.fhir.read.parts import Json
from dermreport.fhir.read.rules import read_issue
from dermreport.fhir.releases import Release
from dermreport.fhir.write import FHIR_NAMESPACE
from dermreport.issues import EntryError

if TYPE_CHECKING:
    from lxml import etree

    from dermreport.issues import Issue
    from dermreport.limits import Limits

_has_document_type = re.compile(r"<!\s*(?:DOCTYPE|ENTITY)", re.IGNORECASE).search
_is_number = re.compile(r"-?(?:0|[1-9][0-9]*)(?:\.[0-9]+)?(?:[eE][+-]?[0-9]{1,3})?\Z").match
_is_whole = re.compile(r"-?(?:0|[1-9][0-9]*)\Z").match

_FHIR: Final = f"{{{FHIR_NAMESPACE}}}"
_DIV: Final = f"{{{XHTML_NAMESPACE}}}div"

#: Elements and values that only one release has; a report of ours always has one of them.
_R5_SIGNS: Final = re.compile(
    r"<(?:[A-Za-z0-9]+:)?includedStructure\b|/StructureDefinition/report-lesion\"|<(?:[A-Za-z0-9]+:)?contentCodeableConcept\b"
)


def read_xml(text: str, limits: Limits) -> tuple[Json, list[Issue]]:
    """Return a resource in XML as JSON, and what the release has no element for.

    Raises:
        EntryError: It isn't XML that may be read.
    """
    from lxml import etree  # noqa: PLC0415 - loaded on first use

    if _has_document_type(text) is not None:
        raise EntryError((read_issue("read-document-type", "$"),))
    parser = etree.XMLParser(
        encoding="utf-8",
        resolve_entities=False,
        no_network=True,
        load_dtd=False,
        huge_tree=False,
        remove_comments=True,
        remove_pis=True,
    )
    refused = read_issue("read-not-xml", "$", line="1")
    root = None
    try:
        root = etree.fromstring(text.encode(), parser)
    except etree.XMLSyntaxError as error:
        refused = read_issue("read-not-xml", "$", line=str(error.lineno or 1))
    except ValueError:
        refused = entry_issue("entry-not-utf-8", "$")
    if root is None:
        # Raised out here, so that the parser's error with what it read isn't its context.
        raise EntryError((refused,))
    release = Release.R5 if _R5_SIGNS.search(text) is not None else Release.R4
    reader = _Reader(release, limits)
    return reader.resource(root, "$", 1), reader.issues


@dataclass(slots=True)
class _Reader:
    """Reads one document."""

    release: Release
    limits: Limits
    issues: list[Issue] = field(default_factory=list)

    def resource(self, node: etree._Element, path: str, depth: int) -> Json:
        """Return a resource: its element's name is its type."""
        kind = _name(node)
        owner = resource_class(kind, self.release)
        if owner is None:
            self.issues.append(read_issue("read-unknown-element", path))
        return {"resourceType": kind, **self.members(node, owner, path, depth)}

    def members(self, node: etree._Element, owner: Class | None, path: str, depth: int) -> Json:
        """Return the children of an element by their names."""
        if depth > self.limits.depth:
            raise EntryError((read_issue("read-too-deep", "$", limit=str(self.limits.depth)),))
        known = elements(owner) if owner is not None else {}
        if _has_more(node):
            self.issues.append(read_issue("read-xml-passed-over", path))
        made: Json = {}
        counts: dict[str, int] = {}
        for child in _children(node):
            name = _name(child)
            element = known.get(name)
            if element is None:
                element = _unknown(child)
                if owner is not None:
                    # A name that isn't the standard's stays out of the issue.
                    self.issues.append(read_issue("read-unknown-element", path))
            position = counts.get(name, 0)
            counts[name] = position + 1
            below = f"{path}.{name}[{position}]" if element.listed else f"{path}.{name}"
            if element.kind is Kind.RESOURCE:
                inner = next(iter(_children(child)), None)
                value: Any = self.resource(inner, below, depth + 1) if inner is not None else {}
                _put(made, name, value, element, position)
            elif element.kind is Kind.OBJECT:
                value = {**_attributes(child), **self.members(child, element.holds, below, depth + 1)}
                _put(made, name, value, element, position)
            elif element.kind is Kind.MARKUP:
                _put(made, name, _markup(child), element, position)
            else:
                _put(made, name, self.value(child, element), element, position)
                said = {**_identity(child), **self.members(child, _said(known), below, depth + 1)}
                if said:
                    _put(made, f"_{name}", said, element, position)
        return made

    def value(self, node: etree._Element, element: Element) -> Any:  # noqa: ANN401 - a value of any kind
        """Return the value of a primitive as JSON has it; one of the wrong form stays text, which is refused later."""
        text = node.get("value")
        if text is None:
            return None
        if len(text) > self.limits.number and element.kind in _NUMBERS:
            raise EntryError((read_issue("read-number-too-long", "$", limit=str(self.limits.number)),))
        if element.kind is Kind.TRUTH:
            return {"true": True, "false": False}.get(text, text)
        if element.kind is Kind.WHOLE:
            return int(text) if _is_whole(text) is not None else text
        if element.kind is Kind.DECIMAL and _is_number(text) is not None:
            return int(text) if _is_whole(text) is not None else Decimal(text)
        return text


_NUMBERS: Final = frozenset((Kind.WHOLE, Kind.DECIMAL))


def _put(made: Json, name: str, value: Any, element: Element, position: int) -> None:  # noqa: ANN401 - any JSON
    """Put a value under its name: in a list at its position, or alone; a second one where one is allowed is kept."""
    if element.listed:
        items = made.setdefault(name, [])
        items.extend([None] * (position - len(items)))
        items.append(value)
    elif name in made:
        before = made[name]
        made[name] = [*before, value] if type(before) is list else [before, value]
    elif value is not None:
        made[name] = value


def _children(node: etree._Element) -> Iterable[etree._Element]:
    return [child for child in node if isinstance(child.tag, str)]


def _name(node: etree._Element) -> str:
    tag = str(node.tag)
    return tag.removeprefix(_FHIR) if tag.startswith(_FHIR) else tag.rpartition("}")[2]


def _attributes(node: etree._Element) -> Json:
    return {name: str(value) for name, value in node.attrib.items() if name in {"id", "url"}}


#: Attributes of FHIR's elements, and what a document says of its schema.
_KNOWN: Final = frozenset(("id", "url", "value", "{http://www.w3.org/2001/XMLSchema-instance}schemaLocation"))


def _has_more(node: etree._Element) -> bool:
    """Return whether something stands in an element that FHIR's XML doesn't have there."""
    if node.text is not None and node.text.strip():
        return True
    for child in node:
        between = child.tail is not None and child.tail.strip()
        if between or (isinstance(child.tag, str) and not child.tag.startswith(_FHIR) and child.tag != _DIV):
            return True
    return not _KNOWN.issuperset(map(str, node.attrib))


def _identity(node: etree._Element) -> Json:
    own_id = node.get("id")
    return {} if own_id is None else {"id": own_id}


def _said(known: Any) -> Class | None:  # noqa: ANN401 - the elements of a class
    """Return the class of what can be said on a primitive: an element with extensions."""
    found = known.get("extension")
    return _with_extensions(found.holds) if found is not None else None


def _with_extensions(extension: Class) -> Class:
    base: Class = extension.__mro__[1]
    return base


def _unknown(node: etree._Element) -> Element:
    """Return what an element of no standard looks like."""
    simple = node.get("value") is not None or not len(node)
    return Element(Kind.TEXT if simple else Kind.OBJECT, listed=False, holds=None)


def _markup(node: etree._Element) -> str:
    """Return a narrative as text, in the one namespace that it can have."""
    from lxml import etree  # noqa: PLC0415 - loaded on first use

    if node.tag == _DIV:
        etree.cleanup_namespaces(node, top_nsmap={None: XHTML_NAMESPACE})  # type: ignore[dict-item]  # its stubs lack the default namespace
    else:
        etree.cleanup_namespaces(node)
    return etree.tostring(node, encoding="unicode", with_tail=False)
