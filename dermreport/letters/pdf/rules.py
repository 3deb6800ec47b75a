"""What of a letter a PDF can't hold as it is: one table. No message holds a character of what was entered."""

from __future__ import annotations

from typing import Final

from dermreport.issues import IssueRule, Severity

_ARCHIVE: Final = "ISO 19005-2 (PDF/A-2), 6.2.11, from memory; ISO 14289-1 (PDF/UA-1), 7.21, from memory"
_WRITER: Final = "the PDF writer of this library"

GLYPH_MISSING: Final = IssueRule(
    "letter-glyph-missing",
    "The fonts at hand lack some characters of this letter: boxes stand in their place, and the file is no archive "
    "file. Check the names on it, and give a folder of fonts that has their script.",
    _ARCHIVE,
    Severity.WARNING,
    "H16",
)
CHARACTER_REPLACED: Final = IssueRule(
    "letter-character-replaced",
    "{count} characters of this letter have no meaning outside the system that entered them: a question mark in a "
    "diamond stands for each. Check the record.",
    "The Unicode Standard, sections 23.1, 23.5 and 23.7, from memory",
    Severity.WARNING,
    "H16",
)
PICTURE_UNREADABLE: Final = IssueRule(
    "letter-picture-unreadable",
    "The picture can't be read: its words stand without it.",
    _WRITER,
    Severity.WARNING,
    "H16",
)
FONTS_UNREADABLE: Final = IssueRule(
    "letter-fonts-unreadable",
    "The folder of fonts has no font that can be read: the built-in ones are taken.",
    _WRITER,
    Severity.WARNING,
)
NOT_ARCHIVABLE: Final = IssueRule(
    "letter-not-archivable",
    "The letter can't be written to the standards for archives and accessibility (PDF/A, PDF/UA): it is written "
    "without them.",
    _WRITER,
    Severity.WARNING,
)
PICTURES_LEFT_OUT: Final = IssueRule(
    "letter-pictures-left-out",
    "The letter can't be written with its pictures: their words stand without them.",
    _WRITER,
    Severity.WARNING,
    "H16",
)
NOT_SET: Final = IssueRule(
    "letter-not-set",
    "The letter can't be set as it should be: it is written as plain lines. Look at it before it is sent.",
    _WRITER,
    Severity.WARNING,
)
WITHOUT_DAY: Final = IssueRule(
    "letter-without-day",
    "Nothing says on which day the letter is written, and a file for archives (PDF/A) needs a day: it is written "
    "without that standard.",
    "ISO 19005-2 (PDF/A-2), 6.6.2, from memory; typst asks for a day",
    Severity.INFORMATION,
)

PDF_RULES: Final = (
    GLYPH_MISSING,
    CHARACTER_REPLACED,
    PICTURE_UNREADABLE,
    FONTS_UNREADABLE,
    NOT_ARCHIVABLE,
    PICTURES_LEFT_OUT,
    NOT_SET,
    WITHOUT_DAY,
)
