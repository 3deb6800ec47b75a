"""Constraints and calculated scores say what the library says, in engines that share no line.

HAPI's engine (Java) and npm ``fhirpath`` (JavaScript) are asked everything: all examples, all 810 totals, 500 random
examinations. ``fhirpathpy`` is the third for a part of them: it is slow, and the unit tests ask it the rest.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from decimal import Decimal
from itertools import product
from typing import Any

import form_scores
import pytest
from conformance import paths, random_examinations
from conformance.constraint_checks import by_engine, by_review, settled
from conformance.example_bundles import EXAMPLES, RELEASES, reviews_of

import dermreport
from dermreport.examination.model import Examination
from dermreport.form.scores import link_id, score_expressions
from dermreport.scores.methods import BY_CODE
from dermreport.settings import Settings
from dermreport.vocabulary.score_methods import ScoreMethod

FAST = ("java", "javascript")
#: So many random examinations are asked of the slow engine.
FEW = 10


# --- constraints


def _agree(engines: Sequence[str], release: str, reviews: Sequence[dermreport.Review]) -> None:
    """Check that each engine finds broken exactly the constraints whose rules the reviews name."""
    bundles = [settled(dermreport.to_fhir(one, release=release).bundle("collection").to_dict()) for one in reviews]
    expected = [by_review(one, release) for one in reviews]
    for name, found in zip(engines, _at_once(by_engine, engines, release, bundles), strict=True):
        wrong = [
            (name, number, broken ^ wanted)
            for number, (broken, wanted) in enumerate(
                zip(({one.rule for one in each} for each in found), expected, strict=True)
            )
            if broken != wanted
        ]
        assert wrong == []


def _at_once(ask: Any, engines: Sequence[str], *given: Any) -> list[Any]:
    """Ask several engines at the same time, each in its own process."""
    with ThreadPoolExecutor(len(engines)) as pool:
        return list(pool.map(lambda name: ask(name, *given), engines))


def _examples() -> list[dermreport.Review]:
    return [review for path in EXAMPLES for review in reviews_of(path, Settings(claim_profiles=True))]


@pytest.mark.parametrize("release", RELEASES)
def test_constraints_on_every_example(release: str) -> None:
    _agree(FAST, release, _examples())


def test_constraints_on_random_examinations() -> None:
    _agree(FAST, "R4", random_examinations.reviews())


def test_constraints_in_the_third_engine() -> None:
    flawed = next(path for path in EXAMPLES if path.stem.startswith("flawed"))
    _agree(["python"], "R5", [*reviews_of(flawed, Settings(claim_profiles=True)), random_examinations.reviews()[0]])


# --- calculated scores


def _scores(
    engines: Sequence[str], release: str, examinations: Sequence[Examination], items: Sequence[str]
) -> list[list[dict[str, list[Any]]]]:
    """Return for each engine and examination what the form's calculated items say."""
    expressions = [score_expressions().items[item] for item in items]
    variables = [(one.name, one.expression) for one in form_scores.needed(expressions)]
    cases = [
        paths.Case(dermreport.to_response(one, release=release), tuple(expressions), tuple(variables))
        for one in examinations
    ]
    answers = _at_once(paths.evaluate_all, engines, release, cases)
    return [[dict(zip(items, values, strict=True)) for values in of_engine] for of_engine in answers]


def _same_scores(engines: Sequence[str], release: str, examinations: Sequence[Examination]) -> None:
    items = tuple(score_expressions().items)
    expected = [form_scores.expected(one) for one in examinations]
    for name, found in zip(engines, _scores(engines, release, examinations, items), strict=True):
        wrong = [(name, number) for number, one in enumerate(found) if one != expected[number]]
        assert wrong == []


def _random() -> list[Examination]:
    """Return 500: half drawn from the whole model, half aimed at what scores look at."""
    half = random_examinations.NUMBER // 2
    aimed = (form_scores.aimed(random.Random(seed)) for seed in range(half))  # noqa: S311 - no secrets
    return [*random_examinations.examinations()[:half], *aimed]


@pytest.mark.parametrize("release", RELEASES)
def test_scores_of_every_example(release: str) -> None:
    _same_scores(FAST, release, [one.examination for one in _examples()])


def test_scores_of_random_examinations() -> None:
    _same_scores(FAST, "R4", _random())


def test_scores_in_the_third_engine() -> None:
    _same_scores(["python"], "R4", _random()[-FEW:])


def test_each_of_the_810_totals() -> None:
    # Weights and thresholds of Nachbar 1994, doi:10.1016/s0190-9622(94)70061-3; 810 combinations: Tas 2019,
    # doi:10.5812/jssc.102138 (abstract read).
    method = BY_CODE[ScoreMethod.TOTAL_DERMOSCOPY_SCORE]
    items = [link_id(method, ending) for ending in ("low", "high", "verdict")]
    parts = list(product(*form_scores.PARTS_OF_TOTAL.values()))
    assert len(parts) == 810
    expected = []
    for asymmetry, border, colours, structures in parts:
        tenths = 13 * asymmetry + border + 5 * colours + 5 * structures
        total = Decimal(tenths) / 10
        expected.append(dict(zip(items, ([total], [total], [method.verdict(tenths).display]), strict=True)))
    for found in _scores(FAST, "R4", [form_scores.with_total(*one) for one in parts], items):
        assert found == expected
