"""Reports read back from a real server: the examination is, digit for digit, the one that was sent."""

from __future__ import annotations

from typing import Any

import pytest
from conformance import server_reports
from conformance.server import XML
from conformance.server_reports import Known, Store, at_clinic, identifier_of, number, reviewed, whole_report
from fhir_cases import FULL, entry

import dermreport
from dermreport.examination.reader import write_json
from dermreport.issues import Severity


@pytest.fixture(scope="module")
def store() -> Store:
    return server_reports.store()


def errors(reading: dermreport.Reading) -> list[str]:
    return [f"{one.path}: {one.rule}" for one in reading.issues if one.severity is Severity.ERROR]


def joined(pages: list[dict[str, Any]], *, backwards: bool = False) -> str:
    """Return the pages of a search as one search set."""
    entries = [entry for page in pages for entry in page.get("entry", ())]
    ordered = entries[::-1] if backwards else entries
    return write_json({"resourceType": "Bundle", "type": "searchset", "entry": ordered})


@pytest.mark.parametrize("backwards", [False, True])
def test_every_example_comes_back_as_it_was_sent(store: Store, *, backwards: bool) -> None:
    different: list[Known] = []
    for known, review in store.reviews.items():
        pages = list(store.server.pages("DiagnosticReport", whole_report(known)))
        reading = dermreport.from_fhir(joined(pages, backwards=backwards))
        assert errors(reading) == [], known
        (examination,) = reading.examinations
        if examination.to_json() != review.examination.to_json():
            different.append(known)
    assert different == []
    assert len(store.reviews) > 15


def test_a_long_examination_of_people_whom_the_server_created_comes_back(store: Store) -> None:
    plan = FULL["plan"] | {"actions": [one | {"result_owner": None} for one in FULL["plan"]["actions"]]}
    elsewhere = dict.fromkeys(("encounter", "order", "organisation", "earlier"))
    review = reviewed(entry(**elsewhere) | {"plan": plan})
    store.store(review)
    pages = list(store.server.pages("DiagnosticReport", whole_report(number(review))))
    reading = dermreport.from_fhir(joined(pages))
    assert errors(reading) == []
    assert reading.examination is not None
    assert reading.examination.to_json() == review.examination.to_json()


def test_a_report_comes_back_from_xml(store: Store) -> None:
    known = ("https://clinic.example/examinations", "2026-0418")
    query = "&".join(f"{name}={value}" for name, value in [*whole_report(known), ("_count", "500")])
    answer = store.server.send("GET", f"DiagnosticReport?{query}", Accept=XML)
    assert answer.text.lstrip().startswith("<")
    reading = dermreport.from_fhir(answer.text)
    assert errors(reading) == []
    assert reading.examination is not None
    assert reading.examination.to_json() == store.reviews[known].examination.to_json()


def test_a_stored_document_comes_back(store: Store) -> None:
    review = reviewed(at_clinic("clinic-document-read", "nose-little-pigment-basal-cell-suspected"))
    document = dermreport.to_fhir(review, release="R4").bundle("document")
    assert store.server.send("POST", "Bundle", document.to_json()).status == 201
    stored = store.the("Bundle", identifier_of(document.to_dict()))
    reading = dermreport.from_fhir(write_json(stored))
    assert errors(reading) == []
    assert reading.examination is not None
    assert reading.examination.to_json() == review.examination.to_json()


def test_all_visits_of_a_patient_come_back(store: Store) -> None:
    # `$everything` leaves Provenance out, which says who made a report and nothing of the examination.
    pages = list(store.server.pages("Patient/p-7145/$everything", []))
    reading = dermreport.from_fhir(joined(pages))
    assert errors(reading) == []
    sent = {
        known: review.examination.to_json()
        for known, review in store.reviews.items()
        if review.examination.patient.reference == "Patient/p-7145"
    }
    assert len(sent) > 2
    came = {
        number(reviewed_again): reviewed_again.examination.to_json()
        for reviewed_again in map(dermreport.review, reading.examinations)
    }
    assert came == sent
