"""The JSON Schema of an entry, object by object."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from html import escape
from typing import Any

from dermreport import json_schema
from made.markup import Page, Row, link, table

PAGE = "reference/json-schema.md"
FILES = ("profiles/examination.schema.json", "profiles/visit.schema.json")


def _name(reference: str) -> str:
    return reference.rpartition("/")[2]


def _type(one: Mapping[str, Any], tables: Mapping[str, Any]) -> str:
    if "$ref" in one:
        name = _name(one["$ref"])
        return link(PAGE, f"#{name}", escape(name)) if name in tables else escape(name)
    for joint in ("anyOf", "oneOf", "allOf"):
        if joint in one:
            return " or ".join(dict.fromkeys(_type(part, tables) for part in one[joint]))
    if one.get("type") == "array":
        return f"list of {_type(one.get('items', {}), tables)}"
    if "const" in one:
        return f"<code>{escape(str(one['const']))}</code>"
    limits = [f"{key} {one[key]}" for key in ("minimum", "maximum", "minLength", "maxLength", "pattern") if key in one]
    return escape(", ".join([str(one.get("type", "anything")), *limits]))


def _objects(name: str, one: Mapping[str, Any], tables: Mapping[str, Any]) -> str:
    if "enum" in one:
        codes = ", ".join(f"<code>{escape(str(code))}</code>" for code in one["enum"])
        words = escape(one.get("description", "").partition("\n")[0])
        return f"## {name} {{ #{name} }}\n\n<p>{words}</p>\n\n<p>{codes}</p>\n"
    if "properties" not in one:
        return f"## {name} {{ #{name} }}\n\n<p>{_type(one, tables)}</p>\n"
    rows = [
        Row(
            (
                f"<code>{escape(field)}</code>",
                _type(about, tables),
                "yes" if field in one.get("required", ()) else "",
                escape(about.get("description", "")),
            )
        )
        for field, about in one["properties"].items()
    ]
    words = escape((one.get("description") or "").split("\n\n")[0].replace("\n", " "))
    return (
        f"## {name} {{ #{name} }}\n\n<p>{words}</p>\n\n{table(('Field', 'Type', 'Must be given', 'What it is'), rows)}"
    )


def _sections() -> Iterator[str]:
    schema = json_schema()
    tables = schema["$defs"]
    yield _objects("Examination", schema, tables)
    for name, one in sorted(tables.items()):
        yield _objects(name, one, tables)


def page() -> Page:
    """Return the page."""
    files = ", ".join(f"[[file {file}]]" for file in FILES)
    return Page(
        PAGE,
        "JSON Schema",
        f"What an entry can hold. As files: {files}; `dermreport schema` prints the first. Everything that isn’t "
        "required may be missing. Codes are rows of the [vocabulary](vocabulary/index.md).\n\n"
        + "\n".join(_sections()),
    )
