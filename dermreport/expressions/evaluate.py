"""Evaluation in three values: an expression becomes a function once, and that function is called often."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from functools import cache, singledispatch
from typing import Any as AnyValue
from typing import TypeAlias

from dermreport.answers import Answers
from dermreport.expressions.nodes import (
    All,
    Any,
    AtLeast,
    AtLeastOf,
    ColourSeen,
    Exists,
    Expression,
    Fact,
    Found,
    Given,
    Holds,
    Is,
    MoreThan,
    MoreThanAt,
    Not,
    Present,
    Unresolved,
)
from dermreport.vocabulary.judgements import Judgement
from dermreport.vocabulary.presences import Presence
from dermreport.vocabulary.replies import Reply

Truth: TypeAlias = bool | None


@dataclass(frozen=True, slots=True)
class Scope:
    """What an expression is evaluated on: the answers (with their examination) and the derived facts.

    ``context`` is for the functions behind derived facts; the language itself never looks at it.
    """

    answers: Answers
    facts: Mapping[str, Callable[[Scope, AnyValue], Truth]]
    context: AnyValue = None
    #: What was read and decided once and is asked again: values by path, truths by the function that decides them.
    read: dict[str, AnyValue] = field(default_factory=dict, compare=False)
    known: dict[Evaluated, Truth] = field(default_factory=dict, compare=False)


Evaluated: TypeAlias = Callable[[Scope, AnyValue], Truth]
Getter: TypeAlias = Callable[[Scope, AnyValue], AnyValue]

_YES: dict[AnyValue, Truth] = {
    Reply.YES: True,
    Judgement.YES: True,
    True: True,
    Reply.NO: False,
    Judgement.NO: False,
    False: False,
}


@cache
def getter(path: str) -> Getter:
    """Return a function that reads a path; None where it ends early.

    ``@.`` reads from the item at hand and ``@`` is that item, ``whole.`` reads the description of the lesion as a
    whole where some view shows the whole lesion, anything else the examination.
    """
    first, *rest = path.split(".")
    if first == "@":
        return _from_item(tuple(rest)) if rest else lambda _, item: item
    if first == "whole":
        return _from_whole_lesion(tuple(rest))
    return _from_examination(path, (first, *rest))


def _from_item(names: tuple[str, ...]) -> Getter:
    def read(_: Scope, item: AnyValue) -> AnyValue:
        for name in names:
            item = getattr(item, name, None)
            if item is None:
                return None
        return item

    return read


def _from_whole_lesion(names: tuple[str, ...]) -> Getter:
    def read(scope: Scope, _: AnyValue) -> AnyValue:
        value: AnyValue = scope.answers.whole_lesion
        for name in names:
            value = getattr(value, name, None)
            if value is None:
                return None
        return value

    return read


def _from_examination(path: str, names: tuple[str, ...]) -> Getter:
    def read(scope: Scope, _: AnyValue) -> AnyValue:
        known = scope.read
        if path in known:
            return known[path]
        value: AnyValue = scope.answers.examination
        for name in names:
            value = getattr(value, name, None)
            if value is None:
                break
        known[path] = value
        return value

    return read


def any_of(truths: Iterable[Truth]) -> Truth:
    """Kleene's or: True if one is, None if one is open, else False."""
    result: Truth = False
    for truth in truths:
        if truth:
            return True
        if truth is None:
            result = None
    return result


def all_of(truths: Iterable[Truth]) -> Truth:
    """Kleene's and: False if one is, None if one is open, else True."""
    result: Truth = True
    for truth in truths:
        if truth is None:
            result = None
        elif not truth:
            return False
    return result


@singledispatch
def evaluator(expression: Expression) -> Evaluated:
    """Return the function that evaluates an expression: give it a scope and the item at hand (or None)."""
    raise TypeError(type(expression).__name__)


@evaluator.register
def _present(node: Present) -> Evaluated:
    structure = node.structure
    return lambda scope, _: scope.answers.of(structure).truth


@evaluator.register
def _found(node: Found) -> Evaluated:
    structure = node.structure
    where = evaluator(node.where)

    def evaluate(scope: Scope, _: AnyValue) -> Truth:
        answer = scope.answers.of(structure)
        if not answer.truth:
            return answer.truth
        findings = scope.answers.examination.findings
        recorded = [findings[position] for position in answer.findings]
        present = [finding for finding in recorded if finding.presence is Presence.PRESENT]
        # Present by definition, without a finding of its own: nothing is told of it.
        return any_of(where(scope, finding) for finding in present) if present else None

    return evaluate


@evaluator.register
def _colour_seen(node: ColourSeen) -> Evaluated:
    colour = node.colour
    return lambda scope, _: scope.answers.colours[colour]


@evaluator.register
def _is(node: Is) -> Evaluated:
    read = getter(node.path)
    values = frozenset(node.values)

    def evaluate(scope: Scope, item: AnyValue) -> Truth:
        value = read(scope, item)
        return None if value is None else value in values

    return evaluate


@evaluator.register
def _holds(node: Holds) -> Evaluated:
    read = getter(node.path)
    return lambda scope, item: _YES.get(read(scope, item))


@evaluator.register
def _given(node: Given) -> Evaluated:
    read = getter(node.path)

    def evaluate(scope: Scope, item: AnyValue) -> Truth:
        value = read(scope, item)
        return value is not None and value != ()

    return evaluate


@evaluator.register
def _at_least(node: AtLeast) -> Evaluated:
    read = getter(node.path)
    limit = node.limit

    def evaluate(scope: Scope, item: AnyValue) -> Truth:
        value = read(scope, item)
        return None if value is None else bool(value >= limit)

    return evaluate


@evaluator.register
def _more_than(node: MoreThan) -> Evaluated:
    read = getter(node.path)
    limit = node.limit

    def evaluate(scope: Scope, item: AnyValue) -> Truth:
        value = read(scope, item)
        return None if value is None else bool(value > limit)

    return evaluate


@evaluator.register
def _more_than_at(node: MoreThanAt) -> Evaluated:
    read = getter(node.path)
    read_other = getter(node.other)

    def evaluate(scope: Scope, item: AnyValue) -> Truth:
        value = read(scope, item)
        other = read_other(scope, item)
        return None if value is None or other is None else bool(value > other)

    return evaluate


@evaluator.register
def _exists(node: Exists) -> Evaluated:
    read = getter(node.path)
    where = evaluator(node.where)
    return lambda scope, item: any_of(where(scope, one) for one in read(scope, item) or ())


@evaluator.register
def _fact(node: Fact) -> Evaluated:
    name = node.name
    return lambda scope, item: scope.facts[name](scope, item)


@evaluator.register
def _unresolved(_node: Unresolved) -> Evaluated:
    return lambda _scope, _item: None


@evaluator.register
def _all(node: All) -> Evaluated:
    parts = tuple(evaluator(part) for part in node.parts)

    def evaluate(scope: Scope, item: AnyValue) -> Truth:
        result: Truth = True
        for part in parts:
            truth = part(scope, item)
            if truth is None:
                result = None
            elif not truth:
                return False
        return result

    return evaluate


@evaluator.register
def _any(node: Any) -> Evaluated:
    parts = tuple(evaluator(part) for part in node.parts)

    def evaluate(scope: Scope, item: AnyValue) -> Truth:
        result: Truth = False
        for part in parts:
            truth = part(scope, item)
            if truth:
                return True
            if truth is None:
                result = None
        return result

    return evaluate


@evaluator.register
def _not(node: Not) -> Evaluated:
    part = evaluator(node.part)

    def evaluate(scope: Scope, item: AnyValue) -> Truth:
        truth = part(scope, item)
        return None if truth is None else not truth

    return evaluate


@evaluator.register
def _at_least_of(node: AtLeastOf) -> Evaluated:
    parts = tuple(evaluator(part) for part in node.parts)
    number = node.number

    def evaluate(scope: Scope, item: AnyValue) -> Truth:
        truths = [part(scope, item) for part in parts]
        sure = truths.count(True)
        if sure >= number:
            return True
        return None if sure + truths.count(None) >= number else False

    return evaluate


@cache
def evaluator_once(expression: Expression) -> Evaluated:
    """Return an evaluator that decides once a scope where no item is at hand, for whoever shares the expression."""
    evaluate = evaluator(expression)

    def remembered(scope: Scope, item: AnyValue) -> Truth:
        known = scope.known
        if evaluate not in known:
            known[evaluate] = evaluate(scope, item)
        return known[evaluate]

    return remembered


Surely: TypeAlias = Callable[[Scope, AnyValue], bool]


def surely(expression: Expression) -> Surely:
    """Return the function that tells whether an expression is true, and not open.

    It gives what ``evaluator(expression)(scope, item) is True`` gives, and stops at the first part that decides.
    """
    return Deciding((expression,)).surely(expression)


def surely_not(expression: Expression) -> Surely:
    """Return the function that tells whether an expression is false, and not open."""
    return Deciding((expression,)).surely_not(expression)


#: A joint of fewer joints is evaluated faster than it is looked up.
_WORTH_REMEMBERING = 3


class Deciding:
    """Turns expressions into functions that tell whether they are true or false for sure.

    A joint that stands in several places is evaluated once a scope, where no item is at hand.
    """

    def __init__(self, expressions: Iterable[Expression]) -> None:
        """Note which joints the expressions share."""
        self._shared = frozenset(
            joint for joint in _in_several_places(expressions) if len(list(joints(joint))) >= _WORTH_REMEMBERING
        )
        self._made: dict[tuple[Expression, bool], Surely] = {}

    def surely(self, expression: Expression) -> Surely:
        """Return the function that tells whether an expression is true, and not open."""
        return self._function(expression, wanted=True)

    def surely_not(self, expression: Expression) -> Surely:
        """Return the function that tells whether an expression is false, and not open."""
        return self._function(expression, wanted=False)

    def _function(self, expression: Expression, *, wanted: bool) -> Surely:
        if (expression, wanted) not in self._made:
            made = self._joint(expression, wanted=wanted)
            self._made[expression, wanted] = _once(made) if expression in self._shared else made
        return self._made[expression, wanted]

    def _joint(self, expression: Expression, *, wanted: bool) -> Surely:
        recorded = _recorded(expression)
        if recorded is not None:
            return _is_recorded(recorded) if wanted else _is_not_recorded(recorded)
        match expression:
            case All(parts) | Any(parts):
                functions = tuple(self._function(part, wanted=wanted) for part in parts)
                return _every(functions) if isinstance(expression, All) is wanted else _some(functions)
            case Not(part):
                return self._function(part, wanted=not wanted)
            case Exists(path, where):
                function = self._function(where, wanted=wanted)
                return _some_item(getter(path), function) if wanted else _every_item(getter(path), function)
        evaluate = evaluator(expression)
        return lambda scope, item: evaluate(scope, item) is wanted


def joints(expression: Expression) -> Iterable[Expression]:
    """Yield the joints of an expression, itself included, and those inside the conditions on a list's items."""
    if isinstance(expression, _JOINTS):
        yield expression
    for part in _parts(expression):
        yield from joints(part)


_JOINTS = (All, Any, AtLeastOf, Exists)


def _parts(expression: Expression) -> tuple[Expression, ...]:
    match expression:
        case All(parts) | Any(parts) | AtLeastOf(_, parts):
            return parts
        case Not(part) | Exists(_, part):
            return (part,)
    return ()


def _in_several_places(expressions: Iterable[Expression]) -> set[Expression]:
    """Return the joints that stand in several places; what stands only inside of one of them is decided with it."""
    met: set[Expression] = set()
    again: set[Expression] = set()
    below = list(expressions)
    while below:
        one = below.pop()
        if one in met:
            again.add(one)
            continue
        if isinstance(one, _JOINTS):
            met.add(one)
        below.extend(_parts(one))
    return again


def _once(evaluate: Surely) -> Surely:
    def remembered(scope: Scope, item: AnyValue) -> bool:
        if item is not None:
            return evaluate(scope, item)
        known = scope.known
        if evaluate not in known:
            known[evaluate] = evaluate(scope, None)
        return known[evaluate] is True

    return remembered


def _recorded(expression: Expression) -> Is | None:
    """Return the leaf of «something is recorded at a path, and it is one of these», which is the leaf alone."""
    match expression:
        case All((Given(given), Is(path, _) as leaf)) if given == path:
            return leaf
    return None


def _is_recorded(leaf: Is) -> Surely:
    read = getter(leaf.path)
    values = frozenset(leaf.values)

    def evaluate(scope: Scope, item: AnyValue) -> bool:
        value = read(scope, item)
        return value is not None and value in values

    return evaluate


def _is_not_recorded(leaf: Is) -> Surely:
    read = getter(leaf.path)
    values = frozenset(leaf.values)

    def evaluate(scope: Scope, item: AnyValue) -> bool:
        value = read(scope, item)
        return value is None or value not in values

    return evaluate


def _every(parts: tuple[Surely, ...]) -> Surely:
    if len(parts) == 2:  # noqa: PLR2004 - the commonest joint; without a loop it takes half the time
        first, second = parts
        return lambda scope, item: first(scope, item) and second(scope, item)

    def evaluate(scope: Scope, item: AnyValue) -> bool:
        for part in parts:  # noqa: SIM110 - a generator would cost more than the parts
            if not part(scope, item):
                return False
        return True

    return evaluate


def _some(parts: tuple[Surely, ...]) -> Surely:
    if len(parts) == 2:  # noqa: PLR2004 - as above
        first, second = parts
        return lambda scope, item: first(scope, item) or second(scope, item)

    def evaluate(scope: Scope, item: AnyValue) -> bool:
        for part in parts:  # noqa: SIM110 - as above
            if part(scope, item):
                return True
        return False

    return evaluate


def _every_item(read: Getter, where: Surely) -> Surely:
    def evaluate(scope: Scope, item: AnyValue) -> bool:
        for one in read(scope, item) or ():  # noqa: SIM110 - as above
            if not where(scope, one):
                return False
        return True

    return evaluate


def _some_item(read: Getter, where: Surely) -> Surely:
    def evaluate(scope: Scope, item: AnyValue) -> bool:
        for one in read(scope, item) or ():  # noqa: SIM110 - as above
            if where(scope, one):
                return True
        return False

    return evaluate
