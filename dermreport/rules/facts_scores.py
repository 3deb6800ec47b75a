"""Derived facts about the scores of an examination.

A score has a verdict only after its inputs were enumerated, which the condition language can't say. Each fact here
is a statement on the finished results, so it is True or False and never open.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import TYPE_CHECKING, Any

from dermreport.scores.methods import CHECKLISTS
from dermreport.vocabulary.score_methods import ScoreMethod
from dermreport.vocabulary.verdicts import Verdict

if TYPE_CHECKING:
    from dermreport.expressions.evaluate import Scope
    from dermreport.scores.engine import ScoreResult


def _valid(scope: Scope) -> tuple[ScoreResult, ...]:
    """Return the scores that give a number or an interval here."""
    return tuple(result for result in scope.context.scores.values() if result.valid)


def reached(result: ScoreResult) -> bool:
    """Return whether a valid score is at or above its threshold however its open inputs turn out."""
    return Verdict.BELOW_THRESHOLD not in result.possible


def below(result: ScoreResult) -> bool:
    """Return whether a valid score is below its threshold however its open inputs turn out."""
    return result.possible == (Verdict.BELOW_THRESHOLD,)


def _crosses(result: ScoreResult) -> bool:
    """Return whether open inputs decide if the score reaches its threshold."""
    return not reached(result) and not below(result)


def _used(scope: Scope) -> frozenset[object]:
    """Return the methods that the clinician says were used."""
    assessment = scope.answers.examination.assessment
    return frozenset(assessment.methods_used) if assessment is not None else frozenset()


def score_reached(scope: Scope, _item: object) -> bool:
    """Some score is at or above its threshold however its open inputs turn out."""
    return any(reached(result) for result in _valid(scope))


#: The methods for which the vocabulary has lists that ask for everything.
CHECKLIST_CODES = frozenset(method.code for method in CHECKLISTS)


def waited_for(result: ScoreResult, scope: Scope) -> bool:
    """Return whether a method left open leaves the lesion open: a checklist, or one that the clinician used.

    Any other method can call for action, but that nobody looked for all that it asks says nothing by itself.
    """
    return result.method.code in CHECKLIST_CODES or result.method.code in _used(scope)


def score_unsettled(scope: Scope, _item: object) -> bool:
    """Open inputs decide whether a checklist, or a method that the clinician used, reaches its threshold."""
    return any(_crosses(result) and waited_for(result, scope) for result in _valid(scope))


def used_score_unsettled(scope: Scope, _item: object) -> bool:
    """Open inputs decide whether a score that the clinician names as used reaches its threshold."""
    used = _used(scope)
    return any(result.method.code in used and _crosses(result) for result in _valid(scope))


def every_score_below(scope: Scope, _item: object) -> bool:
    """Some score that is waited for is valid, each of these is surely below its threshold, and no other one reaches it.

    That nobody looked for all that a further method asks takes nothing from a low total.
    """
    valid = _valid(scope)
    counted = [result for result in valid if waited_for(result, scope)]
    return bool(counted) and all(below(result) for result in counted) and not any(reached(result) for result in valid)


def disagree(results: Iterable[ScoreResult]) -> bool:
    """Return whether some valid method is at or above its threshold and another, that could say so, below."""
    settled = [result for result in results if result.valid and not _crosses(result)]
    return any(reached(result) for result in settled) and any(
        below(result) and not result.method.only_rules_in for result in settled
    )


_SEVERAL = 2
_SEVEN_POINT_CHECKLISTS = (ScoreMethod.SEVEN_POINT, ScoreMethod.SEVEN_POINT_REVISED)
#: Methods with two published forms, another threshold or order. The first stands for both where methods are counted.
TWO_FORMS = (
    (ScoreMethod.SEVEN_POINT, ScoreMethod.SEVEN_POINT_REVISED),
    (ScoreMethod.ACRAL_THREE_STEP, ScoreMethod.ACRAL_THREE_STEP_ORIGINAL),
)
SECOND_FORMS = frozenset(second for _, second in TWO_FORMS)


#: Checklists for melanoma; a threshold that only stands beside another one of the same checklist isn't among them.
MELANOMA_CHECKLISTS = CHECKLIST_CODES - SECOND_FORMS
#: Those that basal cell carcinoma doesn't reach by what it is: growth, size and crusts are its own signs too, and the
#: three-point checklist was made to find it.
MELANOMA_DERMATOSCOPY = MELANOMA_CHECKLISTS - {ScoreMethod.WEIGHTED_SEVEN_POINT, ScoreMethod.THREE_POINT}


def several_scores_reached(scope: Scope, _item: object) -> bool:
    """At least two methods are at or above their thresholds; one with two published forms counts once."""
    found = (result for result in _valid(scope) if result.method.code not in SECOND_FORMS)
    return sum(reached(result) for result in found) >= _SEVERAL


def scores_disagree(scope: Scope, _item: object) -> bool:
    """One method is at or above its threshold and another below.

    The two thresholds of the seven-point checklist count as one method here: where they differ, the original one
    stands for it, and a fact of its own says so. A method for one kind of cancer that is below disagrees with nobody.
    """
    return disagree(result for result in _valid(scope) if result.method.code not in SECOND_FORMS)


def thresholds_disagree(scope: Scope, _item: object) -> bool:
    """The two published thresholds of the seven-point checklist give different verdicts."""
    return disagree(result for result in _valid(scope) if result.method.code in _SEVEN_POINT_CHECKLISTS)


def method_without_number(scope: Scope, item: object) -> bool:
    """The method at hand, one that the clinician says was used, gives no number for this lesion."""
    result = scope.context.scores.get(str(item)) if isinstance(item, ScoreMethod) else None
    return result is not None and not result.valid


SCORE_FACTS: Mapping[str, Callable[[Scope, Any], bool | None]] = {
    "score-reached": score_reached,
    "score-unsettled": score_unsettled,
    "used-score-unsettled": used_score_unsettled,
    "every-score-below": every_score_below,
    "several-scores-reached": several_scores_reached,
    "scores-disagree": scores_disagree,
    "thresholds-disagree": thresholds_disagree,
    "method-without-number": method_without_number,
}
