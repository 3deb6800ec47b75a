"""Other ways in and out than FHIR: what other systems send, and what they take."""
