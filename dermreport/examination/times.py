"""The order of partial times, as far as it is certain.

A time as entered means a span: ``2026`` any instant of that year, ``2026-03-04`` any of that day in whatever zone, a
time with offset the one second or fraction that it names. Two times have an order only where no reading of them has
another one, so that a missing month or an unknown zone never makes an issue.
"""

from __future__ import annotations

import re
from calendar import monthrange
from datetime import date, datetime, timedelta, timezone

from dermreport.examination.types import DAY_TIME_PATTERN

#: The zones of the earth: a day without offset begins here first …
_FIRST_ZONE = timezone(timedelta(hours=14))
#: … and ends here last.
_LAST_ZONE = timezone(timedelta(hours=-12))

_DATE_LENGTH = len("2026-03-04")
_SECONDS = slice(len("2026-03-04T10:15:"), len("2026-03-04T10:15:30"))
_OFFSET_LENGTH = len("+01:00")
_MICROSECOND_DIGITS = 6
_LAST_MONTH = 12
_LAST_MICROSECOND = 999_999


def _instant(text: str) -> datetime:
    """Return the first instant of a time with offset; a leap second counts as the last one of its minute."""
    if text[_SECONDS] == "60":
        return datetime.fromisoformat(f"{text[: _SECONDS.start]}59{text[_SECONDS.stop :]}").replace(
            microsecond=_LAST_MICROSECOND
        )
    return datetime.fromisoformat(text)


def _rest_of(text: str) -> timedelta:
    """Return what the last digit of a time's second leaves open; digits past a microsecond are cut."""
    if text[_SECONDS] == "60":
        return timedelta()
    end = len(text) - (1 if text[-1] == "Z" else _OFFSET_LENGTH)
    digits = max(end - _SECONDS.stop - 1, 0)
    return timedelta(microseconds=10 ** max(_MICROSECOND_DIGITS - digits, 0) - 1)


def earliest(text: str) -> datetime:
    """Return the first instant that a time can mean.

    Args:
        text: A year, month, day, or time with offset, in the form of the entry's time fields.

    Returns:
        An aware datetime: for a year, month or day its begin in the zone that is furthest ahead.
    """
    if len(text) > _DATE_LENGTH:
        return _instant(text)
    year, month, day = (*(int(part) for part in text.split("-")), 1, 1)[:3]
    return datetime(year, month, day, tzinfo=_FIRST_ZONE)


def latest(text: str) -> datetime:
    """Return the last instant that a time can mean, to the microsecond.

    Args:
        text: A year, month, day, or time with offset, in the form of the entry's time fields.

    Returns:
        An aware datetime: for a year, month or day its end in the zone that is furthest behind.
    """
    if len(text) > _DATE_LENGTH:
        return _instant(text) + _rest_of(text)
    parts = [int(part) for part in text.split("-")]
    year = parts[0]
    month = parts[1] if len(parts) > 1 else _LAST_MONTH
    day = parts[2] if len(parts) > 2 else monthrange(year, month)[1]  # noqa: PLR2004 - year, month, day
    return datetime(year, month, day, 23, 59, 59, _LAST_MICROSECOND, tzinfo=_LAST_ZONE)


def certainly_before(one: str, other: str, margin: timedelta = timedelta()) -> bool | None:
    """Return whether one time lies before another by more than a margin.

    Args:
        one: A year, month, day, or time with offset.
        other: Another one.
        margin: How much earlier it has to be.

    Returns:
        True where it does however both are read, False where it never does, None where it depends.
    """
    if earliest(other) - latest(one) > margin:
        return True
    if latest(other) - earliest(one) <= margin:
        return False
    return None


def certainly_apart(one: str, other: str, margin: timedelta) -> bool | None:
    """Return whether two times lie more than a margin apart, whichever comes first; None where it depends."""
    before, after = certainly_before(one, other, margin), certainly_before(other, one, margin)
    if before or after:
        return True
    return None if before is None or after is None else False


def whole_years(begin: str, end: str) -> tuple[int, int]:
    """Return how many years were completed between two times: the fewest and the most that they can mean.

    Args:
        begin: A year, month, day, or time with offset, as a date of birth.
        end: A later one, as the time of an examination.

    Returns:
        Fewest and most whole years by the calendar days as written; offsets are left out of account, as they are
        where an age is told. Someone born on 29 February completes a year on the last day of February, as in
        FHIRPath. Negative where the end lies before the begin.
    """
    first, last = _days(begin), _days(end)
    return _completed(first[1], last[0]), _completed(first[0], last[1])


def _days(text: str) -> tuple[tuple[int, int, int], tuple[int, int, int]]:
    """Return the first and the last calendar day that a time can mean, in its own zone."""
    day = text[:_DATE_LENGTH]
    first, last = earliest(day), latest(day)
    return (first.year, first.month, first.day), (last.year, last.month, last.day)


def _completed(begin: tuple[int, int, int], end: tuple[int, int, int]) -> int:
    begin_day = min(begin[2], monthrange(end[0], begin[1])[1])
    return end[0] - begin[0] - (end[1:] < (begin[1], begin_day))


def calendar_day(text: str) -> date:
    """Return the calendar day of a day or a time as written, in its own offset."""
    return date.fromisoformat(text[:_DATE_LENGTH])


def is_day_or_time(given: object) -> bool:
    """Return whether it is a day or a time with offset, in the form of the entry's fields and one of the calendar."""
    if not isinstance(given, str) or re.fullmatch(DAY_TIME_PATTERN, given, re.ASCII) is None:
        return False
    try:
        calendar_day(given)
    except ValueError:
        return False
    return True


def is_after_day(text: str, day: date) -> bool | None:
    """Return whether a year, month, day or time as written lies after a day; None where the day lies within it."""
    written = text[:_DATE_LENGTH]
    other = day.isoformat()[: len(written)]
    return None if written == other and len(written) < _DATE_LENGTH else written > other


def is_before_day(text: str, day: date) -> bool | None:
    """Return whether a year, month, day or time as written lies before a day; None where the day lies within it."""
    written = text[:_DATE_LENGTH]
    other = day.isoformat()[: len(written)]
    return None if written == other and len(written) < _DATE_LENGTH else written < other


def certainly_other_days(one: str, other: str) -> bool:
    """Return whether two times as written are of different days, as far as both are told."""
    shared = min(len(one), len(other), _DATE_LENGTH)
    return one[:shared] != other[:shared]
