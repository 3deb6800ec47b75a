"""What holds of plans whatever else is recorded: signs outrank scores, and a reason silences what it names, no more."""

from __future__ import annotations

from dataclasses import fields
from typing import Any

import pytest
from a_plugin import whole
from test_rules import CASES, reviewed

from dermreport.examination.people import Reference
from dermreport.expressions.nodes import Fact, leaves
from dermreport.issues import Issue
from dermreport.limits import Limits
from dermreport.pathways.issue_rules import PATHWAY_RULES
from dermreport.pathways.reading import shipped_pathway
from dermreport.plugins.loading import load_plugins
from dermreport.reviews import Review, review
from dermreport.rules.plans import PLAN_RULES
from dermreport.rules.red_flags import ANSWERED, SIGN_RULES
from dermreport.rules.tables import RULES
from dermreport.settings import ExtraCoding, IdentifierSystems, Intent, PersonEntry, Settings

#: Each sign: on which lesion it can be seen, and what is added there.
SIGNS: dict[str, tuple[dict[str, Any], dict[str, Any]]] = {
    "flag-nodes": ({}, {"lesion.nodes": {"state": "enlarged"}}),
    "flag-satellites": ({}, {"lesion.satellites": "yes"}),
    "flag-ulcer-unexplained": ({}, {"lesion.ulcerated": "yes"}),
    "flag-raised-firm-no-harmless-name": (
        {"assessment.impressions.0.certainty": "possible"},
        {"lesion.elevation": "nodular", "lesion.palpation": {"consistency": "firm"}},
    ),
    "flag-elevated-firm-growing": (
        {"lesion.elevation": "nodular", "lesion.palpation": {"consistency": "firm"}},
        {"lesion.history.growing": {"answer": "yes", "for_days": 28}},
    ),
    "flag-growing-time-missing": (
        {"lesion.elevation": "nodular", "lesion.palpation": {"consistency": "firm"}},
        {"lesion.history.growing": {"answer": "yes"}},
    ),
    "flag-different-from-others": (
        {"assessment.impressions.0.certainty": "possible"},
        {"lesion.compared_with_others": "stands-out"},
    ),
    "flag-ridge-pattern": (
        {"lesion.site": "sole"},
        {"findings.2": {"structure": "ridge-parallel", "presence": "present", "views": ["v1"]}},
    ),
    "flag-grey-head-neck": (
        {"lesion.site": "cheek"},
        {"findings.2": {"structure": "dots-grey", "presence": "present", "views": ["v1"]}},
    ),
    "flag-blue-black-nodule": (
        {"lesion.elevation": "nodular"},
        {"findings.2": {"structure": "blue-black-colour", "presence": "present", "views": ["v1"]}},
    ),
    "flag-nail-adult-band": ({"lesion.site": "thumb-nail"}, {"lesion.history.new": {"answer": "yes"}}),
}

ASSESSMENTS: dict[str, dict[str, Any]] = {
    "harmless": {},
    "uncertain": {"assessment.concern": "uncertain"},
    "suspicious": {"assessment.concern": "suspicious"},
    "cancer among the names": {
        "assessment.impressions.1": {"key": "i2", "impression": "melanoma-cannot-be-excluded", "certainty": "possible"}
    },
    "a score above its threshold": {
        "findings.0.structure": "network-atypical",
        "findings.1.structure": "globules-irregular",
    },
}


def _only(action: str, **others: Any) -> dict[str, Any]:
    return {"plan.actions": [{"key": "a1", "action": action, **others}]}


PLANS: dict[str, dict[str, Any]] = {
    "reassured": {},
    "watched by the patient": _only("self-monitoring"),
    "watched": _only("monitor-short", urgency="scheduled", date="2026-06-04"),
    "seen again": _only("review-in-person", urgency="soon", date="2026-03-20"),
    "frozen": _only("cryotherapy"),
    "part removed": _only("biopsy-punch", urgency="soon"),
    "discharged": _only("discharge-to-usual-care"),
}

#: Rules that say that a plan does too little, or destroys what would tell.
TOO_LITTLE = (
    "plan-suspicious-reassured",
    "plan-unsettled-reassured",
    "plan-departure-without-reason",
    "plan-melanoma-not-urgent",
    "plan-monitor-raised",
    "plan-monitor-contraindicated",
    "plan-destroy-without-histology",
    "plan-destroy-melanocytic",
    "plan-partial-biopsy-melanoma",
)


def _gravest(found: Review) -> int:
    """Return the rank of the gravest issue that says the plan does too little, signs included: 0 is gravest."""
    return min(
        (issue.severity.rank for issue in found.issues if issue.rule in TOO_LITTLE or issue.rule.startswith("flag-")),
        default=3,
    )


def test_every_sign_of_the_rules_is_tried() -> None:
    assert SIGNS.keys() == {rule for rule in SIGN_RULES if not rule.endswith(ANSWERED)}


@pytest.mark.parametrize("sign", SIGNS)
@pytest.mark.parametrize("plan", PLANS)
@pytest.mark.parametrize("assessment", ASSESSMENTS)
def test_adding_a_sign_never_lightens_what_is_said_of_a_plan(assessment: str, plan: str, sign: str) -> None:
    lesion, added = SIGNS[sign]
    before = reviewed({**ASSESSMENTS[assessment], **PLANS[plan], **lesion})
    after = reviewed({**ASSESSMENTS[assessment], **PLANS[plan], **lesion, **added})
    assert _gravest(after) <= _gravest(before)


def _departs(rule: str) -> dict[str, Any]:
    return {"plan.departures": [{"key": "d1", "departs_from": rule, "reason": "agreed with the clinic"}]}


#: Rules that a recorded reason silences, read from their conditions.
JUDGED = {rule.id for rule in PLAN_RULES if Fact(f"departs-from.{rule.id}") in leaves(rule.when)}
#: The first firing case of each rule of the plan that a record with a plan can have.
FIRING = {
    case["rule"]: case
    for case in reversed(CASES)
    if case["fires"]
    and case["rule"] in {rule.id for rule in PLAN_RULES}
    and case["set"].get("plan", "") is not None
    and "plan.departures" not in case["set"]
}


def test_a_reason_silences_a_judgement_and_never_a_gap() -> None:
    assert {
        "plan-suspicious-reassured",
        "plan-unsettled-reassured",
        "plan-departure-without-reason",
        "plan-melanoma-not-urgent",
        "plan-monitor-raised",
        "plan-monitor-contraindicated",
        "plan-monitor-single-doubtful",
        "plan-destroy-without-histology",
        "plan-destroy-melanocytic",
        "plan-partial-biopsy-melanoma",
        "plan-specimen-without-histology",
    } == JUDGED


@pytest.mark.parametrize("rule", FIRING)
def test_a_reason_silences_the_rule_that_it_names_and_no_other(rule: str) -> None:
    before = {issue.rule for issue in reviewed(FIRING[rule]["set"]).issues}
    after = {issue.rule for issue in reviewed({**FIRING[rule]["set"], **_departs(rule)}).issues}
    assert before - after == ({rule} if rule in JUDGED else set())
    assert after - before == {"plan-departure-recorded"}


def test_a_reason_for_something_else_silences_nothing() -> None:
    edits = {"assessment.concern": "suspicious"}
    before = {issue.rule for issue in reviewed(edits).issues}
    for rule in RULES:
        if rule.id != "plan-suspicious-reassured":
            after = {issue.rule for issue in reviewed({**edits, **_departs(rule.id)}).issues}
            assert before <= after


@pytest.mark.parametrize("plan", PLANS)
def test_the_plan_stays_as_entered_whatever_is_found(plan: str) -> None:
    found = reviewed({**ASSESSMENTS["suspicious"], **PLANS[plan], **SIGNS["flag-nodes"][1]})
    assert found.has_errors
    assert found.examination.plan == reviewed(PLANS[plan]).examination.plan


SETTINGS = (
    Settings(snomed=False),
    Settings(claim_profiles=True),
    Settings(unsuitable_scores=True),
    Settings(intent=Intent.ORDER),
    Settings(persons=PersonEntry.MATCH_ONLY),
    Settings(now="2026-03-04T12:00:00+01:00"),
    Settings(pathway=shipped_pathway("uk-ng12")),
    Settings(loinc=False),
    Settings(dicom=False),
    Settings(identifier_systems=IdentifierSystems(examination="https://clinic.example/ids/examination")),
    Settings(organisation=Reference(reference="Organization/7")),
    Settings(extra_codings=(ExtraCoding(of="structure/network-atypical", system="https://c.example", code="a"),)),
    Settings(language="de"),
    Settings(limits=Limits(size=2_000_000)),
    Settings(plugins=load_plugins(whole())),
)


def test_every_setting_is_tried() -> None:
    changed = {field.name for one in SETTINGS for field in fields(one) if getattr(one, field.name) != field.default}
    assert changed == {field.name for field in fields(Settings)}


@pytest.mark.parametrize("setting", SETTINGS, ids=lambda one: str(SETTINGS.index(one)))
@pytest.mark.parametrize("plan", PLANS)
def test_no_setting_takes_an_issue_away(plan: str, setting: Settings) -> None:
    examination = reviewed({**ASSESSMENTS["suspicious"], **PLANS[plan], **SIGNS["flag-nodes"][1]}).examination

    def core(found: Review) -> list[Issue]:
        # What a pathway or a plugin says is its own: which of them speak is the only thing that a setting changes.
        return [issue for issue in found.issues if issue.rule not in PATHWAY_RULES and "/" not in issue.rule]

    assert core(review(examination, setting)) == core(review(examination))
    if setting.pathway is None and not setting.plugins.loaded:
        assert review(examination, setting).issues == review(examination).issues
