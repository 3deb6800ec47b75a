"""How the expressions of scores are read from the form's answers: a binding for the printer of FHIRPath.

Sets of codes stand in variables (:mod:`dermreport.form.score_variables`); a field that is asked once is read where it
stands. What is asked of findings stands in variables too: the structures of which some finding meets a condition, and
those of which one leaves it open.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from types import MappingProxyType
from typing import cast

from dermreport.answers import MADE_OF_PARTS
from dermreport.examination.observed import Finding
from dermreport.expressions.evaluate import Scope, Truth, evaluator
from dermreport.expressions.fhirpath import OPEN, NotSaidHereError, Printer
from dermreport.expressions.nodes import All, Any, Expression, Found, Given, Is, Not, Present, entry_path, leaves
from dermreport.form.score_places import answers, answers_here, codes, group, number, our_value
from dermreport.form.score_variables import (
    FINDINGS,
    STRUCTURE_HERE,
    Variable,
    details,
    is_here,
    is_in,
    seen_or_not,
    some_in,
)
from dermreport.vocabulary.colours import Colour
from dermreport.vocabulary.presences import Presence
from dermreport.vocabulary.structures import Structure, family_of
from dermreport.vocabulary.term import Term

_WHOLE = "whole."
_HERE = "@."
#: What is read of a site's code, and the variable that holds it.
_OF_SITE = {"lesion.site.reading_style": "readingStyle", "lesion.site.second_style": "secondStyle"}
#: The structures whose findings have one answer, by that answer.
_FINDINGS_OF = {Presence.PRESENT: "findingsPresent", Presence.UNCERTAIN: "findingsUncertain"}


def asked_structures(expressions: Iterable[Expression]) -> tuple[Structure, ...]:
    """Return the structures of which expressions ask whether they are present, in the order of the table."""
    among = {leaf.structure for one in expressions for leaf in leaves(one) if isinstance(leaf, Present | Found)}
    return tuple(structure for structure in Structure if structure in among)


def asked_of_findings(expressions: Iterable[Expression]) -> Mapping[Expression, str]:
    """Return the conditions on findings that expressions ask, each with the name that its variables start with."""
    conditions = dict.fromkeys(leaf.where for one in expressions for leaf in leaves(one) if isinstance(leaf, Found))
    return MappingProxyType({where: f"findings{position}" for position, where in enumerate(conditions, 1)})


def finding_variables(conditions: Mapping[Expression, str]) -> list[Variable]:
    """Return, for each condition, the structures with a present finding that meets it or leaves it open.

    A structure that was ticked on the checklist has a finding of which nothing more is told: a condition says the
    same of each.
    """
    printer = Printer(_Here(FINDINGS))
    found: list[Variable] = []
    for where, name in conditions.items():
        text = printer.text(where)
        (ticked,) = {_of_ticked(where, structure, Presence.PRESENT) for structure in Structure}
        still_open = f"iif({text}, false, iif({text}.not(), false, true))"
        for ending, condition, holds in (
            ("Met", text, ticked is True),
            ("Open", still_open, ticked is None),
        ):
            of_details = f"{details(f'{is_here(Presence.PRESENT)} and {condition}')}.{STRUCTURE_HERE}"
            found.append(Variable(f"{name}{ending}", f"%checkedPresent | {of_details}" if holds else of_details))
    return found


#: A condition on a finding reads that finding alone.
_NOTHING_ELSE = cast("Scope", None)


def _of_ticked(where: Expression, structure: Structure, presence: Presence) -> Truth:
    """Return what a condition says of a finding that the checklist gives: a structure and its answer, no more."""
    return evaluator(where)(_NOTHING_ELSE, Finding(structure=structure, presence=presence))


class _Fields:
    """How fields are read, given where their answers are; nothing else can be asked."""

    def answers(self, path: str) -> str:
        """Return the answers at a path.

        Raises:
            NotSaidHereError: The path isn't read here.
        """
        raise NotSaidHereError(path)

    def place(self, path: str) -> str:
        """Return the path of the model that a path of a condition stands for.

        Raises:
            NotSaidHereError: The path isn't read here.
        """
        raise NotSaidHereError(path)

    def present(self, structure: Structure) -> str:
        raise NotSaidHereError(structure)

    def found(self, structure: Structure, where: Expression) -> str:
        raise NotSaidHereError(structure, where)

    def colour(self, colour: Colour) -> str:
        raise NotSaidHereError(colour)

    def is_one_of(self, path: str, values: tuple[Term | bool, ...]) -> str:
        terms = [value for value in values if isinstance(value, Term)]
        if len(terms) != len(values) or len({type(term) for term in terms}) != 1:
            raise NotSaidHereError(path)
        among = f"{our_value(type(terms[0]))}.intersect{codes(terms)}.exists()"
        return f"{self.answers(path)}.select({among})"

    def holds(self, path: str) -> str:
        return f"{self.answers(path)}.value.where(code='yes' or code='no').select(code='yes')"

    def given(self, path: str) -> str:
        return f"{self.answers(path)}.exists()"

    def number(self, path: str) -> str:
        return number(self.answers(path), self.place(path))

    def exists(self, path: str, where: Expression) -> str:
        raise NotSaidHereError(path, where)

    def fact(self, name: str) -> str:
        raise NotSaidHereError(name)


class _Here(_Fields):
    """An item of a repeating group at hand."""

    def __init__(self, room: str) -> None:
        """Take the path of the group."""
        self._room = room

    def answers(self, path: str) -> str:
        return answers_here(self.place(path))

    def place(self, path: str) -> str:
        if not path.startswith(_HERE):
            raise NotSaidHereError(path)
        return f"{self._room}.{path.removeprefix(_HERE)}"


class FormBinding(_Fields):
    """The whole form."""

    def __init__(self, conditions: Mapping[Expression, str]) -> None:
        """Take the conditions on findings that stand in variables."""
        self._conditions = conditions

    def answers(self, path: str) -> str:
        """Return the answers at a path; of the whole lesion only where some view shows all of it."""
        found = answers(self.place(path))
        return f"{found}.where(%wholeSeen)" if path.startswith(_WHOLE) else found

    def place(self, path: str) -> str:
        """Return the path of the model that a path of a condition stands for."""
        if path.startswith(_HERE):
            raise NotSaidHereError(path)
        return entry_path(path)

    def present(self, structure: Structure) -> str:
        """Return whether the structure counts as present."""
        return seen_or_not(structure, "structuresSeen", "structuresUnseen")

    def found(self, structure: Structure, where: Expression) -> str:
        """Return whether some present finding of the structure, or of a kind of it, meets a condition.

        Raises:
            NotSaidHereError: It is a composite: which findings are its own depends on its parts.
        """
        if structure in MADE_OF_PARTS:
            raise NotSaidHereError(structure)
        name = self._conditions[where]
        family = family_of(structure)
        met, still_open = some_in(family, f"{name}Met"), some_in(family, f"{name}Open")
        # Present by definition, without a finding of its own: nothing is told of it.
        untold = f"({still_open} or {some_in(family, 'findingsPresent')}.not())"
        of_findings = f"iif({met}, true, iif({untold}, {OPEN}, false))"
        unseen = f"iif({is_in(structure, 'structuresUnseen')}, false, {OPEN})"
        return f"iif({is_in(structure, 'structuresSeen')}, {of_findings}, {unseen})"

    def colour(self, colour: Colour) -> str:
        """Return whether the colour was seen."""
        return seen_or_not(colour, "coloursSeen", "coloursUnseen")

    def is_one_of(self, path: str, values: tuple[Term | bool, ...]) -> str:
        """Return whether the code at a path is one of these."""
        if path in _OF_SITE:
            return f"(%{_OF_SITE[path]} in {codes(str(value) for value in values)})"
        return super().is_one_of(path, values)

    def given(self, path: str) -> str:
        """Return whether something is recorded at a path."""
        return f"%{_OF_SITE[path]}.exists()" if path in _OF_SITE else super().given(path)

    def exists(self, path: str, where: Expression) -> str:
        """Return whether some item of a list meets a condition."""
        if path == FINDINGS and _asks_only(where, "@.structure", "@.presence"):
            return self._among_findings(where)
        text = Printer(_Here(path)).text(where)
        if path == FINDINGS and any(
            _of_ticked(where, structure, presence) is not False for structure in Structure for presence in Presence
        ):
            raise NotSaidHereError(path)
        items = group(path)
        if _never_open(where):
            return f"{items}.exists({text})"
        still_open = f"{items}.exists(iif({text}.not(), false, true))"
        return f"iif({items}.exists({text}), true, iif({still_open}, {OPEN}, false))"

    @staticmethod
    def _among_findings(where: Expression) -> str:
        """Return whether a finding has one of some structures and answers, wherever the form asks for it."""
        ways = []
        for presence in Presence:
            meeting = [one for one in Structure if _of_ticked(where, one, presence)]
            if meeting and presence not in _FINDINGS_OF:
                raise NotSaidHereError(presence)
            if meeting:
                ways.append(some_in(meeting, _FINDINGS_OF[presence]))
        return f"({' or '.join(ways)})"


#: Fields without which an item of a list can't be held.
_REQUIRED = frozenset(("@.structure", "@.presence", "@.light"))


def _never_open(where: Expression) -> bool:
    """Return whether a condition on an item is always true or false: it asks what is required, or what is given."""
    match where:
        case All((Given(given), Is(path, _))) if given == path:
            return True
        case All(parts) | Any(parts):
            return all(_never_open(part) for part in parts)
        case Not(part):
            return _never_open(part)
        case Given():
            return True
        case Is(path, _):
            return path in _REQUIRED
    return False


def _asks_only(where: Expression, *paths: str) -> bool:
    return all(isinstance(leaf, Is) and leaf.path in paths for leaf in leaves(where))
