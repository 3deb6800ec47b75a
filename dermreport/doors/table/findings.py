"""The columns of the table of findings: one row a structure at a place, and one an item of a list that none names.

An examination has a row for each finding recorded and for each item of a list that was gone through and not ticked. A
structure without a row was neither recorded nor on such a list: it counts as not assessed, never as absent.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple

from dermreport.answers import Answer, answer_to
from dermreport.doors.table.column import MILLIMETRES, PER_CENT, Cell, Column, ColumnType, Found, code_text
from dermreport.doors.table.sql import answer_of, code_of
from dermreport.doors.table.visits import VISIT_COLUMNS, examination_of
from dermreport.examination.base import OtherCode
from dermreport.vocabulary.lights import Light
from dermreport.vocabulary.presences import Presence
from dermreport.vocabulary.structures import Structure
from dermreport.wording.findings import lights, unticked

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from dermreport.examination.observed import Finding
    from dermreport.reviews.review import Review


class Looked(NamedTuple):
    """What was looked for: a finding, or an item of a list.

    Attributes:
        review: The review that it is of.
        structure: The structure.
        answer: What it counts as, by itself.
        finding: The finding; ``None`` for an item of a list.
    """

    review: Review
    structure: Structure | OtherCode
    answer: Answer
    finding: Finding | None


def looked_for(review: Review) -> Iterator[Looked]:
    """Yield the findings in the entry's order, then the unticked items of the lists, each structure once."""
    examination = review.examination
    for position, finding in enumerate(examination.findings):
        yield Looked(review, finding.structure, answer_to(review.answers, position), finding)
    items: dict[Structure, Answer] = {}
    for gone_through in examination.lists_gone_through:
        for structure, answer in unticked(review.answers, gone_through):
            items.setdefault(structure, answer)
    for structure, answer in items.items():
        yield Looked(review, structure, answer, None)


FindingColumn = Column[Looked]
_CODE, _DECIMAL, _BOOLEAN = ColumnType.CODE, ColumnType.DECIMAL, ColumnType.BOOLEAN


def _of_visit(name: str) -> FindingColumn:
    """Return a column of the other table, said again in each row."""
    (column,) = (one for one in VISIT_COLUMNS if one.name == name)
    return Column(
        name,
        column.type,
        column.description,
        column.origin,
        lambda looked: column.read(looked.review),
        column.found,
        column.unit,
    )


def _of_finding(field: str) -> Callable[[Looked], Cell]:
    """Return a reader of a plain value of a finding."""

    def read(looked: Looked) -> Cell:
        cell: Cell = getattr(looked.finding, field, None)
        return cell

    return read


def _code_of_finding(field: str) -> Callable[[Looked], Cell]:
    """Return a reader of a code of a finding."""
    return lambda looked: code_text(getattr(looked.finding, field, None))


def _in_light(light: Light) -> Callable[[Looked], Cell]:
    """Return whether a finding was seen or looked for in a light, as far as its views say."""

    def read(looked: Looked) -> bool | None:
        if looked.finding is None:
            return None
        return light in lights(looked.review.examination, looked.finding.views)

    return read


def _recorded(looked: Looked) -> str | None:
    return None if looked.finding is None else code_text(looked.finding.presence)


def _found(value: str) -> Found:
    return Found("looked", value)


#: The columns of the table, in its order.
FINDING_COLUMNS: Final[tuple[FindingColumn, ...]] = (
    _of_visit("examination"),
    _of_visit("revision"),
    _of_visit("status"),
    Column(
        "structure",
        _CODE,
        "What was looked for or seen.",
        "findings[].structure, lists_gone_through[].list",
        lambda looked: code_text(looked.structure),
        _found("structure"),
    ),
    Column(
        "recorded_as",
        _CODE,
        "finding: recorded by itself; list: an item of a list that was gone through, which no finding names.",
        "findings, lists_gone_through",
        lambda looked: "list" if looked.finding is None else "finding",
        _found("recorded_as"),
    ),
    Column(
        "place",
        _CODE,
        "Where in the lesion; empty: not recorded.",
        "findings[].place",
        _code_of_finding("place"),
        _found("place"),
    ),
    Column(
        "presence",
        _CODE,
        "What it counts as: present, absent, uncertain or not-assessed. What light and view could not show counts as "
        "not assessed or uncertain, whatever was entered.",
        "findings[].presence, as counted",
        lambda looked: code_text(looked.answer.presence),
        _found("presence"),
    ),
    Column(
        "recorded",
        _CODE,
        "What the clinician entered; empty for an item of a list.",
        "findings[].presence",
        _recorded,
        _found("recorded"),
    ),
    Column(
        "because",
        _CODE,
        "Why it isn’t assessed, or why an absent one counts as uncertain.",
        "findings[].not_assessed_because, as counted",
        lambda looked: code_text(
            looked.answer.because
            if looked.finding is None or looked.answer.recorded is not None
            else looked.finding.not_assessed_because
        ),
        _found("because"),
    ),
    Column(
        "distribution",
        _CODE,
        "How it is spread.",
        "findings[].distribution",
        _code_of_finding("distribution"),
        _found("distribution"),
    ),
    Column(
        "regularity",
        _CODE,
        "Whether it is even.",
        "findings[].regularity",
        _code_of_finding("regularity"),
        _found("regularity"),
    ),
    Column("count", ColumnType.INTEGER, "How many.", "findings[].count", _of_finding("count"), _found("number"), "1"),
    Column(
        "area_percent",
        _DECIMAL,
        "Share of the lesion’s area.",
        "findings[].area_percent",
        _of_finding("area_percent"),
        _found("area_percent"),
        PER_CENT,
    ),
    Column(
        "size_mm",
        _DECIMAL,
        "Measured size of one.",
        "findings[].size_mm",
        _of_finding("size_mm"),
        _found("size_mm"),
        MILLIMETRES,
    ),
    *(
        Column(
            f"in_{light.value.replace('-', '_')}_light",
            _BOOLEAN,
            f"Whether its views tell that it was looked at in {light.display} light; empty for an item of a list.",
            "findings[].views, views[].light",
            _in_light(light),
            _found(light.value.replace("-", "_")),
        )
        for light in (Light.POLARISED, Light.NON_POLARISED)
    ),
)


def _finding_rows() -> str:
    presence = answer_of("presence", Presence)
    return (
        "SELECT report_key, 'finding' AS recorded_as, "
        f"{code_of('structure')} AS structure, {code_of('place')} AS place, {presence} AS presence, "
        f"COALESCE({code_of('recorded')}, {presence}) AS recorded, {code_of('because')} AS because, "
        f"{code_of('distribution')} AS distribution, {code_of('regularity')} AS regularity, number, area_percent, "
        "size_mm, polarised, non_polarised FROM dermoscopy_finding JOIN belongs USING (observation_key)"
    )


def _list_rows() -> str:
    return (
        "SELECT DISTINCT report_key, 'list' AS recorded_as, "
        f"{code_of('structure')} AS structure, NULL AS place, {answer_of('presence', Presence)} AS presence, "
        "NULL AS recorded, because, NULL AS distribution, NULL AS regularity, NULL AS number, NULL AS area_percent, "
        "NULL AS size_mm, NULL AS polarised, NULL AS non_polarised "
        "FROM dermoscopy_list_item JOIN belongs USING (observation_key)"
    )


#: What was looked for, from the two views that have it.
LOOKED_FOR_QUERY: Final = f"{_finding_rows()} UNION ALL {_list_rows()}"

__all__ = ["FINDING_COLUMNS", "LOOKED_FOR_QUERY", "FindingColumn", "Looked", "examination_of", "looked_for"]
