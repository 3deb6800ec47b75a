"""Lines at the end of the letter to a colleague."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from dermreport.plugins import LetterKind, LetterSection

if TYPE_CHECKING:
    from dermreport import Review


def contact(review: Review) -> Iterator[str]:
    """Yield how to reach the clinic, and when it will look again."""
    yield "Second opinions: Mondays 8 to 10, +00 555 0199."
    days = 28 if review.red_flags else 90
    yield f"Without another appointment the clinic calls the patient within {days} days."


CONTACT = LetterSection(id="contact", title="From the example clinic", kinds=(LetterKind.REFERRAL,), write=contact)
