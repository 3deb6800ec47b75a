"""From the answers to the form back to an examination: what can be held, every issue, and what was set aside.

The checklist is read first, in the order of the table of structures, then the findings in detail. A tick and a finding
in detail of the same structure that say the same are one finding; where they differ, what says more is kept and an
issue asks. What is calculated is not read: scores are computed again. Nothing else is dropped: what can't be read is
set aside as it came, with an issue, and never reassures (:mod:`dermreport.examination.entry`).

A row's key that nobody gave is made from what the row says, so that it stays when other rows go.
"""

from __future__ import annotations

import re
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Final, NamedTuple

from dermreport.examination.entry import Entry, Path, held, path_text
from dermreport.examination.entry_rules import entry_issue
from dermreport.examination.reader import read_json
from dermreport.form.layout import (
    AT_THE_ROOT,
    CHECKLIST,
    READING_STYLES,
    SCORES,
    FormItem,
    ItemKind,
    by_link_id,
    checklist,
    checklist_group,
    help_id,
    layout,
    tick,
    tick_reason,
)
from dermreport.form.other_codes import code_in
from dermreport.form.questionnaire import ABOUT, FORM_ID
from dermreport.form.response import STATUSES
from dermreport.form.rules import form_issue
from dermreport.issues import EntryError, Issue
from dermreport.vocabulary.presences import Presence
from dermreport.vocabulary.standard_codes import UCUM
from dermreport.vocabulary.statuses import Status
from dermreport.vocabulary.structures import Structure
from dermreport.vocabulary.term import Term, code_system

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Mapping

Json = dict[str, Any]

_FORM: Final = f"Questionnaire/{FORM_ID}"
_WITHDRAWN: Final = STATUSES[Status.ENTERED_IN_ERROR]
#: Where an examination stands whose form has this state, unless an answer says it.
_BY_STATE: Final = MappingProxyType({**{state: status for status, state in STATUSES.items()}, "stopped": Status.DRAFT})
_SIGNED_OFF: Final = frozenset((Status.FINAL, Status.AMENDED))
_CHANGE_THE_MEANING: Final = frozenset(("modifierExtension", "implicitRules"))
_NOT_OF_THE_MODEL: Final = frozenset((ABOUT, *AT_THE_ROOT, READING_STYLES, CHECKLIST, SCORES))
#: The answers on one structure, that which says most first: seen anywhere is seen.
_SAYS_MOST: Final = (Presence.PRESENT, Presence.UNCERTAIN, Presence.NOT_ASSESSED, Presence.ABSENT)
_LONGEST_MADE: Final = 56
#: What is held of somebody else's code.
_OF_A_CODING: Final = ("system", "version", "code", "display")


def from_response(response: Mapping[str, Any] | str | bytes) -> Entry:
    """Read a response to the form.

    Args:
        response: A QuestionnaireResponse of any release, as JSON text or bytes, or as a dict that ``json.loads``
            gives; it isn't changed.

    Returns:
        The examination or none, every issue, and what couldn't be read or held, by path and as written. Paths are
        those of the examination. Nothing is raised for what is in the response.
    """
    try:
        received: Any = read_json(response) if isinstance(response, str | bytes) else response
        refused = _refusal(received)
        return _refused(response, form_issue(refused, "$")) if refused else _Response(received).entry()
    except EntryError as error:
        return _refused(response, *error.issues)
    except RecursionError:
        return _refused(response, entry_issue("entry-too-deep", "$"))


def _refused(response: Any, *issues: Issue) -> Entry:  # noqa: ANN401 - any JSON
    return Entry(None, issues, MappingProxyType({"$": response}))


def _refusal(received: Any) -> str:  # noqa: ANN401 - any JSON
    """Return the rule for which nothing can be read; ``""`` where there is none."""
    if not isinstance(received, dict) or received.get("resourceType") != "QuestionnaireResponse":
        return "form-not-a-response"
    if _changes_the_meaning(received):
        return "form-modifier"
    form = received.get("questionnaire")
    if form is not None and not f"/{str(form).partition('|')[0]}".endswith(f"/{_FORM}"):
        return "form-other-form"
    return ""


def _changes_the_meaning(value: Any) -> bool:  # noqa: ANN401 - any JSON
    if isinstance(value, dict):
        return not _CHANGE_THE_MEANING.isdisjoint(value) or any(map(_changes_the_meaning, value.values()))
    return isinstance(value, list) and any(map(_changes_the_meaning, value))


class _NotRead(NamedTuple):
    """Something that stands in the entry and can't be read."""

    path: Path
    rule: str
    named: dict[str, str]


class _Response:
    """One response, and what is found while it is read."""

    def __init__(self, received: Json) -> None:
        self._received = received
        self._not_read: list[_NotRead] = []

    def entry(self) -> Entry:
        """Return what became of it.

        Raises:
            EntryError: It is about two patients.
        """
        roots = _items(self._received)
        own = [inner for group in AT_THE_ROOT for inner in _below(roots, group)]
        entry = self._fields([*roots, *own], {item.path: item for item in layout()}, _NOT_OF_THE_MODEL, ())
        joined = _Joined(self._ticks(_below(roots, CHECKLIST), entry), entry.pop("findings", []))
        if joined.findings:
            entry["findings"] = joined.findings
        self._take_subject(entry)
        own = [*self._take_state(entry), *joined.issues]
        found = [
            (path, form_issue(one.rule, path_text(path), **one.named))
            for one in self._not_read
            if (path := joined.moved(one.path)) is not None
        ]
        return _with(held(entry, found), own, joined.aside)

    # --- Fields ---

    def _fields(
        self, items: Iterable[Any], asked: Mapping[str, FormItem], others: Collection[str], path: Path
    ) -> dict[str, Any]:
        """Return the fields that items answer, by name; what isn't asked there stands among them under its linkId."""
        fields: dict[str, Any] = {}
        answered: dict[str, list[Json]] = {}
        helps = {help_id(link_id) for link_id in (*asked, *others)}
        for item in items:
            link_id = _link_id(item)
            if link_id in asked:
                answered.setdefault(link_id, []).append(item)
            elif link_id not in others and link_id not in helps:
                _put_aside(fields, link_id, item)
        for link_id, given in answered.items():
            item = asked[link_id]
            if item.kind is ItemKind.GROUP:
                value = self._group(item, given, (*path, item.name))
            else:
                answers, nested = _answers(given)
                value = self._question(item, answers, (*path, item.name))
                for one in nested:
                    if _link_id(one) != help_id(link_id):
                        _put_aside(fields, _link_id(one), one)
            if value is not None:
                fields[item.name] = value
        return fields

    def _group(self, item: FormItem, given: list[Json], path: Path) -> Any:  # noqa: ANN401 - a part, or a list of parts
        """Return a part of the model, or its rows; ``None`` where nothing was answered of what can't be empty."""
        rows: list[dict[str, Any]] = []
        for one in given:
            inner = {field.path: field for field in item.items}
            row = self._fields(_items(one), inner, (item.path,), (*path, len(rows)) if item.repeats else path)
            if "answer" in one:
                _put_aside(row, item.path, one)
            if row or (item.held_empty and not item.repeats):
                rows.append(row)
        if item.repeats:
            return _with_keys(item, rows) or None
        return rows[0] if len(rows) == 1 else rows or None

    def _question(self, item: FormItem, answers: list[Any], path: Path) -> Any:  # noqa: ANN401 - a value of any kind
        """Return the value of a field, or its values; several where one is asked stay a list, which isn't held."""
        several = item.repeats or len(answers) > 1
        values = [
            self._value(item, answer, (*path, position) if several else path) for position, answer in enumerate(answers)
        ]
        return values or None if several else next(iter(values), None)

    def _value(self, item: FormItem, answer: Any, path: Path) -> Any:  # noqa: ANN401 - any JSON
        """Return the value of an answer; what isn't of the item's kind stays as it is, and the entry says so."""
        value = next((answer[name] for name in answer if name.startswith("value")), answer)
        if isinstance(value, str) and item.other:
            return code_in(value) or value
        if not isinstance(value, dict):
            return value
        if item.kind is ItemKind.QUANTITY:
            return self._number(item, value, path)
        if item.kind is ItemKind.CODE and item.table is not None:
            return _code(item.table, value, other=item.other)
        return value

    def _number(self, item: FormItem, quantity: Json, path: Path) -> Any:  # noqa: ANN401 - any JSON
        """Return the number of a quantity in the item's unit; the form shows that one where none is given."""
        unit = item.unit
        given = {name: quantity[name] for name in ("unit", "system", "code") if name in quantity}
        if unit is not None and given:
            by_code = given.get("code") == unit.ucum and given.get("system", UCUM) == UCUM
            by_words = "code" not in given and given.get("unit") in {unit.shown, unit.ucum}
            if not by_code and not by_words:
                self._not_read.append(_NotRead(path, "form-unit", {"unit": unit.shown}))
                return quantity
        return quantity if "comparator" in quantity else quantity.get("value", quantity)

    # --- The checklist ---

    def _ticks(self, items: list[Any], entry: dict[str, Any]) -> list[dict[str, Any]]:
        """Return a finding for each structure that was ticked, in the order of the table."""
        structures = {tick(structure): structure for structure in Structure}
        groups = {checklist_group(element) for element, _ in checklist()}
        ticked: dict[Structure, list[Json]] = {}
        for item in [*items, *(inner for group in groups for inner in _below(items, group))]:
            link_id = _link_id(item)
            if link_id in structures:
                ticked.setdefault(structures[link_id], []).append(item)
            elif link_id not in groups and link_id != help_id(CHECKLIST):
                _put_aside(entry, link_id, item)
        return [
            finding
            for structure in Structure
            if structure in ticked and (finding := self._tick(structure, ticked[structure], entry))
        ]

    def _tick(self, structure: Structure, given: list[Json], entry: dict[str, Any]) -> dict[str, Any]:
        """Return the finding of a ticked structure, empty where nothing was answered."""
        fields = by_link_id()
        answers, nested = _answers(given)
        reasons = [one for one in nested if _link_id(one) == tick_reason(structure)]
        for one in nested:
            if _link_id(one) not in {tick_reason(structure), help_id(tick(structure))}:
                _put_aside(entry, _link_id(one), one)
        told = {
            "presence": self._question(fields["findings.presence"], answers, ()),
            "not_assessed_because": self._question(fields["findings.not_assessed_because"], _answers(reasons)[0], ()),
        }
        told = {name: value for name, value in told.items() if value is not None}
        return {"structure": structure.value, **told} if told else {}

    # --- What the response says of itself ---

    def _take_subject(self, entry: dict[str, Any]) -> None:
        """Take the subject for the patient's reference where no answer gives one.

        Raises:
            EntryError: An answer names another one.
        """
        subject = self._received.get("subject")
        reference = subject.get("reference") if isinstance(subject, dict) else None
        patient = entry.setdefault("patient", {}) if reference is not None else None
        if isinstance(patient, dict):
            answered = patient.setdefault("reference", reference)
            if not _same_reference(answered, reference):
                raise EntryError((form_issue("form-two-patients", "$.patient.reference"),))

    def _take_state(self, entry: dict[str, Any]) -> list[Issue]:
        """Take the form's own state where no answer says how the examination stands; return where the two differ."""
        state = self._received.get("status")
        implied = _BY_STATE.get(state) if isinstance(state, str) else None
        if implied is None:
            return []
        status = entry.setdefault("status", implied.value)
        if state == _WITHDRAWN and status != Status.ENTERED_IN_ERROR:
            entry["status"] = Status.ENTERED_IN_ERROR.value
            return [form_issue("form-withdrawn", "$.status")]
        if implied is Status.DRAFT and status in _SIGNED_OFF:
            return [form_issue("form-not-finished", "$.status")]
        return []


class _Joined:
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
        self.findings = [*kept, *(details[at] for at in left)]
        self._moved = {at: len(kept) + place for place, at in enumerate(left)}
        self.issues = [
            form_issue("form-says-both", path_text(("findings", at)))
            for at, finding in enumerate(self.findings)
            if any(finding is one for one in differ)
        ]

    def moved(self, path: Path) -> Path | None:
        """Return where a path now leads that counted details alone; ``None`` where it went aside."""
        if path[:1] != ("findings",):
            return path
        at = self._moved.get(int(path[1]))
        return None if at is None else ("findings", at, *path[2:])


def _is_of(detail: Any, structure: str) -> bool:  # noqa: ANN401 - any JSON
    """Return whether a finding in detail is of this structure, wherever in the lesion."""
    return isinstance(detail, dict) and detail.get("structure") == structure and "place" not in detail


def _says_no_more(ticked: dict[str, Any], detail: dict[str, Any]) -> bool:
    """Return whether a finding in detail says all that the tick of its structure says."""
    return all(detail.get(name) == value for name, value in ticked.items())


def _weight(finding: dict[str, Any]) -> int:
    """Return how little a finding says: 0 for present, more for the others, most for what is no answer."""
    presence = finding.get("presence")
    return _SAYS_MOST.index(presence) if isinstance(presence, str) and presence in _SAYS_MOST else len(_SAYS_MOST)


# --- Items and answers -----------------------------------------------------------------------------------------------


def _items(holder: Json) -> list[Any]:
    """Return the items of a response, item or answer; what isn't a list counts as one."""
    items = holder.get("item", [])
    return items if isinstance(items, list) else [items]


def _link_id(item: Any) -> str:  # noqa: ANN401 - any JSON
    """Return the linkId of an item, ``""`` where it has none."""
    link_id = item.get("linkId") if isinstance(item, dict) else None
    return link_id if isinstance(link_id, str) else ""


def _below(items: Iterable[Any], link_id: str) -> list[Any]:
    """Return what stands in the groups with this linkId."""
    return [inner for item in items if _link_id(item) == link_id for inner in _items(item)]


def _answers(given: Iterable[Json]) -> tuple[list[Any], list[Json]]:
    """Return the answers of items, and the items that stand below them."""
    answers: list[Any] = []
    nested: list[Any] = []
    for item in given:
        own = item.get("answer", [])
        own = own if isinstance(own, list) else [own]
        nested += _items(item)
        for answer in own:
            if isinstance(answer, dict):
                nested += _items(answer)
            if not isinstance(answer, dict) or any(name.startswith("value") for name in answer):
                answers.append(answer if isinstance(answer, dict) else {"value": answer})
    return answers, [one if isinstance(one, dict) else {"item": one} for one in nested]


def _put_aside(fields: dict[str, Any], link_id: object, item: Any) -> None:  # noqa: ANN401 - any JSON
    """Put an item where no field of the model is, under a name that none has: the entry sets it aside."""
    fields.setdefault(f"linkId {link_id}", []).append(item)


def _code(table: type[Term], given: Json, *, other: bool) -> Any:  # noqa: ANN401 - any JSON
    """Return a code of ours as its text, and somebody else's as it came."""
    code = given.get("code")
    if given.get("system") == code_system(table) and isinstance(code, str) and (not other or code in set(table)):
        return code
    return {name: given[name] for name in _OF_A_CODING if name in given}


def _same_reference(one: object, other: object) -> bool:
    """Return whether two references name the same: a server may add its address or a version."""
    first, second = (str(text).partition("/_history/")[0] for text in (one, other))
    return first == second or first.endswith(f"/{second}") or second.endswith(f"/{first}")


def _with_keys(item: FormItem, rows: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Return the rows of a list, each with a key where its items have one."""
    if not any(field.name == "key" for field in item.items):
        return rows
    taken = {row["key"] for row in rows if isinstance(row.get("key"), str)}
    keyed: list[dict[str, Any]] = []
    for row in rows:
        if "key" not in row:
            made = _key_of(item, row)
            key = next(one for number in range(1, len(rows) + 2) if (one := _numbered(made, number)) not in taken)
            taken.add(key)
            keyed.append({"key": key, **row})
        else:
            keyed.append(row)
    return keyed


def _key_of(item: FormItem, row: dict[str, Any]) -> str:
    """Return the key that is made from a row: the first of its answers that is a code or a short text."""
    for field in item.items:
        value = row.get(field.name)
        text = value.get("code") if isinstance(value, dict) else value
        if field.kind in {ItemKind.CODE, ItemKind.STRING} and isinstance(text, str):
            made = re.sub(r"[^A-Za-z0-9._-]+", "-", text)[:_LONGEST_MADE].strip("-._")
            if made:
                return made
    return item.name


def _numbered(key: str, number: int) -> str:
    return key if number == 1 else f"{key}-{number}"


def _with(entry: Entry, issues: list[Issue], aside: dict[str, Any]) -> Entry:
    """Return an entry with further issues, which its examination remembers, and what else was set aside."""
    every = tuple(dict.fromkeys((*issues, *entry.issues)))
    examination = entry.examination.remembering(every) if entry.examination is not None else None
    return Entry(examination, every, MappingProxyType({**entry.set_aside, **aside}))
