"""Embedded files in what was received: too large ones, and kinds that nobody should open unasked, aren't kept."""

from __future__ import annotations

import re
from base64 import b64decode
from binascii import Error as Base64Error
from typing import TYPE_CHECKING, Any

from dermreport.fhir.read.rules import read_issue

if TYPE_CHECKING:
    from collections.abc import Iterator
    from collections.abc import Set as AbstractSet

    from dermreport.issues import Issue
    from dermreport.limits import Limits

#: What tells another type with an element of the same name: a series of samples, a signature.
_NO_FILE = frozenset(("origin", "sigFormat", "who", "whoReference", "whoUri"))
#: Elements on the way to a file; another name could be anybody's and doesn't go into a path.
_STEPS = frozenset(
    (
        "answer",
        "attachment",
        "contained",
        "content",
        "entry",
        "extension",
        "image",
        "item",
        "photo",
        "presentedForm",
        "resource",
        "valueAttachment",
    )
)


#: Elements that are a file, or its address.
_FILES = frozenset(("attachment", "content", "contentAttachment", "photo", "presentedForm", "valueAttachment"))
#: Those of the record's own pictures: what was entered stays.
_PICTURES = frozenset(("attachment", "content"))
#: Schemes of addresses that run something, open the reader's own files, or are a file themselves (RFC 2397, RFC 8089;
#: the first two are common practice, no source).
_is_unsafe = re.compile(r"[\s\x00-\x1f]*(?:javascript|vbscript|file|data)\s*:", re.IGNORECASE).match


def may_have_files(names: AbstractSet[str]) -> bool:
    """Return whether a file, or the address of one, can stand in what has members of these names."""
    return "data" in names or not _FILES.isdisjoint(names)


def left_out(value: Any, limits: Limits) -> list[Issue]:  # noqa: ANN401 - any JSON
    """Take the content of each file away that isn't taken, and say which.

    Args:
        value: What was received, as objects of the reader's own. All but the content of such a file stays.
        limits: How large a file may be, and of which kinds.
    """
    found = list(_holders(value, "$", ""))
    contents = [issue for holder, path, _ in found if "data" in holder for issue in _refused(holder, path, limits)]
    return [*contents, *(issue for holder, path, name in found for issue in _unsafe(holder, path, name))]


def _holders(value: Any, path: str, name: str) -> Iterator[tuple[dict[str, Any], str, str]]:  # noqa: ANN401 - any JSON
    if isinstance(value, dict):
        content = isinstance(value.get("data"), str) and _NO_FILE.isdisjoint(value)
        if content or (name in _FILES and isinstance(value.get("url"), str)):
            yield value, path, name
        for below, item in value.items():
            yield from _holders(item, f"{path}.{below if below in _STEPS else '?'}", below)
    elif isinstance(value, list):
        for position, item in enumerate(value):
            yield from _holders(item, f"{path}[{position}]", name)


def _unsafe(holder: dict[str, Any], path: str, name: str) -> Iterator[Issue]:
    """Yield where an address runs something or opens a file; it isn't kept, but in the record's own pictures."""
    url = holder.get("url")
    if name in _FILES and isinstance(url, str) and _is_unsafe(url) is not None:
        yield read_issue("read-attachment-address", path)
        if name not in _PICTURES:
            del holder["url"]


def _refused(holder: dict[str, Any], path: str, limits: Limits) -> Iterator[Issue]:
    if not isinstance(holder["data"], str):
        return
    kind = holder.get("contentType")
    told = kind.partition(";")[0].strip().lower() if isinstance(kind, str) else ""
    if len(holder["data"]) > limits.attachment:
        yield read_issue("read-attachment-too-large", path, limit=str(limits.attachment))
    elif told not in limits.attachment_kinds:
        yield read_issue("read-attachment-kind", path)
    elif not _is_base64(holder["data"]):
        yield read_issue("read-attachment-broken", path)
    else:
        return
    del holder["data"]


def _is_base64(data: str) -> bool:
    """Return whether a text is base64; FHIR lets white space stand in it."""
    try:
        b64decode("".join(data.split()), validate=True)
    except (Base64Error, ValueError):
        return False
    return True
