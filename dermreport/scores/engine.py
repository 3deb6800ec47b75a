"""One engine for all methods: exact totals, and an interval where inputs are open.

Each criterion is met, not met, or open. The open inputs of criteria that share some are completed together in every
way. So the interval is exact: its ends are totals of completions, and no completion's total lies outside. An input
counts as free though another one can decide it by definition: that can widen an interval and never narrows one.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from functools import cache, lru_cache, partial
from typing import Any, TypeAlias

from msgspec import Struct

from dermreport.expressions.evaluate import Evaluated, Scope, evaluator_once, getter
from dermreport.expressions.nodes import Expression, Leaf, Unresolved, leaves
from dermreport.scores.completions import Completions, clusters, completions_of, remainder, true_in
from dermreport.scores.method import CAUTIONS, Counted, Criterion, Effect, Method, PartRange, Validity, points
from dermreport.scores.path import PathTaken, path_taken
from dermreport.vocabulary.verdicts import Verdict

#: One way in which criteria can turn out: total in tenths, number of them met, vetoed or not.
Way: TypeAlias = tuple[int, int, bool]
Ways: TypeAlias = frozenset[Way]
#: Two ways that one answer decides between.
Turns: TypeAlias = frozenset[tuple[Way, Way]]
#: What a whole method can come to: the totals that count, and those that a veto puts below every threshold. A whole
#: number stands for a set of totals: bit *i* is the total of *i* tenths above the lowest that its criteria give.
Outcomes: TypeAlias = tuple[int, int]
#: What is asked; a number by its path in the entry.
Input: TypeAlias = Leaf | str

#: Open inputs that are completed together, at most.
MAX_SHARED = 16


@dataclass(frozen=True, slots=True)
class OpenInput:
    """An input that is uncertain or not assessed.

    Attributes:
        leaf: What is asked; a number by its path in the entry.
        criteria: Ids of the criteria that ask it.
        settles: Whether some answer to it alone settles the verdict.
        answerable: False where the published sources leave it open, so that no look at the lesion settles it.
        hangs: The function behind ``changes``: most callers never ask it, and it takes as long as the score.
    """

    leaf: Input
    criteria: tuple[str, ...]
    settles: bool
    answerable: bool
    hangs: Callable[[], bool] = field(compare=False, repr=False)

    @property
    def changes(self) -> bool:
        """Whether the verdict can hang on it: some completion of the other inputs gives two verdicts by its answer."""
        return self.hangs()


class ScoreResult(Struct, frozen=True):
    """What a method says of one examination.

    Attributes:
        method: The method.
        low_tenths: Lowest possible total in tenths; None where the method is not valid here.
        high_tenths: Highest possible total in tenths; equal to the lowest when settled.
        verdict: On which side of the threshold; not settled while more than one is possible.
        possible: Every verdict that a completion gives.
        met: Ids of criteria that are met.
        open: Ids of criteria that are open.
        open_inputs: Inputs that are uncertain or not assessed, in the order in which the criteria ask them.
        reasons: Why the method gives no number; empty where it is valid.
        cautions: What a reader must know, those of every score included.
        path: The way through its steps; None where it has none, or gives no number.
    """

    method: Method
    low_tenths: int | None
    high_tenths: int | None
    verdict: Verdict
    possible: tuple[Verdict, ...]
    met: tuple[str, ...]
    open: tuple[str, ...]
    open_inputs: tuple[OpenInput, ...]
    reasons: tuple[str, ...]
    cautions: tuple[str, ...]
    path: PathTaken | None = None

    @property
    def valid(self) -> bool:
        """Whether the method gives a number here."""
        return self.verdict is not Verdict.NOT_VALID

    @property
    def settled(self) -> bool:
        """Whether the verdict is settled."""
        return len(self.possible) == 1

    @property
    def low(self) -> Decimal | None:
        """Lowest possible total, in points."""
        return None if self.low_tenths is None else points(self.low_tenths)

    @property
    def high(self) -> Decimal | None:
        """Highest possible total, in points."""
        return None if self.high_tenths is None else points(self.high_tenths)

    @property
    def would_settle(self) -> tuple[OpenInput, ...]:
        """The open inputs of which some answer settles the verdict."""
        return tuple(one for one in self.open_inputs if one.settles and one.answerable)


class _Judged(Struct, frozen=True, eq=False):
    """A criterion that is met or not, and the function that gives its truth."""

    criterion: Criterion
    group: int
    read: Evaluated

    @property
    def vetoes(self) -> bool:
        return self.criterion.vetoes


class _Numbered(Struct, frozen=True):
    """A criterion that is a number, and the function that reads it."""

    criterion: Counted
    group: int
    read: Callable[[Scope, Any], int | None]
    vetoes: bool = False


class _Compiled(Struct, frozen=True):
    """A method with its expressions turned into functions, once. A group is its position among the method's.

    Attributes:
        method: The method.
        validity: Its conditions of validity.
        asked: Its criteria.
        limits: By group, the published range.
        floor: The lowest total that its criteria give, in tenths.
        reached: Each verdict, lowest first, and the totals that have it.
    """

    method: Method
    validity: tuple[tuple[Validity, Evaluated], ...]
    asked: tuple[_Judged | _Numbered, ...]
    limits: tuple[tuple[PartRange, ...], ...]
    floor: int
    reached: tuple[tuple[Verdict, int], ...]


@cache
def _compiled(method: Method) -> _Compiled:
    groups = tuple(dict.fromkeys(one.group for one in method.criteria))
    floor = sum(min(0, one.tenths * (one.highest if isinstance(one, Counted) else 1)) for one in method.criteria)
    verdicts = (Verdict.BELOW_THRESHOLD, *(threshold.verdict for threshold in method.thresholds))
    starts = (0, *(threshold.from_tenths - floor for threshold in method.thresholds))
    from_here_on = [-1 << start for start in starts]
    return _Compiled(
        method=method,
        validity=tuple((one, evaluator_once(one.when)) for one in method.validity),
        asked=tuple(_asked(one, groups.index(one.group)) for one in method.criteria),
        limits=tuple(tuple(one for one in method.part_ranges if one.group == group) for group in groups),
        floor=floor,
        reached=tuple(
            (verdict, here & ~above)
            for verdict, here, above in zip(verdicts, from_here_on, (*from_here_on[1:], 0), strict=True)
        ),
    )


def _asked(criterion: Criterion | Counted, group: int) -> _Judged | _Numbered:
    if isinstance(criterion, Counted):
        return _Numbered(criterion, group, getter(criterion.path))
    return _Judged(criterion, group, evaluator_once(criterion.when))


class _Part(Struct, frozen=True):
    """Open criteria that share inputs: how they can turn out, and how after each answer to each input.

    Attributes:
        ways: How they can turn out.
        asking: Ids of the criteria that ask each input.
        after: How they can turn out after each answer to an input.
        turns: For each input, the function that gives how they turn out by one answer to it and by another, all other
            inputs being answered alike.
    """

    ways: Ways
    asking: Mapping[Input, tuple[str, ...]]
    after: Mapping[Input, tuple[Ways, ...]]
    turns: Mapping[Input, Callable[[], Turns]]


class _Group(Struct, frozen=True):
    """One group of a method's criteria: what its known ones come to, its open parts, and its published range."""

    known: Way
    parts: tuple[_Part, ...]
    limits: tuple[PartRange, ...]

    def ways(self) -> Ways:
        """Return how the group can turn out within its range."""
        result: Ways = frozenset((self.known,))
        for part in self.parts:
            result = _sums(result, part.ways)
        return self.within(result)

    def within(self, ways: Ways) -> Ways:
        """Return those of some ways that lie within the group's range."""
        for limit in self.limits:
            ways = frozenset(way for way in ways if limit.lowest <= way[1] <= limit.highest)
        return ways

    def without_each(self) -> Iterable[tuple[_Part, Ways]]:
        """Return each open part with how the rest of the group can turn out."""
        before: list[Ways] = [frozenset((self.known,))]
        for part in self.parts[:-1]:
            before.append(_sums(before[-1], part.ways))
        behind: Ways = frozenset(((0, 0, False),))
        for part, ahead in zip(reversed(self.parts), reversed(before[: len(self.parts)]), strict=True):
            yield part, _sums(ahead, behind)
            behind = _sums(part.ways, behind)


def _sums(some: Ways, others: Ways) -> Ways:
    """Return how two sets of criteria can turn out together."""
    return frozenset(
        (total + more, number + also, vetoed or veto) for total, number, vetoed in some for more, also, veto in others
    )


def score(method: Method, scope: Scope) -> ScoreResult:
    """Return what a method says of the answers in a scope: a total, an interval, or why it gives no number."""
    compiled = _compiled(method)
    reasons, cautions = validity_of(compiled.validity, method.cautions, scope)
    if reasons:
        return _without_number(method, reasons, cautions)
    tenths = [0] * len(compiled.limits)
    numbers = [0] * len(compiled.limits)
    vetoed = False
    met: list[str] = []
    opened: list[_Judged | _Numbered] = []
    for asked in compiled.asked:
        value = asked.read(scope, None)
        if value is None:
            opened.append(asked)
        elif value:
            tenths[asked.group] += value * asked.criterion.tenths
            numbers[asked.group] += value
            vetoed = vetoed or asked.vetoes
            met.append(asked.criterion.id)
    if not opened:
        return _settled(compiled, (sum(tenths), vetoed), numbers, tuple(met), cautions, scope)
    sums = [(total, number, vetoed) for total, number in zip(tenths, numbers, strict=True)]
    groups = [
        _Group(known, _parts(opened, group, scope), limits)
        for group, (known, limits) in enumerate(zip(sums, compiled.limits, strict=True))
    ]
    by_group = [group.ways() for group in groups]
    outside = tuple(
        limit.reason for group, ways in zip(groups, by_group, strict=True) if not ways for limit in group.limits
    )
    if outside:
        return _without_number(method, outside, cautions)
    counting, vetoed_ones = _joined(by_group, (1 << -compiled.floor, 0))
    possible = _verdicts(compiled, (counting, vetoed_ones))
    totals = counting | vetoed_ones
    return ScoreResult(
        method=method,
        low_tenths=(totals & -totals).bit_length() - 1 + compiled.floor,
        high_tenths=totals.bit_length() - 1 + compiled.floor,
        verdict=possible[0] if len(possible) == 1 else Verdict.NOT_SETTLED,
        possible=possible,
        met=tuple(met),
        open=tuple(one.criterion.id for one in opened),
        open_inputs=_in_order(
            compiled, _without_weight(groups) if len(possible) == 1 else _weighed(compiled, groups, by_group)
        ),
        reasons=(),
        cautions=cautions,
        path=_path(method, scope),
    )


def _path(method: Method, scope: Scope) -> PathTaken | None:
    return None if method.steps is None else path_taken(method.steps, scope)


def _settled(  # noqa: PLR0913, PLR0917 - what was added up so far, and no more
    compiled: _Compiled,
    way: tuple[int, bool],
    numbers: Sequence[int],
    met: tuple[str, ...],
    cautions: tuple[str, ...],
    scope: Scope,
) -> ScoreResult:
    """Return the one total of a method that has no open criterion; it is what the interval would come to."""
    outside = tuple(
        limit.reason
        for number, limits in zip(numbers, compiled.limits, strict=True)
        for limit in limits
        if not limit.lowest <= number <= limit.highest
    )
    if outside:
        return _without_number(compiled.method, outside, cautions)
    total, vetoed = way
    verdict = Verdict.BELOW_THRESHOLD if vetoed else compiled.method.verdict(total)
    path = _path(compiled.method, scope)
    return ScoreResult(compiled.method, total, total, verdict, (verdict,), met, (), (), (), cautions, path)


def validity_of(
    conditions: Iterable[tuple[Validity, Evaluated]], own: tuple[str, ...], scope: Scope
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return why a method gives nothing here, and every caution.

    Args:
        conditions: Its conditions of validity, each with the function that tells if it holds.
        own: The method's own cautions.
        scope: The answers.
    """
    reasons: list[str] = []
    cautions: list[str] = []
    for validity, holds in conditions:
        truth = holds(scope, None)
        if truth and validity.effect is Effect.NO_NUMBER:
            reasons.append(validity.reason)
        elif truth:
            cautions.append(validity.reason)
        elif truth is None and validity.unknown:
            cautions.append(validity.unknown)
    return tuple(reasons), (*CAUTIONS, *cautions, *own)


def _without_number(method: Method, reasons: tuple[str, ...], cautions: tuple[str, ...]) -> ScoreResult:
    return ScoreResult(method, None, None, Verdict.NOT_VALID, (), (), (), (), reasons, cautions)


def _parts(opened: Sequence[_Judged | _Numbered], group: int, scope: Scope) -> tuple[_Part, ...]:
    """Return the parts of a group: one for each set of its open criteria that share open inputs."""
    here = [one for one in opened if one.group == group]
    if not here:
        return ()
    rests = [(one, _rest(one, scope)) for one in here if isinstance(one, _Judged)]
    numbered = (_numbered(one.criterion) for one in here if isinstance(one, _Numbered))
    together = clusters(set(leaves(rest)) for _, rest in rests)
    return (*(_part(tuple(rests[position] for position in positions)) for positions in together), *numbered)


def _rest(judged: _Judged, scope: Scope) -> Expression:
    """Return what an open criterion leaves open.

    Raises:
        TypeError: It is not open.
    """
    rest = remainder(judged.criterion.when)(scope)
    if isinstance(rest, bool):
        raise TypeError(judged.criterion.id)
    return rest


#: Sets of open criteria that are kept worked out: few are left open again and again in most examinations.
_KEPT = 1024


@lru_cache(maxsize=_KEPT)
def _part(cluster: tuple[tuple[_Judged, Expression], ...]) -> _Part:
    return _shared([(judged.criterion, rest) for judged, rest in cluster])


def _shared(cluster: Sequence[tuple[Criterion, Expression]]) -> _Part:
    """Return the part of criteria that share open inputs, by every completion of those inputs.

    Raises:
        ValueError: More inputs than a method may share; the tests of the method tables exclude it.
    """
    asking: dict[Input, tuple[str, ...]] = {}
    inputs: list[Leaf] = []
    for criterion, rest in cluster:
        for leaf in dict.fromkeys(leaves(rest)):
            if leaf not in asking:
                inputs.append(leaf)
            asking[leaf] = (*asking.get(leaf, ()), criterion.id)
    if len(inputs) > MAX_SHARED:
        raise ValueError(len(inputs))
    every, yes = completions_of(len(inputs))
    answered_yes = dict(zip(inputs, yes, strict=True))
    ways: dict[Way, Completions] = {(0, 0, False): every}
    for criterion, rest in cluster:
        ways = _split(ways, criterion, true_in(rest, answered_yes, every))
    after: dict[Input, tuple[Ways, ...]] = {
        leaf: tuple(
            frozenset(way for way, completions in ways.items() if completions & answered)
            for answered in (chosen, every ^ chosen)
        )
        for leaf, chosen in answered_yes.items()
    }
    turns: dict[Input, Callable[[], Turns]] = {
        leaf: partial(_turns, ways, chosen, 1 << position)
        for position, (leaf, chosen) in enumerate(answered_yes.items())
    }
    return _Part(frozenset(ways), asking, after, turns)


def _turns(ways: Mapping[Way, Completions], yes: Completions, apart: int) -> Turns:
    """Return how criteria turn out by yes and by no to one input, all others alike, where that differs.

    A completion that answers it with yes is the one that answers it with no, moved by a fixed number of bits.
    """
    return frozenset(
        (by_yes, by_no)
        for by_yes, completions in ways.items()
        for by_no, others in ways.items()
        if by_yes != by_no and (completions & yes) >> apart & others
    )


def _split(ways: Mapping[Way, Completions], criterion: Criterion, met: Completions) -> dict[Way, Completions]:
    """Return the ways with one criterion more, each with the completions that lead to it."""
    result: dict[Way, Completions] = {}
    for (total, number, vetoed), completions in ways.items():
        for way, where in (
            ((total + criterion.tenths, number + 1, vetoed or criterion.vetoes), completions & met),
            ((total, number, vetoed), completions & ~met),
        ):
            if where:
                result[way] = result.get(way, 0) | where
    return result


def _numbered(counted: Counted) -> _Part:
    """Return the part of a number that nobody gave: any in its range."""
    each = tuple(
        frozenset(((number * counted.tenths, number, False),)) for number in range(counted.lowest, counted.highest + 1)
    )
    numbers = frozenset().union(*each)
    turns = frozenset((one, other) for one in numbers for other in numbers)
    return _Part(numbers, {counted.path: (counted.id,)}, {counted.path: each}, {counted.path: lambda: turns})


def _joined(groups: Iterable[Ways], others: Outcomes) -> Outcomes:
    """Return what these groups and the others can come to together."""
    counting, vetoed = others
    for ways in groups:
        counting_before, before = counting, counting | vetoed
        counting, vetoed_before, vetoed = 0, vetoed, 0
        for total, _, veto in ways:
            if veto:
                vetoed |= _moved(before, total)
            else:
                counting |= _moved(counting_before, total)
                vetoed |= _moved(vetoed_before, total)
    return counting, vetoed


def _moved(totals: int, tenths: int) -> int:
    return totals << tenths if tenths >= 0 else totals >> -tenths


def _hangs_on(compiled: _Compiled, turns: Callable[[], Turns], group: _Group, beside: Ways, others: Outcomes) -> bool:
    """Return whether the verdict differs between two ways of one part, with some way of everything else."""
    pairs = {
        (first, second)
        for one, other in turns()
        for rest in beside
        for first, second in ((_sum(one, rest), _sum(other, rest)),)
        if first in group.within(frozenset((first,))) and second in group.within(frozenset((second,)))
    }
    return any(_differ(compiled, first, second, others) for first, second in pairs)


def _sum(one: Way, other: Way) -> Way:
    return one[0] + other[0], one[1] + other[1], one[2] or other[2]


def _differ(compiled: _Compiled, one: Way, other: Way, others: Outcomes) -> bool:
    """Return whether some outcome of everything else has one verdict with one way and another with the other."""
    counting, _ = others
    return any(
        counting & with_one & ~with_other
        for with_one, with_other in zip(_by_verdict(compiled, one), _by_verdict(compiled, other), strict=True)
    )


def _by_verdict(compiled: _Compiled, way: Way) -> list[int]:
    """Return, for each verdict, the totals of everything else that have it together with this way."""
    total, _, veto = way
    if veto:
        return [-1 if verdict is Verdict.BELOW_THRESHOLD else 0 for verdict, _ in compiled.reached]
    return [_moved(totals, -total) for _, totals in compiled.reached]


def _verdicts(compiled: _Compiled, outcomes: Outcomes) -> tuple[Verdict, ...]:
    """Return the verdicts of these outcomes, lowest first."""
    counting, vetoed = outcomes
    return tuple(
        verdict
        for verdict, totals in compiled.reached
        if counting & totals or (vetoed and verdict is Verdict.BELOW_THRESHOLD)
    )


def _without_weight(groups: Iterable[_Group]) -> Iterator[OpenInput]:
    """Yield the open inputs of a method whose verdict is settled: none settles or changes it."""
    for group in groups:
        for part in group.parts:
            for asked, criteria in part.asking.items():
                yield OpenInput(asked, criteria, settles=False, answerable=_answerable(asked), hangs=_never)


def _never() -> bool:
    return False


def _weighed(compiled: _Compiled, groups: Sequence[_Group], by_group: Sequence[Ways]) -> Iterator[OpenInput]:
    """Yield every open input, and whether some answer settles the verdict."""
    for position, group in enumerate(groups):
        others = _joined((*by_group[:position], *by_group[position + 1 :]), (1 << -compiled.floor, 0))
        for part, beside in group.without_each():
            settling = {
                ways: len(_verdicts(compiled, _joined((group.within(_sums(beside, ways)),), others))) == 1
                for ways in {ways for each in part.after.values() for ways in each}
            }
            for asked, each in part.after.items():
                yield OpenInput(
                    leaf=asked,
                    criteria=part.asking[asked],
                    settles=any(settling[ways] for ways in each),
                    answerable=_answerable(asked),
                    hangs=partial(_hangs_on, compiled, part.turns[asked], group, beside, others),
                )


def _answerable(asked: Input) -> bool:
    return not isinstance(asked, Unresolved) or asked.answerable


def _in_order(compiled: _Compiled, found: Iterable[OpenInput]) -> tuple[OpenInput, ...]:
    """Return open inputs in the order in which the criteria ask."""
    order = {criterion.id: position for position, criterion in enumerate(compiled.method.criteria)}
    return tuple(sorted(found, key=lambda one: order[one.criteria[0]]))
