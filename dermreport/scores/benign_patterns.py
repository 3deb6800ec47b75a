"""Structures that the trade associates with harmless lesions; none of them excludes a cancer beside or below."""

from __future__ import annotations

from dermreport.expressions.nodes import Expression, Holds, Not, Present, every, is_one_of, some, some_present
from dermreport.scores.method import Clue, ClueList, Effect, Validity
from dermreport.scores.recorded import present_where_recorded
from dermreport.scores.validity import SITE_NOT_TOLD, UNTREATED
from dermreport.sources import COMMON_PRACTICE, Basis, Source, seen
from dermreport.vocabulary.reading_styles import ReadingStyle
from dermreport.vocabulary.score_methods import ScoreMethod
from dermreport.vocabulary.structures import Structure

_KERATOSIS = seen(Source.SEBORRHOEIC_KERATOSIS_FEATURES_PAGE, Source.SEBORRHOEIC_KERATOSIS_LEVEL_PAGE)
_FIBROMA = seen(Source.DERMATOFIBROMA_PAGE)
_ANGIOMA = seen(Source.ANGIOMA_PAGE)
_LENTIGO = seen(Source.SOLAR_LENTIGO_PAGE)
_NAEVI = seen(Source.NAEVUS_PATTERNS_PAGE)


def _clues(speaks_for: str, basis: Basis, *signs: tuple[str, str, Expression]) -> tuple[Clue, ...]:
    return tuple(Clue(name, label, when, speaks_for, basis) for name, label, when in signs)


LIST = ClueList(
    code=ScoreMethod.BENIGN_PATTERNS,
    version="1",
    clues=(
        *_clues(
            "seborrhoeic keratosis",
            _KERATOSIS,
            ("milia-like-cysts", "milia-like cysts", Present(Structure.MILIA_LIKE_CYSTS)),
            ("comedo-like-openings", "comedo-like openings", Present(Structure.COMEDO_LIKE_OPENINGS)),
            (
                "cerebriform",
                "fissures and ridges, cerebriform",
                some_present(Structure.LINES_CURVED_THICK, Structure.PATTERN_CEREBRIFORM),
            ),
            ("fingerprint", "fingerprint structures", Present(Structure.LINES_CURVED_THIN_PARALLEL)),
            ("moth-eaten", "moth-eaten border", Present(Structure.BORDER_MOTH_EATEN)),
            ("halo-vessels", "hairpin vessels with a white halo", Present(Structure.VESSELS_LOOPED_WHITE_HALO)),
        ),
        *_clues(
            "dermatofibroma",
            _FIBROMA,
            (
                "central-patch-network",
                "central white patch with a delicate network around it",
                some(
                    Present(Structure.PATTERN_CENTRAL_WHITE_PERIPHERAL_NETWORK),
                    every(Present(Structure.CENTRAL_WHITE_PATCH), Present(Structure.NETWORK_DELICATE)),
                ),
            ),
            ("dimple", "dips when it is pinched", Holds("lesion.palpation.dimple")),
        ),
        *_clues(
            "haemangioma",
            _ANGIOMA,
            (
                "lacunae-alone",
                "lacunae, without a network",
                every(Present(Structure.LACUNAE), Not(Present(Structure.NETWORK))),
            ),
        ),
        *_clues(
            "solar lentigo",
            _LENTIGO,
            (
                "delicate-network-moth-eaten",
                "delicate network or fingerprint structures with a moth-eaten border",
                every(
                    some_present(Structure.NETWORK_DELICATE, Structure.LINES_CURVED_THIN_PARALLEL),
                    Present(Structure.BORDER_MOTH_EATEN),
                ),
            ),
        ),
        *_clues(
            "a naevus",
            _NAEVI,
            ("reticular", "reticular pattern", Present(Structure.PATTERN_RETICULAR)),
            ("globular", "globular pattern", Present(Structure.PATTERN_GLOBULAR)),
            ("homogeneous", "homogeneous pattern", Present(Structure.PATTERN_HOMOGENEOUS)),
            ("reticular-globular", "reticular and globular pattern", Present(Structure.PATTERN_RETICULAR_GLOBULAR)),
            (
                "cobblestone",
                "cobblestone globules",
                present_where_recorded(Structure.CLODS_COBBLESTONE),
            ),
        ),
    ),
    validity=(
        Validity(
            is_one_of("lesion.site.reading_style", ReadingStyle.NAIL, ReadingStyle.MUCOSA, ReadingStyle.ACRAL),
            Effect.NO_NUMBER,
            "The patterns are those of hair-bearing skin: palms, soles, nails and mucosa have their own.",
            COMMON_PRACTICE,
            SITE_NOT_TOLD,
        ),
        *UNTREATED,
    ),
    cautions=(
        "None of these signs excludes a melanoma or another cancer: each occurs in some of them.",
        "Milia-like cysts alone prove nothing: basal cell carcinoma and melanoma can have them.",
        "A pink homogeneous pattern and a starburst in an adult are no harmless pattern.",
    ),
    figures=(),
    basis=seen(
        Source.SEBORRHOEIC_KERATOSIS_FEATURES_PAGE,
        Source.DERMATOFIBROMA_PAGE,
        Source.ANGIOMA_PAGE,
        Source.SOLAR_LENTIGO_PAGE,
        Source.NAEVUS_PATTERNS_PAGE,
    ),
)
