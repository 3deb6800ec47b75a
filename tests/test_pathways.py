"""Pathways: what holds on which record, by which day, how the plan stands to it, and what a file may not say.

The days of England's standard are those of «Cancer waiting-time standards for England from October 2023» (28 days to a
diagnosis or its exclusion); the steps of the worked example are those of the skin section of NICE NG12 as summarised at
https://primarycarenotebook.com/simplepage.cfm?ID=-617283509. The window of short-term monitoring, 2.5 to 4.5 months, is
that of https://dermoscopedia.org/Short_Term_Monitoring. Calendar days are checked against the standard library.
"""

from __future__ import annotations

import json
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from fhirpathpy import evaluate
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from strategies import full_examinations, usual_examinations
from test_plan_safety import ASSESSMENTS, PLANS, SIGNS
from test_rules import FORBIDDEN, base, changed

import dermreport
from dermreport.examination.model import Examination
from dermreport.expressions.nodes import Fact
from dermreport.fhir.releases import Release
from dermreport.issues import PathwayError, SettingsError, Severity
from dermreport.pathway import Pathway
from dermreport.pathways.expected import ExpectedStep
from dermreport.pathways.facts import WORDS, facts, verdict
from dermreport.pathways.file_rules import FILE_RULES
from dermreport.pathways.issue_rules import PATHWAY_RULES, SAID_BY, Kept
from dermreport.pathways.reading import (
    MAX_BYTES,
    MAX_STEPS,
    SHIPPED,
    core_steps,
    pathway_from_toml,
    shipped_pathway,
    shipped_pathway_text,
)
from dermreport.profiles.constraints.printed import all_constraints
from dermreport.reviews import Review, review
from dermreport.rules.facts import Context
from dermreport.rules.red_flags import SIGNS as SIGN_CONDITIONS
from dermreport.rules.tables import BY_ID
from dermreport.scores.methods import METHODS
from dermreport.settings import Settings
from dermreport.vocabulary.summaries import Summary
from dermreport.vocabulary.urgencies import Urgency
from dermreport.vocabulary.verdicts import Verdict
from dermreport.wording.pathways import pathway_lines, pathway_sentence
from dermreport.wording.report import Heading, sections, tell
from dermreport.wording.sentences import conclusion

EXAMINED = date(2026, 3, 4)
NEUTRAL, NG12 = SHIPPED


def reviewed(edits: dict[str, Any], pathway: str | Pathway = NEUTRAL) -> Review:
    """Return the review of the ordinary good record with these changes, beside a pathway."""
    used = pathway if isinstance(pathway, Pathway) else shipped_pathway(pathway)
    return review(Examination.model_validate(changed(base(), edits)), Settings(pathway=used))


def steps(found: Review) -> dict[str, ExpectedStep]:
    return {one.step.id: one for one in found.expected.steps}


def pathway_issues(found: Review) -> dict[str, list[str]]:
    """Return the ids of the steps that each issue on the pathway names, by its rule."""
    named: dict[str, list[str]] = {}
    for issue in found.issues:
        if issue.rule in PATHWAY_RULES and issue.rule != "pathway-not-yet-valid":
            named.setdefault(issue.rule, []).append(dict(issue.parameters)["name"].partition("/")[2])
    return named


def after(days: int) -> str:
    return (EXAMINED + timedelta(days)).isoformat()


def planned(action: str, **others: Any) -> dict[str, Any]:
    return {"plan.actions": [{"key": "a1", "action": action, **others}]}


def named(*impressions: str, certainty: str = "probable") -> dict[str, Any]:
    return {
        "assessment.impressions": [
            {"key": f"i{position}", "impression": one, "certainty": certainty}
            for position, one in enumerate(impressions)
        ]
    }


SUSPECTED = {"assessment.concern": "suspicious"}
UNCERTAIN = {"assessment.concern": "uncertain", **named("naevus-atypical")}
#: What the example of an ordinary lesion records beside it, so that every list is settled.
USUAL = json.loads((Path(__file__).parent.parent / "examples" / "usual.json").read_text(encoding="utf-8"))
SETTLED = {name: USUAL[name] for name in ("views", "lists_gone_through", "findings", "description")}
MELANOMA = {**SUSPECTED, **named("melanoma-suspected")}
BASAL_CELL = {**SUSPECTED, **named("bcc-nodular-suspected")}
CLEARED = {"outcomes": [{"key": "o1", "kind": "histology", "result": "naevus-junctional", "specimen": "whole"}]}
FOUND = {
    "outcomes": [{"key": "o1", "kind": "histology", "result": "melanoma", "specimen": "part", "agreement": "agrees"}]
}
GIVEN_REASON = {
    "plan.departures": [
        {"key": f"d{place}", "departs_from": name, "reason": "the net is that of the skin around it"}
        for place, name in enumerate(("seven-point", "menzies", "total-dermoscopy-score"))
    ]
}
FIRM_NODULE = {
    "lesion.elevation": "nodular",
    "lesion.palpation": {"consistency": "hard"},
    **named("naevus-dermal", certainty="confident"),
}
WATCHED = {
    "images": [{"key": "p1", "view": "v1", "role": "dermatoscopic"}],
    "lesion.ulcerated": "no",
    "lesion.compared_with_others": "alike",
}
MONITORED = {"key": "a1", "action": "monitor-short", "urgency": "scheduled", "responsible": {"display": "the practice"}}

#: Pathway, step, whether it holds, what is changed in the ordinary good record.
CASES = [
    (NEUTRAL, "red-flag", True, {"lesion.nodes": {"state": "enlarged"}}),
    (NEUTRAL, "red-flag", True, {"lesion.compared_with_others": "stands-out"}),
    (NEUTRAL, "red-flag", False, {"lesion.nodes": {"state": "not-enlarged"}}),
    (NEUTRAL, "red-flag", False, {}),
    (NEUTRAL, "red-flag", False, {"lesion.ulcerated": "yes", **CLEARED}),
    (NEUTRAL, "red-flag", True, {"lesion.nodes": {"state": "enlarged"}, **CLEARED}),
    (NEUTRAL, "suspicious", True, SUSPECTED),
    (NEUTRAL, "suspicious", True, named("melanoma-cannot-be-excluded")),
    (NEUTRAL, "suspicious", True, {**SUSPECTED, **named("bcc-nodular-suspected", "melanoma-cannot-be-excluded")}),
    (NEUTRAL, "suspicious", True, {**SUSPECTED, "assessment.impressions": []}),
    (NEUTRAL, "suspicious", False, BASAL_CELL),
    (NEUTRAL, "suspicious", False, UNCERTAIN),
    (NEUTRAL, "suspicious", False, {**MELANOMA, **CLEARED}),
    (NEUTRAL, "basal-cell", True, BASAL_CELL),
    (NEUTRAL, "basal-cell", False, MELANOMA),
    (NEUTRAL, "basal-cell", False, {**SUSPECTED, **named("bcc-nodular-suspected", "scc-suspected")}),
    (NEUTRAL, "raised-or-firm", True, {**UNCERTAIN, "lesion.elevation": "palpable"}),
    (NEUTRAL, "raised-or-firm", True, {**UNCERTAIN, "lesion.palpation": {"consistency": "firm"}}),
    (NEUTRAL, "raised-or-firm", False, {**UNCERTAIN, "lesion.elevation": "flat"}),
    (NEUTRAL, "raised-or-firm", False, {"lesion.elevation": "nodular"}),
    (NEUTRAL, "raised-history", True, {**FIRM_NODULE, "lesion.history.growing.answer": "yes"}),
    (NEUTRAL, "raised-history", False, {**FIRM_NODULE, "lesion.history.growing.answer": "no"}),
    (NEUTRAL, "raised-history", False, {}),
    (NG12, "raised-history", True, {**FIRM_NODULE, "lesion.history.growing.answer": "yes"}),
    (NG12, "raised-history", False, {}),
    (NEUTRAL, "equivocal", True, UNCERTAIN),
    (NEUTRAL, "equivocal", False, ASSESSMENTS["a score above its threshold"]),
    (NEUTRAL, "suspicious", True, ASSESSMENTS["a score above its threshold"]),
    # The seven-point checklist at its threshold of 3 (Source.SEVEN_POINT_CRITERIA_PAGES): atypical network 2 points,
    # irregular globules 1. Naming basal cell carcinoma makes that no slower; a reason for the checklist does.
    (NEUTRAL, "suspicious", True, {**ASSESSMENTS["a score above its threshold"], **BASAL_CELL}),
    (NEUTRAL, "basal-cell", False, {**ASSESSMENTS["a score above its threshold"], **BASAL_CELL}),
    (NEUTRAL, "suspicious", False, {**ASSESSMENTS["a score above its threshold"], **BASAL_CELL, **GIVEN_REASON}),
    (NEUTRAL, "basal-cell", True, {**ASSESSMENTS["a score above its threshold"], **BASAL_CELL, **GIVEN_REASON}),
    (NEUTRAL, "cancer-found", True, FOUND),
    (NEUTRAL, "cancer-found", True, {**UNCERTAIN, **FOUND}),
    (NEUTRAL, "cancer-found", False, CLEARED),
    (NEUTRAL, "cancer-found", False, {"outcomes": [{**FOUND["outcomes"][0], "result": "basal-cell-carcinoma"}]}),
    (NG12, "cancer-found", True, FOUND),
    (NG12, "cancer-found", False, {}),
    (NEUTRAL, "equivocal", False, {}),
    (NEUTRAL, "equivocal", False, SUSPECTED),
    (NEUTRAL, "harmless", True, SETTLED),
    (NEUTRAL, "harmless", False, {}),
    (NEUTRAL, "harmless", False, {"lists_gone_through": [], "findings": [], "description": {}}),
    (NEUTRAL, "not-settled", True, {}),
    (NEUTRAL, "not-settled", True, {"lists_gone_through": [], "findings": [], "description": {}}),
    (NEUTRAL, "not-settled", False, SETTLED),
    (NEUTRAL, "not-settled", False, SUSPECTED),
    (NEUTRAL, "harmless", False, UNCERTAIN),
    (NEUTRAL, "harmless", False, ASSESSMENTS["a score above its threshold"]),
    (NEUTRAL, "harmless", False, {"lesion.nodes": {"state": "enlarged"}}),
    (NEUTRAL, "harmless", False, named("naevus-junctional", "naevus-atypical")),
    (NG12, "red-flag", True, {"lesion.satellites": "yes"}),
    (NG12, "red-flag", False, {}),
    (NG12, "suspicious", True, SUSPECTED),
    (NG12, "suspicious", True, {**SUSPECTED, **named("bcc-nodular-suspected", "melanoma-cannot-be-excluded")}),
    (NG12, "suspicious", True, {**SUSPECTED, **named("scc-suspected")}),
    (NG12, "suspicious", False, UNCERTAIN),
    (NG12, "suspected-cancer", True, SUSPECTED),
    (NG12, "suspected-cancer", False, {**SUSPECTED, **named("scc-suspected")}),
    (NG12, "dermatoscopy", True, MELANOMA),
    (NG12, "dermatoscopy", False, UNCERTAIN),
    (NG12, "nodular", True, {**UNCERTAIN, "lesion.elevation": "nodular", "lesion.palpation": {"consistency": "firm"}}),
    (NG12, "nodular", True, {**UNCERTAIN, "lesion.elevation": "nodular", "lesion.history.growing.answer": "yes"}),
    (NG12, "nodular", False, {**UNCERTAIN, "lesion.elevation": "raised", "lesion.palpation": {"consistency": "firm"}}),
    (NG12, "nodular", False, {"lesion.elevation": "nodular", "lesion.palpation": {"consistency": "firm"}}),
    (NG12, "squamous-cell", True, {**SUSPECTED, **named("scc-suspected")}),
    (NG12, "squamous-cell", False, MELANOMA),
    (NG12, "basal-cell", True, BASAL_CELL),
    (NG12, "basal-cell", False, MELANOMA),
    (NG12, "raised-or-firm", True, {**UNCERTAIN, "lesion.elevation": "raised"}),
    (NG12, "raised-or-firm", False, UNCERTAIN),
    (NG12, "equivocal", True, UNCERTAIN),
    (NG12, "equivocal", False, {}),
    (NG12, "harmless", True, SETTLED),
    (NG12, "not-settled", True, {}),
    (NG12, "not-settled", False, SETTLED),
    (NG12, "harmless", False, UNCERTAIN),
    # The checklist at its threshold of 3: growth is 2 points, a diameter of 7 mm 1.
    (NG12, "checklist", True, {"lesion.history.growing.answer": "yes", "lesion.longest_mm": 7.0}),
    (NG12, "checklist", False, {"lesion.history.growing.answer": "no", "lesion.longest_mm": 7.0}),
]
#: What the ordinary good record leaves open of the checklist.
CHECKLIST = {
    "lesion.irregular_shape": "no",
    "lesion.irregular_colour": "no",
    "lesion.history.inflamed": {"answer": "no"},
}


@pytest.mark.parametrize(("pathway", "step", "holds", "edits"), CASES)
def test_case(pathway: str, step: str, holds: bool, edits: dict[str, Any]) -> None:  # noqa: FBT001 - one column of the cases
    found = reviewed({**CHECKLIST, "lesion.history.pain": {"answer": "no"}, **edits}, pathway)
    assert (step in steps(found)) is holds
    assert (step in {one.id for one in found.expected.open}) is False


def test_each_step_has_a_case_that_holds_and_one_that_does_not() -> None:
    for name in SHIPPED:
        for step in shipped_pathway(name).steps:
            if step.id != "basal-cell-delay-matters":
                assert {holds for pathway, id_, holds, _ in CASES if (pathway, id_) == (name, step.id)} == {True, False}


def test_a_condition_that_no_field_tells_is_asked_and_never_assumed() -> None:
    found = reviewed({**BASAL_CELL, **planned("refer-dermatology", urgency="routine")}, NG12)
    assert [one.id for one in found.expected.open] == ["basal-cell-delay-matters"]
    assert pathway_issues(found) == {"pathway-condition-open": ["basal-cell-delay-matters"]}
    assert found.expected.urgency is Urgency.ROUTINE
    answered = reviewed({**BASAL_CELL, **planned("refer-suspected-cancer", urgency="urgent")}, NG12)
    assert pathway_issues(answered) == {}


# --- verdicts ---------------------------------------------------------------------------------------------------------


def test_a_score_that_is_not_settled_leaves_its_step_open() -> None:
    # Growth is 2 points; whether the shape is irregular (2) wasn't recorded: 2 to 4 points.
    known = {**CHECKLIST, "lesion.history.pain": {"answer": "no"}, "lesion.history.growing.answer": "yes"}
    found = reviewed({**known, "lesion.irregular_shape": None}, NG12)
    result = found.scores["weighted-seven-point"]
    assert (result.low, result.high) == (2, 4)
    assert "checklist" not in steps(found)
    assert [one.id for one in found.expected.open] == ["checklist"]
    assert pathway_issues(found)["pathway-condition-open"] == ["checklist"]


@pytest.mark.parametrize("method", [method.code for method in METHODS])
@settings(max_examples=15, suppress_health_check=list(HealthCheck))
@given(usual_examinations(), st.sets(st.sampled_from(list(Verdict)[:3]), min_size=1, max_size=2))
def test_a_verdict_is_true_where_every_completion_has_it(method, examination: Examination, sides: set[Verdict]) -> None:
    found = review(examination)
    result = found.scores[method.value]
    said = facts()[verdict(method, frozenset(sides)).name]
    from dermreport.expressions.evaluate import Scope

    scope = Scope(found.answers, facts(), Context(found.scores, found.settings))
    if not result.valid:
        assert said(scope, None) is False
    elif set(result.possible) <= sides:
        assert said(scope, None) is True
    else:
        assert said(scope, None) is (None if set(result.possible) & sides else False)


# --- the plan beside the pathway --------------------------------------------------------------------------------------

#: Pathway, changes, the issue on the pathway and its step; None where the pathway says nothing.
COMPARED = [
    (NEUTRAL, {**MELANOMA, **planned("refer-suspected-cancer", urgency="urgent", date=after(14))}, None),
    (NEUTRAL, {**MELANOMA, **planned("refer-suspected-cancer")}, None),
    (NEUTRAL, {**MELANOMA, **planned("excise-complete", urgency="immediate")}, None),
    (
        NEUTRAL,
        {**MELANOMA, **planned("refer-suspected-cancer", urgency="urgent", date=after(15))},
        ("pathway-later-than-expected", "suspicious"),
    ),
    # The core rules say that a fast cancer needs an urgent step: the pathway is silent.
    (NEUTRAL, {**MELANOMA, **planned("excise-complete", urgency="soon")}, None),
    (
        NEUTRAL,
        {**SUSPECTED, **named("scc-in-situ-suspected"), **planned("refer-dermatology", urgency="routine")},
        ("pathway-less-urgent", "suspicious"),
    ),
    # They say that nothing is arranged: the pathway is silent.
    (NEUTRAL, MELANOMA, None),
    (NEUTRAL, {**MELANOMA, **planned("advice-and-guidance", urgency="urgent")}, ("pathway-step-missing", "suspicious")),
    (NEUTRAL, {**MELANOMA, **planned("declined-by-patient", note="offered")}, None),
    (NEUTRAL, {**UNCERTAIN, **planned("advice-and-guidance")}, None),
    (NEUTRAL, {**UNCERTAIN, **planned("review-in-person", urgency="soon")}, ("pathway-step-missing", "equivocal")),
    (NEUTRAL, {**UNCERTAIN, **planned("monitor-long", urgency="scheduled")}, None),
    (NEUTRAL, {"lesion.satellites": "yes", **planned("refer-suspected-cancer", urgency="urgent")}, None),
    # A sign that its own rule calls unanswered isn't said a second time.
    (NEUTRAL, {"lesion.satellites": "yes", **planned("refer-dermatology", urgency="soon")}, None),
    (
        NEUTRAL,
        {"lesion.ulcerated": "yes", **planned("refer-dermatology", urgency="routine")},
        ("pathway-less-urgent", "red-flag"),
    ),
    (NEUTRAL, {"lesion.compared_with_others": "stands-out"}, ("pathway-sign-answered", "red-flag")),
    (NG12, {**MELANOMA, **planned("refer-suspected-cancer", urgency="urgent", date=after(28))}, None),
    (
        NG12,
        {**SUSPECTED, **named("scc-suspected"), **planned("refer-dermatology", urgency="urgent")},
        ("pathway-to-consider", "squamous-cell"),
    ),
    (NG12, {**BASAL_CELL, **planned("refer-suspected-cancer", urgency="urgent")}, None),
]


@pytest.mark.parametrize(("pathway", "edits", "expected"), COMPARED)
def test_the_plan_is_compared(pathway: str, edits: dict[str, Any], expected: tuple[str, str] | None) -> None:
    found = reviewed({**CHECKLIST, "lesion.history.pain": {"answer": "no"}, **edits}, pathway)
    said = [(rule, step) for rule, named_steps in pathway_issues(found).items() for step in named_steps]
    assert said == ([expected] if expected else [])


@pytest.mark.parametrize("days", [28, 29])
def test_englands_standard_counts_to_the_answer(days: int) -> None:
    edits = {**MELANOMA, **planned("refer-suspected-cancer", urgency="urgent", date=after(days))}
    found = reviewed({**CHECKLIST, "lesion.history.pain": {"answer": "no"}, **edits}, NG12)
    assert found.expected.answer_by == after(28)
    assert steps(found)["dermatoscopy"].kept is (Kept.MET if days == 28 else Kept.LATER)
    assert ("pathway-later-than-expected" in pathway_issues(found)) is (days == 29)


#: What makes watching fit, or not, and how the plan then stands: None of the days is in the entry.
WATCHING = [
    ({}, {}, Kept.MET),
    ({}, {"date": after(137)}, Kept.MET),
    ({}, {"date": after(138)}, Kept.LATER),
    ({}, {"date": after(10)}, Kept.MET),
    ({"lesion.elevation": "palpable"}, {}, Kept.MISSING),
    ({"lesion.elevation": None}, {}, Kept.OPEN),
    ({"lesion.pigmentation": "none"}, {}, Kept.MISSING),
    ({"lesion.pigmentation": None}, {}, Kept.OPEN),
    ({"lesion.ulcerated": "yes"}, {}, Kept.MISSING),
    ({"images": []}, {}, Kept.MISSING),
    ({}, {"responsible": None}, Kept.MISSING),
    ({"lesion.compared_with_others": None}, {}, Kept.OPEN),
    ({"lesion.compared_with_others": None}, {"reason": "the patient asks for it"}, Kept.MET),
    ({"lesion.compared_with_others": "only-lesion"}, {}, Kept.MISSING),
    ({"lesion.compared_with_others": "only-lesion"}, {"reason": "the patient asks for it"}, Kept.MET),
    (
        {"findings.2": {"structure": "regression-structures", "presence": "present", "views": ["v1"]}},
        {},
        Kept.MISSING,
    ),
    ({"lists_gone_through": []}, {}, Kept.OPEN),
]


@pytest.mark.parametrize(("edits", "others", "kept"), WATCHING)
def test_watching_needs_a_suited_lesion_a_picture_an_owner_and_a_reason_for_a_single_one(
    edits: dict[str, Any], others: dict[str, Any], kept: Kept
) -> None:
    action = {name: value for name, value in {**MONITORED, **others}.items() if value is not None}
    found = reviewed({**UNCERTAIN, **WATCHED, "plan.actions": [action], **edits})
    equivocal = steps(found)["equivocal"]
    assert equivocal.kept is kept
    if kept is Kept.MET:
        assert (equivocal.not_before, equivocal.by) == (after(75), after(137))
        assert found.expected.come_back_by == after(137)
        assert found.expected.heard_by is None
    if kept is Kept.OPEN:
        assert pathway_issues(found)["pathway-choice-open"] == ["equivocal"]


def test_what_only_sometimes_will_do_counts_where_the_plan_takes_it() -> None:
    watched = reviewed({**UNCERTAIN, **WATCHED, "plan.actions": [MONITORED]})
    referred = reviewed({**UNCERTAIN, **WATCHED, **planned("refer-dermatology", urgency="routine")})
    assert [one.value for one in watched.expected.actions] == ["monitor-short"]
    assert referred.expected.actions == ()


def test_somebody_elses_code_for_a_step_is_neither_taken_nor_refused() -> None:
    step = {"system": "https://host.example/steps", "code": "x1"}
    found = reviewed({**MELANOMA, **planned(step)})  # type: ignore[arg-type]
    assert steps(found)["suspicious"].kept is Kept.OPEN


# --- a reason ---------------------------------------------------------------------------------------------------------


def departed(*names: str) -> dict[str, Any]:
    return {
        "plan.departures": [
            {"key": f"d{position}", "departs_from": name, "reason": "agreed with the clinic"}
            for position, name in enumerate(names)
        ]
    }


SEEN_AGAIN = {**UNCERTAIN, **planned("review-in-person", urgency="soon")}


def test_a_reason_silences_the_step_that_it_names_and_stays_visible() -> None:
    found = reviewed({**SEEN_AGAIN, **departed("neutral/equivocal")})
    assert pathway_issues(found) == {"pathway-departure-recorded": ["equivocal"]}
    (issue,) = [one for one in found.issues if one.rule == "pathway-departure-recorded"]
    assert issue.severity is Severity.INFORMATION
    assert issue.path == "$.plan.departures[0].departs_from"
    assert "plan-departure-unknown" not in {one.rule for one in found.issues}
    assert steps(found)["equivocal"].kept is Kept.DEPARTED


@pytest.mark.parametrize(
    "name", ["neutral/harmless", "neutral/red-flag", "equivocal", "uk-ng12/equivocal", "flag-nodes"]
)
def test_a_reason_for_something_else_silences_nothing(name: str) -> None:
    assert pathway_issues(reviewed({**SEEN_AGAIN, **departed(name)})) == {"pathway-step-missing": ["equivocal"]}


@pytest.mark.parametrize(("reason", "silenced"), [(".", False), ("n/a", False), ("--- 2026", False), ("wen", True)])
def test_a_reason_without_words_silences_no_step(reason: str, silenced: bool) -> None:  # noqa: FBT001 - as above
    given_reason = {"plan.departures": [{"key": "d1", "departs_from": "neutral/equivocal", "reason": reason}]}
    found = reviewed({**SEEN_AGAIN, **given_reason})
    assert (steps(found)["equivocal"].kept is Kept.DEPARTED) is silenced
    assert ("plan-departure-reason-empty" in {one.rule for one in found.issues}) is not silenced


#: What a departure names, and whether it is called unknown.
NAMES = [
    ("neutral/equivocal", False),
    ("neutral/no-such-step", True),
    # Another pathway's step: nobody here can tell.
    ("clinic.example/first", False),
    ("equivocal", True),
    ("Neutral/equivocal", True),
    ("plan-missing", False),
    ("menzies", False),
]


@pytest.mark.parametrize(("name", "unknown"), NAMES)
def test_a_departure_names_a_step_of_the_pathway_in_force(name: str, unknown: bool) -> None:  # noqa: FBT001 - as above
    found = reviewed({**SEEN_AGAIN, **departed(name)})
    assert ("plan-departure-unknown" in {one.rule for one in found.issues}) is unknown


def test_a_departure_from_a_step_of_a_hosts_file_is_known() -> None:
    own = pathway_from_toml(FILE)
    found = reviewed({**SEEN_AGAIN, **departed("clinic/second-look")}, own)
    assert "plan-departure-unknown" not in {one.rule for one in found.issues}
    again = reviewed({**SEEN_AGAIN, **departed("clinic/nothing")}, own)
    assert "plan-departure-unknown" in {one.rule for one in again.issues}


def test_a_reason_for_the_score_is_a_reason_for_what_only_the_score_asks() -> None:
    edits = {**ASSESSMENTS["a score above its threshold"], **planned("review-in-person", urgency="soon")}
    reached = [code for code, one in reviewed(edits).scores.items() if one.valid and one.verdict != "below-threshold"]
    found = reviewed({**edits, **departed(*reached)})
    assert steps(found)["equivocal"].kept is Kept.DEPARTED
    doubted = reviewed({**edits, **UNCERTAIN, **departed(*reached)})
    assert steps(doubted)["equivocal"].kept is Kept.MISSING


def test_a_reason_for_a_sign_is_a_reason_for_the_step_on_signs_where_no_other_sign_is_unanswered() -> None:
    edits = {"lesion.satellites": "yes", **planned("refer-dermatology", urgency="soon")}
    assert steps(reviewed({**edits, **departed("flag-satellites")}))["red-flag"].kept is Kept.DEPARTED
    two = {**edits, "lesion.nodes": {"state": "enlarged"}, **departed("flag-satellites")}
    assert steps(reviewed(two))["red-flag"].kept is not Kept.DEPARTED


@pytest.mark.parametrize("release", ["R4", "R4B", "R5"])
def test_a_departure_travels_with_its_reason_and_comes_back(release: str) -> None:
    found = reviewed({**SEEN_AGAIN, **departed("neutral/equivocal")})
    bundle = dermreport.to_fhir(found, release=release).bundle("transaction")
    (issue,) = [
        one["resource"] for one in bundle.to_dict()["entry"] if one["resource"]["resourceType"] == "DetectedIssue"
    ]
    assert issue["code"]["text"] == "neutral/equivocal"
    assert issue["mitigation"][0]["action"]["text"] == "agreed with the clinic"
    reading = dermreport.from_fhir(bundle.to_json())
    assert reading.examination is not None
    assert reading.examination.plan == found.examination.plan


# --- which pathway spoke ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", SHIPPED)
@pytest.mark.parametrize("edits", [{}, MELANOMA, SEEN_AGAIN, {"assessment": None}])
def test_the_pathway_is_named_with_version_and_owner_wherever_it_speaks(name: str, edits: dict[str, Any]) -> None:
    found = reviewed(edits, name)
    pathway = shipped_pathway(name)
    assert found.expected.pathway is pathway
    report = dermreport.to_fhir(found)
    (diagnostic,) = [one for one in report.resources if one["resourceType"] == "DiagnosticReport"]
    for text in (
        conclusion(found),
        pathway_sentence(found.expected),
        pathway_lines(found.expected)[0],
        diagnostic["conclusion"],
        diagnostic["text"]["div"],
        dermreport.to_hl7v2(found).text,
    ):
        for part in (pathway.title, f"version {pathway.version}", pathway.owner):
            assert part in text
    for issue in found.issues:
        if issue.rule in PATHWAY_RULES:
            assert f"{pathway.title} {pathway.version}" in issue.message
            assert f"{pathway.id}/" in issue.message


@pytest.mark.parametrize(("examined", "earlier"), [("2023-09-30T23:59:59+01:00", True), ("2023-10-01", False)])
def test_an_examination_before_the_pathways_day_is_said(examined: str, earlier: bool) -> None:  # noqa: FBT001 - as above
    # England's two-week standard ended on 1 October 2023.
    found = reviewed({"examined": examined, "recorded": None}, NG12)
    assert ("pathway-not-yet-valid" in {one.rule for one in found.issues}) is earlier


def test_nothing_follows_from_a_withdrawn_record() -> None:
    found = reviewed({"status": "entered-in-error", **MELANOMA})
    assert Heading.PATHWAY not in {one.heading for one in sections(tell(found), found)}
    assert shipped_pathway(NEUTRAL).title not in conclusion(found)


@pytest.mark.parametrize("name", SHIPPED)
def test_no_sentence_of_a_pathway_calls_a_lesion_harmless(name: str) -> None:
    for step in shipped_pathway(name).steps:
        assert FORBIDDEN.search(f"{step.message} {step.ask}") is None
    for rule in PATHWAY_RULES.values():
        assert FORBIDDEN.search(rule.message) is None
        assert rule.severity is not Severity.ERROR


@pytest.mark.parametrize("name", SHIPPED)
def test_every_step_says_how_it_is_known(name: str) -> None:
    for step in shipped_pathway(name).steps:
        assert any(f". {known}: " in step.source for known in ("seen", "memory", "common practice"))


def test_the_rules_that_say_the_same_exist() -> None:
    assert frozenset[str]().union(*SAID_BY.values()) <= BY_ID.keys()


# --- what holds whatever is entered -----------------------------------------------------------------------------------

_URGENCIES = st.sampled_from([None, *Urgency])


def _rank(urgency: Urgency | None) -> int:
    return urgency.rank if urgency is not None else -1


#: Each warning sign as parts of an entry that make it, whatever the rest says.
ADDED = {
    "flag-nodes": {"lesion.nodes": {"state": "enlarged"}},
    "flag-satellites": {"lesion.satellites": "yes"},
    "flag-ulcer-unexplained": {"lesion.ulcerated": "yes", "lesion.injured": "no"},
    "flag-different-from-others": {"lesion.compared_with_others": "stands-out"},
    "flag-elevated-firm-growing": {
        "lesion.elevation": "nodular",
        "lesion.palpation": {"consistency": "firm"},
        "lesion.history.growing": {"answer": "yes", "for_days": 40},
    },
}


def _with(examination: Examination, edits: dict[str, Any]) -> Examination:
    record = examination.to_dict()
    for name in ("lesion", "history"):
        here = record if name == "lesion" else record["lesion"]
        here.setdefault(name, {})
    return Examination.model_validate(changed(record, edits))


@pytest.mark.parametrize("name", SHIPPED)
@pytest.mark.parametrize("sign", ADDED)
@settings(max_examples=40, suppress_health_check=list(HealthCheck))
@given(examination=usual_examinations())
def test_adding_a_warning_sign_never_makes_what_is_expected_less_urgent(
    name: str, sign: str, examination: Examination
) -> None:
    used = Settings(pathway=shipped_pathway(name))
    before = review(examination, used)
    after_it = review(_with(examination, ADDED[sign]), used)
    assert _rank(after_it.expected.urgency) >= _rank(before.expected.urgency)


@pytest.mark.parametrize("name", SHIPPED)
@pytest.mark.parametrize("sign", SIGNS)
@pytest.mark.parametrize("plan", PLANS)
@pytest.mark.parametrize("assessment", ASSESSMENTS)
def test_a_warning_sign_is_urgent_whatever_the_scores_say(name: str, assessment: str, plan: str, sign: str) -> None:
    lesion, added = SIGNS[sign]
    edits = {**ASSESSMENTS[assessment], **PLANS[plan], **lesion}
    before, after_it = reviewed(edits, name), reviewed({**edits, **added}, name)
    assert _rank(after_it.expected.urgency) >= max(_rank(before.expected.urgency), Urgency.URGENT.rank)
    assert "red-flag" in steps(after_it)


@pytest.mark.parametrize("name", SHIPPED)
@settings(max_examples=40, suppress_health_check=list(HealthCheck))
@given(examination=st.one_of(usual_examinations(), full_examinations()))
def test_any_entry_is_compared_and_nothing_of_it_is_changed_or_withheld(name: str, examination: Examination) -> None:
    text = examination.to_json()
    without = review(examination)
    found = review(examination, Settings(pathway=shipped_pathway(name)))
    assert found.examination.to_json() == text
    assert found.summary is without.summary
    assert found.has_errors is without.has_errors
    # No step says that a lesion is settled where the word on the whole doesn't.
    met = {one.step.id for one in found.expected.steps}
    assert ("harmless" in met) is (found.summary is Summary.NO_SUSPICIOUS_FEATURE_FOUND)
    actions = examination.plan.actions if examination.plan is not None else ()
    requests = [one for one in dermreport.to_fhir(found).resources if one["resourceType"] == "ServiceRequest"]
    assert len(requests) == len(actions)
    for one in found.expected.steps:
        for day in (one.not_before, one.by, one.answer_by):
            assert day is None or day >= examination.examined[:10]


@settings(max_examples=60)
@given(st.dates(date(1900, 1, 1), date(2199, 12, 31)))
def test_days_are_those_of_the_calendar(examined: date) -> None:
    found = reviewed({"examined": examined.isoformat(), "recorded": None, **MELANOMA})
    assert found.expected.by == (examined + timedelta(14)).isoformat()
    assert found.expected.heard_by == (examined + timedelta(14)).isoformat()


def test_past_the_end_of_the_calendar_no_day_is_given() -> None:
    plan = planned("refer-suspected-cancer", urgency="urgent", date="9999-12-31")
    found = reviewed({"examined": "9999-12-30", "recorded": None, **MELANOMA, **plan})
    assert found.expected.by is None
    assert steps(found)["suspicious"].kept is Kept.MET


@given(_URGENCIES, st.integers(-5, 60))
@settings(max_examples=80)
def test_a_plan_that_is_sooner_is_never_objected_to(urgency: Urgency | None, days: int) -> None:
    def kept(plan: dict[str, Any]) -> Kept:
        return steps(reviewed({**MELANOMA, **plan}))["suspicious"].kept

    said = {"urgency": urgency.value} if urgency is not None else {}
    sooner = {"urgency": "immediate"}
    if kept(planned("refer-dermatology", date=after(days), **said)) is Kept.MET:
        assert kept(planned("refer-dermatology", date=after(days - 1), **sooner)) is Kept.MET


# --- the file ---------------------------------------------------------------------------------------------------------

HEAD = """
id = "clinic"
version = "2"
title = "Clinic"
owner = "Example clinic"
source = "agreed in the clinic"
valid_from = 2026-01-01
"""
STEP = """
[[steps]]
id = "second-look"
title = "Uncertain"
message = "See it again."
when = { recorded = { path = "assessment.concern", one_of = ["uncertain"] } }
urgency = "soon"
expects = [{ actions = ["review-in-person"], within = 14 }]
known = "common practice"
source = "agreed in the clinic"
"""
FILE = HEAD + STEP
WHEN = 'when = { recorded = { path = "assessment.concern", one_of = ["uncertain"] } }'


def when(condition: str) -> str:
    return FILE.replace(WHEN, f"when = {condition}")


def period(name: str, days: int) -> str:
    return f"""
[periods.{name}]
days = {days}
valid_from = 2026-01-01
known = "common practice"
source = "agreed in the clinic"
"""


def deep(levels: int) -> str:
    return when("{ not = " * levels + '{ flag = "any" }' + " }" * levels)


CORE = """
[[steps]]
id = "red-flag"
known = "common practice"
source = "agreed in the clinic"
"""

#: A file, and what is wrong with it, by rule and path in the file.
WRONG = [
    ("id = ", [("pathway-not-toml", "$")]),
    ('id = "a"\nid = "b"', [("pathway-not-toml", "$")]),
    ("a = " + "[" * 5_000, [("pathway-not-toml", "$")]),
    ("a = " + "9" * 5_000, [("pathway-not-toml", "$")]),
    (b"\xff\xfe", [("pathway-not-toml", "$")]),
    ("#" * (MAX_BYTES + 1), [("pathway-too-large", "$")]),
    ("", [("pathway-key-missing", "$")] * 6),
    (FILE.replace('id = "clinic"', 'id = "neutral"'), [("pathway-id-taken", "$.id")]),
    (FILE.replace('id = "clinic"', 'id = "Clinic A"'), [("pathway-wrong-type", "$.id")]),
    (FILE.replace("2026-01-01", '"2026-01-01"'), [("pathway-wrong-type", "$.valid_from")]),
    (FILE.replace("2026-01-01", "2026-01-01T00:00:00"), [("pathway-wrong-type", "$.valid_from")]),
    (FILE.replace('version = "2"', "version = 2"), [("pathway-wrong-type", "$.version")]),
    (FILE.replace('owner = "Example clinic"', 'owner = "a\\nb"'), [("pathway-wrong-type", "$.owner")]),
    ('country = "gb"' + FILE, [("pathway-wrong-type", "$.country")]),
    ("urgent = true" + FILE, [("pathway-unknown-key", "$.urgent")]),
    ('"a b" = true' + FILE, [("pathway-unknown-key", "$.?")]),
    ('extends = "elsewhere"' + FILE, [("pathway-unknown-word", "$.extends")]),
    ('without = ["equivocal"]' + FILE, [("pathway-not-there", "$.without[0]")]),
    ('extends = "neutral"\nwithout = ["nothing"]' + FILE, [("pathway-not-there", "$.without[0]")]),
    ("without = 3" + FILE, [("pathway-wrong-type", "$.without")]),
    ("steps = 3" + HEAD, [("pathway-wrong-type", "$.steps")]),
    (FILE + STEP, [("pathway-id-taken", "$.steps[1].id")]),
    (HEAD + STEP * (MAX_STEPS + 1), [("pathway-too-many", "$.steps")]),
    (FILE.replace('urgency = "soon"\n', ""), [("pathway-no-urgency", "$.steps[0]")]),
    (FILE.replace('"soon"', '"sometime"'), [("pathway-unknown-code", "$.steps[0].urgency")]),
    (FILE.replace('known = "common practice"', 'known = "heard"'), [("pathway-unknown-word", "$.steps[0].known")]),
    (FILE.replace('title = "Uncertain"\n', ""), [("pathway-key-missing", "$.steps[0]")]),
    (FILE + 'strength = "must"', [("pathway-unknown-word", "$.steps[0].strength")]),
    (FILE + 'answer_within = "a-month"', [("pathway-unknown-word", "$.steps[0].answer_within")]),
    (FILE + "answer_within = -1", [("pathway-wrong-type", "$.steps[0].answer_within")]),
    (FILE + "answer_within = 2.5", [("pathway-wrong-type", "$.steps[0].answer_within")]),
    (FILE.replace('"review-in-person"', '"see"'), [("pathway-unknown-code", "$.steps[0].expects[0].actions[0]")]),
    (
        FILE.replace('[{ actions = ["review-in-person"], within = 14 }]', "[]"),
        [("pathway-wrong-type", "$.steps[0].expects")],
    ),
    (FILE.replace('actions = ["review-in-person"], ', ""), [("pathway-no-choice", "$.steps[0].expects[0]")]),
    (FILE.replace("within = 14", "from = 15, within = 14"), [("pathway-window", "$.steps[0].expects[0].from")]),
    (
        FILE.replace("within = 14", 'only_if = { given = "@.nothing" }'),
        [("pathway-unknown-path", "$.steps[0].expects[0].only_if.given")],
    ),
    (FILE + "safety_net = { }", [("pathway-key-missing", "$.steps[0].safety_net")]),
    (FILE + 'safety_net = { watch_for = "growth" }', [("pathway-wrong-type", "$.steps[0].safety_net.watch_for")]),
    (FILE + "[periods.month]\ndays = 28", [("pathway-key-missing", "$.periods.month")] * 3),
    (when('"always"'), [("pathway-wrong-type", "$.steps[0].when")]),
    (when("{ }"), [("pathway-one-condition", "$.steps[0].when")]),
    (when('{ flag = "any", given = "lesion" }'), [("pathway-one-condition", "$.steps[0].when")]),
    (when("{ sometimes = 1 }"), [("pathway-unknown-key", "$.steps[0].when.sometimes")]),
    (when("{ all = [] }"), [("pathway-wrong-type", "$.steps[0].when.all")]),
    (when('{ all = [{ flag = "flag-none" }] }'), [("pathway-unknown-word", "$.steps[0].when.all[0].flag")]),
    (when('{ not = { present = "net" } }'), [("pathway-unknown-code", "$.steps[0].when.not.present")]),
    (when('{ colour = "mauve" }'), [("pathway-unknown-code", "$.steps[0].when.colour")]),
    (when('{ condition = "worrying" }'), [("pathway-unknown-word", "$.steps[0].when.condition")]),
    (when('{ given = "lesion.worth" }'), [("pathway-unknown-path", "$.steps[0].when.given")]),
    (when('{ given = "@.reason" }'), [("pathway-unknown-path", "$.steps[0].when.given")]),
    (when("{ given = 7 }"), [("pathway-unknown-path", "$.steps[0].when.given")]),
    (when('{ holds = "lesion.elevation" }'), [("pathway-unknown-path", "$.steps[0].when.holds")]),
    (
        when('{ recorded = { path = "lesion.elevation", one_of = ["flat", "tall"] } }'),
        [("pathway-unknown-code", "$.steps[0].when.recorded.one_of[1]")],
    ),
    (
        when('{ recorded = { path = "assessment.impressions", one_of = ["cyst"] } }'),
        [("pathway-unknown-path", "$.steps[0].when.recorded.path")],
    ),
    (
        when('{ answer = { path = "assessment.unequivocal", one_of = ["yes"] } }'),
        [("pathway-wrong-type", "$.steps[0].when.answer.one_of[0]")],
    ),
    (
        when('{ at_least_number = { path = "lesion.site_detail", number = 6 } }'),
        [("pathway-unknown-path", "$.steps[0].when.at_least_number.path")],
    ),
    (
        when('{ more_than_number = { path = "lesion.longest_mm", number = nan } }'),
        [("pathway-wrong-type", "$.steps[0].when.more_than_number.number")],
    ),
    (
        when('{ at_least = { number = 3, of = [{ flag = "any" }, { colour = "blue" }] } }'),
        [("pathway-wrong-type", "$.steps[0].when.at_least.number")],
    ),
    (
        when('{ exists = { path = "lesion", where = { flag = "any" } } }'),
        [("pathway-unknown-path", "$.steps[0].when.exists.path")],
    ),
    (
        when('{ verdict = { method = "guess", one_of = ["above-threshold"] } }'),
        [("pathway-unknown-word", "$.steps[0].when.verdict.method")],
    ),
    (
        when('{ verdict = { method = "menzies", one_of = ["not-settled"] } }'),
        [("pathway-unknown-word", "$.steps[0].when.verdict.one_of[0]")],
    ),
    (
        when('{ verdict = { method = "menzies" } }'),
        [("pathway-key-missing", "$.steps[0].when.verdict")],
    ),
    (deep(17), [("pathway-too-deep", "$.steps[0].when" + ".not" * 17)]),
    (
        when('{ not = { flag = "any" } }').replace('"soon"', '"immediate"'),
        [("pathway-sign-delays", "$.steps[0].when")],
    ),
    ('without = ["red-flag"]' + FILE, [("pathway-core-weakened", "$.without[0]")]),
    (HEAD + CORE + 'urgency = "soon"', [("pathway-core-weakened", "$.steps[0].urgency")]),
    (HEAD + CORE + 'when = { flag = "flag-nodes" }', [("pathway-core-weakened", "$.steps[0].when")]),
    (HEAD + CORE + 'strength = "consider"', [("pathway-core-weakened", "$.steps[0].strength")]),
    (HEAD + CORE + 'expects = [{ kinds = ["opinion"] }]', [("pathway-core-weakened", "$.steps[0].expects")]),
    (HEAD + CORE + "delay = 7", [("pathway-unknown-key", "$.steps[0].delay")]),
    (HEAD + CORE + "within = 15", [("pathway-core-weakened", "$.steps[0].within")]),
    (HEAD + CORE + "answer_within = 43", [("pathway-urgent-too-late", "$.steps[0].answer_within")]),
    (HEAD + CORE + 'within = "long"' + period("long", 43), [("pathway-urgent-too-late", "$.steps[0].within")]),
    (
        HEAD + CORE + 'safety_net = { watch_for = ["growth"], heard_within = 15 }',
        [("pathway-core-weakened", "$.steps[0].safety_net.heard_within")],
    ),
    ('extends = "neutral"\nwithout = ["suspicious"]' + FILE, [("pathway-core-weakened", "$.without[0]")]),
    (
        FILE.replace("second-look", "suspicious").replace('"soon"', '"none"'),
        [("pathway-core-weakened", f"$.steps[0].{key}") for key in ("when", "expects", "urgency")],
    ),
    (
        FILE.replace('"soon"', '"urgent"').replace("within = 14", "within = 43"),
        [("pathway-urgent-too-late", "$.steps[0].expects[0].within")],
    ),
    # Everything at once.
    (
        FILE.replace('"soon"', '"sometime"').replace("2026-01-01", "1") + 'strength = "must"',
        [
            ("pathway-wrong-type", "$.valid_from"),
            ("pathway-unknown-code", "$.steps[0].urgency"),
            ("pathway-unknown-word", "$.steps[0].strength"),
        ],
    ),
]


@pytest.mark.parametrize(("text", "expected"), WRONG, ids=range(len(WRONG)))
def test_what_is_wrong_with_a_file_is_said_with_its_path(text: str | bytes, expected: list[tuple[str, str]]) -> None:
    with pytest.raises(PathwayError) as refused:
        pathway_from_toml(text)
    assert [(issue.rule, issue.path) for issue in refused.value.issues] == expected
    for issue in refused.value.issues:
        assert "{" not in issue.message
        assert issue.message in str(refused.value)


def test_every_rule_on_a_file_is_tried() -> None:
    tried = {rule for _, expected in WRONG for rule, _ in expected}
    assert tried | {"pathway-nothing-said"} == FILE_RULES.keys()


def test_a_step_that_says_nothing_is_refused() -> None:
    nothing = FILE.replace('urgency = "soon"\n', "").replace(
        'expects = [{ actions = ["review-in-person"], within = 14 }]\n', ""
    )
    with pytest.raises(PathwayError) as refused:
        pathway_from_toml(nothing)
    assert [issue.rule for issue in refused.value.issues] == ["pathway-nothing-said"]


def test_no_value_of_a_file_is_in_an_issue() -> None:
    text = FILE.replace('"soon"', '"Zzyzx-4711"') + '"Zzyzx 4711" = 1'
    with pytest.raises(PathwayError) as refused:
        pathway_from_toml(text)
    assert "Zzyzx" not in str(refused.value)


def test_a_file_reads_as_text_and_as_bytes_and_the_same_text_is_the_same_pathway() -> None:
    one, other = pathway_from_toml(FILE), pathway_from_toml(FILE.encode())
    assert one == other
    assert hash(one) == hash(other)
    assert one != pathway_from_toml(FILE.replace("within = 14", "within = 15"))
    with pytest.raises(TypeError):
        pathway_from_toml(7)  # type: ignore[arg-type]


@pytest.mark.parametrize("name", SHIPPED)
def test_a_shipped_file_can_be_copied_under_another_id(name: str) -> None:
    copied = pathway_from_toml(shipped_pathway_text(name).replace(f'id = "{name}"', 'id = "clinic.copy"', 1))
    assert copied.steps == shipped_pathway(name).steps


def test_there_are_no_other_shipped_pathways() -> None:
    with pytest.raises(SettingsError, match="no such pathway"):
        shipped_pathway("core")


def test_every_word_of_a_condition_is_one_of_the_rules() -> None:
    for word in WORDS:
        assert pathway_from_toml(when(f'{{ condition = "{word}" }}')).steps[-1].when == Fact(f"is.{word}")


# --- a host's own file ------------------------------------------------------------------------------------------------


def test_the_steps_on_warning_signs_are_in_every_pathway() -> None:
    core = [step.id for step in core_steps()]
    for pathway in (pathway_from_toml(FILE), *map(shipped_pathway, SHIPPED)):
        assert [step.id for step in pathway.steps if step.core] == core
    found = reviewed({"lesion.nodes": {"state": "enlarged"}}, pathway_from_toml(FILE))
    assert found.expected.urgency is Urgency.URGENT
    assert list(steps(found)) == ["red-flag"]


def test_a_step_takes_the_place_of_one_with_its_id_and_others_can_be_left_out() -> None:
    text = 'extends = "neutral"\nwithout = ["harmless"]' + FILE.replace('"second-look"', '"equivocal"')
    pathway = pathway_from_toml(text)
    assert [step.id for step in pathway.steps] == [
        "red-flag",
        "suspicious",
        "cancer-found",
        "basal-cell",
        "raised-or-firm",
        "raised-history",
        "equivocal",
        "not-settled",
    ]
    found = reviewed(SEEN_AGAIN, pathway)
    assert pathway_issues(found) == {}
    assert steps(found)["equivocal"].by == after(14)


def test_a_step_on_warning_signs_can_be_made_sooner_and_say_more() -> None:
    more = CORE + 'urgency = "immediate"\nanswer_within = 7\nmessage = "Ring the clinic."'
    found = reviewed({"lesion.nodes": {"state": "enlarged"}}, pathway_from_toml(HEAD + more))
    assert found.expected.urgency is Urgency.IMMEDIATE
    assert found.expected.answer_by == after(7)
    core = core_steps()[0]
    # The core's words always stand first.
    assert steps(found)["red-flag"].step.message == f"{core.message} Ring the clinic."
    assert steps(found)["red-flag"].step.when == core.when
    assert steps(found)["red-flag"].step.choices == core.choices


def test_words_and_advice_of_a_file_are_added_to_those_of_the_core() -> None:
    own = (
        CORE
        + """title = "Nothing urgent"
message = "Reassure the patient; no referral is needed."
within = 7
safety_net = { watch_for = ["pain"], heard_within = 7 }
"""
    )
    step, core = pathway_from_toml(HEAD + own).steps[0], core_steps()[0]
    assert step.title.startswith(f"{core.title}: ")
    assert step.message.startswith(f"{core.message} ")
    assert core.advice is not None
    assert step.advice is not None
    assert step.advice.watch_for == (*core.advice.watch_for, "pain")
    assert (step.advice.heard_days, step.choices[0].within_days) == (7, 7)


def test_a_bodys_own_period_can_be_longer_than_the_cores_days() -> None:
    pathway = pathway_from_toml(HEAD + CORE + 'within = "month"' + period("month", 28))
    assert pathway.steps[0].choices[0].within_days == 28


def test_the_day_is_that_of_the_most_urgent_steps() -> None:
    ulcer = {"lesion.site": "cheek", "lesion.ulcerated": "yes", **UNCERTAIN}
    watched = {**MONITORED, "action": "monitor-short-face", "reason": "asked for"}
    found = reviewed({**ulcer, **WATCHED, "lesion.ulcerated": "yes", "plan.actions": [watched]})
    assert (found.expected.urgency, found.expected.by) == (Urgency.URGENT, after(14))


#: Watching a lesion of the face for 6 to 12 months.
FACE = [
    ({}, Kept.MET),
    ({"lesion.site": "scapular-area"}, Kept.MISSING),
    ({"lesion.site": "forearm-extensor"}, Kept.MISSING),
    ({"lesion.ulcerated": "yes"}, Kept.MISSING),
    ({"lesion.pigmentation": "none"}, Kept.MISSING),
    ({"lesion.elevation": "raised"}, Kept.MISSING),
    (
        {"findings.2": {"structure": "regression-structures", "presence": "present", "views": ["v1"]}},
        Kept.MISSING,
    ),
]


@pytest.mark.parametrize(("edits", "kept"), FACE)
def test_a_long_watch_is_for_a_flat_lesion_of_the_face_that_is_suited(edits: dict[str, Any], kept: Kept) -> None:
    watched = {**MONITORED, "action": "monitor-short-face", "reason": "asked for"}
    found = reviewed({**UNCERTAIN, **WATCHED, "lesion.site": "cheek", "plan.actions": [watched], **edits})
    assert steps(found)["equivocal"].kept is kept


def test_a_cancer_that_was_found_is_urgent_until_a_later_step_answers_it() -> None:
    found = reviewed({**UNCERTAIN, **FOUND, **planned("monitor-short", urgency="scheduled")})
    assert found.expected.urgency is Urgency.URGENT
    assert steps(found)["cancer-found"].kept is Kept.MISSING
    assert "pathology-discordant" in {issue.rule for issue in found.issues}
    told = {**UNCERTAIN, **FOUND, **planned("inform-pathology-result", responsible={"display": "the practice"})}
    assert steps(reviewed(told))["cancer-found"].kept is Kept.MET


@pytest.mark.parametrize(
    "gap", [{"lesion.history.growing": None}, {"lesion.history.growing.answer": "yes", "lesion.palpation": None}]
)
def test_a_nodule_without_history_or_touch_is_asked_for_them(gap: dict[str, Any]) -> None:
    found = reviewed({**FIRM_NODULE, **gap})
    assert pathway_issues(found)["pathway-condition-open"] == ["raised-history"]


def test_a_step_that_extends_the_worked_example_keeps_what_it_adds() -> None:
    pathway = pathway_from_toml('extends = "uk-ng12"' + FILE)
    assert pathway.step_ids == shipped_pathway(NG12).step_ids | {"second-look"}
    with pytest.raises(PathwayError) as refused:
        pathway_from_toml('extends = "uk-ng12"' + HEAD + CORE + "answer_within = 29")
    assert [issue.path for issue in refused.value.issues] == ["$.steps[0].answer_within"]


_CONDITIONS = st.recursive(
    st.sampled_from(
        [
            '{ flag = "any" }',
            '{ flag = "flag-nodes" }',
            '{ condition = "judged-harmless" }',
            '{ condition = "suspicious" }',
            '{ given = "lesion.site" }',
        ]
    ),
    lambda inner: st.one_of(
        inner.map("{{ not = {} }}".format),
        st.lists(inner, min_size=1, max_size=3).map(lambda parts: f"{{ all = [{', '.join(parts)}] }}"),
        st.lists(inner, min_size=1, max_size=3).map(lambda parts: f"{{ any = [{', '.join(parts)}] }}"),
    ),
    max_leaves=5,
)


@settings(max_examples=100)
@given(_CONDITIONS, st.sampled_from([one.value for one in Urgency]), st.sampled_from(sorted(SIGNS)))
def test_no_file_makes_a_warning_sign_less_urgent(condition: str, urgency: str, sign: str) -> None:
    try:
        pathway = pathway_from_toml(when(condition).replace('"soon"', f'"{urgency}"'))
    except PathwayError as error:
        refused = [(issue.rule, issue.path) for issue in error.issues]
        assert refused == [("pathway-sign-delays", "$.steps[0].when")]
        return
    lesion, added = SIGNS[sign]
    before, after_it = reviewed(lesion, pathway), reviewed({**lesion, **added}, pathway)
    assert _rank(after_it.expected.urgency) >= max(_rank(before.expected.urgency), Urgency.URGENT.rank)


#: Conditions of a file and records on which they are true, false and open.
ASKED = [
    ('{ answer = { path = "lesion.elevation", one_of = ["flat"] } }', "lesion.elevation", "flat", "raised", None),
    ('{ holds = "lesion.ulcerated" }', "lesion.ulcerated", "yes", "no", None),
    ('{ holds = "lesion.ulcerated" }', "lesion.ulcerated", "yes", "no", "uncertain"),
    ('{ at_least_number = { path = "lesion.longest_mm", number = 6 } }', "lesion.longest_mm", 6, 5.9, None),
    ('{ more_than_number = { path = "lesion.longest_mm", number = 6.0 } }', "lesion.longest_mm", 6.1, 6, None),
    (
        '{ at_least = { number = 2, of = [{ holds = "lesion.satellites" }, { given = "lesion" }] } }',
        "lesion.satellites",
        "yes",
        "no",
        None,
    ),
]


@pytest.mark.parametrize(("condition", "path", "true", "false", "gap"), ASKED)
def test_a_condition_is_true_false_or_open(condition: str, path: str, true: Any, false: Any, gap: Any) -> None:
    pathway = pathway_from_toml(when(condition))
    held = reviewed({path: true}, pathway)
    assert "second-look" in steps(held)
    failed = reviewed({path: false}, pathway)
    assert "second-look" not in steps(failed)
    assert failed.expected.open == ()
    opened = reviewed({path: gap}, pathway)
    assert [one.id for one in opened.expected.open] == ["second-look"]


@pytest.mark.parametrize("sign", SIGN_CONDITIONS)
def test_a_single_sign_can_be_asked(sign: str) -> None:
    pathway = pathway_from_toml(when(f'{{ flag = "{sign}" }}'))
    lesion, added = SIGNS[sign]
    assert "second-look" in steps(reviewed({**lesion, **added}, pathway))
    assert "second-look" not in steps(reviewed(lesion, pathway))


_PLAIN = st.recursive(
    st.one_of(
        st.booleans(), st.integers(-5, 10**6), st.text(max_size=8), st.sampled_from(["any", "lesion", "@", "urgent"])
    ),
    lambda inner: st.one_of(
        st.lists(inner, max_size=3),
        st.dictionaries(
            st.sampled_from(["all", "any", "not", "path", "one_of", "flag", "when", "id", "of", "number", "x y"]), inner
        ),
    ),
    max_leaves=12,
)


def _toml(value: Any) -> str:
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{json.dumps(key)} = {_toml(one)}" for key, one in value.items()) + " }"
    if isinstance(value, list):
        return "[" + ", ".join(map(_toml, value)) + "]"
    return json.dumps(value, ensure_ascii=True) if not isinstance(value, bool) else str(value).lower()


@settings(max_examples=150)
@given(_PLAIN, st.sampled_from(["when", "expects", "safety_net", "urgency", "answer_within"]))
def test_whatever_a_file_says_it_is_read_or_refused_with_issues(value: Any, key: str) -> None:
    text = (
        HEAD + "\n".join(line for line in STEP.splitlines() if not line.startswith(key)) + f"\n{key} = {_toml(value)}\n"
    )
    try:
        pathway = pathway_from_toml(text)
    except PathwayError as error:
        refused = error
    else:
        assert "second-look" in pathway.step_ids
        return
    assert refused.issues


def test_a_setting_takes_a_pathway_and_nothing_else() -> None:
    with pytest.raises(dermreport.SettingsError, match=r"^settings: pathway"):
        Settings(pathway="neutral")  # type: ignore[arg-type]
    assert review(Examination.model_validate(base())).expected.pathway is shipped_pathway(NEUTRAL)


@pytest.mark.parametrize("release", Release)
@pytest.mark.parametrize(("name", "unknown"), NAMES)
def test_a_receiver_leaves_open_whether_another_pathways_step_is_known(
    release: Release,
    name: str,
    unknown: bool,  # noqa: FBT001 - as above
) -> None:
    (constraint,) = [one for one in all_constraints(release) if one.rule.id == "plan-departure-unknown"]
    resource = {"resourceType": "DetectedIssue", "status": "final", "code": {"text": name}}
    assert evaluate(resource, constraint.expression) == [not unknown or name == "neutral/no-such-step"]
