"""Why what was asked for isn't given; nothing of what was sent is in it."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from dermreport.issues import Issue
    from dermreport.profiles.operations.refusals import Refusal


class RefusedError(Exception):
    """A request is refused.

    Attributes:
        refusal: The row of the table.
        parameters: Names and limits of ours that its message names.
    """

    def __init__(self, refusal: Refusal, **parameters: str) -> None:
        """Keep the row and what its message names."""
        self.refusal = refusal
        self.parameters = parameters
        super().__init__(refusal.rule.id)


class UnreadableError(Exception):
    """Nothing of a record can be held.

    Attributes:
        issues: Why.
    """

    def __init__(self, issues: tuple[Issue, ...]) -> None:
        """Keep the issues."""
        self.issues = issues
        super().__init__(f"{len(issues)} issues")


class WorkerFailedError(Exception):
    """A process failed at its work.

    Attributes:
        kind: Name of the exception, or what became of the process.
        place: File of ours and line; never what it was about.
    """

    def __init__(self, kind: str, place: str = "") -> None:
        """Keep what is logged."""
        self.kind = kind
        self.place = place
        super().__init__(f"{kind} {place}".rstrip())
