"""What the standard asks of a resource that a plugin made, beyond the shape of its elements.

A server refuses a whole transaction for one resource that breaks a constraint or a required binding, and with it an
urgent request. So these are looked at before anything is sent: the data types that may be used are few, and for each of
them and of the resource types that a plugin may make every constraint is a row here
(FHIR R4 4.0.1, R4B 4.3.0 and R5 5.0.0, definitions of these types; ``tests/conformance`` holds the table to them). What
one release asks is asked in each.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from datetime import datetime
from decimal import Decimal
from typing import Any, Final, NamedTuple, TypeAlias

from dermreport.codings import HARMLESS_INTERPRETATIONS, INTERPRETATIONS
from dermreport.fhir.read.definitions import Class, Kind, elements, resource_class
from dermreport.fhir.releases import Release
from dermreport.harmless_words import calls_harmless

_Json: TypeAlias = Mapping[str, Any]

#: Data types that may be used. Others have constraints of their own, and no plugin has yet needed them.
DATA_TYPES: Final = frozenset(
    (
        "Annotation",
        "Attachment",
        "CodeableConcept",
        "Coding",
        "ContactPoint",
        "Extension",
        "Identifier",
        "Narrative",
        "Period",
        "Quantity",
        "Range",
        "Ratio",
        "Reference",
    )
)
#: Codes of required bindings that the classes of ``fhir.resources`` don't have, by class and element.
CODES: Final[Mapping[tuple[str, str], frozenset[str]]] = {
    ("AuditEvent", "action"): frozenset("CRUDE"),
    ("AuditEvent", "outcome"): frozenset(("0", "4", "8", "12")),
    ("AuditEventAgentNetwork", "type"): frozenset("12345"),
    ("Quantity", "comparator"): frozenset(("<", "<=", ">=", ">")),
}
_MEDIA_NAME: Final = r"[a-z0-9][a-z0-9!#$&^_.+-]{0,126}"
#: Required bindings to lists that others keep: RFC 6838, 4.2, with parameters; BCP 47, as far as it is well formed.
_FORMS: Final[Mapping[str, Callable[[str], object]]] = {
    "contentType": re.compile(rf"{_MEDIA_NAME}/{_MEDIA_NAME}(;.+)?", re.IGNORECASE).fullmatch,
    "language": re.compile(r"[a-z]{2,8}(-[a-z0-9]{1,8})*", re.IGNORECASE).fullmatch,
}
_ID: Final = r"[A-Za-z0-9.-]{1,64}"
#: FHIR R4 and R5, Reference: the type in a literal one.
_leads_to: Final = re.compile(rf"(?:.*/)?([A-Z][A-Za-z]+)/{_ID}(?:/_history/{_ID})?").fullmatch
#: Elements of a Flag or an Observation by which it is called.
_CALLED: Final = ("code", "category", "interpretation")


class Constraint(NamedTuple):
    """One constraint of the standard.

    Attributes:
        key: Its key there.
        on: The class that it is on.
        holds: Whether it holds of the JSON of one.
    """

    key: str
    on: str
    holds: Callable[[_Json], bool]


def _has(value: _Json, start: str) -> bool:
    """Return whether an element of which there is a choice of types is there."""
    return any(name.removeprefix("_").startswith(start) for name in value)


def _codings(concept: Any) -> set[tuple[Any, ...]]:  # noqa: ANN401 - any JSON
    """Return the codings of a concept as they are compared."""
    return {tuple(sorted((name, str(part)) for name, part in one.items())) for one in concept.get("coding", ())}


def _no_component_is_the_whole(value: _Json) -> bool:
    whole = _codings(value.get("code", {}))
    components = value.get("component", ())
    return not _has(value, "value") or not any(whole & _codings(one.get("code", {})) for one in components)


def _in_order(value: _Json) -> bool:
    start, end = value.get("start"), value.get("end")
    if start is None or end is None:
        return True
    if "T" in start and "T" in end:
        return datetime.fromisoformat(start) <= datetime.fromisoformat(end)
    known = min(len(start), len(end), len("2026-01-01"))
    return bool(start[:known] <= end[:known])


def _rises(value: _Json) -> bool:
    low, high = value.get("low", {}), value.get("high", {})
    if "value" not in low or "value" not in high:
        return True
    unit = [[one.get(name) for name in ("system", "code", "unit")] for one in (low, high)]
    return unit[0] == unit[1] and Decimal(str(low["value"])) <= Decimal(str(high["value"]))


def _both_or_neither(value: _Json) -> bool:
    both = "numerator" in value and "denominator" in value
    return both or ("numerator" not in value and "denominator" not in value and "extension" in value)


CONSTRAINTS: Final = (
    Constraint("att-1", "Attachment", lambda one: "data" not in one or "contentType" in one),
    Constraint("cpt-2", "ContactPoint", lambda one: "value" not in one or "system" in one),
    Constraint("ext-1", "Extension", lambda one: ("extension" in one) != _has(one, "value")),
    Constraint("lst-1", "List", lambda one: "emptyReason" not in one or "entry" not in one),
    Constraint("lst-2", "List", lambda one: one.get("mode") == "changes" or not _any(one, "entry", "deleted")),
    Constraint("lst-3", "List", lambda one: one.get("mode") == "working" or not _any(one, "entry", "date")),
    Constraint("obs-3", "ObservationReferenceRange", lambda one: bool({"low", "high", "text"} & set(one))),
    Constraint("obs-6", "Observation", lambda one: "dataAbsentReason" not in one or not _has(one, "value")),
    Constraint("obs-7", "Observation", _no_component_is_the_whole),
    Constraint("obs-8", "Observation", lambda one: "bodySite" not in one or "bodyStructure" not in one),
    Constraint("per-1", "Period", _in_order),
    Constraint("qty-3", "Quantity", lambda one: "code" not in one or "system" in one),
    Constraint("rat-1", "Ratio", _both_or_neither),
    Constraint("ref-1", "Reference", lambda one: not one.get("reference", "").startswith("#")),
    Constraint("ref-2", "Reference", lambda one: bool({"reference", "identifier", "display", "extension"} & set(one))),
    Constraint("rng-2", "Range", _rises),
    Constraint("sev-1", "AuditEventEntity", lambda one: "name" not in one or "query" not in one),
)
#: Quantities that may have no comparator (sqty-1): those of these classes and elements.
_WITHOUT_COMPARATOR: Final = frozenset(
    (owner, end) for owner in ("Range", "ObservationReferenceRange") for end in ("low", "high")
)


def _any(value: _Json, listed: str, name: str) -> bool:
    return any(name in one or f"_{name}" in one for one in value.get(listed, ()))


def breaks(resource: _Json, release: Release, types: Mapping[str, str]) -> str | None:
    """Return what a well-formed resource breaks, as the key of a constraint or what kind of thing, None for nothing.

    Args:
        resource: The resource, in the shape of the release.
        release: The release.
        types: The resource type of each reference that leads to a resource of the same report.
    """
    owner = resource_class(resource["resourceType"], release)
    parts = list(_parts(owner, resource))
    if any(one.__module__ != owner.__module__ and one.__name__ not in DATA_TYPES for one, _ in parts):
        return "data type"
    found = (what for one in parts for what in _wrong(*one, types))
    return next(found, None) or _called_harmless(resource)


def _parts(owner: Class, value: _Json) -> Iterator[tuple[Class, _Json]]:
    """Yield each object in a value with its class, the value first."""
    yield owner, value
    for name, element in elements(owner).items():
        for item in _listed(value.get(name)):
            if element.kind is Kind.OBJECT and isinstance(item, Mapping):
                yield from _parts(element.holds, item)
        if element.kind is not Kind.OBJECT:
            for said in _listed(value.get(f"_{name}")):
                for extension in (said or {}).get("extension", ()):
                    yield from _parts(elements(owner)["extension"].holds, extension)


def _listed(value: Any) -> list[Any]:  # noqa: ANN401 - any JSON
    return value if isinstance(value, list) else [] if value is None else [value]


def _wrong(owner: Class, value: _Json, types: Mapping[str, str]) -> Iterator[str]:
    name = owner.__name__
    yield from (one.key for one in CONSTRAINTS if one.on == name and not one.holds(value))
    for field, information in owner.model_fields.items():
        element = information.alias or field
        said = information.json_schema_extra or {}
        for item in _listed(value.get(element)):
            if isinstance(item, str):
                codes = CODES.get((name, element)) or frozenset(said.get("enum_values", ()))
                if not (codes & _OPEN or item in codes or not codes) or not _FORMS.get(element, bool)(item):
                    yield "required binding"
            elif isinstance(item, Mapping):
                if (name, element) in _WITHOUT_COMPARATOR and "comparator" in item:
                    yield "sqty-1"
                if not _may_refer(item, said.get("enum_reference_types", ()), types):
                    yield "reference type"


#: With these a list of codes isn't the whole of a value set.
_OPEN: Final = frozenset(("+", "etc."))


def _may_refer(value: _Json, allowed: Any, types: Mapping[str, str]) -> bool:  # noqa: ANN401 - from a class
    reference = value.get("reference")
    if not allowed or "Resource" in allowed or not isinstance(reference, str):
        return True
    literal = _leads_to(reference)
    known = types.get(reference) if literal is None else literal[1]
    return not known or known in allowed


def _called_harmless(resource: _Json) -> str | None:
    """Return whether a Flag or an Observation is called harmless by display or text, or interpreted so anywhere."""
    if resource["resourceType"] not in {"Flag", "Observation"}:
        return None
    for part in (resource, *resource.get("component", ())):
        for concept in (one for name in _CALLED for one in _listed(part.get(name))):
            texts = [concept.get("text", ""), *(one.get("display", "") for one in concept.get("coding", ()))]
            if any(map(calls_harmless, texts)):
                return "a harmless word"
    return "a harmless word" if _is_interpreted_harmless(resource) else None


def _is_interpreted_harmless(value: Any) -> bool:  # noqa: ANN401 - any JSON
    if isinstance(value, Mapping):
        interpreted = value.get("system") == INTERPRETATIONS and value.get("code") in HARMLESS_INTERPRETATIONS
        return interpreted or any(map(_is_interpreted_harmless, value.values()))
    return isinstance(value, list) and any(map(_is_interpreted_harmless, value))
