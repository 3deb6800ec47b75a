"""Three-point checklist, Soyer 2004."""

from __future__ import annotations

from dermreport.expressions.nodes import Present, some, some_present
from dermreport.scores import colours
from dermreport.scores.method import Criterion, Figure, PublishedMethod, Threshold, Variant
from dermreport.scores.recorded import present_where_recorded
from dermreport.scores.validity import ADULT, NON_POLARISED_STUDY, PIGMENTED, UNTREATED, only_at
from dermreport.scores.whole_lesion import asymmetric_along_any_axis
from dermreport.sources import Source, seen
from dermreport.vocabulary.reading_styles import ReadingStyle
from dermreport.vocabulary.score_methods import ScoreMethod
from dermreport.vocabulary.structures import Structure
from dermreport.vocabulary.verdicts import Verdict

_COURSE = seen(Source.THREE_POINT_COURSE)
_WIDE = seen(Source.THREE_POINT_COURSE, Source.DIAGNOSTIC_METHODS_COURSE)
_ATYPICAL = "atypical-network"

#: Blue or white by definition, beside those that the list for pigmented lesions asks for; some of them only polarised
#: light shows, so that nobody could look for them in the light of the original study.
_OTHER_BLUE_OR_WHITE = (
    Structure.CLODS_BLUE_LARGE,
    Structure.CLODS_BLUE_MULTIPLE,
    Structure.BLUE_BLACK_COLOUR,
    Structure.LINES_WHITE_PERPENDICULAR,
    Structure.SHINY_WHITE_STRANDS,
    Structure.SHINY_WHITE_AREAS,
    Structure.NETWORK_WHITE,
    Structure.CENTRAL_WHITE_PATCH,
)

METHOD = PublishedMethod(
    code=ScoreMethod.THREE_POINT,
    version="2004",
    criteria=(
        Criterion(
            "asymmetry",
            "asymmetry of colour or structure along one or two axes, outline ignored",
            asymmetric_along_any_axis("colour", "structure"),
            10,
            _COURSE,
        ),
        Criterion(
            _ATYPICAL,
            "atypical pigment network",
            some_present(Structure.NETWORK_ATYPICAL, Structure.NETWORK_THICK),
            10,
            _COURSE,
        ),
        Criterion(
            "blue-white",
            "any blue or white colour or structure",
            some(
                Present(Structure.BLUE_WHITE_VEIL),
                Present(Structure.REGRESSION_STRUCTURES),
                Present(Structure.STRUCTURELESS_BLUE_WHOLE),
                colours.BLUE,
                colours.WHITE,
                present_where_recorded(*_OTHER_BLUE_OR_WHITE),
            ),
            10,
            _WIDE,
        ),
    ),
    thresholds=(Threshold(20, Verdict.ABOVE_THRESHOLD, "2"),),
    lowest_tenths=0,
    highest_tenths=30,
    validity=(
        *only_at(ReadingStyle.TRUNK_LIMB, "The checklist wasn't studied for palms, soles, nails, face or mucosa."),
        *PIGMENTED,
        *UNTREATED,
        *ADULT,
        *NON_POLARISED_STUDY,
    ),
    cautions=(
        "A screening method: what it calls above its threshold includes pigmented basal cell carcinoma.",
        "Shiny white lines, which only polarised light shows, count where they were seen.",
    ),
    figures=(
        Figure("At 2 or more in one study 96.3 % sensitive, 32.8 % specific.", _COURSE),
        Figure(
            "At 2 or more among 477 lesions: 68.9 % sensitive, 58.7 % specific.", seen(Source.METHODS_COMPARED_2016)
        ),
    ),
    basis=seen(Source.THREE_POINT_COURSE, note="The primary paper's doi is from memory"),
    variants=(
        Variant(
            "streaks-count-as-network",
            "Radial streaming and pseudopods count as an atypical network.",
            (
                Criterion(
                    _ATYPICAL,
                    "atypical pigment network, radial streaming or pseudopods",
                    some_present(
                        Structure.NETWORK_ATYPICAL,
                        Structure.NETWORK_THICK,
                        Structure.LINES_RADIAL_SEGMENTAL,
                        Structure.PSEUDOPODS,
                    ),
                    10,
                    _COURSE,
                ),
            ),
            _COURSE,
        ),
    ),
)
