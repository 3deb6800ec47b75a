"""Vocabulary rows as data and as text, for whoever looks a word up."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from dermreport.expressions.nodes import Expression, Found, Present, leaves
from dermreport.scores.method import Criterion
from dermreport.scores.methods import METHODS
from dermreport.vocabulary.finding_lists import FindingList
from dermreport.vocabulary.mapping import standard_codes
from dermreport.vocabulary.structures import Structure
from dermreport.vocabulary.term import Term, code_system


def rows(table: type[Term], words: Sequence[str] = ()) -> list[dict[str, Any]]:
    """Return the rows of a table that have all these words in code, names or definition; case doesn't count."""
    wanted = [word.casefold() for word in words]
    return [_row(term) for term in table if all(word in _searched(term) for word in wanted)]


def _searched(term: Term) -> str:
    names = (term, term.display, term.definition, *term.synonyms)
    more = (term.descriptive, term.metaphoric) if isinstance(term, Structure) else ()
    return "\n".join((*names, *more)).casefold()


def _row(term: Term) -> dict[str, Any]:
    row: dict[str, Any] = {
        "code": term.value,
        "display": term.display,
        "definition": term.definition,
        "synonyms": list(term.synonyms),
        "system": code_system(type(term)),
    }
    if isinstance(term, Structure):
        row |= {
            "descriptive": term.descriptive,
            "metaphoric": term.metaphoric,
            "element": term.element.value,
            "depth": term.depth.value,
            "light": term.light.value,
            "reading_styles": sorted(style.value for style in term.reading_styles),
            "criteria": list(criteria_of(term)),
        }
    if isinstance(term, FindingList):
        row["structures"] = [structure.value for structure in term.structures]
    codes = standard_codes(term)
    if codes:
        row["standard_codes"] = [
            {"system": one.system, "code": one.code, "display": one.display, "relation": one.relation.value}
            for one in codes
        ]
    row["source"] = term.basis.text
    return row


def criteria_of(structure: Structure) -> tuple[str, ...]:
    """Return the criteria that a structure can satisfy, as ``method: criterion``, read from the methods themselves."""
    return tuple(
        f"{method.code}: {criterion.label}"
        for method in METHODS
        for criterion in method.criteria
        if isinstance(criterion, Criterion) and structure in _structures(criterion.when)
    )


def _structures(expression: Expression) -> set[Structure]:
    """Return the structures that an expression asks for, with their kinds and parts."""
    asked = {leaf.structure for leaf in leaves(expression) if isinstance(leaf, Present | Found)}
    asked |= {part for structure in asked for part in (*structure.any_of, *structure.all_of)}
    return asked | {structure for structure in Structure if structure.parent in asked}


def rows_as_text(chosen: Sequence[dict[str, Any]]) -> str:
    """Return rows as plain text: code and display, then the rest, a line each."""
    if not chosen:
        return "no such row"
    return "\n".join(_as_text(row) for row in chosen)


def _as_text(row: dict[str, Any]) -> str:
    lines = [f"{row['code']}: {row['display']}"]
    for name, value in row.items():
        if name in {"code", "display"} or value in ("", []):
            continue
        shown = "; ".join(_shown(one) for one in value) if isinstance(value, list) else value
        lines.append(f"    {name.replace('_', ' ')}: {shown}")
    return "\n".join(lines)


def _shown(one: str | dict[str, str]) -> str:
    """Return one item of a list: a text, or a standard code."""
    return one if isinstance(one, str) else f"{one['code']} {one['display']} ({one['relation']}, {one['system']})"
