"""Warning signs: what answers each, and that nothing hides one."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from strategies import usual_examinations
from test_rules import CASES, base, changed, issues_of, reviewed

from dermreport.answers import answers as answers_of
from dermreport.examination.model import Examination
from dermreport.expressions.evaluate import Scope, evaluator
from dermreport.issues import Severity
from dermreport.reviews import review
from dermreport.rules import red_flags
from dermreport.rules.facts import FACTS, Context
from dermreport.rules.facts_scores import reached
from dermreport.rules.red_flags import ANSWERED, RED_FLAG_RULES, SIGN_RULES
from dermreport.scores.methods import CHECKLISTS
from dermreport.settings import DEFAULTS
from dermreport.vocabulary.action_kinds import ActionKind
from dermreport.vocabulary.plan_actions import PlanAction
from dermreport.vocabulary.urgencies import Urgency

SIGNS = tuple(sorted(rule for rule in SIGN_RULES if not rule.endswith(ANSWERED)))
#: For each sign a record that has it: its first case that fires.
SHOWING: dict[str, dict[str, Any]] = {
    sign: next(case["set"] for case in CASES if case["rule"] == sign and case["fires"]) for sign in SIGNS
}

JUDGED = {ActionKind.REFERRAL, ActionKind.OPINION, ActionKind.TISSUE_WHOLE, ActionKind.TISSUE_PART}
REFERRAL_OR_TISSUE = JUDGED - {ActionKind.OPINION}
#: Common practice, no source: what answers each sign, at any speed and only when urgent.
AT_ANY_SPEED: dict[str, set[ActionKind]] = {
    "flag-ridge-pattern": REFERRAL_OR_TISSUE,
    "flag-raised-firm-no-harmless-name": JUDGED,
    "flag-grey-head-neck": JUDGED,
    "flag-ulcer-unexplained": JUDGED,
    "flag-nail-adult-band": JUDGED,
    "flag-different-from-others": JUDGED | {ActionKind.MONITORING},
}
WHEN_URGENT: dict[str, set[ActionKind]] = {
    "flag-elevated-firm-growing": REFERRAL_OR_TISSUE,
    "flag-growing-time-missing": REFERRAL_OR_TISSUE,
    "flag-blue-black-nodule": REFERRAL_OR_TISSUE,
    "flag-nodes": {ActionKind.REFERRAL},
    "flag-satellites": {ActionKind.REFERRAL},
    "flag-ridge-pattern": {ActionKind.OPINION},
}
URGENT = {Urgency.IMMEDIATE, Urgency.SAME_VISIT, Urgency.URGENT}


def answers(sign: str, action: PlanAction, urgency: Urgency | None) -> bool:
    """Return whether one planned action answers a sign, said independently of the rules."""
    if action is PlanAction.DECLINED_BY_PATIENT:
        return True
    if sign == "flag-ulcer-unexplained" and action is PlanAction.REVIEW_IN_PERSON:
        return True
    if action.kind in AT_ANY_SPEED.get(sign, set()):
        return True
    pathway = action is PlanAction.REFER_SUSPECTED_CANCER and urgency is None
    return action.kind in WHEN_URGENT.get(sign, set()) and (urgency in URGENT or pathway)


HOLDS = {rule.id: evaluator(rule.when) for rule in RED_FLAG_RULES}


def unscored(edits: dict[str, Any]) -> Scope:
    """Return what a rule is evaluated on, without scores: no sign asks them."""
    examination = Examination.model_validate(changed(base(), edits))
    return Scope(answers_of(examination), FACTS, Context({}, DEFAULTS))


@pytest.mark.parametrize("sign", SIGNS)
def test_every_action_at_every_urgency_answers_a_sign_or_does_not(sign: str) -> None:
    for action in PlanAction:
        for urgency in (*Urgency, None):
            planned = {"key": "a1", "action": action.value} | ({"urgency": urgency.value} if urgency else {})
            scope = unscored({**SHOWING[sign], "plan.actions": [planned]})
            answered = answers(sign, action, urgency)
            assert HOLDS[sign](scope, None) is not answered, (action, urgency)
            assert HOLDS[f"{sign}{ANSWERED}"](scope, None) is answered, (action, urgency)


OUTCOMES = [
    ({"kind": "histology", "result": "naevus-junctional", "specimen": "whole"}, True),
    ({"kind": "histology", "result": "naevus-junctional"}, False),
    ({"kind": "histology", "result": "naevus-junctional", "specimen": "part"}, False),
    ({"kind": "histology", "specimen": "whole"}, False),
    ({"kind": "opinion", "text": "fits a naevus"}, False),
    ({"kind": "monitoring", "change": "unchanged", "days_since_baseline": 100}, False),
]


@pytest.mark.parametrize("sign", SIGNS)
@pytest.mark.parametrize(("outcome", "answers_it"), OUTCOMES)
def test_only_histology_of_the_whole_lesion_answers_a_sign(sign, outcome, answers_it) -> None:
    found = reviewed({**SHOWING[sign], "outcomes": [{"key": "o1", **outcome}]})
    # Enlarged nodes aren't answered by what a pathologist found in the skin.
    expected = answers_it and sign != "flag-nodes"
    assert bool(issues_of(sign, found)) is not expected


@pytest.mark.parametrize("sign", SIGNS)
def test_a_reason_answers_its_own_sign_only(sign: str) -> None:
    for named in SIGNS:
        departure = [{"key": "d1", "departs_from": named, "reason": "as agreed"}]
        found = reviewed({**SHOWING[sign], "plan.departures": departure})
        assert bool(issues_of(sign, found)) is (named != sign)


def test_a_sign_of_an_action_that_is_not_ours_stands() -> None:
    foreign = {"key": "a1", "action": {"system": "urn:x-host:plan", "code": "clinic"}, "urgency": "urgent"}
    for sign, edits in SHOWING.items():
        assert issues_of(sign, reviewed({**edits, "plan.actions": [foreign]}))


#: All methods that are valid on trunk and limbs are below their thresholds with these.
LOW = next(case["set"] for case in CASES if case["rule"] == "flag-low-score" and case["name"] == "no sign")


@pytest.mark.parametrize("sign", SIGNS)
def test_with_every_total_low_a_sign_is_a_warning_or_an_error(sign: str) -> None:
    found = reviewed({**LOW, **SHOWING[sign]})
    (issue,) = issues_of(sign, found)
    assert issue.severity in {Severity.WARNING, Severity.ERROR}


def test_the_low_record_is_low_and_has_no_sign() -> None:
    found = reviewed(LOW)
    lists = [found.scores[method.code.value] for method in CHECKLISTS]
    assert [result.verdict.value for result in lists if result.valid] == ["below-threshold"] * 6
    # What the further methods ask wasn't looked for; none of them reaches its threshold.
    assert not any(reached(result) for result in found.scores.values() if result.valid)
    assert found.red_flags == ()


@settings(max_examples=80, suppress_health_check=list(HealthCheck))
@given(usual_examinations())
def test_a_sign_that_is_there_is_answered_or_not_and_never_lost(examination: Examination) -> None:
    found = review(examination)
    scope = Scope(found.answers, FACTS, Context(found.scores, found.settings))
    fired = [issue.rule for issue in found.issues]
    for row in red_flags._SIGNS:
        there = evaluator(row.sign)(scope, None) is True
        assert fired.count(row.id) + fired.count(f"{row.id}{ANSWERED}") == int(there)


#: Signs as changes of one field, so that they can be added to any record.
ADDED: dict[str, dict[str, Any]] = {
    "satellites": {"lesion.satellites": "yes"},
    "nodes": {"lesion.nodes": {"state": "enlarged"}},
    "stands out": {"lesion.compared_with_others": "stands-out"},
    "ulcer": {"lesion.ulcerated": "yes", "lesion.injured": "no"},
    "raised, firm, growing": {
        "lesion.elevation": "nodular",
        "lesion.palpation": {"consistency": "firm"},
        "lesion.history.growing": {"answer": "yes", "for_days": 60},
    },
}
REASSURANCE_EDITS = (
    {},
    {"assessment.concern": "suspicious"},
    {"assessment.concern": "uncertain"},
    {"assessment.impressions": [{"key": "i1", "impression": "melanoma-cannot-be-excluded"}]},
    {**LOW, "lesion.irregular_shape": "yes", "lesion.irregular_colour": "yes"},
    {"findings.1": {"structure": "network-atypical", "presence": "uncertain"}},
    *SHOWING.values(),
)


@pytest.mark.parametrize("sign", ADDED)
def test_a_further_sign_never_takes_an_error_or_warning_on_doing_too_little_away(sign: str) -> None:
    """With reassurance, monitoring, freezing or nothing planned, a sign only adds to what is wrong with the plan."""
    too_little = (
        [],
        [{"key": "a1", "action": "reassure-with-advice"}],
        [{"key": "a1", "action": "self-monitoring"}],
        [{"key": "a1", "action": "monitor-short", "urgency": "scheduled"}],
        [{"key": "a1", "action": "cryotherapy"}],
    )
    watched = {rule.id for rule in RED_FLAG_RULES if rule.severity is not Severity.INFORMATION}
    compared = 0
    for edits in REASSURANCE_EDITS:
        for actions in too_little:
            before = changed(base(), {**edits, "plan.actions": actions})
            after = changed(before, ADDED[sign])
            found = _grave(after, watched)
            lost = _grave(before, watched) - found - SETTLED_BY[sign]
            assert {rule for rule in lost if GRAVER.get(rule) not in found} == set(), (edits, actions)
            compared += 1
    assert compared == len(REASSURANCE_EDITS) * len(too_little)


#: Asked because something wasn't told, and the sign tells it.
SETTLED_BY: dict[str, set[str]] = {
    "satellites": set(),
    "nodes": set(),
    "stands out": set(),
    "ulcer": set(),
    "raised, firm, growing": {"flag-growing-time-missing", "flag-firm-not-felt"},
}

#: A method can count a sign and reach its threshold: what was a warning because nothing was settled is graver then.
GRAVER = {
    "plan-destroy-melanocytic": "plan-destroy-without-histology",
    "plan-unsettled-reassured": "plan-suspicious-reassured",
}


def _grave(record: dict[str, Any], watched: set[str]) -> set[str]:
    found = review(Examination.model_validate(record)).issues
    return {
        issue.rule
        for issue in found
        if issue.severity is not Severity.INFORMATION and (issue.rule in watched or issue.rule.startswith("plan-"))
    }
