"""What became known later."""

from __future__ import annotations

from dermreport.sources import COMMON_PRACTICE
from dermreport.vocabulary.term import Term


class OutcomeKind(Term):
    """What became known later."""

    HISTOLOGY = "histology", "histology", "A pathologist’s result.", COMMON_PRACTICE
    OPINION = "opinion", "opinion", "Another clinician’s opinion.", COMMON_PRACTICE
    MONITORING = "monitoring", "monitoring", "A later look at the same lesion.", COMMON_PRACTICE
