"""Code of a host that type checkers must take as it is, and that runs: every public name, used as the README does."""

from __future__ import annotations

import io
from collections.abc import Mapping
from decimal import Decimal
from pathlib import Path
from typing import Any, assert_type

import pluggy
from starlette.applications import Starlette

import dermreport
from dermreport import Examination, Issue, Review, Settings, plugins

hookimpl = pluggy.HookimplMarker("dermreport")
EXAMPLES = Path("examples")
PATHWAY = """
id = "clinic"
version = "2026-03"
title = "Lesion clinic"
owner = "Example clinic"
source = "agreed in the clinic"
valid_from = 2026-03-01
extends = "neutral"
"""
SETTINGS = """
language = "de"
[identifier_systems]
examination = "https://clinic.example/ids/examination"
"""


def text_of(name: str) -> bytes:
    return (EXAMPLES / f"{name}.json").read_bytes()


def reviewed(name: str) -> Review:
    return dermreport.review(Examination.from_json(text_of(name)))


def entries() -> None:
    exam = Examination.from_json(text_of("usual"))
    assert_type(exam, Examination)
    assert_type(exam.to_json(), str)
    assert_type(exam.to_dict(), dict[str, Any])
    entry = dermreport.from_entry({"status": "final"})
    assert_type(entry, dermreport.Entry)
    several = dermreport.from_visit({"lesions": []})
    assert_type(several, dermreport.VisitEntry)
    assert_type(several.entries, tuple[dermreport.Entry, ...])
    assert_type(several.examinations, tuple[Examination, ...])
    assert_type((several.issues, several.lost), tuple[tuple[Issue, ...], tuple[Issue, ...]])
    assert_type(entry.examination, Examination | None)
    assert_type(entry.issues, tuple[Issue, ...])
    assert_type(entry.set_aside, Mapping[str, Any])
    visit = dermreport.Visit.from_json(text_of("visit-three-lesions"))
    assert_type(visit.examinations, tuple[Examination, ...])
    assert_type(dermreport.Visit.of(visit.examinations), dermreport.Visit)
    assert_type(dermreport.json_schema(dermreport.Visit), dict[str, Any])


def reviews() -> None:
    pathway = dermreport.shipped_pathway("uk-ng12")
    settings = Settings(
        intent=dermreport.Intent.ORDER,
        persons=dermreport.PersonEntry.MATCH_ONLY,
        pathway=pathway,
        identifier_systems=dermreport.IdentifierSystems(examination="https://clinic.example/ids/examination"),
        organisation=dermreport.Reference(reference="Organization/7"),
        extra_codings=(dermreport.ExtraCoding(of="colour/red", system="https://clinic.example/codes", code="R"),),
        limits=dermreport.Limits(size=2_000_000),
    )
    assert_type(dermreport.settings_from_toml(SETTINGS), Settings)
    review = dermreport.review(Examination.from_json(text_of("usual")), settings)
    assert_type(review.settings.pathway, dermreport.Pathway | None)
    for issue in review.issues:
        assert_type(issue.severity, dermreport.Severity)
        assert_type(issue.message, str)
    result = review.scores["seven-point"]
    assert_type(result.low, Decimal | None)
    assert_type(result.verdict.display, str)
    assert_type(review.summary.value, str)
    for question in review.open_questions:
        assert_type(question.changes, tuple[str, ...])
    for turned in review.sensitivity():
        assert_type(turned.recorded, bool)
    assert_type(review.side_by_side.disagree, bool)
    assert_type(review.organisation, dermreport.Reference | None)
    assert_type(review.language, dermreport.Language)
    assert_type(review.expected.by, str | None)
    assert_type(dermreport.pathway_from_toml(PATHWAY), dermreport.Pathway)
    assert_type(dermreport.shipped_pathway_text("neutral"), str)


def fhir() -> None:
    report = dermreport.to_fhir(reviewed("usual"), release=dermreport.Release.R5)
    assert_type(report, dermreport.Report)
    assert_type(report.release, dermreport.Release)
    assert_type(report.outcome(), dict[str, Any])
    bundle = report.bundle(dermreport.BundleKind.DOCUMENT)
    assert_type(bundle, dermreport.Bundle)
    assert_type(bundle.kind, dermreport.BundleKind)
    assert_type(bundle.to_dict(), dict[str, Any])
    reading = dermreport.from_fhir(bundle.to_xml(), limits=dermreport.Limits(size=2_000_000))
    assert_type(reading, dermreport.Reading)
    again = reading.examination
    if again is not None:
        sent_again = dermreport.to_fhir(dermreport.review(again), release="R4", foreign=reading.foreign)
        assert_type(sent_again.bundle("collection").to_json(), str)
    assert_type(dermreport.to_outcome(reading.issues), dict[str, Any])


def form() -> None:
    assert_type(dermreport.questionnaire("R4B"), dict[str, Any])
    response = dermreport.to_response(Examination.from_json(text_of("usual")))
    assert_type(dermreport.from_response(dermreport.form_json(response)), dermreport.Entry)


def over_time() -> None:
    found = dermreport.series([reviewed("lower-back-watched-with-baseline"), reviewed("lower-back-after-3-months")])
    assert_type(found, dermreport.Series)
    assert_type(found.verdict, dermreport.SeriesVerdict)
    step: dermreport.Comparison = found.overall
    for weighed in step.changes:
        assert_type(weighed.source, str)
    assert_type(dermreport.series_plot(found, method="total-dermoscopy-score"), str)


def letters() -> None:
    settings = dermreport.LetterSettings(
        detail=dermreport.LetterDetail.SHORT,
        order=(dermreport.LetterPart.PLAN,),
        purpose=dermreport.PicturePurpose.CARE,
        sender=dermreport.Party(name="Harbour Lane Practice", lines=("2 Harbour Lane",)),
        reviewed=dermreport.Reviewed(by="A clinician", on="2026-11-29"),
    )
    from_file = dermreport.letter_settings_from_toml('contact = "Call us."')
    assert_type(from_file, dermreport.LetterSettings)
    written = dermreport.letter(
        reviewed("usual"), kind=dermreport.LetterKind.PATIENT, format=dermreport.LetterFormat.TEXT, settings=settings
    )
    assert_type(written, dermreport.LetterFile)
    assert_type(written.content, bytes)


def doors() -> None:
    review = reviewed("usual")
    routing = dermreport.Routing(characters=dermreport.CharacterSet.ASCII)
    message = dermreport.to_hl7v2(review, routing=routing)
    assert_type(message, dermreport.Message)
    assert_type(message.encode(), bytes)
    table = dermreport.table(review, dermreport.TableKind.FINDINGS)
    assert_type(table, dermreport.Table)
    assert_type(table.write_csv(io.StringIO()), int)
    found = dermreport.view_from_dicom(b"", key="a", limits=dermreport.DicomLimits(depth=8))
    assert_type(found, dermreport.DicomView)
    if found.view is not None:
        assert_type(dermreport.view_into_dicom(b"", found.view), dermreport.WrittenView)


def http() -> None:
    limits = dermreport.HttpLimits(workers=1)
    app = dermreport.http_app(settings=dermreport.Settings(), limits=limits)
    assert_type(app, Starlette)


def languages() -> None:
    german: dermreport.Language = dermreport.language("de")
    review = reviewed("usual")
    assert_type([german.message(issue) for issue in review.issues], list[str])
    assert_type(german.term(review.summary), str)


def added() -> None:
    class Clinic:
        @hookimpl
        def dermreport_about(self) -> plugins.About:
            return plugins.About(name="clinic", version="1", title="Clinic", system="https://clinic.example/codes")

        @hookimpl
        def dermreport_rules(self) -> list[plugins.Rule]:
            large = plugins.AtLeast("lesion.longest_mm", 4)
            basis = plugins.common_practice("Agreed in the clinic")
            return [plugins.Rule(id="clinic.large", when=large, message="Take a picture.", basis=basis)]

    loaded = dermreport.load_plugins(Clinic())
    assert_type(loaded, dermreport.Plugins)
    assert_type(loaded.names, tuple[str, ...])
    assert_type(loaded.issues, tuple[Issue, ...])
    review = dermreport.review(Examination.from_json(text_of("usual")), Settings(plugins=loaded))
    assert "clinic.large" in {issue.rule for issue in review.issues}
    assert not review.plugin_scores


def errors() -> None:
    try:
        Examination.from_json("{}")
    except dermreport.EntryError as error:
        assert_type(error.issues, tuple[Issue, ...])
    try:
        dermreport.pathway_from_toml("")
    except dermreport.PathwayError as error:
        assert_type(error.issues, tuple[Issue, ...])
    try:
        dermreport.series([])
    except dermreport.SeriesError as error:
        assert_type(error.issues, tuple[Issue, ...])
    caught: tuple[type[dermreport.DermReportError], ...] = (
        dermreport.BuildError,
        dermreport.MissingExtraError,
        dermreport.SettingsError,
    )
    assert all(issubclass(one, dermreport.DermReportError) for one in caught)


if __name__ == "__main__":
    for part in (entries, reviews, fhir, form, over_time, letters, doors, http, languages, added, errors):
        part()
    print(dermreport.__version__)
