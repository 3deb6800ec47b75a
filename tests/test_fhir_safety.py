"""What can hurt someone: urgent requests, suspicions, low scores, names in the wrong place, and what stands first."""

from __future__ import annotations

import json
from typing import Any

import pytest
from fhir_cases import (
    FULL,
    about,
    codes,
    extensions,
    objects,
    of_type,
    resources,
    reviewed,
    the,
)
from hypothesis import given
from strategies import WHOLE_EXAMINATIONS, full_examinations, parts, usual_examinations

from dermreport.examination.decided import Action, Plan
from dermreport.fhir import to_fhir
from dermreport.fhir.extensions import Extension
from dermreport.reviews import review
from dermreport.scores.method import CAUTIONS
from dermreport.settings import Settings
from dermreport.vocabulary.impressions import Impression
from dermreport.vocabulary.mapping import MAPPINGS
from dermreport.vocabulary.standard_codes import SNOMED_CT
from dermreport.vocabulary.statuses import Status
from dermreport.vocabulary.urgencies import Urgency
from dermreport.vocabulary.verdicts import Verdict

#: Codes of disorders that a suspicion is only related to: they belong to a pathologist's result.
RELATED = {
    mapping.code
    for rows in MAPPINGS.values()
    for mappings in rows.values()
    for mapping in mappings
    if not mapping.implied and mapping.system == SNOMED_CT
}


@WHOLE_EXAMINATIONS
@given(
    usual_examinations(plan=parts(Plan, actions=parts(Action, urgency=Urgency.URGENT).map(lambda action: (action,))))
)
def test_an_urgent_request_is_active_whatever_the_issues_are(examination: Any) -> None:
    for release in ("R4", "R5"):
        (request,) = of_type(to_fhir(review(examination), release=release).resources, "ServiceRequest")
        withdrawn = examination.status is Status.ENTERED_IN_ERROR
        assert request["status"] == ("entered-in-error" if withdrawn else "active")
        assert request["priority"] == "urgent"
        assert extensions(request, "urgency")[0]["valueCoding"]["code"] == "urgent"


@pytest.mark.parametrize("urgency", list(Urgency))
def test_the_code_never_says_less_than_the_word(urgency: Urgency) -> None:
    # FHIR request-priority, from the least to the most pressing.
    order = ("routine", "urgent", "asap", "stat")
    later = [other for other in Urgency if other.rank < urgency.rank]
    assert all(order.index(other.fhir_priority) <= order.index(urgency.fhir_priority) for other in later)


@WHOLE_EXAMINATIONS
@given(full_examinations())
def test_no_interpretation_calls_anything_normal(examination: Any) -> None:
    found = review(examination, Settings(unsuitable_scores=True))
    above = {
        result.method.code.value
        for result in found.scores.values()
        if result.valid and Verdict.BELOW_THRESHOLD not in result.possible
    }
    interpreted = set()
    for one in of_type(to_fhir(found).resources, "Observation"):
        for interpretation in one.get("interpretation", ()):
            assert codes(interpretation) == ["A"]
            interpreted.add(one["code"]["coding"][0]["code"])
    assert interpreted == above


@pytest.mark.parametrize("impression", list(Impression))
def test_no_suspicion_carries_a_disorder(impression: Impression) -> None:
    assessment = {"impressions": [{"key": "a", "impression": impression.value}]}
    made = resources(assessment=assessment, outcomes=None, background=None, findings=None)
    (sent,) = about(made, "impression")
    standard = set(codes(sent["valueCodeableConcept"])[1:])
    assert not standard & RELATED
    if impression.concern.value in {"malignant", "premalignant-or-in-situ"}:
        assert standard == set()


@WHOLE_EXAMINATIONS
@given(full_examinations())
def test_a_conclusion_has_our_summary_alone(examination: Any) -> None:
    for release in ("R4", "R5"):
        report = the(to_fhir(review(examination), release=release).resources, "DiagnosticReport")
        if examination.status is Status.ENTERED_IN_ERROR:
            assert "conclusionCode" not in report
            assert report["conclusion"].startswith("Withdrawn")
            continue
        (summary,) = report["conclusionCode"]
        assert [one["system"].rpartition("/")[2] for one in summary["coding"]] == ["summary"]


def test_a_pathologists_result_may_carry_the_disorder() -> None:
    (outcome,) = about(resources(), "outcome")
    (result,) = [one for one in outcome["component"] if "histology-result" in codes(one["code"])]
    # SNOMED CT 109266006, melanoma in situ of skin.
    assert codes(result["valueCodeableConcept"]) == ["melanoma-in-situ", "109266006"]
    assert outcome["effectiveDateTime"] == "2026-04-20"


def test_an_outcome_without_a_date_has_no_time_of_the_examination() -> None:
    (outcome,) = about(resources(outcomes=[{"key": "o", "kind": "opinion"}]), "outcome")
    assert "effectiveDateTime" not in outcome
    assert outcome["_effectiveDateTime"]["extension"][0]["valueCode"] == "unknown"


@WHOLE_EXAMINATIONS
@given(full_examinations())
def test_standard_bound_elements_carry_standard_codes_alone(examination: Any) -> None:
    found = review(examination, Settings(unsuitable_scores=True))
    for release in ("R4", "R5"):
        for one in objects(to_fhir(found, release=release).bundle("document").to_dict()):
            concepts = [one["dataAbsentReason"]] if "dataAbsentReason" in one else []
            for concept in [*concepts, *one.get("interpretation", ())]:
                (coding,) = concept["coding"]
                assert coding["system"].startswith("http://terminology.hl7.org/CodeSystem/")


def narrative(**changes: Any) -> str:
    div: str = the(resources(**changes), "DiagnosticReport")["text"]["div"]
    return div


def test_what_calls_for_action_stands_first() -> None:
    told = narrative()
    order = [
        "urgent: refer as suspected cancer",
        "Clinician’s concern: suspicious",
        "Summary: suspicious",
        "<h2>Plan</h2>",
        "<h2>Safety-net advice given</h2>",
        "<h2>Lesion</h2>",
        "<h2>Dermatoscopic findings</h2>",
        "<h2>Scores</h2>",
        "<h2>Assessment</h2>",
        "<h2>To be checked</h2>",
        "<h2>Please note</h2>",
    ]
    places = [told.index(words) for words in order]
    assert places == sorted(places)


def test_the_narrative_tells_what_a_doctor_needs() -> None:
    told = narrative()
    for words in (
        "A: forearm, front, left, a hand below the elbow, 8.5 × 6 mm",
        "polarised light: contact: contact; immersion medium: alcohol, ultrasound gel; magnification: 10×",
        "light not known",
        "(atypical pigment network): present",
        "(shiny white strands): not assessed, not visible in this light; recorded as absent",
        "look again in polarised light",
        "(dotted vessels): not assessed, hidden",
        "melanoma suspected (possible)",
        "watch for: bleeding",
        "call when nothing is heard by 2026-03-20",
        "departs from three-point: because",
        "Errors stand in this record: the report is preliminary. No planned step is withheld by that.",
        "threshold 3",
    ):
        assert words in told, words
    for issue in reviewed().issues:
        assert issue.message.replace("'", "&#39;") in told
    for caution in CAUTIONS:
        assert caution in told


def test_a_score_shows_its_cautions_wherever_it_is_shown() -> None:
    for one in of_type(resources(), "Observation"):
        if one["code"]["coding"][0]["system"].endswith("/score-method"):
            for caution in CAUTIONS:
                assert caution in one["note"][0]["text"]
    impressions = about(resources(), "impression")
    assert all("excludes nothing" in one["note"][-1]["text"] for one in impressions)


def test_below_a_threshold_is_never_called_more_than_that() -> None:
    quiet = {
        "findings": None,
        "lists_gone_through": [{"list": "pigmented-lesion", "views": ["v1"]}],
        "assessment": {"concern": "benign"},
        "lesion": {name: FULL["lesion"][name] for name in ("site", "side", "pigmentation")},
        "outcomes": None,
        "plan": None,
        "images": None,
        "views": FULL["views"][:1],
    }
    made = resources(**quiet)
    text = json.dumps(made, default=str).lower()
    for word in ('"normal"', "negative for", "no cancer", "reassuring"):
        assert word not in text
    assert "below this method’s threshold" in json.dumps(made, default=str, ensure_ascii=False)


PLANTED = ("QQNUMBERQQ", "QQFAMILYQQ", "QQGIVENQQ", "QQPHONEQQ", "QQMAILQQ", "QQREACHQQ")


@WHOLE_EXAMINATIONS
@given(full_examinations())
def test_the_patients_own_facts_are_in_no_narrative(examination: Any) -> None:
    marked = examination.model_dump()
    marked["patient"] = {
        "identifiers": [{"system": "urn:x-host:1", "value": "QQNUMBERQQ"}],
        "details": {"family": "QQFAMILYQQ", "given": ["QQGIVENQQ"], "phone": "QQPHONEQQ", "email": "QQMAILQQ"},
    }
    marked["background"] = {"reach_quickly": "QQREACHQQ"}
    found = review(type(examination).model_validate(_without_none(marked)))
    for release in ("R4", "R5"):
        for one in to_fhir(found, release=release).bundle("document").to_dict()["entry"]:
            told = one["resource"]["text"]["div"]
            assert [mark for mark in PLANTED if mark in told] == []


def _without_none(value: Any) -> Any:
    if isinstance(value, dict):
        return {name: _without_none(item) for name, item in value.items() if item is not None}
    if isinstance(value, tuple | list):
        return [_without_none(item) for item in value]
    return value


def test_no_error_of_a_bundle_tells_of_the_patient() -> None:
    report = to_fhir(reviewed(examiner=None))
    with pytest.raises(Exception, match="examiner") as raised:
        report.bundle("document")
    for fact in ("P-4711", "Mustersfrau", "e-1"):
        assert fact not in str(raised.value)


def test_our_extensions_never_change_the_meaning_of_an_element() -> None:
    # A modifier extension must be understood by whoever reads the resource; none of ours has to be.
    for release in ("R4", "R5"):
        assert not any("modifierExtension" in one for one in objects(resources(release)))
    assert all(one.url.startswith("https://dermreport.example/fhir/StructureDefinition/") for one in Extension)
