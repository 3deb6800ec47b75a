"""Number of naevi on the whole skin."""

from __future__ import annotations

from dermreport.sources import MEMORY
from dermreport.vocabulary.term import Term


class NaevusCount(Term):
    """Number of naevi on the whole skin."""

    UP_TO_10 = "up-to-10", "up to 10", "Ten or fewer.", MEMORY
    FROM_11_TO_24 = "from-11-to-24", "11 to 24", "Eleven to twenty-four.", MEMORY
    FROM_25_TO_49 = "from-25-to-49", "25 to 49", "Twenty-five to forty-nine.", MEMORY
    FROM_50_TO_99 = "from-50-to-99", "50 to 99", "Fifty to ninety-nine.", MEMORY
    FROM_100 = "from-100", "100 or more", "A hundred or more.", MEMORY
    UNKNOWN = "unknown", "unknown", "Not counted.", MEMORY
