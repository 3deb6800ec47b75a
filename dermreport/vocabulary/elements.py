"""Elements that structures are made of: the five of the descriptive terminology, and what lies outside them."""

from __future__ import annotations

from dermreport.sources import COMMON_PRACTICE, Source, seen
from dermreport.vocabulary.term import Term

_CONSENSUS = seen(Source.TERMINOLOGY_CONSENSUS_2016, Source.TERMINOLOGY_OF_LINES)


class Element(Term):
    """Elements of the descriptive terminology, and three kinds of structure that it does not divide further."""

    LINE = "line", "lines", "Marks much longer than they are wide.", _CONSENSUS
    PSEUDOPOD = "pseudopod", "pseudopods", "Lines with a knob at one end.", _CONSENSUS
    CIRCLE = "circle", "circles", "Closed or open rings, all points equally far from a centre.", _CONSENSUS
    CLOD = "clod", "clods", "Solid bounded bodies of any shape, larger than dots.", _CONSENSUS
    DOT = "dot", "dots", "Points too small to have a shape.", _CONSENSUS
    STRUCTURELESS = (
        "structureless",
        "structureless",
        "An area in which none of the five elements prevails.",
        _CONSENSUS,
    )
    VESSEL = "vessel", "vessels", "Blood vessels, described by their own shapes and arrangement.", COMMON_PRACTICE
    OTHER = (
        "other",
        "other",
        "Edges, surface changes, bands of a nail and mixtures of several elements.",
        COMMON_PRACTICE,
    )
