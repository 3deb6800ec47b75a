"""Lesions that a method leaves out because the clinician names them and has no doubt at all."""

from __future__ import annotations

from dermreport.expressions.nodes import Exists, Expression, Given, Not, every, is_one_of
from dermreport.vocabulary.impressions import Impression


def unequivocally(*impressions: Impression) -> Expression:
    """Return the condition that the lesion is called unequivocal and every name given is one of these.

    True or False, never open: what nobody said isn't unequivocal.
    """
    named = every(Given("@.impression"), is_one_of("@.impression", *impressions))
    return every(
        Given("assessment.unequivocal"),
        is_one_of("assessment.unequivocal", True),  # noqa: FBT003 - the entry's own value
        Exists("assessment.impressions", named),
        Not(Exists("assessment.impressions", Not(named))),
    )
