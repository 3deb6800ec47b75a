"""Criteria on the lesion as a whole that several methods share."""

from __future__ import annotations

from dermreport.expressions.nodes import Expression, Holds, some


def asymmetric(axis: str, *aspects: str) -> Expression:
    """Return the condition that one of these aspects is asymmetric along an axis."""
    return some(*(Holds(f"whole.{axis}.{aspect}") for aspect in aspects))


def asymmetric_along_any_axis(*aspects: str) -> Expression:
    """Return the condition that one of these aspects is asymmetric along one axis or both."""
    return some(asymmetric("first_axis", *aspects), asymmetric("second_axis", *aspects))
