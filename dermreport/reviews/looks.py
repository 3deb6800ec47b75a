"""What to look at next: the open questions of all methods, and what a second light would show.

Each method was asked apart, with its own open inputs; here its answers are put together by what one look at the lesion
decides. Nothing is enumerated over several methods.
"""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum
from functools import cache
from typing import TypeAlias

from msgspec import Struct

from dermreport.examination.model import Examination
from dermreport.expressions.nodes import (
    ColourSeen,
    Fact,
    Found,
    Leaf,
    Present,
    Unresolved,
    entry_path,
    leaves,
    paths_of,
)
from dermreport.scores.associations import ClueResult
from dermreport.scores.engine import ScoreResult
from dermreport.scores.method import ClueList, Criterion, Method
from dermreport.vocabulary.colours import Colour
from dermreport.vocabulary.light_fits import LightFit
from dermreport.vocabulary.lights import Light
from dermreport.vocabulary.structures import Structure

#: What one look decides: a structure, a colour, the answer at a path of the entry, or a statement in words.
Subject: TypeAlias = Structure | Colour | str


class Where(StrEnum):
    """Where an answer is to be found."""

    DERMATOSCOPE = "dermatoscope"
    NAKED_EYE = "naked eye"
    FINGERS = "fingers"
    PATIENT = "patient"


_ROOMS = (
    ("lesion.palpation", Where.FINGERS),
    ("the lesion feels", Where.FINGERS),
    ("lesion.history", Where.PATIENT),
    ("growing", Where.PATIENT),
    ("background", Where.PATIENT),
    ("lesion", Where.NAKED_EYE),
)


class OpenQuestion(Struct, frozen=True):
    """One thing to look at, and what it would decide.

    Attributes:
        subject: A structure, a colour, the path of an answer in the entry, or a statement in words.
        leaf: The first of the inputs that it stands for, as a method asks it.
        changes: Codes of the methods whose verdict can hang on it, in the order of the methods.
        settles: Codes of the methods whose verdict some answer to it alone settles.
    """

    subject: Subject
    leaf: Leaf | str
    changes: tuple[str, ...]
    settles: tuple[str, ...]

    @property
    def light(self) -> Light | None:
        """The light that shows the structure, or shows it best; None where any does, or where it is no structure."""
        return self.subject.light.best if isinstance(self.subject, Structure) else None

    @property
    def where(self) -> Where:
        """Where the answer is to be found."""
        if isinstance(self.subject, Structure | Colour):
            return Where.DERMATOSCOPE
        return next((where for room, where in _ROOMS if self.subject.startswith(room)), Where.DERMATOSCOPE)

    @property
    def structure(self) -> Structure | None:
        """The structure to look for, where it is one."""
        return self.subject if isinstance(self.subject, Structure) else None


def subject_of(leaf: Leaf | str) -> Subject:
    """Return what one look decides of an input."""
    match leaf:
        case Present(structure) | Found(structure, _):
            return structure
        case ColourSeen(colour):
            return colour
        case Fact(name) | Unresolved(name):
            return name
        case str():
            return entry_path(leaf)
    return entry_path(paths_of(leaf)[0])


def open_questions(scores: Mapping[str, ScoreResult]) -> tuple[OpenQuestion, ...]:
    """Return what is open and can change a verdict, by the number of methods whose verdict can hang on it.

    Of equal ones those come first of which some answer alone settles more methods, then the order of the methods. What
    only the published sources leave open is no question to an examiner and isn't here.
    """
    found: dict[Subject, tuple[Leaf | str, dict[str, None], dict[str, None]]] = {}
    for code, result in scores.items():
        for one in result.open_inputs:
            if one.changes and one.answerable:
                _, changes, settles = found.setdefault(subject_of(one.leaf), (one.leaf, {}, {}))
                changes[code] = None
                if one.settles:
                    settles[code] = None
    questions = [
        OpenQuestion(subject, leaf, tuple(changes), tuple(settles))
        for subject, (leaf, changes, settles) in found.items()
    ]
    return tuple(sorted(questions, key=lambda one: (-len(one.changes), -len(one.settles))))


class SecondView(Struct, frozen=True):
    """What a view in another light would add.

    Attributes:
        light: The light to look in.
        hidden: Structures that methods ask and that no view in a known light so far can show.
        clearer: Structures that methods ask and that this light shows better.
    """

    light: Light
    hidden: tuple[Structure, ...]
    clearer: tuple[Structure, ...]


def second_views(
    examination: Examination, scores: Mapping[str, ScoreResult], lists: Mapping[str, ClueResult]
) -> tuple[SecondView, ...]:
    """Return, for each light in which no view was taken, what it would add to the methods that fit this lesion."""
    used = {view.light for view in examination.views}
    valid: list[Method | ClueList] = [one.method for one in scores.values() if one.valid]
    valid += [one.method for one in lists.values() if one.valid]
    asked = dict.fromkeys(structure for method in valid for structure in structures_asked(method))
    found = []
    for light in (Light.POLARISED, Light.NON_POLARISED):
        gained = [structure for structure in asked if structure.light.best is light]
        if light not in used and gained:
            hidden = tuple(one for one in gained if one.light is LightFit.ONLY_POLARISED)
            clearer = tuple(one for one in gained if one.light is not LightFit.ONLY_POLARISED)
            found.append(SecondView(light, hidden, clearer))
    return tuple(found)


@cache
def structures_asked(method: Method | ClueList) -> tuple[Structure, ...]:
    """Return the structures that a method asks, in its order."""
    conditions = (
        [clue.when for clue in method.clues]
        if isinstance(method, ClueList)
        else [one.when for one in method.criteria if isinstance(one, Criterion)]
    )
    return tuple(
        dict.fromkeys(
            leaf.structure for when in conditions for leaf in leaves(when) if isinstance(leaf, Present | Found)
        )
    )
