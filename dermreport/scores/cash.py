"""CASH algorithm, Henning 2007: colours, architecture, symmetry, and a number of structures."""

from __future__ import annotations

from dermreport.expressions.nodes import Expression, Unresolved, every, is_one_of, some, some_present
from dermreport.scores import colours
from dermreport.scores.method import Criterion, Figure, PartRange, PublishedMethod, Threshold
from dermreport.scores.validity import ADULT, MELANOCYTIC_ONLY, NON_POLARISED_STUDY, PIGMENTED, UNTREATED, only_at
from dermreport.scores.vessels import POLYMORPHOUS
from dermreport.scores.whole_lesion import asymmetric
from dermreport.sources import Basis, Source, memory, seen
from dermreport.vocabulary.architectures import Architecture
from dermreport.vocabulary.reading_styles import ReadingStyle
from dermreport.vocabulary.score_methods import ScoreMethod
from dermreport.vocabulary.structures import Structure
from dermreport.vocabulary.verdicts import Verdict

_ITEMS = seen(Source.CASH_ITEM_TABLE, note="Items and points were read in one secondary source")
_POINT = 10

#: Sources name blue among the colours and don't say whether grey is one.
_BLUE = some(colours.BLUE, every(colours.GREY, Unresolved("grey counts as blue")))
_DISORDER = is_one_of("whole.architecture", Architecture.MODERATE_DISORDER, Architecture.MARKED_DISORDER)
_MARKED = is_one_of("whole.architecture", Architecture.MARKED_DISORDER)


def _point(name: str, label: str, when: Expression, group: str, basis: Basis = _ITEMS) -> Criterion:
    return Criterion(name, label, when, _POINT, basis, group)


METHOD = PublishedMethod(
    code=ScoreMethod.CASH,
    version="2007",
    criteria=(
        _point("light-brown", "light brown", colours.LIGHT_BROWN, "colours"),
        _point("dark-brown", "dark brown", colours.DARK_BROWN, "colours"),
        _point("black", "black", colours.BLACK, "colours"),
        _point("red", "red", colours.RED_PINK_OPEN, "colours"),
        _point("white", "white", colours.WHITE, "colours"),
        _point("blue", "blue", _BLUE, "colours"),
        _point("disorder", "architecture in moderate or marked disorder", _DISORDER, "architecture"),
        _point("marked-disorder", "architecture in marked disorder", every(_DISORDER, _MARKED), "architecture"),
        _point(
            "first-axis",
            "asymmetry along the first axis",
            asymmetric("first_axis", "contour", "colour", "structure"),
            "symmetry",
            memory("Which aspects count isn't said where it was read; all three count"),
        ),
        _point(
            "second-axis",
            "asymmetry along the second axis",
            asymmetric("second_axis", "contour", "colour", "structure"),
            "symmetry",
            memory("Which aspects count isn't said where it was read; all three count"),
        ),
        _point("network", "pigment network", some_present(Structure.NETWORK, Structure.NETWORK_NEGATIVE), "structures"),
        _point(
            "dots-globules",
            "dots or globules",
            some_present(
                Structure.DOTS_BROWN, Structure.DOTS_BLACK, Structure.GLOBULES, Structure.CLODS_BLACK_PERIPHERAL
            ),
            "structures",
        ),
        _point(
            "streaks",
            "streaks or pseudopods",
            some_present(Structure.LINES_RADIAL, Structure.PSEUDOPODS),
            "structures",
        ),
        _point("blue-white-veil", "blue-whitish veil", some_present(Structure.BLUE_WHITE_VEIL), "structures"),
        _point("regression", "regression structures", some_present(Structure.REGRESSION_STRUCTURES), "structures"),
        _point(
            "blotches", "blotches", some_present(Structure.BLOTCH_REGULAR, Structure.BLOTCH_IRREGULAR), "structures"
        ),
        _point("polymorphous-vessels", "polymorphous vessels", POLYMORPHOUS, "structures"),
    ),
    thresholds=(Threshold(80, Verdict.ABOVE_THRESHOLD, "8"),),
    lowest_tenths=20,
    highest_tenths=170,
    validity=(
        *only_at(ReadingStyle.TRUNK_LIMB, "The algorithm wasn't studied for palms, soles, nails, face or mucosa."),
        *MELANOCYTIC_ONLY,
        *PIGMENTED,
        *UNTREATED,
        *ADULT,
        *NON_POLARISED_STUDY,
    ),
    cautions=(
        "Architecture is one answer and symmetry another: neither is derived from the other.",
        "A later comparison used 6 as the threshold; the algorithm's own is 8.",
        "A single evaluator scored the lesions of the first study.",
        "What makes disorder moderate or marked is defined nowhere that was read: it is the examiner's judgement.",
    ),
    figures=(
        Figure("At 8 or more among 325 melanocytic lesions: 98 % sensitive, 68 % specific.", seen(Source.CASH_2007)),
        Figure(
            "At 6 or more among 477 lesions: 77.9 % sensitive, 50.9 % specific.", seen(Source.METHODS_COMPARED_2016)
        ),
    ),
    basis=seen(Source.CASH_2007, Source.CASH_ITEM_TABLE, note="Of the paper the abstract was read"),
    part_ranges=(
        PartRange("colours", 1, 6, "No colour that the algorithm counts is recorded: its total starts at one."),
        PartRange(
            "structures",
            1,
            7,
            "No structure that the algorithm counts is present: its published range starts with one (from memory).",
        ),
    ),
)
