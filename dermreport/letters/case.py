"""What the parts of a letter are made of: one reviewed lesion, or the visit as a whole, with the words to say it in."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from dermreport.letters.blocks import Entered, Line, Picture
from dermreport.letters.settings import LetterDetail, LetterSettings
from dermreport.letters.speech import Speech, joined
from dermreport.vocabulary.lateralities import Laterality
from dermreport.vocabulary.sites import Site
from dermreport.vocabulary.urgencies import Urgency
from dermreport.wording.items import Statement, statements

if TYPE_CHECKING:
    from dermreport.examination.decided import Action
    from dermreport.examination.lesion import Lesion
    from dermreport.examination.model import Examination
    from dermreport.examination.people import ExaminerDetails, PatientDetails, Reference
    from dermreport.letters.blocks import Figure
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
        drawing: The body map with this lesion, where its place is known.
        pictures: Embedded pictures by the key of their image.
    """

    review: Review
    speech: Speech
    settings: LetterSettings
    position: int
    several: bool
    drawing: Figure | None
    pictures: Mapping[str, Picture]

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
        """The planned steps that can't wait, the most urgent first."""
        urgent = [one for one in self.actions if is_urgent(one)]
        return tuple(sorted(urgent, key=lambda one: -one.urgency.rank if one.urgency is not None else 0))

    @property
    def days_given(self) -> bool:
        """Whether any planned step has a day."""
        return any(one.date or one.earliest or one.latest for one in self.actions)

    @property
    def title(self) -> Line:
        """What the lesion is called in the letter."""
        lesion = self.examination.lesion
        if lesion is not None and lesion.label is not None:
            return self.speech.say("letter.lesion", label=(Entered(lesion.label),))
        return self.speech.say("letter.lesion-number", number=str(self.position + 1))

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
                self.speech.term(lesion.site) if lesion.site is not None else (),
                self.speech.term(lesion.side) if lesion.side is not None else self._side_missing(lesion),
                (Entered(lesion.site_detail),) if lesion.site_detail else (),
            ),
        )

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
        told = (("days.on", action.date), ("days.earliest", action.earliest), ("days.latest", action.latest))
        return joined(", ", [speech.say(key, day=speech.day(day)) for key, day in told if day is not None])


def full_name(details: PatientDetails | ExaminerDetails | None) -> Line:
    """Return somebody's name, given names first; empty where none is recorded."""
    if details is None:
        return ()
    said = " ".join((*details.given, *((details.family,) if details.family else ())))
    return (Entered(said),) if said else ()


def is_urgent(action: Action) -> bool:
    """Return whether a planned step can't wait for the usual list."""
    return action.urgency is not None and action.urgency.rank >= Urgency.SOON.rank
