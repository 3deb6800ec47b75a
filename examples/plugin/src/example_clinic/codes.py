"""The clinic's own code system, and its old codes beside those of the library."""

from __future__ import annotations

from dermreport.plugins import ExtraCoding, OtherCode, Row

NAME = "example-clinic"
SYSTEM = "https://clinic.example/codes"

ROWS = (
    Row(
        code="nurse-recheck",
        display="recheck by the clinic’s nurse",
        definition="The nurse looks at the lesion again with the same light and takes the same pictures.",
        codings=(OtherCode(system="https://clinic.example/billing", code="B-17", display="Nurse visit"),),
    ),
    Row(
        code="under-tattoo",
        display="under a tattoo",
        definition="Pigment of a tattoo covers part of the lesion.",
    ),
)

CODINGS = (
    ExtraCoding(
        of="structure/network-atypical",
        system="https://clinic.example/old-codes",
        code="NET-A",
        display="Atypical network",
    ),
)
