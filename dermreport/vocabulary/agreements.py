"""Whether an outcome agrees with the impression."""

from __future__ import annotations

from dermreport.sources import COMMON_PRACTICE
from dermreport.vocabulary.term import Term


class Agreement(Term):
    """Whether an outcome agrees with the impression."""

    AGREES = "agrees", "agrees", "Result and impression fit.", COMMON_PRACTICE
    DIFFERS = "differs", "differs", "Result and impression don’t fit.", COMMON_PRACTICE
    UNCLEAR = "unclear", "unclear", "Can’t be told.", COMMON_PRACTICE
