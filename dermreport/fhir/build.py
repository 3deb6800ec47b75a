"""From reviews to resources: everything of one examination or of a visit, in the order of a bundle."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct, field
from msgspec.structs import replace

from dermreport.fhir import resources
from dermreport.fhir.frame import Built, Frame, Request, frame
from dermreport.fhir.ids import Identity
from dermreport.fhir.observations import Observed, observations
from dermreport.fhir.people import Party, Pointing, examiner_party, patient_party
from dermreport.reviews.together import of_one_patient

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from dermreport.examination.people import Examiner
    from dermreport.fhir.releases import Shape
    from dermreport.reviews.review import Review
    from dermreport.wording.report import Told


class One(Struct, frozen=True):
    """All resources of one examination, by what they are; ``added`` are those of plugins."""

    frame: Frame
    lesion: Built
    images: list[Built]
    observed: Observed
    report: Built
    actions: list[Built]
    safety_net: list[Built]
    departures: list[Built]
    provenance: Built
    added: Sequence[Built] = ()

    @property
    def all(self) -> list[Built]:
        """Every resource in the order of a bundle."""
        return [
            self.lesion,
            *self.images,
            *self.observed.all,
            self.report,
            *self.actions,
            *self.safety_net,
            *self.departures,
            self.provenance,
            *self.added,
        ]

    @property
    def of_plugins(self) -> list[Built]:
        """Those that plugins made or scored."""
        return [*self.observed.plugin_scores, *self.added]


class Visit(Struct, frozen=True):
    """All resources of the examinations of one visit.

    Attributes:
        people: Patient and examiners that have a resource of their own.
        examinations: One for each examination.
        withdrawn: What the former revision had and this one lacks, entered in error.
        letters: Finished letters.
        joined: Own resources to which others added something, by their UUIDs.
        foreign: Resources of others.
    """

    people: list[Built]
    examinations: list[One]
    withdrawn: list[Built]
    letters: Sequence[Built] = ()
    joined: Mapping[str, Built] = field(default_factory=dict)
    foreign: Sequence[Built] = ()

    @property
    def all(self) -> list[Built]:
        """Every resource in the order of a bundle."""
        made = (built for one in self.examinations for built in one.all)
        own = [*self.people, *made, *self.letters, *self.withdrawn]
        if not self.joined:
            return own
        return [*(self.joined[built.uuid] for built in own), *self.foreign]

    def with_foreign(self, own: Mapping[str, Built], others: Sequence[Built]) -> Visit:
        """Return the visit with what others added: own resources by their UUIDs, and resources of others."""
        return replace(self, joined=own, foreign=others)


def build(reviews: Sequence[Review], tolds: Sequence[Told], shape: Shape, how: Pointing) -> Visit:
    """Return the resources of examinations of one patient.

    Raises:
        BuildError: There is no examination, or the examinations are of different patients.
    """
    of_one_patient(reviews)
    first = reviews[0].examination
    identity = Identity(first.identifier)
    patient = patient_party(first.patient, identity, how, shape)
    known: list[tuple[Examiner, Party]] = []
    made = []
    for review, told in zip(reviews, tolds, strict=True):
        examiner = _examiner(review, known, shape, how)
        made.append(build_one(frame(review, told, shape, how, (patient, examiner))))
    people = [patient, *(party for _, party in known)]
    return Visit([_person(one) for one in people if one.resource is not None], made, [])


def _examiner(review: Review, known: list[tuple[Examiner, Party]], shape: Shape, how: Pointing) -> Party | None:
    """Return the examiner, the same one where an earlier examination of the visit has the same."""
    examiner = review.examination.examiner
    if examiner is None:
        return None
    for entered, party in known:
        if entered == examiner:
            return party
    party = examiner_party(examiner, Identity(review.examination.identifier), how, shape)
    known.append((examiner, party))
    return party


def _person(party: Party) -> Built:
    return Built(party.uuid, party.resource or {}, party.search, Request.ONCE, 1, party.reference)


def build_one(shared: Frame) -> One:
    """Return the resources of one examination."""
    pictures = resources.images(shared)
    observed = observations(shared, resources.pictures_by_view(shared, pictures))
    report = resources.report(shared, observed, pictures)
    requests = resources.actions(shared, observed.impressions, report.reference)
    return One(
        frame=shared,
        lesion=resources.lesion(shared),
        images=pictures,
        observed=observed,
        report=report,
        actions=requests,
        safety_net=resources.safety_net(shared, report.reference),
        departures=resources.departures(shared, requests),
        provenance=resources.provenance(shared, report),
    )


def corrected(former: Visit, current: Visit) -> Visit:
    """Return the current visit, in which a lesion that its revision corrects (its site, its side) is updated.

    Without that the server would keep the lesion where the former revision had it.
    """
    before = {one.lesion.uuid: one.lesion.resource for one in former.examinations}
    made = [
        replace(one, lesion=one.lesion._replace(request=Request.VERSIONED))
        if before.get(one.lesion.uuid, one.lesion.resource) != one.lesion.resource
        else one
        for one in current.examinations
    ]
    return replace(current, examinations=made)


def withdrawn(former: Visit, current: Visit) -> list[Built]:
    """Return what the former revision had and the current one lacks, as entered in error.

    Where something of the current entry couldn't be held, nothing is withdrawn: it may be just that, and a typing error
    must not cancel a request. Lesions and people are never withdrawn; one that only the former revision points to is
    sent along, so that no reference is left without its target. Provenance of the former revision stays true.
    """
    kept = {built.uuid for built in current.all}
    revisions = {
        one.frame.identity.value: one.frame.examination.revision
        for one in current.examinations
        if not one.frame.examination.not_held
    }
    gone = [
        _withdrawn(built, revisions[one.frame.identity.value])
        for one in former.examinations
        for built in one.all
        if built.request is Request.VERSIONED
        and built.uuid not in kept
        and built is not one.lesion
        and one.frame.identity.value in revisions
    ]
    if not gone:
        return []
    others = [*former.people, *(one.lesion for one in former.examinations)]
    return [*(built for built in others if built.uuid not in kept), *gone]


def _withdrawn(built: Built, revision: int) -> Built:
    resource = {**built.resource, "status": "entered-in-error"}
    if "docStatus" in resource:
        resource["docStatus"] = "entered-in-error"
    return built._replace(resource=resource, revision=revision)
