"""Completeness against the published ten-item report standard, item by item.

Malvehy and others 2007, doi 10.1016/j.jaad.2006.02.051: ten items of a dermatoscopy report, some recommended, some
optional, none mandatory. So this is a result of its own and no issue: it says what a reader will look for in vain.
"""

from __future__ import annotations

from enum import StrEnum
from functools import cache
from typing import TYPE_CHECKING

from msgspec import Struct

from dermreport.expressions.evaluate import Evaluated, evaluator
from dermreport.expressions.nodes import Exists, Expression, Given, every, some
from dermreport.rules.conditions import ACTIONS, IMPRESSIONS, TISSUE_PLANNED, recorded_as
from dermreport.sources import Basis, Source, memory, seen
from dermreport.vocabulary.image_roles import ImageRole

if TYPE_CHECKING:
    from dermreport.expressions.evaluate import Scope


class ItemState(StrEnum):
    """Whether an item of the report standard is given."""

    GIVEN = "given"
    MISSING = "missing"
    NOT_APPLICABLE = "not-applicable"


class ReportItem(Struct, frozen=True):
    """One item of the report standard.

    Attributes:
        number: Its number in the standard, 1 to 10.
        item: What it asks for, in our words.
        state: Given, missing, or not applicable to this examination.
        basis: How it is known.
        message: What to add where it is missing; ``""`` otherwise.
    """

    number: int
    item: str
    state: ItemState
    basis: Basis
    message: str

    @property
    def given(self) -> bool:
        """Whether the item is given."""
        return self.state is ItemState.GIVEN


class StandardItem(Struct, frozen=True):
    """One row of the standard: what it asks for and the condition that tells whether an examination gives it.

    Attributes:
        number: Its number in the standard.
        item: What it asks for, in our words.
        given: When an examination gives it.
        missing: What to add.
        basis: How it is known.
        applies: When the item applies; none where it always does.
    """

    number: int
    item: str
    given: Expression
    missing: str
    basis: Basis
    applies: Expression | None = None


_SEEN = seen(Source.REPORT_STANDARD_2007)
_MEMORY = memory("Item of doi:10.1016/j.jaad.2006.02.051")

_LESION_HISTORY = some(
    *(
        Given(f"lesion.history.{item}")
        for item in (
            "from_birth",
            "new",
            "growing",
            "changed_colour",
            "changed_shape",
            "itching",
            "pain",
            "inflamed",
            "bleeding",
            "treated_before",
            "since",
            "note",
        )
    )
)

REPORT_STANDARD: tuple[StandardItem, ...] = (
    StandardItem(
        1,
        "age, history of the lesion, and the patient's own and family history of skin cancer",
        every(
            Given("background.age_years"),
            _LESION_HISTORY,
            some(Given("background.had_skin_cancer"), Given("background.earlier_skin_cancers")),
            Given("background.family_melanoma"),
        ),
        "Add what is missing of age, history of the lesion, earlier skin cancer and melanoma in the family.",
        _SEEN,
    ),
    StandardItem(
        2,
        "clinical description of the lesion",
        every(
            Given("lesion.site"), Given("lesion.longest_mm"), some(Given("lesion.elevation"), Given("lesion.palpation"))
        ),
        "Describe the lesion to the naked eye and finger: site, size, flat or raised.",
        _SEEN,
    ),
    StandardItem(
        3,
        "first step: melanocytic or not",
        Given("description.step_one"),
        "Say whether the lesion is melanocytic, not melanocytic, or uncertain.",
        _SEEN,
    ),
    StandardItem(
        4,
        "structures in standardised terms",
        some(
            Exists("findings", Given("@.structure.display")),
            Exists("lists_gone_through", Given("@.list.structures")),
            Given("description.pattern"),
        ),
        "Name the structures that you looked for, present or absent.",
        _SEEN,
    ),
    StandardItem(
        5,
        "the algorithm used, where one was",
        Given("assessment.methods_used"),
        "Name the method you used, if you used one.",
        seen(Source.REPORT_STANDARD_2007, note="Seen: the beginning of the item. The rest from memory."),
    ),
    StandardItem(
        6,
        "equipment and magnification",
        Exists("views", every(Given("@.equipment"), Given("@.magnification"))),
        "Name the dermatoscope or camera and its magnification.",
        _MEMORY,
    ),
    StandardItem(
        7,
        "clinical and dermatoscopic pictures",
        every(
            Exists("images", recorded_as("@.role", ImageRole.OVERVIEW, ImageRole.CLOSE_UP)),
            Exists("images", recorded_as("@.role", ImageRole.DERMATOSCOPIC)),
        ),
        "Add a picture to the naked eye and a dermatoscopic one.",
        _MEMORY,
    ),
    StandardItem(
        8,
        "impression or differential",
        Given(IMPRESSIONS),
        "Say what you take the lesion for, with other names that fit.",
        _MEMORY,
    ),
    StandardItem(
        9,
        "what happens next",
        Given(ACTIONS),
        "Say what happens next.",
        _MEMORY,
    ),
    StandardItem(
        10,
        "remarks for the pathologist, where tissue is taken",
        Given("plan.for_pathologist"),
        "Write to the pathologist: what is suspected, where in the lesion, what was seen.",
        _MEMORY,
        applies=TISSUE_PLANNED,
    ),
)


@cache
def _compiled() -> tuple[tuple[StandardItem, Evaluated, Evaluated | None], ...]:
    return tuple(
        (row, evaluator(row.given), evaluator(row.applies) if row.applies is not None else None)
        for row in REPORT_STANDARD
    )


def completeness(scope: Scope) -> tuple[ReportItem, ...]:
    """Return the ten items of the report standard, each given, missing or not applicable.

    An item asks only whether something is recorded, so nothing is open: what can't be told is missing.
    """
    found: list[ReportItem] = []
    for row, given, applies in _compiled():
        if given(scope, None):
            state = ItemState.GIVEN
        elif applies is not None and not applies(scope, None):
            state = ItemState.NOT_APPLICABLE
        else:
            state = ItemState.MISSING
        message = row.missing if state is ItemState.MISSING else ""
        found.append(ReportItem(row.number, row.item, state, row.basis, message))
    return tuple(found)
