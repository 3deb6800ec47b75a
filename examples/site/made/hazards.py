"""The hazard log, in the form that clinical-safety standards for health software ask for, also as CSV."""

from __future__ import annotations

import csv
import io
from html import escape

from dermreport.hazards import HAZARDS, Harm, Hazard
from made.markup import Page, Row, items, link, plain_rows, table
from made.rules import CATALOGUE, HAZARD_PAGE, ISSUES_PAGE, RULES_PAGE

CSV = "safety/hazard-log.csv"
_DECIDE = "to be decided by the clinical safety officer of whoever deploys it"
_OWNER = "Controls in the library: its maintainers. Everything else, and acceptance: " + _DECIDE.removeprefix(
    "to be decided by "
)
#: Rules that stand in the catalogue and not among those of an examination.
_CATALOGUED = {rule.id for name in ("pathway", "plugins") for rule in CATALOGUE[name][2]}
_HEADS = (
    "Number",
    "Hazard",
    "Causes",
    "Effect on the patient",
    "Initial severity (proposed)",
    "Why so grave",
    "Initial likelihood",
    "Initial risk",
    "Controls in the library",
    "Evidence: rules",
    "Evidence: tests",
    "What the library leaves open",
    "Residual severity",
    "Residual likelihood",
    "Residual risk",
    "Status",
    "Owner",
    "Accepted by, and when",
)


def status(hazard: Hazard) -> str:
    """Return how far a hazard is controlled here, which is never accepted."""
    if hazard.open:
        return "Controlled in part in the library; open parts pass to whoever deploys it; not accepted"
    return "Controlled in the library as described; passes to whoever deploys it for assessment; not accepted"


def cells(hazard: Hazard) -> tuple[str, ...]:
    """Return a hazard's row of the log as text."""
    return (
        hazard.id,
        hazard.hazard,
        hazard.causes,
        hazard.effects,
        hazard.severity.value,
        hazard.severity_because,
        _DECIDE,
        _DECIDE,
        hazard.controls,
        " ".join(hazard.rules),
        " ".join(hazard.tests),
        hazard.open,
        _DECIDE,
        _DECIDE,
        _DECIDE,
        status(hazard),
        _OWNER,
        "",
    )


def as_csv() -> str:
    """Return the log for a spreadsheet."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(_HEADS)
    writer.writerows(map(cells, HAZARDS))
    return out.getvalue()


def _rule(rule: str) -> str:
    page = ISSUES_PAGE if rule in _CATALOGUED else RULES_PAGE
    return link(HAZARD_PAGE, f"{page}#{rule}", f"<code>{escape(rule)}</code>")


def _full(hazard: Hazard) -> str:
    texts = dict(zip(_HEADS, map(escape, cells(hazard)), strict=True))
    texts["Evidence: rules"] = ", ".join(map(_rule, hazard.rules))
    texts["Evidence: tests"] = items(f"<code>{escape(one)}</code>" for one in hazard.tests)
    for head, text in texts.items():
        if text == _DECIDE:
            texts[head] = f'<span class="decide">{text}</span>'
    texts["Accepted by, and when"] = f'<span class="decide">{_DECIDE}: name and day</span>'
    texts["What the library leaves open"] = texts["What the library leaves open"] or "nothing is known to be missing"
    del texts["Number"], texts["Hazard"]
    title = hazard.hazard.rstrip(".")
    rows = table(("Column", "Entry"), plain_rows(texts.items()))
    return f"## {hazard.id}: {title} {{ #{hazard.id.lower()} }}\n\n{rows}"


def page() -> Page:
    """Return the log."""
    summary = [
        Row(
            (
                f'<a href="#{hazard.id.lower()}">{hazard.id}</a>',
                escape(hazard.hazard),
                hazard.severity.value,
                str(len(hazard.rules)),
                str(len(hazard.tests)),
                "in part" if hazard.open else "as described",
            )
        )
        for hazard in HAZARDS
    ]
    words = plain_rows((one.value, escape(one.means)) for one in Harm)
    body = (
        "Made of the library’s own table, `dermreport/hazards.py`, in the columns that standards for the risk of "
        "health software ask for (ISO 14971 and England’s DCB0129 and DCB0160; their columns from memory). "
        f"[The same as CSV]({CSV.rpartition('/')[2]}), to go on with.\n\n"
        '<div class="caution"><p>This is no safety case, and nobody has signed it. Severity is this project’s '
        "proposal, with its reason. Likelihood, risk before and after the controls, and acceptance depend on where "
        "and by whom the library is used: the clinical safety officer of whoever deploys it decides them, and may "
        "judge a severity otherwise. A control makes a hazard less likely or easier to notice; none makes it "
        "impossible.</p></div>\n\n## Severity\n\n"
        f"{table(('Word', 'What it means'), words)}\n## All hazards\n\n"
        f"{table(('Number', 'Hazard', 'Initial severity', 'Rules', 'Tests', 'Controlled'), summary)}\n"
    )
    return Page(HAZARD_PAGE, "Hazard log", body + "\n".join(map(_full, HAZARDS)))
