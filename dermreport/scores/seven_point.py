"""Seven-point checklist: the original weights of 1998, and the revised threshold of 2011."""

from __future__ import annotations

from dermreport.expressions.nodes import Expression, Present, some, some_present
from dermreport.scores.method import Criterion, Figure, PublishedMethod, Threshold, Validity
from dermreport.scores.streaks import RADIAL_STREAMING, UNEVEN_PSEUDOPODS
from dermreport.scores.validity import ADULT, MELANOCYTIC_ONLY, NON_POLARISED_STUDY, PIGMENTED, UNTREATED, only_at
from dermreport.sources import Basis, Source, seen
from dermreport.vocabulary.reading_styles import ReadingStyle
from dermreport.vocabulary.score_methods import ScoreMethod
from dermreport.vocabulary.structures import Structure
from dermreport.vocabulary.verdicts import Verdict

_DEFINITIONS = seen(Source.SEVEN_POINT_CRITERIA_PAGES)
_MAJOR = 20
_MINOR = 10
_REVISED_POINT = 10

_IRREGULAR_STREAKS: Expression = some(RADIAL_STREAMING, UNEVEN_PSEUDOPODS)

#: Id, label, condition, major or not, basis.
_CRITERIA: tuple[tuple[str, str, Expression, bool, Basis], ...] = (
    (
        "atypical-network",
        "atypical pigment network",
        some_present(Structure.NETWORK_ATYPICAL, Structure.NETWORK_THICK),
        True,
        _DEFINITIONS,
    ),
    ("blue-whitish-veil", "blue-whitish veil", Present(Structure.BLUE_WHITE_VEIL), True, _DEFINITIONS),
    ("atypical-vessels", "atypical vascular pattern", Present(Structure.VESSELS_ATYPICAL), True, _DEFINITIONS),
    ("irregular-streaks", "irregular streaks", _IRREGULAR_STREAKS, False, _DEFINITIONS),
    (
        "irregular-dots-globules",
        "irregular dots or globules",
        some_present(Structure.DOTS_IRREGULAR, Structure.GLOBULES_IRREGULAR),
        False,
        _DEFINITIONS,
    ),
    ("irregular-blotches", "irregular blotches", Present(Structure.BLOTCH_IRREGULAR), False, _DEFINITIONS),
    ("regression", "regression structures", Present(Structure.REGRESSION_STRUCTURES), False, _DEFINITIONS),
)

_VALIDITY: tuple[Validity, ...] = (
    *only_at(
        ReadingStyle.TRUNK_LIMB, "The checklist wasn't validated on face, palms or soles, nor on nails or mucosa."
    ),
    *MELANOCYTIC_ONLY,
    *PIGMENTED,
    *UNTREATED,
    *ADULT,
    *NON_POLARISED_STUDY,
)

ORIGINAL = PublishedMethod(
    code=ScoreMethod.SEVEN_POINT,
    version="1998",
    criteria=tuple(
        Criterion(name, label, when, _MAJOR if major else _MINOR, basis)
        for name, label, when, major, basis in _CRITERIA
    ),
    thresholds=(Threshold(30, Verdict.ABOVE_THRESHOLD, "3"),),
    lowest_tenths=0,
    highest_tenths=100,
    validity=_VALIDITY,
    cautions=("Non-experts in the original study were 85–93 % sensitive and 45–48 % specific.",),
    figures=(
        Figure("At 3 or more in the original study 95 % sensitive, 75 % specific.", _DEFINITIONS),
        Figure(
            "At 3 or more among 477 lesions: 70.6 % sensitive, 57.5 % specific.", seen(Source.METHODS_COMPARED_2016)
        ),
    ),
    basis=seen(Source.SEVEN_POINT_CRITERIA_PAGES, note="The primary paper's doi is from memory"),
)

REVISED = PublishedMethod(
    code=ScoreMethod.SEVEN_POINT_REVISED,
    version="2011",
    criteria=tuple(Criterion(name, label, when, _REVISED_POINT, basis) for name, label, when, _, basis in _CRITERIA),
    thresholds=(Threshold(10, Verdict.ABOVE_THRESHOLD, "1"),),
    lowest_tenths=0,
    highest_tenths=70,
    validity=_VALIDITY,
    cautions=("Sources disagree on figures for non-experts at this threshold; none is given.",),
    figures=(
        Figure(
            "Advised removal of 87.8 % of melanomas (77.9 % by the former threshold) and spared 74.5 % of monitored "
            "naevi (85.6 %).",
            seen(Source.SEVEN_POINT_2011),
        ),
    ),
    basis=seen(
        Source.SEVEN_POINT_2011,
        Source.SEVEN_POINT_PAGE,
        note="The sources ask for one criterion or more; that each counts one point follows from it",
    ),
)
