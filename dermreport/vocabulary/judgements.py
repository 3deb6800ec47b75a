"""Answer to a question about what is seen."""

from __future__ import annotations

from dermreport.sources import COMMON_PRACTICE
from dermreport.vocabulary.term import Term


class Judgement(Term):
    """Answer to a question about what is seen."""

    YES = "yes", "yes", "Seen to be so.", COMMON_PRACTICE
    NO = "no", "no", "Seen not to be so.", COMMON_PRACTICE
    UNCERTAIN = "uncertain", "uncertain", "Looked at and not decided.", COMMON_PRACTICE
