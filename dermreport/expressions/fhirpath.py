"""An expression as FHIRPath text: the same three values, with empty for an open answer.

What a leaf reads differs by where it is read: in one resource, in a bundle, in the answers of a form. A binding says
that; the joints are said here. Source: FHIRPath 2.0.0 (http://hl7.org/fhirpath/N1/), three-valued logic in 6.5.
"""

from __future__ import annotations

from functools import singledispatchmethod
from typing import Protocol

from dermreport.expressions.nodes import (
    All,
    Any,
    AtLeast,
    AtLeastOf,
    ColourSeen,
    Exists,
    Expression,
    Fact,
    Found,
    Given,
    Holds,
    Is,
    MoreThan,
    MoreThanAt,
    Not,
    Present,
    Unresolved,
)
from dermreport.vocabulary.colours import Colour
from dermreport.vocabulary.structures import Structure
from dermreport.vocabulary.term import Term

OPEN = "{}"


class NotSaidHereError(Exception):
    """A leaf can't be said in this place: a fact of the calendar, a path that the resource doesn't hold."""


class Binding(Protocol):
    """How leaves are said in one place; each method returns FHIRPath and raises ``NotSaidHereError`` where it can't.

    Every text can be joined by an operator as it stands: it is a call, a path, or in brackets.
    """

    def present(self, structure: Structure) -> str:
        """Return whether the structure counts as present: true, false or empty."""
        ...

    def found(self, structure: Structure, where: Expression) -> str:
        """Return whether some present finding of the structure meets a condition: true, false or empty."""
        ...

    def colour(self, colour: Colour) -> str:
        """Return whether the colour was seen: true, false or empty."""
        ...

    def is_one_of(self, path: str, values: tuple[Term | bool, ...]) -> str:
        """Return whether the code or truth value at a path is one of these; empty where nothing is there."""
        ...

    def holds(self, path: str) -> str:
        """Return true for yes, false for no, empty for any other answer or none."""
        ...

    def given(self, path: str) -> str:
        """Return whether something is recorded at a path: true or false."""
        ...

    def number(self, path: str) -> str:
        """Return the number at a path in the unit of the field; empty where nothing is there."""
        ...

    def exists(self, path: str, where: Expression) -> str:
        """Return whether some item of a list meets a condition: true, false or empty; false where it is empty."""
        ...

    def fact(self, name: str) -> str:
        """Return a derived fact: true, false or empty."""
        ...


class Printer:
    """Prints expressions with one binding."""

    def __init__(self, binding: Binding) -> None:
        """Take how leaves are said."""
        self._binding = binding

    @singledispatchmethod
    def text(self, expression: Expression) -> str:
        """Return the FHIRPath of an expression: true, false or empty.

        Raises:
            NotSaidHereError: A leaf can't be said in this place.
        """
        raise TypeError(type(expression).__name__)

    @text.register
    def _(self, node: Present) -> str:
        return self._binding.present(node.structure)

    @text.register
    def _(self, node: Found) -> str:
        return self._binding.found(node.structure, node.where)

    @text.register
    def _(self, node: ColourSeen) -> str:
        return self._binding.colour(node.colour)

    @text.register
    def _(self, node: Is) -> str:
        return self._binding.is_one_of(node.path, node.values)

    @text.register
    def _(self, node: Holds) -> str:
        return self._binding.holds(node.path)

    @text.register
    def _(self, node: Given) -> str:
        return self._binding.given(node.path)

    @text.register
    def _(self, node: AtLeast) -> str:
        return f"({self._binding.number(node.path)} >= {node.limit})"

    @text.register
    def _(self, node: MoreThan) -> str:
        return f"({self._binding.number(node.path)} > {node.limit})"

    @text.register
    def _(self, node: MoreThanAt) -> str:
        return f"({self._binding.number(node.path)} > {self._binding.number(node.other)})"

    @text.register
    def _(self, node: Exists) -> str:
        return self._binding.exists(node.path, node.where)

    @text.register
    def _(self, node: Fact) -> str:
        return self._binding.fact(node.name)

    @text.register
    def _(self, _node: Unresolved) -> str:
        return OPEN

    @text.register
    def _(self, node: All) -> str:
        return self._joined(" and ", node.parts, "true")

    @text.register
    def _(self, node: Any) -> str:
        return self._joined(" or ", node.parts, "false")

    @text.register
    def _(self, node: Not) -> str:
        return f"{self.text(node.part)}.not()"

    @text.register
    def _(self, node: AtLeastOf) -> str:
        parts = [self.text(part) for part in node.parts]
        sure = " + ".join(f"iif({part}, 1, 0)" for part in parts)
        possible = " + ".join(f"iif({part}.not(), 0, 1)" for part in parts)
        return f"iif({sure} >= {node.number}, true, iif({possible} >= {node.number}, {OPEN}, false))"

    def _joined(self, operator: str, parts: tuple[Expression, ...], nothing: str) -> str:
        if not parts:
            return nothing
        texts = [self.text(part) for part in parts]
        return texts[0] if len(texts) == 1 else f"({operator.join(texts)})"


def at_hand(text: str) -> str:
    """Return whether a condition is surely met: true or false, an open one counts as not met."""
    return f"iif({text}, true, false)"
