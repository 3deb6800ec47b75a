"""The issues of reviews as an OperationOutcome, for the caller: it is recomputed, never stored."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any, Final

from dermreport.fhir.codes import RULE_SYSTEM
from dermreport.fhir.narrative import narrative_of_lines
from dermreport.issues import Issue, must_be
from dermreport.rules.completeness import ItemState
from dermreport.settings import ENGLISH

if TYPE_CHECKING:
    from collections.abc import Sequence

    from dermreport.languages.language import Language
    from dermreport.reviews.review import Review

#: Rule id of an item of the report standard that isn't given.
COMPLETENESS_RULE: Final = "report-item-missing"


#: Id of the note that a later revision was written without the former one.
FORMER_REVISION_RULE: Final = "former-revision-not-given"


def outcome(reviews: Sequence[Review], alone: Sequence[Review] = (), left_out: Sequence[Issue] = ()) -> dict[str, Any]:
    """Return an OperationOutcome with every issue and every item of the report standard that is missing.

    Args:
        reviews: The reviews of a report.
        alone: Those of a later revision of which the former one wasn't given.
        left_out: What others added and isn't sent.
    """
    told_in = reviews[0].language
    entries: list[dict[str, Any]] = []
    for position, review in enumerate(reviews):
        known = review.examination.position_in_visit
        where = position if known is None else known
        root = "Examination" if len(reviews) == 1 and known is None else f"Visit.lesions[{where}]"
        entries.extend(_issue(issue, root, told_in) for issue in review.issues)
        entries.extend(
            _entry("information", "informational", COMPLETENESS_RULE, told_in.text(item.message), item.basis.text)
            for item in review.completeness
            if item.state is ItemState.MISSING
        )
        if any(one is review for one in alone):
            entries.append(_entry("warning", "informational", FORMER_REVISION_RULE, _FORMER_REVISION, _FORMER_SOURCE))
    entries.extend(_entry(one.severity.value, "informational", one.rule, one.message, one.source) for one in left_out)
    return _outcome(entries, told_in)


_FORMER_REVISION: Final = (
    "This is a later revision, and the former one wasn't given: what the former one had and this one lacks is not "
    "withdrawn. Give it as `earlier`."
)
_FORMER_SOURCE: Final = "the mapping of this library"


def to_outcome(issues: Iterable[Issue], about: str = "Examination", *, language: str = ENGLISH) -> dict[str, Any]:
    """Return the issues of any door as an OperationOutcome, as new dicts and lists; it is the same in each release.

    Args:
        issues: As ``.issues`` of an ``Entry``, a ``Reading`` or what else a door returns.
        about: What their paths start in: a path ``$.views[0]`` becomes the expression ``Examination.views[0]``.
        language: In which language the messages are; a machine's draft says so in an entry of its own.

    Raises:
        SettingsError: There is no such language.
    """
    must_be("to_outcome: issues", issues, Iterable)
    several = tuple(issues)
    for issue in several:
        must_be("to_outcome: each of issues", issue, Issue)
    from dermreport.languages import language as languages  # noqa: PLC0415 - loaded on first use

    told_in = languages.language(language)
    return _outcome([_issue(issue, about, told_in) for issue in several], told_in)


def with_issues(
    outcome: dict[str, Any], issues: Sequence[Issue], about: str, *, language: str = ENGLISH
) -> dict[str, Any]:
    """Return an OperationOutcome with other issues before its own.

    Args:
        outcome: One of ours, in the same language.
        issues: They; without any it is returned as it is.
        about: What their paths start in.
        language: In which language their messages are.
    """
    if not issues:
        return outcome
    from dermreport.languages import language as languages  # noqa: PLC0415 - loaded on first use

    told_in = languages.language(language)
    own = [one for one in outcome["issue"] if "coding" in one["details"]]
    return _outcome([*(_issue(issue, about, told_in) for issue in issues), *own], told_in)


def _outcome(entries: list[dict[str, Any]], told_in: Language) -> dict[str, Any]:
    if not entries:
        entries = [_note("No issue was found.")]
    head = {"resourceType": "OperationOutcome"}
    if told_in.draft is not None:
        head["language"] = told_in.code
        entries.append(_note(f"{told_in.code}: {told_in.draft.state} ({told_in.draft.drafted})"))
    lines = [f"{one['severity']}: {one['details']['text']}" for one in entries]
    return {**head, "text": narrative_of_lines(lines), "issue": entries}


def _note(text: str) -> dict[str, Any]:
    return {"severity": "information", "code": "informational", "details": {"text": text}}


def _issue(issue: Issue, root: str, told_in: Language) -> dict[str, Any]:
    made = _entry(issue.severity.value, "business-rule", issue.rule, told_in.message(issue), issue.source)
    made["expression"] = [f"{root}{issue.path.removeprefix('$')}"]
    return made


def _entry(severity: str, kind: str, rule: str, message: str, source: str) -> dict[str, Any]:
    # A plugin's rule, whose id alone has a dot, isn't in our code system.
    coded = {"code": rule} if "." in rule else {"system": RULE_SYSTEM, "code": rule}
    return {
        "severity": severity,
        "code": kind,
        "details": {"coding": [coded], "text": message},
        "diagnostics": source,
    }
