"""Answer to a question of history: unknown is told apart from no."""

from __future__ import annotations

from dermreport.sources import COMMON_PRACTICE
from dermreport.vocabulary.term import Term


class Reply(Term):
    """Answer to a question of history: unknown is told apart from no."""

    YES = "yes", "yes", "Yes.", COMMON_PRACTICE
    NO = "no", "no", "No, asked and denied or looked for.", COMMON_PRACTICE
    UNKNOWN = "unknown", "unknown", "Asked and not known.", COMMON_PRACTICE
