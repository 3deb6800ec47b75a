"""Writers: resources as JSON, as XML, and as fresh copies.

A resource is a dict in the standard's element order. Decimals are written digit for digit and without an exponent.
XML is written as text: ``fhir.resources`` changes digits and offsets, and trees are slower. It follows the rules of
https://hl7.org/fhir/R4/xml.html, which R5 shares.
"""

from __future__ import annotations

import re
from decimal import Decimal
from functools import cache
from typing import TYPE_CHECKING, Any, Final

if TYPE_CHECKING:
    from collections.abc import Callable

FHIR_NAMESPACE: Final = "http://hl7.org/fhir"


class PlainDecimal(Decimal):
    """A decimal whose own text has an exponent, as a very small one has; FHIR's consumers expect none."""

    __slots__ = ()


def exact(number: Decimal | int) -> Decimal | int:
    """Return a number for a resource; one that would be written with an exponent is marked for the writers."""
    return PlainDecimal(number) if isinstance(number, Decimal) and "E" in str(number) else number


def fresh(value: Any) -> Any:  # noqa: ANN401 - any JSON
    """Return a copy that shares nothing with the original; marked decimals become ordinary ones."""
    if type(value) is dict:
        return {name: item if type(item) is str else fresh(item) for name, item in value.items()}
    if type(value) is list:
        return [fresh(item) for item in value]
    if type(value) is PlainDecimal:
        return Decimal(value)
    return value


@cache
def _encode() -> Callable[[Any], bytes]:
    import msgspec  # noqa: PLC0415 - loaded on first use

    def plain(value: Any) -> Any:  # noqa: ANN401 - the hook's own type
        return msgspec.Raw(format(value, "f").encode())

    return msgspec.json.Encoder(decimal_format="number", enc_hook=plain).encode


def to_json(resource: dict[str, Any]) -> str:
    """Return a resource as JSON text without spaces."""
    return _encode()(resource).decode()


_is_special = re.compile('[&<>"\n\r\t]').search


def _escaped(text: str) -> str:
    """Return a text for an attribute: XML normalises line feeds and tabs there unless they are references."""
    if _is_special(text) is None:
        return text
    text = text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;").replace('"', "&quot;")
    return text.replace("\n", "&#10;").replace("\r", "&#13;").replace("\t", "&#9;")


def to_xml(resource: dict[str, Any]) -> str:
    """Return a resource as XML text."""
    parts = ['<?xml version="1.0" encoding="UTF-8"?>\n']
    _resource(resource, parts.append, f' xmlns="{FHIR_NAMESPACE}"')
    return "".join(parts)


def _resource(resource: dict[str, Any], out: Callable[[str], None], namespace: str = "") -> None:
    """Write a resource; its id is an element, as everything else."""
    kind = resource["resourceType"]
    out(f"<{kind}{namespace}>")
    for name, value in resource.items():
        if name != "resourceType":
            _member(name, value, resource, out)
    out(f"</{kind}>")


def _member(name: str, value: Any, parent: dict[str, Any], out: Callable[[str], None]) -> None:  # noqa: ANN401 - any JSON
    """Write one member of an object: a value, an object, or each item of a list."""
    kind = type(value)
    if name[0] == "_":
        # What is said on a primitive is written with its value; here it has none.
        if name[1:] not in parent:
            for said in value if kind is list else (value,):
                _primitive(name[1:], None, said, out)
    elif kind is dict:
        _object(name, value, out)
    elif kind is list:
        said = parent.get(f"_{name}", ())
        for position, item in enumerate(value):
            _member(name, item, {f"_{name}": said[position]} if position < len(said) else _NOTHING, out)
        for more in said[len(value) :]:
            _primitive(name, None, more, out)
    elif name == "div":
        out(value)
    else:
        _primitive(name, value, parent.get(f"_{name}"), out)


_NOTHING: Final[dict[str, Any]] = {}


def _object(name: str, value: dict[str, Any], out: Callable[[str], None]) -> None:
    """Write an object: an element, its id and an extension's url as attributes."""
    if "resourceType" in value:
        out(f"<{name}>")
        _resource(value, out)
        out(f"</{name}>")
        return
    head = f"<{name}"
    if "id" in value:
        head = f'{head} id="{_escaped(value["id"])}"'
    if name == "extension":
        head = f'{head} url="{_escaped(value["url"])}"'
        skipped = _EXTENSION_ATTRIBUTES
    else:
        skipped = _ATTRIBUTES
    out(f"{head}>")
    for member, item in value.items():
        if member not in skipped:
            _member(member, item, value, out)
    out(f"</{name}>")


_ATTRIBUTES: Final = frozenset(("id",))
_EXTENSION_ATTRIBUTES: Final = frozenset(("id", "url"))


def _primitive(name: str, value: Any, said: dict[str, Any] | None, out: Callable[[str], None]) -> None:  # noqa: ANN401 - any scalar of JSON
    """Write a primitive, with or without a value, and what is said on it; one that has neither isn't there."""
    shown = "" if value is None else f' value="{_escaped(value) if type(value) is str else _text(value)}"'
    if said is None:
        if shown:
            out(f"<{name}{shown}/>")
        return
    if "id" in said:
        shown = f' id="{_escaped(said["id"])}"{shown}'
    out(f"<{name}{shown}>")
    for extension in said.get("extension", ()):
        _object("extension", extension, out)
    out(f"</{name}>")


def _text(value: Any) -> str:  # noqa: ANN401 - any JSON
    """Return a number or truth value as XML has it."""
    if value is True:
        return "true"
    if value is False:
        return "false"
    return format(value, "f") if isinstance(value, Decimal) else str(value)
