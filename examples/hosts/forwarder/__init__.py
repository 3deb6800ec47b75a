"""An outbox that forwards reports to a FHIR server: every report takes effect once, urgent ones first."""
