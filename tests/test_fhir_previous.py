"""A report that goes on from the previous examination of the same lesion, and how it is read back.

Elements: ``workflow-supportingInfo`` (R4, R4B: on any resource, 0..*), ``DiagnosticReport.supportingInfo`` (R5, with a
type), ``observation-sequelTo`` (context Observation, 0..*, Reference(Observation)): https://hl7.org/fhir/R4/
extension-observation-sequelto.html and https://hl7.org/fhir/R5/diagnosticreport.html.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from records import record

import dermreport
from dermreport import BuildError, Release, Review
from dermreport.fhir.ids import Identity, Thing

EXAMPLES = Path(__file__).parent.parent / "examples"
SEQUEL = "http://hl7.org/fhir/StructureDefinition/observation-sequelTo"
SUPPORTING = "http://hl7.org/fhir/StructureDefinition/workflow-supportingInfo"
PREVIOUS = "https://dermreport.example/fhir/StructureDefinition/previous-examination"
RELEASES = list(Release)


def example(name: str) -> Review:
    return dermreport.review(dermreport.Examination.from_json((EXAMPLES / f"{name}.json").read_bytes()))


THEN, NOW = example("lower-back-watched-with-baseline"), example("lower-back-after-3-months")


def of_kind(report: dermreport.Report, kind: str) -> list[dict[str, Any]]:
    return [one for one in report.resources if one["resourceType"] == kind]


def previous_of(resource: dict[str, Any]) -> list[dict[str, Any]]:
    """Return the references of a report to the previous examination's, in either release."""
    given = [one["valueReference"] for one in resource["extension"] if one["url"] == SUPPORTING]
    given += [one["reference"] for one in resource.get("supportingInfo", ())]
    return [one for one in given if any(extension["url"] == PREVIOUS for extension in one.get("extension", ()))]


@pytest.mark.parametrize("release", RELEASES)
def test_the_report_points_to_the_earlier_one_by_its_number(release: Release) -> None:
    (report,) = of_kind(dermreport.to_fhir(NOW, after=THEN, release=release), "DiagnosticReport")
    (reference,) = previous_of(report)
    assert reference == {
        "extension": [{"url": PREVIOUS, "valueDateTime": "2026-03-18T10:15:00+01:00"}],
        "type": "DiagnosticReport",
        "identifier": {"system": "https://clinic.example/examinations", "value": "2026-0431"},
        "display": "examination of 2026-03-18",
    }
    if release is Release.R5:
        assert report["supportingInfo"][0]["type"]["text"] == "report of the previous examination of the same lesion"
    (earlier,) = of_kind(dermreport.to_fhir(THEN, release=release), "DiagnosticReport")
    assert earlier["identifier"][0] == reference["identifier"]


@pytest.mark.parametrize("release", RELEASES)
def test_what_was_seen_follows_what_was_seen_before_and_nothing_else_does(release: Release) -> None:
    before = {
        one["identifier"][0]["value"]: one for one in of_kind(dermreport.to_fhir(THEN, release=release), "Observation")
    }
    after = of_kind(dermreport.to_fhir(NOW, after=THEN, release=release), "Observation")
    followed = []
    for one in after:
        for extension in one.get("extension", ()):
            if extension["url"] == SEQUEL:
                reference = extension["valueReference"]
                assert reference["type"] == "Observation"
                target = before[reference["identifier"]["value"]]
                assert target["code"] == one["code"]
                followed.append(one["identifier"][0]["value"].removeprefix("2026-0877/"))
    assert len(set(followed)) == len(followed)
    assert {"finding/network-typical", "score/three-point", "statement/lesion-size"} <= set(followed)
    assert not [one for one in followed if one.startswith(("impression", "view", "outcome", "panel", "plan"))]
    assert not [one for one in followed if "growing" in one or "age" in one.split("/")]


@pytest.mark.parametrize("release", RELEASES)
def test_nothing_else_of_the_report_changes(release: Release) -> None:
    alone = dermreport.to_fhir(NOW, release=release).bundle().to_dict()
    joined = dermreport.to_fhir(NOW, after=THEN, release=release).bundle().to_dict()
    for one, other in zip(alone["entry"], joined["entry"], strict=True):
        resource = other["resource"]
        if resource["resourceType"] == "Observation" and "extension" in resource:
            kept = [extension for extension in resource["extension"] if extension["url"] != SEQUEL]
            resource = (
                {**resource, "extension": kept} if kept else {k: v for k, v in resource.items() if k != "extension"}
            )
        if resource["resourceType"] == "DiagnosticReport":
            resource = {k: v for k, v in resource.items() if k != "supportingInfo"}
            kept = [extension for extension in resource["extension"] if extension["url"] != SUPPORTING]
            resource = {**resource, "extension": kept}
        assert resource == one["resource"]
        assert other["request"] == one["request"]


@pytest.mark.parametrize("release", RELEASES)
@pytest.mark.parametrize("kind", ["transaction", "collection", "document"])
def test_read_back_the_examination_is_the_same_and_the_references_are_sent_again(release: Release, kind: str) -> None:
    sent = dermreport.to_fhir(NOW, after=THEN, release=release).bundle(kind)
    for text in (sent.to_json(), sent.to_xml()):
        reading = dermreport.from_fhir(text)
        assert reading.examination is not None
        assert reading.examination.to_json() == NOW.examination.to_json()
        assert reading.issues == ()
        review = dermreport.review(reading.examination)
        for again in (
            dermreport.to_fhir(review, foreign=reading.foreign, release=release),
            dermreport.to_fhir(review, foreign=reading.foreign, after=THEN, release=release),
        ):
            assert again.bundle(kind).to_json() == sent.to_json()


@pytest.mark.parametrize("release", RELEASES)
def test_the_report_that_is_replaced_and_the_previous_one_are_told_apart(release: Release) -> None:
    replaced = {"identifier": {"system": "https://clinic.example/examinations", "value": "2026-0001"}}
    entered = dermreport.Examination.model_validate({**NOW.examination.to_dict(), "earlier": replaced})
    sent = dermreport.to_fhir(dermreport.review(entered), after=THEN, release=release).bundle().to_json()
    reading = dermreport.from_fhir(sent)
    assert reading.examination is not None
    assert reading.examination.to_json() == entered.to_json()
    again = dermreport.to_fhir(dermreport.review(reading.examination), foreign=reading.foreign, release=release)
    assert again.bundle().to_json() == sent


def look(number: str = "2", day: str = "2026-04-02", **changes: Any) -> Review:
    lesion = {"identifier": {"system": "https://host.example/lesions", "value": "L-1"}, **changes.pop("lesion", {})}
    identifier = {"system": "https://host.example/examinations", "value": number}
    return dermreport.review(record(identifier=identifier, examined=day, lesion=lesion, **changes))


@pytest.mark.parametrize(
    ("after", "words"),
    [
        (
            [look("1", "2026-01-02", lesion={"identifier": {"system": "https://x.example/l", "value": "L-1"}})],
            "another lesion",
        ),
        ([look("1", "2026-01-02", lesion={"identifier": None})], "another lesion"),
        ([look("2", "2026-01-02")], "same examination"),
        ([look("1", "2026-01-02", patient={"reference": "Patient/2"})], "another patient"),
        ([look("1", "2026-01-02", status="entered-in-error")], "entered in error"),
        ([look("1", "2026-09-01")], "later than this"),
        ([look("1", "2026-01-02"), look("0", "2026-01-01")], "two examinations"),
    ],
)
def test_what_a_report_can_not_go_on_from_is_refused_without_an_entered_value(after: list[Review], words: str) -> None:
    with pytest.raises(BuildError, match=words) as caught:
        dermreport.to_fhir(look(), after=after)
    assert "L-" not in str(caught.value)


def test_a_visit_goes_on_from_the_previous_look_at_each_lesion() -> None:
    lesions = [{"identifier": {"system": "https://host.example/lesions", "value": value}} for value in ("L-1", "L-2")]
    before = [look(f"b{i}", "2026-01-02", lesion=lesion) for i, lesion in enumerate(lesions)]
    after = [look(f"a{i}", "2026-04-02", lesion=lesion) for i, lesion in enumerate(lesions)]
    reports = of_kind(dermreport.to_fhir(after, after=before[::-1]), "DiagnosticReport")
    assert [previous_of(one)[0]["identifier"]["value"] for one in reports] == ["b0", "b1"]
    only = of_kind(dermreport.to_fhir(after, after=before[1]), "DiagnosticReport")
    assert [len(previous_of(one)) for one in only] == [0, 1]


def test_ids_of_what_is_pointed_to_are_those_of_the_earlier_report_by_a_uuid_too() -> None:
    """A UUID as identifier: items are then known by their own UUIDs."""
    uuid = "6f1e2d3c-0000-4000-8000-000000000001"
    lesion = {"identifier": {"system": "https://host.example/lesions", "value": "L-1"}, "longest_mm": 6}
    then = dermreport.review(record(identifier={"system": None, "value": uuid}, lesion=lesion))
    now = look(lesion={"longest_mm": 7})
    (report,) = of_kind(dermreport.to_fhir(now, after=then), "DiagnosticReport")
    assert previous_of(report)[0]["identifier"]["value"] == f"urn:uuid:{uuid}"
    known = {one["identifier"][0]["value"] for one in of_kind(dermreport.to_fhir(then), "Observation")}
    targets = [
        extension["valueReference"]["identifier"]["value"]
        for one in of_kind(dermreport.to_fhir(now, after=then), "Observation")
        for extension in one.get("extension", ())
        if extension["url"] == SEQUEL
    ]
    assert targets
    assert set(targets) <= known
    assert f"urn:uuid:{Identity(then.examination.identifier).uuid(Thing.SCORE, 'three-point')}" in targets
