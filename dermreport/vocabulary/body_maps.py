"""Drawing on which a point is marked."""

from __future__ import annotations

from dermreport.sources import COMMON_PRACTICE
from dermreport.vocabulary.term import Term


class BodyMap(Term):
    """Drawing on which a point is marked."""

    BODY_FRONT = "body-front", "body, front", "The whole body from the front.", COMMON_PRACTICE
    BODY_BACK = "body-back", "body, back", "The whole body from the back.", COMMON_PRACTICE
    HEAD_FRONT = "head-front", "head, front", "Head and neck from the front.", COMMON_PRACTICE
    HEAD_LEFT = "head-left", "head, left", "Head and neck from the left.", COMMON_PRACTICE
    HEAD_RIGHT = "head-right", "head, right", "Head and neck from the right.", COMMON_PRACTICE
    HEAD_BACK = "head-back", "head, back", "Head and neck from the back.", COMMON_PRACTICE
    HAND_PALM = "hand-palm", "hand, palm", "Palm and palm side of the fingers.", COMMON_PRACTICE
    HAND_BACK = "hand-back", "hand, back", "Back of the hand with nails.", COMMON_PRACTICE
    FOOT_SOLE = "foot-sole", "foot, sole", "Sole and sole side of the toes.", COMMON_PRACTICE
    FOOT_TOP = "foot-top", "foot, top", "Top of the foot with nails.", COMMON_PRACTICE
    MOUTH = "mouth", "mouth", "Lips and inside of the mouth.", COMMON_PRACTICE
    GENITAL = "genital", "genital and anal region", "Genital and anal region.", COMMON_PRACTICE
