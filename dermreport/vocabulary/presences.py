"""What was recorded of one structure."""

from __future__ import annotations

from dermreport.sources import COMMON_PRACTICE
from dermreport.vocabulary.term import Term


class Presence(Term):
    """What was recorded of one structure."""

    PRESENT = "present", "present", "Looked for and seen.", COMMON_PRACTICE
    ABSENT = "absent", "absent", "Looked for and not seen.", COMMON_PRACTICE
    UNCERTAIN = "uncertain", "uncertain", "Looked for and not decided.", COMMON_PRACTICE
    NOT_ASSESSED = "not-assessed", "not assessed", "Not judged; the reason says why.", COMMON_PRACTICE
