"""How a structure is spread over the lesion."""

from __future__ import annotations

from dermreport.sources import COMMON_PRACTICE
from dermreport.vocabulary.term import Term


class Distribution(Term):
    """How a structure is spread over the lesion."""

    ALL_OVER = "all-over", "all over", "Over most of the lesion.", COMMON_PRACTICE
    FOCAL = "focal", "focal", "At one spot.", COMMON_PRACTICE
    MULTIFOCAL = "multifocal", "at several spots", "At several spots apart.", COMMON_PRACTICE
    SEGMENTAL = "segmental", "segmental", "At part of the edge only.", COMMON_PRACTICE
    ALL_ROUND = "all-round", "all round", "Along the whole edge.", COMMON_PRACTICE
    CLUSTERED = "clustered", "clustered", "In groups.", COMMON_PRACTICE
