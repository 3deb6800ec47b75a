"""Parts of an entry that were given and say nothing: no resource has a place for them, so the report names them.

``"lesion": {}`` isn't the same text as no lesion, and another site must get exactly what was recorded.
"""

from __future__ import annotations

import re
from functools import cache
from typing import TYPE_CHECKING, NamedTuple, get_args

from dermreport.examination.base import Model
from dermreport.examination.fields import classes_of
from dermreport.examination.model import Examination

if TYPE_CHECKING:
    from collections.abc import Iterator


class _Place(NamedTuple):
    """A field that holds a part, or a list of parts.

    Attributes:
        field: Its name.
        listed: Whether it holds a list.
        empty: The part with nothing in it, or ``None`` where such a part can't be.
        below: Fields of the part in which one can be empty.
    """

    field: str
    listed: bool
    empty: Model | None
    below: tuple[_Place, ...]


@cache
def _places(owner: type[Model]) -> tuple[_Place, ...]:
    found = []
    for name, field in owner.model_fields.items():
        for part in classes_of(owner, name):
            if issubclass(part, Model) and not part.held_whole:
                listed = any(argument is Ellipsis for argument in _arguments(field.annotation))
                can_be_empty = not any(one.is_required() for one in part.model_fields.values())
                # Made without validation, for which pydantic would build a validator of each part.
                empty = part.model_construct() if can_be_empty else None
                place = _Place(name, listed, empty, _places(part))
                if place.empty is not None or place.below:
                    found.append(place)
    return tuple(found)


def _arguments(annotation: object) -> list[object]:
    """Return everything inside an annotation, down to the last one; a list has an ellipsis."""
    inner = get_args(annotation)
    return [*inner, *(one for argument in inner for one in _arguments(argument))]


def empty_parts(examination: Examination) -> tuple[str, ...]:
    """Return where an entry has parts that say nothing, as ``lesion.palpation`` or ``images[0].consent``."""
    return tuple(_below(examination, _places(Examination), ""))


def may_be_empty(path: str) -> bool:
    """Return whether there is a part at a path that can say nothing."""
    return re.sub(r"\[[0-9]{1,4}\]", "[]", path) in _names(_places(Examination), "")


@cache
def _names(places: tuple[_Place, ...], path: str) -> frozenset[str]:
    found = set()
    for field, listed, empty, below in places:
        name = f"{path}{field}[]" if listed else f"{path}{field}"
        found |= {name} if empty is not None else set()
        found |= _names(below, f"{name}.")
    return frozenset(found)


def _below(owner: Model, places: tuple[_Place, ...], path: str) -> Iterator[str]:
    for field, listed, empty, below in places:
        value = getattr(owner, field)
        if not value:
            continue
        if listed:
            for position, item in enumerate(value):
                yield from _of(item, empty, below, f"{path}{field}[{position}]")
        else:
            yield from _of(value, empty, below, f"{path}{field}")


def _of(part: Model, empty: Model | None, below: tuple[_Place, ...], path: str) -> Iterator[str]:
    if part == empty:
        yield path
    else:
        yield from _below(part, below, f"{path}.")
