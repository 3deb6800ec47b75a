"""The published JSON Schema: it is one, it lies beside the code as it is, and it agrees with the model.

Checked against ``jsonschema``, another implementation of JSON Schema draft 2020-12. ``python
tests/test_examination_schema.py`` writes the committed files anew.
"""

from __future__ import annotations

import copy
import json
import random
from functools import cache
from pathlib import Path
from typing import Any

import jsonschema
import msgspec
import pytest
from hypothesis import HealthCheck, given, settings
from strategies import examinations

from dermreport import EntryError, Examination, Visit
from dermreport.examination.base import Model, OtherCode
from dermreport.examination.entry_rules import ENTRY_RULES
from dermreport.examination.fields import classes_of
from dermreport.examination.lesion import Lesion
from dermreport.examination.reader import MAX_ENTRY, write_json
from dermreport.examination.schema import NOT_IN_SCHEMA, json_schema
from dermreport.vocabulary.term import Term

ROOT = Path(__file__).parent.parent
MODELS = {"examination": Examination, "visit": Visit}
EXAMPLES = {path.stem: json.loads(path.read_bytes()) for path in sorted((ROOT / "examples").glob("*.json"))}


def model_of(entry: dict[str, Any]) -> type[Examination | Visit]:
    return Visit if "lesions" in entry else Examination


def committed(name: str) -> Path:
    return ROOT / "profiles" / f"{name}.schema.json"


def as_written(name: str) -> str:
    return msgspec.json.format(write_json(json_schema(MODELS[name])), indent=2) + "\n"


@cache
def validator(model: type[Examination | Visit]) -> jsonschema.Draft202012Validator:
    return jsonschema.Draft202012Validator(json_schema(model))


def refusals(model: type[Examination | Visit], entry: Any) -> set[str]:
    """Return the ids of the rules by which the model refuses an entry."""
    try:
        model.model_validate(entry)
    except EntryError as error:
        return {issue.rule for issue in error.issues}
    return set()


def assert_agree(model: type[Examination | Visit], entry: Any) -> bool:
    """Check that model and schema both take or both refuse an entry; return whether they took it."""
    rules = refusals(model, entry)
    schema_takes = validator(model).is_valid(entry)
    if not schema_takes:
        assert rules, "the schema refuses what the model takes"
    elif rules:
        assert rules <= set(NOT_IN_SCHEMA), "the model refuses what the schema takes, and nothing names why"
    return not rules


@pytest.mark.parametrize("name", MODELS)
def test_it_is_a_schema_of_its_dialect(name: str) -> None:
    jsonschema.Draft202012Validator.check_schema(json_schema(MODELS[name]))


@pytest.mark.parametrize("name", MODELS)
def test_the_committed_file_is_what_the_model_says(name: str) -> None:
    assert committed(name).read_text(encoding="utf-8") == as_written(name)


@pytest.mark.parametrize("name", MODELS)
def test_its_address_names_the_entry_and_a_version(name: str) -> None:
    schema = json_schema(MODELS[name])
    assert schema["$id"] == f"https://dermreport.example/fhir/schema/{name}/1"
    assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"


def parts(model: type[Model]) -> set[type[Model]]:
    """Return the parts that a model is made of, itself among them."""
    found = {model}
    for name in model.model_fields:
        for one in classes_of(model, name):
            if issubclass(one, Model) and one not in found:
                found |= parts(one)
    return found


@pytest.mark.parametrize("name", MODELS)
def test_every_part_and_every_field_is_described(name: str) -> None:
    schema = json_schema(MODELS[name])
    for definition in (schema, *schema["$defs"].values()):
        assert definition["description"], definition["title"]
        for field, of_field in definition.get("properties", {}).items():
            assert of_field.get("description"), f"{definition['title']}.{field}"
    assert {part.__name__ for part in parts(MODELS[name])} - {MODELS[name].__name__} <= set(schema["$defs"])


def test_every_table_of_the_entry_is_a_plain_enum_of_its_codes() -> None:
    tables = {
        one
        for part in parts(Visit)
        for name in part.model_fields
        for one in classes_of(part, name)
        if issubclass(one, Term)
    }
    definitions = json_schema(Visit)["$defs"]
    assert len(tables) > 40
    for table in tables:
        assert definitions[table.__name__]["enum"] == [term.value for term in table]
        assert definitions[table.__name__]["title"] == table.__name__


def test_decimals_are_numbers() -> None:
    definitions = json_schema()["$defs"]
    assert definitions["Millimetres"]["type"] == "number"
    assert definitions["Years"]["type"] == "integer"


def test_somebody_elses_code_is_an_object_beside_the_enum() -> None:
    site = json_schema()["$defs"][Lesion.__name__]["properties"]["site"]
    names = [branch.get("$ref", branch.get("type")) for branch in site["anyOf"]]
    assert names == ["#/$defs/Site", f"#/$defs/{OtherCode.__name__}", "null"]


def test_a_schema_shares_nothing_with_the_model() -> None:
    first = json_schema()
    first["$defs"]["Identifier"]["anyOf"].clear()
    first["properties"].clear()
    assert json_schema() != first
    assert json_schema()["$defs"]["Identifier"]["anyOf"]


@pytest.mark.parametrize("name", EXAMPLES)
def test_both_take_every_example(name: str) -> None:
    assert assert_agree(model_of(EXAMPLES[name]), EXAMPLES[name])


#: Every limit of a number in the schema, and what lies next to it on both sides.
LIMITS = sorted(
    {
        limit + step
        for definition in json_schema(Visit)["$defs"].values()
        for name, limit in definition.items()
        if name in {"minimum", "maximum", "exclusiveMinimum"}
        for step in (-1, 0, 1)
    }
)
#: Values for a place of any kind: of each kind a plain one, the limits, and what is just past them.
VALUES: tuple[Any, ...] = (
    *LIMITS,
    None,
    True,
    False,
    0,
    1,
    -1,
    3,
    8,
    9,
    200,
    201,
    2500,
    2500.5,
    0.5,
    1.5,
    3.0,
    -0.0,
    1e11,
    10**17,
    "",
    " ",
    "\u00a0\u2003",
    "\ufeff",
    "a",
    "yes",
    "6",
    "two\nlines",
    "a\x00b",
    "a\x0bb",
    "\ufffe",
    "\ud800",
    "x" * 64,
    "x" * 65,
    "x" * 255,
    "x" * 256,
    "x" * 20_000,
    "x" * 20_001,
    "\U0001f642" * 255,
    "key\n",
    ".key",
    "2026",
    "2026-13",
    "2026-02-29",
    "2024-02-29",
    "1900-02-29",
    "2000-02-29",
    "0000",
    "2026-03-04",
    "2026-03-04\n",
    "2026-03-04T10:30:00",
    "2026-03-04T10:30+01:00",
    "2026-03-04T10:30:00+01:00",
    "2026-03-04T24:00:00Z",
    "2026-03-04T10:30:60Z",
    "2026-03-04T10:30:00.1234567890Z",
    "2026-03-04T10:30:00+14:01",
    "\u0662\u0660\u0662\u0666",
    "Patient/1",
    "Patient/1\n",
    "patient/1",
    "https://host.example/x",
    "https://host.example/x y",
    "https://host.example/x|1",
    "urn:oid:1.2.3",
    "1.2.840.1",
    "1.02.3",
    "1.2.\u0663",
    "image/jpeg",
    "Image/jpeg",
    "i" * 33 + "/jpeg",
    "i" * 32 + "/" + "x" * 127,
    "i" * 32 + "/" + "x" * 128,
    "urn:x:" + "x" * 249,
    "urn:x:" + "x" * 250,
    "urn:x:" + "x" * 2042,
    "urn:x:" + "x" * 2043,
    "1." + "2" * 62,
    "1." + "2" * 63,
    "2026-03-04T10:30:00.123456789+14:00",
    "0" * 40,
    "0" * 64,
    "A" * 64,
    "3f0c2b6e-8f7d-4c1b-9a53-6d2e51c0b7aa",
    "3F0C2B6E-8F7D-4C1B-9A53-6D2E51C0B7AA",
    "ours",
    "other",
    [],
    ["a"],
    [None],
    [{}],
    {},
    {"ours": 1},
    {"system": "https://host.example/codes", "code": "x"},
    {"system": "https://host.example/codes", "code": "x", "display": None, "version": "1"},
    {"system": "https://host.example/codes"},
    {"system": "https://dermreport.example/fhir/CodeSystem/colour", "code": "red"},
    {"value": "3f0c2b6e-8f7d-4c1b-9a53-6d2e51c0b7aa"},
    {"value": "17", "system": None},
    {"display": None},
    {"display": "somebody", "reference": None},
    {"algorithm": "sha-1", "value": "0" * 64},
    {"algorithm": "sha-256", "value": "0" * 40},
)


def places(value: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """Return the path of every value inside an entry."""
    below = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    return [path, *(found for part, one in below for found in places(one, (*path, part)))]


def at(entry: Any, path: tuple[Any, ...]) -> Any:
    for part in path:
        entry = entry[part]
    return entry


def with_value(entry: Any, path: tuple[Any, ...], value: Any) -> Any:
    """Return a copy of an entry with another value at a path."""
    changed = copy.deepcopy(entry)
    at(changed, path[:-1])[path[-1]] = copy.deepcopy(value)
    return changed


def without(entry: Any, path: tuple[Any, ...]) -> Any:
    changed = copy.deepcopy(entry)
    del at(changed, path[:-1])[path[-1]]
    return changed


def mutations(entry: Any) -> list[Any]:
    """Return an entry with each of its values dropped, nulled, doubled, renamed or with an unknown name beside it."""
    changed = []
    for path in places(entry)[1:]:
        value = at(entry, path)
        changed.append(without(entry, path))
        changed.append(with_value(entry, path, None))
        if isinstance(value, dict):
            changed.append(with_value(entry, (*path, "unknown"), "x"))
        if isinstance(value, list) and value:
            changed.append(with_value(entry, path, [*value, value[0]]))
            changed.append(with_value(entry, path, value[0]))
            changed.append(with_value(entry, path, {str(position): one for position, one in enumerate(value)}))
        if isinstance(path[-1], str):
            changed.append(with_value(without(entry, path), (*path[:-1], path[-1].upper()), value))
    return changed


SEED = 20_260_304


@pytest.mark.parametrize("name", EXAMPLES)
def test_both_agree_on_an_example_with_one_thing_changed(name: str) -> None:
    """The ordinary record meets every change, of the others each meets forty."""
    entry = EXAMPLES[name]
    changed = mutations(entry)
    chosen = changed if name == "usual" else random.Random(SEED).sample(changed, 40)  # noqa: S311 - no secret
    taken = [assert_agree(model_of(entry), one) for one in chosen]
    assert 0 < sum(taken) < len(taken)


#: Of each part of the model what it can't be without.
NEEDED: dict[str, dict[str, Any]] = {
    "OtherCode": {"system": "https://host.example/codes", "code": "x"},
    "Identifier": {"value": "3f0c2b6e-8f7d-4c1b-9a53-6d2e51c0b7aa"},
    "Reference": {"display": "somebody"},
    "EarlierSkinCancer": {"kind": "melanoma"},
    "View": {"key": "v", "light": "polarised"},
    "ImageHash": {"algorithm": "sha-256", "value": "0" * 64},
    "Image": {"key": "i"},
    "ListGoneThrough": {"list": "vessels"},
    "Finding": {"structure": "network", "presence": "present"},
    "MapPoint": {"map": "body-back", "x": 0.5, "y": 0.5},
    "Nodes": {"state": "enlarged"},
    "HistoryAnswer": {"answer": "yes"},
    "BedsideTestResult": {"test": "tape", "positive": "yes"},
    "NamedImpression": {"key": "i", "impression": "cyst"},
    "Action": {"key": "a", "action": "cryotherapy"},
    "PatientTold": {"told": "yes"},
    "Departure": {"key": "d", "departs_from": "x", "reason": "x"},
    "Outcome": {"key": "o", "kind": "opinion"},
    "LesionRecord": {"identifier": {"system": "urn:x:y", "value": "1"}, "status": "final"},
}


@pytest.mark.parametrize("part", sorted(parts(Visit) - {Visit}, key=lambda part: part.__name__))
def test_both_agree_on_every_value_in_every_field(part: type[Model]) -> None:
    name = part.__name__
    schema = jsonschema.Draft202012Validator({"$ref": f"#/$defs/{name}", "$defs": json_schema(Visit)["$defs"]})
    needed = NEEDED.get(name, {})
    assert schema.is_valid(needed)
    assert refusals(part, needed) == set()
    taken = set()
    for field in part.model_fields:
        for value in (*VALUES, needed):
            rules = refusals(part, {**needed, field: value})
            if schema.is_valid({**needed, field: value}) is bool(rules):
                assert rules, f"the schema refuses what the model takes: {field} {value!a}"
                assert rules <= set(NOT_IN_SCHEMA), f"the model refuses what the schema takes: {field} {value!a}"
            if not rules:
                taken.add(field)
    assert taken >= {field for field, info in part.model_fields.items() if not info.is_required()}


def test_both_agree_on_changes_of_changes() -> None:
    chosen = random.Random(SEED)  # noqa: S311 - no secret
    for _ in range(250):
        entry = EXAMPLES[chosen.choice(list(EXAMPLES))]
        model = model_of(entry)
        for _ in range(chosen.randint(2, 4)):
            path = chosen.choice(places(entry)[1:])
            value = chosen.choice(VALUES) if chosen.random() < 0.5 else at(entry, chosen.choice(places(entry)))
            entry = with_value(entry, path, value)
        assert_agree(model, entry)


@settings(max_examples=30, suppress_health_check=[HealthCheck.too_slow])
@given(examinations())
def test_the_schema_takes_whatever_the_model_writes(examination: Examination) -> None:
    entry = json.loads(examination.to_json())
    errors = [error.json_path for error in validator(Examination).iter_errors(entry)]
    assert errors == []


TWICE = with_value(EXAMPLES["usual"], ("views",), [*EXAMPLES["usual"]["views"], *EXAMPLES["usual"]["views"]])


@pytest.mark.parametrize(
    ("rule", "text"),
    [
        ("entry-given-twice", json.dumps(TWICE)),
        ("entry-number-too-long", json.dumps(EXAMPLES["usual"]).replace("4.5", "4.500000000000000000")),
        ("entry-key-twice", json.dumps(EXAMPLES["usual"])[:-1] + ', "status": "draft"}'),
        ("entry-too-large", json.dumps(EXAMPLES["usual"]) + " " * MAX_ENTRY),
    ],
)
def test_what_is_said_to_be_beyond_a_schema_is(rule: str, text: str) -> None:
    assert rule in NOT_IN_SCHEMA
    assert validator(Examination).is_valid(json.loads(text))
    with pytest.raises(EntryError) as refused:
        Examination.from_json(text)
    assert {issue.rule for issue in refused.value.issues} == {rule}


def test_what_is_beyond_a_schema_is_named_by_rules_that_exist_and_with_a_reason() -> None:
    assert set(NOT_IN_SCHEMA) <= set(ENTRY_RULES)
    assert all(reason.endswith(".") for reason in NOT_IN_SCHEMA.values())
    assert all(reason in json_schema()["$comment"] for reason in NOT_IN_SCHEMA.values())


def main() -> None:
    """Write the committed files anew."""
    for name in MODELS:
        committed(name).write_text(as_written(name), encoding="utf-8")


if __name__ == "__main__":
    main()
