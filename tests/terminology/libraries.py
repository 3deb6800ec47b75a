"""The terminologies that open libraries carry, read from those libraries, for checks without a network.

Three libraries are asked:

- pydicom: the code dictionaries and context groups of DICOM PS3.16 (a Python package, always there for tests);
- ``hapi-fhir-validation-resources-r5``: in its package ``hl7.terminology`` the SNOMED CT Global Patient Set;
- ``hapi-fhir-validation-resources-r4``: FHIR R4's value sets with LOINC codes, its copy of DICOM's code system, and the
  German designations of HL7's own tables.

The last two are Java archives in Maven's local repository. None of the three says whether a code is still active:
the Global Patient Set lists what was active in July 2020, the others list codes with displays only.
"""

from __future__ import annotations

import json
import os
import shlex
import subprocess
import tarfile
import zipfile
from collections import defaultdict
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from lxml import etree
from pydicom.sr.codedict import codes

from dermreport.vocabulary.standard_codes import DICOM, LOINC, SNOMED_CT

if TYPE_CHECKING:
    from collections.abc import Mapping

    Displays = Mapping[tuple[str, str], frozenset[str]]

VERSION = "8.8.0"
GROUP = "ca.uhn.hapi.fhir"
GLOBAL_PATIENT_SET = ("hapi-fhir-validation-resources-r5", "org/hl7/fhir/r5/packages/hl7.terminology-5.1.0.tgz")
FHIR_R4 = ("hapi-fhir-validation-resources-r4", "org/hl7/fhir/r4/model/valueset/valuesets.xml")
HL7_V2 = ("hapi-fhir-validation-resources-r4", "org/hl7/fhir/r4/model/valueset/v2-tables.xml")
LOCAL_REPOSITORY = Path.home() / ".m2" / "repository"
FHIR = "{http://hl7.org/fhir}"


def archive(artifact: str) -> Path:
    """Return where Maven keeps an artifact, whether it is there or not."""
    return LOCAL_REPOSITORY.joinpath(*GROUP.split("."), artifact, VERSION, f"{artifact}-{VERSION}.jar")


def fetch_command(artifact: str) -> list[str]:
    """Return the command that fetches an artifact into Maven's local repository."""
    return [
        "mvn",
        "-q",
        "-B",
        f"-Dmaven.repo.local={LOCAL_REPOSITORY}",
        "dependency:get",
        f"-Dartifact={GROUP}:{artifact}:{VERSION}",
        "-Dtransitive=false",
    ]


def fetch(artifact: str) -> None:
    """Fetch an artifact unless it is there; raises ``CalledProcessError`` or ``FileNotFoundError`` where it can't."""
    if not archive(artifact).exists():
        subprocess.run(fetch_command(artifact), check=True, timeout=600)


def at_hand(*wanted: str) -> None:
    """Make sure of the Java archives, or skip the test with the command that fetches them."""
    missing = [artifact for artifact in wanted if not archive(artifact).exists()]
    if os.environ.get("DERMREPORT_ENGINES") == "required":
        for artifact in missing:
            fetch(artifact)
    elif missing:
        commands = " && ".join(shlex.join(fetch_command(artifact)) for artifact in missing)
        pytest.skip(f"terminology archives are missing; fetch them with: {commands}")


@cache
def dicom_dictionaries() -> Displays:
    """Return every meaning that pydicom's dictionaries give a code, by system and code."""
    meanings = defaultdict(set)
    for system, collection in ((SNOMED_CT, codes.SCT), (DICOM, codes.DCM)):
        for keyword in collection.dir():
            code = getattr(collection, keyword)
            meanings[system, code.value].add(code.meaning)
    return {code: frozenset(displays) for code, displays in meanings.items()}


@cache
def dicom_context_group(number: int) -> Displays:
    """Return the codes of one context group with their meanings."""
    systems = {"SCT": SNOMED_CT, "DCM": DICOM}
    return {
        (systems[code.scheme_designator], code.value): frozenset((code.meaning,))
        for code in getattr(codes, f"cid{number}").concepts.values()
        if code.scheme_designator in systems
    }


@cache
def global_patient_set() -> Displays:
    """Return the SNOMED CT Global Patient Set: fully specified names by system and code."""
    artifact, package = GLOBAL_PATIENT_SET
    with (
        zipfile.ZipFile(archive(artifact)) as jar,
        jar.open(package) as inner,
        tarfile.open(fileobj=inner, mode="r:gz") as files,
    ):
        value_set = json.load(files.extractfile("package/ValueSet-snomed-intl-gps.json"))
    return {
        (include["system"], concept["code"]): frozenset((concept["display"],))
        for include in value_set["compose"]["include"]
        for concept in include["concept"]
    }


@cache
def _r4_value_sets() -> etree._Element:
    artifact, file = FHIR_R4
    with zipfile.ZipFile(archive(artifact)) as jar, jar.open(file) as xml:
        return etree.parse(xml).getroot()


@cache
def fhir_r4_loinc() -> Displays:
    """Return the LOINC codes that FHIR R4's value sets list with a display."""
    displays = defaultdict(set)
    for include in _r4_value_sets().iter(f"{FHIR}include"):
        system = include.find(f"{FHIR}system")
        if system is not None and system.get("value") == LOINC:
            for concept in include.iterfind(f"{FHIR}concept"):
                display = concept.find(f"{FHIR}display")
                if display is not None:
                    displays[LOINC, concept.find(f"{FHIR}code").get("value")].add(display.get("value"))
    return {code: frozenset(found) for code, found in displays.items()}


@cache
def fhir_r4_code_system(url: str) -> frozenset[str]:
    """Return the codes of one code system as FHIR R4 defines it."""
    for system in _r4_value_sets().iter(f"{FHIR}CodeSystem"):
        if system.find(f"{FHIR}url").get("value") == url:
            return frozenset(concept.find(f"{FHIR}code").get("value") for concept in system.iter(f"{FHIR}concept"))
    raise LookupError(url)


@cache
def fhir_r4_german() -> Mapping[tuple[str, str], str]:
    """Return what HL7 Germany calls the codes of HL7's own tables, by table number and code."""
    artifact, file = HL7_V2
    with zipfile.ZipFile(archive(artifact)) as jar, jar.open(file) as xml:
        root = etree.parse(xml).getroot()
    found = {}
    for system in root.iter(f"{FHIR}CodeSystem"):
        table = system.find(f"{FHIR}url").get("value").rpartition("v2-")[2]
        for concept in system.iter(f"{FHIR}concept"):
            for designation in concept.iterfind(f"{FHIR}designation"):
                if designation.find(f"{FHIR}language").get("value") == "de":
                    value = designation.find(f"{FHIR}value").get("value")
                    found[table, concept.find(f"{FHIR}code").get("value")] = value
    return found
