"""What pathologists found in the lesion of a series: their result counts, whatever two examinations look like."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from dermreport.expressions.evaluate import Scope
from dermreport.expressions.nodes import Not, every
from dermreport.rules.conditions import CANCER_RESULT, recorded_as
from dermreport.rules.engine import deciding
from dermreport.rules.facts import FACTS, Context
from dermreport.vocabulary.implied_concerns import ImpliedConcern
from dermreport.vocabulary.outcome_kinds import OutcomeKind

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from dermreport.examination.decided import Outcome
    from dermreport.expressions.nodes import Expression
    from dermreport.reviews.review import Review

_IS_CANCER: Final = deciding().surely(CANCER_RESULT)
#: A result that names no harmless lesion, or stands in words alone.
_OPEN: Expression = every(
    recorded_as("@.kind", OutcomeKind.HISTOLOGY), Not(recorded_as("@.result.concern", ImpliedConcern.BENIGN))
)
_IS_OPEN: Final = deciding().surely(_OPEN)


@dataclass(frozen=True, slots=True)
class Result:
    """A pathologist's result that doesn't clear the lesion.

    Attributes:
        review: Position of the examination with which it is recorded.
        position: Its position among the outcomes there.
        outcome: The outcome.
        cancer: Whether it is a cancer, in situ or invasive.
    """

    review: int
    position: int
    outcome: Outcome
    cancer: bool


def not_clearing(reviews: Sequence[Review]) -> Iterator[Result]:
    """Yield the results of a series that don't clear the lesion, whatever was said of their agreement."""
    for place, review in enumerate(reviews):
        scope = Scope(review.answers, FACTS, Context(review.scores, review.settings))
        for position, outcome in enumerate(review.examination.outcomes):
            if _IS_OPEN(scope, outcome):
                yield Result(place, position, outcome, _IS_CANCER(scope, outcome))
