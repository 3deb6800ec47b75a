"""The lesion beside the patient’s other naevi."""

from __future__ import annotations

from dermreport.sources import COMMON_PRACTICE
from dermreport.vocabulary.term import Term


class Comparison(Term):
    """The lesion beside the patient’s other naevi."""

    ALIKE = "alike", "like the others", "It belongs to the patient’s usual kind.", COMMON_PRACTICE
    STANDS_OUT = (
        "stands-out",
        "unlike the others",
        "It stands out from the patient’s other naevi.",
        COMMON_PRACTICE,
        ("sign of the different lesion",),
    )
    ONLY_LESION = "only-lesion", "no others to compare", "The patient has no comparable naevi.", COMMON_PRACTICE
    NOT_COMPARED = "not-compared", "not compared", "Nobody looked at the others.", COMMON_PRACTICE
