"""What a path of a condition leads to, read from the model itself: a new field can be asked at once."""

from __future__ import annotations

from functools import cache
from types import NoneType, UnionType
from typing import Annotated, Any, Union, get_args, get_origin

from msgspec import Struct
from pydantic import WithJsonSchema

from dermreport.examination.base import Model, OtherCode
from dermreport.examination.decided import Action
from dermreport.examination.model import Examination
from dermreport.vocabulary.term import Term


class Target(Struct, frozen=True):
    """What stands at the end of a path.

    Attributes:
        part: The part of the model, or None.
        table: The table of its codes, or None.
        truth: Whether it is a truth value.
        number: Whether it is a number.
        whole: Whether it is a whole one.
        listed: Whether it is a list of these.
    """

    part: type[Model] | None = None
    table: type[Term] | None = None
    truth: bool = False
    number: bool = False
    whole: bool = False
    listed: bool = False


@cache
def target(path: str, item: Target | None) -> Target | None:
    """Return what a path leads to, or None where the model has no such path.

    Args:
        path: Field names joined by dots; after ``@.`` those of the item at hand, and ``@`` is the item itself.
        item: What the item at hand is; None where none is.
    """
    first, *names = path.split(".")
    if first == "@":
        if item is None:
            return None
        found = item
    else:
        found, names = Target(part=Examination), [first, *names]
    for name in names:
        following = _after(found, name)
        if following is None:
            return None
        found = following
    return found


#: The item at hand where a choice asks of a planned step.
PLANNED_STEP = Target(part=Action)


def _after(here: Target, name: str) -> Target | None:
    if here.listed:
        return None
    if here.part is not None:
        field = here.part.model_fields.get(name)
        return _of(field.annotation, tuple(field.metadata)) if field is not None else None
    if here.table is not None and not name.startswith("_"):
        return _attribute(here.table, name)
    return None


def _attribute(table: type[Term], name: str) -> Target | None:
    """Return what an attribute of a table's rows holds; their texts can't be asked."""
    if name not in {attribute for row in table.__mro__ for attribute in getattr(row, "__annotations__", {})}:
        return None
    values = [value for value in (getattr(row, name, None) for row in table) if value is not None]
    if values and all(isinstance(value, bool) for value in values):
        return Target(truth=True)
    if values and all(isinstance(value, int) for value in values):
        return Target(number=True, whole=True)
    if values and all(isinstance(value, Term) for value in values):
        return Target(table=type(values[0]))
    return None


def _of(annotation: Any, metadata: tuple[Any, ...]) -> Target:  # noqa: ANN401 - any annotation of the model
    origin = get_origin(annotation)
    if origin is Annotated:
        inner, *attached = get_args(annotation)
        return _of(inner, (*attached, *metadata))
    if origin in {Union, UnionType}:
        choices = [one for one in get_args(annotation) if one not in {NoneType, OtherCode}]
        return _of(choices[0], metadata)
    if origin is tuple:
        item = _of(get_args(annotation)[0], ())
        return Target(part=item.part, table=item.table, listed=True)
    schemas = [one.json_schema or {} for one in metadata if isinstance(one, WithJsonSchema)]
    kind: type = annotation if isinstance(annotation, type) else object
    return Target(
        part=kind if issubclass(kind, Model) else None,
        table=kind if issubclass(kind, Term) else None,
        truth=issubclass(kind, bool),
        number=any(schema.get("type") in {"integer", "number"} for schema in schemas),
        whole=any(schema.get("type") == "integer" for schema in schemas),
    )
