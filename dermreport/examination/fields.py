"""What the model asks at each place: read from the model itself, so nothing is said twice."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Any, NamedTuple, get_args

from dermreport.examination.base import OTHER, OURS, Model, OtherCode
from dermreport.vocabulary.term import Term

if TYPE_CHECKING:
    from collections.abc import Iterable


class Step(NamedTuple):
    """One part of the way to a place in an entry.

    Attributes:
        part: A field's name, or a position in a list. A name that the model doesn't know is the entry's own.
        required: Whether the part of the model that has this field can't be without it.
        held_whole: Whether the part of the model that has this field is held whole or not at all.
        holds: The classes that may stand here; for a list those of its items.
    """

    part: str | int
    required: bool
    held_whole: bool
    holds: tuple[type, ...]

    @property
    def table(self) -> type[Term] | None:
        """The vocabulary table whose codes stand here."""
        return next((one for one in self.holds if issubclass(one, Term)), None)


def steps(location: Iterable[str | int], model: type[Model]) -> tuple[Step, ...]:
    """Return the way to a place that pydantic names, without its marks of a union's branches.

    Args:
        location: Names and positions, with pydantic's marks or without.
        model: Where the way begins.
    """
    way: list[Step] = []
    holds: tuple[type, ...] = (model,)
    branch_next = False
    for part in location:
        if isinstance(part, int):
            way.append(Step(part, required=False, held_whole=False, holds=holds))
        elif branch_next and part in {OURS, OTHER}:
            branch_next = False
            holds = tuple(one for one in holds if (one is OtherCode) is (part == OTHER))
            way[-1] = way[-1]._replace(holds=holds)
        else:
            owner = next((one for one in holds if issubclass(one, Model)), None)
            required, holds = _field(owner, part) if owner is not None else (False, ())
            way.append(Step(part, required, owner is not None and owner.held_whole, holds))
            branch_next = OtherCode in holds and len(holds) > 1
    return tuple(way)


@cache
def _field(owner: type[Model], name: str) -> tuple[bool, tuple[type, ...]]:
    field = owner.model_fields.get(name)
    return (False, ()) if field is None else (field.is_required(), classes_of(owner, name))


def classes_of(owner: type[Model], name: str) -> tuple[type, ...]:
    """Return the classes that may stand in a field; for a list those of its items."""
    return tuple(_classes(owner.model_fields[name].annotation))


def _classes(annotation: Any) -> list[type]:  # noqa: ANN401 - any annotation
    """Return the classes inside an annotation: members of unions, items of lists, what Annotated wraps."""
    arguments = get_args(annotation)
    if not arguments:
        return [annotation] if isinstance(annotation, type) else []
    return [found for argument in arguments for found in _classes(argument)]
