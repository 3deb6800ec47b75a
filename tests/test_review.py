"""The review as a whole: one word that never reassures against a sign, a score or the clinician."""

import json
from pathlib import Path
from typing import Any

import pytest

import dermreport
from dermreport.rules.red_flags import ANSWERED, SIGN_RULES
from dermreport.vocabulary.summaries import Summary

BASE = json.loads((Path(__file__).parent / "rules" / "base.json").read_text(encoding="utf-8"))


USUAL = json.loads((Path(__file__).parent.parent / "examples" / "usual.json").read_text(encoding="utf-8"))


def reviewed(**parts: Any) -> dermreport.Review:
    return dermreport.review(dermreport.Examination.model_validate({**BASE, **parts}))


def with_lesion(**lesion: Any) -> dict[str, Any]:
    return {"lesion": {**BASE["lesion"], **lesion}}


def judged(**assessment: Any) -> dict[str, Any]:
    return {"assessment": {**BASE["assessment"], **assessment}}


def named(impression: Any) -> dict[str, Any]:
    return {"assessment": {**USUAL["assessment"], "impressions": [{"key": "1", "impression": impression}]}}


HAEMANGIOMA = {"key": "1", "impression": "haemangioma", "certainty": "confident"}
REFERRED = {
    "actions": [{"key": "1", "action": "refer-suspected-cancer", "urgency": "urgent", "reason": "see findings"}],
}
ASKED = {"actions": [{"key": "1", "action": "refer-dermatology", "urgency": "routine", "reason": "a second look"}]}
DEPARTED = {
    **BASE["plan"],
    "departures": [
        {"key": str(number), "departs_from": rule, "reason": "a scar, seen for years"}
        for number, rule in enumerate(("flag-elevated-firm-growing", "flag-raised-firm-no-harmless-name"))
    ],
}
OTHER = {"system": "https://host.example/codes", "code": "7"}
FOREIGN = {"structure": OTHER, "presence": "present"}
HISTOLOGY = {"key": "1", "kind": "histology"}
MELANOMA = {**HISTOLOGY, "result": "melanoma", "patient_informed": "yes"}
INFORMED = {"actions": [{"key": "1", "action": "inform-pathology-result", "responsible": {"display": "Dr A"}}]}
NODULE = {
    "elevation": "nodular",
    "palpation": {"consistency": "firm"},
    "history": {"growing": {"answer": "yes", "for_days": 60}},
}
DEPARTED_FROM_SATELLITES = {
    **BASE["plan"],
    "departures": [{"key": "0", "departs_from": "flag-satellites", "reason": "warts, seen for years"}],
}

CASES: tuple[tuple[str, dict[str, Any], Summary], ...] = (
    ("the clinician suspects", judged(concern="suspicious"), Summary.SUSPICIOUS),
    ("a cancer is named", judged(impressions=[{"key": "1", "impression": "melanoma-suspected"}]), Summary.SUSPICIOUS),
    ("the clinician can't tell", judged(concern="uncertain"), Summary.NOT_SETTLED),
    ("no concern is recorded", {"assessment": None}, Summary.NOT_SETTLED),
    ("an error stands: the site is missing", with_lesion(site=None), Summary.NOT_SETTLED),
    ("a sign without an answer", with_lesion(**NODULE), Summary.SUSPICIOUS),
    (
        "a sign that a referral answers",
        {**with_lesion(**NODULE), **judged(concern="uncertain"), "plan": REFERRED},
        Summary.SUSPICIOUS,
    ),
    # Elevated, firm and growing is a method too, and one at its threshold calls whatever the clinician thinks.
    (
        "a sign that a method counts, answered by a reason, judged harmless",
        {**with_lesion(**NODULE), "plan": DEPARTED},
        Summary.SUSPICIOUS,
    ),
    (
        "a sign answered by a reason, judged harmless",
        {**with_lesion(satellites="yes"), "plan": DEPARTED_FROM_SATELLITES},
        Summary.NOT_SETTLED,
    ),
    ("the same sign without an answer", with_lesion(satellites="yes"), Summary.SUSPICIOUS),
    ("an urgent referral of what is judged harmless", {"plan": REFERRED}, Summary.SUSPICIOUS),
    ("a referral that isn't urgent", {"plan": ASKED}, Summary.NOT_SETTLED),
    (
        "unequivocally another lesion, no score valid",
        {
            **with_lesion(pigmentation="none"),
            **judged(concern="benign", unequivocal=True, impressions=[HAEMANGIOMA]),
            "findings": [{"structure": "lacunae", "presence": "present"}],
            "description": {"step_one": "non-melanocytic", "colours": ["red"]},
        },
        Summary.NO_SUSPICIOUS_FEATURE_FOUND,
    ),
    (
        "the same without saying so",
        {
            **with_lesion(pigmentation="none"),
            **judged(concern="benign", impressions=[HAEMANGIOMA]),
            "description": {"step_one": "non-melanocytic", "colours": ["red"]},
        },
        Summary.NOT_SETTLED,
    ),
)


@pytest.mark.parametrize(("name", "parts", "summary"), CASES, ids=[case[0] for case in CASES])
def test_one_word_on_the_whole(name: str, parts: dict[str, Any], summary: Summary) -> None:
    assert reviewed(**parts).summary is summary, name


#: The example of a usual examination, of which nothing calls for action, and one thing more.
CHANGES: tuple[tuple[str, dict[str, Any], Summary], ...] = (
    ("nothing more", {}, Summary.NO_SUSPICIOUS_FEATURE_FOUND),
    ("a record that was entered in error", {"status": "entered-in-error"}, Summary.NOT_SETTLED),
    ("one that was amended", {"status": "amended", "revision": 2}, Summary.NO_SUSPICIOUS_FEATURE_FOUND),
    ("a step of another list", {"plan": {"actions": [{"key": "1", "action": OTHER}]}}, Summary.NOT_SETTLED),
    (
        "a step in words",
        {"plan": {"actions": [{"key": "1", "action": "other-step", "note": "?"}]}},
        Summary.NOT_SETTLED,
    ),
    (
        "an urgent step in words",
        {"plan": {"actions": [{"key": "1", "action": "other-step", "urgency": "urgent", "note": "?"}]}},
        Summary.SUSPICIOUS,
    ),
    (
        "an urgent step of another list",
        {"plan": {"actions": [{"key": "1", "action": OTHER, "urgency": "immediate"}]}},
        Summary.SUSPICIOUS,
    ),
    (
        "a name of another list beside a harmless concern",
        named({**OTHER, "display": "melanoma"}),
        Summary.NOT_SETTLED,
    ),
    (
        "a finding of another list",
        {"findings": [*USUAL["findings"], {"structure": OTHER, "presence": "present"}]},
        Summary.NOT_SETTLED,
    ),
    (
        "a doubtful name beside a harmless concern",
        named("naevus-atypical"),
        Summary.NOT_SETTLED,
    ),
    ("cancer by histology, acted on and told", {"outcomes": [MELANOMA], "plan": INFORMED}, Summary.SUSPICIOUS),
    ("histology of another list", {"outcomes": [{**HISTOLOGY, "result": OTHER}]}, Summary.NOT_SETTLED),
    ("histology in words alone", {"outcomes": [{**HISTOLOGY, "text": "see letter"}]}, Summary.NOT_SETTLED),
    ("histology that found no tumour", {"outcomes": [{**HISTOLOGY, "result": "no-tumour-found"}]}, Summary.NOT_SETTLED),
    (
        "histology of a harmless lesion",
        {"outcomes": [{**HISTOLOGY, "result": "naevus-compound"}]},
        Summary.NO_SUSPICIOUS_FEATURE_FOUND,
    ),
    ("an opinion in words", {"outcomes": [{"key": "1", "kind": "opinion", "text": "rather not"}]}, Summary.NOT_SETTLED),
    (
        "an opinion that agrees",
        {"outcomes": [{"key": "1", "kind": "opinion", "agreement": "agrees"}]},
        Summary.NO_SUSPICIOUS_FEATURE_FOUND,
    ),
    ("a change", {"outcomes": [{"key": "1", "kind": "monitoring", "change": "changed"}]}, Summary.NOT_SETTLED),
    (
        "no change",
        {"outcomes": [{"key": "1", "kind": "monitoring", "change": "unchanged", "days_since_baseline": 90}]},
        Summary.NO_SUSPICIOUS_FEATURE_FOUND,
    ),
)


@pytest.mark.parametrize(("name", "parts", "summary"), CHANGES, ids=[case[0] for case in CHANGES])
def test_what_nobody_here_understands_or_what_came_later_and_does_not_clear_it_is_not_reassuring(
    name: str, parts: dict[str, Any], summary: Summary
) -> None:
    review = dermreport.review(dermreport.Examination.model_validate({**USUAL, **parts}))
    assert review.summary is summary, name


def test_a_score_at_its_threshold_is_suspicious_whatever_the_clinician_thinks() -> None:
    veil = {"structure": "blue-white-veil", "presence": "present", "colours": ["blue", "white"]}
    network = {"structure": "network-atypical", "presence": "present"}
    review = reviewed(findings=[veil, network], description={"colours": ["dark-brown", "blue", "white"]})
    assert review.scores["seven-point"].low == 4
    assert review.summary is Summary.SUSPICIOUS


def test_red_flags_are_those_of_the_flag_rules() -> None:
    review = reviewed(**with_lesion(**NODULE))
    assert review.red_flags
    assert {flag.rule for flag in review.red_flags} & SIGN_RULES
    assert all(flag.rule.startswith("flag-") for flag in review.red_flags)
    assert any(not flag.rule.endswith(ANSWERED) for flag in review.red_flags)


def test_by_urgency_signs_that_nothing_answers_stand_first_then_the_gravest() -> None:
    examples = sorted((Path(__file__).parent.parent / "examples").glob("*.json"))
    seen = set()
    for path in examples:
        entry = json.loads(path.read_text(encoding="utf-8"))
        if "lesions" in entry:
            continue
        review = dermreport.review(dermreport.Examination.model_validate(entry))
        assert sorted(map(str, review.issues_by_urgency)) == sorted(map(str, review.issues))
        calls = [one in review.red_flags and one.severity != "information" for one in review.issues_by_urgency]
        assert calls == sorted(calls, reverse=True)
        assert sum(calls) == sum(one.severity != "information" for one in review.red_flags)
        for group in (True, False):
            rest = [one for one, is_call in zip(review.issues_by_urgency, calls, strict=True) if is_call is group]
            assert rest == [one for one in review.issues if one in rest]
        seen |= {(one.severity.value, is_call) for one, is_call in zip(review.issues_by_urgency, calls, strict=True)}
        if any(one.rule.endswith(ANSWERED) for one in review.red_flags):
            seen.add(("answered", False))
    # Errors that stand behind a sign, and answered signs, are among the examples.
    assert seen >= {("warning", True), ("error", False), ("information", False), ("answered", False)}


def test_the_gravest_issues_stand_first() -> None:
    review = reviewed(**with_lesion(site=None, **NODULE))
    ranks = [issue.severity.rank for issue in review.issues]
    assert ranks == sorted(ranks)
    assert review.has_errors


def test_the_entry_stays_as_it_was() -> None:
    examination = dermreport.Examination.model_validate(BASE)
    before = examination.to_json()
    assert dermreport.review(examination).examination is examination
    assert examination.to_json() == before


def test_nothing_is_settled_while_an_error_stands() -> None:
    good = dermreport.review(dermreport.Examination.model_validate(USUAL))
    assert (good.has_errors, good.summary) == (False, Summary.NO_SUSPICIOUS_FEATURE_FOUND)
    flawed = {**USUAL, "lesion": {**USUAL["lesion"], "side": None}}
    review = dermreport.review(dermreport.Examination.model_validate(flawed))
    assert (review.has_errors, review.summary) == (True, Summary.NOT_SETTLED)


def test_what_is_no_examination_or_review_is_said_so() -> None:
    with pytest.raises(TypeError, match="review takes an Examination"):
        dermreport.review(BASE)  # type: ignore[arg-type]
    examination = dermreport.Examination.model_validate(BASE)
    for wrong in (examination, [examination]):
        with pytest.raises(TypeError, match="to_fhir takes a Review"):
            dermreport.to_fhir(wrong)  # type: ignore[arg-type]
