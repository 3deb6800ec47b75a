"""Revised pattern analysis (chaos and clues): disorder of colour or structure, and with it one of nine clues."""

from __future__ import annotations

from dermreport.expressions.nodes import Expression, Given, Not, Present, Unresolved, every, is_one_of, some
from dermreport.scores import colours
from dermreport.scores.method import (
    Criterion,
    Effect,
    End,
    Figure,
    PublishedMethod,
    Step,
    Steps,
    Threshold,
    Validity,
    Variant,
)
from dermreport.scores.named_harmless import unequivocally
from dermreport.scores.peripheral_black import PERIPHERAL_BLACK
from dermreport.scores.recorded import present_where_recorded
from dermreport.scores.streaks import SEGMENTAL_STREAKS
from dermreport.scores.validity import ADULT, PIGMENTED, SITE_NOT_TOLD, UNTREATED
from dermreport.scores.vessels import POLYMORPHOUS
from dermreport.scores.whole_lesion import DISORDER_OR_UNDECIDED
from dermreport.sources import COMMON_PRACTICE, MEMORY, Basis, Source, memory, seen
from dermreport.vocabulary.impressions import Impression
from dermreport.vocabulary.reading_styles import ReadingStyle
from dermreport.vocabulary.score_methods import ScoreMethod
from dermreport.vocabulary.structures import Structure
from dermreport.vocabulary.verdicts import Verdict

_PAGES = seen(Source.CHAOS_AND_CLUES_PAGE, Source.DIAGNOSTIC_METHODS_COURSE)
_POLYGONS = "polygons"


def _clue(name: str, label: str, when: Expression, basis: Basis = _PAGES) -> Criterion:
    return Criterion(name, label, when, 10, basis)


_NO_CHAOS = Not(DISORDER_OR_UNDECIDED)
_EXEMPT = unequivocally(Impression.SEBORRHOEIC_KERATOSIS)

#: Some sites hold two kinds of skin, and where the ridges were seen it is theirs.
_ON_RIDGED_SKIN = some(
    is_one_of("lesion.site.reading_style", ReadingStyle.ACRAL),
    every(Given("lesion.site.second_style"), is_one_of("lesion.site.second_style", ReadingStyle.ACRAL)),
)

_CLUES = (
    _clue("eccentric-structureless", "eccentric structureless area", Present(Structure.STRUCTURELESS_ECCENTRIC)),
    _clue(
        "thick-lines",
        "thick reticular or branched lines",
        some(
            Present(Structure.NETWORK_THICK),
            every(Present(Structure.LINES_BRANCHED), Unresolved("the branched lines are thick", answerable=True)),
        ),
    ),
    _clue(
        "grey-or-blue",
        "grey or blue structures",
        some(
            colours.GREY,
            colours.BLUE,
            Present(Structure.DOTS_GREY),
            Present(Structure.BLUE_WHITE_VEIL),
            Present(Structure.STRUCTURELESS_BLUE_WHOLE),
            present_where_recorded(
                Structure.CIRCLES_GREY,
                Structure.GLOBULES_SLATE_GREY,
                Structure.CLODS_BLUE_LARGE,
                Structure.CLODS_BLUE_MULTIPLE,
                Structure.BLUE_BLACK_COLOUR,
            ),
        ),
    ),
    _clue("peripheral-black", "black dots or clods at the edge", PERIPHERAL_BLACK),
    _clue("segmental-streaks", "radial lines or pseudopods at part of the edge", SEGMENTAL_STREAKS),
    _clue(
        "white-lines",
        "white lines",
        some(
            Present(Structure.LINES_WHITE_PERPENDICULAR),
            Present(Structure.SHINY_WHITE_STRANDS),
            present_where_recorded(Structure.NETWORK_WHITE),
        ),
    ),
    _clue("polymorphous-vessels", "polymorphous vessels", POLYMORPHOUS),
    _clue(_POLYGONS, "polygons", Present(Structure.LINES_ANGULATED)),
    _clue(
        "ridges",
        "parallel lines on ridges, on palms or soles",
        every(_ON_RIDGED_SKIN, Present(Structure.RIDGE_PARALLEL)),
    ),
)

METHOD = PublishedMethod(
    code=ScoreMethod.REVISED_PATTERN_ANALYSIS,
    version="nine clues",
    criteria=(
        Criterion("no-chaos", "no disorder of colour or structure, outline ignored", _NO_CHAOS, 0, _PAGES, vetoes=True),
        Criterion(
            "unequivocal-seborrhoeic-keratosis",
            "called an unequivocal seborrhoeic keratosis",
            _EXEMPT,
            0,
            _PAGES,
            vetoes=True,
        ),
        *_CLUES,
    ),
    thresholds=(Threshold(10, Verdict.ABOVE_THRESHOLD, "1 clue, with chaos"),),
    lowest_tenths=0,
    highest_tenths=90,
    validity=(
        Validity(
            is_one_of("lesion.site.reading_style", ReadingStyle.NAIL, ReadingStyle.MUCOSA),
            Effect.NO_NUMBER,
            "Nails and mucosa are read another way.",
            COMMON_PRACTICE,
            SITE_NOT_TOLD,
        ),
        Validity(
            is_one_of("lesion.site.reading_style", ReadingStyle.FACE_SCALP),
            Effect.CAUTION,
            "On the face follicles break every pattern up: grey alone is a reason for histology there.",
            MEMORY,
        ),
        *PIGMENTED,
        *UNTREATED,
        *ADULT,
    ),
    cautions=(
        "What can't be decided counts as disorder.",
        (
            "Disorder isn't always asked for (from memory): a changing lesion of an adult, a pigmented nodule, "
            "grey on head or neck, and the ridge pattern on palms and soles call for action without it."
        ),
    ),
    figures=(
        Figure(
            "In one practice, among 463 pigmented lesions, for malignancy of any type: 90.6 % sensitive, 62.7 % "
            "specific.",
            seen(Source.CHAOS_AND_CLUES_IN_PRACTICE),
        ),
        Figure("Among 477 lesions: 82.4 % sensitive, 40.2 % specific.", seen(Source.METHODS_COMPARED_2016)),
    ),
    basis=_PAGES,
    variants=(
        Variant(
            "eight-clues",
            "The original list has no polygons.",
            (Criterion(_POLYGONS, "polygons, not counted", Present(Structure.LINES_ANGULATED), 0, memory()),),
            seen(Source.CHAOS_AND_CLUES_REVIEW_2018),
        ),
    ),
    steps=Steps(
        (
            Step(
                "Is it an unequivocal seborrhoeic keratosis, by the clinician’s own word?",
                _EXEMPT,
                End("exempt by the clinician’s word", Verdict.BELOW_THRESHOLD),
            ),
            Step(
                "Is there no disorder of colour or structure?",
                _NO_CHAOS,
                End("no disorder: this method asks for nothing more", Verdict.BELOW_THRESHOLD),
            ),
            Step(
                "Is any of the nine clues there?",
                some(*(clue.when for clue in _CLUES)),
                End("disorder and a clue: consider excision", Verdict.ABOVE_THRESHOLD),
            ),
        ),
        End("disorder without a clue: this method asks for nothing more", Verdict.BELOW_THRESHOLD),
    ),
)
