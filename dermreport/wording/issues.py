"""Issues in the language of a host: severity, path and rule stay codes."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from dermreport.issues import Issue
    from dermreport.languages.language import Language


def issue_lines(issues: Iterable[Issue], said: Language) -> Iterator[str]:
    """Yield each issue as one line, and before the first what a machine's draft says of itself."""
    for position, issue in enumerate(issues):
        if position == 0 and said.draft is not None:
            yield f"{said.code}: {said.draft.state}"
        yield str(replace(issue, message=said.message(issue)))
