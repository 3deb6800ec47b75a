"""A condition of a pathway's file becomes an expression of the rules' own language.

Each condition is a table with one key. It asks only paths that the model has and codes that its vocabulary has; what
an entry can't tell stays open.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from decimal import Decimal
from typing import TYPE_CHECKING, Any, Final

from dermreport.expressions.nodes import (
    AtLeast,
    AtLeastOf,
    ColourSeen,
    Exists,
    Expression,
    Given,
    Holds,
    Is,
    MoreThan,
    Not,
    Present,
    Unresolved,
    every,
    some,
)
from dermreport.pathways.facts import SIDES, SIGN_OF_PLUGINS, WORDS, sign, verdict, word
from dermreport.pathways.paths import Target, target
from dermreport.rules.red_flags import SIGNS
from dermreport.scores.methods import METHODS
from dermreport.vocabulary.colours import Colour
from dermreport.vocabulary.judgements import Judgement
from dermreport.vocabulary.replies import Reply
from dermreport.vocabulary.score_methods import ScoreMethod
from dermreport.vocabulary.structures import Structure
from dermreport.vocabulary.term import Term
from dermreport.vocabulary.verdicts import Verdict

if TYPE_CHECKING:
    from dermreport.pathways.noting import Noting

#: Conditions within conditions, at most.
MAX_DEPTH = 16
#: Any condition stands for one that can't be read: its issue refuses the whole file.
#: A list of associations gives no verdict.
_WITH_THRESHOLD = tuple(method.code.value for method in METHODS)
_UNREAD: Final = Unresolved("unread")
_ANY_SIGN: Final = "any"


class Conditions:
    """Reads conditions and notes what is wrong with them."""

    def __init__(self, noting: Noting) -> None:
        """Take where issues are noted."""
        self._note = noting
        self._forms: Mapping[str, Callable[[Any, str, Target | None, int], Expression]] = {
            "all": lambda value, at, item, depth: every(*self._parts(value, at, item, depth)),
            "any": lambda value, at, item, depth: some(*self._parts(value, at, item, depth)),
            "not": lambda value, at, item, depth: Not(self.read(value, at, item, depth)),
            "at_least": self._at_least,
            "exists": self._exists,
            "recorded": lambda value, at, item, _: self._recorded(value, at, item),
            "answer": lambda value, at, item, _: self._answer(value, at, item),
            "holds": lambda value, at, item, _: self._holds(value, at, item),
            "given": lambda value, at, item, _: self._given(value, at, item),
            "at_least_number": lambda value, at, item, _: self._number(AtLeast, value, at, item),
            "more_than_number": lambda value, at, item, _: self._number(MoreThan, value, at, item),
            "present": lambda value, at, *_: self._code(Present, Structure, value, at),
            "colour": lambda value, at, *_: self._code(ColourSeen, Colour, value, at),
            "verdict": lambda value, at, *_: self._verdict(value, at),
            "flag": lambda value, at, *_: self._flag(value, at),
            "condition": lambda value, at, *_: self._word(value, at),
            "unresolved": lambda value, at, *_: self._unresolved(value, at),
        }

    def read(self, value: Any, at: str, item: Target | None = None, depth: int = 0) -> Expression:  # noqa: ANN401 - a part of a file
        """Return the expression of a condition; what is wrong is noted."""
        if depth > MAX_DEPTH:
            self._note("pathway-too-deep", at, limit=str(MAX_DEPTH))
            return _UNREAD
        if not isinstance(value, dict):
            self._note("pathway-wrong-type", at, wanted="a condition: a table with one key")
            return _UNREAD
        if len(value) != 1:
            self._note("pathway-one-condition", at)
            return _UNREAD
        ((key, inner),) = value.items()
        if key not in self._forms:
            self._note("pathway-unknown-key", self._note.under(at, key), known=", ".join(self._forms))
            return _UNREAD
        return self._forms[key](inner, f"{at}.{key}", item, depth + 1)

    def _parts(self, value: Any, at: str, item: Target | None, depth: int) -> tuple[Expression, ...]:  # noqa: ANN401 - a part of a file
        if not isinstance(value, list) or not value:
            self._note("pathway-wrong-type", at, wanted="a list of conditions")
            return (_UNREAD,)
        return tuple(self.read(one, f"{at}[{position}]", item, depth) for position, one in enumerate(value))

    def _at_least(self, value: Any, at: str, item: Target | None, depth: int) -> Expression:  # noqa: ANN401 - a part of a file
        given = self._note.table(value, at, ("number", "of"))
        if given is None:
            return _UNREAD
        parts = self._parts(given["of"], f"{at}.of", item, depth)
        number = self._note.whole(given["number"], f"{at}.number", lowest=1, highest=len(parts))
        return AtLeastOf(number, parts) if number is not None else _UNREAD

    def _exists(self, value: Any, at: str, item: Target | None, depth: int) -> Expression:  # noqa: ANN401 - a part of a file
        given = self._note.table(value, at, ("path", "where"))
        if given is None:
            return _UNREAD
        found = self._target(given["path"], f"{at}.path", item)
        if found is not None and not found.listed:
            self._note("pathway-unknown-path", f"{at}.path")
            found = None
        one = Target(part=found.part, table=found.table) if found is not None else None
        where = self.read(given["where"], f"{at}.where", one, depth) if one is not None else _UNREAD
        return Exists(str(given["path"]), where)

    def _recorded(self, value: Any, at: str, item: Target | None) -> Expression:  # noqa: ANN401 - a part of a file
        asked = self._one_of(value, at, item)
        return every(Given(asked.path), asked) if asked is not None else _UNREAD

    def _answer(self, value: Any, at: str, item: Target | None) -> Expression:  # noqa: ANN401 - a part of a file
        return self._one_of(value, at, item) or _UNREAD

    def _one_of(self, value: Any, at: str, item: Target | None) -> Is | None:  # noqa: ANN401 - a part of a file
        given = self._note.table(value, at, ("path", "one_of"))
        if given is None:
            return None
        found = self._target(given["path"], f"{at}.path", item)
        if found is None:
            return None
        if found.listed or not (found.truth or found.table):
            self._note("pathway-unknown-path", f"{at}.path")
            return None
        listed = given["one_of"]
        if not isinstance(listed, list) or not listed:
            self._note("pathway-wrong-type", f"{at}.one_of", wanted="a list")
            return None
        values: list[Term | bool] = []
        for position, one in enumerate(listed):
            here = f"{at}.one_of[{position}]"
            if found.table is not None:
                term = self._note.code(found.table, one, here)
                if term is not None:
                    values.append(term)
            elif isinstance(one, bool):
                values.append(one)
            else:
                self._note("pathway-wrong-type", here, wanted="true or false")
        return Is(given["path"], tuple(values)) if values else None

    def _holds(self, value: Any, at: str, item: Target | None) -> Expression:  # noqa: ANN401 - a part of a file
        found = self._target(value, at, item)
        if found is None:
            return _UNREAD
        if found.listed or not (found.truth or found.table in {Reply, Judgement}):
            self._note("pathway-unknown-path", at)
            return _UNREAD
        return Holds(value)

    def _given(self, value: Any, at: str, item: Target | None) -> Expression:  # noqa: ANN401 - a part of a file
        return Given(value) if self._target(value, at, item) is not None else _UNREAD

    def _number(
        self,
        node: Callable[[str, int | Decimal], Expression],
        value: Any,  # noqa: ANN401 - a part of a file
        at: str,
        item: Target | None,
    ) -> Expression:
        given = self._note.table(value, at, ("path", "number"))
        if given is None:
            return _UNREAD
        found = self._target(given["path"], f"{at}.path", item)
        number = given["number"]
        if isinstance(number, bool) or not isinstance(number, int | Decimal) or not _is_finite(number):
            self._note("pathway-wrong-type", f"{at}.number", wanted="a number")
            return _UNREAD
        if found is None:
            return _UNREAD
        if found.listed or not found.number:
            self._note("pathway-unknown-path", f"{at}.path")
            return _UNREAD
        return node(given["path"], number)

    def _code(self, node: Callable[[Any], Expression], table: type[Term], value: Any, at: str) -> Expression:  # noqa: ANN401 - a part of a file
        term = self._note.code(table, value, at)
        return node(term) if term is not None else _UNREAD

    def _verdict(self, value: Any, at: str) -> Expression:  # noqa: ANN401 - a part of a file
        given = self._note.table(value, at, ("method", "one_of"))
        if given is None:
            return _UNREAD
        method = self._note.word(_WITH_THRESHOLD, given["method"], f"{at}.method")
        listed = given["one_of"]
        if not isinstance(listed, list) or not listed:
            self._note("pathway-wrong-type", f"{at}.one_of", wanted="a list")
            return _UNREAD
        sides = [self._note.word(SIDES, one, f"{at}.one_of[{position}]") for position, one in enumerate(listed)]
        if method is None or None in sides:
            return _UNREAD
        asked = frozenset(Verdict(side) for side in sides if side is not None)
        if len(asked) == len(SIDES):
            self._note("pathway-wrong-type", f"{at}.one_of", wanted="one or two of the three verdicts")
            return _UNREAD
        return verdict(ScoreMethod(method), asked)

    def _flag(self, value: Any, at: str) -> Expression:  # noqa: ANN401 - a part of a file
        if value == _ANY_SIGN:
            return some(*(sign(rule) for rule in SIGNS), SIGN_OF_PLUGINS)
        named = self._note.word((_ANY_SIGN, *SIGNS), value, at)
        return sign(named) if named is not None else _UNREAD

    def _word(self, value: Any, at: str) -> Expression:  # noqa: ANN401 - a part of a file
        named = self._note.word(tuple(WORDS), value, at)
        return word(named) if named is not None else _UNREAD

    def _unresolved(self, value: Any, at: str) -> Expression:  # noqa: ANN401 - a part of a file
        text = self._note.text(value, at)
        return Unresolved(text, answerable=True) if text is not None else _UNREAD

    def _target(self, path: Any, at: str, item: Target | None) -> Target | None:  # noqa: ANN401 - a part of a file
        found = target(path, item) if isinstance(path, str) else None
        if found is None:
            self._note("pathway-unknown-path", at)
        return found


def _is_finite(number: int | Decimal) -> bool:
    return not isinstance(number, Decimal) or number.is_finite()
