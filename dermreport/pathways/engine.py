"""The one engine that reads a pathway: which steps hold, what they expect by when, and how the plan stands to them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import timedelta
from functools import cache, lru_cache
from typing import TYPE_CHECKING, Any

from msgspec import Struct

from dermreport.examination.decided import Action
from dermreport.examination.times import calendar_day, is_after_day
from dermreport.expressions.evaluate import Deciding, Scope, Surely
from dermreport.expressions.nodes import Fact, leaves
from dermreport.issues import Issue, Severity
from dermreport.pathway import Choice, Pathway, Step
from dermreport.pathways.expected import Expected, ExpectedStep
from dermreport.pathways.facts import facts, is_sign
from dermreport.pathways.issue_rules import (
    HAZARD,
    PATHWAY_RULES,
    RULE_OF,
    SAID_BY,
    Kept,
)
from dermreport.pathways.reading import NEUTRAL, shipped_pathway
from dermreport.rules.facts_plans import gives_reason
from dermreport.rules.red_flags import ANSWERED, SIGNS
from dermreport.rules.tables import RULES
from dermreport.vocabulary.action_kinds import ActionKind
from dermreport.vocabulary.plan_actions import PlanAction
from dermreport.vocabulary.summaries import Summary
from dermreport.vocabulary.urgencies import Urgency

if TYPE_CHECKING:
    from dermreport.rules.context import Context
    from dermreport.settings import Settings

#: Pathways that are kept compiled: those of a host, and some that come and go.
_KEPT_COMPILED = 32
#: Nothing was said on urgency: it waits for its turn.
_UNSAID = Urgency.ROUTINE


class _Asked(Struct, frozen=True):
    """A condition as functions: whether it surely holds, and whether it surely doesn't."""

    holds: Surely
    fails: Surely


class _Way(Struct, frozen=True):
    choice: Choice
    only_if: _Asked | None
    takes: frozenset[PlanAction]
    urgency: Urgency


class _Row(Struct, frozen=True):
    step: Step
    name: str
    when: _Asked
    ways: tuple[_Way, ...]
    signs: bool


@lru_cache(maxsize=_KEPT_COMPILED)
def _compiled(pathway: Pathway) -> tuple[_Row, ...]:
    choices = [choice for step in pathway.steps for choice in step.choices if choice.only_if is not None]
    deciding = Deciding((*(step.when for step in pathway.steps), *(one.only_if for one in choices if one.only_if)))

    def asked(condition: Any) -> _Asked:  # noqa: ANN401 - any expression
        return _Asked(deciding.surely(condition), deciding.surely_not(condition))

    rows = []
    for step in pathway.steps:
        ways = tuple(
            _Way(
                one,
                asked(one.only_if) if one.only_if is not None else None,
                frozenset(action for action in PlanAction if action.kind in one.kinds or action in one.actions),
                one.urgency or step.urgency or _UNSAID,
            )
            for one in step.choices
        )
        rows.append(_Row(step, f"{pathway.id}/{step.id}", asked(step.when), ways, _asks_signs(step)))
    return tuple(rows)


def _asks_signs(step: Step) -> bool:
    """Whether it is the core's step on warning signs, which are answered as their own rules ask."""
    return step.core and all(isinstance(leaf, Fact) and is_sign(leaf) for leaf in leaves(step.when))


@cache
def _judgements() -> frozenset[str]:
    """Return the rules that a departure silences; a gap (no date, no picture) has no reason."""
    return frozenset(rule.id for rule in RULES if Fact(f"departs-from.{rule.id}") in leaves(rule.when))


def pathway_of(settings: Settings) -> Pathway:
    """Return the pathway in force: the host's, or the neutral one."""
    return settings.pathway if settings.pathway is not None else shipped_pathway(NEUTRAL)


class _Days:
    """Calendar days counted from the examination."""

    def __init__(self, examined: str) -> None:
        self._first = calendar_day(examined)

    def after(self, days: int | None) -> str | None:
        """Return the day so many days later; None past the calendar's end."""
        if days is None:
            return None
        try:
            return (self._first + timedelta(days)).isoformat()
        except OverflowError:
            return None

    def surely_later(self, action: Action, days: int | None) -> bool:
        """Whether a planned step's day surely lies more than so many days after the examination."""
        planned = action.date or action.latest or action.earliest
        if planned is None or days is None:
            return False
        try:
            return is_after_day(planned, self._first + timedelta(days)) is True
        except OverflowError:
            return False


def compare(
    scope: Scope, issues: Sequence[Issue], summary: Summary, *, signs_of_plugins: bool = False
) -> tuple[Expected, tuple[Issue, ...]]:
    """Compare the plan with the pathway in force.

    Args:
        scope: The scope on which the rules were checked; its context holds the pathway.
        issues: What the rules found.
        summary: The word on the whole, which no pathway changes.
        signs_of_plugins: Whether a warning sign of a plugin stands that nothing answers.

    Returns:
        What is expected, and the issues, the gravest first; none of them changes anything of the plan.
    """
    pathway: Pathway = scope.context.pathway
    context = replace(scope.context, summary=summary, signs_of_plugins=signs_of_plugins)
    comparing = _Comparing(scope, issues, context)
    held: list[tuple[_Row, ExpectedStep]] = []
    opened: list[_Row] = []
    for row in _compiled(pathway):
        if row.when.holds(comparing.scope, None):
            held.append((row, comparing.stand(row)))
        elif not row.when.fails(comparing.scope, None):
            opened.append(row)
    found = [issue for _, one in held for issue in comparing.issues_of(one)]
    found += comparing.open_issues(opened)
    if held and scope.answers.examination.examined[: len(pathway.valid_from)] < pathway.valid_from:
        values = {"pathway": f"{pathway.title} {pathway.version}", "valid_from": pathway.valid_from}
        found.append(replace(PATHWAY_RULES["pathway-not-yet-valid"].at("$.examined", **values), hazard=HAZARD))
    found.sort(key=lambda issue: issue.severity.rank)
    return _summed(pathway, held, opened, comparing.days), tuple(found)


class _Comparing:
    """One examination beside a pathway."""

    def __init__(self, scope: Scope, issues: Sequence[Issue], context: Context) -> None:
        # The same things read and decided as for the rules: a condition that both ask is decided once.
        self.scope = Scope(scope.answers, facts(), context, read=scope.read, known=scope.known)
        plan = scope.answers.examination.plan
        self.pathway: Pathway = scope.context.pathway
        self.actions: tuple[Action, ...] = plan.actions if plan is not None else ()
        departures = plan.departures if plan is not None else ()
        self.departed = frozenset(one.departs_from for one in departures if gives_reason(one))
        self.days = _Days(scope.answers.examination.examined)
        self.severities: Mapping[str, Severity] = {issue.rule: issue.severity for issue in reversed(issues)}

    def stand(self, row: _Row) -> ExpectedStep:
        """Return how the plan stands to a step."""
        kept, way = self._kept(row)
        shown = way.choice if way is not None else row.step.choices[0] if row.step.choices else None
        return ExpectedStep(
            step=row.step,
            name=row.name,
            kept=kept,
            choice=way.choice if way is not None else None,
            not_before=self.days.after(shown.from_days) if shown is not None else None,
            by=self.days.after(shown.within_days) if shown is not None else None,
            answer_by=self.days.after(row.step.answer_days),
        )

    def _kept(self, row: _Row) -> tuple[Kept, _Way | None]:
        kept, way = self._planned(row)
        if kept in {Kept.MET, Kept.DECLINED}:
            return kept, way
        if self._is_departed(row, kept):
            return Kept.DEPARTED, way
        if row.signs and kept in {Kept.MISSING, Kept.OPEN} and self._signs_are_answered():
            return Kept.ANSWERED, way
        return kept, way

    def _planned(self, row: _Row) -> tuple[Kept, _Way | None]:
        """Return the best that a planned step does for this step of the pathway."""
        if not row.ways:
            return Kept.MET, None
        best: tuple[Kept, _Way | None] = (Kept.MISSING, None)
        for action in self.actions:
            if action.action is PlanAction.DECLINED_BY_PATIENT:
                best = _better(best, (Kept.DECLINED, None))
            for way in row.ways:
                best = _better(best, (self._does(action, way, row.step), way))
        return best

    def _does(self, action: Action, way: _Way, step: Step) -> Kept:
        if not isinstance(action.action, PlanAction):
            # Somebody else's code: nobody here can tell what it does.
            return Kept.OPEN
        if action.action not in way.takes:
            return Kept.MISSING
        if way.only_if is not None and not way.only_if.holds(self.scope, action):
            return Kept.MISSING if way.only_if.fails(self.scope, action) else Kept.OPEN
        if _urgency(action).rank < way.urgency.rank:
            return Kept.LESS_URGENT
        limits = [days for days in (way.choice.within_days, step.answer_days) if days is not None]
        if limits and self.days.surely_later(action, min(limits)):
            return Kept.LATER
        return Kept.MET

    def _is_departed(self, row: _Row, kept: Kept) -> bool:
        """Whether a reason was given: for the step, a rule that says the same, or the scores that call for it."""
        if not self.departed:
            return False
        if row.name in self.departed:
            return True
        said_by = SAID_BY.get(Kept.MISSING if kept is Kept.OPEN else kept, frozenset())
        if not (said_by & _judgements()).isdisjoint(self.departed):
            return True
        if row.signs:
            return not SIGNS.keys().isdisjoint(self.departed) and self._signs_are_answered()
        return self._only_departed_scores_call(row)

    def _only_departed_scores_call(self, row: _Row) -> bool:
        """Whether the step would no longer hold without the scores that a departure names."""
        scores = self.scope.context.scores
        left = {
            code: result
            for code, result in scores.items()
            if self.departed.isdisjoint((result.method.code.value, result.method.id))
        }
        if len(left) == len(scores):
            return False
        without = Scope(self.scope.answers, self.scope.facts, replace(self.scope.context, scores=left))
        return not row.when.holds(without, None)

    def _signs_are_answered(self) -> bool:
        """Whether each warning sign that is there is answered as its own rule asks."""
        fired = self.severities.keys()
        answered = any(f"{sign}{ANSWERED}" in fired for sign in SIGNS) and not any(sign in fired for sign in SIGNS)
        return answered and not self.scope.context.signs_of_plugins

    def issues_of(self, one: ExpectedStep) -> Iterable[Issue]:
        """Yield what is said of a step that holds; nothing where a core rule says it already."""
        rule = RULE_OF.get(one.kept)
        if rule is None or self._is_said(one):
            return
        if one.kept is Kept.DEPARTED and one.name not in self.departed:
            # The reason names a rule, a sign or a score: the core rules say that it is there.
            return
        if not one.step.binding and PATHWAY_RULES[rule].severity is Severity.WARNING:
            rule = "pathway-to-consider"
        yield self._issue(rule, one.step, one.name, one.by or one.answer_by or "")

    def _is_said(self, one: ExpectedStep) -> bool:
        severity = PATHWAY_RULES[RULE_OF[one.kept]].severity
        said = SAID_BY.get(one.kept, frozenset())
        if _asks_signs(one.step) and one.kept in {Kept.MISSING, Kept.LESS_URGENT, Kept.LATER}:
            # Of a plugin's sign no rule of the library's says what the plan lacks.
            said |= SIGNS.keys() if not self.scope.context.signs_of_plugins else frozenset()
        return any(rule in said and found.rank <= severity.rank for rule, found in self.severities.items())

    def open_issues(self, rows: Sequence[_Row]) -> list[Issue]:
        """Return a question for each step that may apply and that the plan would not meet if it did."""
        found = []
        for row in rows:
            kept, _ = self._kept(row)
            if kept is Kept.DEPARTED:
                if row.name in self.departed:
                    found.append(self._issue("pathway-departure-recorded", row.step, row.name, ""))
            elif kept not in {Kept.MET, Kept.DECLINED, Kept.ANSWERED}:
                found.append(self._issue("pathway-condition-open", row.step, row.name, ""))
        return found

    def _issue(self, rule: str, step: Step, name: str, by: str) -> Issue:
        values = {
            "step": step.title,
            "name": name,
            "pathway": f"{self.pathway.title} {self.pathway.version}",
            "expected": step.message,
            "urgency": step.urgency if step.urgency is not None else "",
            "by": by,
            "ask": step.ask or "Record what its condition asks.",
        }
        message = PATHWAY_RULES[rule].message
        used = {key: value for key, value in values.items() if f"{{{key}}}" in message}
        made = PATHWAY_RULES[rule].at(self._place(rule, name), **used)
        return replace(made, source=step.source, hazard=HAZARD)

    def _place(self, rule: str, name: str) -> str:
        if rule == "pathway-departure-recorded":
            plan = self.scope.answers.examination.plan
            for position, one in enumerate(plan.departures if plan is not None else ()):
                if one.departs_from == name:
                    return f"$.plan.departures[{position}].departs_from"
            return "$.plan.departures"
        return "$.plan.actions"


#: What a planned step does for a step of the pathway, the best first.
_BEST_FIRST = (Kept.MET, Kept.DECLINED, Kept.LATER, Kept.LESS_URGENT, Kept.OPEN, Kept.MISSING)
_PLACE = {kept: place for place, kept in enumerate(_BEST_FIRST)}


def _better(one: tuple[Kept, _Way | None], other: tuple[Kept, _Way | None]) -> tuple[Kept, _Way | None]:
    return other if _PLACE[other[0]] < _PLACE[one[0]] else one


def _urgency(action: Action) -> Urgency:
    """Return a planned step's urgency; the pathway for suspected cancer is urgent unless a slower word is given."""
    if action.urgency is not None:
        return action.urgency
    return Urgency.URGENT if action.action is PlanAction.REFER_SUSPECTED_CANCER else _UNSAID


def _summed(pathway: Pathway, held: list[tuple[_Row, ExpectedStep]], opened: list[_Row], days: _Days) -> Expected:
    steps = [one for _, one in held]
    urgencies = [one.step.urgency for one in steps if one.step.urgency is not None]
    most = max(urgencies, key=lambda urgency: urgency.rank, default=None)
    taken = [
        [way for way in row.ways if way.only_if is None or way.choice is one.choice] for row, one in held if row.ways
    ]
    kinds = _in_each([{kind for way in ways for kind in way.choice.kinds} for ways in taken])
    actions = _in_each([{action for way in ways for action in way.takes} for ways in taken])
    advised = [(one, one.step.advice) for one in steps if one.step.advice is not None]
    # Who is watched comes back at the end of the window, and waits for no appointment of somebody else's.
    come_back = [one.by if _is_watched(one) else days.after(advice.come_back_days) for one, advice in advised]
    heard = [days.after(advice.heard_days) for one, advice in advised if not _is_watched(one)]
    return Expected(
        pathway=pathway,
        steps=tuple(steps),
        open=tuple(row.step for row in opened),
        urgency=most,
        kinds=tuple(kind for kind in ActionKind if kind in kinds) if kinds else (),
        actions=tuple(sorted((one for one in actions if one.kind not in kinds), key=_PLANNED_FIRST.__getitem__)),
        by=_first(one.by for one in steps if one.step.urgency is most),
        answer_by=_first(one.answer_by for one in steps),
        watch_for=tuple(dict.fromkeys(text for _, advice in advised for text in advice.watch_for)),
        come_back_by=_first(come_back),
        heard_by=_first(heard),
    )


def _in_each(sets: list[set[Any]]) -> set[Any]:
    return set.intersection(*sets) if sets else set()


#: The order of the table, in which planned steps are told.
_PLANNED_FIRST = {action: place for place, action in enumerate(PlanAction)}


def _first(found: Iterable[str | None]) -> str | None:
    return min((one for one in found if one is not None), default=None)


def _is_watched(one: ExpectedStep) -> bool:
    """Whether the plan takes a choice that is monitoring and nothing else."""
    if one.choice is None:
        return False
    kinds = {*one.choice.kinds, *(action.kind for action in one.choice.actions)}
    return kinds == {ActionKind.MONITORING}
