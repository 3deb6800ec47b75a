"""The rules on a series: what can't be compared, what changed, and what doesn't fit what became known.

A path begins with the position of the examination: among the reviews as given where the series is refused, else in
``Series.reviews``. No message holds an entered value.
"""

from __future__ import annotations

from typing import Final

from dermreport.issues import Issue, IssueRule, Severity
from dermreport.rules.windows import LONG, SHORT
from dermreport.sources import COMMON_PRACTICE, Source, seen

_E, _W, _I = Severity.ERROR, Severity.WARNING, Severity.INFORMATION
_PRACTICE: Final = COMMON_PRACTICE.text
_FOLLOW_UP: Final = seen(Source.SHORT_TERM_MONITORING_PAGE, Source.LONG_TERM_MONITORING_PAGE).text
_LIGHTS: Final = seen(Source.LIGHTS_COMPARED_2007).text

#: Why reviews are no series; each refuses it.
REFUSALS: Final = (
    IssueRule(
        "series-too-few", "A series needs two examinations of the lesion that weren't withdrawn.", _PRACTICE, _E, "H12"
    ),
    IssueRule(
        "series-two-patients",
        "These examinations are of different patients, or their dates of birth differ: nothing is compared.",
        _PRACTICE,
        _E,
        "H01",
    ),
    IssueRule(
        "series-one-visit",
        "These are several lesions of one visit, or one without its identifier: a series follows one lesion from visit "
        "to visit. Give its examinations alone, with the same lesion identifier in each.",
        _PRACTICE,
        _E,
        "H02",
    ),
    IssueRule(
        "series-lesion-not-identified",
        "Without the lesion’s identifier nobody can tell that it is the same one: give it the same at each visit.",
        _PRACTICE,
        _E,
        "H02",
    ),
    IssueRule(
        "series-mixed-lesions",
        "This is another lesion than the first: compare each alone.",
        _PRACTICE,
        _E,
        "H02",
    ),
    IssueRule(
        "series-revision-twice",
        "Two different contents have the same examination and revision: nobody can tell which one counts.",
        _PRACTICE,
        _E,
        "H18",
    ),
)

#: What a series shows.
FINDINGS: Final = (
    IssueRule(
        "series-cancer-found",
        "A pathologist found this in the lesion: {result}. That result counts, whatever the comparison or the recorded "
        "agreement says, and no record names who acts on it: act on it today, and tell the patient.",
        _PRACTICE,
        _E,
        "H14",
    ),
    IssueRule(
        "series-change-significant",
        "Changed since the earlier examination, and no later plan removes or refers the lesion: do one of the two, or "
        "record why not.",
        _FOLLOW_UP,
        _E,
        "H12",
    ),
    IssueRule(
        "series-recorded-unchanged-but-changed",
        "This was recorded as unchanged, and the two examinations show a change that counts: compare the pictures.",
        _FOLLOW_UP,
        _E,
        "H12",
    ),
    IssueRule(
        "series-cancer-answered",
        "A pathologist found this in the lesion: {result}. That result counts, whatever the comparison or the recorded "
        "agreement says; a record says who acts on it, or a later plan removes or refers the lesion.",
        _PRACTICE,
        _W,
        "H14",
    ),
    IssueRule(
        "series-outcome-disagrees",
        "What became known later doesn’t fit the assessment or the comparison: find out which of the two is wrong.",
        _PRACTICE,
        _W,
        "H14",
    ),
    IssueRule(
        "series-outcome-overdue",
        "The answer that was ordered here was due and isn’t in any examination of the series: look for it.",
        _PRACTICE,
        _W,
        "H14",
    ),
    IssueRule(
        "series-follow-up-overdue",
        "The look that was planned here was due, and none was recorded in time: call the patient.",
        seen(Source.MONITORING_ATTENDANCE, note="Seen: 46 % attended although they were reminded.").text,
        _W,
        "H12",
    ),
    IssueRule(
        "series-unchanged-not-supported",
        "This was recorded as unchanged, and the two examinations don’t show it: {gaps}.",
        _FOLLOW_UP,
        _W,
        "H12",
    ),
    IssueRule(
        "series-no-common-light",
        "No known light is shared with the earlier examination, so structures and colours aren’t compared: look again "
        "in the light of the first picture.",
        _LIGHTS,
        _W,
        "H12",
    ),
    IssueRule(
        "series-other-site",
        "Site or side differ from the earlier examination of this lesion: make sure that it is the same one.",
        _PRACTICE,
        _W,
        "H02",
    ),
    IssueRule(
        "series-removed-and-seen-again",
        "A pathologist had the whole lesion, and it was examined again: is it another lesion, or has it come back?",
        _PRACTICE,
        _W,
        "H02",
    ),
    IssueRule(
        "series-change-answered",
        "Changed since the earlier examination; a later plan removes or refers the lesion.",
        _FOLLOW_UP,
        _I,
        "H12",
    ),
    IssueRule(
        "series-too-soon",
        "{days} days after the earlier examination: sooner than was studied ({window}), so the absence of a change "
        "says nothing yet. Coming earlier for a change is always right.",
        SHORT.basis.text,
        _I,
        "H12",
    ),
    IssueRule(
        "series-late",
        "{days} days after the earlier examination: later than was studied ({window}). What came and went between "
        "isn’t known: compare the pictures.",
        LONG.basis.text,
        _I,
        "H12",
    ),
    IssueRule(
        "series-named-otherwise",
        "Another drawing of the body map or another label than before, under the same identifier: make sure that it is "
        "the same lesion.",
        _PRACTICE,
        _I,
        "H02",
    ),
    IssueRule(
        "series-same-day",
        "Two examinations of one day: which came first isn’t told, they are taken in the order of their identifiers.",
        _PRACTICE,
        _I,
        "H18",
    ),
    IssueRule(
        "series-withdrawn", "An examination that was entered in error is left out of the series.", _PRACTICE, _I, "H18"
    ),
    IssueRule(
        "series-revisions",
        "Of several revisions of an examination the latest counts.",
        _PRACTICE,
        _I,
        "H18",
    ),
)

_BY_ID: Final = {rule.id: rule for rule in (*REFUSALS, *FINDINGS)}
_PLACES: Final = {name: place for place, name in enumerate(_BY_ID)}


def series_issue(rule: str, path: str, **parameters: str) -> Issue:
    """Return the issue of a rule at a path."""
    return _BY_ID[rule].at(path, **parameters)


def in_order(issues: list[Issue]) -> tuple[Issue, ...]:
    """Return issues with the gravest first, then in the order of the table and of their paths; each once."""
    return tuple(dict.fromkeys(sorted(issues, key=lambda one: (one.severity.rank, _PLACES[one.rule], one.path))))
