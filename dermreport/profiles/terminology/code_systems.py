"""CodeSystems: one for each table of the vocabulary, one for the rules and one for the criteria of the scores."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from dermreport.examination.entry_rules import ENTRY_RULES
from dermreport.fhir.canonical import head
from dermreport.fhir.codes import CRITERION_SYSTEM, RULE_SYSTEM, coding
from dermreport.fhir.outcome import COMPLETENESS_RULE, FORMER_REVISION_RULE
from dermreport.fhir.read.rules import READ_RULES
from dermreport.form.rules import FORM_RULES
from dermreport.languages.language import LANGUAGES, SOURCE, Language, language
from dermreport.letters.drawn import NOT_IN_THE_RECORD
from dermreport.letters.pdf.rules import PDF_RULES
from dermreport.letters.picture_rules import PICTURE_RULES
from dermreport.letters.rules import LETTER_RULES
from dermreport.letters.template_rules import TEMPLATE_RULES
from dermreport.pathways.issue_rules import GROUP as PATHWAY_GROUP
from dermreport.pathways.issue_rules import HAZARD as PATHWAY_HAZARD
from dermreport.pathways.issue_rules import PATHWAY_RULES
from dermreport.plugins.issue_rules import PLUGIN_RULES
from dermreport.profiles.operations.refusals import REFUSALS
from dermreport.profiles.terminology.concept_properties import Property, attribute, properties
from dermreport.publication import PROFILES_VERSION, VOCABULARY_VERSION
from dermreport.rules.tables import RULES
from dermreport.scores.method import Counted
from dermreport.scores.methods import METHODS
from dermreport.sources import COMMON_PRACTICE, Source, seen
from dermreport.vocabulary.sites import Site
from dermreport.vocabulary.structures import Structure
from dermreport.vocabulary.tables import tables
from dermreport.vocabulary.term import Term, table_id

if TYPE_CHECKING:
    from collections.abc import Iterable

    from dermreport.fhir.releases import Release

_ISSUE_SEVERITY: Final = "http://hl7.org/fhir/issue-severity"

#: What it means that one concept of a table stands below another.
_HIERARCHY: Final[dict[type[Term], str]] = {Structure: "is-a", Site: "part-of"}

#: Why a code can be relied on.
_POLICY: Final = (
    "A code keeps its meaning for ever: it is never changed, removed or used again for anything else. A row that is no "
    "longer to be used stays, marked as retired."
)


def code_systems(release: Release) -> list[dict[str, Any]]:  # noqa: ARG001 - every generator is asked by release
    """Return every CodeSystem of ours, sorted by id; all releases write them alike."""
    made = [_of_table(table) for table in tables().values()]
    made += [_of_rules(), _of_criteria()]
    return sorted(made, key=lambda one: str(one["id"]))


def table_title(table: type[Term]) -> str:
    """Return the title of a table: its id in words."""
    return table_id(table).replace("-", " ").capitalize()


def table_words(table: type[Term]) -> str:
    """Return what a table holds: the first line of its documentation, without the marks of code."""
    return (table.__doc__ or "").splitlines()[0].replace("``", "")


def _of_table(table: type[Term]) -> dict[str, Any]:
    declared = properties(table)
    concepts = {term.value: _concept(term, declared) for term in table}
    return _code_system(
        _Own(
            table_id(table),
            table_title(table),
            table_words(table),
            declared,
            _nested(table, concepts) if table in _HIERARCHY else list(concepts.values()),
            len(concepts),
            VOCABULARY_VERSION,
            _HIERARCHY.get(table),
        )
    )


def _concept(term: Term, declared: Iterable[Property]) -> dict[str, Any]:
    names = [*term.synonyms]
    if isinstance(term, Structure):
        names = [term.metaphoric, term.descriptive, *names]
    others = [name for name in dict.fromkeys(names) if name and name != term.display]
    made: dict[str, Any] = {"code": term.value, "display": term.display, "definition": term.definition}
    designations = [_designation(SOURCE, name) for name in others]
    designations += [_designation(one.code, name) for one in _translations() for name in _names(one, term)]
    if designations:
        made["designation"] = designations
    made["property"] = [value for one in declared for value in one.given(term)]
    return made


def _translations() -> tuple[Language, ...]:
    """Return the languages in which a concept is named beside its own display."""
    return tuple(language(code) for code in LANGUAGES if code != SOURCE)


def _names(one: Language, term: Term) -> tuple[str, ...]:
    """Return what a row is called in a language: by its display first, and by both names of a structure."""
    both = one.structure_names(term) if isinstance(term, Structure) else ()
    return tuple(dict.fromkeys(name for name in (one.term(term), *both) if name))


def _designation(code: str, name: str) -> dict[str, str]:
    return {"language": code, "value": name}


def _drafts() -> str:
    """Return how far the names in other languages can be relied on."""
    return " ".join(
        f"Designations in the language «{one.code}»: {one.draft.state} (drafted {one.draft.drafted})."
        for one in _translations()
        if one.draft is not None
    )


def _nested(table: Iterable[Any], concepts: dict[str, dict[str, Any]]) -> list[dict[str, Any]]:
    """Return the concepts without a parent, each with those below it, so that a server finds them by subsumption."""
    below: dict[str, list[dict[str, Any]]] = {}
    for term in table:
        if term.parent is not None:
            below.setdefault(term.parent.value, []).append(concepts[term.value])
    for code, children in below.items():
        concepts[code]["concept"] = children
    return [concepts[term.value] for term in table if term.parent is None]


@dataclass(frozen=True, slots=True)
class _Own:
    """What one CodeSystem has of its own; ``named`` where its concepts have names in other languages."""

    identity: str
    title: str
    words: str
    declared: tuple[Property, ...]
    concepts: list[dict[str, Any]]
    count: int
    version: str
    hierarchy: str | None = None
    named: bool = True


def _code_system(own: _Own) -> dict[str, Any]:
    return head(
        "CodeSystem",
        own.identity,
        own.title,
        " ".join((own.words, _POLICY, *([_drafts()] if own.named else []))),
        {
            "caseSensitive": True,
            "hierarchyMeaning": own.hierarchy,
            "content": "complete",
            "count": own.count,
            "property": [one.declared() for one in own.declared],
            "concept": own.concepts,
        },
        own.version,
    )


@dataclass(frozen=True, slots=True)
class _RuleRow:
    """A rule of any table, as its concept shows it."""

    id: str
    message: str
    basis: str
    severity: str
    group: str
    hazard: str
    looks_at: str


_RULE_PROPERTIES: Final = (
    Property("group", "string", "What the rule is about.", attribute("group")),
    Property(
        "severity",
        "Coding",
        "How much an issue of it weighs.",
        lambda row: ({"system": _ISSUE_SEVERITY, "code": row.severity},),
    ),
    Property("looks-at", "string", "The list of an examination whose items it looks at.", attribute("looks_at")),
    Property("hazard", "string", "The hazard that it controls.", attribute("hazard")),
    Property("known", "string", "Where the rule comes from and how it is known.", attribute("basis")),
)


def _rule_rows() -> list[_RuleRow]:
    """Return every id that an issue or a departure can name."""
    rows = [
        _RuleRow(one.id, one.message, one.basis.text, one.severity.value, one.group.value, one.hazard, one.each)
        for one in RULES
    ]
    rows += [
        _RuleRow(one.id, one.message, one.source, one.severity.value, PATHWAY_GROUP, PATHWAY_HAZARD, "")
        for one in PATHWAY_RULES.values()
    ]
    rows += [_RuleRow(one.id, one.message, one.source, "error", "entry", "", "") for one in ENTRY_RULES.values()]
    rows += [
        _RuleRow(one.id, one.message, one.source, one.severity.value, "reading", "", "") for one in READ_RULES.values()
    ]
    rows += [_RuleRow(one.id, one.message, one.source, "error", "form", "", "") for one in FORM_RULES.values()]
    rows += [
        _RuleRow(one.id, one.message, one.source, one.severity.value, "plugin", one.hazard, "") for one in PLUGIN_RULES
    ]
    rows += [
        _RuleRow(one.id, one.message, one.source, one.severity.value, "letter", one.hazard, "")
        for one in (*LETTER_RULES, *TEMPLATE_RULES.values(), *PICTURE_RULES.values(), NOT_IN_THE_RECORD, *PDF_RULES)
    ]
    rows += [_RuleRow(one.rule.id, one.rule.message, one.rule.source, "error", "http", "", "") for one in REFUSALS]
    return [*rows, *_REPORT_ROWS]


_REPORT_ROWS: Final = (
    _RuleRow(
        COMPLETENESS_RULE,
        "An item of the published report standard isn’t given: a reader will look for it in vain.",
        seen(Source.REPORT_STANDARD_2007).text,
        "information",
        "report",
        "",
        "",
    ),
    _RuleRow(
        FORMER_REVISION_RULE,
        "A later revision was written without the former one: what only the former one had isn’t withdrawn.",
        COMMON_PRACTICE.text,
        "warning",
        "report",
        "",
        "",
    ),
)


def _of_rules() -> dict[str, Any]:
    rows = _rule_rows()
    concepts = [
        {
            "code": row.id,
            "display": row.id.replace("-", " "),
            "definition": row.message,
            "property": [value for one in _RULE_PROPERTIES for value in one.given(row)],
        }
        for row in rows
    ]
    return _code_system(
        _Own(
            RULE_SYSTEM.rpartition("/")[2],
            "Rule",
            "Rules by which an examination, an entry, a form or what was received is checked. The definition is what "
            "an issue says to a clinician; a name in braces stands for a code or a count.",
            _RULE_PROPERTIES,
            concepts,
            len(concepts),
            PROFILES_VERSION,
            named=False,
        )
    )


_CRITERION_PROPERTIES: Final = (
    Property("method", "Coding", "The method that it belongs to.", lambda row: (coding(row[0].code),)),
    Property(
        "tenths",
        "integer",
        "Tenths of a point that it adds when it is met, or for each one counted.",
        lambda row: (row[1].tenths,),
    ),
    Property(
        "most",
        "integer",
        "The most that is counted.",
        lambda row: (row[1].highest,) if isinstance(row[1], Counted) else (),
    ),
    Property("known", "string", "How the criterion is known.", lambda row: (row[1].basis.text,)),
)


def _of_criteria() -> dict[str, Any]:
    concepts = [
        {
            "code": f"{method.code.value}.{one.id}",
            "display": one.label,
            "definition": f"{method.code.display}: {one.label}.",
            "designation": [_designation(each.code, each.text(one.label)) for each in _translations()],
            "property": [value for each in _CRITERION_PROPERTIES for value in each.given((method, one))],
        }
        for method in METHODS
        for one in method.criteria
    ]
    return _code_system(
        _Own(
            CRITERION_SYSTEM.rpartition("/")[2],
            "Criterion",
            "Criteria of the published scores. A total supports judgement and never replaces it; one below a threshold "
            "excludes nothing.",
            _CRITERION_PROPERTIES,
            concepts,
            len(concepts),
            PROFILES_VERSION,
        )
    )
