"""Whether what was sent agrees with itself: scores, what findings count as, lights, status, patient.

What the sender made of the record is made again here from what was recorded; a difference is said with both values,
and the clinician's own record is what is read.
"""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING, Final, NamedTuple

from dermreport.answers import answer_to
from dermreport.examination.types import MAX_DIGITS, MAX_EXPONENT
from dermreport.fhir.read.contradictions import says_two_things
from dermreport.fhir.read.observations import ATTRIBUTES
from dermreport.fhir.read.parts import Json, codings, first, objects, our_code, text
from dermreport.fhir.read.rules import read_issue
from dermreport.fhir.read.values import Field, coded_by, value_of
from dermreport.fhir.values import POINTS
from dermreport.reviews.review import ReviewParts, has_error
from dermreport.scores.engine import ScoreResult
from dermreport.vocabulary.attributes import Attribute
from dermreport.vocabulary.lights import Light
from dermreport.vocabulary.presences import Presence
from dermreport.vocabulary.statuses import Status
from dermreport.vocabulary.summaries import Summary
from dermreport.vocabulary.term import code_system
from dermreport.vocabulary.verdicts import Verdict
from dermreport.wording.findings import lights
from dermreport.wording.items import COUNT, Kind

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from dermreport.answers import Answers
    from dermreport.fhir.read.received import Received
    from dermreport.issues import Issue


class SentScore(NamedTuple):
    """A score as it was sent: what the sender's software made of the same record.

    Attributes:
        method: Code of the method.
        low: Lowest possible total, ``None`` where the sender gave no number.
        high: Highest possible total.
        verdict: Code of the verdict, ``None`` where none was sent that is known here.
        path: Where it stood.
    """

    method: str
    low: Decimal | None
    high: Decimal | None
    verdict: str | None
    path: str


_VERDICTS: Final = frozenset(verdict.value for verdict in Verdict)


def sent_score(source: Received, method: str) -> SentScore:
    """Return a score as it was sent."""
    resource = source.resource
    between = first(resource, "valueRange")
    low: Decimal | None
    high: Decimal | None
    if not source.consistent and says_two_things(resource):
        low = high = None
    elif between:
        low, high = _number(first(between, "low")), _number(first(between, "high"))
    else:
        low = high = _number(first(resource, "valueQuantity"))
    verdict = next(
        (
            code
            for component in objects(resource, "component")
            if our_code(first(component, "code"), ATTRIBUTES) == Attribute.VERDICT
            for coding in objects(first(component, "valueCodeableConcept"), "coding")
            if (code := text(coding, "code")) in _VERDICTS
        ),
        None,
    )
    return SentScore(method, low, high, verdict, source.path)


def _number(quantity: Json) -> Decimal | None:
    """Return a total; «less than» a number isn't that number, and no method gives one so large."""
    value = quantity.get("value")
    if "comparator" in quantity or quantity.get("code") != POINTS.ucum:
        return None
    if isinstance(value, bool) or not isinstance(value, int | Decimal):
        return None
    number = Decimal(value)
    _, digits, exponent = number.as_tuple()
    plain = number.is_finite() and len(digits) <= MAX_DIGITS and abs(int(exponent)) <= MAX_EXPONENT
    return number if plain else None


def score_issues(made: ReviewParts, sent: Sequence[SentScore]) -> Iterator[Issue]:
    """Yield each score that isn't the one computed here from the same record."""
    for one in sent:
        computed = made.scores.get(one.method)
        if computed is None:
            yield read_issue("read-score-unknown", one.path)
        elif (one.low, one.high, one.verdict) != (computed.low, computed.high, computed.verdict.value):
            yield read_issue("read-score-differs", one.path, sent=_words(one), computed=_computed_words(computed))


def _words(sent: SentScore) -> str:
    return _shown(sent.low, sent.high, sent.verdict)


def _computed_words(computed: ScoreResult) -> str:
    return _shown(computed.low, computed.high, computed.verdict.value)


def _shown(low: Decimal | int | None, high: Decimal | int | None, verdict: str | None) -> str:
    """Return a score in words: its number or range and its verdict."""
    if low is None or high is None:
        return "no number" if verdict is None else f"no number, {Verdict(verdict).display}"
    number = f"{low:f}" if low == high else f"{low:f} to {high:f}"
    return number if verdict is None else f"{number}, {Verdict(verdict).display}"


_PRESENCE: Final = Field("presence", Kind.CODE, COUNT, coded_by(Presence, other=False), listed=False)
_LIGHT: Final = Field("light", Kind.CODE, COUNT, coded_by(Light, other=False), listed=True)


def finding_issues(found: Answers, sources: Mapping[tuple[str | int, ...], Received]) -> Iterator[Issue]:
    """Yield where the sender counts a finding otherwise, or names another light than its views have."""
    examination = found.examination
    for position, finding in enumerate(examination.findings):
        source = sources.get(("findings", position))
        if source is None:
            continue
        counted = value_of(source.resource, _PRESENCE, consistent=source.consistent)
        if counted != answer_to(found, position).presence.value:
            yield read_issue("read-answer-differs", source.path)
        named = [
            value_of(component, _LIGHT, consistent=source.consistent)
            for component in objects(source.resource, "component")
            if our_code(first(component, "code"), ATTRIBUTES) == Attribute.LIGHT
        ]
        if named != [one.value for one in lights(examination, finding.views)]:
            yield read_issue("read-light-differs", source.path)


_SUMMARY_SYSTEM: Final = code_system(Summary)

#: The report's status for each status under which an examination is entered, while no error stands.
_AS_SENT: Final = {
    Status.DRAFT.value: "preliminary",
    Status.FINAL.value: "final",
    Status.AMENDED.value: "amended",
    Status.ENTERED_IN_ERROR.value: "entered-in-error",
}


def _is_finished(status: str | None) -> bool:
    return status in {"final", "amended", "corrected", "appended"}


def status_issues(made: ReviewParts, own: Sequence[Issue], entered: str | None, report: Received) -> Iterator[Issue]:
    """Yield what the report's status says beside the one under which it was entered.

    Args:
        made: The review of what was read.
        own: What of it couldn't be held.
        entered: The status under which it was entered.
        report: The report.
    """
    status = report.status
    path = f"{report.path}.status"
    if report.withdrawn:
        yield read_issue("read-report-withdrawn", path)
        return
    if status == _AS_SENT.get(entered or ""):
        return
    if status != "preliminary":
        yield read_issue("read-status-differs" if _is_finished(status) else "read-report-status", path)
    elif not has_error(own) and not made.has_errors:
        yield read_issue("read-preliminary", path)


_SUMMARIES: Final = tuple(Summary)


def summary_issues(made: ReviewParts, standing: Sequence[Issue], report: Received) -> Iterator[Issue]:
    """Yield where the sender's one word on the whole isn't the one of the review of what was read.

    The more careful one counts: where it is the sender's, the difference is an error. Where it is ours, and errors
    stand anyway, they say why.

    Args:
        made: The review of what was read.
        standing: The errors that stand beside those of its rules.
        report: The report.
    """
    concepts = objects(report.resource, "conclusionCode")
    said = {code for concept in concepts for system, code in codings(concept) if system == _SUMMARY_SYSTEM}
    ranks = [_SUMMARIES.index(code) for code in said if code in _SUMMARIES]
    if not ranks or report.withdrawn:
        return
    in_error = has_error(standing)
    sent, computed = min(ranks), _SUMMARIES.index(made.summary(in_error=in_error).value)
    if sent < computed:
        rule = "read-summary-differs"
    elif sent > computed and not in_error and not made.has_errors:
        rule = "read-summary-graver"
    else:
        return
    path = f"{report.path}.conclusionCode"
    yield read_issue(rule, path, sent=_SUMMARIES[sent], computed=_SUMMARIES[computed])


def checked(
    made: ReviewParts,
    sources: Mapping[tuple[str | int, ...], Received],
    scores: Sequence[SentScore],
    *,
    in_place: bool,
) -> list[Issue]:
    """Return where what was sent doesn't agree with what was recorded.

    Args:
        made: The review of what was read.
        sources: The resource of each item, by its place in the entry.
        scores: Those that were sent.
        in_place: Whether every item stands at the place at which it was read.
    """
    issues = list(score_issues(made, scores))
    if in_place:
        issues.extend(finding_issues(made.answers, sources))
    return issues
