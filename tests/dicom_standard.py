"""What the standard asks of a dermoscopic photograph's module, as data, and a check of a file against it.

The rows are those of DICOM PS3.3 2024c, C.8.12.13, table C.8.12.13-1 (Dermoscopic Image Module Attributes), read on
dicom.nema.org; names and types were compared once with the module tables of highdicom 0.28.2, conditions and words
with those of dicom3tools. What a type means is PS3.5, section 7.4.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Callable

    from pydicom.dataset import Dataset


class Row(NamedTuple):
    """One row of the module's table: keyword, tag, VR and VM of PS3.6, type, enumerated values, condition."""

    keyword: str
    tag: int
    vr: str
    vm: str
    type: str
    values: frozenset[str] = frozenset()
    condition: Callable[[Dataset], bool] | None = None


def _contact(data_set: Dataset) -> bool:
    return data_set.get("ContactMethod") == "CONTACT"


ROWS = (
    Row("RecognizableVisualFeatures", 0x00280302, "CS", "1", "1", frozenset({"YES", "NO"})),
    Row("LightSourcePolarization", 0x00161001, "CS", "1", "2", frozenset({"POLARIZED", "NON_POLARIZED"})),
    Row("EmitterColorTemperature", 0x00161002, "DS", "1", "2"),
    Row("ContactMethod", 0x00161003, "CS", "1", "2", frozenset({"CONTACT", "NON_CONTACT"})),
    Row(
        "ImmersionMedia",
        0x00161004,
        "CS",
        "1-n",
        "2C",
        frozenset({"ULTRASOUND_GEL", "ALCOHOL", "WATER", "MINERAL_OIL", "PLASTIC_CAP"}),
        _contact,
    ),
    Row("OpticalMagnificationFactor", 0x00161005, "DS", "1", "2"),
    Row("PartialView", 0x00281350, "CS", "1", "3", frozenset({"YES", "NO"})),
    Row("PartialViewDescription", 0x00281351, "ST", "1", "3"),
    Row("TrackingID", 0x00620020, "UT", "1", "1C", condition=lambda data_set: "TrackingUID" in data_set),
    Row("TrackingUID", 0x00620021, "UI", "1", "1C", condition=lambda data_set: "TrackingID" in data_set),
)


def violations(data_set: Dataset) -> list[str]:
    """Return what in a file breaks the module's table."""
    return [f"{row.keyword}: {problem}" for row in ROWS for problem in _problems(data_set, row)]


def _problems(data_set: Dataset, row: Row) -> list[str]:
    asked = not row.type.endswith("C") or (row.condition is not None and row.condition(data_set))
    if row.keyword not in data_set:
        return ["missing"] if asked and row.type[0] in "12" else []
    element = data_set[row.keyword]
    found = []
    values = [] if element.is_empty else [element.value] if element.VM == 1 else list(element.value)
    if not asked:
        found.append("there without its condition")
    if not values and row.type[0] == "1":
        found.append("empty")
    if row.vm == "1" and len(values) > 1:
        found.append("more than one value")
    if row.values:
        found += [f"not an enumerated value: {value}" for value in values if value not in row.values]
    return found
