"""The HTTP door: what is given is what the library gives, byte for byte; what is refused says so, and nothing leaks.

HTTP's own rules are RFC 9110's, structured fields RFC 8941's; operations, media types and OperationOutcome are FHIR's
(https://hl7.org/fhir/R4/http.html, https://hl7.org/fhir/R4/operations.html). The description is read by a validator of
OpenAPI.
"""

from __future__ import annotations

import asyncio
import base64
import json
import logging
import os
import re
import signal
import socket
import subprocess
import sys
import threading
import time
import uuid
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from decimal import Decimal
from pathlib import Path
from typing import Any

import httpx2
import openapi_spec_validator
import pytest
from fhir.resources.capabilitystatement import CapabilityStatement
from fhir.resources.operationdefinition import OperationDefinition
from fhir.resources.operationoutcome import OperationOutcome
from fhir.resources.R4B.capabilitystatement import CapabilityStatement as CapabilityStatementR4B
from fhir.resources.R4B.operationdefinition import OperationDefinition as OperationDefinitionR4B
from fhir.resources.R4B.operationoutcome import OperationOutcome as OperationOutcomeR4B
from fhir_cases import KINDS, RELEASES, entry
from starlette.testclient import TestClient
from test_nothing_leaks import MARK, bundles, entries, forms, leaks

import dermreport
from dermreport import cli
from dermreport.http import door as door_module
from dermreport.http import media, work
from dermreport.http.logs import NAME, JsonLines
from dermreport.http.messages import Host, Job, host_bytes, host_of
from dermreport.http.routes import ROUTES
from dermreport.profiles.operations import refusals, table
from dermreport.profiles.operations.definitions import operation_definitions, operation_url
from dermreport.profiles.operations.refusals import REFUSALS

ROOT = Path(__file__).parent.parent
EXAMPLES = ROOT / "examples"
USUAL = (EXAMPLES / "usual.json").read_bytes()
VISIT = (EXAMPLES / "visit-three-lesions.json").read_bytes()
BODY = 600_000
LIMITS = dermreport.HttpLimits(body=BODY, workers=1, work_seconds=20)
JSON = {"Content-Type": "application/json"}
FHIR = {"Content-Type": "application/fhir+json"}
XML = {"Content-Type": "application/fhir+xml; charset=utf-8"}
#: A body on which reading takes far longer than any limit: seen to take minutes.
SLOW = json.dumps({**entry(), "findings": [{}] * 60_000}).encode()


@pytest.fixture(scope="module")
def client() -> Iterator[TestClient]:
    with TestClient(dermreport.http_app(limits=LIMITS)) as one:
        yield one


def path(operation: str, release: str = "R4", query: str = "") -> str:
    return f"/fhir/{release.lower()}/$dermoscopy-{operation}{query}"


def text_of(value: Any) -> bytes:
    return dermreport.form_json(value).encode()


def reviewed(content: bytes | dict[str, Any]) -> dermreport.Review:
    held = dermreport.from_entry(content)
    assert held.examination is not None
    return dermreport.review(held.examination)


def binary(content: bytes) -> dict[str, Any]:
    return {"resourceType": "Binary", "contentType": "application/json", "data": base64.b64encode(content).decode()}


def parameters(**given: Any) -> bytes:
    """Return a Parameters resource; a list is a parameter that repeats."""
    parts = [
        {"name": name.replace("_", "-"), **({"resource": one} if isinstance(one, dict) else {"valueString": one})}
        for name, several in given.items()
        for one in (several if isinstance(several, list) else [several])
    ]
    return text_of({"resourceType": "Parameters", "parameter": parts})


def rules(answer: Any) -> list[str]:
    outcome = answer.json()
    assert outcome["resourceType"] == "OperationOutcome"
    return [one["details"]["coding"][0]["code"] for one in outcome["issue"]]


def found(answer: Any) -> dict[str, int]:
    """Read the header that counts issues: a dictionary of RFC 8941, 3.2."""
    said = re.fullmatch(r"error=(\d+), warning=(\d+), information=(\d+)", answer.headers["Dermreport-Issues"])
    return dict(zip(("error", "warning", "information"), map(int, said.groups()), strict=True))


# What is given


@pytest.mark.parametrize("form", ["json", "xml"])
@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("release", RELEASES)
def test_a_report_is_the_library_s_own_to_the_byte(client: TestClient, release: str, kind: str, form: str) -> None:
    accept = {"Accept": f"application/fhir+{form}"}
    answer = client.post(path("report", release, f"?bundle={kind}"), content=USUAL, headers=JSON | accept)
    bundle = dermreport.to_fhir(reviewed(USUAL), release=release).bundle(kind)
    assert answer.status_code == 200
    assert answer.text == (bundle.to_xml() if form == "xml" else bundle.to_json())
    version = {"R4": "4.0", "R4B": "4.3", "R5": "5.0"}[release]
    assert answer.headers["Content-Type"] == f"application/fhir+{form}; charset=utf-8; fhirVersion={version}"
    assert found(answer) == {"error": 0, "warning": 0, "information": 0}


def test_digits_come_through_the_door_as_they_were_written(client: TestClient) -> None:
    written = USUAL.replace(b'"longest_mm": 4.5', b'"longest_mm": 4.500')
    assert written != USUAL
    answer = client.post(path("report"), content=written, headers=JSON)
    assert re.search(r'"valueQuantity":\{"value":4\.500[,}]', answer.text)
    read = client.post(path("read"), content=answer.content, headers=FHIR | {"Accept": "application/x-ndjson"})
    assert re.search(r'"longest_mm":4\.500[,}]', read.text)
    form = text_of(dermreport.to_response(dermreport.Examination.from_json(written)))
    assert re.search(rb'"value":4\.500[,}]', form)
    assert client.post(path("report"), content=form, headers=FHIR).content == answer.content


def test_a_check_is_the_report_s_own_outcome(client: TestClient) -> None:
    for name in ("usual", "nail-refused-not-finished", "forearm-revision-2-amended-to-excision"):
        file = EXAMPLES / f"{name}.json"
        content = file.read_bytes() if file.exists() else USUAL
        answer = client.post(path("check"), content=content, headers=JSON)
        assert answer.json() == dermreport.to_fhir(reviewed(content)).outcome()


@pytest.mark.parametrize("kind", list(dermreport.LetterKind))
@pytest.mark.parametrize("form", list(dermreport.LetterFormat))
def test_a_letter_is_the_library_s_own(client: TestClient, kind: str, form: str) -> None:
    made = dermreport.letter(reviewed(USUAL), kind=kind, format=form)
    accept = {"Accept": made.media_type.partition(";")[0]}
    answer = client.post(path("letter", query=f"?kind={kind}"), content=USUAL, headers=JSON | accept)
    assert (answer.status_code, answer.content) == (200, made.content)
    assert answer.headers["Content-Type"] == made.media_type
    assert answer.headers["Content-Disposition"] == f'inline; filename="{made.name}"'
    assert (sum(found(answer).values()), len(reviewed(USUAL).issues)) == (len(made.issues), 0)
    whole = client.post(path("letter", query=f"?kind={kind}&format={form}"), content=USUAL, headers=JSON).json()
    letter, issues = (one["resource"] for one in whole["parameter"])
    assert letter["contentType"] == made.media_type
    assert base64.b64decode(letter["data"]) == made.content
    assert issues == dermreport.to_outcome(made.issues)


@pytest.mark.parametrize("kind", list(dermreport.LetterKind))
def test_a_letter_counts_what_stands_against_its_record(client: TestClient, kind: str) -> None:
    record = json.loads(USUAL)
    del record["lesion"]
    content = json.dumps(record).encode()
    review = dermreport.review(dermreport.from_entry(record).examination)
    assert review.has_errors
    made = dermreport.letter(review, kind=kind)
    issues = (*review.issues, *made.issues)
    address, accept = path("letter", query=f"?kind={kind}"), {"Accept": "text/plain"}
    answer = client.post(address, content=content, headers=JSON | accept)
    assert answer.content == made.content
    assert found(answer) == {one.value: sum(issue.severity is one for issue in issues) for one in dermreport.Severity}
    whole = client.post(address, content=content, headers=JSON).json()
    assert whole["parameter"][1]["resource"] == dermreport.to_outcome(issues)


def test_a_page_may_do_nothing_in_a_browser(client: TestClient) -> None:
    answer = client.post(path("letter"), content=USUAL, headers=JSON | {"Accept": "text/html"})
    assert answer.headers["Content-Security-Policy"].startswith("default-src 'none'")
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert answer.headers["Cache-Control"] == "no-store"


def test_settings_of_the_host_reach_the_processes() -> None:
    letters = dermreport.LetterSettings(sender=dermreport.Party(name="Harbour Lane"), wording={"letter.urgent": "Now"})
    pathway = dermreport.Settings(snomed=False, pathway=dermreport.shipped_pathway("uk-ng12"))
    assert host_of(host_bytes(Host(pathway, dermreport.LetterSettings()))).settings == pathway
    letters = dermreport.LetterSettings(sender=dermreport.Party(name="Harbour Lane Practice"))
    app = dermreport.http_app(settings=pathway, letter_settings=letters, limits=LIMITS)
    with TestClient(app) as other:
        answer = other.post(path("report"), content=USUAL, headers=JSON)
        assert "http://snomed.info/sct" not in answer.text
        assert answer.text == dermreport.to_fhir(_with(USUAL, pathway)).bundle().to_json()
        letter = other.post(path("letter"), content=USUAL, headers=JSON | {"Accept": "text/plain"})
        assert letter.content == dermreport.letter(_with(USUAL, pathway), settings=letters).content
        assert "Harbour Lane Practice" in letter.text


def _with(content: bytes, settings: dermreport.Settings) -> dermreport.Review:
    return dermreport.review(dermreport.Examination.from_json(content), settings)


@pytest.mark.parametrize("release", RELEASES)
@pytest.mark.parametrize("form", ["json", "xml"])
def test_reports_are_read_back_as_they_were_recorded(client: TestClient, release: str, form: str) -> None:
    visit = dermreport.Visit.from_json(VISIT)
    bundle = dermreport.to_fhir([dermreport.review(one) for one in visit.examinations], release=release).bundle()
    content, headers = (bundle.to_xml(), XML) if form == "xml" else (bundle.to_json(), FHIR)
    lines = client.post(path("read"), content=content, headers=headers | {"Accept": "application/x-ndjson"})
    assert lines.headers["Content-Type"] == "application/x-ndjson"
    assert lines.text.splitlines() == [one.to_json() for one in visit.examinations]
    whole = client.post(path("read"), content=content, headers=headers).json()["parameter"]
    assert [one["name"] for one in whole] == ["examination"] * 3 + ["issues"]
    assert [base64.b64decode(one["resource"]["data"]).decode() for one in whole[:3]] == lines.text.splitlines()
    assert whole[3]["resource"]["issue"][0]["details"]["text"] == "No issue was found."


def test_reports_may_come_within_parameters(client: TestClient) -> None:
    bundle = dermreport.to_fhir(reviewed(USUAL)).bundle("collection").to_dict()
    accept = {"Accept": "application/x-ndjson"}
    plain = client.post(path("read"), content=text_of(bundle), headers=FHIR | accept)
    within = client.post(path("read"), content=parameters(reports=bundle), headers=FHIR | accept)
    assert plain.content == within.content
    assert plain.text.strip() == dermreport.Examination.from_json(USUAL).to_json()


def test_every_way_to_give_a_record_gives_the_same_report(client: TestClient) -> None:
    plain = client.post(path("report"), content=USUAL, headers=JSON).content
    form = dermreport.to_response(dermreport.Examination.from_json(USUAL))
    sent = dermreport.to_fhir(reviewed(USUAL), release="R5").bundle("collection")
    ways: dict[str, tuple[bytes | str, dict[str, str]]] = {
        "as FHIR's JSON": (USUAL, FHIR),
        "a Binary": (text_of(binary(USUAL)), FHIR),
        "a Binary in Parameters": (parameters(examination=binary(USUAL)), FHIR),
        "answers to the form": (text_of(form), FHIR),
        "answers as plain JSON": (text_of(form), JSON),
        "answers in Parameters": (parameters(examination=form), FHIR),
        "a bundle": (sent.to_json(), FHIR),
        "a bundle in XML": (sent.to_xml(), XML),
        "a bundle in Parameters": (parameters(examination=sent.to_dict()), FHIR),
    }
    for name, (content, headers) in ways.items():
        assert client.post(path("report"), content=content, headers=headers).content == plain, name


def test_what_others_added_is_sent_again(client: TestClient) -> None:
    bundle = dermreport.to_fhir(reviewed(USUAL)).bundle("collection").to_dict()
    report = next(one["resource"] for one in bundle["entry"] if one["resource"]["resourceType"] == "DiagnosticReport")
    report["extension"] = [
        *report.get("extension", []),
        {"url": "https://clinic.example/tag", "valueString": "kept as it came"},
    ]
    answer = client.post(path("report", query="?bundle=collection"), content=text_of(bundle), headers=FHIR)
    assert "kept as it came" in answer.text


def test_an_error_of_the_reading_isn_t_lost_when_the_bundle_itself_is_given(client: TestClient) -> None:
    bundle = dermreport.to_fhir(reviewed(USUAL)).bundle("collection").to_dict()
    requests = [one for one in bundle["entry"] if one["resource"]["resourceType"] == "ServiceRequest"]
    bundle["entry"] = [one for one in bundle["entry"] if one not in requests[:1]]
    reading = dermreport.from_fhir(text_of(bundle))
    errors = [one for one in reading.issues if one.severity is dermreport.Severity.ERROR]
    assert errors
    answer = client.post(path("report"), content=text_of(bundle), headers=FHIR)
    assert found(answer)["error"] >= len(errors)
    assert '"status":"preliminary"' in answer.text


def test_a_later_revision_withdraws_and_points_as_in_the_library(client: TestClient) -> None:
    former, later = (
        (EXAMPLES / f"forearm-revision-{name}.json").read_bytes() for name in ("1-reassured", "2-amended-to-excision")
    )
    body = parameters(examination=binary(later), earlier=binary(former), if_match='W/"7"', bundle="transaction")
    answer = client.post(path("report", "R5"), content=body, headers=FHIR)
    made = dermreport.to_fhir(reviewed(later), earlier=reviewed(former), if_match='W/"7"', release="R5")
    assert answer.text == made.bundle("transaction").to_json()
    assert 'W/\\"7\\"' in answer.text
    checked = client.post(path("check"), content=parameters(examination=binary(later)), headers=FHIR)
    assert "former-revision-not-given" in rules(checked)
    known = client.post(
        path("check"), content=parameters(examination=binary(later), earlier=binary(former)), headers=FHIR
    )
    assert "former-revision-not-given" not in rules(known)
    names = ("watched-with-baseline", "after-3-months")
    first, second = ((EXAMPLES / f"lower-back-{name}.json").read_bytes() for name in names)
    body = parameters(examination=binary(second), after=[binary(first)])
    answer = client.post(path("report"), content=body, headers=FHIR)
    assert answer.text == dermreport.to_fhir(reviewed(second), after=reviewed(first)).bundle().to_json()


def test_a_visit_gives_one_report_on_all_its_lesions(client: TestClient) -> None:
    answer = client.post(path("report"), content=VISIT, headers=JSON)
    visit = dermreport.Visit.from_json(VISIT)
    assert answer.text == dermreport.to_fhir([dermreport.review(one) for one in visit.examinations]).bundle().to_json()


# Nothing withholds an urgent request


def test_what_can_not_be_held_withholds_no_urgent_step(client: TestClient) -> None:
    partly = json.loads(USUAL)
    partly["plan"] = {"actions": [{"key": "1", "action": "see somebody", "urgency": "urgent"}]}
    partly["lesion"]["site"] = "somewhere"
    answer = client.post(path("report"), content=json.dumps(partly), headers=JSON)
    assert answer.status_code == 200
    assert found(answer)["error"] >= 2
    resources = [one["resource"] for one in answer.json()["entry"]]
    report = next(one for one in resources if one["resourceType"] == "DiagnosticReport")
    request = next(one for one in resources if one["resourceType"] == "ServiceRequest")
    assert report["status"] == "preliminary"
    assert (request["status"], request["priority"]) == ("active", "urgent")
    letter = client.post(path("letter"), content=json.dumps(partly), headers=JSON | {"Accept": "text/plain"})
    assert letter.status_code == 200
    assert "urgent" in letter.text.lower()


def test_a_refusal_says_that_a_plan_was_not_sent(client: TestClient) -> None:
    nothing = json.loads(USUAL) | {"patient": None}
    answer = client.post(path("report"), content=json.dumps(nothing), headers=JSON)
    assert answer.status_code == 422
    assert {"entry-nothing-held", "entry-plan-not-sent"} <= set(rules(answer))
    visit = json.loads(VISIT) | {"patient": None}
    answer = client.post(path("report"), content=json.dumps(visit), headers=JSON)
    assert answer.status_code == 422
    assert answer.json()["issue"][0]["expression"] == ["Examination.patient"]
    assert rules(answer).count("entry-plan-not-sent") == sum("plan" in one for one in visit["lesions"])


URGENT_STEP = {"key": "1", "action": "refer-suspected-cancer", "urgency": "urgent"}


def flawed_visit(**fields: Any) -> dict[str, Any]:
    """Return a visit with an urgent step of the first lesion, a wrong site of the second, and fields of the third."""
    visit: dict[str, Any] = json.loads(VISIT)
    visit["lesions"][0]["plan"] = {"actions": [URGENT_STEP]}
    visit["lesions"][1]["lesion"]["site"] = "somewhere"
    visit["lesions"][2] |= fields
    return visit


@pytest.mark.parametrize(("fields", "held"), [({}, 3), ({"status": "x", "plan": {"actions": [URGENT_STEP]}}, 2)])
def test_what_is_wrong_with_one_lesion_of_a_visit_withholds_no_other_and_is_said(
    client: TestClient, fields: dict[str, Any], held: int
) -> None:
    body = json.dumps(flawed_visit(**fields))
    answer = client.post(path("report"), content=body, headers=JSON)
    assert answer.status_code == 200
    resources = [one["resource"] for one in answer.json()["entry"]]
    assert sum(one["resourceType"] == "DiagnosticReport" for one in resources) == held
    requests = [one for one in resources if one["resourceType"] == "ServiceRequest"]
    assert ("active", "urgent") in {(one["status"], one.get("priority")) for one in requests}
    told = "Another lesion of this visit" in answer.text
    checked = client.post(path("check"), content=body, headers=JSON)
    where = {(one["details"]["coding"][0]["code"], *one.get("expression", ())) for one in checked.json()["issue"]}
    assert ("entry-unknown-code", "Visit.lesions[1].lesion.site") in where
    lost = ("entry-plan-not-sent", "Visit.lesions[2].plan")
    assert ((lost in where), told) == ((held == 2), (held == 2))
    letter = client.post(path("letter"), content=body, headers=JSON)
    issues = letter.json()["parameter"][1]["resource"]["issue"]
    assert any("entry-plan-not-sent" in json.dumps(one) for one in issues) is (held == 2)
    errors = found(client.post(path("letter"), content=body, headers=JSON | {"Accept": "text/plain"}))["error"]
    assert errors == sum(one["severity"] == "error" for one in issues)
    assert found(answer)["error"] >= errors


def test_the_former_revision_of_a_lesion_that_is_not_held_takes_no_other_with_it(client: TestClient) -> None:
    former = flawed_visit()
    later = flawed_visit(status="x")
    for one in later["lesions"]:
        one["revision"] = 2
    body = parameters(examination=binary(text_of(later)), earlier=binary(text_of(former)))
    assert client.post(path("report"), content=body, headers=FHIR).status_code == 200
    later["lesions"][2]["status"] = "final"
    later["lesions"][2]["identifier"]["value"] = "another"
    body = parameters(examination=binary(text_of(later)), earlier=binary(text_of(former)))
    assert client.post(path("report"), content=body, headers=FHIR).status_code == 422


@pytest.mark.parametrize("refusal", REFUSALS, ids=lambda one: one.rule.id)
def test_a_refusal_of_a_record_says_that_nothing_was_made_of_it(refusal: refusals.Refusal) -> None:
    # A record may have been sent to the wrong address too, or with the wrong method; nobody sends one to /ready.
    assert ("Nothing has been made" in refusal.rule.message) == (refusal is not refusals.NOT_READY)


@pytest.mark.parametrize(
    ("method", "to", "headers", "status"),
    [
        ("POST", "/fhir/r4/$dermoscopy-repport", {}, 404),
        ("PUT", path("report"), {}, 405),
        ("POST", path("report"), {"Accept": "text/csv"}, 406),
        ("POST", path("report"), {"Content-Type": "text/csv"}, 415),
        ("POST", path("report", query="?x=1"), {}, 400),
    ],
)
def test_whoever_sends_a_record_amiss_is_told_to_see_to_it(
    client: TestClient, method: str, to: str, headers: dict[str, str], status: int
) -> None:
    answer = client.request(method, to, content=USUAL, headers=JSON | headers)
    assert answer.status_code == status
    (issue,) = answer.json()["issue"]
    assert "if something in it is urgent, see to it at once another way" in issue["details"]["text"]


# What is refused

NO_EXAMINER = json.dumps({name: value for name, value in json.loads(USUAL).items() if name != "examiner"}).encode()
TWO_PATIENTS = parameters(examination=binary(USUAL), earlier=binary(json.dumps(entry()).encode()))

REFUSED: dict[str, tuple[str, str, dict[str, str], bytes, refusals.Refusal]] = {
    "nothing here": ("GET", "/nothing", {}, b"", refusals.NOT_FOUND),
    "no such release": ("GET", "/fhir/r3/metadata", {}, b"", refusals.NOT_FOUND),
    "no such operation": ("POST", "/fhir/r4/$other", JSON, USUAL, refusals.NOT_FOUND),
    "no such definition": ("GET", "/fhir/r4/OperationDefinition/other", {}, b"", refusals.NOT_FOUND),
    "a slash too much": ("GET", "/health/", {}, b"", refusals.NOT_FOUND),
    "GET of an operation": ("GET", path("check"), {}, b"", refusals.METHOD),
    "POST of metadata": ("POST", "/fhir/r4/metadata", JSON, USUAL, refusals.METHOD),
    "OPTIONS": ("OPTIONS", path("check"), {}, b"", refusals.METHOD),
    "an image": ("POST", path("check"), JSON | {"Accept": "image/png"}, USUAL, refusals.NOT_ACCEPTABLE),
    "another release": (
        "POST",
        path("check", "R5"),
        JSON | {"Accept": "application/fhir+json; fhirVersion=4.0"},
        USUAL,
        refusals.NOT_ACCEPTABLE,
    ),
    "all weighed nought": ("POST", path("check"), JSON | {"Accept": "*/*;q=0"}, USUAL, refusals.NOT_ACCEPTABLE),
    "a report as a page": ("POST", path("report"), JSON | {"Accept": "text/html"}, USUAL, refusals.NOT_ACCEPTABLE),
    "two formats": (
        "POST",
        path("letter", query="?format=pdf"),
        JSON | {"Accept": "text/html"},
        USUAL,
        refusals.NOT_ACCEPTABLE,
    ),
    "_format of a picture": ("GET", "/fhir/r4/metadata?_format=png", {}, b"", refusals.NOT_ACCEPTABLE),
    "no type": ("POST", path("check"), {}, USUAL, refusals.MEDIA_TYPE),
    "text": ("POST", path("check"), {"Content-Type": "text/plain"}, USUAL, refusals.MEDIA_TYPE),
    "a range of types": ("POST", path("check"), {"Content-Type": "application/*"}, USUAL, refusals.MEDIA_TYPE),
    "two types": ("POST", path("check"), {"Content-Type": "application/json, text/xml"}, USUAL, refusals.MEDIA_TYPE),
    "Latin 1": (
        "POST",
        path("check"),
        {"Content-Type": "application/json; charset=iso-8859-1"},
        USUAL,
        refusals.MEDIA_TYPE,
    ),
    "squeezed": ("POST", path("check"), JSON | {"Content-Encoding": "gzip"}, USUAL, refusals.MEDIA_TYPE),
    "too large": ("POST", path("check"), JSON, b" " * (BODY + 1), refusals.TOO_LARGE),
    "an unknown parameter": ("POST", path("check", query="?x=1"), JSON, USUAL, refusals.PARAMETER_UNKNOWN),
    "one of another operation": ("POST", path("check", query="?kind=patient"), JSON, USUAL, refusals.PARAMETER_UNKNOWN),
    "a resource in the address": ("POST", path("report", query="?after=1"), JSON, USUAL, refusals.PARAMETER_UNKNOWN),
    "one where there is none": ("GET", "/fhir/r4/metadata?mode=full", {}, b"", refusals.PARAMETER_UNKNOWN),
    "an unknown one in Parameters": ("POST", path("check"), FHIR, parameters(x="1"), refusals.PARAMETER_UNKNOWN),
    "twice": ("POST", path("report", query="?bundle=document&bundle=document"), JSON, USUAL, refusals.PARAMETER_TWICE),
    "twice _format": ("GET", "/fhir/r4/metadata?_format=json&_format=xml", {}, b"", refusals.PARAMETER_TWICE),
    "in address and body": (
        "POST",
        path("report", query="?bundle=document"),
        FHIR,
        parameters(examination=binary(USUAL), bundle="document"),
        refusals.PARAMETER_TWICE,
    ),
    "two records": (
        "POST",
        path("report"),
        FHIR,
        parameters(examination=[binary(USUAL), binary(USUAL)]),
        refusals.PARAMETER_TWICE,
    ),
    "no such bundle": ("POST", path("report", query="?bundle=batch"), JSON, USUAL, refusals.PARAMETER_VALUE),
    "no version": ("POST", path("report", query="?if-match=3"), JSON, USUAL, refusals.PARAMETER_VALUE),
    "no resource": ("POST", path("check"), FHIR, parameters(examination="text"), refusals.PARAMETER_VALUE),
    "no record": ("POST", path("report"), FHIR, parameters(bundle="document"), refusals.PARAMETER_MISSING),
    "no reports": ("POST", path("read"), FHIR, parameters(), refusals.PARAMETER_MISSING),
    "a document without examiner": (
        "POST",
        path("report", query="?bundle=document"),
        JSON,
        NO_EXAMINER,
        refusals.NOT_MADE,
    ),
    "the former one of another patient": ("POST", path("report"), FHIR, TWO_PATIENTS, refusals.NOT_MADE),
}


@pytest.mark.parametrize("name", REFUSED)
def test_what_is_refused_has_its_status_and_an_outcome(client: TestClient, name: str) -> None:
    method, address, headers, body, refusal = REFUSED[name]
    answer = client.request(method, address, headers=headers, content=body)
    assert (answer.status_code, rules(answer)) == (refusal.status, [refusal.rule.id])
    assert answer.headers["Content-Type"].startswith("application/fhir+json")
    (issue,) = answer.json()["issue"]
    assert issue["code"] == refusal.kind
    assert OperationOutcome.model_validate(answer.json())
    assert OperationOutcomeR4B.model_validate(answer.json())
    if refusal is refusals.METHOD:
        # RFC 9110, 15.5.6: Allow is there; of what is got, HEAD is too (9.3.2).
        assert set(answer.headers["Allow"].split(", ")) in ({"POST"}, {"GET", "HEAD"})


def test_each_refusal_of_the_table_is_seen_in_some_test() -> None:
    elsewhere = {
        refusals.LATE,
        refusals.BUSY,
        refusals.TOO_SLOW,
        refusals.NOT_READY,
        refusals.NOT_INSTALLED,
        refusals.FAILED,
    }
    assert {case[4] for case in REFUSED.values()} | elsewhere == set(REFUSALS)


def test_a_copy_that_no_clinician_reviewed_the_language_of_is_refused_in_words() -> None:
    job = Job(table.LETTER.code, "R4", media.JSON, media.TEXT, {"kind": "patient"}, USUAL)
    answer = work.done(job, Host(dermreport.Settings(), dermreport.LetterSettings(language="de")))
    assert (answer.status, answer.rule) == (422, "http-not-made")
    assert b"and the day. Nothing has been made" in answer.content


UNREADABLE: dict[str, tuple[str, dict[str, str], bytes, str]] = {
    "no JSON": ("check", JSON, b"{", "entry-not-json"),
    "nothing": ("check", JSON, b"", "entry-not-json"),
    "a key twice": ("check", JSON, b'{"a":1,"a":1}', "entry-key-twice"),
    "not UTF-8": ("check", JSON, b"\xff", "entry-not-utf-8"),
    "NaN": ("check", JSON, b'{"a":NaN}', "entry-not-a-number"),
    "a list": ("check", JSON, b"[]", "entry-not-an-object"),
    "another form's answers": (
        "check",
        FHIR,
        b'{"resourceType":"QuestionnaireResponse","questionnaire":"https://clinic.example/Questionnaire/1"}',
        "form-other-form",
    ),
    "another resource": ("check", FHIR, b'{"resourceType":"Patient"}', "read-no-report"),
    "a bundle without a report": ("read", FHIR, b'{"resourceType":"Bundle","type":"collection"}', "read-no-report"),
    "a Binary without content": ("check", FHIR, b'{"resourceType":"Binary"}', "entry-missing"),
    "a Binary in a Binary": ("check", FHIR, text_of(binary(text_of(binary(USUAL)))), "entry-unknown-field"),
}


@pytest.mark.parametrize("name", UNREADABLE)
def test_what_can_not_be_read_is_422_with_every_issue(client: TestClient, name: str) -> None:
    operation, headers, body, rule = UNREADABLE[name]
    answer = client.post(path(operation), content=body, headers=headers)
    assert answer.status_code == 422
    assert rule in rules(answer)
    assert rules(answer).count("entry-plan-not-known") == 1


@pytest.mark.parametrize("at", [0, 1])
def test_a_record_beside_one_that_can_not_be_read_is_not_sent_and_that_is_said(client: TestClient, at: int) -> None:
    good, bad = binary(USUAL), binary(text_of(json.loads(USUAL) | {"patient": None, "plan": {}}))
    first, second = (good, bad) if at else (bad, good)
    answer = client.post(path("report"), content=parameters(examination=first, earlier=second), headers=FHIR)
    assert answer.status_code == 422
    assert rules(answer)[-2:] == ["entry-nothing-held", "entry-plan-not-known"]


@pytest.mark.parametrize(("more", "status"), [(-1, 422), (0, 422), (1, 413)])
@pytest.mark.parametrize("chunked", [False, True])
def test_a_body_may_be_as_large_as_the_limit_and_no_larger(
    client: TestClient, more: int, status: int, *, chunked: bool
) -> None:
    body = b" " * (BODY + more)
    content = iter([body[:1000], body[1000:]]) if chunked else body
    answer = client.post(path("check"), content=content, headers=JSON)
    assert answer.status_code == status


def test_a_length_of_many_digits_is_too_large() -> None:
    headers = [(b"content-type", b"application/json"), (b"content-length", b"9" * 5000)]
    start, body = asyncio.run(asked_raw(dermreport.http_app(limits=LIMITS), headers))
    assert start["status"] == 413
    assert b"http-too-large" in body["body"]


async def asked_raw(app: Any, headers: list[tuple[bytes, bytes]]) -> list[dict[str, Any]]:
    """Ask without a server or client between, with a body that never comes."""
    sent: list[dict[str, Any]] = []

    async def never() -> dict[str, Any]:
        await asyncio.sleep(60)
        raise AssertionError

    async def send(message: Any) -> None:
        sent.append(message)

    scope = {
        "type": "http",
        "method": "POST",
        "path": path("check"),
        "raw_path": path("check").encode(),
        "query_string": b"",
        "headers": headers,
    }
    await app(scope, never, send)
    return sent


def test_an_error_comes_in_the_form_that_is_asked_for(client: TestClient) -> None:
    accept = {"Accept": "application/fhir+xml"}
    for answer in (
        client.get("/nothing", headers=accept),
        client.post(path("check"), content=b"{", headers=JSON | accept),
        client.post(path("check", query="?x=1"), content=USUAL, headers=JSON | accept),
    ):
        assert answer.headers["Content-Type"].startswith("application/fhir+xml")
        assert answer.text.startswith('<?xml version="1.0" encoding="UTF-8"?>\n<OperationOutcome')


# Negotiation: RFC 9110, 12.5.1, with its example; FHIR's fhirVersion and _format

OFFERED = ("application/fhir+json", "application/fhir+xml", "application/json", "text/html")
NEGOTIATED: dict[str, str | None] = {
    "": "application/fhir+json",
    "*/*": "application/fhir+json",
    "application/*": "application/fhir+json",
    "text/*": "text/html",
    "application/json": "application/json",
    "APPLICATION/JSON": "application/json",
    "application/fhir+xml, application/fhir+json": "application/fhir+json",
    "application/fhir+xml, application/fhir+json;q=0.9": "application/fhir+xml",
    "application/fhir+json;q=0, */*": "application/fhir+xml",
    "*/*;q=0.1, text/html;q=0.2": "text/html",
    "text/html;q=0.001": "text/html",
    "text/html;q=0": None,
    "text/html;q=0.000, image/*": None,
    "text/*;q=0.3, text/plain;q=0.7, text/plain;format=flowed, text/plain;format=fixed;q=0.4, */*;q=0.5": (
        "application/fhir+json"
    ),
    "application/fhir+xml;fhirVersion=4.0": "application/fhir+xml",
    "application/fhir+xml;fhirVersion=5.0": None,
    "application/fhir+xml;fhirVersion=5.0, application/json;q=0.1": "application/json",
    'application/fhir+xml; fhirVersion="4.0"; charset="UTF-8"': "application/fhir+xml",
    "application/fhir+xml; charset=utf-16": None,
    "text/html,application/xhtml+xml,application/xml;q=0.9,*/*;q=0.8": "text/html",
    "image/png": None,
    "nonsense": None,
    "text/html;q=2": None,
    ", text/html": None,
    'text/html; a="x,y" , image/png': "text/html",
    "text/html;;q=0.5": "text/html",
}


@pytest.mark.parametrize("accept", NEGOTIATED)
def test_what_is_asked_for_most_is_given(accept: str) -> None:
    assert media.chosen(accept, OFFERED, dermreport.Release.R4) == NEGOTIATED[accept]


@pytest.mark.parametrize(
    ("asked", "given"),
    [
        ("json", "application/fhir+json; charset=utf-8; fhirVersion=4.0"),
        ("xml", "application/fhir+xml; charset=utf-8; fhirVersion=4.0"),
        ("application/json", "application/json"),
        ("application/fhir%2Bxml", "application/fhir+xml; charset=utf-8; fhirVersion=4.0"),
        ("application/fhir+xml", "application/fhir+xml; charset=utf-8; fhirVersion=4.0"),
        ("text/xml", "text/xml; charset=utf-8"),
    ],
)
def test_format_in_the_address_goes_before_accept(client: TestClient, asked: str, given: str) -> None:
    answer = client.get(f"/fhir/r4/metadata?_format={asked}", headers={"Accept": "image/png"})
    assert answer.headers["Content-Type"] == given


# How long, and how many at once


@contextmanager
def door(**limits: int) -> Iterator[TestClient]:
    with TestClient(dermreport.http_app(limits=dermreport.HttpLimits(**({"workers": 1} | limits)))) as one:
        yield one


def test_work_that_takes_too_long_is_stopped_and_the_next_is_answered() -> None:
    with door(work_seconds=1) as one:
        started = time.monotonic()
        answer = one.post(path("check"), content=SLOW, headers=JSON)
        assert time.monotonic() - started < 5
        assert (answer.status_code, rules(answer)) == (504, ["http-too-slow"])
        assert int(answer.headers["Retry-After"]) > 0
        assert one.post(path("check"), content=USUAL, headers=JSON).status_code == 200


def test_the_same_work_is_not_stopped_where_there_is_time() -> None:
    body = json.dumps({**entry(), "findings": [{}] * 500}).encode()
    with door(work_seconds=20) as one:
        assert one.post(path("check"), content=body, headers=JSON).status_code == 200


def at_once(one: TestClient, number: int, content: bytes) -> list[Any]:
    answers: list[Any] = []
    threads = [
        threading.Thread(target=lambda: answers.append(one.post(path("check"), content=content, headers=JSON)))
        for _ in range(number)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return answers


def test_more_than_there_are_places_for_are_told_to_come_again() -> None:
    with door(waiting=1, work_seconds=2, wait_seconds=30) as one:
        answers = at_once(one, 4, SLOW)
        told = sorted(answer.status_code for answer in answers)
        # One works, one waits; the others are refused before their body is read.
        assert told == [503, 503, 504, 504]
        for answer in answers:
            assert int(answer.headers["Retry-After"]) > 0
            assert rules(answer) == ["http-busy" if answer.status_code == 503 else "http-too-slow"]


def test_whoever_waits_too_long_is_told_to_come_again() -> None:
    with door(waiting=1, work_seconds=3, wait_seconds=1) as one:
        assert sorted(answer.status_code for answer in at_once(one, 2, SLOW)) == [503, 504]


async def hanging_up() -> tuple[list[Any], int]:
    """Return what one is told that hangs up while it waits, and the status of one that asks after it."""
    limits = dermreport.HttpLimits(workers=1, waiting=1, wait_seconds=30, work_seconds=3)
    app = dermreport.http_app(limits=limits)
    told: dict[str, list[Any]] = {"slow": [], "hangs up": [], "next": []}
    leaves = asyncio.Event()

    def asks(name: str, body: bytes, stays: asyncio.Event) -> asyncio.Task[None]:
        sent = [{"type": "http.request", "body": body, "more_body": False}]

        async def receive() -> Any:
            if sent:
                return sent.pop()
            await stays.wait()
            return {"type": "http.disconnect"}

        async def send(message: Any) -> None:
            told[name].append(message)

        headers = [(b"content-type", b"application/json")]
        scope = {"type": "http", "method": "POST", "path": path("check"), "query_string": b"", "headers": headers}
        return asyncio.ensure_future(app(scope, receive, send))

    async with app.router.lifespan_context(app):
        never = asyncio.Event()
        slow = asks("slow", SLOW, never)
        await asyncio.sleep(0.5)
        waits = asks("hangs up", USUAL, leaves)
        await asyncio.sleep(0.5)
        assert not waits.done()
        leaves.set()
        await asyncio.wait_for(waits, 1)
        assert not slow.done()
        await asks("next", USUAL, never)
        assert [told[name][0]["status"] for name in ("slow", "next")] == [504, 200]
        await slow
        # The one that works isn't lost: it answers again.
        told["next"].clear()
        await asks("next", USUAL, never)
    return told["hangs up"], told["next"][0]["status"]


def test_whoever_hangs_up_while_waiting_frees_the_place() -> None:
    assert asyncio.run(hanging_up()) == ([], 200)


def test_as_many_as_there_are_places_for_are_answered() -> None:
    with door(waiting=3) as one:
        assert [answer.status_code for answer in at_once(one, 4, USUAL)] == [200] * 4


def of_processes() -> set[int]:
    listed = subprocess.run(["ps", "-ewwo", "pid,ppid,args"], capture_output=True, text=True, check=True).stdout
    here = str(os.getpid())
    rows = [line.split(None, 2) for line in listed.splitlines()[1:]]
    return {int(one[0]) for one in rows if one[1] == here and "dermreport.http.worker" in one[2]}


def test_a_process_that_ends_is_replaced_and_none_outlives_the_door() -> None:
    before = of_processes()
    with door() as one:
        (worker,) = of_processes() - before
        os.kill(worker, signal.SIGTERM)
        # A signal to the group is the door's matter: the process goes on.
        assert one.post(path("check"), content=USUAL, headers=JSON).status_code == 200
        assert of_processes() - before == {worker}
        os.kill(worker, signal.SIGKILL)
        answer = one.post(path("check"), content=USUAL, headers=JSON)
        assert (answer.status_code, rules(answer)) == (500, ["http-failed"])
        assert one.post(path("check"), content=USUAL, headers=JSON).status_code == 200
        assert of_processes() - before != {worker}
    assert of_processes() == before


def test_it_isn_t_ready_before_it_starts_and_after_it_stopped() -> None:
    app = dermreport.http_app(limits=LIMITS)

    async def asked() -> list[int]:
        transport = httpx2.ASGITransport(app)
        async with httpx2.AsyncClient(transport=transport, base_url="http://door.example") as one:
            async with app.router.lifespan_context(app):
                found = [(await one.get("/ready")).status_code, (await one.get("/health")).status_code]
            stopped = await one.get("/ready")
            assert rules(stopped) == ["http-not-ready"]
            return [*found, stopped.status_code, (await one.get("/health")).status_code]

    assert asyncio.run(asked()) == [200, 200, 503, 200]


def test_without_a_lifespan_the_first_request_starts_the_processes() -> None:
    app = dermreport.http_app(limits=LIMITS)

    async def asked() -> tuple[int, int]:
        transport = httpx2.ASGITransport(app)
        async with httpx2.AsyncClient(transport=transport, base_url="http://door.example") as one:
            answer, ready = await asyncio.gather(
                one.post(path("check"), content=USUAL, headers=JSON), one.get("/ready")
            )
        async with app.router.lifespan_context(app):
            pass
        return answer.status_code, ready.status_code

    assert asyncio.run(asked()) == (200, 200)


def test_what_needs_an_extra_that_is_not_there_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    def missing(*_: Any, **__: Any) -> None:
        raise dermreport.MissingExtraError("PDF letters need typst: pip install 'dermreport[letter]'")

    monkeypatch.setattr(work, "letter", missing)
    job = Job(table.LETTER.code, "R4", media.JSON, media.PDF, {}, USUAL)
    answer = work.done(job, Host(dermreport.Settings(), dermreport.LetterSettings()))
    assert (answer.status, answer.rule, answer.media) == (501, "http-not-installed", media.FHIR_JSON)


@pytest.mark.parametrize("library", ["starlette", "uvicorn"])
def test_without_the_extra_the_command_is_named(monkeypatch: pytest.MonkeyPatch, library: str) -> None:
    monkeypatch.setitem(sys.modules, library, None)
    with pytest.raises(dermreport.MissingExtraError, match=r"pip install 'dermreport\[http\]'"):
        dermreport.http.door.serve(dermreport.http_app(), None)


def test_a_process_that_does_not_start_is_said_and_tried_again(monkeypatch: pytest.MonkeyPatch) -> None:
    from dermreport.http import workers

    app = dermreport.http_app(limits=LIMITS)

    async def asked() -> list[int]:
        transport = httpx2.ASGITransport(app)
        async with httpx2.AsyncClient(transport=transport, base_url="http://door.example") as one:
            with monkeypatch.context() as patched:
                patched.setattr(workers, "command", lambda: ("/nowhere/python",))
                found = [(await one.get("/ready")).status_code]
                found.append((await one.post(path("check"), content=USUAL, headers=JSON)).status_code)
            found += [(await one.get("/ready")).status_code]
            found.append((await one.post(path("check"), content=USUAL, headers=JSON)).status_code)
        async with app.router.lifespan_context(app):
            return found

    assert asyncio.run(asked()) == [503, 500, 200, 200]


@pytest.mark.parametrize("limits", [{"workers": 0}, {"work_seconds": 0}, {"body": -1}, {"waiting": 1.5}])
def test_what_is_no_limit_is_refused(limits: dict[str, Any]) -> None:
    with pytest.raises(dermreport.SettingsError):
        dermreport.HttpLimits(**limits)


# Nothing leaks


@contextmanager
def heard() -> Iterator[list[str]]:
    """Hear every record of every logger but the client's, as it is written and with all its parts."""
    texts: list[str] = []

    class Ear(logging.Handler):
        def emit(self, record: logging.LogRecord) -> None:
            if not record.name.startswith(("httpx2", "httpcore2")):
                texts.extend((JsonLines().format(record), record.getMessage(), repr(vars(record))))

    ear, root, level = Ear(), logging.getLogger(), logging.getLogger().level
    root.addHandler(ear)
    root.setLevel(logging.DEBUG)
    try:
        yield texts
    finally:
        root.removeHandler(ear)
        root.setLevel(level)


def told(answer: Any) -> str:
    """Return all that an answer says beside what was asked for: its headers, and its body where it is an outcome."""
    says = answer.headers["Content-Type"].startswith("application/fhir+json") and answer.json()
    outcome = says and says["resourceType"] == "OperationOutcome"
    return f"{dict(answer.headers)} {answer.text if outcome else ''}"


def test_nothing_of_a_record_is_in_a_log_a_header_or_an_outcome(client: TestClient) -> None:
    statuses = set()
    records = [(one, JSON) for one in entries()]
    records += [(one, FHIR) for one in list(forms())[::3]]
    records += [(one, XML if isinstance(one, str) and one.startswith("<") else FHIR) for one in list(bundles())[::3]]
    with heard() as log:
        for number, (one, headers) in enumerate(records):
            content = json.dumps(one) if isinstance(one, dict) else one
            content = content.encode("utf-8", "surrogatepass") if isinstance(content, str) else content
            operation = ("check", "report", "letter", "read")[number % 4]
            for name in {"check", operation}:
                answer = client.post(path(name), content=content[: BODY * 2], headers=headers)
                statuses.add(answer.status_code)
                assert leaks(told(answer)) == [], (number, name)
    assert {200, 413, 422} <= statuses
    assert 500 not in statuses
    assert len(log) > 100
    assert leaks("\n".join(log)) == []


def test_nothing_of_an_address_or_a_header_is_in_a_log_or_an_answer(client: TestClient) -> None:
    asked: tuple[Callable[[], Any], ...] = (
        lambda: client.get(f"/{MARK}?{MARK}={MARK}"),
        lambda: client.get(f"/fhir/{MARK}/metadata"),
        lambda: client.get(f"/fhir/r4/OperationDefinition/{MARK}"),
        lambda: client.get(f"/health/{MARK}/"),
        lambda: client.get(f"/health?name={MARK}"),
        lambda: client.get(f"/fhir/r4/metadata?_format={MARK}"),
        lambda: client.request(MARK, "/health"),
        lambda: client.post(path("check", query=f"?{MARK}=1"), content=USUAL, headers=JSON),
        lambda: client.post(path("report", query=f"?bundle={MARK}"), content=USUAL, headers=JSON),
        lambda: client.post(path("check"), content=parameters(**{MARK: MARK}), headers=FHIR),
        lambda: client.post(path("report"), content=parameters(bundle=MARK), headers=FHIR),
        lambda: client.post(path("check"), content=USUAL, headers=JSON | {"X-Request-Id": MARK}),
        lambda: client.post(path("check"), content=USUAL, headers=JSON | {"Accept": f"{MARK}/{MARK};{MARK}={MARK}"}),
        lambda: client.post(path("check"), content=USUAL, headers={"Content-Type": f"{MARK}/{MARK}"}),
        lambda: client.post(path("check"), content=USUAL, headers=JSON | {"Content-Encoding": MARK}),
        lambda: client.post(path("check"), content=USUAL, headers=JSON | {"Content-Length": MARK}),
        lambda: client.post(path("check"), content=USUAL, headers=JSON | {"User-Agent": MARK, "Cookie": MARK}),
    )
    with heard() as log:
        for one in asked:
            assert leaks(told(one())) == []
    assert len([line for line in log if line.startswith('{"time"')]) >= len(asked)
    assert leaks("\n".join(log)) == []


def test_what_fails_is_logged_by_kind_and_place_alone(client: TestClient, monkeypatch: pytest.MonkeyPatch) -> None:
    def failing(*_: Any) -> None:
        raise ValueError(MARK)

    monkeypatch.setattr(media, "sent", failing)
    with heard() as log:
        answer = client.post(path("check"), content=USUAL, headers=JSON)
    assert (answer.status_code, rules(answer)) == (500, ["http-failed"])
    assert leaks("\n".join(log) + told(answer)) == []
    said = next(json.loads(line) for line in log if line.startswith('{"time"'))
    assert (said["level"], said["status"], said["failed"]) == ("error", 500, "ValueError")


def test_what_fails_in_a_process_says_kind_and_place(monkeypatch: pytest.MonkeyPatch) -> None:
    from io import BytesIO

    import msgspec

    from dermreport.http import worker
    from dermreport.http.messages import LENGTH, Answer, framed

    def failing(*_: Any) -> None:
        raise ValueError(MARK)

    monkeypatch.setattr(worker, "_warm", lambda _: None)
    monkeypatch.setattr(work, "from_visit", failing)
    host = host_bytes(Host(dermreport.Settings(), dermreport.LetterSettings()))
    job = Job(table.CHECK.code, "R4", media.JSON, media.FHIR_JSON, {}, USUAL)
    out = BytesIO()
    worker.work(BytesIO(framed(host) + framed(msgspec.msgpack.encode(job))), out)
    content = out.getvalue()[2 * LENGTH.size :]
    answer = msgspec.msgpack.decode(content, type=Answer)
    assert answer.status == 500
    assert answer.failed[0] == "ValueError"
    assert re.fullmatch(r"http/work\.py:\d+", answer.failed[1])
    assert MARK.encode() not in content


def test_of_other_libraries_only_the_fixed_text_is_logged() -> None:
    line = JsonLines().format(logging.LogRecord("asyncio", logging.ERROR, "", 1, "took %s", (MARK,), None))
    assert json.loads(line)["message"] == "took %s"
    line = JsonLines().format(logging.LogRecord("other", logging.ERROR, "", 1, f"read {MARK}", (), None))
    assert MARK not in line
    error = ValueError(MARK)
    record = logging.LogRecord("other", logging.ERROR, "", 1, "failed", (), (ValueError, error, None))
    assert MARK not in JsonLines().format(record)
    assert json.loads(JsonLines().format(record))["exception"] == "ValueError"


@pytest.mark.parametrize(
    ("logger", "text", "value", "said"),
    [
        ("uvicorn.error", "Finished server process [%d]", 7, "Finished server process [7]"),
        ("uvicorn.error", "ASGI callable should return None, but returned '%s'.", MARK, None),
        ("uvicorn.access", "%s", MARK, None),
        ("asyncio", "Finished server process [%d]", 7, None),
    ],
)
def test_what_the_server_says_of_itself_has_its_values(logger: str, text: str, value: Any, said: str | None) -> None:
    line = JsonLines().format(logging.LogRecord(logger, logging.INFO, "", 1, text, (value,), None))
    assert json.loads(line)["message"] == (said or text)


def test_the_log_says_what_was_asked_and_how_it_went(client: TestClient) -> None:
    number = "0b0e9c4a-6f0e-4a8e-9a57-3f4b6a1f7d10"
    with heard() as log:
        answer = client.post(path("check", "R5"), content=USUAL, headers=JSON | {"X-Request-Id": number})
    said = next(json.loads(line) for line in log if line.startswith('{"time"'))
    assert answer.headers["X-Request-Id"] == number
    assert said.pop("ms") > 0
    assert re.fullmatch(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}\+00:00", said.pop("time"))
    assert said == {
        "level": "info",
        "logger": NAME,
        "event": "request",
        "request_id": number,
        "method": "POST",
        "route": "dermoscopy-check",
        "release": "R5",
        "status": 200,
        "received": len(USUAL),
        "sent": len(answer.content),
        "rule": "",
        "failed": "",
    }


def test_a_number_that_is_no_uuid_gets_another(client: TestClient) -> None:
    numbers = {client.get("/health", headers={"X-Request-Id": "Mrs Example"}).headers["X-Request-Id"] for _ in "ab"}
    assert len(numbers) == 2
    assert all(uuid.UUID(one) for one in numbers)


# What is described


@pytest.mark.parametrize("release", RELEASES)
def test_the_capability_statement_and_the_definitions_are_resources(client: TestClient, release: str) -> None:
    statement, definition = {
        "R5": (CapabilityStatement, OperationDefinition),
        "R4": (CapabilityStatementR4B, OperationDefinitionR4B),
        "R4B": (CapabilityStatementR4B, OperationDefinitionR4B),
    }[release]
    said = client.get(f"/fhir/{release.lower()}/metadata").json()
    assert statement.model_validate(said)
    assert said["fhirVersion"] == {"R4": "4.0.1", "R4B": "4.3.0", "R5": "5.0.0"}[release]
    offered = {one["name"]: one["definition"] for one in said["rest"][0]["operation"]}
    assert offered == {one.code: operation_url(one) for one in table.OPERATIONS}
    for one in operation_definitions(dermreport.Release(release)):
        assert definition.model_validate(one)
        got = client.get(f"/fhir/{release.lower()}/OperationDefinition/{one['id']}")
        assert got.json() == one
        assert client.post(f"/fhir/{release.lower()}/${one['code']}", content=b"", headers=FHIR).status_code == 422


@pytest.mark.parametrize("operation", table.OPERATIONS, ids=lambda one: one.code)
def test_what_comes_out_is_what_the_definition_says(client: TestClient, operation: table.Operation) -> None:
    body = dermreport.to_fhir(reviewed(USUAL)).bundle("collection").to_json()
    answer = client.post(f"/fhir/r4/${operation.code}", content=body, headers=FHIR).json()
    if operation.gives[0].name == "return":
        assert answer["resourceType"] == operation.gives[0].kind
    else:
        assert answer["resourceType"] == "Parameters"
        kinds = {one.name: one.kind for one in operation.gives}
        assert {one["name"]: one["resource"]["resourceType"] for one in answer["parameter"]} == kinds


def test_the_form_is_given(client: TestClient) -> None:
    for release in RELEASES:
        answer = client.get(f"/fhir/{release.lower()}/Questionnaire/dermoscopy-examination")
        assert json.loads(answer.text, parse_float=Decimal) == dermreport.questionnaire(release)


def test_openapi_is_valid_and_says_all_that_is_there(client: TestClient) -> None:
    said = client.get("/openapi.json").json()
    openapi_spec_validator.validate(said)
    described = {(method.upper(), address) for address, methods in said["paths"].items() for method in methods}
    assert described == {(one.method, one.path) for one in ROUTES}
    schemas, own = said["components"]["schemas"], dermreport.json_schema(dermreport.Examination)
    assert schemas["Examination"]["properties"].keys() == own["properties"].keys()
    assert own["$defs"].keys() <= schemas.keys()
    assert "$defs" not in json.dumps(said)
    for name, (method, address, _, _, refusal) in REFUSED.items():
        route = next((one for one in ROUTES if one.method == method and _fits(one.path, address)), None)
        if route is not None:
            assert refusal in route.refuses, name
            assert str(int(refusal.status)) in said["paths"][route.path][method.lower()]["responses"], name


def _fits(pattern: str, address: str) -> bool:
    form = re.sub(r"\\\{\w+\\\}", "[^/]+", re.escape(pattern))
    return re.fullmatch(form, address.partition("?")[0]) is not None


def test_head_is_answered_as_get(client: TestClient) -> None:
    answer = client.head("/fhir/r4/metadata")
    assert (answer.status_code, answer.content) == (200, b"")
    assert answer.headers["Content-Length"] == client.get("/fhir/r4/metadata").headers["Content-Length"]


# The command line


@contextmanager
def served(*arguments: str) -> Iterator[tuple[subprocess.Popen[str], int, list[str]]]:
    """Serve in a process of its own; give it, its port and the lines of its log."""
    command = [sys.executable, "-m", "dermreport", "serve", "--port", "0", "--workers", "1", *arguments]
    process = subprocess.Popen(command, stderr=subprocess.PIPE, text=True, cwd=ROOT)
    lines: list[str] = []
    assert process.stderr is not None
    for line in process.stderr:
        lines.append(line)
        if '"listening"' in line:
            break
    said = json.loads(lines[-1])
    reader = threading.Thread(target=lambda: lines.extend(process.stderr or ()))
    reader.start()
    try:
        yield process, said["port"], lines
    finally:
        process.terminate()
        process.wait(30)
        reader.join()
        process.stderr.close()


def test_it_listens_on_this_machine_alone_unless_it_is_told() -> None:
    with served() as (process, port, lines):
        assert json.loads(lines[-1])["host"] == "127.0.0.1"
        assert httpx2.get(f"http://127.0.0.1:{port}/ready", timeout=30).status_code == 200
        # Another address of the loopback network is another interface's as far as a socket is concerned.
        with pytest.raises(ConnectionRefusedError), socket.create_connection(("127.0.0.2", port), timeout=2):
            pass
        answer = httpx2.get(f"http://127.0.0.1:{port}/{MARK}?{MARK}")
        assert answer.status_code == 404
        assert "server" not in answer.headers
        process.send_signal(signal.SIGTERM)
        assert process.wait(30) == 0
    assert all(json.loads(line)["level"] in {"info", "warning"} for line in lines)
    said = [json.loads(line).get("message", "") for line in lines]
    assert f"Finished server process [{process.pid}]" in said
    assert [one for one in said if "%" in one] == []
    assert leaks("".join(lines)) == []


def test_no_answer_waits_for_a_packet_to_fill() -> None:
    with door_module.listening(port=0) as one, socket.create_connection(one.getsockname()):
        connection, _ = one.accept()
        with connection:
            # asyncio switches the delay off for sockets of this protocol alone.
            assert connection.proto == socket.IPPROTO_TCP


def test_another_address_is_served_with_a_warning() -> None:
    with served("--host", "0.0.0.0") as (_, port, lines):  # noqa: S104 - it is the warning that is tested
        assert httpx2.get(f"http://127.0.0.2:{port}/health").status_code == 200
    said = [json.loads(line) for line in lines]
    assert [one["level"] for one in said if one.get("event") == "open"] == ["warning"]


def raw(port: int, request: bytes) -> bytes:
    """Send bytes as they stand and return all that comes; nothing where no connection is had."""
    got = b""
    try:
        with socket.create_connection(("127.0.0.1", port), timeout=30) as one:
            one.sendall(request)
            while part := one.recv(65536):
                got += part
    except OSError:
        pass
    return got


def is_whole(answer: bytes) -> bool:
    head, _, body = answer.partition(b"\r\n\r\n")
    length = re.search(rb"(?i)content-length: (\d+)", head)
    return length is not None and len(body) == int(length[1])


def test_when_it_is_stopped_under_load_everything_is_answered_whole_or_not_at_all() -> None:
    head = f"POST {path('report')} HTTP/1.1\r\nHost: x\r\nConnection: close\r\nContent-Type: application/json\r\n"
    request = f"{head}Content-Length: {len(USUAL)}\r\n\r\n".encode() + USUAL
    answers: list[bytes] = []
    with served() as (process, port, lines):
        assert raw(port, request).startswith(b"HTTP/1.1 200")
        going = threading.Event()
        going.set()

        def ask() -> None:
            while going.is_set():
                answers.append(raw(port, request))

        threads = [threading.Thread(target=ask) for _ in range(8)]
        for thread in threads:
            thread.start()
        time.sleep(1.5)
        process.send_signal(signal.SIGTERM)
        code = process.wait(30)
        going.clear()
        for thread in threads:
            thread.join()
    assert code == 0
    whole = [one for one in answers if one]
    assert len(whole) > 20
    assert [one for one in whole if not is_whole(one)] == []
    assert {one[9:12] for one in whole} == {b"200"}
    assert b"" in answers, "it went on after it was stopped"
    asked = [one for one in map(json.loads, lines) if one.get("event") == "request"]
    assert len(asked) == len(whole) + 1
    assert any(json.loads(one).get("event") == "stopped" for one in lines)


def test_a_body_that_does_not_come_is_waited_for_only_so_long() -> None:
    app = dermreport.http_app(limits=dermreport.HttpLimits(workers=1, read_seconds=1))
    headers = [(b"content-type", b"application/json"), (b"content-length", b"10")]
    start, body = asyncio.run(asked_raw(app, headers))
    assert start["status"] == 408
    assert b"http-late" in body["body"]


def test_wrong_calls_of_serve_say_what_is_wrong(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for arguments in (["--port", "65536"], ["--port", "x"], ["--workers", "0"]):
        with pytest.raises(SystemExit) as ended:
            cli.main(["serve", *arguments])
        assert ended.value.code == cli.WRONG_CALL
    settings = tmp_path / "letters.toml"
    settings.write_text(f'nothing = "{MARK}"', encoding="utf-8")
    assert cli.main(["serve", "--letter-settings", str(settings)]) == cli.WRONG_CALL
    with socket.create_server(("127.0.0.1", 0)) as taken:
        assert cli.main(["serve", "--port", str(taken.getsockname()[1])]) == cli.NOT_DONE
    said = capsys.readouterr().err
    assert "in use" in said
    assert leaks(said) == []
