"""BRAAFF checklist for pigmented lesions of palms and soles, Lallas 2015."""

from __future__ import annotations

from dermreport.expressions.nodes import Present
from dermreport.scores.method import Criterion, Figure, PublishedMethod, Threshold
from dermreport.scores.validity import ADULT, MELANOCYTIC_ONLY, NOT_NAIL, PIGMENTED, UNTREATED, only_at
from dermreport.scores.whole_lesion import asymmetric_along_any_axis
from dermreport.sources import Source, seen
from dermreport.vocabulary.reading_styles import ReadingStyle
from dermreport.vocabulary.score_methods import ScoreMethod
from dermreport.vocabulary.structures import Structure
from dermreport.vocabulary.verdicts import Verdict

_TABLE = seen(Source.BRAAFF_TABLE, note="The point table was read in one secondary source")

METHOD = PublishedMethod(
    code=ScoreMethod.BRAAFF,
    version="2015",
    criteria=(
        Criterion("irregular-blotch", "irregular blotch", Present(Structure.BLOTCH_IRREGULAR), 10, _TABLE),
        Criterion("ridge-pattern", "parallel ridge pattern", Present(Structure.RIDGE_PARALLEL), 30, _TABLE),
        Criterion("asymmetry-structure", "asymmetry of structures", asymmetric_along_any_axis("structure"), 10, _TABLE),
        Criterion("asymmetry-colour", "asymmetry of colours", asymmetric_along_any_axis("colour"), 10, _TABLE),
        Criterion("furrow-pattern", "parallel furrow pattern", Present(Structure.FURROW_PARALLEL), -10, _TABLE),
        Criterion("fibrillar-pattern", "fibrillar pattern", Present(Structure.FIBRILLAR), -10, _TABLE),
    ),
    thresholds=(Threshold(10, Verdict.ABOVE_THRESHOLD, "1"),),
    lowest_tenths=-20,
    highest_tenths=60,
    validity=(
        *only_at(ReadingStyle.ACRAL, "The checklist is for palms and soles, not for nails or other skin."),
        NOT_NAIL,
        *MELANOCYTIC_ONLY,
        *PIGMENTED,
        *UNTREATED,
        *ADULT,
    ),
    cautions=(
        "About a third of acral melanomas have no ridge pattern: its absence settles nothing.",
        "A lattice-like pattern isn't among the items that count against.",
    ),
    figures=(Figure("In a validation study 92.5 % sensitive, 65.0 % specific.", seen(Source.BRAAFF_VALIDATION_2024)),),
    basis=seen(Source.BRAAFF_2015, Source.BRAAFF_TABLE),
)
