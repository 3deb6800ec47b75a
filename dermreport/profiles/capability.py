"""CapabilityStatement: what a server must do that stores these reports.

The searches of the standard are those of its releases (https://hl7.org/fhir/R4/searchparameter-registry.html,
https://hl7.org/fhir/R5/searchparameter-registry.html). How much is asked stands beside each as the standard's
expectation (https://hl7.org/fhir/R4/extension-capabilitystatement-expectation.html).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from dermreport.fhir.canonical import head
from dermreport.fhir.releases import Release
from dermreport.profiles.releases import FHIR_VERSION
from dermreport.profiles.search_parameters import SEARCHES
from dermreport.profiles.structures.tables import profile_url, profiles

if TYPE_CHECKING:
    from collections.abc import Iterable

_EXPECTATION: Final = "http://hl7.org/fhir/StructureDefinition/capabilitystatement-expectation"
_DEFINITIONS: Final = "http://hl7.org/fhir/SearchParameter"
_VALIDATE: Final = "http://hl7.org/fhir/OperationDefinition/Resource-validate"
_SHALL: Final = "SHALL"
_SHOULD: Final = "SHOULD"


@dataclass(frozen=True, slots=True)
class Query:
    """A search of the standard that a server must offer.

    Attributes:
        code: Its name.
        kind: Type of its value.
        definition: Id of its definition.
        strength: ``SHALL`` or ``SHOULD``.
    """

    code: str
    kind: str
    definition: str
    strength: str = _SHALL


@dataclass(frozen=True, slots=True)
class Kept:
    """A resource type that a server must keep.

    Attributes:
        kind: The resource type.
        words: What it holds, and what a server must take care of.
        conditional: Whether it is created and updated by its identifier; otherwise it is put at its own id.
        updated: Whether it is ever updated.
        queries: The searches.
    """

    kind: str
    words: str
    queries: tuple[Query, ...]
    conditional: bool = True
    updated: bool = True


def _clinical(*codes: str) -> tuple[Query, ...]:
    """Return the searches that the standard defines once for many resource types."""
    kinds = {"patient": "reference", "date": "date"}
    return tuple(Query(code, kinds.get(code, "token"), f"clinical-{code}") for code in codes)


def _own(resource: str, kind: str, *codes: str, strength: str = _SHALL) -> tuple[Query, ...]:
    """Return searches that the standard defines for one resource type."""
    return tuple(Query(code, kind, f"{resource}-{code}", strength) for code in codes)


_REPORT: Final = Kept(
    "DiagnosticReport",
    "The report. A later revision is a conditional update, with If-Match where the sender knows the version: a server "
    "that lost an amendment would bring back what was withdrawn.",
    (
        *_clinical("identifier", "patient", "date", "code"),
        *_own("DiagnosticReport", "token", "status", "conclusion"),
        *_own("DiagnosticReport", "reference", "result"),
    ),
)
_OBSERVATION: Final = Kept(
    "Observation",
    "What was seen, in which light, what was told, scores, impressions and results. The light in which a structure was "
    "looked for tells absent from not assessed: it is searched as a component.",
    (
        *_clinical("identifier", "patient", "date", "code"),
        *_own("Observation", "token", "status", "value-concept", "component-value-concept"),
        *_own("Observation", "token", "data-absent-reason", "component-data-absent-reason"),
        *_own("Observation", "quantity", "value-quantity", "component-value-quantity"),
        *_own("Observation", "composite", "code-value-concept", "code-value-quantity"),
        *_own("Observation", "composite", "component-code-value-concept", "component-code-value-quantity"),
        *_own("Observation", "reference", "focus", "has-member", "derived-from"),
    ),
)
_LESION_WORDS: Final = "The lesion, the same at every visit: what never changes of it."
_LESION: Final = {
    Release.R4: Kept(
        "BodyStructure",
        _LESION_WORDS,
        (*_own("BodyStructure", "token", "identifier", "location"), *_own("BodyStructure", "reference", "patient")),
    ),
    Release.R5: Kept(
        "BodyStructure",
        _LESION_WORDS,
        (
            *_clinical("identifier", "patient"),
            Query("included_structure", "token", "BodyStructure-includedstructure"),
        ),
    ),
}
_IMAGE: Final = {
    Release.R4: Kept(
        "Media",
        "A picture of the lesion.",
        (*_own("Media", "token", "identifier"), *_own("Media", "reference", "patient")),
    ),
    Release.R5: Kept("DocumentReference", "A picture of the lesion, or a letter.", _clinical("identifier", "patient")),
}
#: R5 keeps letters with the pictures.
_LETTERS: Final = (Kept("DocumentReference", "A letter made of a report.", _clinical("identifier", "patient")),)
_REQUEST_WORDS: Final = (
    "A planned step. What belongs to one examination shares its requisition. An urgent step stays active and urgent "
    "whatever else of the report is incomplete: a server never holds it back."
)
_REQUEST_QUERIES: Final = (
    *_clinical("identifier", "patient"),
    *_own("ServiceRequest", "token", "requisition", "status", "priority", "intent"),
)
_REQUEST: Final = {
    Release.R4: Kept("ServiceRequest", _REQUEST_WORDS, (*_REQUEST_QUERIES, *_clinical("code"))),
    Release.R5: Kept(
        "ServiceRequest", _REQUEST_WORDS, (*_REQUEST_QUERIES, *_own("ServiceRequest", "token", "code-concept"))
    ),
}
_ADVICE_WORDS: Final = "What the patient was told to watch for, by when and whom to call."
_ADVICE: Final = {
    Release.R4: Kept(
        "Communication",
        _ADVICE_WORDS,
        (*_own("Communication", "token", "identifier"), *_own("Communication", "reference", "patient")),
    ),
    Release.R5: Kept("Communication", _ADVICE_WORDS, _clinical("identifier", "patient")),
}
_DEPARTURE: Final = Kept(
    "DetectedIssue",
    "Why the plan departs from what a rule or a score suggests.",
    (*_clinical("identifier", "patient"), *_own("DetectedIssue", "reference", "implicated")),
)
_PROVENANCE: Final = Kept(
    "Provenance",
    "Who made a revision, with which versions; put at an id of its own, as it has no identifier.",
    _own("Provenance", "reference", "target"),
    conditional=False,
)
_DOCUMENT: Final = Kept(
    "Bundle",
    "The report as a document that stands alone, stored whole.",
    (*_own("Bundle", "token", "identifier", "type"), *_own("Bundle", "reference", "composition", strength=_SHOULD)),
    updated=False,
)
_PATIENT: Final = Kept(
    "Patient",
    "The patient: created once where the host gives no reference, and never updated.",
    _own("Patient", "token", "identifier"),
    updated=False,
)
_EXAMINER: Final = Kept(
    "Practitioner",
    "The examiner: created once where the host gives no reference, and never updated.",
    _own("Practitioner", "token", "identifier"),
    updated=False,
)


def kept(release: Release) -> tuple[Kept, ...]:
    """Return the resource types that a server must keep, sorted."""
    words = Release.R5 if release is Release.R5 else Release.R4
    varying = (which[words] for which in (_LESION, _IMAGE, _REQUEST, _ADVICE))
    fixed = (_REPORT, _OBSERVATION, _DEPARTURE, _PROVENANCE, _DOCUMENT, _PATIENT, _EXAMINER)
    letters = () if release is Release.R5 else _LETTERS
    return tuple(sorted((*varying, *fixed, *letters), key=lambda one: one.kind))


def capability_statements(release: Release) -> list[dict[str, Any]]:
    """Return the one CapabilityStatement."""
    return [
        head(
            "CapabilityStatement",
            "report-store",
            "Server that stores reports",
            "What a server must do so that a report sent twice, late or by several senders at once is stored once, and "
            "a clinician’s system finds it again: by patient, by lesion across visits, by finding and light, by score.",
            {
                "kind": "requirements",
                "fhirVersion": FHIR_VERSION[release],
                "format": ["json", "xml"],
                "rest": [
                    {
                        "mode": "server",
                        "documentation": "A report comes as one transaction: all of it is stored, or nothing.",
                        "resource": [_resource(one, release) for one in kept(release)],
                        "interaction": [_asked({"code": "transaction"}, _SHALL)],
                    }
                ],
            },
        )
    ]


def _asked(what: dict[str, Any], strength: str) -> dict[str, Any]:
    """Return a part with how much it is asked for."""
    return {"extension": [{"url": _EXPECTATION, "valueCode": strength}], **what}


def _resource(one: Kept, release: Release) -> dict[str, Any]:
    supported = [profile_url(profile.name) for profile in profiles(release) if profile.resource == one.kind]
    resource: dict[str, Any] = {"type": one.kind}
    if supported:
        resource["supportedProfile"] = supported
    resource["documentation"] = one.words
    resource["interaction"] = list(_interactions(one))
    resource["versioning"] = "versioned"
    resource["readHistory"] = one.updated
    if one.conditional:
        resource["conditionalCreate"] = True
        if one.updated:
            resource["conditionalUpdate"] = True
    else:
        resource["updateCreate"] = True
    resource["searchParam"] = [*_standard(one), *_ours(one)]
    resource["operation"] = [_asked({"name": "validate", "definition": _VALIDATE}, _SHOULD)]
    return _asked(resource, _SHALL)


def _interactions(one: Kept) -> Iterable[dict[str, Any]]:
    asked = ["read", "search-type", "create" if one.conditional else "update"]
    if one.conditional and one.updated:
        asked.append("update")
    yield from (_asked({"code": code}, _SHALL) for code in asked)
    if one.updated:
        yield from (_asked({"code": code}, _SHOULD) for code in ("vread", "history-instance"))


def _standard(one: Kept) -> Iterable[dict[str, Any]]:
    for query in one.queries:
        definition = f"{_DEFINITIONS}/{query.definition}"
        yield _asked({"name": query.code, "definition": definition, "type": query.kind}, query.strength)


def _ours(one: Kept) -> Iterable[dict[str, Any]]:
    for search in SEARCHES:
        if search.base == one.kind:
            yield _asked({"name": search.code, "definition": search.url, "type": "reference"}, _SHOULD)
