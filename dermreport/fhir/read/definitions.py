"""What the standard says of each element: its kind and whether it repeats, from the classes of ``fhir.resources``.

XML has no lists, numbers or truth values of its own, so its reader asks here; so does whoever sends foreign elements
again, for a release may not have them. Loaded on first use: nothing of this is needed to read JSON.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from importlib import import_module
from typing import TYPE_CHECKING, Any, TypeAlias, get_args

from dermreport.fhir.releases import Release, shape_of

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping


#: A class of ``fhir.resources``, whose metaclass the type checkers don't know.
Class: TypeAlias = Any


class Kind(StrEnum):
    """What kind of value an element has in JSON."""

    TEXT = "text"
    TRUTH = "truth"
    WHOLE = "whole"
    DECIMAL = "decimal"
    MARKUP = "markup"
    OBJECT = "object"
    RESOURCE = "resource"


@dataclass(frozen=True, slots=True)
class Element:
    """One element of the standard.

    Attributes:
        kind: What kind of value it has.
        listed: Whether it repeats.
        holds: The class of an object.
    """

    kind: Kind
    listed: bool
    holds: Class | None


def resource_class(kind: str, release: Release) -> Class | None:
    """Return the class of a resource type, ``None`` where the release has no such type."""
    package = import_module(shape_of(release).typed_package)
    try:
        found: Class = package.get_fhir_model_class(kind)
    except ValueError:
        return None
    return found if issubclass(found, package.get_fhir_model_class("Resource")) else None


@cache
def elements(owner: Class) -> Mapping[str, Element]:
    """Return the elements of a class by their names in the standard's order."""
    fields = {field.alias or name: field for name, field in owner.model_fields.items()}
    return {name: _element(fields[name].annotation) for name in owner.elements_sequence()}


def _element(annotation: Any) -> Element:  # noqa: ANN401 - any annotation
    inside = list(_inside(annotation))
    listed = list in inside
    for one in inside:
        if hasattr(one, "get_model_klass"):
            found = one.get_model_klass()
            if found.__name__ == "Resource":
                return Element(Kind.RESOURCE, listed, None)
            return Element(Kind.OBJECT, listed, found)
    names = {type(one).__name__ for one in inside} | {one.__name__ for one in inside if isinstance(one, type)}
    if "Xhtml" in names:
        kind = Kind.MARKUP
    elif "bool" in names:
        kind = Kind.TRUTH
    elif "Integer64" in names:
        kind = Kind.TEXT
    elif "Decimal" in names:
        kind = Kind.DECIMAL
    elif "int" in names:
        kind = Kind.WHOLE
    else:
        kind = Kind.TEXT
    return Element(kind, listed, None)


def _inside(annotation: Any) -> Iterator[Any]:  # noqa: ANN401 - any annotation
    """Yield everything inside an annotation; a list yields ``list``."""
    origin = getattr(annotation, "__origin__", None)
    if origin is list:
        yield list
    arguments = get_args(annotation)
    if not arguments:
        yield annotation
    metadata = getattr(annotation, "__metadata__", ())
    for one in (*arguments, *metadata):
        yield from _inside(one) if one is not annotation else ()
