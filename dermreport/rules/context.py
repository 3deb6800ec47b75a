"""What the functions behind derived facts look at beside the answers."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from dermreport.pathway import Pathway
from dermreport.scores.engine import ScoreResult
from dermreport.settings import Settings


@dataclass(frozen=True, slots=True)
class Context:
    """The finished scores, by the method's code, and the host's settings, and the pathway in force."""

    scores: Mapping[str, ScoreResult]
    settings: Settings
    pathway: Pathway | None = None
