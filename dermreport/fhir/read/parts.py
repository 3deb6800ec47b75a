"""Looking into received JSON, in which anything may be of any kind: what isn't of the kind asked for isn't there.

What is passed over here still stands in what was received, and is found there as foreign.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from dermreport.fhir.extensions import Extension

if TYPE_CHECKING:
    from collections.abc import Iterator

Json = dict[str, Any]

_NOTHING: Json = {}


def objects(parent: Json, name: str) -> list[Json]:
    """Return the objects of a member that is a list of them, or one of them where the other release has one."""
    value = parent.get(name)
    if type(value) is list:
        return [one for one in value if type(one) is dict]
    return [value] if type(value) is dict else []


def first(parent: Json, name: str) -> Json:
    """Return the object of a member, the first one of a list; an empty one where there is none."""
    value = parent.get(name)
    if type(value) is dict:
        return value
    found = objects(parent, name)
    return found[0] if found else _NOTHING


def text(parent: Json, name: str) -> str | None:
    """Return the text of a member."""
    value = parent.get(name)
    return value if type(value) is str else None


def extensions(parent: Json, which: Extension) -> list[Json]:
    """Return our extensions of one kind on an element."""
    value = parent.get("extension")
    if type(value) is not list:
        return []
    url = which.url
    return [one for one in value if type(one) is dict and one.get("url") == url]


def extended(parent: Json, which: Extension, kind: str) -> Any:  # noqa: ANN401 - any JSON
    """Return the value of one of our extensions; ``kind`` is the element's name, as ``valueString``."""
    for found in extensions(parent, which):
        return found.get(kind)
    return None


def extended_parts(parent: Json, which: Extension) -> dict[str, Json]:
    """Return the parts of one of our extensions by their names."""
    for found in extensions(parent, which):
        return {name: part for part in objects(found, "extension") if (name := text(part, "url")) is not None}
    return {}


def codings(concept: Json) -> Iterator[tuple[str | None, str | None]]:
    """Yield system and code of each coding of a concept."""
    for coding in objects(concept, "coding"):
        yield text(coding, "system"), text(coding, "code")


def our_code(concept: Json, system: str) -> str | None:
    """Return the code that a concept has in one system."""
    given = concept.get("coding")
    for coding in given if type(given) is list else (given,):
        if type(coding) is dict and coding.get("system") == system:
            return text(coding, "code")
    return None
