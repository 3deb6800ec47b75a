"""What the parts of a letter are made of: one reviewed lesion, or the visit as a whole, with the words to say it in."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from dermreport.letters.blocks import Entered, Line, Picture
from dermreport.letters.settings import LetterDetail, LetterSettings
from dermreport.letters.speech import Speech, joined
from dermreport.vocabulary.action_kinds import ActionKind
from dermreport.vocabulary.lateralities import Laterality
from dermreport.vocabulary.outcome_kinds import OutcomeKind
from dermreport.vocabulary.plan_actions import PlanAction
from dermreport.vocabulary.replies import Reply
from dermreport.vocabulary.sites import Site
from dermreport.vocabulary.urgencies import Urgency
from dermreport.wording.items import Statement, statements

if TYPE_CHECKING:
    from dermreport.examination.decided import Action
    from dermreport.examination.lesion import Lesion
    from dermreport.examination.model import Examination
    from dermreport.examination.people import ExaminerDetails, PatientDetails, Reference
    from dermreport.letters.blocks import Figure
    from dermreport.letters.plugin_sections import AddedSection
    from dermreport.reviews.review import Review


@dataclass(frozen=True)
class Case:
    """One reviewed lesion of a letter.

    Attributes:
        review: The review.
        speech: The language.
        settings: The host's settings.
        position: Its place in the letter, from 0.
        several: Whether the letter has other lesions too.
        labelled: Whether every lesion of the letter has a label of its own, so that it tells them apart.
        drawing: The body map with this lesion, where its place is known.
        pictures: Embedded pictures by the key of their image.
        added: What plugins add.
    """

    review: Review
    speech: Speech
    settings: LetterSettings
    position: int
    several: bool
    labelled: bool
    drawing: Figure | None
    pictures: Mapping[str, Picture]
    added: tuple[AddedSection, ...] = ()

    @property
    def examination(self) -> Examination:
        """The examination."""
        return self.review.examination

    @property
    def complete(self) -> bool:
        """Whether all is to be said."""
        return self.settings.detail is LetterDetail.COMPLETE

    @cached_property
    def statements(self) -> tuple[Statement, ...]:
        """What the entry states on the single items."""
        return tuple(statements(self.examination))

    @property
    def actions(self) -> tuple[Action, ...]:
        """The planned steps, in the entry's order."""
        plan = self.examination.plan
        return plan.actions if plan is not None else ()

    @property
    def urgent_actions(self) -> tuple[Action, ...]:
        """The planned steps that can't wait, the most urgent first; those whose day has passed come last."""
        urgent = [one for one in self.actions if is_urgent(one) and not self.is_done(one)]
        return tuple(sorted(urgent, key=lambda one: (self.is_past(one), how_late(one))))

    @property
    def written(self) -> str:
        """The day on the letter: the host's, else that on which the entry was recorded, or the lesion examined."""
        examination = self.examination
        return (self.settings.written or examination.recorded or examination.examined).partition("T")[0]

    def is_past(self, action: Action) -> bool:
        """Return whether the day of a planned step lies before that on the letter: nobody knows here if it was done."""
        day = (action.date or action.latest or "").partition("T")[0]
        return len(day) == len(self.written) == _WHOLE_DAY and day < self.written

    def is_done(self, action: Action) -> bool:
        """Return whether a specimen was taken, because its day has passed and a pathologist has answered."""
        answered = any(one.kind is OutcomeKind.HISTOLOGY for one in self.examination.outcomes)
        return answered and goes_to_pathologist(action) and self.is_past(action)

    def what(self, action: Action) -> Line:
        """Return what a planned step is; where no row of ours says it, with its words."""
        said = self.speech.term(action.action)
        told = action.action is PlanAction.OTHER_STEP or not isinstance(action.action, PlanAction)
        return self.speech.noted(said, action.note) if told else said

    @property
    def days_given(self) -> bool:
        """Whether any planned step has a day."""
        return any(one.date or one.earliest or one.latest for one in self.actions)

    @property
    def title(self) -> Line:
        """What the lesion is called in the letter."""
        lesion, number = self.examination.lesion, str(self.position + 1)
        label = lesion.label if lesion is not None else None
        if label is None:
            return self.speech.say("letter.lesion-number", number=number)
        if self.labelled:
            return self.speech.say("letter.lesion", label=(Entered(label),))
        return self.speech.say("letter.lesion-both", number=number, label=(Entered(label),))

    @property
    def place(self) -> Line:
        """Where the lesion is and how large; empty where nothing of it is recorded."""
        return joined(", ", (self.site, self.size))

    @property
    def site(self) -> Line:
        """Where the lesion is: site, side and detail."""
        lesion = self.examination.lesion
        if lesion is None:
            return ()
        return joined(
            ", ",
            (
                self._site_alone(lesion),
                self.speech.term(lesion.side) if lesion.side is not None else self._side_missing(lesion),
                (Entered(lesion.site_detail),) if lesion.site_detail else (),
            ),
        )

    def _site_alone(self, lesion: Lesion) -> Line:
        if lesion.site is not None:
            return self.speech.term(lesion.site)
        # A side or words alone are no site.
        return self.speech.not_recorded if lesion.side is not None or lesion.site_detail else ()

    def _side_missing(self, lesion: Lesion) -> Line:
        """Return that the side isn't recorded where the body has two of the site: it is the wrong one half the time."""
        paired = isinstance(lesion.site, Site) and lesion.site.laterality is Laterality.PAIRED
        return (self.speech.text("lesion.side-missing"),) if paired else ()

    @property
    def size(self) -> Line:
        """How large the lesion is."""
        lesion = self.examination.lesion
        if lesion is None:
            return ()
        longest, crosswise = lesion.longest_mm, lesion.crosswise_mm
        say, number = self.speech.say, self.speech.number
        if longest is not None and crosswise is not None:
            return say("lesion.size-both", longest=number(longest), crosswise=number(crosswise))
        one = longest if longest is not None else crosswise
        return say("lesion.size-one", longest=number(one)) if one is not None else ()

    def somebody(self, reference: Reference) -> Line:
        """Return a reference of the host's in words: its display, the examiner's name where it is the examiner."""
        if reference.display:
            return (Entered(reference.display),)
        examiner = self.examination.examiner
        if examiner is not None and examiner.reference is not None and reference.reference == examiner.reference:
            return full_name(examiner.details) or (Entered(examiner.reference),)
        return (self.speech.text("plan.somebody"),)

    def days(self, action: Action) -> Line:
        """Return when a planned step is to be: its date, or its window."""
        speech = self.speech
        whole = action.date is None or len(action.date) >= _WHOLE_DAY
        on = "days.on" if whole else "days.in"
        told = ((on, action.date), ("days.earliest", action.earliest), ("days.latest", action.latest))
        return joined(", ", [speech.say(key, day=speech.day(day)) for key, day in told if day is not None])


def full_name(details: PatientDetails | ExaminerDetails | None) -> Line:
    """Return somebody's name, given names first; empty where none is recorded."""
    if details is None:
        return ()
    said = " ".join((*details.given, *((details.family,) if details.family else ())))
    return (Entered(said),) if said else ()


_TISSUE = frozenset((ActionKind.TISSUE_WHOLE, ActionKind.TISSUE_PART))


def goes_to_pathologist(action: Action) -> bool:
    """Return whether a planned step gives a specimen: as recorded, else by its kind."""
    if action.histology in {Reply.YES, Reply.NO}:
        return action.histology is Reply.YES
    return isinstance(action.action, PlanAction) and action.action.kind in _TISSUE


#: Characters of a whole day, as ``2026-03-04``.
_WHOLE_DAY = 10


def is_urgent(action: Action) -> bool:
    """Return whether a planned step can't wait for the usual list; a referral for suspected cancer never can."""
    if action.action is PlanAction.REFER_SUSPECTED_CANCER:
        return True
    return action.urgency is not None and action.urgency.rank >= Urgency.SOON.rank


def how_late(action: Action) -> int:
    """Return what sorts planned steps, the most urgent first."""
    if action.urgency is not None:
        return -action.urgency.rank
    return -Urgency.URGENT.rank if is_urgent(action) else 0
