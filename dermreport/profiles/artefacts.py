"""All that is published for one release: terminology, profiles, extensions, searches, operations, capability, form."""

from __future__ import annotations

from itertools import chain
from typing import TYPE_CHECKING, Any

from dermreport.examination.reader import write_json
from dermreport.form.questionnaire import questionnaire
from dermreport.profiles.capability import capability_statements
from dermreport.profiles.operations.definitions import operation_definitions
from dermreport.profiles.search_parameters import search_parameters
from dermreport.profiles.structures.extension_definitions import extension_definitions
from dermreport.profiles.structures.structure_definitions import structure_definitions
from dermreport.profiles.terminology.code_systems import code_systems
from dermreport.profiles.terminology.concept_maps import concept_maps
from dermreport.profiles.terminology.naming_systems import naming_systems
from dermreport.profiles.terminology.value_sets import value_sets

if TYPE_CHECKING:
    from dermreport.fhir.releases import Release


def artefacts(release: Release) -> list[dict[str, Any]]:
    """Return every artefact of a release, sorted by resource type and id."""
    made = chain(
        capability_statements(release),
        code_systems(release),
        concept_maps(release),
        extension_definitions(release),
        naming_systems(release),
        operation_definitions(release),
        [questionnaire(release)],
        search_parameters(release),
        structure_definitions(release),
        value_sets(release),
    )
    return sorted(made, key=file_name)


def file_name(resource: dict[str, Any]) -> str:
    """Return the name of a resource's file, as packages name it: ``ValueSet-light.json``."""
    return f"{resource['resourceType']}-{resource['id']}.json"


def file_text(resource: dict[str, Any]) -> str:
    """Return the text of a resource's file."""
    return json_text(resource)


def json_text(value: dict[str, Any]) -> str:
    """Return JSON for people too: indented, numbers digit for digit."""
    import msgspec  # noqa: PLC0415 - loaded on first use

    return msgspec.json.format(write_json(value), indent=2) + "\n"
