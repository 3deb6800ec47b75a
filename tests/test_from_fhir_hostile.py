"""Broken and hostile input: issues with paths, never a traceback, a hang, a look outside, or a value in an issue."""

from __future__ import annotations

import copy
import json
import random
import re
import socket
import time
from collections.abc import Callable, Iterator
from dataclasses import MISSING, fields
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from fhir_cases import entry as full_entry
from fhir_cases import examination
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from lxml import etree
from received import Json, about, bundle_of, from_a_server, read, resources, rules

import dermreport
from dermreport.examination.reader import MAX_ENTRY
from dermreport.fhir.foreign import KeptKind
from dermreport.fhir.ids import Thing
from dermreport.fhir.read import Limits, from_fhir
from dermreport.fhir.read.observations import what_it_is
from dermreport.fhir.read.rules import READ_RULES
from dermreport.fhir.write import to_json, to_xml
from dermreport.publication import CANONICAL_BASE

XML = '<Bundle xmlns="http://hl7.org/fhir"><type value="collection"/>{}</Bundle>'
MARKER = "Zaubermarke"
NOT_KNOWN = "entry-plan-not-known"


def document_type(text: str) -> str:
    return f'<?xml version="1.0"?><!DOCTYPE x [{text}]>{XML.format("")}'


def entity_bomb() -> str:
    entities = '<!ENTITY a "aaaaaaaaaa">' + "".join(
        f'<!ENTITY {name} "{f"&{before};" * 10}">' for before, name in zip("abcdefgh", "bcdefghi", strict=True)
    )
    return document_type(entities)


REFUSED: dict[str, tuple[str | bytes, str]] = {
    "nothing": ("", "entry-not-json"),
    "words": ("hello", "entry-not-json"),
    "a number": ("5", "read-not-fhir"),
    "null": ("null", "read-not-fhir"),
    "an object without a type": ("{}", "read-not-fhir"),
    "a type that is none": ('{"resourceType": 5}', "read-not-fhir"),
    "a key twice": ('{"resourceType": "Bundle", "resourceType": "Bundle"}', "entry-key-twice"),
    "NaN": ('{"resourceType": "Bundle", "total": NaN}', "entry-not-a-number"),
    "deep JSON": ("[" * 100_000, "entry-too-deep"),
    "JSON deeper than the limit": ('{"resourceType": "Basic", "x": ' + "[" * 80 + "]" * 80 + "}", "read-too-deep"),
    "half of a pair": ('{"resourceType": "Basic", "id": "\\ud800"}', "read-text-not-allowed"),
    "half of a pair in a name": ('{"resourceType": "Basic", "\\ud800": "x"}', "read-text-not-allowed"),
    "half of a pair, raw": ('{"resourceType": "Basic", "id": "\ud800"}', "read-text-not-allowed"),
    "bytes that aren't UTF-8": (b'{"resourceType": "\xff"}', "entry-not-utf-8"),
    "UTF-16": ('{"resourceType": "Bundle"}'.encode("utf-16"), "entry-not-utf-8"),
    "XML that ends early": ('<Bundle xmlns="http://hl7.org/fhir"><type', "read-not-xml"),
    "a document type": (document_type(""), "read-document-type"),
    "a file as an entity": (document_type('<!ENTITY a SYSTEM "file:///etc/passwd">'), "read-document-type"),
    "an address as an entity": (document_type('<!ENTITY % a SYSTEM "http://127.0.0.1:9/x"> %a;'), "read-document-type"),
    "entities in entities": (entity_bomb(), "read-document-type"),
    "a document type in another encoding": (
        b'<?xml version="1.0" encoding="UTF-7"?>+ADwAIQ-DOCTYPE x+AD4-' + XML.format("").encode(),
        "read-not-xml",
    ),
    "a document type in UTF-16": (document_type("").encode("utf-16"), "entry-not-utf-8"),
    "a long number": (f'{{"resourceType": "Basic", "x": {"9" * 101}}}', "entry-number-too-long"),
    "a number with many places": (f'{{"resourceType": "Basic", "x": 1.{"0" * 99}}}', "entry-number-too-long"),
    "deep XML": (XML.format("<entry>" * 200 + "</entry>" * 200), "read-too-deep"),
    "deeper XML": (XML.format("<entry>" * 50_000), "read-not-xml"),
    "a long number in XML": (XML.format(f'<total value="{"9" * 5000}"/>'), "read-number-too-long"),
    "a history": ('{"resourceType": "Bundle", "type": "history"}', "read-bundle-kind"),
    "no report": ('{"resourceType": "Bundle", "type": "collection"}', "read-no-report"),
    "HTML": ("<html><body>x</body></html>", "read-no-report"),
}


@pytest.mark.parametrize("name", REFUSED)
def test_what_cannot_be_read_is_an_issue(name: str) -> None:
    content, rule = REFUSED[name]
    start = time.perf_counter()
    reading = from_fhir(content)
    assert reading.examinations == ()
    assert rule in rules(reading)
    assert [(one.rule, one.path) for one in reading.issues if one.rule == NOT_KNOWN] == [(NOT_KNOWN, "$")]
    assert not reading.foreign or name == "HTML"
    # A hang, not a slow machine.
    assert time.perf_counter() - start < 20


def urgent(release: str) -> dermreport.Bundle:
    """Return a report with an urgent step."""
    plan = {"actions": [{"key": "1", "action": "refer-suspected-cancer", "urgency": "urgent"}]}
    return dermreport.to_fhir(dermreport.review(examination(plan=plan)), release=release).bundle("collection")


URGENT = [text for release in ("R4", "R5") for text in (urgent(release).to_json(), urgent(release).to_xml())]


@settings(deadline=None)
@given(st.data())
def test_a_report_that_is_cut_off_gives_its_urgent_step_or_says_that_it_is_not_known(data: st.DataObject) -> None:
    content = data.draw(st.sampled_from(URGENT)).encode()
    reading = from_fhir(content[: data.draw(st.integers(0, len(content)))])
    if reading.examination is None:
        assert [(one.rule, one.path) for one in reading.issues if one.rule == NOT_KNOWN] == [(NOT_KNOWN, "$")]
        return
    assert reading.examination.plan is not None
    assert [step.urgency for step in reading.examination.plan.actions] == ["urgent"]


def test_of_each_report_that_is_not_held_is_told_once_what_is_known_of_its_plan() -> None:
    bundle = json.loads(URGENT[0])
    (report,) = (
        entry["resource"] for entry in bundle["entry"] if entry["resource"]["resourceType"] == "DiagnosticReport"
    )
    for name, gone, rule in (
        ("the plan is read", "effectiveDateTime", "entry-plan-not-sent"),
        ("nothing is read", "identifier", NOT_KNOWN),
    ):
        without = copy.deepcopy(bundle)
        (there,) = (entry["resource"] for entry in without["entry"] if entry["resource"] == report)
        del there[gone]
        reading = from_fhir(without)
        assert reading.examinations == (), name
        assert [one.rule for one in reading.issues if one.rule.startswith("entry-plan-not-")] == [rule], name
        assert [one.issues for one in reading.reports] == [reading.issues], name


def test_a_file_named_in_xml_is_never_read(tmp_path: Path) -> None:
    secret = tmp_path / "secret"
    secret.write_text(MARKER, encoding="utf-8")
    inclusion = f'<xi:include xmlns:xi="http://www.w3.org/2001/XInclude" href="{secret.as_uri()}" parse="text"/>'
    for text in (
        document_type(f'<!ENTITY a SYSTEM "{secret.as_uri()}">').replace("collection", "&a;"),
        XML.format(f"<entry>{inclusion}</entry>"),
        f'<?xml-stylesheet href="{secret.as_uri()}"?>{XML.format("")}',
    ):
        reading = from_fhir(text)
        assert MARKER not in repr(reading) + "".join(one.text for one in reading.foreign.kept)


def test_limits_are_settings() -> None:
    text = dermreport.to_fhir(dermreport.review(examination())).bundle("collection").to_json()
    count = len(json.loads(text)["entry"])
    assert rules(from_fhir(text, limits=Limits(size=len(text) - 1))) == [NOT_KNOWN, "read-too-large"]
    assert rules(from_fhir(text, limits=Limits(size=len(text)))) == []
    assert rules(from_fhir(text, limits=Limits(resources=count - 1))) == [NOT_KNOWN, "read-too-many"]
    assert rules(from_fhir(text, limits=Limits(resources=count))) == []
    assert rules(from_fhir(text, limits=Limits(depth=5))) == [NOT_KNOWN, "read-too-deep"]
    number = '{{"resourceType": "Basic", "x": {}}}'
    assert rules(from_fhir(number.format("12.34"), limits=Limits(number=5))) == [NOT_KNOWN, "read-no-report"]
    assert rules(from_fhir(number.format("12.345"), limits=Limits(number=5))) == ["entry-number-too-long", NOT_KNOWN]
    for fits, too_long in ((12345, 123456), (Decimal("1.2345"), Decimal("1.23456"))):
        assert rules(from_fhir({"resourceType": "Basic", "x": fits}, limits=Limits(number=5))) == [
            NOT_KNOWN,
            "read-no-report",
        ]
        assert rules(from_fhir({"resourceType": "Basic", "x": too_long}, limits=Limits(number=5))) == [
            NOT_KNOWN,
            "read-number-too-long",
        ]


def test_the_limits_are_documented_with_their_defaults() -> None:
    for limits in (Limits, dermreport.DicomLimits):
        for field in fields(limits):
            assert f"        {field.name}: " in (limits.__doc__ or "")
            assert field.default is not MISSING


def test_no_address_in_xml_is_asked() -> None:
    with socket.create_server(("127.0.0.1", 0)) as server:
        server.settimeout(0.2)
        address = f"http://127.0.0.1:{server.getsockname()[1]}/x"
        for text in (
            document_type(f'<!ENTITY a SYSTEM "{address}">').replace("collection", "&a;"),
            f'<!DOCTYPE Bundle SYSTEM "{address}">{XML.format("")}',
            XML.format(f'<xi:include xmlns:xi="http://www.w3.org/2001/XInclude" href="{address}"/>'),
            f'<?xml-stylesheet href="{address}"?>{XML.format("")}',
            XML.format("").replace(
                " xmlns=",
                f' xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance" xsi:schemaLocation="x {address}" xmlns=',
            ),
        ):
            assert from_fhir(text).issues
        with pytest.raises(TimeoutError):
            server.accept()


NARRATIVES = {
    "entities in entities": entity_bomb().partition("?>")[2].partition("<Bundle")[0],
    "a file": '<!DOCTYPE div [<!ENTITY a SYSTEM "file:///etc/passwd">]>',
    "a document type": "<!DOCTYPE div>",
}


@pytest.mark.parametrize("name", NARRATIVES)
def test_a_document_type_in_a_narrative_is_not_read(name: str) -> None:
    bundle = bundle_of(examination())
    (report,) = resources(bundle, "DiagnosticReport")
    hostile = f'{NARRATIVES[name]}<div xmlns="http://www.w3.org/1999/xhtml">&h;&a;</div>'
    report["text"] = {"status": "additional", "div": hostile}
    reading = read(bundle)
    assert reading.examination is not None
    made = dermreport.to_fhir(dermreport.review(reading.examination), foreign=reading.foreign)
    assert "read-not-sent" in [issue.rule for issue in made.left_out]
    sent = made.bundle("collection").to_json()
    assert "DOCTYPE" not in sent
    assert "root:" not in sent
    assert "aaaaaaaaaa" not in sent


def test_the_limit_of_depth_is_the_same_in_every_form() -> None:
    bundle = bundle_of(examination())
    least: dict[str, int] = {}
    for form, content in (("objects", bundle), ("json", to_json(bundle))):
        fits = [
            depth
            for depth in range(3, 30)
            if "read-too-deep" not in rules(from_fhir(content, limits=Limits(depth=depth)))
        ]
        least[form] = fits[0]
    assert least["objects"] == least["json"]


def test_a_dict_is_not_changed_and_its_floats_are_taken_by_their_text() -> None:
    bundle = json.loads(to_json(bundle_of(examination())))
    before = copy.deepcopy(bundle)
    assert from_fhir(bundle).examinations == (examination(),)
    assert bundle == before
    bundle["total"] = float("nan")
    assert rules(from_fhir(bundle)) == ["entry-not-a-number", NOT_KNOWN]


# References


def test_members_in_a_circle_are_followed_once() -> None:
    bundle = bundle_of(examination())
    panel = about(bundle, "findings")
    panel["hasMember"].append({"reference": f"urn:uuid:{panel['id']}"})
    panel["hasMember"].append(dict(resources(bundle, "DiagnosticReport")[0]["result"][0]))
    reading = read(bundle)
    assert reading.examination is not None
    assert reading.examination.to_json() == examination().to_json()


def test_a_reference_that_leads_nowhere_is_said() -> None:
    bundle = bundle_of(examination())
    about(bundle, "findings")["hasMember"].append({"reference": "urn:uuid:00000000-0000-0000-0000-000000000000"})
    reading = read(bundle)
    (issue,) = [one for one in reading.issues if one.rule == "read-part-missing"]
    assert issue.path.endswith(f".hasMember[{len(about(bundle, 'findings')['hasMember']) - 1}]")


def test_two_resources_at_one_address_are_both_not_read() -> None:
    bundle = bundle_of(examination())
    (entry,) = [one for one in bundle["entry"] if one["resource"] is about(bundle, "network-atypical")]
    twin = copy.deepcopy(entry)
    twin["resource"]["valueCodeableConcept"] = {"text": "absent"}
    bundle["entry"].append(twin)
    reading = read(bundle)
    assert reading.examination is not None
    assert "network-atypical" not in [one.structure for one in reading.examination.findings]
    assert {"read-same-address", "read-modifier"} <= set(rules(reading))
    sent = dermreport.to_fhir(dermreport.review(reading.examination), foreign=reading.foreign).bundle("collection")
    assert not [
        one for one in resources(sent.to_dict(), "Observation") if "network-atypical" in json.dumps(one["code"])
    ]
    assert dermreport.review(reading.examination).has_errors


def test_the_same_resource_twice_is_one() -> None:
    bundle = from_a_server(bundle_of(examination(), kind="transaction"))
    bundle["entry"] += copy.deepcopy(bundle["entry"])
    reading = read(bundle)
    assert reading.examination is not None
    assert reading.examination.to_json() == examination().to_json()
    assert reading.issues == ()


def test_two_revisions_of_one_report_are_not_told_apart_by_guessing() -> None:
    first, second = bundle_of(examination()), bundle_of(examination(note="other"))
    for number, entry in enumerate(second["entry"]):
        entry["resource"]["id"] = f"n{number}"
        entry["fullUrl"] = f"https://server.example/fhir/{entry['resource']['resourceType']}/n{number}"
    for entry in second["entry"]:
        if entry["resource"]["resourceType"] == "DiagnosticReport":
            first["entry"].append(entry)
            entry["resource"]["subject"] = resources(first, "DiagnosticReport")[0]["subject"]
    reading = read(first)
    assert reading.examinations == ()
    assert "read-same-report" in rules(reading)
    assert [one.path for one in reading.issues if one.rule == NOT_KNOWN] == [one.path for one in reading.reports]


def test_one_id_on_two_servers_is_followed_to_the_server_that_is_meant() -> None:
    one = from_a_server(bundle_of(examination(), kind="transaction"))
    other = {
        "fullUrl": "https://other.example/fhir/Observation/100",
        "resource": {
            "resourceType": "Observation",
            "id": one["entry"][0]["fullUrl"].rpartition("/")[2],
            "status": "final",
            "code": {"text": "something else"},
            "subject": resources(one, "DiagnosticReport")[0]["subject"] | {},
        },
    }
    reference = other["resource"]["subject"]
    reference["reference"] = f"https://server.example/fhir/{reference['reference']}"
    one["entry"].append(other)
    reading = read(one)
    assert reading.examination is not None
    assert reading.examination.to_json() == examination().to_json()


#: Addresses of somebody else's resource that would become a part of the address of a request to the server.
ADDRESSES = (
    "urn:uuid:",
    "urn:uuid:x",
    "urn:uuid:../Patient/1",
    "urn:uuid:1?_cascade=delete",
    "urn:uuid:<b>",
    f"urn:uuid:{'a' * 10_000}",
    "urn:uuid:urn:uuid:0f7c1f5e-3a61-4a53-8a4c-2f6a9d6f2d11",
    "javascript:alert(1)",
    "file:///etc/passwd",
    f"https://other.example/fhir/Observation/{'a' * 10_000}",
)


@pytest.mark.parametrize("address", ADDRESSES, ids=lambda address: address[:40])
def test_no_received_address_becomes_that_of_a_request(address: str) -> None:
    bundle = bundle_of(examination())
    subject = resources(bundle, "DiagnosticReport")[0]["subject"]
    other = {"resourceType": "Observation", "status": "final", "code": {"text": "x"}, "subject": subject}
    bundle["entry"].append({"fullUrl": address, "resource": other})
    reading = read(bundle)
    assert reading.examination is not None
    sent = dermreport.to_fhir(dermreport.review(reading.examination), foreign=reading.foreign).bundle("transaction")
    assert len(sent.to_dict()["entry"]) == len(bundle["entry"])
    for one in sent.to_dict()["entry"]:
        assert re.fullmatch(r"urn:uuid:[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}", one["fullUrl"])
        assert re.fullmatch(r"[A-Za-z]+(/[0-9a-f-]{36}|\?identifier=[A-Za-z0-9/:|~._%-]+)?", one["request"]["url"])


@pytest.mark.parametrize(("length", "sent"), [(64, True), (65, False), (10_000, False)])
def test_an_id_that_is_too_long_is_not_sent_again(length: int, *, sent: bool) -> None:
    # FHIR R4 and R5, data type id: 1 to 64 letters, digits, hyphens and dots.
    bundle = bundle_of(examination())
    own_id = "a" * length
    other = {
        "resourceType": "Observation",
        "id": own_id,
        "status": "final",
        "code": {"text": "x"},
        "subject": resources(bundle, "DiagnosticReport")[0]["subject"],
        "contained": [{"resourceType": "Practitioner", "id": own_id}],
        "performer": [{"reference": f"#{own_id}"}],
    }
    bundle["entry"].append({"resource": other})
    ours = about(bundle, "network-atypical")["id"]
    reading = from_fhir(to_json(bundle).replace(ours, "b" * length))
    assert reading.examination is not None
    assert reading.examination.to_json() == examination().to_json()
    made = dermreport.to_fhir(dermreport.review(reading.examination), foreign=reading.foreign)
    assert bool(made.left_out) is not sent
    assert (own_id in made.bundle("transaction").to_json()) is sent


#: A resource that points to itself where something else is meant.
CIRCLES: dict[str, tuple[str, Callable[[str], Json], bool]] = {
    "a result that is the report": ("DiagnosticReport", lambda own: {"result": [{"reference": own}]}, True),
    "no result": ("DiagnosticReport", lambda _: {"result": []}, True),
    "a request that rests on itself": ("ServiceRequest", lambda own: {"basedOn": [{"reference": own}]}, False),
    "a lesion that is its own patient": ("BodyStructure", lambda own: {"patient": {"reference": own}}, False),
    "a picture that is its own reason": ("Media", lambda own: {"basedOn": [{"reference": own}]}, False),
    "a report in its own pocket": (
        "DiagnosticReport",
        lambda _: {"contained": [{"resourceType": "DiagnosticReport", "id": "a", "result": [{"reference": "#a"}]}]},
        False,
    ),
}


@pytest.mark.parametrize("name", CIRCLES)
def test_a_circle_ends_and_nothing_is_lost_in_silence(name: str) -> None:
    kind, changes, lost = CIRCLES[name]
    bundle = bundle_of(examination())
    one = resources(bundle, kind)[0]
    one.update(changes(f"urn:uuid:{one['id']}"))
    reading = read(bundle)
    assert reading.examination is not None
    assert ("read-part-missing" in rules(reading)) is lost
    if lost:
        # What was seen can't be reached: nothing of it may count as absent.
        assert reading.examination.lists_gone_through == ()
        assert dermreport.review(reading.examination).has_errors
    else:
        assert reading.examination.to_json() == examination().to_json()
    assert len(dermreport.to_fhir(dermreport.review(reading.examination), foreign=reading.foreign).resources) > 10


# Values


@pytest.mark.parametrize(
    "value",
    [
        "1e999999999",
        "1e400",
        "-0",
        "0.0000000000000000000000000000000000000000000000001",
        "9" * 400,
        '"6"',
        "true",
        "null",
    ],
)
def test_a_number_that_is_no_measure_is_set_aside(value: str) -> None:
    bundle = bundle_of(examination())
    text = to_json(bundle)
    size = about(bundle, "lesion-size")["component"][0]["valueQuantity"]["value"]
    assert str(size) == "8.5"
    reading = from_fhir(text.replace('"value":8.5', f'"value":{value}'))
    # A zero is a number all the same.
    if value != "-0":
        assert any(one.severity == "error" for one in reading.issues)
        assert (
            reading.examination is None
            or reading.examination.lesion is None
            or (reading.examination.lesion.longest_mm is None)
        )
    for one in reading.examinations:
        report = dermreport.to_fhir(dermreport.review(one), foreign=reading.foreign)
        assert len(report.bundle("collection").to_xml()) < 10 * len(text)


@pytest.mark.parametrize("value", ["1e999999999", "1e400", "9e-999999999", "9" * 5000, "0x10", "1,5", "NaN", ""])
def test_a_number_in_xml_that_is_no_measure_is_set_aside(value: str) -> None:
    text = to_xml(bundle_of(examination()))
    assert text.count('value="8.5"') == 1
    start = time.perf_counter()
    reading = from_fhir(text.replace('value="8.5"', f'value="{value}"'))
    assert any(one.severity == "error" for one in reading.issues)
    assert all(one.lesion is None or one.lesion.longest_mm is None for one in reading.examinations)
    assert time.perf_counter() - start < 20


def test_less_than_a_size_is_not_that_size() -> None:
    bundle = bundle_of(examination())
    about(bundle, "lesion-size")["component"][0]["valueQuantity"]["comparator"] = "<"
    reading = read(bundle)
    assert reading.examination is not None
    assert reading.examination.lesion is not None
    assert reading.examination.lesion.longest_mm is None
    assert "entry-wrong-kind" in rules(reading)


def test_centimetres_are_not_millimetres() -> None:
    bundle = bundle_of(examination())
    about(bundle, "lesion-size")["component"][0]["valueQuantity"] |= {"unit": "cm", "code": "cm"}
    reading = read(bundle)
    assert reading.examination is not None
    assert reading.examination.lesion is not None
    assert reading.examination.lesion.longest_mm is None
    assert any(one.severity == "error" for one in reading.issues)


def test_what_is_stated_twice_is_neither() -> None:
    bundle = bundle_of(examination())
    elevation = about(bundle, "elevation")
    twin = copy.deepcopy(elevation) | {"id": "second"}
    twin["identifier"] = [{"system": "urn:x:y", "value": "second"}]
    bundle["entry"].append({"fullUrl": "urn:uuid:second", "resource": twin})
    about(bundle, "findings")["hasMember"].append({"reference": "urn:uuid:second"})
    reading = read(bundle)
    assert reading.examination is not None
    assert reading.examination.lesion is not None
    assert reading.examination.lesion.elevation is None
    assert [dict(one.parameters)["entry"] for one in reading.issues] == ["$.lesion.elevation"]


@pytest.mark.parametrize(
    "path", ["a." * 5000 + "a", "plan.actions", "views", "", "images[9999].consent", "lesion.site"]
)
def test_a_part_that_says_nothing_is_only_one_that_can(path: str) -> None:
    bundle = bundle_of(examination())
    (report,) = resources(bundle, "DiagnosticReport")
    url = "https://dermreport.example/fhir/StructureDefinition/entry-empty"
    report["extension"].append({"url": url, "valueString": path})
    reading = read(bundle)
    assert reading.examination is not None
    assert reading.examination.to_json() == examination().to_json()


def statements(bundle: Json) -> list[Json]:
    """Return the Observations of ours that say one thing each."""
    return [
        one["resource"]
        for one in bundle["entry"]
        if (found := what_it_is(one["resource"])) is not None and found[0] is Thing.STATEMENT
    ]


def test_a_statement_whose_answer_is_gone_is_an_error() -> None:
    # It could have been the one that alarms.
    whole = bundle_of(examination())
    assert len(statements(whole)) > 30
    for number in range(len(statements(whole))):
        bundle = copy.deepcopy(whole)
        one = statements(bundle)[number]
        for name in list(one):
            if name.startswith(("value", "component", "note", "dataAbsentReason")):
                del one[name]
        reading = read(bundle)
        (place,) = [f"$.entry[{at}].resource" for at, it in enumerate(bundle["entry"]) if it["resource"] is one]
        assert ("read-not-held", place) in [(issue.rule, issue.path) for issue in reading.issues]
        assert all(dermreport.review(made).has_errors for made in reading.examinations)


@pytest.mark.parametrize("kind", ["ServiceRequest", "Media", "DetectedIssue", "Observation"])
def test_a_key_that_is_not_the_one_in_the_number_is_said(kind: str) -> None:
    # Written anew it would stand beside the one received: a request twice.
    bundle = bundle_of(examination())
    url = f"{CANONICAL_BASE}/StructureDefinition/entry-key"
    one, key = next(
        (one, extension)
        for one in resources(bundle, kind)
        for extension in one.get("extension", ())
        if extension["url"] == url
    )
    key["valueString"] = "another"
    (place,) = [f"$.entry[{at}].resource" for at, it in enumerate(bundle["entry"]) if it["resource"] is one]
    assert ("read-contradiction", place) in [(issue.rule, issue.path) for issue in read(bundle).issues]


def test_an_answer_of_another_shape_is_kept_as_foreign() -> None:
    bundle = bundle_of(examination())
    answered = [
        component
        for one in resources(bundle, "Observation")
        for component in one.get("component", ())
        if "valueCodeableConcept" in component
    ]
    assert len(answered) > 40
    for component in answered:
        component["valueCodeableConcept"] = [component["valueCodeableConcept"]]
    assert any(one.kind is KeptKind.CHANGED for one in read(bundle).foreign.kept)


# Nothing leaks


def planted(bundle: Json) -> Json:
    """Plant a mark in every text that isn't a code or an address, and in a member's name."""

    def plant(value: Any, name: str = "") -> Any:
        if isinstance(value, dict):
            return {key: plant(item, key) for key, item in value.items()}
        if isinstance(value, list):
            return [plant(item, name) for item in value]
        return f"{MARKER}{value}" if name in {"text", "display", "family", "valueString", "value", "title"} else value

    changed: Json = plant(bundle)
    changed["entry"][0]["resource"][MARKER] = {MARKER: MARKER}
    changed["entry"][-1]["resource"]["extension"] = [{"url": MARKER, MARKER: [MARKER]}]
    return changed


@pytest.mark.parametrize("form", ["json", "xml"])
def test_no_received_value_is_in_an_issue_or_a_text_of_an_object(form: str) -> None:
    bundle = planted(bundle_of(examination()))
    reading = from_fhir(to_json(bundle) if form == "json" else to_xml(bundle))
    told = [*reading.issues, *reading.foreign.issues]
    assert reading.issues
    for one in reading.examinations:
        report = dermreport.to_fhir(dermreport.review(one), foreign=reading.foreign)
        told += report.left_out
    shown = "".join((repr(reading), repr(reading.foreign), repr(told), *map(str, told)))
    assert MARKER not in shown
    assert any(MARKER in one.text for one in reading.foreign.kept)


def test_every_rule_has_its_words_and_source() -> None:
    for rule in READ_RULES.values():
        assert rule.id.startswith("read-")
        assert rule.message.endswith(".") or rule.message.endswith("}.")
        assert rule.source


# Mutations

#: An example in which no error stands.
USUAL = dermreport.Examination.from_json(
    (Path(__file__).parent.parent / "examples" / "usual.json").read_text(encoding="utf-8")
)


def places(value: Any, found: list[tuple[Any, Any]]) -> list[tuple[Any, Any]]:
    """Return every place in JSON: the object or list, and the name or position."""
    for key, item in value.items() if isinstance(value, dict) else enumerate(value):
        found.append((value, key))
        if isinstance(item, dict | list):
            places(item, found)
    return found


JUNK = (
    None, True, 0, -1, 10**30, Decimal("1e400"), "", "x", "\x00", "\u202e", "a" * 300, [], {}, [[]], [None], [{}],
    {"coding": [{}]}, {"coding": "x"}, {"reference": "#x"}, {"reference": "Patient/9"}, {"modifierExtension": [{}]},
    {"resourceType": "Patient"}, {"id": "x"}, {"extension": [{}]}, {"extension": [{"url": "urn:x:y"}]},
    {"system": {}, "code": []}, {"value": {}}, "entered-in-error", "urn:uuid:x", "1e999999999", "9999-12-31",
)  # fmt: skip
Place = tuple[Any, Any]


def replaced(place: Place, junk: Any, _: Place) -> None:
    holder, key = place
    holder[key] = copy.deepcopy(junk)


def deleted(place: Place, _: Any, __: Place) -> None:
    holder, key = place
    del holder[key]


def doubled(place: Place, _: Any, __: Place) -> None:
    holder, key = place
    if isinstance(holder, list):
        holder.insert(key, copy.deepcopy(holder[key]))
    else:
        holder[f"{key}{key}"] = copy.deepcopy(holder[key])


def retyped(place: Place, _: Any, __: Place) -> None:
    """Make a list of one, one of a list, a text of a number or truth value, and an object of a text."""
    holder, key = place
    value = holder[key]
    if isinstance(value, list) and value:
        holder[key] = value[0]
    elif isinstance(value, str):
        holder[key] = {"value": value}
    else:
        holder[key] = [value] if isinstance(value, dict | list) else str(value)


def swapped(place: Place, _: Any, other: Place) -> None:
    (holder, key), (other_holder, other_key) = place, other
    mine, theirs = copy.deepcopy(holder[key]), copy.deepcopy(other_holder[other_key])
    other_holder[other_key], holder[key] = mine, theirs


def copied(place: Place, _: Any, other: Place) -> None:
    """Put what stands elsewhere here too: an id at two resources, a subject as a result."""
    (holder, key), (other_holder, other_key) = place, other
    holder[key] = copy.deepcopy(other_holder[other_key])


def moved(place: Place, _: Any, other: Place) -> None:
    """Take it from here and put it beside something else, under its name."""
    (holder, key), (other_holder, _) = place, other
    value = copy.deepcopy(holder[key])
    del holder[key]
    if isinstance(other_holder, list):
        other_holder.append(value)
    else:
        other_holder[str(key)] = value


def said_on(place: Place, junk: Any, _: Place) -> None:
    """Say something on a primitive: FHIR writes it beside the value under the same name with ``_`` before it."""
    holder, key = place
    if isinstance(holder, dict):
        holder[f"_{key}"] = copy.deepcopy(junk)


Damage = Callable[[Place, Any, Place], None]
DAMAGES: tuple[Damage, ...] = (replaced, deleted, doubled, retyped, swapped, copied, moved, said_on)
_WHERE = st.floats(0, 1, exclude_max=True)
SEVERAL = st.lists(st.tuples(st.sampled_from(DAMAGES), _WHERE, st.sampled_from(JUNK), _WHERE), min_size=1, max_size=4)
FEW = settings(max_examples=60, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])


def damaged(bundle: Json, damages: list[tuple[Damage, float, Any, float]]) -> Json:
    """Return a bundle after damages, each at places that are given as shares of all places."""
    for damage, where, junk, elsewhere in damages:
        found = places(bundle, [])
        if found:
            damage(found[int(where * len(found))], junk, found[int(elsewhere * len(found))])
    return bundle


def test_a_narrative_without_a_status_in_words_is_an_issue() -> None:
    for status in ([], {}, 1, None):
        bundle = bundle_of(USUAL, "R5")
        resources(bundle, "DiagnosticReport")[0]["text"]["status"] = status
        reading = read(bundle)
        assert "read-narrative-differs" in rules(reading)
        assert reading.examinations


@FEW
@given(release=st.sampled_from(["R4", "R5"]), damages=SEVERAL)
def test_no_damage_is_more_than_an_issue(release: str, damages: list[tuple[Damage, float, Any, float]]) -> None:
    reading = from_fhir(damaged(bundle_of(USUAL, release), damages))
    assert isinstance(reading.foreign.kept, tuple)
    for one in reading.examinations:
        review = dermreport.review(one)
        sent = dermreport.to_fhir(review, release=release, foreign=reading.foreign).bundle("collection")
        etree.fromstring(sent.to_xml().encode())
        again = from_fhir(sent.to_json())
        if review.has_errors:
            # What couldn't be read travels along; whatever the next site makes of it, an error stands there too.
            assert all(dermreport.review(other).has_errors for other in again.examinations)
        else:
            assert [other.to_json() for other in again.examinations] == [one.to_json()]


# Numbers and keys lost on the way

_TELLING = (("identifier",), ("extension",), ("id",), ("identifier", "extension"), ("identifier", "id"))


def _lost(release: str, kind: str, names: tuple[str, ...], *, emptied: bool = False) -> Iterator[Json]:
    """Yield a bundle for each resource of a kind that loses these elements, or whose key is there without a value."""
    for position in range(len(resources(bundle_of(USUAL, release), kind))):
        bundle = bundle_of(USUAL, release)
        one = resources(bundle, kind)[position]
        for name in names:
            if name == "extension" and emptied:
                one[name] = [{"url": part["url"]} for part in one.get(name, [])]
            else:
                one.pop(name, None)
        yield bundle


@pytest.mark.parametrize("emptied", [False, True])
@pytest.mark.parametrize("names", _TELLING, ids="-".join)
@pytest.mark.parametrize("kind", ["Observation", "BodyStructure"])
@pytest.mark.parametrize("release", ["R4", "R5"])
def test_what_lost_its_number_or_key_is_sent_again_once(
    release: str, kind: str, names: tuple[str, ...], *, emptied: bool
) -> None:
    for bundle in _lost(release, kind, names, emptied=emptied):
        reading = from_fhir(bundle)
        review = dermreport.review(reading.examination)
        sent = dermreport.to_fhir(review, release=release, foreign=reading.foreign).bundle("collection").to_dict()
        again = from_fhir(sent)
        if not review.has_errors:
            assert again.examination.to_json() == reading.examination.to_json()
            assert len(resources(sent, kind)) == len(resources(bundle, kind))


# Two patients

THEIRS = "Words-of-another"


def of_another_patient(release: str, patient: Json) -> Json:
    """Return the bundle of another patient's examination, with a mark in its texts."""
    whole = full_entry(
        patient=patient, note=THEIRS, identifier={"system": "https://clinic-b.example/ids", "value": "b-1"}
    )
    whole["assessment"]["words"] = whole["plan"]["note"] = whole["lesion"]["site_detail"] = THEIRS
    whole["lesion"]["identifier"]["value"] = "b-L"
    for finding in whole["findings"]:
        finding["note"] = THEIRS
    return bundle_of(dermreport.Examination.model_validate(whole), release)


PAIRS: dict[str, tuple[Json, Json]] = {
    "references": ({"reference": "Patient/1"}, {"reference": "Patient/2"}),
    "one id on two servers": (
        {"reference": "https://a.example/fhir/Patient/1"},
        {"reference": "https://b.example/fhir/Patient/1"},
    ),
    "numbers": (
        {"identifiers": [{"system": "https://clinic-a.example/p", "value": "1"}]},
        {"identifiers": [{"system": "https://clinic-a.example/p", "value": "2"}]},
    ),
    "a reference and a number": (
        {"reference": "Patient/1"},
        {"identifiers": [{"system": "https://clinic-a.example/p", "value": "1"}]},
    ),
    "names": ({"details": {"family": "Mustersfrau"}}, {"details": {"family": "Beispiel"}}),
}


def of_two(release: str, pair: str, order: random.Random | None = None) -> Json:
    ours, theirs = PAIRS[pair]
    bundle = bundle_of(examination(patient=ours), release)
    bundle["entry"] += of_another_patient(release, theirs)["entry"]
    if order is not None:
        order.shuffle(bundle["entry"])
    return bundle


@pytest.mark.parametrize("form", ["objects", "json", "xml", "list"])
@pytest.mark.parametrize("pair", PAIRS)
def test_two_patients_in_one_bundle_are_refused(pair: str, form: str) -> None:
    for release in ("R4", "R5"):
        bundle = of_two(release, pair, random.Random(1))  # noqa: S311 - an order, no secret
        content = {
            "objects": lambda whole: whole,
            "json": to_json,
            "xml": to_xml,
            "list": lambda whole: [one["resource"] for one in whole["entry"]],
        }[form](bundle)
        reading = from_fhir(content)
        assert reading.examinations == ()
        assert "read-two-patients" in rules(reading)


@FEW
@given(release=st.sampled_from(["R4", "R5"]), pair=st.sampled_from(sorted(PAIRS)), order=st.randoms(), damages=SEVERAL)
def test_two_patients_are_never_merged_whatever_else_is_wrong(
    release: str, pair: str, order: random.Random, damages: list[tuple[Damage, float, Any, float]]
) -> None:
    reading = from_fhir(damaged(of_two(release, pair, order), damages))
    for one in reading.examinations:
        theirs = THEIRS in one.to_json()
        # Words that only the first patient's examination has.
        ours = "Looks odd & new." in one.to_json() or "at the rim" in one.to_json()
        assert not (theirs and ours)


PATIENTS = re.compile(r'"reference":"(Patient/[^"/]+)"')


@pytest.mark.parametrize("release", ["R4", "R5"])
@pytest.mark.parametrize("how_many", [1, None], ids=["one reference", "all references"])
def test_a_version_in_a_reference_makes_no_other_patient(release: str, how_many: int | None) -> None:
    # FHIR R4 and R5, references: [type]/[id]/_history/[vid] is a version of the same resource.
    entered = examination(patient={"reference": "Patient/9"})
    text = to_json(bundle_of(entered, release))
    whole = PATIENTS.findall(text)
    assert len(whole) > 1
    reading = from_fhir(PATIENTS.sub(r'"reference":"\1/_history/2"', text, count=how_many or 0))
    assert rules(reading) == []
    assert reading.examination is not None
    assert reading.examination.to_json() == entered.to_json()


def test_a_version_in_a_reference_of_another_system_is_no_other_patient() -> None:
    report = {"resourceType": "DiagnosticReport", "status": "final", "effectiveDateTime": "2026-01-02"}
    report["result"] = [{"reference": "Observation/1"}]
    seen = {"resourceType": "Observation", "id": "1", "status": "final", "code": {"text": "spot"}}
    one, version, other = ({"subject": {"reference": f"Patient/{end}"}} for end in ("9", "9/_history/2", "8"))
    for first, second in ((one, version), (version, one)):
        reading = from_fhir([report | first, seen | second])
        assert reading.examination is not None
        assert reading.examination.patient.reference == "Patient/9"
    assert "read-two-patients" in rules(from_fhir([report | version, seen | other]))


@pytest.mark.parametrize("kind", ["transaction", "document"])
def test_a_version_that_was_entered_comes_back(kind: str) -> None:
    entered = examination(patient={"reference": "Patient/9/_history/2"})
    for release in ("R4", "R5"):
        reading = read(bundle_of(entered, release, kind))
        assert reading.examination is not None
        assert reading.examination.to_json() == entered.to_json()


@pytest.mark.parametrize("plain", [True, False], ids=["as we write it", "written otherwise"])
@pytest.mark.parametrize("form", ["text", "bytes"])
def test_a_report_may_be_longer_than_an_entry(form: str, plain: bool) -> None:  # noqa: FBT001 - a case
    bundle = bundle_of(examination())
    bundle["entry"].append({"resource": {"resourceType": "Basic", "id": "long", "language": "x" * MAX_ENTRY}})
    text = to_json(bundle) + ("" if plain else " ")
    content: Any = text if form == "text" else text.encode()
    length = len(content)
    for limits in (Limits(), Limits(size=length)):
        reading = from_fhir(content, limits=limits)
        assert reading.examination is not None
        assert reading.examination.to_json() == examination().to_json()
    assert rules(from_fhir(content, limits=Limits(size=length - 1))) == [NOT_KNOWN, "read-too-large"]
    # The other limits hold as before.
    assert rules(from_fhir(content, limits=Limits(size=length, depth=3))) == [NOT_KNOWN, "read-too-deep"]


def test_a_modifier_whose_name_is_escaped_is_heard() -> None:
    bundle = bundle_of(examination())
    about(bundle, "network-atypical")["modifierExtension"] = [{"url": "urn:x:not", "valueBoolean": True}]
    for name in ("modif\\u0069erExtension", "\\u006dodifierExtension"):
        text = to_json(bundle).replace("modifierExtension", name)
        assert "modifierExtension" not in text
        assert "read-modifier" in rules(from_fhir(text))


# --- embedded files ---------------------------------------------------------------------------------------------------

_LIMIT = 64


def _with_file(**attachment: Any) -> dict[str, Any]:
    """Return a bundle of ours to which somebody added a document with an embedded file."""
    bundle = bundle_of(examination())
    document = {
        "resourceType": "DocumentReference",
        "status": "current",
        "content": [{"attachment": {"title": "added", **attachment}}],
    }
    bundle["entry"].append({"fullUrl": "urn:uuid:00000000-0000-4000-8000-00000000abcd", "resource": document})
    return bundle


@pytest.mark.parametrize(
    ("attachment", "expected"),
    [
        ({"contentType": "application/pdf", "data": "A" * _LIMIT}, []),
        ({"contentType": "application/pdf", "data": "A" * (_LIMIT + 1)}, ["read-attachment-too-large"]),
        ({"contentType": "Image/JPEG; quality=1", "data": "AAAA"}, []),
        ({"contentType": "text/html", "data": "AAAA"}, ["read-attachment-kind"]),
        ({"contentType": "image/svg+xml", "data": "AAAA"}, ["read-attachment-kind"]),
        ({"data": "AAAA"}, ["read-attachment-kind"]),
        ({"contentType": "application", "data": "AAAA"}, ["read-attachment-kind"]),
        ({"contentType": "text/html", "url": "https://clinic.example/a"}, []),
    ],
    ids=str,
)
@pytest.mark.parametrize("form", ["text", "bytes", "escaped", "objects"])
def test_embedded_files_have_a_size_and_kinds(attachment: dict[str, Any], expected: list[str], form: str) -> None:
    bundle = _with_file(**attachment)
    before = to_json(bundle)
    contents: dict[str, Any] = {
        "text": before,
        "bytes": before.encode(),
        "escaped": before.replace('"data"', '"d\\u0061ta"').replace('"attachment"', '"\\u0061ttachment"'),
        "objects": bundle,
    }
    reading = from_fhir(contents[form], limits=Limits(attachment=_LIMIT))
    found = [one for one in reading.issues if one.rule.startswith("read-attachment")]
    assert [one.rule for one in found] == expected
    assert to_json(bundle) == before
    assert all(one.path.endswith(".resource.content[0].attachment") for one in found)
    assert reading.examination is not None
    report = dermreport.to_fhir(dermreport.review(reading.examination), foreign=reading.foreign)
    again = report.bundle("collection").to_json()
    kept = [one["resource"] for one in json.loads(again)["entry"] if '"added"' in json.dumps(one)]
    assert len(kept) == 1
    assert ('"data"' in json.dumps(kept[0])) is ("data" in attachment and not expected)


@pytest.mark.parametrize("address", ["javascript:alert(1)", "JavaScript:x", "data:text/html,x", "VBSCRIPT:x"])
def test_an_address_that_holds_code_or_content_is_no_place_of_a_picture(address: str) -> None:
    entry = full_entry()
    entry["images"] = [{"key": "p", "address": address}]
    made = dermreport.from_entry(entry)
    assert "entry-uri-not-allowed" in [issue.rule for issue in made.issues]
    entry["images"] = [{"key": "p", "address": f"https://clinic.example/{address}"}]
    made = dermreport.from_entry(entry)
    assert "entry-uri-not-allowed" not in [issue.rule for issue in made.issues]
