"""The FHIR operations that the HTTP door offers: what each takes and gives, and what it answers instead."""
