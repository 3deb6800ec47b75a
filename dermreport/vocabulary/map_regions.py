"""Regions of the body map, and the drawings on which a point of each can lie."""

from __future__ import annotations

from typing import Self

from dermreport.sources import COMMON_PRACTICE, Basis
from dermreport.vocabulary.body_maps import BodyMap
from dermreport.vocabulary.term import Term

_BODY = (BodyMap.BODY_FRONT, BodyMap.BODY_BACK)
_HEAD = (BodyMap.HEAD_FRONT, BodyMap.HEAD_LEFT, BodyMap.HEAD_RIGHT, BodyMap.HEAD_BACK)


class MapRegion(Term):
    """Regions of the body map.

    Attributes:
        maps: The drawings on which a point of the region can lie, the best one first. A drawing that shows the
            region only at its rim counts too: a point is wrong only where the region cannot be seen at all.
    """

    maps: tuple[BodyMap, ...]

    def __new__(cls, code: str, display: str, definition: str, basis: Basis, maps: tuple[BodyMap, ...]) -> Self:
        """Make one row with its drawings."""
        member = str.__new__(cls, code)
        member._value_ = code
        member.display = display
        member.definition = definition
        member.basis = basis
        member.synonyms = ()
        member.maps = maps
        return member

    WHOLE_SKIN = "whole-skin", "whole skin", "Anywhere on the body.", COMMON_PRACTICE, tuple(BodyMap)
    HEAD = "head", "head and neck", "Anywhere on head, scalp or neck.", COMMON_PRACTICE, (*_HEAD, *_BODY)
    HEAD_FRONT = (
        "head-front",
        "face and front of the neck",
        "Seen from the front or from one side.",
        COMMON_PRACTICE,
        (BodyMap.HEAD_FRONT, BodyMap.HEAD_LEFT, BodyMap.HEAD_RIGHT, BodyMap.BODY_FRONT),
    )
    HEAD_SIDE = (
        "head-side",
        "side of head and neck",
        "Seen from one side, and at the rim from front and back.",
        COMMON_PRACTICE,
        (BodyMap.HEAD_LEFT, BodyMap.HEAD_RIGHT, BodyMap.HEAD_FRONT, BodyMap.HEAD_BACK, *_BODY),
    )
    HEAD_BACK = (
        "head-back",
        "back of head and neck",
        "Seen from the back or from one side.",
        COMMON_PRACTICE,
        (BodyMap.HEAD_BACK, BodyMap.HEAD_LEFT, BodyMap.HEAD_RIGHT, BodyMap.BODY_BACK),
    )
    MOUTH = (
        "mouth",
        "mouth",
        "Lips and inside of the mouth.",
        COMMON_PRACTICE,
        (BodyMap.MOUTH, BodyMap.HEAD_FRONT, BodyMap.HEAD_LEFT, BodyMap.HEAD_RIGHT, BodyMap.BODY_FRONT),
    )
    BODY_FRONT = (
        "body-front",
        "front of the body",
        "Seen from the front.",
        COMMON_PRACTICE,
        (BodyMap.BODY_FRONT,),
    )
    BODY_BACK = "body-back", "back of the body", "Seen from the back.", COMMON_PRACTICE, (BodyMap.BODY_BACK,)
    GROIN = (
        "groin",
        "groin and pubic area",
        "Between the front of the trunk and the genital region.",
        COMMON_PRACTICE,
        (BodyMap.BODY_FRONT, BodyMap.GENITAL),
    )
    BODY_EITHER = (
        "body-either",
        "side of the body, or front and back",
        "Seen from the front and from the back.",
        COMMON_PRACTICE,
        _BODY,
    )
    HAND = (
        "hand",
        "hand",
        "Anywhere on the hand.",
        COMMON_PRACTICE,
        (BodyMap.HAND_BACK, BodyMap.HAND_PALM, *_BODY),
    )
    HAND_PALM = (
        "hand-palm",
        "palm",
        "Palm and palm side of the fingers.",
        COMMON_PRACTICE,
        (BodyMap.HAND_PALM, *_BODY),
    )
    HAND_BACK = (
        "hand-back",
        "back of the hand",
        "Back of hand and fingers.",
        COMMON_PRACTICE,
        (BodyMap.HAND_BACK, *_BODY),
    )
    FINGERNAILS = (
        "fingernails",
        "nails of the hand",
        "Nail units of thumb and fingers, with the skin at their free edge.",
        COMMON_PRACTICE,
        (BodyMap.HAND_BACK, BodyMap.HAND_PALM, *_BODY),
    )
    FOOT = (
        "foot",
        "foot",
        "Anywhere on the foot.",
        COMMON_PRACTICE,
        (BodyMap.FOOT_TOP, BodyMap.FOOT_SOLE, *_BODY),
    )
    FOOT_SOLE = "foot-sole", "sole", "Sole and sole side of the toes.", COMMON_PRACTICE, (BodyMap.FOOT_SOLE, *_BODY)
    FOOT_TOP = "foot-top", "top of the foot", "Top of foot and toes.", COMMON_PRACTICE, (BodyMap.FOOT_TOP, *_BODY)
    TOENAILS = (
        "toenails",
        "nails of the foot",
        "Nail units of the toes, with the skin at their free edge.",
        COMMON_PRACTICE,
        (BodyMap.FOOT_TOP, BodyMap.FOOT_SOLE, *_BODY),
    )
    GENITAL = (
        "genital",
        "genital and anal region",
        "Genital and anal region.",
        COMMON_PRACTICE,
        (BodyMap.GENITAL, *_BODY),
    )
