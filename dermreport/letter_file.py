"""A finished letter: bytes that a host stores, sends or hands to a report."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from dermreport.issues import Issue


class LetterFormat(StrEnum):
    """How a letter is written."""

    TEXT = "text"
    HTML = "html"
    PDF = "pdf"


class LetterKind(StrEnum):
    """Who a letter is for."""

    REFERRAL = "referral"
    """To the colleague who takes over."""
    PATIENT = "patient"
    """To the patient, in plain language."""
    PATHOLOGIST = "pathologist"
    """With the specimen."""


@dataclass(frozen=True, slots=True)
class LetterFile:
    """A finished letter.

    Attributes:
        content: Its bytes; text and HTML are UTF-8.
        media_type: ``text/plain; charset=utf-8``, ``text/html; charset=utf-8`` or ``application/pdf``.
        name: A file name that holds nothing of the patient.
        title: Its title: who it is for, nothing of the patient.
        kind: Who it is for.
        language: Language tag of its words.
        written: When it was written, as it stands on it; empty where nothing says it.
        reports: The reports that it is made of: system and number of each, and its revision.
        issues: What couldn't be written as asked. None of them withholds the letter.
    """

    content: bytes = field(repr=False)
    media_type: str
    name: str
    title: str
    kind: LetterKind
    language: str
    written: str
    reports: tuple[tuple[str, str, int], ...] = field(default=(), repr=False)
    issues: tuple[Issue, ...] = ()

    @property
    def text(self) -> str:
        """The letter as text.

        Raises:
            UnicodeDecodeError: It is a PDF.
        """
        return self.content.decode("utf-8")
