"""The examination as a form: a FHIR Questionnaire, and its responses to an examination and back."""
