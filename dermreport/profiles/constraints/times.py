"""The order of partial times in FHIRPath, as far as it is certain.

A time as written means a span (:mod:`dermreport.examination.times`): a year, month or day begins where it begins first
on earth and ends where it ends last. FHIRPath's own comparison of a day with a time differs from engine to engine, and
the reference validator makes no time of a text. So times are reckoned in seconds by their digits, with the Gregorian
rule of leap years; all engines reckon alike. What lies within one second has no order here.
"""

from __future__ import annotations

from typing import Final

_BEGIN: Final = "0000-01-01T00:00:00+14:00"
_END: Final = "0000-12-31T23:59:59-12:00"


def first(path: str) -> str:
    """Return the first second that the time at a path can mean, as a number; empty where there is none."""
    return f"{_text(path)}.select({_padded(_BEGIN)}).select({_SECONDS})"


def last(path: str) -> str:
    """Return the last second that the time at a path can mean, as a number; empty where there is none."""
    return f"{_text(path)}.select({_month_ended(_padded(_END))}).select({_SECONDS})"


def certainly_before(one: str, other: str, margin: int = 0) -> str:
    """Return whether the time at one path surely lies before that at another, by more than a margin.

    Args:
        one: Path to a time.
        other: Path to another one.
        margin: How much earlier it has to be, in seconds.
    """
    return f"iif({last(one)}{_added(margin)} < {first(other)}, true, false)"


def certainly_less_before(one: str, other: str, margin: int) -> str:
    """Return whether the time at one path surely lies less than a margin before that at another, or after it."""
    return f"iif({first(one)}{_added(margin)} > {last(other)}, true, false)"


def first_day(path: str) -> str:
    """Return the first calendar day that a time as written can mean, as a number; empty where there is none."""
    return f"{_text(path)}.substring(0, 10).select($this & '{_BEGIN[:10]}'.substring($this.length())).select({_DAYS})"


def last_day(path: str) -> str:
    """Return the last calendar day that a time as written can mean, as a number; empty where there is none."""
    padded = f"$this & '{_END[:10]}'.substring($this.length())"
    return f"{_text(path)}.substring(0, 10).select({_month_ended(padded)}).select({_DAYS})"


def years_between(begin: str, end: str, *, most: bool) -> str:
    """Return how many whole years can lie between two times as written, as a number; empty where one is missing.

    Args:
        begin: Path to a time, as a date of birth.
        end: Path to a later day or time.
        most: Whether as many as can be are asked, or as few. Someone born on 29 February can complete a year on 28
            February; of a month the last day counts as its 31st, so that the fewest can be one too few on that day.
    """
    leap_day = ".replace('-02-29', '-02-28')" if most else ""
    padding = (_BEGIN if most else "0000-12-31")[:10]
    born = f"{_text(begin)}.substring(0, 10).select($this & '{padding}'.substring($this.length())){leap_day}"
    digits = ".replace('-', '').toInteger()"
    # Whole thousands are added, so that a negative number isn't cut towards nought.
    return f"({_text(end)}.substring(0, 10){digits} - {born}{digits} + 10000000) div 10000 - 1000"


def _text(path: str) -> str:
    return f"{path}.select(toString())"


def _added(seconds: int) -> str:
    return f" + {seconds}" if seconds else ""


def _number(start: int, length: int) -> str:
    return f"$this.substring({start}, {length}).toInteger()"


#: Days since the year nought of ``$this``, a date. Years begin in March, so that a leap day is the last of its year.
_DAYS: Final = (
    f"({_number(0, 4)} - (14 - {_number(5, 2)}) div 12)"
    ".select($this * 365 + $this div 4 - $this div 100 + $this div 400)"
    f" + (153 * (({_number(5, 2)} + 9) mod 12) + 2) div 5 + {_number(8, 2)}"
)
#: Seconds of ``$this``, a time to the second with an offset in digits; decimal, as they are too many for an integer.
_SECONDS: Final = (
    f"(({_DAYS}) * 1440.0 + {_number(11, 2)} * 60 + {_number(14, 2)} + "
    f"iif($this.substring(19, 1) = '-', 1, -1) * ({_number(20, 2)} * 60 + {_number(23, 2)})) * 60 + {_number(17, 2)}"
)
#: A time as written, without its fraction, its offset in digits.
_TO_THE_SECOND: Final = (
    "$this.substring(0, 19) & iif($this.endsWith('Z'), '+00:00', $this.substring($this.length() - 6))"
)


def _padded(pattern: str) -> str:
    """Return ``$this`` with what a year, month or day leaves open taken from a pattern."""
    return f"iif($this.length() > 10, {_TO_THE_SECOND}, $this & '{pattern}'.substring($this.length()))"


def _month_ended(otherwise: str) -> str:
    """Return the end of ``$this`` where it is a month: its last day by its own length; else what is said otherwise."""
    leap = f"({_number(0, 4)} mod 4 = 0 and ({_number(0, 4)} mod 100 != 0 or {_number(0, 4)} mod 400 = 0))"
    length = (
        f"iif($this.endsWith('-02'), iif({leap}, '29', '28'), iif($this.matches('^.*-(04|06|09|11)$'), '30', '31'))"
    )
    rest = _END[10:]
    return f"iif($this.length() = 7, $this & '-' & {length} & '{rest}', {otherwise})"
