"""What is said of a plugin that doesn't fit, isn't used, or fails; never in its own words, which can hold anything.

These issues are for whoever runs the host: no report and no letter says them, so that one with a plugin that failed is
the same as one without it.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Final

from dermreport.issues import IssueRule, Severity

if TYPE_CHECKING:
    from dermreport.issues import Issue
    from dermreport.plugin import About, Refused

#: The hazard that plugins bring.
HAZARD: Final = "H27"
_SOURCE: Final = "the extension points of this library"

REFUSED: Final = IssueRule(
    "plugin-refused",
    "The plugin {plugin}, version {version}, doesn’t fit and isn’t used: {what}.",
    _SOURCE,
    Severity.ERROR,
    HAZARD,
)
NOT_USED: Final = IssueRule(
    "plugin-not-used",
    "The plugin {plugin}, version {version}, was asked for and isn’t used, because it doesn’t fit: what it would have "
    "found isn’t here. Tell who runs this system.",
    _SOURCE,
    Severity.WARNING,
    HAZARD,
)
FAILED: Final = IssueRule(
    "plugin-failed",
    "The plugin {plugin}, version {version}, failed with {part}, which is left out here; everything else stands. "
    "Why: {why}. Tell who runs this system.",
    _SOURCE,
    Severity.WARNING,
    HAZARD,
)
EARLIER_KEPT: Final = IssueRule(
    "plugin-earlier-kept",
    "The former revision was made with the plugin {plugin}, version {version}, which isn’t used with this one: what it "
    "made then stays as it was sent, and is neither renewed nor withdrawn. Look whether it still holds, and whether "
    "the word on the whole, which is without it now, does. Tell who runs this system.",
    _SOURCE,
    Severity.WARNING,
    HAZARD,
)
UNKNOWN_CODE: Final = "unknown-code"
OTHER_DISPLAY: Final = "other-display"
AT_THRESHOLD: Final = "at-threshold"

PLUGIN_RULES: Final = (REFUSED, NOT_USED, FAILED, EARLIER_KEPT)
_OF_THE_HOST: Final = frozenset(rule.id for rule in PLUGIN_RULES)


def for_readers(issues: Iterable[Issue]) -> tuple[Issue, ...]:
    """Return the issues that a report or a letter says: those on plugins themselves are the host's matter."""
    return tuple(one for one in issues if one.rule not in _OF_THE_HOST)


def failed(about: About, part: str, why: str) -> Issue:
    """Return the issue that a plugin failed with a part of its own.

    Args:
        about: Who it is.
        part: What failed, in words of ours and ids that were checked.
        why: What is wrong with it, in words of ours.
    """
    return FAILED.at("$", plugin=about.name, version=about.version, part=part, why=why)


def not_used(refused: Refused) -> Issue:
    """Return the issue that a plugin isn't used."""
    return NOT_USED.at("$", plugin=refused.name, version=refused.version)
