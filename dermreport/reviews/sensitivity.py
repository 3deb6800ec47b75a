"""Which single recorded answer, if it were wrong, would change a verdict.

Each answer that the methods read is turned round in a copy of the entry, one at a time, and everything is counted anew
by the same way as the entry itself: structures that were seen or stated absent, colours, and yes-or-no answers. It
takes some dozen scorings, so it is made when it is asked for.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from copy import deepcopy
from functools import cache
from types import MappingProxyType
from typing import Any

from msgspec import Struct

from dermreport.answers import Answers, answers
from dermreport.examination.model import Examination
from dermreport.expressions.evaluate import Scope
from dermreport.expressions.nodes import Holds, Is, entry_path, leaves
from dermreport.reviews.looks import Subject, structures_asked
from dermreport.rules.facts import FACTS
from dermreport.scores.engine import ScoreResult, score
from dermreport.scores.method import Criterion
from dermreport.scores.methods import METHODS
from dermreport.vocabulary.colours import Colour
from dermreport.vocabulary.judgements import Judgement
from dermreport.vocabulary.presences import Presence
from dermreport.vocabulary.structures import Structure
from dermreport.vocabulary.verdicts import Verdict


class Turned(Struct, frozen=True):
    """One recorded answer, and the verdicts that would be others if it were wrong.

    Attributes:
        subject: A structure, a colour, or the path of an answer in the entry.
        recorded: What it counts as now: True for present or yes, False for absent or no.
        verdicts: By method code: the verdict now, and the one if this answer were wrong.
    """

    subject: Subject
    recorded: bool
    verdicts: Mapping[str, tuple[Verdict, Verdict]]


def sensitivity(found: Answers, scores: Mapping[str, ScoreResult]) -> tuple[Turned, ...]:
    """Return each answer that alone, if wrong, changes a settled verdict; those that change most methods first.

    Args:
        found: The answers of the examination.
        scores: Its scores.
    """
    settled = {code: result for code, result in scores.items() if result.valid and result.settled}
    turned = []
    for subject, recorded, entry in _turned_round(found):
        scope = Scope(answers(Examination.model_validate(entry)), FACTS)
        verdicts = {}
        for code, now in settled.items():
            then = score(now.method, scope).verdict
            if then is not now.verdict:
                verdicts[code] = (now.verdict, then)
        if verdicts:
            turned.append(Turned(subject, recorded, MappingProxyType(verdicts)))
    return tuple(sorted(turned, key=lambda one: -len(one.verdicts)))


def _turned_round(found: Answers) -> Iterator[tuple[Subject, bool, dict[str, Any]]]:
    """Yield each answer, what it is now, and a copy of the entry in which it is the opposite."""
    entry = found.examination.to_dict()
    yield from _structures(found, entry)
    yield from _colours(found, entry)
    yield from _judgements(entry)


def _structures(found: Answers, entry: dict[str, Any]) -> Iterator[tuple[Subject, bool, dict[str, Any]]]:
    for structure in _asked_structures():
        answer = found.of(structure)
        if answer.truth is None:
            continue
        copy = deepcopy(entry)
        opposite = Presence.ABSENT if answer.truth else Presence.PRESENT
        # What makes a structure present by definition, a kind or a part of it, is wrong with it.
        wrong = [structure.value]
        if answer.truth:
            kinds = (copy["findings"][position]["structure"] for position in answer.findings)
            wrong += [one for one in dict.fromkeys(kinds) if one != structure.value]
        others = [one for one in copy.get("findings", ()) if one["structure"] not in wrong]
        copy["findings"] = [*others, *({"structure": one, "presence": opposite.value} for one in wrong)]
        yield structure, answer.truth, copy


def _colours(found: Answers, entry: dict[str, Any]) -> Iterator[tuple[Subject, bool, dict[str, Any]]]:
    listed = entry.get("description", {}).get("colours", [])
    for colour in Colour:
        seen = found.colours[colour]
        if not listed or seen is None or (seen and colour.value not in listed):
            continue
        left = [one for one in listed if one != colour.value]
        if left:
            copy = deepcopy(entry)
            copy["description"]["colours"] = left if seen else [*listed, colour.value]
            yield colour, seen, copy


def _judgements(entry: dict[str, Any]) -> Iterator[tuple[Subject, bool, dict[str, Any]]]:
    for path in _asked_answers():
        copy = deepcopy(entry)
        *rooms, last = path.split(".")
        room: Any = copy
        for name in rooms:
            room = room.get(name, {}) if isinstance(room, dict) else {}
        value = room.get(last) if isinstance(room, dict) else None
        if value in _OPPOSITE:
            room[last] = _OPPOSITE[value]
            yield path, value == Judgement.YES.value, copy


_OPPOSITE = {Judgement.YES.value: Judgement.NO.value, Judgement.NO.value: Judgement.YES.value}


@cache
def _asked_structures() -> tuple[Structure, ...]:
    return tuple(dict.fromkeys(structure for method in METHODS for structure in structures_asked(method)))


@cache
def _asked_answers() -> tuple[str, ...]:
    """Return the paths of the yes-or-no answers that methods read."""
    asked = (
        leaf.path
        for method in METHODS
        for one in method.criteria
        if isinstance(one, Criterion)
        for leaf in leaves(one.when)
        if isinstance(leaf, Holds)
        or (isinstance(leaf, Is) and any(isinstance(value, Judgement) for value in leaf.values))
    )
    return tuple(dict.fromkeys(entry_path(path) for path in asked))
