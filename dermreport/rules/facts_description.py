"""Derived facts on findings beside each other, beside the site, and beside the lesion as a whole."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from dermreport.answers import from_parts
from dermreport.examination.observed import Finding, ListGoneThrough
from dermreport.expressions.evaluate import Scope, Truth
from dermreport.vocabulary.colours import Colour
from dermreport.vocabulary.finding_lists import FindingList
from dermreport.vocabulary.places import Place
from dermreport.vocabulary.presences import Presence
from dermreport.vocabulary.reading_styles import ReadingStyle
from dermreport.vocabulary.sites import Site
from dermreport.vocabulary.structures import Structure, family_of

#: More structures than this are hardly looked for one by one without a list.
MANY = 20

_BROWNS = frozenset((Colour.LIGHT_BROWN, Colour.DARK_BROWN, Colour.BROWN))


def _findings(scope: Scope) -> tuple[Finding, ...]:
    return scope.answers.examination.findings


def absent_but_kind_present(scope: Scope, item: Finding) -> bool:
    """The finding at hand says absent, and the same structure or a kind of it is recorded present where it was said."""
    structure = item.structure
    if item.presence is not Presence.ABSENT or not isinstance(structure, Structure):
        return False
    everywhere = item.place in {None, Place.WHOLE_LESION}
    return any(
        other.presence is Presence.PRESENT
        and (other.place == item.place or (everywhere and other.place is not Place.OUTSIDE))
        and other.structure in family_of(structure)
        for other in _findings(scope)
    )


def differs_from_parts(scope: Scope, item: Finding) -> bool:
    """The finding at hand is of a composite or pattern, and the answers for its parts say the opposite."""
    if not isinstance(item.structure, Structure):
        return False
    said = from_parts(item.structure, scope.answers.structures)
    return said is not None and {said.presence, item.presence} == {Presence.PRESENT, Presence.ABSENT}


def pattern_without_parts(scope: Scope, _item: object) -> Truth:
    """The pattern of the whole lesion needs structures that are absent; open without a pattern of ours."""
    description = scope.answers.examination.description
    pattern = None if description is None else description.pattern
    if not isinstance(pattern, Structure):
        return None
    said = from_parts(pattern, scope.answers.structures)
    return said is not None and said.presence is Presence.ABSENT


def colour_missing_from_list(scope: Scope, item: Finding) -> bool:
    """The list for the whole lesion lacks a colour of the present finding at hand, recorded or by definition."""
    description = scope.answers.examination.description
    if description is None or not description.colours:
        return False
    if item.presence is not Presence.PRESENT or item.place is Place.OUTSIDE:
        return False
    listed = {*description.colours, *description.doubtful_colours}  # pyright: ignore[reportUnhashable]  # pydantic makes frozen models hashable
    if not listed.isdisjoint(_BROWNS - {Colour.BROWN}):
        listed.add(Colour.BROWN)
    if Colour.BROWN in description.colours:
        listed |= _BROWNS
    by_definition = item.structure.implied_colours if isinstance(item.structure, Structure) else ()
    return any(isinstance(one, Colour) and one not in listed for one in (*item.colours, *by_definition))


def colour_sure_and_doubtful(scope: Scope, _item: object) -> bool:
    """A colour is on the list of colours and on the list of doubtful ones."""
    description = scope.answers.examination.description
    return description is not None and not set(description.colours).isdisjoint(description.doubtful_colours)


def many_absent_without_list(scope: Scope, _item: object) -> bool:
    """More than twenty structures are recorded absent, and no list says what was gone through."""
    absent = {finding.structure for finding in _findings(scope) if finding.presence is Presence.ABSENT}  # pyright: ignore[reportUnhashable]  # pydantic makes frozen models hashable
    return len(absent) > MANY and not scope.answers.examination.lists_gone_through


def _styles(scope: Scope) -> frozenset[ReadingStyle] | None:
    lesion = scope.answers.examination.lesion
    site = None if lesion is None else lesion.site
    return site.styles or None if isinstance(site, Site) else None


def structure_without_meaning_here(scope: Scope, item: Finding) -> Truth:
    """The structure at hand isn't described for the kind of skin at this site; open where either isn't ours."""
    styles = _styles(scope)
    if styles is None or not isinstance(item.structure, Structure):
        return None
    return item.structure.reading_styles.isdisjoint(styles)


def pattern_without_meaning_here(scope: Scope, _item: object) -> Truth:
    """The pattern of the whole lesion isn't described for the kind of skin at this site."""
    description = scope.answers.examination.description
    pattern = None if description is None else description.pattern
    styles = _styles(scope)
    if styles is None or not isinstance(pattern, Structure):
        return None
    return pattern.reading_styles.isdisjoint(styles)


def list_without_meaning_here(scope: Scope, item: ListGoneThrough) -> Truth:
    """No structure of the list at hand is described for the kind of skin at this site."""
    styles = _styles(scope)
    if styles is None or not isinstance(item.list, FindingList):
        return None
    return all(structure.reading_styles.isdisjoint(styles) for structure in item.list.structures)


DESCRIPTION_FACTS: Mapping[str, Callable[[Scope, Any], Truth]] = {
    "absent-but-kind-present": absent_but_kind_present,
    "differs-from-parts": differs_from_parts,
    "pattern-without-parts": pattern_without_parts,
    "colour-missing-from-list": colour_missing_from_list,
    "colour-sure-and-doubtful": colour_sure_and_doubtful,
    "many-absent-without-list": many_absent_without_list,
    "structure-without-meaning-here": structure_without_meaning_here,
    "pattern-without-meaning-here": pattern_without_meaning_here,
    "list-without-meaning-here": list_without_meaning_here,
}
