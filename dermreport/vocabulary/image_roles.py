"""What a picture is for."""

from __future__ import annotations

from dermreport.sources import COMMON_PRACTICE
from dermreport.vocabulary.term import Term


class ImageRole(Term):
    """What a picture is for."""

    OVERVIEW = "overview", "overview", "Where on the body the lesion is.", COMMON_PRACTICE
    CLOSE_UP = "close-up", "close-up", "The lesion by the naked eye, with its surroundings.", COMMON_PRACTICE
    DERMATOSCOPIC = "dermatoscopic", "dermatoscopic", "Through the dermatoscope.", COMMON_PRACTICE
