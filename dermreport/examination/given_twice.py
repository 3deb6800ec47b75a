"""What an entry says twice and not alike: the graver answer counts, and which one came first decides nothing."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any, Final

from dermreport.examination.entry_rules import Path, entry_issue, path_text
from dermreport.examination.observed import Finding
from dermreport.issues import EntryError
from dermreport.publication import CANONICAL_BASE
from dermreport.vocabulary.lights import Light
from dermreport.vocabulary.presences import Presence

if TYPE_CHECKING:
    from collections.abc import Hashable, Iterator

    from dermreport.examination.base import Model
    from dermreport.issues import Issue

Json = dict[str, Any]

#: The graver, the earlier; an answer that can't be read is less grave than any but «absent».
_UNREADABLE: Final = object()
_GRAVEST_FIRST: Final = (
    Presence.PRESENT.value,
    Presence.UNCERTAIN.value,
    Presence.NOT_ASSESSED.value,
    _UNREADABLE,
    Presence.ABSENT.value,
)
_ABSENT: Final = len(_GRAVEST_FIRST) - 1
_LIGHTS: Final = frozenset(light.value for light in Light)


def lesser_findings(findings: Any) -> Iterator[tuple[Path, Issue]]:  # noqa: ANN401 - any JSON
    """Yield each finding that doesn't count beside another one of its structure and place.

    Args:
        findings: Those of an entry, as written.

    What can't be held by itself counts only against «absent»: that isn't believed beside it, and then neither counts.
    """
    for positions in _alike(findings, _place_of):
        held = [at for at in positions if _is_held(Finding, findings[at])]
        gravity = {at: _gravity(findings[at]) for at in positions}
        counts = min(held, key=lambda at: gravity[at], default=None)
        if counts is not None and gravity[counts] == _ABSENT and min(gravity.values()) < _ABSENT:
            counts = None
        for at in positions:
            same = counts is not None and text_of(findings[at]) == text_of(findings[counts])
            if at != counts and at in held:
                path = ("findings", at)
                yield path, entry_issue("entry-given-twice" if same else "entry-findings-differ", path_text(path))


def without_one_light(views: Any) -> list[tuple[Path, str]]:  # noqa: ANN401 - any JSON
    """Make the light of views with one key and different lights not known; return where each light stood, and it.

    Args:
        views: Those of an entry, which are changed.
    """
    found: list[tuple[Path, str]] = []
    for positions in _alike(views, _key_of):
        lights = {
            at: light for at in positions if isinstance(light := views[at].get("light"), str) and light in _LIGHTS
        }
        if len(set(lights.values())) > 1:
            found.extend((("views", at, "light"), light) for at, light in lights.items())
            for at in lights:
                views[at]["light"] = Light.UNKNOWN.value
    return found


def text_of(value: Any) -> str:  # noqa: ANN401 - any JSON
    """Return a text that equal values have, and no others: digits count."""
    return json.dumps(value, sort_keys=True, default=repr)


def _alike(items: Any, mark: Any) -> list[list[int]]:  # noqa: ANN401 - any JSON, a function
    """Return the positions of items that are the same one, several in each list."""
    found: dict[Hashable, list[int]] = {}
    for at, item in enumerate(items if isinstance(items, list) else ()):
        own = mark(item) if isinstance(item, dict) else None
        if own is not None:
            found.setdefault(own, []).append(at)
    return [positions for positions in found.values() if len(positions) > 1]


def _key_of(view: Json) -> Hashable:
    key = view.get("key")
    return key if isinstance(key, str) else None


def _place_of(finding: Json) -> Hashable:
    structure, place = finding.get("structure"), finding.get("place")
    return None if structure is None else (_code(structure), _code(place))


def _code(code: Any) -> Hashable:  # noqa: ANN401 - any JSON
    """Return what makes a code as written the same one: one of ours is that with its system, too."""
    if not isinstance(code, dict):
        return code if isinstance(code, str) else text_of(code)
    system, own = code.get("system"), code.get("code")
    if isinstance(system, str) and system.startswith(f"{CANONICAL_BASE}/") and isinstance(own, str):
        return own
    return text_of([system, own])


def _gravity(finding: Json) -> int:
    """Return the place of a finding's answer among the answers, the gravest first."""
    presence = finding.get("presence")
    known = isinstance(presence, str) and presence in _GRAVEST_FIRST
    return _GRAVEST_FIRST.index(presence if known else _UNREADABLE)


def _is_held(part: type[Model], item: Json) -> bool:
    try:
        part.model_validate(item)
    except EntryError:
        return False
    return True
