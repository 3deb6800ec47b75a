"""The published JSON Schema of an entry: our own, read from the model's fields, so nothing is said twice.

Decimals are numbers, a vocabulary table is a plain enum with its title and description, somebody else's code is an
object, and ``null`` stands for what was not given. What a schema can't say is in :data:`NOT_IN_SCHEMA`, with the
reason; everything else the schema refuses where the model does, and nothing more.
"""

from __future__ import annotations

import inspect
import re
from copy import deepcopy
from types import MappingProxyType, NoneType, UnionType
from typing import Annotated, Any, Union, get_args, get_origin

from pydantic import WithJsonSchema

from dermreport.examination.base import Model, NotEmpty
from dermreport.examination.model import Examination, Visit
from dermreport.publication import CANONICAL_BASE, VOCABULARY_VERSION
from dermreport.vocabulary.term import Term

DIALECT = "https://json-schema.org/draft/2020-12/schema"
#: Rises when an entry that was valid no longer is.
SCHEMA_VERSION = "1"

#: The rules on the shape of an entry that a JSON Schema can't say, and why.
NOT_IN_SCHEMA = MappingProxyType(
    {
        "entry-given-twice": "A schema compares whole items, not the key, identifier, label or code that makes two the "
        "same one.",
        "entry-number-too-long": "A schema sees the value of a number, not the digits in which it is written.",
        "entry-key-twice": "A schema sees an object after it was read, when each name is there once.",
        "entry-too-large": "A schema sees no bytes.",
        "entry-too-deep": "How deep a text may be nested is the reading interpreter's own limit.",
    }
)


def json_schema(model: type[Examination | Visit] = Examination) -> dict[str, Any]:
    """Return the JSON Schema (draft 2020-12) of an examination or a visit, as new dicts and lists."""
    definitions: dict[str, dict[str, Any]] = {}
    root = _Definitions(definitions).object(model)
    name = model.__name__.lower()
    return {
        "$schema": DIALECT,
        "$id": f"{CANONICAL_BASE}/schema/{name}/{SCHEMA_VERSION}",
        "$comment": f"Vocabulary {VOCABULARY_VERSION}. Not said here: {' '.join(NOT_IN_SCHEMA.values())}",
        **root,
        "$defs": dict(sorted(definitions.items())),
    }


class _Definitions:
    """The definitions of one schema, filled while its fields are read."""

    def __init__(self, definitions: dict[str, dict[str, Any]]) -> None:
        self._definitions = definitions

    def object(self, model: type[Model]) -> dict[str, Any]:
        """Return the schema of a part of the model."""
        about, fields = _described(model)
        extra = model.model_config.get("json_schema_extra") or {}
        return {
            "title": model.__name__,
            **({"description": about} if about else {}),
            "type": "object",
            "properties": {
                name: {
                    **({"description": fields[name]} if name in fields else {}),
                    **self._value(field.annotation, tuple(field.metadata), required=field.is_required()),
                    **({} if field.is_required() or not field.default else {"default": field.default}),
                }
                for name, field in model.model_fields.items()
            },
            "required": [name for name, field in model.model_fields.items() if field.is_required()],
            "additionalProperties": False,
            **(deepcopy(extra) if isinstance(extra, dict) else {}),
        }

    def _value(self, annotation: Any, metadata: tuple[Any, ...], *, required: bool) -> dict[str, Any]:  # noqa: ANN401 - any annotation
        """Return the schema of a field: its value, or null where it may be left out."""
        schema = self._of(annotation, metadata)
        if required:
            return schema
        if "type" in schema:
            return {**schema, "type": [schema["type"], "null"]}
        return {"anyOf": [*schema.get("anyOf", [schema]), {"type": "null"}]}

    def _of(self, annotation: Any, metadata: tuple[Any, ...] = ()) -> dict[str, Any]:  # noqa: ANN401 - any annotation
        origin = get_origin(annotation)
        if origin is Annotated:
            inner, *attached = get_args(annotation)
            return self._of(inner, (*attached, *metadata))
        if origin in {Union, UnionType}:
            choices = [self._of(choice) for choice in get_args(annotation) if choice is not NoneType]
            return choices[0] if len(choices) == 1 else {"anyOf": choices}
        if origin is tuple:
            needed = any(isinstance(one, NotEmpty) for one in metadata)
            items = {"type": "array", "items": self._of(get_args(annotation)[0])}
            return {**items, "minItems": 1} if needed else items
        return self._one(annotation, metadata)

    def _one(self, kind: type, metadata: tuple[Any, ...]) -> dict[str, Any]:
        """Return the schema of one value: a text or number, a truth value, a code, or a part of the model."""
        for one in metadata:
            if isinstance(one, WithJsonSchema):
                return self._defined({**(one.json_schema or {})})
        if kind is bool:
            return {"type": "boolean"}
        if issubclass(kind, Term):
            return self._defined(_enumeration(kind))
        if issubclass(kind, Model) and kind.__name__ not in self._definitions:
            return self._defined(self.object(kind))
        return _reference(kind.__name__)

    def _defined(self, schema: dict[str, Any]) -> dict[str, Any]:
        self._definitions[schema["title"]] = schema
        return _reference(schema["title"])


def _reference(name: str) -> dict[str, Any]:
    return {"$ref": f"#/$defs/{name}"}


def _enumeration(table: type[Term]) -> dict[str, Any]:
    about, _ = _described(table)
    described = {"description": about} if about else {}
    return {"title": table.__name__, **described, "enum": [term.value for term in table]}


def _described(of: type) -> tuple[str, dict[str, str]]:
    """Return what a class says of itself and of its attributes; nothing where the interpreter dropped docstrings."""
    about, _, rest = inspect.cleandoc(of.__doc__ or "").partition("\n\nAttributes:\n")
    attributes: dict[str, str] = {}
    for base in reversed(of.__mro__[1:-1]):
        if issubclass(base, Model):
            attributes |= _described(base)[1]
    lines = re.findall(r"^ {4}(\w+): (.+(?:\n {5,}.+)*)", rest, flags=re.MULTILINE)
    return _plain(about), attributes | {name: _plain(text) for name, text in lines}


def _plain(text: str) -> str:
    return re.sub(r"\s+", " ", text.replace("``", "")).strip()
