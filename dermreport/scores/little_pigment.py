"""Lesions with little or no pigment: published odds, Menzies 2008; and prediction without pigment, Rosendahl 2014."""

from __future__ import annotations

from dermreport.expressions.nodes import (
    AtLeastOf,
    Expression,
    Found,
    MoreThan,
    Not,
    Present,
    every,
    is_one_of,
    some,
    some_present,
)
from dermreport.scores import colours
from dermreport.scores.method import Clue, ClueList, Effect, End, Step, Steps, Validity
from dermreport.scores.recorded import counted_over, present_where_recorded
from dermreport.scores.ulceration import ULCERATION
from dermreport.scores.validity import ADULT, UNTREATED, only_at
from dermreport.scores.vessels import ANY_SHAPE, POLYMORPHOUS
from dermreport.sources import Source, seen
from dermreport.vocabulary.elevations import Elevation
from dermreport.vocabulary.pigmentations import Pigmentation
from dermreport.vocabulary.reading_styles import ReadingStyle
from dermreport.vocabulary.regularities import Regularity
from dermreport.vocabulary.score_methods import ScoreMethod
from dermreport.vocabulary.structures import Structure

_ODDS = seen(Source.LITTLE_PIGMENT_2008, note="The abstract was read")
_ORDER = seen(Source.PREDICTION_WITHOUT_PIGMENT_2014, Source.PREDICTION_WITHOUT_PIGMENT_PAGE)
_FOR = "melanoma"
_AGAINST = "something else than melanoma"
_MANY_COLOURS = 5
_MANY_CYSTS = 3


def _odds(name: str, label: str, when: Expression, ratio: str, speaks_for: str = _FOR) -> Clue:
    return Clue(name, label, when, speaks_for, _ODDS, f"odds ratio {ratio}")


ODDS = ClueList(
    code=ScoreMethod.LITTLE_PIGMENT_CLUES,
    version="2008",
    clues=(
        _odds("veil", "blue-white veil", Present(Structure.BLUE_WHITE_VEIL), "13"),
        _odds("scar-like", "scar-like depigmentation", Present(Structure.SCAR_LIKE_AREA), "4.4"),
        _odds(
            "blue-grey-dots",
            "multiple blue-grey dots",
            Found(Structure.DOTS_GREY, counted_over(1)),
            "3.5",
        ),
        _odds(
            "irregular-depigmentation",
            "irregular depigmentation",
            Found(Structure.HYPOPIGMENTED_AREA, is_one_of("@.regularity", Regularity.IRREGULAR)),
            "3.3",
        ),
        _odds(
            "irregular-dots-globules",
            "irregular brown dots or globules",
            some_present(Structure.DOTS_IRREGULAR, Structure.GLOBULES_IRREGULAR),
            "3.2",
        ),
        _odds(
            "many-colours",
            "five or six colours",
            AtLeastOf(
                _MANY_COLOURS,
                (
                    colours.BLACK,
                    colours.GREY,
                    colours.BLUE,
                    colours.DARK_BROWN,
                    colours.LIGHT_BROWN,
                    colours.RED_PINK_OPEN,
                ),
            ),
            "3.2",
        ),
        _odds("central-vessels", "predominant central vessels", Present(Structure.ARRANGED_CENTRAL), "3.1"),
        _odds(
            "milia-like-cysts",
            "more than three milia-like cysts",
            Found(Structure.MILIA_LIKE_CYSTS, MoreThan("@.count", _MANY_CYSTS)),
            "0.09",
            _AGAINST,
        ),
        _odds(
            "regular-comma-vessels",
            "comma vessels, regularly spread",
            Found(Structure.VESSELS_CURVED, is_one_of("@.regularity", Regularity.REGULAR)),
            "0.10",
            _AGAINST,
        ),
    ),
    validity=(
        Validity(
            is_one_of("lesion.pigmentation", Pigmentation.PIGMENTED),
            Effect.NO_NUMBER,
            "The list is for lesions with little or no pigment.",
            _ODDS,
            "How much pigment the lesion has isn't recorded: the list is for little or none.",
        ),
        *only_at(ReadingStyle.TRUNK_LIMB, "The list wasn't studied for palms, soles, nails, face or mucosa."),
        *UNTREATED,
        *ADULT,
    ),
    cautions=(
        "Odds ratios are no points and are never added up; none of them says how likely melanoma is here.",
        "The lesions were seen in non-polarised light with contact, which presses vessels empty.",
        "In a lesion without pigment everything that isn't clearly something harmless calls for histology.",
    ),
    figures=(),
    basis=_ODDS,
)

_WHITE = some(
    some_present(Structure.LINES_WHITE_PERPENDICULAR, Structure.SHINY_WHITE_STRANDS),
    present_where_recorded(Structure.NETWORK_WHITE),
)
#: A clue in a raised lesion; scale on a flat one tells nothing.
_KERATIN = every(
    is_one_of("lesion.elevation", Elevation.PALPABLE, Elevation.RAISED, Elevation.NODULAR, Elevation.PEDUNCULATED),
    some_present(
        Structure.KERATIN_MASS,
        Structure.WHITE_CIRCLES,
        Structure.STRUCTURELESS_WHITE_KERATIN,
        Structure.SURFACE_SCALE,
    ),
)


def _clue(name: str, label: str, when: Expression) -> Clue:
    return Clue(name, label, when, "a malignant lesion", _ORDER)


WITHOUT_PIGMENT = ClueList(
    code=ScoreMethod.PREDICTION_WITHOUT_PIGMENT,
    version="2014",
    clues=(
        _clue("ulceration", "ulceration", ULCERATION),
        _clue("white-lines", "white lines", _WHITE),
        _clue(
            "keratin", "keratin in a raised lesion: white circles, white structureless areas, surface keratin", _KERATIN
        ),
        _clue("polymorphous-vessels", "polymorphous vessels", POLYMORPHOUS),
    ),
    validity=(
        Validity(
            Not(is_one_of("lesion.pigmentation", Pigmentation.NONE)),
            Effect.NO_NUMBER,
            "The order is for lesions without any brown or grey.",
            _ORDER,
            "How much pigment the lesion has isn't recorded: the order is for lesions without any.",
        ),
        *UNTREATED,
        *ADULT,
    ),
    cautions=(
        "Of the whole order only the clue of keratin was formally tested: there are no figures for it.",
        "A raised, firm lesion without a confident name of something specific and harmless calls for excision.",
        "Purple, blue or black are allowed where they are blood.",
    ),
    figures=(),
    basis=_ORDER,
    steps=Steps(
        (
            Step("Is it ulcerated?", ULCERATION, End("ulceration: consider histology first of all")),
            Step(
                "Are there white lines, or in a raised lesion keratin?",
                some(_WHITE, _KERATIN),
                End("a white clue: consider histology"),
            ),
            Step(
                "Are there vessels?",
                some(ANY_SHAPE, POLYMORPHOUS),
                End("vessels: judge them by shape and arrangement; polymorphous ones call for histology"),
            ),
        ),
        End("no clue of this order: it excludes nothing"),
    ),
)
