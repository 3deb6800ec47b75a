"""The rules on their cases: tests/rules/<group>.json, each a change of the ordinary good record in base.json.

A case is ``{"rule", "name", "set", "fires", "path"}``: ``set`` maps dotted paths to values (``null`` takes a field
out, a position past the end appends, ``settings.now`` sets the host's time,
``settings.identifier_systems`` its systems); ``path`` is where a firing rule points.
Both sides of each boundary and the open side are cases of their own.
"""

from __future__ import annotations

import copy
import json
import re
from collections import Counter
from decimal import Decimal
from pathlib import Path
from typing import Any, get_args

import pytest
from hypothesis import HealthCheck, given, settings
from strategies import full_examinations, usual_examinations

from dermreport.examination.base import Model
from dermreport.examination.model import Examination
from dermreport.examination.types import KEY_PATTERN, TEXT_PATTERN
from dermreport.expressions.evaluate import Scope, evaluator, getter, surely_not
from dermreport.expressions.nodes import Exists, Expression, Fact, Found, leaves
from dermreport.issues import Issue, Severity
from dermreport.reviews import Review, review
from dermreport.rules.facts import FACTS, Context
from dermreport.rules.rule import Group
from dermreport.rules.tables import RULES
from dermreport.settings import IdentifierSystems, Settings

FOLDER = Path(__file__).parent / "rules"
CASES = [
    case
    for path in sorted(FOLDER.glob("*.json"))
    if path.name != "base.json"
    for case in json.loads(path.read_text(encoding="utf-8"), parse_float=Decimal)
]


def base() -> dict[str, Any]:
    """Return a new copy of the ordinary good record."""
    record: dict[str, Any] = json.loads((FOLDER / "base.json").read_text(encoding="utf-8"), parse_float=Decimal)
    return record


def changed(record: dict[str, Any], edits: dict[str, Any]) -> dict[str, Any]:
    """Return a copy of a record with values set at dotted paths; what is missing on the way is made."""
    record = copy.deepcopy(record)
    for path, value in edits.items():
        *way, last = path.split(".")
        here: Any = record
        for name, following in zip(way, [*way, last][1:], strict=True):
            empty: Any = [] if following.isdigit() else {}
            if name.isdigit():
                if int(name) == len(here):
                    here.append(empty)
                here = here[int(name)]
            else:
                here = here.setdefault(name, empty)
        if value is None:
            here.pop(int(last) if last.isdigit() else last, None)
        elif last.isdigit() and int(last) == len(here):
            here.append(copy.deepcopy(value))
        else:
            here[int(last) if last.isdigit() else last] = copy.deepcopy(value)
    return record


def reviewed(edits: dict[str, Any]) -> Review:
    """Return the review of the ordinary good record with these changes."""
    edits = dict(edits)
    now, systems = edits.pop("settings.now", None), edits.pop("settings.identifier_systems", None)
    settings = Settings(now=now, identifier_systems=IdentifierSystems(**systems) if systems is not None else None)
    return review(Examination.model_validate(changed(base(), edits)), settings)


def issues_of(rule: str, found: Review) -> list[Issue]:
    """Return the issues of one rule."""
    return [issue for issue in found.issues if issue.rule == rule]


@pytest.mark.parametrize("case", CASES, ids=lambda case: f"{case['rule']}: {case['name']}")
def test_case(case: dict[str, Any]) -> None:
    found = issues_of(case["rule"], reviewed(case["set"]))
    if not case["fires"]:
        assert found == []
        return
    assert case["path"] in [issue.path for issue in found]
    for issue in found:
        assert issue.message
        assert "{" not in issue.message
        assert all(text not in {"", "?"} for _, text in issue.parameters)
        assert issue.source


def test_a_case_names_a_rule_and_says_no_more_than_a_case_does() -> None:
    ids = {rule.id for rule in RULES}
    for case in CASES:
        assert case["rule"] in ids, case
        assert case.keys() == {"rule", "name", "set", "fires"} | ({"path"} if case["fires"] else set()), case
    names = [(case["rule"], case["name"]) for case in CASES]
    assert len(names) == len(set(names))


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.id)
def test_every_rule_has_a_case_that_fires_and_one_that_does_not(rule) -> None:
    assert {case["fires"] for case in CASES if case["rule"] == rule.id} == {True, False}


def test_the_ordinary_good_record_passes_without_error_and_with_at_most_three_warnings() -> None:
    found = reviewed({})
    assert [issue for issue in found.issues if issue.severity is Severity.ERROR] == []
    warnings = [issue.rule for issue in found.issues if issue.severity is Severity.WARNING]
    assert len(warnings) <= 3, warnings


# --- the tables -------------------------------------------------------------------------------------------------


def test_rule_ids_are_unique() -> None:
    assert len({rule.id for rule in RULES}) == len(RULES)


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.id)
def test_a_rule_is_well_formed(rule) -> None:
    assert re.fullmatch(r"[a-z0-9.-]{1,64}", rule.id)
    assert re.fullmatch(r"H\d\d", rule.hazard)
    assert (rule.group is Group.RED_FLAG) is rule.id.startswith("flag-")
    assert rule.basis.text
    assert {name for name, _ in rule.shown} == set(re.findall(r"{(\w+)}", rule.message))


def _inside(expression: Expression) -> list[Expression]:
    """Return every leaf of an expression, those inside a condition on items included."""
    found: list[Expression] = []
    for leaf in leaves(expression):
        found.append(leaf)
        if isinstance(leaf, Exists | Found):
            found.extend(_inside(leaf.where))
    return found


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.id)
def test_every_fact_that_a_rule_asks_exists(rule) -> None:
    asked = {leaf.name for leaf in _inside(rule.when) if isinstance(leaf, Fact)}
    assert asked <= FACTS.keys()


def test_every_fact_says_what_it_is() -> None:
    assert [name for name, fact in FACTS.items() if not fact.__doc__] == []


def _parts(annotation: Any) -> list[type[Model]]:
    if isinstance(annotation, type):
        return [annotation] if issubclass(annotation, Model) else []
    return [part for argument in get_args(annotation) for part in _parts(argument)]


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.id)
def test_a_rule_points_to_a_field_of_the_entry(rule) -> None:
    models: list[type[Model]] = [Examination]
    for name in [part for path in (rule.each, rule.at) for part in path.split(".") if part]:
        fields = [model.model_fields[name] for model in models if name in model.model_fields]
        assert fields, name
        models = [part for field in fields for part in _parts(field.annotation)]


# --- what holds for all rules -----------------------------------------------------------------------------------

#: What nobody may say of a score or of a lesion whose scores are low.
FORBIDDEN = re.compile(
    r"\b(benign|normal|negative|all[- ]clear|low risk|no risk|excludes? (?:melanoma|cancer)|you have|diagnosis is)\b",
    re.IGNORECASE,
)


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.id)
def test_no_message_calls_a_lesion_or_a_score_harmless(rule) -> None:
    assert FORBIDDEN.search(rule.message) is None


MARKER = "Zzyzx-4711"


def _text_fields(annotation: Any, metadata: tuple[Any, ...] = ()) -> str | None:
    """Return the pattern of the text that an annotation takes, ``None`` where it takes no free text or key."""
    for one in (*metadata, *getattr(annotation, "__metadata__", ())):
        pattern = (getattr(one, "json_schema", None) or {}).get("pattern")
        if pattern:
            return str(pattern)
    for argument in get_args(annotation):
        pattern = _text_fields(argument)
        if pattern:
            return pattern
    return None


def _planted(model: Model) -> dict[str, Any]:
    """Return a part of an entry with the marker in every free text and in every key."""
    values: dict[str, Any] = {}
    for name, field in type(model).model_fields.items():
        value = getattr(model, name)
        if value is None or value == ():
            continue
        pattern = _text_fields(field.annotation, tuple(field.metadata))
        values[name] = _plant(value, pattern)
    return values


def _plant(value: Any, pattern: str | None) -> Any:
    if isinstance(value, Model):
        return _planted(value)
    if isinstance(value, tuple):
        return [_plant(one, pattern) for one in value]
    if type(value) is str and pattern == TEXT_PATTERN:
        return MARKER
    if type(value) is str and pattern == KEY_PATTERN:
        return f"{MARKER}.{value}"[:64]
    return value


@settings(max_examples=25, suppress_health_check=list(HealthCheck))
@given(full_examinations())
def test_no_issue_holds_a_text_or_key_of_the_entry(examination: Examination) -> None:
    planted = _planted(examination)
    planted["identifier"] = {"system": "https://host.example/ids", "value": MARKER}
    found = review(Examination.model_validate(planted))
    assert MARKER in json.dumps(planted, default=str)
    for issue in found.issues:
        assert MARKER not in "".join((str(issue), issue.source, issue.hazard, *map(str, issue.parameters)))


@settings(max_examples=40, suppress_health_check=list(HealthCheck))
@given(usual_examinations())
def test_a_rule_fires_where_its_condition_is_true_and_not_open(examination: Examination) -> None:
    found = review(examination)
    scope = Scope(found.answers, FACTS, Context(found.scores, found.settings))
    fired = Counter(issue.rule for issue in found.issues)
    for rule in RULES:
        items = getter(rule.each)(scope, None) or () if rule.each else (None,)
        truths = [evaluator(rule.when)(scope, item) for item in items]
        assert fired[rule.id] == truths.count(True)
        assert [surely_not(rule.when)(scope, item) for item in items] == [truth is False for truth in truths]


@settings(max_examples=60, suppress_health_check=list(HealthCheck))
@given(usual_examinations())
def test_any_valid_entry_is_reviewed(examination: Examination) -> None:
    found = review(examination)
    assert found.examination is examination
    assert all(re.fullmatch(r"\$(\.[a-z_]+(\[\d+\])?)*", issue.path) for issue in found.issues)
