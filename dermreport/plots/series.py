"""One lesion over time as a drawing: its diameters above, the total of one score below, by the days between looks.

Nothing is told by colour alone: each line has its own marker and dashes and its name beside it. Whoever can't see the
drawing has the same in its description. It holds dates and numbers and nothing else of an examination.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from hashlib import sha256
from typing import TYPE_CHECKING, Final
from xml.sax.saxutils import escape

from dermreport.examination.times import calendar_day
from dermreport.issues import SettingsError, must_be
from dermreport.over_time.series import Series
from dermreport.scores.methods import METHODS
from dermreport.vocabulary.score_methods import ScoreMethod
from dermreport.wording.sentences import threshold_words, total_words

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from dermreport.scores.engine import ScoreResult

_WIDTH: Final = 760
_LEFT, _RIGHT, _LABELS = 64, 560, 572
_INK, _QUIET, _SECOND = "#1a1a1a", "#6b6b6b", "#0b5c8a"
#: The most steps of a scale.
_STEPS: Final = 6
_DAY: Final = len("2026-03-04")
#: Two dates on the axis that stand closer than this would cover each other.
_ROOM_OF_A_DATE: Final = 74
_ROOM_OF_A_NUMBER: Final = 60
_SMALL: Final = 12
_LINE: Final = 14
#: A number that begins further to the right would run into the names of the lines: it stands on the other side.
_ROOM_ENDS: Final = _RIGHT - 70


#: The methods that can be drawn: a list of associations gives no total.
DRAWN: Final = tuple(method.code.value for method in METHODS)


@dataclass(frozen=True, slots=True)
class _Panel:
    """A part of the drawing with its own scale: from nothing at its foot to ``highest`` at its top."""

    top: int
    foot: int
    lowest: Decimal
    highest: Decimal

    def y(self, value: Decimal) -> str:
        share = (value - self.lowest) / (self.highest - self.lowest)
        return _number(self.foot - share * (self.foot - self.top))


def series_plot(series: Series, *, method: ScoreMethod | str = ScoreMethod.SEVEN_POINT) -> str:
    """Draw a series as SVG.

    Args:
        series: The series.
        method: Whose total is drawn: any with a threshold, for a list of clues has no total.

    Returns:
        SVG text for a letter or a page: with a title and a description, without script, link or style sheet.

    Raises:
        SettingsError: There is no such method, or it has no threshold.
    """
    must_be("series_plot: series", series, Series)
    if not isinstance(method, str) or method not in DRAWN:
        raise SettingsError(f"series_plot: method is one of {', '.join(DRAWN)}")
    method = ScoreMethod(method)
    results = [review.scores[method.value] for review in series.reviews]
    days = _days(series)
    places = _places(days)
    sizes = _Panel(58, 228, Decimal(0), _top(_measured(series)))
    totals = _Panel(292, 442, *_reach(results))
    drawn = [
        *_frame(sizes, "diameter, mm"),
        *_line([(places[i], one) for i, one in enumerate(_diameters(series, "longest_mm"))], sizes, "longest", _INK),
        *_line(
            [(places[i], one) for i, one in enumerate(_diameters(series, "crosswise_mm"))],
            sizes,
            "crosswise",
            _SECOND,
            square=True,
        ),
        *_frame(totals, f"{method.display}, points"),
        *_thresholds(results, totals),
        *_totals(places, results, totals),
        *_dates(series, places, (sizes, totals)),
    ]
    title = "One lesion over time: diameters and score"
    described = " ".join(_told(series, results))
    # A page with several drawings needs other ids in each.
    mark = sha256(described.encode()).hexdigest()[:12]
    height = 506
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {_WIDTH} {height}" width="{_WIDTH}" height="{height}" '
        f'role="img" aria-labelledby="title-{mark} text-{mark}" font-family="sans-serif" font-size="{_SMALL}">'
    )
    return "\n".join(
        (
            head,
            f'<title id="title-{mark}">{escape(title)}</title>',
            f'<desc id="text-{mark}">{escape(described)}</desc>',
            f'<rect width="{_WIDTH}" height="{height}" fill="#ffffff"/>',
            _text(_LEFT, 26, title),
            *drawn,
            _text(_LEFT, 496, "A total below a threshold and a size that stays the same exclude nothing.", _QUIET),
            "</svg>\n",
        )
    )


def _number(value: Decimal | float) -> str:
    """Return a coordinate with at most one decimal place."""
    return f"{Decimal(str(value)):.1f}".removesuffix(".0")


def _text(x: float, y: float, words: str, ink: str = _INK, anchor: str = "") -> str:
    side = f' text-anchor="{anchor}"' if anchor else ""
    # A white edge keeps words readable where they cross a line.
    edge = 'stroke="#ffffff" stroke-width="3" paint-order="stroke"'
    return f'<text x="{_number(x)}" y="{_number(y)}" fill="{ink}" {edge}{side}>{escape(words)}</text>'


def _days(series: Series) -> list[int]:
    first = calendar_day(series.reviews[0].examination.examined)
    return [max((calendar_day(one.examination.examined) - first).days, 0) for one in series.reviews]


def _places(days: Sequence[int]) -> list[float]:
    """Return where each examination stands; those of one day stand apart by their order."""
    last = days[-1]
    if last == 0:
        step = (_RIGHT - _LEFT - 40) / max(len(days) - 1, 1)
        return [_LEFT + 20 + step * position for position in range(len(days))]
    return [_LEFT + 20 + (_RIGHT - _LEFT - 40) * day / last for day in days]


def _diameters(series: Series, name: str) -> list[Decimal | None]:
    lesions = [review.examination.lesion for review in series.reviews]
    return [None if lesion is None else getattr(lesion, name) for lesion in lesions]


def _measured(series: Series) -> list[Decimal]:
    both = [*_diameters(series, "longest_mm"), *_diameters(series, "crosswise_mm")]
    return [one for one in both if one is not None]


def _top(values: Sequence[Decimal]) -> Decimal:
    """Return the top of a scale from zero: the next whole number that leaves some room."""
    return Decimal(int(max(values, default=Decimal(1)) * Decimal("1.1")) + 1)


def _reach(results: Sequence[ScoreResult]) -> tuple[Decimal, Decimal]:
    """Return the range of a method's totals, its thresholds in it."""
    method = results[0].method
    given = [one for result in results for one in (result.low, result.high) if one is not None]
    lowest = min(Decimal(method.lowest_tenths) / 10, *given, Decimal(0))
    return lowest, max(Decimal(method.highest_tenths) / 10, *given, Decimal(1))


def _steps(panel: _Panel) -> list[Decimal]:
    span = panel.highest - panel.lowest
    step = next(one for one in (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000) if span / one <= _STEPS)
    first = int(panel.lowest)
    return [Decimal(value) for value in range(first, int(panel.highest) + 1, step)]


def _frame(panel: _Panel, name: str) -> Iterator[str]:
    yield _text(_LEFT, panel.top - 10, name)
    for value in _steps(panel):
        y = panel.y(value)
        yield f'<line x1="{_LEFT}" y1="{y}" x2="{_RIGHT}" y2="{y}" stroke="#d9d9d9"/>'
        yield _text(_LEFT - 8, float(y) + 4, f"{value:f}", _QUIET, anchor="end")
    yield f'<path d="M{_LEFT} {panel.top}V{panel.foot}H{_RIGHT}" fill="none" stroke="{_QUIET}"/>'


def _mark(x: float, y: str, ink: str, *, square: bool) -> str:
    if square:
        # Open and larger than the dot, which shows within it where both stand at one place.
        corner = f'x="{_number(x - 6)}" y="{_number(float(y) - 6)}"'
        return f'<rect {corner} width="12" height="12" fill="none" stroke="{ink}" stroke-width="2"/>'
    return f'<circle cx="{_number(x)}" cy="{y}" r="4.5" fill="{ink}"/>'


def _line(
    points: Sequence[tuple[float, Decimal | None]], panel: _Panel, name: str, ink: str, *, square: bool = False
) -> Iterator[str]:
    """Yield a line through what was measured: broken where a measure is missing, its name at its end."""
    dashes = ' stroke-dasharray="2 4"' if square else ""
    before: tuple[float, str] | None = None
    last: tuple[float, str] | None = None
    for x, value in points:
        here = None if value is None else (x, panel.y(value))
        if before is not None and here is not None:
            yield (
                f'<line x1="{_number(before[0])}" y1="{before[1]}" x2="{_number(here[0])}" y2="{here[1]}" '
                f'stroke="{ink}" stroke-width="2"{dashes}/>'
            )
        before, last = here, here or last
    told = _Told()
    for x, value in points:
        if value is not None:
            y = panel.y(value)
            yield _mark(x, y, ink, square=square)
            if told.has_room(x):
                yield _text(x, float(y) + (20 if square else -10), f"{value:f}", ink, anchor="middle")
    if last is not None:
        # Two lines that end at one height still have their names apart.
        yield _text(_LABELS, float(last[1]) + (11 if square else -3), name, ink)


class _Told:
    """Where a number was written last: one too close to it is left to the description."""

    def __init__(self) -> None:
        self._last = -float(_ROOM_OF_A_NUMBER)

    def has_room(self, x: float) -> bool:
        """Return whether a number at this place covers none before it, and note the place if so."""
        if x - self._last < _ROOM_OF_A_NUMBER:
            return False
        self._last = x
        return True


def _thresholds(results: Sequence[ScoreResult], panel: _Panel) -> Iterator[str]:
    free = float(panel.foot) + 4
    for threshold in results[0].method.thresholds:
        y = panel.y(Decimal(threshold.from_tenths) / 10)
        yield f'<line x1="{_LEFT}" y1="{y}" x2="{_RIGHT}" y2="{y}" stroke="{_INK}" stroke-dasharray="8 5"/>'
        # They come from the lowest to the highest, and each name stands clear of the one below it.
        at = min(float(y) + 4, free)
        free = at - _LINE
        yield _text(_LABELS, at, f"threshold {threshold.text}")


def _totals(places: Sequence[float], results: Sequence[ScoreResult], panel: _Panel) -> Iterator[str]:
    """Yield each total: a mark where it is one number, a bar from lowest to highest where inputs are open."""
    told = _Told()
    for x, result in zip(places, results, strict=True):
        room = told.has_room(x)
        if result.low is None or result.high is None:
            if room:
                yield _text(x, panel.foot - 8, "no number", _QUIET, anchor="middle")
        elif result.low == result.high:
            y = panel.y(result.low)
            yield _mark(x, y, _INK, square=False)
            if room:
                yield _beside(x, float(y) - 6, f"{result.low:f}", _INK)
        else:
            top, foot = panel.y(result.high), panel.y(result.low)
            yield (
                f'<path d="M{_number(x - 6)} {top}h12M{_number(x)} {top}V{foot}M{_number(x - 6)} {foot}h12" '
                f'fill="none" stroke="{_SECOND}" stroke-width="3"/>'
            )
            if room:
                middle = (float(top) + float(foot)) / 2
                yield _beside(x, middle + 4, f"{result.low:f} to {result.high:f}", _SECOND)


def _beside(x: float, y: float, words: str, ink: str) -> str:
    return _text(x - 9, y, words, ink, "end") if x > _ROOM_ENDS else _text(x + 9, y, words, ink)


def _dates(series: Series, places: Sequence[float], panels: Sequence[_Panel]) -> Iterator[str]:
    """Yield the day of each examination below both parts, on the first line that has room; the rest has the text."""
    for panel in panels:
        ends = [0.0, 0.0]
        for x, review in zip(places, series.reviews, strict=True):
            yield f'<path d="M{_number(x)} {panel.foot}v5" stroke="{_QUIET}"/>'
            line = next((number for number, end in enumerate(ends) if x - _ROOM_OF_A_DATE / 2 >= end), None)
            if line is not None:
                ends[line] = x + _ROOM_OF_A_DATE / 2
                yield _text(x, panel.foot + 18 + _LINE * line, review.examination.examined[:_DAY], anchor="middle")


def _told(series: Series, results: Sequence[ScoreResult]) -> Iterator[str]:
    """Yield what the drawing shows, in sentences."""
    yield f"{len(series.reviews)} examinations of one lesion."
    for review, result in zip(series.reviews, results, strict=True):
        lesion = review.examination.lesion
        sizes = [] if lesion is None else [lesion.longest_mm, lesion.crosswise_mm]
        told = [
            f"{name} diameter {'not measured' if size is None else f'{size:f} mm'}"
            for name, size in zip(("longest", "crosswise"), sizes or (None, None), strict=True)
        ]
        day = review.examination.examined[:_DAY]
        yield f"{day}: {', '.join(told)}, {result.method.code.display} {total_words(result)}."
    yield f"Threshold {threshold_words(results[0].method)}."
    yield "A total below a threshold and a size that stays the same exclude nothing."
