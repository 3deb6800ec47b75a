"""Finished letters in a report: the same bytes at every sending, and nothing lost at the receiver."""

from __future__ import annotations

import hashlib
import json
from base64 import b64decode
from pathlib import Path
from typing import Any

import pytest
from examples_output import EXAMPLES, LETTERS, examinations

import dermreport

KINDS = ("referral", "patient")


def reviews_of(name: str) -> list[dermreport.Review]:
    return [dermreport.review(one) for one in examinations(EXAMPLES / f"{name}.json")]


def letters_of(reviews: list[dermreport.Review]) -> list[dermreport.LetterFile]:
    return [dermreport.letter(reviews, kind=kind, settings=LETTERS) for kind in KINDS]


def sent(name: str, release: str, bundle: str = "collection") -> dict[str, Any]:
    reviews = reviews_of(name)
    report = dermreport.to_fhir(reviews, release=release, letters=letters_of(reviews))
    return json.loads(report.bundle(bundle).to_json())


def resources(bundle: dict[str, Any], kind: str) -> list[dict[str, Any]]:
    return [one["resource"] for one in bundle["entry"] if one["resource"]["resourceType"] == kind]


def letters_in(bundle: dict[str, Any]) -> list[dict[str, Any]]:
    documents = resources(bundle, "DocumentReference")
    return [one for one in documents if any("/letter/" in each["value"] for each in one["identifier"])]


@pytest.mark.parametrize("release", ["R4", "R4B", "R5"])
def test_each_letter_is_a_document_and_the_referral_is_the_reports_presented_form(release: str) -> None:
    reviews = reviews_of("back-melanoma-suspected-referred")
    referral, copy = letters_of(reviews)
    bundle = sent("back-melanoma-suspected-referred", release)
    found = letters_in(bundle)
    assert [one["type"]["coding"][0]["code"] for one in found] == ["referral-letter", "patient-copy"]
    (report,) = resources(bundle, "DiagnosticReport")
    for attachment, letter in (
        (report["presentedForm"][0], referral),
        (found[0]["content"][0]["attachment"], referral),
        (found[1]["content"][0]["attachment"], copy),
    ):
        content = b64decode(attachment["data"])
        assert content == letter.content
        # FHIR's hash is SHA-1 in both releases, in base64 (https://hl7.org/fhir/R4/datatypes.html#Attachment).
        assert b64decode(attachment["hash"]) == hashlib.sha1(content, usedforsecurity=False).digest()
        size = str(len(content)) if release == "R5" else len(content)
        assert attachment["size"] == size
        assert (attachment["contentType"], attachment["language"]) == ("text/plain; charset=utf-8", "en")
    assert len(report["presentedForm"]) == 1
    pointed = json.dumps([found[0]["context"] if release != "R5" else found[0]["extension"]])
    assert f"urn:uuid:{report['id']}" in pointed


@pytest.mark.parametrize("release", ["R4", "R5"])
def test_the_letter_of_a_visit_hangs_on_the_first_report_and_points_to_all(release: str) -> None:
    bundle = sent("visit-three-lesions", release)
    reports = resources(bundle, "DiagnosticReport")
    assert [len(one.get("presentedForm", ())) for one in reports] == [1, 0, 0]
    text = json.dumps(letters_in(bundle)[0])
    assert all(f"urn:uuid:{one['id']}" in text for one in reports)


@pytest.mark.parametrize("release", ["R4", "R5"])
@pytest.mark.parametrize("kind", ["transaction", "collection", "document"])
def test_a_receiver_loses_no_letter_and_sends_it_again_unchanged(release: str, kind: str) -> None:
    reviews = reviews_of("back-melanoma-suspected-referred")
    report = dermreport.to_fhir(reviews, release=release, letters=letters_of(reviews))
    text = report.bundle(kind).to_json()
    reading = dermreport.from_fhir(text)
    assert reading.issues == ()
    assert reading.examination.to_json() == reviews[0].examination.to_json()
    again = dermreport.to_fhir(dermreport.review(reading.examination), release=release, foreign=reading.foreign)
    assert again.bundle(kind).to_json() == text


def test_a_resend_gives_the_same_bytes_and_a_revision_takes_the_letters_place() -> None:
    assert sent("usual", "R4", "transaction") == sent("usual", "R4", "transaction")
    revised = sent("forearm-revision-2-amended-to-excision", "R4", "transaction")
    requests = [
        one["request"] for one in revised["entry"] if "/letter/" in json.dumps(one["resource"].get("identifier", []))
    ]
    assert [one["method"] for one in requests] == ["PUT", "PUT"]
    assert all(one["url"].startswith("DocumentReference?identifier=") for one in requests)


def test_two_letters_of_one_kind_language_and_format_are_refused() -> None:
    reviews = reviews_of("usual")
    letters = letters_of(reviews)
    with pytest.raises(dermreport.BuildError):
        dermreport.to_fhir(reviews, letters=[letters[0], letters[0]])
    with pytest.raises(TypeError):
        dermreport.to_fhir(reviews, letters=[letters[0].text])


def test_a_withdrawn_records_letter_is_entered_in_error() -> None:
    entry = json.loads((Path(EXAMPLES) / "usual.json").read_text(encoding="utf-8"))
    entry |= {"status": "entered-in-error", "revision": 2}
    review = dermreport.review(dermreport.Examination.from_json(json.dumps(entry)))
    report = dermreport.to_fhir(review, letters=[dermreport.letter(review)])
    (letter,) = letters_in(json.loads(report.bundle("collection").to_json()))
    assert (letter["status"], letter["docStatus"]) == ("entered-in-error", "entered-in-error")
    assert "WITHDRAWN" in b64decode(letter["content"][0]["attachment"]["data"]).decode()


def test_a_letter_of_another_report_or_revision_is_refused() -> None:
    reviews = reviews_of("usual")
    other = dermreport.letter(reviews_of("back-melanoma-suspected-referred"))
    with pytest.raises(dermreport.BuildError):
        dermreport.to_fhir(reviews, letters=[other])
    entry = json.loads((Path(EXAMPLES) / "usual.json").read_text(encoding="utf-8"))
    later = dermreport.review(dermreport.Examination.from_json(json.dumps({**entry, "revision": 2})))
    with pytest.raises(dermreport.BuildError):
        dermreport.to_fhir(later, letters=[dermreport.letter(reviews)])
    made = dermreport.LetterFile(b"x", "text/plain", "x.txt", "x", dermreport.LetterKind.REFERRAL, "en", "")
    with pytest.raises(dermreport.BuildError):
        dermreport.to_fhir(reviews, letters=[made])
