"""Ticks of the checklist and findings in detail as one list of findings: nothing is lost where the two differ."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from dermreport.examination.entry_rules import Path, path_text
from dermreport.form.layout import CHECKLIST
from dermreport.form.placing import FINDINGS
from dermreport.form.rules import form_issue
from dermreport.vocabulary.presences import Presence

if TYPE_CHECKING:
    from dermreport.issues import Issue

_UNREAD: Final = "unread"
#: The answers on one structure, that which says most first: seen anywhere is seen, and what can't be read isn't absent.
_SAYS_MOST: Final = (Presence.PRESENT, Presence.UNCERTAIN, Presence.NOT_ASSESSED, _UNREAD, Presence.ABSENT)
#: Where what a tick says of its structure stands until ticks and details are one list.
TICKS: Final = "ticks"


class Joined:
    """Ticks and findings in detail as one list of findings.

    Attributes:
        findings: The ticks that say something beside the details, then the details.
        issues: Where the two differ.
        aside: What says less where they differ, by path.
    """

    def __init__(self, ticks: list[dict[str, Any]], details: list[Any]) -> None:
        self.aside: dict[str, Any] = {}
        kept = list(ticks)
        gone: set[int] = set()
        differ: list[dict[str, Any]] = []
        for ticked in ticks:
            position = next((at for at, one in enumerate(details) if _is_of(one, ticked["structure"])), None)
            if position is None:
                continue
            detail = details[position]
            if _says_no_more(ticked, detail):
                kept.remove(ticked)
            elif _weight(ticked) < _weight(detail):
                gone.add(position)
                self.aside[path_text(("findings in detail", position))] = detail
                differ.append(ticked)
            else:
                kept.remove(ticked)
                self.aside[path_text((CHECKLIST, ticked["structure"]))] = ticked
                differ.append(detail)
        left = [at for at in range(len(details)) if at not in gone]
        self._ticks = len(kept)
        self.findings: list[Any] = [*kept, *(details[at] for at in left)]
        self._moved = {at: len(kept) + place for place, at in enumerate(left)}
        self.issues: list[Issue] = [
            form_issue("form-says-both", path_text(("findings", at)))
            for at, finding in enumerate(self.findings)
            if any(finding is one for one in differ)
        ]

    def moved(self, path: Path) -> Path | None:
        """Return where a path now leads that counted details or ticks alone; ``None`` where it went aside."""
        if path[:1] == (TICKS,):
            ticks = self.findings[: self._ticks]
            at = next((at for at, one in enumerate(ticks) if one["structure"] == path[1]), None)
            return None if at is None else (FINDINGS, at, *path[2:])
        if path[:1] != (FINDINGS,):
            return path
        moved = self._moved.get(int(path[1]))
        return None if moved is None else (FINDINGS, moved, *path[2:])


def _is_of(detail: Any, structure: str) -> bool:  # noqa: ANN401 - any JSON
    """Return whether a finding in detail is of this structure, wherever in the lesion."""
    return isinstance(detail, dict) and detail.get("structure") == structure and "place" not in detail


def _says_no_more(ticked: dict[str, Any], detail: dict[str, Any]) -> bool:
    """Return whether a finding in detail says all that the tick of its structure says."""
    return all(detail.get(name) == value for name, value in ticked.items())


def _weight(finding: dict[str, Any]) -> int:
    """Return how little a finding says: 0 for present, more for the others, most for absent."""
    presence = finding.get("presence")
    return _SAYS_MOST.index(presence if isinstance(presence, str) and presence in _SAYS_MOST else _UNREAD)
