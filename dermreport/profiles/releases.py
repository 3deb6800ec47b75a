"""What the releases of FHIR call what is published: versions and packages of the standard."""

from __future__ import annotations

from typing import Final

from dermreport.fhir.releases import Release

#: Version of the standard, as ``fhirVersion`` wants it: https://hl7.org/fhir/R5/valueset-FHIR-version.html.
FHIR_VERSION: Final = {Release.R4: "4.0.1", Release.R4B: "4.3.0", Release.R5: "5.0.0"}

#: Package of the standard's own definitions, on which ours depends.
CORE_PACKAGE: Final = {release: f"hl7.fhir.{release.value.lower()}.core" for release in Release}
