"""A dermatoscopic skin examination, checked, scored and written as HL7 FHIR resources."""
