"""From a response to the steps by which a person fills the form: in the form's order, one field after the other."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

_HIDDEN = "http://hl7.org/fhir/StructureDefinition/questionnaire-hidden"
_CONTROL = "http://hl7.org/fhir/StructureDefinition/questionnaire-itemControl"


def steps(questionnaire: dict[str, Any], response: dict[str, Any]) -> list[dict[str, Any]]:
    """Return a step for each answer of a response, and one for each further instance of what repeats."""
    return list(_items(questionnaire["item"], response.get("item", []), ""))


def _items(asked: list[dict[str, Any]], given: list[dict[str, Any]], at: str) -> Iterator[dict[str, Any]]:
    for item in asked:
        if item.get("readOnly") or _is_hidden(item):
            continue
        instances = [one for one in given if one["linkId"] == item["linkId"]]
        for number, instance in enumerate(instances, start=1):
            if number > 1:
                yield {"add": item["linkId"], "at": f"{at}{number - 1}"}
            yield from _instance(item, instance, f"{at}{number}")


def _instance(item: dict[str, Any], instance: dict[str, Any], at: str) -> Iterator[dict[str, Any]]:
    nested = list(instance.get("item", []))
    answers = instance.get("answer", [])
    if answers:
        yield {
            "item": item["linkId"],
            "at": at,
            "type": item["type"],
            "control": _control(item),
            "values": [_typed(answer) for answer in answers],
        }
        nested += [one for answer in answers for one in answer.get("item", [])]
    yield from _items(item.get("item", []), nested, f"{at}/")


def _typed(answer: dict[str, Any]) -> str:
    """Return what a person types for an answer."""
    kind, value = next((name, value) for name, value in answer.items() if name.startswith("value"))
    if kind == "valueCoding":
        return str(value["display"])
    if kind == "valueQuantity":
        return str(value["value"])
    if kind == "valueBoolean":
        return "Yes" if value else "No"
    return str(value)


def _is_hidden(item: dict[str, Any]) -> bool:
    return any(one["url"] == _HIDDEN and one.get("valueBoolean") for one in item.get("extension", []))


def _control(item: dict[str, Any]) -> str:
    """Return how the form asks for the item to be drawn; empty where it leaves that to the renderer."""
    for one in item.get("extension", []):
        if one["url"] == _CONTROL:
            return str(one["valueCodeableConcept"]["coding"][0]["code"])
    return ""
