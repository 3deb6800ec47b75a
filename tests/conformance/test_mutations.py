"""300 systematic damages of valid bundles: each that matters is caught, and ``mutations.tsv`` says by what.

A damage after which exactly the same examination is read took nothing away, whether the validator minds it or not.
"""

from __future__ import annotations

from collections import Counter

import pytest
from conformance.mutation_outcomes import TABLE, Ours, Outcome, Theirs, outcomes, table
from conformance.mutations import EACH, KINDS

#: What nothing can catch, and why.
BEYOND_ANY_CHECK = {
    "dermoscopy-lesion.identifier[].system": "An identifier is the host's: nothing else in the bundle says it too.",
    "Patient.identifier[].system": "The same.",
}


@pytest.fixture(scope="module")
def found() -> list[Outcome]:
    return outcomes()


def test_all_damages_were_done(found: list[Outcome]) -> None:
    assert Counter(one.damage.kind for one in found) == dict.fromkeys(KINDS, EACH)


def test_none_that_matters_is_missed(found: list[Outcome]) -> None:
    assert {one.damage.place for one in found if one.missed} == BEYOND_ANY_CHECK.keys()


def test_the_table_says_what_caught_each(found: list[Outcome]) -> None:
    assert table(found) == TABLE.read_text(encoding="utf-8")


def test_both_catch_much_that_the_other_does_not(found: list[Outcome]) -> None:
    by_us = {one.damage for one in found if one.ours in {Ours.ISSUE, Ours.KEPT}}
    by_them = {one.damage for one in found if one.theirs is not Theirs.NOTHING}
    assert len(by_us) > 200
    assert len(by_them) > 100
    assert by_us - by_them
    assert by_them - by_us
    assert {one.theirs for one in found} == set(Theirs)
