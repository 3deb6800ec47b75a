"""The published scores on the form: calculated FHIRPath that shows the same totals as the library.

Variables of the Questionnaire hold what its answers say, each criterion, and each total in integer tenths; an item
divides once. While inputs are open a total is an interval, as in the library; where a method is not valid there is no
number but the reason. Source of the two extensions: HL7 Structured Data Capture («calculatedExpression»), and FHIR
(«variable»).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Final

from dermreport.form.layout import SCORES
from dermreport.form.score_expressions import FormBinding, asked_of_findings, asked_structures, finding_variables
from dermreport.form.score_intervals import Interval, Sheet, camel, criterion_name, interval
from dermreport.form.score_places import quoted
from dermreport.form.score_variables import Variable, answer_variables
from dermreport.scores.method import CAUTIONS, Counted, Criterion, Effect, PublishedMethod
from dermreport.scores.methods import CHECKLISTS
from dermreport.vocabulary.verdicts import Verdict
from dermreport.wording.sentences import threshold_words

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from dermreport.fhir.releases import Release

VARIABLE_URL: Final = "http://hl7.org/fhir/StructureDefinition/variable"
CALCULATED_URL: Final = "http://hl7.org/fhir/uv/sdc/StructureDefinition/sdc-questionnaire-calculatedExpression"
_FHIRPATH: Final = "text/fhirpath"


@dataclass(frozen=True, slots=True)
class _Shown:
    """A calculated item of a method: the end of its linkId, its type, and what stands before the answer."""

    ending: str
    kind: str
    text: str


_SHOWN = (
    _Shown("low", "decimal", "Lowest possible total"),
    _Shown("high", "decimal", "Highest possible total; the same as the lowest when nothing is open"),
    _Shown("verdict", "string", "Beside this method’s threshold"),
    _Shown("met", "text", "Criteria that are met"),
    _Shown("open", "text", "Criteria that are still open"),
    _Shown("remarks", "text", "Why there is no number, or what to mind here"),
)


@dataclass(frozen=True, slots=True)
class ScoreExpressions:
    """What the form calculates.

    Attributes:
        variables: In the order in which they build on each other.
        items: The expression of each calculated item, by its linkId.
    """

    variables: tuple[Variable, ...]
    items: Mapping[str, str]


@cache
def score_expressions() -> ScoreExpressions:
    """Return every expression of the scores."""
    criteria = [one.when for method in CHECKLISTS for one in method.criteria if isinstance(one, Criterion)]
    expressions = [*criteria, *(one.when for method in CHECKLISTS for one in method.validity)]
    conditions = asked_of_findings(expressions)
    sheet = Sheet(FormBinding(conditions))
    for variable in (*answer_variables(asked_structures(expressions)), *finding_variables(conditions)):
        sheet.add(*variable)
    items: dict[str, str] = {}
    for method in CHECKLISTS:
        for ending, expression in _method(sheet, method).items():
            items[link_id(method, ending)] = expression
    return ScoreExpressions(tuple(sheet.variables), MappingProxyType(items))


def link_id(method: PublishedMethod, ending: str = "") -> str:
    """Return the linkId of a method's group, or of one of its items."""
    group = f"{SCORES}.{method.code}"
    return f"{group}.{ending}" if ending else group


def variables(release: Release) -> list[dict[str, Any]]:  # noqa: ARG001 - every release has the same; the form asks alike
    """Return the variables as extensions of the Questionnaire, in the order in which they build on each other."""
    return [_expression(VARIABLE_URL, name, text) for name, text in score_expressions().variables]


def score_items(release: Release) -> list[dict[str, Any]]:  # noqa: ARG001 - as above
    """Return a group of items for each method: what it is, its cautions, and what the form calculates of it."""
    return [_group(method) for method in CHECKLISTS]


def _expression(url: str, name: str, text: str) -> dict[str, Any]:
    named = {"name": name} if name else {}
    return {"url": url, "valueExpression": {**named, "language": _FHIRPATH, "expression": text}}


def _group(method: PublishedMethod) -> dict[str, Any]:
    expressions = score_expressions().items
    calculated = [
        {
            "extension": [_expression(CALCULATED_URL, "", expressions[link_id(method, shown.ending)])],
            "linkId": link_id(method, shown.ending),
            "text": shown.text,
            "type": shown.kind,
            "readOnly": True,
        }
        for shown in _SHOWN
    ]
    told = (
        ("cautions", " ".join((*CAUTIONS, *method.cautions))),
        ("method", f"Threshold: {threshold_words(method)}. Source: {method.basis.text}."),
    )
    displays = [{"linkId": link_id(method, ending), "text": text, "type": "display"} for ending, text in told]
    return {
        "linkId": link_id(method),
        "text": method.code.display,
        "type": "group",
        "item": [displays[0], *calculated, displays[1]],
    }


# --- One method ------------------------------------------------------------------------------------------------------


def _method(sheet: Sheet, method: PublishedMethod) -> dict[str, str]:
    """Add the variables of a method to the sheet; return the expressions of its items, by the end of their linkId."""
    words = camel(method.code)
    prefix = words[0].lower() + words[1:]
    for position, validity in enumerate(method.validity, 1):
        sheet.name(f"{prefix}Validity{position}", validity.when)
    found = interval(sheet, prefix, method)
    unfit = [(one.reason, sheet.text(one.when)) for one in method.validity if one.effect is Effect.NO_NUMBER]
    reasons = sheet.add(f"{prefix}Unfit", _texts(unfit))
    if found.outside:
        outside = _texts((reason, f"{reasons}.empty() and ({refused})") for reason, refused in found.outside)
        reasons = sheet.add(f"{prefix}WhyNot", f"{reasons} | {outside}")
    low = sheet.add(f"{prefix}Low", f"iif({reasons}.empty(), {found.total.low}, {{}})")
    high = sheet.add(f"{prefix}High", f"iif({reasons}.empty(), {found.total.high}, {{}})")
    met: list[tuple[str, str]] = []
    still_open: list[tuple[str, str]] = []
    for one in method.criteria:
        if isinstance(one, Counted):
            text = f"%{criterion_name(prefix, one)}"
            met.append((one.label, f"{text} > 0"))
        else:
            text = sheet.text(one.when)
            met.append((one.label, text))
        still_open.append((one.label, f"{text}.empty()"))
    return {
        "low": f"{low} / 10",
        "high": f"{high} / 10",
        "verdict": _verdict(method, reasons, low, high, found),
        "met": f"iif({reasons}.empty(), {_joined(', ', _texts(met))}, {{}})",
        "open": f"iif({reasons}.empty(), {_joined(', ', _texts(still_open))}, {{}})",
        "remarks": _joined(" ", f"{reasons} | {_cautions(sheet, method)}"),
    }


def _texts(texts: Iterable[tuple[str, str]]) -> str:
    """Return those of some texts whose condition holds, in their order."""
    return " | ".join(f"iif({condition}, {quoted(text)}, {{}})" for text, condition in texts) or "{}"


def _joined(between: str, texts: str) -> str:
    """Return some texts as one, empty where there are none: engines differ in what they join of nothing."""
    return f"({texts}).join({quoted(between)}).where($this != '')"


def _cautions(sheet: Sheet, method: PublishedMethod) -> str:
    """Return what must be minded of this lesion, in the order of the method's conditions."""
    texts = []
    for one in method.validity:
        text = sheet.text(one.when)
        reason = quoted(one.reason) if one.effect is Effect.CAUTION else "{}"
        unknown = f"iif({text}.not(), {{}}, {quoted(one.unknown)})" if one.unknown else "{}"
        if (reason, unknown) != ("{}", "{}"):
            texts.append(f"iif({text}, {reason}, {unknown})")
    return " | ".join(texts) or "{}"


def _verdict(method: PublishedMethod, reasons: str, low: str, high: str, found: Interval) -> str:
    """Return the verdict in words."""
    if found.above is not None and found.below is not None:
        (threshold,) = method.thresholds
        reached = f"iif({found.below}, {_said(Verdict.NOT_SETTLED)}, {_said(threshold.verdict)})"
        text = f"iif({found.above}, {reached}, {_said(Verdict.BELOW_THRESHOLD)})"
    else:
        verdicts = (Verdict.BELOW_THRESHOLD, *(threshold.verdict for threshold in method.thresholds))
        starts = [threshold.from_tenths for threshold in method.thresholds]
        text = f"iif({low} >= {starts[-1]}, {_said(verdicts[-1])}, {_said(Verdict.NOT_SETTLED)})"
        for start, end, verdict in reversed(tuple(zip((None, *starts[:-1]), starts, verdicts[:-1], strict=True))):
            within = f"{high} < {end}" if start is None else f"{low} >= {start} and {high} < {end}"
            text = f"iif({within}, {_said(verdict)}, {text})"
    return f"iif({reasons}.empty(), {text}, {_said(Verdict.NOT_VALID)})"


def _said(verdict: Verdict) -> str:
    return quoted(verdict.display)
