"""Whether the faceplate touched the skin."""

from __future__ import annotations

from dermreport.sources import COMMON_PRACTICE
from dermreport.vocabulary.term import Term


class Contact(Term):
    """Whether the faceplate touched the skin."""

    CONTACT = "contact", "contact", "The faceplate touches the skin or its medium.", COMMON_PRACTICE
    NON_CONTACT = "non-contact", "no contact", "Nothing touches the skin.", COMMON_PRACTICE
