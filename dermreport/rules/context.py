"""What the functions behind derived facts look at beside the answers."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from dermreport.pathway import Pathway
from dermreport.scores.engine import ScoreResult
from dermreport.settings import Settings
from dermreport.vocabulary.summaries import Summary


@dataclass(frozen=True, slots=True)
class Context:
    """The finished scores, by the method's code, the host's settings, and the pathway in force.

    The word on the whole, and whether a warning sign of a plugin stands that nothing answers, are there for the pathway
    only, which is compared last; no rule asks them.
    """

    scores: Mapping[str, ScoreResult]
    settings: Settings
    pathway: Pathway | None = None
    summary: Summary | None = None
    signs_of_plugins: bool = False
