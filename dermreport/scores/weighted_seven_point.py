"""Weighted seven-point checklist: seven clinical signs, without a dermatoscope (in the UK's NICE NG12)."""

from __future__ import annotations

from dermreport.expressions.nodes import AtLeast, Expression, Holds, is_one_of, some
from dermreport.scores.method import Criterion, Effect, Figure, PublishedMethod, Threshold, Validity, Variant
from dermreport.scores.recorded import present_where_recorded
from dermreport.scores.validity import ADULT, PIGMENTED, SITE_NOT_TOLD, UNTREATED
from dermreport.sources import COMMON_PRACTICE, MEMORY, Basis, Source, seen
from dermreport.vocabulary.reading_styles import ReadingStyle
from dermreport.vocabulary.score_methods import ScoreMethod
from dermreport.vocabulary.structures import Structure
from dermreport.vocabulary.verdicts import Verdict

_NG12 = seen(Source.NG12_SKIN_SUMMARY, note="A summary was read, not the guideline's own page")
_SENSATION = "sensation"
_OOZING = "oozing"


def _minor(name: str, label: str, when: Expression, basis: Basis = _NG12) -> Criterion:
    return Criterion(name, label, when, 10, basis)


METHOD = PublishedMethod(
    code=ScoreMethod.WEIGHTED_SEVEN_POINT,
    version="NG12",
    criteria=(
        Criterion("size", "change in size", Holds("lesion.history.growing.answer"), 20, _NG12),
        Criterion("shape", "irregular shape", Holds("lesion.irregular_shape"), 20, _NG12),
        Criterion("colour", "irregular colour", Holds("lesion.irregular_colour"), 20, _NG12),
        _minor("diameter", "largest diameter 7 mm or more", AtLeast("lesion.longest_mm", 7)),
        _minor("inflammation", "inflammation", Holds("lesion.history.inflamed.answer")),
        _minor(_OOZING, "oozing", Holds("lesion.history.bleeding.answer")),
        _minor(
            _SENSATION,
            "change in sensation, itching included",
            some(Holds("lesion.history.itching.answer"), Holds("lesion.history.pain.answer")),
        ),
    ),
    thresholds=(Threshold(30, Verdict.ABOVE_THRESHOLD, "3"),),
    lowest_tenths=0,
    highest_tenths=100,
    validity=(
        Validity(
            is_one_of("lesion.site.reading_style", ReadingStyle.NAIL, ReadingStyle.MUCOSA),
            Effect.NO_NUMBER,
            "The checklist is for the skin: nails and mucosa are looked at another way.",
            COMMON_PRACTICE,
            SITE_NOT_TOLD,
        ),
        *PIGMENTED,
        *UNTREATED,
        *ADULT,
    ),
    cautions=(
        "For suspicious pigmented lesions; dermatoscopy that suggests melanoma calls for referral by itself.",
        "Bleeding and oozing are one answer here, and a change in size is asked as growth.",
        "Sources differ on whether oozing includes crusting, and change in sensation itching.",
    ),
    figures=(
        Figure(
            "With a cut-off of 4 instead of 3, among 1436 lesions of adults in primary care with 36 melanomas: 91.7 % "
            "sensitive and 53.4 % specific for melanoma.",
            seen(Source.WEIGHTED_SEVEN_POINT_PRIMARY_CARE_2013),
        ),
    ),
    basis=_NG12,
    variants=(
        Variant(
            "crusting-counts",
            "A blood crust counts as oozing.",
            (
                _minor(
                    _OOZING,
                    "oozing or crusting",
                    some(Holds("lesion.history.bleeding.answer"), present_where_recorded(Structure.CRUST_BLOOD)),
                    MEMORY,
                ),
            ),
            MEMORY,
        ),
        Variant(
            "itching-not-counted",
            "Itching alone is no change in sensation.",
            (_minor(_SENSATION, "change in sensation, itching apart", Holds("lesion.history.pain.answer"), MEMORY),),
            MEMORY,
        ),
    ),
)
