"""The items of the form: one for each field of the model, in the shape of the model, in the order of an examination."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, NamedTuple, get_args

import pytest

from dermreport.examination.base import Model, OtherCode
from dermreport.examination.model import Examination
from dermreport.form.labels import HELP, LABELS
from dermreport.form.layout import (
    FOR_THE_RECORD,
    ROOTS,
    WHO_AND_WHEN,
    ItemKind,
    by_link_id,
    checklist,
    fields_at_the_root,
    layout,
    tick,
    tick_reason,
    way,
)
from dermreport.form.questionnaire import questionnaire
from dermreport.vocabulary.structures import Structure
from dermreport.wording.items import ITEMS


class Declared(NamedTuple):
    """A field of the model: the class and name that it is declared under, and whether it can't be left out."""

    owner: str
    required: bool


def model_paths(model: type[Model] = Examination, path: str = "") -> Iterator[tuple[str, Declared]]:
    """Each field of the model by its path."""
    for name, field in model.model_fields.items():
        here = f"{path}.{name}".lstrip(".")
        yield here, Declared(f"{model.__name__}.{name}", field.is_required())
        for part in parts(field.annotation):
            yield from model_paths(part, here)


def parts(annotation: Any) -> list[type[Model]]:
    arguments = get_args(annotation)
    if arguments:
        return [one for argument in arguments for one in parts(argument)]
    is_part = isinstance(annotation, type) and issubclass(annotation, Model) and annotation is not OtherCode
    return [annotation] if is_part else []


PATHS = dict(model_paths())


def items(holder: dict[str, Any], outer: tuple[str, ...] = ()) -> Iterator[tuple[tuple[str, ...], dict[str, Any]]]:
    """Each item of a questionnaire with the linkIds that lead to it."""
    for item in holder.get("item", []):
        here = (*outer, item["linkId"])
        yield here, item
        yield from items(item, here)


def test_each_field_of_the_model_is_an_item_and_nothing_else_is() -> None:
    assert sorted(by_link_id()) == sorted(PATHS)
    assert len(layout()) == len(Examination.model_fields)


def test_a_label_or_explanation_is_of_a_field() -> None:
    owners = {declared.owner for declared in PATHS.values()}
    assert set(LABELS) <= owners
    assert set(HELP) <= owners


def test_the_order_is_that_of_an_examination() -> None:
    told = [name for name in ROOTS if name in Examination.model_fields]
    assert told.index("lesion") < told.index("views") < told.index("lists_gone_through") < told.index("findings")
    assert told.index("findings") < told.index("description") < told.index("assessment") < told.index("plan")
    first = [item.name for item in by_link_id()["views"].items][:2]
    assert first == ["light", "contact"]


def test_what_the_record_system_says_comes_last() -> None:
    assert ROOTS[-2:] == ("images", FOR_THE_RECORD)
    assert [item.name for item in fields_at_the_root(WHO_AND_WHEN)] == ["examined", "mode", "status"]
    assert fields_at_the_root("lesion") == ()


def test_a_part_that_says_nothing_without_its_first_answer_asks_it_first() -> None:
    groups = {path: item for path, item in by_link_id().items() if item.kind is ItemKind.GROUP}
    assert {path for path, item in groups.items() if item.lead is not None} >= {
        "views",
        "findings",
        "plan.actions",
        "lesion.nodes",
        "lesion.history.new",
    }
    for item in groups.values():
        assert item.lead is None or PATHS[item.lead.path].required
        # Nobody must type the name that a row has for programs before it says anything.
        assert item.items[0].name != "key"


def test_no_link_id_is_given_twice() -> None:
    link_ids = [item["linkId"] for _, item in items(questionnaire("R4"))]
    assert len(link_ids) == len(set(link_ids))
    # FHIR R4 and R5, Questionnaire.item.linkId: at most 255 characters.
    assert max(map(len, link_ids)) <= 255


@pytest.mark.parametrize("release", ["R4", "R4B", "R5"])
def test_the_way_to_a_field_is_that_of_the_form(release: str) -> None:
    ways = {item["linkId"]: path for path, item in items(questionnaire(release))}
    for path in PATHS:
        assert ways[path] == way(path)


def test_a_number_has_the_unit_that_its_observation_has() -> None:
    units = {
        f"{item.path}.{part.field}".lstrip("."): part.unit.ucum
        for item in ITEMS
        for part in (*item.parts, *([item] if item.value else []))
        if hasattr(part, "field")
    }
    measured = {path: item.unit.ucum for path, item in by_link_id().items() if item.unit is not None}
    assert measured.pop("images.size_bytes") == "By"
    assert measured.pop("background.age_years") == "a"
    assert measured == {path: units[path] for path in measured}
    # Codes of UCUM (https://ucum.org), from memory.
    assert set(measured.values()) == {"mm", "%", "d"}


def test_a_size_is_a_quantity_and_a_count_is_a_whole_number() -> None:
    kinds = {path: item.kind for path, item in by_link_id().items()}
    assert {kinds[path] for path in kinds if path.endswith("_mm")} == {ItemKind.QUANTITY}
    assert kinds["findings.area_percent"] is ItemKind.QUANTITY
    assert kinds["findings.count"] is kinds["description.border_segments"] is ItemKind.INTEGER
    assert kinds["images.size_bytes"] is ItemKind.DECIMAL


def test_each_structure_is_on_the_checklist_once() -> None:
    ticked = [structure for _, structures in checklist() for structure in structures]
    assert sorted(ticked) == sorted(Structure)
    assert not {tick(one) for one in Structure} & set(by_link_id())
    assert not {tick_reason(one) for one in Structure} & set(by_link_id())
