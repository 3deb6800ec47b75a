"""The other resources of one examination: lesion, pictures, plan, advice, departures, report, provenance."""

from __future__ import annotations

from base64 import b64encode
from datetime import datetime
from typing import TYPE_CHECKING, Any, Final

from dermreport.fhir import software
from dermreport.fhir.codes import RULE_SYSTEM, TERMINOLOGY, any_coding, coding, fixed
from dermreport.fhir.empty_parts import empty_parts
from dermreport.fhir.extensions import Extension, extension, parts
from dermreport.fhir.frame import Built, Frame, Request, built, key_extension, reference_to, side_of
from dermreport.fhir.ids import Identified, Thing, entered_identifier, identifier, search
from dermreport.fhir.narrative import narrative, narrative_of_sections
from dermreport.fhir.observations import Observed, note, references
from dermreport.fhir.people import host_reference
from dermreport.fhir.releases import Picture
from dermreport.fhir.write import exact
from dermreport.issues import Severity
from dermreport.publication import VOCABULARY_VERSION
from dermreport.vocabulary.documents import Document
from dermreport.vocabulary.hash_algorithms import HashAlgorithm
from dermreport.vocabulary.image_roles import ImageRole
from dermreport.vocabulary.lights import Light
from dermreport.vocabulary.plan_actions import PlanAction
from dermreport.vocabulary.score_methods import ScoreMethod
from dermreport.vocabulary.urgencies import Urgency
from dermreport.wording.names import place_words
from dermreport.wording.report import sections
from dermreport.wording.sentences import conclusion

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from dermreport.examination.decided import Action, Departure
    from dermreport.examination.lesion import MapPoint
    from dermreport.examination.observed import Image
    from dermreport.plugin import About

ANYTHING: Final[frozenset[str]] = frozenset()
_RESPONSIBLE: Final = frozenset(
    (
        "Practitioner",
        "PractitionerRole",
        "Organization",
        "CareTeam",
        "HealthcareService",
        "Patient",
        "Device",
        "RelatedPerson",
    )
)
_ORDER: Final = frozenset(("ServiceRequest", "CarePlan"))
_ORGANISATION: Final = frozenset(("Organization",))
_EARLIER: Final = frozenset(("DiagnosticReport",))


def lesion(frame: Frame) -> Built:
    """Return the lesion: what never changes between visits.

    One that the host numbers is created once, and updated only by a revision that corrects it (see ``build``); one
    that is known by its examination alone is revised with it.
    """
    known = frame.lesion
    entered = frame.examination.lesion
    place = place_words(entered)
    resource = frame.shape.resource(
        "BodyStructure",
        {
            "meta": frame.claimed(Thing.LESION),
            "text": narrative(f"skin lesion: {place or 'site not recorded'}"),
            "extension": _map_point(entered.map_point) if entered is not None and entered.map_point else None,
            "identifier": [known.identifier],
            "active": True,
            "morphology": frame.codes.concept(Document.SKIN_LESION),
            **frame.shape.lesion_place(frame.body_site, side_of(entered, frame.codes)),
            "description": place or None,
            "patient": frame.patient.reference,
        },
    )
    numbered = entered is not None and entered.identifier is not None
    return built(known, resource, Request.ONCE if numbered else Request.VERSIONED, frame.examination.revision)


def _map_point(point: MapPoint) -> list[dict[str, Any]]:
    return parts(
        Extension.BODY_MAP_POINT,
        (
            ("map", "valueCoding", any_coding(point.map)),
            ("x", "valueDecimal", exact(point.x)),
            ("y", "valueDecimal", exact(point.y)),
        ),
    )


PICTURES: Final = {
    ImageRole.DERMATOSCOPIC: Document.DERMATOSCOPIC_IMAGE,
    ImageRole.CLOSE_UP: Document.CLINICAL_IMAGE,
    ImageRole.OVERVIEW: Document.CLINICAL_IMAGE,
}


def images(frame: Frame) -> list[Built]:
    """Return the pictures in the entry's order."""
    return [
        _image(frame, image, sentence)
        for image, sentence in zip(frame.examination.images, frame.told.images, strict=True)
    ]


def _image(frame: Frame, image: Image, sentence: str) -> Built:
    known = frame.identity.item(Thing.IMAGE, image.key)
    head = frame.head(Thing.IMAGE, known, sentence, _image_extensions(frame, image))
    if image.dicom_uid is not None:
        head["identifier"].append(identifier("urn:dicom:uid", f"urn:oid:{image.dicom_uid}"))
    picture = Picture(
        head=head,
        kind=PICTURES[image.role] if image.role is not None else None,
        withdrawn=frame.withdrawn,
        subject=frame.patient.reference,
        encounter=frame.encounter,
        operator=frame.examiner.reference if frame.examiner is not None else None,
        body_site=frame.body_site,
        attachment=_attachment(image),
        size=image.size_bytes,
        taken=image.taken,
        status=frame.status,
        note=image.note,
    )
    return frame.versioned(known, frame.shape.image(picture, frame.codes))


def _attachment(image: Image) -> dict[str, Any]:
    """Return address, type and hash. The standard's hash is SHA-1; another one goes into an extension."""
    made: dict[str, Any] = {"contentType": image.media_type, "url": image.address}
    if image.hash is not None:
        if image.hash.algorithm is HashAlgorithm.SHA_1:
            made["hash"] = b64encode(bytes.fromhex(image.hash.value)).decode()
        else:
            hashed = (
                ("algorithm", "valueCoding", coding(image.hash.algorithm)),
                ("value", "valueString", image.hash.value),
            )
            made["extension"] = parts(Extension.HASH, hashed)
    return made


def _image_extensions(frame: Frame, image: Image) -> list[dict[str, Any]]:
    made = key_extension(image.key)
    if image.view is not None and all(view.key != image.view for view in frame.examination.views):
        made.append(extension(Extension.VIEW_KEY, "valueString", image.view))
    if image.role is not None:
        made.append(extension(Extension.IMAGE_ROLE, "valueCoding", coding(image.role)))
    if image.scale is not None:
        made.append(extension(Extension.IMAGE_SCALE, "valueCoding", coding(image.scale)))
    consent = image.consent
    if consent is not None:
        purposes = (
            (name, "valueCoding", coding(given) if given is not None else None)
            for name, given in (("care", consent.care), ("teaching", consent.teaching), ("research", consent.research))
        )
        told = (
            *purposes,
            ("recorded", "valueDateTime", consent.recorded),
            ("given-by", "valueString", consent.given_by),
        )
        made.extend(parts(Extension.IMAGE_CONSENT, told))
    return made


#: Steps that ask nothing of anybody once they are written down.
_NOTHING_ASKED: Final = frozenset(
    (
        PlanAction.REASSURE_WITH_ADVICE,
        PlanAction.SELF_MONITORING,
        PlanAction.SUN_PROTECTION_ADVICE,
        PlanAction.DISCHARGE_TO_USUAL_CARE,
        PlanAction.DECLINED_BY_PATIENT,
    )
)


def _request_status(action: Action) -> str:
    """Return ``active``, or ``completed`` for what asks nothing of anybody; whatever is urgent is active."""
    urgent = action.urgency is not None and action.urgency.rank >= Urgency.URGENT.rank
    return "completed" if action.action in _NOTHING_ASKED and not urgent else "active"


def actions(frame: Frame, impressions: Sequence[Built], report: dict[str, Any]) -> list[Built]:
    """Return the planned steps. A request is active whatever the issues are: nothing withholds an urgent one."""
    plan = frame.examination.plan
    if plan is None:
        return []
    made = []
    for rank, (action, sentence) in enumerate(zip(plan.actions, frame.told.actions, strict=True), start=1):
        known = frame.identity.item(Thing.ACTION, action.key)
        shape = frame.shape
        resource = shape.resource(
            "ServiceRequest",
            {
                **frame.head(Thing.ACTION, known, sentence, _action_extensions(frame, action, rank)),
                "requisition": identifier(frame.identity.system, frame.identity.value),
                "status": "entered-in-error" if frame.withdrawn else _request_status(action),
                "intent": frame.review.settings.intent.value,
                "priority": action.urgency.fhir_priority if action.urgency is not None else None,
                "code": shape.request_code(frame.codes.concept(action.action)),
                "subject": frame.patient.reference,
                "encounter": frame.encounter,
                **_occurrence(action),
                "authoredOn": frame.examination.recorded or frame.examination.examined,
                "requester": frame.examiner.reference if frame.examiner is not None else None,
                "performer": (
                    [host_reference(action.responsible, _RESPONSIBLE, frame.how)]
                    if action.responsible is not None
                    else None
                ),
                **shape.request_reasons(action.reason, references(impressions) or []),
                "supportingInfo": shape.request_information([report]),
                "bodySite": [frame.body_site] if frame.body_site is not None else None,
                "note": note(action.note),
            },
        )
        made.append(frame.versioned(known, resource))
    return made


def _action_extensions(frame: Frame, action: Action, rank: int) -> list[dict[str, Any]]:
    made = [*key_extension(action.key), extension(Extension.ENTRY_RANK, "valuePositiveInt", rank)]
    if action.urgency is not None:
        made.append(extension(Extension.URGENCY, "valueCoding", coding(action.urgency)))
    interval = (
        ("date", "valueDateTime", action.date),
        ("earliest", "valueDateTime", action.earliest),
        ("latest", "valueDateTime", action.latest),
    )
    made.extend(parts(Extension.PLAN_INTERVAL, interval))
    if action.histology is not None:
        made.append(extension(Extension.HISTOLOGY_REQUESTED, "valueCoding", coding(action.histology)))
    if action.result_owner is not None:
        owner = host_reference(action.result_owner, ANYTHING, frame.how)
        made.append(extension(Extension.RESULT_OWNER, "valueReference", owner))
    if action.result_by is not None:
        made.append(extension(Extension.RESULT_BY, "valueDateTime", action.result_by))
    if action.if_not_attended is not None:
        made.append(extension(Extension.IF_NOT_ATTENDED, "valueString", action.if_not_attended))
    return made


def _occurrence(action: Action) -> dict[str, Any]:
    """Return when: the date, or the window where it can be one; all three points are in the extension too."""
    if action.date is not None:
        return {"occurrenceDateTime": action.date}
    start, end = action.earliest, action.latest
    if start is None and end is None:
        return {}
    if start is not None and end is not None and not in_order(start, end):
        return {}
    period = {"start": start, "end": end}
    return {"occurrencePeriod": {name: value for name, value in period.items() if value is not None}}


def in_order(start: str, end: str) -> bool:
    """Return whether a period from one time to the other is one; of times that can't be compared it is not known.

    FHIR refuses a Period that ends before it begins; such a window stays in the extension, as entered.
    """
    if "T" in start and "T" in end:
        try:
            return datetime.fromisoformat(start) <= datetime.fromisoformat(end)
        except ValueError:
            # A leap second, or a finer fraction than a microsecond.
            return False
    shared = min(len(start.partition("T")[0]), len(end.partition("T")[0]))
    return start[:shared] <= end[:shared]


def safety_net(frame: Frame, report: dict[str, Any]) -> list[Built]:
    """Return the advice that was given; nothing where none was recorded."""
    plan = frame.examination.plan
    if plan is None or plan.safety_net is None or not frame.told.safety_net:
        return []
    advice = plan.safety_net
    told = (
        ("watch-for", "valueString", advice.watch_for),
        ("by-when", "valueDateTime", advice.by_when),
        ("contact", "valueString", advice.contact),
        ("heard-by", "valueDateTime", advice.heard_by),
    )
    sentence = frame.told.safety_net
    known = frame.identity.item(Thing.SAFETY_NET, "")
    resource = frame.shape.resource(
        "Communication",
        {
            **frame.head(Thing.SAFETY_NET, known, sentence, parts(Extension.SAFETY_NET, told)),
            "status": "entered-in-error" if frame.withdrawn else "completed",
            "category": [frame.codes.concept(Document.SAFETY_NET_ADVICE)],
            "subject": frame.patient.reference,
            "about": [report],
            "encounter": frame.encounter,
            "sent": frame.examination.examined,
            "recipient": [frame.patient.reference],
            "sender": frame.examiner.reference if frame.examiner is not None else None,
            "payload": [frame.shape.payload(sentence)],
        },
    )
    return [frame.versioned(known, resource)]


_SEVERITIES: Final = {Severity.ERROR: "high", Severity.WARNING: "moderate", Severity.INFORMATION: "low"}


def departures(frame: Frame, requests: Sequence[Built]) -> list[Built]:
    """Return where the plan departs from a rule or score, with the clinician's reason."""
    plan = frame.examination.plan
    if plan is None:
        return []
    found = {issue.rule: issue.severity for issue in reversed(frame.review.issues)}
    made = []
    for rank, (departure, sentence) in enumerate(zip(plan.departures, frame.told.departures, strict=True), start=1):
        extensions = [*key_extension(departure.key), extension(Extension.ENTRY_RANK, "valuePositiveInt", rank)]
        known = frame.identity.item(Thing.DEPARTURE, departure.key)
        severity = found.get(departure.departs_from)
        examiner = frame.examiner.reference if frame.examiner is not None else None
        justified = {"action": {"text": departure.reason}, "date": frame.examination.examined, "author": examiner}
        resource = frame.shape.resource(
            "DetectedIssue",
            {
                **frame.head(Thing.DEPARTURE, known, sentence, extensions),
                "status": frame.status,
                "code": _departed_from(departure, is_rule=severity is not None),
                "severity": _SEVERITIES[severity] if severity is not None else None,
                **frame.shape.issue_subject(frame.patient.reference),
                "identifiedDateTime": frame.examination.examined,
                "author": examiner,
                "implicated": references(requests),
                "mitigation": [{name: value for name, value in justified.items() if value is not None}],
            },
        )
        made.append(frame.versioned(known, resource))
    return made


_METHODS: Final = {method.value: method for method in ScoreMethod}


def _departed_from(departure: Departure, *, is_rule: bool) -> dict[str, Any]:
    """Return what the plan departs from: a rule or a method by its code, anything else in words."""
    named = departure.departs_from
    if is_rule:
        return {"coding": [{"system": RULE_SYSTEM, "code": named}], "text": named}
    if named in _METHODS:
        return {"coding": [coding(_METHODS[named])], "text": named}
    return {"text": named}


_WITH_PICTURES: Final = [fixed(f"{TERMINOLOGY}/v2-0074", "IMG", "Diagnostic Imaging")]
_WITHOUT_PICTURES: Final = [fixed(f"{TERMINOLOGY}/v2-0074", "PHY", "Physician (Hx. Dx, admission note, etc.)")]


def report(frame: Frame, observed: Observed, pictures: Sequence[Built]) -> Built:
    """Return the report: what a doctor reads, and references to all that it rests on."""
    examination = frame.examination
    identity = frame.identity
    kept = [
        (Extension.PATIENT_AS_ENTERED, frame.patient.as_entered),
        (Extension.EXAMINER_AS_ENTERED, frame.examiner.as_entered if frame.examiner is not None else None),
    ]
    earlier = examination.earlier
    before = frame.shape.earlier_report(host_reference(earlier, _EARLIER, frame.how)) if earlier is not None else {}
    extensions = [
        frame.shape.report_lesion(reference_to(frame.lesion.uuid)),
        *before.pop("extension", ()),
        extension(Extension.ENTRY_STATUS, "valueCode", examination.status.value),
        extension(Extension.ENTRY_REVISION, "valuePositiveInt", examination.revision),
        *(
            extension(which, "valueReference", {"reference": f"#{entered['id']}"})
            for which, entered in kept
            if entered is not None
        ),
        *(extension(Extension.ENTRY_EMPTY, "valueString", path) for path in empty_parts(examination)),
        *(extension(Extension.PLANNED, "valueReference", reference) for reference in _planned(frame)),
    ]
    performers = [frame.examiner.reference] if frame.examiner is not None else []
    organisation = frame.review.organisation
    if organisation is not None:
        performers.append(host_reference(organisation, _ORGANISATION, frame.how))
    order = examination.order
    resource = frame.shape.resource(
        "DiagnosticReport",
        {
            "meta": frame.claimed(Thing.REPORT),
            "text": narrative_of_sections(
                Document.DERMOSCOPY_REPORT.display.capitalize(), sections(frame.told, frame.review)
            ),
            "contained": [entered for _, entered in kept if entered is not None] or None,
            "extension": extensions,
            "identifier": [entered_identifier(examination.identifier)],
            "basedOn": [host_reference(order, _ORDER, frame.how)] if order is not None else None,
            "status": frame.status,
            "category": _WITH_PICTURES if pictures else _WITHOUT_PICTURES,
            "code": frame.codes.concept(Document.DERMOSCOPY_REPORT),
            "subject": frame.patient.reference,
            "encounter": frame.encounter,
            "effectiveDateTime": examination.examined,
            "issued": examination.recorded,
            "performer": performers or None,
            "result": references(observed.results),
            **before,
            "media": _media(frame, pictures),
            "conclusion": conclusion(frame.review),
            "conclusionCode": None if frame.withdrawn else [frame.codes.concept(frame.review.summary)],
        },
    )
    number = identifier(identity.system, identity.value)
    known = Identified(identity.uuid(Thing.REPORT, ""), number, search(identity.system, identity.value))
    return frame.versioned(known, resource)


def _planned(frame: Frame) -> Iterator[dict[str, Any]]:
    """Yield steps, advice and departures by their numbers: all of them point to the report, and it to none of them.

    Whoever receives the report alone learns from these that something is missing. They are logical references, so no
    server has to keep two resources that point to each other.
    """
    plan = frame.examination.plan
    if plan is None:
        return
    given = [("ServiceRequest", Thing.ACTION, action.key) for action in plan.actions]
    if plan.safety_net is not None and frame.told.safety_net:
        given.append(("Communication", Thing.SAFETY_NET, ""))
    given += [("DetectedIssue", Thing.DEPARTURE, departure.key) for departure in plan.departures]
    for kind, thing, key in given:
        yield {"type": kind, "identifier": frame.identity.item(thing, key).identifier}


def _media(frame: Frame, pictures: Sequence[Built]) -> list[dict[str, Any]] | None:
    """Return the pictures with the light of their view, which a list of pictures can show."""
    lights = {view.key: view.light for view in frame.examination.views}
    made = []
    for image, picture in zip(frame.examination.images, pictures, strict=True):
        light = lights.get(image.view) if image.view is not None else None
        link: dict[str, Any] = {"link": picture.reference}
        if light is not None:
            words = "light not known" if light is Light.UNKNOWN else f"{light.display} light"
            link = {"comment": words, **link}
        made.append(link)
    return made or None


def _agent(kind: str, display: str, who: dict[str, Any]) -> dict[str, Any]:
    return {"type": fixed(f"{TERMINOLOGY}/provenance-participant-type", kind, display), "who": who}


_SOFTWARE: Final = _agent(
    "assembler",
    "Assembler",
    {
        "identifier": identifier(software.SYSTEM, f"{software.NAME}|{software.VERSION}"),
        "display": f"{software.NAME} {software.VERSION}",
    },
)
_SOURCES: Final = [
    {
        "role": "source",
        "what": {
            "identifier": identifier(software.SYSTEM, f"vocabulary|{VOCABULARY_VERSION}"),
            "display": f"vocabulary {VOCABULARY_VERSION}",
        },
    },
    {
        "role": "source",
        "what": {
            "identifier": identifier(software.SYSTEM, f"rules|{software.VERSION}"),
            "display": f"rules and scores of {software.NAME} {software.VERSION}",
        },
    },
]


def plugin_source(about: About) -> dict[str, Any]:
    """Return a plugin as one of the sources of a report."""
    return {
        "role": "source",
        "what": {
            "identifier": identifier(software.SYSTEM, f"plugin/{about.name}|{about.version}"),
            "display": f"plugin {about.name} {about.version}",
        },
    }


_CREATE: Final = fixed(f"{TERMINOLOGY}/v3-DataOperation", "CREATE", "create")
_UPDATE: Final = fixed(f"{TERMINOLOGY}/v3-DataOperation", "UPDATE", "revise")


def provenance(frame: Frame, made: Built) -> Built:
    """Return who made this revision of the report, with which versions; put at its own id, as it has no identifier."""
    examination = frame.examination
    revision = examination.revision
    uuid = frame.identity.uuid(Thing.PROVENANCE, str(revision))
    amended = [
        {
            "role": "revision",
            "what": {
                "identifier": identifier(frame.identity.system, frame.identity.value),
                "display": f"revision {revision - 1}",
            },
        }
    ]
    author = [_agent("author", "Author", frame.examiner.reference)] if frame.examiner is not None else []
    resource = frame.shape.resource(
        "Provenance",
        {
            "meta": frame.claimed(Thing.PROVENANCE),
            "text": narrative(f"revision {revision} of the report, made with {software.NAME} {software.VERSION}"),
            "target": [made.reference],
            "occurredDateTime": examination.examined,
            **frame.shape.provenance_time(examination.recorded),
            "activity": _UPDATE if revision > 1 else _CREATE,
            "agent": [*author, _SOFTWARE],
            "entity": [*_SOURCES, *(amended if revision > 1 else [])],
        },
    )
    return Built(uuid, resource, "", Request.BY_ID, revision, reference_to(uuid))


def pictures_by_view(frame: Frame, pictures: Iterable[Built]) -> dict[str, list[Built]]:
    """Return the pictures of each view, by the view's key."""
    by_view: dict[str, list[Built]] = {}
    for image, picture in zip(frame.examination.images, pictures, strict=True):
        if image.view is not None:
            by_view.setdefault(image.view, []).append(picture)
    return by_view
