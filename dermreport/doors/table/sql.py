"""Pieces of SQL that the columns are found by: plain enough that SQLite and DuckDB read them alike."""

from __future__ import annotations

from typing import TYPE_CHECKING

from dermreport.doors.table.column import Found
from dermreport.fhir.codes import ABSENT_REASONS
from dermreport.publication import CANONICAL_BASE
from dermreport.vocabulary.term import Term

if TYPE_CHECKING:
    from dermreport.vocabulary.attributes import Attribute

_OURS = f"{CANONICAL_BASE}/CodeSystem/"


def code_of(name: str) -> str:
    """Return a code of a view: ours as it is, somebody else's with its system."""
    return f"CASE WHEN {name}_system LIKE '{_OURS}%' THEN {name} ELSE {name}_system || '|' || {name} END"


def answer_of(name: str, table: type[Term]) -> str:
    """Return a code, or the answer that FHIR holds as a reason why there is none."""
    reasons = ABSENT_REASONS.get(table)
    if not reasons:
        return code_of(name)
    cases = " ".join(f"WHEN absent_reason = '{reason}' THEN '{answer.value}'" for answer, reason in reasons.items())
    return f"CASE {cases} ELSE {code_of(name)} END"


def only(condition: str, value: str) -> str:
    """Return the value of the one row that fulfils a condition, NULL where there is none."""
    return f"MAX(CASE WHEN {condition} THEN {value} END)"


def number_of(condition: str) -> str:
    """Return how many rows fulfil a condition."""
    return f"SUM(CASE WHEN {condition} THEN 1 ELSE 0 END)"


def seen(is_so: str, is_open: str) -> str:
    """Return TRUE where one row is so, NULL where one is open, FALSE otherwise."""
    return f"CASE WHEN {number_of(is_so)} > 0 THEN TRUE WHEN {number_of(is_open)} > 0 THEN NULL ELSE FALSE END"


def stated(attribute: Attribute, table: type[Term]) -> Found:
    """Return how the coded answer to one item is found."""
    return Found("statement", only(f"item = '{attribute.value}'", answer_of("answer", table)))


def stated_value(attribute: Attribute, name: str) -> Found:
    """Return how another column of the statement on one item is found."""
    return Found("statement", only(f"item = '{attribute.value}'", name))
