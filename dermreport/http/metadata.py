"""CapabilityStatement of the door itself: https://hl7.org/fhir/R4/capabilitystatement.html."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from dermreport.fhir.canonical import head
from dermreport.fhir.software import NAME, VERSION
from dermreport.profiles.operations.definitions import operation_url
from dermreport.profiles.operations.table import OPERATIONS
from dermreport.profiles.releases import FHIR_VERSION

if TYPE_CHECKING:
    from dermreport.fhir.releases import Release

_SECURITY: Final = (
    "This program authenticates nobody. Authentication, authorisation, encryption and the audit trail are the matter "
    "of the gateway that stands before it."
)


def capability_statement(release: Release) -> dict[str, Any]:
    """Return what the door can do."""
    return head(
        "CapabilityStatement",
        "http-door",
        "HTTP door",
        "Checks and scores dermatoscopic examinations, writes reports and letters, and reads reports back. It stores "
        "nothing.",
        {
            "kind": "instance",
            "software": {"name": NAME, "version": VERSION},
            "implementation": {"description": "HTTP door of dermreport."},
            "fhirVersion": FHIR_VERSION[release],
            "format": ["json", "xml"],
            "rest": [
                {
                    "mode": "server",
                    "documentation": "Operations of the system level; resources come and go as JSON or XML, a record "
                    "also as plain JSON. Answers to the form and Parameters are taken as JSON only.",
                    "security": {"description": _SECURITY},
                    "resource": [
                        {"type": kind, "interaction": [{"code": "read"}]}
                        for kind in ("OperationDefinition", "Questionnaire")
                    ],
                    "operation": [
                        {"name": one.code, "definition": operation_url(one), "documentation": one.words}
                        for one in OPERATIONS
                    ],
                }
            ],
        },
    )
