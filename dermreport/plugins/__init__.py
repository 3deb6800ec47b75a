"""Plugins: what an author writes them with. A host loads one by ``dermreport.load_plugins``.

A plugin is a module or an object with functions marked ``pluggy.HookimplMarker("dermreport")``, named by an entry point
of the group ``dermreport``; :mod:`dermreport.plugins.hooks` says what each gives. It only ever adds.
"""

from dermreport.codings import ExtraCoding
from dermreport.examination.base import OtherCode
from dermreport.expressions.nodes import (
    AtLeast,
    AtLeastOf,
    ColourSeen,
    Exists,
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
    every,
    is_one_of,
    some,
    some_present,
)
from dermreport.issues import Severity
from dermreport.letter_file import LetterKind
from dermreport.plugin import About, LetterSection, Making, ResourceMaker, Row, Rule
from dermreport.scores.method import (
    Counted,
    Criterion,
    Effect,
    Figure,
    Method,
    OwnCode,
    PartRange,
    Threshold,
    Validity,
)
from dermreport.sources import Cited, common_practice, memory, seen
from dermreport.vocabulary.verdicts import Verdict

__all__ = [
    "About",
    "AtLeast",
    "AtLeastOf",
    "Cited",
    "ColourSeen",
    "Counted",
    "Criterion",
    "Effect",
    "Exists",
    "ExtraCoding",
    "Fact",
    "Figure",
    "Found",
    "Given",
    "Holds",
    "Is",
    "LetterKind",
    "LetterSection",
    "Making",
    "Method",
    "MoreThan",
    "MoreThanAt",
    "Not",
    "OtherCode",
    "OwnCode",
    "PartRange",
    "Present",
    "ResourceMaker",
    "Row",
    "Rule",
    "Severity",
    "Threshold",
    "Unresolved",
    "Validity",
    "Verdict",
    "common_practice",
    "every",
    "is_one_of",
    "memory",
    "seen",
    "some",
    "some_present",
]
