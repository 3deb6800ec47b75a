"""Reviews that go out together: a report, a message or a letter is about one patient, and has each examination once."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from dermreport.examination.people import system_and_value
from dermreport.issues import BuildError

if TYPE_CHECKING:
    from dermreport.reviews.review import Review


def of_one_patient(reviews: Sequence[Review]) -> None:
    """Refuse reviews that aren't one report: of no examination, of different patients, or one examination twice.

    Raises:
        BuildError: It says which of these.
    """
    if not reviews:
        raise BuildError("There is no examination to report.")
    first = reviews[0].examination
    if any(one.examination.patient != first.patient for one in reviews):
        raise BuildError("The examinations belong to different patients: report each patient apart.")
    if len({system_and_value(one.examination.identifier) for one in reviews}) != len(reviews):
        raise BuildError("Two of the examinations have the same identifier: report one revision at a time.")
