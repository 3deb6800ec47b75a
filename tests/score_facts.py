"""Facts that the scores ask, each with the ways in which an entry can say yes, no, or leave it open.

A fact has the name that ``scores_independent`` knows. ``entry_of`` writes a whole entry from the state of each fact,
so that the library reads what the second implementation is told.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from records import Entry, at, entry, finding, merged
from scores_independent import (
    ARCHITECTURE,
    AXES,
    BLUE_AND_BLACK_ARE_A_TENTH,
    BRANCHED_ARE_THICK,
    BROWN_IS_DARK,
    BROWN_IS_LIGHT,
    DISORDER_AS_A_WHOLE,
    GREY_IS_BLUE,
    IMPRESSIONS,
    NOT_RECORDED,
    PALM_OR_SOLE,
    PINK_IS_RED,
    UNEQUIVOCAL,
    VESSEL_SHAPES,
)

State = bool | int | str | tuple[str, ...] | None


@dataclass(frozen=True)
class Said:
    """What an entry says: findings, colours seen and doubtful, and values at paths."""

    findings: tuple[Entry, ...] = ()
    colours: tuple[str, ...] = ()
    doubtful: tuple[str, ...] = ()
    values: Mapping[str, Any] = field(default_factory=dict)


NOTHING = Said()
Ways = Mapping[State, Sequence[Said]]
Pick = Callable[[Sequence[Said]], Said]


def first(ways: Sequence[Said]) -> Said:
    """Return the plainest way to say something."""
    return ways[0]


def _finding(code: str, presence: str = "present", **details: Any) -> Said:
    return Said(findings=(finding(code, presence, **details),))


def _structure(code: str, *, kind_of_another: bool = False) -> Ways:
    """Return the ways to record a structure; one whose wider structure is recorded too is open only by a finding."""
    doubtful = _finding(code, "uncertain")
    return {
        True: [_finding(code)],
        False: [_finding(code, "absent")],
        None: [doubtful] if kind_of_another else [doubtful, NOTHING, _finding(code, "not-assessed")],
    }


def _more_than(code: str, number: str, limit: int) -> Ways:
    """Return the ways to record a structure that counts from more than a number on."""
    return {
        True: [_finding(code, **{number: limit + 1})],
        False: [_finding(code, **{number: limit}), _finding(code, "absent")],
        None: [_finding(code), _finding(code, "uncertain"), NOTHING],
    }


def _several(code: str) -> Ways:
    return {
        True: [_finding(code), _finding(code, count=2)],
        False: [_finding(code, count=1), _finding(code, "absent")],
        None: [_finding(code, "uncertain"), NOTHING],
    }


def _streaks(code: str) -> Ways:
    """Return the ways to record streaks: uneven ones and ones at part of the edge count, an even ring doesn't."""
    return {
        True: [
            _finding(code, regularity="irregular"),
            _finding(code, distribution="segmental"),
            _finding(code, distribution="focal", regularity="regular"),
            _finding(code, distribution="all-round", regularity="irregular"),
        ],
        False: [
            _finding(code, distribution="all-round", regularity="regular"),
            _finding(code, "absent"),
            _finding(code, regularity="regular"),
        ],
        None: [_finding(code), _finding(code, distribution="all-round"), _finding(code, "uncertain"), NOTHING],
    }


def _veil_of_menzies() -> Ways:
    code = "blue-white-veil"
    return {
        True: [_finding(code), _finding(code, place="eccentric")],
        False: [_finding(code, place="whole-lesion"), _finding(code, "absent")],
        None: [_finding(code, "uncertain"), NOTHING],
    }


def _regression() -> Ways:
    """Return the ways to record regression: by itself, or by its parts."""
    scar, grey = "scar-like-area", "dots-grey"
    neither = Said(findings=(finding(scar, "absent"), finding(grey, "absent")))
    return {
        True: [_finding("regression-structures"), _finding(scar), _finding(grey)],
        False: [_finding("regression-structures", "absent"), neither],
        None: [
            Said(findings=(finding(scar, "uncertain"), finding(grey, "absent"))),
            _finding("regression-structures", "uncertain"),
            NOTHING,
        ],
    }


def _seen(path: str) -> Ways:
    """Return the ways to answer what is seen."""
    return {
        True: [Said(values={path: "yes"})],
        False: [Said(values={path: "no"})],
        None: [Said(values={path: "uncertain"}), NOTHING],
    }


def _told(path: str) -> Ways:
    """Return the ways to answer what is told."""
    return {
        True: [Said(values={path: "yes"})],
        False: [Said(values={path: "no"})],
        None: [Said(values={path: "unknown"}), NOTHING],
    }


def _colour(code: str) -> Ways:
    return {True: [Said(colours=(code,))], False: [NOTHING], None: [Said(doubtful=(code,))]}


#: Left open by sources or words: nothing in an entry says it.
UNSAYABLE: Ways = {None: [NOTHING]}

_BORDER: Ways = {
    **{number: [Said(values={"whole.border_segments": number})] for number in range(9)},
    None: [NOTHING],
}
_DIAMETER: Ways = {
    True: [Said(values={"lesion.longest_mm": Decimal(7)}), Said(values={"lesion.longest_mm": Decimal("7.0")})],
    False: [Said(values={"lesion.longest_mm": Decimal("6.9")})],
    None: [NOTHING],
}


def _recorded(code: str) -> Ways:
    """Return the ways to record a structure that counts where somebody saw it, and is open where somebody doubted."""
    return {
        True: [_finding(code)],
        False: [NOTHING, _finding(code, "absent"), _finding(code, "not-assessed")],
        None: [_finding(code, "uncertain")],
    }


def _at_the_edge() -> Ways:
    """Return the ways to place black dots; those of unknown place aren't at the edge."""
    code = "dots-black"
    return {
        True: [_finding(code, place="peripheral")],
        False: [
            NOTHING,
            _finding(code),
            _finding(code, place="central"),
            _finding(code, "absent", place="peripheral"),
            _finding(code, "uncertain", place="peripheral"),
        ],
    }


def _at_part_of_the_edge(code: str) -> Ways:
    """Return the ways to record streaks of which only those at part of the edge count."""
    return {
        True: [
            _finding(code, distribution=distribution)
            for distribution in ("segmental", "focal", "multifocal", "clustered")
        ],
        False: [
            _finding(code, distribution="all-round"),
            _finding(code, "absent"),
            _finding(code, distribution="all-round", regularity="irregular"),
        ],
        None: [_finding(code), _finding(code, regularity="irregular"), _finding(code, "uncertain"), NOTHING],
    }


def _if_regular(code: str) -> Ways:
    return {
        True: [_finding(code, regularity="regular")],
        False: [_finding(code, regularity="irregular"), _finding(code, "absent")],
        None: [_finding(code), _finding(code, "uncertain"), NOTHING],
    }


def _undecided_counts(path: str) -> Ways:
    """Return the ways to answer what counts as yes where it was looked at and couldn't be decided."""
    return {
        True: [Said(values={path: "yes"}), Said(values={path: "uncertain"})],
        False: [Said(values={path: "no"})],
        None: [NOTHING],
    }


def _seen_by_the_naked_eye(path: str) -> Ways:
    return {
        True: [Said(values={path: "yes"})],
        False: [NOTHING, Said(values={path: "no"}), Said(values={path: "uncertain"})],
    }


def _named(*lists: tuple[str, ...]) -> Ways:
    """Return the ways to name what the lesion is taken for, and none."""
    none: dict[State, Sequence[Said]] = {False: [NOTHING]}
    return none | {
        names: [
            Said(
                values={
                    IMPRESSIONS: [
                        {"key": str(position), "impression": name} for position, name in enumerate(names, start=1)
                    ]
                }
            )
        ]
        for names in lists
    }


def _order() -> dict[State, Sequence[Said]]:
    return {
        order: [Said(values={ARCHITECTURE: order})] for order in ("ordered", "moderate-disorder", "marked-disorder")
    }


def _growing() -> Ways:
    """Return the ways to tell of growth for a month, by the days or by since when; the examination is on 2 January."""
    path = "lesion.history.growing"
    return {
        True: [
            Said(values={path: {"answer": "yes", "for_days": 31}}),
            Said(values={path: {"answer": "yes", "since": "2025-11-01"}}),
        ],
        False: [
            Said(values={path: {"answer": "no"}}),
            Said(values={path: {"answer": "yes", "for_days": 20}}),
            Said(values={path: {"answer": "yes", "since": "2025-12-24"}}),
        ],
        None: [Said(values={path: {"answer": "yes"}}), Said(values={path: {"answer": "unknown"}}), NOTHING],
    }


_ELEVATION: Ways = {
    True: [Said(values={"lesion.elevation": one}) for one in ("raised", "nodular", "pedunculated")],
    # A lesion that isn't raised has no number.
    None: [NOTHING],
}
_CONSISTENCY: Ways = {
    True: [Said(values={"lesion.palpation.consistency": one}) for one in ("firm", "hard")],
    False: [Said(values={"lesion.palpation.consistency": "soft"})],
    None: [NOTHING, Said(values={"lesion.palpation.consistency": "not-felt"})],
}
_OVER_SEVEN_MILLIMETRES: Ways = {
    True: [Said(values={"lesion.longest_mm": Decimal("7.1")}), Said(values={"lesion.longest_mm": Decimal(12)})],
    False: [Said(values={"lesion.longest_mm": Decimal(7)}), Said(values={"lesion.longest_mm": Decimal("6.9")})],
    None: [NOTHING],
}
_BLUE_BLACK: Ways = {
    NOT_RECORDED: [NOTHING, _finding("blue-black-colour", "not-assessed")],
    True: [_finding("blue-black-colour", area_percent=10), _finding("blue-black-colour", area_percent=60)],
    False: [_finding("blue-black-colour", "absent"), _finding("blue-black-colour", area_percent=9)],
    None: [_finding("blue-black-colour"), _finding("blue-black-colour", "uncertain")],
}


def _axes(*aspects: str) -> dict[str, Ways]:
    return {path: _seen(path) for path in (f"whole.{axis}.{aspect}" for axis in AXES for aspect in aspects)}


def _colours(*codes: str) -> dict[str, Ways]:
    return {
        **{f"colour {code}": _colour(code) for code in codes},
        PINK_IS_RED: UNSAYABLE,
        BROWN_IS_LIGHT: UNSAYABLE,
        BROWN_IS_DARK: UNSAYABLE,
    }


def _structures(*codes: str) -> dict[str, Ways]:
    return {code: _structure(code) for code in codes}


_SEVEN_POINT: dict[str, Ways] = {
    **_structures(
        "network-atypical",
        "network-thick",
        "blue-white-veil",
        "vessels-atypical",
        "dots-irregular",
        "globules-irregular",
        "blotch-irregular",
    ),
    "lines-radial-segmental": _structure("lines-radial-segmental", kind_of_another=True),
    "lines-radial": _streaks("lines-radial"),
    "pseudopods": _streaks("pseudopods"),
    "regression-structures": _regression(),
}

_KERATOSIS, _FIBROMA, _ANGIOMA = "seborrhoeic-keratosis", "dermatofibroma", "haemangioma"
_WITHOUT_DOUBT: Ways = {
    True: [Said(values={UNEQUIVOCAL: True})],
    False: [NOTHING, Said(values={UNEQUIVOCAL: False})],
}
_NAMED = _named(
    (_KERATOSIS,), (_FIBROMA,), (_ANGIOMA, _KERATOSIS), (_KERATOSIS, "melanoma-suspected"), ("naevus-junctional",)
)
_VESSELS = {**_structures(*VESSEL_SHAPES), "vessels-polymorphous": _recorded("vessels-polymorphous")}
_ULCERATION = {
    "ulceration": _structure("ulceration"),
    "lesion.ulcerated": _seen_by_the_naked_eye("lesion.ulcerated"),
}
_ACRAL: dict[str, Ways] = {
    **_structures("ridge-parallel", "furrow-parallel", "lattice-like"),
    "fibrillar": _if_regular("fibrillar"),
    "lesion.longest_mm": _OVER_SEVEN_MILLIMETRES,
}

#: By method, each fact that it asks.
FACTS: dict[str, dict[str, Ways]] = {
    "total-dermoscopy-score": {
        **_axes("contour", "colour", "structure"),
        "whole.border_segments": _BORDER,
        **_colours("white", "red", "pink", "light-brown", "dark-brown", "brown", "blue", "grey", "black"),
        "whole.white_paler_than_skin": _seen("whole.white_paler_than_skin"),
        **_structures("network", "network-negative", "structureless-blue-whole", "globules", "clods-cobblestone"),
        "clods-black-peripheral": _structure("clods-black-peripheral"),
        **{
            code: _more_than(code, "area_percent", 10)
            for code in (
                "blotch-regular",
                "blotch-irregular",
                "structureless-eccentric",
                "structureless-tan-peripheral",
                "hypopigmented-area",
                "blue-white-veil",
                "scar-like-area",
            )
        },
        **{
            code: _more_than(code, "count", 2)
            for code in ("lines-branched", "dots-brown", "dots-irregular", "dots-grey")
        },
        # A kind of another: where one is there, the wider one is there too, so each is said in full.
        "dots-black": {
            True: [_finding("dots-black", count=3)],
            False: [_finding("dots-black", "absent"), _finding("dots-black", count=2)],
            None: [_finding("dots-black")],
        },
        "dots-black-peripheral": {
            True: [_finding("dots-black-peripheral", count=3)],
            False: [_finding("dots-black-peripheral", "absent")],
            None: [_finding("dots-black-peripheral", "uncertain")],
        },
    },
    "seven-point": _SEVEN_POINT,
    "seven-point-revised": _SEVEN_POINT,
    "three-point": {
        **_axes("colour", "structure"),
        **_structures("network-atypical", "network-thick", "blue-white-veil", "structureless-blue-whole"),
        "regression-structures": _regression(),
        "colour blue": _colour("blue"),
        "colour white": _colour("white"),
        "clods-blue-large": _recorded("clods-blue-large"),
    },
    "menzies": {
        "whole.symmetric_all_axes": _seen("whole.symmetric_all_axes"),
        **_colours("red", "pink", "light-brown", "dark-brown", "brown", "blue", "grey", "black"),
        "blue-white-veil": _veil_of_menzies(),
        "dots-brown": _several("dots-brown"),
        "dots-grey": _several("dots-grey"),
        "pseudopods": _streaks("pseudopods"),
        "lines-radial": _streaks("lines-radial"),
        "lines-radial-segmental": _structure("lines-radial-segmental", kind_of_another=True),
        **_structures("scar-like-area", "dots-black-peripheral", "clods-black-peripheral", "network-thick"),
    },
    "weighted-seven-point": {
        "lesion.history.growing.answer": _told("lesion.history.growing.answer"),
        "lesion.irregular_shape": _seen("lesion.irregular_shape"),
        "lesion.irregular_colour": _seen("lesion.irregular_colour"),
        "lesion.longest_mm": _DIAMETER,
        **{
            path: _told(path)
            for path in (f"lesion.history.{item}.answer" for item in ("inflamed", "bleeding", "itching", "pain"))
        },
    },
    "braaff": {
        **_structures("blotch-irregular", "ridge-parallel", "furrow-parallel", "fibrillar"),
        **_axes("colour", "structure"),
    },
    "cash": {
        **_colours("white", "red", "pink", "light-brown", "dark-brown", "brown", "blue", "grey", "black"),
        GREY_IS_BLUE: UNSAYABLE,
        ARCHITECTURE: {**_order(), None: [NOTHING]},
        **_axes("contour", "colour", "structure"),
        **_structures(
            "network",
            "network-negative",
            "dots-brown",
            "dots-black",
            "globules",
            "clods-black-peripheral",
            "blotch-regular",
            "blotch-irregular",
            "lines-radial",
            "pseudopods",
            "blue-white-veil",
        ),
        "regression-structures": _regression(),
        **_VESSELS,
    },
    "revised-pattern-analysis": {
        **{
            path: _undecided_counts(path)
            for path in (f"whole.{axis}.{aspect}" for axis in AXES for aspect in ("colour", "structure"))
        },
        UNEQUIVOCAL: _WITHOUT_DOUBT,
        IMPRESSIONS: _NAMED,
        **_structures("structureless-eccentric", "network-thick", "lines-branched"),
        BRANCHED_ARE_THICK: UNSAYABLE,
        "colour grey": _colour("grey"),
        "colour blue": _colour("blue"),
        **_structures("dots-grey", "blue-white-veil", "structureless-blue-whole"),
        **{
            code: _recorded(code)
            for code in (
                "circles-grey",
                "globules-slate-grey",
                "clods-blue-large",
                "clods-blue-multiple",
                "blue-black-colour",
            )
        },
        "dots-black-peripheral": _structure("dots-black-peripheral", kind_of_another=True),
        "clods-black-peripheral": _structure("clods-black-peripheral"),
        "dots-black": _at_the_edge(),
        "lines-radial-segmental": _structure("lines-radial-segmental", kind_of_another=True),
        "lines-radial": _at_part_of_the_edge("lines-radial"),
        "pseudopods": _at_part_of_the_edge("pseudopods"),
        **_structures("lines-white-perpendicular", "shiny-white-strands"),
        "network-white": _recorded("network-white"),
        **_VESSELS,
        "lines-angulated": _structure("lines-angulated"),
        "ridge-parallel": _structure("ridge-parallel"),
        PALM_OR_SOLE: {True: [NOTHING], False: [Said(values={"lesion.site": "back-upper"})]},
    },
    "triage": {
        UNEQUIVOCAL: _WITHOUT_DOUBT,
        IMPRESSIONS: _NAMED,
        ARCHITECTURE: {False: [NOTHING], **_order()},
        **_axes("colour", "structure"),
        DISORDER_AS_A_WHOLE: UNSAYABLE,
        "pattern-starburst": _structure("pattern-starburst"),
        **{f"colour {colour}": _colour(colour) for colour in ("blue", "black", "grey")},
        "blue-black-colour": _recorded("blue-black-colour"),
        **_structures("lines-white-perpendicular", "shiny-white-strands", "shiny-white-areas", "network-negative"),
        "rosettes": _recorded("rosettes"),
        **_structures(*VESSEL_SHAPES),
        **_ULCERATION,
        "erosions-small-multiple": _recorded("erosions-small-multiple"),
    },
    "acral-three-step": _ACRAL,
    "acral-three-step-original": _ACRAL,
    "pigmented-basal-cell": {
        **_structures(
            "network",
            "clods-blue-large",
            "clods-blue-multiple",
            "lines-radial-common-base",
            "lines-radial-converging",
            "clod-within-clod",
            "vessels-branched",
        ),
        **_ULCERATION,
    },
    "mucosal": _structures("mucosal-structureless-blue-grey-white"),
    "elevated-firm-growing": {
        "lesion.elevation": _ELEVATION,
        "lesion.palpation.consistency": _CONSISTENCY,
        "lesion.history.growing": _growing(),
    },
    "blue-black": {
        "blue-black-colour": _BLUE_BLACK,
        "colour blue": _colour("blue"),
        "colour black": _colour("black"),
        BLUE_AND_BLACK_ARE_A_TENTH: UNSAYABLE,
    },
}


def _of_history(item: str) -> dict[str, Ways]:
    path = f"lesion.history.{item}.answer"
    return {path: _told(path)}


_BASAL_CELL = _structures(
    "clods-blue-large",
    "clods-blue-multiple",
    "lines-radial-common-base",
    "lines-radial-converging",
    "clod-within-clod",
    "vessels-branched",
)
_LINES_WHITE = {
    **_structures("lines-white-perpendicular", "shiny-white-strands"),
    "network-white": _recorded("network-white"),
}

#: By list, each fact that it asks. Lists have no number, so what is open is open.
LIST_FACTS: dict[str, dict[str, Ways]] = {
    "two-step": {
        **_structures("network", "pseudonetwork", "lines-branched", "structureless-blue-whole"),
        "globules-aggregated": _structure("globules-aggregated"),
        "furrow-parallel": {
            True: [_finding("furrow-parallel"), _finding("furrow-double-line"), _finding("furrow-dotted-line")],
            False: [NOTHING, _finding("furrow-parallel", "absent")],
        },
        "ridge-parallel": _recorded("ridge-parallel"),
        "mucosal-lines-parallel": _recorded("mucosal-lines-parallel"),
        "milia-like-cysts": {
            True: [_finding("milia-like-cysts"), _finding("milia-like-cysts", count=4)],
            False: [_finding("milia-like-cysts", "absent"), _finding("milia-like-cysts", count=3)],
            None: [_finding("milia-like-cysts", "uncertain"), NOTHING],
        },
        **_structures("comedo-like-openings", "lines-curved-thin-parallel", "lines-curved-thick"),
        **_BASAL_CELL,
        **_ULCERATION,
        **_structures("lacunae", "structureless-purple"),
    },
    "facial-criteria": {
        **_structures(
            "follicles-asymmetric-pigmented",
            "follicular-rhomboids",
            "globules-slate-grey",
            "dots-grey",
            "circle-within-circle",
            "follicles-obliterated",
            "circles-grey",
        ),
        "colour grey": _colour("grey"),
    },
    "nail-criteria": _structures(
        "nail-band-wide",
        "nail-colours-grey-black",
        "nail-lines-irregular",
        "nail-hutchinson",
        "nail-micro-hutchinson",
        "nail-dystrophy",
        "nail-granular-pigment",
        "nail-background-brown",
    ),
    "nail-abcdef": {
        "background.age_years": {
            age: [Said(values={"background.age_years": age})] for age in (18, 39, 40, 69, 70, 101)
        },
        **_structures("nail-band-over-3mm", "nail-border-fading", "nail-dystrophy"),
        **_structures("nail-hutchinson", "nail-micro-hutchinson"),
        **{
            path: ways
            for item in ("growing", "changed_colour", "changed_shape")
            for path, ways in _of_history(item).items()
        },
        "thumb, great toe or index finger": {
            True: [Said(values={"lesion.site": f"{digit}-nail"}) for digit in ("thumb", "great-toe", "index-finger")],
            False: [Said(values={"lesion.site": "ring-finger-nail"})],
        },
        "melanoma in the family": {
            True: [Said(values={"background.family_melanoma": "one-first-degree"})],
            False: [Said(values={"background.family_melanoma": "none"})],
            None: [NOTHING, Said(values={"background.family_melanoma": "unknown"})],
        },
        "melanoma before": {
            True: [Said(values={"background.earlier_skin_cancers": [{"kind": "melanoma-in-situ"}]})],
            False: [NOTHING, Said(values={"background.earlier_skin_cancers": [{"kind": "basal-cell"}]})],
        },
        "atypical naevi": {
            True: [Said(values={"background.atypical_naevi": "from-1-to-4"})],
            False: [NOTHING, Said(values={"background.atypical_naevi": "none"})],
        },
    },
    "little-pigment-clues": {
        **_structures("blue-white-veil", "scar-like-area", "dots-irregular", "globules-irregular", "arranged-central"),
        "dots-grey": _several("dots-grey"),
        "hypopigmented-area": {
            True: [_finding("hypopigmented-area", regularity="irregular")],
            False: [_finding("hypopigmented-area", regularity="regular"), _finding("hypopigmented-area", "absent")],
            None: [_finding("hypopigmented-area"), NOTHING],
        },
        "milia-like-cysts": {
            True: [_finding("milia-like-cysts", count=4)],
            False: [_finding("milia-like-cysts", count=3), _finding("milia-like-cysts", "absent")],
            None: [_finding("milia-like-cysts"), NOTHING],
        },
        "vessels-curved": _if_regular("vessels-curved"),
        **{f"colour {one}": _colour(one) for one in ("red", "light-brown", "dark-brown", "blue", "grey", "black")},
    },
    "prediction-without-pigment": {
        **_ULCERATION,
        **_LINES_WHITE,
        **_structures("white-circles", "structureless-white-keratin", "keratin-mass", "surface-scale"),
        "lesion.elevation": {
            True: [Said(values={"lesion.elevation": one}) for one in ("palpable", "raised", "nodular", "pedunculated")],
            False: [Said(values={"lesion.elevation": one}) for one in ("flat", "depressed")],
            None: [NOTHING],
        },
        **_VESSELS,
    },
    "benign-patterns": _structures(
        "network",
        "lacunae",
        "milia-like-cysts",
        "comedo-like-openings",
        "lines-curved-thick",
        "lines-curved-thin-parallel",
        "border-moth-eaten",
        "vessels-looped-white-halo",
        "central-white-patch",
        "network-delicate",
    ),
}

#: Facts that nothing in an entry says: sources leave them open, or words of the entry that are too wide.
UNSAYABLE_FACTS = frozenset(name for facts in FACTS.values() for name, ways in facts.items() if ways is UNSAYABLE)

#: The lesion that a method is for, where it isn't one of the upper back.
LESIONS: Mapping[str, Entry] = {
    "braaff": {"site": "sole"},
    "revised-pattern-analysis": {"site": "sole"},
    "acral-three-step": {"site": "sole", "history": {"from_birth": {"answer": "no"}}},
    "acral-three-step-original": {"site": "sole", "history": {"from_birth": {"answer": "no"}}},
    "mucosal": {"site": "mouth-mucosa"},
    "blue-black": {"elevation": "nodular"},
    "facial-criteria": {"site": "cheek", "elevation": "flat"},
    "nail-criteria": {"site": "thumb-nail", "history": {"from_birth": {"answer": "no"}}},
    # A new band counts as a change.
    "nail-abcdef": {"site": "thumb-nail", "history": {"new": {"answer": "no"}}},
    "little-pigment-clues": {"pigmentation": "slight"},
    "prediction-without-pigment": {"pigmentation": "none"},
}


def lesion_for(method: str) -> Entry:
    """Return a lesion that a method is for."""
    return {"site": "back-upper", **LESIONS.get(method, {})}


def answers_to(method: str, fact: str) -> list[State]:
    """Return the answers that there are to a fact, said or not."""
    answers = [state for state in FACTS[method][fact] if state is not None and state != NOT_RECORDED]
    return answers if len(answers) > 1 else [False, True]


def said(method: str, fact: str) -> list[State]:
    """Return what an entry can say of a fact for sure, that nobody recorded it included."""
    return [state for state in FACTS[method][fact] if state is not None]


def sayable_answers(method: str, fact: str) -> list[State]:
    """Return the answers to a fact that an entry can say."""
    return [state for state in said(method, fact) if state != NOT_RECORDED]


#: A colour that no method counts: it makes the list of colours a full one that lacks the others.
_UNCOUNTED = "yellow"


def entry_of(method: str, states: Mapping[str, State], pick: Pick = first) -> Entry:
    """Return an entry that says these states; a fact left out is said to be false."""
    facts = FACTS[method] if method in FACTS else LIST_FACTS[method]
    told = [pick(ways[states.get(name, plainest(ways))]) for name, ways in facts.items()]
    told = [one for one in told if one is not NOTHING]
    colours = [colour for one in told for colour in one.colours]
    result = entry(
        lesion=lesion_for(method),
        findings=_without_repetition(one for item in told for one in item.findings),
        description={
            "colours": colours or [_UNCOUNTED],
            "doubtful_colours": [colour for one in told for colour in one.doubtful],
        },
    )
    for one in told:
        for path, value in one.values.items():
            result = merged(result, at(path.replace("whole.", "description."), value))
    return result


def plainest(ways: Ways) -> State:
    """Return what a fact that a test leaves out is: false, or the first that can be said, or open."""
    return False if False in ways else next(iter(ways))


def _without_repetition(findings: Iterable[Entry]) -> list[Entry]:
    return list({one["structure"]: one for one in findings}.values())
