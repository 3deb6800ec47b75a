"""The way that a method takes step by step, and every end that open inputs still leave.

The steps are questions in a fixed order; the first yes ends. While a question is open the way forks: an end is possible
when some completion of the open inputs answers no to every question before it and yes to its own. Questions that share
open inputs are completed together, those that share none apart, so that this is exact without trying everything.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

from msgspec import Struct

from dermreport.expressions.evaluate import Evaluated, Scope, evaluator_once
from dermreport.expressions.nodes import Expression, leaves
from dermreport.scores.completions import Remainder, clusters, completions_of, remainder, true_in
from dermreport.scores.method import End, Step, Steps


class StepTaken(Struct, frozen=True):
    """One question that was asked on the way.

    Attributes:
        asks: The question.
        answer: True or False; None where it is open.
    """

    asks: str
    answer: bool | None


class PathTaken(Struct, frozen=True):
    """The way taken.

    Attributes:
        taken: The questions asked, up to the first yes or the first that is open.
        ends: Where it ends; several while a question is open, in the order of the steps.
    """

    taken: tuple[StepTaken, ...]
    ends: tuple[End, ...]


class _Asked(Struct, frozen=True):
    step: Step
    read: Evaluated


@cache
def _compiled(step: Step) -> _Asked:
    return _Asked(step, evaluator_once(step.when))


def path_taken(steps: Steps, scope: Scope) -> PathTaken:
    """Return the way that the answers in a scope take through some steps.

    Raises:
        ValueError: More open inputs are shared than can be completed together; the tests of the tables exclude it.
    """
    asked = [_compiled(step) for step in steps.steps]
    taken: list[StepTaken] = []
    for position, one in enumerate(asked):
        answer = one.read(scope, None)
        taken.append(StepTaken(one.step.asks, answer))
        if answer:
            return PathTaken(tuple(taken), (one.step.end,))
        if answer is None:
            return PathTaken(tuple(taken), _ends(asked[position:], steps.otherwise, scope))
    return PathTaken(tuple(taken), (steps.otherwise,))


def _ends(asked: Sequence[_Asked], otherwise: End, scope: Scope) -> tuple[End, ...]:
    """Return every end that some completion of the open inputs reaches, each once."""
    rests: list[Remainder] = []
    for one in asked:
        truth = one.read(scope, None)
        rests.append(remainder(one.step.when)(scope) if truth is None else truth)
        if rests[-1] is True:
            break
    groups = _groups(rests)
    possible = [
        asked[position].step.end
        for position, rest in enumerate(rests)
        if rest is not False and all(group.reaches(position) for group in groups)
    ]
    if rests[-1] is not True and all(group.reaches(len(rests)) for group in groups):
        possible.append(otherwise)
    return tuple(dict.fromkeys(possible))


class _Group(Struct, frozen=True):
    """Open questions that share inputs: the completions in which each is answered yes, by its position."""

    every: int
    yes: dict[int, int]

    def reaches(self, position: int) -> bool:
        """Return whether some completion answers no to each question of the group before one, and yes to that one."""
        left = self.every
        for one, yes in self.yes.items():
            if one < position:
                left &= ~yes
            elif one == position:
                left &= yes
        return left != 0


#: Open inputs that questions share, at most: 2 to this power completions stand in one whole number.
MOST_TOGETHER = 20


def _groups(rests: Sequence[Remainder]) -> list[_Group]:
    opened = [(position, rest) for position, rest in enumerate(rests) if not isinstance(rest, bool)]
    together = clusters(set(leaves(rest)) for _, rest in opened)
    return [_completed(dict(opened[one] for one in positions)) for positions in together]


def _completed(rests: dict[int, Expression]) -> _Group:
    if len(rests) == 1:
        # Alone, and each of its inputs asked once: it can become either.
        ((position, rest),) = rests.items()
        asked = leaves(rest)
        if len(asked) == len(set(asked)):
            return _Group(0b11, {position: 0b01})
    inputs = tuple(dict.fromkeys(leaf for rest in rests.values() for leaf in leaves(rest)))
    if len(inputs) > MOST_TOGETHER:
        raise ValueError(len(inputs))
    every, yes = completions_of(len(inputs))
    answered_yes = dict(zip(inputs, yes, strict=True))
    return _Group(every, {position: true_in(rest, answered_yes, every) for position, rest in rests.items()})
