"""Criteria on the lesion as a whole that several methods share."""

from __future__ import annotations

from dermreport.expressions.nodes import Expression, Given, Holds, Not, Unresolved, every, is_one_of, some
from dermreport.vocabulary.architectures import Architecture
from dermreport.vocabulary.judgements import Judgement


def asymmetric(axis: str, *aspects: str) -> Expression:
    """Return the condition that one of these aspects is asymmetric along an axis."""
    return some(*(Holds(f"whole.{axis}.{aspect}") for aspect in aspects))


def asymmetric_along_any_axis(*aspects: str) -> Expression:
    """Return the condition that one of these aspects is asymmetric along one axis or both."""
    return some(asymmetric("first_axis", *aspects), asymmetric("second_axis", *aspects))


_ARCHITECTURE = "whole.architecture"
#: The examiner's word on the order of the whole; without one, what two axes tell: both even is order, both uneven is
#: disorder, and one alone leaves it to a look at the whole.
DISORGANISED: Expression = some(
    every(
        Given(_ARCHITECTURE),
        is_one_of(_ARCHITECTURE, Architecture.MODERATE_DISORDER, Architecture.MARKED_DISORDER),
    ),
    every(
        Not(Given(_ARCHITECTURE)),
        asymmetric_along_any_axis("colour", "structure"),
        some(
            every(asymmetric("first_axis", "colour", "structure"), asymmetric("second_axis", "colour", "structure")),
            Unresolved("the lesion as a whole is in disorder", answerable=True),
        ),
    ),
)

#: Disorder of colour or structure along some axis, outline ignored; what was looked at and couldn't be decided counts.
DISORDER_OR_UNDECIDED: Expression = some(
    *(
        is_one_of(f"whole.{axis}.{aspect}", Judgement.YES, Judgement.UNCERTAIN)
        for axis in ("first_axis", "second_axis")
        for aspect in ("colour", "structure")
    )
)
