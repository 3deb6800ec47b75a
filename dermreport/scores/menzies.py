"""Menzies method, 1996."""

from __future__ import annotations

from dermreport.expressions.nodes import (
    AtLeastOf,
    Expression,
    Found,
    Given,
    Holds,
    Not,
    Present,
    every,
    is_one_of,
    some,
)
from dermreport.scores import colours
from dermreport.scores.method import Criterion, Figure, PublishedMethod, Threshold, Variant
from dermreport.scores.peripheral_black import PERIPHERAL_BLACK
from dermreport.scores.recorded import counted_over, recorded_present
from dermreport.scores.streaks import RADIAL_STREAMING, UNEVEN_PSEUDOPODS
from dermreport.scores.validity import ADULT, NON_POLARISED_STUDY, PIGMENTED, UNTREATED, only_at
from dermreport.sources import MEMORY, Basis, Source, memory, seen
from dermreport.vocabulary.places import Place
from dermreport.vocabulary.reading_styles import ReadingStyle
from dermreport.vocabulary.score_methods import ScoreMethod
from dermreport.vocabulary.structures import Structure
from dermreport.vocabulary.verdicts import Verdict

_DEFINITIONS = seen(Source.MENZIES_METHOD_DEFINITIONS)
_MANY_COLOURS = 5
_SEVERAL = counted_over(1)
_NOT_THE_WHOLE_LESION = some(Not(Given("@.place")), Not(is_one_of("@.place", Place.WHOLE_LESION)))


def _positive(name: str, label: str, when: Expression, basis: Basis = _DEFINITIONS) -> Criterion:
    return Criterion(name, label, when, 10, basis)


def _colour_criteria(red: Expression) -> tuple[Criterion, Criterion]:
    """Return the two criteria that count colours, by what counts as red. White isn't counted; blue and grey are two."""
    counted = (colours.BLACK, colours.GREY, colours.BLUE, colours.DARK_BROWN, colours.LIGHT_BROWN, red)
    return (
        Criterion(
            "single-colour",
            "a single colour",
            every(AtLeastOf(1, counted), Not(AtLeastOf(2, counted))),
            0,
            _DEFINITIONS,
            vetoes=True,
        ),
        _positive("many-colours", "five or six colours", AtLeastOf(_MANY_COLOURS, counted)),
    )


_SINGLE_COLOUR, _SEVERAL_COLOURS = _colour_criteria(colours.RED_PINK_OPEN)

METHOD = PublishedMethod(
    code=ScoreMethod.MENZIES,
    version="1996",
    criteria=(
        Criterion(
            "symmetric",
            "pattern symmetric across all axes through the centre, outline ignored",
            Holds("whole.symmetric_all_axes"),
            0,
            _DEFINITIONS,
            vetoes=True,
        ),
        _SINGLE_COLOUR,
        _positive(
            "blue-white-veil",
            "blue-white veil, not of the whole lesion, without lacunae",
            every(Found(Structure.BLUE_WHITE_VEIL, _NOT_THE_WHOLE_LESION), Not(recorded_present(Structure.LACUNAE))),
        ),
        _positive("brown-dots", "multiple brown dots", Found(Structure.DOTS_BROWN, _SEVERAL)),
        _positive("pseudopods", "pseudopods", UNEVEN_PSEUDOPODS),
        _positive("radial-streaming", "radial streaming", RADIAL_STREAMING),
        _positive("scar-like", "scar-like depigmentation", Present(Structure.SCAR_LIKE_AREA)),
        _positive(
            "peripheral-black",
            "black dots or globules at the edge",
            PERIPHERAL_BLACK,
        ),
        _SEVERAL_COLOURS,
        _positive("blue-grey-dots", "multiple blue or grey dots", Found(Structure.DOTS_GREY, _SEVERAL)),
        _positive(
            "broadened-network",
            "broadened network",
            Present(Structure.NETWORK_THICK),
            memory("That it must be localised is from memory and not asked"),
        ),
    ),
    thresholds=(Threshold(10, Verdict.ABOVE_THRESHOLD, "1, with neither negative feature"),),
    lowest_tenths=0,
    highest_tenths=90,
    validity=(
        *only_at(ReadingStyle.TRUNK_LIMB, "The method wasn't studied for palms, soles, nails, face or mucosa."),
        *PIGMENTED,
        *UNTREATED,
        *ADULT,
        *NON_POLARISED_STUDY,
    ),
    cautions=(
        "Derived on invasive melanomas; lesions that weren't melanocytic were among those it was tested on.",
        "Either negative feature puts the lesion below the method's threshold, whatever else is seen.",
    ),
    figures=(
        Figure("In the original study 92 % sensitive, 71 % specific.", seen(Source.MENZIES_METHOD_1996)),
        Figure("Among 477 lesions: 95.1 % sensitive, 24.8 % specific.", seen(Source.METHODS_COMPARED_2016)),
    ),
    basis=seen(Source.MENZIES_METHOD_1996, Source.MENZIES_METHOD_DEFINITIONS),
    variants=(
        Variant(
            "pink-counts-as-red", "Pink counts as red, by custom.", _colour_criteria(colours.RED_WITH_PINK), MEMORY
        ),
        Variant("pink-not-counted", "Pink doesn't count.", _colour_criteria(colours.RED_WITHOUT_PINK), MEMORY),
    ),
)
