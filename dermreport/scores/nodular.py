"""Raised lesions: elevated, firm and growing; and the blue-black rule, Argenziano 2011."""

from __future__ import annotations

from dermreport.expressions.nodes import (
    AtLeast,
    Exists,
    Expression,
    Fact,
    Found,
    Given,
    Not,
    Unresolved,
    every,
    is_one_of,
    some,
)
from dermreport.scores import colours
from dermreport.scores.method import Criterion, Effect, Figure, PublishedMethod, Threshold, Validity
from dermreport.scores.recorded import seen_or_doubtful
from dermreport.scores.validity import ADULT, PIGMENTED, UNTREATED
from dermreport.sources import Source, seen
from dermreport.vocabulary.consistencies import Consistency
from dermreport.vocabulary.elevations import Elevation
from dermreport.vocabulary.presences import Presence
from dermreport.vocabulary.score_methods import ScoreMethod
from dermreport.vocabulary.structures import Structure
from dermreport.vocabulary.verdicts import Verdict

_SIGNS = seen(Source.ELEVATED_FIRM_GROWING, Source.ELEVATED_FIRM_GROWING_PATHWAY)
_RULE = seen(Source.BLUE_BLACK_RULE_2011)

_STANDS_UP: Expression = is_one_of("lesion.elevation", Elevation.RAISED, Elevation.NODULAR, Elevation.PEDUNCULATED)
_CONSISTENCY = "lesion.palpation.consistency"
_FIRM: Expression = some(
    is_one_of(_CONSISTENCY, Consistency.FIRM, Consistency.HARD),
    every(
        Given(_CONSISTENCY),
        is_one_of(_CONSISTENCY, Consistency.NOT_FELT),
        Unresolved("the lesion feels firm", answerable=True),
    ),
)

#: Both colours of the lesion, where nobody judged the mixed colour as a structure: how much of it, nobody said.
_BOTH_COLOURS: Expression = every(
    colours.BLUE,
    colours.BLACK,
    Not(
        Exists(
            "findings",
            every(
                is_one_of("@.structure", Structure.BLUE_BLACK_COLOUR),
                is_one_of("@.presence", Presence.PRESENT, Presence.ABSENT, Presence.UNCERTAIN),
            ),
        )
    ),
    Unresolved("blue and black together make up a tenth of the lesion", answerable=True),
)
_TENTH_OF_THE_LESION = 10

ELEVATED_FIRM_GROWING = PublishedMethod(
    code=ScoreMethod.ELEVATED_FIRM_GROWING,
    version="three signs",
    criteria=(
        Criterion("elevated", "raised", _STANDS_UP, 10, _SIGNS),
        Criterion("firm", "firm", _FIRM, 10, _SIGNS),
        Criterion("growing", "growing for a month or more", Fact("growing-for-a-month"), 10, _SIGNS),
    ),
    thresholds=(Threshold(30, Verdict.ABOVE_THRESHOLD, "all 3"),),
    lowest_tenths=0,
    highest_tenths=30,
    validity=(
        Validity(
            Not(_STANDS_UP),
            Effect.NO_NUMBER,
            "The signs are for raised lesions, and this one isn't raised.",
            _SIGNS,
            "Whether the lesion is raised isn't recorded.",
        ),
        *UNTREATED,
    ),
    cautions=(
        "Such a lesion is never watched: act, with or without pigment, whatever a score says.",
        "No study of its accuracy was found.",
    ),
    figures=(),
    basis=_SIGNS,
    only_rules_in=True,
)

BLUE_BLACK = PublishedMethod(
    code=ScoreMethod.BLUE_BLACK,
    version="2011",
    criteria=(
        Criterion(
            "blue-black",
            "blue and black together in a tenth of the lesion or more",
            some(
                every(
                    seen_or_doubtful(Structure.BLUE_BLACK_COLOUR),
                    Found(Structure.BLUE_BLACK_COLOUR, AtLeast("@.area_percent", _TENTH_OF_THE_LESION)),
                ),
                _BOTH_COLOURS,
            ),
            10,
            _RULE,
        ),
    ),
    thresholds=(Threshold(10, Verdict.ABOVE_THRESHOLD, "1"),),
    lowest_tenths=0,
    highest_tenths=10,
    validity=(
        Validity(
            Not(_STANDS_UP),
            Effect.NO_NUMBER,
            "The rule is for raised lesions, and this one isn't raised.",
            _RULE,
            "Whether the lesion is raised isn't recorded: the rule is for raised ones.",
        ),
        *PIGMENTED,
        *UNTREATED,
        *ADULT,
    ),
    cautions=(
        "Together with any criterion of the usual methods the rule is more sensitive: see those too.",
        "Basal cell carcinomas and some naevi show both colours too.",
    ),
    figures=(
        Figure("Alone 78.2 % sensitive for melanoma, among 283 raised lesions.", _RULE),
        Figure("Together with any standard criterion 84.6 % sensitive, 80.5 % specific.", _RULE),
        Figure("Of those below both, 93.2 % were no melanoma: about 1 in 15 was one.", _RULE),
    ),
    basis=_RULE,
    only_rules_in=True,
)
