"""What the patient tells at a later examination and didn't tell at the earlier one.

It is no picture, so no rule of follow-up decides it; but whoever is told that a lesion changed doesn't call it the
same. What earlier pictures or two measurements show is a change seen.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from dermreport.examination.times import certainly_before
from dermreport.over_time import kinds
from dermreport.over_time.changes import Change
from dermreport.vocabulary.attributes import Attribute
from dermreport.vocabulary.known_by import KnownBy
from dermreport.vocabulary.replies import Reply

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from dermreport.examination.lesion import HistoryAnswer
    from dermreport.examination.model import Examination

#: Changes and symptoms that a patient can tell of, by the field of the history.
_ITEMS: Final = {
    "new": Attribute.NEW,
    "growing": Attribute.GROWING,
    "changed_colour": Attribute.CHANGED_COLOUR,
    "changed_shape": Attribute.CHANGED_SHAPE,
    "bleeding": Attribute.BLEEDING,
    "itching": Attribute.ITCHING,
    "pain": Attribute.PAIN,
}
#: What pictures or measurements can show of them. A lesion that was examined before isn't new since then.
_SHOWN: Final = frozenset((Attribute.GROWING, Attribute.CHANGED_COLOUR, Attribute.CHANGED_SHAPE))
_SHOWN_BY: Final = frozenset((KnownBy.PHOTOGRAPH, KnownBy.MEASURED))


def of_history(examinations: Sequence[Examination], days: int) -> Iterator[Change]:
    """Yield what is told at the last of these examinations and wasn't at the first.

    Args:
        examinations: The earlier one, those between, and the later one. What was told between and isn't denied since
            is still told.
        days: Days between the first and the last.
    """
    first, *later = examinations
    for name, item in _ITEMS.items():
        answers = [answer for one in later if (answer := _answer(one, name)) is not None]
        told = [answer for answer in answers if answer.answer is not Reply.UNKNOWN]
        if not told or told[-1].answer is not Reply.YES:
            continue
        earlier, now = _answer(first, name), told[-1]
        shown = _is_shown(item, now)
        known = earlier is not None and earlier.answer is Reply.YES and (_is_shown(item, earlier) or not shown)
        if not known or _began_since(now, first.examined, days):
            yield Change(kinds.SHOWN if shown else kinds.TOLD, item, None, now.known_by)


def _answer(examination: Examination, name: str) -> HistoryAnswer | None:
    lesion = examination.lesion
    answer: HistoryAnswer | None = None
    if lesion is not None and lesion.history is not None:
        answer = getattr(lesion.history, name)
    return answer


def _is_shown(item: Attribute, answer: HistoryAnswer) -> bool:
    return item in _SHOWN and answer.known_by in _SHOWN_BY


def _began_since(answer: HistoryAnswer, examined: str, days: int) -> bool:
    """Whether it began after an examination by its own words, so that it isn't what was told there."""
    if answer.since is not None:
        return certainly_before(examined, answer.since) is True
    return answer.for_days is not None and answer.for_days < days
