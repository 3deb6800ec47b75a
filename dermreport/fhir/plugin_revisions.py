"""What becomes of what a plugin made of a former revision, where it isn't used with this one.

A plugin that fails, or that no longer fits, must not withdraw what it said before: its alert would be entered in error
because of a defect. One that the host no longer asks for does: the host decided so.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from types import MappingProxyType
from typing import TYPE_CHECKING, Final

from dermreport.examination.people import system_and_value
from dermreport.plugins.issue_rules import EARLIER_KEPT, FAILED

if TYPE_CHECKING:
    from dermreport.issues import Issue
    from dermreport.plugin import Plugin
    from dermreport.reviews.review import Review

#: How a plugin is called that was refused before it said its name: it could be any.
_UNNAMED: Final = "unnamed-"


def without_lost(earlier: Sequence[Review], now: Sequence[Review]) -> tuple[tuple[Review, ...], tuple[Issue, ...]]:
    """Return former revisions without what plugins made that failed or were refused since, and an issue for each.

    Args:
        earlier: Reviews of former revisions.
        now: Reviews of the current ones.
    """
    current = {system_and_value(one.examination.identifier): one for one in now}
    made: list[Review] = []
    issues: dict[Issue, None] = {}
    for one in earlier:
        lost = _lost(one, current[system_and_value(one.examination.identifier)])
        names = frozenset(plugin.about.name for plugin in lost)
        made.append(_without(one, names) if names else one)
        issues |= {
            EARLIER_KEPT.at("$", plugin=plugin.about.name, version=plugin.about.version): None for plugin in lost
        }
    return tuple(made), tuple(issues)


def _lost(earlier: Review, now: Review) -> list[Plugin]:
    used = set(now.settings.plugins.names)
    refused = {one.name for one in now.settings.plugins.refused}
    any_of_them = any(name.startswith(_UNNAMED) for name in refused)
    gone = _failed(now.issues) | refused
    return [
        plugin
        for plugin in earlier.settings.plugins.loaded
        if plugin.about.name not in used and (any_of_them or plugin.about.name in gone)
    ]


def _failed(issues: Iterable[Issue]) -> set[str]:
    return {dict(one.parameters)["plugin"] for one in issues if one.rule == FAILED.id}


def _without(review: Review, names: frozenset[str]) -> Review:
    settings = replace(review.settings, plugins=review.settings.plugins.without(names))
    scores = {name: result for name, result in review.plugin_scores.items() if name.partition("/")[0] not in names}
    return replace(review, settings=settings, plugin_scores=MappingProxyType(scores))
