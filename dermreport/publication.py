"""Under which address, name and version the project publishes what others rely on: constants, no host's settings.

A site that could rename them could no longer be read by another.
"""

from __future__ import annotations

from typing import Final

#: Base of every URL of the project: a reserved name, the same in every installation.
CANONICAL_BASE: Final = "https://dermreport.example/fhir"

#: Who publishes the terminology, the profiles and the form.
PUBLISHER: Final = "dermreport"

#: Name of the FHIR packages, to which the release is added.
PACKAGE: Final = "dermreport.dermoscopy"

#: Version of the vocabulary: rises with every change of a row.
VOCABULARY_VERSION: Final = "1.3.0"

#: Version of the profiles, the form and the packages.
PROFILES_VERSION: Final = "1.0.0"

#: Day of these versions.
PUBLISHED: Final = "2026-11-25"
