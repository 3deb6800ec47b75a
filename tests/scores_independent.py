"""The published methods a second time, written from their source tables without the library's scores.

Each function takes a plain dict of facts, every one of them known, and returns the total in points and the verdict,
or nothing where the method has no total. A fact's name is a structure's code (it counts, in the number or area that
the method asks), the path of an answer in the entry, ``colour`` and a colour's code, or a statement that sources or
words leave open. A fact that a dict lacks is false.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from decimal import Decimal
from typing import Any

Facts = Mapping[str, Any]
Outcome = tuple[Decimal, str] | None

BELOW, BETWEEN, ABOVE = "below-threshold", "between-thresholds", "above-threshold"

PINK_IS_RED = "pink counts as red"
BROWN_IS_LIGHT = "brown of a shade not given counts as light brown"
BROWN_IS_DARK = "brown of a shade not given counts as dark brown"


def _yes(facts: Facts, *names: str) -> bool:
    return any(bool(facts.get(name)) for name in names)


def _shades_of_brown(facts: Facts) -> set[str]:
    """Return which of the two shades count. A brown of unknown shade is at least one of them."""
    shades = {shade for shade in ("light-brown", "dark-brown") if facts.get(f"colour {shade}")}
    if facts.get("colour brown"):
        told = {"light-brown"} if facts.get(BROWN_IS_LIGHT) else set()
        if facts.get(BROWN_IS_DARK) or not told:
            told.add("dark-brown")
        shades |= told
    return shades


def _red(facts: Facts) -> bool:
    return bool(facts.get("colour red") or (facts.get("colour pink") and facts.get(PINK_IS_RED)))


AXES = ("first_axis", "second_axis")


def tds(facts: Facts) -> Outcome:
    """Total dermoscopy score: Nachbar 1994, doi:10.1016/s0190-9622(94)70061-3.

    Weights, colours, numbers and areas as printed on https://dshakhmatov.narod.ru/ABCD_Rule.htm (read). Which codes
    stand for a network, a globule or a structureless area is the project's own reading of the consensus terms.
    """
    asymmetry = sum(
        _yes(facts, *(f"whole.{axis}.{aspect}" for aspect in ("contour", "colour", "structure"))) for axis in AXES
    )
    colours = _shades_of_brown(facts)
    if _red(facts):
        colours.add("red")
    if facts.get("colour white") and facts.get("whole.white_paler_than_skin"):
        colours.add("white")
    if _yes(facts, "colour blue", "colour grey"):
        colours.add("blue-grey")
    if facts.get("colour black"):
        colours.add("black")
    structures = [
        _yes(facts, "network", "network-negative"),
        _yes(
            facts,
            "blotch-regular",
            "blotch-irregular",
            "structureless-eccentric",
            "structureless-tan-peripheral",
            "structureless-blue-whole",
            "hypopigmented-area",
            "blue-white-veil",
            "scar-like-area",
        ),
        _yes(facts, "lines-branched"),
        _yes(facts, "dots-brown", "dots-black", "dots-black-peripheral", "dots-irregular", "dots-grey"),
        _yes(facts, "globules", "clods-cobblestone", "clods-black-peripheral"),
    ]
    if not colours or not any(structures):
        return None
    total = (
        Decimal("1.3") * asymmetry
        + Decimal("0.1") * int(facts["whole.border_segments"])
        + Decimal("0.5") * len(colours)
        + Decimal("0.5") * sum(structures)
    )
    return total, ABOVE if total > Decimal("5.45") else BETWEEN if total >= Decimal("4.75") else BELOW


def _seven_criteria(facts: Facts) -> tuple[list[bool], list[bool]]:
    """Return the three major and the four minor criteria.

    Definitions: https://dermoscopy.org/atlas/4step/point_d.htm and https://dermoscopy.org/cnmd/3-UC-2d.htm (read).
    """
    major = [
        _yes(facts, "network-atypical", "network-thick"),
        _yes(facts, "blue-white-veil"),
        _yes(facts, "vessels-atypical"),
    ]
    minor = [
        _yes(facts, "lines-radial", "lines-radial-segmental", "pseudopods"),
        _yes(facts, "dots-irregular", "globules-irregular"),
        _yes(facts, "blotch-irregular"),
        _yes(facts, "regression-structures"),
    ]
    return major, minor


def seven_point(facts: Facts) -> Outcome:
    """Seven-point checklist: Argenziano 1998, doi:10.1001/archderm.134.12.1563 (from memory); 2 and 1 points, 3."""
    major, minor = _seven_criteria(facts)
    total = Decimal(2 * sum(major) + sum(minor))
    return total, ABOVE if total >= 3 else BELOW


def seven_point_revised(facts: Facts) -> Outcome:
    """Revised threshold: Argenziano 2011, doi:10.1111/j.1365-2133.2010.10194.x; at least one of the seven criteria."""
    major, minor = _seven_criteria(facts)
    total = Decimal(sum(major) + sum(minor))
    return total, ABOVE if total >= 1 else BELOW


def three_point(facts: Facts) -> Outcome:
    """Three-point checklist: https://dermnetnz.org/cme/dermoscopy-course/three-point-checklist (read)."""
    criteria = [
        _yes(facts, *(f"whole.{axis}.{aspect}" for axis in AXES for aspect in ("colour", "structure"))),
        _yes(facts, "network-atypical", "network-thick"),
        _yes(
            facts,
            "colour blue",
            "colour white",
            "blue-white-veil",
            "regression-structures",
            "structureless-blue-whole",
            "clods-blue-large",
        ),
    ]
    total = Decimal(sum(criteria))
    return total, ABOVE if total >= 2 else BELOW


def menzies(facts: Facts) -> Outcome:
    """Menzies method: doi:10.1001/archderm.1996.03890340038007.

    Definitions: https://dshakhmatov.narod.ru/Menzies_Method.htm (read).
    """
    colours = _shades_of_brown(facts) | {name for name in ("black", "grey", "blue") if facts.get(f"colour {name}")}
    if _red(facts):
        colours.add("red")
    positive = [
        _yes(facts, "blue-white-veil"),
        _yes(facts, "dots-brown"),
        _yes(facts, "pseudopods"),
        _yes(facts, "lines-radial", "lines-radial-segmental"),
        _yes(facts, "scar-like-area"),
        _yes(facts, "dots-black-peripheral", "clods-black-peripheral"),
        len(colours) >= 5,
        _yes(facts, "dots-grey"),
        _yes(facts, "network-thick"),
    ]
    negative = _yes(facts, "whole.symmetric_all_axes") or len(colours) == 1
    return Decimal(sum(positive)), ABOVE if any(positive) and not negative else BELOW


def weighted_seven_point(facts: Facts) -> Outcome:
    """Weighted seven-point checklist: NICE NG12, as told on https://primarycarenotebook.com/simplepage.cfm?ID=-617283509."""
    major = [
        _yes(facts, "lesion.history.growing.answer"),
        _yes(facts, "lesion.irregular_shape"),
        _yes(facts, "lesion.irregular_colour"),
    ]
    minor = [
        _yes(facts, "lesion.longest_mm"),
        _yes(facts, "lesion.history.inflamed.answer"),
        _yes(facts, "lesion.history.bleeding.answer"),
        _yes(facts, "lesion.history.itching.answer", "lesion.history.pain.answer"),
    ]
    total = Decimal(2 * sum(major) + sum(minor))
    return total, ABOVE if total >= 3 else BELOW


def braaff(facts: Facts) -> Outcome:
    """BRAAFF checklist: doi:10.1111/bjd.14045.

    Points: http://regionalderm.com/Regional_Derm/files/melanoma_acral.html (read).
    """
    total = Decimal(
        _yes(facts, "blotch-irregular")
        + 3 * _yes(facts, "ridge-parallel")
        + _yes(facts, *(f"whole.{axis}.structure" for axis in AXES))
        + _yes(facts, *(f"whole.{axis}.colour" for axis in AXES))
        - _yes(facts, "furrow-parallel")
        - _yes(facts, "fibrillar")
    )
    return total, ABOVE if total >= 1 else BELOW


BY_CODE: dict[str, Callable[[Facts], Outcome]] = {
    "total-dermoscopy-score": tds,
    "seven-point": seven_point,
    "seven-point-revised": seven_point_revised,
    "three-point": three_point,
    "menzies": menzies,
    "weighted-seven-point": weighted_seven_point,
    "braaff": braaff,
}
