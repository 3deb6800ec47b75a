"""A series: examinations of one lesion in the order of their times, compared step by step and from first to last."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise
from typing import TYPE_CHECKING, Final

from dermreport.examination.people import may_be_one_patient
from dermreport.examination.times import calendar_day, certainly_other_days, earliest, is_day_or_time, latest
from dermreport.issues import Issue, SeriesError, SettingsError
from dermreport.over_time.checks import checked
from dermreport.over_time.comparison import Comparison, SeriesVerdict, compare
from dermreport.over_time.rules import in_order, series_issue
from dermreport.reviews.review import Review
from dermreport.vocabulary.statuses import Status

if TYPE_CHECKING:
    from dermreport.examination.people import Identifier, Patient

#: Where a series has so few examinations there is nothing to compare.
_TWO = 2


@dataclass(frozen=True, slots=True)
class Series:
    """All examinations of one lesion, compared.

    Attributes:
        reviews: Of each examination that counts its review, the earliest first.
        steps: Each examination compared with the one before it.
        overall: The last one compared with the first one.
        issues: What the comparison shows, the gravest first; a path begins with a position in ``reviews``.
    """

    reviews: tuple[Review, ...]
    steps: tuple[Comparison, ...]
    overall: Comparison
    issues: tuple[Issue, ...]

    @property
    def comparisons(self) -> tuple[Comparison, ...]:
        """Every step, and first to last where that isn't the only step."""
        return self.steps if len(self.steps) == 1 else (*self.steps, self.overall)

    @property
    def verdict(self) -> SeriesVerdict:
        """The word on the whole: changed where any comparison is, else that of the last step or of first to last.

        A cancer that a pathologist found, with whichever examination it is recorded, outranks all of it.
        Of those two the one that says less counts, so that slow growth isn't lost between small steps.
        """
        told = {one.verdict for one in self.comparisons}
        graver = next((one for one in _GRAVE if one in told), None)
        if graver is not None:
            return graver
        return max((self.steps[-1].verdict, self.overall.verdict), key=_SAYS_LESS.index)


#: What counts in whichever comparison it stands, the graver first.
_GRAVE: Final = (SeriesVerdict.CANCER_FOUND, SeriesVerdict.CHANGED)
_SAYS_LESS: Final = (
    SeriesVerdict.NO_SIGNIFICANT_CHANGE,
    SeriesVerdict.NOT_SETTLED,
    SeriesVerdict.NOT_COMPARABLE,
)


def series(reviews: Sequence[Review], *, as_of: str | None = None) -> Series:
    """Compare the examinations of one lesion.

    Args:
        reviews: Reviews of examinations of one lesion, in any order. Of several revisions the latest counts; what was
            entered in error is left out, and an issue says so.
        as_of: The day on which it is asked, as ``2026-09-01``: what was due by then and isn't recorded is an issue.
            Without it the last examination's own time counts, for no clock is read.

    Returns:
        The series. Nothing is raised for what the examinations say of the lesion.

    Raises:
        SeriesError: They aren't of one patient's one lesion, or fewer than two of them count; it says all that is
            wrong.
        SettingsError: ``as_of`` is no day.
        TypeError: It isn't a sequence of reviews.
    """
    if as_of is not None and not is_day_or_time(as_of):
        raise SettingsError("series: as_of is a day, as 2026-09-01, or a time with its offset")
    if isinstance(reviews, Review) or not all(isinstance(one, Review) for one in reviews):
        raise TypeError("series takes several Reviews of one lesion: see dermreport.review")
    given = tuple(reviews)
    kept, refused, noted = _counting(given)
    refused += _of_one_lesion(given, kept)
    if len(kept) < _TWO:
        refused.append(series_issue("series-too-few", "$"))
    if refused:
        raise SeriesError(in_order(refused))
    ordered = tuple(sorted((given[position] for position in kept), key=_moment))
    steps = tuple(compare(ordered, place, place + 1) for place in range(len(ordered) - 1))
    whole = steps[0] if len(steps) == 1 else compare(ordered, 0, len(ordered) - 1)
    noted += _same_day(ordered)
    return Series(ordered, steps, whole, in_order([*noted, *checked(ordered, steps, whole, as_of)]))


def _number(identifier: Identifier) -> tuple[str, str]:
    """Return an identifier as a key: a UUID may stand with or without its prefix or system."""
    return (identifier.system or "urn:ietf:rfc:3986", identifier.value.removeprefix("urn:uuid:"))


def _moment(review: Review) -> tuple[object, ...]:
    """Return what orders examinations: their instants, and of one instant their numbers."""
    examination = review.examination
    return (earliest(examination.examined), latest(examination.examined), *_number(examination.identifier))


def _counting(given: tuple[Review, ...]) -> tuple[list[int], list[Issue], list[Issue]]:
    """Return positions of the reviews that count, what refuses the series, and what is to be noted."""
    latest_of: dict[tuple[str, str], int] = {}
    refused: list[Issue] = []
    noted: list[Issue] = []
    for position, review in enumerate(given):
        number = _number(review.examination.identifier)
        other = latest_of.setdefault(number, position)
        if other == position:
            continue
        noted.append(series_issue("series-revisions", "$"))
        mine, theirs = review.examination, given[other].examination
        if mine.revision > theirs.revision:
            latest_of[number] = position
        elif mine.revision == theirs.revision and mine.to_json() != theirs.to_json():
            refused.append(series_issue("series-revision-twice", f"$[{position}].revision"))
    kept = []
    for position in latest_of.values():
        if given[position].examination.status is Status.ENTERED_IN_ERROR:
            noted.append(series_issue("series-withdrawn", "$"))
        else:
            kept.append(position)
    return kept, refused, noted


def _of_one_lesion(given: tuple[Review, ...], kept: list[int]) -> list[Issue]:
    found = []
    numbers = {}
    for position in kept:
        examination = given[position].examination
        identifier = examination.lesion.identifier if examination.lesion is not None else None
        if identifier is None:
            found.append(series_issue("series-lesion-not-identified", f"$[{position}].lesion.identifier"))
        else:
            numbers[position] = _number(identifier)
        others = (given[other].examination.patient for other in kept[: kept.index(position)])
        if any(_two_patients(one, examination.patient) for one in others):
            found.append(series_issue("series-two-patients", f"$[{position}].patient"))
    if _is_one_visit(given, kept, numbers):
        return [*(one for one in found if one.rule == "series-two-patients"), series_issue("series-one-visit", "$")]
    known = next(iter(numbers.values()), None)
    found.extend(
        series_issue("series-mixed-lesions", f"$[{position}].lesion.identifier")
        for position, number in numbers.items()
        if number != known
    )
    return found


def _is_one_visit(given: tuple[Review, ...], kept: list[int], numbers: Mapping[int, tuple[str, str]]) -> bool:
    """Whether two of them are of one patient and time, and no identifier says that they are of one lesion."""
    return any(
        given[one].examination.examined == given[other].examination.examined
        and (numbers.get(one) is None or numbers.get(one) != numbers.get(other))
        and not _two_patients(given[one].examination.patient, given[other].examination.patient)
        for one, other in combinations(kept, 2)
    )


def _two_patients(one: Patient, other: Patient) -> bool:
    """Whether two entries are of two patients for sure; entries that share no number can be of one."""
    births = [patient.details.birth_date if patient.details is not None else None for patient in (one, other)]
    differ = births[0] is not None and births[1] is not None and certainly_other_days(births[0], births[1])
    return differ or not may_be_one_patient(one, other)


def _same_day(ordered: tuple[Review, ...]) -> list[Issue]:
    """Note examinations of one day of which at least one has no time of day."""
    return [
        series_issue("series-same-day", f"$[{place}].examined")
        for place, (then, now) in enumerate(pairwise(ordered), start=1)
        if calendar_day(then.examination.examined) == calendar_day(now.examination.examined)
        and latest(then.examination.examined) >= earliest(now.examination.examined)
    ]
