"""Sending: the same entry gives the same ids, sent twice nothing changes, and what is withdrawn says so."""

from __future__ import annotations

import json
import re
import uuid
from typing import Any
from urllib.parse import unquote

import pytest
from fhir_cases import (
    FULL,
    SYSTEM,
    components,
    entry,
    examination,
    extensions,
    of_type,
    resources,
    reviewed,
    scalars,
    the,
)
from hypothesis import given
from strategies import WHOLE_EXAMINATIONS, usual_examinations

from dermreport.examination.people import URN_SYSTEM, Identifier
from dermreport.fhir import Report, to_fhir
from dermreport.fhir.ids import MAX_VALUE, NAMESPACE, Identity, Thing, search
from dermreport.fhir.resources import in_order
from dermreport.issues import BuildError, SettingsError
from dermreport.publication import CANONICAL_BASE
from dermreport.reviews import review
from dermreport.settings import PersonEntry, Settings


def transaction(**changes: Any) -> dict[str, Any]:
    return to_fhir(reviewed(**changes)).bundle("transaction").to_dict()


def requests(bundle: dict[str, Any]) -> list[dict[str, Any]]:
    return [one["request"] for one in bundle["entry"]]


# RFC 9562, 5.5: a UUID of version 5 is the SHA-1 of namespace and name; the standard library is the other witness.
@pytest.mark.parametrize("key", ["a", "v-1", "", "x" * 64])
def test_ids_are_name_based_uuids(key: str) -> None:
    identity = Identity(Identifier(system="urn:x-host:1", value="e|1"))
    assert identity.uuid(Thing.VIEW, key) == str(uuid.uuid5(NAMESPACE, f"urn:x-host:1|e|1|view|{key}"))
    assert uuid.uuid5(uuid.NAMESPACE_URL, CANONICAL_BASE) == NAMESPACE


def test_item_identifiers_are_the_examination_kind_and_key() -> None:
    values = {one["identifier"][0]["value"] for one in resources() if one["resourceType"] != "Provenance"}
    assert {"e-1", "e-1/view/v1", "e-1/image/i1", "e-1/finding/blue-white-veil/central", "e-1/score/menzies"} <= values
    assert {"e-1/impression/a", "e-1/plan/p1", "e-1/panel/findings", "e-1/outcome/o1", "e-1/departure/d"} <= values
    assert {"e-1/statement/growing", "e-1/safety-net", "e-1/bedside-test/tape", "e-1/bedside-test/tape/2"} <= values


def test_an_examination_without_a_system_is_known_by_urns() -> None:
    number = "0f7c1f5e-3a61-4a53-8a4c-2f6a9d6f2d11"
    for identifier in ({"value": number}, {"value": f"urn:uuid:{number}"}):
        made = resources(identifier=identifier)
        (known,) = the(made, "DiagnosticReport")["identifier"]
        assert (known["system"], known["value"]) == ("urn:ietf:rfc:3986", f"urn:uuid:{number}")
        # The less usual way to enter it stands beside, so that it can be read back.
        as_entered = [one["valueString"] for one in extensions(known, "as-entered")]
        assert as_entered == [number for number in identifier.values() if number.startswith("urn:")]
        for one in of_type(made, "Observation"):
            assert one["identifier"] == [{"system": URN_SYSTEM, "value": f"urn:uuid:{one['id']}"}]


def test_a_long_number_still_tells_items_apart() -> None:
    # HAPI FHIR indexes the first 200 characters of a token's value.
    made = resources(identifier={"system": f"{SYSTEM}/x", "value": "n" * 185})
    values = [one["identifier"][0]["value"] for one in of_type(made, "Observation")]
    assert len({value[:200] for value in values}) == len(values)
    assert all(len(value) <= MAX_VALUE for value in values)


def test_every_id_and_every_identifier_is_unique() -> None:
    made = resources()
    assert len({one["id"] for one in made}) == len(made)
    numbers = [json.dumps(one["identifier"][0]) for one in made if "identifier" in one]
    assert len(set(numbers)) == len(numbers)


@WHOLE_EXAMINATIONS
@given(usual_examinations())
def test_ids_are_unique_and_repeat(examination: Any) -> None:
    report = to_fhir(review(examination))
    made = report.resources
    assert len({one["id"] for one in made}) == len(made)
    assert report.bundle("transaction").to_json() == to_fhir(review(examination)).bundle("transaction").to_json()


def test_ids_do_not_depend_on_place_or_content() -> None:
    def ids(made: tuple[dict[str, Any], ...]) -> dict[str, str]:
        return {one["identifier"][0]["value"]: one["id"] for one in made if "identifier" in one}

    reverse = resources(
        findings=list(reversed(FULL["findings"])),
        patient={"identifiers": [{"system": f"{SYSTEM}/patient", "value": "another"}]},
        assessment=FULL["assessment"] | {"words": "changed"},
    )
    first, second = ids(resources()), ids(reverse)
    assert {value: one for value, one in first.items() if value in second} == {
        value: one for value, one in second.items() if value in first
    }


def test_no_fact_on_the_patient_is_in_an_id_or_an_identifier_of_ours() -> None:
    made = [one for one in resources() if one["resourceType"] not in {"Patient", "Practitioner"}]
    numbers = json.dumps([one.get("identifier") for one in made])
    for fact in ("P-4711", "Mustersfrau", "Adalgunde", "1971", "0100"):
        assert fact not in numbers


# FHIR R4, 3.1.0.11.2: conditional create.
def test_revision_one_is_created_where_it_does_not_exist() -> None:
    bundle = transaction()
    for one in bundle["entry"]:
        kind, request = one["resource"]["resourceType"], one["request"]
        if kind == "Provenance":
            assert request == {"method": "PUT", "url": f"Provenance/{one['resource']['id']}"}
        else:
            assert request["method"] == "POST"
            assert request["url"] == kind
            number = one["resource"]["identifier"][0]
            assert unquote(request["ifNoneExist"]) == f"identifier={number['system']}|{number['value']}"
            assert "id" not in one["resource"]


# FHIR R4, 3.1.0.10.3: conditional update.
def test_later_revisions_are_updated_by_identifier_and_people_and_lesions_never() -> None:
    bundle = transaction(revision=2, status="amended")
    for one in bundle["entry"]:
        kind, request = one["resource"]["resourceType"], one["request"]
        if kind in {"Patient", "Practitioner", "BodyStructure"}:
            assert request["method"] == "POST"
            assert "ifNoneExist" in request
        else:
            assert request["method"] == "PUT"
            assert request["url"].startswith((f"{kind}?identifier=", f"{kind}/"))


def test_sent_again_it_is_the_same_request() -> None:
    assert transaction() == transaction()
    assert requests(transaction(revision=2)) == requests(transaction(revision=2))


def test_a_late_copy_only_creates() -> None:
    # What revision 1 asks for can't change what revision 2 left: it creates only where nothing is.
    late = [one for one in requests(transaction()) if not one["url"].startswith("Provenance/")]
    assert {one["method"] for one in late} == {"POST"}
    assert all("ifNoneExist" in one for one in late)
    first, second = (the(resources(revision=number), "Provenance")["id"] for number in (1, 2))
    assert first != second


def test_if_match_stands_on_the_report_alone() -> None:
    def matches(report: Report) -> list[str]:
        entries = report.bundle("transaction").to_dict()["entry"]
        return [one["resource"]["resourceType"] for one in entries if "ifMatch" in one["request"]]

    assert matches(to_fhir(reviewed(revision=2), if_match='W/"3"')) == ["DiagnosticReport"]
    assert matches(to_fhir(reviewed(revision=2))) == []
    assert matches(to_fhir(reviewed(revision=1), if_match='W/"3"')) == []


# FHIR R4, 3.1.1.4.20: «\», «$», «,» and «|» are escaped in values of a search.
@pytest.mark.parametrize(
    ("value", "escaped"),
    [("a|b", r"a\|b"), ("a,b", r"a\,b"), ("a$b", r"a\$b"), ("a\\b", r"a\\b"), ("a b&c=d?e#f", "a b&c=d?e#f")],
)
def test_searches_are_escaped_and_encoded(value: str, escaped: str) -> None:
    made = search("https://x.example/ids", value)
    assert unquote(made) == f"identifier=https://x.example/ids|{escaped}"
    assert re.fullmatch(r"identifier=[A-Za-z0-9:/|~.%_-]+", made)


WITHDRAWN_STATUS = {
    "Observation": "status",
    "Media": "status",
    "DocumentReference": "status",
    "ServiceRequest": "status",
    "Communication": "status",
    "DetectedIssue": "status",
}


@pytest.mark.parametrize("release", ["R4", "R5"])
def test_what_a_revision_lacks_is_sent_as_entered_in_error(release: str) -> None:
    former = reviewed()
    fewer = {"findings": FULL["findings"][1:], "images": None, "outcomes": None, "background": None}
    current = reviewed(revision=2, plan={"actions": FULL["plan"]["actions"][1:]}, views=FULL["views"][1:], **fewer)
    made = to_fhir(current, release=release, earlier=former).resources
    gone = {one["id"]: one for one in made if one.get("status") == "entered-in-error"}
    before = {one["id"] for one in to_fhir(former, release=release).resources}
    now = {one["id"] for one in to_fhir(current, release=release).resources}
    kinds = {one["resourceType"] for one in made if one["id"] in gone}
    assert set(gone) == {one for one in before - now if one not in _never_withdrawn(former, release)}
    assert {"Observation", "ServiceRequest", "Communication", "DetectedIssue"} <= kinds
    assert kinds & {"Media", "DocumentReference"}
    assert not kinds & {"Patient", "Practitioner", "BodyStructure", "DiagnosticReport"}
    # Every reference within the bundle has its target.
    targets = {f"urn:uuid:{one['id']}" for one in made}
    references = {value for name, value in scalars(made) if name == "reference" and value.startswith("urn:uuid:")}
    assert references <= targets
    if release == "R5":
        assert {one["docStatus"] for one in made if one["resourceType"] == "DocumentReference"} == {"entered-in-error"}


def _never_withdrawn(former: Any, release: str) -> set[str]:
    report = to_fhir(former, release=release)
    kept = {"Patient", "Practitioner", "BodyStructure", "Provenance"}
    return {one["id"] for one in report.resources if one["resourceType"] in kept}


def test_a_withdrawal_updates_by_identifier() -> None:
    current = reviewed(revision=2, outcomes=None)
    entries = to_fhir(current, earlier=reviewed()).bundle("transaction").to_dict()["entry"]
    (gone,) = [one for one in entries if one["resource"].get("status") == "entered-in-error"]
    assert gone["request"]["method"] == "PUT"
    assert unquote(gone["request"]["url"]) == f"Observation?identifier={SYSTEM}/examination|e-1/outcome/o1"


def test_another_lesion_or_examiner_leaves_no_reference_without_target() -> None:
    lesion = FULL["lesion"] | {"identifier": {"system": f"{SYSTEM}/lesion", "value": "L-78"}}
    current = reviewed(revision=2, lesion=lesion, examiner=None, patient={"reference": "Patient/1"}, findings=None)
    bundle = to_fhir(current, earlier=reviewed()).bundle("transaction").to_dict()
    targets = {one["fullUrl"] for one in bundle["entry"]}
    references = {value for name, value in scalars(bundle) if name == "reference" and value.startswith("urn:uuid:")}
    assert references <= targets
    created = [one["resource"]["resourceType"] for one in bundle["entry"] if one["request"]["method"] == "POST"]
    assert created == ["BodyStructure", "Patient", "Practitioner", "BodyStructure"]


def test_nothing_is_withdrawn_without_the_former_revision_and_the_outcome_says_so() -> None:
    def said(report: Report) -> bool:
        rules = [one["details"].get("coding", [{}])[0].get("code") for one in report.outcome()["issue"]]
        return "former-revision-not-given" in rules

    alone = to_fhir(reviewed(revision=2, outcomes=None))
    assert [one for one in alone.resources if one.get("status") == "entered-in-error"] == []
    assert said(alone)
    assert not said(to_fhir(reviewed(revision=2), earlier=reviewed()))
    assert not said(to_fhir(reviewed()))


@pytest.mark.parametrize("status", ["entered-in-error"])
@pytest.mark.parametrize("release", ["R4", "R5"])
def test_a_withdrawn_examination_is_withdrawn_in_every_part(status: str, release: str) -> None:
    made = resources(release, status=status, revision=2)
    for one in made:
        if one["resourceType"] in {"Patient", "Practitioner", "BodyStructure", "Provenance"}:
            assert "status" not in one
        else:
            assert one["status"] == "entered-in-error"


@pytest.mark.parametrize(
    ("earlier", "words"),
    [
        ({"identifier": {"system": f"{SYSTEM}/examination", "value": "e-2"}}, "another examination"),
        ({"revision": 2}, "former revision"),
        ({"revision": 3}, "former revision"),
    ],
)
def test_earlier_must_be_a_former_revision(earlier: dict[str, Any], words: str) -> None:
    with pytest.raises(BuildError, match=words) as raised:
        to_fhir(reviewed(revision=2), earlier=reviewed(**earlier))
    assert "e-1" not in str(raised.value)


def test_a_reference_of_the_host_is_used_as_it_is() -> None:
    made = resources(patient={"reference": "Patient/77"}, examiner={"reference": "https://h.example/Practitioner/9"})
    assert not of_type(made, "Patient")
    assert not of_type(made, "Practitioner")
    subjects = {json.dumps(one["subject"]) for one in of_type(made, "Observation")}
    assert subjects == {'{"reference": "Patient/77"}'}
    assert the(made, "BodyStructure")["patient"] == {"reference": "Patient/77"}
    assert the(made, "DiagnosticReport")["performer"][0] == {"reference": "https://h.example/Practitioner/9"}


def test_details_beside_a_reference_of_the_host_are_kept_in_the_report() -> None:
    report = the(resources(patient=FULL["patient"] | {"reference": "Patient/77"}), "DiagnosticReport")
    kept = next(one for one in report["contained"] if one["resourceType"] == "Patient")
    assert extensions(kept, "host-reference")[0]["valueString"] == "Patient/77"
    assert kept["name"] == [{"family": "Mustersfrau", "given": ["Adalgunde"]}]
    assert kept["identifier"] == [{"system": f"{SYSTEM}/patient", "value": "P-4711"}]
    assert extensions(report, "patient-as-entered")[0]["valueReference"] == {"reference": f"#{kept['id']}"}


def test_details_of_a_person_who_may_be_there_already_are_kept_in_the_report() -> None:
    # A server that knows the number keeps its own Patient, with the details that it has.
    report = the(resources(), "DiagnosticReport")
    kept = next(one for one in report["contained"] if one["resourceType"] == "Patient")
    assert kept["birthDate"] == "1971-02-03"
    assert extensions(kept, "host-reference") == []


def test_match_only_creates_nobody() -> None:
    settings = Settings(persons=PersonEntry.MATCH_ONLY)
    bundle = to_fhir(reviewed(settings)).bundle("transaction").to_dict()
    assert not [one for one in bundle["entry"] if one["resource"]["resourceType"] in {"Patient", "Practitioner"}]
    report = next(one["resource"] for one in bundle["entry"] if one["resource"]["resourceType"] == "DiagnosticReport")
    assert report["subject"] == {"reference": f"Patient?identifier={SYSTEM}/patient|P-4711"}
    assert {one["resourceType"] for one in report["contained"]} == {"Patient", "Practitioner"}


def test_match_only_without_a_number_points_by_a_logical_reference() -> None:
    settings = Settings(persons=PersonEntry.MATCH_ONLY)
    bundle = to_fhir(reviewed(settings, patient={"details": {"family": "X"}})).bundle("transaction").to_dict()
    report = next(one["resource"] for one in bundle["entry"] if one["resource"]["resourceType"] == "DiagnosticReport")
    assert report["subject"]["type"] == "Patient"
    assert "reference" not in report["subject"]


def test_a_reference_of_another_type_is_kept_beside() -> None:
    report = the(resources(encounter={"reference": "Patient/5"}), "DiagnosticReport")
    assert "reference" not in report["encounter"]
    assert extensions(report["encounter"], "host-reference")[0]["valueString"] == "Patient/5"


@pytest.mark.parametrize("release", ["R4", "R5"])
def test_a_document_holds_all_that_it_points_to(release: str) -> None:
    patient = FULL["patient"] | {"reference": "Patient/77"}
    document = to_fhir(reviewed(patient=patient), release=release).bundle("document").to_dict()
    targets = {one["fullUrl"] for one in document["entry"]}
    references = {value for name, value in scalars(document) if name == "reference"}
    assert references <= targets
    person = next(one["resource"] for one in document["entry"] if one["resource"]["resourceType"] == "Patient")
    assert extensions(person, "host-reference")[0]["valueString"] == "Patient/77"


@pytest.mark.parametrize(
    ("changes", "words"),
    [({"examiner": None}, "examiner"), ({"recorded": None, "examined": "2026-03-04"}, "recorded")],
)
def test_a_document_says_what_is_missing(changes: dict[str, Any], words: str) -> None:
    report = to_fhir(reviewed(**changes))
    with pytest.raises(BuildError, match=words):
        report.bundle("document")
    assert report.bundle("transaction").to_dict()["entry"]


def test_a_document_can_take_its_time_from_the_examination() -> None:
    document = to_fhir(reviewed(recorded=None)).bundle("document").to_dict()
    assert document["timestamp"] == FULL["examined"]


def visit(*changes: dict[str, Any], **options: Any) -> Report:
    made = []
    for position, one in enumerate(changes):
        number = {"identifier": {"system": f"{SYSTEM}/examination", "value": f"e-{position}"}}
        made.append(review(examination(**number | one)))
    return to_fhir(made, **options)


@pytest.mark.parametrize("release", ["R4", "R5"])
def test_a_visit_has_one_patient_and_a_report_for_each_lesion(release: str) -> None:
    lesions = [
        {"lesion": FULL["lesion"] | {"identifier": {"system": f"{SYSTEM}/lesion", "value": f"L-{one}"}, "label": one}}
        for one in ("A", "B", "C")
    ]
    report = visit(*lesions, release=release)
    made = report.resources
    assert len(of_type(made, "Patient")) == len(of_type(made, "Practitioner")) == 1
    assert len(of_type(made, "DiagnosticReport")) == len(of_type(made, "BodyStructure")) == 3
    assert len({one["id"] for one in made}) == len(made)
    document = report.bundle("document").to_dict()
    composition = document["entry"][0]["resource"]
    assert [one["title"][:9] for one in composition["section"]] == ["Lesion A:", "Lesion B:", "Lesion C:"]
    assert document["identifier"]["system"] == URN_SYSTEM
    report.bundle("document").typed()


def test_two_patients_are_refused() -> None:
    with pytest.raises(BuildError, match="different patients") as raised:
        visit({}, {"patient": {"reference": "Patient/2"}})
    assert "Mustersfrau" not in str(raised.value)


def test_one_examination_twice_is_refused() -> None:
    with pytest.raises(BuildError, match="same identifier"):
        to_fhir([reviewed(), reviewed(revision=2)])


def test_nothing_to_report_is_refused() -> None:
    with pytest.raises(BuildError, match="no examination"):
        to_fhir([])


def test_an_unknown_release_or_kind_is_refused() -> None:
    with pytest.raises(SettingsError, match=r"^to_fhir: release is one of R4, R4B, R5$"):
        to_fhir(reviewed(), release="R3")
    with pytest.raises(SettingsError, match=r"^bundle: kind is one of transaction, collection, document$"):
        to_fhir(reviewed()).bundle("batch")


@pytest.mark.parametrize("good", ['W/"1"', f'W/"{"9" * 64}"', 'W/"a-B.3"'])
def test_if_match_is_an_entity_tag(good: str) -> None:
    told = to_fhir(reviewed(revision=2), if_match=good).bundle().to_json()
    assert f'"ifMatch":{json.dumps(good)}' in told.replace('": ', '":')


#: RFC 9110, 8.8.3, and FHIR's type ``id``, which a versionId is.
NO_TAGS = ("", "1", '"1"', "W/1", 'W/""', f'W/"{"9" * 65}"', 'w/"1"', 'W/"1"\r\nX: y', 'W/"1"\n', 'W/"1", W/"2"', "*",
           'W/"marker x"', 'W/"é"')  # fmt: skip


@pytest.mark.parametrize("wrong", NO_TAGS)
def test_what_is_no_entity_tag_is_refused_without_its_value(wrong: str) -> None:
    with pytest.raises(SettingsError, match=r"^to_fhir: if_match is the version") as raised:
        to_fhir(reviewed(revision=2), if_match=wrong)
    assert "marker" not in str(raised.value)
    assert "\r" not in str(raised.value)


# FHIR R4, per-1: a period doesn't end before it begins.
@pytest.mark.parametrize(
    ("start", "end", "expected"),
    [
        ("2026-03-04", "2026-03-04", True),
        ("2026-03-05", "2026-03-04", False),
        ("2026-03", "2026-03-04", True),
        ("2026-04", "2026-03-04", False),
        ("2026", "2026-01-01T00:00:00Z", True),
        ("2026-03-04T23:00:00-12:00", "2026-03-05T01:00:00+14:00", False),
        ("2026-03-05T00:30:00+14:00", "2026-03-04T23:00:00-10:00", True),
        ("2026-03-04T10:00:60Z", "2026-03-05T10:00:00Z", False),
    ],
)
def test_a_window_is_a_period_only_where_it_can_be_one(start: str, end: str, *, expected: bool) -> None:
    assert in_order(start, end) is expected
    action = {"key": "p", "action": "refer-dermatology", "earliest": start, "latest": end}
    request = the(resources(plan={"actions": [action]}), "ServiceRequest")
    assert ("occurrencePeriod" in request) is expected
    told = {one["url"]: one["valueDateTime"] for one in extensions(request, "plan-interval")[0]["extension"]}
    assert told == {"earliest": start, "latest": end}


def test_a_finding_of_another_place_is_another_item() -> None:
    findings = [
        {"structure": "dots-brown", "place": place, "presence": presence}
        for place, presence in (("central", "absent"), ("peripheral", "present"))
    ]
    made = resources(findings=findings, lists_gone_through=None)
    values = {
        one["identifier"][0]["value"]: one["valueCodeableConcept"]["coding"][0]["code"]
        for one in of_type(made, "Observation")
        if "/finding/" in one["identifier"][0]["value"]
    }
    assert values == {"e-1/finding/dots-brown/central": "absent", "e-1/finding/dots-brown/peripheral": "present"}


def test_absence_at_one_place_counts_by_its_own_views() -> None:
    # Seen nowhere else, each absence stands or falls with the light of its own views.
    findings = [
        {"structure": "shiny-white-strands", "place": "central", "presence": "absent", "views": ["v1"]},
        {"structure": "shiny-white-strands", "place": "peripheral", "presence": "absent", "views": ["v2"]},
    ]
    made = resources(findings=findings, lists_gone_through=None)
    central, peripheral = (
        next(one for one in of_type(made, "Observation") if one["identifier"][0]["value"].endswith(place))
        for place in ("/central", "/peripheral")
    )
    assert central["valueCodeableConcept"]["coding"][0]["code"] == "absent"
    assert "valueCodeableConcept" not in peripheral
    assert components(peripheral, "recorded-answer")[0]["valueCodeableConcept"]["coding"][0]["code"] == "absent"


def test_the_entry_of_these_tests_is_whole() -> None:
    assert entry() == FULL
