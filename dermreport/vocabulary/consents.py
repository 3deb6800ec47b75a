"""Consent for one purpose."""

from __future__ import annotations

from dermreport.sources import COMMON_PRACTICE
from dermreport.vocabulary.term import Term


class Consent(Term):
    """Consent for one purpose."""

    GIVEN = "given", "given", "The patient agreed.", COMMON_PRACTICE
    REFUSED = "refused", "refused", "The patient refused.", COMMON_PRACTICE
    WITHDRAWN = "withdrawn", "withdrawn", "Agreed once, taken back later.", COMMON_PRACTICE
    NOT_ASKED = "not-asked", "not asked", "Nobody asked.", COMMON_PRACTICE
