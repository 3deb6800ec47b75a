"""What a structure counts as, in FHIRPath: from what is recorded to what follows by definition.

The same steps as :mod:`dermreport.answers` takes: what a present whole can't do without, a kind and what it is a kind
of, composites and patterns from their parts. What is *recorded* of a structure differs by where it is read (the
resources of a bundle, the answers of a form), so the caller says that.
"""

from __future__ import annotations

from functools import cache
from typing import Protocol

from dermreport.answers import MADE_OF_PARTS, ONLY_WITHOUT, PARENT
from dermreport.expressions.fhirpath import OPEN
from dermreport.vocabulary.structure_kinds import StructureKind
from dermreport.vocabulary.structures import Structure, family_of


class Recorded(Protocol):
    """How one place says what is recorded of structures: each text gives true or false and is never empty.

    Every text can be joined by an operator as it stands: it is a call, a path, or in brackets.
    """

    def any_present(self, structures: tuple[Structure, ...]) -> str:
        """Return whether one of the structures is recorded as present.

        That is a finding that counts as present, or, where there is no finding of it at all, the pattern of the whole
        lesion.
        """
        ...

    def absent(self, structure: Structure) -> str:
        """Return whether the structure is recorded as absent.

        That is where it has findings and each counts as absent; or where it has none, isn't the pattern of the whole
        lesion, and the statement of a list that was gone through counts as absent.
        """
        ...

    def said(self, structure: Structure) -> str:
        """Return whether anything is recorded of the structure: a finding, a list with it, or it as the pattern."""
        ...

    def found(self, structure: Structure) -> str:
        """Return whether there is a finding of the structure, whatever it says."""
        ...


class StructureTexts:
    """What structures count as in one place; each text gives true or false unless it says otherwise."""

    def __init__(self, recorded: Recorded) -> None:
        """Take how the place says what is recorded."""
        self._recorded = recorded

    def truth(self, structure: Structure) -> str:
        """Return whether the structure counts as present: true, false, or empty where it is open."""
        return f"iif({self.present(structure)}, true, iif({self.absent(structure)}, false, {OPEN}))"

    def present(self, structure: Structure) -> str:
        """Return whether the structure counts as present."""
        family = family_of(structure)
        recorded = self._recorded
        ways = [recorded.any_present(family)]
        ways.extend(
            f"({recorded.any_present(wholes)} and {recorded.found(member)}.not())"
            for member in family
            if (wholes := wholes_that_need(member))
        )
        by_parts = self.present_by_parts(structure)
        if by_parts is not None:
            ways.append(f"({recorded.said(structure)}.not() and {by_parts})")
        return _joined(" or ", ways)

    def absent(self, structure: Structure) -> str:
        """Return whether the structure counts as absent."""
        recorded = self._recorded
        ways = [f"({recorded.absent(structure)} and {self.present(structure)}.not())"]
        parent = PARENT.get(structure)
        following = [self.absent(parent)] if parent is not None else []
        by_parts = self.absent_by_parts(structure)
        if by_parts is not None:
            following.append(by_parts)
        if following:
            ways.append(f"({recorded.said(structure)}.not() and {_joined(' or ', following)})")
        return _joined(" or ", ways)

    def present_by_parts(self, structure: Structure) -> str | None:
        """Return whether its parts make a composite present; ``None`` for what no parts make present."""
        if structure not in MADE_OF_PARTS or structure.kind is not StructureKind.COMPOSITE:
            return None
        any_of, all_of = MADE_OF_PARTS[structure]
        needed = [self.present(part) for part in all_of]
        if any_of:
            needed.append(_joined(" or ", [self.present(part) for part in any_of]))
        without = ONLY_WITHOUT.get(structure)
        if without is not None:
            needed.append(self.absent(without))
        return _joined(" and ", needed)

    def absent_by_parts(self, structure: Structure) -> str | None:
        """Return whether its parts make a composite or pattern absent; ``None`` for what has no parts."""
        if structure not in MADE_OF_PARTS:
            return None
        any_of, all_of = MADE_OF_PARTS[structure]
        ways = [self.absent(part) for part in all_of]
        if any_of:
            ways.append(_joined(" and ", [self.absent(part) for part in any_of]))
        return _joined(" or ", ways)


@cache
def wholes_that_need(part: Structure) -> tuple[Structure, ...]:
    """Return the composites and patterns that can't be without a part."""
    return tuple(whole for whole, (_, all_of) in MADE_OF_PARTS.items() if part in all_of)


def _joined(operator: str, texts: list[str]) -> str:
    return texts[0] if len(texts) == 1 else f"({operator.join(texts)})"
