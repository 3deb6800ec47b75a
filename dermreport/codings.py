"""A code that stands beside ours: a host's, or a plugin's; and what is no code system of the library's own."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final

from dermreport.examination.base import OtherCode
from dermreport.examination.people import Identifier, Reference
from dermreport.harmless_words import calls_harmless, says_it_waits
from dermreport.issues import EntryError, SettingsError
from dermreport.publication import CANONICAL_BASE
from dermreport.vocabulary.term import Term, table_id

#: FHIR R4 and R5, data types: what a ``code`` is; R4 takes one other space within it, too.
is_fhir_code: Final = re.compile(r"[^\s]+(?: [^\s]+)*").fullmatch


@dataclass(frozen=True, slots=True, kw_only=True)
class ExtraCoding:
    """A code of the host's, or of a standard that the library doesn't map to, that stands beside ours for a term.

    Attributes:
        of: The row of the vocabulary, or its table's id and its code, as ``structure/network-atypical``.
        system: URI of the code system.
        code: The code there, as FHIR has codes: no space around it, and no two within.
        display: What it is called there.
        version: Version of the code system.
        table: Id of the row's table: rows of two tables can have the same code.
    """

    of: Term | str
    system: str
    code: str
    display: str | None = None
    version: str | None = None
    table: str = field(init=False)

    def __post_init__(self) -> None:
        """Find the row, and refuse what is no coding; no value is in the error."""
        row = _row(self.of)
        if row is None:
            raise SettingsError("settings: extra_codings: of is a row of the vocabulary, as structure/network-atypical")
        object.__setattr__(self, "of", row)
        object.__setattr__(self, "table", table_id(type(row)))
        good = is_hosts_system(self.system) and holds(OtherCode, self._parts())
        if not good or is_fhir_code(self.code) is None:
            raise SettingsError(
                "settings: extra_codings: each has the URI of a code system that isn't the library's, a code without "
                "space around it or twice within, and maybe display and version"
            )
        if _contradicts(row, self.system, self.code, self.display or ""):
            raise SettingsError(
                "settings: extra_codings: what stands beside a suspicion, a presence, a planned step or a result says "
                "the same, and never that it is harmless or waits"
            )

    def _parts(self) -> dict[str, str | None]:
        return {"system": self.system, "code": self.code, "display": self.display, "version": self.version}

    @property
    def coding(self) -> OtherCode:
        """The code by itself."""
        return OtherCode.model_validate(self._parts())

    @property
    def mark(self) -> tuple[str, Term | str, str, str]:
        """What makes it the same one: the row, and system and code."""
        return self.table, self.of, self.system, self.code


#: Rows that are harmless by themselves, of tables whose other rows aren't: by the table's id and the code.
_HARMLESS_ROWS: Final = frozenset(
    (
        ("concern", "benign"),
        ("presence", "absent"),
        ("summary", "no-suspicious-feature-found"),
        ("verdict", "below-threshold"),
    )
)
_NAMES: Final = frozenset(("impression", "histology-result"))
_GRAVE: Final = frozenset(table for table, _ in _HARMLESS_ROWS) | _NAMES | {"plan-action", "urgency"}
#: Interpretations that call a result harmless (HL7 v3 ObservationInterpretation).
INTERPRETATIONS: Final = "http://terminology.hl7.org/CodeSystem/v3-ObservationInterpretation"
HARMLESS_INTERPRETATIONS: Final = frozenset(("N", "NEG", "ND", "NR"))


def _contradicts(row: Term, system: str, code: str, display: str) -> bool:
    """Whether a code beside a row calls harmless what isn't, or lets a planned step wait."""
    table = table_id(type(row))
    harmless = (table, row.value) in _HARMLESS_ROWS or (table in _NAMES and getattr(row, "concern", None) == "benign")
    if table not in _GRAVE or harmless:
        return False
    waits = table == "plan-action" and says_it_waits(display)
    interpreted = system == INTERPRETATIONS and code in HARMLESS_INTERPRETATIONS
    return calls_harmless(display) or waits or interpreted


def is_hosts_system(given: object) -> bool:
    """Whether it is the URI of a system, and none of the library's own: those are the same everywhere."""
    ours = isinstance(given, str) and given.startswith(CANONICAL_BASE)
    return not ours and holds(Identifier, {"system": given, "value": "1"})


def holds(kind: type[Identifier | OtherCode | Reference], given: object) -> bool:
    """Whether a part of an entry can be made of it."""
    try:
        kind.model_validate(given)
    except EntryError:
        return False
    return True


def _row(of: object) -> Term | None:
    """Return a row of the vocabulary by itself, or by its table's id and its code."""
    if isinstance(of, Term):
        return of
    if not isinstance(of, str):
        return None
    from dermreport.vocabulary.tables import tables  # noqa: PLC0415 - loaded on first use: it loads every table

    table, _, code = of.partition("/")
    rows: Mapping[str, Term] = {row.value: row for row in tables().get(table, ())}
    return rows.get(code)
