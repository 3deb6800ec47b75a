"""The record: the entry's exact text, one row a revision; rows are added, never changed and never deleted."""

from __future__ import annotations

from typing import Any, NoReturn

from django.conf import settings
from django.db import models


class AppendOnlyError(Exception):
    """Somebody tried to change or delete what is only added to."""


class AppendOnly(models.QuerySet):
    """Rows that are added only; the database refuses the same, whoever asks it."""

    def update(self, **_: Any) -> NoReturn:  # noqa: ANN401 - what is refused
        """Refuse."""
        raise AppendOnlyError

    def delete(self) -> NoReturn:
        """Refuse."""
        raise AppendOnlyError


class Examination(models.Model):
    """One examination; its number says nothing of the patient, so it can stand in addresses and logs."""

    number = models.UUIDField(primary_key=True)
    opened = models.DateTimeField(auto_now_add=True)
    opened_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT)

    class Meta:
        """The newest first."""

        ordering = ("-opened",)

    def __str__(self) -> str:
        """Its number."""
        return str(self.number)

    @property
    def latest(self) -> Revision | None:
        """The revision that counts."""
        return self.revisions.order_by("-revision").first()


class Revision(models.Model):
    """One revision of an examination, as it was entered.

    ``word`` and ``errors`` are what the library said when it was saved, for lists; what counts is said anew from the
    text, by the library that is installed.
    """

    examination = models.ForeignKey(Examination, on_delete=models.PROTECT, related_name="revisions")
    revision = models.PositiveIntegerField()
    entry = models.TextField(help_text="The entry as JSON, digit for digit")
    word = models.CharField(max_length=64)
    errors = models.PositiveIntegerField()
    saved = models.DateTimeField(auto_now_add=True)
    saved_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT)

    objects = AppendOnly.as_manager()

    class Meta:
        """One row a revision."""

        constraints = [models.UniqueConstraint(fields=("examination", "revision"), name="one_row_a_revision")]

    def __str__(self) -> str:
        """Its numbers."""
        return f"{self.examination_id} revision {self.revision}"

    def save(self, *args: Any, **kwargs: Any) -> None:  # noqa: ANN401 - Django's
        """Add it; a row that is there isn't changed."""
        if not self._state.adding:
            raise AppendOnlyError
        super().save(*args, **{**kwargs, "force_insert": True})

    def delete(self, *_: Any, **__: Any) -> NoReturn:  # noqa: ANN401 - Django's
        """Refuse."""
        raise AppendOnlyError


class Outgoing(models.Model):
    """A revision that has to go to the FHIR server: written with the revision, or neither is."""

    revision = models.OneToOneField(Revision, on_delete=models.PROTECT)
    urgent = models.BooleanField()
    handed_over = models.DateTimeField(null=True)

    class Meta:
        """The urgent ones first."""

        ordering = ("-urgent", "id")

    def __str__(self) -> str:
        """Its revision."""
        return str(self.revision)
