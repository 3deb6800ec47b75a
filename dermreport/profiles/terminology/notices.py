"""What the owners of other terminologies ask to be said wherever their codes stand; the whole is in NOTICES.md."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from dermreport.vocabulary.standard_codes import DICOM, LOINC, SNOMED_CT

if TYPE_CHECKING:
    from collections.abc import Iterable

#: LOINC's licence fixes the words of its notice (https://loinc.org/license, section 10); the others are ours.
_NOTICES: Final = {
    SNOMED_CT: "Holds identifiers and names of SNOMED CT®, which is owned by the International Health Terminology "
    "Standards Development Organisation (IHTSDO). Whoever uses them needs the right to use SNOMED CT: from the "
    "release centre of a member country or territory, or by an affiliate licence. This publication doesn't give it.",
    LOINC: "This material contains content from LOINC (http://loinc.org). LOINC is copyright © Regenstrief Institute, "
    "Inc. and the Logical Observation Identifiers Names and Codes (LOINC) Committee and is available at no cost under "
    "the license at http://loinc.org/license. LOINC® is a registered United States trademark of Regenstrief Institute, "
    "Inc.",
    DICOM: "Holds codes and meanings of the DICOM® controlled terminology, copyright © the National Electrical "
    "Manufacturers Association (NEMA).",
}


def notice(systems: Iterable[str]) -> str | None:
    """Return the notices for codes of these systems, in a fixed order; ``None`` where none asks for one."""
    present = frozenset(systems)
    found = [text for system, text in _NOTICES.items() if system in present]
    return " ".join(found) or None
