"""What a name implies about the lesion, apart from the clinician's own concern."""

from __future__ import annotations

from typing import TYPE_CHECKING, Self

from dermreport.sources import COMMON_PRACTICE
from dermreport.vocabulary.term import Term

if TYPE_CHECKING:
    from dermreport.sources import Basis


class ImpliedConcern(Term):
    """What a name implies about the lesion; ``rank`` orders the rows, higher is more worrying."""

    rank: int

    def __new__(cls, code: str, display: str, definition: str, basis: Basis, rank: int) -> Self:
        """Make one row: a term and its rank."""
        member = str.__new__(cls, code)
        member._value_ = code
        member.display = display
        member.definition = definition
        member.basis = basis
        member.synonyms = ()
        member.rank = rank
        return member

    BENIGN = "benign", "harmless if the name is right", "The name is that of a harmless lesion.", COMMON_PRACTICE, 0
    UNCERTAIN = (
        "uncertain",
        "uncertain",
        "The name leaves open whether the lesion is harmless, or has dangerous imitators.",
        COMMON_PRACTICE,
        1,
    )
    PREMALIGNANT_OR_IN_SITU = (
        "premalignant-or-in-situ",
        "precursor or in situ",
        "A cancer confined to the epidermis, or a growth that can become one.",
        COMMON_PRACTICE,
        2,
    )
    MALIGNANT = "malignant", "malignant", "The name is that of a cancer.", COMMON_PRACTICE, 3
