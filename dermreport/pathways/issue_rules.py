"""What is said where the plan and the pathway differ, and which core rules say it already.

No row is an error: a pathway asks, and what the core rules call an error they say themselves. Each row controls a
hazard, as every rule does.
"""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum

from dermreport.issues import IssueRule, Severity

#: What an issue of a pathway controls: a referral that is lost or too slow.
HAZARD = "H11"

GROUP = "pathway"
_SOURCE = "the pathway in force; its step says where it comes from and how it is known"


class Kept(StrEnum):
    """How a plan stands to a step that is expected."""

    MET = "met"
    DECLINED = "declined"
    DEPARTED = "departed"
    MISSING = "missing"
    LESS_URGENT = "less-urgent"
    LATER = "later"
    OPEN = "open"
    ANSWERED = "answered"
    """A warning sign's step: the plan isn't as expected, and the record answers the sign as its own rule asks."""


_ROWS = (
    (
        "pathway-step-missing",
        Severity.WARNING,
        "{step}: {expected} Nothing planned does that: plan it, or say why not, naming {name}. {pathway}.",
    ),
    (
        "pathway-less-urgent",
        Severity.WARNING,
        "{step}: at least «{urgency}» is expected: bring the plan forward, or say why not, naming {name}. {pathway}.",
    ),
    (
        "pathway-later-than-expected",
        Severity.WARNING,
        "{step}: expected by {by}, and the plan is later: bring it forward, or say why not, naming {name}. {pathway}.",
    ),
    (
        "pathway-to-consider",
        Severity.INFORMATION,
        "{step}: {expected} The plan does otherwise, which the pathway leaves to you. {pathway}, {name}.",
    ),
    (
        "pathway-sign-answered",
        Severity.INFORMATION,
        "{step}: {expected} The plan does otherwise, and the record answers the sign. {pathway}, {name}.",
    ),
    (
        "pathway-condition-open",
        Severity.INFORMATION,
        "{step}: the record can’t tell whether this applies. {ask} {pathway}, {name}.",
    ),
    (
        "pathway-choice-open",
        Severity.INFORMATION,
        "{step}: the record can’t tell whether the planned step will do. {ask} {pathway}, {name}.",
    ),
    (
        "pathway-not-yet-valid",
        Severity.INFORMATION,
        "{pathway} is valid from {valid_from}, and the examination is earlier: its days may have been others then.",
    ),
    (
        "pathway-departure-recorded",
        Severity.INFORMATION,
        "{step}: the plan departs from this, with a reason. It goes with the report. {pathway}, {name}.",
    ),
)

PATHWAY_RULES: Mapping[str, IssueRule] = {
    id_: IssueRule(id_, message, _SOURCE, severity) for id_, severity, message in _ROWS
}

#: Core rules that say the same, by what is amiss: where one of them speaks, at the same or a greater severity, the
#: pathway is silent; where a departure silences one of them, its reason is the reason for the pathway too.
SAID_BY: Mapping[Kept, frozenset[str]] = {
    Kept.MISSING: frozenset(
        (
            "plan-missing",
            "plan-suspicious-reassured",
            "plan-unsettled-reassured",
            "plan-departure-without-reason",
            "plan-destroy-without-histology",
            "plan-destroy-melanocytic",
            "plan-monitor-raised",
            "plan-monitor-without-baseline",
            "plan-monitor-contraindicated",
            "plan-monitor-without-owner",
            "plan-monitor-single-doubtful",
        )
    ),
    Kept.LESS_URGENT: frozenset(("plan-melanoma-not-urgent", "plan-referral-without-urgency")),
    Kept.LATER: frozenset(("plan-monitor-short-too-late",)),
}

RULE_OF: Mapping[Kept, str] = {
    Kept.MISSING: "pathway-step-missing",
    Kept.LESS_URGENT: "pathway-less-urgent",
    Kept.LATER: "pathway-later-than-expected",
    Kept.OPEN: "pathway-choice-open",
    Kept.DEPARTED: "pathway-departure-recorded",
    Kept.ANSWERED: "pathway-sign-answered",
}
