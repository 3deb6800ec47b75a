"""A letter as a tree of blocks: what it says and in which order, before anybody decides how it looks.

Writers of text, HTML and PDF read this tree and nothing else. Words that somebody entered are :class:`Entered`, so that
a writer can set them apart: a name in another script must not turn the words round it.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from dermreport.letter_file import LetterKind


class Entered(str):
    """Words that somebody entered: a name, a note, an address. They are data, whatever they look like."""

    __slots__ = ()


#: One line of a letter: our words as ``str``, entered ones as :class:`Entered`; joined they are the text.
Line = tuple[str, ...]


class LetterPart(StrEnum):
    """Parts of a letter, as a host orders them; each kind of letter has some of them."""

    FIRST = "first"
    PATIENT = "patient"
    REASON = "reason"
    LESION = "lesion"
    SPECIMEN = "specimen"
    VIEWS = "views"
    FINDINGS = "findings"
    SCORES = "scores"
    ASSESSMENT = "assessment"
    OUTCOMES = "outcomes"
    PLAN = "plan"
    TOLD = "told"
    WATCH = "watch"
    CONTACT = "contact"
    PATHWAY = "pathway"
    HISTORY = "history"
    OPERATOR = "operator"
    CHECK = "check"
    GAPS = "gaps"
    IMAGES = "images"
    PLUGINS = "plugins"
    CAUTIONS = "cautions"
    SIGNATURE = "signature"
    REPORT = "report"


class Tone(StrEnum):
    """How a paragraph stands out; a writer shows it by more than colour."""

    PLAIN = "plain"
    URGENT = "urgent"
    """What calls for action: framed, bold, and first."""
    WARNING = "warning"
    SMALL = "small"


@dataclass(frozen=True, slots=True)
class Paragraph:
    """One paragraph."""

    line: Line
    tone: Tone = Tone.PLAIN


@dataclass(frozen=True, slots=True)
class Items:
    """A list whose order says nothing."""

    lines: tuple[Line, ...]
    tone: Tone = Tone.PLAIN


@dataclass(frozen=True, slots=True)
class Fact:
    """One labelled fact; its lines stand under each other."""

    label: str
    lines: tuple[Line, ...]


@dataclass(frozen=True, slots=True)
class Facts:
    """Labelled facts, a row each: a list of labels, each with what it says."""

    rows: tuple[Fact, ...]


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture to embed.

    Attributes:
        content: Its bytes: SVG, PNG or JPEG.
        media_type: ``image/svg+xml``, ``image/png`` or ``image/jpeg``.
        words: What it shows, for who can't see it; in words of a letter, so entered ones are marked.
        width: Width over the writer's text width, 0 to 1.
    """

    content: bytes
    media_type: str
    words: Line
    width: float = 0.3


@dataclass(frozen=True, slots=True)
class Figure:
    """A picture with its caption."""

    picture: Picture
    caption: Line


@dataclass(frozen=True, slots=True)
class Figures:
    """Figures side by side; they wrap where they don't fit."""

    figures: tuple[Figure, ...]


@dataclass(frozen=True, slots=True)
class Beside:
    """Facts with a figure beside them; text writers give the figure's words under the facts."""

    facts: Facts
    figure: Figure


@dataclass(frozen=True, slots=True)
class Code:
    """A machine-readable code, with the same in words under it.

    Attributes:
        content: What the code says.
        picture: The code as a picture.
        caption: What it is.
    """

    content: str
    picture: Picture | None
    caption: Line


@dataclass(frozen=True, slots=True)
class Signature:
    """Where somebody signs: a line to sign on, and who it is.

    Attributes:
        lines: Who, in which role, when.
        codes: Codes that stand beside it.
    """

    lines: tuple[Line, ...]
    codes: tuple[Code, ...] = ()


Block = Paragraph | Items | Facts | Figures | Beside | Code | Signature


@dataclass(frozen=True, slots=True)
class Section:
    """One part of a letter.

    Attributes:
        part: Which one.
        heading: What stands above it; empty where nothing does.
        blocks: What it says.
        level: 2, or 3 under a lesion's heading.
    """

    part: LetterPart
    heading: Line
    blocks: tuple[Block, ...]
    level: int = 2


@dataclass(frozen=True, slots=True)
class Tree:
    """A whole letter.

    Attributes:
        kind: Who it is for.
        language: Language tag of our words, as ``en``.
        title: Its title; the only level-1 heading.
        running: Stands on every page: who it is about, and the report. It is in no metadata.
        subject: What the file is called in metadata: kind and number, nothing of the patient.
        sender: The sender's lines.
        recipient: The recipient's lines.
        date: The date's line; empty where none is given.
        banner: Lines above everything, as that a translation is a machine's draft.
        header: The host's own lines before the first section.
        footer: The host's own lines after the last section.
        sections: The parts, in order.
        written: The day on it, of the entry or the host, for metadata; the library reads no clock.
    """

    kind: LetterKind
    language: str
    title: Line
    running: Line
    subject: str
    sender: tuple[Line, ...]
    recipient: tuple[Line, ...]
    date: Line
    banner: tuple[Line, ...]
    header: tuple[Line, ...]
    footer: tuple[Line, ...]
    sections: tuple[Section, ...]
    written: str


def plain(line: Line) -> str:
    """Return a line as text."""
    return "".join(line)
