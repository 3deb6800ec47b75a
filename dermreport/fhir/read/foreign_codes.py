"""Codes of another system as ours: only what corresponds exactly is taken for one of our terms."""

from __future__ import annotations

from functools import cache

from dermreport.fhir.read.contradictions import is_contradictory
from dermreport.fhir.read.parts import Json, codings, objects, text
from dermreport.vocabulary.mapping import MAPPINGS, Relation
from dermreport.vocabulary.term import Term, code_system


@cache
def _exact(table: type[Term]) -> dict[tuple[str | None, str | None], str]:
    """Return our codes by the standard codes that mean the same; one that two of ours share means neither."""
    found: dict[tuple[str | None, str | None], str] = {}
    shared = set()
    for term, mappings in MAPPINGS.get(table, {}).items():
        for mapping in mappings:
            if mapping.relation is Relation.EQUIVALENT:
                key = (mapping.system, mapping.code)
                if key in found:
                    shared.add(key)
                found[key] = term.value
    return {key: code for key, code in found.items() if key not in shared}


def term_of(concept: Json, table: type[Term]) -> str | None:
    """Return our code for a concept: ours, or that of a standard code that means the same; ``None`` for several."""
    known = _exact(table)
    system = code_system(table)
    codes = {term.value for term in table}
    given = list(codings(concept))
    ours = {found[1] for found in given if found[0] == system and found[1] in codes}
    found = ours or {known[one] for one in given if one in known}
    # Codings that mean different things mean none: nobody can tell which is meant.
    return next(iter(found)) if len(found) == 1 and not is_contradictory(concept) else None


def other_code(concept: Json) -> Json | None:
    """Return the first whole coding of a concept as somebody else's code."""
    for coding in objects(concept, "coding"):
        if text(coding, "system") and text(coding, "code"):
            display = text(coding, "display") or text(concept, "text")
            made = {
                "system": coding["system"],
                "code": coding["code"],
                "display": display,
                "version": coding.get("version"),
            }
            return {name: value for name, value in made.items() if value is not None}
    return None
