"""Reports read back: exactly what was recorded, what can't be understood, and what others added."""

from dermreport.fhir.read.limits import Limits
from dermreport.fhir.read.reading import Reading, from_fhir

__all__ = ["Limits", "Reading", "from_fhir"]
