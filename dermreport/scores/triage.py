"""Triage amalgamated algorithm, Rogers 2016: known harmless lesions apart, disorder or one of six features."""

from __future__ import annotations

from dermreport.expressions.nodes import Expression, Not, Present, every, some, some_present
from dermreport.scores import colours
from dermreport.scores.method import Criterion, End, Figure, PublishedMethod, Step, Steps, Threshold, Variant
from dermreport.scores.named_harmless import unequivocally
from dermreport.scores.recorded import present_where_recorded
from dermreport.scores.ulceration import ULCERATION_OR_EROSION
from dermreport.scores.validity import ADULT, UNTREATED, only_at
from dermreport.scores.vessels import ANY_SHAPE
from dermreport.scores.whole_lesion import DISORGANISED
from dermreport.sources import Source, seen
from dermreport.vocabulary.impressions import Impression
from dermreport.vocabulary.reading_styles import ReadingStyle
from dermreport.vocabulary.score_methods import ScoreMethod
from dermreport.vocabulary.structures import Structure
from dermreport.vocabulary.verdicts import Verdict

_PAGE = seen(Source.TRIAGE_ALGORITHM_PAGE)
_COURSE = seen(Source.DIAGNOSTIC_METHODS_COURSE)

_HARMLESS = unequivocally(Impression.SEBORRHOEIC_KERATOSIS, Impression.DERMATOFIBROMA, Impression.HAEMANGIOMA)

#: Id, label, condition.
_FEATURES: tuple[tuple[str, str, Expression], ...] = (
    ("starburst", "starburst pattern", Present(Structure.PATTERN_STARBURST)),
    (
        "blue-black-or-grey",
        "blue together with black, or grey",
        some(every(colours.BLUE, colours.BLACK), colours.GREY, present_where_recorded(Structure.BLUE_BLACK_COLOUR)),
    ),
    (
        "shiny-white",
        "shiny white structures",
        some(
            some_present(
                Structure.LINES_WHITE_PERPENDICULAR, Structure.SHINY_WHITE_STRANDS, Structure.SHINY_WHITE_AREAS
            ),
            present_where_recorded(Structure.ROSETTES),
        ),
    ),
    ("negative-network", "negative network", Present(Structure.NETWORK_NEGATIVE)),
    ("vessels", "vessels", ANY_SHAPE),
    ("ulceration", "ulcer or erosion", ULCERATION_OR_EROSION),
)
_FEATURE: Expression = some(*(when for _, _, when in _FEATURES))
_UNEQUIVOCAL = "unequivocal-harmless"
_UNEQUIVOCAL_LABEL = "called an unequivocal seborrhoeic keratosis, dermatofibroma or haemangioma"
_DISORGANISED = "disorganised"
_DISORGANISED_LABEL = "colour or structure in disorder"

METHOD = PublishedMethod(
    code=ScoreMethod.TRIAGE,
    version="2016",
    criteria=(
        Criterion(_UNEQUIVOCAL, _UNEQUIVOCAL_LABEL, _HARMLESS, 0, _PAGE, vetoes=True),
        Criterion(_DISORGANISED, _DISORGANISED_LABEL, DISORGANISED, 10, _PAGE),
        *(Criterion(name, label, when, 10, _PAGE) for name, label, when in _FEATURES),
    ),
    thresholds=(Threshold(10, Verdict.ABOVE_THRESHOLD, "1"),),
    lowest_tenths=0,
    highest_tenths=70,
    validity=(
        *only_at(ReadingStyle.TRUNK_LIMB, "The algorithm isn't for palms, soles, nails, face or mucosa."),
        *UNTREATED,
        *ADULT,
    ),
    cautions=(
        "Shiny white structures show in polarised light alone: without it that feature stays open.",
        "Order is the examiner's word on the whole lesion; without it, one uneven axis leaves it open.",
        "Sources differ: one asks for disorder and a feature together; here either is enough, which is more careful.",
    ),
    figures=(
        Figure(
            "In the first study, by 120 readers: 94.8 % sensitive, 72.3 % specific.", seen(Source.TRIAGE_ALGORITHM_2016)
        ),
    ),
    basis=seen(Source.TRIAGE_ALGORITHM_2016, Source.TRIAGE_ALGORITHM_PAGE),
    variants=(
        Variant(
            "disorder-and-feature",
            "Only disorder together with a feature counts: features are counted in a lesion in disorder alone.",
            (
                Criterion(
                    _UNEQUIVOCAL,
                    f"{_UNEQUIVOCAL_LABEL}, or in order",
                    some(_HARMLESS, Not(DISORGANISED)),
                    0,
                    _COURSE,
                    vetoes=True,
                ),
                Criterion(_DISORGANISED, f"{_DISORGANISED_LABEL}, not counted alone", DISORGANISED, 0, _COURSE),
            ),
            _COURSE,
        ),
    ),
    steps=Steps(
        (
            Step(
                "Is it an unequivocal seborrhoeic keratosis, dermatofibroma or haemangioma, by the clinician’s own "
                "word?",
                _HARMLESS,
                End("named without doubt by the clinician: this method stops", Verdict.BELOW_THRESHOLD),
            ),
            Step(
                "Are colour or structure in disorder?",
                DISORGANISED,
                End("disorder: refer or biopsy", Verdict.ABOVE_THRESHOLD),
            ),
            Step(
                "Is any of the six features there?",
                _FEATURE,
                End("in order, with a feature: refer or biopsy", Verdict.ABOVE_THRESHOLD),
            ),
        ),
        End("in order, without a feature: this method asks for nothing more", Verdict.BELOW_THRESHOLD),
    ),
)
