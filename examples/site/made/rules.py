"""Rules of an examination by group, and every other issue and error by the door that gives it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from html import escape
from types import ModuleType

from dermreport import issues
from dermreport.dicom_files.rules import DICOM_RULES
from dermreport.doors.hl7v2 import issues as hl7v2_issues
from dermreport.examination.entry_rules import ENTRY_RULES
from dermreport.fhir.read.rules import READ_RULES
from dermreport.form.rules import FORM_RULES
from dermreport.issues import IssueRule
from dermreport.letters import rules as letter_rules
from dermreport.letters.drawn import NOT_IN_THE_RECORD
from dermreport.letters.pdf import rules as pdf_rules
from dermreport.letters.picture_rules import PICTURE_RULES
from dermreport.letters.template_rules import TEMPLATE_RULES
from dermreport.over_time.rules import FINDINGS, REFUSALS
from dermreport.pathways.file_rules import FILE_RULES
from dermreport.pathways.issue_rules import PATHWAY_RULES
from dermreport.plugins.issue_rules import PLUGIN_RULES
from dermreport.profiles.operations import refusals
from dermreport.profiles.operations.refusals import Refusal
from dermreport.rules.completeness import REPORT_STANDARD
from dermreport.rules.rule import Group, Rule
from dermreport.rules.tables import RULES
from made.markup import Page, Row, known, link, table

RULES_PAGE = "reference/rules.md"
ISSUES_PAGE = "reference/issues.md"
HAZARD_PAGE = "safety/hazard-log.md"


def _in(module: ModuleType) -> tuple[IssueRule, ...]:
    """Return the rows that a module holds by a name each."""
    return tuple(value for value in vars(module).values() if isinstance(value, IssueRule))


def http_refusals() -> tuple[Refusal, ...]:
    """Return what the HTTP door answers instead."""
    return tuple(value for value in vars(refusals).values() if isinstance(value, Refusal))


#: Tables of issues by door: title, what gives them, the rows.
CATALOGUE: dict[str, tuple[str, str, tuple[IssueRule, ...]]] = {
    "entry": (
        "Entries",
        "`from_entry` and `from_visit` return them; `Examination.from_json` and `Visit.from_json` raise `EntryError`.",
        tuple(ENTRY_RULES.values()),
    ),
    "form": ("Answers to the form", "`from_response` returns them, with those of entries.", tuple(FORM_RULES.values())),
    "reading": (
        "Received FHIR",
        "`from_fhir` returns them; they go with the examination into its review.",
        tuple(READ_RULES.values()),
    ),
    "plugins": (
        "Plugins",
        "`Plugins.issues` and each review of a host that names plugins have them.",
        PLUGIN_RULES,
    ),
    "series": (
        "A series",
        "`series(…).issues` has them; the first ones refuse the series with `SeriesError`.",
        (*REFUSALS, *FINDINGS),
    ),
    "pathway": (
        "Pathways",
        "The plan compared with the pathway, in `review.issues`. They are never errors.",
        tuple(PATHWAY_RULES.values()),
    ),
    "pathway-file": (
        "A pathway’s file",
        "`pathway_from_toml` raises `PathwayError` with them.",
        tuple(FILE_RULES.values()),
    ),
    "letter": (
        "Letters",
        "`letter(…).issues` has them; none withholds a letter.",
        (
            *_in(letter_rules),
            NOT_IN_THE_RECORD,
            *PICTURE_RULES.values(),
            *TEMPLATE_RULES.values(),
            *_in(pdf_rules),
        ),
    ),
    "hl7v2": ("HL7 v2", "`to_hl7v2(…).issues` has them: what the format can’t hold.", _in(hl7v2_issues)),
    "dicom": ("DICOM photographs", "`view_from_dicom` and `view_into_dicom` return them.", tuple(DICOM_RULES.values())),
    "http": (
        "Refusals over HTTP",
        "An OperationOutcome with one of them is the answer, and nothing was made.",
        tuple(one.rule for one in http_refusals()),
    ),
}


def message(text: str) -> str:
    """Return a message; what is filled in stands in brackets."""
    return re.sub(r"\{(\w+)\}", r"[\1]", escape(text))


def _severity(severity: issues.Severity) -> str:
    return f'<span class="{severity.value}">{severity.value}</span>'


def _hazard(here: str, hazard: str) -> str:
    return link(here, f"{HAZARD_PAGE}#{hazard.lower()}", hazard) if hazard else ""


def issue_table(here: str, key: str, *, targets: bool = False) -> str:
    """Return the issues of a door; on their own page they are what links lead to, elsewhere they lead there."""
    rows = []
    for rule in CATALOGUE[key][2]:
        name = f"<code>{escape(rule.id)}</code>"
        rows.append(
            Row(
                (
                    name if targets else link(here, f"{ISSUES_PAGE}#{rule.id}", name),
                    _severity(rule.severity),
                    message(rule.message),
                    escape(rule.source),
                    _hazard(here, rule.hazard),
                ),
                id=rule.id if targets else "",
            )
        )
    return table(("Issue", "Severity", "What it says", "Source", "Hazard"), rows)


def _rule_rows(rules: Iterable[Rule]) -> Iterator[Row]:
    for rule in rules:
        at = f"{rule.each}[…].{rule.at}" if rule.each and rule.at else rule.each + ("[…]" if rule.each else rule.at)
        yield Row(
            (
                f"<code>{escape(rule.id)}</code>",
                _severity(rule.severity),
                f"{message(rule.message)}<span class='source'>at <code>$.{escape(at)}</code></span>",
                known(rule.basis),
                _hazard(RULES_PAGE, rule.hazard),
            ),
            id=rule.id,
        )


def pages() -> Iterator[Page]:
    """Return the page of rules and that of all other issues and errors."""
    heads = ("Rule", "Severity", "What it says, and where it points", "Source", "Hazard")
    groups = "\n".join(
        f"## {group.value}\n\n{table(heads, _rule_rows(rule for rule in RULES if rule.group is group))}"
        for group in Group
    )
    standard = "\n".join(
        f"{row.number}. {row.item[0].upper()}{row.item[1:]}. Where it is missing: {row.missing}"
        for row in REPORT_STANDARD
    )
    yield Page(
        RULES_PAGE,
        "Rules",
        f"The {len(RULES)} rules of an examination. Each issue of a review names its rule. An error makes the report "
        "preliminary; no rule withholds a report or an urgent request. A condition that can’t be told makes no issue. "
        f"What stands in [brackets] is filled in: a row of the vocabulary or a count, never what was entered.\n\n"
        f"{groups}\n## Completeness\n\nThe ten items of the published report standard "
        f"(doi:10.1016/j.jaad.2006.02.051). "
        f"What is missing is no issue: `review.completeness` lists it.\n\n{standard}\n",
    )
    doors = "\n".join(
        f"## {title}\n\n{words}\n\n{issue_table(ISSUES_PAGE, key, targets=True)}"
        for key, (title, words, _) in CATALOGUE.items()
    )
    errors = [
        Row((f"<code>{one.__name__}</code>", escape((one.__doc__ or "").splitlines()[0])), id=one.__name__)
        for one in vars(issues).values()
        if isinstance(one, type) and issubclass(one, issues.DermReportError)
    ]
    yield Page(
        ISSUES_PAGE,
        "Issues and errors",
        "Whatever a door returns has `.issues`; each says rule, severity, path, message, source. Rules of the "
        "examination itself stand [on a page of their own](rules.md). No entered value is in an issue or an error."
        f"\n\n{doors}\n## Errors\n\n"
        "What is raised. All derive from `DermReportError`; none holds an entered value.\n\n"
        f"{table(('Error', 'When'), errors)}",
    )
