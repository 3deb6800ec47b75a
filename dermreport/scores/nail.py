"""Pigmented bands of the nail in adults: dermatoscopic signs, and the clinical ABCDEF."""

from __future__ import annotations

from dermreport.expressions.nodes import (
    AtLeast,
    Exists,
    Expression,
    Given,
    Holds,
    Not,
    Present,
    Unresolved,
    every,
    is_one_of,
    some,
    some_present,
)
from dermreport.scores.method import Clue, ClueList, Effect, Figure, Validity
from dermreport.scores.validity import ADULTS_ALONE, SITE_NOT_TOLD, UNTREATED
from dermreport.sources import COMMON_PRACTICE, Basis, Source, seen
from dermreport.vocabulary.atypical_naevus_counts import AtypicalNaevusCount
from dermreport.vocabulary.earlier_cancers import EarlierCancer
from dermreport.vocabulary.family_histories import FamilyHistory
from dermreport.vocabulary.reading_styles import ReadingStyle
from dermreport.vocabulary.score_methods import ScoreMethod
from dermreport.vocabulary.sites import Site
from dermreport.vocabulary.structures import Structure

_BANDS = seen(Source.NAIL_BANDS_2017)
_PIGMENTATION = seen(Source.NAIL_PIGMENTATION_2002)
_LETTERS = seen(Source.NAIL_ABCDEF_2000, Source.NAIL_ABCDEF_TABLE)
_FAMILY = "background.family_melanoma"
_FAMILY_ANSWER = Unresolved("a relative had melanoma", answerable=True)
_ATYPICAL = "background.atypical_naevi"
_MELANOMA = "melanoma of the nail unit"

_AT_THE_NAIL = (
    Validity(
        Not(is_one_of("lesion.site.reading_style", ReadingStyle.NAIL)),
        Effect.NO_NUMBER,
        "The list is for the nail unit.",
        COMMON_PRACTICE,
        SITE_NOT_TOLD,
    ),
    *ADULTS_ALONE,
    *UNTREATED,
)
_ACQUIRED = Validity(
    Holds("lesion.history.from_birth.answer"),
    Effect.NO_NUMBER,
    "The signs were studied in acquired bands.",
    _BANDS,
    "Whether the band was there at birth isn't recorded: the signs were studied in acquired ones.",
)


def _sign(name: str, label: str, when: Expression, basis: Basis = _BANDS, strength: str = "") -> Clue:
    return Clue(name, label, when, _MELANOMA, basis, strength)


CRITERIA = ClueList(
    code=ScoreMethod.NAIL_CRITERIA,
    version="2002 and 2017",
    clues=(
        _sign("wide", "band wider than two thirds of the plate", Present(Structure.NAIL_BAND_WIDE)),
        _sign("grey-or-black", "grey or black colour", Present(Structure.NAIL_COLOURS_GREY_BLACK)),
        _sign("irregular-lines", "irregular lines", Present(Structure.NAIL_LINES_IRREGULAR)),
        _sign(
            "hutchinson",
            "Hutchinson or micro-Hutchinson sign",
            some_present(Structure.NAIL_HUTCHINSON, Structure.NAIL_MICRO_HUTCHINSON),
        ),
        _sign("dystrophy", "nail dystrophy", Present(Structure.NAIL_DYSTROPHY)),
        _sign(
            "granular",
            "granular pigmentation",
            Present(Structure.NAIL_GRANULAR_PIGMENT),
            strength="40 % of melanomas, 3.5 % of the others",
        ),
        _sign(
            "brown-with-irregular-lines",
            "brown background with irregular lines",
            every(Present(Structure.NAIL_BACKGROUND_BROWN), Present(Structure.NAIL_LINES_IRREGULAR)),
            _PIGMENTATION,
        ),
    ),
    validity=(*_AT_THE_NAIL, _ACQUIRED),
    cautions=(
        "These are associations without a published total: this is a list and gives no number.",
        "Naevi have the brown background too, with regular lines; blood spots don't rule melanoma out.",
        "In children the same signs are common: no list is for them.",
    ),
    figures=(Figure("Studied on 82 acquired bands of adults, 25 of them melanomas.", _BANDS),),
    basis=seen(Source.NAIL_BANDS_2017, Source.NAIL_PIGMENTATION_2002),
)

ABCDEF = ClueList(
    code=ScoreMethod.NAIL_ABCDEF,
    version="2000",
    clues=(
        _sign(
            "age",
            "A: age in the fifth to seventh decade",
            every(AtLeast("background.age_years", 40), Not(AtLeast("background.age_years", 70))),
            _LETTERS,
        ),
        _sign(
            "band",
            "B: band of 3 mm or more, or with a blurred border",
            some_present(Structure.NAIL_BAND_OVER_3MM, Structure.NAIL_BORDER_FADING),
            _LETTERS,
        ),
        _sign(
            "change",
            "C: change, or a dystrophy that doesn't heal",
            some(
                *(
                    Holds(f"lesion.history.{item}.answer")
                    for item in ("new", "growing", "changed_colour", "changed_shape")
                ),
                Present(Structure.NAIL_DYSTROPHY),
            ),
            _LETTERS,
        ),
        _sign(
            "digit",
            "D: thumb, great toe or index finger",
            is_one_of("lesion.site", Site.THUMB_NAIL, Site.GREAT_TOE_NAIL, Site.INDEX_FINGER_NAIL),
            _LETTERS,
        ),
        _sign(
            "extension",
            "E: pigment beyond the nail plate",
            some_present(Structure.NAIL_HUTCHINSON, Structure.NAIL_MICRO_HUTCHINSON),
            _LETTERS,
        ),
        _sign(
            "family",
            "F: melanoma in the family, or melanoma or atypical naevi of the patient's own",
            some(
                is_one_of(_FAMILY, FamilyHistory.ONE_FIRST_DEGREE, FamilyHistory.TWO_OR_MORE),
                every(is_one_of(_FAMILY, FamilyHistory.UNKNOWN), _FAMILY_ANSWER),
                Exists(
                    "background.earlier_skin_cancers",
                    is_one_of("@.kind", EarlierCancer.MELANOMA, EarlierCancer.MELANOMA_IN_SITU),
                ),
                every(
                    Given(_ATYPICAL),
                    is_one_of(_ATYPICAL, AtypicalNaevusCount.FROM_1_TO_4, AtypicalNaevusCount.FROM_5),
                ),
            ),
            _LETTERS,
        ),
    ),
    validity=_AT_THE_NAIL,
    cautions=(
        "A memory aid from a review of the literature: no study of its accuracy, no total, so it gives no number.",
        (
            "Sources differ on whether 3 mm itself counts, and whether the dominant hand and ancestry are asked: here "
            "3 mm counts, and those two aren't asked."
        ),
    ),
    figures=(),
    basis=_LETTERS,
)
