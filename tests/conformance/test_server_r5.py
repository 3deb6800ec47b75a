"""The same on a FHIR R5 server: stored with our package, found by lesion, light and verdict, and read back."""

from __future__ import annotations

import pytest
from conformance import server_reports
from conformance.server_reports import Store, identifiers, item, token, whole_report

import dermreport
from dermreport.examination.reader import write_json
from dermreport.fhir.ids import Thing
from dermreport.vocabulary.attributes import Attribute
from dermreport.vocabulary.verdicts import Verdict


@pytest.fixture(scope="module")
def store() -> Store:
    return server_reports.store("R5")


def test_every_example_is_stored(store: Store) -> None:
    problems = {name: answer.problems for name, answer in store.answers.items() if answer.status != 200}
    assert problems == {}
    assert store.ours(store.server.search("DiagnosticReport")) == set(store.reviews)


def test_every_example_comes_back_as_it_was_sent(store: Store) -> None:
    for known, review in store.reviews.items():
        pages = store.server.pages("DiagnosticReport", whole_report(known))
        entries = [entry for page in pages for entry in page["entry"]]
        reading = dermreport.from_fhir(write_json({"resourceType": "Bundle", "type": "searchset", "entry": entries}))
        assert reading.examination is not None, known
        assert reading.examination.to_json() == review.examination.to_json()


def test_reports_of_a_lesion_across_visits(store: Store) -> None:
    lesion = ("lesion.identifier", "https://clinic.example/lesions|L-7145-3")
    values = {value for _, value in identifiers(store.server.search("DiagnosticReport", lesion))}
    assert values == {"2026-0431", "2026-0502"}


def test_scores_by_verdict(store: Store) -> None:
    for verdict in (Verdict.ABOVE_THRESHOLD, Verdict.BELOW_THRESHOLD, Verdict.NOT_SETTLED):
        expected = {
            item(review, Thing.SCORE, result.method.code.value)
            for review in store.reviews.values()
            for result in review.scores.values()
            if result.verdict is verdict
        }
        asked = ("component-code-value-concept", f"{token(Attribute.VERDICT)}${token(verdict)}")
        assert store.ours(store.server.search("Observation", ("status:not", "entered-in-error"), asked)) == expected
