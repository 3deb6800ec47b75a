"""From answers to an examination: what a person or a renderer can do to a form, and what is made of it."""

from __future__ import annotations

import copy
import json
import re
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

import dermreport
from dermreport.answers import answers
from dermreport.examination.entry import Entry
from dermreport.examination.model import Examination
from dermreport.examination.reader import MAX_ENTRY
from dermreport.form.layout import FOR_THE_RECORD, WHO_AND_WHEN, checklist, checklist_group, tick, tick_reason, way
from dermreport.form.questionnaire import FORM, coding
from dermreport.form.reading import from_response
from dermreport.form.response import form_json, to_response
from dermreport.form.rules import FORM_RULES
from dermreport.issues import Severity
from dermreport.vocabulary.not_assessed_reasons import NotAssessedReason
from dermreport.vocabulary.presences import Presence
from dermreport.vocabulary.structures import Structure
from dermreport.vocabulary.term import Term
from dermreport.vocabulary.verdicts import Verdict

PRESENT, ABSENT, UNCERTAIN, NOT_ASSESSED = Presence
HIDDEN = NotAssessedReason.HIDDEN
NETWORK, VEIL, DOTS = Structure.NETWORK, Structure.BLUE_WHITE_VEIL, Structure.DOTS_GREY
#: What nobody may meet again in an issue.
ENTERED = "Adalgunde Mustersfrau"

EXAMPLES = Path(__file__).parent.parent / "examples"

Item = dict[str, Any]


# --- A form that was filled ------------------------------------------------------------------------------------------


def ask(link_id: str, *values: Any, item: list[Item] | None = None) -> Item:
    """An item with answers: a code of ours, a text, a number, or the answer itself."""
    return {"linkId": link_id, "answer": [_answer(one, item) for one in values]}


def _answer(value: Any, item: list[Item] | None) -> Item:
    if isinstance(value, Term):
        answer: Item = {"valueCoding": coding(value)}
    elif isinstance(value, dict):
        answer = dict(value)
    elif isinstance(value, str):
        answer = {"valueString": value}
    else:
        answer = {"valueInteger": value}
    return {**answer, **({"item": item} if item else {})}


def group(link_id: str, *items: Item) -> Item:
    return {"linkId": link_id, "item": list(items)}


def ticked(structure: Structure, presence: Presence, reason: NotAssessedReason | None = None) -> Item:
    """A structure on the checklist, in its group, as the standard nests it."""
    below = [ask(tick_reason(structure), reason)] if reason is not None else None
    element = next(element for element, structures in checklist() if structure in structures)
    return group("checklist", group(checklist_group(element), ask(tick(structure), presence, item=below)))


def detail(structure: Term | str, presence: Presence, *items: Item) -> Item:
    return group("findings", ask("findings.structure", structure), ask("findings.presence", presence), *items)


def response(*items: Item, status: str = "completed", **head: Any) -> dict[str, Any]:
    """A response with what an examination needs, and some items at its root."""
    who = group(
        WHO_AND_WHEN,
        ask("examined", "2026-03-04"),
        ask("status", {"valueCoding": {"system": _system("status"), "code": "final"}}),
    )
    number = group("identifier", ask("identifier.system", "urn:x:1"), ask("identifier.value", "1"))
    patient = group("patient", ask("patient.reference", "Patient/1"))
    made = {"resourceType": "QuestionnaireResponse", "questionnaire": FORM, "status": status, **head}
    return {**made, "item": [who, patient, *items, group(FOR_THE_RECORD, number)]}


def _system(table: str) -> str:
    return f"https://dermreport.example/fhir/CodeSystem/{table}"


def coded(table: str, code: str, display: str | None = None) -> Item:
    return {"valueCoding": {"system": _system(table), "code": code, **({"display": display} if display else {})}}


def held(*items: Item, **head: Any) -> Examination:
    entry = from_response(response(*items, **head))
    assert [str(issue) for issue in entry.issues] == []
    assert dict(entry.set_aside) == {}
    assert entry.examination is not None
    return entry.examination


def rules(entry: Entry) -> list[str]:
    return [issue.rule for issue in entry.issues]


def findings(examination: Examination | None) -> list[dict[str, Any]]:
    assert examination is not None
    found: list[dict[str, Any]] = examination.to_dict().get("findings", [])
    return json.loads(json.dumps(found))


# --- Checklist and findings in detail --------------------------------------------------------------------------------


def test_ticks_come_in_the_order_of_the_table_and_before_details() -> None:
    examination = held(
        detail(DOTS, PRESENT, ask("findings.place", {"valueCoding": {"system": _system("place"), "code": "central"}})),
        ticked(VEIL, UNCERTAIN),
        ticked(NETWORK, NOT_ASSESSED, HIDDEN),
    )
    assert list(Structure).index(NETWORK) < list(Structure).index(VEIL)
    assert findings(examination) == [
        {"structure": "network", "presence": "not-assessed", "not_assessed_because": HIDDEN.value},
        {"structure": "blue-white-veil", "presence": "uncertain"},
        {"structure": "dots-grey", "place": "central", "presence": "present"},
    ]


def test_a_structure_that_is_left_empty_was_not_recorded() -> None:
    examination = held(ticked(NETWORK, ABSENT))
    assert answers(examination).of(VEIL).presence is NOT_ASSESSED


def test_a_reason_that_stands_beside_the_answer_is_read_too() -> None:
    """Some renderers put what is nested into the item itself; the standard puts it into the answer."""
    item = ticked(NETWORK, NOT_ASSESSED)
    item["item"][0]["item"][0]["item"] = [ask(tick_reason(NETWORK), HIDDEN)]
    assert findings(held(item))[0]["not_assessed_because"] == HIDDEN.value


def test_a_tick_and_a_detail_that_say_the_same_are_one_finding() -> None:
    red = {"valueCoding": {"system": _system("colour"), "code": "red"}}
    examination = held(ticked(NETWORK, PRESENT), detail(NETWORK, PRESENT, ask("findings.colours", red)))
    assert findings(examination) == [{"structure": "network", "presence": "present", "colours": ["red"]}]


def test_a_tick_beside_a_detail_of_another_place_stays() -> None:
    place = {"valueCoding": {"system": _system("place"), "code": "central"}}
    examination = held(ticked(NETWORK, ABSENT), detail(NETWORK, PRESENT, ask("findings.place", place)))
    assert [one["presence"] for one in findings(examination)] == ["absent", "present"]


@pytest.mark.parametrize(
    ("on_the_list", "in_detail", "kept"),
    [
        (PRESENT, ABSENT, PRESENT),
        (ABSENT, PRESENT, PRESENT),
        (PRESENT, UNCERTAIN, PRESENT),
        (UNCERTAIN, ABSENT, UNCERTAIN),
        (NOT_ASSESSED, ABSENT, NOT_ASSESSED),
        (ABSENT, NOT_ASSESSED, NOT_ASSESSED),
    ],
)
def test_where_they_differ_what_says_more_is_kept_and_an_issue_asks(
    on_the_list: Presence, in_detail: Presence, kept: Presence
) -> None:
    entry = from_response(response(ticked(NETWORK, on_the_list), ticked(VEIL, ABSENT), detail(NETWORK, in_detail)))
    found = findings(entry.examination)
    assert sorted((one["structure"], one["presence"]) for one in found) == [
        ("blue-white-veil", "absent"),
        ("network", kept.value),
    ]
    position = next(at for at, one in enumerate(found) if one["structure"] == "network")
    assert [(issue.rule, issue.path) for issue in entry.issues] == [("form-says-both", f"$.findings[{position}]")]
    (aside,) = entry.set_aside.values()
    assert aside["presence"] == (on_the_list if kept is in_detail else in_detail).value
    assert entry.examination is not None
    assert dermreport.review(entry.examination).has_errors


def test_two_reasons_for_one_structure_differ() -> None:
    other = next(one for one in NotAssessedReason if one is not HIDDEN)
    entry = from_response(
        response(
            ticked(NETWORK, NOT_ASSESSED, HIDDEN),
            detail(NETWORK, NOT_ASSESSED, ask("findings.not_assessed_because", other)),
        )
    )
    assert rules(entry) == ["form-says-both"]
    assert findings(entry.examination)[0]["not_assessed_because"] == other.value


def test_one_structure_detailed_twice_undoes_the_lists() -> None:
    gone_through = {"valueCoding": {"system": _system("finding-list"), "code": "vessels"}}
    entry = from_response(
        response(
            group("lists_gone_through", ask("lists_gone_through.list", gone_through)),
            detail(NETWORK, ABSENT),
            detail(NETWORK, PRESENT),
        )
    )
    assert sorted(rules(entry)) == ["entry-findings-differ", "entry-list-undone"]
    # The graver one counts, which came last.
    assert findings(entry.examination) == [{"structure": NETWORK.value, "presence": "present"}]
    assert set(entry.set_aside) == {"$.findings[0]", "$.lists_gone_through"}


def test_a_finding_without_its_answer_is_set_aside() -> None:
    entry = from_response(response(group("findings", ask("findings.structure", NETWORK)), detail(VEIL, ABSENT)))
    assert rules(entry) == ["entry-missing"]
    assert findings(entry.examination) == [{"structure": "blue-white-veil", "presence": "absent"}]


@given(st.dictionaries(st.sampled_from(list(Structure)), st.sampled_from(list(Presence)), max_size=12))
def test_any_ticks_are_the_findings_that_details_would_be(ticks: dict[Structure, Presence]) -> None:
    by_list = held(*(ticked(structure, presence) for structure, presence in ticks.items()))
    in_order = sorted(ticks, key=list(Structure).index)
    assert findings(by_list) == findings(held(*(detail(structure, ticks[structure]) for structure in in_order)))
    same = from_response(response(*(ticked(*one) for one in ticks.items()), *(detail(*one) for one in ticks.items())))
    assert rules(same) == []
    assert len(findings(same.examination)) == len(ticks)


# --- What isn't the form's -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("items", "aside"),
    [
        ([ask("mood", ENTERED)], '$["linkId mood"]'),
        ([group("lesion", ask("lesion.mood", ENTERED))], '$.lesion["linkId lesion.mood"]'),
        ([group("lesion", ask("note", ENTERED))], '$.lesion["linkId note"]'),
        ([group("checklist", ask("findings.mood", ENTERED))], '$["linkId findings.mood"]'),
        ([ask("note", "fine", item=[ask("mood", ENTERED)])], '$["linkId mood"]'),
        ([{"answer": [{"valueString": ENTERED}]}], '$["linkId "]'),
    ],
)
def test_an_unknown_item_is_set_aside_with_an_issue(items: list[Item], aside: str) -> None:
    entry = from_response(response(*items))
    # The question isn't known, so the answer to it may be a plan.
    assert rules(entry) == ["entry-unknown-field", "entry-plan-not-known"]
    assert list(entry.set_aside) == [aside]
    assert ENTERED in str(entry.set_aside[aside])
    assert ENTERED not in str(entry)
    assert entry.examination is not None
    assert dermreport.review(entry.examination).has_errors


def test_explanations_and_what_is_calculated_are_no_issue() -> None:
    held(
        {"linkId": "about"},
        group("lesion", {"linkId": "lesion.help"}, {"linkId": "lesion.site.help"}),
        group("reading-styles", ask("reading-styles.acral", {"valueBoolean": False})),
        group(
            "scores",
            group("scores.seven-point", ask("scores.seven-point.met", "x"), {"linkId": "scores.seven-point.low"}),
        ),
    )


@pytest.mark.parametrize("link_id", ["findings", "images", "views", "plan.actions", "lesion.nodes", "lesion.map_point"])
def test_an_empty_group_that_a_renderer_leaves_says_nothing(link_id: str) -> None:
    names = way(link_id)
    items: Item = {"linkId": names[-1]}
    for name in reversed(names[:-1]):
        items = group(name, items)
    assert findings(held(items)) == []


def test_an_item_without_an_answer_says_nothing() -> None:
    examination = held(group("lesion", {"linkId": "lesion.site"}, ask("lesion.side")))
    assert examination.to_dict()["lesion"] == {}


# --- Answers of the wrong kind ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("item", "rule", "path"),
    [
        (detail(ENTERED, PRESENT), "entry-unknown-code", "$.findings[0].structure"),
        (group("lesion", ask("lesion.site", {"valueCoding": {"display": ENTERED}})), "entry-missing", "$.lesion.site."),
        (group("lesion", ask("lesion.elevation", ENTERED)), "entry-unknown-code", "$.lesion.elevation"),
        (
            group("lesion", ask("lesion.elevation", {"valueCoding": {"system": "urn:x:1", "code": "flat"}})),
            "entry-unknown-code",
            "$.lesion.elevation",
        ),
        (
            group("lesion", ask("lesion.elevation", {"valueCoding": {"system": _system("elevation"), "code": "x"}})),
            "entry-unknown-code",
            "$.lesion.elevation",
        ),
        (group("lesion", ask("lesion.longest_mm", ENTERED)), "entry-wrong-kind", "$.lesion.longest_mm"),
        (group("lesion", ask("lesion.label", 7)), "entry-wrong-kind", "$.lesion.label"),
        (group("lesion", ask("lesion.label", "a", "b")), "form-two-answers", "$.lesion.label"),
        (group("background", ask("background.age_years", {"valueDecimal": 7.5})), "entry-wrong-kind", "$.background"),
        (ask("note", {"valueReference": {"display": ENTERED}}), "entry-wrong-kind", "$.note"),
        (ask("note", "  "), "entry-text-not-allowed", "$.note"),
    ],
)
def test_an_answer_of_another_kind_is_set_aside(item: Item, rule: str, path: str) -> None:
    entry = from_response(response(item))
    assert set(rules(entry)) == {rule}
    assert all(issue.path.startswith(path) for issue in entry.issues)
    assert len(entry.set_aside) == 1
    assert ENTERED not in "".join(map(str, entry.issues))
    assert entry.examination is not None


@pytest.mark.parametrize(
    ("item", "path"),
    [
        (
            group("lesion", ask("lesion.site", {"valueCoding": {"system": _system("site"), "code": "elbw"}})),
            "lesion.site",
        ),
        (group("lesion", ask("lesion.site", f"{_system('site')}|elbw")), "lesion.site"),
        (
            group("lesion", ask("lesion.site", {"valueCoding": {"system": _system("colour"), "code": "red"}})),
            "lesion.site",
        ),
        (
            group(
                "assessment",
                group(
                    "assessment.impressions",
                    ask("assessment.impressions.impression", coded("impression", "melanoma-suspectd")),
                ),
            ),
            "assessment.impressions[0].impression",
        ),
    ],
)
def test_a_code_of_ours_that_no_list_has_is_an_error(item: Item, path: str) -> None:
    entry = from_response(response(item))
    assert [(issue.rule, issue.path) for issue in entry.issues] == [("entry-unknown-code", f"$.{path}")]
    assert entry.examination is not None
    assert dermreport.review(entry.examination).has_errors


def test_somebody_elses_code_is_taken_as_a_code_and_as_words() -> None:
    code = {"system": "urn:x-host:1", "code": "7", "display": "seven"}
    for answer in ({"valueCoding": {**code, "userSelected": True}}, "urn:x-host:1|7|seven"):
        examination = held(group("lesion", ask("lesion.site", answer)))
        assert examination.to_dict()["lesion"]["site"] == code


@pytest.mark.parametrize(
    "quantity",
    [
        {"value": 6, "unit": "mm", "system": "http://unitsofmeasure.org", "code": "mm"},
        {"value": 6, "code": "mm"},
        {"value": 6, "unit": "Millimeter", "code": "mm"},
        {"value": 6, "unit": "mm"},
        {"value": 6},
    ],
)
def test_a_size_is_taken_in_the_forms_unit(quantity: Item) -> None:
    examination = held(group("lesion", ask("lesion.longest_mm", {"valueQuantity": quantity})))
    assert examination.to_dict()["lesion"]["longest_mm"] == 6


@pytest.mark.parametrize(
    "quantity",
    [
        {"value": 6, "unit": "cm", "system": "http://unitsofmeasure.org", "code": "cm"},
        {"value": 6, "unit": "mm", "code": "cm"},
        {"value": 6, "unit": "cm", "code": "mm"},
        {"value": 6, "unit": "in", "system": "http://unitsofmeasure.org", "code": "mm"},
        {"value": 6, "unit": "cm"},
        {"value": 6, "code": "mm", "system": "urn:x:1"},
    ],
)
def test_a_size_in_another_unit_is_set_aside(quantity: Item) -> None:
    entry = from_response(response(group("lesion", ask("lesion.longest_mm", {"valueQuantity": quantity}))))
    assert [(issue.rule, issue.path) for issue in entry.issues] == [("form-unit", "$.lesion.longest_mm")]
    assert "mm" in entry.issues[0].message
    assert entry.set_aside["$.lesion.longest_mm"] == quantity
    assert entry.examination is not None
    assert entry.examination.to_dict()["lesion"] == {}


def test_a_wrong_unit_in_a_row_names_the_row_among_all_findings() -> None:
    centimetres = {"valueQuantity": {"value": 1, "unit": "cm"}}
    entry = from_response(
        response(
            ticked(VEIL, ABSENT),
            detail(DOTS, PRESENT),
            {"linkId": "findings"},
            detail(NETWORK, PRESENT, ask("findings.size_mm", centimetres)),
        )
    )
    assert [(issue.rule, issue.path) for issue in entry.issues] == [("form-unit", "$.findings[2].size_mm")]
    assert list(entry.set_aside) == ["$.findings[2]"]


@pytest.mark.parametrize("number", ["1e999999999", "1e400", "-1e400", "9" * 5000, "1." + "0" * 5000])
def test_a_number_that_is_no_measure_is_set_aside(number: str) -> None:
    text = form_json(response(group("lesion", ask("lesion.longest_mm", {"value": 6, "unit": "mm"}))))
    entry = from_response(text.replace('"value":6', f'"value":{number}'))
    assert rules(entry) == ["entry-number-too-long"]
    assert entry.examination is not None
    assert "$.lesion.longest_mm" in entry.set_aside


def test_a_bound_is_no_size() -> None:
    entry = from_response(
        response(group("lesion", ask("lesion.longest_mm", {"valueQuantity": {"comparator": "<", "value": 6}})))
    )
    assert rules(entry) == ["entry-wrong-kind"]


def test_a_part_that_stands_twice_is_set_aside() -> None:
    entry = from_response(
        response(group("lesion", ask("lesion.label", "A")), group("lesion", ask("lesion.label", "B")))
    )
    assert rules(entry) == ["entry-wrong-kind"]
    assert list(entry.set_aside) == ["$.lesion"]


# --- Keys ------------------------------------------------------------------------------------------------------------


def test_a_key_that_nobody_gave_is_made_from_the_row() -> None:
    light = {"valueCoding": {"system": _system("light"), "code": "polarised"}}
    examination = held(
        group("views", ask("views.light", light)),
        group("views", ask("views.light", light), ask("views.key", "polarised")),
        group("views", ask("views.light", light)),
        group("images", ask("images.view", "polarised")),
        group("images", ask("images.note", "x")),
        group("assessment", group("assessment.impressions", ask("assessment.impressions.impression", "urn:x:1|a b/c"))),
    )
    assert [view.key for view in examination.views] == ["polarised-2", "polarised", "polarised-3"]
    assert [image.key for image in examination.images] == ["polarised", "images"]
    assert examination.assessment is not None
    assert examination.assessment.impressions[0].key == "a-b-c"


def test_a_made_key_stays_when_another_row_goes() -> None:
    def actions(*codes: str) -> list[str]:
        rows = [
            group(
                "plan.actions",
                ask("plan.actions.action", {"valueCoding": {"system": _system("plan-action"), "code": code}}),
            )
            for code in codes
        ]
        plan = held(group("plan", *rows)).plan
        assert plan is not None
        return [action.key for action in plan.actions]

    from dermreport.vocabulary.plan_actions import PlanAction

    first, second = list(PlanAction)[:2]
    assert actions(first, second)[1:] == actions(second) == [second.value]


# --- What the response says of itself --------------------------------------------------------------------------------


def test_the_subject_is_the_patient_where_no_answer_says_it() -> None:
    without = response(subject={"reference": "Patient/9"})
    without["item"] = [one for one in without["item"] if one["linkId"] != "patient"]
    read = from_response(without).examination
    assert read is not None
    assert read.patient.reference == "Patient/9"


@pytest.mark.parametrize("subject", ["Patient/1", "Patient/1/_history/2", "https://host.example/fhir/Patient/1"])
def test_the_subject_may_be_written_as_the_server_writes_it(subject: str) -> None:
    assert held(subject={"reference": subject}).patient.reference == "Patient/1"


@pytest.mark.parametrize("subject", ["Patient/11", "Patient/2", "https://host.example/fhir/Patient/2"])
def test_another_subject_stops_the_reading(subject: str) -> None:
    entry = from_response(response(subject={"reference": subject}))
    assert rules(entry) == ["form-two-patients", "entry-plan-not-known"]
    assert entry.examination is None
    assert list(entry.set_aside) == ["$"]


@pytest.mark.parametrize(
    ("state", "status"),
    [
        ("in-progress", "draft"),
        ("stopped", "draft"),
        ("entered-in-error", "entered-in-error"),
    ],
)
def test_the_forms_state_is_the_examinations_where_no_answer_says_it(state: str, status: str) -> None:
    form = response(status=state)
    form["item"][0]["item"] = [one for one in form["item"][0]["item"] if one["linkId"] != "status"]
    entry = from_response(form)
    assert rules(entry) == []
    assert entry.examination is not None
    assert entry.examination.status == status


@pytest.mark.parametrize("state", ["completed", "amended"])
def test_a_finished_form_is_a_draft_until_an_answer_says_otherwise(state: str) -> None:
    form = response(status=state)
    form["item"][0]["item"] = [one for one in form["item"][0]["item"] if one["linkId"] != "status"]
    entry = from_response(form)
    assert [(issue.rule, issue.path) for issue in entry.issues] == [("form-state-not-said", "$.status")]
    assert entry.examination is not None
    assert entry.examination.status == "draft"


@pytest.mark.parametrize(
    ("state", "rule", "status"),
    [
        ("in-progress", "form-not-finished", "final"),
        ("stopped", "form-not-finished", "final"),
        ("entered-in-error", "form-withdrawn", "entered-in-error"),
    ],
)
def test_a_state_that_contradicts_the_answer_is_an_issue(state: str, rule: str, status: str) -> None:
    entry = from_response(response(status=state))
    assert [(issue.rule, issue.path) for issue in entry.issues] == [(rule, "$.status")]
    assert entry.examination is not None
    assert entry.examination.status == status
    assert entry.examination.not_held == entry.issues


@pytest.mark.parametrize(
    ("head", "rule"),
    [
        ({"resourceType": "Questionnaire"}, "form-not-a-response"),
        ({"questionnaire": "https://host.example/fhir/Questionnaire/1"}, "form-other-form"),
        ({"questionnaire": "https://host.example/fhir/Questionnaire/no-dermoscopy-examination"}, "form-other-form"),
        ({"implicitRules": "urn:x:1"}, "form-modifier"),
        ({"modifierExtension": [{"url": "urn:x:1", "valueBoolean": True}]}, "form-modifier"),
    ],
)
def test_what_cant_be_understood_isnt_read(head: dict[str, Any], rule: str) -> None:
    entry = from_response({**response(), **head})
    assert rules(entry) == [rule, "entry-plan-not-known"]
    assert entry.examination is None
    assert list(entry.set_aside) == ["$"]


def test_a_modifier_deep_inside_stops_the_reading() -> None:
    note = ask("note", "x")
    note["answer"][0]["modifierExtension"] = [{"url": "urn:x:1", "valueBoolean": True}]
    assert rules(from_response(response(note))) == ["form-modifier", "entry-plan-not-known"]


@pytest.mark.parametrize(
    "form",
    [
        f"{FORM}|1.0.0",
        FORM,
        "Questionnaire/dermoscopy-examination",
        "https://a.example/r4/Questionnaire/dermoscopy-examination",
    ],
)
def test_the_form_is_known_by_its_address_wherever_it_is_kept(form: str) -> None:
    held(questionnaire=form)


@pytest.mark.parametrize(
    ("text", "rule"),
    [
        ("{", "entry-not-json"),
        (b"\xff", "entry-not-utf-8"),
        ("[]", "form-not-a-response"),
        ('{"resourceType":"QuestionnaireResponse","resourceType":"QuestionnaireResponse"}', "entry-key-twice"),
        ('{"resourceType":"QuestionnaireResponse","x":NaN}', "entry-not-a-number"),
        ('{"resourceType":"QuestionnaireResponse","x":-Infinity}', "entry-not-a-number"),
        ('{"resourceType":"QuestionnaireResponse","x":1e99999999999999999999}', "entry-number-too-long"),
        ('{"resourceType":"QuestionnaireResponse","item":' + "[" * 100_000, "entry-too-deep"),
        ('{"resourceType":"QuestionnaireResponse"}' + " " * MAX_ENTRY, "entry-too-large"),
    ],
    ids=lambda value: ascii(value)[:40],
)
def test_text_that_is_no_response_is_an_issue(text: str | bytes, rule: str) -> None:
    assert rules(from_response(text)) == [rule, "entry-plan-not-known"]


def test_a_response_that_nests_too_deep_is_an_issue() -> None:
    nested: Item = {"linkId": "x"}
    for _ in range(100_000):
        nested = {"linkId": "x", "item": [nested]}
    entry = from_response(response(nested))
    assert rules(entry) == ["entry-too-deep", "entry-plan-not-known"]
    while "item" in nested:
        nested = nested["item"].pop()


@given(
    st.recursive(
        st.none() | st.booleans() | st.text(max_size=3) | st.integers(),
        lambda inner: (
            st.lists(inner, max_size=3)
            | st.dictionaries(
                st.sampled_from(["linkId", "item", "answer", "valueString", "valueCoding", "x"]), inner, max_size=3
            )
        ),
        max_leaves=12,
    ),
    st.data(),
)
def test_nothing_is_raised_for_what_is_in_a_response(junk: Any, data: st.DataObject) -> None:
    whole = response(ticked(NETWORK, PRESENT), detail(VEIL, ABSENT), group("lesion", ask("lesion.label", "A")))
    here: Any = whole
    for _ in range(data.draw(st.integers(0, 6))):
        inner = [
            one for one in (here.values() if isinstance(here, dict) else here) if isinstance(one, dict | list) and one
        ]
        if not inner:
            break
        here = data.draw(st.sampled_from(inner))
    if isinstance(here, dict):
        here[data.draw(st.sampled_from(["item", "answer", "linkId", "valueString", "subject", "status"]))] = junk
    else:
        here.append(junk)
    before = copy.deepcopy(whole)
    entry = from_response(whole)
    assert whole == before
    assert entry.examination is not None or entry.issues


# --- What was answered, and not as asked -----------------------------------------------------------------------------


ABSENT_HERE = coded("presence", "absent")
MISSING = {"url": "http://hl7.org/fhir/StructureDefinition/data-absent-reason", "valueCode": "unknown"}
LIST = group("lists_gone_through", ask("lists_gone_through.list", coded("finding-list", "pigmented-lesion")))


def scored(entry: Entry) -> dermreport.Review:
    assert entry.examination is not None
    return dermreport.review(entry.examination)


def with_answers(link_id: str, *answers: Any) -> Item:
    return group("checklist", {"linkId": link_id, "answer": list(answers)})


UNCLEAR = [
    ([{**ABSENT_HERE, "valueString": "present"}], "form-answer-unclear"),
    ([{**ABSENT_HERE, "extension": [MISSING]}], "form-answer-unclear"),
    ([{**ABSENT_HERE, "_valueCoding": {"extension": [MISSING]}}], "form-answer-unclear"),
    ([{"valueCoding": {**ABSENT_HERE["valueCoding"], "extension": [MISSING]}}], "form-answer-unclear"),
    ([coded("presence", "absent", "present")], "form-answer-unclear"),
    ([coded("presence", "absent", "Uncertain ")], "form-answer-unclear"),
    ([{"extension": [MISSING]}], "form-answer-empty"),
    ([{"valueCoding": None}], "form-answer-empty"),
    ([None], "form-answer-empty"),
    ([{}], "form-answer-empty"),
    ([ABSENT_HERE, coded("presence", "present")], "form-two-answers"),
]


@pytest.mark.parametrize(("answers", "rule"), UNCLEAR)
@pytest.mark.parametrize("in_detail", [False, True])
def test_an_answer_that_is_none_never_makes_anything_absent(answers: list[Any], rule: str, *, in_detail: bool) -> None:
    presence = {"linkId": "findings.presence", "answer": answers}
    asked = group("findings", ask("findings.structure", VEIL), presence)
    entry = from_response(response(asked if in_detail else with_answers(tick(VEIL), *answers), LIST))
    assert sorted(rules(entry)) == sorted(["entry-list-undone", rule])
    assert {issue.path for issue in entry.issues} == {"$.lists_gone_through", "$.findings[0].presence"}
    assert set(entry.set_aside) == {"$.lists_gone_through", "$.findings[0]"}
    review = scored(entry)
    assert [one for one in Structure if review.answers.of(one).truth is False] == []
    assert review.has_errors


@pytest.mark.parametrize(("answers", "rule"), UNCLEAR)
@pytest.mark.parametrize("other", list(Presence))
def test_where_tick_or_detail_is_none_the_other_never_makes_it_absent(
    answers: list[Any], rule: str, other: Presence
) -> None:
    unclear = group("findings", ask("findings.structure", VEIL), {"linkId": "findings.presence", "answer": answers})
    for items in ([with_answers(tick(VEIL), *answers), detail(VEIL, other)], [ticked(VEIL, other), unclear]):
        entry = from_response(response(*items, LIST))
        assert "form-says-both" in rules(entry) or rule in rules(entry)
        review = scored(entry)
        assert review.answers.of(VEIL).truth is (True if other is PRESENT else None)
        assert review.has_errors


@pytest.mark.parametrize(
    "item",
    [
        {"linkId": tick(VEIL), "answer": [], "extension": [MISSING]},
        {"linkId": tick(VEIL), "extension": [MISSING]},
        {"linkId": tick(VEIL), "_answer": [{"extension": [MISSING]}]},
    ],
)
def test_an_item_that_says_why_it_is_empty_is_no_silence(item: Item) -> None:
    entry = from_response(response(group("checklist", item), LIST))
    assert sorted(rules(entry)) == ["entry-list-undone", "form-answer-empty"]


@pytest.mark.parametrize(
    "answer",
    [
        coded("presence", "absent", "absent"),
        coded("presence", "absent", "nicht vorhanden"),
        {**ABSENT_HERE, "extension": [{"url": "urn:x:1", "valueString": "y"}]},
        {**ABSENT_HERE, "id": "a"},
    ],
)
def test_what_contradicts_nothing_is_read(answer: Item) -> None:
    assert findings(held(with_answers(tick(VEIL), answer)))[0]["presence"] == "absent"


# --- Where it stands -------------------------------------------------------------------------------------------------

STEP = ask("plan.actions.action", coded("plan-action", "refer-suspected-cancer"))
AT_ONCE = ask("plan.actions.urgency", coded("urgency", "immediate"))
BY_WHOM = ask("plan.actions.responsible.display", "the clinic")


@pytest.mark.parametrize(
    "items",
    [
        [ask(tick(VEIL), PRESENT)],
        [group("lesion", ask(tick(VEIL), PRESENT))],
        [group("page", group("checklist", ask(tick(VEIL), PRESENT)))],
        [group(checklist_group(next(one for one, inner in checklist() if VEIL in inner)), ask(tick(VEIL), PRESENT))],
        [ask("note", "x", item=[ask(tick(VEIL), PRESENT)])],
        [group("page", detail(VEIL, PRESENT))],
        [ask("findings.structure", VEIL), ask("findings.presence", PRESENT)],
        [group("checklist", ask("findings.structure", VEIL), ask("findings.presence", PRESENT))],
    ],
)
def test_a_finding_is_read_wherever_it_stands(items: list[Item]) -> None:
    form = response(*items, LIST)
    before = copy.deepcopy(form)
    entry = from_response(form)
    assert form == before
    assert ("form-misplaced", "$.findings") in [(issue.rule, issue.path) for issue in entry.issues]
    assert scored(entry).answers.of(VEIL).presence is PRESENT


@pytest.mark.parametrize(
    "items",
    [
        [STEP, AT_ONCE, BY_WHOM],
        [group("plan", STEP, AT_ONCE, BY_WHOM)],
        [group("plan.actions", STEP, AT_ONCE, group("plan.actions.responsible", BY_WHOM))],
        [group("plan", ask("plan.note", "x")), group("page", group("plan.actions", STEP, AT_ONCE, BY_WHOM))],
        [
            group(
                "page", group("plan", group("plan.actions", STEP, AT_ONCE, group("plan.actions.responsible", BY_WHOM)))
            )
        ],
    ],
)
def test_a_planned_step_is_read_wherever_it_stands(items: list[Item]) -> None:
    entry = from_response(response(*items))
    assert ("form-misplaced", "$.plan") in [(issue.rule, issue.path) for issue in entry.issues]
    assert requests(entry) == [("active", "stat")]
    assert entry.examination is not None
    assert entry.examination.plan is not None
    (step,) = entry.examination.plan.actions
    assert step.responsible is not None


def requests(entry: Entry) -> list[tuple[str, str | None]]:
    sent = dermreport.to_fhir(scored(entry)).bundle("collection").to_dict()["entry"]
    found = [one["resource"] for one in sent if one["resource"]["resourceType"] == "ServiceRequest"]
    return [(one["status"], one.get("priority")) for one in found]


@pytest.mark.parametrize(
    ("row", "sent"),
    [
        ([ask("plan.actions.action", "call the surgeon now"), AT_ONCE], [("active", "stat")]),
        ([STEP, AT_ONCE, ask("plan.actions.key", "k", "k")], [("active", "stat")]),
        (
            [
                ask(
                    "plan.actions.action",
                    coded("plan-action", "refer-suspected-cancer"),
                    coded("plan-action", "excise-complete"),
                ),
                AT_ONCE,
            ],
            [("active", "stat"), ("active", "stat")],
        ),
        (
            [STEP, ask("plan.actions.urgency", coded("urgency", "routine"), coded("urgency", "immediate"))],
            [("active", "stat")],
        ),
        (
            [STEP, ask("plan.actions.urgency", {"valueString": "immediate", **coded("urgency", "routine")})],
            [("active", "stat")],
        ),
        ([STEP, ask("plan.actions.urgency", "URGENT today")], [("active", "urgent")]),
        ([STEP, ask("plan.actions.urgency", {"valueCoding": {"display": "immediate"}})], [("active", "stat")]),
        (
            [
                STEP,
                ask(
                    "plan.actions.urgency",
                    {"valueCoding": {"system": "http://hl7.org/fhir/request-priority", "code": "stat"}},
                ),
            ],
            [("active", "stat")],
        ),
        ([AT_ONCE], [("active", "stat")]),
    ],
)
def test_a_defect_in_its_row_withholds_no_urgent_request(row: list[Item], sent: list[tuple[str, str]]) -> None:
    entry = from_response(response(group("plan", group("plan.actions", *row))))
    assert requests(entry) == sent
    assert scored(entry).has_errors


def test_no_key_is_made_of_free_words() -> None:
    rows = [
        group("plan.actions", ask("plan.actions.action", words), AT_ONCE) for words in ("call the surgeon", ENTERED)
    ]
    entry = from_response(response(group("plan", *rows)))
    assert entry.examination is not None
    assert entry.examination.plan is not None
    assert [action.key for action in entry.examination.plan.actions] == ["immediate", "immediate-2"]


def test_two_plans_are_one() -> None:
    routine = ask("plan.actions.urgency", coded("urgency", "routine"))
    plans = [group("plan", group("plan.actions", STEP, urgency)) for urgency in (routine, AT_ONCE)]
    assert requests(from_response(response(*plans))) == [("active", "routine"), ("active", "stat")]


@pytest.mark.parametrize(
    "item",
    [
        ask("findings.blue-white-vale", PRESENT),
        group("checklist", ask("blue-white-veil", PRESENT)),
        ask("views.lights", "x"),
        group("checklist", ask(tick(NETWORK), PRESENT, item=[ask("mood", "x")])),
    ],
)
def test_an_unknown_item_of_what_was_seen_undoes_the_lists(item: Item) -> None:
    entry = from_response(response(item, LIST))
    assert "entry-list-undone" in rules(entry)
    assert "$.lists_gone_through" in entry.set_aside


def test_an_unknown_item_of_the_whole_lesion_undoes_its_colours() -> None:
    colours = ask("description.colours", coded("colour", "red"))
    entry = from_response(response(group("description", colours, ask("description.doubtful", "blue")), LIST))
    assert sorted(rules(entry)) == ["entry-list-undone", "entry-plan-not-known", "entry-unknown-field"]
    assert set(scored(entry).answers.colours.values()) == {None}
    # What has nothing to do with it undoes nothing.
    assert rules(from_response(response(group("description", colours), ask("mood", "x"), LIST))) == [
        "entry-unknown-field",
        "entry-plan-not-known",
    ]


# --- Words -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("item", "where", "path"),
    [
        (group("lesion", ask("lesion.site", "behind the ear")), ["lesion", "site_detail"], "$.lesion.site"),
        (
            group("views", ask("views.light", coded("light", "polarised")), ask("views.immersion", "behind the ear")),
            ["views", 0, "note"],
            "$.views[0].immersion",
        ),
        (
            group("description", ask("description.pattern", "behind the ear"), ask("description.note", "before")),
            ["description", "note"],
            "$.description.pattern",
        ),
        (
            group(
                "assessment",
                group("assessment.impressions", ask("assessment.impressions.impression", "behind the ear")),
            ),
            ["assessment", "words"],
            "$.assessment.impressions[0].impression",
        ),
        (
            group(
                "outcomes",
                ask("outcomes.kind", coded("outcome-kind", "histology")),
                ask("outcomes.result", "behind the ear"),
            ),
            ["outcomes", 0, "text"],
            "$.outcomes[0].result",
        ),
    ],
)
def test_words_in_place_of_a_code_stay_words_with_an_error(item: Item, where: list[Any], path: str) -> None:
    entry = from_response(response(item))
    assert ("form-words-kept", path) in [(issue.rule, issue.path) for issue in entry.issues]
    assert entry.examination is not None
    here: Any = json.loads(entry.examination.to_json())
    for part in where:
        here = here[part]
    assert here.endswith(", as entered: behind the ear")
    assert scored(entry).has_errors
    assert "behind" not in "".join(map(str, entry.issues))


def test_a_limit_in_words_leaves_a_limited_view_with_its_light() -> None:
    view = group("views", ask("views.light", coded("light", "polarised")), ask("views.limits", "a plaster"))
    entry = from_response(response(view, ticked(VEIL, ABSENT), LIST))
    assert sorted(rules(entry)) == ["entry-limit-in-words", "entry-unknown-code"]
    assert entry.examination is not None
    (held_view,) = entry.examination.views
    assert (held_view.light, held_view.limits) == ("polarised", ("other-limit",))
    assert held_view.note == "Limit, as entered: a plaster"
    review = scored(entry)
    assert [one for one in Structure if review.answers.of(one).truth is False] == []


def test_words_of_a_finding_go_with_it() -> None:
    entry = from_response(response(detail(VEIL, ABSENT, ask("findings.place", "at the edge")), LIST))
    assert sorted(rules(entry)) == ["entry-list-undone", "entry-unknown-code"]


# --- Nothing at all --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("head", [{}, {"questionnaire": "urn:x:1"}, {"subject": {"reference": "Patient/2"}}])
def test_a_plan_of_which_nothing_is_sent_is_said_and_the_whole_is_set_aside(head: dict[str, Any]) -> None:
    form = response(group("plan", group("plan.actions", STEP, AT_ONCE)), **head)
    if not head:
        form["item"] = [one for one in form["item"] if one["linkId"] != FOR_THE_RECORD]
    entry = from_response(form)
    assert entry.examination is None
    assert entry.set_aside == {"$": form}
    told = [(issue.rule, issue.path) for issue in entry.issues if issue.rule.startswith("entry-plan-not-")]
    assert told == [("entry-plan-not-sent", "$.plan")]
    assert "entry-plan-not-sent" not in rules(from_response({**form, "item": []}))


@given(st.data())
def test_a_form_that_is_cut_off_sends_its_urgent_step_or_says_that_it_did_not(data: st.DataObject) -> None:
    text = form_json(response(group("plan", group("plan.actions", STEP, AT_ONCE)))).encode()
    entry = from_response(text[: data.draw(st.integers(0, len(text)))])
    if entry.examination is None:
        assert rules(entry).count("entry-plan-not-known") == 1
        return
    assert entry.examination.plan is not None
    assert [step.urgency for step in entry.examination.plan.actions] == ["immediate"]


@pytest.mark.parametrize(
    ("head", "rule"),
    [({"questionnaire": f"{FORM}|9.0.0"}, "form-other-version"), ({"questionnaire": None}, "form-not-named")],
)
def test_another_version_and_no_name_are_said_and_read(head: dict[str, Any], rule: str) -> None:
    entry = from_response(response(**head))
    assert [(issue.rule, issue.severity, issue.path) for issue in entry.issues] == [(rule, Severity.WARNING, "$")]
    assert entry.examination is not None
    # A warning withholds and withdraws nothing.
    assert entry.examination.not_held == ()


# --- Scores ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("ending", "shown", "differs"),
    [
        ("low", {"valueDecimal": 0}, False),
        ("low", {"valueDecimal": 0.0}, False),
        ("low", {"valueDecimal": 1}, True),
        ("high", {"valueDecimal": 0}, False),
        ("high", {"valueDecimal": 0.5}, True),
        ("high", {"valueString": "0"}, True),
        ("verdict", {"valueString": Verdict.BELOW_THRESHOLD.display}, False),
        ("verdict", {"valueString": Verdict.ABOVE_THRESHOLD.display}, True),
        ("met", {"valueString": "anything"}, False),
    ],
)
def test_a_score_that_the_form_showed_otherwise_is_a_warning(ending: str, shown: Item, *, differs: bool) -> None:
    form = to_response(Examination.from_json((EXAMPLES / "usual.json").read_bytes()))
    assert rules(from_response(form)) == []
    method = "scores.seven-point-revised"
    entry = from_response(
        {**form, "item": [*form["item"], group("scores", group(method, ask(f"{method}.{ending}", shown)))]}
    )
    found = [(issue.rule, issue.severity, issue.path, issue.parameters) for issue in entry.issues]
    told = (
        "form-score-differs",
        Severity.WARNING,
        '$.scores["seven-point-revised"]',
        (("method", "seven-point-revised"),),
    )
    assert found == ([told] if differs else [])
    assert entry.examination is not None
    assert entry.examination.not_held == ()


# --- Rules -----------------------------------------------------------------------------------------------------------


def test_each_rule_has_an_id_that_fits_and_says_what_to_do() -> None:
    for rule in FORM_RULES.values():
        assert re.fullmatch(r"form-[a-z0-9.-]{1,59}", rule.id)
        assert rule.message.endswith((".", "?"))
        assert rule.source


def test_each_issue_of_the_form_is_an_error_that_the_review_keeps() -> None:
    entry = from_response(response(status="in-progress"))
    assert entry.examination is not None
    review = dermreport.review(entry.examination)
    assert [issue.rule for issue in review.issues if issue.rule.startswith("form-")] == ["form-not-finished"]
    assert all(issue.severity is Severity.ERROR for issue in entry.issues)


def test_the_same_examination_whether_ticked_or_detailed_gives_the_same_report() -> None:
    by_list = held(ticked(NETWORK, PRESENT), ticked(VEIL, ABSENT))
    again = from_response(to_response(by_list)).examination
    assert again is not None
    reports = [dermreport.to_fhir(dermreport.review(one)).bundle("transaction").to_json() for one in (by_list, again)]
    assert reports[0] == reports[1]
