"""The lowest and the highest total that open inputs leave, as FHIRPath: exact, without trying every completion.

A criterion that asks each of its inputs once can become either while it is open, so its ends are those of its three
values. Where criteria share inputs, each answer to the shared ones is tried: what is left asks each input once. Where
criteria look only at how many of some parts hold, each number of them that is possible is tried. Totals are integer
tenths.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import product

from dermreport.expressions.evaluate import joints
from dermreport.expressions.fhirpath import OPEN, Binding, Printer
from dermreport.expressions.nodes import All, Any, AtLeastOf, Expression, Given, Leaf, Not, Unresolved, leaves
from dermreport.form.score_variables import Variable
from dermreport.scores.completions import Remainder, clusters
from dermreport.scores.method import Counted, Criterion, Method, PartRange

#: Inputs of which every state is tried, at most: three states each.
_MOST_TRIED = 8


class NotExactError(Exception):
    """A method's criteria share inputs in a way for which no exact interval is known here."""


@dataclass(frozen=True, slots=True)
class Tally:
    """How many of some parts hold, as FHIRPath: every number from the least to the most is possible.

    Attributes:
        parts: What is counted.
        sure: How many of them hold for sure, each looked at alone.
        possible: How many of them may hold, each looked at alone.
        least: The least number in any completion.
        most: The largest number in any completion.
    """

    parts: tuple[Expression, ...]
    sure: str
    possible: str
    least: str
    most: str


class Sheet(Printer):
    """The variables of the scores, in the order in which they build on each other; an expression is printed once."""

    def __init__(self, binding: Binding) -> None:
        """Take how leaves are read."""
        super().__init__(binding)
        self._fields = binding
        self.variables: list[Variable] = []
        self._names: dict[Expression, str] = {}
        self._tallies: dict[tuple[Expression, ...], Tally] = {}

    def text(self, expression: Expression) -> str:  # pyright: ignore[reportIncompatibleVariableOverride]  # called alike
        """Return the FHIRPath of an expression: a variable where it has one."""
        if expression in self._names:
            return f"%{self._names[expression]}"
        if isinstance(expression, AtLeastOf) and expression.parts in self._tallies:
            tally, number = self._tallies[expression.parts], expression.number
            return f"iif({tally.sure} >= {number}, true, iif({tally.possible} >= {number}, {OPEN}, false))"
        return super().text(expression)

    def number(self, name: str, criterion: Counted) -> str:
        """Give the number that a criterion counts a variable: empty where none within its range is recorded."""
        within = f"$this >= {criterion.lowest} and $this <= {criterion.highest}"
        return self.add(name, f"{self._fields.number(criterion.path)}.where({within})")

    def add(self, name: str, expression: str) -> str:
        """Add a variable; return how it is used."""
        self.variables.append(Variable(name, expression))
        return f"%{name}"

    def name(self, name: str, expression: Expression) -> str:
        """Give an expression a variable, unless it has one; return how it is used."""
        if expression not in self._names:
            self.add(name, self.text(expression))
            self._names[expression] = name
        return f"%{self._names[expression]}"

    def tally(self, name: str, parts: tuple[Expression, ...]) -> Tally:
        """Return how many of some parts can hold.

        Raises:
            NotExactError: The parts share inputs in a way for which no exact number is known here.
        """
        if parts not in self._tallies:
            self._tallies[parts] = self._counted(name, parts)
        return self._tallies[parts]

    def _counted(self, name: str, parts: tuple[Expression, ...]) -> Tally:
        sure = self.add(f"{name}Sure", self._sure(parts))
        possible = self.add(f"{name}Possible", self._possible(parts))
        shared = shared_leaves(parts)
        together = tuple(part for part in parts if not shared.isdisjoint(leaves(part)))
        if not together:
            return Tally(parts, sure, possible, sure, possible)
        if not _is_gapless(together):
            raise NotExactError
        cases = self._cases(together, shared)
        fewest = self.add(f"{name}Fewest", _union(cases, self._sure))
        largest = self.add(f"{name}Largest", _union(cases, self._possible))
        numbers = range(len(together) + 1)
        least = f"{sure} - ({self._sure(together)}) + {_first_of(fewest, numbers)}"
        most = f"{possible} - ({self._possible(together)}) + {_first_of(largest, tuple(reversed(numbers)))}"
        return Tally(parts, sure, possible, self.add(f"{name}Least", least), self.add(f"{name}Most", most))

    def _sure(self, parts: Iterable[Remainder]) -> str:
        return " + ".join(
            "1" if part is True else "0" if part is False else f"iif({self.text(part)}, 1, 0)" for part in parts
        )

    def _possible(self, parts: Iterable[Remainder]) -> str:
        return " + ".join(
            "1" if part is True else "0" if part is False else f"iif({self.text(part)}.not(), 0, 1)" for part in parts
        )

    def _cases(self, parts: tuple[Expression, ...], shared: frozenset[Leaf]) -> dict[tuple[Remainder, ...], str]:
        """Return what each answer to the shared inputs leaves of the parts, with the text that tells if it may be."""
        inputs = tuple(
            leaf for leaf in dict.fromkeys(leaf for part in parts for leaf in leaves(part)) if leaf in shared
        )
        cases: dict[tuple[Remainder, ...], set[str]] = {}
        for values in product((True, False), repeat=len(inputs)):
            answered = dict(zip(inputs, values, strict=True))
            rest = tuple(substituted(part, answered) for part in parts)
            if shared_leaves(part for part in rest if not isinstance(part, bool)):
                raise NotExactError
            cases.setdefault(rest, set()).add(self._may_be(answered))
        return {rest: " or ".join(sorted(conditions)) for rest, conditions in cases.items()}

    def _may_be(self, answered: Mapping[Leaf, bool]) -> str:
        """Return whether inputs that are known allow these answers; what no entry tells allows any."""
        conditions = [
            f"iif({self.text(leaf)}.not(), false, true)" if value else f"iif({self.text(leaf)}, false, true)"
            for leaf, value in answered.items()
            if not isinstance(leaf, Unresolved)
        ]
        return " and ".join(conditions) or "true"


def _union(cases: Mapping[tuple[Remainder, ...], str], number: Callable[[Iterable[Remainder]], str]) -> str:
    """Return the numbers of all cases that may be."""
    return " | ".join(f"iif({condition}, {number(rest)}, {{}})" for rest, condition in cases.items())


def _first_of(numbers: str, order: Sequence[int]) -> str:
    """Return the first number, in an order, that is in a set; the last where no other is."""
    text = str(order[-1])
    for number in reversed(order[:-1]):
        text = f"iif({number} in {numbers}, {number}, {text})"
    return text


def shared_leaves(parts: Iterable[Expression]) -> frozenset[Leaf]:
    """Return what some parts ask more than once, and what can be open."""
    asked = Counter(leaf for part in parts for leaf in leaves(part) if not isinstance(leaf, Given))
    return frozenset(leaf for leaf, times in asked.items() if times > 1)


def _is_gapless(parts: Sequence[Expression]) -> bool:
    """Return whether, whatever is known, each number between two possible ones is possible too."""
    inputs = tuple(dict.fromkeys(leaf for part in parts for leaf in leaves(part)))
    if len(inputs) > _MOST_TRIED:
        return False
    numbers = {
        answers: sum(substituted(part, dict(zip(inputs, answers, strict=True))) is True for part in parts)
        for answers in product((True, False), repeat=len(inputs))
    }
    still_open = ((True, False),)
    states = (still_open if isinstance(leaf, Unresolved) else (*still_open, (True,), (False,)) for leaf in inputs)
    for known in product(*states):
        possible = {numbers[answers] for answers in product(*known)}
        if len(possible) <= max(possible) - min(possible):
            return False
    return True


def substituted(expression: Expression, answered: Mapping[Leaf, bool]) -> Remainder:
    """Return what is left of an expression when some of its inputs are answered: its truth where they decide it."""
    match expression:
        case All(parts):
            return _joined(All, [substituted(part, answered) for part in parts], decides=False)
        case Any(parts):
            return _joined(Any, [substituted(part, answered) for part in parts], decides=True)
        case Not(part):
            rest = substituted(part, answered)
            return not rest if isinstance(rest, bool) else Not(rest)
        case AtLeastOf():
            raise NotExactError
        case leaf:
            return answered.get(leaf, leaf)


def _joined(joint: type[All | Any], parts: Sequence[Remainder], *, decides: bool) -> Remainder:
    if any(part is decides for part in parts):
        return decides
    left = tuple(part for part in parts if not isinstance(part, bool))
    if not left:
        return not decides
    return left[0] if len(left) == 1 else joint(left)


# --- One method ------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Span:
    """The ends of a total, or of a part of it, in tenths, as FHIRPath."""

    low: str
    high: str


@dataclass(frozen=True, slots=True)
class Interval:
    """What a method's open inputs leave, as FHIRPath.

    Attributes:
        total: The ends of its total.
        outside: Each reason why it gives no number because a part of the total is outside its published range, with
            the condition under which it does.
        above: Whether the total may count as reaching the one threshold, where something vetoes; else ``None``.
        below: Whether it may count as below the threshold, where something vetoes; else ``None``.
    """

    total: Span
    outside: tuple[tuple[str, str], ...] = ()
    above: str | None = None
    below: str | None = None


def interval(sheet: Sheet, prefix: str, method: Method) -> Interval:
    """Add the variables of a method's criteria to the sheet; return what its total builds on.

    Args:
        sheet: The variables so far.
        prefix: With what the names of the method's own begin.
        method: The method.

    Raises:
        NotExactError: The method is of a shape for which no exact interval is known here.
    """
    spans: list[Span] = []
    counting: list[_Counting] = []
    outside: list[tuple[str, str]] = []
    for group in dict.fromkeys(one.group for one in method.criteria):
        criteria = [one for one in method.criteria if one.group == group]
        limits = [limit for limit in method.part_ranges if limit.group == group]
        if limits:
            if len(limits) > 1:
                raise NotExactError
            (limit,) = limits
            span, refused = _limited(sheet, prefix, criteria, limit)
            spans.append(span)
            outside.append((limit.reason, refused))
            continue
        for positions in clusters(_asked(one) for one in criteria):
            cluster = [criteria[position] for position in positions]
            if _shares(cluster):
                counting.append(_counting(sheet, prefix, cluster))
            else:
                spans += [_span(sheet, prefix, one) for one in cluster]
    rest = Span(_sum(span.low for span in spans), _sum(span.high for span in spans))
    vetoes = [one for one in method.criteria if isinstance(one, Criterion) and one.vetoes]
    if not vetoes and not counting:
        return Interval(rest, tuple(outside))
    return _with_vetoes(sheet, prefix, method, rest, counting)


def criterion_name(prefix: str, criterion: Criterion | Counted) -> str:
    """Return the variable that holds whether a criterion is met, or its number."""
    return f"{prefix}{camel(criterion.id)}"


def camel(words: str) -> str:
    """Return words joined by hyphens as one word with capitals: ``first-axis`` is ``FirstAxis``."""
    return "".join(word.capitalize() for word in words.split("-"))


def _sum(texts: Iterable[str]) -> str:
    return " + ".join(texts) or "0"


def _span(sheet: Sheet, prefix: str, criterion: Criterion | Counted) -> Span:
    """Return the ends of what a criterion gives that shares no input."""
    if isinstance(criterion, Counted):
        number = sheet.number(criterion_name(prefix, criterion), criterion)
        ends = (
            f"{criterion.tenths} * iif({number}.exists(), {number}, {end})"
            for end in (criterion.lowest, criterion.highest)
        )
        return Span(*(ends if criterion.tenths > 0 else reversed(tuple(ends))))
    truth, tenths = sheet.name(criterion_name(prefix, criterion), criterion.when), criterion.tenths
    ends_of_truth = (f"iif({truth}, {tenths}, 0)", f"iif({truth}.not(), 0, {tenths})")
    return Span(*(ends_of_truth if tenths > 0 else reversed(ends_of_truth))) if tenths else Span("0", "0")


def _asked(criterion: Criterion | Counted) -> frozenset[Leaf]:
    """Return the inputs of a criterion that can be open."""
    if isinstance(criterion, Counted):
        return frozenset()
    return frozenset(leaf for leaf in leaves(criterion.when) if not isinstance(leaf, Given))


def _shares(cluster: Sequence[Criterion | Counted]) -> bool:
    return bool(shared_leaves(one.when for one in cluster if isinstance(one, Criterion)))


# --- Parts of a total with a published range -------------------------------------------------------------------------


def _limited(sheet: Sheet, prefix: str, criteria: Sequence[Criterion | Counted], limit: PartRange) -> tuple[Span, str]:
    """Return the ends of a part of the total within its range, and whether it has no number in it.

    Raises:
        NotExactError: Its criteria don't each count the same.
    """
    parts = [one for one in criteria if isinstance(one, Criterion) and not one.vetoes]
    tenths = parts[0].tenths if parts else 0
    if len(parts) != len(criteria) or tenths <= 0 or any(one.tenths != tenths for one in parts):
        raise NotExactError
    for one in parts:
        sheet.name(criterion_name(prefix, one), one.when)
    tally = sheet.tally(f"{prefix}{camel(limit.group)}", tuple(one.when for one in parts))
    low = f"iif({tally.least} > {limit.lowest}, {tally.least}, {limit.lowest})"
    high = f"iif({tally.most} < {limit.highest}, {tally.most}, {limit.highest})"
    refused = f"{tally.most} < {limit.lowest} or {tally.least} > {limit.highest}"
    return Span(f"{tenths} * {low}", f"{tenths} * {high}"), refused


# --- Criteria that look only at a number, and vetoes -----------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Counting:
    """Criteria that look only at how many of some parts hold.

    Attributes:
        possible: The variable with the numbers that are possible.
        gives: What each number gives: tenths, and whether it vetoes.
    """

    possible: str
    gives: tuple[tuple[int, bool], ...]

    def some(self, *wanted: tuple[int, bool]) -> str:
        """Return whether a number is possible that gives one of these."""
        numbers = [str(number) for number, given in enumerate(self.gives) if given in wanted]
        return f"%{self.possible}.intersect({'|'.join(numbers)}).exists()"

    def first(self, order: Sequence[int]) -> str:
        """Return the first of some tenths, in an order, that a possible number gives."""
        text = str(order[-1])
        for tenths in reversed(order[:-1]):
            text = f"iif({self.some((tenths, True), (tenths, False))}, {tenths}, {text})"
        return text


def _counting(sheet: Sheet, prefix: str, cluster: Sequence[Criterion | Counted]) -> _Counting:
    """Return what criteria give by the number of some parts.

    Raises:
        NotExactError: They look at something else too, or not all at the same parts.
    """
    criteria = [one for one in cluster if isinstance(one, Criterion)]
    looked_at = {parts for one in criteria for parts in _counted_parts(one.when)}
    if len(looked_at) != 1:
        raise NotExactError
    (parts,) = looked_at
    name = f"{prefix}{camel(criteria[-1].id)}"
    tally = sheet.tally(f"{name}Count", parts)
    numbers = range(len(parts) + 1)
    possible = f"{name}Numbers"
    every = "|".join(str(number) for number in numbers)
    sheet.add(possible, f"({every}).where($this >= {tally.least} and $this <= {tally.most})")
    for one in criteria:
        sheet.name(criterion_name(prefix, one), one.when)
    met = [[one for one in criteria if _holds_for(one.when, number)] for number in numbers]
    return _Counting(
        possible, tuple((sum(one.tenths for one in some), any(one.vetoes for one in some)) for some in met)
    )


def _counted_parts(expression: Expression) -> set[tuple[Expression, ...]]:
    match expression:
        case AtLeastOf(_, parts):
            return {parts}
        case All(parts) | Any(parts):
            return {found for part in parts for found in _counted_parts(part)}
        case Not(part):
            return _counted_parts(part)
    raise NotExactError


def _holds_for(expression: Expression, number: int) -> bool:
    """Return the truth of an expression that looks only at how many parts hold."""
    match expression:
        case AtLeastOf(least, _):
            return number >= least
        case All(parts):
            return all(_holds_for(part, number) for part in parts)
        case Any(parts):
            return any(_holds_for(part, number) for part in parts)
        case Not(part):
            return not _holds_for(part, number)
    raise NotExactError


def _with_vetoes(sheet: Sheet, prefix: str, method: Method, rest: Span, counting: Sequence[_Counting]) -> Interval:
    """Return the interval of a method in which a criterion vetoes the total, or criteria look at one number.

    Raises:
        NotExactError: It has several thresholds, ranges of its parts, looks at several numbers, or what vetoes counts.
    """
    vetoing = [one for one in method.criteria if isinstance(one, Criterion) and one.vetoes and not _counts(one)]
    if any(one.tenths for one in vetoing):
        raise NotExactError
    if len(counting) != 1 or len(method.thresholds) != 1 or method.part_ranges:
        raise NotExactError
    (number,), (threshold,) = counting, method.thresholds
    rest = Span(sheet.add(f"{prefix}RestLow", rest.low), sheet.add(f"{prefix}RestHigh", rest.high))
    alone = [sheet.name(criterion_name(prefix, one), one.when) for one in vetoing]
    counts = sorted({tenths for tenths, vetoes in number.gives if not vetoes})
    reaching = " or ".join(
        f"({number.some((tenths, False))} and {rest.high} >= {threshold.from_tenths - tenths})" for tenths in counts
    )
    missing = " or ".join(
        f"({number.some((tenths, False))} and {rest.low} < {threshold.from_tenths - tenths})" for tenths in counts
    )
    vetoed = [f"iif({truth}.not(), false, true)" for truth in alone]
    if any(vetoes for _, vetoes in number.gives):
        vetoed.append(number.some(*((tenths, True) for tenths, _ in set(number.gives))))
    spared = [f"iif({truth}, false, true)" for truth in alone]
    given = sorted({tenths for tenths, _ in number.gives})
    return Interval(
        Span(f"{rest.low} + {number.first(given)}", f"{rest.high} + {number.first(given[::-1])}"),
        above=" and ".join((*spared, f"({reaching})")),
        below=" or ".join((*vetoed, missing)),
    )


def _counts(criterion: Criterion) -> bool:
    return any(isinstance(one, AtLeastOf) for one in joints(criterion.when))
