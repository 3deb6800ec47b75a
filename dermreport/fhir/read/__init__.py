"""Reports read back: exactly what was recorded, what can't be understood, and what others added."""

from dermreport.fhir.read.reading import Reading, from_fhir
from dermreport.limits import Limits

__all__ = ["Limits", "Reading", "from_fhir"]
