"""How long after a first look a second one tells something: the published intervals of following a lesion, once.

A month counts as 30.44 days, and every interval is rounded down, so that nobody is told to wait a day too long.
"""

from __future__ import annotations

from typing import Final

from msgspec import Struct

from dermreport.sources import Basis, Source, seen


class Window(Struct, frozen=True):
    """The interval in which a way of following a lesion was studied.

    Attributes:
        from_days: From so many days on the absence of a change means something.
        to_days: The last day of the interval.
        words: The interval in words.
        basis: How it is known.
    """

    from_days: int
    to_days: int
    words: str
    basis: Basis


#: One flat lesion; three months are usual, six weeks were too soon.
SHORT: Final = Window(
    75,
    137,
    "2.5 to 4.5 months",
    seen(Source.SHORT_TERM_MONITORING_PAGE, note="Seen: 2.5 to 4.5 months. A month counts as 30.44 days."),
)
#: Suspected lentigo maligna, which changes slowly.
FACE: Final = Window(180, 365, "6 to 12 months", seen(Source.SHORT_TERM_MONITORING_PAGE))
#: Many naevi, again and again.
LONG: Final = Window(180, 365, "6 to 12 months", seen(Source.SEQUENTIAL_IMAGING_2011))
