"""What is written is read back exactly: as JSON text, for every example and for random examinations."""

from __future__ import annotations

import copy
import json
import random
from pathlib import Path

import pytest
from examples_output import ENTRIES, examinations
from fhir_cases import KINDS, RELEASES, examination
from hypothesis import given, settings
from received import FORMATS, about, bundle_of, from_a_server, read, resources, rules, written
from strategies import WHOLE_EXAMINATIONS, full_examinations, usual_examinations
from strategies import examinations as any_examinations

import dermreport
from dermreport.fhir.empty_parts import empty_parts
from dermreport.fhir.read import from_fhir


def bundles(examined: tuple[dermreport.Examination, ...], release: str) -> list[dermreport.Bundle]:
    """Return every bundle that can be made: a document needs an author and a time with its offset."""
    report = dermreport.to_fhir([dermreport.review(one) for one in examined], release=release)
    documented = any(one.examiner for one in examined) and any(one.recorded or "T" in one.examined for one in examined)
    kinds = ("transaction", "collection", "document") if documented else ("transaction", "collection")
    return [report.bundle(kind) for kind in kinds]


@pytest.mark.parametrize("form", FORMATS)
@pytest.mark.parametrize("release", RELEASES)
@pytest.mark.parametrize("path", ENTRIES, ids=lambda path: path.stem)
def test_every_example_comes_back_as_the_same_text(path: Path, release: str, form: str) -> None:
    examined = examinations(path)
    for bundle in bundles(examined, release):
        reading = from_fhir(written(bundle, form))
        assert [one.to_json() for one in reading.examinations] == [one.to_json() for one in examined]
        assert reading.issues == ()
        assert not reading.foreign


def same_text(examined: dermreport.Examination, release: str, form: str) -> None:
    for bundle in bundles((examined,), release):
        reading = from_fhir(written(bundle, form))
        assert reading.examination is not None
        assert reading.examination.to_json() == examined.to_json()
        assert set(rules(reading)) <= {"read-report-withdrawn"}


@pytest.mark.parametrize("form", FORMATS)
@pytest.mark.parametrize("release", ["R4", "R5"])
@WHOLE_EXAMINATIONS
@given(examined=any_examinations())
def test_any_examination_comes_back_as_the_same_text(release: str, form: str, examined: dermreport.Examination) -> None:
    same_text(examined, release, form)


@WHOLE_EXAMINATIONS
@given(examined=full_examinations())
def test_a_full_examination_comes_back_as_the_same_text(examined: dermreport.Examination) -> None:
    same_text(examined, "R4B", "json")
    same_text(examined, "R5", "xml")


@settings(parent=WHOLE_EXAMINATIONS, max_examples=100)
@given(examined=usual_examinations())
def test_a_sparse_examination_comes_back_from_a_server(examined: dermreport.Examination) -> None:
    bundle = bundle_of(examined, kind="transaction")
    reading = read(from_a_server(bundle, seed=len(examined.to_json())))
    assert reading.examination is not None
    assert reading.examination.to_json() == examined.to_json()
    assert not reading.foreign


#: One identifier in the three ways in which it can be entered.
UUID = "0f7c1f5e-3a61-4a53-8a4c-2f6a9d6f2d11"
SPELLINGS = (
    {"value": UUID},
    {"value": f"urn:uuid:{UUID}"},
    {"system": "urn:ietf:rfc:3986", "value": f"urn:uuid:{UUID}"},
    {"system": "urn:ietf:rfc:3986", "value": "urn:oid:1.2.3"},
    {"system": "https://clinic-a.example/ids", "value": f"urn:uuid:{UUID}"},
    {"system": "https://clinic-a.example/ids", "value": "a|b$c,d\\e"},
)
CASES = {
    "an identifier": [{"identifier": one} for one in SPELLINGS],
    "the lesion's identifier": [{"lesion": {"identifier": one}} for one in SPELLINGS],
    "the patient's number": [{"patient": {"identifiers": [one]}} for one in SPELLINGS],
    "a reference's number": [{"encounter": {"identifier": one}} for one in SPELLINGS],
    "parts that say nothing": [
        {"patient": {}},
        {"patient": {"details": {}}},
        {"patient": {"reference": "Patient/7", "details": {}}},
        {"examiner": {}},
        {"examiner": {"details": {}}},
        {"lesion": {}},
        {"lesion": {"palpation": {}, "history": {}}},
        {"background": {}, "assessment": {}, "plan": {}, "description": {}},
        {"plan": {"safety_net": {}}, "description": {"first_axis": {}, "second_axis": {}}},
        {"images": [{"key": "a", "consent": {}}, {"key": "b"}, {"key": "c", "consent": {}}]},
    ],
    "people": [
        {"patient": {"reference": "Patient/7"}},
        {"patient": {"reference": "https://h.example/fhir/Patient/7", "identifiers": [SPELLINGS[5]]}},
        {"patient": {"reference": "urn:x:7", "details": {"family": "Muster"}}},
        {"patient": {"reference": "https://h.example/Practitioner/7"}},
        {"patient": {"details": {"birth_date": "1971-02-03T04:05:06+01:00", "phone": "1", "email": "a@b.example"}}},
        {"examiner": {"reference": "PractitionerRole/1", "details": {"role": "nurse", "given": ["A", "B"]}}},
        {"examiner": None, "organisation": {"reference": "Organization/7"}},
        {"organisation": {"reference": "Practitioner/7", "display": "Practitioner/7"}},
        {"organisation": {"reference": "Practitioner/7"}},
        {"organisation": {"display": "Clinic"}},
    ],
    "views that don't exist": [
        {"views": [], "findings": [{"structure": "globules", "presence": "present", "views": ["x", "x", "y"]}]},
        {"images": [{"key": "a", "view": "nowhere"}, {"key": "b", "view": "v1"}]},
    ],
    "somebody else's codes": [
        {
            "lesion": {"site": {"system": "http://snomed.info/sct", "code": "181528000"}},
            "views": [
                {"key": "a", "light": "unknown", "limits": [{"system": "urn:x:y", "code": "a  b", "version": "2"}]}
            ],
        },
        {
            "lesion": {"site": {"system": "urn:x:sites", "code": "a\tb\nc"}},
            "lists_gone_through": [{"list": "pigmented-lesion"}],
        },
    ],
    "numbers": [
        {"lesion": {"longest_mm": 6.50, "crosswise_mm": 1e-7}},
        {"images": [{"key": "a", "size_bytes": 2**40}]},
    ],
    "the clinician's caution as a note": [
        {"assessment": {"impressions": [{"key": "a", "impression": "haemangioma", "note": note}]}}
        for note in (None, "x", "This supports judgement and never replaces it.")
    ],
}


@pytest.mark.parametrize("form", FORMATS)
@pytest.mark.parametrize("release", ["R4", "R5"])
@pytest.mark.parametrize("name", CASES)
def test_what_is_entered_unusually_comes_back(name: str, release: str, form: str) -> None:
    for changes in CASES[name]:
        made = dermreport.Examination.model_validate(
            json.loads(examination().to_json()) | {key: value for key, value in changes.items() if value is not None}
        )
        if changes.get("examiner", "") is None:
            made = made.model_copy(update={"examiner": None})
        same_text(made, release, form)
        reading = read(from_a_server(bundle_of(made, release, "transaction")))
        assert [one.to_json() for one in reading.examinations] == [made.to_json()]


def test_empty_parts_are_named_innermost_first_found() -> None:
    made = dermreport.Examination.model_validate(
        json.loads(examination().to_json()) | {"lesion": {"palpation": {}}, "images": [{"key": "a", "consent": {}}]}
    )
    assert empty_parts(made) == ("lesion.palpation", "images[0].consent")
    assert empty_parts(examination()) == ()


@pytest.mark.parametrize(
    "chosen",
    [
        {"snomed": False},
        {"claim_profiles": True},
        {"unsuitable_scores": True},
        {"intent": "order"},
        {"persons": "match-only"},
    ],
    ids=str,
)
@pytest.mark.parametrize("release", ["R4", "R5"])
def test_no_setting_of_the_sender_changes_what_is_read(release: str, chosen: dict[str, object]) -> None:
    for kind in KINDS:
        reading = read(bundle_of(examination(), release, kind, **chosen))
        assert reading.examination is not None
        assert reading.examination.to_json() == examination().to_json()
        assert reading.issues == ()
        assert not reading.foreign


@pytest.mark.parametrize("release", ["R4", "R5"])
def test_a_search_set_in_any_order_and_without_provenance(release: str) -> None:
    bundle = bundle_of(examination(), release, "transaction")
    for seed in range(10):
        received = from_a_server(bundle, seed, lambda one: one["resourceType"] in {"Provenance", "Patient"})
        reading = read(received)
        assert reading.examination is not None
        assert reading.examination.to_json() == examination().to_json()
        assert reading.issues == ()


def test_a_patient_whom_the_server_knew_otherwise_is_read_as_entered() -> None:
    # A conditional create leaves the server's own Patient as it is: other names, other numbers.
    received = from_a_server(bundle_of(examination(), kind="transaction"))
    (patient,) = resources(received, "Patient")
    patient["name"] = [{"family": "Otherwise"}]
    patient["identifier"] = [{"system": "https://server.example/ids", "value": "9"}]
    reading = read(received)
    assert reading.examination is not None
    assert reading.examination.to_json() == examination().to_json()


def test_a_report_with_a_list_of_what_it_references() -> None:
    report = dermreport.to_fhir(dermreport.review(examination()))
    given = list(report.resources)
    random.Random(3).shuffle(given)  # noqa: S311 - an order, no secret
    before = copy.deepcopy(given)
    reading = from_fhir(given)
    assert reading.examination is not None
    assert reading.examination.to_json() == examination().to_json()
    assert given == before


def test_bytes_with_a_byte_order_mark() -> None:
    bundle = dermreport.to_fhir(dermreport.review(examination())).bundle("collection")
    for text in (bundle.to_json(), bundle.to_xml()):
        assert from_fhir(b"\xef\xbb\xbf" + text.encode()).examinations == (examination(),)


def test_a_report_alone_says_what_is_missing_and_reassures_nobody() -> None:
    report = next(
        one
        for one in dermreport.to_fhir(dermreport.review(examination())).resources
        if one["resourceType"] == "DiagnosticReport"
    )
    reading = from_fhir(report)
    assert reading.examination is not None
    assert "read-part-missing" in rules(reading)
    assert reading.examination.lists_gone_through == ()
    assert reading.examination.findings == ()
    review = dermreport.review(reading.examination)
    assert review.has_errors
    assert review.summary.value != "no-suspicious-feature"


def test_a_missing_finding_undoes_the_list_that_would_make_it_absent() -> None:
    bundle = bundle_of(examination())
    gone = about(bundle, "network-atypical")
    bundle["entry"] = [entry for entry in bundle["entry"] if entry["resource"] is not gone]
    reading = read(bundle)
    assert reading.examination is not None
    assert reading.examination.lists_gone_through == ()
    assert {"read-part-missing", "entry-list-undone"} <= set(rules(reading))


def test_entries_that_could_not_be_held_stay_preliminary_after_reading() -> None:
    entry = json.loads((ENTRIES[0].parent / "usual.json").read_text(encoding="utf-8"))
    assert not dermreport.review(dermreport.Examination.model_validate(entry)).has_errors
    entry["findings"].append({"structure": "rosettes", "presence": "perhaps"})
    sent = dermreport.from_entry(entry).examination
    assert sent is not None
    reading = read(bundle_of(sent))
    assert reading.examination is not None
    assert reading.examination.to_json() == sent.to_json()
    assert rules(reading) == ["read-preliminary"]
    (report,) = resources(bundle_of(reading.examination), "DiagnosticReport")
    assert report["status"] == "preliminary"


def test_a_visit_comes_back_lesion_by_lesion() -> None:
    (path,) = [one for one in ENTRIES if one.stem == "visit-three-lesions"]
    examined = examinations(path)
    bundle = dermreport.to_fhir([dermreport.review(one) for one in examined]).bundle("transaction").to_dict()
    reading = read(from_a_server(bundle, seed=5))
    assert {one.to_json() for one in reading.examinations} == {one.to_json() for one in examined}
    assert reading.examination is None
    assert all(one.current for one in reading.reports)


@pytest.mark.parametrize("form", FORMATS)
@pytest.mark.parametrize("path", ENTRIES, ids=lambda path: path.stem)
def test_from_r4_to_r5_to_r4_nothing_changes(path: Path, form: str) -> None:
    examined = examinations(path)
    current = examined
    for release in ("R4", "R5", "R4"):
        bundle = dermreport.to_fhir([dermreport.review(one) for one in current], release=release).bundle("transaction")
        current = from_fhir(written(bundle, form)).examinations
    assert [one.to_json() for one in current] == [one.to_json() for one in examined]


@pytest.mark.parametrize("name", ["r4.transaction.json", "r5.collection.xml"])
@pytest.mark.parametrize("path", ENTRIES, ids=lambda path: path.stem)
def test_the_outputs_that_stand_beside_the_examples_are_read(path: Path, name: str) -> None:
    reading = from_fhir((path.with_suffix("") / name).read_bytes())
    assert [one.to_json() for one in reading.examinations] == [one.to_json() for one in examinations(path)]
    assert reading.issues == ()
