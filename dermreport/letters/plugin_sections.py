"""What plugins add to a letter in words: lines of text that are data, whatever they look like.

It stands after what the library says and before its cautions; a host's order moves other parts, and never this one.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from dermreport.plugins.copies import own_copy, refuse_changed
from dermreport.plugins.guarding import Failure, NotTakenError, guarded
from dermreport.plugins.issue_rules import failed
from dermreport.vocabulary.statuses import Status

if TYPE_CHECKING:
    from dermreport.issues import Issue
    from dermreport.letter_file import LetterKind
    from dermreport.plugin import About, LetterSection
    from dermreport.reviews.review import Review

#: Lines of a section, and characters of a line, at most.
_MOST_LINES: Final = 50
_LONGEST: Final = 1_000


@dataclass(frozen=True, slots=True)
class AddedSection:
    """The lines that a plugin adds on one lesion.

    Attributes:
        about: The plugin.
        title: What stands above them.
        lines: The lines.
    """

    about: About
    title: str
    lines: tuple[str, ...]


def added_sections(
    reviews: Sequence[Review], kind: LetterKind
) -> tuple[tuple[tuple[AddedSection, ...], ...], tuple[Issue, ...]]:
    """Return what plugins add on each lesion of a letter, and an issue for each section that failed.

    A section that fails on one lesion is left out on all of them: half of it would say something else.
    """
    made: list[list[tuple[tuple[str, str], AddedSection]]] = []
    broken: dict[tuple[str, str], Issue] = {}
    for review in reviews:
        found = []
        for about, section in _sections(review, kind):
            mark = (about.name, section.id)
            lines = guarded(lambda review=review, section=section: _said(section, review))  # type: ignore[misc]  # the loop's own
            if isinstance(lines, Failure):
                broken[mark] = failed(about, f"its section of a letter ({section.id})", lines.why)
            elif lines:
                found.append((mark, AddedSection(about, section.title, lines)))
        made.append(found)
    kept = tuple(tuple(one for mark, one in found if mark not in broken) for found in made)
    return kept, tuple(broken.values())


def _sections(review: Review, kind: LetterKind) -> Iterator[tuple[About, LetterSection]]:
    if review.examination.status is Status.ENTERED_IN_ERROR:
        return
    for plugin in review.settings.plugins.loaded:
        for section in plugin.sections:
            if kind in section.kinds:
                yield plugin.about, section


def _said(section: LetterSection, review: Review) -> tuple[str, ...]:
    """Return what a section says of a review, of which it gets a copy.

    Raises:
        Exception: It fails, says what a letter can't hold, or changes its copy.
    """
    own = own_copy(review)
    lines = _lines(section.write(own))
    refuse_changed(own, review)
    return lines


def _lines(given: Iterable[str]) -> tuple[str, ...]:
    """Return lines that a letter can hold.

    Raises:
        NotTakenError: They aren't such lines.
    """
    if isinstance(given, str) or not isinstance(given, Iterable):
        raise NotTakenError("it gives no lines, one by one")
    lines = []
    for line in given:
        lines.append(line)
        if type(line) is not str or not 0 < len(line) <= _LONGEST or not line.isprintable():
            raise NotTakenError(f"what it gives isn’t a line of text of 1 to {_LONGEST} characters")
        if len(lines) > _MOST_LINES:
            raise NotTakenError(f"it gives more than {_MOST_LINES} lines")
    return tuple(lines)
