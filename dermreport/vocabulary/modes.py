"""How the examiner met the patient."""

from __future__ import annotations

from dermreport.sources import COMMON_PRACTICE
from dermreport.vocabulary.term import Term


class Mode(Term):
    """How the examiner met the patient."""

    IN_PERSON = "in-person", "in person", "Examiner and patient in one room.", COMMON_PRACTICE
    LIVE_REMOTE = "live-remote", "live, at a distance", "By live video.", COMMON_PRACTICE
    IMAGES_ONLY = "images-only", "from images only", "The examiner saw pictures, not the patient.", COMMON_PRACTICE
