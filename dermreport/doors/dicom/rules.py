"""The rules on DICOM files: what can't be read or written, and what to do about it.

No message holds a value of the file: paths are made of the standard's own keywords, parameters of limits.

How the sections are known: read on dicom.nema.org are PS3.3 C.7.10.1, C.8.12.1, C.8.12.13 and C.12.1, PS3.5 B.2 and
PS3.10 7.1; in a copy of 2020 PS3.3 C.12.1.1.8 and C.12.4.1.1. The numbers of the others, and what they say, are from
memory.
"""

from __future__ import annotations

from types import MappingProxyType
from typing import Final, NamedTuple

from dermreport.issues import Issue, Severity

_FORMAT: Final = "DICOM PS3.10, section 7.1"
_ENCODING: Final = "DICOM PS3.5, sections 7.1 and 7.5"
_MODULE: Final = "DICOM PS3.3, C.8.12.13 Dermoscopic Image Module"
_DOOR: Final = "the examination model of this library"


class DicomRule(NamedTuple):
    """One rule on a DICOM file."""

    id: str
    severity: Severity
    message: str
    source: str


_E, _W, _I = Severity.ERROR, Severity.WARNING, Severity.INFORMATION

_TABLE: Final = (
    # The file.
    DicomRule("dicom-not-a-file", _E, "This isn't a DICOM file: nothing is read of it.", _FORMAT),
    DicomRule("dicom-too-large", _E, "The file is larger than {limit} bytes: nothing is read of it.", _DOOR),
    DicomRule(
        "dicom-encoding-unknown",
        _E,
        "How the file is encoded isn't said or not known here: nothing is read of it.",
        "DICOM PS3.10, section 7.1; PS3.5, section 10",
    ),
    DicomRule(
        "dicom-not-inflated",
        _E,
        "The compressed part can't be opened, or is larger than {limit} bytes: nothing is read of it.",
        "DICOM PS3.5, A.5",
    ),
    DicomRule(
        "dicom-truncated",
        _E,
        "The file ends too early: what stood before is read, the picture may not be whole. Ask for the file again.",
        _ENCODING,
    ),
    DicomRule(
        "dicom-broken",
        _E,
        "From here on the file isn't DICOM: what stood before is read. Ask for the file again.",
        _ENCODING,
    ),
    DicomRule("dicom-too-deep", _E, "Sequences stand deeper than {limit} levels: what stood before is read.", _DOOR),
    DicomRule("dicom-too-many", _E, "The file has more than {limit} elements: what stood before is read.", _DOOR),
    DicomRule(
        "dicom-no-picture",
        _W,
        "There is no picture in the file: it ends too early, or was never one. Ask for the file again.",
        "DICOM PS3.3, C.7.6.3",
    ),
    # What it says.
    DicomRule(
        "dicom-light-missing",
        _W,
        "The file doesn't say in which light the picture was taken: record it. Until then it counts as not known.",
        _MODULE,
    ),
    DicomRule(
        "dicom-other-picture",
        _I,
        "By its class this isn't a dermoscopic photograph: what the picture is for is left open.",
        "DICOM PS3.4, B.5",
    ),
    DicomRule(
        "dicom-identifying",
        _W,
        "By the file the picture can show who the patient is: limit who sees it.",
        _MODULE,
    ),
    DicomRule(
        "dicom-word-unknown",
        _W,
        "The standard has no such word here: it is set aside. Look at the file.",
        _MODULE,
    ),
    DicomRule("dicom-not-held", _I, "The record has no place for this: it is set aside.", _DOOR),
    DicomRule("dicom-value-not-held", _W, "The value can't be held: it is set aside. Look at the file.", _DOOR),
    DicomRule("dicom-value-too-long", _W, "The value is longer than {limit} bytes: it isn't read.", _DOOR),
    DicomRule(
        "dicom-wrong-kind", _W, "The value is of another kind than the standard asks: it is set aside.", "DICOM PS3.6"
    ),
    DicomRule(
        "dicom-twice",
        _E,
        "The file says this twice: nobody can tell which is meant, so neither is read.",
        _ENCODING,
    ),
    DicomRule(
        "dicom-text-unreadable",
        _W,
        "The letters of this text can't be read by the character set that the file names: it is set aside.",
        "DICOM PS3.3, C.12.1.1.2",
    ),
    DicomRule(
        "dicom-several",
        _W,
        "The file says several things where one can be held: they are set aside. Look at the file.",
        _DOOR,
    ),
    DicomRule(
        "dicom-time-without-zone",
        _I,
        "The time of day has no zone or no seconds: the day is held, the time is set aside.",
        "DICOM PS3.3, C.12.1.1.8; the examination model of this library",
    ),
    DicomRule(
        "dicom-medium-without-contact",
        _W,
        "The file names a medium but no contact: check which of the two is right.",
        _MODULE,
    ),
    DicomRule(
        "dicom-tracking-half",
        _W,
        "The lesion's number and its label belong together, and one of them is missing: check the file.",
        _MODULE,
    ),
    DicomRule(
        "dicom-sides-differ",
        _E,
        "The file names different sides: none is read. Find out on which side the lesion is.",
        "DICOM PS3.3, C.7.3.1, C.8.12.1 and 10.5",
    ),
    # What is written.
    DicomRule(
        "dicom-not-whole",
        _E,
        "Nothing is written: the file can't be read to its end, isn't in order, or has no picture.",
        _ENCODING,
    ),
    DicomRule(
        "dicom-signed",
        _E,
        "Nothing is written: the file is digitally signed, and a change would make the signature wrong.",
        "DICOM PS3.3, C.12.1.1.3",
    ),
    DicomRule(
        "dicom-not-an-instance",
        _E,
        "Nothing is written: the file doesn't say once which instance of which class it is.",
        "DICOM PS3.3, C.12.1",
    ),
    DicomRule(
        "dicom-differs",
        _E,
        "Nothing is written: the file says something else here. Find out which is right, and whether it is this view.",
        _DOOR,
    ),
    DicomRule(
        "dicom-says-more",
        _I,
        "The file says this, the record doesn't: the file's stays.",
        _DOOR,
    ),
    DicomRule(
        "dicom-no-word",
        _W,
        "The standard's file has no word for this: it is left out, and stands in the record alone.",
        _MODULE,
    ),
    DicomRule(
        "dicom-other-module",
        _I,
        "Another part of the file is for this, which isn't written: it stands in the record alone.",
        "DICOM PS3.3, C.7.5.1 and C.7.10.1",
    ),
    DicomRule(
        "dicom-medium-left-out",
        _W,
        "A medium can be written with contact only: it is left out, and stands in the record alone.",
        _MODULE,
    ),
    DicomRule(
        "dicom-number-left-out",
        _W,
        "The number is longer than {limit} characters: it is left out, and stands in the record alone.",
        "DICOM PS3.5, section 6.2, DS",
    ),
    DicomRule(
        "dicom-other-class",
        _W,
        "By its class this isn't a dermoscopic photograph: what is written extends its class.",
        "DICOM PS3.2, standard extended SOP class",
    ),
    DicomRule(
        "dicom-features-missing",
        _W,
        "The file must say whether the picture can show who the patient is, and doesn't: ask whoever made it.",
        _MODULE,
    ),
    DicomRule(
        "dicom-creation-left-out",
        _I,
        "When the instance was created was true of the former one: it is left out of the new one.",
        "DICOM PS3.3, C.12.1",
    ),
)

DICOM_RULES: Final = MappingProxyType({rule.id: rule for rule in _TABLE})


def dicom_issue(rule: str, path: str, **parameters: str) -> Issue:
    """Return the issue of one rule on DICOM files; parameters are limits, never what stood in the file."""
    row = DICOM_RULES[rule]
    return Issue(
        rule=rule,
        severity=row.severity,
        path=path,
        message=row.message.format(**parameters),
        source=row.source,
        parameters=tuple(parameters.items()),
    )
