"""The rules on DICOM files: what can't be read or written, and what to do about it.

No message holds a value of the file: paths are made of the standard's own keywords, parameters of limits.

How the sections are known: read on dicom.nema.org are PS3.3 C.7.10.1, C.8.12.1, C.8.12.13 and C.12.1, PS3.5 B.2 and
PS3.10 7.1; in a copy of 2020 PS3.3 C.12.1.1.8 and C.12.4.1.1. The numbers of the others, and what they say, are from
memory.
"""

from __future__ import annotations

from types import MappingProxyType
from typing import Final

from dermreport.issues import Issue, IssueRule, Severity

_FORMAT: Final = "DICOM PS3.10, section 7.1"
_ENCODING: Final = "DICOM PS3.5, sections 7.1 and 7.5"
_MODULE: Final = "DICOM PS3.3, C.8.12.13 Dermoscopic Image Module"
_DOOR: Final = "the examination model of this library"


_W, _I = Severity.WARNING, Severity.INFORMATION

_TABLE: Final = (
    # The file.
    IssueRule("dicom-not-a-file", "This isn't a DICOM file: nothing is read of it.", _FORMAT),
    IssueRule("dicom-too-large", "The file is larger than {limit} bytes: nothing is read of it.", _DOOR),
    IssueRule(
        "dicom-encoding-unknown",
        "How the file is encoded isn't said or not known here: nothing is read of it.",
        "DICOM PS3.10, section 7.1; PS3.5, section 10",
    ),
    IssueRule(
        "dicom-not-inflated",
        "The compressed part can't be opened, or is larger than {limit} bytes: nothing is read of it.",
        "DICOM PS3.5, A.5",
    ),
    IssueRule(
        "dicom-truncated",
        "The file ends too early: what stood before is read, the picture may not be whole. Ask for the file again.",
        _ENCODING,
    ),
    IssueRule(
        "dicom-broken",
        "From here on the file isn't DICOM: what stood before is read. Ask for the file again.",
        _ENCODING,
    ),
    IssueRule("dicom-too-deep", "Sequences stand deeper than {limit} levels: what stood before is read.", _DOOR),
    IssueRule("dicom-too-many", "The file has more than {limit} elements: what stood before is read.", _DOOR),
    IssueRule(
        "dicom-no-picture",
        "There is no picture in the file: it ends too early, or was never one. Ask for the file again.",
        "DICOM PS3.3, C.7.6.3",
        _W,
    ),
    # What it says.
    IssueRule(
        "dicom-light-missing",
        "The file doesn't say in which light the picture was taken: record it. Until then it counts as not known.",
        _MODULE,
        _W,
    ),
    IssueRule(
        "dicom-other-picture",
        "By its class this isn't a dermoscopic photograph: what the picture is for is left open.",
        "DICOM PS3.4, B.5",
        _I,
    ),
    IssueRule(
        "dicom-identifying", "By the file the picture can show who the patient is: limit who sees it.", _MODULE, _W
    ),
    IssueRule(
        "dicom-word-unknown", "The standard has no such word here: it is set aside. Look at the file.", _MODULE, _W
    ),
    IssueRule("dicom-not-held", "The record has no place for this: it is set aside.", _DOOR, _I),
    IssueRule("dicom-value-not-held", "The value can't be held: it is set aside. Look at the file.", _DOOR, _W),
    IssueRule("dicom-value-too-long", "The value is longer than {limit} bytes: it isn't read.", _DOOR, _W),
    IssueRule(
        "dicom-wrong-kind", "The value is of another kind than the standard asks: it is set aside.", "DICOM PS3.6", _W
    ),
    IssueRule(
        "dicom-twice", "The file says this twice: nobody can tell which is meant, so neither is read.", _ENCODING
    ),
    IssueRule(
        "dicom-text-unreadable",
        "The letters of this text can't be read by the character set that the file names: it is set aside.",
        "DICOM PS3.3, C.12.1.1.2",
        _W,
    ),
    IssueRule(
        "dicom-several",
        "The file says several things where one can be held: they are set aside. Look at the file.",
        _DOOR,
        _W,
    ),
    IssueRule(
        "dicom-time-without-zone",
        "The time of day has no zone or no seconds: the day is held, the time is set aside.",
        "DICOM PS3.3, C.12.1.1.8; the examination model of this library",
        _I,
    ),
    IssueRule(
        "dicom-medium-without-contact",
        "The file names a medium but no contact: check which of the two is right.",
        _MODULE,
        _W,
    ),
    IssueRule(
        "dicom-tracking-half",
        "The lesion's number and its label belong together, and one of them is missing: check the file.",
        _MODULE,
        _W,
    ),
    IssueRule(
        "dicom-sides-differ",
        "The file names different sides: none is read. Find out on which side the lesion is.",
        "DICOM PS3.3, C.7.3.1, C.8.12.1 and 10.5",
    ),
    # What is written.
    IssueRule(
        "dicom-not-whole",
        "Nothing is written: the file can't be read to its end, isn't in order, or has no picture.",
        _ENCODING,
    ),
    IssueRule(
        "dicom-signed",
        "Nothing is written: the file is digitally signed, and a change would make the signature wrong.",
        "DICOM PS3.3, C.12.1.1.3",
    ),
    IssueRule(
        "dicom-not-an-instance",
        "Nothing is written: the file doesn't say once which instance of which class it is.",
        "DICOM PS3.3, C.12.1",
    ),
    IssueRule(
        "dicom-differs",
        "Nothing is written: the file says something else here. Find out which is right, and whether it is this view.",
        _DOOR,
    ),
    IssueRule("dicom-says-more", "The file says this, the record doesn't: the file's stays.", _DOOR, _I),
    IssueRule(
        "dicom-no-word",
        "The standard's file has no word for this: it is left out, and stands in the record alone.",
        _MODULE,
        _W,
    ),
    IssueRule(
        "dicom-other-module",
        "Another part of the file is for this, which isn't written: it stands in the record alone.",
        "DICOM PS3.3, C.7.5.1 and C.7.10.1",
        _I,
    ),
    IssueRule(
        "dicom-medium-left-out",
        "A medium can be written with contact only: it is left out, and stands in the record alone.",
        _MODULE,
        _W,
    ),
    IssueRule(
        "dicom-number-left-out",
        "The number is longer than {limit} characters: it is left out, and stands in the record alone.",
        "DICOM PS3.5, section 6.2, DS",
        _W,
    ),
    IssueRule(
        "dicom-other-class",
        "By its class this isn't a dermoscopic photograph: what is written extends its class.",
        "DICOM PS3.2, standard extended SOP class",
        _W,
    ),
    IssueRule(
        "dicom-features-missing",
        "The file must say whether the picture can show who the patient is, and doesn't: ask whoever made it.",
        _MODULE,
        _W,
    ),
    IssueRule(
        "dicom-creation-left-out",
        "When the instance was created was true of the former one: it is left out of the new one.",
        "DICOM PS3.3, C.12.1",
        _I,
    ),
)

DICOM_RULES: Final = MappingProxyType({rule.id: rule for rule in _TABLE})


def dicom_issue(rule: str, path: str, **parameters: str) -> Issue:
    """Return the issue of one rule on DICOM files; parameters are limits, never what stood in the file."""
    return DICOM_RULES[rule].at(path, **parameters)
