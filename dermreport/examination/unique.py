"""One check for all lists whose items have a key of their own."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeVar

from pydantic import AfterValidator
from pydantic_core import PydanticCustomError

if TYPE_CHECKING:
    from collections.abc import Callable, Hashable

T = TypeVar("T")


def repeated(marks: list[Hashable]) -> tuple[int, ...]:
    """Return the positions of the marks that an earlier one equals."""
    if len(set(marks)) == len(marks):
        return ()
    first: dict[Hashable, int] = {}
    return tuple(position for position, mark in enumerate(marks) if first.setdefault(mark, position) != position)


def unique_by(key: Callable[[T], Hashable]) -> AfterValidator:
    """Return a validator that refuses items whose key an earlier item has; their positions are in the error."""

    def check(items: tuple[T, ...]) -> tuple[T, ...]:
        positions = repeated([key(item) for item in items])
        if positions:
            raise PydanticCustomError("given_twice", "Items of this list are the same one.", {"positions": positions})
        return items

    return AfterValidator(check)
