"""A pathway's file, which is TOML, becomes a frozen pathway; all that is wrong with it is gathered.

A file begins with what it is and whose, may extend one that comes with the library, and lists its steps. A step whose
id the extended pathway has takes its place. The steps on warning signs, on suspicion and on a cancer that was found
(``core.toml``) are in every pathway: a file can make them sooner or add to them, and nothing weakens them.
"""

from __future__ import annotations

import re
import tomllib
from dataclasses import replace
from datetime import date, datetime
from decimal import Decimal
from functools import cache
from hashlib import sha256
from pkgutil import get_data
from typing import Any, Final

from dermreport.expressions.nodes import All as AllOf
from dermreport.expressions.nodes import Any as AnyOf
from dermreport.expressions.nodes import AtLeastOf, Exists, Expression, Fact, Not
from dermreport.issues import PathwayError, SettingsError
from dermreport.pathway import Advice, Choice, Pathway, Step
from dermreport.pathways.conditions import Conditions
from dermreport.pathways.facts import is_sign
from dermreport.pathways.noting import Noting
from dermreport.pathways.paths import PLANNED_STEP
from dermreport.sources import Known
from dermreport.vocabulary.action_kinds import ActionKind
from dermreport.vocabulary.plan_actions import PlanAction
from dermreport.vocabulary.term import Term
from dermreport.vocabulary.urgencies import Urgency

#: The pathways that come with the library.
NEUTRAL: Final = "neutral"
SHIPPED: Final = (NEUTRAL, "uk-ng12")
_CORE: Final = "core"

MAX_BYTES: Final = 262_144
MAX_STEPS: Final = 200
MAX_CHOICES: Final = 20
MAX_DAYS: Final = 3_660
#: An urgent step that has longer isn't urgent: six weeks, common practice, no source.
MAX_URGENT_DAYS: Final = 42
_BINDING: Final = ("do", "consider")
_COUNTRY: Final = re.compile(r"[A-Z]{2}", re.ASCII)
_POSITION: Final = re.compile(r"at line \d+, column \d+|at end of document")


def pathway_from_toml(text: str | bytes) -> Pathway:
    """Read a pathway from the text of its file.

    Args:
        text: TOML as text, or as UTF-8 bytes. Nothing is read from elsewhere.

    Returns:
        The pathway, for ``Settings(pathway=…)``.

    Raises:
        PathwayError: With every issue, gathered, each with its path in the file.
    """
    noting = Noting()
    pathway = _read(text, noting)
    if pathway is not None and pathway.id in (*SHIPPED, _CORE):
        noting("pathway-id-taken", "$.id")
    if pathway is None or noting.issues:
        raise PathwayError(tuple(noting.issues))
    return pathway


@cache
def shipped_pathway(name: str) -> Pathway:
    """Return a pathway that comes with the library: ``neutral`` or ``uk-ng12``.

    Raises:
        SettingsError: There is none of this name.
    """
    noting = Noting()
    pathway = _read(shipped_pathway_text(name), noting)
    if pathway is None or noting.issues:
        raise PathwayError(tuple(noting.issues))
    return pathway


def shipped_pathway_text(name: str) -> str:
    """Return the file of a pathway that comes with the library, to copy and change.

    Raises:
        SettingsError: There is none of this name.
    """
    if name not in SHIPPED:
        raise SettingsError(f"there is no such pathway: {', '.join(SHIPPED)}")
    return _packaged(name)


def _packaged(name: str) -> str:
    content = get_data("dermreport.pathways", f"{name}.toml")
    if content is None:
        raise FileNotFoundError(f"{name}.toml is missing from the package")
    return content.decode("utf-8")


@cache
def core_steps() -> tuple[Step, ...]:
    """Return the steps that every pathway has."""
    noting = Noting()
    given = tomllib.loads(_packaged(_CORE), parse_float=Decimal)
    steps = _Steps(noting, {}, "core").steps(given["steps"])
    if noting.issues:
        raise PathwayError(tuple(noting.issues))
    return tuple(replace(step, core=True) for step in steps)


def _parsed(text: str | bytes, noting: Noting) -> dict[str, Any] | None:
    if not isinstance(text, str | bytes):
        raise TypeError(f"a pathway is read from text or bytes, not {type(text).__name__}")
    if len(text) > MAX_BYTES:
        noting("pathway-too-large", "$", limit=str(MAX_BYTES))
        return None
    try:
        written = text.decode("utf-8-sig") if isinstance(text, bytes) else text
        return tomllib.loads(written, parse_float=Decimal)
    except UnicodeDecodeError:
        where = "it isn't UTF-8"
    except RecursionError:
        where = "its values stand too deep in one another"
    except (ValueError, ArithmeticError) as error:
        found = _POSITION.search(str(error))
        where = f"look {found[0]}" if found is not None else "a number can't be held"
    noting("pathway-not-toml", "$", where=where)
    return None


_HEAD: Final = ("id", "version", "title", "owner", "source", "valid_from")


def _read(text: str | bytes, noting: Noting) -> Pathway | None:
    given = _parsed(text, noting)
    if given is None:
        return None
    table = noting.table(given, "$", _HEAD, ("country", "extends", "without", "periods", "steps"))
    if table is None:
        return None
    name = noting.id(table["id"], "$.id")
    texts = {key: noting.text(table[key], f"$.{key}") for key in ("version", "title", "owner", "source")}
    valid_from = _day(table["valid_from"], "$.valid_from", noting)
    country = table.get("country", "")
    if country != "" and not (isinstance(country, str) and _COUNTRY.fullmatch(country)):
        noting("pathway-wrong-type", "$.country", wanted="a country's code of two capital letters")
    base = _extended(table, noting)
    reader = _Steps(noting, _periods(table.get("periods", {}), noting), f"{texts['title']} {texts['version']}")
    own = reader.steps(table.get("steps", []), base.steps if base is not None else core_steps())
    steps = _joined(base, own, _without(table.get("without", []), base, noting))
    if not steps:
        noting("pathway-key-missing", "$", key="steps")
    if noting.issues or name is None:
        return None
    content = (
        _packaged(_CORE),
        base.digest if base is not None else "",
        text if isinstance(text, str) else text.decode("utf-8-sig"),
    )
    return Pathway(
        id=name,
        valid_from=valid_from,
        country=country,
        steps=steps,
        digest=sha256("\0".join(content).encode()).hexdigest(),
        **{key: value or "" for key, value in texts.items()},
    )


def _day(value: Any, at: str, noting: Noting) -> str:  # noqa: ANN401 - a part of a file
    if isinstance(value, date) and not isinstance(value, datetime):
        return value.isoformat()
    noting("pathway-wrong-type", at, wanted="a day without quotation marks, as 2026-03-04")
    return ""


def _extended(table: dict[str, Any], noting: Noting) -> Pathway | None:
    if "extends" not in table:
        return None
    name = noting.word(SHIPPED, table["extends"], "$.extends")
    if name is None or name == table["id"]:
        return None
    return shipped_pathway(name)


def _periods(value: Any, noting: Noting) -> dict[str, int]:  # noqa: ANN401 - a part of a file
    """Return the days of each period that has a name: a standard of waiting times, with its source and day."""
    if not isinstance(value, dict):
        noting("pathway-wrong-type", "$.periods", wanted="a table of periods")
        return {}
    found: dict[str, int] = {}
    for name, period in value.items():
        at = noting.under("$.periods", name)
        noting.id(name, at)
        given = noting.table(period, at, ("days", "source", "known", "valid_from"))
        if given is None:
            continue
        days = noting.whole(given["days"], f"{at}.days", lowest=0, highest=MAX_DAYS)
        noting.text(given["source"], f"{at}.source")
        noting.word(tuple(Known), given["known"], f"{at}.known")
        _day(given["valid_from"], f"{at}.valid_from", noting)
        found[name] = days if days is not None else 0
    return found


def _without(value: Any, base: Pathway | None, noting: Noting) -> frozenset[str]:  # noqa: ANN401 - a part of a file
    """Return the ids of the extended pathway's steps that are left out; one of the core never is."""
    if not isinstance(value, list):
        noting("pathway-wrong-type", "$.without", wanted="a list of ids")
        return frozenset()
    core = {step.id for step in core_steps()}
    known = base.step_ids if base is not None else frozenset[str]()
    for position, one in enumerate(value):
        at = f"$.without[{position}]"
        if isinstance(one, str) and one in core:
            noting("pathway-core-weakened", at, key="without")
        elif not isinstance(one, str) or one not in known:
            noting("pathway-not-there", at)
    return frozenset(one for one in value if isinstance(one, str)) - core


def _joined(base: Pathway | None, own: tuple[Step, ...], without: frozenset[str]) -> tuple[Step, ...]:
    """Return the steps of the core, then those of the extended pathway, then a file's own; each id once."""
    joined = {step.id: step for step in (base.steps if base is not None else core_steps())}
    joined.update((step.id, step) for step in own)
    return tuple(step for step in joined.values() if step.id not in without)


class _Steps:
    """Reads the steps of one file."""

    def __init__(self, noting: Noting, periods: dict[str, int], name: str) -> None:
        self._note = noting
        self._periods = periods
        self._name = name
        self._conditions = Conditions(noting)

    def steps(self, value: Any, before: tuple[Step, ...] = ()) -> tuple[Step, ...]:  # noqa: ANN401 - a part of a file
        """Return the steps; one of the core adds to what stands before."""
        if not isinstance(value, list):
            self._note("pathway-wrong-type", "$.steps", wanted="a list of steps: [[steps]]")
            return ()
        if len(value) > MAX_STEPS:
            self._note("pathway-too-many", "$.steps", limit=str(MAX_STEPS))
            return ()
        core = {step.id: step for step in before if step.core}
        found: dict[str, Step] = {}
        for position, one in enumerate(value):
            at = f"$.steps[{position}]"
            id_ = one.get("id") if isinstance(one, dict) else None
            if isinstance(id_, str) and id_ in found:
                self._note("pathway-id-taken", f"{at}.id")
            known = core.get(id_) if isinstance(id_, str) else None
            step = self._step(one, at) if known is None else self._sooner(known, one, at)
            if step is not None:
                found[step.id] = step
        return tuple(found.values())

    _NEEDED = ("id", "title", "message", "when", "known", "source")
    _MORE = ("urgency", "strength", "expects", "answer_within", "ask", "safety_net")

    def _step(self, value: Any, at: str) -> Step | None:  # noqa: ANN401 - a part of a file
        given = self._note.table(value, at, self._NEEDED, self._MORE)
        if given is None:
            return None
        when = self._conditions.read(given["when"], f"{at}.when")
        choices = self._choices(given["expects"], f"{at}.expects") if "expects" in given else ()
        urgency = self._note.code(Urgency, given["urgency"], f"{at}.urgency") if "urgency" in given else None
        if "expects" in given and "urgency" not in given:
            self._note("pathway-no-urgency", at)
        if "expects" not in given and "safety_net" not in given:
            self._note("pathway-nothing-said", at)
        for position, choice in enumerate(choices):
            asked = choice.urgency or urgency
            if asked is not None and asked.rank >= Urgency.URGENT.rank:
                self._bound(choice.within_days, MAX_URGENT_DAYS, f"{at}.expects[{position}].within")
        if urgency is not None and urgency.rank > Urgency.URGENT.rank and _asks_that_no_sign_be_there(when):
            self._note("pathway-sign-delays", f"{at}.when")
        return Step(
            id=self._note.id(given["id"], f"{at}.id") or "",
            title=self._note.text(given["title"], f"{at}.title") or "",
            message=self._note.text(given["message"], f"{at}.message") or "",
            when=when,
            source=self._source(given, at),
            choices=choices,
            urgency=urgency if choices else None,
            binding=self._note.word(_BINDING, given.get("strength", "do"), f"{at}.strength") != "consider",
            answer_days=self._days(given, "answer_within", at),
            ask=(self._note.text(given["ask"], f"{at}.ask") or "") if "ask" in given else "",
            advice=self._advice(given["safety_net"], f"{at}.safety_net") if "safety_net" in given else None,
        )

    def _bound(self, days: int | None, most: int, at: str) -> None:
        if days is not None and days > most:
            self._note("pathway-urgent-too-late", at, limit=str(most))

    _KEPT = ("title", "message", "ask", "known", "source", "urgency", "within", "answer_within", "safety_net")

    def _sooner(self, core: Step, value: dict[str, Any], at: str) -> Step | None:
        """Return a step of the core with what a file adds to it: sooner, or with more words; never weaker."""
        given = self._note.table(value, at, ("id", "known", "source"), (*self._NEEDED, *self._MORE, "within"))
        if given is None:
            return None
        for key in given:
            if key in {*self._NEEDED, *self._MORE} and key not in {"id", *self._KEPT}:
                self._note("pathway-core-weakened", f"{at}.{key}", key=key)
        urgency = self._note.code(Urgency, given["urgency"], f"{at}.urgency") if "urgency" in given else core.urgency
        if urgency is not None and core.urgency is not None and urgency.rank < core.urgency.rank:
            self._note("pathway-core-weakened", f"{at}.urgency", key="urgency")
        return replace(
            core,
            source=self._source(given, at),
            urgency=urgency,
            choices=self._choices_by(core, given, at),
            answer_days=self._no_later(core.answer_days, given, "answer_within", at),
            advice=self._more_advice(core.advice, given, at),
            title=self._more_words(core.title, given, "title", at, ": "),
            message=self._more_words(core.message, given, "message", at),
            ask=self._more_words(core.ask, given, "ask", at),
        )

    def _more_words(self, core: str, given: dict[str, Any], key: str, at: str, between: str = " ") -> str:
        """Return the core's words, and a file's after them: they are never read without each other."""
        own = (self._note.text(given[key], f"{at}.{key}") or "") if key in given else ""
        return between.join(part for part in (core, own) if part)

    def _no_later(self, core: int | None, given: dict[str, Any], key: str, at: str) -> int | None:
        """Return days that a file may only shorten; where the core has none they stay within what is urgent."""
        days = self._days(given, key, at)
        if days is None:
            return core
        if core is not None and days > core:
            self._note("pathway-core-weakened", f"{at}.{key}", key=key)
        self._bound(days, MAX_URGENT_DAYS, f"{at}.{key}")
        return days

    def _choices_by(self, core: Step, given: dict[str, Any], at: str) -> tuple[Choice, ...]:
        """Return the core's choices by a file's day: an earlier one, or the period that a body set, with its source."""
        days = self._days(given, "within", at)
        if days is None:
            return core.choices
        latest = max((one.within_days for one in core.choices if one.within_days is not None), default=MAX_URGENT_DAYS)
        if days > latest and not isinstance(given["within"], str):
            self._note("pathway-core-weakened", f"{at}.within", key="within")
        self._bound(days, MAX_URGENT_DAYS, f"{at}.within")
        return tuple(replace(one, within_days=days) for one in core.choices)

    def _more_advice(self, core: Advice | None, given: dict[str, Any], at: str) -> Advice | None:
        """Return the core's advice with a file's after it; nobody waits longer to be heard."""
        if "safety_net" not in given:
            return core
        own = self._advice(given["safety_net"], f"{at}.safety_net")
        if own is None or core is None:
            return own
        if own.heard_days is not None and core.heard_days is not None and own.heard_days > core.heard_days:
            self._note("pathway-core-weakened", f"{at}.safety_net.heard_within", key="heard_within")
        return Advice(
            watch_for=tuple(dict.fromkeys((*core.watch_for, *own.watch_for))),
            come_back_days=own.come_back_days if own.come_back_days is not None else core.come_back_days,
            heard_days=own.heard_days if own.heard_days is not None else core.heard_days,
        )

    def _source(self, given: dict[str, Any], at: str) -> str:
        known = self._note.word(tuple(Known), given["known"], f"{at}.known")
        source = self._note.text(given["source"], f"{at}.source")
        return f"{self._name}. {known}: {source}"

    def _choices(self, value: Any, at: str) -> tuple[Choice, ...]:  # noqa: ANN401 - a part of a file
        if not isinstance(value, list) or not value or len(value) > MAX_CHOICES:
            self._note("pathway-wrong-type", at, wanted=f"a list of 1 to {MAX_CHOICES} choices")
            return ()
        return tuple(
            choice
            for choice in (self._choice(one, f"{at}[{position}]") for position, one in enumerate(value))
            if choice is not None
        )

    _CHOICE = ("kinds", "actions", "urgency", "only_if", "from", "within")

    def _choice(self, value: Any, at: str) -> Choice | None:  # noqa: ANN401 - a part of a file
        given = self._note.table(value, at, (), self._CHOICE)
        if given is None:
            return None
        kinds = self._codes(ActionKind, given.get("kinds", []), f"{at}.kinds")
        actions = self._codes(PlanAction, given.get("actions", []), f"{at}.actions")
        if not given.get("kinds") and not given.get("actions"):
            self._note("pathway-no-choice", at)
        first, last = self._days(given, "from", at), self._days(given, "within", at)
        if first is not None and last is not None and first > last:
            self._note("pathway-window", f"{at}.from")
        only_if = self._conditions.read(given["only_if"], f"{at}.only_if", PLANNED_STEP) if "only_if" in given else None
        return Choice(
            kinds=kinds,
            actions=actions,
            urgency=self._note.code(Urgency, given["urgency"], f"{at}.urgency") if "urgency" in given else None,
            only_if=only_if,
            from_days=first,
            within_days=last,
        )

    def _codes(self, table: type[Any], value: Any, at: str) -> tuple[Any, ...]:  # noqa: ANN401 - a part of a file
        if not isinstance(value, list):
            self._note("pathway-wrong-type", at, wanted="a list of codes")
            return ()
        found: list[Term | None] = [
            self._note.code(table, one, f"{at}[{position}]") for position, one in enumerate(value)
        ]
        return tuple(one for one in found if one is not None)

    def _days(self, given: dict[str, Any], key: str, at: str) -> int | None:
        """Return a number of days, given as such or by the name of a period of the file."""
        if key not in given:
            return None
        value = given[key]
        if isinstance(value, str):
            name = self._note.word(tuple(self._periods), value, f"{at}.{key}")
            return self._periods[name] if name is not None else None
        return self._note.whole(value, f"{at}.{key}", lowest=0, highest=MAX_DAYS)

    def _advice(self, value: Any, at: str) -> Advice | None:  # noqa: ANN401 - a part of a file
        given = self._note.table(value, at, ("watch_for",), ("come_back_within", "heard_within"))
        if given is None:
            return None
        watch_for = given["watch_for"]
        if not isinstance(watch_for, list) or not watch_for:
            self._note("pathway-wrong-type", f"{at}.watch_for", wanted="a list of texts")
            watch_for = []
        texts = [self._note.text(one, f"{at}.watch_for[{position}]") for position, one in enumerate(watch_for)]
        return Advice(
            watch_for=tuple(one for one in texts if one is not None),
            come_back_days=self._days(given, "come_back_within", at),
            heard_days=self._days(given, "heard_within", at),
        )


def _asks_that_no_sign_be_there(expression: Expression, *, negated: bool = False) -> bool:
    match expression:
        case Fact() as fact:
            return negated and is_sign(fact)
        case Not(part):
            return _asks_that_no_sign_be_there(part, negated=not negated)
        case Exists(_, where):
            return _asks_that_no_sign_be_there(where, negated=negated)
        case AllOf(parts) | AnyOf(parts) | AtLeastOf(_, parts):
            return any(_asks_that_no_sign_be_there(part, negated=negated) for part in parts)
    return False
