"""Code of a host that type checkers must refuse, and where: each line says what mypy and pyright call it."""

from __future__ import annotations

import dermreport
from dermreport import Examination, LetterSettings, Settings

exam = Examination.from_json("{}")
review = dermreport.review(exam)

# An argument of another kind, or one that there isn't.
dermreport.review("{}")  # arg-type reportArgumentType
dermreport.review(exam, {"snomed": False})  # arg-type reportArgumentType
dermreport.to_fhir(exam)  # arg-type reportArgumentType
dermreport.to_fhir(review, "R4")  # call-arg reportCallIssue
dermreport.to_fhir(review, realease="R4")  # call-arg reportCallIssue
dermreport.letter(review, settings=Settings())  # arg-type reportArgumentType
dermreport.view_from_dicom(b"")  # call-arg reportCallIssue
Settings(snomed="no")  # arg-type reportArgumentType
LetterSettings("de")  # call-arg reportCallIssue
dermreport.Party()  # call-arg reportCallIssue
dermreport.IdentifierSystems(patient="https://clinic.example/ids/patient")  # call-arg reportCallIssue
Settings(extra_codings={"red": "R"})  # arg-type reportArgumentType
Settings(plugins=("clinic",))  # arg-type reportArgumentType

# What may not be there has to be asked for.
dermreport.from_entry("{}").examination.to_json()  # union-attr reportOptionalMemberAccess
dermreport.review(dermreport.from_fhir("{}").examination)  # arg-type reportArgumentType

# What is frozen stays.
review.settings = Settings()  # misc reportAttributeAccessIssue

# What there isn't.
print(review.diagnosis)  # attr-defined reportAttributeAccessIssue
print(dermreport.diagnose)  # attr-defined reportAttributeAccessIssue
print(dermreport.Severity.HARMLESS)  # attr-defined reportAttributeAccessIssue
number: int = review.scores["seven-point"].low  # assignment reportAssignmentType
