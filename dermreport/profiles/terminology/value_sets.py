"""ValueSets: one for each table of the vocabulary, with our codes and the standard codes that go out beside them.

A validator asks every coding of a concept to be in the value set that is bound, so a set without the standard codes
would refuse what this library itself sends. They are listed one by one: a set of all of SNOMED CT would say nothing.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from dermreport.fhir.canonical import head
from dermreport.fhir.releases import Release, shape_of
from dermreport.profiles.terminology.code_systems import table_title, table_words
from dermreport.profiles.terminology.notices import notice
from dermreport.publication import VOCABULARY_VERSION
from dermreport.vocabulary.mapping import standard_codes
from dermreport.vocabulary.tables import tables
from dermreport.vocabulary.term import code_system, table_id

if TYPE_CHECKING:
    from dermreport.vocabulary.term import Term


def value_sets(release: Release) -> list[dict[str, Any]]:
    """Return every ValueSet of ours, sorted by id, with the standard codes that the release lists."""
    unlisted = shape_of(release).unlisted
    return [_of_table(table, unlisted) for _, table in sorted(tables().items())]


def _of_table(table: type[Term], unlisted: frozenset[str]) -> dict[str, Any]:
    standard: dict[str, dict[str, str]] = {}
    for term in table:
        for one in standard_codes(term):
            if one.code not in unlisted:
                standard.setdefault(one.system, {})[one.code] = one.display
    beside = " With the standard codes that are sent beside ours." if standard else ""
    return head(
        "ValueSet",
        table_id(table),
        table_title(table),
        f"{table_words(table)}{beside}",
        {
            "copyright": notice(standard),
            "compose": {
                "include": [
                    {"system": code_system(table)},
                    *(
                        {
                            "system": system,
                            "concept": [{"code": code, "display": codes[code]} for code in sorted(codes)],
                        }
                        for system, codes in sorted(standard.items())
                    ),
                ]
            },
        },
        VOCABULARY_VERSION,
    )
