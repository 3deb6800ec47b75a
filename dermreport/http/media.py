"""Media types: what is sent, and which of those that can be given is asked for (RFC 9110, 12.5.1).

FHIR's types, their plain forms, ``fhirVersion`` and ``_format``: https://hl7.org/fhir/R4/http.html#mime-type,
https://hl7.org/fhir/R4/versioning.html#mt-version, https://hl7.org/fhir/R5/http.html#mime-type.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import TYPE_CHECKING, Final

from dermreport.fhir.releases import Release
from dermreport.letter_file import LetterFormat

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

FHIR_JSON: Final = "application/fhir+json"
FHIR_XML: Final = "application/fhir+xml"
JSON: Final = "application/json"
XML: Final = "application/xml"
TEXT_XML: Final = "text/xml"
NDJSON: Final = "application/x-ndjson"
TEXT: Final = "text/plain"
HTML: Final = "text/html"
PDF: Final = "application/pdf"

#: In which resources are given; the first where nothing says otherwise.
RESOURCE_TYPES: Final = (FHIR_JSON, FHIR_XML, JSON, XML, TEXT_XML)
AS_XML: Final = frozenset((FHIR_XML, XML, TEXT_XML))
_WITH_CHARSET: Final = frozenset((*RESOURCE_TYPES, TEXT, HTML)) - {JSON}

#: The media type of each way to write a letter.
LETTER_TYPES: Final = MappingProxyType({LetterFormat.TEXT: TEXT, LetterFormat.HTML: HTML, LetterFormat.PDF: PDF})

#: What the parameter ``fhirVersion`` of a media type calls a release.
VERSION_OF: Final = MappingProxyType({Release.R4: "4.0", Release.R4B: "4.3", Release.R5: "5.0"})

#: What ``_format`` can say beside a media type.
_SHORT_FORMATS: Final = MappingProxyType({"json": FHIR_JSON, "xml": FHIR_XML, "text/json": FHIR_JSON})

_TOKEN: Final = r"[!#$%&'*+.^_`|~0-9A-Za-z-]+"  # noqa: S105 - the grammar's word, no secret
_RANGE = re.compile(rf"\s*({_TOKEN}/{_TOKEN})")
_PARAMETER = re.compile(rf'\s*;\s*({_TOKEN})\s*=\s*(?:({_TOKEN})|"((?:[^"\\]|\\.)*)")|\s*;')
_BETWEEN = re.compile(r"\s*(?:,|$)")
_WEIGHT = re.compile(r"0(?:\.\d{0,3})?|1(?:\.0{0,3})?")


@dataclass(frozen=True, slots=True)
class MediaRange:
    """A media type or a range of them, with its parameters but the weight.

    Attributes:
        name: As ``text/*``, in lower case.
        parameters: By name, in lower case.
        weight: From 0 to 1.
    """

    name: str
    parameters: Mapping[str, str] = field(default_factory=dict)
    weight: float = 1.0

    @property
    def precision(self) -> int:
        """How narrow it is: the narrowest that fits decides."""
        return 0 if self.name == "*/*" else 1 if self.name.endswith("/*") else 2 + len(self.parameters)

    def takes(self, name: str, release: Release | None) -> bool:
        """Whether a media type is within it; of its parameters version and charset count."""
        kind = name.partition("/")[0]
        charset, version = self.parameters.get("charset", "utf-8"), self.parameters.get("fhirversion")
        if self.name not in {"*/*", f"{kind}/*", name} or charset.casefold() not in {"utf-8", "utf8"}:
            return False
        return version is None or (release is not None and version == VERSION_OF[release])


def ranges(header: str) -> list[MediaRange]:
    """Return what a header lists; from where it isn't written by the grammar, nothing more is read."""
    found = []
    position = 0
    while (match := _RANGE.match(header, position)) is not None:
        name, position = match[1].lower(), match.end()
        parameters: dict[str, str] = {}
        while (more := _PARAMETER.match(header, position)) is not None:
            position = more.end()
            if more[1]:
                parameters[more[1].lower()] = more[2] if more[2] is not None else re.sub(r"\\(.)", r"\1", more[3])
        end = _BETWEEN.match(header, position)
        weight = parameters.pop("q", "1")
        if end is None or _WEIGHT.fullmatch(weight) is None:
            break
        found.append(MediaRange(name, parameters, float(weight)))
        position = end.end()
    return found


def chosen(header: str | None, offered: Sequence[str], release: Release | None) -> str | None:
    """Return which of the types that are offered is asked for, ``None`` where none is.

    Args:
        header: ``Accept``; ``None`` where it isn't there.
        offered: What can be given, the preferred one first.
        release: The release that is given, where it is of one.
    """
    if header is None or not header.strip():
        return offered[0]
    asked = ranges(header)
    weights = {one: _weight(asked, one, release) for one in offered}
    best = max(offered, key=lambda one: weights[one])
    return best if weights[best] > 0 else None


def _weight(asked: Sequence[MediaRange], name: str, release: Release | None) -> float:
    fitting = sorted((one for one in asked if one.takes(name, release)), key=lambda one: -one.precision)
    return fitting[0].weight if fitting else 0.0


def format_asked(text: str) -> str:
    """Return what ``_format`` asks for as a media type; a plus sign may have come as a space."""
    name = text.strip().replace(" ", "+")
    return _SHORT_FORMATS.get(name, name)


def sent(header: str | None) -> str | None:
    """Return the media type of a body, ``None`` where it isn't one in UTF-8."""
    several = ranges(header) if header is not None else []
    if len(several) != 1 or "*" in several[0].name:
        return None
    one = several[0]
    return one.name if one.takes(one.name, None) or ("fhirversion" in one.parameters and _is_utf_8(one)) else None


def _is_utf_8(one: MediaRange) -> bool:
    return one.parameters.get("charset", "utf-8").casefold() in {"utf-8", "utf8"}


def content_type(name: str, release: Release | None) -> str:
    """Return the header Content-Type of an answer."""
    parts: Iterator[str] = iter((name, *_said(name, release)))
    return "; ".join(parts)


def _said(name: str, release: Release | None) -> Iterator[str]:
    if name in _WITH_CHARSET:
        yield "charset=utf-8"
    if release is not None and name in {FHIR_JSON, FHIR_XML}:
        yield f"fhirVersion={VERSION_OF[release]}"
