"""What each structure counts as: from findings, lists gone through, light and view to one answer.

The record keeps what the clinician entered. The answers say what it supports: a structure called absent though
no view could show it is not assessed; absent where every view was limited is uncertain; absent by a list that was
gone through is absent; and nothing is absent by default.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType

from msgspec import Struct

from dermreport.examination.model import Examination
from dermreport.examination.observed import Description, Finding, View
from dermreport.vocabulary.colours import Colour
from dermreport.vocabulary.coverages import Coverage
from dermreport.vocabulary.finding_lists import FindingList
from dermreport.vocabulary.light_fits import LightFit
from dermreport.vocabulary.lights import Light
from dermreport.vocabulary.not_assessed_reasons import NotAssessedReason
from dermreport.vocabulary.places import Place
from dermreport.vocabulary.presences import Presence
from dermreport.vocabulary.structure_kinds import StructureKind
from dermreport.vocabulary.structures import Structure


class Answer(Struct, frozen=True):
    """What one structure counts as.

    Attributes:
        presence: What it counts as.
        because: Why it isn't assessed, or why an absent one counts as uncertain.
        recorded: What the clinician entered, where that is something else.
        look_in: The light in which it could be seen, where the light used could not show it.
        findings: Positions of its findings in the entry.
        by_list: The list whose statement makes it absent.
    """

    presence: Presence
    because: NotAssessedReason | None = None
    recorded: Presence | None = None
    look_in: Light | None = None
    findings: tuple[int, ...] = ()
    by_list: FindingList | None = None

    @property
    def truth(self) -> bool | None:
        """True for present, False for absent, None for an open answer."""
        return _TRUTH[self.presence]


_TRUTH = {
    Presence.PRESENT: True,
    Presence.ABSENT: False,
    Presence.UNCERTAIN: None,
    Presence.NOT_ASSESSED: None,
}
#: Which of several records of one structure counts: seen anywhere is seen, absent only where nothing stays open.
_WEIGHT = {Presence.PRESENT: 3, Presence.UNCERTAIN: 2, Presence.NOT_ASSESSED: 1, Presence.ABSENT: 0}

NOT_LOOKED_FOR = Answer(Presence.NOT_ASSESSED, NotAssessedReason.NOT_LOOKED_FOR)


class Answers(Struct, frozen=True):
    """The answers of one examination.

    Attributes:
        structures: What each structure counts as; one that is missing was not looked for.
        colours: Whether each colour was seen, not seen, or is open.
        whole_lesion: The description of the lesion as a whole, or None where every view shows only a part of it.
        examination: The entry, as the clinician wrote it.
    """

    structures: Mapping[Structure, Answer]
    colours: Mapping[Colour, bool | None]
    whole_lesion: Description | None
    examination: Examination

    def __repr__(self) -> str:
        """Name the part, never what was found: a repr ends in logs."""
        return f"<{type(self).__name__}>"

    def of(self, structure: Structure) -> Answer:
        """Return the answer for a structure; not looked for where nothing says otherwise."""
        return self.structures.get(structure, NOT_LOOKED_FOR)


def views_named(examination: Examination, keys: Sequence[str]) -> tuple[View, ...]:
    """Return the views that a finding or list names; all of them where it names none.

    A key without a view stands for nothing: what names only such keys was seen in no view that is known.
    """
    if not keys:
        return examination.views
    return tuple(view for view in examination.views if view.key in keys)


def answers(examination: Examination) -> Answers:
    """Return what each structure and colour of an examination counts as."""
    found: dict[Structure, Answer] = {}
    for position, finding in enumerate(examination.findings):
        structure = finding.structure
        if isinstance(structure, Structure):
            answer = _from_finding(structure, finding, position, _Sight.of(examination, finding.views))
            earlier = found.get(structure)
            found[structure] = answer if earlier is None else _stronger(earlier, answer)
    _add_lists(found, examination)
    _add_pattern(found, examination.description)
    _derive(found)
    whole = not _Sight.of(examination).partial
    return Answers(
        structures=MappingProxyType(found),
        colours=MappingProxyType(_colours(examination, whole_lesion_seen=whole)),
        whole_lesion=examination.description if whole else None,
        examination=examination,
    )


def answer_to(found: Answers, position: int) -> Answer:
    """Return what the finding at a position counts as, apart from other findings of the same structure.

    The answers join all findings of one structure; here one that is absent at one place stays absent there, or not
    assessed, though the structure is present at another.
    """
    examination = found.examination
    finding = examination.findings[position]
    structure = finding.structure
    if not isinstance(structure, Structure):
        return Answer(finding.presence, finding.not_assessed_because, findings=(position,))
    joined = found.of(structure)
    if joined.findings == (position,) and finding.presence in {joined.presence, joined.recorded}:
        return joined
    if finding.presence is Presence.ABSENT or finding.presence is Presence.NOT_ASSESSED:
        alone = examination.model_copy(update={"findings": (finding,), "lists_gone_through": ()})
        return answers(alone).of(structure)
    return Answer(finding.presence, finding.not_assessed_because, findings=(position,))


def _add_lists(found: dict[Structure, Answer], examination: Examination) -> None:
    """Add the items of the lists that were gone through and not ticked: absent, as far as their views could show.

    Of two lists with the same item the statement that says more counts: absent where one of them could see it.
    """
    stated: dict[Structure, Answer] = {}
    for gone_through in examination.lists_gone_through:
        name = gone_through.list
        if isinstance(name, FindingList):
            sight = _Sight.of(examination, gone_through.views)
            by_light = {light: sight.absent(light, by_list=name) for light in LightFit}
            for structure in name.structures:
                answer = by_light[structure.light]
                earlier = stated.get(structure)
                if earlier is None or _SAYS_MORE[answer.presence] > _SAYS_MORE[earlier.presence]:
                    stated[structure] = answer
    for structure, answer in stated.items():
        found.setdefault(structure, answer)


#: Which of two lists' statements on one item says more.
_SAYS_MORE = {Presence.ABSENT: 2, Presence.UNCERTAIN: 1, Presence.NOT_ASSESSED: 0}


def _add_pattern(found: dict[Structure, Answer], description: Description | None) -> None:
    """Add the pattern that the description of the whole lesion names, unless a finding of it was recorded."""
    pattern = description.pattern if description is not None else None
    if isinstance(pattern, Structure) and not found.get(pattern, NOT_LOOKED_FOR).findings:
        found[pattern] = Answer(Presence.PRESENT)


def _from_finding(structure: Structure, finding: Finding, position: int, sight: _Sight) -> Answer:
    if finding.presence is Presence.ABSENT:
        return sight.absent(structure.light, (position,))
    because = finding.not_assessed_because
    look_in = None
    if finding.presence is Presence.NOT_ASSESSED:
        because = because or NotAssessedReason.NOT_LOOKED_FOR
        if because is NotAssessedReason.NOT_VISIBLE_IN_THIS_LIGHT:
            look_in = structure.light.best
    return Answer(finding.presence, because, look_in=look_in, findings=(position,))


class _Sight(Struct, frozen=True):
    """What a set of views could show; of views that an entry had and couldn't be held nobody knows what.

    What names only views that the examination doesn't have was seen in no light that is known: nothing is absent there.
    """

    known: bool
    polarised: bool
    only_non_polarised: bool
    partial: bool
    limited: bool
    polarised_limited: bool

    @classmethod
    def of(cls, examination: Examination, keys: Sequence[str] = ()) -> _Sight:
        views = views_named(examination, keys)
        lost = not views and any(issue.path.startswith("$.views") for issue in examination.not_held)
        lights = [view.light for view in views]
        return cls(
            known=bool(views) or not keys,
            polarised=Light.POLARISED in lights,
            only_non_polarised=bool(lights) and all(light is Light.NON_POLARISED for light in lights),
            partial=lost or (bool(views) and all(view.covers is Coverage.PART for view in views)),
            limited=lost or _all_limited(views),
            polarised_limited=_all_limited([view for view in views if view.light is Light.POLARISED]),
        )

    def absent(self, light: LightFit, findings: tuple[int, ...] = (), by_list: FindingList | None = None) -> Answer:
        """Return what «absent» counts as for a structure that needs this light."""
        if not self.known:
            reason, better = NotAssessedReason.LIGHT_NOT_KNOWN, light.best
            return Answer(Presence.NOT_ASSESSED, reason, Presence.ABSENT, better, findings, by_list)
        if light is LightFit.ONLY_POLARISED and not self.polarised:
            reason = (
                NotAssessedReason.NOT_VISIBLE_IN_THIS_LIGHT
                if self.only_non_polarised
                else NotAssessedReason.LIGHT_NOT_KNOWN
            )
            return Answer(Presence.NOT_ASSESSED, reason, Presence.ABSENT, Light.POLARISED, findings, by_list)
        if self.polarised_limited if light is LightFit.ONLY_POLARISED else self.limited:
            return Answer(Presence.UNCERTAIN, NotAssessedReason.HIDDEN, Presence.ABSENT, None, findings, by_list)
        return Answer(Presence.ABSENT, findings=findings, by_list=by_list)


def _all_limited(views: Sequence[View]) -> bool:
    return bool(views) and all(view.limits or view.covers is Coverage.PART for view in views)


def _stronger(one: Answer, other: Answer) -> Answer:
    """Join two records of one structure at different places: seen anywhere is seen."""
    first, second = (one, other) if _WEIGHT[one.presence] >= _WEIGHT[other.presence] else (other, one)
    return Answer(
        first.presence,
        first.because,
        first.recorded,
        first.look_in,
        (*one.findings, *other.findings),
        first.by_list or second.by_list,
    )


PARENT = {structure: structure.parent for structure in Structure if structure.parent is not None}
MADE_OF_PARTS = {
    structure: (structure.any_of, structure.all_of)
    for structure in Structure
    if structure.any_of_names or structure.all_of_names
}
#: A composite that its parts make present only where another structure is absent.
ONLY_WITHOUT = {Structure.VESSELS_ATYPICAL: Structure.REGRESSION_STRUCTURES}


def _derive(found: dict[Structure, Answer]) -> None:
    """Add what follows by definition, from parts to kinds to wholes."""
    _derive_needed_parts(found)
    _derive_parents(found)
    for structure, parent in PARENT.items():
        if structure not in found and found.get(parent, NOT_LOOKED_FOR).truth is False:
            found[structure] = found[parent]
    for structure in MADE_OF_PARTS:
        if structure not in found:
            derived = from_parts(structure, found)
            if derived is not None:
                found[structure] = derived


def _derive_needed_parts(found: dict[Structure, Answer]) -> None:
    """Add each part that a present composite or pattern can't do without, where nothing was recorded of the part."""
    for structure, (_, all_of) in MADE_OF_PARTS.items():
        if found.get(structure, NOT_LOOKED_FOR).presence is Presence.PRESENT:
            for part in all_of:
                if not found.get(part, NOT_LOOKED_FOR).findings:
                    found[part] = Answer(Presence.PRESENT)


def _derive_parents(found: dict[Structure, Answer]) -> None:
    """Add the wider structures of each kind that is present: a finding of the kind is one of them too."""
    for structure, answer in tuple(found.items()):
        parent = PARENT.get(structure)
        while parent is not None and answer.presence is Presence.PRESENT:
            found[parent] = _made_present(found.get(parent, NOT_LOOKED_FOR), answer.findings)
            parent = PARENT.get(parent)


def _made_present(parent: Answer, findings: tuple[int, ...]) -> Answer:
    """Return the answer for a wider structure of which a kind is present; what was recorded of it stays beside."""
    entered = parent.recorded or parent.presence
    recorded = entered if parent.findings and entered is not Presence.PRESENT else None
    return Answer(Presence.PRESENT, recorded=recorded, findings=tuple(dict.fromkeys((*parent.findings, *findings))))


def from_parts(structure: Structure, found: Mapping[Structure, Answer]) -> Answer | None:
    """Return what the answers for its parts say of a composite or pattern.

    Args:
        structure: Any structure.
        found: What each structure counts as.

    Returns:
        Present or absent with the findings of its parts; None where they leave it open, or where it has no parts.
    """
    any_of, all_of = MADE_OF_PARTS.get(structure, ((), ()))
    either = [found.get(part, NOT_LOOKED_FOR) for part in any_of]
    every = [found.get(part, NOT_LOOKED_FOR) for part in all_of]
    if any(part.truth is False for part in every) or (either and all(part.truth is False for part in either)):
        return Answer(Presence.ABSENT)
    if structure.kind is not StructureKind.COMPOSITE or structure not in MADE_OF_PARTS:
        return None
    without = ONLY_WITHOUT.get(structure)
    if without is not None and found.get(without, NOT_LOOKED_FOR).truth is not False:
        return None
    present = all(part.truth for part in every) and (not either or any(part.truth for part in either))
    if not present:
        return None
    positions = (position for part in (*either, *every) if part.truth for position in part.findings)
    return Answer(Presence.PRESENT, findings=tuple(dict.fromkeys(positions)))


def _colours(examination: Examination, *, whole_lesion_seen: bool) -> dict[Colour, bool | None]:
    """Return for each colour whether it was seen, not seen, or is open.

    The list for the whole lesion is the full one. A colour recorded with a present finding that the list lacks is a
    contradiction and stays open; without a list it counts as seen. Brown of a shade not given is no colour of its own
    where the list has a shade of brown, and what lies outside the lesion tells nothing of its colours.
    """
    description = examination.description
    listed = description.colours if description is not None else ()
    doubtful = description.doubtful_colours if description is not None else ()
    of_findings = {
        colour  # pyright: ignore[reportUnhashable]  # pydantic makes frozen models hashable
        for finding in examination.findings
        if finding.presence is Presence.PRESENT and finding.place is not Place.OUTSIDE
        for colour in finding.colours
    }
    if Colour.LIGHT_BROWN in listed or Colour.DARK_BROWN in listed:
        of_findings.discard(Colour.BROWN)
    complete = bool(listed) and whole_lesion_seen
    seen: dict[Colour, bool | None] = {}
    for colour in Colour:
        if colour in listed:
            seen[colour] = True
        elif colour in of_findings:
            seen[colour] = None if listed else True
        elif complete and colour not in doubtful:
            seen[colour] = False
        else:
            seen[colour] = None
    return seen
