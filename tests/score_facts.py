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
from scores_independent import AXES, BROWN_IS_DARK, BROWN_IS_LIGHT, PINK_IS_RED

State = bool | int | None


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
        "clods-blue-large": {
            True: [_finding("clods-blue-large")],
            False: [_finding("clods-blue-large", "absent"), NOTHING],
        },
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
}

#: Where a lesion lies that a method is for.
SITES = {method: "sole" if method == "braaff" else "back-upper" for method in FACTS}

#: A colour that no method counts: it makes the list of colours a full one that lacks the others.
_UNCOUNTED = "yellow"


def entry_of(method: str, states: Mapping[str, State], pick: Pick = first) -> Entry:
    """Return an entry that says these states; a fact left out is said to be false."""
    said = [pick(ways[states.get(name, False if False in ways else None)]) for name, ways in FACTS[method].items()]
    said = [one for one in said if one is not NOTHING]
    colours = [colour for one in said for colour in one.colours]
    result = entry(
        lesion={"site": SITES[method]},
        findings=_without_repetition(one for item in said for one in item.findings),
        description={
            "colours": colours or [_UNCOUNTED],
            "doubtful_colours": [colour for one in said for colour in one.doubtful],
        },
    )
    for one in said:
        for path, value in one.values.items():
            result = merged(result, at(path.replace("whole.", "description."), value))
    return result


def _without_repetition(findings: Iterable[Entry]) -> list[Entry]:
    return list({one["structure"]: one for one in findings}.values())
