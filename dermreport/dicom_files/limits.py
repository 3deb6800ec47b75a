"""How much of somebody else's DICOM file is read at most: what is more costs nothing but the look at it."""

from __future__ import annotations

from dataclasses import dataclass, fields

from dermreport.issues import refuse_all, wrong_counts


@dataclass(frozen=True, slots=True, kw_only=True)
class DicomLimits:
    """What is read at most.

    Attributes:
        size: Bytes of the file, pixel data and all.
        inflated: Bytes of a deflated data set once it is inflated.
        elements: Data elements, items and delimiters that are stepped over.
        depth: How deep sequences and items may stand in one another.
        value: Bytes of a value that is decoded.
    """

    size: int = 256 * 1024 * 1024
    inflated: int = 256 * 1024 * 1024
    elements: int = 100_000
    depth: int = 64
    value: int = 16 * 1024

    def __post_init__(self) -> None:
        """Refuse what isn't a limit; no value is in the error."""
        refuse_all(wrong_counts("limits", {one.name: getattr(self, one.name) for one in fields(self)}))


DEFAULT_DICOM_LIMITS = DicomLimits()
