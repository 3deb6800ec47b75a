"""The hazard table: every hazard has a control that exists, and every control has its hazard."""

from __future__ import annotations

import ast
import re
from dataclasses import fields
from functools import cache
from pathlib import Path

import pytest

from dermreport.hazards import HAZARDS, Harm, Hazard
from dermreport.issues import IssueRule
from dermreport.over_time.rules import FINDINGS, REFUSALS
from dermreport.pathways.issue_rules import PATHWAY_RULES
from dermreport.plugins.issue_rules import PLUGIN_RULES
from dermreport.rules.tables import RULES

ROOT = Path(__file__).parent.parent
FORM = re.compile(r"tests/[a-z0-9_/]+\.py(::test_[a-z0-9_]+)?")


@cache
def _tests_in(file: str) -> frozenset[str]:
    """Return the names of the tests in a file, read from its text: nothing is imported."""
    tree = ast.parse((ROOT / file).read_text(encoding="utf-8"))
    functions = (node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef))
    return frozenset(node.name for node in functions if node.name.startswith("test_"))


def test_the_table_holds_each_hazard_once_in_order() -> None:
    ids = [hazard.id for hazard in HAZARDS]
    assert ids == [f"H{number:02}" for number in range(1, len(ids) + 1)]
    assert len({hazard.hazard for hazard in HAZARDS}) == len(HAZARDS)


@pytest.mark.parametrize("hazard", HAZARDS, ids=lambda hazard: hazard.id)
def test_a_hazard_says_what_how_and_what_controls_it(hazard: Hazard) -> None:
    for text in (hazard.hazard, hazard.causes, hazard.effects, hazard.controls):
        assert text.strip().endswith(".")
    assert hazard.open == "" or hazard.open.endswith(".")


@pytest.mark.parametrize("hazard", HAZARDS, ids=lambda hazard: hazard.id)
def test_a_hazard_says_how_grave_it_is_and_why_and_never_how_likely(hazard: Hazard) -> None:
    assert isinstance(hazard.severity, Harm)
    assert hazard.severity_because.endswith(".")
    # What can kill is never proposed as less.
    assert hazard.severity in {Harm.MAJOR, Harm.CATASTROPHIC} or "kill" not in hazard.severity_because
    # What only whoever deploys can decide has no column that somebody could fill in here.
    assert {one.name for one in fields(Hazard)} & {"likelihood", "risk", "residual", "accepted", "owner"} == set()


def test_every_hazard_has_a_rule_or_a_test() -> None:
    assert [hazard.id for hazard in HAZARDS if not hazard.rules and not hazard.tests] == []


@pytest.mark.parametrize("hazard", HAZARDS, ids=lambda hazard: hazard.id)
def test_every_test_that_a_hazard_names_exists(hazard: Hazard) -> None:
    assert len(set(hazard.tests)) == len(hazard.tests)
    for name in hazard.tests:
        assert FORM.fullmatch(name), name
        file, _, test = name.partition("::")
        assert (ROOT / file).is_file(), name
        assert _tests_in(file), name
        assert not test or test in _tests_in(file), name


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.id)
def test_every_rule_controls_a_hazard_of_the_table(rule) -> None:
    (hazard,) = (hazard for hazard in HAZARDS if hazard.id == rule.hazard)
    assert rule.id in hazard.rules


def test_every_rule_stands_in_exactly_one_row() -> None:
    listed = [rule for hazard in HAZARDS for rule in hazard.rules]
    assert sorted(listed) == sorted((*(rule.id for rule in RULES), *PATHWAY_RULES, *(rule.id for rule in PLUGIN_RULES)))


@pytest.mark.parametrize("rule", [*REFUSALS, *FINDINGS], ids=lambda rule: rule.id)
def test_every_rule_of_a_series_has_a_hazard_of_the_table(rule: IssueRule) -> None:
    assert rule.hazard in {hazard.id for hazard in HAZARDS}
