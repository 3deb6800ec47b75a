"""A report that another system made: what can be understood is read, the rest is kept as words.

Only what corresponds exactly is taken for one of our terms; a wider or merely related code stays somebody else's. No
structure, light or list is ever assumed: what the report doesn't say is an issue, never «absent».
"""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Final

from dermreport.answers import answers
from dermreport.examination.entry import from_entry
from dermreport.examination.fields import classes_of
from dermreport.examination.given_twice import text_of
from dermreport.examination.types import MAX_TEXT
from dermreport.fhir.ids import Thing, name_uuid
from dermreport.fhir.people import EXAMINER_TYPES, PATIENT_TYPES, points_to, versionless
from dermreport.fhir.read import people
from dermreport.fhir.read.contradictions import contradictions_of
from dermreport.fhir.read.either import PICTURE_KINDS, attachment, lesion_reference, picture_taken
from dermreport.fhir.read.foreign_codes import other_code, term_of
from dermreport.fhir.read.foreign_sites import Place, one_place, place_of, places_of, site_words
from dermreport.fhir.read.observations import Seen, read_observations, statement_of, what_it_is
from dermreport.fhir.read.parts import Json, codings, first, objects, our_code, text
from dermreport.fhir.read.report import (
    Own,
    Parts,
    Read,
    add_action,
    identity_of,
    is_like,
    is_our_request,
    remembering,
    rests_on,
)
from dermreport.fhir.read.rules import read_issue
from dermreport.fhir.read.values import field as field_of
from dermreport.fhir.read.values import identifier_of, owner_of, reference_of
from dermreport.fhir.read.words import concept_words, narrative_words, value_words
from dermreport.reviews.review import ReviewParts
from dermreport.vocabulary.attributes import Attribute
from dermreport.vocabulary.concerns import Concern
from dermreport.vocabulary.documents import Document
from dermreport.vocabulary.histology_results import HistologyResult
from dermreport.vocabulary.implied_concerns import ImpliedConcern
from dermreport.vocabulary.impressions import Impression
from dermreport.vocabulary.mapping import MAPPINGS
from dermreport.vocabulary.presences import Presence
from dermreport.vocabulary.replies import Reply
from dermreport.vocabulary.statuses import Status
from dermreport.vocabulary.structures import Structure
from dermreport.vocabulary.summaries import Summary
from dermreport.vocabulary.term import Term, code_system
from dermreport.wording.items import Kind

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from dermreport.fhir.read.received import Box, Received
    from dermreport.issues import Issue

#: FHIR's status of a report as ours; one that isn't here is a draft, which claims least.
_STATUSES: Final = {
    "final": Status.FINAL,
    "amended": Status.AMENDED,
    "corrected": Status.AMENDED,
    "appended": Status.AMENDED,
    "entered-in-error": Status.ENTERED_IN_ERROR,
    "cancelled": Status.ENTERED_IN_ERROR,
}
_DOCUMENTS: Final = code_system(Document)
_SUMMARIES: Final = code_system(Summary)
_R4_BODY_SITE: Final = "http://hl7.org/fhir/StructureDefinition/bodySite"
#: What a reader of a dermatoscopic report needs, by the field of the entry that holds it, in words.
_NEEDED: Final = (
    ("examiner", "who examined"),
    ("lesion", "which site"),
    ("views", "light and contact"),
    ("findings", "which structures were seen"),
    ("assessment", "the assessment"),
    ("plan", "the plan"),
)


#: Names of a cancer, or of what may become one and is treated as one.
_CANCERS: Final = frozenset(
    one.value
    for one in Impression
    if one.concern is ImpliedConcern.MALIGNANT
    or one
    in {Impression.MELANOMA_IN_SITU_SUSPECTED, Impression.LENTIGO_MALIGNA_SUSPECTED, Impression.SCC_IN_SITU_SUSPECTED}
)
#: Those that hold for every kind of their disease.
_OF_EVERY_KIND: Final = (Impression.MELANOMA_SUSPECTED.value, Impression.MELANOMA_IN_SITU_SUSPECTED.value)
_CANCER_RESULTS: Final = frozenset(
    one
    for one in HistologyResult
    if one.concern is ImpliedConcern.MALIGNANT
    or one
    in {
        HistologyResult.MELANOMA_IN_SITU,
        HistologyResult.LENTIGO_MALIGNA,
        HistologyResult.SQUAMOUS_CELL_CARCINOMA_IN_SITU,
    }
)


@cache
def _cancers() -> dict[tuple[str | None, str | None], str]:
    """Return by each standard code of a cancer our name for its suspicion; ``""`` where none of ours says just that."""
    names: dict[tuple[str | None, str | None], list[str]] = {}
    for result in _CANCER_RESULTS:
        for one in MAPPINGS[HistologyResult].get(result, ()):
            names.setdefault((one.system, one.code), [])
    for term, mappings in MAPPINGS[Impression].items():
        for one in mappings:
            if term.value in _CANCERS:
                names.setdefault((one.system, one.code), []).append(term.value)
    return {key: _plainest(several) for key, several in names.items()}


def _plainest(names: list[str]) -> str:
    """Return the one name, or that of several which holds for every kind; none is chosen among kinds."""
    plain = names if len(names) == 1 else [one for one in _OF_EVERY_KIND if one in names]
    return plain[0] if plain else ""


def read_foreign_report(report: Received, box: Box) -> Read:
    """Read a report of another system."""
    parts = Parts(report)
    if report.changed:
        return Read(None, (read_issue("read-modifier", report.path),), (), parts)
    issues = [read_issue("read-foreign-report", report.path)]
    if our_code(first(report.resource, "code"), _DOCUMENTS) is not None:
        # One of ours, from which a server took what only our extensions say: the status and the lists gone through.
        issues.append(read_issue("read-extension-missing", report.path))
    if report.withdrawn:
        issues.append(read_issue("read-report-withdrawn", f"{report.path}.status"))
    elif report.status == "cancelled":
        issues.append(read_issue("read-report-status", f"{report.path}.status"))
    found = _Foreign(report, box, parts, issues)
    entry = found.entry()
    issues.extend(parts.issues)
    issues.extend(
        read_issue("read-foreign-missing", report.path, field=words) for field, words in _NEEDED if field not in entry
    )
    if "examined" not in entry:
        issues.append(read_issue("read-foreign-needed", report.path, field="when it was examined"))
        return Read(None, tuple(issues), (), parts)
    held = from_entry(entry)
    issues.extend(read_issue("read-not-held", report.path, reason=one.rule) for one in held.issues)
    examination = held.examination
    if examination is not None:
        examination, differs = remembering(ReviewParts(answers(examination)), held.issues, issues, report)
        issues.extend(differs)
    return Read(examination, tuple(issues), (), parts)


class _Foreign:
    """Makes an entry of one report."""

    def __init__(self, report: Received, box: Box, parts: Parts, issues: list[Issue]) -> None:
        self.report, self.box, self.parts, self.issues = report, box, parts, issues
        self.seen = Seen({}, makes_keys=True)
        self.words: list[str] = []

    def entry(self) -> Json:
        """Return what can be understood as an entry."""
        made = self.seen.entry
        self._head(made)
        observations = list(self._observations())
        plain = [one for one in observations if self._is_plain(one)]
        ours = [own for one in plain if (own := self._ours(one)) is not None]
        self.issues.extend(read_observations(self.seen, self.box, _views_first(ours)))
        known = {id(own.source) for own in ours}
        for one in observations:
            if id(one) not in known and not (one in plain and self._stated(one)):
                self._worded(one)
        if "findings" in made:
            # The same twice, as where a report and its panel both name it, is once.
            made["findings"] = list({text_of(one): one for one in made["findings"]}.values())
        self._lesion(made, observations)
        self._images(made)
        self._assessed(made)
        self._requests()
        note = "\n".join(dict.fromkeys([*filter(None, self.words), *self._narratives()]))
        if note.strip():
            made["note"] = note[:MAX_TEXT]
        return made

    def _head(self, made: Json) -> None:
        resource = self.report.resource
        made |= {
            "identifier": self._identifier(),
            "status": _STATUSES.get(self.report.status or "", Status.DRAFT).value,
            "patient": self._patient(),
        }
        period = first(resource, "effectivePeriod")
        issued = text(resource, "issued")
        examined = text(resource, "effectiveDateTime") or text(period, "start") or text(period, "end")
        if examined is None and issued is not None:
            self.issues.append(
                read_issue(
                    "read-foreign-missing", self.report.path, field="when it was examined; its date of issue is taken"
                )
            )
            examined = issued
        more = {"examined": examined, "recorded": issued}
        references = {"encounter": first(resource, "encounter"), "order": first(resource, "basedOn")}
        for performer in [*objects(resource, "performer"), *objects(resource, "resultsInterpreter")]:
            literal = text(performer, "reference") or ""
            if performer.get("type") == "Organization" or "Organization/" in literal:
                references.setdefault("organisation", performer)
            elif "examiner" not in made and points_to(literal, EXAMINER_TYPES):
                made["examiner"] = self._examiner(performer)
        made |= {name: value for name, value in more.items() if value is not None}
        made |= {name: one for name, given in references.items() if (one := _host_reference(given)) is not None}

    def _identifier(self) -> Json:
        for number in objects(self.report.resource, "identifier"):
            if text(number, "system") and text(number, "value"):
                return identifier_of(number)
        self.issues.append(read_issue("read-foreign-identifier", self.report.path))
        return {"value": name_uuid(f"received|{self.report.address}|{self.report.fingerprint}")}

    def _patient(self) -> Json:
        subject = first(self.report.resource, "subject")
        literal = text(subject, "reference")
        if literal is not None and not literal.startswith(("#", "urn:uuid:")) and points_to(literal, PATIENT_TYPES):
            return {"reference": versionless(literal)}
        found = self.box.find(subject, self.report)
        if found is not None and not found.changed:
            return people.as_entered(people.PATIENT, found.resource, ())
        number = first(subject, "identifier")
        if text(number, "system") and text(number, "value"):
            return {"identifiers": [identifier_of(number)]}
        self.issues.append(read_issue("read-foreign-missing", self.report.path, field="whose report it is"))
        return {}

    def _examiner(self, performer: Json) -> Json:
        literal = text(performer, "reference")
        found = self.box.find(performer, self.report)
        if found is not None and found.kind == "Practitioner" and not found.changed:
            return people.as_entered(people.EXAMINER, found.resource, ())
        if literal is not None and not literal.startswith(("#", "urn:uuid:")):
            return {"reference": versionless(literal)}
        display = text(performer, "display")
        return {"details": {"family": display}} if display is not None else {}

    def _observations(self) -> Iterator[Received]:
        """Yield the results of the report and their members, each once; what isn't current isn't read."""
        below = [(self.report, reference) for reference in objects(self.report.resource, "result")]
        seen: set[int] = set()
        while below:
            owner, reference = below.pop(0)
            found = self.box.find(reference, owner)
            if found is None:
                self.parts.issues.append(read_issue("read-part-missing", owner.path))
            elif id(found.resource) not in seen:
                seen.add(id(found.resource))
                if found.changed:
                    self.parts.issues.append(read_issue("read-modifier", found.path))
                elif found.withdrawn:
                    self.parts.issues.append(read_issue("read-withdrawn", found.path))
                else:
                    yield found
                    below.extend((found, member) for member in objects(found.resource, "hasMember"))

    def _is_plain(self, one: Received) -> bool:
        """Return whether an Observation says one thing and is as settled as its report; else its words are kept."""
        contradicts = contradictions_of(one.resource)
        if contradicts:
            self.issues.append(read_issue("read-contradiction", one.path))
        return is_like(self.parts, one, self.parts.settled) and not contradicts

    def _ours(self, one: Received) -> Own | None:
        """Return what an Observation with our codes is; a list gone through is only believed in our own reports."""
        own = what_it_is(one.resource)
        if own is not None and own[0] not in {Thing.PANEL, Thing.LIST, Thing.SCORE}:
            return Own(one, own[0], own[1])
        return None

    def _stated(self, one: Received) -> bool:
        """Put in a finding with our code, or a statement whose standard code means the same as ours."""
        concept = first(one.resource, "code")
        structure = term_of(concept, Structure)
        if structure is not None:
            presence = self._answer(one.resource, Presence)
            if presence is not None:
                self.seen.add("findings", {"structure": structure, "presence": presence}, one)
                return True
        item = statement_of(term_of(concept, Attribute))
        if item is None or item.kind is not Kind.CODE or not item.value:
            return False
        field = field_of(item, item.value, item.kind, item.unit)
        table = next(one for one in classes_of(owner_of(item.path), item.value) if issubclass(one, Term))
        answer = self._answer(one.resource, table)
        if answer is None or field.listed:
            return False
        self.seen.put(item.path, {item.value: answer}, one)
        return True

    def _answer(self, observation: Json, table: type[Term]) -> str | None:
        """Return the value of an Observation as one of our terms, ``None`` where it isn't exactly one."""
        concept = first(observation, "valueCodeableConcept")
        if concept:
            return term_of(concept, table) or (_said(_YES_NO.get(term_of(concept, Reply) or ""), table))
        truth = observation.get("valueBoolean")
        if type(truth) is bool:
            return _said(truth, table)
        if "dataAbsentReason" in observation and table is Presence:
            return Presence.NOT_ASSESSED.value
        return None

    def _worded(self, one: Received) -> None:
        """Keep what an Observation says in words."""
        title = concept_words(first(one.resource, "code"))
        value = value_words(one.resource)
        if not title and not value:
            return
        details = "; ".join(
            f"{concept_words(first(component, 'code'))}: {value_words(component)}"
            for component in objects(one.resource, "component")
        )
        notes = " ".join(filter(None, (text(note, "text") for note in objects(one.resource, "note"))))
        self.words.append(": ".join(filter(None, (title, "; ".join(filter(None, (value, details, notes)))))))
        self.issues.append(read_issue("read-foreign-text", one.path))

    def _lesion(self, made: Json, observations: Iterable[Received]) -> None:
        places = [(one, place) for one in (self.report, *observations) for place in self._places(one)]
        if not places:
            return
        lesion = made.setdefault("lesion", {})
        found = one_place([place for _, place in places])
        if found is None:
            # Nobody can tell here which finding is about which.
            self.issues.append(read_issue("read-foreign-sites", self.report.path))
            words = "; ".join(dict.fromkeys(filter(None, (place.words for _, place in places))))
            lesion |= site_words(words)
            titles = ((concept_words(first(one.resource, "code")), place.words) for one, place in places)
            self.words.extend(": ".join(filter(None, both)) for both in titles)
            return
        for name, value in found.items():
            lesion.setdefault(name, value)

    def _places(self, one: Received) -> list[Place]:
        """Return the places that a resource names: its own, and those of a BodyStructure."""
        resource = one.resource
        references = (
            first(resource, "bodyStructure"),
            lesion_reference(resource),
            extended_by(resource, _R4_BODY_SITE),
        )
        found = [place_of(site, {}) for site in objects(resource, "bodySite")]
        for reference in references:
            structure = self.box.find(reference, one) if reference else None
            if structure is not None and structure.kind == "BodyStructure" and not structure.changed:
                found.extend(places_of(structure.resource))
        return [place for place in found if place]

    def _images(self, made: Json) -> None:
        for position, media in enumerate(objects(self.report.resource, "media"), start=1):
            found = self.box.find(first(media, "link"), self.report)
            if found is not None and found.kind in PICTURE_KINDS and not (found.changed or found.withdrawn):
                content = attachment(found.resource)
                image = {
                    "key": f"received-{position}",
                    "address": content.get("url"),
                    "media_type": content.get("contentType"),
                    "taken": picture_taken(found.resource),
                }
                made.setdefault("images", []).append({name: one for name, one in image.items() if one is not None})

    def _assessed(self, made: Json) -> None:
        resource = self.report.resource
        assessment = made.get("assessment", {})
        conclusion = text(resource, "conclusion")
        if conclusion is not None and conclusion.strip():
            assessment["words"] = conclusion[:MAX_TEXT]
        for position, concept in enumerate(objects(resource, "conclusionCode"), start=1):
            named = self._concluded(concept, f"{self.report.path}.conclusionCode[{position - 1}]", assessment)
            if named is not None:
                assessment.setdefault("impressions", []).append({"key": f"conclusion-{position}", **named})
            else:
                self.words.append(concept_words(concept))
        if assessment:
            made["assessment"] = assessment

    def _concluded(self, concept: Json, path: str, assessment: Json) -> Json | None:
        """Return what a code of the conclusion names; a cancer that is known here makes the assessment suspicious.

        ``None`` where it has no code that can be kept.
        """
        own, other = term_of(concept, Impression), other_code(concept)
        cancers = [meant for one in codings(concept) if (meant := _cancers().get(one)) is not None]
        if cancers and own not in _CANCERS:
            self.issues.append(read_issue("read-foreign-cancer", path))
            if own is not None or assessment.get("concern", Concern.SUSPICIOUS) != Concern.SUSPICIOUS:
                self.issues.append(read_issue("read-contradiction", path))
            assessment["concern"] = Concern.SUSPICIOUS.value
            own = cancers[0]
            words = concept_words(concept)
            # What was concluded may be more than a suspicion: its words stay beside ours.
            return {"impression": own, "note": words[:MAX_TEXT]} if own and words else {"impression": own or other}
        if own is not None:
            return {"impression": own}
        if not any(system == _SUMMARIES for system, _ in codings(concept)):
            self.issues.append(read_issue("read-foreign-conclusion", path))
        return {"impression": other} if other is not None else None

    def _requests(self) -> None:
        """Read steps of ours that rest on this report, as where a server took our extensions out of it.

        Those of another system stay with it: ours beside them would ask for the same thing twice.
        """
        self.seen.identity = identity_of(self.report.resource)
        for one in self.box.of("ServiceRequest"):
            if not (is_our_request(one.resource) and rests_on(one, self.report, self.box)):
                continue
            if one.changed:
                self.issues.append(read_issue("read-modifier", one.path))
            elif one.withdrawn:
                self.issues.append(read_issue("read-withdrawn", one.path))
            else:
                add_action(self.seen, one, self.issues)

    def _narratives(self) -> Iterator[str]:
        div = text(first(self.report.resource, "text"), "div")
        if div is not None:
            yield narrative_words(div)


def _views_first(ours: list[Own]) -> list[Own]:
    return [own for views in (True, False) for own in ours if (own.thing is Thing.VIEW) is views]


_YES_NO: Final = {Reply.YES.value: True, Reply.NO.value: False}


def _said(truth: bool | None, table: type[Term]) -> str | None:  # noqa: FBT001 - a value of an Observation
    """Return a truth value as one of our terms."""
    if truth is None:
        return None
    words = {Presence.PRESENT.value, "yes"} if truth else {Presence.ABSENT.value, "no"}
    return next((term.value for term in table if term.value in words), None)


def _host_reference(reference: Json) -> Json | None:
    """Return a Reference that an entry can hold: one that leads out of what was received, a number or a name."""
    literal = text(reference, "reference")
    if literal is not None and literal.startswith(("#", "urn:uuid:")):
        reference = {name: value for name, value in reference.items() if name != "reference"}
    return reference_of(reference)


def extended_by(resource: Json, url: str) -> Json:
    """Return the reference of a standard extension."""
    for found in objects(resource, "extension"):
        if found.get("url") == url:
            return first(found, "valueReference")
    return {}
