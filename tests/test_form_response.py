"""An examination as answers to the form and back: the same text, in every release; nothing of it is lost."""

from __future__ import annotations

import json
from decimal import Decimal
from pathlib import Path

import pytest
from examples_output import ENTRIES, examinations
from fhir_cases import FULL
from hypothesis import given
from hypothesis import strategies as st
from strategies import WHOLE_EXAMINATIONS, full_examinations, usual_examinations
from test_form_layout import items

import dermreport
from dermreport.examination.base import OtherCode
from dermreport.examination.model import Examination
from dermreport.fhir.write import to_json
from dermreport.form.layout import by_link_id
from dermreport.form.other_codes import code_in, words_of
from dermreport.form.questionnaire import FORM, questionnaire
from dermreport.form.reading import from_response
from dermreport.form.response import to_response
from dermreport.issues import SettingsError

RELEASES = ("R4", "R4B", "R5")
EXAMPLES = [one for path in ENTRIES for one in examinations(path)]


def same(examination: Examination, release: str = "R4") -> None:
    entry = from_response(to_json(to_response(examination, release=release)))
    assert [str(issue) for issue in entry.issues] == []
    assert dict(entry.set_aside) == {}
    assert entry.examination is not None
    assert entry.examination.to_json() == examination.to_json()


@pytest.mark.parametrize("release", RELEASES)
def test_each_example_comes_back_as_it_was(release: str) -> None:
    assert len(EXAMPLES) > len(ENTRIES)
    for examination in EXAMPLES:
        same(examination, release)


@WHOLE_EXAMINATIONS
@given(usual_examinations() | full_examinations(), st.sampled_from(RELEASES))
def test_any_examination_comes_back_as_it_was(examination: Examination, release: str) -> None:
    same(examination, release)


def test_a_dict_is_read_like_its_text() -> None:
    examination = Examination.model_validate(FULL)
    answers = to_response(examination)
    before = to_json(answers)
    read = from_response(answers).examination
    assert read is not None
    assert read.to_json() == examination.to_json()
    assert to_json(answers) == before


@pytest.mark.parametrize("empty", ["lesion", "patient", "description", "plan", "assessment", "background"])
def test_an_empty_part_stays_an_empty_part(empty: str) -> None:
    examination = Examination.model_validate({**FULL, empty: {}})
    assert f'"{empty}":{{}}' in examination.to_json()
    same(examination)


def test_what_a_form_in_javascript_does_to_digits() -> None:
    """Trailing zeros are lost, as the documentation says, and nothing else: ECMA-262, JSON.parse and JSON.stringify."""
    examination = Examination.model_validate(json.loads(json.dumps(FULL)) | {"lesion": {"longest_mm": 6.0}})
    text = to_json(to_response(examination))
    assert '"value":6.0' in text
    there_and_back = text.replace('"value":6.0', '"value":6')
    read = from_response(there_and_back).examination
    assert read is not None
    assert read == examination
    assert read.to_json() == examination.to_json().replace("6.0", "6")


# --- As the standard wants it ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("release", RELEASES)
def test_the_standards_own_classes_take_it(release: str) -> None:
    """The classes of ``fhir.resources``, which are made from the standard's definitions."""
    if release == "R5":
        from fhir.resources.questionnaireresponse import QuestionnaireResponse
    else:
        from fhir.resources.R4B.questionnaireresponse import QuestionnaireResponse
    for examination in EXAMPLES:
        assert QuestionnaireResponse.model_validate_json(to_json(to_response(examination, release=release)))


#: FHIR R4 and R5, Questionnaire.item.type: the element in which an answer of each type stands.
ELEMENTS = {
    "choice": ("valueCoding",),
    "open-choice": ("valueCoding", "valueString"),
    "string": ("valueString",),
    "text": ("valueString",),
    "decimal": ("valueDecimal",),
    "integer": ("valueInteger",),
    "quantity": ("valueQuantity",),
    "boolean": ("valueBoolean",),
}


@WHOLE_EXAMINATIONS
@given(full_examinations())
def test_the_answers_are_those_that_the_form_asks_in_its_order(examination: Examination) -> None:
    asked = dict(items(questionnaire("R4")))
    order = list(asked)
    given_items = list(items(to_response(examination)))
    paths = [path for path, _ in given_items]
    assert set(paths) <= set(asked)
    for path, item in given_items:
        question = asked[path]
        assert item["text"] == question["text"]
        answers = item.get("answer", [])
        assert len(answers) <= 1 or question.get("repeats")
        assert (question["type"] == "group") is not bool(answers)
        for answer in answers:
            assert set(answer) <= set(ELEMENTS[question["type"]])
        inner = [order.index((*path, one["linkId"])) for one in item.get("item", [])]
        assert inner == sorted(inner)
        # FHIR R4 and R5, Questionnaire.item.enableWhen: what is asked after another answer has that one beside it.
        beside = {one["linkId"] for one in item.get("item", []) if one.get("answer")}
        for one in item.get("item", []):
            for condition in asked[*path, one["linkId"]].get("enableWhen", []):
                assert condition["operator"] == "exists"
                assert condition["question"] in beside


def test_the_checklist_and_what_is_calculated_stay_empty() -> None:
    for examination in EXAMPLES:
        roots = {one["linkId"] for one in to_response(examination)["item"]}
        assert not roots & {"checklist", "scores"}
        assert "reading-styles" in roots


@pytest.mark.parametrize(
    ("status", "state"),
    [
        ("draft", "in-progress"),
        ("final", "completed"),
        ("amended", "amended"),
        ("entered-in-error", "entered-in-error"),
    ],
)
def test_the_response_stands_where_the_examination_stands(status: str, state: str) -> None:
    answers = to_response(Examination.model_validate({**FULL, "status": status}))
    assert answers["status"] == state
    assert answers["questionnaire"].partition("|")[0] == FORM


def test_a_size_says_its_unit() -> None:
    """The code is UCUM's (https://ucum.org), the system that of FHIR, Quantity.system for UCUM."""
    answers = to_response(Examination.model_validate({**FULL, "lesion": {"longest_mm": 6.5}}))
    found = [item for path, item in items(answers) if path[-1] == "lesion.longest_mm"]
    value = found[0]["answer"][0]["valueQuantity"]
    assert str(value.pop("value")) == "6.5"
    assert value == {"unit": "mm", "system": "http://unitsofmeasure.org", "code": "mm"}


def test_an_unknown_release_is_refused() -> None:
    with pytest.raises(SettingsError, match=r"^to_response: release is one of R4, R4B, R5$"):
        to_response(EXAMPLES[0], release="R3")


# --- Somebody else's code --------------------------------------------------------------------------------------------

CODES = [
    ({"system": "urn:x-host:1", "code": "7"}, "urn:x-host:1|7"),
    ({"system": "urn:x-host:1", "code": "a|b%"}, "urn:x-host:1|a%7Cb%25"),
    ({"system": "urn:x-host:1", "code": "%7C"}, "urn:x-host:1|%257C"),
    ({"system": "urn:x-host:1", "code": "7", "display": "seven"}, "urn:x-host:1|7|seven"),
    ({"system": "urn:x-host:1", "code": "7", "version": "2"}, "urn:x-host:1|7||2"),
    ({"system": "urn:x-host:1", "code": "7", "display": "d", "version": "2"}, "urn:x-host:1|7|d|2"),
]


@pytest.mark.parametrize(("code", "words"), CODES)
def test_somebody_elses_code_is_words_of_the_form(code: dict[str, str], words: str) -> None:
    assert words_of(OtherCode.model_validate(code)) == words
    assert code_in(words) == code


@pytest.mark.parametrize("words", ["", "back", "back|7", "urn:x-host:1", "urn:x-host:1|a|b|c|d", " urn:x:1|7", "|7"])
def test_other_words_are_no_code(words: str) -> None:
    assert code_in(words) is None


def test_a_list_keeps_the_order_of_own_and_other_codes() -> None:
    other = {"system": "urn:x-host:1", "code": "7"}
    examination = Examination.model_validate({**FULL, "description": {"colours": ["red", other, "blue"]}})
    same(examination)


def test_every_item_that_takes_another_code_is_open_to_words() -> None:
    asked = {path[-1]: item for path, item in items(questionnaire("R4"))}
    for path, item in by_link_id().items():
        assert (asked[path]["type"] == "open-choice") is item.other


def test_the_text_of_a_response_and_of_the_form_is_exact() -> None:
    text = Path(__file__).parent.parent.joinpath("examples", "usual.json").read_text(encoding="utf-8")
    examination = Examination.from_json(text.replace('"longest_mm": 4.5', '"longest_mm": 4.60'))
    written = dermreport.form_json(to_response(examination))
    assert '"value":4.60' in written
    assert written == dermreport.form_json(json.loads(written, parse_float=Decimal))
    again = dermreport.from_response(written).examination
    assert again is not None
    assert again.to_json() == examination.to_json()
    assert json.loads(dermreport.form_json(dermreport.questionnaire())) == dermreport.questionnaire("R4")
