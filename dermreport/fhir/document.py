"""The Composition of a document: one section for each part that a doctor reads, and what it rests on."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from dermreport.examination.people import URN_SYSTEM
from dermreport.fhir.codes import fixed
from dermreport.fhir.frame import Built, Request, built
from dermreport.fhir.ids import Thing, identifier, name_uuid
from dermreport.fhir.letters import is_letter
from dermreport.fhir.narrative import narrative_of_lines, narrative_of_sections
from dermreport.issues import BuildError
from dermreport.vocabulary.documents import Document
from dermreport.vocabulary.standard_codes import SECTION_CONCLUSIONS, SECTION_FINDINGS, SECTION_RECOMMENDATION
from dermreport.wording.names import place_words
from dermreport.wording.report import Heading, Section, sections

if TYPE_CHECKING:
    from dermreport.fhir.build import One, Visit
    from dermreport.fhir.releases import Shape


#: Codes of sections; one that the standard has no code for has its heading only.
_CODES: Final = {
    heading: fixed(standard.system, standard.code, standard.display)
    for heading, standard in (
        (Heading.FINDINGS, SECTION_FINDINGS),
        (Heading.ASSESSMENT, SECTION_CONCLUSIONS),
        (Heading.PLAN, SECTION_RECOMMENDATION),
    )
}
TITLE: Final = Document.DERMOSCOPY_REPORT.display.capitalize()


def instant(visit: Visit) -> str:
    """Return the time of a document: the latest entry's recorded time, or its examined one where that has a clock.

    Raises:
        BuildError: No examination has a time with a clock and an offset.
    """
    for one in reversed(visit.examinations):
        examination = one.frame.examination
        if examination.recorded is not None:
            return examination.recorded
        if "T" in examination.examined:
            return examination.examined
    raise BuildError(
        "A document needs a time with its offset: give `recorded`, or `examined` with a time of day. "
        "A transaction or a collection can be made without."
    )


def document_identifier(visit: Visit, step: int = 0) -> dict[str, Any]:
    """Return a document's identifier: of one examination with its revision, or of all together.

    Args:
        visit: What the document holds.
        step: 0 for this revision, 1 for the one before.
    """
    if len(visit.examinations) == 1:
        one = visit.examinations[0]
        revision = str(one.frame.examination.revision - step)
        return one.frame.identity.item(Thing.DOCUMENT, revision).identifier
    named = (
        f"{one.frame.identity.system}|{one.frame.identity.value}|{max(one.frame.examination.revision - step, 1)}"
        for one in visit.examinations
    )
    return identifier(URN_SYSTEM, f"urn:uuid:{name_uuid('|'.join((Thing.DOCUMENT.value, *named)))}")


def composition(visit: Visit, shape: Shape) -> Built:
    """Return the Composition of a document.

    Raises:
        BuildError: The examiner is missing, who is the author that a document must have.
    """
    first = visit.examinations[0].frame
    authors = {one.frame.examiner.uuid: one.frame.examiner for one in visit.examinations if one.frame.examiner}
    if not authors:
        raise BuildError(
            "A document needs an author: give the examiner. A transaction or a collection can be made without."
        )
    statuses = {one.frame.status for one in visit.examinations}
    status = next((one for one in _LEAST_FINISHED if one in statuses), first.status)
    revised = any(one.frame.examination.revision > 1 for one in visit.examinations)
    whole = len(visit.examinations) == 1
    made = (
        [section for one in visit.examinations for section in _sections(one)]
        if whole
        else [_lesion_section(one) for one in visit.examinations]
    )
    letters = [*visit.letters, *(one for one in visit.foreign if is_letter(one.resource))]
    beside = [*letters, *(added for one in visit.examinations for added in one.added)]
    if beside:
        # A document holds what its Composition leads to: letters, those that were received too, and what plugins add.
        made[0]["entry"] = [*made[0]["entry"], *(one.reference for one in beside)]
    told = [section for one in visit.examinations for section in sections(one.frame.told, one.frame.review)]
    known = first.identity.item(Thing.COMPOSITION, "")
    resource = shape.resource(
        "Composition",
        {
            "meta": first.claimed(Thing.COMPOSITION),
            "text": narrative_of_sections(TITLE, told),
            **shape.composition_identity(known.identifier, first.patient.reference),
            "status": status,
            "type": first.codes.concept(Document.DERMOSCOPY_REPORT),
            "date": instant(visit),
            "author": [author.reference for author in authors.values()],
            "title": TITLE,
            "relatesTo": [shape.replaces(document_identifier(visit, 1))] if revised else None,
            "section": made,
        },
    )
    return built(known, resource, Request.BY_ID, first.examination.revision)


#: A document of several lesions is as finished as its least finished report.
_LEAST_FINISHED: Final = ("preliminary", "entered-in-error", "amended", "final")


def _lesion_section(one: One) -> dict[str, Any]:
    """Return one section for a lesion of a visit, with its parts below it."""
    place = place_words(one.frame.examination.lesion) or "site not recorded"
    label = one.frame.examination.lesion.label if one.frame.examination.lesion is not None else None
    title = f"Lesion {label}: {place}" if label is not None else f"Lesion: {place}"
    return {
        "title": title,
        "text": narrative_of_lines([title]),
        "entry": [one.report.reference, one.lesion.reference],
        "section": _sections(one),
    }


def _sections(one: One) -> list[dict[str, Any]]:
    entries = _entries(one)
    return [
        _section(section, entries.get(section.heading, [])) for section in sections(one.frame.told, one.frame.review)
    ]


def _section(section: Section, entries: list[Built]) -> dict[str, Any]:
    made: dict[str, Any] = {"title": section.heading.value}
    if section.heading in _CODES:
        made["code"] = _CODES[section.heading]
    made["text"] = narrative_of_lines(section.lines)
    if entries:
        made["entry"] = [entry.reference for entry in entries]
    return made


def _entries(one: One) -> dict[Heading, list[Built]]:
    """Return the resources of each section."""
    observed = one.observed
    panels = {panel.resource["code"]["coding"][0]["code"]: panel for panel in observed.panels}
    return {
        Heading.FIRST: [one.report],
        Heading.PLAN: [*one.actions, *one.departures],
        Heading.SAFETY_NET: one.safety_net,
        Heading.LESION: [one.lesion],
        Heading.HISTORY: [panels["history"]] if "history" in panels else [],
        Heading.VIEWS: [*observed.views.values(), *one.images],
        Heading.FINDINGS: [panels["findings"]] if "findings" in panels else [],
        Heading.SCORES: observed.scores,
        Heading.ASSESSMENT: [*observed.impressions, *([panels["assessment"]] if "assessment" in panels else [])],
        Heading.OUTCOMES: observed.outcomes,
        Heading.PLUGINS: observed.plugin_scores,
    }
