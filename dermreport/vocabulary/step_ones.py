"""First step of the two-step approach."""

from __future__ import annotations

from dermreport.sources import COMMON_PRACTICE
from dermreport.vocabulary.term import Term


class StepOne(Term):
    """First step of the two-step approach."""

    MELANOCYTIC = "melanocytic", "melanocytic", "Signs of a melanocytic lesion.", COMMON_PRACTICE
    NON_MELANOCYTIC = "non-melanocytic", "not melanocytic", "Signs of another kind of lesion.", COMMON_PRACTICE
    UNCERTAIN = "uncertain", "uncertain", "Neither can be told; counts as melanocytic.", COMMON_PRACTICE
