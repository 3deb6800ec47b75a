"""Why a picture isn't embedded in a letter, or what its reader should know; no message holds an entered value."""

from __future__ import annotations

from types import MappingProxyType
from typing import Final

from dermreport.issues import Issue, IssueRule, Severity
from dermreport.sources import COMMON_PRACTICE

_E, _W, _I = Severity.ERROR, Severity.WARNING, Severity.INFORMATION
_PRACTICE: Final = COMMON_PRACTICE.text
_LETTERS: Final = "the letters of this library"
_JPEG: Final = "ITU-T T.81; ISO/IEC 15948 (PNG)"

_TABLE: Final = (
    IssueRule(
        "letter-picture-consent",
        "Consent to show the picture for {purpose} is {consent}: it is listed, and not embedded.",
        _PRACTICE,
        _W,
        "H15",
    ),
    IssueRule(
        "letter-picture-differs",
        "These aren't the bytes that were recorded, by their hash or size: it may be another picture. It isn't "
        "embedded. Find out which is right.",
        _PRACTICE,
        _E,
        "H26",
    ),
    IssueRule(
        "letter-picture-no-hash",
        "No hash of the picture was recorded: nobody can tell whether this is the one. Record it with the picture.",
        _PRACTICE,
        _I,
        "H26",
    ),
    IssueRule("letter-picture-kind", "This is no JPEG, PNG or DICOM file: it isn't embedded.", _LETTERS, _W),
    IssueRule(
        "letter-picture-two-kinds",
        "The file is of two kinds at once, and each reader would see another one: it isn't embedded.",
        _LETTERS,
        _W,
        "H26",
    ),
    IssueRule(
        "letter-picture-other-kind",
        "The file is of another kind than was recorded. It is embedded by what it is.",
        _LETTERS,
        _I,
        "H26",
    ),
    IssueRule(
        "letter-picture-too-large",
        "The file is larger than {limit} bytes: it isn't embedded. Give a smaller copy, or raise the limit.",
        _LETTERS,
        _W,
    ),
    IssueRule(
        "letter-picture-too-many-pixels",
        "The picture has more than {limit} pixels: it isn't embedded. Give a smaller copy, or raise the limit.",
        _LETTERS,
        _W,
    ),
    IssueRule(
        "letter-picture-too-many-passes",
        "The picture is drawn in more than {limit} passes: it isn't embedded. Give another copy.",
        _JPEG,
        _W,
    ),
    IssueRule(
        "letter-picture-result-too-large",
        "The embedded picture would be larger than {limit} bytes: it is left out. Choose a shorter side, or raise the "
        "limit.",
        _LETTERS,
        _W,
    ),
    IssueRule(
        "letter-picture-broken",
        "The picture can't be read to its end: it isn't embedded. Ask for the file again.",
        _JPEG,
        _W,
    ),
    IssueRule(
        "letter-picture-several",
        "The file holds several pictures, and nobody can tell which is meant: it isn't embedded.",
        "DICOM PS3.3, C.7.6.6; W3C PNG, third edition, section 4.9",
        _W,
    ),
    IssueRule(
        "letter-picture-encoding",
        "The pixels are encoded in a way that isn't read here: it isn't embedded. Give it as JPEG or PNG.",
        "DICOM PS3.3, C.7.6.3; PS3.5, annex A",
        _W,
    ),
    IssueRule(
        "letter-picture-colours",
        "Which colours are meant isn't said or can't be read: it isn't embedded, for colours are looked at.",
        "ICC.1; ITU-T T.81",
        _W,
        "H26",
    ),
    IssueRule(
        "letter-picture-written-on",
        "By the file, words stand in the picture itself, and can name the patient: it isn't embedded.",
        "DICOM PS3.3, C.7.6.1",
        _W,
        "H15",
    ),
    IssueRule(
        "letter-picture-recognisable",
        "By the file the picture can show who the patient is: for {purpose} it isn't embedded.",
        "DICOM PS3.3, C.8.12.13",
        _W,
        "H15",
    ),
)

PICTURE_RULES: Final = MappingProxyType({rule.id: rule for rule in _TABLE})


def picture_issue(rule: str, path: str, **parameters: str) -> Issue:
    """Return the issue of one rule on pictures; parameters are codes and limits."""
    return PICTURE_RULES[rule].at(path, **parameters)
