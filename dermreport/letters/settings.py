"""What a host decides about letters: one frozen value, passed with each."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from pathlib import Path
from types import MappingProxyType

from dermreport.letters.blocks import Part


class Detail(StrEnum):
    """How much a letter says."""

    SHORT = "short"
    """What the reader needs to act, on one page in a usual case."""
    COMPLETE = "complete"
    """All that the report has."""


class Purpose(StrEnum):
    """What a letter's pictures are for: only pictures with consent to it are embedded."""

    CARE = "care"
    TEACHING = "teaching"
    RESEARCH = "research"


@dataclass(frozen=True, slots=True, kw_only=True)
class Party:
    """Who writes, or who is written to.

    Attributes:
        name: Name of the practice, department or person.
        lines: Address, a line each.
        phone: Telephone number.
        email: E-mail address.
    """

    name: str
    lines: tuple[str, ...] = ()
    phone: str | None = None
    email: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Reviewed:
    """Who reviewed a machine-drafted language, and when: without it no patient's copy is written in it.

    Attributes:
        by: Name and profession of the clinician.
        on: Day of the review, as ``2026-11-29``.
    """

    by: str
    on: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LetterSettings:
    """What a host decides about letters.

    Attributes:
        language: Language tag of our words; what was entered stays as it was entered.
        reviewed: Who reviewed that language, where it is a machine's draft.
        detail: ``short`` or ``complete``.
        sender: Who writes; without it the examiner alone.
        recipient: Who is written to.
        written: Day on the letter, as ``2026-03-04``; without it the day on which the entry was recorded, or examined.
        contact: Whom the patient calls, where the record doesn't say it.
        order: Parts in the host's order; parts that aren't named follow in ours. What calls for action stays first.
        wording: Our sentences in the host's words, by their key; the names in braces stay.
        header: Template of lines before the first section; see the README for what it can say.
        footer: Template of lines after the last section.
        page: Template of the whole HTML page.
        fonts: A folder of fonts for the PDF, for scripts that the built-in ones lack.
        purpose: What embedded pictures are for.
    """

    language: str = "en"
    reviewed: Reviewed | None = None
    detail: Detail = Detail.SHORT
    sender: Party | None = None
    recipient: Party | None = None
    written: str | None = None
    contact: str | None = None
    order: tuple[Part, ...] = ()
    wording: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    header: str = ""
    footer: str = ""
    page: str = ""
    fonts: Path | None = None
    purpose: Purpose = Purpose.CARE
