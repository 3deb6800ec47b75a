"""Where methods disagree: side by side, never averaged, and none of them picked."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct

from dermreport.rules.facts_scores import SECOND_FORMS, TWO_FORMS, below, disagree, reached
from dermreport.scores.engine import ScoreResult
from dermreport.vocabulary.verdicts import Verdict


class SideBySide(Struct, frozen=True):
    """The methods that fit this lesion, by what they say; each by its code, in the order of the methods.

    Attributes:
        reached: At or above their threshold, however their open inputs turn out.
        below: Below it, however their open inputs turn out.
        not_settled: Open inputs decide.
        disagree: Whether one is at or above its threshold and another, that could say so, below. A method with two
            published forms counts once.
        forms_differ: The two published forms of one method, by their codes, where they don't say the same.
    """

    reached: tuple[str, ...]
    below: tuple[str, ...]
    not_settled: tuple[str, ...]
    disagree: bool
    forms_differ: tuple[tuple[str, str], ...]


def side_by_side(scores: Mapping[str, ScoreResult]) -> SideBySide:
    """Return the methods that fit the lesion, by what they say of it."""
    valid = {code: result for code, result in scores.items() if result.valid}
    at_or_above = tuple(code for code, one in valid.items() if reached(one))
    under = tuple(code for code, one in valid.items() if below(one))
    settled = {*at_or_above, *under}
    return SideBySide(
        at_or_above,
        under,
        tuple(code for code in valid if code not in settled),
        disagree=disagree(result for result in valid.values() if result.method.code not in SECOND_FORMS),
        forms_differ=tuple(
            pair
            for pair in TWO_FORMS
            if pair[0] in valid and pair[1] in valid and _says(valid[pair[0]]) != _says(valid[pair[1]])
        ),
    )


def _says(result: ScoreResult) -> tuple[Verdict, frozenset[str]]:
    """Return what two forms of one method are compared by: the verdict, and the advice of each possible end."""
    return result.verdict, frozenset(end.advice for end in result.path.ends) if result.path is not None else frozenset()
