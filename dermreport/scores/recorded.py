"""Structures that count where somebody recorded them, and leave nothing open where nobody looked for them."""

from __future__ import annotations

from dermreport.expressions.nodes import Exists, Expression, Given, MoreThan, Not, Present, every, is_one_of, some
from dermreport.vocabulary.presences import Presence
from dermreport.vocabulary.structures import Structure, family_of


def recorded_present(*structures: Structure) -> Expression:
    """Return the condition that one of the structures was recorded as present: True or False, never open."""
    return Exists("findings", every(is_one_of("@.structure", *structures), is_one_of("@.presence", Presence.PRESENT)))


def present_where_recorded(*structures: Structure) -> Expression:
    """Return the condition that one of the structures counts as present, each asked only where it was seen or doubtful.

    A kind of it that was recorded stands for the structure. Where one is doubtful the others aren't asked for it.
    """
    return some(*(every(seen_or_doubtful(structure), Present(structure)) for structure in structures))


def seen_or_doubtful(structure: Structure) -> Expression:
    """Return the condition that the structure or a kind of it was recorded as present or uncertain: never open."""
    return Exists(
        "findings",
        every(
            is_one_of("@.structure", *family_of(structure)),
            is_one_of("@.presence", Presence.PRESENT, Presence.UNCERTAIN),
        ),
    )


def counted_over(number: int) -> Expression:
    """Return the condition, on a finding at hand, that more than so many were counted, or that nobody counted."""
    return some(Not(Given("@.count")), MoreThan("@.count", number))
