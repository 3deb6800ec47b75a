"""A language in which a reader is told what the tables say in English.

English is no copy: it is the tables themselves. Another language is a folder of files beside this one, each marked with
its state, and read when that language is first asked for. Rows and rules are found by table and code and by id;
sentences that have no id (of methods, pathways, the report standard) by the English sentence itself, so that one that
is changed loses its translation and never keeps a wrong one. What a file doesn't have is said in English: a host's own
pathway stays in the host's words.

The tables come before and after this room, so it knows none of them: it is given a row, an issue, or a sentence.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from functools import cache
from types import MappingProxyType
from typing import TYPE_CHECKING, Final

from dermreport.issues import SettingsError, must_be
from dermreport.vocabulary.structures import Structure
from dermreport.vocabulary.term import Term, table_id

if TYPE_CHECKING:
    from dermreport.issues import Issue

#: The languages, by their BCP 47 codes: that of the tables first.
LANGUAGES: Final = ("en", "de")
#: In which the tables are written.
SOURCE: Final = "en"

_NONE: Final[Mapping[str, str]] = MappingProxyType({})
_table: Final = cache(table_id)
_NUMBER: Final = re.compile(r"\d+(?:\.\d+)?", re.ASCII)


@dataclass(frozen=True, slots=True)
class Draft:
    """How far a translation can be relied on; whoever shows it to a patient asks for a reviewer first.

    Attributes:
        state: In English, as it stands in the files: by whom it was drafted, and what it needs.
        drafted: The day, as ``2026-11-29``.
    """

    state: str
    drafted: str


@dataclass(frozen=True, slots=True)
class Catalogue:
    """What the files of a language hold; empty for English.

    Attributes:
        displays: By table id, then code: what a row is called; a structure has its names instead.
        structures: By code: the descriptive and the metaphoric name.
        definitions: By table id, then code: definitions, where a reader is shown one.
        messages: By rule id: the message with names in braces.
        texts: By the English sentence.
        openings: How a text can begin before a host's own words: what stands there in English, and here.
    """

    displays: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    structures: Mapping[str, tuple[str, str]] = field(default_factory=dict)
    definitions: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    messages: Mapping[str, str] = field(default_factory=dict)
    texts: Mapping[str, str] = field(default_factory=dict)
    openings: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class Language:
    """A language: :func:`language` gives one.

    Attributes:
        code: Its BCP 47 code.
        draft: How far it can be relied on; ``None`` for English, in which the tables are written.
        decimal_mark: What stands between whole and part of a number.
        catalogue: What its files hold.
    """

    code: str
    draft: Draft | None = None
    decimal_mark: str = "."
    catalogue: Catalogue = field(default_factory=Catalogue, repr=False)

    def term(self, term: Term) -> str:
        """Return what a row of the vocabulary is called: its display."""
        if isinstance(term, Structure):
            descriptive, metaphoric = self.structure_names(term)
            return metaphoric or descriptive
        return self.catalogue.displays.get(_table(type(term)), _NONE).get(term.value, term.display)

    def structure_names(self, structure: Structure) -> tuple[str, str]:
        """Return the descriptive and the metaphoric name of a structure; ``""`` where it has no metaphoric one."""
        return self.catalogue.structures.get(structure.value, (structure.descriptive, structure.metaphoric))

    def structure(self, structure: Structure) -> str:
        """Return both names of a structure, the descriptive one first."""
        descriptive, metaphoric = self.structure_names(structure)
        return f"{descriptive} ({metaphoric})" if metaphoric not in {"", descriptive} else descriptive

    def definition(self, term: Term) -> str:
        """Return a row's definition; in English where readers are shown none of that table's."""
        return self.catalogue.definitions.get(_table(type(term)), _NONE).get(term.value, term.definition)

    def message(self, issue: Issue) -> str:
        """Return what an issue says, with the rows and counts that it names; in English where its rule isn't here."""
        said = self.catalogue.messages.get(issue.rule)
        if said is None:
            return issue.message
        return said.format_map({name: self._parameter(value) for name, value in issue.parameters})

    def translates(self, english: str) -> bool:
        """Return whether a sentence of the library is said in this language; those of a host's pathway aren't."""
        return self.code == SOURCE or english in self.catalogue.texts

    def text(self, english: str) -> str:
        """Return a sentence of a method, a pathway or the report standard; one that isn't the library's as it is."""
        said = self.catalogue.texts.get(english)
        if said is not None:
            return said
        for opening, here in self.catalogue.openings:
            if english.startswith(opening):
                return f"{here}{english.removeprefix(opening)}"
        return english

    def number(self, number: Decimal | int) -> str:
        """Return a number with the digits that it has, never with an exponent."""
        return f"{number:f}".replace(".", self.decimal_mark) if isinstance(number, Decimal) else str(number)

    def _parameter(self, value: str) -> str:
        """Return what an issue names: a row, words, or words with a number in them."""
        if isinstance(value, Term):
            return self.term(value)
        words = self.catalogue.texts.get(_NUMBER.sub("{}", value))
        if words is None:
            return self.text(value)
        return words.format(*(one.replace(".", self.decimal_mark) for one in _NUMBER.findall(value)))


@cache
def _known(code: str) -> Language:
    if code not in LANGUAGES:
        raise SettingsError(f"language: one of {', '.join(LANGUAGES)}")
    if code == SOURCE:
        return Language(code)
    from dermreport.languages.files import read  # noqa: PLC0415 - loaded on first use

    return read(code)


def language(code: str) -> Language:
    """Return a language; its files are read when it is first asked for.

    Args:
        code: Its BCP 47 code, one of ``en`` and ``de``.

    Raises:
        SettingsError: There is no such language.
        TypeError: The code is no text.
    """
    must_be("language", code, str)
    return _known(code)
