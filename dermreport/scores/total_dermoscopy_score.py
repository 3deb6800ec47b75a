"""Total dermoscopy score (ABCD rule of dermatoscopy), Nachbar 1994."""

from __future__ import annotations

from dermreport.expressions.nodes import (
    Expression,
    Found,
    Given,
    Holds,
    MoreThan,
    Present,
    every,
    is_one_of,
    some,
    some_present,
)
from dermreport.scores import colours
from dermreport.scores.method import Counted, Criterion, Figure, PartRange, PublishedMethod, Threshold, Variant
from dermreport.scores.recorded import present_where_recorded
from dermreport.scores.validity import ADULT, MELANOCYTIC_ONLY, NON_POLARISED_STUDY, PIGMENTED, UNTREATED, only_at
from dermreport.scores.whole_lesion import asymmetric
from dermreport.sources import MEMORY, Source, memory, seen
from dermreport.vocabulary.elements import Element
from dermreport.vocabulary.finding_lists import FindingList
from dermreport.vocabulary.light_fits import LightFit
from dermreport.vocabulary.reading_styles import ReadingStyle
from dermreport.vocabulary.score_methods import ScoreMethod
from dermreport.vocabulary.structure_kinds import StructureKind
from dermreport.vocabulary.structures import Structure
from dermreport.vocabulary.verdicts import Verdict

_RULE = seen(Source.ABCD_RULE_1994, Source.ABCD_RULE_DEFINITIONS)
_MORE_THAN_TWO = MoreThan("@.count", 2)
_OVER_A_TENTH = MoreThan("@.area_percent", 10)
_DOTS = (
    Structure.DOTS_BROWN,
    Structure.DOTS_BLACK,
    Structure.DOTS_BLACK_PERIPHERAL,
    Structure.DOTS_IRREGULAR,
    Structure.DOTS_GREY,
)
#: Areas of any shade: whether pale and white ones count isn't told, and they do. What only polarised light shows
#: doesn't: nobody could see it in the light of the study.
_STRUCTURELESS = tuple(
    structure
    for structure in FindingList.PIGMENTED_LESION.structures
    if structure.element is Element.STRUCTURELESS
    and structure.light is not LightFit.ONLY_POLARISED
    and structure.kind is not StructureKind.PATTERN
)
#: Structureless throughout by definition, so over a tenth.
_HOMOGENEOUS = some(
    every(Given("whole.pattern"), is_one_of("whole.pattern", Structure.PATTERN_HOMOGENEOUS)),
    present_where_recorded(Structure.PATTERN_HOMOGENEOUS),
)


def _colour(name: str, label: str, when: Expression) -> Criterion:
    return Criterion(name, label, when, 5, _RULE, "colours")


_RED = "red"

METHOD = PublishedMethod(
    code=ScoreMethod.TOTAL_DERMOSCOPY_SCORE,
    version="1994",
    criteria=(
        Criterion(
            "first-axis",
            "asymmetry along the first axis",
            asymmetric("first_axis", "contour", "colour", "structure"),
            13,
            _RULE,
            "asymmetry",
        ),
        Criterion(
            "second-axis",
            "asymmetry along the second axis",
            asymmetric("second_axis", "contour", "colour", "structure"),
            13,
            _RULE,
            "asymmetry",
        ),
        Counted(
            "border", "eighths of the border with an abrupt edge", "whole.border_segments", 1, 0, 8, _RULE, "border"
        ),
        _colour(
            "white", "white, paler than the skin around", every(colours.WHITE, Holds("whole.white_paler_than_skin"))
        ),
        _colour(_RED, "red", colours.RED_PINK_OPEN),
        _colour("light-brown", "light brown", colours.LIGHT_BROWN),
        _colour("dark-brown", "dark brown", colours.DARK_BROWN),
        _colour("blue-grey", "blue-grey", colours.BLUE_GREY_AS_ONE),
        _colour("black", "black", colours.BLACK),
        Criterion(
            "network",
            "pigment network",
            some_present(Structure.NETWORK, Structure.NETWORK_NEGATIVE),
            5,
            _RULE,
            "structures",
        ),
        Criterion(
            "structureless",
            "structureless area over a tenth of the lesion",
            some(
                _HOMOGENEOUS,
                Present(Structure.STRUCTURELESS_BLUE_WHOLE),
                *(Found(structure, _OVER_A_TENTH) for structure in _STRUCTURELESS),
            ),
            5,
            _RULE,
            "structures",
        ),
        Criterion(
            "branched-streaks",
            "more than two branched streaks",
            Found(Structure.LINES_BRANCHED, _MORE_THAN_TWO),
            5,
            _RULE,
            "structures",
        ),
        Criterion(
            "dots",
            "more than two dots",
            some(*(Found(structure, _MORE_THAN_TWO) for structure in _DOTS)),
            5,
            _RULE,
            "structures",
        ),
        Criterion(
            "globules",
            "globules",
            some_present(Structure.GLOBULES, Structure.CLODS_COBBLESTONE, Structure.CLODS_BLACK_PERIPHERAL),
            5,
            _RULE,
            "structures",
        ),
    ),
    thresholds=(
        Threshold(48, Verdict.BETWEEN_THRESHOLDS, "4.75"),
        Threshold(55, Verdict.ABOVE_THRESHOLD, "5.45"),
    ),
    lowest_tenths=10,
    highest_tenths=89,
    part_ranges=(
        PartRange("colours", 1, 6, "The method counts from one colour on, and none that it counts is recorded."),
        PartRange("structures", 1, 5, "The method counts from one structure on, and none that it counts is recorded."),
    ),
    validity=(
        *only_at(
            ReadingStyle.TRUNK_LIMB,
            "The method was studied on trunk and limbs, not on face, palms, soles, nails or mucosa.",
        ),
        *MELANOCYTIC_ONLY,
        *PIGMENTED,
        *UNTREATED,
        *ADULT,
        *NON_POLARISED_STUDY,
    ),
    cautions=(
        "Some sources print the lower threshold as 4.8; no total lies between the two.",
        "The two axes are those along which the lesion is least asymmetric.",
    ),
    figures=(
        Figure("Above 5.45 in the original study: 64 of 69 melanomas, and 93 of 103 naevi below.", _RULE),
        Figure("At the bedside 83 % sensitive and 45 % specific on 309 lesions.", seen(Source.ABCD_RULE_BEDSIDE_2016)),
        Figure("Over 4.75 among 477 lesions: 74.8 % sensitive, 59.4 % specific.", seen(Source.METHODS_COMPARED_2016)),
    ),
    basis=_RULE,
    variants=(
        Variant(
            "pink-counts-as-red",
            "Pink counts as red, by custom.",
            (_colour(_RED, "red or pink", colours.RED_WITH_PINK),),
            MEMORY,
        ),
        Variant("pink-not-counted", "Pink doesn't count.", (_colour(_RED, "red", colours.RED_WITHOUT_PINK),), MEMORY),
        Variant(
            "all-streaks-count",
            "Radial streaks and pseudopods count as branched streaks.",
            (
                Criterion(
                    "branched-streaks",
                    "more than two streaks of any kind",
                    some(
                        *(
                            Found(structure, _MORE_THAN_TWO)
                            for structure in (
                                Structure.LINES_BRANCHED,
                                Structure.LINES_RADIAL,
                                Structure.LINES_RADIAL_SEGMENTAL,
                                Structure.PSEUDOPODS,
                            )
                        )
                    ),
                    5,
                    memory("Told differently by sources"),
                    "structures",
                ),
            ),
            MEMORY,
        ),
    ),
)
