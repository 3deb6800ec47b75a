"""Reports as another site receives them: the outputs of this library, changed as servers and people change them."""

from __future__ import annotations

import copy
import random
from collections.abc import Callable
from typing import Any

import dermreport
from dermreport.fhir.read import Reading, from_fhir

Json = dict[str, Any]
FORMATS = ("json", "xml")


def written(bundle: dermreport.Bundle, form: str) -> str:
    """Return a bundle as text in a format."""
    return bundle.to_json() if form == "json" else bundle.to_xml()


def bundle_of(
    examination: dermreport.Examination, release: str = "R4", kind: str = "collection", **settings: Any
) -> Json:
    """Return the bundle of one examination as objects."""
    review = dermreport.review(examination, dermreport.Settings(**settings))
    return dermreport.to_fhir(review, release=release).bundle(kind).to_dict()


def resources(bundle: Json, kind: str) -> list[Json]:
    """Return the resources of a type in a bundle."""
    return [entry["resource"] for entry in bundle["entry"] if entry["resource"]["resourceType"] == kind]


def about(bundle: Json, code: str) -> Json:
    """Return the one Observation about a code."""
    (found,) = [
        one
        for one in resources(bundle, "Observation")
        if code in [c.get("code") for c in one["code"].get("coding", [])]
    ]
    return found


def from_a_server(bundle: Json, seed: int = 0, leave_out: Callable[[Json], bool] = lambda _: False) -> Json:
    """Return what a search on a server gives after a transaction: its own ids, addresses and order.

    Args:
        bundle: The transaction.
        seed: Decides the order.
        leave_out: Tells a resource that the search doesn't find.
    """
    base = "https://server.example/fhir"
    entries = copy.deepcopy(bundle["entry"])
    addresses = {
        entry["fullUrl"]: f"{entry['resource']['resourceType']}/{entry['resource'].get('id', number)}"
        for number, entry in enumerate(entries, start=100)
    }

    def referring(value: Any) -> Any:
        if isinstance(value, dict):
            changed = {name: referring(item) for name, item in value.items()}
            if isinstance(value.get("reference"), str):
                changed["reference"] = addresses.get(value["reference"], value["reference"])
            return changed
        return [referring(item) for item in value] if isinstance(value, list) else value

    found = []
    for entry in entries:
        address = addresses[entry["fullUrl"]]
        resource = referring(entry["resource"])
        if leave_out(resource):
            continue
        kind, own_id = address.split("/")
        meta = {**resource.get("meta", {}), "versionId": "1", "lastUpdated": "2026-03-04T10:15:00Z", "source": "#x"}
        head = {"resourceType": kind, "id": own_id, "meta": meta}
        found.append(
            {
                "fullUrl": f"{base}/{address}",
                "resource": head | resource | {"id": own_id, "meta": meta},
                "search": {"mode": "match"},
            }
        )
    random.Random(seed).shuffle(found)  # noqa: S311 - an order, no secret
    return {"resourceType": "Bundle", "type": "searchset", "total": len(found), "entry": found}


def read(content: Any) -> Reading:
    """Read what was received."""
    return from_fhir(content)


def rules(reading: Reading) -> list[str]:
    """Return the rules of the issues, sorted."""
    return sorted({issue.rule for issue in reading.issues})
