"""Structures that count where somebody recorded them, and leave nothing open where nobody looked for them."""

from __future__ import annotations

from dermreport.expressions.nodes import Exists, Expression, every, is_one_of, some_present
from dermreport.vocabulary.presences import Presence
from dermreport.vocabulary.structures import Structure


def recorded_present(*structures: Structure) -> Expression:
    """Return the condition that one of the structures was recorded as present: True or False, never open."""
    return Exists("findings", every(is_one_of("@.structure", *structures), is_one_of("@.presence", Presence.PRESENT)))


def present_where_recorded(*structures: Structure) -> Expression:
    """Return the condition that one of the structures counts as present, asked only where one was seen or doubtful."""
    seen_or_doubtful = Exists(
        "findings",
        every(is_one_of("@.structure", *structures), is_one_of("@.presence", Presence.PRESENT, Presence.UNCERTAIN)),
    )
    return every(seen_or_doubtful, some_present(*structures))
