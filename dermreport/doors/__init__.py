"""Other ways in and out than FHIR reports: forms of data that hospitals and counters have."""
