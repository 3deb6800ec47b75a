"""Ways in and out besides FHIR: each door maps what the other rooms hold to one format, and says what it can't hold."""
