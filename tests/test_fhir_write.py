"""JSON and XML: the same content, the standard's order, exact numbers, nothing that markup can do."""

from __future__ import annotations

import importlib
import json
import re
from decimal import Decimal
from typing import Any, get_args

import pytest
from fhir_cases import FULL, KINDS, RELEASES, entry, objects, resources, reviewed
from hypothesis import given
from lxml import etree
from strategies import WHOLE_EXAMINATIONS, full_examinations, usual_examinations

from dermreport.fhir import to_fhir
from dermreport.fhir.narrative import escaped
from dermreport.fhir.write import PlainDecimal, exact, fresh, to_json, to_xml
from dermreport.issues import BuildError
from dermreport.reviews import review

FHIR = "{http://hl7.org/fhir}"
XHTML = "{http://www.w3.org/1999/xhtml}"


def text_of(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    return format(value, "f") if isinstance(value, Decimal) else str(value)


def from_json(value: dict[str, Any]) -> dict[str, list[Any]]:
    """Return an object of FHIR's JSON as names and lists of texts and objects."""
    made: dict[str, list[Any]] = {}
    for name, item in value.items():
        if name == "resourceType":
            continue
        items = item if isinstance(item, list) else [item]
        if name.startswith("_"):
            primitive = made.setdefault(name[1:], [{}])[0]
            primitive |= {"extension": [from_json(one) for one in items[0]["extension"]]}
        elif name == "div":
            made[name] = [etree.tostring(etree.fromstring(item), method="c14n")]
        else:
            made[name] = [one_of_json(one) for one in items]
    return made


def one_of_json(value: Any) -> Any:
    if not isinstance(value, dict):
        return {"value": text_of(value)}
    if "resourceType" in value:
        return {value["resourceType"]: from_json(value)}
    return from_json(value)


def from_xml(element: etree._Element) -> dict[str, list[Any]]:
    """Return an element of FHIR's XML in the same form."""
    made: dict[str, list[Any]] = {name: [{"value": value}] for name, value in element.attrib.items()}
    for child in element:
        name = etree.QName(child).localname
        made.setdefault(name, []).append(one_of_xml(child, name))
    return made


def one_of_xml(child: etree._Element, name: str) -> Any:
    if child.tag == f"{XHTML}div":
        # Written and read again: a tree's part carries the namespaces of what is around it.
        return etree.tostring(etree.fromstring(etree.tostring(child)), method="c14n")
    if name in {"resource", "contained"}:
        (resource,) = child
        return {etree.QName(resource).localname: from_xml(resource)}
    if "value" in child.attrib:
        value = {"value": child.attrib["value"]}
        return value | ({"extension": [from_xml(one) for one in child]} if len(child) else {})
    return from_xml(child)


def parsed(xml: str) -> etree._Element:
    return etree.fromstring(xml.encode(), etree.XMLParser(resolve_entities=False, no_network=True))


def assert_same(bundle: Any) -> None:
    root = parsed(bundle.to_xml())
    assert root.tag == f"{FHIR}Bundle"
    written = json.loads(bundle.to_json(), parse_float=Decimal)
    # Compared entry by entry, and as truth values: the difference of two whole bundles is no reading.
    of_xml, of_json = from_xml(root), from_json(written)
    for one, other in zip(of_xml.pop("entry"), of_json.pop("entry"), strict=True):
        assert first_difference(one, other) == ""
    assert first_difference(of_xml, of_json) == ""
    assert (written == bundle.to_dict()) is True


def first_difference(one: Any, other: Any, where: str = "") -> str:
    """Return where two values differ first, as text; empty where they don't."""
    if isinstance(one, dict) and isinstance(other, dict) and one.keys() == other.keys():
        return next(filter(None, (first_difference(one[name], other[name], f"{where}.{name}") for name in one)), "")
    if isinstance(one, list) and isinstance(other, list) and len(one) == len(other):
        pairs = enumerate(zip(one, other, strict=True))
        return next(filter(None, (first_difference(*pair, f"{where}[{place}]") for place, pair in pairs)), "")
    return "" if one == other else f"{where}: {one!r} {other!r}"


@pytest.mark.parametrize("release", RELEASES)
@pytest.mark.parametrize("kind", KINDS)
def test_xml_and_json_hold_the_same(release: str, kind: str) -> None:
    assert_same(to_fhir(reviewed(), release=release).bundle(kind))


@WHOLE_EXAMINATIONS
@given(full_examinations())
def test_xml_and_json_hold_the_same_of_any_examination(examination: Any) -> None:
    found = review(examination)
    for release in ("R4", "R5"):
        report = to_fhir(found, release=release)
        assert_same(report.bundle("transaction"))
        assert_same(report.bundle("document"))


def test_the_comparison_sees_a_difference() -> None:
    bundle = to_fhir(reviewed()).bundle("collection")
    changed = bundle.to_xml().replace('value="8.5"', 'value="8.50"')
    assert changed != bundle.to_xml()
    assert first_difference(from_xml(parsed(changed)), from_json(bundle.to_dict())) != ""


def model_of(annotation: Any) -> Any:
    """Return the class of ``fhir.resources`` inside an annotation, or ``None`` for a primitive."""
    if hasattr(annotation, "get_model_klass"):
        return annotation.get_model_klass()
    return next((found for found in map(model_of, get_args(annotation)) if found is not None), None)


def assert_order(value: dict[str, Any], model: Any, where: str) -> None:
    order = {name: rank for rank, name in enumerate(["resourceType", *model.elements_sequence()])}
    names = [name.removeprefix("_") for name in value]
    # An extension's url is an attribute in XML, so it has no place in the order.
    ranks = [order[name] for name in names if not (name == "url" and model.__name__ == "Extension")]
    assert ranks == sorted(ranks), f"{where}: {names}"
    aliases = {field.alias or name: field for name, field in model.model_fields.items()}
    for name, item in value.items():
        inner = model_of(aliases[name].annotation) if not name.startswith("_") and name in aliases else None
        for one in item if isinstance(item, list) else [item]:
            if isinstance(one, dict) and "resourceType" in one:
                assert_order(one, class_of(one, model.__module__.rpartition(".")[0]), one["resourceType"])
            elif isinstance(one, dict) and inner is not None:
                assert_order(one, inner, f"{where}.{name}")


def class_of(resource: dict[str, Any], package: str) -> Any:
    kind = resource["resourceType"]
    return getattr(importlib.import_module(f"{package}.{kind.lower()}"), kind)


@pytest.mark.parametrize(("release", "package"), [("R4", "fhir.resources.R4B"), ("R5", "fhir.resources")])
@pytest.mark.parametrize("kind", KINDS)
def test_elements_stand_in_the_order_of_the_standard(release: str, package: str, kind: str) -> None:
    bundle = to_fhir(reviewed(), release=release).bundle(kind).to_dict()
    assert_order(bundle, class_of(bundle, package), "Bundle")


@pytest.mark.parametrize(("release", "package"), [("R4", "fhir.resources.R4B"), ("R5", "fhir.resources")])
def test_the_outcome_stands_in_the_order_of_the_standard(release: str, package: str) -> None:
    outcome = to_fhir(reviewed(), release=release).outcome()
    model = class_of(outcome, package)
    assert_order(outcome, model, "OperationOutcome")
    model.model_validate(outcome)


@pytest.mark.parametrize("release", RELEASES)
@pytest.mark.parametrize("kind", KINDS)
def test_every_resource_is_one_of_fhir_resources(release: str, kind: str) -> None:
    typed = to_fhir(reviewed(), release=release).bundle(kind).typed()
    assert typed.type == kind
    assert len(typed.entry) == len(to_fhir(reviewed(), release=release).bundle(kind).to_dict()["entry"])


@WHOLE_EXAMINATIONS
@given(usual_examinations())
def test_any_examination_is_one_of_fhir_resources(examination: Any) -> None:
    found = review(examination)
    for release in ("R4B", "R5"):
        report = to_fhir(found, release=release)
        report.bundle("transaction").typed()
        try:
            document = report.bundle("document")
        except BuildError:
            assert examination.examiner is None or "T" not in (examination.recorded or examination.examined)
        else:
            document.typed()


# Numbers: FHIR R4 2.24.0.1, decimals: «the precision of the decimal value has significance».
@pytest.mark.parametrize(
    ("entered", "written"),
    [("6.0", "6.0"), ("4.50", "4.50"), ("0.00000001", "0.00000001"), ("1E-7", "0.0000001"), ("1E3", "1000")],
)
def test_numbers_keep_their_digits_and_have_no_exponent(entered: str, written: str) -> None:
    text = json.dumps(entry()).replace('"longest_mm": 8.5', f'"longest_mm": {entered}')
    from dermreport.examination.model import Examination

    report = to_fhir(review(Examination.from_json(text)))
    bundle = report.bundle("transaction")
    assert re.search(rf'"value":{re.escape(written)}[,}}]', bundle.to_json())
    assert f'<value value="{written}"/>' in bundle.to_xml()
    numbers = [one for each in objects(bundle.to_dict()) for one in each.values() if isinstance(one, Decimal)]
    assert Decimal(written) in numbers
    assert all(type(number) is Decimal for number in numbers)


def test_a_marked_decimal_is_an_ordinary_one_outside() -> None:
    marked = exact(Decimal("1E-9"))
    assert type(marked) is PlainDecimal
    assert type(fresh({"a": [marked]})["a"][0]) is Decimal
    assert to_json({"a": marked}) == '{"a":0.000000001}'
    assert exact(Decimal("0.000001")) is not marked


HOSTILE = "<script>alert(1)</script>\n\t\r\"quoted' & \u202ereversed\u2066 ]]> 漢 🙂"


@pytest.mark.parametrize("release", ["R4", "R5"])
def test_hostile_text_stays_text(release: str) -> None:
    findings = [dict(one, note=HOSTILE) for one in FULL["findings"]]
    assessment = FULL["assessment"] | {"words": HOSTILE}
    report = to_fhir(reviewed(findings=findings, assessment=assessment, note=HOSTILE), release=release)
    for kind in KINDS:
        bundle = report.bundle(kind)
        assert_same(bundle)
        for one in objects(bundle.to_dict()):
            if "div" in one:
                div = one["div"]
                assert "<script" not in div
                assert not set(div) & set("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
                allowed = {f"{XHTML}{name}" for name in ("div", "p", "ul", "li", "h1", "h2", "br")}
                assert {element.tag for element in etree.fromstring(div).iter()} <= allowed
        values = parsed(bundle.to_xml()).xpath("//*[local-name()='note']/*/@value")
        assert HOSTILE in values


def test_reordering_characters_are_shown_in_a_narrative() -> None:
    assert escaped("a\u202eb") == "a[U+202E]b"
    assert escaped("ג\u200fa") == "ג\u200fa"


def test_what_is_handed_out_shares_nothing() -> None:
    report = to_fhir(reviewed())
    before = report.bundle("collection").to_json()
    for handed in (report.resources, report.bundle("collection").to_dict(), report.outcome()):
        seen: set[int] = set()
        for one in objects(handed):
            assert id(one) not in seen
            seen.add(id(one))
        for one in list(objects(handed)):
            one.clear()
    assert report.bundle("collection").to_json() == before
    assert to_fhir(reviewed()).bundle("collection").to_json() == before


def test_lists_are_not_shared_either() -> None:
    made = resources()
    lists = [item for one in objects(made) for item in one.values() if isinstance(item, list)]
    assert len({id(item) for item in lists}) == len(lists)


def test_no_empty_value_anywhere() -> None:
    for release in RELEASES:
        for kind in KINDS:
            for one in objects(to_fhir(reviewed(), release=release).bundle(kind).to_dict()):
                assert one != {}
                assert all(value not in (None, "", [], {}) for value in one.values())


def test_xml_of_an_element_id_is_an_attribute() -> None:
    # https://hl7.org/fhir/R4/xml.html: ids of elements and urls of extensions are attributes, a resource's id is not.
    xml = to_xml({"resourceType": "Patient", "id": "p", "name": [{"id": "n", "family": "x"}]})
    root = parsed(xml)
    assert root.find(f"{FHIR}id").get("value") == "p"
    assert root.find(f"{FHIR}name").get("id") == "n"
