"""Nothing that was entered is lost: every field of the model has its place, and every leaf is found there."""

from __future__ import annotations

import base64
from decimal import Decimal
from typing import Any, get_args

import pytest
from fhir_cases import BASE, about, extensions, of_type, resources, scalars
from hypothesis import given
from strategies import WHOLE_EXAMINATIONS, examinations, full_examinations

from dermreport.examination.base import Model, OtherCode
from dermreport.examination.lesion import MapPoint
from dermreport.examination.model import Examination
from dermreport.examination.observed import ImageHash
from dermreport.examination.people import URN_SYSTEM, Identifier
from dermreport.fhir import to_fhir
from dermreport.fhir.codes import ABSENT_REASONS, TERMINOLOGY
from dermreport.fhir.extensions import Extension
from dermreport.fhir.places import PLACES
from dermreport.reviews import review
from dermreport.settings import Settings
from dermreport.vocabulary.attributes import Attribute
from dermreport.vocabulary.presences import Presence
from dermreport.vocabulary.term import Term, code_system
from dermreport.wording.items import ITEMS, SINGLE, Item, Kind, statement

#: Fields whose value is somebody's or something's whole: their own fields go with them.
WHOLES = (Identifier, OtherCode)


def inner_models(annotation: Any) -> list[type[Model]]:
    if isinstance(annotation, type) and issubclass(annotation, Model):
        return [annotation]
    return [found for argument in get_args(annotation) for found in inner_models(argument)]


def model_paths(model: type[Model] = Examination, path: str = "") -> set[str]:
    """Return the path of every field of the model that holds something itself."""
    from dermreport.examination.people import Reference

    paths = set()
    for name, field in model.model_fields.items():
        here = f"{path}.{name}".lstrip(".")
        inner = [found for found in inner_models(field.annotation) if found not in {*WHOLES, Reference}]
        if inner:
            for found in inner:
                paths |= model_paths(found, here)
        else:
            paths.add(here)
    return paths


CARRIED = {path for item in ITEMS for path in item.fields}


def test_every_field_of_the_model_has_its_place() -> None:
    assert model_paths() - CARRIED - set(PLACES) == set()


def test_every_place_is_of_a_field() -> None:
    assert (CARRIED | set(PLACES)) - model_paths() == set()
    assert CARRIED & set(PLACES) == set()


def test_a_new_field_is_found() -> None:
    class Grown(MapPoint):
        """A part of the model with one field more."""

        z: int = 0

    assert model_paths(Grown, "lesion.map_point") - CARRIED == {"lesion.map_point.z"}


def test_no_two_items_share_an_attribute() -> None:
    attributes = [item.attribute for item in ITEMS]
    assert len(set(attributes)) == len(attributes)


def test_every_attribute_is_used() -> None:
    used = {item.attribute for item in ITEMS} | {part.attribute for item in ITEMS for part in item.parts}
    beside = {
        Attribute.FINDINGS,
        Attribute.HISTORY,
        Attribute.ASSESSMENT,
        Attribute.LIGHT,
        Attribute.VIEW_KEY,
        Attribute.LIST_GONE_THROUGH,
        Attribute.RECORDED_ANSWER,
        Attribute.RECORDED_REASON,
        Attribute.SCORE_LOW,
        Attribute.SCORE_HIGH,
        Attribute.VERDICT,
        Attribute.CRITERION_MET,
        Attribute.CRITERION_OPEN,
        Attribute.WOULD_SETTLE,
        Attribute.RANK,
    }
    assert set(Attribute) - used - beside == set()


def leaves(value: Any, path: str = "") -> list[tuple[str, Any]]:
    """Return every entered leaf with its path in the model, without positions; wholes stay whole."""
    if isinstance(value, tuple):
        return [leaf for one in value for leaf in leaves(one, path)]
    if not isinstance(value, Model) or isinstance(value, WHOLES):
        return [] if value is None else [(path, value)]
    if isinstance(value, ImageHash):
        return [(path, value)]
    found = []
    for name in type(value).model_fields:
        found += leaves(getattr(value, name), f"{path}.{name}".lstrip("."))
    return found


class Sent:
    """What a bundle holds: scalars by the name of their member, codings and identifiers as pairs."""

    def __init__(self, made: Any) -> None:
        self.scalars = list(scalars(made))
        self.texts = {value for _, value in self.scalars if isinstance(value, str)}
        self.numbers = {format(value, "f") for _, value in self.scalars if isinstance(value, int | Decimal)}
        self.codings: set[tuple[str, str]] = set()
        self.identifiers: set[tuple[str, str]] = set()
        self._walk(made)

    def _walk(self, value: Any) -> None:
        if isinstance(value, dict):
            if "system" in value and "code" in value:
                self.codings.add((value["system"], value["code"]))
            elif "system" in value and "_code" in value:
                self.codings.add((value["system"], value["_code"]["extension"][0]["valueString"]))
            elif "system" in value and "value" in value:
                self.identifiers.add((value["system"], value["value"]))
            for item in value.values():
                self._walk(item)
        elif isinstance(value, list | tuple):
            for item in value:
                self._walk(item)

    def has(self, leaf: Any) -> bool:
        if isinstance(leaf, Term):
            return self._has_term(leaf)
        if isinstance(leaf, OtherCode):
            return (leaf.system, leaf.code) in self.codings and {leaf.display, leaf.version} - {None} <= self.texts
        if isinstance(leaf, Identifier):
            urn = f"urn:uuid:{leaf.value.removeprefix('urn:uuid:')}"
            return (leaf.system or URN_SYSTEM, leaf.value if leaf.system else urn) in self.identifiers
        if isinstance(leaf, ImageHash):
            encoded = base64.b64encode(bytes.fromhex(leaf.value)).decode()
            return not {leaf.value, encoded}.isdisjoint(self.texts)
        return self._has_plain(leaf)

    def _has_term(self, term: Term) -> bool:
        reason = ABSENT_REASONS.get(type(term), {}).get(term)
        absent = reason is not None and (f"{TERMINOLOGY}/data-absent-reason", reason) in self.codings
        return absent or (code_system(type(term)), term.value) in self.codings or term.value in self.texts

    def _has_plain(self, leaf: Any) -> bool:
        if isinstance(leaf, bool):
            return any(value is leaf for _, value in self.scalars)
        if isinstance(leaf, int | Decimal):
            return format(leaf, "f") in self.numbers or str(leaf) in self.texts
        return leaf in self.texts or f"urn:oid:{leaf}" in self.texts


def lost(examination: Examination, release: str, kind: str) -> list[str]:
    bundle = to_fhir(review(examination), release=release).bundle(kind).to_dict()
    sent = Sent(bundle)
    return [
        path
        for path, leaf in leaves(examination)
        # A key that exists is told by a reference to its resource, which has the key.
        if not (path in {"findings.views", "lists_gone_through.views", "images.view"} and leaf in _keys(examination))
        and not sent.has(leaf)
    ]


def _keys(examination: Examination) -> set[str]:
    return {view.key for view in examination.views}


@pytest.mark.parametrize("release", ["R4", "R5"])
@pytest.mark.parametrize("kind", ["transaction", "collection"])
@WHOLE_EXAMINATIONS
@given(examination=full_examinations())
def test_no_leaf_of_a_full_examination_is_lost(release: str, kind: str, examination: Examination) -> None:
    assert lost(examination, release, kind) == []


@pytest.mark.parametrize("release", ["R4", "R5"])
@WHOLE_EXAMINATIONS
@given(examination=examinations())
def test_no_leaf_of_any_examination_is_lost(release: str, examination: Examination) -> None:
    assert lost(examination, release, "collection") == []


@WHOLE_EXAMINATIONS
@given(examination=full_examinations())
def test_nothing_is_lost_without_snomed(examination: Examination) -> None:
    report = to_fhir(review(examination, Settings(snomed=False)))
    sent = Sent(report.bundle("collection").to_dict())
    views = {"findings.views", "lists_gone_through.views", "images.view"}
    assert [path for path, leaf in leaves(examination) if path not in views and not sent.has(leaf)] == []
    entered = {leaf.system for _, leaf in leaves(examination) if isinstance(leaf, OtherCode | Identifier)}
    assert "http://snomed.info/sct" not in {system for system, _ in sent.codings} - entered


def read_value(item_kind: Kind, element: dict[str, Any], table: Any) -> Any:
    """Read an answer back, as a later reader would."""
    if item_kind is Kind.CODE:
        if "dataAbsentReason" in element:
            reason = element["dataAbsentReason"]["coding"][0]["code"]
            return next(term for term, said in ABSENT_REASONS[type(table)].items() if said == reason)
        coding = element["valueCodeableConcept"]["coding"][0]
        if coding["system"].startswith(BASE):
            return type(table)(coding["code"])
        code = coding["code"] if "code" in coding else coding["_code"]["extension"][0]["valueString"]
        return OtherCode(
            **{"system": coding["system"], "code": code}
            | {name: coding[name] for name in ("display", "version") if name in coding}
        )
    if item_kind is Kind.NUMBER:
        return element["valueQuantity"]["value"]
    return element[{Kind.TEXT: "valueString", Kind.TIME: "valueDateTime", Kind.TRUTH: "valueBoolean"}[item_kind]]


def source_of(examination: Examination, item: Item) -> Any:
    value: Any = examination
    for name in item.path.split(".") if item.path else ():
        value = getattr(value, name, None)
    return value


@WHOLE_EXAMINATIONS
@given(examination=full_examinations())
def test_every_single_item_reads_back_exactly(examination: Examination) -> None:
    made = to_fhir(review(examination)).resources
    for item in SINGLE:
        stated = statement(item, source_of(examination, item))
        found = about(made, item.attribute.value)
        found = [one for one in found if one["code"]["coding"][0]["system"] == code_system(Attribute)]
        assert stated is not None
        (observation,) = found
        if stated.value is not None:
            assert str(read_value(item.kind, observation, stated.value)) == str(stated.value)
        assert [one["text"] for one in observation.get("note", ())] == ([stated.note] if stated.note else [])
        given_parts = [(part.attribute.value, str(value)) for part, value in stated.parts]
        read_parts = [
            (component["code"]["coding"][0]["code"], str(read_value(part.kind, component, value)))
            for component, (part, value) in zip(observation.get("component", ()), stated.parts, strict=True)
        ]
        assert read_parts == given_parts


def test_no_reason_stands_for_two_answers_of_one_table() -> None:
    for table, reasons in ABSENT_REASONS.items():
        assert len(set(reasons.values())) == len(reasons)
        assert all(type(term) is table for term in reasons)


def test_every_answer_called_unknown_is_a_reason() -> None:
    from dermreport.vocabulary.not_assessed_reasons import NotAssessedReason

    tables = {found for field in model_terms() for found in field}
    for table in tables - {NotAssessedReason}:
        for term in table:
            if term.value in {"unknown", "not-performed"}:
                assert term in ABSENT_REASONS[table], term
    assert Presence.UNCERTAIN not in ABSENT_REASONS[Presence]


def model_terms(model: type[Model] = Examination) -> list[list[type[Term]]]:
    def terms(annotation: Any) -> list[type[Term]]:
        if isinstance(annotation, type) and issubclass(annotation, Term):
            return [annotation]
        if isinstance(annotation, type) and issubclass(annotation, Model):
            return [found for field in model_terms(annotation) for found in field]
        return [found for argument in get_args(annotation) for found in terms(argument)]

    return [terms(field.annotation) for field in model.model_fields.values()]


@pytest.mark.parametrize("release", ["R4", "R5"])
def test_lists_come_back_in_the_order_of_the_entry(release: str) -> None:
    made = resources(release)
    report = next(one for one in made if one["resourceType"] == "DiagnosticReport")
    known = {f"urn:uuid:{one['id']}": one for one in made}

    def number(reference: dict[str, Any]) -> str:
        return known[reference["reference"]]["identifier"][0]["value"].removeprefix("e-1/")

    results = [number(one) for one in report["result"]]
    assert [one for one in results if one.startswith("impression")] == ["impression/a", "impression/b"]
    (panel,) = [one for one in about(made, "findings") if "hasMember" in one]
    members = [number(one) for one in panel["hasMember"]]
    assert [one for one in members if one.startswith("view/")] == ["view/v1", "view/v2", "view/v3"]
    findings = [one for one in members if one.startswith("finding/")]
    assert findings[:4] == [
        "finding/network-atypical",
        "finding/shiny-white-strands",
        "finding/blue-white-veil/central",
        "finding/vessels-dotted",
    ]
    assert [number(one["link"]) for one in report["media"]] == ["image/i1", "image/i2"]
    requests = of_type(made, "ServiceRequest")
    ranks = {one["identifier"][0]["value"]: extensions(one, "entry-rank")[0]["valuePositiveInt"] for one in requests}
    assert ranks == {"e-1/plan/p1": 1, "e-1/plan/p2": 2}


def test_every_extension_is_used() -> None:
    source = " ".join(path.read_text(encoding="utf-8") for path in _fhir_sources())
    unused = [one.name for one in Extension if f"Extension.{one.name}" not in source]
    assert unused == []


def _fhir_sources() -> list[Any]:
    from pathlib import Path

    import dermreport.fhir

    return [path for path in Path(dermreport.fhir.__file__).parent.glob("*.py") if path.name != "extensions.py"]
