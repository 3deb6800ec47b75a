"""What is said where a content, or a part of it, isn't held: that it doesn't go out, and what is known of its plan.

Whoever gave it must act another way on what is urgent in it. Each door asks here, so that this is said once: of each
plan that was seen, else that what was planned isn't known. It is said too of a part that is set aside whole, while the
rest of its examination goes out.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from dermreport.examination.entry_rules import entry_issue, path_text
from dermreport.examination.kept_in_words import says_anything

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from dermreport.examination.entry_rules import Path
    from dermreport.issues import Issue

_NOT_SENT: Final = "entry-plan-not-sent"
_NOT_KNOWN: Final = "entry-plan-not-known"
_NOTHING_HELD: Final = "entry-nothing-held"
#: What is said anew of the whole; and what became of a part (how it is kept, and that it alone doesn't go out), which
#: is said only where there is an examination.
_NO_REASONS: Final = frozenset(
    ("entry-step-in-words", "entry-urgency-read", "entry-limit-in-words", _NOTHING_HELD, _NOT_SENT, _NOT_KNOWN)
)
#: Names by which a plan is known, wherever it stands.
_NAMES_OF_A_PLAN: Final = frozenset(("plan", "actions", "action", "urgency"))


def plan_aside(path: Path, value: Any) -> Iterator[Issue]:  # noqa: ANN401 - any JSON
    """Yield the issue on what stands where a plan is asked and is set aside whole.

    Args:
        path: Where it stood.
        value: It; what says nothing plans nothing.
    """
    if says_anything(value):
        yield entry_issue(_NOT_SENT, path_text(path))


def unknown_aside(path: Path, value: Any) -> Iterator[Issue]:  # noqa: ANN401 - any JSON
    """Yield the issue on what is set aside and may be a plan.

    Args:
        path: Where it stood; of what has a name of the entry's own the part around it, for no such name is in an issue.
        value: It; what says nothing plans nothing.
    """
    if says_anything(value):
        yield entry_issue(_NOT_KNOWN, path_text(path))


def unseen_aside(path: Path, value: Any) -> Iterator[Issue]:  # noqa: ANN401 - any JSON
    """Yield the issue on what is of the wrong kind, so that nobody looked into it, where it has the names of a plan.

    Args:
        path: Where it stood.
        value: It.
    """
    ahead = [value]
    while ahead:
        here = ahead.pop()
        if isinstance(here, dict):
            if any(name in _NAMES_OF_A_PLAN and says_anything(one) for name, one in here.items()):
                yield entry_issue(_NOT_KNOWN, path_text(path))
                return
            ahead += here.values()
        elif isinstance(here, list):
            ahead += here


def is_plan_lost(issues: Iterable[Issue]) -> bool:
    """Return whether issues say that something that is, or may be, a plan doesn't go out."""
    return any(one.rule in {_NOT_SENT, _NOT_KNOWN} for one in issues)


def unread(issues: Iterable[Issue], path: str = "$") -> tuple[Issue, ...]:
    """Return the issues on something that can't be read, with what is known of its plan.

    Args:
        issues: Why it can't be read. Where they say already that a plan wasn't sent, nothing is added.
        path: Where it stood.
    """
    several = tuple(issues)
    return several if is_plan_lost(several) else (*several, entry_issue(_NOT_KNOWN, path))


def unheld(content: Any, issues: Iterable[Issue]) -> tuple[Issue, ...]:  # noqa: ANN401 - any JSON
    """Return the issues on an entry or a visit that was read and isn't held, with what is known of its plans.

    Args:
        content: It, as it came.
        issues: Why it isn't held.
    """
    told_of = tuple(issues)
    why = [one for one in told_of if one.rule not in _NO_REASONS]
    parts = _examinations(content)
    plans = [(*path, "plan") for path, part in parts if isinstance(part, dict) and says_anything(part.get("plan"))]
    found = (*why, entry_issue(_NOTHING_HELD, "$"), *(entry_issue(_NOT_SENT, path_text(one)) for one in plans))
    # Under a name that isn't known, in what is of the wrong kind, and in what is no object, a plan isn't seen.
    hidden = any(one.rule in {"entry-unknown-field", _NOT_KNOWN} for one in told_of)
    told = hidden or not all(isinstance(part, dict) for _, part in parts)
    return unread(found) if told else found


def _examinations(content: Any) -> list[tuple[Path, Any]]:  # noqa: ANN401 - any JSON
    """Return the examinations of an entry or a visit, with their paths."""
    lesions = content.get("lesions") if isinstance(content, dict) else None
    if isinstance(lesions, list):
        return [(("lesions", position), one) for position, one in enumerate(lesions)]
    return [((), content if lesions is None else lesions)]
