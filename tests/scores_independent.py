"""The published methods a second time, written from their source tables without the library's scores.

Each function takes a plain dict of facts, every one of them known, and returns the total in points and the verdict,
or nothing where the method has no total. A fact's name is a structure's code (it counts, in the number or area that
the method asks), the path of an answer in the entry, ``colour`` and a colour's code, or a statement that sources or
words leave open. A fact that a dict lacks is false.

Sequences and lists have no total: a function of their own returns the end of the sequence, or the signs that are met.
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
GREY_IS_BLUE = "grey counts as blue"
BRANCHED_ARE_THICK = "the branched lines are thick"
DISORDER_AS_A_WHOLE = "the lesion as a whole is in disorder"
BLUE_AND_BLACK_ARE_A_TENTH = "blue and black together make up a tenth of the lesion"

#: The answers on which a method's last step rests, and the statement that no impression contradicts them.
UNEQUIVOCAL = "assessment.unequivocal"
IMPRESSIONS = "assessment.impressions"
ARCHITECTURE = "whole.architecture"
PALM_OR_SOLE = "palm or sole"
NOT_RECORDED = "not recorded"


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


#: The nine shapes of vessels of the consensus on terms, doi:10.1016/j.jaad.2015.12.038.
VESSEL_SHAPES = tuple(
    f"vessels-{shape}"
    for shape in (
        "dotted",
        "coiled",
        "looped",
        "serpentine",
        "straight",
        "helical",
        "curved",
        "branched",
        "short-fine",
    )
)


def _polymorphous(facts: Facts) -> bool:
    """More than one shape of vessels: https://dermnetnz.org/cme/teledermatology-skin-cancer/diagnostic-methods/."""
    return _yes(facts, "vessels-polymorphous") or sum(_yes(facts, shape) for shape in VESSEL_SHAPES) > 1


def _asymmetric_axes(facts: Facts, *aspects: str) -> int:
    return sum(_yes(facts, *(f"whole.{axis}.{aspect}" for aspect in aspects)) for axis in AXES)


def _only_taken_for(facts: Facts, *impressions: str) -> bool:
    """The clinician has no doubt at all, and names nothing but these."""
    named = facts.get(IMPRESSIONS) or ()
    return _yes(facts, UNEQUIVOCAL) and bool(named) and set(named) <= set(impressions)


def cash(facts: Facts) -> Outcome:
    """CASH algorithm: Henning 2007, doi:10.1016/j.jaad.2006.09.003; at or above 8 (abstract read).

    Items and points: https://newmedicalterms.com/classic-medicine-2/dermatology/cash-system/ (read). Its six colours
    hold neither grey nor pink. That the lowest total is 2, so that one structure at least is there, is from memory.
    """
    colours = _shades_of_brown(facts) | {name for name in ("black", "white") if facts.get(f"colour {name}")}
    if _red(facts):
        colours.add("red")
    if facts.get("colour blue") or (facts.get("colour grey") and facts.get(GREY_IS_BLUE)):
        colours.add("blue")
    structures = [
        _yes(facts, "network", "network-negative"),
        _yes(facts, "dots-brown", "dots-black", "globules", "clods-black-peripheral"),
        _yes(facts, "blotch-regular", "blotch-irregular"),
        _yes(facts, "regression-structures"),
        _yes(facts, "lines-radial", "pseudopods"),
        _yes(facts, "blue-white-veil"),
        _polymorphous(facts),
    ]
    if not colours or not any(structures):
        return None
    disorder = {"moderate-disorder": 1, "marked-disorder": 2}.get(facts.get(ARCHITECTURE) or "", 0)
    total = Decimal(
        len(colours) + disorder + _asymmetric_axes(facts, "contour", "colour", "structure") + sum(structures)
    )
    return total, ABOVE if total >= 8 else BELOW


def chaos_and_clues(facts: Facts) -> Outcome:
    """Revised pattern analysis: nine clues, https://dermnetnz.org/cme/teledermatology-skin-cancer/diagnostic-methods/.

    Chaos is asymmetry of colour or structure whatever the outline, and an asymmetry that can't be decided counts:
    https://practicaldermatology.com/topics/skin-cancer-photoprotection/dermatoscopy-chaos-and-clues/21345. An
    unequivocal seborrhoeic keratosis is left out:
    https://ausdoc.com.au/dermoscopy/border-abruptness-pigmented-skin-lesions (openings read).
    """
    clues = [
        _yes(facts, "structureless-eccentric"),
        _yes(facts, "network-thick") or (_yes(facts, "lines-branched") and _yes(facts, BRANCHED_ARE_THICK)),
        _yes(
            facts,
            "colour grey",
            "colour blue",
            "dots-grey",
            "blue-white-veil",
            "structureless-blue-whole",
            "circles-grey",
            "globules-slate-grey",
            "clods-blue-large",
            "clods-blue-multiple",
            "blue-black-colour",
        ),
        _yes(facts, "dots-black-peripheral", "clods-black-peripheral", "dots-black"),
        _yes(facts, "lines-radial-segmental", "lines-radial", "pseudopods"),
        _yes(facts, "lines-white-perpendicular", "shiny-white-strands", "network-white"),
        _polymorphous(facts),
        _yes(facts, "lines-angulated"),
        _yes(facts, "ridge-parallel") and _yes(facts, PALM_OR_SOLE),
    ]
    chaos = _asymmetric_axes(facts, "colour", "structure") > 0
    total = Decimal(sum(clues))
    if not chaos or _only_taken_for(facts, "seborrhoeic-keratosis"):
        return total, BELOW
    return total, ABOVE if total >= 1 else BELOW


def _triage_parts(facts: Facts) -> tuple[bool, list[bool]]:
    """Return whether the lesion is disorganised, and the six features.

    https://dermoscopedia.org/05-TADA and https://dermnetnz.org/cme/teledermatology-skin-cancer/diagnostic-methods/.
    """
    architecture = facts.get(ARCHITECTURE)
    axes = _asymmetric_axes(facts, "colour", "structure")
    if architecture:
        disorganised = architecture in {"moderate-disorder", "marked-disorder"}
    else:
        disorganised = axes == len(AXES) or (axes == 1 and _yes(facts, DISORDER_AS_A_WHOLE))
    features = [
        _yes(facts, "pattern-starburst"),
        _yes(facts, "colour grey", "blue-black-colour") or (_yes(facts, "colour blue") and _yes(facts, "colour black")),
        _yes(facts, "lines-white-perpendicular", "shiny-white-strands", "shiny-white-areas", "rosettes"),
        _yes(facts, "network-negative"),
        _yes(facts, *VESSEL_SHAPES),
        _yes(facts, "lesion.ulcerated", "ulceration", "erosions-small-multiple"),
    ]
    return disorganised, features


_HARMLESS_AT_FIRST_SIGHT = ("seborrhoeic-keratosis", "dermatofibroma", "haemangioma")


def triage(facts: Facts) -> Outcome:
    """Triage amalgamated algorithm: Rogers 2016, doi:10.3122/jabfm.2016.06.160079 (abstract read).

    Disorder alone is enough and so is a feature alone: https://dermoscopedia.org/05-TADA.
    """
    disorganised, features = _triage_parts(facts)
    total = Decimal(disorganised + sum(features))
    if _only_taken_for(facts, *_HARMLESS_AT_FIRST_SIGHT):
        return total, BELOW
    return total, ABOVE if total >= 1 else BELOW


def triage_needing_both(facts: Facts) -> str:
    """Return the verdict by the source that words it as disorder together with a feature.

    https://dermnetnz.org/cme/teledermatology-skin-cancer/diagnostic-methods/. It contradicts the page of the other
    reading, which is the more careful one.
    """
    disorganised, features = _triage_parts(facts)
    if _only_taken_for(facts, *_HARMLESS_AT_FIRST_SIGHT):
        return BELOW
    return ABOVE if disorganised and any(features) else BELOW


HISTOLOGY, FOLLOW_UP, NO_FOLLOW_UP = "histology", "follow-up", "no follow-up"


def _typical_of_volar_skin(facts: Facts) -> bool:
    """A fibrillar pattern is typical only where it is regular: doi:10.5826/dpc.0404a08."""
    return _yes(facts, "furrow-parallel", "lattice-like", "fibrillar")


def acral_end_revised(facts: Facts) -> str:
    """Three-step algorithm, authors' revision: https://docslib.org/doc/10735953 (read in part).

    Ridge pattern, then the typical patterns, then more than 7 mm.
    """
    if facts.get("ridge-parallel"):
        return HISTOLOGY
    if _typical_of_volar_skin(facts):
        return NO_FOLLOW_UP
    return HISTOLOGY if facts.get("lesion.longest_mm") else FOLLOW_UP


def acral_end_original(facts: Facts) -> str:
    """Three-step algorithm in its first order: the same letter gives it with its numbers."""
    if facts.get("ridge-parallel"):
        return HISTOLOGY
    if not facts.get("lesion.longest_mm"):
        return FOLLOW_UP
    return FOLLOW_UP if _typical_of_volar_skin(facts) else HISTOLOGY


def _acral_three_step(end: Callable[[Facts], str]) -> Callable[[Facts], Outcome]:
    def outcome(facts: Facts) -> Outcome:
        large_and_untypical = _yes(facts, "lesion.longest_mm") and not _typical_of_volar_skin(facts)
        total = Decimal(_yes(facts, "ridge-parallel") + large_and_untypical)
        return total, ABOVE if end(facts) == HISTOLOGY else BELOW

    return outcome


def _six_of_basal_cell(facts: Facts) -> dict[str, bool]:
    """Menzies 2000, abstract read; what stands for a nest or a wheel: doi:10.1016/j.jaad.2015.12.038."""
    return {
        "ulceration": _yes(facts, "ulceration", "lesion.ulcerated"),
        "large grey-blue ovoid nests": _yes(facts, "clods-blue-large"),
        "multiple grey-blue globules": _yes(facts, "clods-blue-multiple"),
        "leaf-like areas": _yes(facts, "lines-radial-common-base"),
        "spoke-wheel areas": _yes(facts, "lines-radial-converging", "clod-within-clod"),
        "arborising vessels": _yes(facts, "vessels-branched"),
    }


def pigmented_basal_cell(facts: Facts) -> Outcome:
    """Model for pigmented basal cell carcinoma: Menzies 2000, Arch Dermatol (abstract read)."""
    total = Decimal(sum(_six_of_basal_cell(facts).values()))
    return total, ABOVE if total >= 1 and not _yes(facts, "network") else BELOW


def mucosal(facts: Facts) -> Outcome:
    """Structureless zone with blue, grey or white: Blum 2011, Arch Dermatol 147:1181-7 (abstract read)."""
    total = Decimal(_yes(facts, "mucosal-structureless-blue-grey-white"))
    return total, ABOVE if total >= 1 else BELOW


def elevated_firm_growing(facts: Facts) -> Outcome:
    """All three for over a month: https://optimalcarepathways.com.au/ocp-mna-step-section-2-1/ (read)."""
    total = Decimal(
        sum(
            _yes(facts, name) for name in ("lesion.elevation", "lesion.palpation.consistency", "lesion.history.growing")
        )
    )
    return total, ABOVE if total >= 3 else BELOW


def blue_black(facts: Facts) -> Outcome:
    """Blue and black in a tenth of a raised lesion: Argenziano 2011, doi:10.1111/j.1365-2133.2011.10621.x (abstract).

    ``blue-black-colour`` is true where it was found in a tenth, false where it was found in less or not found, and
    says so where nobody recorded it; then the two colours of the lesion are left, and how much they take.
    """
    recorded = facts.get("blue-black-colour", False)
    if recorded == NOT_RECORDED:
        both = _yes(facts, "colour blue") and _yes(facts, "colour black")
        recorded = both and _yes(facts, BLUE_AND_BLACK_ARE_A_TENTH)
    total = Decimal(bool(recorded))
    return total, ABOVE if total >= 1 else BELOW


BY_CODE: dict[str, Callable[[Facts], Outcome]] = {
    "total-dermoscopy-score": tds,
    "seven-point": seven_point,
    "seven-point-revised": seven_point_revised,
    "three-point": three_point,
    "menzies": menzies,
    "weighted-seven-point": weighted_seven_point,
    "braaff": braaff,
    "cash": cash,
    "revised-pattern-analysis": chaos_and_clues,
    "triage": triage,
    "acral-three-step": _acral_three_step(acral_end_revised),
    "acral-three-step-original": _acral_three_step(acral_end_original),
    "pigmented-basal-cell": pigmented_basal_cell,
    "mucosal": mucosal,
    "elevated-firm-growing": elevated_firm_growing,
    "blue-black": blue_black,
}

MELANOCYTIC, SEBORRHOEIC_KERATOSIS, BASAL_CELL, VASCULAR, NONE_OF_THESE = (
    "melanocytic",
    "seborrhoeic keratosis",
    "basal cell carcinoma",
    "vascular",
    "none of these: treated as melanocytic",
)


def two_step_end(facts: Facts) -> str:
    """First step of the two-step approach, in its order: https://dermoscopy.org/cnmd/3-UC-1a.htm (read).

    Milia-like cysts count as multiple from more than three on: Menzies 2008, doi:10.1001/archderm.144.9.1120.
    """
    if _yes(
        facts,
        "network",
        "pseudonetwork",
        "globules-aggregated",
        "lines-branched",
        "structureless-blue-whole",
        "furrow-parallel",
        "ridge-parallel",
        "mucosal-lines-parallel",
    ):
        return MELANOCYTIC
    if _yes(facts, "milia-like-cysts", "comedo-like-openings", "lines-curved-thin-parallel", "lines-curved-thick"):
        return SEBORRHOEIC_KERATOSIS
    if any(_six_of_basal_cell(facts).values()):
        return BASAL_CELL
    if _yes(facts, "lacunae", "structureless-purple"):
        return VASCULAR
    return NONE_OF_THESE


def _met(facts: Facts, signs: Mapping[str, tuple[str, ...]]) -> frozenset[str]:
    return frozenset(sign for sign, names in signs.items() if _yes(facts, *names))


def facial_signs(facts: Facts) -> frozenset[str]:
    """Return the signs of the face that are met. No number of them is published as a threshold.

    The first four: Schiffner 2000, PMID 10607316, https://epub.uni-regensburg.de/74510 (abstract read). The other two
    stand beside them in later texts (from memory).
    """
    return _met(
        facts,
        {
            "asymmetric pigmented follicular openings": ("follicles-asymmetric-pigmented",),
            "dark rhomboids": ("follicular-rhomboids",),
            "slate-grey globules": ("globules-slate-grey",),
            "slate-grey dots": ("dots-grey",),
            "circle within a circle": ("circle-within-circle",),
            "obliterated follicles": ("follicles-obliterated",),
            # Grey alone is a reason for histology on the face, as later texts have it.
            "grey": ("colour grey", "circles-grey"),
        },
    )


def nail_signs(facts: Facts) -> frozenset[str]:
    """Return the signs of a pigmented band that are met, in adults.

    Benati 2017 (abstract read): the first seven. Ronger 2002 (abstract read): a brown ground with irregular lines; with
    regular ones it speaks for a naevus.
    """
    found = _met(
        facts,
        {
            "over two thirds of the plate": ("nail-band-wide",),
            "grey and black": ("nail-colours-grey-black",),
            "irregular lines": ("nail-lines-irregular",),
            "Hutchinson": ("nail-hutchinson",),
            "micro-Hutchinson": ("nail-micro-hutchinson",),
            "dystrophy": ("nail-dystrophy",),
            "granular pigment": ("nail-granular-pigment",),
        },
    )
    if _yes(facts, "nail-background-brown") and _yes(facts, "nail-lines-irregular"):
        found |= {"brown ground with irregular lines"}
    return found


def abcdef_signs(facts: Facts) -> frozenset[str]:
    """Return the letters that are met: Levit 2000.

    https://jfootankleres.biomedcentral.com/articles/10.1186/1757-1146-3-25/tables/6 (read). The peak of age, the fifth
    to the seventh decade, is 40 to 69 completed years.
    """
    letters = _met(
        facts,
        {
            "B": ("nail-band-over-3mm", "nail-border-fading"),
            "C": (
                "lesion.history.growing.answer",
                "lesion.history.changed_colour.answer",
                "lesion.history.changed_shape.answer",
                "nail-dystrophy",
            ),
            "D": ("thumb, great toe or index finger",),
            "E": ("nail-hutchinson", "nail-micro-hutchinson"),
            "F": ("melanoma in the family", "melanoma before", "atypical naevi"),
        },
    )
    age = facts.get("background.age_years")
    if age is not None and 40 <= age <= 69:
        letters |= {"A"}
    return letters


def little_pigment_signs(facts: Facts) -> tuple[frozenset[str], frozenset[str]]:
    """Return the signs for melanoma and those against that are met: Menzies 2008, doi:10.1001/archderm.144.9.1120."""
    colours = _shades_of_brown(facts) | {name for name in ("black", "grey", "blue") if facts.get(f"colour {name}")}
    if _red(facts):
        colours.add("red")
    signs = _met(
        facts,
        {
            "veil": ("blue-white-veil",),
            "scar-like": ("scar-like-area",),
            "multiple blue-grey dots": ("dots-grey",),
            "irregular depigmentation": ("hypopigmented-area",),
            "irregular brown dots or globules": ("dots-irregular", "globules-irregular"),
            "predominant central vessels": ("arranged-central",),
        },
    )
    if len(colours) >= 5:
        signs |= {"five or six colours"}
    against = _met(facts, {"more than three milia-like cysts": ("milia-like-cysts",)})
    if _yes(facts, "vessels-curved"):
        against |= {"comma vessels"}
    return signs, against


def prediction_without_pigment_end(facts: Facts) -> str:
    """Return what comes first, if anything. Order: doi:10.5826/dpc.0401a09 (abstract read)."""
    if _yes(facts, "ulceration", "lesion.ulcerated"):
        return "ulceration"
    lines = ("lines-white-perpendicular", "shiny-white-strands", "network-white")
    keratin = ("white-circles", "structureless-white-keratin", "keratin-mass", "surface-scale")
    if _yes(facts, *lines) or (_yes(facts, "lesion.elevation") and _yes(facts, *keratin)):
        return "white clues"
    return "vessels" if _yes(facts, "vessels-polymorphous", *VESSEL_SHAPES) else "no clue"


#: Which structures the trade associates with which name: dermoscopedia.org and dermnetnz.org pages on each (read in
#: part). They exclude nothing.
ASSOCIATED: Mapping[str, tuple[str, ...]] = {
    "seborrhoeic-keratosis": (
        "milia-like-cysts",
        "comedo-like-openings",
        "crypts",
        "lines-curved-thick",
        "lines-curved-thin-parallel",
        "border-moth-eaten",
        "border-sharply-demarcated",
        "vessels-looped-white-halo",
    ),
    "dermatofibroma": ("central-white-patch", "pattern-central-white-peripheral-network"),
    "haemangioma": ("lacunae",),
    "solar-lentigo": ("border-moth-eaten", "lines-curved-thin-parallel", "border-sharply-demarcated"),
}


def associated_names(facts: Facts) -> frozenset[str]:
    """Return the names for which an associated structure is there."""
    return _met(facts, ASSOCIATED)
