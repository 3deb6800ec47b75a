"""Two examinations of one lesion compared: what changed, what can't be told, and one careful word on both."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING, Final, Self

from dermreport.examination.times import calendar_day
from dermreport.expressions.evaluate import Scope
from dermreport.over_time import changes, kinds
from dermreport.over_time.alike import Course, course, courses, known_lights, pairs, same_lights
from dermreport.over_time.growth import growth
from dermreport.over_time.kinds import CAUTIONS, FollowUpRule, Gap, Weight
from dermreport.over_time.results import not_clearing
from dermreport.over_time.told import of_history
from dermreport.rules.conditions import FIRM, RAISED, SLOW_ON_THE_FACE, UNSUITED_FOR_MONITORING, planned_action
from dermreport.rules.engine import deciding
from dermreport.rules.facts import FACTS, Context
from dermreport.rules.red_flags import ANSWERED
from dermreport.rules.windows import FACE, LONG, SHORT, Window
from dermreport.vocabulary.colours import Colour
from dermreport.vocabulary.lights import Light
from dermreport.vocabulary.modes import Mode
from dermreport.vocabulary.plan_actions import PlanAction
from dermreport.vocabulary.statuses import Status
from dermreport.vocabulary.structures import Structure

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from decimal import Decimal

    from dermreport.expressions.nodes import Expression
    from dermreport.over_time.changes import Change
    from dermreport.over_time.growth import Growth
    from dermreport.reviews.review import Review
    from dermreport.scores.engine import ScoreResult


class SeriesVerdict(StrEnum):
    """One careful word on two examinations; none of them says that a lesion is harmless."""

    words: str

    def __new__(cls, code: str, words: str = "") -> Self:
        """Make one row: the code is the value."""
        member = str.__new__(cls, code)
        member._value_ = code
        member.words = words
        return member

    CANCER_FOUND = "cancer-found", "a pathologist found a cancer: that result counts, not the comparison"
    CHANGED = "changed", "changed: by the rule a change that counts"
    NO_SIGNIFICANT_CHANGE = "no-significant-change", "no change that counts by the rule, which excludes nothing"
    NOT_SETTLED = "not-settled", "not settled"
    NOT_COMPARABLE = "not-comparable", "not comparable"


class Interval(StrEnum):
    """Where the days between two examinations lie among the intervals that were studied."""

    TOO_SOON = "sooner than studied"
    SHORT = "within the short interval"
    BETWEEN = "after the short interval, before the long one"
    LONG = "within the long interval"
    LATER = "later than studied"


@dataclass(frozen=True, slots=True)
class Weighed:
    """A change, and what the rule makes of it.

    Attributes:
        change: The change.
        weight: Significant, not significant, or undecided.
        source: Where that comes from and how it is known.
    """

    change: Change
    weight: Weight
    source: str


@dataclass(frozen=True, slots=True)
class ScoreThenNow:
    """One method at both examinations.

    Attributes:
        then: What it said at the earlier one.
        now: What it says at the later one.
        difference: Now less then, in points; ``None`` unless both are single numbers of one version and light.
    """

    then: ScoreResult
    now: ScoreResult
    difference: Decimal | None


@dataclass(frozen=True, slots=True)
class Comparison:
    """Two examinations of one lesion, the earlier one first.

    Attributes:
        then: Position of the earlier one in the series.
        now: Position of the later one.
        days: Calendar days between them, as written.
        interval: Where they lie among the intervals studied.
        rule: The published rule by which changes are read.
        window: The interval from which on the absence of change means something.
        lights: Lights that both used, as far as they are known.
        growth: Both diameters.
        structures: What became of each structure of which either says something, in a light that both share.
        open_colours: Colours that are open in one of them, or that were looked at in different lights.
        scores: Each method at both.
        changes: What changed, the significant first.
        gaps: Why nothing shows that nothing changed.
        verdict: One careful word.
    """

    then: int
    now: int
    days: int
    interval: Interval
    rule: FollowUpRule
    window: Window
    lights: tuple[Light, ...]
    growth: Growth
    structures: tuple[tuple[Structure, Course], ...]
    open_colours: tuple[Colour, ...]
    scores: tuple[ScoreThenNow, ...]
    changes: tuple[Weighed, ...]
    gaps: tuple[Gap, ...]
    verdict: SeriesVerdict

    @property
    def comparable(self) -> bool:
        """Whether they share a light that is known."""
        return bool(self.lights)

    @property
    def cautions(self) -> tuple[str, ...]:
        """What everybody must know who reads it."""
        return CAUTIONS

    @property
    def changed(self) -> bool:
        """Whether a change counts by the rule, also where a pathologist's result outranks it."""
        return bool(self.of_weight(Weight.SIGNIFICANT))

    def of_weight(self, weight: Weight) -> tuple[Weighed, ...]:
        """Return the changes of one weight."""
        return tuple(one for one in self.changes if one.weight is weight)

    def structures_of(self, wanted: Course) -> tuple[Structure, ...]:
        """Return the structures that took one course."""
        return tuple(structure for structure, taken in self.structures if taken is wanted)


def _holds(condition: Expression, review: Review) -> bool:
    scope = Scope(review.answers, FACTS, Context(review.scores, review.settings))
    return deciding().surely(condition)(scope, None)


_CHOSEN_FOR_SHORT: Final = planned_action(PlanAction.MONITOR_SHORT)


def _read_by(then: Review, now: Review, days: int) -> tuple[FollowUpRule, Window, Interval]:
    """Return rule and window.

    The rule for a long interval was made for lesions without a suspicious feature. So it is never taken for one that
    was chosen for a short interval, nor for a flat one of the face in which lentigo maligna is suspected.
    """
    if _holds(SLOW_ON_THE_FACE, then) or _holds(SLOW_ON_THE_FACE, now):
        return FollowUpRule.SHORT, FACE, Interval.TOO_SOON if days < FACE.from_days else _late(days, FACE)
    if days < SHORT.from_days:
        return FollowUpRule.SHORT, SHORT, Interval.TOO_SOON
    if days < LONG.from_days:
        return FollowUpRule.SHORT, SHORT, Interval.SHORT if days <= SHORT.to_days else Interval.BETWEEN
    if _holds(_CHOSEN_FOR_SHORT, then):
        return FollowUpRule.SHORT, SHORT, _late(days, LONG)
    return FollowUpRule.LONG, LONG, _late(days, LONG)


def _late(days: int, window: Window) -> Interval:
    return Interval.LONG if days <= window.to_days else Interval.LATER


def compare(reviews: Sequence[Review], earlier: int, later: int) -> Comparison:
    """Compare two examinations of one lesion.

    Args:
        reviews: All examinations of the series, in their order.
        earlier: Position of the earlier of the two.
        later: Position of the later one.
    """
    then, now = reviews[earlier], reviews[later]
    before, after = then.examination, now.examination
    days = max((calendar_day(after.examined) - calendar_day(before.examined)).days, 0)
    rule, window, interval = _read_by(then, now, days)
    lights = tuple(light for light in Light if light in known_lights(before) & known_lights(after))
    found = pairs(before, after, lights)
    taken = courses(before, after, found)
    grown = growth(before, after)
    alike = same_lights(before, after)
    seen = [*changes.of_size(grown), *changes.of_structures(taken, found)]
    if alike:
        seen.extend(changes.of_colours(then.answers.colours, now.answers.colours))
        seen.extend(changes.of_description(then.answers.whole_lesion, now.answers.whole_lesion))
    seen.extend(changes.of_lesion(before, after))
    seen.extend(of_history([one.examination for one in reviews[earlier : later + 1]], days))
    weighed = sorted(
        (Weighed(one, one.kind.weight(rule), one.kind.basis(rule).text) for one in seen),
        key=lambda one: _ORDER[one.weight],
    )
    open_colours = tuple(
        colour
        for colour in Colour
        if not alike or then.answers.colours[colour] is None or now.answers.colours[colour] is None
    )
    told = [one for one in weighed if one.change.kind in {kinds.TOLD, kinds.SHOWN}]
    undecided = any(one.weight is Weight.UNDECIDED for one in weighed if one not in told)
    results = tuple(not_clearing(reviews))
    unsettled = {
        Gap.CANCER_FOUND: any(one.cancer for one in results),
        Gap.RESULT_OPEN: any(not one.cancer for one in results),
        Gap.NO_COMMON_LIGHT: not lights,
        Gap.LIGHTS_DIFFER: bool(lights) and not alike,
        Gap.TOO_SOON: interval is Interval.TOO_SOON,
        Gap.NOT_HELD: bool(before.not_held or after.not_held),
        Gap.DRAFT: Status.DRAFT in {before.status, after.status},
        Gap.IMAGES_ONLY: Mode.IMAGES_ONLY in {before.mode, after.mode},
        Gap.ANOTHER_SITE: another_site(then, now),
        Gap.SIZE_OPEN: not grown.settled,
        Gap.COLOURS_OPEN: bool(open_colours),
        Gap.NOTHING_SHARED: all(one is Course.OPEN for one in taken.values()),
        Gap.STRUCTURES_OPEN: any(one is Course.OPEN for one in taken.values()),
        Gap.REGRESSION_OPEN: course(Structure.REGRESSION_STRUCTURES, found) is Course.OPEN,
        Gap.SYMMETRY_OPEN: not alike or not all(_symmetry_told(then, now)),
        Gap.CHANGE_UNDECIDED: undecided,
        Gap.CHANGE_TOLD: bool(told),
        Gap.WARNING_SIGN: any(not flag.rule.endswith(ANSWERED) for flag in now.red_flags),
        Gap.NOT_FOR_FOLLOW_UP: any(_holds(one, now) for one in (UNSUITED_FOR_MONITORING, RAISED, FIRM)),
    }
    gaps = tuple(gap for gap in Gap if unsettled.get(gap, False))
    return Comparison(
        then=earlier,
        now=later,
        days=days,
        interval=interval,
        rule=rule,
        window=window,
        lights=lights,
        growth=grown,
        structures=tuple(taken.items()),
        open_colours=open_colours,
        scores=tuple(_scores(then, now, alike=alike)),
        changes=tuple(weighed),
        gaps=gaps,
        verdict=_verdict(weighed, gaps),
    )


_ORDER: Final = {Weight.SIGNIFICANT: 0, Weight.UNDECIDED: 1, Weight.NOT_SIGNIFICANT: 2}


def _verdict(weighed: list[Weighed], gaps: tuple[Gap, ...]) -> SeriesVerdict:
    """Return the verdict: a change counts whenever it is seen; for its absence nothing may be open.

    A cancer that a pathologist found outranks both.
    """
    if Gap.CANCER_FOUND in gaps:
        return SeriesVerdict.CANCER_FOUND
    if any(one.weight is Weight.SIGNIFICANT for one in weighed):
        return SeriesVerdict.CHANGED
    if Gap.NO_COMMON_LIGHT in gaps:
        return SeriesVerdict.NOT_COMPARABLE
    return SeriesVerdict.NOT_SETTLED if gaps else SeriesVerdict.NO_SIGNIFICANT_CHANGE


def _symmetry_told(then: Review, now: Review) -> Iterator[bool]:
    for review in (then, now):
        for aspect in changes.ASPECTS:
            yield changes.asymmetric_axes(review.answers.whole_lesion, aspect) is not None


def another_site(then: Review, now: Review) -> bool:
    """Return whether site or side are recorded both times and differ."""
    before, after = then.examination.lesion, now.examination.lesion
    if before is None or after is None:
        return False
    told = ((before.site, after.site), (before.side, after.side))
    return any(one is not None and other is not None and one != other for one, other in told)


def _scores(then: Review, now: Review, *, alike: bool) -> Iterator[ScoreThenNow]:
    for code, before in then.scores.items():
        after = now.scores.get(code)
        if after is None:
            continue
        single = (
            alike
            and before.method.id == after.method.id
            and before.low is not None
            and after.low is not None
            and before.low == before.high
            and after.low == after.high
        )
        difference = after.low - before.low if single and after.low is not None and before.low is not None else None
        yield ScoreThenNow(before, after, difference)
