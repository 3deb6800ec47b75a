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

from dermreport.scores.engine import ScoreResult, score
from dermreport.scores.method import CAUTIONS, Effect
from dermreport.scores.methods import BY_CODE
from dermreport.vocabulary.reading_styles import ReadingStyle
from dermreport.vocabulary.score_methods import ScoreMethod
from dermreport.vocabulary.sites import Site
from dermreport.vocabulary.verdicts import Verdict

if TYPE_CHECKING:
    from collections.abc import Mapping


@dataclass(frozen=True)
class Studied:
    """What a method was studied on."""

    style: ReadingStyle | None
    melanocytic_only: bool
    non_polarised: bool


STUDIED = {
    ScoreMethod.TOTAL_DERMOSCOPY_SCORE: Studied(ReadingStyle.TRUNK_LIMB, melanocytic_only=True, non_polarised=True),
    ScoreMethod.SEVEN_POINT: Studied(ReadingStyle.TRUNK_LIMB, melanocytic_only=True, non_polarised=True),
    ScoreMethod.SEVEN_POINT_REVISED: Studied(ReadingStyle.TRUNK_LIMB, melanocytic_only=True, non_polarised=True),
    ScoreMethod.THREE_POINT: Studied(ReadingStyle.TRUNK_LIMB, melanocytic_only=False, non_polarised=True),
    # Non-melanocytic lesions were in its test set: https://dermoscopedia.org/Menzies_Method (read).
    ScoreMethod.MENZIES: Studied(ReadingStyle.TRUNK_LIMB, melanocytic_only=False, non_polarised=True),
    ScoreMethod.WEIGHTED_SEVEN_POINT: Studied(None, melanocytic_only=False, non_polarised=False),
    ScoreMethod.BRAAFF: Studied(ReadingStyle.ACRAL, melanocytic_only=True, non_polarised=False),
}
each_method = pytest.mark.parametrize("code", ScoreMethod)


def fitting_site(code: ScoreMethod) -> str:
    """Return a site that a method is for."""
    return "sole" if STUDIED[code].style is ReadingStyle.ACRAL else "back-upper"


def scored(code: ScoreMethod, changes: Mapping[str, Any]) -> ScoreResult:
    """Return the score of a lesion that fits the method, with these changes."""
    return score(BY_CODE[code], scope_of(merged(entry(lesion={"site": fitting_site(code)}), dict(changes))))


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
    style = STUDIED[code].style
    if style is None or {site.reading_style, site.second_style} == {style, None}:
        assert result.valid
        assert extra_cautions(result) == ()
    elif code is ScoreMethod.BRAAFF and site.reading_style is ReadingStyle.NAIL:
        # Palms and soles, not nails: doi:10.1111/bjd.14045 (abstract read: «acral naevi», the ridge pattern).
        assert without_number(result, condition(code, "nail unit"))
    elif style in {site.reading_style, site.second_style}:
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
    cautions = {unknown(code, "site")} if STUDIED[code].style is not None else set()
    assert cautions <= set(extra_cautions(result))
    assert bool(cautions) is any("site" in one for one in extra_cautions(result))


@each_method
@pytest.mark.parametrize(("years", "caution"), [(0, True), (17, True), (18, False), (90, False), (None, False)])
def test_under_eighteen_is_a_caution(code: ScoreMethod, years: int | None, *, caution: bool) -> None:
    result = scored(code, {"background": {"age_years": years}})
    assert result.valid
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
    if pigmentation == "none":
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
def test_every_reason_is_given_and_cautions_stay(code: ScoreMethod) -> None:
    method = BY_CODE[code]
    result = scored(
        code,
        {
            "lesion": {
                "site": "cheek",
                "pigmentation": "none",
                "in_scar": "yes",
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
    assert condition(code, "under 18") in extra_cautions(result)
    assert result.cautions[-len(method.cautions) :] == method.cautions


@each_method
def test_a_condition_without_a_number_says_why_in_a_sentence(code: ScoreMethod) -> None:
    for one in BY_CODE[code].validity:
        assert one.reason.endswith(".")
        assert len(one.reason.split()) > 4
        assert one.unknown == "" or one.unknown.endswith(".")
