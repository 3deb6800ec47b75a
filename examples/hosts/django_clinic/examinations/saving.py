"""Saving a revision: nothing that was entered is lost, and nothing urgent waits for a mended field."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from django.conf import settings
from django.db import IntegrityError, transaction

import dermreport
from examinations import fields
from examinations.models import Examination, Outgoing, Revision

#: Priorities of FHIR with which a step can't wait.
_URGENT = frozenset({"urgent", "asap", "stat"})


class Wish(StrEnum):
    """What the clinician wants of what was entered."""

    DRAFT = "draft"
    FINISH = "finish"
    WITHDRAW = "withdraw"


class NotSavedError(Exception):
    """It can't be saved as it is; the text says why, to the clinician."""


class ConflictError(NotSavedError):
    """Somebody else saved a revision since the page was opened."""

    def __init__(self) -> None:
        """Say what to do."""
        super().__init__(
            "Somebody saved another revision meanwhile. Open the examination in another window, compare, and enter "
            "there what is missing."
        )


class PatientError(NotSavedError):
    """A report went out already, and this would give it to another patient."""

    def __init__(self) -> None:
        """Say what to do."""
        super().__init__(
            "A report of this examination went out for the patient who stood here. Withdraw this examination and enter "
            "a new one for the right patient."
        )


@dataclass(frozen=True, slots=True)
class Checked:
    """What the library says of an entry.

    Attributes:
        entry: The entry.
        review: The review; ``None`` where nothing can be held.
        issues: All of them, urgent ones first, then the gravest.
    """

    entry: fields.Json
    review: dermreport.Review | None
    issues: tuple[dermreport.Issue, ...]

    @property
    def errors(self) -> int:
        """How many errors stand."""
        return sum(issue.severity is dermreport.Severity.ERROR for issue in self.issues)

    @property
    def is_urgent(self) -> bool:
        """Whether it calls for action: the word on the whole, or a step that can't wait."""
        if self.review is None:
            return False
        plan = self.review.examination.plan
        steps = plan.actions if plan is not None else ()
        soon = any(one.urgency is not None and one.urgency.fhir_priority in _URGENT for one in steps)
        return soon or self.review.summary == "suspicious"

    @property
    def was_not_sent(self) -> bool:
        """Whether a plan that was entered, a part of one, or what may be one can't go out."""
        return any(issue.rule in fields.NOT_SENT for issue in self.issues)


def checked(text: str) -> Checked:
    """Return what the library says of an entry's text."""
    held = dermreport.from_entry(text)
    review = dermreport.review(held.examination, settings.DERMREPORT) if held.examination is not None else None
    if review is not None:
        return Checked(fields.read(text), review, review.issues_by_urgency)
    ordered = sorted(held.issues, key=lambda one: (not fields.is_urgent(one, None), one.severity.rank))
    return Checked(fields.read(text), None, tuple(ordered))


def save(number: uuid.UUID, base: int, entered: Mapping[str, str], *, wish: Wish, user: Any) -> Revision:  # noqa: ANN401 - the host's user model
    """Save what was entered as a new revision.

    Args:
        number: The examination; it is made with its first revision.
        base: The revision that the page showed, 0 for none.
        entered: The values of the page.
        wish: What the clinician wants. What is finished with an error stays a draft; it is saved all the same.
        user: Who saves.

    Raises:
        NotSavedError: The revision that the page showed isn't the latest, or it would change the patient of a report.
    """
    try:
        with transaction.atomic():
            examination, _ = Examination.objects.get_or_create(number=number, defaults={"opened_by": user})
            latest = examination.latest
            if (latest.revision if latest is not None else 0) != base:
                return _same_again(latest, base, entered)
            former = fields.read(latest.entry) if latest is not None else {}
            text, found = _decided(number, base + 1, former, entered, wish)
            went_out = Outgoing.objects.filter(revision__examination=examination).exists()
            if went_out and found.entry.get("patient") != former.get("patient"):
                raise PatientError
            revision = Revision.objects.create(
                examination=examination,
                revision=base + 1,
                entry=text,
                word=found.review.summary.value if found.review is not None else "",
                errors=found.errors,
                saved_by=user,
            )
            # A draft waits for its clinician; what calls for action doesn't, whatever else is missing.
            if found.review is not None and (found.is_urgent or found.entry["status"] != "draft"):
                Outgoing.objects.create(revision=revision, urgent=found.is_urgent)
            return revision
    except IntegrityError:
        raise ConflictError from None


def _decided(
    number: uuid.UUID, revision: int, former: fields.Json, entered: Mapping[str, str], wish: Wish
) -> tuple[str, Checked]:
    """Return the text and what is said of it, by the first status that it can have."""
    for status in _statuses(former.get("status"), wish):
        fixed = {
            "identifier": {"system": settings.EXAMINATION_SYSTEM, "value": str(number)},
            "status": status,
            "revision": revision,
        }
        text = fields.written(fields.entry_of(entered, former, fixed))
        found = checked(text)
        if not found.errors:
            break
    return text, found


def _statuses(former: object, wish: Wish) -> tuple[str, ...]:
    """Return the statuses to try: a record that was final once never becomes a draft again."""
    if wish is Wish.WITHDRAW:
        return ("entered-in-error",)
    if former in {"final", "amended", "entered-in-error"}:
        return ("amended",)
    return ("final", "draft") if wish is Wish.FINISH else ("draft",)


def _same_again(latest: Revision | None, base: int, entered: Mapping[str, str]) -> Revision:
    """Return the revision that a button which was pressed twice has made already.

    Raises:
        ConflictError: It is another one.
    """
    if latest is not None and latest.revision == base + 1:
        there = {name: value for name, value in fields.entered_of(fields.read(latest.entry)).items() if value}
        if there == {name: value.strip() for name, value in entered.items() if value.strip()}:
            return latest
    raise ConflictError
