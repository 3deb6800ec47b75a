"""First step of the two-step approach, consensus of 2003: which kind of lesion the structures speak for."""

from __future__ import annotations

from dermreport.expressions.nodes import Expression, Found, Not, Present, every, some, some_present
from dermreport.scores.method import Clue, ClueList, End, Figure, Step, Steps
from dermreport.scores.pigmented_basal_cell import FEATURES
from dermreport.scores.recorded import counted_over, present_where_recorded
from dermreport.scores.validity import UNTREATED
from dermreport.sources import Source, seen
from dermreport.vocabulary.score_methods import ScoreMethod
from dermreport.vocabulary.structures import Structure

_PAGE = seen(Source.FIRST_STEP_CONSENSUS_PAGE)
_MELANOCYTIC = "a melanocytic lesion"
_KERATOSIS = "seborrhoeic keratosis"
_BASAL_CELL = "basal cell carcinoma"
_VASCULAR = "a vascular lesion"

_BASAL_CELL_FEATURES = (
    ("branched-vessels", "arborising vessels", FEATURES["arborising-vessels"]),
    ("leaf-like", "leaf-like areas", FEATURES["leaf-like"]),
    ("ovoid-nests", "large blue-grey ovoid nests", FEATURES["ovoid-nests"]),
    ("blue-grey-globules", "multiple blue-grey globules", FEATURES["multiple-globules"]),
    ("spoke-wheel", "spoke-wheel areas", FEATURES["spoke-wheel"]),
    ("ulceration", "ulceration", FEATURES["ulceration"]),
)

#: The page prints no number. Where one is recorded, multiple is more than three, as in Menzies 2008.
_MULTIPLE_CYSTS = Found(Structure.MILIA_LIKE_CYSTS, counted_over(3))


def _clue(speaks_for: str, name: str, label: str, when: Expression) -> Clue:
    return Clue(name, label, when, speaks_for, _PAGE)


_CLUES = (
    _clue(
        _MELANOCYTIC, "network", "network or pseudonetwork", some_present(Structure.NETWORK, Structure.PSEUDONETWORK)
    ),
    _clue(_MELANOCYTIC, "aggregated-globules", "aggregated globules", Present(Structure.GLOBULES_AGGREGATED)),
    _clue(_MELANOCYTIC, "branched-streaks", "branched streaks", Present(Structure.LINES_BRANCHED)),
    _clue(_MELANOCYTIC, "homogeneous-blue", "homogeneous blue", Present(Structure.STRUCTURELESS_BLUE_WHOLE)),
    _clue(
        _MELANOCYTIC,
        "parallel",
        "parallel pattern of palms, soles or mucosa",
        present_where_recorded(Structure.FURROW_PARALLEL, Structure.RIDGE_PARALLEL, Structure.MUCOSAL_LINES_PARALLEL),
    ),
    _clue(_KERATOSIS, "milia-like-cysts", "multiple milia-like cysts", _MULTIPLE_CYSTS),
    _clue(_KERATOSIS, "comedo-like-openings", "comedo-like openings", Present(Structure.COMEDO_LIKE_OPENINGS)),
    _clue(_KERATOSIS, "fingerprint", "fingerprint structures", Present(Structure.LINES_CURVED_THIN_PARALLEL)),
    _clue(_KERATOSIS, "fissures-and-ridges", "fissures and ridges", Present(Structure.LINES_CURVED_THICK)),
    *(_clue(_BASAL_CELL, name, label, when) for name, label, when in _BASAL_CELL_FEATURES),
    _clue(
        _VASCULAR,
        "lacunae",
        "lacunae, or red-blue to red-black homogeneous areas",
        some_present(Structure.LACUNAE, Structure.STRUCTURELESS_PURPLE),
    ),
)


def _any(speaks_for: str) -> Expression:
    return some(*(clue.when for clue in _CLUES if clue.speaks_for == speaks_for))


LIST = ClueList(
    code=ScoreMethod.TWO_STEP,
    version="2003",
    clues=_CLUES,
    validity=(*UNTREATED,),
    cautions=(
        "A network also occurs in solar lentigo, seborrhoeic keratosis and, delicate, in dermatofibroma.",
        "Homogeneous blue also occurs in haemangioma and basal cell carcinoma, and commonly in metastases.",
        "Ulceration also occurs in invasive melanoma.",
        (
            "How many are multiple or aggregated isn't told by the source: the examiner's word counts, but of "
            "milia-like cysts that were counted up to three aren't multiple."
        ),
        "Observers agreed poorly on most criteria (108 lesions, 40 experts).",
    ),
    figures=(Figure("Agreement of 40 experts on management: kappa 0.53.", seen(Source.TERMINOLOGY_CONSENSUS_2003)),),
    basis=seen(Source.TERMINOLOGY_CONSENSUS_2003, Source.FIRST_STEP_CONSENSUS_PAGE),
    steps=Steps(
        (
            Step(
                "Is there a sign of a melanocytic lesion?",
                _any(_MELANOCYTIC),
                End("melanocytic: go on to a method for melanocytic lesions"),
            ),
            Step(
                "Is there a sign of a seborrhoeic keratosis?",
                _any(_KERATOSIS),
                End("signs of a seborrhoeic keratosis"),
            ),
            Step(
                "No network, and a sign of a basal cell carcinoma?",
                every(Not(Present(Structure.NETWORK)), _any(_BASAL_CELL)),
                End("signs of a basal cell carcinoma"),
            ),
            Step("Is there a sign of a vascular lesion?", _any(_VASCULAR), End("signs of a vascular lesion")),
        ),
        End("none of them: treat it as melanocytic"),
    ),
)
