"""The clinic's rules: one on pictures, and a warning sign."""

from __future__ import annotations

from dermreport.plugins import Exists, Holds, Not, Present, Rule, Severity, every, is_one_of
from dermreport.vocabulary.image_roles import ImageRole
from dermreport.vocabulary.statuses import Status
from dermreport.vocabulary.structures import Structure
from example_clinic.checklist import OURS
from example_clinic.codes import NAME

RULES = (
    Rule(
        id=f"{NAME}.no-overview",
        severity=Severity.INFORMATION,
        when=every(
            is_one_of("status", Status.FINAL, Status.AMENDED),
            Not(Exists("images", is_one_of("@.role", ImageRole.OVERVIEW))),
        ),
        at="images",
        message="The clinic keeps an overview picture of each lesion: take one, or say why there is none.",
        basis=OURS,
    ),
    Rule(
        id=f"flag-{NAME}.growing-with-veil",
        sign=True,
        when=every(Holds("lesion.history.growing.answer"), Present(Structure.BLUE_WHITE_VEIL)),
        at="lesion.history.growing",
        message="A growing lesion with a blue-white veil: the clinic asks for a second examiner at this visit.",
        basis=OURS,
    ),
)
