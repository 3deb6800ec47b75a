"""What a rule is: a condition held as data, what it says, how grave it is, where it comes from."""

from __future__ import annotations

from enum import StrEnum

from msgspec import Struct

from dermreport.expressions.nodes import Expression
from dermreport.issues import Severity
from dermreport.sources import Basis


class Group(StrEnum):
    """What a rule is about; issues of one severity are listed in this order."""

    RED_FLAG = "red-flag"
    IDENTITY = "identity"
    TIME = "time"
    SITE = "site"
    LIGHT = "light"
    VIEW = "view"
    DESCRIPTION = "description"
    PATIENT = "patient"
    SCORE = "score"
    PLAN = "plan"
    PATHOLOGY = "pathology"
    IMAGE = "image"


class Rule(Struct, frozen=True):
    """One rule.

    Attributes:
        id: Its id, ``[a-z0-9.-]{1,64}``.
        group: What it is about.
        severity: How much it weighs.
        when: The condition that makes an issue. An open condition (None) makes none.
        at: Where the issue points: a path in the entry, relative to the item where the rule looks at items.
        message: What to do, for a clinician; ``{names}`` are filled from ``shown``.
        basis: Where the rule comes from and how it is known.
        hazard: The hazard that it controls.
        each: Path of the list whose items are looked at one by one; ``""`` for the examination as a whole.
        shown: Names in the message and the path of the code or count that each shows.
    """

    id: str
    group: Group
    severity: Severity
    when: Expression
    at: str
    message: str
    basis: Basis
    hazard: str
    each: str = ""
    shown: tuple[tuple[str, str], ...] = ()
