"""Like with like: what an examination says in one light alone.

«Absent» in a light that shows it and «absent» in one that doesn't are two things, so a structure is compared in each
light that both looks share, and nothing is taken from the other one.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING, Any

from dermreport.answers import Answers, answers
from dermreport.vocabulary.finding_lists import FindingList
from dermreport.vocabulary.lights import Light
from dermreport.vocabulary.presences import Presence
from dermreport.vocabulary.structures import Structure

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from dermreport.examination.model import Examination
    from dermreport.examination.observed import Finding


class Course(StrEnum):
    """What became of a structure between two looks in a shared light."""

    GAINED = "gained"
    LOST = "lost"
    PRESENT = "present both times"
    ABSENT = "absent both times"
    OPEN = "open"


def known_lights(examination: Examination) -> frozenset[Light]:
    """Return the lights that an examination used, as far as they are known."""
    return frozenset(view.light for view in examination.views) - {Light.UNKNOWN}


def same_lights(then: Examination, now: Examination) -> bool:
    """Return whether two examinations used the same lights, all of them known."""
    unknown = any(view.light is Light.UNKNOWN for one in (then, now) for view in one.views)
    return bool(known_lights(then)) and not unknown and known_lights(then) == known_lights(now)


def in_light(examination: Examination, light: Light) -> Examination:
    """Return what of an examination was said in one light.

    A present finding that names no view was seen in all of them by the record's own definition, and is mostly written
    down so because nobody ticked a view: where there are several lights it counts as uncertain in each.
    """
    keys = {view.key for view in examination.views if view.light is light}
    alone = all(view.light is light for view in examination.views)
    findings = [one for finding in examination.findings if (one := _finding_in(finding, keys, alone=alone)) is not None]
    lists = [
        gone_through.model_copy(update={"views": kept})
        for gone_through in examination.lists_gone_through
        if (kept := tuple(key for key in gone_through.views if key in keys)) or not gone_through.views
    ]
    changed: dict[str, Any] = {
        "views": tuple(view for view in examination.views if view.key in keys),
        "findings": tuple(findings),
        "lists_gone_through": tuple(lists),
    }
    description = examination.description
    if not alone and description is not None and description.pattern is not None:
        changed["description"] = description.model_copy(update={"pattern": None})
    return examination.model_copy(update=changed)


def _finding_in(finding: Finding, keys: set[str], *, alone: bool) -> Finding | None:
    """Return what a finding says in one light; ``None`` where it says nothing of it.

    What was seen in another light only isn't absent here, though a list that was gone through leaves it unticked.
    """
    seen = finding.presence in {Presence.PRESENT, Presence.UNCERTAIN}
    if finding.views:
        kept = tuple(key for key in finding.views if key in keys)
        if kept:
            return finding.model_copy(update={"views": kept})
        return finding.model_copy(update={"presence": Presence.NOT_ASSESSED, "views": ()}) if seen else None
    if alone or finding.presence is not Presence.PRESENT:
        return finding
    return finding.model_copy(update={"presence": Presence.UNCERTAIN})


@dataclass(frozen=True, slots=True)
class Pair:
    """Two looks in one light, the earlier one first."""

    then: Answers
    now: Answers


def pairs(then: Examination, now: Examination, lights: Iterable[Light]) -> tuple[Pair, ...]:
    """Return two examinations in each of these lights."""
    return tuple(Pair(answers(in_light(then, light)), answers(in_light(now, light))) for light in lights)


def recorded(examination: Examination) -> frozenset[Structure]:
    """Return the structures of which an examination says something: by a finding, or by a list gone through."""
    named = {one.structure for one in examination.findings if isinstance(one.structure, Structure)}
    lists = (one.list for one in examination.lists_gone_through)
    listed = {structure for one in lists if isinstance(one, FindingList) for structure in one.structures}
    return frozenset(named | listed)


def courses(then: Examination, now: Examination, found: tuple[Pair, ...]) -> Mapping[Structure, Course]:
    """Return what became of each structure of which either examination says something, in the vocabulary's order."""
    asked = recorded(then) | recorded(now)
    return {structure: course(structure, found) for structure in Structure if structure in asked}


def course(structure: Structure, found: tuple[Pair, ...]) -> Course:
    """Return what became of a structure: seen in any shared light is seen, and a change needs both looks in one."""
    truths = [(pair.then.of(structure).truth, pair.now.of(structure).truth) for pair in found]
    before = any(then for then, _ in truths)
    after = any(now for _, now in truths)
    if before and after:
        return Course.PRESENT if (True, True) in truths or _turned(truths) else Course.OPEN
    if after:
        return Course.GAINED if (False, True) in truths else Course.OPEN
    if before:
        return Course.LOST if (True, False) in truths else Course.OPEN
    return Course.ABSENT if (False, False) in truths else Course.OPEN


def _turned(truths: list[tuple[bool | None, bool | None]]) -> bool:
    """Whether it was gained in one light and lost in another: there both times."""
    return (False, True) in truths and (True, False) in truths
