"""Derived facts on views: which of them a finding, list or picture belongs to, and what they could show."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from dermreport.answers import answer_to, views_named
from dermreport.examination.observed import Finding, Image, ListGoneThrough
from dermreport.expressions.evaluate import Scope, Truth
from dermreport.vocabulary.coverages import Coverage
from dermreport.vocabulary.finding_lists import FindingList
from dermreport.vocabulary.image_roles import ImageRole
from dermreport.vocabulary.light_fits import LightFit
from dermreport.vocabulary.lights import Light
from dermreport.vocabulary.not_assessed_reasons import NotAssessedReason
from dermreport.vocabulary.presences import Presence


def _keys(scope: Scope) -> frozenset[str]:
    return frozenset(view.key for view in scope.answers.examination.views)


def names_unknown_view(scope: Scope, item: Finding | ListGoneThrough) -> bool:
    """The finding or list at hand names a view that the examination doesn't have."""
    return not _keys(scope).issuperset(item.views)


def image_names_unknown_view(scope: Scope, item: Image) -> bool:
    """The picture at hand names a view that the examination doesn't have."""
    return item.view is not None and item.view not in _keys(scope)


def image_light_not_known(scope: Scope, item: Image) -> bool:
    """The picture at hand was taken through the dermatoscope, and neither its view nor all views tell one light."""
    if item.role is not ImageRole.DERMATOSCOPIC:
        return False
    views = views_named(scope.answers.examination, () if item.view is None else (item.view,))
    lights = {view.light for view in views}
    return len(lights) != 1 or Light.UNKNOWN in lights


def _all_in(light: Light) -> Callable[[Scope, Any], Truth]:
    def all_in(scope: Scope, item: Finding | ListGoneThrough) -> Truth:
        views = views_named(scope.answers.examination, item.views)
        return all(view.light is light for view in views) if views else None

    all_in.__doc__ = f"The finding or list at hand was looked for in {light.display} light only; open without a view."
    return all_in


def list_needs_polarised_light(_scope: Scope, item: ListGoneThrough) -> bool:
    """The list at hand has a structure that only polarised light shows."""
    structures = item.list.structures if isinstance(item.list, FindingList) else ()
    return any(structure.light is LightFit.ONLY_POLARISED for structure in structures)


def absent_behind_limits(scope: Scope, _item: object) -> bool:
    """Something called absent counts as uncertain because each view that could show it was limited.

    Each finding is looked at by itself: what was seen at one place doesn't show what was hidden at another.
    """
    found = scope.answers
    if not any(view.limits or view.covers is Coverage.PART for view in found.examination.views):
        return False
    each = (answer_to(found, position) for position in range(len(found.examination.findings)))
    return any(
        answer.presence is Presence.UNCERTAIN
        and answer.because is NotAssessedReason.HIDDEN
        and answer.recorded is Presence.ABSENT
        for answer in (*found.structures.values(), *each)
    )


LIGHT_FACTS: Mapping[str, Callable[[Scope, Any], Truth]] = {
    "names-unknown-view": names_unknown_view,
    "image-names-unknown-view": image_names_unknown_view,
    "image-light-not-known": image_light_not_known,
    "only-in-non-polarised-light": _all_in(Light.NON_POLARISED),
    "only-in-polarised-light": _all_in(Light.POLARISED),
    "list-needs-polarised-light": list_needs_polarised_light,
    "absent-behind-limits": absent_behind_limits,
}
