"""Settings and limits: each field with its type, what stands without one of the host's, and what it decides."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import MISSING, Field, fields
from enum import Enum
from html import escape
from typing import Any

from griffe import Docstring, DocstringSectionKind

import dermreport
from made.markup import Page, Row, table

PAGE = "reference/settings.md"
#: The frozen values that a host makes, with what takes them.
SHOWN: dict[str, str] = {
    "Settings": "`review(exam, settings)`; as TOML: `settings_from_toml`",
    "IdentifierSystems": "`Settings.identifier_systems`",
    "ExtraCoding": "`Settings.extra_codings`",
    "Limits": "`Settings.limits`, `from_fhir(…, limits=…)`",
    "LetterSettings": "`letter(…, settings=…)`; as TOML: `letter_settings_from_toml`",
    "Party": "`LetterSettings.sender`, `.recipient`",
    "Reviewed": "`LetterSettings.reviewed`",
    "Routing": "`to_hl7v2(…, routing=…)`",
    "DicomLimits": "`view_from_dicom(…, limits=…)`",
    "HttpLimits": "`http_app(limits=…)`",
}


def described(of: type) -> dict[str, str]:
    """Return what the docstring of a class says of its fields."""
    sections = Docstring(of.__doc__ or "").parse("google")
    return {
        one.name: one.description.replace("\n", " ")
        for section in sections
        if section.kind is DocstringSectionKind.attributes
        for one in section.value
    }


def _shown(value: Any) -> str:  # noqa: ANN401 - any default
    if isinstance(value, Enum):
        return str(value.value)
    if isinstance(value, frozenset):
        return ", ".join(sorted(map(str, value)))
    if isinstance(value, tuple | Mapping):
        return "none" if not value else ", ".join(map(_shown, value))
    if type(value).__module__.startswith("dermreport"):
        return "those of its own"
    return repr(value) if isinstance(value, str | bool) or value is None else f"{value:,}"


def _default(one: Field[Any]) -> str:
    if one.default is not MISSING:
        return _shown(one.default)
    return _shown(one.default_factory()) if one.default_factory is not MISSING else "must be given"


def _code(text: str) -> str:
    parts = escape(text).split("``")
    return "".join(f"<code>{part}</code>" if at % 2 else part for at, part in enumerate(parts))


def _section(name: str, where: str) -> Iterator[str]:
    of = getattr(dermreport, name)
    about = described(of)
    rows = [
        Row(
            (f"<code>{one.name}</code>", f"<code>{escape(str(one.type))}</code>", _default(one), _code(about[one.name]))
        )
        for one in fields(of)
        if one.init
    ]
    yield f"## {name}\n\n{(of.__doc__ or '').splitlines()[0]} Where it goes: {where}.\n\n"
    yield table(("Field", "Type", "Without one of yours", "What it decides"), rows)


def page() -> Page:
    """Return the page."""
    body = "\n".join("".join(_section(name, where)) for name, where in SHOWN.items())
    return Page(
        PAGE,
        "Settings and limits",
        "Each is one frozen value that a host makes and passes along; nothing is global. How they are written as TOML "
        f"is [among the how-tos](../how-to/settings.md).\n\n{body}",
    )
