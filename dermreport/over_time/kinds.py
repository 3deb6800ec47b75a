"""What can change in a lesion, and what the two published rules of follow-up make of it.

The rule for a short interval takes any change but an overall lighter or darker one for a reason to remove the lesion;
the one for a long interval tells changes apart that naevi show too. What neither names stays undecided: it never
counts as «no change».
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from typing import Final, Self

from dermreport.sources import COMMON_PRACTICE, Basis, Source, common_practice, seen


class Weight(StrEnum):
    """What a rule makes of a change."""

    SIGNIFICANT = "significant"
    NOT_SIGNIFICANT = "not significant"
    UNDECIDED = "undecided"


class FollowUpRule(StrEnum):
    """Which published rule a comparison is read by."""

    SHORT = "short interval"
    LONG = "long interval"


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of change.

    Attributes:
        id: Its id.
        words: What it is called.
        short: What the rule for a short interval makes of it.
        long: What the rule for a long interval makes of it.
        short_basis: How that is known.
        long_basis: How that is known.
    """

    id: str
    words: str
    short: Weight
    long: Weight
    short_basis: Basis
    long_basis: Basis

    def weight(self, rule: FollowUpRule) -> Weight:
        """Return what a rule makes of it."""
        return self.short if rule is FollowUpRule.SHORT else self.long

    def basis(self, rule: FollowUpRule) -> Basis:
        """Return how that is known."""
        return self.short_basis if rule is FollowUpRule.SHORT else self.long_basis


_S, _N, _U = Weight.SIGNIFICANT, Weight.NOT_SIGNIFICANT, Weight.UNDECIDED
_ANY: Final = seen(
    Source.SHORT_TERM_MONITORING_PAGE,
    note="Seen: any change but an overall darker or lighter one, or milia-like cysts that come or go.",
)
_LONG: Final = seen(Source.LONG_TERM_MONITORING_PAGE)
_FOCAL: Final = seen(
    Source.LONG_TERM_MONITORING_PAGE,
    note="Seen: focal changes in pigmentation or structure. What counts as focal is common practice, no source: "
    "whatever isn't recorded as lying all over.",
)
_UNNAMED: Final = seen(Source.LONG_TERM_MONITORING_PAGE, note="Neither of its two lists names this: it stays open.")
_EVEN: Final = seen(
    Source.LONG_TERM_MONITORING_PAGE,
    note="Seen: naevi grow symmetrically more often than melanomas do. Two diameters can't tell it for certain, so "
    "it stays open.",
)
_BEYOND: Final = common_practice("No rule of follow-up names it; it asks for action by itself.")
#: A ruler tells no less, in millimetres; what is smaller still adds up from the first examination to the last.
MEASURABLE: Final = Decimal("0.5")
#: Growth along two axes is even where it differs by less than that in millimetres or by no more than this in per cent.
EVEN_WITHIN_PERCENT: Final = 10
_WORD: Final = seen(
    Source.NICE_NG12,
    Source.NG12_SKIN_SUMMARY,
    note="Seen: change in size, oozing and change in sensation count in its checklist. The rules of follow-up read "
    "pictures and name no word of the patient, so it stays open: common practice, no source.",
)
_SHOWN_SHORT: Final = seen(
    Source.SHORT_TERM_MONITORING_PAGE,
    note="Seen: any change. That one known by earlier pictures or two measurements counts as seen is common practice, "
    "no source.",
)
_SHOWN_LONG: Final = seen(
    Source.LONG_TERM_MONITORING_PAGE, note="Which of its two lists it belongs to isn’t recorded: it stays open."
)
_BY_TOUCH: Final = common_practice("No rule of follow-up names what sight and touch find without a picture.")
_ERROR_OF_MEASURING: Final = common_practice("A difference of less than 0.5 mm is within what a ruler tells.")

ENLARGED_UNEVENLY: Final = Kind("enlarged-unevenly", "larger, more along one axis", _S, _S, _ANY, _LONG)
ENLARGED_EVENLY: Final = Kind(
    "enlarged-evenly", "larger along both axes, as far as two diameters tell", _S, _U, _ANY, _EVEN
)
ENLARGED: Final = Kind("enlarged", "larger, along which axes isn’t recorded", _S, _U, _ANY, _EVEN)
SMALLER: Final = Kind("smaller", "smaller", _S, _U, _ANY, _UNNAMED)
HARDLY_DIFFERS: Final = Kind(
    "size-hardly-differs",
    "the size differs by less than measuring tells",
    _N,
    _N,
    _ERROR_OF_MEASURING,
    _ERROR_OF_MEASURING,
)
COLOUR_GAINED: Final = Kind("colour-gained", "a colour that wasn’t there", _S, _S, _ANY, _LONG)
COLOUR_LOST: Final = Kind("colour-lost", "a colour that is gone", _S, _S, _ANY, _LONG)
SHADE: Final = Kind(
    "shade-of-brown",
    "another shade of brown alone; whether all over or at one spot isn’t recorded",
    _U,
    _U,
    _ANY,
    _LONG,
)
REGRESSION_GAINED: Final = Kind("regression-gained", "regression that wasn’t there", _S, _S, _ANY, _LONG)
STRUCTURE_GAINED: Final = Kind("structure-gained", "a structure that wasn’t there", _S, _S, _ANY, _FOCAL)
STRUCTURE_GAINED_ALL_OVER: Final = Kind(
    "structure-gained-all-over", "a structure all over that wasn’t there", _S, _U, _ANY, _UNNAMED
)
STRUCTURE_LOST: Final = Kind("structure-lost", "a structure that is gone", _S, _U, _ANY, _UNNAMED)
STRUCTURE_PLACE: Final = Kind("structure-place", "a structure at a place where it wasn’t", _S, _S, _ANY, _FOCAL)
STRUCTURE_IRREGULAR: Final = Kind("structure-irregular", "a structure that was regular", _S, _S, _ANY, _FOCAL)
STRUCTURE_DETAIL: Final = Kind(
    "structure-detail", "count, spread or area of a structure differs", _S, _U, _ANY, _UNNAMED
)
GLOBULES_DETAIL: Final = Kind("globules-detail", "number or spread of brown globules differs", _S, _N, _ANY, _LONG)
BLACK_DOTS_FEWER: Final = Kind("black-dots-fewer", "fewer black dots", _S, _N, _ANY, _LONG)
MILIA_LIKE_CYSTS: Final = Kind("milia-like-cysts", "milia-like cysts came or went", _N, _N, _ANY, _ANY)
ASYMMETRY_GAINED: Final = Kind("asymmetry-gained", "asymmetric along more axes", _S, _S, _ANY, _FOCAL)
ASYMMETRY_LOST: Final = Kind("asymmetry-lost", "asymmetric along fewer axes", _S, _U, _ANY, _UNNAMED)
PATTERN: Final = Kind("pattern", "another prevailing pattern", _S, _U, _ANY, _UNNAMED)
STRUCTURE_COLOUR: Final = Kind("structure-colour", "a structure with a colour that it hadn’t", _S, _S, _ANY, _FOCAL)
BORDER: Final = Kind("border", "another number of segments where the border ends abruptly", _S, _U, _ANY, _UNNAMED)
INFLAMMATION_SETTLED: Final = Kind("inflammation-settled", "inflammation has settled", _S, _N, _ANY, _LONG)
RAISED: Final = Kind("raised", "stands out of the skin more than before", _S, _S, _BEYOND, _BEYOND)
ULCERATED: Final = Kind("ulcerated", "the surface is lost and wasn’t", _S, _S, _BEYOND, _BEYOND)
FIRMER: Final = Kind("firmer", "firmer than before", _S, _S, _BEYOND, _BEYOND)
FEELS_OTHERWISE: Final = Kind("feels-otherwise", "feels otherwise than before", _U, _U, _BY_TOUCH, _BY_TOUCH)
STANDS_OTHERWISE: Final = Kind(
    "stands-otherwise", "stands out of the skin less than before, or otherwise", _U, _U, _BY_TOUCH, _BY_TOUCH
)
SURFACE_DIFFERS: Final = Kind(
    "surface-differs", "whether the surface is lost isn’t answered as before", _U, _U, _BY_TOUCH, _BY_TOUCH
)
SHOWN: Final = Kind(
    "shown", "pictures or measurements show it, and it wasn’t told before", _S, _U, _SHOWN_SHORT, _SHOWN_LONG
)
TOLD: Final = Kind("told", "the patient tells of it, and it wasn’t told before", _U, _U, _WORD, _WORD)

KINDS: Final = (
    ENLARGED_UNEVENLY,
    ENLARGED_EVENLY,
    ENLARGED,
    SMALLER,
    HARDLY_DIFFERS,
    COLOUR_GAINED,
    COLOUR_LOST,
    SHADE,
    REGRESSION_GAINED,
    STRUCTURE_GAINED,
    STRUCTURE_GAINED_ALL_OVER,
    STRUCTURE_LOST,
    STRUCTURE_PLACE,
    STRUCTURE_IRREGULAR,
    STRUCTURE_COLOUR,
    STRUCTURE_DETAIL,
    GLOBULES_DETAIL,
    BLACK_DOTS_FEWER,
    MILIA_LIKE_CYSTS,
    ASYMMETRY_GAINED,
    ASYMMETRY_LOST,
    PATTERN,
    BORDER,
    INFLAMMATION_SETTLED,
    RAISED,
    ULCERATED,
    FIRMER,
    FEELS_OTHERWISE,
    STANDS_OTHERWISE,
    SURFACE_DIFFERS,
    SHOWN,
    TOLD,
)


class Gap(StrEnum):
    """Why two examinations don't show that nothing changed; ``words`` say what to do about it."""

    words: str
    basis: Basis

    def __new__(cls, code: str, words: str, basis: Basis = COMMON_PRACTICE) -> Self:
        """Make one row: the code is the value."""
        member = str.__new__(cls, code)
        member._value_ = code
        member.words = words
        member.basis = basis
        return member

    CANCER_FOUND = (
        "cancer-found",
        "A pathologist found a cancer in this lesion: act on that result; the comparison changes nothing about it.",
    )
    RESULT_OPEN = (
        "result-open",
        "A pathologist’s result on this lesion names no harmless one: settle what it means before it is followed.",
    )
    NO_COMMON_LIGHT = "no-common-light", "No light is known that both looks share: look again in the first one’s light."
    LIGHTS_DIFFER = (
        "lights-differ",
        "One look used another light too: colours, symmetry and totals of the two aren’t compared.",
    )
    TOO_SOON = (
        "too-soon",
        "Sooner than the interval that was studied: what hasn’t changed yet says nothing. Look again within it.",
        seen(Source.SHORT_TERM_MONITORING_2008, Source.SHORT_TERM_MONITORING_PAGE),
    )
    NOT_HELD = "not-held", "Something of one entry couldn’t be held: correct the entry first."
    DRAFT = "draft", "One of the two is a draft that nobody signed: finish it first."
    IMAGES_ONLY = (
        "images-only",
        "One of the two was made from pictures alone: nobody felt the lesion or saw the patient. See the patient.",
    )
    SIZE_OPEN = "size-open", "The two diameters weren’t measured both times: measure them."
    COLOURS_OPEN = "colours-open", "The colours weren’t told completely both times."
    STRUCTURES_OPEN = (
        "structures-open",
        "Structures of one look are open in the other: look for them in the same light.",
    )
    NOTHING_SHARED = "nothing-shared", "No structure was looked for both times in the same light."
    REGRESSION_OPEN = "regression-open", "Regression wasn’t looked for both times in the same light."
    SYMMETRY_OPEN = "symmetry-open", "Symmetry wasn’t told both times."
    CHANGE_UNDECIDED = (
        "change-undecided",
        "A change that the rule doesn’t decide: judge it by the pictures and by touch.",
    )
    CHANGE_TOLD = (
        "change-told",
        "A change or symptom is told that wasn’t before: ask, feel, compare the pictures; in doubt remove or refer.",
        _WORD,
    )
    ANOTHER_SITE = "another-site", "The site or side differs: make sure that it is the same lesion."
    WARNING_SIGN = "warning-sign", "A warning sign stands in the later examination: follow-up isn’t the answer to it."
    NOT_FOR_FOLLOW_UP = (
        "not-for-follow-up",
        "Follow-up wasn’t studied for such a lesion (regression, no pigment, raised or open): remove or refer it.",
        seen(Source.MONITORING_CONTRAINDICATIONS, note="Raised, firm and open are common practice, no source."),
    )


#: What everybody must know who reads a comparison; the study is ``Source.SLOW_GROWING_MELANOMAS_2012``.
CAUTIONS: Final = (
    "This compares what two examiners recorded: it supports judgement and never replaces it. Compare the pictures.",
    "No change excludes nothing: most melanomas of one study of slow growth kept their size or grew by less than 2 mm.",
    "When in doubt, remove or refer.",
    "Local pathways and licensed practice come first.",
)
