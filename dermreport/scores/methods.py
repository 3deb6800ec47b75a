"""All methods, in the order in which they are shown."""

from __future__ import annotations

from dermreport.scores import braaff, menzies, seven_point, three_point, total_dermoscopy_score, weighted_seven_point
from dermreport.scores.method import Method
from dermreport.vocabulary.score_methods import ScoreMethod

METHODS: tuple[Method, ...] = (
    weighted_seven_point.METHOD,
    three_point.METHOD,
    seven_point.ORIGINAL,
    seven_point.REVISED,
    total_dermoscopy_score.METHOD,
    menzies.METHOD,
    braaff.METHOD,
)

BY_CODE: dict[ScoreMethod, Method] = {method.code: method for method in METHODS}
