"""What each single finding and each item of a list counts as, and in which light it was seen."""

from __future__ import annotations

from typing import TYPE_CHECKING

from dermreport.answers import Answer, Answers
from dermreport.vocabulary.finding_lists import FindingList
from dermreport.vocabulary.lights import Light
from dermreport.vocabulary.structures import Structure

if TYPE_CHECKING:
    from collections.abc import Iterable

    from dermreport.examination.model import Examination
    from dermreport.examination.observed import ListGoneThrough, View


def unticked(found: Answers, gone_through: ListGoneThrough) -> tuple[tuple[Structure, Answer], ...]:
    """Return the items of a list that no finding names, with what each counts as; none for somebody else's list."""
    name = gone_through.list
    if not isinstance(name, FindingList):
        return ()
    ticked = {one.structure for one in found.examination.findings if isinstance(one.structure, Structure)}
    return tuple((structure, found.of(structure)) for structure in name.structures if structure not in ticked)


def views_named(examination: Examination, keys: Iterable[str]) -> tuple[View, ...]:
    """Return the views of these keys that exist, in the order of the keys."""
    by_key = {view.key: view for view in examination.views}
    return tuple(by_key[key] for key in keys if key in by_key)


def lights(examination: Examination, keys: tuple[str, ...]) -> tuple[Light, ...]:
    """Return the lights of the views named, each once; without a name the one light that all views share."""
    if keys:
        return tuple(dict.fromkeys(view.light for view in views_named(examination, keys)))
    every = tuple(dict.fromkeys(view.light for view in examination.views))
    return every if len(every) == 1 else ()


def light_words(seen_in: tuple[Light, ...]) -> str:
    """Return lights in words; empty where none is known to be the one."""
    if not seen_in:
        return ""
    return " and ".join(f"{one.display} light" if one is not Light.UNKNOWN else "light not known" for one in seen_in)
