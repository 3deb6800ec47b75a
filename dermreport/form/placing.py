"""Answers that stand in another place of a response than their question has in the form, put where it has it.

A renderer that lays out pages of its own, or a hand, may leave a structure's answer outside the checklist or a planned
step outside the plan. Read as something unknown it would make no request and leave the structure absent by a list; so
findings and planned steps are read wherever they stand, and the reader says so.
"""

from __future__ import annotations

from typing import Any, Final, NamedTuple

from dermreport.form.layout import CHECKLIST, by_link_id, checklist, checklist_group, tick, tick_reason, way
from dermreport.vocabulary.structures import Structure

Json = dict[str, Any]

FINDINGS: Final = "findings"
PLAN: Final = "plan"
_STEPS: Final = "plan.actions"


class _Stray(NamedTuple):
    """An item in another place, and what it stands in: items that share it belong to one row."""

    inside: int
    item: Json


def link_id(item: Any) -> str:  # noqa: ANN401 - any JSON
    """Return the linkId of an item, ``""`` where it has none."""
    named = item.get("linkId") if isinstance(item, dict) else None
    return named if isinstance(named, str) else ""


def items_of(holder: Json) -> list[Any]:
    """Return the items of a response, item or answer; what isn't a list counts as one."""
    items = holder.get("item", [])
    return items if isinstance(items, list) else [items]


def placed(roots: list[Any]) -> tuple[list[Any], frozenset[str]]:
    """Put findings and planned steps where the form asks them.

    Args:
        roots: The items of a response, which aren't changed.

    Returns:
        The items with those in their places, and to which of :data:`FINDINGS` and :data:`PLAN` any were put.
    """
    strays: list[_Stray] = []
    found: set[str] = set()
    left = _without_strays(roots, "", strays, found)
    if not found:
        return roots, frozenset()
    rows: dict[tuple[int, str], list[Json]] = {}
    for inside, item in strays:
        named = link_id(item)
        if named in {PLAN, FINDINGS, CHECKLIST}:
            left.append(item)
        elif named in _TICKS or named in _CHECKLIST_GROUPS:
            left.append({"linkId": CHECKLIST, "item": [item]})
        elif named == _STEPS:
            left = _with_in_plan(left, item)
        else:
            rows.setdefault((inside, named.split(".")[0]), []).append(item)
    for (_, part), items in rows.items():
        if part == FINDINGS:
            left.append({"linkId": FINDINGS, "item": items})
        else:
            left = _with_in_plan(left, {"linkId": _STEPS, "item": [_nested(item, _STEPS) for item in items]})
    return left, frozenset(found)


_CHECKLIST_GROUPS: Final = frozenset(checklist_group(element) for element, _ in checklist())
_TICKS: Final = frozenset(tick(structure) for structure in Structure)


def _parents() -> dict[str, frozenset[str]]:
    """Return in what each question on findings and planned steps may stand, by its linkId."""
    parents: dict[str, frozenset[str]] = {group: frozenset((CHECKLIST,)) for group in _CHECKLIST_GROUPS}
    parents[CHECKLIST] = frozenset(("",))
    for structure in Structure:
        parents[tick(structure)] = frozenset((CHECKLIST, *_CHECKLIST_GROUPS))
        parents[tick_reason(structure)] = frozenset((tick(structure),))
    for path in by_link_id():
        if path in {PLAN, FINDINGS, _STEPS} or path.startswith((f"{FINDINGS}.", f"{_STEPS}.")):
            parents[path] = frozenset((*way(path)[-2:-1],) or ("",))
    return parents


_PARENTS: Final = _parents()


def _without_strays(items: list[Any], inside: str, strays: list[_Stray], found: set[str]) -> list[Any]:
    """Return items without those in another place, which are added to the strays; no item is changed.

    An answer of a step that stands in it, but not in its group there, gets its group.
    """
    left: list[Any] = []
    for item in items:
        named = link_id(item)
        kept = _cleaned(item, named or inside, strays, found)
        if named not in _PARENTS or inside in _PARENTS[named]:
            left.append(kept)
            continue
        found.add(PLAN if named.split(".")[0] == PLAN else FINDINGS)
        if named in by_link_id() and inside in way(named)[1:-1]:
            left.append(_nested(kept, inside))
        else:
            strays.append(_Stray(id(items), kept))
    return left


def _cleaned(item: Any, named: str, strays: list[_Stray], found: set[str]) -> Any:  # noqa: ANN401 - any JSON
    """Return an item, or an answer, without the strays that stand in it."""
    if not isinstance(item, dict):
        return item
    made = item
    if isinstance(item.get("item"), list):
        made = {**made, "item": _without_strays(item["item"], named, strays, found)}
    if isinstance(item.get("answer"), list):
        made = {**made, "answer": [_cleaned(answer, named, strays, found) for answer in item["answer"]]}
    return made


def _with_in_plan(roots: list[Any], step: Json) -> list[Any]:
    """Return the items with a step added to the plan, to the first one where there are several."""
    for position, item in enumerate(roots):
        if link_id(item) == PLAN:
            return [*roots[:position], {**item, "item": [*items_of(item), step]}, *roots[position + 1 :]]
    return [*roots, {"linkId": PLAN, "item": [step]}]


def _nested(item: Json, inside: str) -> Json:
    """Return an answer in the groups that the form has between the one that it stands in and it."""
    named = link_id(item)
    groups = way(named)[:-1]
    for group in reversed(groups[groups.index(inside) + 1 :]):
        item = {"linkId": group, "item": [item]}
    return item
