"""What changed between two examinations: each change with its kind, found like with like."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, TypeAlias

from dermreport.examination.observed import finding_key
from dermreport.over_time import kinds
from dermreport.over_time.alike import Course, Pair
from dermreport.vocabulary.attributes import Attribute
from dermreport.vocabulary.colours import Colour
from dermreport.vocabulary.consistencies import Consistency
from dermreport.vocabulary.distributions import Distribution
from dermreport.vocabulary.elevations import Elevation
from dermreport.vocabulary.judgements import Judgement
from dermreport.vocabulary.places import Place
from dermreport.vocabulary.presences import Presence
from dermreport.vocabulary.regularities import Regularity
from dermreport.vocabulary.replies import Reply
from dermreport.vocabulary.structures import Structure

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping
    from decimal import Decimal

    from dermreport.examination.base import OtherCode
    from dermreport.examination.lesion import Palpation
    from dermreport.examination.model import Examination
    from dermreport.examination.observed import Description, Finding
    from dermreport.over_time.growth import Growth
    from dermreport.over_time.kinds import Kind
    from dermreport.vocabulary.term import Term

    #: What can be shown of a change.
    Shown: TypeAlias = Term | OtherCode | Decimal | int | None


@dataclass(frozen=True, slots=True)
class Change:
    """One change.

    Attributes:
        kind: What kind of change it is.
        what: The structure or colour that it is about, or the aspect of the lesion.
        then: What it was.
        now: What it is.
    """

    kind: Kind
    what: Term | str | None = None
    then: Shown = None
    now: Shown = None


def _family(*heads: Structure) -> frozenset[Structure]:
    """Return structures with their parts and kinds."""
    found = set(heads)
    while True:
        more = {part for one in found for part in (*one.any_of, *one.all_of)}
        more |= {one for one in Structure if one.parent in found}
        if more <= found:
            return frozenset(found)
        found |= more


_REGRESSION: Final = _family(Structure.REGRESSION_STRUCTURES)
_GLOBULES: Final = _family(Structure.GLOBULES)
_BLACK_DOTS: Final = _family(Structure.DOTS_BLACK)
_BROWNS: Final = frozenset((Colour.LIGHT_BROWN, Colour.DARK_BROWN, Colour.BROWN))
_HEIGHT: Final = {
    Elevation.DEPRESSED: 0,
    Elevation.FLAT: 0,
    Elevation.PALPABLE: 1,
    Elevation.RAISED: 2,
    Elevation.PEDUNCULATED: 2,
    Elevation.NODULAR: 3,
}
#: How firm it is, where somebody felt.
_FIRMNESS: Final = {Consistency.SOFT: 0, Consistency.FIRM: 1, Consistency.HARD: 2}

#: Two heights or degrees are known: that of the earlier and that of the later examination.
_BOTH: Final = 2


def of_size(growth: Growth) -> Iterator[Change]:
    """Yield what the diameters show."""
    if growth.kind is not None:
        yield Change(growth.kind, None, growth.longest.then, growth.longest.now)


def of_colours(then: Mapping[Colour, bool | None], now: Mapping[Colour, bool | None]) -> Iterator[Change]:
    """Yield colours that came or went; one shade of brown in place of another is a change of its own."""
    gained = [colour for colour in Colour if then[colour] is False and now[colour]]
    lost = [colour for colour in Colour if then[colour] and now[colour] is False]
    if _BROWNS & set(gained) and _BROWNS & set(lost):
        yield Change(
            kinds.SHADE,
            None,
            next(one for one in lost if one in _BROWNS),
            next(one for one in gained if one in _BROWNS),
        )
        gained = [one for one in gained if one not in _BROWNS]
        lost = [one for one in lost if one not in _BROWNS]
    for colour in gained:
        yield Change(kinds.COLOUR_GAINED, colour)
    for colour in lost:
        yield Change(kinds.COLOUR_LOST, colour)


def of_structures(courses: Mapping[Structure, Course], found: Iterable[Pair]) -> Iterator[Change]:
    """Yield structures that came or went, and what differs in those that stayed, each once."""
    pairs = tuple(found)
    for structure, course in courses.items():
        if course is Course.GAINED:
            yield Change(_gained(structure, pairs), structure)
        elif course is Course.LOST:
            yield Change(_lost(structure), structure)
        elif course is Course.PRESENT:
            yield from dict.fromkeys(change for pair in pairs for change in _within(structure, pair))


def _gained(structure: Structure, found: tuple[Pair, ...]) -> Kind:
    if structure is Structure.MILIA_LIKE_CYSTS:
        return kinds.MILIA_LIKE_CYSTS
    if structure in _REGRESSION:
        return kinds.REGRESSION_GAINED
    seen = [one for pair in found for one in _present(pair.now.examination, structure)]
    everywhere = [one.distribution is Distribution.ALL_OVER or one.place is Place.WHOLE_LESION for one in seen]
    return kinds.STRUCTURE_GAINED_ALL_OVER if everywhere and all(everywhere) else kinds.STRUCTURE_GAINED


def _lost(structure: Structure) -> Kind:
    if structure is Structure.MILIA_LIKE_CYSTS:
        return kinds.MILIA_LIKE_CYSTS
    return kinds.BLACK_DOTS_FEWER if structure in _BLACK_DOTS else kinds.STRUCTURE_LOST


def _present(examination: Examination, structure: Structure) -> list[Finding]:
    return [one for one in examination.findings if one.structure is structure and one.presence is Presence.PRESENT]


def _within(structure: Structure, pair: Pair) -> Iterator[Change]:
    """Yield what differs in a structure that was there both times, in one light."""
    if structure is Structure.MILIA_LIKE_CYSTS:
        return
    before = _present(pair.then.examination, structure)
    after = _present(pair.now.examination, structure)
    places = [one.place for one in before]
    if before and None not in places:
        for finding in after:
            if finding.place is not None and finding.place not in places:
                yield Change(kinds.STRUCTURE_PLACE, structure, None, finding.place)
    known = {finding_key(one): one for one in before}
    for finding in after:
        if (earlier := known.get(finding_key(finding))) is not None:
            yield from _details(structure, earlier, finding)


def _details(structure: Structure, then: Finding, now: Finding) -> Iterator[Change]:
    if then.regularity is Regularity.REGULAR and now.regularity is Regularity.IRREGULAR:
        yield Change(kinds.STRUCTURE_IRREGULAR, structure, then.regularity, now.regularity)
    elif then.regularity is not None and now.regularity is not None and then.regularity is not now.regularity:
        yield Change(kinds.STRUCTURE_DETAIL, structure, then.regularity, now.regularity)
    if then.colours and now.colours:
        for colour in now.colours:
            if colour not in then.colours and isinstance(colour, Colour):
                yield Change(kinds.STRUCTURE_COLOUR, structure, None, colour)
    detail = kinds.GLOBULES_DETAIL if structure in _GLOBULES else kinds.STRUCTURE_DETAIL
    if then.count is not None and now.count is not None and then.count != now.count:
        fewer = structure in _BLACK_DOTS and now.count < then.count
        yield Change(kinds.BLACK_DOTS_FEWER if fewer else detail, structure, then.count, now.count)
    if then.distribution is not None and now.distribution is not None and then.distribution != now.distribution:
        yield Change(detail, structure, then.distribution, now.distribution)
    if then.area_percent is not None and now.area_percent is not None and then.area_percent != now.area_percent:
        yield Change(kinds.STRUCTURE_DETAIL, structure, then.area_percent, now.area_percent)


#: What can be asymmetric along an axis.
ASPECTS: Final = ("contour", "colour", "structure")
_AXES: Final = 2


def asymmetric_axes(description: Description | None, aspect: str) -> int | None:
    """Return along how many of two axes an aspect is asymmetric; ``None`` where that isn't settled."""
    axes = () if description is None else (description.first_axis, description.second_axis)
    told = [getattr(axis, aspect) for axis in axes if axis is not None]
    if len(told) < _AXES or any(one not in {Judgement.YES, Judgement.NO} for one in told):
        return None
    return told.count(Judgement.YES)


def of_description(then: Description | None, now: Description | None) -> Iterator[Change]:
    """Yield what differs in the lesion as a whole."""
    for aspect in ASPECTS:
        before, after = asymmetric_axes(then, aspect), asymmetric_axes(now, aspect)
        if before is not None and after is not None and before != after:
            yield Change(kinds.ASYMMETRY_GAINED if after > before else kinds.ASYMMETRY_LOST, aspect, before, after)
    if then is None or now is None:
        return
    segments = (then.border_segments, now.border_segments)
    if None not in segments and segments[0] != segments[1]:
        yield Change(kinds.BORDER, None, *segments)
    if then.pattern is not None and now.pattern is not None and then.pattern != now.pattern:
        yield Change(kinds.PATTERN, None, then.pattern, now.pattern)


def of_lesion(then: Examination, now: Examination) -> Iterator[Change]:
    """Yield what sight and touch show in any light, and what the patient tells of inflammation."""
    before, after = then.lesion, now.lesion
    if before is None or after is None:
        return
    heights = [_HEIGHT[one] for one in (before.elevation, after.elevation) if one is not None]
    if len(heights) == _BOTH and before.elevation is not after.elevation:
        kind = kinds.RAISED if heights[0] < heights[1] else kinds.STANDS_OTHERWISE
        yield Change(kind, None, before.elevation, after.elevation)
    yield from _of_surface(before.ulcerated, after.ulcerated)
    if before.palpation is not None and after.palpation is not None:
        yield from _of_touch(before.palpation, after.palpation)
    told = [one.history.inflamed if one.history is not None else None for one in (before, after)]
    if [one.answer if one is not None else None for one in told] == [Reply.YES, Reply.NO]:
        yield Change(kinds.INFLAMMATION_SETTLED)


def _of_surface(then: Judgement | None, now: Judgement | None) -> Iterator[Change]:
    if then is Judgement.NO and now is Judgement.YES:
        yield Change(kinds.ULCERATED)
    elif now is not then and now is not None and (then is Judgement.YES or now is Judgement.UNCERTAIN):
        yield Change(kinds.SURFACE_DIFFERS, None, then, now)


#: What else touch tells of a lesion, by the field.
_TOUCH: Final = {
    "mobile": Attribute.MOBILE,
    "tender": Attribute.TENDER,
    "dimple": Attribute.DIMPLE,
    "blanches": Attribute.BLANCHES,
}


def _of_touch(then: Palpation, now: Palpation) -> Iterator[Change]:
    told = (then.consistency, now.consistency)
    known = [_FIRMNESS[one] for one in told if one is not None and one in _FIRMNESS]
    if len(known) == _BOTH and known[0] != known[1]:
        yield Change(kinds.FIRMER if known[0] < known[1] else kinds.FEELS_OTHERWISE, Attribute.CONSISTENCY, *told)
    for name, felt in _TOUCH.items():
        answers = (getattr(then, name), getattr(now, name))
        if set(answers) == {Reply.YES, Reply.NO}:
            yield Change(kinds.FEELS_OTHERWISE, felt, *answers)
