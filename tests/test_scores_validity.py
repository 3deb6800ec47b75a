"""Where each method gives a number, a caution, or a reason why not: each method, each fact, both sides.

What each method was studied on: the project's reading of the publications named in the method tables; that a method
holds nowhere else is common practice, no source, and that the studies were of adults in non-polarised light is from
memory, except for the weighted checklist («Adults presenting in general practice»: doi:10.3399/bjgp13X667213, abstract
read), and for face, palms and soles in the seven-point checklist (https://dermoscopyatlas.com/public/teaching_cases/317,
read: «difficult to apply the seven point checklist … to lesions on the face and on the palms and soles»).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import pytest
from records import BOTH_LIGHTS, NON_POLARISED_ONLY, POLARISED_ONLY, at, entry, merged, scope_of
from score_facts import lesion_for

from dermreport.scores.associations import ClueResult, associations
from dermreport.scores.engine import ScoreResult, score
from dermreport.scores.method import CAUTIONS, ClueList, Effect, Method
from dermreport.scores.methods import BY_CODE, CLUE_LISTS, METHODS
from dermreport.vocabulary.reading_styles import ReadingStyle
from dermreport.vocabulary.score_methods import ScoreMethod
from dermreport.vocabulary.sites import Site
from dermreport.vocabulary.verdicts import Verdict

if TYPE_CHECKING:
    from collections.abc import Mapping


@dataclass(frozen=True)
class Studied:
    """What a method was studied on: on one kind of skin, or on any but some."""

    style: ReadingStyle | None = None
    not_on: frozenset[ReadingStyle] = frozenset()
    melanocytic_only: bool = False
    non_polarised: bool = False
    pigmented_only: bool = True
    acquired_only: bool = False
    raised_only: bool = False
    in_adults: bool = True


_USUAL = Studied(ReadingStyle.TRUNK_LIMB, melanocytic_only=True, non_polarised=True)
#: «Acquired lesions of volar skin», from which congenital ones were left out: https://docslib.org/doc/10735953 (read).
_VOLAR = Studied(ReadingStyle.ACRAL, melanocytic_only=True, acquired_only=True)
STUDIED = {
    ScoreMethod.TOTAL_DERMOSCOPY_SCORE: _USUAL,
    ScoreMethod.SEVEN_POINT: _USUAL,
    ScoreMethod.SEVEN_POINT_REVISED: _USUAL,
    ScoreMethod.THREE_POINT: Studied(ReadingStyle.TRUNK_LIMB, non_polarised=True),
    # Non-melanocytic lesions were in its test set: https://dermoscopedia.org/Menzies_Method (read).
    ScoreMethod.MENZIES: Studied(ReadingStyle.TRUNK_LIMB, non_polarised=True),
    # For pigmented lesions of the skin; nails and mucosa are read another way: common practice, no source.
    ScoreMethod.WEIGHTED_SEVEN_POINT: Studied(not_on=frozenset((ReadingStyle.NAIL, ReadingStyle.MUCOSA))),
    ScoreMethod.BRAAFF: Studied(ReadingStyle.ACRAL, melanocytic_only=True),
    # «325 melanocytic neoplasms»: Henning 2007, PMID 17190620 (abstract read).
    ScoreMethod.CASH: _USUAL,
    # «463 consecutive pigmented lesions» of any kind, its ninth clue on palms and soles: the trial as told on
    # https://practicaldermatology.com/topics/skin-cancer-photoprotection/dermatoscopy-chaos-and-clues/21345 (read).
    ScoreMethod.REVISED_PATTERN_ANALYSIS: Studied(not_on=frozenset((ReadingStyle.NAIL, ReadingStyle.MUCOSA))),
    # Pigmented and non-pigmented lesions: Rogers 2016, as told on https://medscape.com/viewarticle/872205_3 (read).
    ScoreMethod.TRIAGE: Studied(ReadingStyle.TRUNK_LIMB, pigmented_only=False),
    ScoreMethod.ACRAL_THREE_STEP: _VOLAR,
    ScoreMethod.ACRAL_THREE_STEP_ORIGINAL: _VOLAR,
    # «Immersion oil», melanomas and other lesions beside the carcinomas: Menzies 2000 (abstract read).
    ScoreMethod.PIGMENTED_BASAL_CELL: Studied(
        not_on=frozenset((ReadingStyle.ACRAL, ReadingStyle.NAIL, ReadingStyle.MUCOSA)), non_polarised=True
    ),
    # «140 pigmented lesions» of any kind: Blum 2011 (abstract read).
    ScoreMethod.MUCOSAL: Studied(ReadingStyle.MUCOSA),
    # Three signs that nobody studied: https://optimalcarepathways.com.au/ocp-mna-step-section-2-1/ (read).
    ScoreMethod.ELEVATED_FIRM_GROWING: Studied(pigmented_only=False, raised_only=True, in_adults=False),
    # «283 pigmented nodular tumours»: Argenziano 2011, PMID 21916885 (abstract read).
    ScoreMethod.BLUE_BLACK: Studied(raised_only=True),
}
each_method = pytest.mark.parametrize("code", BY_CODE)


def test_every_method_says_what_it_was_studied_on() -> None:
    assert set(STUDIED) == set(BY_CODE)


def fitting(code: ScoreMethod) -> dict[str, Any]:
    """Return a lesion that a method is for."""
    return {**lesion_for(code), "elevation": "nodular"} if STUDIED[code].raised_only else lesion_for(code)


def scored(code: ScoreMethod, changes: Mapping[str, Any]) -> ScoreResult:
    """Return the score of a lesion that fits the method, with these changes."""
    return score(BY_CODE[code], scope_of(merged(entry(lesion=fitting(code)), dict(changes))))


def extra_cautions(result: ScoreResult) -> tuple[str, ...]:
    """Return the cautions beside those of every score and of the method."""
    return result.cautions[len(CAUTIONS) : len(result.cautions) - len(result.method.cautions)]


def without_number(result: ScoreResult, *reasons: str) -> bool:
    """Return whether a score gives no number, for these reasons, and shows none by any way."""
    return (
        result.verdict is Verdict.NOT_VALID
        and not result.valid
        and not result.settled
        and (result.low, result.high, result.low_tenths, result.high_tenths) == (None, None, None, None)
        and (result.possible, result.met, result.open, result.open_inputs, result.would_settle) == ((), (), (), (), ())
        and result.reasons == reasons
        and result.cautions[: len(CAUTIONS)] == CAUTIONS
    )


def condition(code: ScoreMethod, words: str) -> str:
    """Return the one reason of a method that holds these words."""
    (reason,) = [one.reason for one in BY_CODE[code].validity if words in one.reason]
    return reason


def unknown(code: ScoreMethod, words: str) -> str:
    """Return the one caution of a method about what isn't known that holds these words."""
    (caution,) = [one.unknown for one in BY_CODE[code].validity if words in one.unknown]
    return caution


@each_method
def test_a_lesion_as_studied_has_a_number_and_no_further_caution(code: ScoreMethod) -> None:
    result = scored(code, {})
    assert result.valid
    assert result.low is not None
    assert result.reasons == ()
    assert extra_cautions(result) == ()


@each_method
@pytest.mark.parametrize("site", Site, ids=lambda site: site.value)
def test_a_site_is_fit_by_its_first_or_second_reading_style(code: ScoreMethod, site: Site) -> None:
    result = scored(code, at("lesion.site", site.value))
    style, not_on = STUDIED[code].style, STUDIED[code].not_on
    if style is None and (not not_on or site.reading_style not in {*not_on, None}):
        assert result.valid
        on_the_face = code is ScoreMethod.REVISED_PATTERN_ANALYSIS and site.reading_style is ReadingStyle.FACE_SCALP
        assert extra_cautions(result) == ((condition(code, "On the face"),) if on_the_face else ())
    elif {site.reading_style, site.second_style} == {style, None} and style is not None:
        assert result.valid
        assert extra_cautions(result) == ()
    elif style is ReadingStyle.ACRAL and site.reading_style is ReadingStyle.NAIL:
        # Palms and soles, not nails: doi:10.1111/bjd.14045 (abstract read: «acral naevi», the ridge pattern).
        assert without_number(result, condition(code, "nail unit"))
    elif style is not None and style in {site.reading_style, site.second_style}:
        assert result.valid
        assert extra_cautions(result) == (condition(code, "between two kinds of skin"),)
    elif site.reading_style is None:
        assert result.valid
        assert extra_cautions(result) == (unknown(code, "site"),)
    else:
        assert without_number(result, BY_CODE[code].validity[0].reason)
        assert extra_cautions(result) == ()


def test_the_sites_hold_every_case_of_the_reading_styles() -> None:
    pairs = {(site.reading_style, site.second_style) for site in Site}
    assert {first for first, _ in pairs} == {*ReadingStyle, None}
    # Both ways round: the style that a method needs comes first in one site and second in another.
    for style in (ReadingStyle.TRUNK_LIMB, ReadingStyle.ACRAL):
        assert any(first is style and second is not None for first, second in pairs)
        assert any(second is style for _, second in pairs)


@each_method
@pytest.mark.parametrize(
    "changes",
    [
        at("lesion.site", None),
        at("lesion.site", {"system": "https://host.example/sites", "code": "x"}),
        {"lesion": None},
    ],
    ids=["no site", "somebody else's code", "no lesion"],
)
def test_an_unknown_site_gives_a_number_with_a_caution(code: ScoreMethod, changes: dict[str, Any]) -> None:
    result = scored(code, changes)
    assert result.valid
    cautions = {unknown(code, "site")} if STUDIED[code].style or STUDIED[code].not_on else set()
    assert cautions <= set(extra_cautions(result))
    assert bool(cautions) is any("site" in one for one in extra_cautions(result))


@each_method
@pytest.mark.parametrize(("years", "caution"), [(0, True), (17, True), (18, False), (90, False), (None, False)])
def test_under_eighteen_is_a_caution(code: ScoreMethod, years: int | None, *, caution: bool) -> None:
    result = scored(code, {"background": {"age_years": years}})
    assert result.valid
    caution = caution and STUDIED[code].in_adults
    assert extra_cautions(result) == ((condition(code, "under 18"),) if caution else ())


@each_method
@pytest.mark.parametrize("step_one", ["melanocytic", "non-melanocytic", "uncertain", None])
def test_the_class_of_the_lesion(code: ScoreMethod, step_one: str | None) -> None:
    result = scored(code, {"description": {"step_one": step_one}})
    if not STUDIED[code].melanocytic_only or step_one == "melanocytic":
        assert result.valid
        assert extra_cautions(result) == ()
    elif step_one == "non-melanocytic":
        assert without_number(result, condition(code, "not melanocytic"))
    else:
        # Uncertain and not recorded count as melanocytic: two-step method, doi:10.1067/mjd.2003.281.
        assert result.valid
        words = condition(code, "uncertain") if step_one else unknown(code, "melanocytic")
        assert extra_cautions(result) == (words,)
        assert "counts as melanocytic" in words


@each_method
@pytest.mark.parametrize("pigmentation", ["pigmented", "slight", "none", None])
def test_how_much_pigment_there_is(code: ScoreMethod, pigmentation: str | None) -> None:
    result = scored(code, at("lesion.pigmentation", pigmentation))
    if not STUDIED[code].pigmented_only:
        assert result.valid
        assert extra_cautions(result) == ()
    elif pigmentation == "none":
        assert without_number(result, condition(code, "no pigment"))
    else:
        assert result.valid
        words = {
            "pigmented": (),
            "slight": (condition(code, "little pigment"),),
            None: (unknown(code, "pigment"),),
        }
        assert extra_cautions(result) == words[pigmentation]


@each_method
@pytest.mark.parametrize("path", ["lesion.history.treated_before.answer", "lesion.in_scar"])
@pytest.mark.parametrize(("reply", "number"), [("yes", False), ("no", True), ("unknown", True), (None, True)])
def test_a_treated_lesion_or_one_in_a_scar_has_no_number(
    code: ScoreMethod, path: str, reply: str | None, *, number: bool
) -> None:
    changes = at(path, reply) if reply is not None else at(path.removesuffix(".answer"), None)
    result = scored(code, changes)
    if number:
        assert result.valid
        assert extra_cautions(result) == ()
    else:
        assert without_number(result, condition(code, "scar"))


@each_method
@pytest.mark.parametrize(
    ("views", "studied"),
    [
        (NON_POLARISED_ONLY, True),
        (BOTH_LIGHTS, True),
        (POLARISED_ONLY, False),
        ([{"key": "v", "light": "unknown"}], False),
        ([], False),
    ],
    ids=["non-polarised", "both", "polarised", "unknown", "no view"],
)
def test_a_light_that_was_not_studied_is_a_caution(
    code: ScoreMethod, views: list[dict[str, Any]], *, studied: bool
) -> None:
    result = scored(code, {"views": views})
    assert result.valid
    caution = STUDIED[code].non_polarised and not studied
    assert extra_cautions(result) == ((condition(code, "non-polarised light"),) if caution else ())


@each_method
@pytest.mark.parametrize(("reply", "number"), [("yes", False), ("no", True), ("unknown", True), (None, True)])
def test_a_lesion_from_birth(code: ScoreMethod, reply: str | None, *, number: bool) -> None:
    answer = None if reply is None else {"answer": reply}
    result = scored(code, at("lesion.history.from_birth", answer))
    if not STUDIED[code].acquired_only:
        assert result.valid
        assert extra_cautions(result) == ()
    elif number:
        assert result.valid
        assert extra_cautions(result) == (() if reply == "no" else (unknown(code, "at birth"),))
    else:
        assert without_number(result, condition(code, "acquired"))


@each_method
@pytest.mark.parametrize(
    ("elevation", "raised"),
    [
        ("raised", True),
        ("nodular", True),
        ("pedunculated", True),
        ("flat", False),
        ("palpable", False),
        ("depressed", False),
        (None, None),
    ],
)
def test_how_far_it_stands_out(code: ScoreMethod, elevation: str | None, *, raised: bool | None) -> None:
    result = scored(code, at("lesion.elevation", elevation))
    if not STUDIED[code].raised_only or raised:
        assert result.valid
        assert extra_cautions(result) == ()
    elif raised is None:
        assert result.valid
        assert extra_cautions(result) == (unknown(code, "is raised"),)
    else:
        assert without_number(result, condition(code, "raised"))


@each_method
def test_every_reason_is_given_and_cautions_stay(code: ScoreMethod) -> None:
    method = BY_CODE[code]
    result = scored(
        code,
        {
            "lesion": {
                "site": "thumb-nail" if STUDIED[code].not_on else "cheek",
                "pigmentation": "none",
                "in_scar": "yes",
                "elevation": "flat",
                "history": {"from_birth": {"answer": "yes"}},
            },
            "description": {"step_one": "non-melanocytic"},
            "background": {"age_years": 7},
            "views": POLARISED_ONLY,
        },
    )
    expected = tuple(
        one.reason for one in method.validity if one.effect is Effect.NO_NUMBER and "nail unit" not in one.reason
    )
    assert without_number(result, *expected)
    if STUDIED[code].in_adults:
        assert condition(code, "under 18") in extra_cautions(result)
    assert result.cautions[-len(method.cautions) :] == method.cautions


# --- Lists -----------------------------------------------------------------------------------------------------------

#: By list, changes of a lesion that it is for, and what it says to each: a word of its reason, or None where it fits.
LISTS: dict[ScoreMethod, tuple[dict[str, Any], tuple[tuple[dict[str, Any], str | None], ...]]] = {
    ScoreMethod.TWO_STEP: (
        {"site": "back-upper"},
        ((at("lesion.pigmentation", "none"), None), (at("lesion.site", "sole"), None)),
    ),
    ScoreMethod.FACIAL_CRITERIA: (
        {"site": "cheek", "elevation": "flat"},
        (
            (at("lesion.site", "sole"), "the face"),
            (at("lesion.pigmentation", "none"), "no pigment"),
            (at("lesion.elevation", "nodular"), None),
        ),
    ),
    ScoreMethod.NAIL_CRITERIA: (
        {"site": "thumb-nail", "history": {"from_birth": {"answer": "no"}}},
        (
            (at("lesion.site", "sole"), "the nail unit"),
            ({"background": {"age_years": 17}}, "for adults"),
            ({"background": {"age_years": 18}}, None),
            (at("lesion.history.from_birth.answer", "yes"), "acquired"),
        ),
    ),
    ScoreMethod.NAIL_ABCDEF: (
        {"site": "thumb-nail"},
        ((at("lesion.site", "thumb-dorsal"), "the nail unit"), ({"background": {"age_years": 17}}, "for adults")),
    ),
    ScoreMethod.LITTLE_PIGMENT_CLUES: (
        {"site": "back-upper", "pigmentation": "slight"},
        (
            (at("lesion.pigmentation", "none"), None),
            (at("lesion.pigmentation", "pigmented"), "little or no pigment"),
            (at("lesion.site", "sole"), "palms"),
        ),
    ),
    ScoreMethod.PREDICTION_WITHOUT_PIGMENT: (
        {"site": "back-upper", "pigmentation": "none"},
        (
            (at("lesion.pigmentation", "slight"), "without any brown or grey"),
            (at("lesion.pigmentation", "pigmented"), "without any brown or grey"),
        ),
    ),
    ScoreMethod.BENIGN_PATTERNS: (
        {"site": "back-upper"},
        # Not on mucosa, palms or soles: https://dermoscopedia.org/03-Seborrheic_Keratosis_/_Lentigos (read in part).
        (
            (at("lesion.site", "sole"), "have their own"),
            (at("lesion.site", "tongue"), "have their own"),
            (at("lesion.site", "thumb-nail"), "have their own"),
            (at("lesion.site", "cheek"), None),
        ),
    ),
}
_LIST_CASES = [(code, *case) for code, (_, cases) in LISTS.items() for case in cases]
_SCAR = at("lesion.in_scar", "yes")


def listed(code: ScoreMethod, changes: Mapping[str, Any]) -> ClueResult:
    """Return what a list says of a lesion that fits it, with these changes."""
    (method,) = (one for one in CLUE_LISTS if one.code is code)
    return associations(method, scope_of(merged(entry(lesion=LISTS[code][0]), dict(changes))))


@pytest.mark.parametrize("method", CLUE_LISTS, ids=lambda one: one.code)
def test_a_list_is_for_such_a_lesion_and_for_none_in_a_scar(method: ClueList) -> None:
    fits = listed(method.code, {})
    assert fits.valid
    assert fits.cautions == (*CAUTIONS, *method.cautions)
    scarred = listed(method.code, _SCAR)
    assert not scarred.valid
    assert (scarred.met, scarred.open, scarred.path) == ((), (), None)
    assert ["scar" in reason for reason in scarred.reasons] == [True]


@pytest.mark.parametrize(("code", "changes", "reason"), _LIST_CASES)
def test_which_lesions_a_list_is_for(code: ScoreMethod, changes: dict[str, Any], reason: str | None) -> None:
    result = listed(code, changes)
    assert result.valid is (reason is None)
    assert [reason in one for one in result.reasons] == ([True] if reason else [])


@pytest.mark.parametrize("method", [*METHODS, *CLUE_LISTS], ids=lambda one: one.code)
def test_a_condition_without_a_number_says_why_in_a_sentence(method: Method | ClueList) -> None:
    for one in method.validity:
        assert one.reason.endswith(".")
        assert len(one.reason.split()) > 4
        assert one.unknown == "" or one.unknown.endswith(".")
