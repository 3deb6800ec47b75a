"""500 random valid examinations: no engine refuses what the library makes of them, and the rules say the same there.

Each goes through one release, kind of bundle and format in turn. A bundle is sent as if no error stood in it, so that
every rule that is a constraint is asked; the validator must find broken exactly those that the library's review names.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from itertools import cycle, product
from pathlib import Path
from typing import NamedTuple

import pytest
from conformance import engine, random_examinations
from conformance.constraint_checks import by_review
from conformance.definitions import definitions
from conformance.example_bundles import FORMATS, KINDS, RELEASES
from conformance.expected_messages import RANDOM, broken_constraints, expected, surprises

import dermreport
from dermreport.issues import BuildError

_PRELIMINARY = re.compile('("status":|<status value=)"preliminary"')


class Sent(NamedTuple):
    """A random examination's bundle in a file."""

    path: Path
    review: dermreport.Review


def _written(folder: Path, release: str) -> Iterator[Sent]:
    """Write the bundles whose turn it is for a release."""
    turns = cycle(product(FORMATS, KINDS, RELEASES))
    for number, (review, turn) in enumerate(zip(random_examinations.reviews(), turns, strict=False)):
        if turn[2] != release:
            continue
        form, kind, _ = turn
        report = dermreport.to_fhir(review, release=release)
        try:
            bundle = report.bundle(kind)
        except BuildError:  # a document has an author and a time with its offset
            bundle = report.bundle("collection")
        text = bundle.to_json() if form == "json" else bundle.to_xml()
        path = folder / f"{number}.{bundle.kind}.{form}"
        path.write_text(_PRELIMINARY.sub(r'\1"final"', text), encoding="utf-8")
        yield Sent(path, review)


@pytest.mark.parametrize("release", RELEASES)
def test_random_examinations_validate(release: str, tmp_path: Path) -> None:
    files = list(_written(tmp_path, release))
    assert len(files) > random_examinations.NUMBER // 4
    answers = engine.validate(release, [one.path for one in files], definitions(release))
    wrong = []
    broken: Counter[str] = Counter()
    for one in files:
        messages = answers[str(one.path)]
        rules = {each.rule for each in broken_constraints(messages)}
        wrong += [f"{one.path.name}: {rule}" for rule in sorted(rules ^ by_review(one.review, release))]
        others = [message for message in messages if not broken_constraints([message])]
        wrong += surprises(one.path.name, others, expected(RANDOM))
        broken.update(rules)
    assert wrong == []
    assert len(broken) > 50
