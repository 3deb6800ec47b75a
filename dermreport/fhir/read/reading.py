"""The door: text, bytes or objects of FHIR in; examinations, issues and what is foreign out."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING, Any

from dermreport.examination.not_sent import unread
from dermreport.fhir.read.attachments import left_out
from dermreport.fhir.read.circles import circle_issues
from dermreport.fhir.read.patients import are_several
from dermreport.fhir.read.received import Box, unpack
from dermreport.fhir.read.report import Parts, Read, identity_of, is_ours, read_report
from dermreport.fhir.read.rules import read_issue
from dermreport.fhir.read.source import parsed
from dermreport.issues import EntryError, Issue, must_be
from dermreport.limits import DEFAULT_LIMITS, Limits
from dermreport.vocabulary.statuses import Status

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from dermreport.examination.model import Examination
    from dermreport.fhir.foreign import Foreign
    from dermreport.fhir.read.checks import SentScore


@dataclass(frozen=True, slots=True)
class ReadReport:
    """One report that was read.

    Attributes:
        path: Where the report stood in what was received.
        examination: What was recorded, or ``None`` where it can't be held; the issues say why.
        scores: The scores as they were sent: what the sender's software made of the same record.
        issues: What was found in it.
    """

    path: str
    examination: Examination | None = field(repr=False)
    scores: tuple[SentScore, ...] = field(repr=False)
    issues: tuple[Issue, ...]

    @property
    def current(self) -> bool:
        """Whether it holds: there is an examination, and it wasn't entered in error."""
        return self.examination is not None and self.examination.status is not Status.ENTERED_IN_ERROR


@dataclass(frozen=True)
class Reading:
    """What was read. As text it shows paths and issues only, for the rest is the patient's.

    Attributes:
        reports: One for each report, in the order received.
        issues: Everything that was found, with paths in what was received, without any received value.
    """

    reports: tuple[ReadReport, ...]
    issues: tuple[Issue, ...]
    _box: Box = field(default_factory=Box, repr=False, compare=False)

    @cached_property
    def foreign(self) -> Foreign:
        """What others added or changed, found when it is asked for by writing the report anew; it can't be changed.

        Give it to ``to_fhir(review, foreign=…)``, and it is sent again.
        """
        from dermreport.fhir.read.compare import foreign_of  # noqa: PLC0415 - whoever doesn't ask needs none of it

        return foreign_of(self._box, self.examinations)

    @property
    def examinations(self) -> tuple[Examination, ...]:
        """The examinations that could be held; the status of each says whether it was entered in error."""
        return tuple(one.examination for one in self.reports if one.examination is not None)

    @property
    def examination(self) -> Examination | None:
        """The examination where there is exactly one, else ``None``."""
        found = self.examinations
        return found[0] if len(found) == 1 else None


def from_fhir(
    content: str | bytes | Mapping[str, Any] | Sequence[Mapping[str, Any]], *, limits: Limits = DEFAULT_LIMITS
) -> Reading:
    """Read reports back, exactly as they were recorded.

    Args:
        content: JSON or XML text or bytes of a transaction, collection, document or search set in any order, or of a
            DiagnosticReport alone; or the same as objects, or a list of resources. R4, R4B and R5 need not be named.
        limits: How much is read at most.

    Returns:
        The examinations, every issue, and what others added. Nothing is raised for what is in the content.

    Raises:
        TypeError: The limits aren't Limits.
    """
    must_be("from_fhir: limits", limits, Limits)
    try:
        source = parsed(content, limits)
        if source.attached:
            source.issues.extend(left_out(source.value, limits))
        box = unpack(source.value, limits, may_be_modified=source.modified)
    except EntryError as error:
        return Reading((), unread(error.issues))
    box.issues[:0] = source.issues
    if not box.refused:
        box.issues.extend(circle_issues(box))
    if not box.refused and are_several(box):
        box.refuse(read_issue("read-two-patients", "$"))
    if any(one.changed for one in box.of("Composition")):
        box.refuse(read_issue("read-modifier", box.of("Composition")[0].path))
    return Reading((), unread(box.issues), box) if box.refused else _read(box)


def _read(box: Box) -> Reading:
    received = box.of("DiagnosticReport")
    reports = [one for one in received if is_ours(one.resource)]
    if not received:
        return Reading((), unread([*box.issues, read_issue("read-no-report", "$")]), box)
    issues = list(box.issues)
    if not reports:
        # Reports of ours need none of the terminology mapping, which is slow to load.
        from dermreport.fhir.read.foreign_report import read_foreign_report  # noqa: PLC0415

        foreign = [_made(one.path, read_foreign_report(one, box)) for one in received]
        found_there = (issue for one in foreign for issue in one.issues)
        return Reading(tuple(foreign), (*issues, *found_there), box)
    identities = [identity_of(one.resource) for one in reports]
    known = [identity for identity in identities if identity is not None]
    numbers = Counter((one.system, one.value) for one in known)
    made = []
    for report, identity in zip(reports, identities, strict=True):
        if identity is not None and numbers[identity.system, identity.value] > 1:
            found = Read(None, (read_issue("read-same-report", report.path),), (), Parts(report))
        else:
            found = read_report(report, box, known)
        made.append(_made(report.path, found))
        issues.extend(made[-1].issues)
    return Reading(tuple(made), tuple(issues), box)


def _made(path: str, read: Read) -> ReadReport:
    issues = unread(read.issues, path) if read.examination is None else read.issues
    return ReadReport(path, read.examination, read.scores, issues)


__all__ = ["ReadReport", "Reading", "from_fhir"]
