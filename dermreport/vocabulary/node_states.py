"""Regional lymph nodes."""

from __future__ import annotations

from dermreport.sources import COMMON_PRACTICE
from dermreport.vocabulary.term import Term


class NodeState(Term):
    """Regional lymph nodes."""

    NOT_FELT_FOR = "not-felt-for", "not felt for", "Nobody felt for nodes.", COMMON_PRACTICE
    NOT_ENLARGED = "not-enlarged", "not enlarged", "Felt for, none enlarged.", COMMON_PRACTICE
    ENLARGED = "enlarged", "enlarged", "One or more enlarged.", COMMON_PRACTICE
