"""One invented examination with much in it, and small tools to look into bundles."""

from __future__ import annotations

import copy
import json
from collections.abc import Iterator
from typing import Any

from dermreport.examination.model import Examination
from dermreport.fhir import to_fhir
from dermreport.reviews import Review, review
from dermreport.settings import DEFAULTS, Settings

BASE = "https://dermreport.example/fhir"
SYSTEM = "https://clinic-a.example/ids"
RELEASES = ("R4", "R4B", "R5")
KINDS = ("transaction", "collection", "document")

FULL: dict[str, Any] = {
    "identifier": {"system": f"{SYSTEM}/examination", "value": "e-1"},
    "status": "final",
    "revision": 1,
    "patient": {
        "identifiers": [{"system": f"{SYSTEM}/patient", "value": "P-4711"}],
        "details": {
            "family": "Mustersfrau",
            "given": ["Adalgunde"],
            "birth_date": "1971-02-03",
            "phone": "+00 555 0100",
            "email": "patient@clinic-a.example",
            "address": "1 Invented Way",
        },
    },
    "examiner": {
        "identifiers": [{"system": f"{SYSTEM}/staff", "value": "D-1"}],
        "details": {"family": "Beispiel", "given": ["Kim"], "role": "nurse", "training": "two courses"},
    },
    "encounter": {"reference": "Encounter/5"},
    "order": {"reference": "ServiceRequest/9"},
    "organisation": {"reference": "Organization/7", "display": "Clinic A"},
    "earlier": {"reference": "DiagnosticReport/3"},
    "mode": "in-person",
    "examined": "2026-03-04T10:15:00+01:00",
    "recorded": "2026-03-04T10:20:00.500+01:00",
    "background": {
        "age_years": 55,
        "sex": "female",
        "phototype": "type-ii",
        "had_skin_cancer": "yes",
        "earlier_skin_cancers": [{"kind": "melanoma", "year": "2015", "site": "back", "note": "left"}],
        "family_melanoma": "unknown",
        "immune_suppression": "none",
        "sun_damage": "unknown",
        "reach_quickly": "+00 555 0199",
    },
    "lesion": {
        "identifier": {"system": f"{SYSTEM}/lesion", "value": "L-77"},
        "label": "A",
        "site": "forearm-flexor",
        "side": "left",
        "site_detail": "a hand below the elbow",
        "map_point": {"map": "body-front", "x": 0.82, "y": 0.42},
        "longest_mm": 8.5,
        "crosswise_mm": 6,
        "elevation": "flat",
        "palpation": {"consistency": "not-felt", "mobile": "yes"},
        "pigmentation": "pigmented",
        "ulcerated": "uncertain",
        "compared_with_others": "stands-out",
        "nodes": {"state": "not-felt-for"},
        "history": {
            "new": {"answer": "no"},
            "growing": {"answer": "yes", "known_by": "photograph", "since": "2025-10", "note": "by a third"},
            "itching": {"answer": "unknown"},
            "bleeding": {"answer": "no"},
        },
        "bedside_tests": [{"test": "tape", "positive": "no"}, {"test": "tape", "positive": "yes"}],
    },
    "views": [
        {
            "key": "v1",
            "light": "polarised",
            "contact": "contact",
            "immersion": ["alcohol", "gel"],
            "magnification": 10,
            "equipment": "hand-held",
            "covers": "whole",
            "taken": "2026-03-04T10:14:00+01:00",
        },
        {"key": "v2", "light": "non-polarised", "contact": "contact", "immersion": ["gel"], "limits": ["hair"]},
        {"key": "v3", "light": "unknown"},
    ],
    "images": [
        {
            "key": "i1",
            "view": "v1",
            "address": "https://images.clinic-a.example/1.jpg",
            "media_type": "image/jpeg",
            "size_bytes": 100000,
            "hash": {"algorithm": "sha-256", "value": "ab" * 32},
            "role": "dermatoscopic",
            "scale": "ruler",
            "taken": "2026-03-04T10:14:30+01:00",
            "consent": {"care": "given", "teaching": "refused", "given_by": "patient"},
            "dicom_uid": "1.2.3.4",
        },
        {
            "key": "i2",
            "address": "https://images.clinic-a.example/2.jpg",
            "media_type": "image/jpeg",
            "hash": {"algorithm": "sha-1", "value": "cd" * 20},
            "role": "overview",
        },
    ],
    "lists_gone_through": [{"list": "pigmented-lesion", "views": ["v2"]}],
    "findings": [
        {
            "structure": "network-atypical",
            "presence": "present",
            "views": ["v1", "v2"],
            "distribution": "focal",
            "regularity": "irregular",
            "colours": ["dark-brown", "black"],
            "count": 3,
            "area_percent": 12.5,
            "note": "at the rim",
        },
        {"structure": "shiny-white-strands", "presence": "absent", "views": ["v2"]},
        {"structure": "blue-white-veil", "presence": "uncertain", "place": "central", "views": ["v1"]},
        {"structure": "vessels-dotted", "presence": "not-assessed", "not_assessed_because": "hidden", "views": ["v3"]},
        {
            "structure": {"system": "https://other.example/s", "code": "x1", "display": "rare thing"},
            "presence": "present",
            "views": ["nowhere"],
        },
    ],
    "description": {
        "first_axis": {"contour": "yes", "colour": "no", "structure": "no"},
        "second_axis": {"contour": "no", "colour": "no", "structure": "no"},
        "symmetric_all_axes": "no",
        "architecture": "moderate-disorder",
        "border_segments": 2,
        "colours": ["dark-brown", "light-brown", "black"],
        "pattern": "pattern-reticular",
        "step_one": "melanocytic",
    },
    "assessment": {
        "concern": "suspicious",
        "impressions": [
            {"key": "a", "impression": "melanoma-suspected", "certainty": "possible"},
            {"key": "b", "impression": "naevus-atypical", "certainty": "probable", "note": "by pattern"},
        ],
        "unequivocal": False,
        "methods_used": ["three-point"],
        "words": "Looks odd & new.",
    },
    "plan": {
        "actions": [
            {
                "key": "p1",
                "action": "refer-suspected-cancer",
                "urgency": "urgent",
                "earliest": "2026-03-05",
                "latest": "2026-03-18",
                "reason": "suspicion",
                "responsible": {"display": "Dr Beispiel"},
            },
            {
                "key": "p2",
                "action": "excise-complete",
                "urgency": "soon",
                "date": "2026-04-01",
                "histology": "yes",
                "result_owner": {"reference": "Practitioner/1"},
                "result_by": "2026-04-20",
                "if_not_attended": "we call",
                "note": "long axis marked",
            },
        ],
        "patient_told": {"told": "yes", "words": "may be melanoma"},
        "safety_net": {"watch_for": "bleeding", "by_when": "2026-04-01", "contact": "clinic", "heard_by": "2026-03-20"},
        "departures": [{"key": "d", "departs_from": "three-point", "reason": "because"}],
        "for_pathologist": "upper pole",
        "specimen_orientation": "stitch at the upper end",
        "marked_area": "inked on the left",
    },
    "outcomes": [
        {
            "key": "o1",
            "kind": "histology",
            "date": "2026-04-20",
            "result": "melanoma-in-situ",
            "text": "in situ",
            "agreement": "agrees",
            "thickness_mm": 0.4,
        }
    ],
    "note": "first line\nsecond line",
}


def entry(**changes: Any) -> dict[str, Any]:
    """Return the full entry with top-level fields changed; ``None`` leaves a field out."""
    made = copy.deepcopy(FULL) | changes
    return {name: value for name, value in made.items() if value is not None}


def examination(**changes: Any) -> Examination:
    """Return the full examination with top-level fields changed."""
    return Examination.from_json(json.dumps(entry(**changes)))


def reviewed(settings: Settings = DEFAULTS, **changes: Any) -> Review:
    """Return the review of the full examination with top-level fields changed."""
    return review(examination(**changes), settings)


def resources(release: str = "R4", settings: Settings = DEFAULTS, **changes: Any) -> tuple[dict[str, Any], ...]:
    """Return the resources of the full examination."""
    return to_fhir(reviewed(settings, **changes), release=release).resources


def of_type(made: tuple[dict[str, Any], ...], kind: str) -> list[dict[str, Any]]:
    """Return the resources of one type."""
    return [one for one in made if one["resourceType"] == kind]


def the(made: tuple[dict[str, Any], ...], kind: str) -> dict[str, Any]:
    """Return the one resource of a type."""
    (only,) = of_type(made, kind)
    return only


def codes(concept: dict[str, Any]) -> list[str]:
    """Return the codes of a concept."""
    return [coding.get("code", "") for coding in concept.get("coding", ())]


def about(made: tuple[dict[str, Any], ...], code: str) -> list[dict[str, Any]]:
    """Return the Observations about a code."""
    return [one for one in of_type(made, "Observation") if code in codes(one["code"])]


def components(observation: dict[str, Any], code: str) -> list[dict[str, Any]]:
    """Return the components of an Observation about a code."""
    return [one for one in observation.get("component", ()) if code in codes(one["code"])]


def extensions(element: dict[str, Any], name: str) -> list[dict[str, Any]]:
    """Return our extensions of one name."""
    url = f"{BASE}/StructureDefinition/{name}"
    return [one for one in element.get("extension", ()) if one["url"] == url]


def by_reference(made: tuple[dict[str, Any], ...], reference: dict[str, Any]) -> dict[str, Any]:
    """Return the resource that a reference within a bundle points to."""
    return next(one for one in made if f"urn:uuid:{one['id']}" == reference["reference"])


def scalars(value: Any, name: str = "") -> Iterator[tuple[str, Any]]:
    """Return every scalar of JSON with the name of its member, narratives left out."""
    if isinstance(value, dict):
        for key, item in value.items():
            if key != "div":
                yield from scalars(item, key)
    elif isinstance(value, list | tuple):
        for item in value:
            yield from scalars(item, name)
    else:
        yield name, value


def objects(value: Any) -> Iterator[dict[str, Any]]:
    """Return every object of JSON."""
    if isinstance(value, dict):
        yield value
        for item in value.values():
            yield from objects(item)
    elif isinstance(value, list | tuple):
        for item in value:
            yield from objects(item)
