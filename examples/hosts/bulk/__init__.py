"""A bulk job: examinations, one a line, become FHIR bundles and a flat table, by one process or many."""
