"""Colour and structure model for mucosa, Blum 2011: a structureless zone together with blue, grey or white."""

from __future__ import annotations

from dermreport.expressions.nodes import Present, some
from dermreport.scores import colours
from dermreport.scores.method import Criterion, Figure, PublishedMethod, Threshold, Variant
from dermreport.scores.validity import ADULT, PIGMENTED, UNTREATED, only_at
from dermreport.sources import Source, seen
from dermreport.vocabulary.reading_styles import ReadingStyle
from dermreport.vocabulary.score_methods import ScoreMethod
from dermreport.vocabulary.structures import Structure
from dermreport.vocabulary.verdicts import Verdict

_PAPER = seen(Source.MUCOSA_2011)
_CRITERION = "structureless-blue-grey-white"

METHOD = PublishedMethod(
    code=ScoreMethod.MUCOSAL,
    version="2011",
    criteria=(
        Criterion(
            _CRITERION,
            "structureless zone with blue, grey or white",
            Present(Structure.MUCOSAL_STRUCTURELESS_BLUE_GREY_WHITE),
            10,
            _PAPER,
        ),
    ),
    thresholds=(Threshold(10, Verdict.ABOVE_THRESHOLD, "1"),),
    lowest_tenths=0,
    highest_tenths=10,
    validity=(*only_at(ReadingStyle.MUCOSA, "The model is for mucosa."), *PIGMENTED, *UNTREATED, *ADULT),
    cautions=("Only 11 of the 140 lesions studied were melanomas.",),
    figures=(
        Figure("For melanoma 100 % sensitive, 82.2 % specific, among 140 lesions.", _PAPER),
        Figure("For any malignant lesion 92.9 % sensitive, 83.3 % specific.", _PAPER),
        Figure("Colours alone: for melanoma 100 % and 64.3 %, for any malignant lesion 92.9 % and 65.1 %.", _PAPER),
    ),
    basis=_PAPER,
    variants=(
        Variant(
            "colours-alone",
            "Any blue, grey or white counts.",
            (
                Criterion(
                    _CRITERION, "blue, grey or white", some(colours.BLUE, colours.GREY, colours.WHITE), 10, _PAPER
                ),
            ),
            _PAPER,
        ),
    ),
)
