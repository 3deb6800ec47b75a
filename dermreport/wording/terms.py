"""Vocabulary rows as data and as text, for whoever looks a word up."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from dermreport.expressions.nodes import Expression, Found, Present, leaves
from dermreport.languages.language import SOURCE, Language, language
from dermreport.scores.method import Criterion
from dermreport.scores.methods import METHODS
from dermreport.vocabulary.finding_lists import FindingList
from dermreport.vocabulary.mapping import standard_codes
from dermreport.vocabulary.structures import Structure
from dermreport.vocabulary.term import Term, code_system

if TYPE_CHECKING:
    from dermreport.plugin import Plugin


def rows(table: type[Term], words: Sequence[str] = (), code: str = SOURCE) -> list[dict[str, Any]]:
    """Return the rows of a table that have all these words in code, names or definition; case doesn't count.

    Args:
        table: The table.
        words: Looked for in English and in the language.
        code: The language of the names; its state stands in each row.
    """
    said = language(code)
    wanted = [word.casefold() for word in words]
    return [_row(term, said) for term in table if all(word in _searched(term, said) for word in wanted)]


def plugin_rows(plugin: Plugin, words: Sequence[str] = ()) -> list[dict[str, Any]]:
    """Return the rows of a plugin that have all these words in code, name or definition; case doesn't count.

    Args:
        plugin: The plugin.
        words: Looked for in the words of the plugin, which has no other language.
    """
    wanted = [word.casefold() for word in words]
    about = plugin.about
    return [
        {
            "code": row.code,
            "display": row.display,
            "definition": row.definition,
            "system": about.system,
            "other_codes": [
                {"system": one.system, "code": one.code, **({"display": one.display} if one.display else {})}
                for one in row.codings
            ],
            "source": f"the code system of the plugin {about.name}, version {about.version}",
        }
        for row in plugin.rows
        if all(word in f"{row.code}\n{row.display}\n{row.definition}".casefold() for word in wanted)
    ]


def _searched(term: Term, said: Language) -> str:
    names = (term, term.display, term.definition, *term.synonyms, said.term(term), said.definition(term))
    more = (term.descriptive, term.metaphoric, *said.structure_names(term)) if isinstance(term, Structure) else ()
    return "\n".join((*names, *more)).casefold()


def _row(term: Term, said: Language) -> dict[str, Any]:
    row: dict[str, Any] = {"code": term.value, "display": said.term(term)}
    if said.draft is not None:
        row |= {"display_in_english": term.display, "language": f"{said.code}: {said.draft.state}"}
    row |= {
        "definition": said.definition(term),
        "synonyms": list(term.synonyms),
        "system": code_system(type(term)),
    }
    if isinstance(term, Structure):
        descriptive, metaphoric = said.structure_names(term)
        row |= {
            "descriptive": descriptive,
            "metaphoric": metaphoric,
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
    """Return one item of a list: a text, or a code of another system."""
    if isinstance(one, str):
        return one
    name = " ".join(one[part] for part in ("code", "display") if part in one)
    return f"{name} ({', '.join(one[part] for part in ('relation', 'system') if part in one)})"
