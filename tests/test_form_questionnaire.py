"""The Questionnaire: whole lists of answers, nothing preselected, what is shown in which skin, the standard's rules."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from typing import Any

import pytest
from form_scores import compiled, needed, variables_of
from test_form_layout import items

from dermreport.examination.model import Examination
from dermreport.form.layout import asked_styles, by_link_id, style_item, tick, tick_reason
from dermreport.form.questionnaire import FORM, questionnaire, style_expression
from dermreport.form.response import to_response
from dermreport.issues import SettingsError
from dermreport.scores.method import CAUTIONS
from dermreport.vocabulary.presences import Presence
from dermreport.vocabulary.reading_styles import ReadingStyle
from dermreport.vocabulary.sites import Site
from dermreport.vocabulary.structures import Structure
from dermreport.vocabulary.term import code_system

RELEASES = ("R4", "R4B", "R5")
ENTRY = {
    "identifier": {"system": "https://clinic-a.example/ids", "value": "1"},
    "status": "final",
    "patient": {"reference": "Patient/1"},
    "examined": "2026-03-04",
}


@cache
def form(release: str) -> dict[str, Any]:
    return questionnaire(release)


@cache
def by_id(release: str) -> dict[str, dict[str, Any]]:
    return {item["linkId"]: item for _, item in items(form(release))}


def objects(value: Any) -> Iterator[dict[str, Any]]:
    if isinstance(value, dict):
        yield value
        for one in value.values():
            yield from objects(one)
    elif isinstance(value, list):
        for one in value:
            yield from objects(one)


@pytest.mark.parametrize("release", RELEASES)
def test_nothing_is_preselected(release: str) -> None:
    for one in objects(form(release)):
        assert not {"initial", "initialSelected"} & set(one)
        assert "initial" not in str(one.get("url", "")).casefold()


@pytest.mark.parametrize("release", RELEASES)
def test_a_coded_item_lists_every_code_of_its_table(release: str) -> None:
    for path, item in by_link_id().items():
        made = by_id(release)[path]
        if item.table is None:
            assert "answerOption" not in made
            continue
        options = [one["valueCoding"] for one in made["answerOption"]]
        assert options == [
            {"system": code_system(item.table), "code": term.value, "display": term.display} for term in item.table
        ]
        # Who chooses by words alone, as on a keyboard, must meet one code.
        assert len({one["display"] for one in options}) == len(options)


def test_uncertain_and_not_assessed_are_among_the_answers() -> None:
    for structure in Structure:
        item = by_id("R4")[tick(structure)]
        assert [one["valueCoding"]["code"] for one in item["answerOption"]] == [
            "present",
            "absent",
            "uncertain",
            "not-assessed",
        ]
        reason = by_id("R4")[tick_reason(structure)]
        asked = reason["enableWhen"]
        assert [(one["question"], one["operator"], one["answerCoding"]["code"]) for one in asked] == [
            (tick(structure), "=", Presence.NOT_ASSESSED.value)
        ]


# FHIR R4, item-type: `choice` and `open-choice`; FHIR R5, item-type: `coding`, with `answerConstraint`.
@pytest.mark.parametrize(
    ("release", "closed", "open_to_words"),
    [
        ("R4", {"type": "choice"}, {"type": "open-choice"}),
        ("R4B", {"type": "choice"}, {"type": "open-choice"}),
        ("R5", {"type": "coding"}, {"type": "coding", "answerConstraint": "optionsOrString"}),
    ],
)
def test_a_list_is_closed_unless_somebody_elses_code_is_an_answer(
    release: str, closed: dict[str, str], open_to_words: dict[str, str]
) -> None:
    coded = [(path, item) for path, item in by_link_id().items() if item.table is not None]
    assert {item.other for _, item in coded} == {True, False}
    for path, item in coded:
        made = by_id(release)[path]
        kept = {name: made[name] for name in ("type", "answerConstraint") if name in made}
        assert kept == (open_to_words if item.other else closed)


# --- What is shown in which skin -------------------------------------------------------------------------------------


def shown(release: str, site: str | None) -> set[Structure]:
    """The structures that a renderer shows at a site, by the answers of the hidden items."""
    lesion = {"lesion": {"site": site}} if site else {}
    response = to_response(Examination.model_validate({**ENTRY, **lesion}))
    answers = {item["linkId"]: item["answer"][0]["valueBoolean"] for path, item in items(response) if _is_style(path)}
    found = set()
    for path, item in items(form(release)):
        if path[0] == "checklist" and item.get("code"):
            outer = by_id(release)[path[1]]
            if _enabled(item, answers) and _enabled(outer, answers):
                found.add(Structure(item["code"][0]["code"]))
    return found


def _is_style(path: tuple[str, ...]) -> bool:
    return len(path) > 1 and path[0] == "reading-styles"


def _enabled(item: dict[str, Any], answers: dict[str, bool]) -> bool:
    """FHIR R4, Questionnaire.item.enableWhen, for conditions on truths of which one is enough."""
    conditions = item.get("enableWhen", [])
    assert item.get("enableBehavior", "any") == "any"
    return not conditions or any(answers.get(one["question"]) is one["answerBoolean"] for one in conditions)


@pytest.mark.parametrize(
    ("site", "styles"),
    [
        ("back-upper", {ReadingStyle.TRUNK_LIMB}),
        ("sole", {ReadingStyle.ACRAL}),
        ("foot-edge-medial", {ReadingStyle.ACRAL, ReadingStyle.TRUNK_LIMB}),
        ("skin", set(ReadingStyle)),
        (None, set(ReadingStyle)),
    ],
)
def test_only_the_structures_of_the_skin_at_the_site_are_shown(site: str | None, styles: set[ReadingStyle]) -> None:
    assert shown("R4", site) == {one for one in Structure if one.reading_styles & styles}


def test_how_the_skin_is_read_is_calculated_from_every_site() -> None:
    expressions = [style_expression(style) for style in ReadingStyle]
    variables = needed(expressions)
    assert variables
    for site in (None, *Site):
        lesion = {"lesion": {"site": site}} if site else {}
        response = to_response(Examination.model_validate({**ENTRY, **lesion}))
        environment = variables_of(response, variables)
        calculated = [list(compiled(expression)(response, environment)) == [True] for expression in expressions]
        assert calculated == [style in asked_styles(site) for style in ReadingStyle], site


def test_the_hidden_items_are_hidden_and_calculated() -> None:
    for style in ReadingStyle:
        made = by_id("R4")[style_item(style)]
        urls = {one["url"].rpartition("/")[2]: one for one in made["extension"]}
        assert urls["questionnaire-hidden"]["valueBoolean"] is True
        assert urls["sdc-questionnaire-calculatedExpression"]["valueExpression"]["expression"] == style_expression(
            style
        )
        assert made["readOnly"] is True


# --- The standard ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("release", RELEASES)
def test_the_standards_own_classes_take_it(release: str) -> None:
    """The classes of ``fhir.resources``, which are made from the standard's definitions."""
    if release == "R5":
        from fhir.resources.questionnaire import Questionnaire
    else:
        from fhir.resources.R4B.questionnaire import Questionnaire
    assert Questionnaire.model_validate(form(release)).url == FORM


@pytest.mark.parametrize("release", RELEASES)
def test_the_rules_of_the_standard_hold(release: str) -> None:
    for _, item in items(form(release)):
        # FHIR R4 and R5, Questionnaire: que-3, que-5, que-6, que-9, que-10, que-12 (numbers from memory).
        if item["type"] == "display":
            assert not {"code", "required", "repeats", "readOnly", "item"} & set(item)
        assert "answerOption" not in item or item["type"] in {"choice", "open-choice", "coding"}
        assert "maxLength" not in item or item["type"] in {"string", "text"}
        conditions = item.get("enableWhen", [])
        assert ("enableBehavior" in item) == (len(conditions) > 1)
        assert all(one["question"] in by_id(release) for one in conditions)


def test_a_group_of_a_required_field_is_not_asked_unless_it_is_filled() -> None:
    asked = {link_id for link_id, item in by_id("R4").items() if item.get("required")}
    assert {"identifier.value", "status", "examined", "views.light", "findings.presence"} <= asked
    assert not {"lesion.nodes.state", "earlier.identifier.value", "views.key", "lesion.history.new.answer"} & asked


def test_the_cautions_stand_at_its_head() -> None:
    first = form("R4")["item"][0]
    assert first["type"] == "display"
    for caution in CAUTIONS:
        assert caution in first["text"]


def test_an_unknown_release_is_refused() -> None:
    with pytest.raises(SettingsError, match=r"^questionnaire: release is one of R4, R4B, R5$"):
        questionnaire("R3")


def test_two_forms_share_nothing() -> None:
    questionnaire("R4")["item"].clear()
    assert questionnaire("R4") == form("R4")
