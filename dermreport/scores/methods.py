"""All methods, in the order in which they are shown."""

from __future__ import annotations

from dermreport.scores import (
    acral_three_step,
    benign_patterns,
    braaff,
    cash,
    facial_criteria,
    little_pigment,
    menzies,
    mucosal,
    nail,
    nodular,
    pigmented_basal_cell,
    revised_pattern_analysis,
    seven_point,
    three_point,
    total_dermoscopy_score,
    triage,
    two_step,
    weighted_seven_point,
)
from dermreport.scores.method import ClueList, PublishedMethod
from dermreport.vocabulary.score_methods import ScoreMethod

#: Totals and checklists that the vocabulary's lists ask for completely. The form calculates them, and the word on the
#: whole waits for each that is valid.
CHECKLISTS: tuple[PublishedMethod, ...] = (
    weighted_seven_point.METHOD,
    three_point.METHOD,
    seven_point.ORIGINAL,
    seven_point.REVISED,
    total_dermoscopy_score.METHOD,
    menzies.METHOD,
    braaff.METHOD,
    mucosal.METHOD,
)

#: Every method with a threshold.
METHODS: tuple[PublishedMethod, ...] = (
    *CHECKLISTS,
    cash.METHOD,
    revised_pattern_analysis.METHOD,
    triage.METHOD,
    pigmented_basal_cell.METHOD,
    acral_three_step.REVISED,
    acral_three_step.ORIGINAL,
    nodular.ELEVATED_FIRM_GROWING,
    nodular.BLUE_BLACK,
)

#: Associations without a published total: they give no number and no verdict.
CLUE_LISTS: tuple[ClueList, ...] = (
    two_step.LIST,
    facial_criteria.LIST,
    nail.CRITERIA,
    nail.ABCDEF,
    little_pigment.ODDS,
    little_pigment.WITHOUT_PIGMENT,
    benign_patterns.LIST,
)

BY_CODE: dict[ScoreMethod, PublishedMethod] = {method.code: method for method in METHODS}

#: What an entry can call each method: its code, and its code with the version.
NAMES: tuple[str, ...] = (
    *(name for method in METHODS for name in (method.code.value, method.id)),
    *(name for method in CLUE_LISTS for name in (method.code.value, method.id)),
)
