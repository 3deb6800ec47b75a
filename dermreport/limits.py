"""How much of somebody else's input is read at most: what is larger is refused before it costs anything."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, fields

from dermreport.issues import refuse_all, wrong_counts

#: Pictures, letters and plain text. What a browser would run, as HTML or SVG, isn't among them.
ATTACHMENT_KINDS = frozenset(
    (
        "application/dicom",
        "application/pdf",
        "image/bmp",
        "image/gif",
        "image/jp2",
        "image/jpeg",
        "image/png",
        "image/tiff",
        "image/webp",
        "text/plain",
    )
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """What is read at most.

    Attributes:
        size: Characters or bytes of the input: a visit of sixty lesions has some 15 MB of JSON or 18 MB of XML.
            A text that is made to fill memory takes thirty times its size: whoever reads for strangers allows less.
        depth: How deep objects and lists may stand in one another.
        resources: How many resources the input may hold, contained ones not counted.
        number: Characters of a number.
        attachment: Characters of an embedded file, in base64; a larger one isn't kept.
        attachment_kinds: Media types of embedded files that are kept, in lower case.
    """

    size: int = 32 * 1024 * 1024
    depth: int = 64
    resources: int = 20_000
    number: int = 100
    attachment: int = 4 * 1024 * 1024
    attachment_kinds: frozenset[str] = ATTACHMENT_KINDS

    def __post_init__(self) -> None:
        """Refuse what isn't a limit; no value is in the error."""
        refuse_all(self._wrong())
        object.__setattr__(self, "attachment_kinds", frozenset(self.attachment_kinds))

    def _wrong(self) -> Iterator[str]:
        numbers = {one.name: getattr(self, one.name) for one in fields(self) if one.name != "attachment_kinds"}
        yield from wrong_counts("limits", numbers)
        kinds: object = self.attachment_kinds
        if not isinstance(kinds, frozenset | set) or not all(isinstance(kind, str) for kind in kinds):
            yield "limits: attachment_kinds is a set of media types, as image/png"


DEFAULT_LIMITS = Limits()
