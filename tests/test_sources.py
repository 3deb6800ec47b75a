"""Every row of every table says how it is known, and what was seen names where."""

import re
from collections.abc import Iterator

import pytest

from dermreport.hazards import HAZARDS
from dermreport.rules.tables import RULES
from dermreport.scores.methods import CLUE_LISTS, METHODS
from dermreport.sources import Basis, Known, Source
from dermreport.vocabulary.mapping import MAPPINGS
from dermreport.vocabulary.standard_codes import STANDARD_CODES
from dermreport.vocabulary.structures import Structure
from dermreport.vocabulary.tables import tables


def bases() -> Iterator[tuple[str, Basis]]:
    yield from _of_the_vocabulary()
    yield from _of_rules_and_methods()


def _of_the_vocabulary() -> Iterator[tuple[str, Basis]]:
    for name, table in tables().items():
        for term in table:
            yield f"{name} {term.value}", term.basis
    for structure in Structure:
        yield f"depth of {structure.value}", structure.depth_basis
        yield f"light of {structure.value}", structure.light_basis
        yield f"styles of {structure.value}", structure.styles_basis
    for by_term in MAPPINGS.values():
        for term, codes in by_term.items():
            for code in codes:
                yield f"mapping {term.value} {code.code}", code.basis
    for code in STANDARD_CODES.values():
        yield f"standard code {code.code}", code.basis


def _of_rules_and_methods() -> Iterator[tuple[str, Basis]]:
    for rule in RULES:
        yield f"rule {rule.id}", rule.basis
    for list_ in CLUE_LISTS:
        yield f"list {list_.id}", list_.basis
        for row in (*list_.clues, *list_.validity, *list_.figures):
            yield f"{list_.id} {type(row).__name__}", row.basis
    for method in METHODS:
        yield f"method {method.id}", method.basis
        for one in (*method.criteria, *method.validity, *method.figures, *method.variants):
            yield f"{method.id} {type(one).__name__}", one.basis


ALL = list(bases())


def test_there_are_as_many_facts_as_the_tables_have() -> None:
    assert len(ALL) > 2000


def test_every_fact_says_how_it_is_known() -> None:
    unknown = [what for what, basis in ALL if not isinstance(basis, Basis) or basis.known not in set(Known)]
    assert unknown == []


def test_what_was_seen_names_a_source_and_nothing_else_does() -> None:
    wrong = [what for what, basis in ALL if bool(basis.sources) is not (basis.known is Known.SEEN)]
    assert wrong == []


def test_every_text_of_a_basis_says_it_in_words() -> None:
    starts = {
        Known.SEEN: "seen: ",
        Known.MEMORY: "from memory, not checked",
        Known.COMMON_PRACTICE: "common practice, no source",
    }
    for what, basis in ALL:
        assert basis.text.startswith(starts[basis.known]), what


@pytest.mark.parametrize("source", Source)
def test_every_source_says_what_and_where(source: Source) -> None:
    assert re.fullmatch(r"[a-z0-9-]{1,64}", source.value)
    assert len(source.title) > 5
    assert source.locator.strip()


def test_no_two_sources_are_the_same() -> None:
    assert len({source.title for source in Source}) == len(Source)


def test_every_hazard_of_a_rule_is_in_the_hazard_table() -> None:
    known = {hazard.id for hazard in HAZARDS}
    assert {rule.hazard for rule in RULES} <= known
