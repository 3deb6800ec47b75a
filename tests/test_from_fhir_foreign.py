"""What others added is kept and sent again; what they withdrew or modified is never current; what differs is said."""

from __future__ import annotations

import copy
import json
import traceback
from pathlib import Path
from typing import Any

import pytest
from fhir_cases import FULL, SYSTEM, examination
from received import FORMATS, Json, about, bundle_of, from_a_server, read, resources, rules

import dermreport
from dermreport.fhir.foreign import Foreign, KeptKind
from dermreport.fhir.read import foreign_report, from_fhir
from dermreport.fhir.write import to_json, to_xml
from dermreport.publication import CANONICAL_BASE
from dermreport.vocabulary.mapping import standard_codes
from dermreport.vocabulary.sites import Site
from dermreport.vocabulary.standard_codes import STANDARD_CODES
from dermreport.vocabulary.statuses import Status

OTHER = "https://other.example/fhir"
XHTML = "http://www.w3.org/1999/xhtml"


def extension(value: str = "kept words") -> Json:
    return {"url": f"{OTHER}/StructureDefinition/note", "valueString": value}


def report_of(bundle: Json) -> Json:
    (found,) = resources(bundle, "DiagnosticReport")
    return found


def lab_result(bundle: Json) -> Json:
    return {
        "resourceType": "Observation",
        "id": "lab-1",
        "text": {"status": "generated", "div": f'<div xmlns="{XHTML}"><p>Lab</p></div>'},
        "identifier": [{"system": "https://lab.example/ids", "value": "77"}],
        "status": "final",
        "code": {"coding": [{"system": "http://loinc.org", "code": "2345-7"}]},
        "subject": report_of(bundle)["subject"],
        "derivedFrom": [{"reference": f"urn:uuid:{about(bundle, 'network-atypical')['id']}"}],
        "valueQuantity": {"value": 5.60, "unit": "mmol/L", "system": "http://unitsofmeasure.org", "code": "mmol/L"},
    }


def add_extensions(bundle: Json) -> None:
    report_of(bundle).setdefault("extension", []).append(extension())
    about(bundle, "network-atypical")["component"][0]["extension"] = [extension("on a component")]
    about(bundle, "network-atypical")["valueCodeableConcept"]["coding"][0]["extension"] = [extension("on a coding")]


def add_codings(bundle: Json) -> None:
    about(bundle, "network-atypical")["code"]["coding"].append({"system": f"{OTHER}/codes", "code": "n-1"})
    report_of(bundle)["identifier"].append({"system": f"{OTHER}/accession", "value": "A-9"})
    report_of(bundle)["meta"] = {"tag": [{"system": f"{OTHER}/tags", "code": "sensitive"}]}


def add_language(bundle: Json) -> None:
    report_of(bundle)["language"] = "de"
    display = about(bundle, "network-atypical")["code"]["coding"][0]
    display["_display"] = {
        "extension": [
            {
                "url": "http://hl7.org/fhir/StructureDefinition/translation",
                "extension": [{"url": "lang", "valueCode": "de"}, {"url": "content", "valueString": "Pigmentnetz"}],
            }
        ]
    }


def add_observation(bundle: Json) -> None:
    bundle["entry"].append({"fullUrl": "urn:uuid:0f7c1f5e-3a61-4a53-8a4c-2f6a9d6f2d11", "resource": lab_result(bundle)})
    report_of(bundle)["result"].append({"reference": "urn:uuid:0f7c1f5e-3a61-4a53-8a4c-2f6a9d6f2d11"})


def add_contained(bundle: Json) -> None:
    report_of(bundle)["contained"].append({"resourceType": "Organization", "id": "lab", "name": "Lab"})
    report_of(bundle)["resultsInterpreter"] = [{"reference": "#lab"}]


ADDITIONS = (add_extensions, add_codings, add_language, add_observation, add_contained)


def sent_again(reading: Any, release: str = "R4", kind: str = "collection") -> dermreport.Bundle:
    review = dermreport.review(reading.examination)
    return dermreport.to_fhir(review, release=release, foreign=reading.foreign).bundle(kind)


def pieces(foreign: Foreign) -> list[tuple[str, str]]:
    """Return what was kept: kind and content, without the ids and addresses of the sender."""

    def bare(value: Any) -> Any:
        if isinstance(value, dict):
            kept = {name: bare(item) for name, item in value.items() if name != "id" or "resourceType" not in value}
            return kept | {"reference": "within"} if str(kept.get("reference")).startswith("urn:uuid:") else kept
        return [bare(item) for item in value] if isinstance(value, list) else value

    return sorted((one.kind.value, json.dumps(bare(json.loads(one.text)), sort_keys=True)) for one in foreign.kept)


@pytest.mark.parametrize("form", FORMATS)
@pytest.mark.parametrize("release", ["R4", "R5"])
@pytest.mark.parametrize("add", ADDITIONS, ids=lambda add: add.__name__)
def test_what_others_add_is_kept_and_sent_again(add: Any, release: str, form: str) -> None:
    bundle = bundle_of(examination(), release)
    add(bundle)
    received = from_fhir(to_json(bundle) if form == "json" else to_xml(bundle))
    assert received.examination is not None
    assert received.examination.to_json() == examination().to_json()
    assert received.foreign
    assert {issue.rule for issue in received.foreign.issues} == {"read-kept"}
    assert rules(received) == (["read-foreign-member"] if add is add_observation else [])
    again = from_fhir(sent_again(received, release).to_json())
    assert pieces(again.foreign) == pieces(received.foreign)
    as_xml = from_fhir(sent_again(received, release).to_xml())
    assert pieces(as_xml.foreign) == pieces(received.foreign)
    assert as_xml.examination is not None
    assert as_xml.examination.to_json() == examination().to_json()


@pytest.mark.parametrize("add", ADDITIONS, ids=lambda add: add.__name__)
def test_what_others_add_reaches_a_server_and_comes_back(add: Any) -> None:
    bundle = bundle_of(examination())
    add(bundle)
    received = read(bundle)
    report = dermreport.to_fhir(dermreport.review(received.examination), foreign=received.foreign)
    assert report.left_out == ()
    again = read(from_a_server(report.bundle("transaction").to_dict(), seed=3))
    assert pieces(again.foreign) == pieces(received.foreign)


def test_what_the_standards_classes_refuse_is_named_by_its_entry_and_nothing_of_it_is_said() -> None:
    bundle = bundle_of(examination())
    mark = "Zaubermarke"
    bad = {"resourceType": "Observation", "status": "final", "code": {"text": mark}, "effectiveDateTime": mark}
    bundle["entry"].append({"fullUrl": "urn:uuid:7d0c6a3e-1111-4111-8111-111111111111", "resource": bad})
    sent = sent_again(read(bundle))
    assert mark in sent.to_json()
    position = next(n for n, one in enumerate(sent.to_dict()["entry"]) if mark in str(one))
    with pytest.raises(dermreport.BuildError, match=f"entry {position}$") as caught:
        sent.typed()
    assert mark not in "".join(traceback.format_exception(caught.value))


def test_what_others_add_stands_in_the_standards_order() -> None:
    # The reference classes of fhir.resources know the order of elements.
    from fhir.resources.R4B.diagnosticreport import DiagnosticReport

    bundle = bundle_of(examination())
    for add in ADDITIONS:
        add(bundle)
    report = report_of(sent_again(read(bundle)).to_dict())
    order = [name for name in DiagnosticReport.elements_sequence() if name in report]
    assert [name for name in report if name != "resourceType"] == order
    typed = sent_again(read(bundle)).typed()
    assert len(typed.entry) == len(bundle["entry"])


def test_without_foreign_nothing_of_others_is_sent() -> None:
    bundle = bundle_of(examination())
    add_observation(bundle)
    received = read(bundle)
    plain = dermreport.to_fhir(dermreport.review(received.examination)).bundle("collection")
    assert plain.to_json() == dermreport.to_fhir(dermreport.review(examination())).bundle("collection").to_json()


def test_foreign_is_unchangeable_and_shares_nothing() -> None:
    bundle = bundle_of(examination())
    add_extensions(bundle)
    received = read(bundle)
    before = received.foreign.kept
    report_of(bundle)["extension"][-1]["valueString"] = "changed later"
    for one in before:
        if one.text.startswith("{"):
            one.value()["valueString"] = "changed later"
    assert "changed later" not in "".join(one.text for one in received.foreign.kept)
    with pytest.raises(AttributeError):
        received.foreign.kept = ()
    assert "kept words" not in repr(received)
    assert "kept words" not in repr(received.foreign)


def test_a_later_revision_still_carries_what_others_added() -> None:
    bundle = bundle_of(examination())
    add_extensions(bundle)
    add_observation(bundle)
    received = read(bundle)
    assert received.examination is not None
    later = received.examination.model_copy(update={"revision": 2, "note": "more"})
    report = dermreport.to_fhir(dermreport.review(later), foreign=received.foreign)
    again = read(report.bundle("transaction").to_dict())
    assert pieces(again.foreign) == pieces(received.foreign)


def test_what_stood_in_something_that_is_gone_is_said_and_not_sent() -> None:
    bundle = bundle_of(examination())
    about(bundle, "network-atypical")["component"][0]["extension"] = [extension("on a component")]
    received = read(bundle)
    assert received.examination is not None
    without = received.examination.model_copy(update={"findings": ()})
    report = dermreport.to_fhir(dermreport.review(without), foreign=received.foreign)
    assert [issue.rule for issue in report.left_out] == ["read-not-sent"]
    assert "read-not-sent" in json.dumps(report.outcome())
    assert "on a component" not in report.bundle("collection").to_json()


def test_what_the_other_release_has_no_place_for_is_said() -> None:
    bundle = bundle_of(examination())
    bundle["entry"].append(
        {
            "fullUrl": "urn:uuid:0f7c1f5e-3a61-4a53-8a4c-2f6a9d6f2d12",
            "resource": {
                "resourceType": "Media",
                "identifier": [{"system": f"{OTHER}/media", "value": "1"}],
                "status": "completed",
                "subject": report_of(bundle)["subject"],
                "content": {"url": "https://images.example/9"},
            },
        }
    )
    received = read(bundle)
    review = dermreport.review(received.examination)
    assert dermreport.to_fhir(review, release="R4", foreign=received.foreign).left_out == ()
    r5 = dermreport.to_fhir(review, release="R5", foreign=received.foreign)
    assert [issue.rule for issue in r5.left_out] == ["read-not-sent"]
    back = from_fhir(r5.bundle("collection").to_xml())
    assert back.examination is not None
    assert back.examination.to_json() == examination().to_json()


def test_people_of_the_host_are_kept_and_never_sent_by_us() -> None:
    bundle = bundle_of(examination(), kind="transaction")
    received = from_a_server(bundle)
    (patient,) = resources(received, "Patient")
    patient["identifier"] = [{"system": "https://server.example/ids", "value": "9"}]
    reading = read(received)
    assert [one.resource_type for one in reading.foreign.kept] == ["Patient"]
    report = dermreport.to_fhir(dermreport.review(reading.examination), foreign=reading.foreign)
    assert [issue.rule for issue in report.left_out] == ["read-not-sent"]
    assert "https://server.example/ids" not in report.bundle("transaction").to_json()


def test_a_foreign_resource_without_a_number_is_put_at_one_place_each_time() -> None:
    bundle = bundle_of(examination())
    result = lab_result(bundle)
    del result["identifier"]
    bundle["entry"].append({"fullUrl": "https://server.example/fhir/Observation/lab-1", "resource": result})
    received = read(bundle)
    sent = [sent_again(received, kind="transaction").to_dict()["entry"][-1] for _ in range(2)]
    assert sent[0] == sent[1]
    assert sent[0]["request"]["method"] == "PUT"
    assert sent[0]["request"]["url"].removeprefix("Observation/") == sent[0]["resource"]["id"]


# Modifiers and what was entered in error


def modified(resource: Json) -> None:
    resource["modifierExtension"] = [{"url": f"{OTHER}/StructureDefinition/negated", "valueBoolean": True}]


@pytest.mark.parametrize("form", FORMATS)
def test_an_unknown_modifier_stops_the_reading_of_that_resource(form: str) -> None:
    bundle = bundle_of(examination())
    modified(about(bundle, "network-atypical"))
    received = from_fhir(to_json(bundle) if form == "json" else to_xml(bundle))
    assert received.examination is not None
    assert "network-atypical" not in [one.structure for one in received.examination.findings]
    assert received.examination.lists_gone_through == ()
    assert {"read-modifier", "entry-list-undone"} <= set(rules(received))
    # So is the list, which doesn't hold without that finding.
    kept = [one for one in received.foreign.kept if one.kind is KeptKind.RESOURCE]
    assert ["negated" in one.text for one in kept] == [False, True]
    assert dermreport.review(received.examination).has_errors


@pytest.mark.parametrize("where", ["component", "report", "bundle", "entry", "rules"])
def test_a_modifier_anywhere_is_heard(where: str) -> None:
    bundle = bundle_of(examination())
    finding = about(bundle, "network-atypical")
    if where == "component":
        modified(finding["component"][0])
    elif where == "report":
        modified(report_of(bundle))
    elif where == "bundle":
        bundle["implicitRules"] = f"{OTHER}/rules"
    elif where == "entry":
        modified(bundle["entry"][0])
    else:
        finding["implicitRules"] = f"{OTHER}/rules"
    received = read(bundle)
    assert "read-modifier" in rules(received)
    if where in {"component", "rules"}:
        assert received.examination is not None
        assert "network-atypical" not in [one.structure for one in received.examination.findings]
    else:
        assert received.examinations == ()


def test_a_modifier_in_a_composition_stops_the_document() -> None:
    bundle = bundle_of(examination(), kind="document")
    modified(bundle["entry"][0]["resource"])
    assert read(bundle).examinations == ()


def test_a_finding_entered_in_error_is_not_read_and_absent_neither() -> None:
    bundle = bundle_of(examination())
    about(bundle, "network-atypical")["status"] = "entered-in-error"
    received = read(bundle)
    assert received.examination is not None
    assert "network-atypical" not in [one.structure for one in received.examination.findings]
    assert received.examination.lists_gone_through == ()
    assert {"read-part-withdrawn", "entry-list-undone"} <= set(rules(received))
    assert [one.withdrawn for one in received.foreign.kept if one.kind is KeptKind.RESOURCE] == [False, True]
    # What is kept and sent again is never taken for the record's own later.
    again = from_fhir(sent_again(received).to_json())
    assert again.examination is not None
    assert again.examination.to_json() == received.examination.to_json()


def test_what_a_revision_withdrew_is_not_current() -> None:
    former = dermreport.review(examination())
    later = dermreport.review(examination(revision=2, findings=FULL["findings"][1:], status="amended"))
    bundle = dermreport.to_fhir(later, earlier=former).bundle("transaction").to_dict()
    received = read(bundle)
    assert received.examination is not None
    assert received.examination.to_json() == later.examination.to_json()
    assert rules(received) == ["read-withdrawn"]
    assert [one.withdrawn for one in received.foreign.kept] == [True]


def test_a_report_entered_in_error_is_read_as_that_whoever_said_so() -> None:
    bundle = bundle_of(examination())
    report_of(bundle)["status"] = "entered-in-error"
    received = read(bundle)
    assert received.examination is not None
    assert received.examination.status == "entered-in-error"
    assert not received.reports[0].current
    assert "read-report-withdrawn" in rules(received)


# Differences


def test_a_score_that_differs_is_said_with_both_values_and_kept() -> None:
    bundle = bundle_of(examination())
    score = about(bundle, "seven-point")
    score.pop("valueRange", None)
    score["valueQuantity"] = {"value": 1, "unit": "points", "system": "http://unitsofmeasure.org", "code": "1"}
    received = read(bundle)
    (issue,) = [one for one in received.issues if one.rule == "read-score-differs"]
    own = dermreport.review(examination()).scores["seven-point"]
    assert dict(issue.parameters)["sent"].startswith("1, ")
    assert str(own.low) in dict(issue.parameters)["computed"]
    assert issue.path.endswith(".resource")
    (sent,) = [one for one in received.reports[0].scores if one.method == "seven-point"]
    assert sent.low == sent.high == 1
    assert received.examination is not None
    assert received.examination.to_json() == examination().to_json()


@pytest.mark.parametrize(
    "value",
    [{"value": 1, "code": "1", "comparator": "<"}, {"value": 1, "code": "mm"}, {"value": "1"}, {}, "1"],
    ids=str,
)
def test_a_score_that_is_no_number_is_none(value: Any) -> None:
    bundle = bundle_of(examination())
    score = about(bundle, "seven-point")
    score.pop("valueRange", None)
    score["valueQuantity"] = value
    (sent,) = [one for one in read(bundle).reports[0].scores if one.method == "seven-point"]
    assert (sent.low, sent.high) == (None, None)


def test_a_finding_counted_otherwise_is_said_and_the_clinicians_answer_is_read() -> None:
    bundle = bundle_of(examination())
    finding = about(bundle, "shiny-white-strands")
    assert "dataAbsentReason" in finding
    del finding["dataAbsentReason"]
    finding["valueCodeableConcept"] = about(bundle, "network-atypical")["valueCodeableConcept"]
    received = read(bundle)
    assert rules(received) == ["read-answer-differs"]
    assert received.examination is not None
    assert received.examination.to_json() == examination().to_json()
    assert [one.kind for one in received.foreign.kept] == [KeptKind.ADDED]


def test_a_light_that_is_not_that_of_the_views_is_said() -> None:
    bundle = bundle_of(examination())
    finding = about(bundle, "network-atypical")
    lights = [one for one in finding["component"] if one["code"]["coding"][0]["code"] == "light"]
    finding["component"].remove(lights[0])
    assert rules(read(bundle)) == ["read-light-differs"]


def test_a_list_with_other_items_at_the_sender_makes_nothing_absent() -> None:
    bundle = bundle_of(examination())
    gone_through = about(bundle, "list-gone-through")
    gone_through["component"] = gone_through["component"][1:]
    received = read(bundle)
    assert received.examination is not None
    assert received.examination.lists_gone_through == ()
    assert "read-list-differs" in rules(received)
    assert dermreport.review(received.examination).has_errors


def test_a_request_that_a_receiver_completed_is_shown_and_sent_as_the_record_has_it() -> None:
    bundle = bundle_of(examination())
    request = resources(bundle, "ServiceRequest")[0]
    request["status"] = "completed"
    received = read(bundle)
    (kept,) = received.foreign.kept
    assert (kept.kind, kept.value()) == (KeptKind.CHANGED, "completed")
    assert [one.rule for one in received.foreign.issues] == ["read-changed"]
    assert resources(sent_again(received).to_dict(), "ServiceRequest")[0]["status"] == "active"


def test_a_code_of_a_newer_vocabulary_stays_readable_by_its_display() -> None:
    bundle = bundle_of(examination())
    coding = about(bundle, "network-atypical")["code"]["coding"]
    coding[:] = [{**coding[0], "code": "network-of-tomorrow", "display": "network of tomorrow"}]
    received = read(bundle)
    assert received.examination is not None
    found = received.examination.findings[0].structure
    assert isinstance(found, dermreport.examination.base.OtherCode)
    assert (found.code, found.display) == ("network-of-tomorrow", "network of tomorrow")


def test_a_code_of_a_newer_vocabulary_where_only_ours_may_stand_is_set_aside_and_said() -> None:
    bundle = bundle_of(examination())
    for view in [one for one in resources(bundle, "Observation") if one["code"]["coding"][0]["code"] == "view"][:1]:
        view["valueCodeableConcept"]["coding"][:] = [
            {**view["valueCodeableConcept"]["coding"][0], "code": "light-of-tomorrow"}
        ]
    received = read(bundle)
    assert received.examination is not None
    assert [one.key for one in received.examination.views] == ["v2", "v3"]
    (issue,) = [one for one in received.issues if one.rule == "entry-unknown-code"]
    assert dict(issue.parameters)["entry"] == "$.views[0].light"
    assert issue.path.startswith("$.entry[")


def test_two_patients_are_refused_never_merged() -> None:
    first, second = (
        bundle_of(examination()),
        bundle_of(
            examination(
                identifier={"system": f"{SYSTEM}/examination", "value": "e-2"},
                patient={"identifiers": [{"system": f"{SYSTEM}/patient", "value": "P-1"}]},
                lesion={"site": "back"},
            )
        ),
    )
    first["entry"] += second["entry"]
    received = read(first)
    assert received.examinations == ()
    assert rules(received) == ["entry-plan-not-known", "read-two-patients"]


def test_a_part_of_another_patients_is_refused() -> None:
    bundle = bundle_of(examination())
    about(bundle, "network-atypical")["subject"] = {"reference": "Patient/999"}
    received = read(bundle)
    assert received.examinations == ()
    assert rules(received) == ["entry-plan-not-known", "read-two-patients"]


def test_a_list_that_was_undone_is_not_sent_again() -> None:
    bundle = bundle_of(examination())
    gone = about(bundle, "network-atypical")
    bundle["entry"] = [entry for entry in bundle["entry"] if entry["resource"] is not gone]
    received = read(bundle)
    assert any("list-gone-through" in one.text for one in received.foreign.kept)
    sent = sent_again(received)
    assert "list-gone-through" not in sent.to_json()
    again = from_fhir(sent.to_json())
    assert again.examination is not None
    assert again.examination.to_json() == received.examination.to_json()
    assert dermreport.review(again.examination).has_errors


def references(value: Any) -> list[str]:
    if isinstance(value, dict):
        own = [value["reference"]] if isinstance(value.get("reference"), str) else []
        return own + [found for item in value.values() for found in references(item)]
    return [found for item in value for found in references(item)] if isinstance(value, list) else []


def test_no_reference_of_what_is_sent_leads_nowhere() -> None:
    # A server refuses a whole transaction for one: an urgent request among it.
    bundle = bundle_of(examination())
    add_observation(bundle)
    result = bundle["entry"][-1]["resource"]
    result["performer"] = [{"reference": "urn:uuid:0f7c1f5e-3a61-4a53-8a4c-2f6a9d6f2d99"}]
    result["hasMember"] = [{"reference": "urn:uuid:0f7c1f5e-3a61-4a53-8a4c-2f6a9d6f2d98", "display": "lost"}]
    member = {"resourceType": "Practitioner", "identifier": [{"system": f"{OTHER}/staff", "value": "5"}]}
    bundle["entry"].append({"fullUrl": result["performer"][0]["reference"], "resource": member})
    report_of(bundle)["result"].append({"reference": "urn:uuid:0f7c1f5e-3a61-4a53-8a4c-2f6a9d6f2d97"})
    received = read(bundle)
    sent = sent_again(received, kind="transaction").to_dict()
    there = {entry["fullUrl"] for entry in sent["entry"]}
    assert {one for one in references(sent) if one.startswith("urn:uuid:")} <= there
    (again,) = [one for one in resources(sent, "Observation") if one.get("identifier") == result["identifier"]]
    assert again["performer"] == [
        {"type": "Practitioner", "identifier": member["identifier"][0], "display": "something that isn't sent"}
    ]
    assert again["hasMember"] == [{"display": "lost"}]


def test_a_finding_whose_view_was_not_received_is_not_one_of_all_views() -> None:
    bundle = bundle_of(examination())
    about(bundle, "shiny-white-strands")["derivedFrom"][0]["reference"] = (
        "urn:uuid:0f7c1f5e-3a61-4a53-8a4c-2f6a9d6f2d96"
    )
    received = read(bundle)
    assert received.examination is not None
    assert "shiny-white-strands" not in [one.structure for one in received.examination.findings]
    assert received.examination.lists_gone_through == ()
    assert any(one.severity == "error" for one in received.issues)


# Narratives


NARRATIVES = (
    ("<p>plain <b>bold</b></p>", "<p>plain <b>bold</b></p>", False),
    ("<script>steal()</script><p>x</p>", "<p>x</p>", True),
    ('<p onclick="steal()">x</p>', "<p>x</p>", True),
    ('<a href="https://evil.example">x</a>', "x", True),
    ('<img src="https://evil.example/pixel"/><p>x</p>', "<p>x</p>", True),
    ('<p style="background:url(x)">x</p>', "<p>x</p>", True),
    ("<form><input/></form><p>x</p>", "<p>x</p>", True),
    ("<p>&#8238;desrever</p>", "<p>[U+202E]desrever</p>", False),
    ('<table><tr><td colspan="2">x</td></tr></table>', '<table><tr><td colspan="2">x</td></tr></table>', False),
)


@pytest.mark.parametrize(("inner", "expected", "said"), NARRATIVES)
def test_a_foreign_narrative_is_kept_and_sent_only_cleaned(inner: str, expected: str, said: object) -> None:
    bundle = bundle_of(examination())
    result = lab_result(bundle)
    result["text"]["div"] = f'<div xmlns="{XHTML}">{inner}</div>'
    bundle["entry"].append({"fullUrl": "urn:uuid:0f7c1f5e-3a61-4a53-8a4c-2f6a9d6f2d13", "resource": result})
    received = read(bundle)
    (kept,) = received.foreign.kept
    assert kept.value()["text"]["div"] == result["text"]["div"]
    report = dermreport.to_fhir(dermreport.review(received.examination), foreign=received.foreign)
    (sent,) = [one for one in report.resources if one.get("identifier") == result["identifier"]]
    assert sent["text"]["div"] == f'<div xmlns="{XHTML}">{expected}</div>'
    assert [issue.rule for issue in report.left_out] == (["read-narrative-cleaned"] if said else [])


def test_what_a_narrative_says_beyond_the_data_is_sent_below_our_own() -> None:
    bundle = bundle_of(examination())
    finding = about(bundle, "network-atypical")
    ours = finding["text"]["div"]
    finding["text"] = {"status": "additional", "div": f'<div xmlns="{XHTML}"><p>seen by B<script>x</script></p></div>'}
    received = read(bundle)
    assert [one.kind for one in received.foreign.kept] == [KeptKind.NARRATIVE]
    again = about(sent_again(received).to_dict(), "network-atypical")["text"]
    assert again["status"] == "additional"
    assert again["div"].startswith(ours.removesuffix("</div>"))
    assert again["div"].endswith(f'<div xmlns="{XHTML}"><p>seen by B</p></div></div>')


# Reports of other systems


def minimal(**changes: Any) -> Json:
    made = {
        "resourceType": "DiagnosticReport",
        "id": "r1",
        "text": {"status": "generated", "div": f'<div xmlns="{XHTML}"><p>Pigmented spot</p><p>looks odd</p></div>'},
        "identifier": [{"system": f"{OTHER}/reports", "value": "R-1"}],
        "status": "final",
        "code": {"coding": [{"system": "http://loinc.org", "code": "18748-4"}]},
        "subject": {"reference": "Patient/9"},
        "effectiveDateTime": "2026-01-02",
        "conclusion": "odd",
    }
    return {name: value for name, value in (made | changes).items() if value is not None}


def test_a_minimal_report_is_read_as_far_as_it_goes() -> None:
    received = from_fhir(minimal())
    assert received.examination is not None
    assert json.loads(received.examination.to_json()) == {
        "identifier": {"system": f"{OTHER}/reports", "value": "R-1"},
        "status": "final",
        "patient": {"reference": "Patient/9"},
        "examined": "2026-01-02",
        "assessment": {"words": "odd"},
        "note": "Pigmented spot\nlooks odd",
    }
    missing = [dict(one.parameters)["field"] for one in received.issues if one.rule == "read-foreign-missing"]
    assert missing == [
        "who examined",
        "which site",
        "light and contact",
        "which structures were seen",
        "the plan",
    ]
    assert dermreport.review(received.examination).summary.value == "not-settled"


#: SNOMED CT's skin of back, by the map of this library, which test_vocabulary_mapping looks up.
SKIN_OF_BACK = {"coding": [{"system": one.system, "code": one.code} for one in standard_codes(Site.BACK)]}


def body_structure(release: str) -> Json:
    place: Json = {"location": SKIN_OF_BACK}
    if release == "R5":
        place = {"includedStructure": [{"structure": SKIN_OF_BACK}]}
    return {
        "resourceType": "BodyStructure",
        "id": "b1",
        "identifier": [{"system": f"{OTHER}/spots", "value": "S-1"}],
        **place,
        "description": "near the spine",
        "patient": {"reference": "Patient/9"},
    }


@pytest.mark.parametrize("release", ["R4", "R5"])
def test_the_site_of_another_system_is_read_in_each_way(release: str) -> None:
    seen: Json = {"resourceType": "Observation", "id": "o1", "status": "final", "code": {"text": "spot"}}
    seen |= {"subject": {"reference": "Patient/9"}}
    reference = {"reference": "BodyStructure/b1"}
    if release == "R4":
        url = "http://hl7.org/fhir/StructureDefinition/bodySite"
        seen["extension"] = [{"url": url, "valueReference": reference}]
    else:
        seen["bodyStructure"] = reference
    received = from_fhir([minimal(result=[{"reference": "Observation/o1"}]), seen, body_structure(release)])
    assert received.examination is not None
    lesion = received.examination.lesion
    assert lesion is not None
    assert lesion.site is Site.BACK
    assert lesion.site_detail == "near the spine"
    assert lesion.identifier is not None
    assert lesion.identifier.value == "S-1"
    plain = from_fhir([minimal(result=[{"reference": "Observation/o1"}]), {**seen, "bodySite": SKIN_OF_BACK}])
    assert plain.examination is not None
    assert plain.examination.lesion is not None
    assert plain.examination.lesion.site is Site.BACK


def test_values_of_another_system_are_kept_in_words() -> None:
    contained = [
        {
            "resourceType": "Observation",
            "id": "a",
            "status": "final",
            "code": {"text": "size"},
            "valueQuantity": {"value": 6.5, "unit": "mm", "comparator": "<"},
        },
        {
            "resourceType": "Observation",
            "id": "b",
            "status": "final",
            "code": {"coding": [{"system": f"{OTHER}/c", "code": "x", "display": "network"}]},
            "valueCodeableConcept": {"text": "regular"},
            "component": [{"code": {"text": "colour"}, "valueString": "brown"}],
        },
        {
            "resourceType": "Observation",
            "id": "c",
            "status": "entered-in-error",
            "code": {"text": "gone"},
            "valueString": "gone",
        },
    ]
    received = from_fhir(minimal(contained=contained, result=[{"reference": f"#{one}"} for one in "abc"], text=None))
    assert received.examination is not None
    assert received.examination.note == "size: < 6.5 mm\nnetwork: regular; colour: brown"
    assert {"read-foreign-text", "read-withdrawn"} <= set(rules(received))


def test_our_structures_in_a_report_of_another_system_are_findings() -> None:
    code = {"coding": [{"system": "https://dermreport.example/fhir/CodeSystem/structure", "code": "globules"}]}
    seen = {"resourceType": "Observation", "id": "a", "status": "final", "code": code, "valueBoolean": False}
    received = from_fhir(minimal(contained=[seen], result=[{"reference": "#a"}]))
    assert received.examination is not None
    (finding,) = received.examination.findings
    assert (finding.structure, finding.presence) == ("globules", "absent")
    # Nothing says in which light it was looked for.
    assert dermreport.review(received.examination).answers.of(finding.structure).presence != "absent" or (
        "read-foreign-missing" in rules(received)
    )


def seen_by_others(**said: Any) -> Json:
    """Return an Observation of another system with our code, as one of several in its report."""
    code = {"coding": [{"system": "https://dermreport.example/fhir/CodeSystem/structure", "code": "globules"}]}
    return {"resourceType": "Observation", "status": "final", "code": code, **said}


def holding(*observations: Json, **changes: Any) -> Json:
    """Return a minimal report that contains Observations as its results."""
    numbered = [{**one, "id": f"o{number}"} for number, one in enumerate(observations)]
    return minimal(contained=numbered, result=[{"reference": f"#{one['id']}"} for one in numbered], **changes)


@pytest.mark.parametrize(
    ("answers", "held", "contradicts"),
    [
        ((False, True), "present", True),
        ((True, False), "present", True),
        ((False, False), "absent", False),
    ],
)
def test_two_answers_of_another_system_are_never_absent(
    answers: tuple[bool, bool],
    held: str,
    contradicts: bool,  # noqa: FBT001 - a case
) -> None:
    received = from_fhir(holding(*(seen_by_others(valueBoolean=one) for one in answers)))
    assert received.examination is not None
    assert [one.presence for one in received.examination.findings] == [held]
    reasons = [dict(one.parameters)["reason"] for one in received.issues if one.rule == "read-not-held"]
    assert reasons == (["entry-findings-differ"] if contradicts else [])
    standing = [one.rule for one in received.examination.not_held]
    assert ("entry-findings-differ" in standing) is contradicts


@pytest.mark.parametrize(
    ("changes", "rule", "expected"),
    [
        ({"identifier": None}, "read-foreign-identifier", True),
        ({"effectiveDateTime": None, "issued": "2026-01-02T10:00:00Z"}, "read-foreign-missing", True),
        ({"effectiveDateTime": None}, "read-foreign-needed", False),
        ({"subject": None}, "read-foreign-missing", True),
        ({"status": "partial"}, "read-foreign-report", True),
        ({"status": "entered-in-error"}, "read-report-withdrawn", True),
        ({"status": "cancelled"}, "read-report-status", True),
        ({"effectiveDateTime": "yesterday"}, "read-not-held", False),
    ],
    ids=str,
)
def test_what_a_report_lacks_is_said(changes: Json, rule: str, expected: object) -> None:
    received = from_fhir(minimal(**changes))
    assert rule in rules(received)
    assert rule not in rules(from_fhir(minimal())) or rule in {"read-foreign-missing", "read-foreign-report"}
    assert (received.examination is not None) is expected
    if not expected:
        # Where nothing is read an error says why.
        assert "error" in {issue.severity.value for issue in received.issues}


def at(words: str, code: str = "") -> Json:
    """Return the site of another system, in words and with a code of its own."""
    return {"text": words} | ({"coding": [{"system": f"{OTHER}/sites", "code": code}]} if code else {})


def spot(site: Json, side: Json | None = None, **more: Any) -> Json:
    """Return a BodyStructure of R5."""
    included = {"structure": site} | ({"laterality": side} if side else {})
    return {"resourceType": "BodyStructure", "includedStructure": [included], "patient": {}, **more}


FOREARM, NECK = at("Forearm", "F"), at("Neck", "N")
LEFT, RIGHT = (
    {"coding": [{"system": f"{CANONICAL_BASE}/CodeSystem/side", "code": code}]} for code in ("left", "right")
)

#: Where each of two findings is, as a site or as a lesion's own resource; the site, side and words of the record, or
#: where the places are several the words that stand in it.
SITES: dict[str, tuple[tuple[Json, Json], dict[str, str] | list[str]]] = {
    "two codes": ((FOREARM, NECK), ["Forearm", "Neck"]),
    "two in words": ((at("Forearm"), at("Neck")), ["Forearm", "Neck"]),
    "a code and other words": ((FOREARM, at("Neck")), ["Forearm", "Neck"]),
    "two sides": ((spot(FOREARM, LEFT), spot(FOREARM, RIGHT)), ["left Forearm", "right Forearm"]),
    "two lesions of one site": (
        (spot(FOREARM, description="upper"), spot(FOREARM, description="lower")),
        ["Forearm, upper", "Forearm, lower"],
    ),
    "a known site and another": ((SKIN_OF_BACK, NECK), ["Neck"]),
    "one code": ((FOREARM, FOREARM), {"site": "F"}),
    "one code, two displays": ((FOREARM, at("Forearm structure", "F")), {"site": "F"}),
    "one in words": ((at("Forearm"), at("forearm")), {"site_detail": "Forearm"}),
    "a code and its name": ((at("forearm"), FOREARM), {"site": "F"}),
    "a site and the lesion's": (
        (FOREARM, spot(FOREARM, LEFT, description="near the wrist")),
        {"site": "F", "side": "left", "site_detail": "near the wrist"},
    ),
    "one lesion": ((spot(SKIN_OF_BACK, LEFT), spot(SKIN_OF_BACK, LEFT)), {"site": "back", "side": "left"}),
}


@pytest.mark.parametrize("name", SITES)
def test_a_report_on_two_sites_is_no_record_of_one(name: str) -> None:
    sites, expected = SITES[name]
    several = isinstance(expected, list)
    seen, others = [], []
    for number, site in enumerate(sites):
        code = {
            "coding": [{"system": f"{CANONICAL_BASE}/CodeSystem/structure", "code": ("globules", "network")[number]}]
        }
        one = seen_by_others(valueBoolean=False) | {"id": f"s{number}", "code": code}
        if "resourceType" in site:
            others.append({**site, "id": f"b{number}"})
            one["bodyStructure"] = {"reference": f"BodyStructure/b{number}"}
        else:
            one["bodySite"] = site
        seen.append(one)
    for order in (seen, seen[::-1]):
        results = [{"reference": f"Observation/{one['id']}"} for one in order]
        received = from_fhir([minimal(result=results), *order, *others])
        assert received.examination is not None
        lesion = received.examination.lesion
        assert lesion is not None
        found = dermreport.review(received.examination)
        missing = [dict(one.parameters)["field"] for one in received.issues if one.rule == "read-foreign-missing"]
        assert "which site" not in missing
        assert ("read-foreign-sites" in rules(received)) is several
        assert ("read-foreign-sites" in {issue.rule for issue in found.issues}) is several
        if several:
            assert (lesion.site, lesion.side) == (None, None)
            assert found.summary.value != "no-suspicious-feature-found"
            for words in expected:
                assert words in (lesion.site_detail or "")
                assert words in (received.examination.note or "")
        else:
            given = {"site": getattr(lesion.site, "code", lesion.site), "side": lesion.side}
            given["site_detail"] = None if lesion.site_detail is None else lesion.site_detail.capitalize()
            wanted = {
                part: words.capitalize() if part == "site_detail" else words for part, words in dict(expected).items()
            }
            assert {part: value for part, value in given.items() if value is not None} == wanted


SNOMED = "http://snomed.info/sct"
MELANOMA = {"system": SNOMED, "code": "93655004"}
BASAL_CELL = {"system": SNOMED, "code": "254701007"}
NAEVUS = {"system": SNOMED, "code": "254805008"}
NOT_KNOWN = {"system": SNOMED, "code": "372244006"}
SUSPECTED, KNOWN_NAEVUS = (
    {"system": f"{CANONICAL_BASE}/CodeSystem/impression", "code": code}
    for code in ("melanoma-suspected", "naevus-compound")
)

#: Codings of a conclusion; the impression that is read; the summary; the rules on it. The first codes are SNOMED CT's
#: for malignant melanoma of skin, basal cell carcinoma of skin and compound naevus of skin, which the vocabulary's
#: table of standard codes has with their sources, and malignant melanoma of any site, which it leaves out.
CONCLUDED: tuple[tuple[list[Json], str, str, set[str]], ...] = (
    ([MELANOMA], "melanoma-suspected", "suspicious", {"read-foreign-cancer"}),
    # None of our names holds for every kind of it.
    ([BASAL_CELL], "254701007", "suspicious", {"read-foreign-cancer"}),
    ([NOT_KNOWN], "372244006", "not-settled", {"read-foreign-conclusion"}),
    ([{"system": f"{OTHER}/codes", "code": "x"}], "x", "not-settled", {"read-foreign-conclusion"}),
    ([NAEVUS], "naevus-compound", "not-settled", set()),
    ([SUSPECTED, MELANOMA], "melanoma-suspected", "suspicious", set()),
    # Which of the two comes first decides nothing.
    ([NAEVUS, MELANOMA], "melanoma-suspected", "suspicious", {"read-foreign-cancer", "read-contradiction"}),
    ([MELANOMA, NAEVUS], "melanoma-suspected", "suspicious", {"read-foreign-cancer", "read-contradiction"}),
    ([NOT_KNOWN, MELANOMA], "melanoma-suspected", "suspicious", {"read-foreign-cancer"}),
)


@pytest.mark.parametrize(("concluded", "impression", "summary", "told"), CONCLUDED)
def test_a_cancer_in_the_conclusion_is_heard(
    concluded: list[Json], impression: str, summary: str, told: set[str]
) -> None:
    received = from_fhir(minimal(conclusionCode=[{"coding": concluded, "text": "as concluded"}]))
    assert received.examination is not None
    assert received.examination.assessment is not None
    (named,) = received.examination.assessment.impressions
    assert getattr(named.impression, "code", named.impression) == impression
    assert dermreport.review(received.examination).summary.value == summary
    of_conclusions = {"read-foreign-cancer", "read-foreign-conclusion", "read-contradiction"}
    assert set(rules(received)) & of_conclusions == told
    if "read-foreign-cancer" in told:
        assert impression == "254701007" or named.note == "as concluded"


def test_words_in_place_of_a_conclusions_code_settle_nothing() -> None:
    received = from_fhir(minimal(conclusionCode=[{"text": "melanoma"}]))
    assert "read-foreign-conclusion" in rules(received)
    assert received.examination is not None
    assert "melanoma" in (received.examination.note or "")
    assert dermreport.review(received.examination).has_errors


def test_every_code_that_is_taken_for_a_cancer_is_called_one() -> None:
    names = {(one.system, one.code): one.display for one in STANDARD_CODES.values()}
    malignant = ("melanoma", "carcinoma", "sarcoma", "lymphoma", "malignant", "paget", "keratoacanthoma")
    for code, ours in foreign_report._cancers().items():
        assert any(word in names[code].casefold() for word in malignant), names[code]
        assert not ours or ours.endswith("suspected")


@pytest.mark.parametrize("status", ["entered-in-error", "cancelled"])
def test_a_report_of_another_system_that_does_not_hold_is_not_current(status: str) -> None:
    received = from_fhir(minimal(status=status))
    assert received.examination is not None
    assert received.examination.status == "entered-in-error"
    assert not received.reports[0].current


@pytest.mark.parametrize("release", ["R4", "R5"])
def test_a_withdrawn_report_reassures_nobody_on_its_way(release: str) -> None:
    usual = (Path(__file__).parent.parent / "examples" / "usual.json").read_text(encoding="utf-8")
    final = dermreport.Examination.from_json(usual)
    withdrawn = final.model_copy(update={"status": Status.ENTERED_IN_ERROR})
    said = {}
    for name, exam in (("final", final), ("withdrawn", withdrawn)):
        bundle = bundle_of(exam, release)
        sent = [coding["code"] for one in report_of(bundle).get("conclusionCode", []) for coding in one["coding"]]
        again = from_fhir(to_json(bundle))
        assert again.examination is not None
        said[name] = (sent, dermreport.review(again.examination).summary.value)
        assert ("read-report-withdrawn" in rules(again)) is (name == "withdrawn")
        assert "read-summary-differs" not in rules(again)
    assert said == {
        "final": (["no-suspicious-feature-found"], "no-suspicious-feature-found"),
        "withdrawn": ([], "not-settled"),
    }


def test_a_report_of_another_system_is_the_same_at_each_reading_and_is_kept() -> None:
    one, other = from_fhir(minimal(identifier=None)), from_fhir(copy.deepcopy(minimal(identifier=None)))
    assert one.examination is not None
    assert other.examination is not None
    assert one.examination.to_json() == other.examination.to_json()
    assert [kept.kind for kept in one.foreign.kept] == [KeptKind.RESOURCE]


# What is said on a primitive stands beside its value in JSON and in it in XML

_ON_A_TEXT = [extension()]
#: Where something can be said of a primitive in somebody else's Observation: alone, in a list, on a number, on a truth.
SAID_AT: dict[str, tuple[tuple[str | int, ...], str]] = {
    "a code": ((), "_status"),
    "a text": (("code",), "_text"),
    "a number": (("component", 0, "valueQuantity"), "_value"),
    "a truth value": (("component", 1), "_valueBoolean"),
    "the second of a list": (("contained", 0, "name", 0), "_given"),
}
SAID: dict[str, tuple[Any, bool]] = {
    "an id": ({"id": "p"}, True),
    "an extension": ({"extension": _ON_A_TEXT}, True),
    "both": ({"id": "p", "extension": _ON_A_TEXT}, True),
    "nothing": ({}, False),
    "an extension without its address": ({"extension": [{"valueString": "x"}]}, False),
    "an empty extension": ({"extension": [{}]}, False),
    "a text": ("x", False),
    "a number": (5, False),
    "something that isn't the standard's": ({"value": "x"}, False),
}


def with_said(release: str, said: Any) -> Json:
    """Return a bundle with an Observation of somebody else's for each place, in which it is said there."""
    bundle = bundle_of(examination(), release)
    for number, (way, name) in enumerate(SAID_AT.values()):
        lab: Any = lab_result(bundle) | {
            "id": f"lab-{number}",
            "identifier": [{"system": "https://lab.example/ids", "value": f"77-{number}"}],
            "code": {"text": "x"},
            "contained": [{"resourceType": "Practitioner", "id": "q", "name": [{"given": ["A", "B"]}]}],
            "performer": [{"reference": "#q"}],
            "component": [
                {"code": {"text": "a"}, "valueQuantity": {"value": 5.60}},
                {"code": {"text": "b"}, "valueBoolean": True},
            ],
        }
        holder = lab
        for step in way:
            holder = holder[step]
        holder[name] = [None, said] if name == "_given" else said
        bundle["entry"].append({"fullUrl": f"urn:uuid:0f7c1f5e-3a61-4a53-8a4c-2f6a9d6f2d1{number}", "resource": lab})
    return bundle


@pytest.mark.parametrize("said", SAID)
@pytest.mark.parametrize("release", ["R4", "R5"])
def test_what_is_said_on_a_primitive_is_sent_in_both_formats_or_said_not_to_be(release: str, said: str) -> None:
    # The classes of fhir.resources check what stands beside a primitive.
    value, fits = SAID[said]
    received = read(with_said(release, value))
    report = dermreport.to_fhir(dermreport.review(received.examination), release=release, foreign=received.foreign)
    assert len(report.left_out) == (0 if fits else len(SAID_AT))
    sent = report.bundle("collection")
    sent.typed()
    assert pieces(from_fhir(sent.to_json()).foreign) == pieces(from_fhir(sent.to_xml()).foreign)
    if fits:
        assert pieces(from_fhir(sent.to_xml()).foreign) == pieces(received.foreign)


# What was received with one report is sent with that one, and beside the value beside which it stood


def another(**changes: Any) -> dermreport.Examination:
    return examination(**changes)


TIED = {
    "the same": ({}, None),
    "a later revision": ({"revision": 2, "note": "more"}, None),
    "another report": ({"identifier": {"system": f"{SYSTEM}/examination", "value": "e-2"}}, "another report"),
    "another patient": (
        {"patient": {"identifiers": [{"system": f"{SYSTEM}/patient", "value": "P-1"}]}},
        "another patient",
    ),
}


@pytest.mark.parametrize("name", TIED)
def test_what_was_received_is_sent_with_its_own_report_alone(name: str) -> None:
    changes, words = TIED[name]
    bundle = bundle_of(examination())
    add_observation(bundle)
    foreign = read(bundle).foreign
    review = dermreport.review(another(**changes))
    if words is None:
        assert len(resources(dermreport.to_fhir(review, foreign=foreign).bundle().to_dict(), "Observation"))
        return
    with pytest.raises(dermreport.BuildError, match=words):
        dermreport.to_fhir(review, foreign=foreign)
    assert "P-4711" not in repr(foreign)


BENIGN = {"system": "http://snomed.info/sct", "code": "30807003", "display": "somebody's word"}


def value_of(bundle: Json, code: str) -> Json:
    found: Json = about(bundle, code)["valueCodeableConcept"]
    return found


BESIDE = {
    "a coding of the value": lambda bundle: value_of(bundle, "concern")["coding"].append(BENIGN),
    "an extension of the value": lambda bundle: value_of(bundle, "concern").update(extension=[extension()]),
    "an interpretation": lambda bundle: about(bundle, "concern").update(interpretation=[{"text": "kept words"}]),
    "a note": lambda bundle: about(bundle, "concern").update(note=[{"text": "kept words"}]),
    "a conclusion code": lambda bundle: report_of(bundle)["conclusionCode"].append({"text": "kept words"}),
    "a printed report": lambda bundle: report_of(bundle).update(
        presentedForm=[{"contentType": "application/pdf", "data": "UEZN", "title": "kept words"}]
    ),
    "what is said on the conclusion": lambda bundle: report_of(bundle).update(_conclusion={"extension": [extension()]}),
}


@pytest.mark.parametrize("name", BESIDE)
def test_a_piece_stays_beside_the_value_beside_which_it_stood(name: str) -> None:
    bundle = bundle_of(examination())
    BESIDE[name](bundle)
    received = read(bundle)
    assert received.examination is not None
    own = json.loads(received.examination.to_json())
    same = dermreport.to_fhir(dermreport.review(received.examination), foreign=received.foreign)
    # A conclusion that somebody added to is an error, so that the record's own narrative has it too.
    assert [issue.path for issue in same.left_out if not issue.path.endswith(".text")] == []
    word = "somebody's word" if "coding" in name else "kept words"
    assert word in same.bundle().to_json()
    concern = "benign" if own["assessment"]["concern"] == "suspicious" else "suspicious"
    changed = own | {"revision": 2, "assessment": own["assessment"] | {"concern": concern}}
    later = dermreport.review(dermreport.Examination.model_validate(changed))
    report = dermreport.to_fhir(later, foreign=received.foreign)
    assert "read-not-beside" in {issue.rule for issue in report.left_out}
    assert word not in report.bundle().to_json()


@pytest.mark.parametrize("release", ["R4", "R5"])
def test_a_piece_stays_in_another_release_and_under_another_setting(release: str) -> None:
    bundle = bundle_of(examination())
    value_of(bundle, "concern")["coding"].append(BENIGN)
    received = read(bundle)
    review = dermreport.review(received.examination, dermreport.Settings(snomed=False))
    report = dermreport.to_fhir(review, release=release, foreign=received.foreign)
    assert report.left_out == ()
    assert "somebody's word" in report.bundle().to_json()


def test_all_that_is_not_sent_again_is_named() -> None:
    bundle = bundle_of(examination())
    report_of(bundle)["conclusion"] = "kept words"
    about(bundle, "concern")["effectiveDateTime"] = "2019-01-01"
    bundle["signature"] = {"data": "eA=="}
    received = read(bundle)
    report = dermreport.to_fhir(dermreport.review(received.examination), foreign=received.foreign)
    paths = {issue.path for issue in report.left_out}
    named = {issue.path for issue in received.foreign.issues if not issue.path.endswith(".status")}
    assert named == paths
    assert len([path for path in paths if not path.endswith(".text")]) == 3
