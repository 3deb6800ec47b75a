"""Partly filled entries: nothing is lost, nothing half is held, nothing entered gets into an issue, no traceback."""

from __future__ import annotations

import copy
import itertools
import json
import re
from collections import OrderedDict
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st
from pydantic import ValidationError
from strategies import examinations

from dermreport import Entry, EntryError, Examination, Severity, Visit, from_entry, review, to_fhir, to_outcome
from dermreport.examination.entry_rules import ENTRY_RULES, path_text
from dermreport.examination.kept_in_words import says_anything
from dermreport.examination.reader import MAX_ENTRY, read_json
from dermreport.vocabulary.presences import Presence
from dermreport.vocabulary.structures import Structure
from dermreport.vocabulary.summaries import Summary
from dermreport.vocabulary.term import code_system

if TYPE_CHECKING:
    from collections.abc import Mapping

Place = tuple[str | int, ...]
EXAMPLES = Path(__file__).parent.parent / "examples"
USUAL = json.loads((EXAMPLES / "usual.json").read_bytes())
LONG = json.loads((EXAMPLES / "back-melanoma-suspected-referred.json").read_bytes())
VIEW = {"key": "v", "light": "polarised"}
FINDING = {"structure": "network", "presence": "present"}
URGENT = {"key": "1", "action": "refer-suspected-cancer", "urgency": "urgent", "reason": "see the findings"}
NEEDED = {name: USUAL[name] for name in ("identifier", "status", "patient", "examined")}
SLOW = settings(max_examples=40, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])


NAMES = st.one_of(
    st.sampled_from(
        ["key", "light", "views", "lesion", "plan", "actions", "ours", "other", "system", "code", "value", "identifier"]
    ),
    st.text(st.characters(), max_size=5),
)
JSON = st.recursive(
    st.one_of(
        st.none(),
        st.booleans(),
        st.integers(),
        st.floats(allow_nan=False, allow_infinity=False),
        st.text(st.characters(), max_size=8),
        st.sampled_from(["yes", "present", "network", "polarised", "v1", "red", "2026-03-04", "Patient/1", "urn:x:y"]),
    ),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(NAMES, inner, max_size=3),
    max_leaves=8,
)


def told(entry: Entry) -> list[tuple[str, str]]:
    return sorted((issue.rule, issue.path) for issue in entry.issues)


def test_a_good_entry_is_held_whole() -> None:
    entry = from_entry(USUAL)
    assert entry.issues == ()
    assert entry.set_aside == {}
    assert entry.examination == Examination.model_validate(USUAL)


#: An entry beside the needed fields; what is told; what is set aside.
CASES: tuple[tuple[str, dict[str, Any], list[tuple[str, str]], dict[str, Any]], ...] = (
    (
        "unknown field",
        {"mood": "fine"},
        [("entry-plan-not-known", "$"), ("entry-unknown-field", "$")],
        {"$.mood": "fine"},
    ),
    (
        "two unknown fields of one part are one issue",
        {"lesion": {"mood": 1, "weather": 2, "label": "A"}},
        [("entry-plan-not-known", "$.lesion"), ("entry-unknown-field", "$.lesion")],
        {"$.lesion.mood": 1, "$.lesion.weather": 2},
    ),
    (
        "names that look like paths",
        {"views[0]": 1, "a.b": 2, "": 3, "ours": 4, "other": 5, "$": 6, 'x"y': 7, "ä": 8},
        [("entry-plan-not-known", "$"), ("entry-unknown-field", "$")],
        {
            '$["views[0]"]': 1,
            '$["a.b"]': 2,
            '$[""]': 3,
            "$.ours": 4,
            "$.other": 5,
            '$["$"]': 6,
            '$["x\\"y"]': 7,
            '$["\\u00e4"]': 8,
        },
    ),
    (
        "a name that no encoding has",
        {"\ud800": {"deep": [1]}, "lesion": {"\udfff": 1, "label": "A"}},
        [
            ("entry-plan-not-known", "$"),
            ("entry-plan-not-known", "$.lesion"),
            ("entry-unknown-field", "$"),
            ("entry-unknown-field", "$.lesion"),
        ],
        {'$["\\ud800"]': {"deep": [1]}, '$.lesion["\\udfff"]': 1},
    ),
    (
        "the same in an item: the item goes",
        {"views": [{**VIEW, "\ud800": 1}, {**VIEW, "key": "w"}]},
        [("entry-plan-not-known", "$.views[0]"), ("entry-unknown-field", "$.views[0]")],
        {"$.views[0]": {**VIEW, "\ud800": 1}},
    ),
    ("wrong kind", {"lesion": {"label": 7}}, [("entry-wrong-kind", "$.lesion.label")], {"$.lesion.label": 7}),
    ("no list", {"views": VIEW}, [("entry-wrong-kind", "$.views")], {"$.views": VIEW}),
    ("no object", {"lesion": "A"}, [("entry-wrong-kind", "$.lesion")], {"$.lesion": "A"}),
    ("an item that is no object", {"views": ["v"]}, [("entry-wrong-kind", "$.views[0]")], {"$.views[0]": "v"}),
    ("an item that is null", {"views": [None]}, [("entry-wrong-kind", "$.views[0]")], {"$.views[0]": None}),
    ("unknown code", {"mode": "by-owl"}, [("entry-unknown-code", "$.mode")], {"$.mode": "by-owl"}),
    (
        "unknown code where another's may stand",
        {"lesion": {"site": "tail"}},
        [("entry-unknown-code", "$.lesion.site")],
        {"$.lesion.site": "tail"},
    ),
    (
        "half of another's code",
        {"lesion": {"site": {"code": "x", "display": "Tail"}}},
        [("entry-missing", "$.lesion.site.system")],
        {"$.lesion.site": {"code": "x", "display": "Tail"}},
    ),
    (
        "another's code with a field too many",
        {"lesion": {"site": {"system": "urn:x:y", "code": "x", "other": 1}}},
        [("entry-plan-not-known", "$.lesion.site"), ("entry-unknown-field", "$.lesion.site")],
        {"$.lesion.site": {"system": "urn:x:y", "code": "x", "other": 1}},
    ),
    (
        "out of range",
        {"lesion": {"longest_mm": -1, "crosswise_mm": 2501}},
        [("entry-out-of-range", "$.lesion.crosswise_mm"), ("entry-out-of-range", "$.lesion.longest_mm")],
        {"$.lesion.longest_mm": -1, "$.lesion.crosswise_mm": 2501},
    ),
    (
        "long number",
        {"lesion": {"longest_mm": 1234567890123456789}},
        [("entry-number-too-long", "$.lesion.longest_mm")],
        {"$.lesion.longest_mm": 1234567890123456789},
    ),
    ("blank text", {"note": " \n"}, [("entry-text-not-allowed", "$.note")], {"$.note": " \n"}),
    ("long text", {"note": "x" * 20_001}, [("entry-text-too-long", "$.note")], {"$.note": "x" * 20_001}),
    (
        "a time without an offset",
        {"recorded": "2026-03-04T10:30:00"},
        [("entry-time-not-allowed", "$.recorded")],
        {"$.recorded": "2026-03-04T10:30:00"},
    ),
    (
        "a reference of nothing",
        {"encounter": {"display": None}},
        [("entry-reference-empty", "$.encounter")],
        {"$.encounter": {"display": None}},
    ),
    (
        "a reference goes whole",
        {"encounter": {"reference": "Encounter 7", "display": "visit"}},
        [("entry-reference-not-allowed", "$.encounter.reference")],
        {"$.encounter": {"reference": "Encounter 7", "display": "visit"}},
    ),
    (
        "an identifier goes whole, for without its system it is another one",
        {"lesion": {"identifier": {"system": "clinic", "value": "3f0c2b6e-8f7d-4c1b-9a53-6d2e51c0b7aa"}}},
        [("entry-uri-not-allowed", "$.lesion.identifier.system")],
        {"$.lesion.identifier": {"system": "clinic", "value": "3f0c2b6e-8f7d-4c1b-9a53-6d2e51c0b7aa"}},
    ),
    (
        "an identifier without a system",
        {"lesion": {"identifier": {"value": "7"}, "label": "A"}},
        [("entry-identifier-without-system", "$.lesion.identifier")],
        {"$.lesion.identifier": {"value": "7"}},
    ),
    (
        "a part that can't be without the field",
        {"lesion": {"history": {"new": {"answer": "maybe", "since": "2025"}, "growing": {"answer": "yes"}}}},
        [("entry-unknown-code", "$.lesion.history.new.answer")],
        {"$.lesion.history.new": {"answer": "maybe", "since": "2025"}},
    ),
    (
        "a part that lacks the field",
        {"plan": {"patient_told": {"words": "nothing"}, "note": "kept"}},
        [("entry-missing", "$.plan.patient_told.told")],
        {"$.plan.patient_told": {"words": "nothing"}},
    ),
    (
        "a part that lacks one field and has another wrong",
        {"plan": {"patient_told": {"words": 7}}},
        [("entry-missing", "$.plan.patient_told.told"), ("entry-wrong-kind", "$.plan.patient_told.words")],
        {"$.plan.patient_told": {"words": 7}},
    ),
    (
        "a point of which one half is wrong",
        {"lesion": {"map_point": {"map": "body-back", "x": 0.5, "y": 2}}},
        [("entry-out-of-range", "$.lesion.map_point.y")],
        {"$.lesion.map_point": {"map": "body-back", "x": 0.5, "y": 2}},
    ),
    (
        "an item goes whole, with what is right in it",
        {"plan": {"actions": [{"key": "a", "action": "excise-complete", "urgency": "soon", "responsible": {}}]}},
        [("entry-reference-empty", "$.plan.actions[0].responsible")],
        {"$.plan.actions[0].responsible": {}},
    ),
    (
        "one colour of several: the list goes whole, or it would say too little",
        {"description": {"colours": ["red", "beige", "blue", 7]}},
        [("entry-unknown-code", "$.description.colours[1]"), ("entry-wrong-kind", "$.description.colours[3]")],
        {"$.description.colours": ["red", "beige", "blue", 7]},
    ),
    (
        "a finding: the statement on what was left unticked goes with it",
        {
            "findings": [{"structure": "blue-white-veil", "presence": "yes"}],
            "lists_gone_through": [{"list": "pigmented-lesion"}],
        },
        [("entry-list-undone", "$.lists_gone_through"), ("entry-unknown-code", "$.findings[0].presence")],
        {
            "$.findings[0]": {"structure": "blue-white-veil", "presence": "yes"},
            "$.lists_gone_through": [{"list": "pigmented-lesion"}],
        },
    ),
    (
        "a view: the statement on what was not seen in it goes with it",
        {"views": [{"key": "a", "light": "sun"}], "lists_gone_through": [{"list": "pigmented-lesion"}]},
        [("entry-list-undone", "$.lists_gone_through"), ("entry-unknown-code", "$.views[0].light")],
        {
            "$.views[0]": {"key": "a", "light": "sun"},
            "$.lists_gone_through": [{"list": "pigmented-lesion"}],
        },
    ),
    (
        "a colour in doubt: without it the list of colours would say that it was not there",
        {"description": {"colours": ["red"], "doubtful_colours": ["beige"], "border_segments": 3}},
        [("entry-list-undone", "$.description.colours"), ("entry-unknown-code", "$.description.doubtful_colours[0]")],
        {"$.description.colours": ["red"], "$.description.doubtful_colours": ["beige"]},
    ),
    (
        "a hash of another length: the picture goes",
        {"images": [{"key": "a", "hash": {"algorithm": "sha-1", "value": "0" * 64}}, {"key": "b"}]},
        [("entry-hash-not-allowed", "$.images[0].hash")],
        {"$.images[0]": {"key": "a", "hash": {"algorithm": "sha-1", "value": "0" * 64}}},
    ),
    (
        "other forms of text",
        {
            "images": [
                {"key": "a b"},
                {"key": "b", "address": "picture.jpg"},
                {"key": "c", "media_type": "jpeg"},
                {"key": "d", "dicom_uid": "1.02"},
                {"key": "e", "hash": {"algorithm": "sha-1", "value": "0"}},
            ]
        },
        [
            ("entry-hash-not-allowed", "$.images[4].hash.value"),
            ("entry-key-not-allowed", "$.images[0].key"),
            ("entry-media-type-not-allowed", "$.images[2].media_type"),
            ("entry-uid-not-allowed", "$.images[3].dicom_uid"),
            ("entry-uri-not-allowed", "$.images[1].address"),
        ],
        {
            "$.images[0]": {"key": "a b"},
            "$.images[1]": {"key": "b", "address": "picture.jpg"},
            "$.images[2]": {"key": "c", "media_type": "jpeg"},
            "$.images[3]": {"key": "d", "dicom_uid": "1.02"},
            "$.images[4]": {"key": "e", "hash": {"algorithm": "sha-1", "value": "0"}},
        },
    ),
    (
        "given twice, and thrice",
        {"findings": [FINDING, {**FINDING, "presence": "absent"}, {**FINDING, "place": "central"}, FINDING]},
        [("entry-findings-differ", "$.findings[1]"), ("entry-given-twice", "$.findings[3]")],
        {"$.findings[1]": {**FINDING, "presence": "absent"}, "$.findings[3]": FINDING},
    ),
    (
        "one view in two lights",
        {"views": [VIEW, {**VIEW, "light": "non-polarised"}]},
        [
            ("entry-given-twice", "$.views[1]"),
            ("entry-lights-differ", "$.views[0].light"),
            ("entry-lights-differ", "$.views[1].light"),
        ],
        {"$.views[0].light": "polarised", "$.views[1]": {**VIEW, "light": "non-polarised"}},
    ),
    (
        "positions as entered, over two passes",
        {
            "views": [
                {**VIEW, "light": "bright"},
                VIEW,
                {"key": "x"},
                {**VIEW, "contact": "contact"},
                {**VIEW, "key": "w", "mood": 1},
                {**VIEW, "key": "u"},
                VIEW,
            ]
        },
        [
            ("entry-given-twice", "$.views[3]"),
            ("entry-given-twice", "$.views[6]"),
            ("entry-missing", "$.views[2].light"),
            ("entry-plan-not-known", "$.views[4]"),
            ("entry-unknown-code", "$.views[0].light"),
            ("entry-unknown-field", "$.views[4]"),
        ],
        {
            "$.views[0]": {**VIEW, "light": "bright"},
            "$.views[2]": {"key": "x"},
            "$.views[3]": {**VIEW, "contact": "contact"},
            "$.views[4]": {**VIEW, "key": "w", "mood": 1},
            "$.views[6]": VIEW,
        },
    ),
)


@pytest.mark.parametrize(("extra", "issues", "aside"), [case[1:] for case in CASES], ids=[case[0] for case in CASES])
def test_what_cannot_be_held_is_set_aside_and_the_rest_stands(
    extra: dict[str, Any], issues: list[tuple[str, str]], aside: dict[str, Any]
) -> None:
    given_entry = {**NEEDED, **extra}
    before = copy.deepcopy(given_entry)
    entry = from_entry(given_entry)
    assert told(entry) == issues
    assert dict(entry.set_aside) == aside
    assert given_entry == before, "the entry that was handed in is not changed"
    assert entry.examination is not None
    assert_nothing_lost(given_entry, entry)


PRESENT, UNCERTAIN, ABSENT = ({**FINDING, "presence": one} for one in ("present", "uncertain", "absent"))
HIDDEN = {**FINDING, "presence": "not-assessed", "not_assessed_because": "hidden"}
#: Findings of one structure in any order; the one that is held, and which rules speak.
TWICE: tuple[tuple[list[dict[str, Any]], dict[str, Any] | None, set[str]], ...] = (
    ([PRESENT, UNCERTAIN, HIDDEN, ABSENT], PRESENT, {"entry-findings-differ"}),
    ([UNCERTAIN, HIDDEN, ABSENT], UNCERTAIN, {"entry-findings-differ"}),
    ([HIDDEN, ABSENT], HIDDEN, {"entry-findings-differ"}),
    ([ABSENT, ABSENT], ABSENT, {"entry-given-twice"}),
    # The same code with its system.
    (
        [ABSENT, {**PRESENT, "structure": {"system": code_system(Structure), "code": "network"}}],
        PRESENT,
        {"entry-findings-differ"},
    ),
    # What can't be held itself is graver than «absent», and less grave than anything that can be held.
    ([ABSENT, {**PRESENT, "count": -1}], None, {"entry-findings-differ", "entry-out-of-range"}),
    ([ABSENT, {**FINDING, "presence": "maybe"}], None, {"entry-findings-differ", "entry-unknown-code"}),
    ([UNCERTAIN, {**PRESENT, "count": -1}], UNCERTAIN, {"entry-out-of-range"}),
    ([PRESENT, {**ABSENT, "count": -1}], PRESENT, {"entry-out-of-range"}),
)


@pytest.mark.parametrize(("findings", "held", "rules"), TWICE)
def test_of_two_findings_the_graver_counts_whichever_came_first(
    findings: list[dict[str, Any]], held: dict[str, Any] | None, rules: set[str]
) -> None:
    for order in itertools.permutations(findings):
        given_entry = {**NEEDED, "lists_gone_through": [{"list": "pigmented-lesion"}], "findings": list(order)}
        entry = from_entry(given_entry)
        assert entry.examination is not None
        assert [json.loads(one.model_dump_json(exclude_defaults=True)) for one in entry.examination.findings] == (
            [] if held is None else [held]
        )
        assert {rule for rule, _ in told(entry)} == {*rules, "entry-list-undone"}
        assert len(entry.set_aside) == len(findings) + (held is None)
        found = review(entry.examination)
        assert found.has_errors
        assert found.summary is not Summary.NO_SUSPICIOUS_FEATURE_FOUND
        if all(isinstance(one["structure"], str) for one in order):
            assert_nothing_lost(given_entry, entry)


def test_findings_of_two_places_are_two() -> None:
    entry = from_entry({**NEEDED, "findings": [ABSENT, {**PRESENT, "place": "central"}]})
    assert entry.issues == ()
    assert entry.examination is not None
    assert len(entry.examination.findings) == 2


@pytest.mark.parametrize(
    ("lights", "held"),
    [
        (("polarised", "non-polarised"), "unknown"),
        (("polarised", "unknown"), "unknown"),
        (("polarised", "polarised"), "polarised"),
    ],
)
def test_one_view_in_two_lights_is_in_none_whichever_came_first(lights: tuple[str, str], held: str) -> None:
    for order in itertools.permutations(lights):
        given_entry = {**NEEDED, "views": [{**VIEW, "light": light} for light in order]}
        entry = from_entry(given_entry)
        assert entry.examination is not None
        assert [view.light for view in entry.examination.views] == [held]
        assert ("entry-lights-differ" in {issue.rule for issue in entry.issues}) is (lights[0] != lights[1])
        assert review(entry.examination).has_errors
        assert_nothing_lost(given_entry, entry)


def test_every_rule_on_the_shape_of_an_entry_has_a_case() -> None:
    elsewhere = {
        # The reader's: test_reader.py.
        "entry-not-json",
        "entry-not-utf-8",
        "entry-key-twice",
        "entry-too-large",
        "entry-too-deep",
        "entry-not-a-number",
        # Below.
        "entry-not-an-object",
        # A visit's: test_visit.py.
        "entry-two-patients",
        "entry-visit-differs",
        "entry-list-empty",
        # Below.
        "entry-nothing-held",
        "entry-plan-not-sent",
        # A partly filled visit's: test_visit_entry.py.
        "entry-lesion-not-held",
        "entry-urgency-read",
        "entry-limit-in-words",
        "entry-code-contradicts",
        "entry-step-in-words",
    }
    here = {rule for case in CASES for rule, _ in case[2]}
    # What no JSON can bring about, kept so that a newer pydantic's error is never a traceback.
    assert set(ENTRY_RULES) - here - elsewhere == {"entry-not-held"}
    assert not here & elsewhere


def test_rules_are_written_as_rules_are() -> None:
    for rule in ENTRY_RULES.values():
        assert re.fullmatch("[a-z0-9.-]{1,64}", rule.id)
        assert rule.message.endswith(".")
        # It is for a clinician, wherever it is shown; a command is the command line's to say.
        assert "`" not in rule.message
        assert rule.source


def test_an_issue_names_the_list_and_the_limit() -> None:
    entry = from_entry(
        {**NEEDED, "mode": "x", "note": "x" * 20_001, "lesion": {"longest_mm": 9999}, "recorded": "2026", "images": 1}
    )
    messages = {issue.path: issue.message for issue in entry.issues}
    assert messages == {
        "$.mode": ENTRY_RULES["entry-unknown-code"].message.format(list="mode"),
        "$.note": "The text is longer than 20000 characters.",
        "$.lesion.longest_mm": "The number is outside what is possible (at most 2500).",
        "$.recorded": "Write 2026-03-04T10:30:00+01:00: as precise as it is known.",
        "$.images": "The value is of the wrong kind: a list is expected.",
    }
    assert {issue.severity for issue in entry.issues} == {Severity.ERROR}


MISSING = object()


def set_aside_positions(aside: Mapping[str, Any]) -> dict[str, set[int]]:
    """Return for each list the positions of the items that were set aside, by the path of the list."""
    positions: dict[str, set[int]] = {}
    for path in aside:
        item = re.fullmatch(r"(.*)\[([0-9]+)\]", path, re.DOTALL)
        if item is not None:
            positions.setdefault(item[1], set()).add(int(item[2]))
    return positions


def pairs(value: Any, held: Any, path: Place, gone: dict[str, set[int]]) -> list[tuple[Any, Any, Place]]:
    """Return what lies below a value beside what is held of it; items behind one that was set aside have moved up."""
    if isinstance(value, dict):
        known = held if isinstance(held, dict) else {}
        return [(below, known.get(name, MISSING), (*path, name)) for name, below in value.items()]
    left = iter(held if isinstance(held, list) else ())
    aside = gone.get(path_text(path), set())
    return [
        (below, MISSING if position in aside else next(left, MISSING), (*path, position))
        for position, below in enumerate(value)
    ]


def assert_nothing_lost(entry: dict[str, Any], result: Entry) -> None:
    """Check that each value of an entry is in the examination or was set aside, as written."""
    if result.examination is None:
        assert result.issues
        return
    gone = set_aside_positions(result.set_aside)
    waiting: list[tuple[Any, Any, Place]] = [(entry, json.loads(result.examination.to_json()), ())]
    while waiting:
        value, held, path = waiting.pop()
        if path_text(path) in result.set_aside:
            assert result.set_aside[path_text(path)] == value
        elif isinstance(value, dict | list):
            waiting.extend(pairs(value, held, path, gone))
        elif value is not None:
            assert_same(value, held, path)


def assert_same(value: Any, held: Any, path: Place) -> None:
    if path == ("revision",) and held is MISSING:
        assert value == 1
    elif path[-1:] == ("note",) and isinstance(held, str):
        # What was entered of something else may stand behind it.
        assert f"{held}\n".startswith(f"{value}\n"), f"lost or changed: {path_text(path)}"
    elif isinstance(value, float | int) and not isinstance(value, bool):
        assert held is not MISSING, f"lost: {path_text(path)}"
        assert float(held) == float(value)
    else:
        assert held == value, f"lost or changed: {path_text(path)}"


def test_the_check_for_losses_finds_them() -> None:
    entry = from_entry(USUAL)
    for lost in ({"note": "x"}, {"lesion": {**USUAL["lesion"], "longest_mm": 4.6}}, {"views": [VIEW, VIEW]}):
        with pytest.raises(AssertionError):
            assert_nothing_lost({**USUAL, **lost}, entry)


def test_the_example_of_a_partly_filled_form() -> None:
    text = (EXAMPLES / "entries" / "partly-filled.json").read_text(encoding="utf-8")
    entry = from_entry(text)
    assert told(entry) == [
        ("entry-given-twice", "$.views[2]"),
        ("entry-lights-differ", "$.views[0].light"),
        ("entry-lights-differ", "$.views[2].light"),
        ("entry-missing", "$.findings[1].presence"),
        ("entry-plan-not-known", "$"),
        ("entry-time-not-allowed", "$.plan.safety_net.heard_by"),
        ("entry-unknown-code", "$.description.colours[2]"),
        ("entry-unknown-code", "$.lesion.history.new.answer"),
        ("entry-unknown-code", "$.views[1].light"),
        ("entry-unknown-field", "$"),
        ("entry-wrong-kind", "$.background.age_years"),
        ("entry-wrong-kind", "$.lesion.longest_mm"),
    ]
    assert entry.examination is not None
    assert entry.examination.plan is not None
    assert entry.examination.plan.actions[0].urgency == "urgent"
    assert_nothing_lost(json.loads(text), entry)


def test_text_bytes_and_dict_give_the_same() -> None:
    text = (EXAMPLES / "entries" / "partly-filled.json").read_text(encoding="utf-8")
    by_text, by_bytes, by_dict = from_entry(text), from_entry(text.encode()), from_entry(json.loads(text))
    assert by_text.examination == by_bytes.examination == by_dict.examination
    assert by_text.issues == by_bytes.issues == by_dict.issues
    assert by_text.set_aside == by_bytes.set_aside == by_dict.set_aside


STEP = {"key": "1", "action": "refer-other"}


@pytest.mark.parametrize(
    ("extra", "told_of_it"),
    [
        # Nothing was planned, or what was planned goes out.
        ({}, []),
        ({"plann": None}, []),
        ({"plann": {"actions": [], "note": " "}}, []),
        ({"plan": [{}]}, []),
        ({"plan": {"actions": [{"key": "1"}]}}, []),
        ({"plan": URGENT}, []),
        ({"plan": [URGENT]}, []),
        ({"plan": [[URGENT]]}, []),
        ({"plan": {"actions": {"first": URGENT}}}, []),
        ({"plan": {"actions": [STEP, [URGENT]]}}, []),
        ({"plan": ["excise at once"]}, []),
        ({"plan": [{"note": "watch"}, "excise at once"]}, []),
        ({"plan": "excise at once \x00"}, []),
        ({"plan": {"actions": URGENT}}, []),
        ({"plan": "excise at once"}, []),
        ({"lesion": 7}, []),
        ({"lesion": [{"label": "A"}]}, []),
        # A plan is seen, and none of it can be held.
        ({"plan": 7}, [("entry-plan-not-sent", "$.plan")]),
        ({"plan": [7]}, [("entry-plan-not-sent", "$.plan")]),
        ({"plan": {"note": {"words": "excise at once"}}}, [("entry-plan-not-sent", "$.plan.note")]),
        ({"plan": {"actions": 7}}, [("entry-plan-not-sent", "$.plan.actions")]),
        ({"plan": {"actions": [STEP, 7]}}, [("entry-plan-not-sent", "$.plan.actions[1]")]),
        # Nobody can tell whether it is one.
        ({"plann": {"actions": [URGENT]}}, [("entry-plan-not-known", "$")]),
        ({"plann": "excise at once", "plan": {"actions": [STEP]}}, [("entry-plan-not-known", "$")]),
        ({"lesion": {"plan": {"actions": [URGENT]}}}, [("entry-plan-not-known", "$.lesion")]),
        ({"views": [VIEW, {**VIEW, "key": "w", "plan": URGENT}]}, [("entry-plan-not-known", "$.views[1]")]),
        ({"plan": {**URGENT, "actions": [STEP]}}, [("entry-plan-not-known", "$.plan")]),
        ({"plan": [[URGENT], 7]}, [("entry-plan-not-known", "$.plan")]),
        ({"plan": {"acitons": [URGENT]}}, [("entry-plan-not-known", "$.plan")]),
        ({"plan": {"actions": [{**STEP, "urgencyy": "urgent"}]}}, [("entry-plan-not-known", "$.plan.actions[0]")]),
        ({"plan": [{"note": "watch"}, {"note": "excise at once"}]}, [("entry-plan-not-known", "$.plan")]),
        # What is of another kind isn't looked into, so that its names alone tell.
        ({"lesion": [{"label": "A", "plan": {"actions": [URGENT]}}]}, [("entry-plan-not-known", "$.lesion")]),
        ({"note": {"action": "excise at once"}}, [("entry-plan-not-known", "$.note")]),
    ],
    ids=ascii,
)
def test_a_plan_that_is_set_aside_is_told_and_the_rest_goes_out(
    extra: dict[str, Any], told_of_it: list[tuple[str, str]]
) -> None:
    entry = from_entry({**NEEDED, **extra})
    assert entry.examination is not None
    assert [(one.rule, one.path) for one in entry.issues if one.rule in NOT_SENT] == told_of_it
    found = review(entry.examination)
    assert [(one.rule, one.path) for one in found.issues if one.rule in NOT_SENT] == told_of_it
    assert [one for one in to_fhir(found).outcome()["issue"] if "at once" in json.dumps(one)] == [
        one for one in to_outcome([one for one in found.issues if one.rule in NOT_SENT])["issue"] if told_of_it
    ]


@pytest.mark.parametrize(
    "plan",
    [
        URGENT,
        [URGENT],
        [[URGENT]],
        {"actions": URGENT},
        {"actions": [[URGENT]]},
        {"actions": {"first": URGENT}},
        {"urgency": "urgent"},
        [{"note": "watch"}, URGENT],
    ],
    ids=ascii,
)
def test_an_urgent_step_goes_out_in_whatever_shape_it_came(plan: Any) -> None:
    entry = from_entry({**NEEDED, "plan": plan})
    assert entry.examination is not None
    assert entry.issues
    asked = [one for one in to_fhir(review(entry.examination)).resources if one["resourceType"] == "ServiceRequest"]
    assert [(one["status"], one["priority"]) for one in asked] == [("active", "urgent")]


def test_numbers_that_are_set_aside_from_a_text_keep_their_digits() -> None:
    entry = from_entry(json.dumps({**NEEDED, "weight": "W", "note": 7}).replace('"W"', "70.50"))
    assert str(entry.set_aside["$.weight"]) == "70.50"
    assert entry.set_aside["$.note"] == 7


@pytest.mark.parametrize("missing", NEEDED)
def test_without_a_required_field_there_is_no_examination_and_every_issue(missing: str) -> None:
    given_entry = {name: value for name, value in NEEDED.items() if name != missing}
    whole = {**given_entry, "mode": "x", "views": [VIEW, VIEW], "plan": {"note": ""}}
    entry = from_entry(whole)
    assert entry.examination is None
    assert told(entry) == [
        ("entry-given-twice", "$.views[1]"),
        ("entry-missing", f"$.{missing}"),
        ("entry-nothing-held", "$"),
        ("entry-text-not-allowed", "$.plan.note"),
        ("entry-unknown-code", "$.mode"),
    ]
    assert dict(entry.set_aside) == {"$": whole}


@pytest.mark.parametrize(
    ("field", "value", "rule", "at"),
    [
        ("status", "finished", "entry-unknown-code", "$.status"),
        ("examined", "yesterday", "entry-time-not-allowed", "$.examined"),
        ("patient", "Patient/1", "entry-wrong-kind", "$.patient"),
        ("identifier", {"value": "7"}, "entry-identifier-without-system", "$.identifier"),
        ("identifier", {"system": "urn:x:y"}, "entry-missing", "$.identifier.value"),
        ("identifier", None, "entry-wrong-kind", "$.identifier"),
    ],
)
def test_a_required_field_that_cannot_be_held_is_told_once(field: str, value: Any, rule: str, at: str) -> None:
    entry = from_entry({**NEEDED, field: value})
    assert entry.examination is None
    assert told(entry) == sorted([(rule, at), ("entry-nothing-held", "$")])
    assert dict(entry.set_aside) == {"$": {**NEEDED, field: value}}


@pytest.mark.parametrize("plan", [{"actions": [URGENT]}, {"actions": URGENT}, {"note": "refer"}, "refer", [URGENT]])
def test_a_plan_of_which_nothing_is_sent_is_said(plan: Any) -> None:
    entry = from_entry({**NEEDED, "identifier": None, "plan": plan})
    (issue,) = (one for one in entry.issues if one.rule == "entry-plan-not-sent")
    assert (issue.path, issue.severity) == ("$.plan", Severity.ERROR)
    assert "at once" in issue.message


NOT_SENT = {"entry-plan-not-sent", "entry-plan-not-known"}


@pytest.mark.parametrize(
    ("given_entry", "told_of_it"),
    [
        ({}, []),
        ({"plan": {"note": " "}}, []),
        ({"plan": {"actions": [URGENT]}}, [("entry-plan-not-sent", "$.plan")]),
        ({"plan": {"actions": [URGENT]}, "x": 1}, [("entry-plan-not-sent", "$.plan")]),
        ({"Plan": {"actions": [URGENT]}}, [("entry-plan-not-known", "$")]),
        ({"lesion": {"plan": {"actions": [URGENT]}}}, [("entry-plan-not-known", "$")]),
        ({"lesion": [{"plan": {"actions": [URGENT]}}]}, [("entry-plan-not-known", "$")]),
        ({"lesion": [{"label": "A"}]}, []),
        ({"lesions": [{}, {"plan": {"actions": [URGENT]}}]}, [("entry-plan-not-sent", "$.lesions[1].plan")]),
        ([{"plan": {"actions": [URGENT]}}], [("entry-plan-not-known", "$")]),
    ],
    ids=ascii,
)
def test_where_nothing_is_held_what_is_known_of_the_plan_is_told_once(
    given_entry: Any, told_of_it: list[tuple[str, str]]
) -> None:
    entry = from_entry(given_entry)
    assert entry.examination is None
    assert [(one.rule, one.path) for one in entry.issues if one.rule in NOT_SENT] == told_of_it


@pytest.mark.parametrize(
    ("part", "rule"),
    [
        ({"plan": {"actions": [{**URGENT, "action": "see somebody"}]}}, "entry-step-in-words"),
        ({"plan": {"actions": [{**URGENT, "urgency": "very soon"}]}}, "entry-urgency-read"),
        ({"views": [{**VIEW, "limits": ["a plaster"]}]}, "entry-limit-in-words"),
    ],
)
def test_where_nothing_goes_out_no_issue_says_how_something_does(part: Any, rule: str) -> None:
    held, nothing = from_entry({**NEEDED, **part}), from_entry({**NEEDED, **part, "patient": None})
    assert held.examination is not None
    assert nothing.examination is None
    # What is wrong is said all the same, and where.
    assert rule in {one.rule for one in held.issues}
    assert {one for one in held.issues if one.rule != rule} <= set(nothing.issues)
    assert not any("goes out" in one.message or one.rule == rule for one in nothing.issues)


def test_every_message_that_says_how_something_goes_out_is_tried() -> None:
    assert {one.id for one in ENTRY_RULES.values() if "goes out" in one.message} == {
        "entry-step-in-words",
        "entry-urgency-read",
    }


WITH_URGENT_PLANS = [
    text
    for text in (path.read_text(encoding="utf-8") for path in sorted(EXAMPLES.glob("*.json")))
    if "urgent" in {step.get("urgency") for step in json.loads(text).get("plan", {}).get("actions", ())}
]


@settings(max_examples=300)
@given(st.data())
def test_a_record_that_is_cut_off_sends_its_urgent_step_or_says_that_it_did_not(data: st.DataObject) -> None:
    text = data.draw(st.sampled_from(WITH_URGENT_PLANS)).encode()
    entry = from_entry(text[: data.draw(st.integers(0, len(text)))])
    if entry.examination is None:
        assert sum(one.rule in NOT_SENT for one in entry.issues) == 1
        return
    assert entry.examination.plan is not None
    assert "urgent" in {step.urgency for step in entry.examination.plan.actions}


def test_a_wrong_detail_of_the_patient_does_not_lose_the_patient() -> None:
    patient = {**NEEDED["patient"], "details": {"family": "Sample", "birth_date": "1 May"}, "identifiers": [{}, 7]}
    entry = from_entry({**NEEDED, "patient": patient})
    assert entry.examination is not None
    assert entry.examination.patient.details is not None
    assert entry.examination.patient.details.family == "Sample"
    assert set(entry.set_aside) == {
        "$.patient.details.birth_date",
        "$.patient.identifiers[0]",
        "$.patient.identifiers[1]",
    }


@pytest.mark.parametrize(
    ("given_entry", "rule"),
    [
        ("", "entry-not-json"),
        ("{", "entry-not-json"),
        (b"\xff", "entry-not-utf-8"),
        ('{"a": 1, "a": 2}', "entry-key-twice"),
        ('{"a": NaN}', "entry-not-a-number"),
        ("{}" + " " * MAX_ENTRY, "entry-too-large"),
        ("[" * 100_000, "entry-too-deep"),
        ("null", "entry-not-an-object"),
        ("[]", "entry-not-an-object"),
        ('"text"', "entry-not-an-object"),
        ([], "entry-not-an-object"),
        (None, "entry-not-an-object"),
        (7, "entry-not-an-object"),
        ({1: 2}, "entry-not-an-object"),
        ({"a": [{None: 2}]}, "entry-not-an-object"),
    ],
    ids=lambda value: ascii(value)[:20],
)
def test_what_is_no_entry_at_all_is_set_aside_as_it_came(given_entry: Any, rule: str) -> None:
    entry = from_entry(given_entry)
    assert entry.examination is None
    assert told(entry) == sorted([(rule, "$"), ("entry-plan-not-known", "$")])
    (aside,) = entry.set_aside.values()
    assert aside == given_entry or aside == json.loads(given_entry)


def test_a_dict_that_is_nested_too_deep_or_in_a_ring_is_no_traceback() -> None:
    deep: dict[str, Any] = {}
    for _ in range(100_000):
        deep = {"x": deep}
    ring: dict[str, Any] = dict(NEEDED)
    ring["self"] = ring
    for given_entry in ({**NEEDED, "x": deep}, ring):
        entry = from_entry(given_entry)
        assert told(entry) == [("entry-plan-not-known", "$"), ("entry-too-deep", "$")]
        assert entry.set_aside["$"] is given_entry
    while deep:
        # Taken apart one by one, because the interpreter frees nested dicts by recursion.
        deep = deep["x"]


def test_the_deepest_text_that_is_read_is_set_aside() -> None:
    depth = 900
    text = f'{json.dumps(NEEDED)[:-1]}, "x": {"[" * depth}{"]" * depth}}}'
    entry = from_entry(text)
    assert entry.examination is not None
    assert told(entry) == [("entry-unknown-field", "$")]


def test_other_mappings_and_tuples_are_taken_like_dicts_and_lists() -> None:
    given_entry = MappingProxyType(
        {**NEEDED, "lesion": OrderedDict(label="A", site=7), "views": (VIEW, MappingProxyType({"key": "x"}))}
    )
    entry = from_entry(given_entry)
    assert entry.examination is not None
    assert dict(entry.set_aside) == {"$.lesion.site": 7, "$.views[1]": {"key": "x"}}


def test_many_bad_items_take_few_passes() -> None:
    """Ten thousand items of one kind are set aside in the time of a few, because each pass takes all that it finds."""
    findings = [FINDING] * 10_000
    entry = from_entry({**NEEDED, "findings": findings})
    assert entry.examination is not None
    assert len(entry.examination.findings) == 1
    assert len(entry.issues) == len(entry.set_aside) == 9_999


# --- nothing entered in an issue ---------------------------------------------------------------------------------

MARK = "Zwiebelkuchen"


def marked(value: Any) -> Any:
    """Return a value of the same kind that can't be held and bears the mark, with unknown names that bear it too."""
    if isinstance(value, dict):
        return {**{name: marked(below) for name, below in value.items()}, f"{MARK}-name": MARK}
    if isinstance(value, list):
        return [*(marked(below) for below in value), MARK, {MARK: MARK}]
    return f"{MARK}\x00{value}"


def spoken(error: EntryError | Entry) -> str:
    """Return all that an error or an entry says, but for what was set aside."""
    text = repr(error) if isinstance(error, Entry) else f"{error}{error!r}{error.args!r}"
    return text + "".join(f"{issue!r}{issue}" for issue in error.issues)


@pytest.mark.parametrize("given_entry", [USUAL, LONG], ids=["usual", "long"])
def test_no_entered_value_and_no_foreign_name_gets_into_an_issue(given_entry: dict[str, Any]) -> None:
    entry = from_entry(marked(given_entry))
    assert entry.examination is None
    assert len(entry.issues) > 15
    assert MARK not in spoken(entry)
    with pytest.raises(EntryError) as refused:
        Examination.model_validate(marked(given_entry))
    assert len(refused.value.issues) > 15
    assert MARK not in spoken(refused.value)
    assert refused.value.__cause__ is None
    assert refused.value.__context__ is None, "pydantic's error has the entered values"


@pytest.mark.parametrize("name", ["examiner", "lesion", "views", "findings", "description", "assessment", "plan"])
def test_the_same_where_one_part_is_wrong(name: str) -> None:
    entry = from_entry({**LONG, name: marked(LONG[name])})
    assert entry.examination is not None
    assert entry.issues
    assert MARK not in spoken(entry)
    assert MARK in repr(entry.set_aside)


def test_the_same_for_a_visit_and_for_a_part() -> None:
    record = {name: LONG[name] for name in ("identifier", "status", "views")}
    visit = {"patient": LONG["patient"], "examined": LONG["examined"], "lesions": [marked(record)]}
    with pytest.raises(EntryError) as refused:
        Visit.model_validate(visit)
    assert MARK not in spoken(refused.value)
    codes = [issue for issue in refused.value.issues if issue.rule == "entry-unknown-code"]
    assert {dict(issue.parameters)["list"] for issue in codes} >= {"status", "light"}


def test_the_constructor_is_for_code_and_its_error_shows_no_value_either() -> None:
    with pytest.raises(ValidationError) as refused:
        Examination(**{**LONG, "note": f"{MARK}\x00", "status": MARK})
    assert refused.value.error_count() == 2
    assert MARK not in f"{refused.value}{refused.value!r}"


def test_the_same_for_text_that_is_not_read() -> None:
    for text in (f'{{"{MARK}": 1, "{MARK}": 2}}', f'{{"a": {MARK}}}', f'"{MARK}', MARK):
        assert MARK not in spoken(from_entry(text))


# --- arbitrary JSON ---------------------------------------------------------------------------------------------------


def places(value: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    below = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    return [path, *(found for part, one in below for found in places(one, (*path, part)))]


PLACES = places(LONG)[1:]


def put(entry: Any, path: tuple[Any, ...], value: Any) -> None:
    """Put a value at a path, where the path is still there."""
    for part in path[:-1]:
        if not isinstance(entry, dict | list) or (isinstance(part, int) is not isinstance(entry, list)):
            return
        if (part not in entry) if isinstance(entry, dict) else (part >= len(entry)):
            return
        entry = entry[part]
    named = isinstance(entry, dict) and isinstance(path[-1], str)
    if named or (isinstance(entry, list) and isinstance(path[-1], int) and path[-1] < len(entry)):
        entry[path[-1]] = value


def assert_sound(given_entry: Any) -> None:
    before = copy.deepcopy(given_entry)
    entry = from_entry(given_entry)
    assert given_entry == before
    assert all(issue.rule in ENTRY_RULES and issue.rule != "entry-not-held" for issue in entry.issues)
    assert len(set(entry.issues)) == len(entry.issues)
    # A planned step that lacks something goes out all the same; nothing of it is set aside.
    missing = {"entry-missing", "entry-step-in-words"}.issuperset(issue.rule for issue in entry.issues)
    assert bool(entry.issues) or not entry.set_aside
    assert entry.examination is None or missing or bool(entry.set_aside)
    if isinstance(given_entry, dict):
        assert_nothing_lost(given_entry, entry)
    if entry.examination is not None:
        assert Examination.from_json(entry.examination.to_json()).to_json() == entry.examination.to_json()


@SLOW
@given(JSON)
def test_any_json_is_no_traceback(value: Any) -> None:
    assert_sound(value)


@SLOW
@given(st.lists(st.tuples(st.sampled_from(PLACES), JSON), min_size=1, max_size=6))
def test_any_json_at_any_place_is_no_traceback_and_nothing_is_lost(changes: list[tuple[tuple[Any, ...], Any]]) -> None:
    given_entry = copy.deepcopy(LONG)
    for path, value in changes:
        put(given_entry, path, value)
    assert_sound(given_entry)


@SLOW
@given(st.lists(st.tuples(st.sampled_from([path[:-1] for path in PLACES]), NAMES, JSON), min_size=1, max_size=4))
def test_any_name_beside_the_known_ones_is_no_traceback_and_nothing_is_lost(
    additions: list[tuple[tuple[Any, ...], str, Any]],
) -> None:
    given_entry = copy.deepcopy(LONG)
    for path, name, value in additions:
        put(given_entry, (*path, name), value)
    assert_sound(given_entry)


@SLOW
@given(examinations())
def test_whatever_the_model_writes_is_held_whole(examination: Examination) -> None:
    entry = from_entry(examination.to_json())
    assert entry.issues == ()
    assert entry.examination == examination
    assert read_json(examination.to_json()) == read_json(entry.examination.to_json())


@SLOW
@given(st.text(st.characters(), max_size=30))
def test_a_path_says_which_name_is_meant(name: str) -> None:
    assert path_text(("views", 0, name)).startswith("$.views[0]")
    read = re.fullmatch(r"\$\.views\[0\](?:\.(\w+)|\[(\".*\")\])", path_text(("views", 0, name)), re.DOTALL)
    assert read is not None
    assert (read[1] or json.loads(read[2] or '""')) == name


@pytest.mark.parametrize(
    ("part", "value"),
    [("date", "soon"), ("latest", 7), ("reason", "\u0000"), ("responsible", {"reference": "nobody"}), ("nothing", 1)],
)
def test_an_urgent_action_stays_without_the_part_that_cannot_be_held(part: str, value: object) -> None:
    entry = from_entry({**NEEDED, "plan": {"actions": [{"key": "0"}, {**URGENT, part: value}]}})
    (action,) = actions(entry)
    assert (action["key"], action["action"], action["urgency"]) == ("1", "refer-suspected-cancer", "urgent")
    assert entry.set_aside == {"$.plan.actions[0]": {"key": "0"}, f"$.plan.actions[1].{part}": value}
    assert {issue.severity for issue in entry.issues} == {Severity.ERROR}


def actions(entry: Entry) -> list[dict[str, Any]]:
    """The planned steps that are held, of which each must go out as an active request."""
    assert entry.examination is not None
    assert entry.examination.plan is not None
    sent = to_fhir(review(entry.examination)).bundle("collection").to_dict()["entry"]
    status = [one["resource"]["status"] for one in sent if one["resource"]["resourceType"] == "ServiceRequest"]
    assert status == ["active"] * len(entry.examination.plan.actions)
    held: list[dict[str, Any]] = json.loads(entry.examination.to_json())["plan"]["actions"]
    return held


#: A plan, the steps that go out, what is told of it beside.
DEFECTS: tuple[tuple[Any, list[dict[str, Any]], list[tuple[str, str]]], ...] = (
    (
        {"actions": [{**URGENT, "action": "call the surgeon", "note": "soon"}]},
        [{**URGENT, "action": "other-step", "note": "soon\nStep, as entered: call the surgeon"}],
        [("entry-step-in-words", "$.plan.actions[0].action"), ("entry-unknown-code", "$.plan.actions[0].action")],
    ),
    (
        {"actions": [{**URGENT, "action": {"system": "urn:x:y", "display": "Call\u0000"}}]},
        [{**URGENT, "action": "other-step"}],
        [
            ("entry-missing", "$.plan.actions[0].action.code"),
            ("entry-step-in-words", "$.plan.actions[0].action"),
            ("entry-text-not-allowed", "$.plan.actions[0].action.display"),
        ],
    ),
    (
        {"actions": [{name: value for name, value in URGENT.items() if name != "action"}]},
        [{**URGENT, "action": "other-step"}],
        [("entry-missing", "$.plan.actions[0].action"), ("entry-step-in-words", "$.plan.actions[0].action")],
    ),
    (
        {"actions": [{**URGENT, "key": None}, {**URGENT, "key": ["k", "k"]}, {**URGENT, "key": "a b"}]},
        [
            {**URGENT, "key": "refer-suspected-cancer"},
            {**URGENT, "key": "k"},
            {**URGENT, "key": "refer-suspected-cancer-2"},
        ],
        [
            ("entry-key-not-allowed", "$.plan.actions[2].key"),
            ("entry-wrong-kind", "$.plan.actions[0].key"),
            ("entry-wrong-kind", "$.plan.actions[1].key"),
        ],
    ),
    (
        {"actions": [URGENT, {**URGENT, "action": "excise-complete"}]},
        [URGENT, {**URGENT, "key": "excise-complete", "action": "excise-complete"}],
        [("entry-given-twice", "$.plan.actions[1]")],
    ),
    (
        {"actions": [{**URGENT, "action": ["refer-other", "excise-complete"]}, {**URGENT, "key": "2"}]},
        [
            {**URGENT, "action": "refer-other"},
            {**URGENT, "key": "2"},
            {**URGENT, "key": "excise-complete", "action": "excise-complete"},
        ],
        [("entry-wrong-kind", "$.plan.actions[0].action")],
    ),
    (
        {"actions": ["call the surgeon", {**URGENT, "action": ["refer-other", "and excise"]}]},
        [
            {**URGENT, "action": "refer-other"},
            {"key": "other-step", "action": "other-step", "note": "Step, as entered: call the surgeon"},
            {**URGENT, "key": "other-step-2", "action": "other-step", "note": "Step, as entered: and excise"},
        ],
        [
            ("entry-step-in-words", "$.plan.actions[0].action"),
            ("entry-step-in-words", "$.plan.actions[1].action"),
            ("entry-unknown-code", "$.plan.actions[0].action"),
            ("entry-unknown-code", "$.plan.actions[1].action"),
            ("entry-wrong-kind", "$.plan.actions[0]"),
            ("entry-wrong-kind", "$.plan.actions[1].action"),
        ],
    ),
    ({"actions": URGENT}, [URGENT], [("entry-wrong-kind", "$.plan.actions")]),
    (
        [{"actions": [URGENT]}, {"actions": [{**URGENT, "action": "refer-other"}], "note": "x"}, URGENT],
        [
            URGENT,
            {**URGENT, "key": "refer-other", "action": "refer-other"},
            {**URGENT, "key": "refer-suspected-cancer"},
        ],
        [
            ("entry-given-twice", "$.plan.actions[1]"),
            ("entry-given-twice", "$.plan.actions[2]"),
            ("entry-wrong-kind", "$.plan"),
        ],
    ),
)


@pytest.mark.parametrize(("plan", "steps", "issues"), DEFECTS)
def test_a_defect_of_a_planned_step_withholds_no_request(
    plan: Any, steps: list[dict[str, Any]], issues: list[tuple[str, str]]
) -> None:
    entry = from_entry({**NEEDED, "plan": plan})
    assert actions(entry) == steps
    assert told(entry) == issues
    assert_nothing_lost({**NEEDED, "plan": plan}, entry)


@pytest.mark.parametrize(
    ("urgency", "counts_as", "said"),
    [
        (["immediate", "routine"], "immediate", "immediate, routine"),
        (["routine", "soon"], "soon", "routine, soon"),
        ("Routine", "routine", "Routine"),
        ("STAT", "immediate", "STAT"),
        ("asap", "same-visit", "asap"),
        ("At this visit ", "same-visit", "At this visit"),
        ("URGENT today", "urgent", "URGENT today"),
        ("routine, no: immediate", "immediate", "routine, no: immediate"),
        ("rutine", "urgent", "rutine"),
        (7, "urgent", "7"),
        (True, "urgent", ""),
        ({"code": "stat"}, "immediate", "stat"),
        ({"system": "http://hl7.org/fhir/request-priority", "code": "routine"}, "routine", "routine"),
        ({"code": "routine", "display": "immediate"}, "immediate", "routine, immediate"),
        ({"display": "as soon as you can"}, "urgent", "as soon as you can"),
        ({"valueString": "immediate", "valueCoding": {"code": "routine"}}, "immediate", "immediate, routine"),
    ],
)
def test_an_urgency_that_cannot_be_read_is_never_less_than_was_said(urgency: Any, counts_as: str, said: str) -> None:
    entry = from_entry({**NEEDED, "plan": {"actions": [{**URGENT, "urgency": urgency}]}})
    (action,) = actions(entry)
    assert action["urgency"] == counts_as
    assert action.get("note", "") == (f"Urgency, as entered: {said}" if said else "")
    (issue,) = (one for one in entry.issues if one.rule == "entry-urgency-read")
    assert (issue.severity, issue.path) == (Severity.ERROR, "$.plan.actions[0].urgency")
    assert issue.parameters == (("urgency", counts_as),)
    assert entry.set_aside == {"$.plan.actions[0].urgency": urgency}


@SLOW
@given(
    st.dictionaries(st.sampled_from(["key", "action", "note", "date", "responsible", "mood"]), JSON, max_size=4), JSON
)
def test_whatever_stands_beside_it_an_urgency_goes_out(beside: dict[str, Any], other: Any) -> None:
    given_entry = {**NEEDED, "plan": {"actions": [other, {**URGENT, **beside}, URGENT]}}
    entry = from_entry(given_entry)
    assert [one["urgency"] for one in actions(entry) if one.get("urgency")].count("urgent") >= 2
    assert_nothing_lost(given_entry, entry)


@example({"\ud800": False})
@SLOW
@given(JSON)
def test_whatever_an_urgency_is_it_is_none_or_sent(urgency: Any) -> None:
    entry = from_entry({**NEEDED, "plan": {"actions": [{**URGENT, "urgency": urgency}]}})
    sent = actions(entry)[0].get("urgency")
    assert sent is not None or not says_anything(urgency)


@pytest.mark.parametrize("urgency", ["", [], {}, [None], {"code": " "}])
def test_an_urgency_that_says_nothing_is_set_aside(urgency: Any) -> None:
    entry = from_entry({**NEEDED, "plan": {"actions": [{**URGENT, "urgency": urgency}]}})
    assert "urgency" not in actions(entry)[0]
    assert entry.set_aside == {"$.plan.actions[0].urgency": urgency}


@pytest.mark.parametrize(
    ("limits", "kept", "note"),
    [
        (["hairy"], ["other-limit"], "Limit, as entered: hairy"),
        (["hair", "hairy", 7], ["hair", "other-limit"], "Limit, as entered: hairy, 7"),
        ("hair", ["other-limit"], "Limit, as entered: hair"),
        ([None], ["other-limit"], None),
        ([{"system": "urn:x:y", "code": "1"}, {"code": "2"}], None, "Limit, as entered: 2"),
    ],
)
def test_a_limit_that_cannot_be_read_leaves_a_limited_view(limits: Any, kept: list[str] | None, note: str) -> None:
    entry = from_entry({**USUAL, "views": [{**USUAL["views"][0], "limits": limits}]})
    assert entry.examination is not None
    (view,) = entry.examination.views
    assert view.light == USUAL["views"][0]["light"]
    assert [str(one) for one in view.limits] == kept or (kept is None and view.limits[-1] == "other-limit")
    assert (view.note or "").endswith(note or "")
    assert entry.set_aside == {"$.views[0].limits": limits}
    found = review(entry.examination)
    assert [one for one in Structure if found.answers.of(one).truth is False] == []
    assert found.summary is Summary.NOT_SETTLED


def test_two_limits_that_cannot_be_read_in_one_of_two_views() -> None:
    views = [{**VIEW, "light": "sun"}, {**VIEW, "key": "w", "limits": ["hairy"]}]
    entry = from_entry({**NEEDED, "views": views})
    assert entry.examination is not None
    assert [(one.key, list(one.limits)) for one in entry.examination.views] == [("w", ["other-limit"])]
    assert ("entry-limit-in-words", "$.views[1].limits") in told(entry)


@pytest.mark.parametrize(
    ("extra", "path", "rule", "aside"),
    [
        ({"lesion": {"site": {"code": "toee"}}}, "$.lesion.site", "entry-unknown-code", "$.lesion.site"),
        ({"lesion": {"site": {"table": "colour", "code": "red"}}}, "$.lesion.site", "entry-unknown-code", None),
        (
            {"assessment": {"impressions": [{"key": "1", "impression": {"code": "melanoma-suspectd"}}]}},
            "$.assessment.impressions[0].impression",
            "entry-unknown-code",
            "$.assessment.impressions[0]",
        ),
        (
            {"findings": [{"structure": {"code": "network", "display": "dots, grey"}, "presence": "absent"}]},
            "$.findings[0].structure",
            "entry-unknown-code",
            None,
        ),
    ],
)
def test_a_code_of_ours_that_no_list_has_is_an_error(
    extra: dict[str, Any], path: str, rule: str, aside: str | None
) -> None:
    tables = {"site": "site", "impression": "impression", "structure": "structures"}

    def with_system(value: Any, name: str = "") -> Any:
        if isinstance(value, list):
            return [with_system(one, name) for one in value]
        if not isinstance(value, dict):
            return value
        if "code" in value:
            system = f"https://dermreport.example/fhir/CodeSystem/{value.get('table', tables[name])}"
            return {"system": system, **{key: one for key, one in value.items() if key != "table"}}
        return {key: with_system(one, key) for key, one in value.items()}

    entry = from_entry({**NEEDED, **with_system(extra)})
    assert told(entry) == [(rule, path)]
    assert aside is None or list(entry.set_aside) == [aside]


def test_a_code_whose_words_are_another_codes_is_an_error() -> None:
    system = "https://dermreport.example/fhir/CodeSystem/structure"
    network = {"system": system, "code": "network"}
    for display, rules in (
        (Structure.NETWORK.display, []),
        ("Netzwerk", []),
        (Structure.BLUE_WHITE_VEIL.display.upper(), ["entry-code-contradicts"]),
        ("blue-white-veil", ["entry-code-contradicts"]),
    ):
        entry = from_entry(
            {**NEEDED, "findings": [{"structure": {**network, "display": display}, "presence": "absent"}]}
        )
        assert [issue.rule for issue in entry.issues] == rules


def test_a_revision_that_cannot_be_read_gives_no_examination() -> None:
    # A withdrawal that became revision 1 would be a conditional create, which a server ignores.
    entry = from_entry({**NEEDED, "status": "entered-in-error", "revision": "2"})
    assert entry.examination is None
    assert told(entry) == [("entry-nothing-held", "$"), ("entry-wrong-kind", "$.revision")]
    assert entry.set_aside == {"$": {**NEEDED, "status": "entered-in-error", "revision": "2"}}


@pytest.mark.parametrize(
    "finding",
    [
        {"structure": "blue-white-veil", "presence": "present", "regularity": "whatever", "views": ["v1"]},
        {"structure": "blue-white-veil", "presence": "yes"},
        {"structure": "blue-white-vale", "presence": "present"},
        {"structure": "blue-white-veil", "presence": "present", "mood": "fine"},
        "veil",
    ],
)
def test_a_finding_that_cannot_be_held_never_counts_as_absent(finding: Any) -> None:
    entry = from_entry({**USUAL, "findings": [*USUAL["findings"], finding]})
    assert entry.examination is not None
    result = review(entry.examination)
    veil = result.answers.of(Structure.BLUE_WHITE_VEIL)
    assert (veil.presence, veil.by_list) == (Presence.NOT_ASSESSED, None)
    assert result.has_errors
    assert result.summary is Summary.NOT_SETTLED
    assert set(entry.issues) <= set(result.issues)
    report = to_fhir(result).bundle("collection").to_dict()
    status = [
        one["resource"]["status"] for one in report["entry"] if one["resource"]["resourceType"] == "DiagnosticReport"
    ]
    assert status == ["preliminary"]


@pytest.mark.parametrize(
    "limit", [{"covers": "part", "limits": ["hairy"]}, {"covers": "some"}, {"covers": "part", "limits": [7]}]
)
@pytest.mark.parametrize("keys", [[], ["v"]])
def test_what_was_looked_for_in_views_that_cannot_be_held_never_counts_as_absent(
    keys: list[str], limit: dict[str, Any]
) -> None:
    finding = {"structure": "blue-white-veil", "presence": "absent", "views": keys}
    given_entry = {
        **NEEDED,
        "views": [{"key": "v", "light": "polarised", **limit}],
        "findings": [finding],
        "lists_gone_through": [{"list": "pigmented-lesion", "views": keys}],
        "description": {"colours": ["light-brown"], "border_segments": 0},
    }
    examination = from_entry(given_entry).examination
    assert examination is not None
    found = review(examination).answers
    assert [one for one in Structure if found.of(one).truth is False] == []
    assert set(found.colours.values()) == {True, None}
    assert found.whole_lesion is None


@pytest.mark.parametrize(
    ("name", "value", "undone"),
    [
        ("finding", [{"structure": "blue-white-veil", "presence": "present"}], True),
        ("seen", {"blue": ["blue-white-veil"]}, True),
        ("mood", [{"structure": "fine"}], False),
    ],
)
def test_a_finding_under_a_name_that_is_not_known_undoes_the_lists(name: str, value: Any, *, undone: bool) -> None:
    entry = from_entry({**USUAL, name: value})
    assert ("entry-list-undone" in {issue.rule for issue in entry.issues}) is undone
    assert entry.examination is not None
    veil = review(entry.examination).answers.of(Structure.BLUE_WHITE_VEIL)
    assert (veil.truth is False) is not undone


def test_a_typing_error_in_a_later_revision_withdraws_no_request() -> None:
    first = {**USUAL, "plan": {"actions": [URGENT]}}
    later = {**first, "revision": 2, "status": "amended", "plan": {"actions": [{**URGENT, "action": "Refer"}]}}
    held = from_entry(later).examination
    assert held is not None
    earlier = review(Examination.model_validate(first))
    sent = to_fhir(review(held), earlier=earlier).bundle("transaction").to_dict()["entry"]
    assert [one for one in sent if one["resource"].get("status") == "entered-in-error"] == []
    # The same without the action is meant, and withdraws it.
    meant = Examination.model_validate({**first, "revision": 2, "status": "amended", "plan": None})
    sent = to_fhir(review(meant), earlier=earlier).bundle("transaction").to_dict()["entry"]
    gone = [one["resource"]["resourceType"] for one in sent if one["resource"].get("status") == "entered-in-error"]
    assert gone == ["ServiceRequest"]


def test_what_is_held_forgets_its_issues_only_when_it_is_entered_anew() -> None:
    entry = from_entry({**USUAL, "mood": "fine"})
    assert entry.examination is not None
    assert entry.examination.not_held == entry.issues
    assert entry.examination.model_copy().not_held == entry.issues
    assert Examination.from_json(entry.examination.to_json()).not_held == ()


def test_a_part_is_frozen_and_its_text_shows_nothing_entered() -> None:
    examination = Examination.model_validate(marked_patient := {**USUAL, "patient": {"reference": f"Patient/{MARK}"}})
    assert marked_patient["patient"]["reference"] == examination.patient.reference
    for shown in (repr(examination), str(examination), repr(review(examination)), repr(examination.patient)):
        assert MARK not in shown
    with pytest.raises(TypeError, match="frozen") as refused:
        examination.status = MARK  # type: ignore[misc, assignment]
    assert MARK not in str(refused.value)


@pytest.mark.parametrize(
    ("part", "item"),
    [
        ("findings", {}),
        ("views", {}),
        ("plan", {}),
        ("plan", {"action": "x"}),
        ("plan", {"key": "1", "action": "refer-other"}),
    ],
)
def test_thousands_of_items_that_cannot_be_held_are_no_hang(part: str, item: Any) -> None:
    # Each item that was looked for among all others took minutes; now the test ends soon.
    count = 20_000
    items = [dict(item) for _ in range(count)]
    entry = {
        "identifier": {"system": "urn:x", "value": "1"},
        "status": "final",
        "patient": {"reference": "Patient/1"},
        "examined": "2026-01-01",
        part: {"actions": items} if part == "plan" else items,
    }
    held = from_entry(entry)
    assert held.examination is not None
    assert len(held.issues) >= count - 1
    if "action" in item:
        assert held.examination.plan is not None
        keys = [one.key for one in held.examination.plan.actions]
        assert len(set(keys)) == len(keys) == count
