"""What a list of associations shows of one examination: which signs are there, and no number."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from msgspec import Struct

from dermreport.expressions.evaluate import Evaluated, Scope, evaluator_once
from dermreport.scores.engine import validity_of
from dermreport.scores.method import Clue, ClueList, Validity
from dermreport.scores.path import PathTaken, path_taken


class ClueResult(Struct, frozen=True):
    """What a list says of one examination.

    Attributes:
        method: The list.
        met: Ids of the signs that are there.
        open: Ids of the signs that are open.
        reasons: Why the list isn't for this lesion; empty where it is.
        cautions: What a reader must know, those of every method included.
        path: The way through its steps; None where it has none, or isn't for this lesion.
    """

    method: ClueList
    met: tuple[str, ...]
    open: tuple[str, ...]
    reasons: tuple[str, ...]
    cautions: tuple[str, ...]
    path: PathTaken | None

    @property
    def valid(self) -> bool:
        """Whether the list is for such a lesion."""
        return not self.reasons

    @property
    def speaking_for(self) -> Mapping[str, tuple[Clue, ...]]:
        """The signs that are there, by what they are associated with, in the list's order."""
        found: dict[str, tuple[Clue, ...]] = {}
        for clue in self.method.clues:
            if clue.id in self.met:
                found[clue.speaks_for] = (*found.get(clue.speaks_for, ()), clue)
        return found


class _Compiled(Struct, frozen=True):
    validity: tuple[tuple[Validity, Evaluated], ...]
    clues: tuple[tuple[str, Evaluated], ...]


@cache
def _compiled(method: ClueList) -> _Compiled:
    return _Compiled(
        tuple((one, evaluator_once(one.when)) for one in method.validity),
        tuple((clue.id, evaluator_once(clue.when)) for clue in method.clues),
    )


def associations(method: ClueList, scope: Scope) -> ClueResult:
    """Return which signs of a list the answers in a scope show."""
    compiled = _compiled(method)
    reasons, cautions = validity_of(compiled.validity, method.cautions, scope)
    if reasons:
        return ClueResult(method, (), (), reasons, cautions, None)
    truths = [(name, read(scope, None)) for name, read in compiled.clues]
    return ClueResult(
        method,
        tuple(name for name, truth in truths if truth),
        tuple(name for name, truth in truths if truth is None),
        (),
        cautions,
        path_taken(method.steps, scope) if method.steps is not None else None,
    )
