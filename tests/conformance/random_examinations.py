"""Random valid examinations, the same in every run: what the engines are asked beyond the examples."""

from __future__ import annotations

from functools import cache

import strategies
from hypothesis import HealthCheck, Phase, given, settings

import dermreport
from dermreport.examination.model import Examination
from dermreport.settings import Settings

NUMBER = 500


@cache
def examinations() -> tuple[Examination, ...]:
    """Draw them: each has about a quarter of what an examination can hold."""
    drawn: list[Examination] = []

    @settings(
        max_examples=NUMBER,
        derandomize=True,
        database=None,
        phases=(Phase.generate,),
        suppress_health_check=list(HealthCheck),
    )
    @given(strategies.usual_examinations())
    def draw(examination: Examination) -> None:
        drawn.append(examination)

    draw()
    assert len(drawn) == NUMBER
    return tuple(drawn)


@cache
def reviews() -> tuple[dermreport.Review, ...]:
    """Return the reviews of all, with the claim to our profiles."""
    return tuple(dermreport.review(one, Settings(claim_profiles=True)) for one in examinations())
