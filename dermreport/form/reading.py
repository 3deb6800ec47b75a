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

from dermreport.examination.entry import Entry, held
from dermreport.examination.entry_rules import Path, entry_issue, path_text
from dermreport.examination.kept_in_words import Keys, add_words
from dermreport.examination.not_sent import unread
from dermreport.examination.reader import MAX_ENTRY, read_json
from dermreport.form.answered import answers_of, code_of, contradicts, is_called_missing, items_below
from dermreport.form.joined import TICKS, Joined
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
from dermreport.form.placing import FINDINGS, PLAN, items_of, link_id, placed
from dermreport.form.questionnaire import ABOUT, FORM_ID
from dermreport.form.response import STATUSES
from dermreport.form.rules import form_issue
from dermreport.form.shown_scores import scores_that_differ
from dermreport.issues import EntryError, Issue, Severity
from dermreport.publication import PROFILES_VERSION
from dermreport.vocabulary.standard_codes import UCUM
from dermreport.vocabulary.statuses import Status
from dermreport.vocabulary.structures import Structure
from dermreport.vocabulary.term import table_id

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Iterator, Mapping


Json = dict[str, Any]

_FORM: Final = f"Questionnaire/{FORM_ID}"
_WITHDRAWN: Final = STATUSES[Status.ENTERED_IN_ERROR]
#: Where an examination stands whose form has this state. A form that is finished is no final examination yet.
_BY_STATE: Final = MappingProxyType({**{state: status for status, state in STATUSES.items()}, "stopped": Status.DRAFT})
_SIGNED_OFF: Final = frozenset((Status.FINAL, Status.AMENDED))
_CHANGE_THE_MEANING: Final = frozenset(("modifierExtension", "implicitRules"))
_NOT_OF_THE_MODEL: Final = frozenset((ABOUT, *AT_THE_ROOT, READING_STYLES, CHECKLIST, SCORES))
#: Units of length that renderers write in words beside a code; whatever else stands there is taken for a translation.
_OTHER_LENGTHS: Final = frozenset(("m", "dm", "cm", "mm", "um", "µm", "nm", "in", "inch", "ft", "pt"))
#: Parts in which an unknown item leaves open what was looked for, and what falls with it.
_RESTS_ON: Final = MappingProxyType(
    {
        FINDINGS: ("lists_gone_through",),
        CHECKLIST: ("lists_gone_through",),
        "views": ("lists_gone_through",),
        "description": ("description", "colours"),
    }
)
#: Lists whose words stay where they are: the entry keeps them in words itself, or they go with what rests on them.
_NO_NOTE_FOR: Final = frozenset(
    ("views.limits", "plan.actions.action", "description.colours", "description.doubtful_colours")
)
#: Fields for words, in the order in which one is taken.
_FOR_WORDS: Final = ("note", "site_detail", "words", "text")
_LONGEST_MADE: Final = 56


def from_response(response: Mapping[str, Any] | str | bytes, *, size: int = MAX_ENTRY) -> Entry:
    """Read a response to the form.

    Args:
        response: A QuestionnaireResponse of any release, as JSON text or bytes, or as a dict that ``json.loads``
            gives; it isn't changed.
        size: How many characters or bytes a text has at most.

    Returns:
        The examination or none, every issue, and what couldn't be read or held, by path and as written. Paths are
        those of the examination. Nothing is raised for what is in the response.
    """
    received: Any = None
    try:
        received = read_json(response, size=size) if isinstance(response, str | bytes) else response
        refused = _refusal(received)
        if refused:
            return _refused(response, *unread([form_issue(refused, "$"), *_plan_not_sent(received)]))
        entry = _Response(received).entry()
    except EntryError as error:
        return _refused(response, *unread([*error.issues, *_plan_not_sent(received)]))
    except RecursionError:
        return _refused(response, *unread([entry_issue("entry-too-deep", "$")]))
    return entry if entry.examination is not None else _refused(response, *entry.issues)


def _refused(response: Any, *issues: Issue) -> Entry:  # noqa: ANN401 - any JSON
    return Entry(None, issues, MappingProxyType({"$": response}))


def _plan_not_sent(received: Any) -> list[Issue]:  # noqa: ANN401 - any JSON
    """Return an issue where a response of which nothing is read has a plan."""
    below: list[Any] = [received]
    seen: set[int] = set()
    while below:
        here = below.pop()
        if id(here) in seen:
            # A dict that isn't of JSON may hold itself.
            continue
        if isinstance(here, dict | list):
            seen.add(id(here))
        if isinstance(here, dict):
            if link_id(here).startswith(f"{PLAN}.") and here.get("answer"):
                return [entry_issue("entry-plan-not-sent", f"$.{PLAN}")]
            below += here.values()
        elif isinstance(here, list):
            below += here
    return []


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
        #: Statements that fall with an item that isn't known.
        self._undone: dict[Path, None] = {}

    def entry(self) -> Entry:
        """Return what became of it.

        Raises:
            EntryError: It is about two patients.
        """
        roots, misplaced = placed(items_of(self._received))
        own = [inner for group in AT_THE_ROOT for inner in items_below(roots, group)]
        entry = self._fields([*roots, *own], {item.path: item for item in layout()}, _NOT_OF_THE_MODEL, ())
        joined = Joined(self._ticks(items_below(roots, CHECKLIST), entry), entry.pop("findings", []))
        if joined.findings:
            entry["findings"] = joined.findings
        self._take_subject(entry)
        issues = [
            *self._form_of(),
            *self._take_state(entry),
            *(form_issue("form-misplaced", path_text((part,))) for part in (FINDINGS, PLAN) if part in misplaced),
            *joined.issues,
        ]
        words = dict(self._keep_words(entry))
        issues += [form_issue("form-words-kept", path, list=table) for path, (table, _) in words.items()]
        found = [
            (path, form_issue(one.rule, path_text(path), **one.named))
            for one in self._not_read
            if (path := joined.moved(one.path)) is not None
        ]
        found += [
            (path, entry_issue("entry-list-undone", path_text(path))) for path in self._undone if _has(entry, path)
        ]
        result = _with(
            held(entry, found), issues, {**joined.aside, **{path: said for path, (_, said) in words.items()}}
        )
        return _with(result, [*scores_that_differ(result.examination, roots)], {})

    # --- Fields ---

    def _fields(
        self, items: Iterable[Any], asked: Mapping[str, FormItem], others: Collection[str], path: Path
    ) -> dict[str, Any]:
        """Return the fields that items answer, by name; what isn't asked there stands among them under its linkId."""
        fields: dict[str, Any] = {}
        answered: dict[str, list[Json]] = {}
        helps = {help_id(named) for named in (*asked, *others)}
        for item in items:
            named = link_id(item)
            if named in asked:
                answered.setdefault(named, []).append(item)
            elif named not in others and named not in helps:
                self._put_aside(fields, item, path)
        for named, given in answered.items():
            item = asked[named]
            if item.kind is ItemKind.GROUP:
                value = self._group(item, given, (*path, item.name))
            else:
                found, nested = answers_of(given)
                value = self._question(item, found, (*path, item.name))
                for one in nested:
                    if link_id(one) != help_id(named):
                        self._put_aside(fields, one, path)
            if value is not None:
                fields[item.name] = value
        return fields

    def _put_aside(self, fields: dict[str, Any], item: Any, path: Path) -> None:  # noqa: ANN401 - any JSON
        """Put an item where no field of the model is, under a name that none has: the entry sets it aside."""
        fields.setdefault(f"linkId {link_id(item)}", []).append(item)
        for part in (*path[:1], link_id(item).split(".")[0]):
            if part in _RESTS_ON:
                self._undone[_RESTS_ON[str(part)]] = None

    def _group(self, item: FormItem, given: list[Json], path: Path) -> Any:  # noqa: ANN401 - a part, or a list of parts
        """Return a part of the model, or its rows; ``None`` where nothing was answered of what can't be empty."""
        rows: list[dict[str, Any]] = []
        for one in given:
            inner = {field.path: field for field in item.items}
            row = self._fields(items_of(one), inner, (item.path,), (*path, len(rows)) if item.repeats else path)
            if "answer" in one:
                self._put_aside(row, one, path)
            if row or (item.held_empty and not item.repeats):
                rows.append(row)
        if item.repeats:
            return _with_keys(item, rows) or None
        return rows[0] if len(rows) == 1 else rows or None

    def _question(self, item: FormItem, answers: list[Any], path: Path) -> Any:  # noqa: ANN401 - a value of any kind
        """Return the value of a field, or its values; several where one is asked stay a list, which isn't held."""
        several = item.repeats or len(answers) > 1
        if several and not item.repeats:
            self._not_read.append(_NotRead(path, "form-two-answers", {}))
        values = [
            self._value(item, answer, (*path, position) if several else path) for position, answer in enumerate(answers)
        ]
        return values or None if several else next(iter(values), None)

    def _value(self, item: FormItem, answer: Json, path: Path) -> Any:  # noqa: ANN401 - any JSON
        """Return the value of an answer; what isn't of the item's kind stays as it is, and the entry says so."""
        values = [answer[name] for name in answer if name.startswith("value")]
        value = values[0] if values else None
        if value is None:
            self._not_read.append(_NotRead(path, "form-answer-empty", {}))
            return answer
        if len(values) > 1 or is_called_missing(answer) or contradicts(item, value):
            self._not_read.append(_NotRead(path, "form-answer-unclear", {}))
            return answer
        return self._typed(item, value, path)

    def _typed(self, item: FormItem, value: Any, path: Path) -> Any:  # noqa: ANN401 - any JSON
        """Return a value as the model has it."""
        if isinstance(value, str) and item.other:
            return code_in(value) or value
        if not isinstance(value, dict):
            return value
        if item.kind is ItemKind.QUANTITY:
            return self._number(item, value, path)
        if item.kind is ItemKind.CODE and item.table is not None:
            return code_of(item.table, value, other=item.other)
        return value

    def _number(self, item: FormItem, quantity: Json, path: Path) -> Any:  # noqa: ANN401 - any JSON
        """Return the number of a quantity in the item's unit; the form shows that one where none is given."""
        unit = item.unit
        given = {name: quantity[name] for name in ("unit", "system", "code") if name in quantity}
        if unit is not None and given:
            said = given.get("unit", "")
            ours = said in (unit.shown, unit.ucum)
            another = not isinstance(said, str) or (not ours and said in _OTHER_LENGTHS)
            by_code = given.get("code") == unit.ucum and given.get("system", UCUM) == UCUM and not another
            by_words = "code" not in given and ours
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
        for item in [*items, *(inner for group in groups for inner in items_below(items, group))]:
            named = link_id(item)
            if named in structures:
                ticked.setdefault(structures[named], []).append(item)
            elif named not in groups and named != help_id(CHECKLIST):
                self._put_aside(entry, item, (CHECKLIST,))
        return [
            finding
            for structure in Structure
            if structure in ticked and (finding := self._tick(structure, ticked[structure], entry))
        ]

    def _tick(self, structure: Structure, given: list[Json], entry: dict[str, Any]) -> dict[str, Any]:
        """Return the finding of a ticked structure, empty where nothing was answered."""
        fields = by_link_id()
        found, nested = answers_of(given)
        reasons = [one for one in nested if link_id(one) == tick_reason(structure)]
        for one in nested:
            if link_id(one) not in {tick_reason(structure), help_id(tick(structure))}:
                self._put_aside(entry, one, (CHECKLIST,))
        told = {
            name: self._question(fields[f"{FINDINGS}.{name}"], answered, (TICKS, structure.value, name))
            for name, answered in (("presence", found), ("not_assessed_because", answers_of(reasons)[0]))
        }
        told = {name: value for name, value in told.items() if value is not None}
        return {"structure": structure.value, **told} if told else {}

    # --- Words in place of a code ---

    def _keep_words(self, entry: dict[str, Any]) -> Iterator[tuple[str, tuple[str, str]]]:
        """Keep words in place of a code as words of their part: by path the list that they aren't in, and the words.

        A row that is nothing without the code is set aside by the entry, and its words stay in the part that it is of.
        Words of a finding go with it: what was seen must not become something else.
        """
        fields = by_link_id()
        for item in fields.values():
            *names, name = item.path.split(".")
            table = item.table
            if not item.other or table is None or names[:1] == [FINDINGS] or item.path in _NO_NOTE_FOR:
                continue
            holder = names[:-1] if item.required else names
            target = next((one for one in _FOR_WORDS if ".".join((*holder, one)) in fields), None)
            if target is None:
                continue
            longest = fields[".".join((*holder, target))].longest
            for outer_path, outer in _parts(entry, holder):
                for path, part in [(outer_path, outer)] if not item.required else _parts(outer, names[-1:], outer_path):
                    said = [one for one in _listed(part.get(name)) if isinstance(one, str) and one not in set(table)]
                    unclear = any(one.path[: len(path) + 1] == (*path, name) for one in self._not_read)
                    if not said or unclear:
                        continue
                    for one in said:
                        add_words(outer, item.label, one, target, longest or 0)
                    if not item.required:
                        left = [one for one in _listed(part.pop(name)) if one not in said]
                        if left:
                            part[name] = left
                    yield path_text((*path, name)), (table_id(table), ", ".join(said))

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
        if "status" not in entry and implied in _SIGNED_OFF:
            # A form is finished when nothing more is to be filled in; that the record is final somebody must say.
            entry["status"] = Status.DRAFT.value
            return [form_issue("form-state-not-said", "$.status")]
        status = entry.setdefault("status", implied.value)
        if state == _WITHDRAWN and status != Status.ENTERED_IN_ERROR:
            entry["status"] = Status.ENTERED_IN_ERROR.value
            return [form_issue("form-withdrawn", "$.status")]
        if implied is Status.DRAFT and status in _SIGNED_OFF:
            return [form_issue("form-not-finished", "$.status")]
        return []

    def _form_of(self) -> list[Issue]:
        """Return where the response names no form, or another version of it."""
        form = self._received.get("questionnaire")
        if form is None:
            return [form_issue("form-not-named", "$")]
        version = str(form).partition("|")[2]
        return [form_issue("form-other-version", "$")] if version not in {"", PROFILES_VERSION} else []


# --- Parts, references and keys ---------------------------------------------------------------------------------------


def _listed(value: Any) -> list[Any]:  # noqa: ANN401 - any JSON
    return value if isinstance(value, list) else [value]


def _parts(entry: dict[str, Any], names: list[str], path: Path = ()) -> Iterator[tuple[Path, dict[str, Any]]]:
    """Yield the parts at a path of the model, each row of a list, with where they stand."""
    if not names:
        yield path, entry
        return
    value = entry.get(names[0])
    inner = [((*path, names[0], at), one) for at, one in enumerate(value)] if isinstance(value, list) else []
    for below, one in inner or [((*path, names[0]), value)]:
        if isinstance(one, dict):
            yield from _parts(one, names[1:], below)


def _has(entry: dict[str, Any], path: Path) -> bool:
    """Return whether something is entered in a field, by its names."""
    *outer, last = path
    return any(last in part for _, part in _parts(entry, [str(name) for name in outer]))


def _same_reference(one: object, other: object) -> bool:
    """Return whether two references name the same: a server may add its address or a version."""
    first, second = (str(text).partition("/_history/")[0] for text in (one, other))
    return first == second or first.endswith(f"/{second}") or second.endswith(f"/{first}")


def _with_keys(item: FormItem, rows: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Return the rows of a list, each with a key where its items have one."""
    if not any(field.name == "key" for field in item.items):
        return rows
    keys = Keys(row["key"] for row in rows if isinstance(row.get("key"), str))
    return [row if "key" in row else {"key": keys.made_of(_key_of(item, row)), **row} for row in rows]


def _key_of(item: FormItem, row: dict[str, Any]) -> str:
    """Return the key that is made from a row: the first of its answers that is a code or a short text."""
    for field in item.items:
        value = row.get(field.name)
        text = value.get("code") if isinstance(value, dict) else value
        free = field.table is not None and isinstance(value, str) and value not in set(field.table)
        if field.kind in {ItemKind.CODE, ItemKind.STRING} and isinstance(text, str) and not free:
            # Never of free words in place of a code: a key goes into identifiers, and words may name a person.
            made = re.sub(r"[^A-Za-z0-9._-]+", "-", text)[:_LONGEST_MADE].strip("-._")
            if made:
                return made
    return item.name


def _with(entry: Entry, issues: list[Issue], aside: dict[str, Any]) -> Entry:
    """Return an entry with further issues, which its examination remembers, and what else was set aside."""
    every = tuple(dict.fromkeys((*issues, *entry.issues)))
    # A review has errors of its own on what was not held; warnings of the reading withhold and withdraw nothing.
    errors = tuple(issue for issue in every if issue.severity is Severity.ERROR)
    examination = entry.examination.remembering(errors) if entry.examination is not None else None
    return Entry(examination, every, MappingProxyType({**entry.set_aside, **aside}))
