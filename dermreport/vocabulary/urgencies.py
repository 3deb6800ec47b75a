"""How soon a planned step is wanted: neutral words; the days live in a local pathway."""

from __future__ import annotations

from typing import TYPE_CHECKING, Self

from dermreport.sources import Source, seen
from dermreport.vocabulary.term import Term

if TYPE_CHECKING:
    from dermreport.sources import Basis

_BASIS = seen(
    Source.FHIR_R4,
    note="Seen: the four codes of a request's priority. The words of this table are common practice, no source.",
)


class Urgency(Term):
    """How soon a planned step is wanted.

    Attributes:
        rank: Order in time, higher is sooner. It says nothing of what the step achieves: a look at the same
            visit comes sooner than an urgent referral and does not replace it.
        fhir_priority: Code of FHIR's request priority (``routine``, ``urgent``, ``asap``, ``stat``). It never says
            less than the word: FHIR has four steps and ``soon`` goes out as ``urgent``, so both words meet there
            and the word itself is sent beside the code.
    """

    rank: int
    fhir_priority: str

    def __new__(  # noqa: PLR0913, PLR0917 - a row is positional: a term's four fields and the two of this table
        cls, code: str, display: str, definition: str, basis: Basis, rank: int, fhir_priority: str
    ) -> Self:
        """Make one row: a term, its rank and its FHIR priority."""
        member = str.__new__(cls, code)
        member._value_ = code
        member.display = display
        member.definition = definition
        member.basis = basis
        member.synonyms = ()
        member.rank = rank
        member.fhir_priority = fhir_priority
        return member

    IMMEDIATE = (
        "immediate",
        "immediate",
        "The same day, by telephone as well as in writing.",
        _BASIS,
        6,
        "stat",
    )
    SAME_VISIT = "same-visit", "at this visit", "Before the patient leaves.", _BASIS, 5, "asap"
    URGENT = (
        "urgent",
        "urgent",
        "By the local standard for suspected cancer, or as fast.",
        _BASIS,
        4,
        "urgent",
    )
    SOON = "soon", "soon", "Sooner than the usual waiting list, by a date that is given.", _BASIS, 3, "urgent"
    ROUTINE = "routine", "routine", "By the usual waiting list.", _BASIS, 2, "routine"
    SCHEDULED = "scheduled", "at a set time", "At a date or in a window that is given.", _BASIS, 1, "routine"
    NONE = "none", "no time limit", "Whenever the patient wants; the way back is told.", _BASIS, 0, "routine"
