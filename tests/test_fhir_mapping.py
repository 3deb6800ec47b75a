"""The mapping of an examination to FHIR, element by element: one test for each of its fifty rows.

Source of what an element is: the definitions of FHIR R4 and R5. The mapping itself is this project's own design.
"""

from __future__ import annotations

import base64
import re
from typing import Any

import pytest
from fhir_cases import (
    BASE,
    FULL,
    SYSTEM,
    about,
    by_reference,
    codes,
    components,
    extensions,
    objects,
    of_type,
    resources,
    reviewed,
    the,
)

from dermreport.fhir import to_fhir
from dermreport.settings import Intent, Settings
from dermreport.vocabulary.standard_codes import DICOM_CODES_NOT_IN_FHIR_R4

RELEASES = pytest.mark.parametrize("release", ["R4", "R4B", "R5"])
IMAGE = {"R4": "Media", "R4B": "Media", "R5": "DocumentReference"}


def report(release: str = "R4", **changes: Any) -> dict[str, Any]:
    return the(resources(release, **changes), "DiagnosticReport")


def finding(code: str, release: str = "R4", **changes: Any) -> dict[str, Any]:
    (found,) = about(resources(release, **changes), code)
    return found


def first_code(element: dict[str, Any], name: str = "valueCodeableConcept") -> str:
    return element[name]["coding"][0]["code"]


def panel(made: tuple[dict[str, Any], ...], code: str) -> dict[str, Any]:
    (found,) = [one for one in about(made, code) if "hasMember" in one]
    return found


def score(made: tuple[dict[str, Any], ...], code: str) -> dict[str, Any]:
    (found,) = [one for one in about(made, code) if one["code"]["coding"][0]["system"].endswith("/score-method")]
    return found


@RELEASES
def test_row_01_one_report_for_an_examination(release: str) -> None:
    assert len(of_type(resources(release), "DiagnosticReport")) == 1


@RELEASES
def test_row_02_the_report_has_the_examinations_number(release: str) -> None:
    assert report(release)["identifier"] == [{"system": f"{SYSTEM}/examination", "value": "e-1"}]


@RELEASES
def test_row_03_what_kind_of_report(release: str) -> None:
    code = report(release)["code"]
    assert (code["coding"][0]["system"], code["coding"][0]["code"]) == (
        f"{BASE}/CodeSystem/document",
        "dermoscopy-report",
    )
    assert (code["coding"][1]["system"], code["coding"][1]["code"]) == ("http://loinc.org", "18748-4")
    assert code["text"]


# HL7 v2 table 0074: IMG diagnostic imaging, PHY physician.
@RELEASES
def test_row_04_category_by_pictures(release: str) -> None:
    assert codes(report(release)["category"][0]) == ["IMG"]
    assert codes(report(release, images=None)["category"][0]) == ["PHY"]


@RELEASES
@pytest.mark.parametrize(
    ("entered", "sent"),
    [("draft", "preliminary"), ("final", "final"), ("amended", "amended"), ("entered-in-error", "entered-in-error")],
)
def test_row_05_status(release: str, entered: str, sent: str) -> None:
    simple = {"outcomes": None, "findings": FULL["findings"][:4], "plan": None, "images": None, "revision": 2}
    found = reviewed(status=entered, **simple)
    made = to_fhir(found, release=release).resources
    expected = "preliminary" if found.has_errors and entered != "entered-in-error" else sent
    assert {one["status"] for one in made if one["resourceType"] in {"DiagnosticReport", "Observation"}} == {expected}
    assert extensions(the(made, "DiagnosticReport"), "entry-status")[0]["valueCode"] == entered


def test_row_05_an_error_makes_it_preliminary() -> None:
    found = reviewed()
    assert found.has_errors
    assert the(to_fhir(found).resources, "DiagnosticReport")["status"] == "preliminary"


def test_row_06_the_earlier_report() -> None:
    url = "http://hl7.org/fhir/StructureDefinition/workflow-supportingInfo"
    (kept,) = [one for one in report("R4")["extension"] if one["url"] == url]
    assert kept["valueReference"]["reference"] == "DiagnosticReport/3"
    (kept,) = report("R5")["supportingInfo"]
    assert kept["reference"]["reference"] == "DiagnosticReport/3"
    assert kept["type"]["text"]


def test_row_07_the_lesion_of_the_report() -> None:
    made = resources("R4")
    url = "http://hl7.org/fhir/StructureDefinition/diagnosticReport-focus"
    (kept,) = [one for one in the(made, "DiagnosticReport")["extension"] if one["url"] == url]
    assert by_reference(made, kept["valueReference"])["resourceType"] == "BodyStructure"
    # In R5 the standard's extension has a wrong fixed URL in its package, so ours stands there.
    made = resources("R5")
    (kept,) = extensions(the(made, "DiagnosticReport"), "report-lesion")
    assert by_reference(made, kept["valueReference"])["resourceType"] == "BodyStructure"


@RELEASES
def test_row_08_times_are_those_of_the_entry(release: str) -> None:
    made = report(release)
    assert made["effectiveDateTime"] == FULL["examined"]
    assert made["issued"] == FULL["recorded"]
    assert "issued" not in report(release, recorded=None)


@RELEASES
def test_row_09_the_patient_everywhere(release: str) -> None:
    made = resources(release)
    patient = {"reference": f"urn:uuid:{the(made, 'Patient')['id']}"}
    named = ("Observation", "DiagnosticReport", "ServiceRequest", "Communication", IMAGE[release])
    assert all(one["subject"] == patient for one in made if one["resourceType"] in named)
    assert the(made, "BodyStructure")["patient"] == patient
    assert the(made, "DetectedIssue")["subject" if release == "R5" else "patient"] == patient


@RELEASES
def test_row_10_age_sex_phototype_are_observations_of_the_history(release: str) -> None:
    made = resources(release)
    members = {one["reference"] for one in panel(made, "history")["hasMember"]}
    for code in ("age", "sex", "phototype"):
        (one,) = about(made, code)
        assert f"urn:uuid:{one['id']}" in members
    age = about(made, "age")[0]["valueQuantity"]
    assert (age["value"], age["code"], age["system"]) == (55, "a", "http://unitsofmeasure.org")


@RELEASES
def test_row_11_history_is_observations_with_an_answer_or_a_reason(release: str) -> None:
    made = resources(release)
    assert first_code(about(made, "had-skin-cancer")[0]) == "yes"
    assert first_code(about(made, "family-melanoma")[0], "dataAbsentReason") == "asked-unknown"
    assert first_code(about(made, "sun-damage")[0], "dataAbsentReason") == "asked-unknown"
    assert not of_type(made, "Condition")
    assert not of_type(made, "FamilyMemberHistory")
    (earlier,) = about(made, "earlier-skin-cancer")
    # It is another lesion, elsewhere.
    assert "focus" not in earlier
    assert "bodySite" not in earlier


@RELEASES
def test_row_12_the_examiner_everywhere(release: str) -> None:
    made = resources(release)
    examiner = {"reference": f"urn:uuid:{the(made, 'Practitioner')['id']}"}
    assert the(made, "DiagnosticReport")["performer"][0] == examiner
    assert all(one["performer"] == [examiner] for one in of_type(made, "Observation"))
    assert all(one["requester"] == examiner for one in of_type(made, "ServiceRequest"))
    image = of_type(made, IMAGE[release])[0]
    assert (image["author"] if release == "R5" else [image["operator"]]) == [examiner]
    composition = to_fhir(reviewed(), release=release).bundle("document").to_dict()["entry"][0]["resource"]
    assert composition["author"] == [examiner]


@RELEASES
def test_row_13_encounter_order_and_organisation(release: str) -> None:
    made = report(release)
    assert made["encounter"]["reference"] == "Encounter/5"
    assert made["basedOn"][0]["reference"] == "ServiceRequest/9"
    assert made["performer"][1] == {"reference": "Organization/7", "type": "Organization", "display": "Clinic A"}


@RELEASES
def test_row_14_the_lesion_is_a_body_structure(release: str) -> None:
    lesion = the(resources(release), "BodyStructure")
    assert lesion["identifier"] == [{"system": f"{SYSTEM}/lesion", "value": "L-77"}]
    if release == "R5":
        (place,) = lesion["includedStructure"]
        site, side = place["structure"], place["laterality"]
    else:
        site, (side,) = lesion["location"], lesion["locationQualifier"]
    assert codes(site) == ["forearm-flexor", "70559009"]
    assert codes(side) == ["left", "7771000"]
    assert codes(lesion["morphology"])[0] == "skin-lesion"
    assert lesion["active"] is True
    assert lesion["description"] == "forearm, front, left, a hand below the elbow"


def test_row_14_the_lesion_is_the_same_at_every_visit() -> None:
    number = {"identifier": {"system": f"{SYSTEM}/examination", "value": "e-2"}}
    assert the(resources(), "BodyStructure")["id"] == the(resources(**number), "BodyStructure")["id"]


@RELEASES
def test_row_15_the_point_on_the_body_map(release: str) -> None:
    (point,) = extensions(the(resources(release), "BodyStructure"), "body-map-point")
    told = {one["url"]: one for one in point["extension"]}
    assert told["map"]["valueCoding"]["code"] == "body-front"
    assert (str(told["x"]["valueDecimal"]), str(told["y"]["valueDecimal"])) == ("0.82", "0.42")


# FHIR R5, obs-8: bodyStructure only where bodySite is missing.
@RELEASES
def test_row_16_every_observation_points_to_the_lesion_and_names_the_site(release: str) -> None:
    made = resources(release)
    lesion = {"reference": f"urn:uuid:{the(made, 'BodyStructure')['id']}"}
    for one in of_type(made, "Observation"):
        if "earlier-skin-cancer" not in codes(one["code"]):
            assert one["focus"] == [lesion]
            assert codes(one["bodySite"])[0] == "forearm-flexor"
            assert one["bodySite"]["text"].startswith("forearm, front, left")
        assert "bodyStructure" not in one


@RELEASES
def test_row_17_category_of_every_observation(release: str) -> None:
    assert all(codes(one["category"][0]) == ["exam"] for one in of_type(resources(release), "Observation"))


@RELEASES
def test_row_18_a_tree_of_panels(release: str) -> None:
    made = resources(release)
    results = [by_reference(made, one) for one in the(made, "DiagnosticReport")["result"]]
    assert [codes(one["code"])[0] for one in results[:3]] == ["findings", "history", "assessment"]
    children = [one["reference"] for each in results for one in each.get("hasMember", ())]
    children += [one["reference"] for one in the(made, "DiagnosticReport")["result"]]
    assert len(set(children)) == len(children)
    assert {f"urn:uuid:{one['id']}" for one in of_type(made, "Observation")} == set(children)
    assert "impression" in {codes(one["code"])[0] for one in results}


@RELEASES
def test_row_19_a_view_has_its_light_and_its_details(release: str) -> None:
    made = resources(release)
    view = about(made, "view")[0]
    assert first_code(view) == "polarised"
    assert view["effectiveDateTime"] == FULL["views"][0]["taken"]
    assert [first_code(one) for one in components(view, "medium")] == ["alcohol", "gel"]
    assert first_code(components(view, "contact")[0]) == "contact"
    (magnification,) = components(view, "magnification")
    assert magnification["valueQuantity"]["code"] == "1"
    assert components(view, "equipment")[0]["valueString"] == "hand-held"


@RELEASES
def test_row_20_a_light_that_is_not_known_is_a_reason(release: str) -> None:
    made = resources(release)
    view = about(made, "view")[2]
    assert first_code(view, "dataAbsentReason") == "unknown"
    assert "valueCodeableConcept" not in view
    (light,) = components(about(made, "vessels-dotted")[0], "light")
    assert first_code(light, "dataAbsentReason") == "unknown"


def test_row_21_a_picture_in_r4() -> None:
    made = resources("R4")
    media, _ = of_type(made, "Media")
    assert codes(media["type"]) == ["image"]
    assert media["createdDateTime"] == FULL["images"][0]["taken"]
    assert media["content"]["url"] == FULL["images"][0]["address"]
    assert media["content"]["size"] == 100000
    (link, _) = the(made, "DiagnosticReport")["media"]
    assert by_reference(made, link["link"]) == media
    assert link["comment"] == "polarised light"
    assert about(made, "view")[0]["derivedFrom"] == [link["link"]]


def test_row_21_a_picture_in_r5() -> None:
    made = resources("R5")
    reference, other = of_type(made, "DocumentReference")
    assert "72170-4" in codes(reference["type"])
    assert reference["content"][0]["attachment"]["size"] == "100000"
    assert by_reference(made, the(made, "DiagnosticReport")["media"][0]["link"]) == reference
    assert "modality" not in reference
    assert "size" not in other["content"][0]["attachment"]


def test_row_21_a_size_that_r4_can_not_hold_is_kept_beside() -> None:
    images = [FULL["images"][0] | {"size_bytes": 2**31}]
    content = the(resources("R4", images=images), "Media")["content"]
    assert "size" not in content
    assert extensions(content, "size")[0]["valueDecimal"] == 2**31
    fits = the(resources("R4", images=[images[0] | {"size_bytes": 2**31 - 1}]), "Media")["content"]
    assert fits["size"] == 2**31 - 1


# FHIR R4 and R5, Attachment.hash: «the calculated hash of the data using SHA-1», as base64.
@RELEASES
def test_row_22_the_hash_of_a_picture(release: str) -> None:
    one, other = of_type(resources(release), IMAGE[release])
    attachments = [one["content"], other["content"]]
    if release == "R5":
        attachments = [each[0]["attachment"] for each in attachments]
    assert "hash" not in attachments[0]
    told = {part["url"]: part for part in extensions(attachments[0], "hash")[0]["extension"]}
    assert told["value"]["valueString"] == "ab" * 32
    assert told["algorithm"]["valueCoding"]["code"] == "sha-256"
    assert base64.b64decode(attachments[1]["hash"]).hex() == "cd" * 20
    assert not extensions(attachments[1], "hash")


def test_row_23_no_dicom_modality_that_r4_does_not_list() -> None:
    made = resources("R4")
    assert codes(of_type(made, "Media")[0]["modality"]) == ["dermatoscopic-image"]
    sent = {one["code"] for one in objects(made) if one.get("system", "").endswith("/DCM")}
    assert not sent & (DICOM_CODES_NOT_IN_FHIR_R4 | {"DMS", "130832"})


@RELEASES
def test_row_24_a_dicom_instance_is_an_identifier(release: str) -> None:
    image = of_type(resources(release), IMAGE[release])[0]
    assert image["identifier"][1] == {"system": "urn:dicom:uid", "value": "urn:oid:1.2.3.4"}
    assert not of_type(resources(release), "ImagingStudy")


# SNOMED CT: 52101004 present, 2667000 absent, 82334004 indeterminate.
@RELEASES
def test_row_25_a_finding_is_present_or_absent(release: str) -> None:
    present = finding("network-atypical", release)
    assert codes(present["valueCodeableConcept"]) == ["present", "52101004"]
    assert "atypical pigment network" in present["code"]["text"]
    assert codes(present["category"][1]) == ["finding"]
    seen = [FULL["findings"][0] | {"presence": "absent"}]
    absent = finding("network-atypical", release, findings=seen, lists_gone_through=None)
    assert codes(absent["valueCodeableConcept"]) == ["absent", "2667000"]


@RELEASES
def test_row_26_the_lights_of_a_finding_are_those_of_its_views(release: str) -> None:
    lights = components(finding("network-atypical", release), "light")
    assert [first_code(one) for one in lights] == ["polarised", "non-polarised"]
    one_view = {"views": FULL["views"][:1], "findings": [{"structure": "dots-brown", "presence": "present"}]}
    assert [first_code(one) for one in components(finding("dots-brown", release, **one_view), "light")] == ["polarised"]
    unnamed = {"findings": [{"structure": "dots-brown", "presence": "present"}]}
    assert components(finding("dots-brown", release, lists_gone_through=None, **unnamed), "light") == []


@RELEASES
def test_row_27_the_views_of_a_finding(release: str) -> None:
    made = resources(release)
    (found,) = about(made, "network-atypical")
    assert [by_reference(made, one) for one in found["derivedFrom"]] == about(made, "view")[:2]
    (other,) = about(made, "x1")
    assert "derivedFrom" not in other
    assert [one["valueString"] for one in components(other, "view-key")] == ["nowhere"]


@RELEASES
def test_row_28_not_assessed_is_a_reason_with_why_beside_it(release: str) -> None:
    hidden = finding("vessels-dotted", release)
    assert codes(hidden["dataAbsentReason"]) == ["not-performed"]
    assert [first_code(one) for one in components(hidden, "not-assessed-because")] == ["hidden"]
    assert components(hidden, "recorded-answer") == []


@RELEASES
def test_row_28_absent_where_no_view_could_show_it_is_not_assessed(release: str) -> None:
    counted = finding("shiny-white-strands", release)
    assert codes(counted["dataAbsentReason"]) == ["not-performed"]
    assert [first_code(one) for one in components(counted, "not-assessed-because")] == ["not-visible-in-this-light"]
    assert [codes(one["valueCodeableConcept"]) for one in components(counted, "recorded-answer")] == [
        ["absent", "2667000"]
    ]
    assert "valueCodeableConcept" not in counted


@RELEASES
def test_row_28_uncertain_is_a_value(release: str) -> None:
    uncertain = finding("blue-white-veil", release)
    assert codes(uncertain["valueCodeableConcept"]) == ["uncertain", "82334004"]
    assert "dataAbsentReason" not in uncertain


@RELEASES
def test_row_29_details_of_a_finding(release: str) -> None:
    found = finding("network-atypical", release)
    assert first_code(components(found, "distribution")[0]) == "focal"
    assert first_code(components(found, "regularity")[0]) == "irregular"
    assert [first_code(one) for one in components(found, "colour")] == ["dark-brown", "black"]
    assert components(found, "area")[0]["valueQuantity"]["code"] == "%"
    assert found["note"] == [{"text": "at the rim"}]
    assert first_code(components(finding("blue-white-veil", release), "place")[0]) == "central"


# UCUM mm. The standard's size of a tumour is only related to that of a lesion, so our code stands alone.
@RELEASES
def test_row_30_diameters_in_one_observation(release: str) -> None:
    size = finding("lesion-size", release)
    (longest,) = components(size, "longest-diameter")
    (crosswise,) = components(size, "crosswise-diameter")
    assert codes(longest["code"]) == ["longest-diameter"]
    assert (str(longest["valueQuantity"]["value"]), longest["valueQuantity"]["code"]) == ("8.5", "mm")
    assert str(crosswise["valueQuantity"]["value"]) == "6"
    assert not any(name.startswith("value") for name in size)


@RELEASES
def test_row_31_what_the_lesion_is_like_and_since_when(release: str) -> None:
    made = resources(release)
    assert first_code(about(made, "elevation")[0]) == "flat"
    assert first_code(about(made, "ulcerated")[0]) == "uncertain"
    (growing,) = about(made, "growing")
    assert first_code(growing) == "yes"
    assert components(growing, "since")[0]["valueDateTime"] == "2025-10"
    assert first_code(components(growing, "known-by")[0]) == "photograph"
    assert about(made, "border-segments")[0]["valueQuantity"]["value"] == 2


SETTLED = {
    "findings": [{"structure": "network-atypical", "presence": "present", "views": ["v2"]}],
    "lists_gone_through": [{"list": "pigmented-lesion", "views": ["v2"]}],
    "views": [FULL["views"][1] | {"limits": []}],
    "images": None,
}


@RELEASES
def test_row_32_a_settled_score_is_a_quantity(release: str) -> None:
    made = resources(release, **SETTLED)
    found = score(made, "seven-point")
    assert found["valueQuantity"] == {
        "value": 2,
        "unit": "points",
        "system": "http://unitsofmeasure.org",
        "code": "1",
    }
    assert "1998" in found["method"]["text"]
    targets = [by_reference(made, one) for one in found["derivedFrom"]]
    assert {codes(one["code"])[0] for one in targets} >= {"network-atypical", "list-gone-through"}
    note = found["note"][0]["text"]
    for words in ("recorded by the examiner", "added up by software", "dermreport", "excludes nothing", "Threshold: 3"):
        assert words in note
    assert found["performer"] == the(made, "DiagnosticReport")["performer"][:1]
    assert not any("valueInteger" in one for one in objects(made))


@RELEASES
def test_row_33_an_interval_is_a_range_and_two_components(release: str) -> None:
    found = score(resources(release), "seven-point")
    low, high = found["valueRange"]["low"]["value"], found["valueRange"]["high"]["value"]
    assert low < high
    assert components(found, "score-low")[0]["valueQuantity"]["value"] == low
    assert components(found, "score-high")[0]["valueQuantity"]["value"] == high
    assert "valueQuantity" not in found


@RELEASES
def test_row_34_a_verdict_and_never_a_normal_one(release: str) -> None:
    made = resources(release)
    above = score(made, "seven-point-revised")
    assert first_code(components(above, "verdict")[0]) == "above-threshold"
    assert [codes(one) for one in above["interpretation"]] == [["A"]]
    below = score(resources(release, **SETTLED), "seven-point")
    assert first_code(components(below, "verdict")[0]) == "below-threshold"
    assert "interpretation" not in below
    open_one = score(made, "seven-point")
    assert first_code(components(open_one, "verdict")[0]) == "not-settled"
    assert "interpretation" not in open_one


@RELEASES
def test_row_35_what_would_settle_a_score(release: str) -> None:
    found = components(score(resources(release), "menzies"), "would-settle")
    by_code = {codes(one["valueCodeableConcept"])[0]: one["valueCodeableConcept"]["text"] for one in found}
    assert "pseudopods" in by_code
    assert by_code["blue-white-veil"].endswith("to be looked for best in non-polarised light")
    assert not components(score(resources(release), "seven-point-revised"), "would-settle")


@RELEASES
def test_row_36_a_method_that_is_not_valid_is_sent_only_when_asked(release: str) -> None:
    assert not about(resources(release), "braaff")
    made = resources(release, Settings(unsuitable_scores=True))
    found = score(made, "braaff")
    assert codes(found["dataAbsentReason"]) == ["not-applicable"]
    assert not any(name.startswith("value") for name in found)
    assert "palms" in found["note"][0]["text"]


@RELEASES
def test_row_37_an_impression_is_an_observation(release: str) -> None:
    made = resources(release)
    suspected, benign = about(made, "impression")
    assert codes(suspected["valueCodeableConcept"]) == ["melanoma-suspected"]
    assert codes(benign["valueCodeableConcept"])[0] == "naevus-atypical"
    assert [first_code(components(one, "certainty")[0]) for one in (suspected, benign)] == ["possible", "probable"]
    assert [components(one, "rank")[0]["valueQuantity"]["value"] for one in (suspected, benign)] == [1, 2]
    assert not of_type(made, "Condition")
    assert not of_type(made, "ClinicalImpression")


@RELEASES
def test_row_38_the_conclusion_is_words_and_our_summary(release: str) -> None:
    made = report(release)
    assert "melanoma suspected (possible)" in made["conclusion"]
    assert "Looks odd & new." in made["conclusion"]
    assert "excludes nothing" in made["conclusion"]
    systems = {coding["system"] for code in made["conclusionCode"] for coding in code["coding"]}
    assert systems == {f"{BASE}/CodeSystem/summary"}


@RELEASES
def test_row_39_a_planned_step_is_a_request_that_informs(release: str) -> None:
    first, second = of_type(resources(release), "ServiceRequest")
    assert (first["status"], first["intent"]) == ("active", "plan")
    code = first["code"]["concept"] if release == "R5" else first["code"]
    assert codes(code)[0] == "refer-suspected-cancer"
    assert first["occurrencePeriod"] == {"start": "2026-03-05", "end": "2026-03-18"}
    assert second["occurrenceDateTime"] == "2026-04-01"
    assert first["authoredOn"] == FULL["recorded"]
    assert codes(first["bodySite"][0])[0] == "forearm-flexor"
    told = {one["url"]: one["valueDateTime"] for one in extensions(first, "plan-interval")[0]["extension"]}
    assert told == {"earliest": "2026-03-05", "latest": "2026-03-18"}
    ordered = of_type(resources(release, Settings(intent=Intent.ORDER)), "ServiceRequest")
    assert {one["intent"] for one in ordered} == {"order"}


@RELEASES
def test_row_40_the_plan_and_the_report_know_each_other(release: str) -> None:
    made = resources(release)
    requests = of_type(made, "ServiceRequest")
    for rank, request in enumerate(requests, start=1):
        assert request["requisition"] == {"system": f"{SYSTEM}/examination", "value": "e-1"}
        assert extensions(request, "entry-rank")[0]["valuePositiveInt"] == rank
        information = request["supportingInfo"][0]
        target = information["reference"] if release == "R5" else information
        assert by_reference(made, target)["resourceType"] == "DiagnosticReport"
        reasons = [one.get("reference") for one in request["reason"]] if release == "R5" else request["reasonReference"]
        targets = [by_reference(made, one) for one in reasons if one is not None]
        assert targets == about(made, "impression")
    assert requests[0]["identifier"][0]["value"] == "e-1/plan/p1"
    words = requests[0]["reason"][0]["concept"] if release == "R5" else requests[0]["reasonCode"][0]
    assert words == {"text": "suspicion"}


# FHIR request-priority: routine, urgent, asap, stat.
@RELEASES
@pytest.mark.parametrize(
    ("urgency", "priority"),
    [
        ("immediate", "stat"),
        ("same-visit", "asap"),
        ("urgent", "urgent"),
        ("soon", "urgent"),
        ("routine", "routine"),
        ("scheduled", "routine"),
        ("none", "routine"),
    ],
)
def test_row_41_urgency_beside_the_four_codes(release: str, urgency: str, priority: str) -> None:
    plan = {"actions": [{"key": "p", "action": "refer-dermatology", "urgency": urgency}]}
    request = the(resources(release, plan=plan), "ServiceRequest")
    assert request["priority"] == priority
    assert extensions(request, "urgency")[0]["valueCoding"]["code"] == urgency


@RELEASES
def test_row_42_safety_net_advice_is_a_communication(release: str) -> None:
    made = resources(release)
    advice = the(made, "Communication")
    assert advice["status"] == "completed"
    assert by_reference(made, advice["about"][0])["resourceType"] == "DiagnosticReport"
    (payload,) = advice["payload"]
    words = payload["contentCodeableConcept"]["text"] if release == "R5" else payload["contentString"]
    for part in ("bleeding", "2026-04-01", "clinic", "2026-03-20"):
        assert part in words
    told = {one["url"] for one in extensions(advice, "safety-net")[0]["extension"]}
    assert told == {"watch-for", "by-when", "contact", "heard-by"}
    assert codes(advice["category"][0]) == ["safety-net-advice"]


@RELEASES
def test_row_43_a_departure_is_a_detected_issue(release: str) -> None:
    made = resources(release)
    issue = the(made, "DetectedIssue")
    assert codes(issue["code"]) == ["three-point"]
    assert issue["mitigation"][0]["action"] == {"text": "because"}
    assert [by_reference(made, one)["resourceType"] for one in issue["implicated"]] == ["ServiceRequest"] * 2
    rule = next(one for one in reviewed().issues if one.severity.value == "warning").rule
    plan = FULL["plan"] | {"departures": [{"key": "d", "departs_from": rule, "reason": "because"}]}
    issue = the(resources(release, plan=plan), "DetectedIssue")
    assert issue["code"]["coding"] == [{"system": f"{BASE}/CodeSystem/rule", "code": rule}]
    assert issue["severity"] == "moderate"


@RELEASES
def test_row_44_issues_are_an_outcome_for_the_caller_and_not_stored(release: str) -> None:
    found = reviewed()
    outcome = to_fhir(found, release=release).outcome()
    assert outcome["resourceType"] == "OperationOutcome"
    missing = [one for one in found.completeness if one.state.value == "missing"]
    assert len(outcome["issue"]) == len(found.issues) + len(missing)
    for issue, sent in zip(found.issues, outcome["issue"], strict=False):
        assert sent["severity"] == issue.severity.value
        assert sent["details"]["coding"] == [{"system": f"{BASE}/CodeSystem/rule", "code": issue.rule}]
        assert sent["details"]["text"] == issue.message
        assert sent["expression"] == [f"Examination{issue.path.removeprefix('$')}"]
    assert not of_type(to_fhir(found, release=release).resources, "OperationOutcome")


@RELEASES
def test_row_45_who_made_it_with_which_versions(release: str) -> None:
    made = resources(release, revision=2)
    provenance = the(made, "Provenance")
    assert [by_reference(made, one)["resourceType"] for one in provenance["target"]] == ["DiagnosticReport"]
    assert [codes(one["type"]) for one in provenance["agent"]] == [["author"], ["assembler"]]
    assert provenance["agent"][1]["who"]["identifier"]["value"].startswith("dermreport|")
    assert provenance["recorded"] == FULL["recorded"]
    roles = [one["role"] for one in provenance["entity"]]
    assert roles == ["source", "source", "revision"]
    assert the(resources(release), "Provenance")["id"] != provenance["id"]


def test_row_45_a_time_that_r4_demands_and_nobody_recorded_is_said_to_be_unknown() -> None:
    reason = "http://hl7.org/fhir/StructureDefinition/data-absent-reason"
    provenance = the(resources("R4", recorded=None), "Provenance")
    assert provenance["_recorded"] == {"extension": [{"url": reason, "valueCode": "unknown"}]}
    assert "_recorded" not in the(resources("R5", recorded=None), "Provenance")


@RELEASES
def test_row_46_a_follow_up_points_to_the_earlier_report(release: str) -> None:
    # The model names an earlier report and no earlier finding, so no observation claims to follow another one.
    made = resources(release)
    urls = {one["url"] for one in objects(made) if "url" in one and "extension" not in one}
    assert "http://hl7.org/fhir/StructureDefinition/observation-sequelTo" not in urls
    references = [one["reference"] for one in objects(made) if isinstance(one.get("reference"), str)]
    assert references.count("DiagnosticReport/3") == 1


@RELEASES
def test_row_47_no_letter_is_in_a_report(release: str) -> None:
    assert "presentedForm" not in report(release)


@RELEASES
def test_row_48_a_document(release: str) -> None:
    document = to_fhir(reviewed(revision=2), release=release).bundle("document").to_dict()
    assert document["identifier"] == {"system": f"{SYSTEM}/examination", "value": "e-1/document/2"}
    assert document["timestamp"] == FULL["recorded"]
    composition = document["entry"][0]["resource"]
    assert composition["resourceType"] == "Composition"
    former = {"system": f"{SYSTEM}/examination", "value": "e-1/document/1"}
    relation = {"type": "replaces", "resourceReference": {"identifier": former}}
    if release != "R5":
        relation = {"code": "replaces", "targetIdentifier": former}
    assert composition["relatesTo"] == [relation]
    assert isinstance(composition["subject"], list) is (release == "R5")
    assert all("request" not in one for one in document["entry"])
    sections = {one["title"]: codes(one.get("code", {})) for one in composition["section"]}
    assert sections["Dermatoscopic findings"] == ["59776-5"]
    assert sections["Plan"] == ["62385-0"]
    first = to_fhir(reviewed(), release=release).bundle("document").to_dict()["entry"][0]["resource"]
    assert "relatesTo" not in first


@RELEASES
def test_row_49_every_resource_has_a_narrative_without_the_patient(release: str) -> None:
    for one in to_fhir(reviewed(), release=release).bundle("document").to_dict()["entry"]:
        made = one["resource"]
        assert made["text"]["status"] == "generated"
        assert made["text"]["div"].startswith('<div xmlns="http://www.w3.org/1999/xhtml">')
        if made["resourceType"] not in {"Composition", "Patient"}:
            for fact in ("P-4711", "Mustersfrau", "Adalgunde", "1971", "555 0100", "555 0199", "Invented Way"):
                assert fact not in made["text"]["div"]


@RELEASES
def test_row_50_profiles_are_claimed_only_when_asked(release: str) -> None:
    assert not any("meta" in one for one in resources(release))
    made = resources(release, Settings(claim_profiles=True))
    claimed = {one["resourceType"]: one["meta"]["profile"][0] for one in made if "meta" in one}
    assert claimed["DiagnosticReport"] == f"{BASE}/StructureDefinition/dermoscopy-report"
    assert all(
        re.fullmatch(r"https://dermreport\.example/fhir/StructureDefinition/[a-z-]+", one) for one in claimed.values()
    )
    unclaimed = {one["resourceType"] for one in made} - set(claimed)
    assert unclaimed == {"Patient", "Practitioner"}


def test_every_row_has_a_test() -> None:
    rows = {int(name[9:11]) for name in globals() if name.startswith("test_row_")}
    assert rows == set(range(1, 51))
