"""What all resources of one examination share, and what is known of each after it was made."""

from __future__ import annotations

from enum import StrEnum
from typing import TYPE_CHECKING, Any, Final, NamedTuple

from msgspec import Struct

from dermreport.examination.people import system_and_value
from dermreport.fhir.codes import TERMINOLOGY, Codes, fixed
from dermreport.fhir.elements import OBSERVATION_HEAD
from dermreport.fhir.extensions import Extension, extension
from dermreport.fhir.ids import Identified, Identity, Thing, entered_identifier, name_uuid, search
from dermreport.fhir.narrative import narrative
from dermreport.fhir.people import Party, Pointing, host_reference
from dermreport.publication import CANONICAL_BASE
from dermreport.vocabulary.sides import Side
from dermreport.vocabulary.statuses import Status
from dermreport.wording.names import place_words

if TYPE_CHECKING:
    from dermreport.examination.lesion import Lesion
    from dermreport.examination.model import Examination
    from dermreport.fhir.releases import Shape
    from dermreport.reviews.review import Review
    from dermreport.wording.report import Told


class Request(StrEnum):
    """How a resource enters a server."""

    ONCE = "once"
    """Created where none has its identifier; an existing one is never changed."""
    VERSIONED = "versioned"
    """Created at revision 1, updated by its identifier at later ones."""
    BY_ID = "by-id"
    """Put at its own id: for a resource without an identifier."""


class Built(NamedTuple):
    """A resource that was made.

    Attributes:
        uuid: Its UUID.
        resource: The resource without an id; dicts in it are shared, so whoever hands it out copies it.
        search: The search by which a server finds it, ``identifier=…``; empty where it has no identifier.
        request: How it enters a server.
        revision: Revision of the examination that it belongs to.
        reference: A Reference to it within a bundle.
    """

    uuid: str
    resource: dict[str, Any]
    search: str
    request: Request
    revision: int
    reference: dict[str, Any]


def built(known: Identified, resource: dict[str, Any], request: Request, revision: int) -> Built:
    """Return a resource with how it is known."""
    return Built(known.uuid, resource, known.search, request, revision, reference_to(known.uuid))


def reference_to(uuid: str) -> dict[str, Any]:
    """Return a Reference to a resource of the same bundle."""
    return {"reference": f"urn:uuid:{uuid}"}


EXAM: Final = [fixed(f"{TERMINOLOGY}/observation-category", "exam", "Exam")]
_ENCOUNTER: Final = frozenset(("Encounter",))


class Frame(Struct, frozen=True):
    """What all resources of one examination share.

    Attributes:
        review: The review.
        told: Its sentences.
        shape: The release.
        codes: Concepts of the release.
        identity: The examination's identity.
        how: How the bundle points to what the host keeps.
        patient: The patient.
        examiner: The examiner, where one is recorded.
        status: Status of the report and of every Observation.
        withdrawn: Whether the whole examination is withdrawn.
        lesion: How the lesion's BodyStructure is known.
        body_site: Site with its side in words, where it is recorded.
        encounter: The encounter, where one is recorded.
        observed: What every Observation has up to its performer, in the standard's order.
        revision: The examination's revision.
    """

    review: Review
    told: Told
    shape: Shape
    codes: Codes
    identity: Identity
    how: Pointing
    patient: Party
    examiner: Party | None
    status: str
    withdrawn: bool
    lesion: Identified
    body_site: dict[str, Any] | None
    encounter: dict[str, Any] | None
    observed: dict[str, Any]
    revision: int

    @property
    def examination(self) -> Examination:
        """The entry."""
        return self.review.examination

    def head(self, thing: Thing, known: Identified, sentence: str, extensions: list[dict[str, Any]]) -> dict[str, Any]:
        """Return what every resource of an item starts with: profile, narrative, extensions, identifier."""
        return {
            "meta": self.claimed(thing),
            "text": narrative(sentence),
            "extension": extensions or None,
            "identifier": [known.identifier],
        }

    def claimed(self, thing: Thing) -> dict[str, Any] | None:
        """Return the profile claim, where the host wants it."""
        if not self.review.settings.claim_profiles:
            return None
        return {"profile": [f"{CANONICAL_BASE}/StructureDefinition/dermoscopy-{thing.value}"]}

    def versioned(self, known: Identified, resource: dict[str, Any]) -> Built:
        """Return an item's resource with how it is known: created, and updated by later revisions."""
        return built(known, resource, Request.VERSIONED, self.revision)

    def observation(  # noqa: PLR0913, PLR0917 - what each Observation has of its own, in the order in which it is made
        self,
        thing: Thing,
        key: str,
        text: dict[str, Any],
        code: dict[str, Any],
        parts: dict[str, Any],
        head: dict[str, Any] | None = None,
    ) -> Built:
        """Return an Observation: what all share, and its own elements.

        Args:
            thing: What it is.
            key: Its key in the entry.
            text: Its narrative.
            code: What it is about.
            parts: Its elements behind the performer, in the standard's order; ``None`` leaves one out.
            head: Its own elements up to the performer; ``None`` leaves one out.
        """
        known = self.identity.item(thing, key)
        made = self.observed.copy()
        made["text"] = text
        made["identifier"] = [known.identifier]
        made["code"] = code
        if head is not None:
            made.update(head)
        if head is not None or self.review.settings.claim_profiles:
            made["meta"] = self.claimed(thing)
            made = {name: made[name] for name in OBSERVATION_HEAD if made.get(name) is not None}
        for name, value in parts.items():
            if value is not None:
                made[name] = value
        return Built(
            known.uuid, made, known.search, Request.VERSIONED, self.revision, {"reference": "urn:uuid:" + known.uuid}
        )


#: Stands where each Observation has its own.
_OWN: Final[dict[str, Any]] = {}


def status_of(review: Review) -> str:
    """Return FHIR's status: preliminary while an error stands, which withholds nothing."""
    status = review.examination.status
    if status is Status.ENTERED_IN_ERROR:
        return "entered-in-error"
    if status is Status.DRAFT or review.has_errors:
        return "preliminary"
    return status.value


def frame(
    review: Review,
    told: Told,
    shape: Shape,
    how: Pointing,
    people: tuple[Party, Party | None],
) -> Frame:
    """Return what all resources of an examination share."""
    examination = review.examination
    identity = Identity(examination.identifier)
    codes = shape.codes(review.settings)
    patient, examiner = people
    lesion = lesion_identity(examination.lesion, identity)
    status = status_of(review)
    body_site = _body_site(examination.lesion, codes)
    encounter = examination.encounter
    met_in = host_reference(encounter, _ENCOUNTER, how) if encounter is not None else None
    shared = {
        "resourceType": "Observation",
        "text": _OWN,
        "identifier": _OWN,
        "status": status,
        "category": EXAM,
        "code": _OWN,
        "subject": patient.reference,
        "focus": [reference_to(lesion.uuid)],
        "encounter": met_in,
        "effectiveDateTime": examination.examined,
        "issued": examination.recorded,
        "performer": [examiner.reference] if examiner is not None else None,
    }
    observed = {name: value for name, value in shared.items() if value is not None}
    return Frame(
        review=review,
        told=told,
        shape=shape,
        codes=codes,
        identity=identity,
        how=how,
        patient=patient,
        examiner=examiner,
        status=status,
        withdrawn=examination.status is Status.ENTERED_IN_ERROR,
        lesion=lesion,
        body_site=body_site,
        encounter=met_in,
        observed=observed,
        revision=examination.revision,
    )


def lesion_identity(lesion: Lesion | None, identity: Identity) -> Identified:
    """Return how a lesion is known: by its own number, so that it is the same at every visit."""
    if lesion is None or lesion.identifier is None:
        return identity.item(Thing.LESION, "")
    system, value = system_and_value(lesion.identifier)
    return Identified(
        name_uuid(f"{system}|{value}|{Thing.LESION.value}|"),
        entered_identifier(lesion.identifier),
        search(system, value),
    )


def _body_site(lesion: Lesion | None, codes: Codes) -> dict[str, Any] | None:
    """Return the site as a concept whose text has the side; ``None`` where no place is recorded."""
    text = place_words(lesion)
    if lesion is None or not text:
        return None
    if lesion.site is None:
        return {"text": text}
    return {**codes.concept(lesion.site), "text": text}


def side_of(lesion: Lesion | None, codes: Codes) -> dict[str, Any] | None:
    """Return the side as a concept."""
    side: Side | None = lesion.side if lesion is not None else None
    return codes.concept(side) if side is not None else None


def key_extension(key: str) -> list[dict[str, Any]]:
    """Return the extension that keeps an item's own key in the entry."""
    return [extension(Extension.ENTRY_KEY, "valueString", key)]
