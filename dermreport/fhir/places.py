"""Where each field of an examination goes that no row of the items table carries.

For whoever maps by hand, and for the documentation: nothing is built from it. Tests hold it to the model, and each
place to what is written.
"""

from __future__ import annotations

from types import MappingProxyType
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Mapping

#: By the field's path. The first word of a place is the resource type in R4 and R5; ``Image`` stands for Media in R4
#: and DocumentReference in R5.
PLACES: Final[Mapping[str, str]] = MappingProxyType(
    {
        "identifier": "DiagnosticReport.identifier",
        "status": "DiagnosticReport.extension(entry-status), and .status",
        "revision": "DiagnosticReport.extension(entry-revision)",
        "earlier": "DiagnosticReport.extension(workflow-supportingInfo), .supportingInfo in R5",
        "patient.reference": "Patient.extension(host-reference), or every subject",
        "patient.identifiers": "Patient.identifier",
        "patient.details.family": "Patient.name",
        "patient.details.given": "Patient.name",
        "patient.details.birth_date": "Patient.birthDate",
        "patient.details.phone": "Patient.telecom",
        "patient.details.email": "Patient.telecom",
        "patient.details.address": "Patient.address",
        "examiner.reference": "Practitioner.extension(host-reference), or every performer",
        "examiner.identifiers": "Practitioner.identifier",
        "examiner.details.family": "Practitioner.name",
        "examiner.details.given": "Practitioner.name",
        "examiner.details.role": "Practitioner.extension(examiner-role)",
        "examiner.details.training": "Practitioner.qualification",
        "encounter": "DiagnosticReport.encounter",
        "order": "DiagnosticReport.basedOn",
        "organisation": "DiagnosticReport.performer",
        "examined": "DiagnosticReport.effectiveDateTime",
        "recorded": "DiagnosticReport.issued",
        "lesion.identifier": "BodyStructure.identifier",
        "lesion.bedside_tests.test": "Observation.code",
        "views.key": "Observation.extension(entry-key)",
        "images.key": "Image.extension(entry-key)",
        "images.view": "Image.extension(view-key), or derivedFrom of the view",
        "images.address": "Image.content.url",
        "images.media_type": "Image.content.contentType",
        "images.size_bytes": "Image.content.size",
        "images.hash.algorithm": "Image.content.extension(hash), or that it is in .hash",
        "images.hash.value": "Image.content.extension(hash), or .hash",
        "images.role": "Image.extension(image-role)",
        "images.scale": "Image.extension(image-scale)",
        "images.taken": "Image.createdDateTime, .content.attachment.creation in R5",
        "images.dicom_uid": "Image.identifier",
        "images.consent.care": "Image.extension(image-consent)",
        "images.consent.teaching": "Image.extension(image-consent)",
        "images.consent.research": "Image.extension(image-consent)",
        "images.consent.recorded": "Image.extension(image-consent)",
        "images.consent.given_by": "Image.extension(image-consent)",
        "images.note": "Image.note, .description in R5",
        "lists_gone_through.list": "Observation.value",
        "lists_gone_through.views": "Observation.derivedFrom, or component view-key",
        "findings.structure": "Observation.code",
        "findings.views": "Observation.derivedFrom, or component view-key",
        "assessment.impressions.key": "Observation.extension(entry-key)",
        "plan.actions.key": "ServiceRequest.extension(entry-key)",
        "plan.actions.action": "ServiceRequest.code",
        "plan.actions.urgency": "ServiceRequest.extension(urgency), and .priority",
        "plan.actions.date": "ServiceRequest.extension(plan-interval), and .occurrence",
        "plan.actions.earliest": "ServiceRequest.extension(plan-interval), and .occurrence",
        "plan.actions.latest": "ServiceRequest.extension(plan-interval), and .occurrence",
        "plan.actions.responsible": "ServiceRequest.performer",
        "plan.actions.reason": "ServiceRequest.reasonCode",
        "plan.actions.histology": "ServiceRequest.extension(histology-requested)",
        "plan.actions.result_owner": "ServiceRequest.extension(result-owner)",
        "plan.actions.result_by": "ServiceRequest.extension(result-by)",
        "plan.actions.if_not_attended": "ServiceRequest.extension(if-not-attended)",
        "plan.actions.note": "ServiceRequest.note",
        "plan.safety_net.watch_for": "Communication.extension(safety-net), and .payload",
        "plan.safety_net.by_when": "Communication.extension(safety-net), and .payload",
        "plan.safety_net.contact": "Communication.extension(safety-net), and .payload",
        "plan.safety_net.heard_by": "Communication.extension(safety-net), and .payload",
        "plan.departures.key": "DetectedIssue.extension(entry-key)",
        "plan.departures.departs_from": "DetectedIssue.code",
        "plan.departures.reason": "DetectedIssue.mitigation",
        "outcomes.key": "Observation.extension(entry-key)",
        "outcomes.date": "Observation.effectiveDateTime",
    }
)
