"""What the form's answers say, as named FHIRPath expressions that build on each other.

Each says in FHIRPath what :mod:`dermreport.answers` computes: which views are clear, which structures and colours count
as seen or as absent, how the skin at the site is read. Sets of codes keep them short, since a form evaluates all of
them at each change. What is in neither of two opposite sets is open.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import NamedTuple

from dermreport.answers import MADE_OF_PARTS, ONLY_WITHOUT, PARENT
from dermreport.expressions.structure_fhirpath import StructureTexts, wholes_that_need
from dermreport.form.score_places import (
    NO_CODE,
    answers,
    answers_here,
    checked,
    coded_answers,
    codes,
    group,
    our_value,
    ours,
    quoted,
)
from dermreport.vocabulary.colours import Colour
from dermreport.vocabulary.coverages import Coverage
from dermreport.vocabulary.finding_lists import FindingList
from dermreport.vocabulary.light_fits import LightFit
from dermreport.vocabulary.lights import Light
from dermreport.vocabulary.places import Place
from dermreport.vocabulary.presences import Presence
from dermreport.vocabulary.reading_styles import ReadingStyle
from dermreport.vocabulary.sites import Site
from dermreport.vocabulary.structures import Structure, family_of
from dermreport.vocabulary.term import Term

FINDINGS = "findings"
_VIEWS = "views"
_LISTS = "lists_gone_through"


class Variable(NamedTuple):
    """A named expression; it may use those before it, as ``%name``."""

    name: str
    expression: str


def answer_variables(asked: Iterable[Structure]) -> list[Variable]:
    """Return the variables of views, structures, colours and site, in the order in which they build on each other.

    Args:
        asked: The structures of which it must be known whether they count as present.
    """
    among = set(asked)
    counted = tuple(structure for structure in Structure if structure in among)
    return [*_views(), *_findings(), *_lists(deciding(counted)), *_structures(counted), *_colours(), *_site()]


def deciding(asked: Iterable[Structure]) -> tuple[Structure, ...]:
    """Return the structures whose absence decides what these count as, in the order of the table."""
    reached: set[Structure] = set()
    ahead = set(asked)
    while ahead:
        one = ahead.pop()
        reached.add(one)
        beside = {*family_of(one), *(part for parts in MADE_OF_PARTS.get(one, ()) for part in parts)}
        beside |= {other for other in (PARENT.get(one), ONLY_WITHOUT.get(one)) if other is not None}
        ahead |= beside - reached
    return tuple(structure for structure in Structure if structure in reached)


def is_in(code: Term, variable: str) -> str:
    """Return whether a code is in a set: true or false."""
    return f"({quoted(code)} in %{variable})"


def some_in(among: Iterable[Term], variable: str) -> str:
    """Return whether one of some codes is in a set: true or false."""
    members = tuple(among)
    return is_in(members[0], variable) if len(members) == 1 else f"%{variable}.intersect{codes(members)}.exists()"


def seen_or_not(code: Term, seen: str, unseen: str) -> str:
    """Return true for a code in the one set, false for one in the other, empty for any other."""
    return f"iif({is_in(code, seen)}, true, iif({is_in(code, unseen)}, false, {{}}))"


# --- Views -----------------------------------------------------------------------------------------------------------

_WHOLE = f"{ours(answers_here('views.covers'), Coverage)}.where($this = {quoted(Coverage.PART)}).empty()"
_CLEAR = f"{answers_here('views.limits')}.empty() and {_WHOLE}"
_POLARISED = f"{ours(answers_here('views.light'), Light)} = {quoted(Light.POLARISED)}"
_KEY = f"{answers_here('views.key')}.value"
#: A view without a key gets its light's code as one when the response is read.
_NAME = f"select(iif({_KEY}.exists(), {_KEY}, {ours(answers_here('views.light'), Light)}))"


def _views() -> list[Variable]:
    views = group(_VIEWS)
    return [
        Variable("viewsClear", f"{views}.where({_CLEAR}).{_NAME}"),
        Variable("viewsClearPolarised", f"{views}.where({_CLEAR} and {_POLARISED}).{_NAME}"),
        Variable("shownByAll", f"{views}.empty() or {views}.exists({_CLEAR})"),
        Variable("wholeSeen", f"{views}.empty() or {views}.exists({_WHOLE})"),
    ]


def _shown(room: str) -> str:
    """Return whether the views that an item at hand names could show what any light shows."""
    named = answers_here(f"{room}.views") + ".value"
    return f"iif({named}.empty(), %shownByAll, {named}.intersect(%viewsClear).exists())"


def _shown_polarised(room: str) -> str:
    """Return whether the views that an item at hand names could show what only polarised light shows."""
    named = answers_here(f"{room}.views") + ".value"
    return f"iif({named}.empty(), %viewsClearPolarised, {named}.intersect(%viewsClearPolarised)).exists()"


_ONLY_POLARISED = codes(structure for structure in Structure if structure.light is LightFit.ONLY_POLARISED)

# --- Findings --------------------------------------------------------------------------------------------------------

#: The structure and the presence of a finding in detail at hand.
STRUCTURE_HERE = ours(answers_here("findings.structure"), Structure)
_PRESENCE_HERE = ours(answers_here("findings.presence"), Presence)
_ABSENT_AND_SHOWN = (
    f"{_PRESENCE_HERE} = {quoted(Presence.ABSENT)} and "
    f"iif({STRUCTURE_HERE} in {_ONLY_POLARISED}, {_shown_polarised(FINDINGS)}, {_shown(FINDINGS)})"
)


_ALL_CODED = f"{coded_answers(FINDINGS)}.exists({NO_CODE}).not()"


def details(condition: str) -> str:
    """Return the findings in detail that an examination can hold and that meet a condition."""
    return f"{group(FINDINGS)}.where({condition}).where({_ALL_CODED})"


def is_here(presence: Presence) -> str:
    """Return whether a finding in detail at hand has this answer."""
    return f"{_PRESENCE_HERE} = {quoted(presence)}"


def _findings() -> list[Variable]:
    no_place = f"{answers_here('findings.place')}.empty()"
    present, absent = (
        f"{details(f'{is_here(presence)} and {no_place}')}.{STRUCTURE_HERE}"
        for presence in (Presence.PRESENT, Presence.ABSENT)
    )
    every = details(f"{_PRESENCE_HERE}.exists()")
    not_absent = details(f"{_PRESENCE_HERE}.exists() and iif({_ABSENT_AND_SHOWN}, false, true)")
    return [
        # A finding in detail of the same structure, wherever it is, says all that the tick says, and more.
        Variable("detailedPresent", present),
        Variable("detailedAbsent", absent),
        Variable("checkedPresent", f"{checked(Presence.PRESENT)}.exclude(%detailedPresent)"),
        Variable("checkedAbsent", f"{checked(Presence.ABSENT)}.exclude(%detailedAbsent)"),
        Variable("checkedUncertain", checked(Presence.UNCERTAIN)),
        Variable("checkedOpen", f"%checkedUncertain | {checked(Presence.NOT_ASSESSED)}"),
        Variable(
            "checkedAbsentShown",
            f"%checkedAbsent.where(iif($this in {_ONLY_POLARISED}, %viewsClearPolarised.exists(), %shownByAll))",
        ),
        Variable("findingsPresent", f"%checkedPresent | {details(is_here(Presence.PRESENT))}.{STRUCTURE_HERE}"),
        Variable("findingsUncertain", f"%checkedUncertain | {details(is_here(Presence.UNCERTAIN))}.{STRUCTURE_HERE}"),
        Variable("findingsOfAny", f"%checkedPresent | %checkedAbsent | %checkedOpen | {every}.{STRUCTURE_HERE}"),
        Variable(
            "findingsNotAbsent",
            "%checkedPresent | %checkedOpen | %checkedAbsent.exclude(%checkedAbsentShown) | "
            f"{not_absent}.{STRUCTURE_HERE}",
        ),
        Variable("findingsAbsent", "%findingsOfAny.exclude(%findingsNotAbsent)"),
    ]


# --- Lists that were gone through ------------------------------------------------------------------------------------

_STRUCTURE_ANSWER, _PLACE_ANSWER = (answers_here(f"{FINDINGS}.{name}") for name in ("structure", "place"))
_LIST_HERE = ours(answers_here("lists_gone_through.list"), FindingList)


def _lists(decisive: tuple[Structure, ...]) -> list[Variable]:
    lists = f"{group(_LISTS)}.where(%findingsHeld)"
    only_polarised = tuple(one for one in decisive if one.light is LightFit.ONLY_POLARISED)
    others = tuple(one for one in decisive if one.light is not LightFit.ONLY_POLARISED)
    half = f"{_STRUCTURE_ANSWER}.empty() or {_PRESENCE_HERE}.empty() or {_ALL_CODED}.not()"
    mark = f"{_STRUCTURE_ANSWER}.value.code + ' ' + iif({_PLACE_ANSWER}.exists(), {_PLACE_ANSWER}.value.code, '')"
    return [
        # Without one of the findings nobody can tell what was left unticked: no list makes anything absent.
        Variable(
            "findingsHeld",
            f"{group(FINDINGS)}.exists({half}).not() and {group(FINDINGS)}.select({mark}).isDistinct()",
        ),
        Variable("listsAny", f"{lists}.{_LIST_HERE}"),
        Variable("listsShown", f"{lists}.where({_shown(_LISTS)}).{_LIST_HERE}"),
        Variable("listsShownPolarised", f"{lists}.where({_shown_polarised(_LISTS)}).{_LIST_HERE}"),
        Variable("listed", _of_lists("listsAny", decisive)),
        Variable(
            "listedAbsent", f"{_of_lists('listsShown', others)} | {_of_lists('listsShownPolarised', only_polarised)}"
        ),
    ]


def _of_lists(lists: str, among: tuple[Structure, ...]) -> str:
    """Return the structures of some lists, among these."""
    texts = []
    for one in FindingList:
        members = [structure for structure in one.structures if structure in among]
        if members:
            texts.append(f"iif({is_in(one, lists)}, {codes(members)}, {{}})")
    return " | ".join(texts) or "{}"


# --- What structures count as ----------------------------------------------------------------------------------------


class _Recorded:
    """What the form records of structures."""

    def any_present(self, structures: tuple[Structure, ...]) -> str:
        return some_in(structures, "recordedPresent")

    def absent(self, structure: Structure) -> str:
        return is_in(structure, "recordedAbsent")

    def said(self, structure: Structure) -> str:
        return is_in(structure, "recordedAnyhow")

    def found(self, structure: Structure) -> str:
        return is_in(structure, "findingsOfAny")


class _Texts(StructureTexts):
    """The same steps, with what counts as seen taken from the set that was made before."""

    def __init__(self, seen: tuple[Structure, ...]) -> None:
        """Take the structures of which it is known."""
        super().__init__(_Recorded())
        self._seen = frozenset(seen)

    def present(self, structure: Structure) -> str:
        """Return whether the structure counts as present."""
        return is_in(structure, "structuresSeen") if structure in self._seen else super().present(structure)


def _structures(counted: tuple[Structure, ...]) -> list[Variable]:
    pattern = f"{ours(answers('description.pattern'), Structure)}.exclude(%findingsOfAny)"
    return [
        Variable("recordedPresent", f"%findingsPresent | {pattern}"),
        Variable("recordedAbsent", "%findingsAbsent | %listedAbsent.exclude(%findingsOfAny | %recordedPresent)"),
        Variable("recordedAnyhow", "%findingsOfAny | %listed | %recordedPresent"),
        Variable("structuresSeen", _those(counted, "recordedPresent", _Texts(()).present)),
        Variable("structuresUnseen", _those(counted, "recordedAbsent", _Texts(counted).absent)),
    ]


def _those(structures: tuple[Structure, ...], recorded: str, holds: Callable[[Structure], str]) -> str:
    """Return the structures for which a text holds; those that their own record alone decides come as one set."""
    by_record = [structure for structure in structures if _stands_alone(structure)]
    others = [structure for structure in structures if not _stands_alone(structure)]
    return " | ".join(
        (
            f"%{recorded}.intersect{codes(by_record)}",
            *(f"iif({holds(structure)}, {quoted(structure)}, {{}})" for structure in others),
        )
    )


def _stands_alone(structure: Structure) -> bool:
    """Return whether nothing of what is recorded of others follows for a structure by definition."""
    related = structure in PARENT or structure in MADE_OF_PARTS or wholes_that_need(structure)
    return not related and family_of(structure) == (structure,)


# --- Colours ---------------------------------------------------------------------------------------------------------


def _colours() -> list[Variable]:
    listed = answers("description.colours")
    within = f"{ours(answers_here('findings.place'), Place)}.where($this = {quoted(Place.OUTSIDE)}).empty()"
    present_within = details(f"{is_here(Presence.PRESENT)} and {within}")
    of_findings = f"{present_within}.{ours(answers_here('findings.colours'), Colour)}"
    shades = codes((Colour.LIGHT_BROWN, Colour.DARK_BROWN))
    told = f"iif(%coloursListed.intersect{shades}.exists(), {quoted(Colour.BROWN)}, {{}})"
    doubtful = ours(answers("description.doubtful_colours"), Colour)
    return [
        # The list goes whole where one of its answers can't be held: without it the list would say too little.
        Variable("coloursHeld", f"{listed}.exists() and {listed}.exists({NO_CODE}).not()"),
        Variable("coloursListed", f"{listed}.where(%coloursHeld).{our_value(Colour)}"),
        # In a set's own call a condition would have the whole set as its input, which the standard refuses.
        Variable("coloursToldNarrower", told),
        Variable("coloursOfFindings", f"({of_findings}).exclude(%coloursToldNarrower)"),
        Variable("coloursSeen", "%coloursListed | iif(%coloursHeld, {}, %coloursOfFindings)"),
        Variable(
            "coloursUnseen",
            f"iif(%coloursHeld and %wholeSeen, {codes(Colour)}, {{}})"
            f".exclude(%coloursListed | %coloursOfFindings | {doubtful})",
        ),
    ]


# --- Site ------------------------------------------------------------------------------------------------------------


def _site() -> list[Variable]:
    first = {style: [one for one in Site if one.reading_style is style] for style in ReadingStyle}
    second = {style: [one for one in Site if one.second_style is style] for style in ReadingStyle}
    return [Variable("readingStyle", _by_site(first)), Variable("secondStyle", _by_site(second))]


def _by_site(sites: dict[ReadingStyle, list[Site]]) -> str:
    """Return the reading style that has the recorded site among its sites; empty where none has.

    The sites are one text each: a set of a hundred codes is slow to make.
    """
    text = "{}"
    for style, members in sites.items():
        if members:
            within = quoted(f" {' '.join(members)} ")
            text = f"iif({within}.contains(' ' + $this + ' '), {quoted(style)}, {text})"
    return f"{ours(answers('lesion.site'), Site)}.select({text})"
