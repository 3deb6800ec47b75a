"""A copy of a review for a plugin's own code, so that nothing that it does to it reaches the host's.

A frozen value can be changed all the same, by ``object.__setattr__``, and a letter would be made of what is left of it.
"""

from __future__ import annotations

import pickle
from functools import partial
from io import BytesIO
from types import FunctionType, MappingProxyType
from typing import Any, Final, TypeVar

from dermreport.pathway import Pathway
from dermreport.plugin import Plugin
from dermreport.plugins.guarding import NotTakenError
from dermreport.scores.method import ClueList, Method, Step
from dermreport.vocabulary.term import Term

_T = TypeVar("_T")
#: What a copy shares: functions, and what the program has for every record: rows and methods, which are told apart by
#: which object they are, the pathway, the plugins. A plugin runs in this program and can change those anyhow.
_SHARED: Final = (Term, Method, ClueList, Step, Pathway, Plugin, FunctionType, partial, type)


def own_copy(review: _T) -> _T:
    """Return a copy that has the record, what was found in it and the settings for itself."""
    out = BytesIO()
    pickler = _Pickler(out)
    pickler.dump(review)
    out.seek(0)
    copied: _T = _Unpickler(out, pickler.shared).load()
    return copied


def refuse_changed(own: object, review: object) -> None:
    """Refuse what a plugin made while it changed its copy: what it says then isn't about this review.

    Raises:
        NotTakenError: They differ.
    """
    if own != review:
        raise NotTakenError("it changed the copy of the review that it got")


class _Pickler(pickle.Pickler):
    """Writes what a copy has of its own; what it shares stays here."""

    def __init__(self, out: BytesIO) -> None:
        super().__init__(out)
        self.shared: list[object] = []

    def persistent_id(self, value: Any) -> int | None:  # noqa: ANN401 - the protocol's own type
        if not isinstance(value, _SHARED):
            return None
        self.shared.append(value)
        return len(self.shared) - 1

    def reducer_override(self, value: Any) -> Any:  # noqa: ANN401 - the protocol's own type
        return (MappingProxyType, (dict(value),)) if type(value) is MappingProxyType else NotImplemented


class _Unpickler(pickle.Unpickler):
    """Reads what was written just before, in this process."""

    def __init__(self, given: BytesIO, shared: list[object]) -> None:
        super().__init__(given)
        self._shared = shared

    def persistent_load(self, position: Any) -> object:  # noqa: ANN401 - the protocol's own type
        return self._shared[position]
