"""Derived facts on the point on the body map beside site and side."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any

from dermreport.vocabulary.body_maps import BodyMap
from dermreport.vocabulary.sites import Site

if TYPE_CHECKING:
    from dermreport.examination.lesion import Lesion
    from dermreport.expressions.evaluate import Scope


def _lesion(scope: Scope) -> Lesion | None:
    return scope.answers.examination.lesion


def map_point_outside_site(scope: Scope, _item: object) -> bool | None:
    """The point on the body map lies outside the site, on either side; open without a site or drawing of ours."""
    lesion = _lesion(scope)
    if lesion is None or lesion.map_point is None or not isinstance(lesion.site, Site):
        return None
    point = lesion.map_point
    if not isinstance(point.map, BodyMap):
        return None
    from dermreport.body_map import lies_outside  # noqa: PLC0415 - loaded on first use

    return lies_outside(lesion.site, point.map, lesion.side, (float(point.x), float(point.y)))


def map_point_on_other_side(scope: Scope, _item: object) -> bool | None:
    """The point on the body map lies on another side than the one given; open without a side or drawing of ours."""
    lesion = _lesion(scope)
    if lesion is None or lesion.map_point is None or lesion.side is None:
        return None
    point = lesion.map_point
    if not isinstance(point.map, BodyMap):
        return None
    from dermreport.body_map import on_the_other_side  # noqa: PLC0415 - loaded on first use

    return on_the_other_side(point.map, lesion.side, float(point.x))


SITE_FACTS: Mapping[str, Callable[[Scope, Any], bool | None]] = {
    "map-point-outside-site": map_point_outside_site,
    "map-point-on-other-side": map_point_on_other_side,
}
