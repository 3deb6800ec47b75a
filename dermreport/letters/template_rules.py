"""What a host's template of a letter left out or couldn't do; no issue withholds the letter or holds what it says."""

from __future__ import annotations

from types import MappingProxyType
from typing import Final

from dermreport.issues import Issue, IssueRule, Severity
from dermreport.sources import COMMON_PRACTICE

_PRACTICE: Final = COMMON_PRACTICE.text

_TABLE: Final = (
    IssueRule(
        "letter-page-lacks-action",
        "The host’s page leaves out something that calls for action: it was put back. Show every part of the letter.",
        _PRACTICE,
        Severity.WARNING,
        "H11",
    ),
    IssueRule(
        "letter-page-lacks-person",
        "The host’s page leaves out who the letter is about, or that it is a draft: it was put first. Show "
        "letter.running and letter.banner.",
        _PRACTICE,
        Severity.WARNING,
        "H01",
    ),
    IssueRule(
        "letter-page-lacks-cautions",
        "The host’s page leaves out the cautions: they were put last. Show every part of the letter.",
        _PRACTICE,
        Severity.WARNING,
        "H23",
    ),
    IssueRule(
        "letter-page-not-used",
        "The host’s page can’t be made of this letter, or isn’t safe with it: the standard page is used. Have the "
        "template mended.",
        _PRACTICE,
        Severity.WARNING,
        "H23",
    ),
    IssueRule(
        "letter-lines-not-used",
        "The host’s {name} can’t be made of this letter: it is left out. Have the template mended.",
        _PRACTICE,
        Severity.WARNING,
        "H23",
    ),
)

TEMPLATE_RULES: Final = MappingProxyType({rule.id: rule for rule in _TABLE})


def template_issue(rule: str, **parameters: str) -> Issue:
    """Return the issue of one rule on templates; parameters name a setting."""
    return TEMPLATE_RULES[rule].at("$", **parameters)
