"""Criteria for flat pigmented lesions of the face, Schiffner 2000 and after."""

from __future__ import annotations

from dermreport.expressions.nodes import Expression, Not, Present, is_one_of, some
from dermreport.scores import colours
from dermreport.scores.method import Clue, ClueList, Effect, Figure, Validity
from dermreport.scores.validity import ADULT, PIGMENTED, UNTREATED, only_at
from dermreport.sources import Basis, Source, seen
from dermreport.vocabulary.elevations import Elevation
from dermreport.vocabulary.reading_styles import ReadingStyle
from dermreport.vocabulary.score_methods import ScoreMethod
from dermreport.vocabulary.structures import Structure

_FIRST = seen(Source.LENTIGO_MALIGNA_2000)
_LATER = seen(Source.FLAT_FACIAL_LESIONS_2018, Source.HEAD_AND_NECK_MACULES_REVIEW)


def _clue(name: str, label: str, when: Expression, basis: Basis) -> Clue:
    return Clue(name, label, when, "lentigo maligna", basis)


LIST = ClueList(
    code=ScoreMethod.FACIAL_CRITERIA,
    version="2000 and later",
    clues=(
        _clue(
            "asymmetric-follicles",
            "asymmetric pigmented follicular openings",
            Present(Structure.FOLLICLES_ASYMMETRIC_PIGMENTED),
            _FIRST,
        ),
        _clue("rhomboids", "dark rhomboidal structures", Present(Structure.FOLLICULAR_RHOMBOIDS), _FIRST),
        _clue("slate-grey-globules", "slate-grey globules", Present(Structure.GLOBULES_SLATE_GREY), _FIRST),
        _clue("slate-grey-dots", "slate-grey dots", Present(Structure.DOTS_GREY), _FIRST),
        _clue("circle-within-circle", "circle within a circle", Present(Structure.CIRCLE_WITHIN_CIRCLE), _LATER),
        _clue(
            "obliterated-follicles", "obliterated follicular openings", Present(Structure.FOLLICLES_OBLITERATED), _LATER
        ),
        _clue("grey", "grey colour", some(colours.GREY, Present(Structure.CIRCLES_GREY)), _LATER),
    ),
    validity=(
        *only_at(ReadingStyle.FACE_SCALP, "The criteria are for the face."),
        Validity(
            Not(is_one_of("lesion.elevation", Elevation.FLAT)),
            Effect.CAUTION,
            "The criteria are for flat lesions, and this one isn't flat.",
            _FIRST,
        ),
        *PIGMENTED,
        *UNTREATED,
        *ADULT,
    ),
    cautions=(
        "No number of these signs is published as a threshold: this is a list and gives no number.",
        "The same signs occur in pigmented actinic keratosis.",
        "Grey alone is a reason for histology on the face.",
    ),
    figures=(
        Figure(
            "89 % sensitive and 96 % specific was a regression on four of these signs among 87 patients, against solar "
            "lentigo and early seborrhoeic keratosis; it isn't the figure of any count of them.",
            _FIRST,
        ),
    ),
    basis=seen(Source.LENTIGO_MALIGNA_2000, Source.FLAT_FACIAL_LESIONS_2018, Source.HEAD_AND_NECK_MACULES_REVIEW),
)
