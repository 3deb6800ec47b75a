"""The form: one table of fields, each with its path in the entry. What is entered becomes an entry, and back.

The form has a few fields; an entry can have more (from another system, or a later form). What the form doesn't know
stays in the entry as it is.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise
from typing import Any, Final

import dermreport
from dermreport.vocabulary.comparisons import Comparison
from dermreport.vocabulary.concerns import Concern
from dermreport.vocabulary.contacts import Contact
from dermreport.vocabulary.lights import Light
from dermreport.vocabulary.plan_actions import PlanAction
from dermreport.vocabulary.presences import Presence
from dermreport.vocabulary.replies import Reply
from dermreport.vocabulary.sides import Side
from dermreport.vocabulary.sites import Site
from dermreport.vocabulary.structures import Structure
from dermreport.vocabulary.term import Term
from dermreport.vocabulary.urgencies import Urgency

Json = dict[str, Any]
#: A path: names of fields and positions in lists.
Path = tuple[str | int, ...]

#: A number as JSON has it; anything else stays text, and the library says what is wrong with it.
_NUMBER: Final = re.compile(r"-?(0|[1-9]\d*)(\.\d+)?([eE][+-]?\d+)?")


@dataclass(frozen=True, slots=True)
class Field:
    """A field of the form.

    Attributes:
        path: Where its value stands in the entry.
        label: What the clinician reads.
        choices: The rows of the vocabulary to choose from; none for text.
        hint: How to fill it in.
        number: Whether its value is a number.
        long: Whether its text is long.
        beside: What else has to stand in the entry with it.
        prefix: What the entry has before what is entered.
    """

    path: Path
    label: str
    choices: tuple[Term, ...] = ()
    hint: str = ""
    number: bool = False
    long: bool = False
    beside: tuple[tuple[Path, str], ...] = ()
    prefix: str = ""

    @property
    def name(self) -> str:
        """The name in the page, as ``lesion.site``."""
        return ".".join(map(str, self.path))

    @property
    def where(self) -> str:
        """The path as issues have it, as ``$.views[0].light``."""
        return "$" + "".join(f"[{step}]" if isinstance(step, int) else f".{step}" for step in self.path)


@dataclass(frozen=True, slots=True)
class Group:
    """Fields that belong together: a fieldset."""

    title: str
    fields: tuple[Field, ...]


def _told(item: str, label: str) -> Field:
    at = ("lesion", "history", item)
    return Field((*at, "answer"), label, tuple(Reply), beside=(((*at, "known_by"), "patient"),))


_VIEW: Final[tuple[tuple[Path, str], ...]] = ((("views", 0, "key"), "a"),)
_STEP: Final[tuple[tuple[Path, str], ...]] = ((("plan", "actions", 0, "key"), "1"),)

GROUPS: Final = (
    Group(
        "Patient and visit",
        (
            Field(("patient", "reference"), "Patient number", prefix="Patient/"),
            Field(("background", "age_years"), "Age in years", number=True),
            Field(("examined",), "Examined", hint="With its offset, as 2026-03-04T10:15:00+01:00"),
        ),
    ),
    Group(
        "Lesion",
        (
            Field(("lesion", "site"), "Site", tuple(Site)),
            Field(("lesion", "side"), "Side", tuple(Side)),
            Field(("lesion", "longest_mm"), "Longest diameter in mm", hint="With a point, as 4.5", number=True),
            Field(("lesion", "ulcerated"), "Ulcerated", tuple(Reply)),
            Field(("lesion", "compared_with_others"), "Compared with the others", tuple(Comparison)),
            _told("new", "Is it new?"),
            _told("growing", "Has it grown?"),
            _told("bleeding", "Does it bleed?"),
        ),
    ),
    Group(
        "View with the dermatoscope",
        (
            Field(("views", 0, "light"), "Light", tuple(Light), beside=_VIEW),
            Field(("views", 0, "contact"), "Contact", tuple(Contact), beside=_VIEW),
        ),
    ),
    Group(
        "Assessment",
        (
            Field(("assessment", "concern"), "Your concern", tuple(Concern)),
            Field(("assessment", "words"), "In your words", long=True),
        ),
    ),
    Group(
        "Plan",
        (
            Field(("plan", "actions", 0, "action"), "Next step", tuple(PlanAction), beside=_STEP),
            Field(("plan", "actions", 0, "urgency"), "How soon", tuple(Urgency), beside=_STEP),
            Field(("plan", "actions", 0, "reason"), "Question or reason", beside=_STEP, long=True),
            Field(("plan", "safety_net", "watch_for"), "The patient is told to watch for", long=True),
            Field(("plan", "safety_net", "heard_by"), "To have heard by", hint="As 2026-03-18"),
            Field(("plan", "safety_net", "contact"), "Whom to call"),
        ),
    ),
)
FIELDS: Final = tuple(field for group in GROUPS for field in group.fields)

#: Structures that the form asks for. Nothing is chosen beforehand: nothing is absent by default.
STRUCTURES: Final = (
    Structure.NETWORK_TYPICAL,
    Structure.NETWORK_ATYPICAL,
    Structure.BLUE_WHITE_VEIL,
    Structure.PSEUDOPODS,
)
PRESENCES: Final = tuple(Presence)


def structure_name(structure: Structure) -> str:
    """Return the name of a structure's field in the page."""
    return f"structure.{structure.value}"


# --- from the page to an entry


def entry_of(entered: Mapping[str, str], former: Json, fixed: Json) -> Json:
    """Return the entry of what was entered.

    Args:
        entered: The values of the page by name, as text.
        former: The entry of the revision before, whose other content stays; ``{}`` for the first.
        fixed: What the host says: identifier, status, revision.
    """
    entry = _copy(former) | fixed
    given = [(field, entered.get(field.name, "").strip()) for field in FIELDS]
    before = entered_of(former)
    for field, text in given:
        # What the page showed and nobody changed stays as it is, whatever kind of value it is.
        if text != before[field.name].strip():
            _put(entry, field.path, _value(field, text) if text else None)
    for field, text in given:
        for path, value in field.beside:
            if text and _get(entry, path) is None:
                _put(entry, path, value)
            elif not text and _get(entry, field.path[:-1]) == {path[-1]: value}:
                # What stood beside it stands alone now.
                _put(entry, path, None)
    _put_findings(entry, entered, before)
    return _pruned(entry)


def _value(field: Field, text: str) -> Any:  # noqa: ANN401 - any JSON
    if field.number and _NUMBER.fullmatch(text):
        return Decimal(text) if re.search(r"[.eE]", text) else int(text)
    return field.prefix + text


def _put_findings(entry: Json, entered: Mapping[str, str], before: Mapping[str, str]) -> None:
    """Replace the findings whose answer was changed, and keep the others with all that they say."""
    names = {one: structure_name(one) for one in STRUCTURES}
    changed = {one for one, name in names.items() if entered.get(name, "") != before.get(name, "")}
    kept = [one for one in _list(entry, "findings") if _finding(one) not in changed]
    key = _get(entry, ("views", 0, "key"))
    views = {"views": [key]} if key is not None else {}
    made = [
        {"structure": one.value, "presence": entered[names[one]], **views}
        for one in STRUCTURES
        if one in changed and entered.get(names[one])
    ]
    entry["findings"] = [*kept, *made]


def _finding(one: Any) -> Any:  # noqa: ANN401 - any JSON
    return one.get("structure") if isinstance(one, dict) else None


def _list(entry: Json, name: str) -> list[Any]:
    there = entry.get(name)
    return there if isinstance(there, list) else []


# --- from an entry to the page


def entered_of(entry: Json) -> dict[str, str]:
    """Return what the fields of the page show of an entry."""
    found = {field.name: _shown(_get(entry, field.path), field.prefix) for field in FIELDS}
    for one in _list(entry, "findings"):
        structure = _finding(one)
        if structure in set(STRUCTURES):
            found[f"structure.{structure}"] = _shown(one.get("presence"), "")
    return found


def _shown(value: Any, prefix: str) -> str:  # noqa: ANN401 - any JSON
    return "" if value is None else str(value).removeprefix(prefix)


def read(text: str) -> Json:
    """Return an entry from its text, digit for digit."""
    entry: Json = json.loads(text, parse_float=Decimal)
    return entry


def written(entry: Json) -> str:
    """Return an entry as text, digit for digit: the standard library's writer would refuse, or round."""
    return dermreport.form_json(entry)


# --- issues beside the fields

#: That nothing of a plan went out, or of what nobody can tell whether it is one.
NOT_SENT: Final = frozenset({"entry-plan-not-sent", "entry-plan-not-known"})


def is_urgent(issue: dermreport.Issue, review: dermreport.Review | None) -> bool:
    """Whether an issue calls for action now: a warning sign, or a plan that couldn't be sent or read."""
    return issue.rule in NOT_SENT or (review is not None and issue in review.red_flags)


def placed(issues: Iterable[dermreport.Issue], entry: Json) -> dict[str, list[dermreport.Issue]]:
    """Return issues by the name of the field beside which they stand: that of their path, else the nearest in it."""
    places = {field.where: field.name for field in FIELDS}
    for place, one in enumerate(_list(entry, "findings")):
        if _finding(one) in set(STRUCTURES):
            places[f"$.findings[{place}]"] = f"structure.{_finding(one)}"
    found: dict[str, list[dermreport.Issue]] = {}
    for issue in issues:
        within = [where for where in places if _is_within(issue.path, where)]
        around = [where for where in places if _is_within(where, issue.path)]
        best = [*sorted(within, key=len, reverse=True), *around] if issue.path != "$" else []
        if best:
            found.setdefault(places[best[0]], []).append(issue)
    return found


def _is_within(path: str, outer: str) -> bool:
    return path == outer or path.startswith((f"{outer}.", f"{outer}["))


# --- paths


def _get(entry: Any, path: Path) -> Any:  # noqa: ANN401 - any JSON
    for step in path:
        fits = isinstance(entry, list) if isinstance(step, int) else isinstance(entry, dict)
        if not fits or (isinstance(step, int) and step >= len(entry)):
            return None
        entry = entry[step] if isinstance(step, int) else entry.get(step)
    return entry


def _put(entry: Json, path: Path, value: Any) -> None:  # noqa: ANN401 - any JSON
    """Put a value at a path; ``None`` takes it away, and makes nothing on the way."""
    if value is None and _get(entry, path) is None:
        return
    at: Any = entry
    for step, following in pairwise(path):
        at = _step(at, step, [] if isinstance(following, int) else {})
    if value is None:
        del at[path[-1]]
    else:
        at[path[-1]] = value


def _step(at: Any, step: str | int, made: Any) -> Any:  # noqa: ANN401 - any JSON
    if isinstance(step, int):
        while len(at) <= step:
            at.append({})
    elif not isinstance(at.get(step), type(made)):
        at[step] = made
    return at[step]


def _copy(value: Any) -> Any:  # noqa: ANN401 - any JSON
    if isinstance(value, dict):
        return {name: _copy(one) for name, one in value.items()}
    return [_copy(one) for one in value] if isinstance(value, list) else value


def _pruned(value: Any) -> Any:  # noqa: ANN401 - any JSON
    """Return it without what is empty."""
    if isinstance(value, dict):
        within = {name: _pruned(one) for name, one in value.items()}
        return {name: one for name, one in within.items() if one not in ({}, [], None)}
    if isinstance(value, list):
        return [one for one in map(_pruned, value) if one not in ({}, [], None)]
    return value
