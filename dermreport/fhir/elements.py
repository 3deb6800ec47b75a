"""The standard's order of elements, for the resource types and elements that are sent.

FHIR's XML demands this order, so every resource is put into it when it is made. Source: the resource definitions of
FHIR R4 (https://hl7.org/fhir/R4), R4B and R5 (https://hl7.org/fhir/R5). A test compares with ``fhir.resources``.
"""

from __future__ import annotations

from typing import Any, Final

_HEAD = "resourceType id meta text contained extension "


def _order(names: str) -> tuple[str, ...]:
    return tuple((_HEAD + names).split())


_COMMON: Final = {
    "Observation": _order(
        "identifier status category code subject focus encounter effectiveDateTime _effectiveDateTime issued performer "
        "valueQuantity valueCodeableConcept valueString valueBoolean valueRange valueDateTime dataAbsentReason "
        "interpretation note bodySite method hasMember derivedFrom component"
    ),
    "Provenance": _order("target occurredDateTime recorded _recorded activity agent entity"),
    "Patient": _order("identifier name telecom birthDate _birthDate address"),
    "Practitioner": _order("identifier name qualification"),
    "OperationOutcome": _order("issue"),
}

R4: Final = {
    **_COMMON,
    "DiagnosticReport": _order(
        "identifier basedOn status category code subject encounter effectiveDateTime issued performer result media "
        "conclusion conclusionCode presentedForm"
    ),
    "BodyStructure": _order("identifier active morphology location locationQualifier description patient"),
    "Media": _order("identifier status type modality subject encounter createdDateTime operator bodySite content note"),
    "DocumentReference": _order("identifier status docStatus type subject author description content context"),
    "ServiceRequest": _order(
        "identifier requisition status intent priority code subject encounter occurrenceDateTime occurrencePeriod "
        "authoredOn requester performer reasonCode reasonReference supportingInfo bodySite note"
    ),
    "Communication": _order("identifier status category subject about encounter sent recipient sender payload"),
    "DetectedIssue": _order("identifier status code severity patient identifiedDateTime author implicated mitigation"),
    "Composition": _order("identifier status type subject encounter date author title relatesTo section"),
}

R5: Final = {
    **_COMMON,
    "DiagnosticReport": _order(
        "identifier basedOn status category code subject encounter effectiveDateTime issued performer result "
        "supportingInfo media conclusion conclusionCode presentedForm"
    ),
    "BodyStructure": _order("identifier active morphology includedStructure description patient"),
    "DocumentReference": _order("identifier status docStatus type subject context bodySite author description content"),
    "ServiceRequest": _order(
        "identifier requisition status intent priority code subject encounter occurrenceDateTime occurrencePeriod "
        "authoredOn requester performer reason supportingInfo bodySite note"
    ),
    "Communication": _order("identifier status category subject about encounter sent recipient sender payload"),
    "DetectedIssue": _order("identifier status code severity subject identifiedDateTime author implicated mitigation"),
    "Composition": _order("identifier status type subject encounter date author title relatesTo section"),
}


#: An Observation's elements up to its performer, which all of one examination share but for a few.
OBSERVATION_HEAD: Final = _COMMON["Observation"][: _COMMON["Observation"].index("performer") + 1]


def in_order(order: tuple[str, ...], parts: dict[str, Any]) -> dict[str, Any]:
    """Return a resource with its elements in order; what is ``None`` is left out.

    Raises:
        KeyError: The order doesn't know one of the elements.
    """
    made = {name: value for name in order if (value := parts.get(name)) is not None}
    if len(made) != len(parts):
        for name in parts:
            if name not in order:
                raise KeyError(name)
    return made
