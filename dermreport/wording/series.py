"""A series in sentences: what a letter, a page and the command line say of one lesion over time."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING, Any

from dermreport.examination.base import OtherCode
from dermreport.over_time.alike import Course
from dermreport.over_time.kinds import CAUTIONS, Weight
from dermreport.vocabulary.term import Term
from dermreport.wording.findings import light_words
from dermreport.wording.issues import issue_lines
from dermreport.wording.names import structure_words, words
from dermreport.wording.sentences import total_words

if TYPE_CHECKING:
    from collections.abc import Iterator

    from dermreport.over_time.changes import Change, Shown
    from dermreport.over_time.comparison import Comparison, ScoreThenNow
    from dermreport.over_time.growth import Diameter
    from dermreport.over_time.series import Series


def series_as_text(series: Series) -> str:
    """Return a series as plain text."""
    text = [f"{len(series.reviews)} examinations of one lesion: {series.verdict.words}."]
    for comparison in series.comparisons:
        head, *rest = comparison_lines(series, comparison)
        text += [f"  {head}", *(f"    {line}" for line in rest)]
    text += [f"  {line}" for line in issue_lines(series.issues, series.reviews[0].language)]
    text += [f"  {caution}" for caution in CAUTIONS]
    return "\n".join(text)


def comparison_lines(series: Series, comparison: Comparison) -> Iterator[str]:
    """Yield what a comparison says: when, the word on it, size, changes, totals, and why nothing more can be told."""
    then, now = (series.reviews[place].examination.examined for place in (comparison.then, comparison.now))
    days = f"{comparison.days} day" if comparison.days == 1 else f"{comparison.days} days"
    yield f"{then} → {now}, {days}: {comparison.verdict.words}."
    seen_in = f"Compared in {light_words(comparison.lights)}" if comparison.lights else "Compared in no light"
    yield f"{seen_in}; {comparison.interval.value}; read by the rule for a {comparison.rule.value}."
    yield from _size(comparison)
    for weight in Weight:
        by_source: dict[str, list[str]] = {}
        for weighed in comparison.of_weight(weight):
            by_source.setdefault(weighed.source, []).append(change_words(weighed.change))
        for source, told in by_source.items():
            yield f"{weight.value.capitalize()}: {'; '.join(told)}. How that is known: {source.removesuffix('.')}."
    openly = comparison.structures_of(Course.OPEN)
    if openly:
        yield f"Open in one of the two: {'; '.join(structure_words(one) for one in openly)}."
    for score in comparison.scores:
        if score.then.valid or score.now.valid:
            yield score_words(score)
    for gap in comparison.gaps:
        yield gap.words


def change_words(change: Change) -> str:
    """Return one change in words: what kind, of what, from what to what."""
    about = f": {_shown(change.what)}" if change.what is not None else ""
    told = [_shown(one) for one in (change.then, change.now) if one is not None]
    values = f" ({' → '.join(told)})" if told else ""
    return f"{change.kind.words}{about}{values}"


def _shown(value: str | Shown) -> str:
    if isinstance(value, Decimal):
        return f"{value:f}"
    if not isinstance(value, Term | OtherCode):
        return str(value)
    return words(value)


def _size(comparison: Comparison) -> Iterator[str]:
    growth = comparison.growth
    told = [
        _diameter(name, one)
        for name, one in (("longest", growth.longest), ("crosswise", growth.crosswise))
        if one.then is not None or one.now is not None
    ]
    if told:
        evenly = f"; larger {growth.evenness.value}" if growth.evenness is not None else ""
        yield f"Diameters: {'; '.join(told)}{evenly}."


def _diameter(name: str, diameter: Diameter) -> str:
    then, now = ("not measured" if one is None else f"{one:f} mm" for one in (diameter.then, diameter.now))
    if diameter.difference is None:
        return f"{name} {then} → {now}"
    percent = "" if diameter.percent is None else f", {diameter.percent:+f} %"
    return f"{name} {then} → {now} ({diameter.difference:+f} mm{percent})"


def score_words(score: ScoreThenNow) -> str:
    """Return one method at both examinations; the difference only where both totals are single numbers."""
    then, now = (f"{total_words(one)}, {one.verdict.display}" for one in (score.then, score.now))
    difference = "" if score.difference is None else f"; difference {score.difference:+f}"
    return f"{score.now.method.code.display}: {then} → {now}{difference}."


def series_as_data(series: Series) -> dict[str, Any]:
    """Return a series as data: codes, numbers and times, and the issues; nothing else of an examination."""
    return {
        "examined": [review.examination.examined for review in series.reviews],
        "verdict": series.verdict.value,
        "comparisons": [_as_data(one) for one in series.comparisons],
        "issues": [
            {
                "rule": issue.rule,
                "severity": issue.severity.value,
                "path": issue.path,
                "message": issue.message,
                "source": issue.source,
            }
            for issue in series.issues
        ],
        "cautions": list(CAUTIONS),
    }


def _as_data(comparison: Comparison) -> dict[str, Any]:
    growth = comparison.growth
    return {
        "then": comparison.then,
        "now": comparison.now,
        "days": comparison.days,
        "verdict": comparison.verdict.value,
        "interval": comparison.interval.value,
        "rule": comparison.rule.value,
        "lights": list(comparison.lights),
        "diameters": {
            name: {"then": one.then, "now": one.now, "difference_mm": one.difference, "difference_percent": one.percent}
            for name, one in (("longest", growth.longest), ("crosswise", growth.crosswise))
        },
        "growth": growth.evenness.value if growth.evenness is not None else None,
        "changes": [
            {
                "kind": one.change.kind.id,
                "about": one.change.what,
                "then": _as_value(one.change.then),
                "now": _as_value(one.change.now),
                "weight": one.weight.value,
                "source": one.source,
            }
            for one in comparison.changes
        ],
        "structures": {structure.value: course.value for structure, course in comparison.structures},
        "open_colours": list(comparison.open_colours),
        "scores": [
            {
                "method": one.now.method.code,
                "then": {"low": one.then.low, "high": one.then.high, "verdict": one.then.verdict},
                "now": {"low": one.now.low, "high": one.now.high, "verdict": one.now.verdict},
                "difference": one.difference,
            }
            for one in comparison.scores
        ],
        "gaps": [{"code": gap.value, "words": gap.words, "source": gap.basis.text} for gap in comparison.gaps],
    }


def _as_value(value: Shown) -> Any:  # noqa: ANN401 - any JSON
    return value.code if isinstance(value, OtherCode) else value
