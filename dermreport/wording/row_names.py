"""What the rows of plugins are called, where somebody reads a code of theirs that the entry gives without a name.

The record itself stays as it was entered: only sentences are made of this.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from dermreport.answers import answers
from dermreport.examination.base import Model, OtherCode

if TYPE_CHECKING:
    from dermreport.reviews.review import Review


def with_row_names(review: Review) -> Review:
    """Return a review to be told in words, in which a code of a plugin's row has the row's display if it has none."""
    names = {(system, row.code): row.display for system, row in review.settings.plugins.rows}
    named = _named(review.examination, names) if names else review.examination
    return review if named is review.examination else replace(review, examination=named, answers=answers(named))


def _named(part: Any, names: Mapping[tuple[str, str], str]) -> Any:  # noqa: ANN401 - any part of an entry
    """Return a part with these names in it; the same object where there is nothing to name."""
    if isinstance(part, OtherCode):
        name = names.get((part.system, part.code)) if part.display is None else None
        return part if name is None else part.model_copy(update={"display": name})
    if isinstance(part, Model):
        made = {name: _named(getattr(part, name), names) for name in type(part).model_fields}
        changed = {name: one for name, one in made.items() if one is not getattr(part, name)}
        return part.model_copy(update=changed) if changed else part
    if isinstance(part, tuple):
        items = tuple(_named(one, names) for one in part)
        return part if all(new is old for new, old in zip(items, part, strict=True)) else items
    return part
