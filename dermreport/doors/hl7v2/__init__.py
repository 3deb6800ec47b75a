"""A report as a message of HL7 v2.5.1."""
