"""The vocabulary browser: a page for each of the large tables, and one for all the others."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from html import escape
from typing import Any

from dermreport.publication import VOCABULARY_VERSION
from dermreport.vocabulary.action_kinds import ActionKind
from dermreport.vocabulary.colours import Colour
from dermreport.vocabulary.depths import Depth
from dermreport.vocabulary.elements import Element
from dermreport.vocabulary.finding_lists import FindingList
from dermreport.vocabulary.histology_results import HistologyResult
from dermreport.vocabulary.implied_concerns import ImpliedConcern
from dermreport.vocabulary.impression_groups import ImpressionGroup
from dermreport.vocabulary.impressions import Impression
from dermreport.vocabulary.lateralities import Laterality
from dermreport.vocabulary.light_fits import LightFit
from dermreport.vocabulary.mapping import MAPPINGS, Mapping
from dermreport.vocabulary.plan_actions import PlanAction
from dermreport.vocabulary.reading_styles import ReadingStyle
from dermreport.vocabulary.sites import Site
from dermreport.vocabulary.structure_kinds import StructureKind
from dermreport.vocabulary.structures import Structure
from dermreport.vocabulary.tables import tables
from dermreport.vocabulary.term import Term, code_system, table_id
from made.markup import Page, Row, because, choice, filters, items, link, table

_FOLDER = "reference/vocabulary"
INDEX = f"{_FOLDER}/index.md"
OTHERS = f"{_FOLDER}/other.md"
#: The large tables, each on a page of its own.
PAGES: dict[type[Term], tuple[str, str]] = {
    Structure: (f"{_FOLDER}/structures.md", "Structures"),
    Colour: (f"{_FOLDER}/colours.md", "Colours"),
    Site: (f"{_FOLDER}/sites.md", "Sites"),
    Impression: (f"{_FOLDER}/impressions.md", "Impressions"),
    PlanAction: (f"{_FOLDER}/plan-actions.md", "Plan actions"),
    HistologyResult: (f"{_FOLDER}/histology-results.md", "Histology results"),
}
_SYSTEMS = {
    "http://snomed.info/sct": "SNOMED CT",
    "http://loinc.org": "LOINC",
    "http://dicom.nema.org/resources/ontology/DCM": "DICOM",
}


def place(term: Term) -> str:
    """Return where a row stands: page and anchor."""
    uri = PAGES[type(term)][0] if type(term) in PAGES else OTHERS
    return f"{uri}#{table_id(type(term))}.{term.value}"


def name(here: str, term: Term) -> str:
    """Return a row's name as a link to it."""
    return link(here, place(term), escape(term.display))


def _codes(term: Term) -> str:
    return items(map(_code, MAPPINGS.get(type(term), {}).get(term, ())))


def _code(mapping: Mapping) -> str:
    system = _SYSTEMS.get(mapping.system, mapping.system)
    sent = "" if mapping.implied else " – for readers of the concept map, not sent"
    return (
        f"{escape(system)} <code>{escape(mapping.code)}</code> {escape(mapping.display)} "
        f'<span class="quiet">({mapping.relation}{sent})</span>{because(mapping.basis)}'
    )


def _called(term: Term, *names: str) -> str:
    others = [one for one in (*names, *term.synonyms) if one and one != term.display]
    also = f'<br><span class="quiet">also: {escape("; ".join(others))}</span>' if others else ""
    return f"{escape(term.display)}<br><code>{escape(term.value)}</code>{also}"


def _what(term: Term, *more: str) -> str:
    return f"<p>{escape(term.definition)}</p>{items(filter(None, more))}{because(term.basis)}"


@dataclass(frozen=True, slots=True)
class _Layout:
    """How a table is shown.

    Attributes:
        heads: What stands over the columns between the definition and the codes.
        cells: What stands in them.
        details: Lines below a definition.
        names: Other names of a row.
        data: What a filter asks.
        choices: The filter's choices: name, label, and the rows to choose from.
    """

    heads: tuple[str, ...] = ()
    cells: Callable[[Any], tuple[str, ...]] = lambda _: ()
    details: Callable[[Any], tuple[str, ...]] = lambda _: ()
    names: Callable[[Any], tuple[str, ...]] = lambda _: ()
    data: Callable[[Any], dict[str, Iterable[str]]] = lambda _: {}
    choices: tuple[tuple[str, str, type[Term]], ...] = ()


def _of_structure(here: str) -> _Layout:
    def cells(one: Structure) -> tuple[str, ...]:
        styles = ", ".join(style.display for style in ReadingStyle if style in one.reading_styles)
        return (
            f"{escape(one.depth.display)}{because(one.depth_basis)}",
            f"{escape(one.light.display)}{because(one.light_basis)}",
            f"{escape(styles)}{because(one.styles_basis)}",
        )

    def details(one: Structure) -> tuple[str, ...]:
        return (
            f"{escape(one.element.display)}; {escape(one.kind.display)}{'; of melanin' if one.pigmented else ''}",
            f"a kind of {name(here, one.parent)}" if one.parent else "",
            "one of: " + ", ".join(name(here, part) for part in one.any_of) if one.any_of else "",
            "all of: " + ", ".join(name(here, part) for part in one.all_of) if one.all_of else "",
            "its colour: " + ", ".join(name(here, colour) for colour in one.implied_colours)
            if one.implied_colours
            else "",
        )

    return _Layout(
        heads=("Depth", "Light", "Skin"),
        cells=cells,
        details=details,
        names=lambda one: (one.descriptive, one.metaphoric),
        data=lambda one: {
            "depth": [one.depth.value],
            "light": [one.light.value],
            "skin": [style.value for style in one.reading_styles],
            "element": [one.element.value],
            "kind": [one.kind.value],
        },
        choices=(
            ("depth", "Depth", Depth),
            ("light", "Light", LightFit),
            ("skin", "Skin (site fit)", ReadingStyle),
            ("element", "Element", Element),
            ("kind", "Kind", StructureKind),
        ),
    )


def _of_site(here: str) -> _Layout:
    def styles(one: Site) -> list[ReadingStyle]:
        return [style for style in (one.reading_style, one.second_style) if style is not None]

    return _Layout(
        heads=("Side", "Read as"),
        cells=lambda one: (
            escape(one.laterality.display),
            escape(", also ".join(style.display for style in styles(one)) or "not known"),
        ),
        details=lambda one: (
            f"part of {name(here, one.parent)}" if one.parent else "",
            escape(", ".join(sorted(trait.display for trait in one.traits))),
        ),
        data=lambda one: {
            "side": [one.laterality.value],
            "skin": [style.value for style in styles(one)],
        },
        choices=(("side", "Side", Laterality), ("skin", "Read as", ReadingStyle)),
    )


def _of_impression() -> _Layout:
    return _Layout(
        heads=("Group", "What the name implies"),
        cells=lambda one: (
            escape(one.group.display),
            escape(one.concern.display) + ("; melanoma is possible under it" if one.melanoma_possible else ""),
        ),
        details=lambda one: (
            f"what usually follows: {escape(one.expectation)}" if one.expectation else "",
            f"histology: {escape(one.histology)}" if one.histology else "",
        ),
        data=lambda one: {"group": [one.group.value], "concern": [one.concern.value]},
        choices=(("group", "Group", ImpressionGroup), ("concern", "Implies", ImpliedConcern)),
    )


def _of_action() -> _Layout:
    return _Layout(
        heads=("Kind",),
        cells=lambda one: (escape(one.kind.display),),
        data=lambda one: {"kind": [one.kind.value]},
        choices=(("kind", "Kind", ActionKind),),
    )


def _of_result() -> _Layout:
    return _Layout(
        heads=("What it implies",),
        cells=lambda one: (escape(one.concern.display),),
        data=lambda one: {"concern": [one.concern.value]},
        choices=(("concern", "Implies", ImpliedConcern),),
    )


def _of_list(here: str) -> _Layout:
    return _Layout(details=lambda one: ("asks for: " + ", ".join(name(here, asked) for asked in one.structures),))


def _layout(of: type[Term], here: str) -> _Layout:
    layouts = {
        Structure: lambda: _of_structure(here),
        Site: lambda: _of_site(here),
        Impression: _of_impression,
        PlanAction: _of_action,
        HistologyResult: _of_result,
        FindingList: lambda: _of_list(here),
    }
    return layouts.get(of, _Layout)()


def _table(of: type[Term], here: str, caption: str) -> tuple[str, str]:
    """Return filter and table."""
    layout = _layout(of, here)
    rows = [
        Row(
            (
                _called(term, *layout.names(term)),
                _what(term, *layout.details(term)),
                *layout.cells(term),
                *([_codes(term)] if of in MAPPINGS else []),
            ),
            id=f"{table_id(of)}.{term.value}",
            data=layout.data(term),
        )
        for term in of
    ]
    of_id = f"table-{table_id(of)}"
    heads = (
        "Term",
        "What it is, and how that is known",
        *layout.heads,
        *(["Standard codes"] if of in MAPPINGS else []),
    )
    choices = [
        choice(key, label, [(one.value, one.display) for one in rows_of], of_id)
        for key, label, rows_of in layout.choices
    ]
    return filters(of_id, choices), table(heads, rows, of_id, caption)


def _system(of: type[Term]) -> str:
    return f"CodeSystem `{code_system(of)}`, version {VOCABULARY_VERSION}."


def pages() -> Iterator[Page]:
    """Return the pages of all tables."""
    found = tables()
    others = [of for of in found.values() if of not in PAGES]
    listed = [(uri, title, of) for of, (uri, title) in PAGES.items()]
    lines = [f"- [{title}]({uri.rpartition('/')[2]}): {len(list(of))} rows" for uri, title, of in listed]
    rest = ", ".join(f"[{table_id(of)}](other.md#{table_id(of)})" for of in others)
    yield Page(
        INDEX,
        "Vocabulary",
        f"Every code that a record can hold, version {VOCABULARY_VERSION}, made of the library’s own tables: what it "
        "is called, what it is, how that is known, and the codes of open terminologies beside it. «Seen» is read in "
        "the source named, «from memory» is recalled and not checked, «common practice» has no source.\n\n"
        + "\n".join(lines)
        + f"\n- [Other tables](other.md): {rest}\n\n[[include README.md#Terminology]]\n\n"
        "On the command line `dermreport terms` prints the same.\n",
    )
    for uri, title, of in listed:
        form, rows = _table(of, uri, f"{title}: {len(list(of))} rows")
        yield Page(uri, title, f"{_system(of)} {of.__doc__.splitlines()[0] if of.__doc__ else ''}\n\n{form}{rows}")
    parts = []
    for of in others:
        _, rows = _table(of, OTHERS, f"{table_id(of)}: {len(list(of))} rows")
        parts.append(f"## {table_id(of)}\n\n{_system(of)} {(of.__doc__ or '').splitlines()[0]}\n\n{rows}")
    yield Page(OTHERS, "Other tables of the vocabulary", "\n".join(parts))
