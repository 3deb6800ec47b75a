"""What a host decides about letters: one frozen value, passed with each."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum
from pathlib import Path
from types import MappingProxyType

from dermreport.issues import SettingsError, refuse_all
from dermreport.letters.blocks import LetterPart

_CONTROL = re.compile(r"[\x00-\x1f\x7f-\x9f\u2028\u2029]")


class LetterDetail(StrEnum):
    """How much a letter says."""

    SHORT = "short"
    """What the reader needs to act, on one page in a usual case."""
    COMPLETE = "complete"
    """All that the report has."""


class PicturePurpose(StrEnum):
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

    def __post_init__(self) -> None:
        """Refuse what isn't text; no value is in the error."""
        lines = self.lines if isinstance(self.lines, tuple) else (self.lines,)
        texts = (self.name, *lines, *(one for one in (self.phone, self.email) if one is not None))
        if not isinstance(self.lines, tuple) or not all(isinstance(one, str) for one in texts):
            raise SettingsError("letter settings: a party has a name, lines as a tuple of texts, phone and email")
        if not self.name.strip() or any(_CONTROL.search(one) for one in texts):
            raise SettingsError("letter settings: a party has a name that isn't blank, and texts of one line each")


@dataclass(frozen=True, slots=True, kw_only=True)
class Reviewed:
    """Who reviewed a machine-drafted language, and when: without it no patient's copy is written in it.

    Attributes:
        by: Name and profession of the clinician.
        on: Day of the review, as ``2026-11-29``.
    """

    by: str
    on: str

    def __post_init__(self) -> None:
        """Refuse a review without a name or day; no value is in the error."""
        if not isinstance(self.by, str) or not self.by.strip() or not isinstance(self.on, str) or not is_day(self.on):
            raise SettingsError("letter settings: reviewed has a name, and a day as 2026-11-29")


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
        header: Template of lines before the first section; the documentation's page on letters says what it can say.
        footer: Template of lines after the last section.
        page: Template of the whole HTML page.
        fonts: A folder of fonts for the PDF, for scripts that the built-in ones lack.
        purpose: What embedded pictures are for.
    """

    language: str = "en"
    reviewed: Reviewed | None = None
    detail: LetterDetail = LetterDetail.SHORT
    sender: Party | None = None
    recipient: Party | None = None
    written: str | None = None
    contact: str | None = None
    order: tuple[LetterPart, ...] = ()
    wording: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    header: str = ""
    footer: str = ""
    page: str = ""
    fonts: Path | None = None
    purpose: PicturePurpose = PicturePurpose.CARE

    def __post_init__(self) -> None:
        """Take the words for the members, and refuse all that isn't a setting; no value is in the error."""
        refuse_all(self._wrong())
        for name, kind in _WORDS.items():
            object.__setattr__(self, name, kind(getattr(self, name)))
        object.__setattr__(self, "order", tuple(LetterPart(one) for one in self.order))
        object.__setattr__(self, "wording", MappingProxyType(dict(self.wording)))

    def _wrong(self) -> Iterator[str]:
        for name, kind in _WORDS.items():
            given = getattr(self, name)
            if not isinstance(given, str) or given not in set(kind):
                yield f"letter settings: {name} is one of {', '.join(kind)}"
        for name, kinds in _KINDS.items():
            if not isinstance(getattr(self, name), kinds):
                yield f"letter settings: {name} is {_named(kinds)}"
        order: object = self.order
        if not isinstance(order, tuple) or not all(isinstance(one, str) and one in set(LetterPart) for one in order):
            yield f"letter settings: order is a tuple of {', '.join(LetterPart)}"
        if isinstance(self.written, str) and not is_day(self.written):
            yield "letter settings: written is a day, as 2026-03-04"


_WORDS: Mapping[str, type[StrEnum]] = {"detail": LetterDetail, "purpose": PicturePurpose}
_OPTIONAL_TEXT = (str, type(None))
_KINDS: Mapping[str, tuple[type, ...]] = {
    "language": (str,),
    "reviewed": (Reviewed, type(None)),
    "sender": (Party, type(None)),
    "recipient": (Party, type(None)),
    "written": _OPTIONAL_TEXT,
    "contact": _OPTIONAL_TEXT,
    "wording": (Mapping,),
    "header": (str,),
    "footer": (str,),
    "page": (str,),
    "fonts": (Path, type(None)),
}


def _named(kinds: tuple[type, ...]) -> str:
    return " or ".join("None" if kind is type(None) else kind.__name__ for kind in kinds)


def is_day(text: str) -> bool:
    """Return whether a text is a day of the calendar, as ``2026-03-04``."""
    try:
        return len(text) == len("2026-03-04") and date.fromisoformat(text).isoformat() == text
    except ValueError:
        return False
