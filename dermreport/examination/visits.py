"""A partly filled visit: of each lesion what can be held is held, and one of which nothing is takes no other with it.

The shared facts are held once, each lesion with them, both by :mod:`dermreport.examination.entry`. What can't be held
of the shared facts is an error of each lesion. Where nothing of a lesion is held, the others go out and say that it
isn't among them.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Final, NamedTuple

from dermreport.examination.entry import Entry, copied, from_entry, held
from dermreport.examination.entry_rules import Path, entry_issue, path_text
from dermreport.examination.kept_in_words import names_a_structure
from dermreport.examination.model import Shared, Visit
from dermreport.examination.not_sent import unheld, unknown_aside, unread
from dermreport.examination.people import Identifier, Patient, may_be_one_patient, system_and_value
from dermreport.examination.reader import MAX_ENTRY, read_json
from dermreport.issues import EntryError, Issue

if TYPE_CHECKING:
    from collections.abc import Hashable, Iterable, Iterator

    from dermreport.examination.model import Examination

Json = dict[str, Any]

_LESIONS: Final = "lesions"
#: What an examination needs beside the facts that are held alone: it is never shown.
_ANY_RECORD: Final = MappingProxyType({"identifier": {"system": "urn:x", "value": "1"}, "status": "draft"})
_ANY_FACTS: Final = MappingProxyType({"patient": {"reference": "Patient/1"}, "examined": "2000-01-01"})
_LISTS: Final = "lists_gone_through"


@dataclass(frozen=True, slots=True)
class VisitEntry:
    """What became of an entry of a visit.

    Attributes:
        entries: What became of each lesion, in the visit's order; where there is no lesion one entry alone, which holds
            nothing. Paths are those of the visit.
    """

    entries: tuple[Entry, ...] = field(repr=False)

    @property
    def examinations(self) -> tuple[Examination, ...]:
        """The examinations that are held: those of the other lesions are missing."""
        return tuple(one.examination for one in self.entries if one.examination is not None)

    @property
    def issues(self) -> tuple[Issue, ...]:
        """Every issue on the shape of the visit, once."""
        return tuple(dict.fromkeys(issue for one in self.entries for issue in one.issues))

    @property
    def lost(self) -> tuple[Issue, ...]:
        """The issues on lesions of which nothing is held: show them before everything else."""
        return tuple(dict.fromkeys(issue for one in self.entries if one.examination is None for issue in one.issues))


def from_visit(visit: Mapping[str, Any] | str | bytes, *, size: int = MAX_ENTRY) -> VisitEntry:
    """Hold what can be held of a partly filled visit.

    Args:
        visit: A dict as ``json.loads`` gives it, or JSON text or bytes. A dict is not changed. What has no ``lesions``
            is taken as one examination.
        size: How many characters or bytes a text has at most.

    Returns:
        What became of each lesion. Nothing is raised for what is in the visit.
    """
    try:
        value = read_json(visit, size=size) if isinstance(visit, str | bytes) else copied(visit)
        if isinstance(value, dict) and _LESIONS in value:
            return _visit(value)
    except (EntryError, RecursionError):
        # It is said as of any other entry.
        return VisitEntry((from_entry(visit, size=size),))
    return VisitEntry((from_entry(value),))


class _Facts(NamedTuple):
    """What all lesions of a visit have in common.

    Attributes:
        fields: What can be held, by name; ``None`` where no lesion can be held with it.
        issues: On what can't be held.
        aside: That, by path and as written.
        undone: Whether nobody can tell what was left unticked.
    """

    fields: Mapping[str, Any] | None
    issues: tuple[Issue, ...]
    aside: Mapping[str, Any]
    undone: bool


def _visit(value: Json) -> VisitEntry:
    lesions = value[_LESIONS]
    if not isinstance(lesions, list) or not lesions:
        one = from_entry(value)
        if one.examination is not None:
            # It is an examination beside a field that isn't known there.
            return VisitEntry((one,))
        rule = (
            {"rule": "entry-list-empty"}
            if lesions in ([], None)
            else {"rule": "entry-wrong-kind", "expected": "a list"}
        )
        issue = entry_issue(path=path_text((_LESIONS,)), **rule)
        issues = unheld(value, (*_facts(value).issues, issue))
        return VisitEntry((Entry(None, issues, MappingProxyType({"$": value})),))
    facts = _facts(value)
    again = _given_again(lesions)
    entries = [_lesion(one, facts, again.get(at, ()), value.get("patient")) for at, one in enumerate(lesions)]
    entries = _one_of_each(entries, lesions)
    missing = any(one.examination is None for one in entries)
    return VisitEntry(tuple(_in_visit(one, at, facts, missing=missing) for at, one in enumerate(entries)))


# --- What is shared --------------------------------------------------------------------------------------------------


def _facts(value: Json) -> _Facts:
    found = held({**_ANY_RECORD, **{name: one for name, one in value.items() if name in Shared.model_fields}}, ())
    unknown = {name: one for name, one in value.items() if name not in Visit.model_fields}
    number = tuple(_unheld_number(value.get("identifier")))
    aside: Json = {path_text((name,)): one for name, one in unknown.items()}
    if number:
        aside["$.identifier"] = value["identifier"]
    if found.examination is None:
        fields = None
        told = [one for one in found.issues if one.rule != "entry-nothing-held"]
    else:
        fields = {name: getattr(found.examination, name) for name in Shared.model_fields}
        told = list(found.issues)
        aside |= found.set_aside
    return _Facts(
        fields,
        (*told, *number, *_unknown(unknown)),
        MappingProxyType(aside),
        undone=any(map(names_a_structure, unknown.values())),
    )


def _unheld_number(identifier: Any) -> Iterator[Issue]:  # noqa: ANN401 - any JSON
    """Yield the issues on the visit's own number."""
    if identifier is None:
        return
    try:
        Identifier.model_validate(identifier)
    except EntryError as error:
        yield from (_at(one, "$.identifier") for one in error.issues)


def _unknown(fields: Mapping[str, Any]) -> Iterator[Issue]:
    """Yield the issues on fields that stand where they aren't known: any of them may be a plan."""
    for name, one in fields.items():
        yield entry_issue("entry-unknown-field", "$")
        yield from unknown_aside((), {name: one})


# --- One lesion ------------------------------------------------------------------------------------------------------


def _lesion(record: Any, facts: _Facts, again: Sequence[tuple[Path, Issue]], patient: Any) -> Entry:  # noqa: ANN401 - any JSON
    """Return what became of a lesion; its paths are those of an examination, without what is said of the facts."""
    if not isinstance(record, dict):
        return _nothing(record, unread([entry_issue("entry-wrong-kind", "$", expected="an object")]))
    misplaced = {name: one for name, one in record.items() if name in Shared.model_fields}
    own = {name: one for name, one in record.items() if name not in misplaced}
    found = list(again)
    if facts.undone and own.get(_LISTS) is not None:
        found.append(((_LISTS,), entry_issue("entry-list-undone", path_text((_LISTS,)))))
    entry = held({**own, **(_ANY_FACTS if facts.fields is None else facts.fields)}, found)
    issues = tuple(dict.fromkeys((*_unknown(misplaced), *entry.issues)))
    if "patient" in misplaced and patient is not None and not _may_be_one(misplaced["patient"], patient):
        return _nothing(record, unheld(record, (*issues, entry_issue("entry-two-patients", "$.patient"))))
    if entry.examination is None or facts.fields is None:
        return _nothing(record, unheld(record, issues))
    aside = {**entry.set_aside, **{path_text((name,)): one for name, one in misplaced.items()}}
    return Entry(entry.examination, issues, MappingProxyType(aside))


def _nothing(record: Any, issues: tuple[Issue, ...]) -> Entry:  # noqa: ANN401 - any JSON
    return Entry(None, issues, MappingProxyType({"$": record}))


def _may_be_one(one: Any, other: Any) -> bool:  # noqa: ANN401 - any JSON
    try:
        return may_be_one_patient(Patient.model_validate(one), Patient.model_validate(other))
    except EntryError:
        return False


def _in_visit(entry: Entry, at: int, facts: _Facts, *, missing: bool) -> Entry:
    """Return what became of a lesion with the paths of the visit, and with what is said of the facts."""
    place = path_text((_LESIONS, at))
    own = entry.issues
    if missing and entry.examination is not None:
        own = (entry_issue("entry-lesion-not-held", "$"), *own)
    examination = entry.examination
    issues = tuple(dict.fromkeys((*facts.issues, *own)))
    if examination is not None:
        examination = examination.remembering(issues, at if missing else None)
    aside = {_under(place, path): one for path, one in entry.set_aside.items()}
    return Entry(
        examination,
        tuple(dict.fromkeys((*facts.issues, *(_at(one, place) for one in own)))),
        MappingProxyType({**facts.aside, **aside}),
    )


def _at(issue: Issue, place: str) -> Issue:
    return replace(issue, path=_under(place, issue.path))


def _under(place: str, path: str) -> str:
    return place + path.removeprefix("$")


# --- Lesions that are called the same ----------------------------------------------------------------------------


def _given_again(lesions: Sequence[Any]) -> Mapping[int, list[tuple[Path, Issue]]]:
    """Return of each lesion the label and the number that one before it has: it is held without."""
    seen: set[Hashable] = set()
    found: dict[int, list[tuple[Path, Issue]]] = {}
    for at, record in enumerate(lesions):
        lesion = record.get("lesion") if isinstance(record, dict) else None
        for name, mark in _marks(lesion) if isinstance(lesion, dict) else ():
            path = ("lesion", name)
            if (name, mark) in seen:
                found.setdefault(at, []).append((path, entry_issue("entry-given-twice", path_text(path))))
            seen.add((name, mark))
    return found


def _marks(lesion: Json) -> Iterator[tuple[str, Hashable]]:
    label, number = lesion.get("label"), lesion.get("identifier")
    if isinstance(label, str):
        yield "label", label
    if isinstance(number, dict) and isinstance(number.get("value"), str):
        yield "identifier", (str(number.get("system")), number["value"])


def _one_of_each(entries: Iterable[Entry], lesions: Sequence[Any]) -> list[Entry]:
    """Return the entries; of several examinations with one number the one that is planned soonest is held.

    A receiver would take one for the other, whichever came last.
    """
    every = list(entries)
    alike: dict[Hashable, list[int]] = {}
    for at, one in enumerate(every):
        if one.examination is not None:
            alike.setdefault(system_and_value(one.examination.identifier), []).append(at)
    for positions in alike.values():
        kept = max(positions, key=lambda at: _soonest(every[at]))
        for at in positions:
            if at != kept:
                issue = entry_issue("entry-given-twice", "$.identifier")
                every[at] = _nothing(lesions[at], unheld(lesions[at], (*every[at].issues, issue)))
    return every


def _soonest(entry: Entry) -> int:
    """Return how soon the soonest step of an entry is: -1 for none, 0 for one of which it isn't said."""
    plan = entry.examination.plan if entry.examination is not None else None
    steps = plan.actions if plan is not None else ()
    return max((one.urgency.rank + 1 if one.urgency is not None else 0 for one in steps), default=-1)
