"""ViewDefinitions of the SQL-on-FHIR specification, version 2.0.0, and the queries over them that make the tables.

Elements and their order: https://sql-on-fhir.org/ig/2.0.0/StructureDefinition-ShareableViewDefinition.html. A
ViewDefinition is a logical model, no resource of FHIR: it stands beside the packages and in none.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from dermreport.doors.table.query import findings_query, visits_query
from dermreport.doors.table.views import ATTRIBUTE_CONSTANT, View, ViewColumn, views
from dermreport.fhir.canonical import canonical
from dermreport.fhir.releases import Release
from dermreport.profiles.artefacts import json_text
from dermreport.profiles.releases import FHIR_VERSION
from dermreport.publication import PUBLISHER
from dermreport.vocabulary.attributes import Attribute
from dermreport.vocabulary.term import code_system

if TYPE_CHECKING:
    from collections.abc import Iterable

#: R4 and R4B write the same elements: one view serves both.
_RELEASES: Final = {"r4": (Release.R4, Release.R4B), "r5": (Release.R5,)}


def _columns(columns: Iterable[ViewColumn]) -> list[dict[str, str]]:
    return [{"path": one.path, "name": one.name, "description": one.description, "type": one.type} for one in columns]


def view_definition(view: View, releases: tuple[Release, ...]) -> dict[str, Any]:
    """Return the ViewDefinition of a view over the resources of releases that write them alike."""
    selected: list[dict[str, Any]] = [{"column": _columns(view.columns)}]
    if view.each:
        selected.append({"column": _columns(view.each_columns), "forEach": view.each})
    identity = "-".join((view.name.replace("_", "-"), releases[0].value.lower()))
    return {
        "resourceType": "ViewDefinition",
        "url": canonical("ViewDefinition", identity),
        "name": view.name,
        "title": view.name.replace("_", " ").capitalize(),
        "status": "active",
        "experimental": False,
        "publisher": PUBLISHER,
        "description": f"One row: {view.description}",
        "resource": view.resource,
        "fhirVersion": [FHIR_VERSION[release] for release in releases],
        "constant": [{"name": ATTRIBUTE_CONSTANT, "valueUri": code_system(Attribute)}],
        "select": selected,
        "where": [{"path": view.where}],
    }


def view_definitions(folder: str) -> list[dict[str, Any]]:
    """Return the ViewDefinitions of a folder: ``r4`` for R4 and R4B, or ``r5``."""
    releases = _RELEASES[folder]
    return [view_definition(one, releases) for one in views(releases[0])]


def view_files() -> dict[str, str]:
    """Return the text of each file of ``profiles/views`` by its path there."""
    made = {f"{folder}/{one['name']}.json": json_text(one) for folder in _RELEASES for one in view_definitions(folder)}
    return {**made, "visits.sql": visits_query(), "findings.sql": findings_query()}
