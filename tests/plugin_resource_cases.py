"""Resources that a plugin could make: each well formed, and once so that it breaks one thing that the standard asks.

FHIR R4 4.0.1, R4B 4.3.0 and R5 5.0.0; ``conformance/test_plugin_constraints.py`` shows each to the validator.
"""

from __future__ import annotations

from typing import Any, NamedTuple

PATIENT = {"reference": "Patient/1"}
CODE = {"coding": [{"system": "https://lakeside.example/codes", "code": "recheck"}]}
URL = "https://lakeside.example/extension"
FLAG: dict[str, Any] = {"resourceType": "Flag", "status": "active", "code": CODE, "subject": PATIENT}
OBSERVATION: dict[str, Any] = {
    "resourceType": "Observation",
    "status": "final",
    "code": CODE,
    "subject": PATIENT,
    "effectiveDateTime": "2026-03-02",
    "performer": [{"reference": "Practitioner/1"}],
}
LIST: dict[str, Any] = {"resourceType": "List", "status": "current", "mode": "changes", "title": "Seen again"}
EVENTS: dict[str, dict[str, Any]] = {
    "R4": {
        "resourceType": "AuditEvent",
        "type": {"system": "http://dicom.nema.org/resources/ontology/DCM", "code": "110106"},
        "action": "R",
        "recorded": "2026-03-02T10:00:00Z",
        "outcome": "0",
        "agent": [{"requestor": True, "who": {"display": "clinic"}, "network": {"address": "10.0.0.1", "type": "2"}}],
        "source": {"observer": {"display": "clinic"}},
    },
    "R5": {
        "resourceType": "AuditEvent",
        "code": CODE,
        "action": "R",
        "recorded": "2026-03-02T10:00:00Z",
        "agent": [{"requestor": True, "who": {"display": "clinic"}}],
        "source": {"observer": {"display": "clinic"}},
    },
}
EVENTS["R4B"] = EVENTS["R4"]
BOTH = ("R4", "R4B", "R5")
EARLIER = ("R4", "R4B")


class Case(NamedTuple):
    """One pair.

    Attributes:
        breaks: The key of the constraint, or what else the standard asks.
        good: What is well formed.
        bad: The same, broken.
        releases: Where.
    """

    breaks: str
    good: dict[str, Any]
    bad: dict[str, Any]
    releases: tuple[str, ...] = BOTH


def _extended(**value: Any) -> dict[str, Any]:
    return {**OBSERVATION, "extension": [{"url": URL, **value}]}


def _valued(**value: Any) -> dict[str, Any]:
    return {**OBSERVATION, **value}


_KILOGRAM = {"system": "http://unitsofmeasure.org", "code": "kg"}
_ENTRY = {"item": {"display": "a picture"}}
_DOCUMENT: dict[str, Any] = {"resourceType": "DocumentReference", "status": "current", "subject": PATIENT}


def _document(**attachment: Any) -> dict[str, Any]:
    return {**_DOCUMENT, "content": [{"attachment": attachment}]}


def _compared(reference: dict[str, Any]) -> dict[str, Any]:
    return _valued(valueQuantity={"value": 1}, referenceRange=[reference])


def _event(release: str, **changed: Any) -> dict[str, Any]:
    return {**EVENTS[release], **changed}


def _network(kind: str) -> dict[str, Any]:
    return _event("R4", agent=[{**EVENTS["R4"]["agent"][0], "network": {"address": "10.0.0.1", "type": kind}}])


BINDING, REFERENCE, TYPE = "required binding", "reference type", "data type"
CASES = (
    Case("att-1", _document(contentType="text/plain", data="eA=="), _document(data="eA==")),
    Case(
        "cpt-2",
        _extended(valueContactPoint={"system": "phone", "value": "1"}),
        _extended(valueContactPoint={"value": "1"}),
    ),
    Case(
        "ext-1",
        _extended(valueString="x"),
        _extended(valueString="x", extension=[{"url": URL, "valueString": "x"}]),
    ),
    Case("ext-1", _extended(extension=[{"url": URL, "valueString": "x"}]), _extended()),
    Case(
        "ext-1",
        {**OBSERVATION, "_effectiveDateTime": {"extension": [{"url": URL, "valueString": "x"}]}},
        {**OBSERVATION, "_effectiveDateTime": {"extension": [{"url": URL}]}},
    ),
    Case("lst-1", {**LIST, "entry": [_ENTRY]}, {**LIST, "entry": [_ENTRY], "emptyReason": {"text": "x"}}),
    Case(
        "lst-2",
        {**LIST, "entry": [{**_ENTRY, "deleted": True}]},
        {**LIST, "mode": "snapshot", "entry": [{**_ENTRY, "deleted": True}]},
        EARLIER,
    ),
    Case(
        "lst-3",
        {**LIST, "mode": "working", "entry": [{**_ENTRY, "date": "2026-03-02"}]},
        {**LIST, "entry": [{**_ENTRY, "date": "2026-03-02"}]},
        EARLIER,
    ),
    Case("obs-3", _compared({"text": "below 2"}), _compared({"type": {"text": "usual"}})),
    Case(
        "obs-6",
        _valued(dataAbsentReason={"text": "not asked"}),
        _valued(dataAbsentReason={"text": "not asked"}, valueString="x"),
    ),
    Case(
        "obs-7",
        _valued(valueString="x", component=[{"code": {"text": "other"}, "valueString": "x"}]),
        _valued(valueString="x", component=[{"code": CODE, "valueString": "x"}]),
    ),
    Case(
        "obs-8",
        _valued(bodySite={"text": "back"}),
        _valued(bodySite={"text": "back"}, bodyStructure={"reference": "BodyStructure/1"}),
        ("R5",),
    ),
    Case(
        "per-1",
        _extended(valuePeriod={"start": "2026-03-02", "end": "2026-03-02"}),
        _extended(valuePeriod={"start": "2026-03-03", "end": "2026-03-02"}),
    ),
    Case(
        "per-1",
        _extended(valuePeriod={"start": "2026-03-02T10:00:00+02:00", "end": "2026-03-02T08:00:00Z"}),
        _extended(valuePeriod={"start": "2026-03-02T08:00:01Z", "end": "2026-03-02T10:00:00+02:00"}),
    ),
    Case(
        "qty-3",
        _valued(valueQuantity={"value": 1, **_KILOGRAM}),
        _valued(valueQuantity={"value": 1, "code": "kg"}),
    ),
    Case(
        "rat-1",
        _valued(valueRatio={"numerator": {"value": 1}, "denominator": {"value": 2}}),
        _valued(valueRatio={"numerator": {"value": 1}}),
    ),
    Case("ref-1", _extended(valueReference={"display": "x"}), _extended(valueReference={"reference": "#x"})),
    Case(
        "ref-2",
        _extended(valueReference={"type": "Patient", "display": "x"}),
        _extended(valueReference={"type": "Patient"}),
        ("R5",),
    ),
    Case(
        "rng-2",
        _extended(valueRange={"low": {"value": 1, **_KILOGRAM}, "high": {"value": 1, **_KILOGRAM}}),
        _extended(valueRange={"low": {"value": 2, **_KILOGRAM}, "high": {"value": 1, **_KILOGRAM}}),
    ),
    Case(
        "sqty-1",
        _extended(valueRange={"low": {"value": 1}}),
        _extended(valueRange={"low": {"value": 1, "comparator": "<"}}),
    ),
    Case(
        "sev-1",
        _event("R4", entity=[{"what": {"display": "x"}, "name": "x"}]),
        _event("R4", entity=[{"what": {"display": "x"}, "name": "x", "query": "eA=="}]),
        EARLIER,
    ),
    Case(BINDING, _event("R4"), _event("R4", action="X"), EARLIER),
    Case(BINDING, _event("R5"), _event("R5", action="X"), ("R5",)),
    Case(BINDING, _event("R4", outcome="12"), _event("R4", outcome="16"), EARLIER),
    Case(BINDING, _event("R5", severity="notice"), _event("R5", severity="note"), ("R5",)),
    Case(BINDING, _network("5"), _network("6"), EARLIER),
    Case(BINDING, LIST, {**LIST, "mode": "change"}),
    Case(BINDING, {**LIST, "language": "de-AT"}, {**LIST, "language": "German!"}, ("R5",)),
    Case(
        BINDING,
        _valued(valueQuantity={"value": 1, "comparator": "<"}),
        _valued(valueQuantity={"value": 1, "comparator": "~"}),
    ),
    Case(
        BINDING,
        _extended(valueIdentifier={"value": "1", "use": "old"}),
        _extended(valueIdentifier={"value": "1", "use": "x"}),
    ),
    Case(
        BINDING,
        _extended(valueContactPoint={"system": "sms", "value": "1"}),
        _extended(valueContactPoint={"system": "post", "value": "1"}),
    ),
    Case(REFERENCE, {**LIST, "source": PATIENT}, {**LIST, "source": {"reference": "Flag/1"}}),
    Case(
        REFERENCE,
        {**LIST, "source": {"reference": "https://x.example/Device/1/_history/2"}},
        {**LIST, "source": {"reference": "https://x.example/Flag/1/_history/2"}},
    ),
)
#: The validator lets these pass: it has no list of the media types (RFC 6838).
HELD_TO_A_FORM = (
    Case(
        BINDING,
        _document(contentType="text/plain; charset=utf-8", url="https://lakeside.example/x"),
        _document(contentType="text", url="https://lakeside.example/x"),
    ),
)
#: What the standard allows and no plugin's resource may have: its constraints aren't looked at here.
NOT_TAKEN = (
    _extended(valueHumanName={"text": "x"}),
    _extended(valueTiming={"repeat": {"count": 1}}),
    _valued(effectiveTiming={"event": ["2026-03-02"]}),
)
