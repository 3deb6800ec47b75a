"""Embedded files in what was received: too large ones, and kinds that nobody should open unasked, aren't kept."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from dermreport.fhir.read.rules import read_issue

if TYPE_CHECKING:
    from collections.abc import Iterator

    from dermreport.fhir.read.limits import Limits
    from dermreport.issues import Issue

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


def left_out(value: Any, limits: Limits) -> list[Issue]:  # noqa: ANN401 - any JSON
    """Take the content of each file away that isn't taken, and say which.

    Args:
        value: What was received, as objects of the reader's own. All but the content of such a file stays.
        limits: How large a file may be, and of which kinds.
    """
    return [issue for holder, path in _holders(value, "$") for issue in _refused(holder, path, limits)]


def _holders(value: Any, path: str) -> Iterator[tuple[dict[str, Any], str]]:  # noqa: ANN401 - any JSON
    if isinstance(value, dict):
        if isinstance(value.get("data"), str) and _NO_FILE.isdisjoint(value):
            yield value, path
        for name, item in value.items():
            yield from _holders(item, f"{path}.{name if name in _STEPS else '?'}")
    elif isinstance(value, list):
        for position, item in enumerate(value):
            yield from _holders(item, f"{path}[{position}]")


def _refused(holder: dict[str, Any], path: str, limits: Limits) -> Iterator[Issue]:
    kind = holder.get("contentType")
    told = kind.partition(";")[0].strip().lower() if isinstance(kind, str) else ""
    if len(holder["data"]) > limits.attachment:
        yield read_issue("read-attachment-too-large", path, limit=str(limits.attachment))
    elif told not in limits.attachment_kinds:
        yield read_issue("read-attachment-kind", path)
    else:
        return
    del holder["data"]
