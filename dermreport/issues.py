"""One finding of a check, and the exceptions of the library.

Nothing here ever holds an entered value: texts come from the rule tables, parameters are codes and counts, and
paths are made of field names of ours and positions.

Exceptions::

    DermReportError
    ├── EntryError       an entry can't be held; .issues says all that is wrong, gathered
    ├── PathwayError     a pathway's file doesn't fit; .issues says all that is wrong, gathered
    ├── SettingsError    a host's settings, or how a series or a drawing is asked for, don't fit; .problems, gathered
    ├── SeriesError      reviews aren't a series of one lesion; .issues says why, gathered
    ├── BuildError       a bundle of this kind can't be made of this examination, and what is missing
    └── MissingExtraError  an optional dependency is not installed; the text names the command
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from typing import TYPE_CHECKING, NamedTuple, TypeVar

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping


class Severity(StrEnum):
    """How much an issue weighs; no severity ever withholds an urgent request."""

    ERROR = "error"
    WARNING = "warning"
    INFORMATION = "information"

    @property
    def rank(self) -> int:
        """0 for an error, 1 for a warning, 2 for information: sorts the gravest first."""
        return _RANK[self]


_RANK = {Severity.ERROR: 0, Severity.WARNING: 1, Severity.INFORMATION: 2}


@dataclass(frozen=True, slots=True)
class Issue:
    """One thing that a check found.

    Attributes:
        rule: Id of the rule, ``[a-z0-9.-]{1,64}``.
        severity: error, warning or information.
        path: Where in the entry, as ``$.views[0].medium``; field names of ours and positions only.
        message: What to do about it, for a clinician.
        source: Where the rule comes from and how it is known.
        hazard: Id of the hazard that the rule controls, ``""`` where it only guards the shape of an entry.
        parameters: Codes, counts and limits that the message names, as (name, text); a code of ours is the row itself.
    """

    rule: str
    severity: Severity
    path: str
    message: str
    source: str
    hazard: str = ""
    parameters: tuple[tuple[str, str], ...] = field(default=())

    def __str__(self) -> str:
        """One line: severity, path, message, rule."""
        return f"{self.severity}: {self.path}: {self.message} [{self.rule}]"


class IssueRule(NamedTuple):
    """One row of a table of what a door can't take as it is, or of what stands against a series.

    Attributes:
        id: Its id, ``[a-z0-9.-]{1,64}``.
        message: What to do about it; in braces the names of parameters.
        source: Where it comes from and how it is known.
        severity: How much it weighs.
        hazard: Id of the hazard that it controls, ``""`` where it only guards a shape.
    """

    id: str
    message: str
    source: str
    severity: Severity = Severity.ERROR
    hazard: str = ""

    def at(self, path: str, **parameters: str) -> Issue:
        """Return the issue at a path; parameters are codes, limits and counts, never what was entered or received."""
        given = tuple(parameters.items())
        return Issue(self.id, self.severity, path, filled(self.message, given), self.source, self.hazard, given)


def filled(message: str, parameters: Iterable[tuple[str, str]]) -> str:
    """Return a message with its parameters: a row of the vocabulary, which is a text too, by its display."""
    return message.format_map({name: getattr(value, "display", value) for name, value in parameters})


class DermReportError(Exception):
    """Base of every exception of the library."""


class EntryError(DermReportError, ValueError):
    """An entry can't be held.

    Attributes:
        issues: Everything that is wrong with it; neither they nor the text hold an entered value.
        locations: For each issue the path as parts. A part can be a field name of the entry that isn't ours.
    """

    def __init__(self, issues: tuple[Issue, ...], locations: tuple[tuple[str | int, ...], ...] = ()) -> None:
        """Keep the issues and make a text of them."""
        self.issues = issues
        self.locations = locations
        super().__init__("\n".join(str(issue) for issue in issues))


class PathwayError(DermReportError, ValueError):
    """A pathway's file can't be taken.

    Attributes:
        issues: Everything that is wrong with it, with its path in the file.
    """

    def __init__(self, issues: tuple[Issue, ...]) -> None:
        """Keep the issues and make a text of them."""
        self.issues = issues
        super().__init__("\n".join(str(issue) for issue in issues))


class SettingsError(DermReportError, ValueError):
    """A host's settings don't fit together, or an argument names what isn't there; the text holds no value of it.

    Attributes:
        problems: Everything that is wrong, each with the setting that it is about; the text has each on a line.
    """

    def __init__(self, *problems: str) -> None:
        """Keep what is wrong."""
        self.problems: tuple[str, ...] = problems
        super().__init__(*problems)

    def __str__(self) -> str:
        """What is wrong, a line each."""
        return "\n".join(self.problems)


def must_be(where: str, given: object, *kinds: type) -> None:
    """Refuse an argument of another kind at the door, so that no error comes from deep inside.

    Args:
        where: Door and argument, for the message.
        given: What was given; its kind is in the error, and no value of it.
        kinds: What it may be.

    Raises:
        TypeError: It is of another kind.
    """
    if not isinstance(given, kinds):
        names = " or ".join("None" if kind is type(None) else kind.__name__ for kind in kinds)
        raise TypeError(f"{where} is {names}, not {type(given).__name__}")


_Named = TypeVar("_Named", bound=StrEnum)


def one_of(where: str, names: type[_Named], given: object) -> _Named:
    """Return which of several an argument names.

    Args:
        where: Door and argument, for the message.
        names: What it may be; the error lists them.
        given: What was given; nothing of it is in the error.

    Raises:
        SettingsError: It names none of them.
    """
    found = next((one for one in names if isinstance(given, str) and one == given), None)
    if found is None:
        raise SettingsError(f"{where} is one of {', '.join(names)}")
    return found


def refuse_all(problems: Iterable[str]) -> None:
    """Refuse settings of which anything is wrong, all of it at once.

    Raises:
        SettingsError: Something is.
    """
    found = tuple(problems)
    if found:
        raise SettingsError(*found)


def wrong_counts(where: str, given: Mapping[str, object]) -> Iterator[str]:
    """Yield what isn't a whole number from 0.

    Args:
        where: What is set, for the message.
        given: What was given, by name; no value of it is in the text.
    """
    for name, value in given.items():
        if not isinstance(value, int) or isinstance(value, bool) or value < 0:
            yield f"{where}: {name} is a whole number from 0"


class SeriesError(DermReportError, ValueError):
    """Reviews can't be compared as a series of one lesion.

    Attributes:
        issues: Everything that stands against it, with positions among the reviews as given; no entered value.
    """

    def __init__(self, issues: tuple[Issue, ...]) -> None:
        """Keep the issues and make a text of them."""
        self.issues = issues
        super().__init__("\n".join(str(issue) for issue in issues))


class BuildError(DermReportError, ValueError):
    """A bundle of the kind asked for can't be made; the text says what the examination lacks."""


class MissingExtraError(DermReportError, ImportError):
    """An optional dependency is not installed; the text names the command that installs it."""
