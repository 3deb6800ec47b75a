"""Model for pigmented basal cell carcinoma, Menzies 2000: no network, and one of six features."""

from __future__ import annotations

from dermreport.expressions.nodes import Expression, Present, is_one_of, some, some_present
from dermreport.scores.method import Criterion, Effect, End, Figure, PublishedMethod, Step, Steps, Threshold, Validity
from dermreport.scores.ulceration import ULCERATION
from dermreport.scores.validity import ADULT, NON_POLARISED_STUDY, PIGMENTED, SITE_NOT_TOLD, UNTREATED
from dermreport.sources import COMMON_PRACTICE, Source, seen
from dermreport.vocabulary.reading_styles import ReadingStyle
from dermreport.vocabulary.score_methods import ScoreMethod
from dermreport.vocabulary.structures import Structure
from dermreport.vocabulary.verdicts import Verdict

_PAPER = seen(Source.PIGMENTED_BASAL_CELL_CARCINOMA_2000)
_NETWORK = Present(Structure.NETWORK)

#: Id, label, condition.
_FEATURES: tuple[tuple[str, str, Expression], ...] = (
    ("ulceration", "ulceration", ULCERATION),
    ("ovoid-nests", "large blue-grey ovoid nests", Present(Structure.CLODS_BLUE_LARGE)),
    ("multiple-globules", "multiple blue-grey globules", Present(Structure.CLODS_BLUE_MULTIPLE)),
    ("leaf-like", "leaf-like areas", Present(Structure.LINES_RADIAL_COMMON_BASE)),
    (
        "spoke-wheel",
        "spoke-wheel areas",
        some_present(Structure.LINES_RADIAL_CONVERGING, Structure.CLOD_WITHIN_CLOD),
    ),
    ("arborising-vessels", "arborising vessels", Present(Structure.VESSELS_BRANCHED)),
)
#: The six features by their ids.
FEATURES: dict[str, Expression] = {name: when for name, _, when in _FEATURES}

METHOD = PublishedMethod(
    code=ScoreMethod.PIGMENTED_BASAL_CELL,
    version="2000",
    criteria=(
        Criterion("network", "pigment network", _NETWORK, 0, _PAPER, vetoes=True),
        *(Criterion(name, label, when, 10, _PAPER) for name, label, when in _FEATURES),
    ),
    thresholds=(Threshold(10, Verdict.ABOVE_THRESHOLD, "1 feature, without a network"),),
    lowest_tenths=0,
    highest_tenths=60,
    validity=(
        Validity(
            is_one_of("lesion.site.reading_style", ReadingStyle.ACRAL, ReadingStyle.NAIL, ReadingStyle.MUCOSA),
            Effect.NO_NUMBER,
            "The model wasn't studied for palms, soles, nails or mucosa.",
            COMMON_PRACTICE,
            SITE_NOT_TOLD,
        ),
        *PIGMENTED,
        *UNTREATED,
        *ADULT,
        *NON_POLARISED_STUDY,
    ),
    cautions=(
        "A network speaks against this one cancer only: it lowers no suspicion of melanoma.",
        "Melanomas can show each of these features.",
    ),
    figures=(Figure("In the first study 97 % sensitive, 92 to 93 % specific.", _PAPER),),
    basis=_PAPER,
    only_rules_in=True,
    steps=Steps(
        (
            Step(
                "Is there a pigment network?",
                _NETWORK,
                End("a network: not this model’s pattern", Verdict.BELOW_THRESHOLD),
            ),
            Step(
                "Is any of the six features there?",
                some(*(when for _, _, when in _FEATURES)),
                End("no network and a feature: this model’s pattern", Verdict.ABOVE_THRESHOLD),
            ),
        ),
        End("no network and no feature: not this model’s pattern", Verdict.BELOW_THRESHOLD),
    ),
)
