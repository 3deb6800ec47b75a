"""Every completion of open inputs at once.

What an expression leaves open is its remainder: the expression without the parts that are known. Its leaves are the
open inputs, and a completion answers each of them with yes or no. A whole number stands for a set of completions:
bit *i* is completion *i*. So an expression is true in a set of completions that ``&`` and ``|`` give, exactly and
without trying one after the other.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from collections.abc import Set as AbstractSet
from functools import cache
from typing import TypeAlias

from dermreport.expressions.evaluate import Scope, evaluator, evaluator_once
from dermreport.expressions.nodes import All, Any, AtLeastOf, Expression, Leaf, Not

#: True, False, or what is left of the expression.
Remainder: TypeAlias = Expression | bool
#: A set of completions, as the bits of a whole number.
Completions: TypeAlias = int


@cache
def remainder(expression: Expression) -> Callable[[Scope], Remainder]:
    """Return the function that gives, on a scope, what an expression leaves open: its truth where that is known.

    It is made when the first scope leaves the expression open: many methods don't fit the lesion, or have their answer.
    """
    rest = _rest(expression)
    if not isinstance(expression, All | Any | AtLeastOf):
        return rest
    # Most of it is known, and was asked before: only what is open is looked at part by part.
    whole = evaluator_once(expression)

    def left(scope: Scope) -> Remainder:
        truth = whole(scope, None)
        return rest(scope) if truth is None else truth

    return left


def _rest(expression: Expression) -> Callable[[Scope], Remainder]:
    match expression:
        case All(parts):
            return _joint(parts, decides=False, joined=All)
        case Any(parts):
            return _joint(parts, decides=True, joined=Any)
        case Not(part):
            return _opposite(part)
        case AtLeastOf(number, parts):
            return _at_least_of(number, parts)
        case leaf:
            return _answer(leaf)


def _joint(
    parts: tuple[Expression, ...], *, decides: bool, joined: Callable[[tuple[Expression, ...]], Expression]
) -> Callable[[Scope], Remainder]:
    remainders = tuple(remainder(part) for part in parts)

    def left(scope: Scope) -> Remainder:
        still_open: list[Expression] = []
        for one in remainders:
            truth = one(scope)
            if truth is decides:
                return decides
            if not isinstance(truth, bool):
                still_open.append(truth)
        return _together(still_open, joined) if still_open else not decides

    return left


def _together(still_open: list[Expression], joined: Callable[[tuple[Expression, ...]], Expression]) -> Expression:
    return still_open[0] if len(still_open) == 1 else joined(tuple(still_open))


def _opposite(part: Expression) -> Callable[[Scope], Remainder]:
    whole = remainder(part)

    def left(scope: Scope) -> Remainder:
        truth = whole(scope)
        return not truth if isinstance(truth, bool) else Not(truth)

    return left


def _at_least_of(number: int, parts: tuple[Expression, ...]) -> Callable[[Scope], Remainder]:
    remainders = tuple(remainder(part) for part in parts)

    def left(scope: Scope) -> Remainder:
        truths = [one(scope) for one in remainders]
        still_open = tuple(truth for truth in truths if not isinstance(truth, bool))
        wanted = number - sum(truth is True for truth in truths)
        if wanted <= 0:
            return True
        return AtLeastOf(wanted, still_open) if wanted <= len(still_open) else False

    return left


def _answer(leaf: Leaf) -> Callable[[Scope], Remainder]:
    evaluate = evaluator(leaf)

    def left(scope: Scope) -> Remainder:
        truth = evaluate(scope, None)
        return leaf if truth is None else truth

    return left


@cache
def completions_of(number: int) -> tuple[Completions, tuple[Completions, ...]]:
    """Return every completion of so many open inputs, and for each input those that answer it with yes."""
    every = (1 << (1 << number)) - 1
    return every, tuple(every // ((1 << (1 << position)) + 1) << (1 << position) for position in range(number))


def true_in(expression: Expression, yes: Mapping[Leaf, Completions], every: Completions) -> Completions:
    """Return the completions in which an expression is true, from those that answer each of its leaves with yes."""
    match expression:
        case All(parts):
            found = every
            for part in parts:
                found &= true_in(part, yes, every)
            return found
        case Any(parts):
            found = 0
            for part in parts:
                found |= true_in(part, yes, every)
            return found
        case Not(part):
            return every ^ true_in(part, yes, every)
        case AtLeastOf(number, parts):
            at_least = [every] + [0] * number
            for part in parts:
                here = true_in(part, yes, every)
                for count in range(number, 0, -1):
                    at_least[count] |= at_least[count - 1] & here
            return at_least[number]
        case leaf:
            return yes[leaf]


def clusters(inputs: Iterable[AbstractSet[Leaf]]) -> list[list[int]]:
    """Return the positions of sets that share inputs, directly or by way of another, together; each in their order."""
    found: list[tuple[AbstractSet[Leaf], list[int]]] = []
    for position, asked in enumerate(inputs):
        together, members, apart = asked, [position], []
        for others, positions in found:
            if asked.isdisjoint(others):
                apart.append((others, positions))
            else:
                together, members = together | others, members + positions
        found = [*apart, (together, members)]
    return [sorted(members) for _, members in found]
