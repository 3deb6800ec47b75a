"""An examination as HL7 FHIR resources: R4, R4B and R5, JSON and XML, transaction, collection and document."""

from dermreport.fhir.bundle import Bundle, BundleKind
from dermreport.fhir.releases import Release
from dermreport.fhir.report import Report, to_fhir

__all__ = ["Bundle", "BundleKind", "Release", "Report", "to_fhir"]
