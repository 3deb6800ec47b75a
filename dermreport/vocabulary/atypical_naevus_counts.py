"""Number of atypical naevi."""

from __future__ import annotations

from dermreport.sources import MEMORY
from dermreport.vocabulary.term import Term


class AtypicalNaevusCount(Term):
    """Number of atypical naevi."""

    NONE = "none", "none", "None.", MEMORY
    FROM_1_TO_4 = "from-1-to-4", "1 to 4", "One to four.", MEMORY
    FROM_5 = "from-5", "5 or more", "Five or more.", MEMORY
    UNKNOWN = "unknown", "unknown", "Not counted.", MEMORY
