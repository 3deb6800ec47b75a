"""How an answer of the history is known."""

from __future__ import annotations

from dermreport.sources import COMMON_PRACTICE
from dermreport.vocabulary.term import Term


class KnownBy(Term):
    """How an answer of the history is known."""

    PATIENT = "patient", "the patient’s word", "The patient or a relative says so.", COMMON_PRACTICE
    PHOTOGRAPH = "photograph", "a photograph", "Earlier pictures show it.", COMMON_PRACTICE
    MEASURED = "measured", "two measurements", "Measured on two occasions.", COMMON_PRACTICE
    RECORD = "record", "an earlier record", "An earlier record says so.", COMMON_PRACTICE
