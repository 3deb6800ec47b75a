"""A real FHIR R4 server (HAPI FHIR JPA 8.8.0, strict) with our package and every example: what a clinician looks for.

What a search must find is worked out from the entries and their reviews, never from the resources that were sent.
"""

from __future__ import annotations

import tarfile
from collections.abc import Callable, Iterable, Iterator
from decimal import Decimal
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from conformance import server_reports
from conformance.server import XML
from conformance.server_reports import (
    FOLLOWED,
    Known,
    Store,
    example,
    identifier_of,
    identifiers,
    item,
    number,
    reviewed,
    short,
    token,
    whole_report,
)

import dermreport
from dermreport.examination.observed import Finding
from dermreport.examination.reader import read_json, write_json
from dermreport.fhir.ids import Thing
from dermreport.fhir.observations import finding_key
from dermreport.publication import CANONICAL_BASE
from dermreport.scores.engine import ScoreResult
from dermreport.vocabulary.attributes import Attribute
from dermreport.vocabulary.lights import Light
from dermreport.vocabulary.mapping import MAPPINGS, Relation
from dermreport.vocabulary.presences import Presence
from dermreport.vocabulary.score_methods import ScoreMethod
from dermreport.vocabulary.structures import Structure
from dermreport.vocabulary.summaries import Summary
from dermreport.vocabulary.urgencies import Urgency
from dermreport.vocabulary.verdicts import Verdict

#: What was withdrawn stays on the server, marked as such: a search for what holds must leave it out.
CURRENT = ("status:not", "entered-in-error")


USUAL = ("https://clinic.example/examinations", "2026-0417")


@pytest.fixture(scope="module")
def store() -> Store:
    return server_reports.store()


def pair(code: Any, value: str) -> str:
    """Return a composite of a code and its value, as a search has it."""
    return f"{token(code)}${value}"


def findings(store: Store, wanted: Callable[[dermreport.Review, Finding], bool]) -> set[Known]:
    """Return the identifiers of the findings that the entries have."""
    return {
        item(review, Thing.FINDING, finding_key(finding))
        for review in store.reviews.values()
        for finding in review.examination.findings
        if wanted(review, finding)
    }


def scores(store: Store, wanted: Callable[[ScoreResult], bool]) -> set[Known]:
    """Return the identifiers of the scores that the reviews have."""
    return {
        item(review, Thing.SCORE, result.method.code.value)
        for review in store.reviews.values()
        for result in review.scores.values()
        if result.valid and wanted(result)
    }


def lights_of(review: dermreport.Review, finding: Finding) -> set[Light]:
    return {view.light for view in review.examination.views if view.key in finding.views and view.light is not None}


# --- the package and the store


def test_the_package_is_installed_whole(store: Store, tmp_path: Path) -> None:
    made = server_reports.package("R4", tmp_path)
    with tarfile.open(fileobj=BytesIO(made.read_bytes())) as archive:
        files = [one for one in archive.getnames() if one.startswith("package/") and one.endswith(".json")]
        resources = [read_json(archive.extractfile(one).read()) for one in files]
    published = {(one["resourceType"], one["url"]) for one in resources if "url" in one and "resourceType" in one}
    assert len(published) > 100
    missing = {one for one in published if store.server.count(one[0], ("url", one[1])) != 1}
    assert missing == set()


def test_the_server_can_do_all_that_we_demand(store: Store) -> None:
    demanded = store.the_canonical("CapabilityStatement", "report-store")["rest"][0]
    offered = store.server.get("metadata")["rest"][0]
    can = {one["type"]: one for one in offered["resource"]}
    missing = [
        (one["type"], part["code" if names == "interaction" else "name"])
        for one in demanded["resource"]
        for names in ("interaction", "searchParam", "operation")
        for part in one.get(names, ())
        if not _names(part, can[one["type"]].get(names, ()))
    ]
    assert missing == []
    for one in demanded["resource"]:
        for ability in ("conditionalCreate", "conditionalUpdate"):
            assert can[one["type"]].get(ability, False) or not one.get(ability, False), (one["type"], ability)
    assert {one["code"] for one in demanded["interaction"]} <= {one["code"] for one in offered["interaction"]}
    assert any(one["name"] == "lesion" for one in can["DiagnosticReport"]["searchParam"])


def _names(part: dict[str, Any], offered: Iterable[dict[str, Any]]) -> bool:
    """Whether a server offers what is demanded under the same name."""
    named = {one.get("name", one.get("code")) for one in offered}
    return part.get("name", part.get("code")) in named


def test_the_server_knows_our_codes(store: Store) -> None:
    light = store.server.get(f"CodeSystem/$lookup?system={CANONICAL_BASE}/CodeSystem/light&code=polarised")
    assert {"name": "display", "valueString": Light.POLARISED.display} in light["parameter"]
    expanded = store.server.get(f"ValueSet/$expand?url={CANONICAL_BASE}/ValueSet/light")
    ours = {one["code"] for one in expanded["expansion"]["contains"] if one["system"].startswith(CANONICAL_BASE)}
    assert ours == {light.value for light in Light}
    structures = f"{CANONICAL_BASE}/CodeSystem/structure"
    for code, known in ((Structure.BLUE_WHITE_VEIL.value, True), ("no-such-structure", False)):
        answer = store.server.get(f"CodeSystem/$validate-code?url={structures}&code={code}")
        assert {"name": "result", "valueBoolean": known} in answer["parameter"]


def test_the_server_translates_our_codes(store: Store) -> None:
    (row,) = (one for one in MAPPINGS[Presence][Presence.PRESENT] if one.relation is Relation.EQUIVALENT)
    concept_map = f"{CANONICAL_BASE}/ConceptMap/to-snomed-ct"
    asked = f"url={concept_map}&system={CANONICAL_BASE}/CodeSystem/presence&code=present"
    answer = store.server.get(f"ConceptMap/$translate?{asked}")
    codes = [
        part["valueCoding"]["code"]
        for one in answer["parameter"]
        if one["name"] == "match"
        for part in one["part"]
        if part["name"] == "concept"
    ]
    assert codes == [row.code]


def test_every_example_is_stored(store: Store) -> None:
    problems = {name: answer.problems for name, answer in store.answers.items() if answer.status != 200}
    assert problems == {}
    assert len(store.answers) > 15
    for answer in store.answers.values():
        assert {one["response"]["status"][:3] for one in answer.resource["entry"]} <= {"200", "201"}
    assert store.ours(store.server.search("DiagnosticReport")) == set(store.reviews)


def test_what_is_not_valid_is_refused(store: Store) -> None:
    for damage, words in (
        ({"status": "done"}, "status"),
        ({"statuss": "final"}, "statuss"),
        ({"subject": {"reference": "Patient/nobody-knows"}}, "nobody-knows"),
    ):
        bundle = store.report(reviewed(short("clinic-refused"))).to_dict()
        store.give_host_records(bundle)
        (report,) = (
            one["resource"] for one in bundle["entry"] if one["resource"]["resourceType"] == "DiagnosticReport"
        )
        report.update(damage)
        answer = store.server.post("", bundle)
        assert answer.status in {400, 404, 422}, damage
        assert words in " ".join(answer.problems), damage
    assert store.server.count("DiagnosticReport", ("patient", "Patient/clinic-refused")) == 0
    assert store.server.count("Observation", ("patient", "Patient/clinic-refused")) == 0


# --- reports


def test_reports_of_a_patient(store: Store) -> None:
    patients = {review.examination.patient.reference for review in store.reviews.values()} - {None}
    assert len(patients) > 10
    for patient in patients:
        expected = {known for known, one in store.reviews.items() if one.examination.patient.reference == patient}
        assert identifiers(store.server.search("DiagnosticReport", ("patient", patient))) == expected


def followed_lesion(store: Store) -> tuple[str, set[Known]]:
    """Return the number of the lesion with several visits, and their reports."""
    value = example(FOLLOWED)["lesion"]["identifier"]
    reports = {
        known
        for known, review in store.reviews.items()
        if (lesion := review.examination.lesion) is not None
        and lesion.identifier is not None
        and (lesion.identifier.system, lesion.identifier.value) == (value["system"], value["value"])
    }
    assert len(reports) > 2
    return f"{value['system']}|{value['value']}", reports


def test_reports_of_a_lesion_across_visits(store: Store) -> None:
    lesion, expected = followed_lesion(store)
    found = store.server.search("DiagnosticReport", ("lesion.identifier", lesion), ("_sort", "-date"))
    assert identifiers(found) == expected
    days = sorted((store.reviews[known].examination.examined[:10] for known in expected), reverse=True)
    assert [one["effectiveDateTime"][:10] for one in found] == days
    # All visits point to one lesion, which the later ones didn't create again.
    (structure,) = store.server.search("BodyStructure", ("identifier", lesion))
    assert structure["meta"]["versionId"] == "1"
    by_id = store.server.search("DiagnosticReport", ("lesion", f"BodyStructure/{structure['id']}"))
    assert identifiers(by_id) == expected


def test_findings_of_a_lesion_across_visits(store: Store) -> None:
    # A server without our search parameter: the standard's own, over the findings.
    lesion, expected = followed_lesion(store)
    seen = store.server.search(
        "Observation", CURRENT, ("focus:BodyStructure.identifier", lesion), ("code", token(Attribute.LESION_SIZE))
    )
    assert len(seen) == len(expected)
    found = store.server.search("DiagnosticReport", ("result:Observation.focus:BodyStructure.identifier", lesion))
    assert identifiers(found) == expected


def test_reports_by_date(store: Store) -> None:
    first, after = "2026-03-10", "2026-03-18"
    expected = {
        known
        for known, review in store.reviews.items()
        if review.examination.examined is not None and first <= review.examination.examined[:10] < after
    }
    assert 1 < len(expected) < len(store.reviews)
    found = store.server.search("DiagnosticReport", ("date", f"ge{first}"), ("date", f"lt{after}"))
    assert store.ours(found) == expected


@pytest.mark.parametrize("summary", list(Summary))
def test_reports_by_their_conclusion(store: Store, summary: Summary) -> None:
    expected = {known for known, review in store.reviews.items() if review.summary is summary}
    assert expected
    assert store.ours(store.server.search("DiagnosticReport", ("conclusion", token(summary)))) == expected


def test_a_report_that_an_error_makes_preliminary_is_found_as_such(store: Store) -> None:
    expected = {known for known, review in store.reviews.items() if review.has_errors}
    assert expected
    assert store.ours(store.server.search("DiagnosticReport", ("status", "preliminary"))) == expected


# --- findings


def test_findings_by_code(store: Store) -> None:
    structures = {
        finding.structure
        for review in store.reviews.values()
        for finding in review.examination.findings
        if isinstance(finding.structure, Structure) and finding.presence is Presence.PRESENT
    }
    assert len(structures) > 20
    for structure in structures:
        expected = findings(
            store, lambda _, one, wanted=structure: one.structure is wanted and one.presence is Presence.PRESENT
        )
        found = store.server.search(
            "Observation", CURRENT, ("code-value-concept", pair(structure, token(Presence.PRESENT)))
        )
        assert store.ours(found) == expected, structure


def test_reports_in_which_a_structure_is_present(store: Store) -> None:
    expected = {
        number(review)
        for review in store.reviews.values()
        if any(
            one.structure is Structure.BLUE_WHITE_VEIL and one.presence is Presence.PRESENT
            for one in review.examination.findings
        )
    }
    assert expected
    present = pair(Structure.BLUE_WHITE_VEIL, token(Presence.PRESENT))
    chain = "result:Observation.has-member:Observation.code-value-concept"
    assert store.ours(store.server.search("DiagnosticReport", (chain, present))) == expected


@pytest.mark.parametrize("light", [Light.POLARISED, Light.NON_POLARISED])
def test_findings_by_light(store: Store, light: Light) -> None:
    expected = findings(store, lambda review, one: light in lights_of(review, one))
    assert expected
    category = ("category", token(Attribute.FINDING))
    by_component = store.server.search(
        "Observation", CURRENT, category, ("component-code-value-concept", pair(Attribute.LIGHT, token(light)))
    )
    assert store.ours(by_component) == expected
    by_view = store.server.search(
        "Observation", CURRENT, category, ("derived-from:Observation.value-concept", token(light))
    )
    assert store.ours(by_view) == expected


def test_findings_by_code_and_light(store: Store) -> None:
    structure, light = Structure.SHINY_WHITE_STRANDS, Light.POLARISED
    expected = findings(
        store,
        lambda review, one: (
            one.structure is structure and one.presence is Presence.PRESENT and light in lights_of(review, one)
        ),
    )
    found = store.server.search(
        "Observation",
        CURRENT,
        ("code-value-concept", pair(structure, token(Presence.PRESENT))),
        ("component-code-value-concept", pair(Attribute.LIGHT, token(light))),
    )
    assert store.ours(found) == expected


def test_absent_in_a_light_that_cannot_show_it_is_not_found_as_absent(store: Store) -> None:
    entry = short("clinic-light")
    entry["views"] = [{"key": "np", "light": "non-polarised", "contact": "contact", "immersion": ["gel"]}]
    entry["findings"] = [{"structure": "shiny-white-strands", "presence": "absent", "views": ["np"]}]
    review = reviewed(entry)
    store.store(review)
    theirs = ("patient", "Patient/clinic-light")
    strands = ("code", token(Structure.SHINY_WHITE_STRANDS))
    assert store.server.search("Observation", CURRENT, theirs, strands, ("value-concept", token(Presence.ABSENT))) == []
    (finding,) = store.server.search("Observation", CURRENT, theirs, strands, ("data-absent-reason", "not-performed"))
    assert identifier_of(finding) == item(review, Thing.FINDING, "shiny-white-strands")
    # What the clinician wrote is kept, and can be found by name.
    written = pair(Attribute.RECORDED_ANSWER, token(Presence.ABSENT))
    (same,) = store.server.search("Observation", CURRENT, theirs, ("component-code-value-concept", written))
    assert same["id"] == finding["id"]


# --- scores


@pytest.mark.parametrize("verdict", [Verdict.ABOVE_THRESHOLD, Verdict.BELOW_THRESHOLD, Verdict.NOT_SETTLED])
def test_scores_by_verdict(store: Store, verdict: Verdict) -> None:
    expected = scores(store, lambda result: result.verdict is verdict)
    assert expected
    found = store.server.search(
        "Observation", CURRENT, ("component-code-value-concept", pair(Attribute.VERDICT, token(verdict)))
    )
    assert store.ours(found) == expected


def test_totals_at_or_above_a_number(store: Store) -> None:
    for method, least in (
        (ScoreMethod.SEVEN_POINT, Decimal(3)),
        (ScoreMethod.THREE_POINT, Decimal(2)),
        (ScoreMethod.TOTAL_DERMOSCOPY_SCORE, Decimal("4.75")),
    ):
        exact = scores(
            store, lambda one, m=method, n=least: one.method.code is m and one.low == one.high and one.low >= n
        )
        found = store.server.search("Observation", CURRENT, ("code-value-quantity", pair(method, f"ge{least}")))
        assert store.ours(found) == exact, method
        # An interval has no one value: a worklist that must miss nobody asks for the highest possible total too.
        possible = scores(store, lambda one, m=method, n=least: one.method.code is m and one.high >= n)
        reaching = store.server.search(
            "Observation",
            CURRENT,
            ("code", token(method)),
            ("component-code-value-quantity", pair(Attribute.SCORE_HIGH, f"ge{least}")),
        )
        assert store.ours(found) | store.ours(reaching) == possible, method
    assert possible - exact


def test_reports_with_a_score_at_or_above_its_threshold(store: Store) -> None:
    expected = {
        known
        for known, review in store.reviews.items()
        if any(one.verdict is Verdict.ABOVE_THRESHOLD for one in review.scores.values())
    }
    above = pair(Attribute.VERDICT, token(Verdict.ABOVE_THRESHOLD))
    found = store.server.search("DiagnosticReport", ("result:Observation.component-code-value-concept", above))
    assert store.ours(found) == expected


def test_every_score_that_is_found_shows_its_cautions(store: Store) -> None:
    found = store.server.search("Observation", CURRENT, ("code", ",".join(token(method) for method in ScoreMethod)))
    found = [one for one in found if identifier_of(one) in store.sent]
    assert len(found) == len(scores(store, lambda _: True))
    for one in found:
        assert "excludes nothing" in one["note"][0]["text"]
        assert {"N", "NEG"}.isdisjoint(
            coding["code"] for concept in one.get("interpretation", ()) for coding in concept["coding"]
        )


# --- the plan


def test_the_plan_of_a_report(store: Store) -> None:
    planned = 0
    for known, review in store.reviews.items():
        plan = review.examination.plan
        expected = {item(review, Thing.ACTION, one.key) for one in plan.actions} if plan is not None else set()
        found = store.server.search("ServiceRequest", CURRENT, ("requisition", "|".join(known)))
        assert identifiers(found) == expected
        planned += len(expected)
    assert planned > 15


def test_open_urgent_requests_of_everybody(store: Store) -> None:
    expected = {
        item(review, Thing.ACTION, one.key)
        for review in store.reviews.values()
        if review.examination.plan is not None
        for one in review.examination.plan.actions
        if one.urgency is not None and one.urgency.rank >= Urgency.URGENT.rank
    }
    assert expected
    found = store.server.search(
        "ServiceRequest",
        ("status", "active"),
        ("priority", "urgent,asap,stat"),
        ("_include", "ServiceRequest:subject"),
    )
    requests = [one for one in found if one["resourceType"] == "ServiceRequest"]
    assert expected <= store.ours(requests)
    here = {f"Patient/{one['id']}" for one in found if one["resourceType"] == "Patient"}
    subjects = {one["subject"]["reference"] for one in requests}
    # A patient of another server is pointed to, and can't be included.
    assert here == {one for one in subjects if not one.startswith("https:")}


# --- whole reports


def references(value: Any) -> Iterator[str]:
    for one in server_reports.objects(value):
        if isinstance(one.get("reference"), str):
            yield one["reference"]


def test_one_search_brings_a_report_with_all_that_it_rests_on(store: Store) -> None:
    for known, review in store.reviews.items():
        found = store.server.search("DiagnosticReport", *whole_report(known))
        (report,) = (one for one in found if one["resourceType"] == "DiagnosticReport")
        assert identifier_of(report) == known
        here = {f"{one['resourceType']}/{one['id']}" for one in found}
        open_ends = {
            reference
            for one in found
            if one["resourceType"] in {"DiagnosticReport", "Observation"}
            for reference in references(one)
            if reference.startswith(("Observation/", "BodyStructure/", "Media/", "Patient/"))
        } - here
        assert open_ends == set()
        numbered = identifiers(one for one in found if one["resourceType"] == "Observation")
        assert findings(store, lambda one, _, this=review: one is this) <= numbered
        assert len([one for one in found if one["resourceType"] == "Media"]) == len(review.examination.images)
        plan = review.examination.plan
        planned = {item(review, Thing.ACTION, one.key) for one in plan.actions} if plan is not None else set()
        assert planned <= identifiers(one for one in found if one["resourceType"] == "ServiceRequest")
        departures = {item(review, Thing.DEPARTURE, one.key) for one in plan.departures} if plan is not None else set()
        assert departures <= identifiers(one for one in found if one["resourceType"] == "DetectedIssue")
        advice = plan is not None and plan.safety_net is not None
        assert len([one for one in found if one["resourceType"] == "Communication"]) == advice
        assert len([one for one in found if one["resourceType"] == "Provenance"]) >= 1


def test_everything_of_a_patient(store: Store) -> None:
    found = [one["resource"] for page in store.server.pages("Patient/p-2031/$everything", []) for one in page["entry"]]
    kinds = {one["resourceType"] for one in found}
    assert kinds >= {"Patient", "DiagnosticReport", "Observation", "BodyStructure", "ServiceRequest", "Media"}
    patients = {one["id"] for one in found if one["resourceType"] == "Patient"}
    assert patients == {"p-2031"}


#: Terminologies that a server without a licence for them, or without their files, can't check: it warns.
NOT_ON_THE_SERVER = ("http://loinc.org", "http://snomed.info/sct")


def test_the_server_validates_what_it_stored(store: Store) -> None:
    found = store.server.search("DiagnosticReport", *whole_report(("https://clinic.example/examinations", "2026-0418")))
    by_profile = {one["meta"]["profile"][0]: one for one in found if "profile" in one["meta"]}
    assert len(by_profile) > 10
    for profile, one in by_profile.items():
        answer = store.server.get(f"{one['resourceType']}/{one['id']}/$validate?profile={profile}")
        said = [issue for issue in answer["issue"] if issue["severity"] != "information"]
        assert [
            issue
            for issue in said
            if issue["severity"] != "warning" or not any(url in issue["diagnostics"] for url in NOT_ON_THE_SERVER)
        ] == [], profile


def test_the_server_validates_what_is_not_stored_yet(store: Store) -> None:
    bundle = store.report(reviewed(short("clinic-validate"))).to_dict()
    parameters = {"resourceType": "Parameters", "parameter": [{"name": "resource", "resource": bundle}]}
    answer = store.server.post("Bundle/$validate", parameters)
    assert answer.status == 200
    assert answer.problems == []
    (report,) = (one["resource"] for one in bundle["entry"] if one["resource"]["resourceType"] == "DiagnosticReport")
    del report["code"]
    damaged = store.server.post("Bundle/$validate", parameters)
    assert any("code" in one for one in damaged.problems)


def test_a_document_is_stored_and_found(store: Store) -> None:
    review = reviewed(server_reports.at_clinic("clinic-document", "usual"))
    document = dermreport.to_fhir(review, release="R4").bundle("document").to_dict()
    system, value = identifier_of(document)
    once = {"If_None_Exist": f"identifier={system}|{value}"}
    assert store.server.post("Bundle", document, **once).status == 201
    assert store.server.post("Bundle", document, **once).status == 200
    (stored,) = store.server.search("Bundle", ("identifier", f"{system}|{value}"), ("type", "document"))
    # The server's own: an id, a version.
    del stored["id"]
    stored["meta"] = {"profile": stored["meta"]["profile"]}
    # The server drops the ids of the resources inside; the address of each entry still has them.
    for entry in document["entry"]:
        assert entry["fullUrl"] == f"urn:uuid:{entry['resource'].pop('id')}"
    # And it writes an apostrophe of the narrative as itself.
    assert write_json(stored) == write_json(document).replace("&#39;", "'")


def test_a_filled_form_is_checked_and_stored(store: Store) -> None:
    response = dermreport.to_response(store.reviews[USUAL].examination, release="R4")
    created = store.server.post("QuestionnaireResponse", response)
    assert created.status == 201, created.problems
    (stored,) = store.server.search("QuestionnaireResponse", ("questionnaire", response["questionnaire"]))
    assert dermreport.from_response(write_json(stored)).examination == store.reviews[USUAL].examination
    response["item"].append({"linkId": "no-such-question", "answer": [{"valueBoolean": True}]})
    refused = store.server.post("QuestionnaireResponse", response)
    assert refused.status == 422
    assert any("no-such-question" in one for one in refused.problems)


def test_xml_in_and_out(store: Store) -> None:
    review = reviewed(short("clinic-xml"))
    bundle = store.report(review)
    store.give_host_records(bundle.to_dict())
    answer = store.server.send("POST", "", bundle.to_xml(), Content_Type=f"{XML}; charset=utf-8", Accept=XML)
    assert answer.status == 200, answer.text
    assert answer.headers["content-type"].startswith(XML)
    assert store.server.count("DiagnosticReport", ("patient", "Patient/clinic-xml")) == 1
