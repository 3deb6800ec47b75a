"""What contradicts itself, is less settled than its report, was stopped or is missing never reassures."""

from __future__ import annotations

import copy
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from examples_output import ENTRIES
from received import FORMATS, Json, about, bundle_of, from_a_server, read, resources, rules

import dermreport
from dermreport.fhir.read import Reading, from_fhir
from dermreport.fhir.read.contradictions import is_contradictory
from dermreport.fhir.read.resources import urgency_differs
from dermreport.fhir.releases import Release, shape_of
from dermreport.fhir.write import to_json, to_xml
from dermreport.vocabulary.summaries import Summary
from dermreport.vocabulary.term import Term
from dermreport.vocabulary.urgencies import Urgency

PRESENCE = "https://dermreport.example/fhir/CodeSystem/presence"
ABSENT_REASON = "http://terminology.hl7.org/CodeSystem/data-absent-reason"
INTERPRETATION = "http://terminology.hl7.org/CodeSystem/v3-ObservationInterpretation"
SNOMED = "http://snomed.info/sct"
USUAL = json.loads((Path(__file__).parent.parent / "examples" / "usual.json").read_text(encoding="utf-8"))
#: The examples of one lesion each.
RECORDS = [path for path in ENTRIES if "lesions" not in json.loads(path.read_bytes())]
#: A sign that scores rest on, said to be absent.
VEIL = {"structure": "blue-white-veil", "presence": "absent", "views": ["v1"]}
PRIORITIES = {one.value: one.fhir_priority for one in Urgency}
REFERRAL = {"key": "a2", "action": "refer-suspected-cancer", "urgency": "urgent"}


def entered(**changes: Any) -> dermreport.Examination:
    return dermreport.Examination.from_json(json.dumps(copy.deepcopy(USUAL) | changes))


def harmless() -> dermreport.Examination:
    """Return an examination in which nothing suspicious was found, with one finding that is absent."""
    return entered(findings=[*USUAL["findings"], VEIL])


def referred(*more: Json) -> dermreport.Examination:
    return entered(plan=USUAL["plan"] | {"actions": [REFERRAL, *more]})


REASSURES = {"complete", "no-suspicious-feature-found", "seven-point-revised"}


def settled(reading: Reading) -> list[str]:
    """Return what of a reading reassures."""
    assert reading.examination is not None
    review = dermreport.review(reading.examination)
    below = [code for code, one in review.scores.items() if one.settled and one.verdict == "below-threshold"]
    reassures = [*below, *([] if review.has_errors else ["complete"])]
    return [*reassures, *([review.summary.value] if review.summary is Summary.NO_SUSPICIOUS_FEATURE_FOUND else [])]


def test_the_record_changed_below_reassures_as_it_stands() -> None:
    # Else the tests below would pass whatever is read.
    reading = read(bundle_of(harmless()))
    assert reading.issues == ()
    assert set(settled(reading)) >= REASSURES


# What says two things


def codings(resource: Json) -> list[Json]:
    found: list[Json] = resource["valueCodeableConcept"]["coding"]
    return found


def interpreted(code: str) -> list[Json]:
    return [{"coding": [{"system": INTERPRETATION, "code": code}]}]


OURS_PRESENT = {"system": PRESENCE, "code": "present", "display": "present"}
#: SNOMED CT 52101004 Present and 373066001 Yes, of the international edition's qualifier values.
CONTRADICTIONS: dict[str, Callable[[Json], object]] = {
    "both of ours": lambda one: codings(one).append(OURS_PRESENT),
    "both of ours, the other first": lambda one: codings(one).insert(0, OURS_PRESENT),
    "a standard code of the other answer": lambda one: codings(one).append({"system": SNOMED, "code": "52101004"}),
    "a standard code of yes": lambda one: codings(one).append({"system": SNOMED, "code": "373066001"}),
    "the words of the other answer": lambda one: one["valueCodeableConcept"].update(text="Present"),
    "the display of the other answer": lambda one: codings(one)[0].update(display="present"),
    "a text as well": lambda one: one.update(valueString="present"),
    "a truth value as well": lambda one: one.update(valueBoolean=True),
    "a reason why there is no value": lambda one: one.update(
        dataAbsentReason={"coding": [{"system": ABSENT_REASON, "code": "not-performed"}]}
    ),
    "interpreted as found": lambda one: one.update(interpretation=interpreted("POS")),
    "interpreted as nobody here knows": lambda one: one.update(interpretation=interpreted("of-tomorrow")),
    "another structure as well": lambda one: one["code"]["coding"].insert(
        0, {"system": "https://dermreport.example/fhir/CodeSystem/structure", "code": "pseudopods"}
    ),
}


@pytest.mark.parametrize("form", FORMATS)
@pytest.mark.parametrize("name", CONTRADICTIONS)
def test_a_finding_that_contradicts_itself_is_not_absent(name: str, form: str) -> None:
    bundle = bundle_of(harmless())
    CONTRADICTIONS[name](about(bundle, "blue-white-veil"))
    reading = from_fhir(to_json(bundle) if form == "json" else to_xml(bundle))
    assert {"read-contradiction", "entry-list-undone"} <= set(rules(reading))
    assert reading.examination is not None
    assert VEIL["structure"] not in [one.structure for one in reading.examination.findings]
    assert not REASSURES & set(settled(reading))
    # What was received is kept, and whoever is sent it again isn't reassured either.
    report = dermreport.to_fhir(dermreport.review(reading.examination), foreign=reading.foreign)
    again = from_fhir(report.bundle("collection").to_json())
    assert not {"complete", "no-suspicious-feature-found"} & set(settled(again))


@pytest.mark.parametrize("snomed", [True, False])
@pytest.mark.parametrize("release", ["R4", "R5"])
def test_no_term_of_ours_contradicts_itself_as_it_is_sent(release: str, snomed: object) -> None:
    concepts = shape_of(Release(release)).codes(dermreport.Settings(snomed=snomed is True))
    for table in Term.__subclasses__():
        assert [term for term in table if is_contradictory(concepts.concept(term))] == []


#: What means the same, or says nothing against it: 2667000 is SNOMED CT's Absent.
AGREEING: dict[str, Callable[[Json], object]] = {
    "its own standard code": lambda one: codings(one).append({"system": SNOMED, "code": "2667000"}),
    "a local code": lambda one: codings(one).append({"system": "https://other.example/codes", "code": "ABS"}),
    "interpreted as not found": lambda one: one.update(interpretation=interpreted("NEG")),
    "an extension on a value": lambda one: one.update(
        _valueString={"extension": [{"url": "https://other.example/x", "valueString": "x"}]}
    ),
}


@pytest.mark.parametrize("name", AGREEING)
def test_a_translation_of_an_answer_is_no_contradiction(name: str) -> None:
    bundle = bundle_of(harmless())
    AGREEING[name](about(bundle, "blue-white-veil"))
    assert read(bundle).examination == harmless()
    assert rules(read(bundle)) == []


def test_a_finding_that_is_present_and_interpreted_as_not_found_contradicts_itself() -> None:
    bundle = bundle_of(harmless())
    about(bundle, "network-typical")["interpretation"] = interpreted("NEG")
    assert "read-contradiction" in rules(read(bundle))
    about(bundle, "network-typical")["interpretation"] = interpreted("POS")
    assert rules(read(bundle)) == []


@pytest.mark.parametrize("path", RECORDS, ids=lambda path: path.stem)
def test_a_statement_with_two_values_is_neither(path: Path) -> None:
    """Every Observation with a coded value, whatever it is about, with a text beside it."""
    bundle = bundle_of(dermreport.Examination.from_json(path.read_bytes()))
    told = [one for one in resources(bundle, "Observation") if "valueCodeableConcept" in one]
    for one in told:
        one["valueString"] = "otherwise"
    reading = read(bundle)
    assert len([one for one in reading.issues if one.rule == "read-contradiction"]) == len(told) > 0
    # How the lesion feels is a detail, which still has one value: what is soft isn't firm.
    lesion = json.loads(path.read_bytes()).get("lesion") or {}
    soft = (lesion.get("palpation") or {}).get("consistency") == "soft"
    assert settled(reading) == (["elevated-firm-growing"] if soft else [])


def test_a_detail_with_two_values_is_set_aside() -> None:
    bundle = bundle_of(harmless())
    component = about(bundle, "network-typical")["component"][0]
    component["valueString"] = "otherwise"
    assert "read-contradiction" in rules(read(bundle))
    assert not REASSURES & set(settled(read(bundle)))


def test_a_list_that_says_itself_that_something_is_there_makes_nothing_absent() -> None:
    bundle = bundle_of(harmless())
    gone_through = about(bundle, "list-gone-through")
    component = next(one for one in gone_through["component"] if one["code"]["coding"][0]["code"] == "pseudopods")
    component["valueCodeableConcept"]["coding"] = [OURS_PRESENT]
    component["valueCodeableConcept"]["text"] = "present"
    reading = read(bundle)
    assert "read-list-differs" in rules(reading)
    assert reading.examination is not None
    assert reading.examination.lists_gone_through == ()
    assert not {"complete", "no-suspicious-feature-found"} & set(settled(reading))


# What is less settled than its report


#: FHIR R4 and R5, value set observation-status, but for those of what is finished or entered in error; and none.
UNSETTLED = ["registered", "preliminary", "cancelled", "unknown", "specimen-in-process", "of-tomorrow", None]


@pytest.mark.parametrize("status", UNSETTLED)
@pytest.mark.parametrize("code", ["blue-white-veil", "view", "list-gone-through"])
def test_a_part_of_another_status_does_not_reassure(code: str, status: str | None) -> None:
    bundle = bundle_of(harmless())
    about(bundle, code)["status"] = status
    reading = read(bundle)
    assert "read-part-status" in rules(reading)
    assert reading.examination is not None
    assert VEIL["structure"] not in [one.structure for one in reading.examination.findings] or code != VEIL["structure"]
    assert reading.examination.lists_gone_through == ()
    assert not REASSURES & set(settled(reading))


@pytest.mark.parametrize("status", ["cancelled", "registered"])
def test_what_alarms_is_read_whatever_its_status(status: str) -> None:
    seen = dermreport.Examination.from_json(json.dumps(USUAL | {"findings": [VEIL | {"presence": "present"}]}))
    bundle = bundle_of(seen)
    about(bundle, "blue-white-veil")["status"] = status
    reading = read(bundle)
    assert reading.examination is not None
    assert [one.presence.value for one in reading.examination.findings] == ["present"]
    assert "read-part-status" in rules(reading)


@pytest.mark.parametrize("status", ["final", "amended", "corrected", "appended"])
def test_a_part_that_is_finished_is_as_settled_as_its_report(status: str) -> None:
    bundle = bundle_of(harmless())
    about(bundle, "blue-white-veil")["status"] = status
    assert rules(read(bundle)) == []


@pytest.mark.parametrize("status", ["registered", "partial", "modified", "cancelled", "unknown", None])
def test_a_report_that_is_not_finished_does_not_reassure(status: str | None) -> None:
    bundle = bundle_of(harmless())
    resources(bundle, "DiagnosticReport")[0]["status"] = status
    reading = read(bundle)
    assert "read-report-status" in rules(reading)
    assert not {"complete", "no-suspicious-feature-found"} & set(settled(reading))


def test_a_document_that_was_called_off_does_not_reassure() -> None:
    made = entered(examiner={"reference": "Practitioner/1"}, recorded="2026-03-04T10:15:00+01:00")
    bundle = bundle_of(made, kind="document")
    assert rules(read(bundle)) == []
    bundle["entry"][0]["resource"]["status"] = "cancelled"
    assert "read-part-status" in rules(read(bundle))
    assert not REASSURES & set(settled(read(bundle)))


@pytest.mark.parametrize("changes", [{"active": False}, {"deceasedBoolean": True}, {"link": [{"type": "replaced-by"}]}])
def test_a_patient_whose_record_is_out_of_use_is_said_and_no_value_is(changes: Json) -> None:
    bundle = from_a_server(
        bundle_of(entered(patient={"identifiers": [{"value": "1", "system": "urn:x:y"}]}), kind="transaction")
    )
    resources(bundle, "Patient")[0].update(changes)
    reading = read(bundle)
    (issue,) = reading.issues
    assert (issue.rule, issue.parameters) == ("read-out-of-use", ())


def test_advice_that_was_not_given_is_not_read_as_given() -> None:
    made = entered(plan=USUAL["plan"] | {"safety_net": {"watch_for": "bleeding"}})
    bundle = bundle_of(made)
    resources(bundle, "Communication")[0]["status"] = "not-done"
    reading = read(bundle)
    assert "read-part-status" in rules(reading)
    assert reading.examination is not None
    assert reading.examination.plan is not None
    assert reading.examination.plan.safety_net is None


# What is missing


def without(bundle: Json, *kinds: str) -> Json:
    kept = [entry for entry in bundle["entry"] if entry["resource"]["resourceType"] not in kinds]
    return bundle | {"entry": kept}


@pytest.mark.parametrize("release", ["R4", "R5"])
@pytest.mark.parametrize("kind", ["ServiceRequest", "Communication", "DetectedIssue"])
def test_what_points_to_the_report_and_is_missing_is_said(kind: str, release: str) -> None:
    plan = {
        "actions": [REFERRAL],
        "safety_net": {"watch_for": "bleeding"},
        "departures": [{"key": "d", "departs_from": "three-point", "reason": "because"}],
    }
    bundle = bundle_of(entered(plan=plan), release)
    assert "read-part-missing" not in rules(read(bundle))
    reading = read(without(bundle, kind))
    (issue,) = [one for one in reading.issues if one.rule == "read-part-missing"]
    assert ".extension[" in issue.path
    assert settled(reading)[-1:] != ["no-suspicious-feature-found"]
    assert "complete" not in settled(reading)


def test_a_lost_urgent_referral_leaves_the_reading_open() -> None:
    bundle = without(bundle_of(referred()), "ServiceRequest")
    reading = read(bundle)
    assert rules(reading) == ["read-part-missing", "read-summary-differs"]
    (issue,) = [one for one in reading.issues if one.rule == "read-summary-differs"]
    assert issue.parameters == (("sent", "suspicious"), ("computed", "not-settled"))
    # So is one of a sender that doesn't name its requests in the report.
    for report in resources(bundle, "DiagnosticReport"):
        report["extension"] = [one for one in report["extension"] if not one["url"].endswith("/planned")]
    reading = read(bundle)
    assert rules(reading) == ["read-summary-differs"]
    assert {"complete", "no-suspicious-feature-found"}.isdisjoint(settled(reading))


@pytest.mark.parametrize(
    ("sent", "rule"),
    [
        (["suspicious"], "read-summary-differs"),
        (["not-settled"], "read-summary-differs"),
        (["no-suspicious-feature-found", "suspicious"], "read-summary-differs"),
        (["no-suspicious-feature-found"], None),
        (["of-tomorrow"], None),
        ([], None),
    ],
    ids=str,
)
def test_the_graver_conclusion_counts(sent: list[str], rule: str | None) -> None:
    bundle = bundle_of(harmless())
    system = "https://dermreport.example/fhir/CodeSystem/summary"
    (report,) = resources(bundle, "DiagnosticReport")
    report["conclusionCode"] = [{"coding": [{"system": system, "code": code}]} for code in sent]
    reading = read(bundle)
    assert rules(reading) == ([] if rule is None else [rule])
    assert ("complete" in settled(reading)) is (rule is None)


def test_a_conclusion_that_is_graver_here_is_said_and_stands() -> None:
    bundle = bundle_of(referred())
    (concept,) = resources(bundle, "DiagnosticReport")[0]["conclusionCode"]
    concept["coding"][0] |= {"code": "no-suspicious-feature-found", "display": "no suspicious feature found"}
    concept["text"] = "no suspicious feature found"
    reading = read(bundle)
    assert rules(reading) == ["read-summary-graver"]
    assert reading.examination is not None
    assert dermreport.review(reading.examination).summary is Summary.SUSPICIOUS


def test_a_referral_entered_in_error_that_the_report_still_names_is_said() -> None:
    bundle = bundle_of(referred())
    resources(bundle, "ServiceRequest")[0]["status"] = "entered-in-error"
    reading = read(bundle)
    assert rules(reading) == ["read-part-withdrawn", "read-summary-differs"]


# What became of a request


def planned(reading: Reading) -> list[tuple[str, Any, Any]]:
    assert reading.examination is not None
    assert reading.examination.plan is not None
    return [(one.key, one.action, one.urgency) for one in reading.examination.plan.actions]


def sent_again(reading: Reading) -> tuple[list[Json], list[str]]:
    assert reading.examination is not None
    report = dermreport.to_fhir(dermreport.review(reading.examination), foreign=reading.foreign)
    left_out = [one.rule for one in report.left_out if ".text" not in one.path]
    return resources(report.bundle("collection").to_dict(), "ServiceRequest"), left_out


#: FHIR R4 and R5: request-status, request-intent, and doNotPerform, all of them isModifier elements of ServiceRequest.
STOPPED: list[Json] = [
    *({"status": status} for status in ("draft", "on-hold", "revoked", "unknown", "of-tomorrow", None)),
    *({"intent": intent} for intent in ("proposal", "option", None)),
    {"doNotPerform": True},
    {"doNotPerform": "true"},
]


@pytest.mark.parametrize("release", ["R4", "R5"])
@pytest.mark.parametrize("changes", STOPPED, ids=str)
def test_a_request_that_somebody_stopped_stays_planned_and_is_said(changes: Json, release: str) -> None:
    bundle = bundle_of(referred(), release)
    resources(bundle, "ServiceRequest")[0].update(changes)
    reading = read(bundle)
    assert rules(reading) == ["read-request-stopped"]
    assert planned(reading) == [("a2", "refer-suspected-cancer", "urgent")]
    assert reading.examination is not None
    assert dermreport.review(reading.examination).summary is Summary.SUSPICIOUS
    (request,), left_out = sent_again(reading)
    assert (request["status"], request["intent"], request["priority"]) == ("active", "plan", "urgent")
    assert "doNotPerform" not in request
    # That what goes out again is otherwise than what was received is said.
    assert left_out == (["read-not-sent"] if "doNotPerform" in changes else ["read-own-sent"])


@pytest.mark.parametrize("changes", [{"status": "completed"}, {"doNotPerform": False}, {"intent": "order"}], ids=str)
def test_a_request_that_goes_on_is_no_issue(changes: Json) -> None:
    bundle = bundle_of(referred())
    resources(bundle, "ServiceRequest")[0].update(changes)
    assert rules(read(bundle)) == []


@pytest.mark.parametrize(
    ("entered_as", "priority", "expected", "said"),
    [
        ("urgent", "stat", "immediate", True),
        ("urgent", "asap", "same-visit", True),
        ("urgent", "routine", "urgent", True),
        ("routine", "urgent", "urgent", True),
        ("soon", "urgent", "soon", False),
        ("none", "routine", "none", False),
    ],
)
def test_the_more_urgent_of_two_priorities_is_read(entered_as: str, priority: str, expected: str, said: object) -> None:
    bundle = bundle_of(entered(plan={"actions": [REFERRAL | {"urgency": entered_as}]}))
    (request,) = resources(bundle, "ServiceRequest")
    request["priority"] = priority
    reading = read(bundle)
    assert ("read-urgency-differs" in rules(reading)) is said
    assert planned(reading) == [("a2", "refer-suspected-cancer", expected)]
    (again,), _ = sent_again(reading)
    ranks = ["routine", "urgent", "asap", "stat"]
    assert ranks.index(again["priority"]) >= max(ranks.index(priority), ranks.index(PRIORITIES[entered_as]))
    assert not urgency_differs(again)


def test_of_two_steps_in_one_request_the_referral_is_read() -> None:
    bundle = bundle_of(referred())
    system = "https://dermreport.example/fhir/CodeSystem/plan-action"
    reassure = {"system": system, "code": "reassure-with-advice"}
    for position in (0, 1):
        changed = copy.deepcopy(bundle)
        resources(changed, "ServiceRequest")[0]["code"]["coding"].insert(position, reassure)
        reading = read(changed)
        assert "read-contradiction" in rules(reading)
        assert planned(reading) == [("a2", "refer-suspected-cancer", "urgent")]


# What a server takes out


def stripped(value: Any) -> Any:
    """Return JSON without extensions, as a server gives it back that keeps none."""
    if isinstance(value, dict):
        return {name: stripped(item) for name, item in value.items() if name != "extension"}
    return [stripped(item) for item in value] if isinstance(value, list) else value


@pytest.mark.parametrize("release", ["R4", "R5"])
def test_a_request_without_extensions_is_read_by_code_priority_and_number(release: str) -> None:
    window = {"earliest": "2026-03-10", "latest": "2026-03-20"}
    sent = referred(
        REFERRAL | {"key": "a3", "urgency": "immediate", "date": "2026-03-05"}, REFERRAL | {"key": "a4"} | window
    )
    bundle = bundle_of(sent, release)
    for entry in bundle["entry"]:
        if entry["resource"]["resourceType"] == "ServiceRequest":
            entry["resource"] = stripped(entry["resource"])
    reading = read(bundle)
    assert rules(reading) == ["read-extension-missing"]
    assert reading.examination is not None
    assert reading.examination.to_json() == sent.to_json()
    requests, _ = sent_again(reading)
    assert [one["identifier"] for one in requests] == [one["identifier"] for one in resources(bundle, "ServiceRequest")]


def test_a_request_without_its_number_too_is_read_all_the_same() -> None:
    bundle = bundle_of(referred())
    (request,) = resources(bundle, "ServiceRequest")
    del request["extension"], request["identifier"]
    assert planned(read(bundle)) == [("received-1", "refer-suspected-cancer", "urgent")]
    # Nor does it need the group's number, where it points to the report.
    del request["requisition"]
    assert planned(read(bundle)) == [("received-1", "refer-suspected-cancer", "urgent")]


@pytest.mark.parametrize("path", RECORDS, ids=lambda path: path.stem)
def test_no_step_is_lost_on_a_server_that_keeps_no_extension(path: Path) -> None:
    sent = dermreport.Examination.from_json(path.read_bytes())
    bundle = bundle_of(sent)
    # An examination known by a UUID alone has items known by UUIDs, from which no key can be had.
    keyed = sent.identifier.system is not None
    wanted = (
        [(one.key, one.action, one.urgency.fhir_priority if one.urgency else "") for one in sent.plan.actions]
        if sent.plan
        else []
    )
    all_but_report = copy.deepcopy(bundle)
    for entry in all_but_report["entry"]:
        if entry["resource"]["resourceType"] != "DiagnosticReport":
            entry["resource"] = stripped(entry["resource"])
    for received in (stripped(bundle), all_but_report):
        reading = read(received)
        assert reading.examination is not None
        plan = reading.examination.plan
        found = (
            [(one.key, one.action, one.urgency.fhir_priority if one.urgency else "") for one in plan.actions]
            if plan
            else []
        )
        assert sorted(one[not keyed :] for one in found) == sorted(one[not keyed :] for one in wanted)
        assert "read-extension-missing" in rules(reading)
        sent_summary, read_summary = dermreport.review(sent).summary, dermreport.review(reading.examination).summary
        assert read_summary is not Summary.NO_SUSPICIOUS_FEATURE_FOUND
        if sent_summary is Summary.SUSPICIOUS and read_summary is not Summary.SUSPICIOUS:
            assert "read-summary-differs" in rules(reading)


# The same in a report of another system


def foreign(**changes: Any) -> Reading:
    code = {"coding": [{"system": "https://dermreport.example/fhir/CodeSystem/structure", "code": "blue-white-veil"}]}
    seen: Json = {"resourceType": "Observation", "id": "a", "status": "final", "code": code}
    seen |= {"valueCodeableConcept": {"coding": [{"system": PRESENCE, "code": "absent"}]}} | changes
    report = {
        "resourceType": "DiagnosticReport",
        "identifier": [{"system": "https://other.example/reports", "value": "R-1"}],
        "status": "final",
        "code": {"text": "report"},
        "subject": {"reference": "Patient/9"},
        "effectiveDateTime": "2026-01-02",
        "contained": [seen],
        "result": [{"reference": "#a"}],
    }
    return from_fhir(report)


@pytest.mark.parametrize(
    ("changes", "rule"),
    [
        ({"valueString": "present"}, "read-contradiction"),
        (
            {"valueCodeableConcept": {"coding": [{"system": PRESENCE, "code": "absent"}, OURS_PRESENT]}},
            "read-contradiction",
        ),
        ({"interpretation": interpreted("POS")}, "read-contradiction"),
        ({"status": "cancelled"}, "read-part-status"),
        ({"status": "preliminary"}, "read-part-status"),
    ],
    ids=str,
)
def test_a_finding_of_another_system_that_is_unsettled_is_kept_as_words(changes: Json, rule: str) -> None:
    plain = foreign().examination
    assert plain is not None
    assert [one.presence.value for one in plain.findings] == ["absent"]
    reading = foreign(**changes)
    assert rule in rules(reading)
    assert reading.examination is not None
    assert reading.examination.findings == ()
    assert reading.examination.note


def test_standard_codes_of_two_answers_mean_neither() -> None:
    both = [{"system": SNOMED, "code": code} for code in ("2667000", "52101004")]
    for codes in (both, both[::-1]):
        reading = foreign(valueCodeableConcept={"coding": codes})
        assert reading.examination is not None
        assert reading.examination.findings == ()


# Whom a part is about

OTHER_NUMBER = {"system": "https://clinic.example/patients", "value": "of-another"}
UNKNOWN_PATIENT = {"resourceType": "Patient", "id": "p", "name": [{"family": "Other"}]}
LIST: Json = {
    "resourceType": "List",
    "status": "current",
    "mode": "working",
    "subject": {"reference": "Patient/p-1042"},
}


def with_subject(**subject: Any) -> Callable[[Json], object]:
    def change(bundle: Json) -> None:
        about(bundle, "concern")["subject"] = subject

    return change


def contained(patient: Json) -> Callable[[Json], object]:
    def change(bundle: Json) -> None:
        about(bundle, "concern").update(contained=[patient], subject={"reference": "#p"})

    return change


def added(resource: Json) -> Callable[[Json], object]:
    def change(bundle: Json) -> None:
        address = "urn:uuid:11111111-1111-4111-8111-111111111112"
        bundle["entry"].append({"fullUrl": address, "resource": copy.deepcopy(resource)})

    return change


def observed_within(subject: Json) -> Json:
    inside = {"resourceType": "Observation", "id": "q", "status": "final", "code": {"text": "x"}, "subject": subject}
    return LIST | {"contained": [inside], "entry": [{"item": {"reference": "#q"}}]}


def lab_of(subject: Json) -> Json:
    return {"resourceType": "Observation", "status": "final", "code": {"text": "x"}, "subject": subject}


TWO_PATIENTS = {
    "another number beside the same address": with_subject(reference="Patient/p-1042", identifier=OTHER_NUMBER),
    "another number alone": with_subject(identifier=OTHER_NUMBER),
    "another address": with_subject(reference="Patient/p-9999"),
    "a contained patient with another number": contained(UNKNOWN_PATIENT | {"identifier": [OTHER_NUMBER]}),
    "another's Observation in a list": added(observed_within({"reference": "Patient/p-9999"})),
}
UNCLEAR = {
    "words only": with_subject(display="Otto OTHER, born 1950"),
    "a group": with_subject(reference="Group/ward-7"),
    "called a group": with_subject(identifier={"value": "7"}, type="Group"),
    "a number without a value": with_subject(identifier={"system": "https://clinic.example/patients"}),
    "a contained patient of whom nothing tells": contained(UNKNOWN_PATIENT),
    "nobody": lambda bundle: about(bundle, "concern").pop("subject"),
}
ONE_PATIENT = {
    "the same Observation in a list": added(observed_within({"reference": "Patient/p-1042"})),
    "the laboratory's own number": added(lab_of({"reference": "Patient/p-1042", "identifier": OTHER_NUMBER})),
    "the name beside": with_subject(reference="Patient/p-1042", display="A name"),
    "a version": with_subject(reference="Patient/p-1042/_history/2"),
}


@pytest.mark.parametrize("name", TWO_PATIENTS)
def test_two_patients_are_refused_wherever_they_stand(name: str) -> None:
    bundle = bundle_of(harmless())
    TWO_PATIENTS[name](bundle)
    reading = read(bundle)
    assert (rules(reading), reading.examinations) == (["entry-plan-not-known", "read-two-patients"], ())


@pytest.mark.parametrize("name", UNCLEAR)
def test_a_part_that_names_no_patient_is_not_read_and_nothing_reassures(name: str) -> None:
    bundle = bundle_of(harmless())
    UNCLEAR[name](bundle)
    reading = read(bundle)
    assert "read-patient-unclear" in rules(reading)
    assert REASSURES.isdisjoint(settled(reading))
    assert reading.examination is not None
    assert reading.examination.assessment is None or reading.examination.assessment.concern is None
    assert "OTHER" not in str(reading.issues)


@pytest.mark.parametrize("name", ONE_PATIENT)
def test_one_patient_is_read_however_he_is_named(name: str) -> None:
    bundle = bundle_of(harmless())
    ONE_PATIENT[name](bundle)
    reading = read(bundle)
    assert rules(reading) == []
    assert reading.examination is not None
    assert reading.examination.to_json() == harmless().to_json()


@pytest.mark.parametrize("kind", ["BodyStructure", "ServiceRequest"])
def test_what_stands_beside_names_its_patient_too_and_a_step_is_never_lost(kind: str) -> None:
    bundle = bundle_of(referred())
    for resource in resources(bundle, kind):
        resource.pop("subject", None)
        resource.pop("patient", None)
    reading = read(bundle)
    assert "read-patient-unclear" in rules(reading)
    assert planned(reading) == planned(read(bundle_of(referred())))


def test_of_a_person_with_two_numbers_one_is_enough() -> None:
    numbers = [{"system": "https://clinic.example/patients", "value": "1"}, OTHER_NUMBER]
    entry = entered(patient={"identifiers": numbers})
    for kind, chosen in (("collection", {}), ("transaction", {"persons": "match-only"})):
        bundle = bundle_of(entry, kind=kind, **chosen)
        about(bundle, "concern")["subject"] = {"type": "Patient", "identifier": OTHER_NUMBER}
        reading = read(bundle)
        assert rules(reading) == []
        assert [one.to_json() for one in reading.examinations] == [entry.to_json()]


# What somebody changed after it was written

MELANOMA = {
    "coding": [{"system": SNOMED, "code": "372244006", "display": "Malignant melanoma"}],
    "text": "changed words",
}
XHTML = 'xmlns="http://www.w3.org/1999/xhtml"'


def the_report(bundle: Json) -> Json:
    (found,) = resources(bundle, "DiagnosticReport")
    return found


def said_on(report: Json, words: str) -> str:
    return str(report["conclusion"]).replace("This supports", f"{words} This supports")


CONCLUSIONS: dict[str, Callable[[Json], object]] = {
    "another conclusion": lambda one: one.update(conclusion="Amended: changed words, excise urgently."),
    "something behind it": lambda one: one.update(conclusion=f"{one['conclusion']} Addendum: changed words."),
    "something before it": lambda one: one.update(conclusion=f"Changed words. {one['conclusion']}"),
    "something within it": lambda one: one.update(conclusion=said_on(one, "changed words.")),
    "another code": lambda one: one.update(conclusionCode=[MELANOMA]),
    "another code beside": lambda one: one["conclusionCode"].append(MELANOMA),
    "another coding beside": lambda one: one["conclusionCode"][0]["coding"].append(MELANOMA["coding"][0]),
    "other words of the code": lambda one: one["conclusionCode"][0].update(text="changed words, excise"),
    "an extension of the code": lambda one: one["conclusionCode"][0].update(
        extension=[{"url": "urn:x", "valueCode": "x"}]
    ),
}


@pytest.mark.parametrize("form", FORMATS)
@pytest.mark.parametrize("name", CONCLUSIONS)
def test_a_conclusion_that_somebody_changed_is_an_error_and_nothing_reassures(name: str, form: str) -> None:
    bundle = bundle_of(harmless())
    CONCLUSIONS[name](the_report(bundle))
    reading = from_fhir(to_json(bundle) if form == "json" else to_xml(bundle))
    assert rules(reading) == ["read-conclusion-differs"]
    assert {"complete", "no-suspicious-feature-found"}.isdisjoint(settled(reading))
    assert "words" not in str(reading.issues)
    report = dermreport.to_fhir(dermreport.review(reading.examination), foreign=reading.foreign)
    resent = "changed words" in report.bundle().to_json()
    assert resent or report.left_out or "extension" in name


@pytest.mark.parametrize("path", RECORDS, ids=lambda path: path.stem)
def test_a_conclusion_as_it_is_written_is_no_issue_under_another_pathway(path: Path) -> None:
    examined = dermreport.Examination.from_json(path.read_bytes())
    assert rules(read(bundle_of(examined, pathway=dermreport.shipped_pathway("uk-ng12")))) == []


def narrated(code: str | None, div: str, status: str = "generated") -> Callable[[Json], object]:
    def change(bundle: Json) -> None:
        resource = the_report(bundle) if code is None else about(bundle, code)
        resource["text"] = {"status": status, "div": f"<div {XHTML}>{div}</div>"}

    return change


def in_narrative(old: str, new: str) -> Callable[[Json], object]:
    def change(bundle: Json) -> None:
        for one in [the_report(bundle), about(bundle, "concern")]:
            one["text"]["div"] = one["text"]["div"].replace(old, new)

    return change


WARNED: dict[str, tuple[Callable[[Json], object], str]] = {
    "a narrative of the report": (narrated(None, "<p>a</p><p>melanoma</p>"), "read-narrative-differs"),
    "a narrative by hand": (narrated("concern", "<p>melanoma</p>", "additional"), "read-narrative-differs"),
    "a paragraph more": (in_narrative("</ul></div>", "</ul><p>x</p></div>"), "read-narrative-differs"),
    "text between": (in_narrative("</h2><ul>", "</h2>melanoma<ul>"), "read-narrative-differs"),
    "another heading": (in_narrative("<h2>Plan</h2>", "<h2>Addendum</h2>"), "read-narrative-differs"),
    "words of a code": (
        lambda bundle: about(bundle, "network-typical")["code"].update(text="changed words"),
        "read-words-differ",
    ),
    "words of a value": (
        lambda bundle: about(bundle, "concern")["valueCodeableConcept"].update(text="changed words"),
        "read-words-differ",
    ),
    "words of a detail": (
        lambda bundle: about(bundle, "view")["component"][0]["valueCodeableConcept"].update(text="changed words"),
        "read-words-differ",
    ),
    "a foreign member": (
        lambda bundle: (
            added(lab_of({"reference": "Patient/p-1042"}))(bundle),
            the_report(bundle)["result"].append({"reference": bundle["entry"][-1]["fullUrl"]}),
        ),
        "read-foreign-member",
    ),
    "a time": (
        lambda bundle: about(bundle, "network-typical").update(effectiveDateTime="2019-01-01"),
        "read-part-differs",
    ),
    "an encounter": (
        lambda bundle: about(bundle, "network-typical").update(encounter={"reference": "Encounter/z"}),
        "read-part-differs",
    ),
    "the words of the site": (
        lambda bundle: about(bundle, "network-typical")["bodySite"].update(text="changed words"),
        "read-part-differs",
    ),
    "when a step was asked": (
        lambda bundle: resources(bundle, "ServiceRequest")[0].update(authoredOn="2019-01-01"),
        "read-part-differs",
    ),
    "a part that isn't known": (
        lambda bundle: about(bundle, "view")["component"].append({"code": {"text": "words"}, "valueString": "words"}),
        "read-component-unknown",
    ),
    "a part of a newer version": (
        lambda bundle: about(bundle, "view")["component"].append(
            {"code": {"coding": [{"system": ATTRIBUTE, "code": "of-tomorrow"}]}, "valueString": "words"}
        ),
        "read-component-unknown",
    ),
}
INFORMING = {"read-part-differs", "read-component-unknown"}


@pytest.mark.parametrize("form", FORMATS)
@pytest.mark.parametrize("name", WARNED)
def test_what_somebody_changed_is_said(name: str, form: str) -> None:
    change, rule = WARNED[name]
    bundle = bundle_of(harmless())
    change(bundle)
    reading = from_fhir(to_json(bundle) if form == "json" else to_xml(bundle))
    assert rules(reading) == [rule]
    assert {one.severity.value for one in reading.issues} == {"information" if rule in INFORMING else "warning"}
    assert "words" not in str([one.path for one in reading.issues])
    assert reading.examination is not None
    assert reading.examination.to_json() == harmless().to_json()


def test_when_a_step_is_due_is_as_it_was_entered_and_another_day_is_said() -> None:
    examined = entered(plan=USUAL["plan"] | {"actions": [REFERRAL | {"date": "2026-03-10"}]})
    bundle = bundle_of(examined)
    (request,) = resources(bundle, "ServiceRequest")
    assert request["occurrenceDateTime"] == "2026-03-10"
    request["occurrenceDateTime"] = "2031-01-01"
    reading = read(bundle)
    assert rules(reading) == ["read-part-differs"]
    assert [one.to_json() for one in reading.examinations] == [examined.to_json()]


HARMLESS: dict[str, Callable[[Json], object]] = {
    "white space": in_narrative("</ul><h2>", "</ul>\n  <h2>"),
    "other escapes": in_narrative("’", "&#8217;"),
    "no narrative": lambda bundle: the_report(bundle).pop("text"),
    "an empty line": in_narrative("<li>elevation", "<li>x<br />elevation"),
    "labels": lambda bundle: the_report(bundle).update(meta={"tag": [{"system": "urn:x", "code": "y"}]}),
    "another order": lambda bundle: bundle.update(
        entry=[{**one, "resource": dict(reversed(one["resource"].items()))} for one in bundle["entry"]]
    ),
}


@pytest.mark.parametrize("name", HARMLESS)
def test_what_a_server_changes_is_no_issue(name: str) -> None:
    bundle = bundle_of(harmless())
    HARMLESS[name](bundle)
    assert rules(read(bundle)) == []


# Which lesion a part is about, and what the report doesn't refer to


def elsewhere(bundle: Json) -> None:
    about(bundle, "network-typical")["focus"] = [{"reference": "BodyStructure/other-lesion"}]


def here_and_elsewhere(bundle: Json) -> None:
    about(bundle, "network-typical")["focus"].append({"reference": "BodyStructure/other-lesion"})


def on_the_forearm(bundle: Json) -> None:
    site = {"system": SITE, "code": "forearm-extensor", "display": "outer forearm"}
    about(bundle, "network-typical")["bodySite"] = {"coding": [site]}


def on_their_forearm(bundle: Json) -> None:
    about(bundle, "network-typical")["bodySite"] = {"coding": [{"system": SNOMED, "code": "14975008"}]}


def veil_beside(bundle: Json) -> None:
    veil = copy.deepcopy(about(bundle, "network-typical"))
    veil["code"] = {"coding": [{"system": STRUCTURE, "code": "blue-white-veil"}]}
    veil["identifier"][0]["value"] += "-b"
    added(veil | {"id": "x9"})(bundle)


def veil_of_nobody(bundle: Json) -> None:
    veil_beside(bundle)
    del bundle["entry"][-1]["resource"]["identifier"]


SITE = "https://dermreport.example/fhir/CodeSystem/site"
ATTRIBUTE = "https://dermreport.example/fhir/CodeSystem/attribute"
STRUCTURE = "https://dermreport.example/fhir/CodeSystem/structure"
OF_ANOTHER = {
    "another focus": (elsewhere, "read-lesion-differs"),
    "a focus more": (here_and_elsewhere, "read-lesion-differs"),
    "another site": (on_the_forearm, "read-lesion-differs"),
    "another site by a standard's code": (on_their_forearm, "read-lesion-differs"),
    "a finding to which nothing points": (veil_beside, "read-not-linked"),
    "one without a number": (veil_of_nobody, "read-not-linked"),
}


@pytest.mark.parametrize("form", FORMATS)
@pytest.mark.parametrize("name", OF_ANOTHER)
def test_what_is_about_another_lesion_or_not_linked_never_reassures(name: str, form: str) -> None:
    change, rule = OF_ANOTHER[name]
    bundle = bundle_of(entered())
    change(bundle)
    reading = from_fhir(to_json(bundle) if form == "json" else to_xml(bundle))
    assert rule in rules(reading)
    assert REASSURES.isdisjoint(settled(reading))


VISIT = dermreport.Visit.from_json(
    (Path(__file__).parent.parent / "examples" / "visit-three-lesions.json").read_bytes()
)


def swapped(kind: str, code: str, name: str) -> Json:
    """Return the bundle of a visit in which two lesions have one another's members."""
    bundle = dermreport.to_fhir([dermreport.review(one) for one in VISIT.examinations]).bundle("collection").to_dict()
    first, second, *_ = [one for one in resources(bundle, kind) if not code or one["code"]["coding"][0]["code"] == code]
    first[name], second[name] = second[name], first[name]
    return bundle


@pytest.mark.parametrize(
    ("kind", "code", "name"), [("DiagnosticReport", "", "result"), ("Observation", "findings", "hasMember")]
)
def test_members_of_two_lesions_that_were_swapped_are_errors_in_both(kind: str, code: str, name: str) -> None:
    reading = read(swapped(kind, code, name))
    wrong = [one for one in reading.reports if "read-lesion-differs" in {issue.rule for issue in one.issues}]
    assert len(wrong) == 2
    for one in wrong:
        assert one.examination is not None
        review = dermreport.review(one.examination)
        assert review.has_errors
        assert review.summary is not Summary.NO_SUSPICIOUS_FEATURE_FOUND
        assert one.examination.lists_gone_through == ()


def test_an_earlier_examination_of_the_same_lesion_is_no_loose_part_of_the_later_one() -> None:
    earlier = entered(identifier={"system": "https://clinic.example/ids", "value": "before"}, examined="2025-03-04")
    bundle = bundle_of(entered(lesion=USUAL["lesion"] | {"identifier": {"value": LESION}}))
    other = bundle_of(
        dermreport.Examination.model_validate(
            json.loads(earlier.to_json()) | {"lesion": USUAL["lesion"] | {"identifier": {"value": LESION}}}
        )
    )
    bundle["entry"] += [one for one in other["entry"] if one["resource"]["resourceType"] == "Observation"]
    assert rules(read(bundle)) == []


LESION = "0f7c1f5e-3a61-4a53-8a4c-2f6a9d6f2d11"


# What can't be sent, followed or kept


def observed(number: int, *members: int) -> Json:
    return {
        "resourceType": "Observation",
        "status": "final",
        "code": {"text": "x"},
        "subject": {"reference": "Patient/p-1042"},
        "hasMember": [{"reference": uuid_of(member)} for member in members],
        "id": uuid_of(number).removeprefix("urn:uuid:"),
    }


def uuid_of(number: int) -> str:
    return f"urn:uuid:00000000-0000-4000-8000-{number:012d}"


def chain(length: int, *, closed: bool) -> Callable[[Json], object]:
    def change(bundle: Json) -> None:
        for number in range(length):
            members = (number + 1,) if number + 1 < length else (0,) if closed else ()
            bundle["entry"].append({"fullUrl": uuid_of(number), "resource": observed(number, *members)})

    return change


def printed(**form: str) -> Callable[[Json], object]:
    return lambda bundle: the_report(bundle).update(presentedForm=[{"contentType": "application/pdf"} | form])


UNFIT: dict[str, tuple[Callable[[Json], object], list[str]]] = {
    "an id of 64 characters": (added(observed(1) | {"id": "x" * 64, "hasMember": []}), []),
    "an id of 65 characters": (added(observed(1) | {"id": "x" * 65, "hasMember": []}), ["read-id"]),
    "a member of its own": (chain(1, closed=True), ["read-circle"]),
    "a circle of sixty": (chain(60, closed=True), ["read-circle"]),
    "a chain of sixty": (chain(60, closed=False), []),
    "base64": (printed(data="UEZN UEZN"), []),
    "no base64": (printed(data="UEZN!"), ["read-attachment-broken"]),
    "a script": (printed(url="javascript:words()"), ["read-attachment-address"]),
    "a script in disguise": (printed(url=" JavaScript :words()"), ["read-attachment-address"]),
    "a file of the reader's": (printed(url="file:///words"), ["read-attachment-address"]),
    "a file in the address": (printed(url="data:text/html,words"), ["read-attachment-address"]),
    "an address": (printed(url="https://clinic.example/file"), []),
}


@pytest.mark.parametrize("form", FORMATS)
@pytest.mark.parametrize("name", UNFIT)
def test_what_nobody_should_send_or_follow_is_said_and_not_sent_again(name: str, form: str) -> None:
    change, expected = UNFIT[name]
    bundle = bundle_of(harmless())
    change(bundle)
    reading = from_fhir(to_json(bundle) if form == "json" else to_xml(bundle))
    assert [one.rule for one in reading.issues] == expected
    assert reading.examination is not None
    assert reading.examination.to_json() == harmless().to_json()
    sent = dermreport.to_fhir(dermreport.review(reading.examination), foreign=reading.foreign).bundle().to_json()
    assert "words" not in sent
    assert "UEZN!" not in sent
    assert "x" * 65 not in sent


PASSED_OVER = {
    "as it is written": ("<status ", "<status ", []),
    "where its schema is": (
        '<Bundle xmlns="http://hl7.org/fhir"',
        (
            '<Bundle xmlns="http://hl7.org/fhir" xmlns:i="http://www.w3.org/2001/XMLSchema-instance" '
            'i:schemaLocation="a b"'
        ),
        [],
    ),
    "white space": ("<status ", "\n  <status ", []),
    "text between": ("<DiagnosticReport>", "<DiagnosticReport>melanoma", ["read-xml-passed-over"]),
    "an attribute": ("<conclusion ", '<conclusion melanoma="yes" ', ["read-xml-passed-over"]),
    "another namespace": (
        "<DiagnosticReport>",
        '<DiagnosticReport><a:language xmlns:a="urn:other" value="de"/>',
        ["read-xml-passed-over"],
    ),
}


@pytest.mark.parametrize("name", PASSED_OVER)
def test_what_xml_of_fhir_does_not_have_is_said(name: str) -> None:
    old, new, expected = PASSED_OVER[name]
    written = to_xml(bundle_of(harmless()))
    assert old in written
    reading = from_fhir(written.replace(old, new, 1))
    assert rules(reading) == expected
    assert [one.to_json() for one in reading.examinations] == [harmless().to_json()]
