"""One word on the whole examination for a conclusion: never a disorder."""

from __future__ import annotations

from dermreport.sources import COMMON_PRACTICE
from dermreport.vocabulary.term import Term


class Summary(Term):
    """One word on the whole examination for a conclusion: never a disorder."""

    SUSPICIOUS = "suspicious", "suspicious", "The clinician, a red flag or a score calls for action.", COMMON_PRACTICE
    NOT_SETTLED = "not-settled", "not settled", "What was recorded leaves it open.", COMMON_PRACTICE
    NO_SUSPICIOUS_FEATURE_FOUND = (
        "no-suspicious-feature-found",
        "no suspicious feature found",
        "Nothing recorded calls for action; this excludes nothing.",
        COMMON_PRACTICE,
    )
