"""What stays of a planned step or a view where a word of it isn't one of ours: it is kept in words, never dropped.

A step whose kind can't be read is another step with the words in its note, two steps in one are two, a key is made
where none can be held, and an urgency that can't be read counts as urgent at least. A view whose limit can't be read is
limited. So a defect neither withholds a request nor makes a view clear.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any, Final

from dermreport.examination.types import KEY_PATTERN, MAX_TEXT, TEXT_PATTERN
from dermreport.vocabulary.plan_actions import PlanAction
from dermreport.vocabulary.structures import Structure
from dermreport.vocabulary.urgencies import Urgency
from dermreport.vocabulary.view_limits import ViewLimit

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Iterator

    from dermreport.vocabulary.term import Term

Json = dict[str, Any]

_is_key = re.compile(KEY_PATTERN).match
_is_text = re.compile(TEXT_PATTERN).match
_WORDS: Final = re.compile(r"[^\W\d_]+(?:[- ][^\W\d_]+)*")
_LONGEST_MADE: Final = 56
_SOONEST_FIRST: Final = tuple(sorted(Urgency, key=lambda one: -one.rank))
#: Names of what a person reads of an answer.
_TELLING: Final = frozenset({"code", "display", "text"})
#: The least that an urgency counts as that was given and can't be read.
_AT_LEAST: Final = Urgency.URGENT


def says_another(code: Term, display: object) -> bool:
    """Return whether the words beside a code of ours are those of another code of its table."""
    if not isinstance(display, str):
        return False
    said = _plain(display)
    return said not in _names(code) and any(said in _names(one) for one in type(code))


def _names(code: Term) -> frozenset[str]:
    return frozenset(map(_plain, (code.value, code.display, *code.synonyms)))


def _plain(text: str) -> str:
    return text.strip().casefold()


# --- What was written ------------------------------------------------------------------------------------------------


def texts_in(value: Any) -> Iterator[str]:  # noqa: ANN401 - any JSON
    """Yield what a person could have meant: texts, codes and displays; not the systems and addresses beside them."""
    ahead = [value]
    while ahead:
        here = ahead.pop()
        if isinstance(here, str):
            yield here
        elif isinstance(here, list):
            ahead += reversed(here)
        elif isinstance(here, dict):
            told = [one for name, one in here.items() if name in _TELLING or name.startswith("value")]
            ahead += reversed(told)
        elif here is not None and not isinstance(here, bool):
            yield str(here)


def _words(value: Any) -> str:  # noqa: ANN401 - any JSON
    return ", ".join(dict.fromkeys(text.strip() for text in texts_in(value) if _is_text(text)))


def add_words(part: Json, about: str, value: Any, name: str = "note", longest: int = MAX_TEXT) -> None:  # noqa: ANN401 - any JSON
    """Add to a text of a part what was entered of something, where it is words and there is room.

    Args:
        part: The part, which is changed.
        about: What the words are about.
        value: What was entered.
        name: The field of the text.
        longest: Most characters that it holds.
    """
    said = _words(value)
    own = part.get(name)
    if said and (own is None or isinstance(own, str)):
        made = "\n".join(text for text in (own, f"{about}, as entered: {said}") if text)
        if len(made) <= longest:
            part[name] = made


def names_a_structure(value: Any) -> bool:  # noqa: ANN401 - any JSON
    """Return whether one of the texts in something is the code of a structure."""
    ahead = [value]
    while ahead:
        here = ahead.pop()
        if isinstance(here, dict):
            ahead += here.values()
        elif isinstance(here, list):
            ahead += here
        elif isinstance(here, str) and here in _STRUCTURES:
            return True
    return False


_STRUCTURES: Final = frozenset(structure.value for structure in Structure)


def says_anything(value: Any) -> bool:  # noqa: ANN401 - any JSON
    """Return whether anything was given: empty parts, lists and texts say nothing."""
    ahead = [value]
    while ahead:
        here = ahead.pop()
        if isinstance(here, dict):
            ahead += here.values()
        elif isinstance(here, list):
            ahead += here
        elif here is not None and not (isinstance(here, str) and not here.strip()):
            return True
    return False


# --- A planned step --------------------------------------------------------------------------------------------------


def urgency_in(value: Any) -> Urgency | None:  # noqa: ANN401 - any JSON
    """Return as what an urgency counts that isn't one word of the list; ``None`` where nothing was given.

    A word of ours, or the code of FHIR's request priority, is taken as it is, the soonest where there are several. In
    other words the soonest of ours is taken that occurs in them, and never less than urgent.
    """
    said = [_plain(text) for text in texts_in(value)]
    read = [_one_word(text) for text in said]
    if said and all(read):
        return _soonest(one for one in read if one is not None)
    if not says_anything(value):
        return None
    within = [_one_word(word) for text in said for phrase in _WORDS.findall(text) for word in (phrase, *phrase.split())]
    return _soonest((_AT_LEAST, *(one for one in (*read, *within) if one is not None)))


def _one_word(text: str) -> Urgency | None:
    return next((one for one in _SOONEST_FIRST if text in {*_names(one), one.fhir_priority}), None)


def _soonest(among: Iterable[Urgency]) -> Urgency:
    return max(among, key=lambda one: one.rank)


def several(value: Any) -> list[Any]:  # noqa: ANN401 - any JSON
    """Return the different values of a list, in their order; what isn't a list is one value."""
    found: list[Any] = []
    for one in value if isinstance(value, list) else [value]:
        if says_anything(one) and one not in found:
            found.append(one)
    return found


class Keys:
    """The keys of a list's rows; thousands of new ones are made without looking through all of them each time."""

    def __init__(self, taken: Iterable[str]) -> None:
        """Take the keys that there are."""
        self._taken = set(taken)
        self._numbers: dict[str, int] = {}

    def takes(self, key: str) -> bool:
        """Take a key; return whether it was free."""
        free = key not in self._taken
        self._taken.add(key)
        return free

    def made_of(self, base: str) -> str:
        """Return a free key, with a number from the second on."""
        number = self._numbers.get(base, 1)
        while not self.takes(made := _numbered(base, number)):
            number += 1
        self._numbers[base] = number + 1
        return made


def key_for(step: Json, given: Any, keys: Keys) -> str:  # noqa: ANN401 - any JSON
    """Return the key of a step: the one that was given, where it is one and free, else one made of its action."""
    own = several(given)
    if len(own) == 1 and isinstance(own[0], str) and _is_key(own[0]) and keys.takes(own[0]):
        return own[0]
    action = step.get("action")
    code = action.get("code") if isinstance(action, dict) else action
    told = isinstance(code, str) and (code is not action or code in set(PlanAction))
    # Never of free words: a key goes into identifiers, and words may name a person.
    made = re.sub(r"[^A-Za-z0-9._-]+", "-", str(code))[:_LONGEST_MADE].strip("-._") if told else ""
    base = made or PlanAction.OTHER_STEP.value
    return keys.made_of(base)


def _numbered(key: str, number: int) -> str:
    """Return a key, with a number from the second on."""
    return key if number == 1 else f"{key}-{number}"


def in_words(step: Json, action: Any) -> None:  # noqa: ANN401 - any JSON
    """Make a step another step, and keep in its note what was entered for its kind."""
    step["action"] = PlanAction.OTHER_STEP.value
    add_words(step, "Step", action)


def plan_of(value: Any) -> Json:  # noqa: ANN401 - any JSON
    """Return the plan that is meant by something else than one: several in one, steps without it, or words.

    Words are a step, for nobody can tell by them how urgent it is.
    """
    plan: Json = {}
    steps: list[Any] = []
    for one in flat(value):
        if isinstance(one, str) or (isinstance(one, dict) and "action" in one):
            steps.append(one)
        elif isinstance(one, dict):
            own = one.get("actions")
            steps += own if isinstance(own, list) else [] if own is None else [own]
            plan = {**one, **plan}
    steps = [one for one in steps if says_anything(one)]
    return {**plan, **({"actions": steps} if steps else {})}


def steps_of(value: Json | str) -> list[Any]:
    """Return the steps that are meant by something else than a list of them: one step, or several by their keys."""
    if isinstance(value, str) or {"action", "urgency"} & set(value):
        return [value]
    return list(value.values())


def flat(value: Any) -> list[Any]:  # noqa: ANN401 - any JSON
    """Return what lists within lists hold, in its order; what is no list by itself."""
    if not isinstance(value, list):
        return [value]
    return [one for inner in value for one in flat(inner)]


def lost_of_plans(value: Any) -> list[Any]:  # noqa: ANN401 - any JSON
    """Return what of several plans in one is none, or is said otherwise by one that came before: it isn't held."""
    plan = plan_of(value)
    lost: list[Any] = []
    for one in flat(value):
        if isinstance(one, dict) and "action" not in one:
            lost += [own for name, own in one.items() if name != "actions" and plan.get(name) != own]
        elif not isinstance(one, dict | str):
            lost.append(one)
    return lost


# --- A view ----------------------------------------------------------------------------------------------------------


def limits_of(view: Json, given: Any, unread: Collection[int]) -> None:  # noqa: ANN401 - any JSON
    """Give a view the limits that can be read, another limit for those that can't, and the words in its note."""
    values = given if isinstance(given, list) else [given]
    lost = [one for at, one in enumerate(values) if at in unread or not isinstance(given, list)]
    kept = [one for at, one in enumerate(values) if at not in unread and isinstance(given, list)]
    view["limits"] = [*kept, ViewLimit.OTHER_LIMIT.value]
    add_words(view, "Limit", lost)
