"""What the clinician makes of it: assessment, plan, and what became known later."""

from operator import attrgetter
from typing import Annotated

from pydantic import StrictBool

from dermreport.examination.base import Coded, Listed, Model
from dermreport.examination.people import Reference
from dermreport.examination.types import Count, DayTime, Key, Millimetres, PartialTime, ShortText, Text
from dermreport.examination.unique import unique_by
from dermreport.vocabulary.agreements import Agreement
from dermreport.vocabulary.certainties import Certainty
from dermreport.vocabulary.changes_seen import ChangeSeen
from dermreport.vocabulary.concerns import Concern
from dermreport.vocabulary.histology_results import HistologyResult
from dermreport.vocabulary.impressions import Impression
from dermreport.vocabulary.outcome_kinds import OutcomeKind
from dermreport.vocabulary.plan_actions import PlanAction
from dermreport.vocabulary.replies import Reply
from dermreport.vocabulary.score_methods import ScoreMethod
from dermreport.vocabulary.specimen_extents import SpecimenExtent
from dermreport.vocabulary.urgencies import Urgency


class NamedImpression(Model):
    """What the clinician takes the lesion for, with its certainty; the list's order is the clinician's rank.

    Attributes:
        key: The entry's own key.
        impression: What it is taken for.
        certainty: How sure the clinician is.
        note: Anything else about it.
    """

    key: Key
    impression: Coded[Impression]
    certainty: Certainty | None = None
    note: Text | None = None


class Assessment(Model):
    """The clinician's own assessment.

    Attributes:
        concern: Benign, uncertain or suspicious.
        impressions: Most likely first.
        unequivocal: Said by the clinician: no doubt at all.
        methods_used: Scores that the clinician used.
        words: The clinician's own words.
    """

    concern: Concern | None = None
    impressions: Annotated[Listed[NamedImpression], unique_by(attrgetter("key"))] = ()
    unequivocal: StrictBool | None = None
    methods_used: Listed[Coded[ScoreMethod]] = ()
    words: Text | None = None


class Action(Model):
    """One planned step: a date, or a window with any of its three points, or neither.

    Attributes:
        key: The entry's own key.
        action: What is to be done.
        urgency: How soon.
        date: The appointed date.
        earliest: First date of the window.
        latest: Last date of the window.
        responsible: Who sees to it.
        reason: Question or reason.
        histology: Whether what is removed goes to a pathologist.
        result_owner: Who looks for the result.
        result_by: By when the result is expected.
        if_not_attended: What happens if the patient doesn't come.
        note: Anything else about it.
    """

    key: Key
    action: Coded[PlanAction]
    urgency: Urgency | None = None
    date: PartialTime | None = None
    earliest: PartialTime | None = None
    latest: PartialTime | None = None
    responsible: Reference | None = None
    reason: Text | None = None
    histology: Reply | None = None
    result_owner: Reference | None = None
    result_by: PartialTime | None = None
    if_not_attended: Text | None = None
    note: Text | None = None


class PatientTold(Model):
    """Whether the patient knows what is suspected, and the words used.

    Attributes:
        told: Whether the patient was told what is suspected.
        words: The words used.
    """

    told: Reply
    words: Text | None = None


class SafetyNet(Model):
    """Advice given to the patient: what to watch for, by when, whom to call, by when to have heard.

    Attributes:
        watch_for: What to watch for.
        by_when: By when to come back if it isn't settled.
        contact: Whom to call.
        heard_by: By when the patient should have heard of the appointment.
    """

    watch_for: Text | None = None
    by_when: PartialTime | None = None
    contact: Text | None = None
    heard_by: PartialTime | None = None


class Departure(Model):
    """Why the plan departs from what a rule, a score or a pathway suggests: whose id it is, and the reason.

    Attributes:
        key: The entry's own key.
        departs_from: Id of the rule, code of the method, or a step of the pathway as ``pathway/step``.
        reason: The clinician's reason.
    """

    key: Key
    departs_from: ShortText
    reason: Text


class Plan(Model):
    """What happens next.

    Attributes:
        actions: The steps planned.
        patient_told: What the patient knows.
        safety_net: Advice given.
        departures: Where the plan departs from a rule or score, and why.
        for_pathologist: What the pathologist needs to know.
        specimen_orientation: How the specimen is marked: which mark stands at which side.
        marked_area: The area that the pathologist is to look at first, and how it is marked.
        note: Anything else about the plan.
    """

    actions: Annotated[Listed[Action], unique_by(attrgetter("key"))] = ()
    patient_told: PatientTold | None = None
    safety_net: SafetyNet | None = None
    departures: Annotated[Listed[Departure], unique_by(attrgetter("key"))] = ()
    for_pathologist: Text | None = None
    specimen_orientation: ShortText | None = None
    marked_area: ShortText | None = None
    note: Text | None = None


class Outcome(Model):
    """What became known later of this lesion.

    Attributes:
        key: The entry's own key.
        kind: Histology, opinion or monitoring.
        date: When it became known.
        result: The pathologist's result.
        text: The report's or the opinion's words.
        specimen: Whether the whole lesion or a part was examined.
        thickness_mm: Breslow thickness, millimetres.
        change: What the comparison showed.
        days_since_baseline: Days between the pictures compared.
        agreement: Whether it agrees with the assessment.
        laboratory_reference: The laboratory's number.
        patient_informed: Whether the patient knows the result.
    """

    key: Key
    kind: OutcomeKind
    date: DayTime | None = None
    result: Coded[HistologyResult] | None = None
    text: Text | None = None
    specimen: SpecimenExtent | None = None
    thickness_mm: Millimetres | None = None
    change: ChangeSeen | None = None
    days_since_baseline: Count | None = None
    agreement: Agreement | None = None
    laboratory_reference: ShortText | None = None
    patient_informed: Reply | None = None


Outcomes = Annotated[Listed[Outcome], unique_by(attrgetter("key"))]
