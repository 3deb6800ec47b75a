"""A partly filled entry: what can be held is held, the rest is set aside whole, and every issue comes at once.

``from_entry`` never raises for what is in the entry. An item of a list that can't be held is set aside as one
piece, so that half a finding never looks like a whole one; elsewhere the field is set aside, or the part that
can't be without it. A planned step keeps what can be held of it, a view its limits, the rest in words
(:mod:`dermreport.examination.kept_in_words`): a defect must not withhold an urgent request.

Where no examination can be made, the whole entry is set aside, and an issue says that its plan has not been sent, or
that it isn't known (:mod:`dermreport.examination.not_sent`). The same is said of a plan or a step that is set aside
whole, and of what stands under a name that isn't known, for it may be a plan, while the examination goes out.

Of two findings of one structure and place that differ, the graver one is held, and two lights of one view are none:
in which order they came decides nothing (:mod:`dermreport.examination.given_twice`).

What is set aside never reassures: without one of the findings or views the statement that a list was gone through goes
too, without one of the colours their list goes whole, without a doubtful one both lists, and the examination remembers
the issues, so that its review has them as errors.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, cast

from dermreport.examination import given_twice as twice
from dermreport.examination import kept_in_words as in_words
from dermreport.examination.base import Model, OtherCode
from dermreport.examination.decided import Action, Plan
from dermreport.examination.entry_rules import Path, entry_issue, path_text
from dermreport.examination.fields import Step, steps
from dermreport.examination.model import Examination
from dermreport.examination.not_sent import plan_aside, unheld, unknown_aside, unread, unseen_aside
from dermreport.examination.reader import MAX_ENTRY, read_json
from dermreport.issues import EntryError, Issue
from dermreport.publication import CANONICAL_BASE
from dermreport.vocabulary.term import Term, code_system, table_id
from dermreport.vocabulary.urgencies import Urgency

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from pydantic import ValidationError
    from pydantic_core import ErrorDetails

#: pydantic's kinds of error that are one entry rule each.
_RULES = {
    "text_not_allowed": "entry-text-not-allowed",
    "key_not_allowed": "entry-key-not-allowed",
    "uri_not_allowed": "entry-uri-not-allowed",
    "reference_not_allowed": "entry-reference-not-allowed",
    "time_not_allowed": "entry-time-not-allowed",
    "hash_not_allowed": "entry-hash-not-allowed",
    "media_type_not_allowed": "entry-media-type-not-allowed",
    "uid_not_allowed": "entry-uid-not-allowed",
    "number_too_long": "entry-number-too-long",
    "identifier_without_system": "entry-identifier-without-system",
    "reference_empty": "entry-reference-empty",
    "given_twice": "entry-given-twice",
    "finite_number": "entry-not-a-number",
    "missing": "entry-missing",
    "extra_forbidden": "entry-unknown-field",
    "invalid_key": "entry-unknown-field",
    "list_empty": "entry-list-empty",
    "enum": "entry-unknown-code",
    "string_too_long": "entry-text-too-long",
    "greater_than_equal": "entry-out-of-range",
    "greater_than": "entry-out-of-range",
    "less_than_equal": "entry-out-of-range",
    "string_type": "entry-wrong-kind",
    "int_type": "entry-wrong-kind",
    "decimal_type": "entry-wrong-kind",
    "is_instance_of": "entry-wrong-kind",
    "bool_type": "entry-wrong-kind",
    "tuple_type": "entry-wrong-kind",
    "model_type": "entry-wrong-kind",
}
_EXPECTED = {
    "string_type": "text",
    "int_type": "a whole number",
    "decimal_type": "a number",
    "is_instance_of": "a number",
    "bool_type": "true or false",
    "tuple_type": "a list",
    "model_type": "an object",
}
_LIMITS = {"ge": "at least {}", "gt": "more than {}", "le": "at most {}"}


@dataclass(frozen=True, slots=True)
class Entry:
    """What became of an entry; as text it shows the issues only, for the rest is the patient's.

    Attributes:
        examination: What could be held, or ``None`` where a required field is missing or can't be held.
        issues: Every issue on the shape of the entry.
        set_aside: What couldn't be held, by path and as written; the whole at ``$`` where nothing is held.
            It is the host's own data: don't log it.
    """

    examination: Examination | None = field(repr=False)
    issues: tuple[Issue, ...]
    set_aside: Mapping[str, Any] = field(repr=False)


def entry_error(error: ValidationError, model: type[Model]) -> EntryError:
    """Return our error for pydantic's: the same findings, without any entered value."""
    found = [
        (way, issue)
        for details in error.errors(include_url=False, include_input=False)
        for way, issue in _found(details, model)
    ]
    return EntryError(tuple(issue for _, issue in found), tuple(_path(way) for way, _ in found))


def _found(error: ErrorDetails, model: type[Model]) -> Iterator[tuple[tuple[Step, ...], Issue]]:
    way = steps(error["loc"], model)
    if error["type"] == "given_twice":
        for position in error.get("ctx", {})["positions"]:
            there = (*way, Step(position, required=False, held_whole=False, holds=()))
            yield there, entry_issue("entry-given-twice", path_text(_path(there)))
    else:
        yield way, _issue(error, way)


def _issue(error: ErrorDetails, way: tuple[Step, ...]) -> Issue:
    kind, context = error["type"], error.get("ctx", {})
    rule = _RULES.get(kind, "entry-not-held")
    path = _path(way)
    last = way[-1] if way else None
    parameters: dict[str, str] = {}
    if rule == "entry-unknown-field":
        # The field's name is the entry's, not ours: it stays out of the issue.
        path = path[:-1]
    elif rule == "entry-unknown-code" and last is not None and last.table is not None:
        parameters["list"] = table_id(last.table)
    elif rule == "entry-text-too-long":
        parameters["limit"] = str(context["max_length"])
    elif rule == "entry-time-not-allowed":
        parameters["form"] = context["form"]
    elif rule == "entry-out-of-range":
        parameters["limit"] = next(words.format(context[name]) for name, words in _LIMITS.items() if name in context)
    elif rule == "entry-wrong-kind":
        coded = last is not None and last.holds == (OtherCode,)
        parameters["expected"] = "a code of the list, or an object with system and code" if coded else _EXPECTED[kind]
    elif kind == "string_unicode":
        # A character that no encoding of Unicode has, in a text or in the name of a field.
        holds_fields = last is None or any(issubclass(one, Model) for one in last.holds)
        rule = "entry-unknown-field" if holds_fields else "entry-text-not-allowed"
    return entry_issue(rule, path_text(path), **parameters)


def _path(way: tuple[Step, ...]) -> Path:
    return tuple(step.part for step in way)


def from_entry(entry: Mapping[str, Any] | str | bytes, *, size: int = MAX_ENTRY) -> Entry:
    """Hold what can be held of a partly filled form.

    Args:
        entry: A dict as ``json.loads`` gives it, or JSON text or bytes. A dict is not changed.
        size: How many characters or bytes a text has at most.

    Returns:
        The examination or none, every issue, and what couldn't be held, by path and as written.
    """
    try:
        value = read_json(entry, size=size) if isinstance(entry, str | bytes) else copied(entry)
    except EntryError as error:
        return _nothing_held(entry, *unread(error.issues))
    except RecursionError:
        return _nothing_held(entry, *unread([entry_issue("entry-too-deep", "$")]))
    if not isinstance(value, dict):
        return _nothing_held(value, *unread([entry_issue("entry-not-an-object", "$")]))
    return _held_of(value, entry)


def held(entry: Mapping[str, Any], found: Sequence[tuple[Path, Issue]]) -> Entry:
    """Hold what can be held of an entry that was made from something else, of which a part couldn't be read.

    Args:
        entry: A dict as ``json.loads`` gives it, which isn't changed; what couldn't be read stands in it as it came.
        found: Where that stands in the entry, each with its issue: it is set aside.
    """
    return _held_of(copied(entry), entry, found)


def _held_of(
    value: dict[str, Any], source: Mapping[str, Any] | str | bytes, found: Sequence[tuple[Path, Issue]] = ()
) -> Entry:
    try:
        return _Held(value, source, found).entry()
    except RecursionError:
        return _nothing_held(source, *unread([entry_issue("entry-too-deep", "$")]))


def _nothing_held(entry: Any, *issues: Issue) -> Entry:  # noqa: ANN401 - any JSON
    return Entry(None, issues, MappingProxyType({"$": entry}))


def copied(entry: Any) -> Any:  # noqa: ANN401 - any JSON
    """Return a copy that shares no dict and no list with the entry."""
    if isinstance(entry, Mapping):
        if not all(isinstance(name, str) for name in entry):
            raise EntryError((entry_issue("entry-not-an-object", "$"),))
        return {name: copied(value) for name, value in entry.items()}
    if isinstance(entry, list | tuple):
        return [copied(value) for value in entry]
    return entry


@dataclass(slots=True)
class _Part:
    """A part of an entry that is kept in words where something of it can't be held.

    Attributes:
        path: Where it stands now.
        entered: Where it stood in the entry as it came.
        holds: What stands there.
        taken: What is taken of it, by the name of the field; ``""`` for the whole.
        unread: Positions that can't be read in a list that is taken.
    """

    path: Path
    entered: Path
    holds: Any
    taken: dict[str, Any] = field(default_factory=dict)
    unread: set[int] = field(default_factory=set)


class _Held:
    """An entry, from which is taken what can't be held, until the rest can."""

    def __init__(
        self, entry: dict[str, Any], source: Mapping[str, Any] | str | bytes, found: Sequence[tuple[Path, Issue]]
    ) -> None:
        """Take what is to be held, and what it was read from."""
        self._entry = entry
        self._source = source
        self._found = found
        self._issues: dict[Issue, None] = {}
        self._aside: dict[str, Any] = {}
        #: For each list from which an item was taken: where those that are left stood in the entry as it came.
        self._positions: dict[Path, list[int]] = {}

    def entry(self) -> Entry:
        """Return what became of the entry."""
        examination = None
        found: list[tuple[Path, Issue]] = [
            *self._found,
            *(
                (path, entry_issue("entry-unknown-field", path_text(path[:-1])))
                for path in _unreadable_names(self._entry)
            ),
            *_codes_misread(self._entry),
            *twice.lesser_findings(self._entry.get("findings")),
        ]
        lights = twice.without_one_light(self._entry.get("views"))
        for path, _ in lights:
            self._note("entry-lights-differ", path)
        self._set_aside(found)
        while examination is None:
            try:
                examination = Examination.model_validate(self._entry)
            except EntryError as error:
                if not self._set_aside(list(zip(error.locations, error.issues, strict=True))):
                    break
        if "$.revision" in self._aside:
            # Which revision it is can't be told, and a wrong one would hide a withdrawal.
            examination = None
        if examination is None:
            return _nothing_held(self._as_it_came, *unheld(self._as_it_came, self._issues))
        for path, light in lights:
            if path_text(path[:2]) not in self._aside:
                self._aside[path_text(path)] = light
        issues = tuple(self._issues)
        return Entry(examination.remembering(issues), issues, MappingProxyType(self._aside))

    def _set_aside(self, found: list[tuple[Path, Issue]]) -> bool:
        """Note the issues and take what they are about; return whether anything was there to take."""
        paths: set[Path] = set()
        parts: dict[Path, _Part] = {}
        rests: set[Path] = set()
        for location, issue in found:
            path = _piece(location)
            if issue.rule == "entry-given-twice" and path[:-1] == _STEPS:
                # Two steps with one key: the second goes out too, under a key of its own.
                path = (*path, "key")
            if not self._is_there(path) and path_text(path) in self._aside:
                # It is missing because it was set aside, which has an issue of its own.
                continue
            if self._is_there(path):
                paths.add(path)
                rests.add(self._what_rests_on(path, issue))
            self._issues[self._as_entered(location, issue)] = None
            if self._is_there(location):
                self._note_unsent(location, issue)
            self._to_mend(parts, path, location)
        paths |= self._undone_by(rests)
        outermost = {path for path in paths if not any(path[:length] in paths for length in range(len(path)))}
        # Within one list the last item goes first, so that the others keep their positions.
        for path in sorted(outermost, key=lambda path: [(isinstance(part, int), part) for part in path], reverse=True):
            self._take(path)
        self.__dict__.pop("_keys", None)
        for mended, part in parts.items():
            if not any(mended[:length] in outermost for length in range(len(mended))):
                self._mend(part)
        return bool(paths) or bool(parts)

    def _note_unsent(self, location: Path, issue: Issue) -> None:
        """Note that what an issue is about may be a plan that doesn't go out, before it is taken."""
        value, entered = self._at(location), self._entered(location)
        if issue.rule == "entry-unknown-field" and not _is_a_steps(location):
            self._add(unknown_aside(entered[:-1], value))
        elif location == _WORDS_OF_PLAN:
            self._add(plan_aside(entered, value))
        elif issue.rule == "entry-wrong-kind" and location[0] != "plan":
            self._add(unseen_aside(entered, value))

    def _add(self, issues: Iterable[Issue]) -> None:
        self._issues.update(dict.fromkeys(issues))

    def _what_rests_on(self, path: Path, issue: Issue) -> Path:
        """Return the part whose statements fall with what is taken at a path."""
        if _is_limits(path):
            # The view stays, and is limited.
            return path[2:]
        if issue.rule == "entry-unknown-field" and in_words.names_a_structure(self._at(path)):
            # A finding under a wrong name: nobody can tell what was left unticked.
            return ("findings",)
        return path

    def _to_mend(self, parts: dict[Path, _Part], path: Path, location: Path) -> None:
        """Note the part that is mended where a path is taken or lacks something, before anything is taken."""
        mended = _mended(path)
        if mended is None or not self._is_there(mended):
            return
        part = parts.setdefault(mended, _Part(mended, self._entered(mended), self._at(mended)))
        if self._is_there(path):
            part.taken["".join(map(str, path[len(mended) :]))] = self._at(path)
        part.unread.update(int(one) for one in location[len(path) : len(path) + 1] if isinstance(one, int))

    def _undone_by(self, paths: set[Path]) -> set[Path]:
        """Return the statements that no longer hold without what is set aside, and note an issue on each."""
        undone = {
            statement
            for part, statement in _STATEMENTS
            if any(path[: len(part)] == part for path in paths) and self._is_there(statement)
        }
        for statement in undone:
            self._issues[entry_issue("entry-list-undone", path_text(statement))] = None
        return undone

    # --- What is kept in words ---

    def _mend(self, part: _Part) -> None:
        """Put what was taken of the plan, a step or a view into words, so that the rest stands."""
        own = part.taken.get("")
        if part.path == ("plan",) and "" not in part.taken:
            self._mend_plan(part)
        elif part.path == ("plan",):
            if plan := in_words.plan_of(own):
                self._entry["plan"] = plan
                self._add(unknown_aside(part.entered, in_words.lost_of_plans(own)))
            else:
                self._add(plan_aside(part.entered, own))
        elif part.path == _STEPS:
            if isinstance(own, dict | str) and in_words.says_anything(own):
                self._entry["plan"]["actions"] = in_words.steps_of(own)
            else:
                self._add(plan_aside(part.entered, own))
        elif part.path[:-1] != _STEPS:
            in_words.limits_of(part.holds, part.taken["limits"], part.unread)
            self._note("entry-limit-in-words", (*part.entered, "limits"))
        elif isinstance(part.holds, dict):
            self._mend_step(part)
        else:
            self._mend_row(part, own)

    def _mend_row(self, part: _Part, own: Any) -> None:  # noqa: ANN401 - any JSON
        """Add the steps that are meant by what stands among them and is none: words, or a list of steps."""
        for one in in_words.flat(own):
            if isinstance(one, str | dict) and in_words.says_anything(one):
                self._add_step({"action": one} if isinstance(one, str) else one, part)
            else:
                self._add(plan_aside(part.entered, one))

    def _mend_plan(self, part: _Part) -> None:
        """Give a plan the step that is meant by a step's own fields in it, where it has no others."""
        plan: dict[str, Any] = self._entry["plan"]
        if "actions" not in plan and {"action", "urgency"} & set(part.taken):
            plan["actions"] = [dict(part.taken)]
        else:
            self._add(unknown_aside(part.entered, list(part.taken.values())))

    def _mend_step(self, part: _Part) -> None:
        """Mend a step of which something was taken, or which lacks its action or its key."""
        step, taken = part.holds, part.taken
        if "urgency" in taken and (urgency := self._urgency(part)) is not None:
            step["urgency"] = urgency.value
            in_words.add_words(step, "Urgency", taken["urgency"])
            self._note("entry-urgency-read", (*part.entered, "urgency"), urgency=urgency)
        if "action" not in step and not self._mend_action(part):
            # A key alone plans nothing.
            steps = self._entry["plan"]["actions"]
            self._take((*_STEPS, next(at for at, one in enumerate(steps) if one is step)))
        elif "key" not in step:
            step["key"] = in_words.key_for(step, taken.get("key"), self._keys)

    def _urgency(self, part: _Part) -> Urgency | None:
        """Return as what the urgency of a step counts: where nothing of it could be kept, it is asked as it came."""
        kept = in_words.urgency_in(part.taken["urgency"])
        if kept is not None:
            return kept
        return in_words.urgency_in(_within(self._as_it_came, (*part.entered, "urgency"), None))

    def _mend_action(self, part: _Part) -> bool:
        """Give a step the action that was meant: what stands there, one step each for several, or words."""
        step, given = part.holds, part.taken.get("action")
        meant = in_words.several(given)
        if isinstance(given, list) and meant:
            step["action"] = meant[0]
            for other in meant[1:]:
                self._add_step({**copied(step), "action": other}, part)
        elif meant or any(in_words.says_anything(value) for name, value in step.items() if name != "key"):
            in_words.in_words(step, given)
            self._note("entry-step-in-words", (*part.entered, "action"))
        else:
            return False
        return True

    def _add_step(self, step: dict[str, Any], part: _Part) -> None:
        """Add a step behind the others; its issues name the place where it was entered."""
        steps = self._entry["plan"]["actions"]
        if _STEPS not in self._positions:
            self._positions[_STEPS] = list(range(len(steps)))
        positions = self._positions[_STEPS]
        step = {name: value for name, value in step.items() if name != "key"}
        steps.append({"key": in_words.key_for(step, None, self._keys), **step})
        positions.append(int(part.entered[-1]))

    @cached_property
    def _keys(self) -> in_words.Keys:
        """The keys of the steps: made anew for each round in which something is taken."""
        steps = self._entry["plan"]["actions"]
        keys = (one.get("key") for one in steps if isinstance(one, dict))
        return in_words.Keys(key for key in keys if isinstance(key, str))

    def _note(self, rule: str, path: Path, **parameters: str) -> None:
        self._issues[entry_issue(rule, path_text(path), **parameters)] = None

    def _at(self, path: Path) -> Any:  # noqa: ANN401 - any JSON
        here: Any = self._entry
        for part in path:
            here = here[part]
        return here

    # --- What is taken ---

    @cached_property
    def _as_it_came(self) -> Any:  # noqa: ANN401 - any JSON
        """The entry before anything was taken or mended, read again: it is asked only where something can't be held."""
        source = self._source
        return read_json(source, size=len(source)) if isinstance(source, str | bytes) else copied(source)

    def _is_there(self, path: Path) -> bool:
        return bool(path) and _within(self._entry, path, _NOTHING) is not _NOTHING

    def _take(self, path: Path) -> None:
        *outer, last = path
        here: Any = self._entry
        for part in outer:
            here = here[part]
        entered = self._entered(path)
        taken = here.pop(last)
        # As written: what is taken now may have been mended before, or be a part of what went aside already.
        self._aside.setdefault(path_text(entered), _within(self._as_it_came, entered, taken))
        if isinstance(last, int):
            within = tuple(outer)
            if within not in self._positions:
                # Made once for a list: thousands of items that can't be held are taken one by one.
                self._positions[within] = list(range(len(here) + 1))
            del self._positions[within][last]

    def _entered(self, path: Path) -> Path:
        """Return the path with the position that the item had at first; only outermost lists lose items."""
        for length, part in enumerate(path):
            if isinstance(part, int):
                positions = self._positions.get(path[:length])
                return path if positions is None else (*path[:length], positions[part], *path[length + 1 :])
        return path

    def _as_entered(self, location: Path, issue: Issue) -> Issue:
        own = location[:-1] if issue.rule == "entry-unknown-field" else location
        return replace(issue, path=path_text(self._entered(own)))


_NOTHING = object()


def _within(whole: Any, path: Path, default: Any) -> Any:  # noqa: ANN401 - any JSON
    """Return what stands at a path, else the default."""
    here = whole
    for part in path:
        if not isinstance(here, list if isinstance(part, int) else dict):
            return default
        try:
            here = cast("Any", here)[part]
        except LookupError:
            return default
    return here


#: A part of an entry, and the statement «the rest was not there» that falls with any piece of it: without the piece
#: nobody can tell what was left unticked, in which light and behind what, or which colour was in doubt.
_STATEMENTS: tuple[tuple[Path, Path], ...] = (
    (("findings",), ("lists_gone_through",)),
    (("views",), ("lists_gone_through",)),
    (("description", "doubtful_colours"), ("description", "colours")),
)
#: A list that says as a whole what was seen: without one of its items it would say too little.
_WHOLE_LISTS = frozenset({("description", "colours"), ("description", "doubtful_colours")})
#: A planned step stays where a part of it can go: a defect must not withhold an urgent request.
_STEPS: Path = ("plan", "actions")
_WORDS_OF_PLAN: Path = ("plan", "note")
#: What a step is mended in: without them it would be none, or not urgent.
_OF_A_STEP = frozenset({"key", "action", "urgency"})
#: Fields that a step has and a plan hasn't.
_OF_STEPS_ALONE = frozenset(Action.model_fields) - frozenset(Plan.model_fields)
_IN_A_LIST, _IN_AN_ITEM = 3, 4


def _piece(location: Path) -> Path:
    """Return the path of what is set aside for an issue: the item of a list, else the smallest part that can go."""
    if _is_limits(location[:_IN_A_LIST]):
        return location[:_IN_A_LIST]
    for length, part in enumerate(location, start=1):
        if isinstance(part, int) and location[: length - 1] in _WHOLE_LISTS:
            return location[: length - 1]
        if isinstance(part, int) and location[: length - 1] != _STEPS:
            return location[:length]
    least = _IN_AN_ITEM if location[:2] == _STEPS else 1
    way = steps(location, Examination)
    while len(way) > least and (way[-1].required or way[-1].held_whole):
        way = way[:-1]
    return _path(way)


def _is_limits(path: Path) -> bool:
    """Return whether a path leads to what limits a view: without it the view would be clear."""
    return len(path) == _IN_A_LIST and path[0] == "views" and path[2] == "limits"


def _mended(path: Path) -> Path | None:
    """Return the part that is mended where this is taken: the plan, its steps, a step, or a view."""
    if path in {("plan",), _STEPS} or (path[:2] == _STEPS and len(path) == _IN_A_LIST):
        return path
    if path[:2] == _STEPS and len(path) == _IN_AN_ITEM and path[3] in _OF_A_STEP:
        return path[:_IN_A_LIST]
    if _is_a_steps(path):
        return path[:1]
    return path[:2] if _is_limits(path) else None


def _is_a_steps(path: Path) -> bool:
    """Return whether a path leads to a field of a step that stands in the plan itself."""
    return len(path) == len(_STEPS) and path[0] == "plan" and path[1] in _OF_STEPS_ALONE


def _codes_misread(entry: dict[str, Any]) -> Iterator[tuple[Path, Issue]]:
    """Yield the codes of ours that no list of ours has at their place, and those whose words say another one."""
    below: list[tuple[Path, Any]] = [((), entry)]
    while below:
        path, here = below.pop()
        if isinstance(here, list):
            below.extend(((*path, position), value) for position, value in enumerate(here))
        elif isinstance(here, dict):
            below.extend(((*path, name), value) for name, value in here.items())
            rule, table = _misread(path, here)
            if table is not None:
                yield path, entry_issue(rule, path_text(path), list=table_id(table))


def _misread(path: Path, here: dict[str, Any]) -> tuple[str, type[Term] | None]:
    """Return the rule that a code breaks, and the list that is asked there; no list where it breaks none."""
    system, code = here.get("system"), here.get("code")
    if not isinstance(system, str) or not isinstance(code, str) or not system.startswith(_OURS):
        return "", None
    last = steps(path, Examination)[-1] if path else None
    table = last.table if last is not None and OtherCode in last.holds else None
    if table is None:
        return "", None
    known = next((one for one in table if one.value == code), None) if system == code_system(table) else None
    if known is None:
        return "entry-unknown-code", table
    return ("entry-code-contradicts", table) if in_words.says_another(known, here.get("display")) else ("", None)


#: How the address of each of our code systems begins.
_OURS = f"{CANONICAL_BASE}/CodeSystem/"


def _unreadable_names(entry: dict[str, Any]) -> Iterator[Path]:
    """Yield the paths of names that no encoding of Unicode has: pydantic can't say which one it is that it refuses."""
    below: list[tuple[Path, Any]] = [((), entry)]
    while below:
        path, here = below.pop()
        if isinstance(here, dict):
            for name, value in here.items():
                if _is_readable(name):
                    below.append(((*path, name), value))
                else:
                    yield (*path, name)
        elif isinstance(here, list):
            below.extend(((*path, position), value) for position, value in enumerate(here))


def _is_readable(name: str) -> bool:
    try:
        name.encode()
    except UnicodeEncodeError:
        return False
    return True
