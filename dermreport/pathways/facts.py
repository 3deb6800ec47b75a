"""What a pathway's conditions ask by name: warning signs, verdicts, and conditions that the rules share.

The rules own all of it; here it only gets the names that a file uses.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import cache
from itertools import combinations
from typing import TYPE_CHECKING, Any

from dermreport.expressions.evaluate import Scope, Truth
from dermreport.expressions.nodes import Expression, Fact, Not, every
from dermreport.rules.conditions import (
    ADULT,
    CANCER_FOUND,
    CANCER_NAMED,
    CLEARED_BY_HISTOLOGY,
    CONCERN_BENIGN,
    DOUBTFUL,
    FIRM,
    HISTOLOGY_KNOWN,
    MELANOMA_POSSIBLE,
    RAISED,
    SCORE_CALLS,
    SCORE_IN_DOUBT,
    SURE_HARMLESS_NAME,
    SUSPICIOUS,
    UNEQUIVOCALLY_OTHER,
)
from dermreport.rules.engine import deciding
from dermreport.rules.facts import FACTS
from dermreport.rules.facts_plans import reached_without_reason
from dermreport.rules.facts_scores import MELANOMA_CHECKLISTS, MELANOMA_DERMATOSCOPY
from dermreport.rules.red_flags import SIGNS
from dermreport.scores.methods import METHODS
from dermreport.vocabulary.score_methods import ScoreMethod
from dermreport.vocabulary.summaries import Summary
from dermreport.vocabulary.verdicts import Verdict

if TYPE_CHECKING:
    from dermreport.scores.engine import ScoreResult

#: Conditions of the rules by the word that a file uses. Each is true or not; none is ever open.
WORDS: Mapping[str, Expression] = {
    "adult": ADULT,
    "baseline-picture": Fact("baseline-image"),
    "cancer-found": CANCER_FOUND,
    "cancer-named": CANCER_NAMED,
    "cleared-by-histology": CLEARED_BY_HISTOLOGY,
    "doubtful": DOUBTFUL,
    "firm": FIRM,
    "histology-known": HISTOLOGY_KNOWN,
    "judged-harmless": CONCERN_BENIGN,
    "melanoma-checklist-at-threshold": every(Fact("melanoma.checklist"), Not(UNEQUIVOCALLY_OTHER)),
    "melanoma-dermatoscopy-at-threshold": every(Fact("melanoma.dermatoscopy"), Not(UNEQUIVOCALLY_OTHER)),
    "melanoma-possible": MELANOMA_POSSIBLE,
    "no-suspicious-feature-found": Fact("summary.no-suspicious-feature-found"),
    "not-settled": Fact("summary.not-settled"),
    "raised": RAISED,
    "score-at-threshold": SCORE_CALLS,
    "score-in-doubt": SCORE_IN_DOUBT,
    "sure-harmless-name": SURE_HARMLESS_NAME,
    "suspicious": SUSPICIOUS,
    "unequivocally-other": UNEQUIVOCALLY_OTHER,
}

#: Verdicts that a condition can ask of a score that has a number.
SIDES = (Verdict.BELOW_THRESHOLD, Verdict.BETWEEN_THRESHOLDS, Verdict.ABOVE_THRESHOLD)

_SIGN, _WORD, _VERDICT, _SUMMARY = "sign.", "is.", "verdict.", "summary."
_Function = Callable[[Scope, Any], Truth]


def sign(rule: str) -> Fact:
    """Return the condition that a warning sign is there, by the id of its rule."""
    return Fact(f"{_SIGN}{rule}")


#: A warning sign of a plugin that no departure answers.
SIGN_OF_PLUGINS = sign("of-plugins")


def word(name: str) -> Fact:
    """Return a condition of the rules by its word."""
    return Fact(f"{_WORD}{name}")


def verdict(method: ScoreMethod, sides: frozenset[Verdict]) -> Fact:
    """Return the condition that a score's verdict is one of these; open where its open inputs decide."""
    return Fact(_verdict_name(method, sides))


def is_sign(fact: Fact) -> bool:
    """Whether a condition asks for a warning sign."""
    return fact.name.startswith(_SIGN)


def _verdict_name(method: ScoreMethod, sides: frozenset[Verdict]) -> str:
    return f"{_VERDICT}{method.value}.{'.'.join(side.value for side in SIDES if side in sides)}"


def _surely(condition: Expression) -> _Function:
    """Return the function that tells whether a condition holds, decided once a scope: none of these asks an item."""
    surely = deciding().surely(condition)

    def once(scope: Scope, _item: object) -> Truth:
        known = scope.known
        if once not in known:
            known[once] = surely(scope, None)
        return known[once]

    return once


def _verdict(method: ScoreMethod, sides: frozenset[Verdict]) -> _Function:
    def settled(scope: Scope, _item: object) -> Truth:
        result: ScoreResult | None = scope.context.scores.get(method.value)
        if result is None or not result.valid:
            return False
        possible = frozenset(result.possible)
        if possible <= sides:
            return True
        return None if possible & sides else False

    return settled


def _summary(summary: Summary) -> _Function:
    """Return the function that tells whether this is the word on the whole, so that no step contradicts it."""
    return lambda scope, _item: scope.context.summary is summary


@cache
def facts() -> Mapping[str, _Function]:
    """Return the facts of the rules, and those of pathways."""
    subsets = [frozenset(some) for size in range(1, len(SIDES)) for some in combinations(SIDES, size)]
    return {
        **FACTS,
        **{sign(rule).name: _surely(condition) for rule, condition in SIGNS.items()},
        SIGN_OF_PLUGINS.name: lambda scope, _item: scope.context.signs_of_plugins,
        "melanoma.checklist": lambda scope, _item: reached_without_reason(scope, MELANOMA_CHECKLISTS),
        "melanoma.dermatoscopy": lambda scope, _item: reached_without_reason(scope, MELANOMA_DERMATOSCOPY),
        **{f"{_SUMMARY}{summary.value}": _summary(summary) for summary in Summary},
        **{word(name).name: _surely(condition) for name, condition in WORDS.items()},
        **{_verdict_name(method.code, sides): _verdict(method.code, sides) for method in METHODS for sides in subsets},
    }
