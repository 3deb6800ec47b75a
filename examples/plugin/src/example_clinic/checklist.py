"""The clinic's recheck list: three questions, one point each, and two points call for a recheck."""

from __future__ import annotations

from decimal import Decimal

from dermreport.plugins import (
    AtLeast,
    Criterion,
    Holds,
    Method,
    OwnCode,
    Present,
    Threshold,
    Verdict,
    common_practice,
    some,
)
from dermreport.vocabulary.structures import Structure
from example_clinic.codes import NAME, SYSTEM

OURS = common_practice("Agreed in the example clinic; it is invented and was never studied")

RECHECK = Method(
    code=OwnCode(
        plugin=NAME,
        system=SYSTEM,
        value="recheck-list",
        title="recheck list",
        definition="Change told by the patient, 6 mm or more, and a blue-white veil.",
    ),
    version="2026",
    criteria=(
        Criterion(
            "change",
            "growing, or changed in colour or shape",
            some(
                Holds("lesion.history.growing.answer"),
                Holds("lesion.history.changed_colour.answer"),
                Holds("lesion.history.changed_shape.answer"),
            ),
            10,
            OURS,
        ),
        Criterion("large", "6 mm or more", AtLeast("lesion.longest_mm", Decimal(6)), 10, OURS),
        Criterion("veil", "blue-white veil", Present(Structure.BLUE_WHITE_VEIL), 10, OURS),
    ),
    thresholds=(Threshold(20, Verdict.ABOVE_THRESHOLD, "2"),),
    lowest_tenths=0,
    highest_tenths=30,
    validity=(),
    cautions=("The clinic’s own list: nobody has studied it.",),
    figures=(),
    basis=OURS,
)
