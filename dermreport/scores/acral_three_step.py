"""Three-step algorithm for palms and soles: the original order of 2007 and the authors' revision of 2011."""

from __future__ import annotations

from msgspec.structs import replace

from dermreport.expressions.nodes import Found, Holds, MoreThan, Not, Present, every, is_one_of, some, some_present
from dermreport.scores.method import Criterion, Effect, End, Figure, PublishedMethod, Step, Steps, Threshold, Validity
from dermreport.scores.validity import (
    ADULT,
    MELANOCYTIC_ONLY,
    NOT_NAIL,
    PIGMENTED,
    UNTREATED,
    only_at,
)
from dermreport.sources import Source, seen
from dermreport.vocabulary.reading_styles import ReadingStyle
from dermreport.vocabulary.regularities import Regularity
from dermreport.vocabulary.score_methods import ScoreMethod
from dermreport.vocabulary.structures import Structure
from dermreport.vocabulary.verdicts import Verdict

_PAPER = seen(Source.ACRAL_THREE_STEP_REVISED_2011)
_RIDGE = Present(Structure.RIDGE_PARALLEL)
_TYPICAL = some(
    some_present(Structure.FURROW_PARALLEL, Structure.LATTICE_LIKE),
    Found(Structure.FIBRILLAR, is_one_of("@.regularity", Regularity.REGULAR)),
)
_HISTOLOGY, _FOLLOW_UP, _NO_FOLLOW_UP = "histology", "follow-up", "no follow-up"
_LARGE = MoreThan("lesion.longest_mm", 7)

_CRITERIA = (
    Criterion("ridge-pattern", "parallel ridge pattern", _RIDGE, 10, _PAPER),
    Criterion(
        "large-without-typical-pattern",
        "over 7 mm, and none of the typical patterns",
        every(_LARGE, Not(_TYPICAL)),
        10,
        _PAPER,
    ),
)
_VALIDITY = (
    *only_at(ReadingStyle.ACRAL, "The algorithm is for palms and soles, not for nails or other skin."),
    NOT_NAIL,
    Validity(
        Holds("lesion.history.from_birth.answer"),
        Effect.NO_NUMBER,
        "The algorithm is for acquired lesions: congenital ones were left out.",
        _PAPER,
        "Whether the lesion was there at birth isn't recorded: the algorithm is for acquired ones.",
    ),
    *MELANOCYTIC_ONLY,
    *PIGMENTED,
    *UNTREATED,
    *ADULT,
)
_CAUTIONS = (
    (
        "The authors call for a further revision, because a melanoma of 6 mm without ridge pattern was missed: a small "
        "lesion in disorder or of several patterns calls for more care than this algorithm asks."
    ),
    "Of 110 lesions with none of the four patterns 8 were melanomas: below the threshold excludes nothing.",
    "About a third of acral melanomas have no ridge pattern.",
)
#: The numbers are what the algorithm advised: of the last 26 only 19 were examined by a pathologist.
_FLOW = Figure(
    "Among 191 lesions with 25 melanomas: ridge pattern 17 (17 melanomas); the other 174 were 7 mm or less 115 (0), "
    "larger and typical 33 (0), neither 26 (8).",
    _PAPER,
)
_HISTOLOGY_FOR_RIDGES = Step(
    "Is there a parallel ridge pattern?",
    _RIDGE,
    End("ridge pattern: histology, whatever the size", Verdict.ABOVE_THRESHOLD, _HISTOLOGY),
)
_TYPICAL_ASKED = "Is there a typical furrow, lattice-like or regular fibrillar pattern?"

REVISED = PublishedMethod(
    code=ScoreMethod.ACRAL_THREE_STEP,
    version="2011",
    criteria=_CRITERIA,
    thresholds=(Threshold(10, Verdict.ABOVE_THRESHOLD, "1: histology"),),
    lowest_tenths=0,
    highest_tenths=20,
    validity=_VALIDITY,
    cautions=_CAUTIONS,
    figures=(_FLOW,),
    basis=_PAPER,
    steps=Steps(
        (
            _HISTOLOGY_FOR_RIDGES,
            Step(
                _TYPICAL_ASKED,
                _TYPICAL,
                End("typical pattern: this method asks for no follow-up", Verdict.BELOW_THRESHOLD, _NO_FOLLOW_UP),
            ),
            Step(
                "Is it larger than 7 mm?",
                _LARGE,
                End("no typical pattern and over 7 mm: histology", Verdict.ABOVE_THRESHOLD, _HISTOLOGY),
            ),
        ),
        End("no typical pattern, 7 mm or less: follow-up", Verdict.BELOW_THRESHOLD, _FOLLOW_UP),
    ),
)

ORIGINAL = replace(
    REVISED,
    code=ScoreMethod.ACRAL_THREE_STEP_ORIGINAL,
    version="2007",
    cautions=(*_CAUTIONS, "The authors revised the order in 2011."),
    steps=Steps(
        (
            _HISTOLOGY_FOR_RIDGES,
            Step(
                "Is it 7 mm or less?",
                Not(_LARGE),
                End("7 mm or less: follow-up", Verdict.BELOW_THRESHOLD, _FOLLOW_UP),
            ),
            Step(_TYPICAL_ASKED, _TYPICAL, End("typical pattern: follow-up", Verdict.BELOW_THRESHOLD, _FOLLOW_UP)),
        ),
        End("over 7 mm and no typical pattern: histology", Verdict.ABOVE_THRESHOLD, _HISTOLOGY),
    ),
)
