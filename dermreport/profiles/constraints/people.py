"""What is recorded of patient and examiner, as FHIRPath on a bundle.

A person can be the host's own (a reference to what no entry of the bundle is), an entry of the bundle, or stand in the
report as entered. An identifier that was only made so that an entry can be created once tells nothing of a person.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Final

from dermreport.fhir.extensions import Extension
from dermreport.fhir.ids import Thing
from dermreport.profiles.constraints.fields import extension

if TYPE_CHECKING:
    from dermreport.profiles.constraints.text import Text

_REPORTS: Final = "DiagnosticReport"
#: Where the report points to each person.
_POINTED_TO: Final = {
    "Patient": "subject",
    "Practitioner": "performer.where(type.empty() or type != 'Organization')",
}
_THINGS: Final = {"Patient": Thing.PATIENT, "Practitioner": Thing.EXAMINER}


def people(text: Text, kind: str) -> str:
    """Return the path to a person's resources: entries of the bundle, and what the report keeps as entered."""
    return f"{text.root}entry.resource.select(ofType({kind}) | ofType({_REPORTS}).contained.ofType({kind}))"


def _detail(kind: str, path: str) -> Callable[[Text], str]:
    return lambda text: f"{people(text, kind)}.{path}.exists()"


def _referred_to(kind: str) -> Callable[[Text], str]:
    def referred_to(text: Text) -> str:
        entries = f"{text.nested().root}entry.fullUrl.select(toString())"
        outside = f"reference.exists() and (reference.toString() in {entries}).not()"
        kept = f"{people(text, kind)}.{extension(Extension.HOST_REFERENCE)}.exists()"
        return f"({text.resources(_REPORTS)}.{_POINTED_TO[kind]}.exists({outside}) or {kept})"

    return referred_to


def _numbered(kind: str) -> Callable[[Text], str]:
    def numbered(text: Text) -> str:
        reports = text.nested().resources(_REPORTS)
        own = f"(fullUrl.toString() | {reports}.identifier.select(value & '/{_THINGS[kind].value}'))"
        values = f"resource.ofType({kind}).identifier.value.select(toString())"
        entry = f"{text.root}entry.exists(({own} | {values}).count() > {own}.count())"
        kept = f"{text.resources(_REPORTS)}.contained.ofType({kind}).identifier.exists()"
        return f"({entry} or {kept})"

    return numbered


#: Whether a field of a person is recorded, by its path.
PEOPLE: Final[dict[str, Callable[[Text], str]]] = {
    "patient.reference": _referred_to("Patient"),
    "patient.identifiers": _numbered("Patient"),
    "patient.details.family": _detail("Patient", "name.family"),
    "patient.details.given": _detail("Patient", "name.given"),
    "patient.details.birth_date": _detail("Patient", "birthDate"),
    "patient.details.phone": _detail("Patient", "telecom.where(system = 'phone')"),
    "patient.details.email": _detail("Patient", "telecom.where(system = 'email')"),
    "examiner.reference": _referred_to("Practitioner"),
    "examiner.identifiers": _numbered("Practitioner"),
    "examiner.details.family": _detail("Practitioner", "name.family"),
    "examiner.details.given": _detail("Practitioner", "name.given"),
    "examiner.details.role": _detail("Practitioner", extension(Extension.EXAMINER_ROLE)),
}
