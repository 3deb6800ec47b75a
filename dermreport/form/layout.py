"""Which items the form has: read from the model itself, so that a new field of it is a new item.

An item's linkId is the path of its field (``lesion.site``, ``views.light``), and a group stands for each part of the
model, so that answers and examination have the same shape. Beside these stand the checklist of structures, the hidden
items that say how the skin at the site is read, and the scores.

Times are asked as text: the date fields of form renderers hold whole days and no offset, a history often knows the
year, and an examination keeps a time as it was written. Addresses are asked as text too: form renderers differ in the
element into which they write an answer to an item of type ``url``. Numbers with a unit of measure are quantities, so
that an answer carries its unit; counts, years and days are whole numbers.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Final

from dermreport.examination.base import Model, OtherCode
from dermreport.examination.fields import classes_of
from dermreport.examination.model import Examination
from dermreport.examination.schema import json_schema
from dermreport.examination.types import MAX_SHORT, TEXT_PATTERN
from dermreport.form.labels import HELP, LABELS
from dermreport.vocabulary.attributes import Attribute
from dermreport.vocabulary.elements import Element
from dermreport.vocabulary.reading_styles import ReadingStyle
from dermreport.vocabulary.sites import Site
from dermreport.vocabulary.structures import Structure
from dermreport.vocabulary.term import Term
from dermreport.wording.items import ITEMS, Unit

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping


class ItemKind(StrEnum):
    """What kind of answer an item takes, in the words that all releases share."""

    GROUP = "group"
    CODE = "code"
    STRING = "string"
    TEXT = "text"
    DECIMAL = "decimal"
    INTEGER = "integer"
    QUANTITY = "quantity"
    BOOLEAN = "boolean"


@dataclass(frozen=True, slots=True)
class FormItem:
    """One item of the form: a field of the model, or a part of it.

    Attributes:
        path: Path of the field in the model, which is the item's linkId.
        name: The field's name.
        kind: What kind of answer it takes.
        label: What it is called.
        help: What is meant, ``""`` where the label says it.
        about: What the answer is about, where an Observation carries it.
        table: The vocabulary whose codes are its answers.
        other: Whether somebody else's code is an answer too.
        repeats: Whether it can have several answers, or a group can stand several times.
        required: Whether the model can't hold its part without it.
        asked: Whether the form asks for it wherever its group is filled.
        unit: Unit of a number.
        limits: Lowest and highest number, each ``None`` where there is none.
        longest: Most characters of a text.
        pattern: Form of a text, as a regular expression.
        written: Form of a text, as it is shown to a person.
        items: Items of a group, in the order of the form.
    """

    path: str
    name: str
    kind: ItemKind
    label: str
    help: str
    about: Attribute | None = None
    table: type[Term] | None = None
    other: bool = False
    repeats: bool = False
    required: bool = False
    asked: bool = False
    unit: Unit | None = None
    limits: tuple[int | None, int | None] = (None, None)
    longest: int | None = None
    pattern: str = ""
    written: str = ""
    items: tuple[FormItem, ...] = ()

    @property
    def held_empty(self) -> bool:
        """Whether the model holds a group without any answer: nothing in it is required."""
        return not any(item.required for item in self.items)

    @property
    def lead(self) -> FormItem | None:
        """The first item of a group, where the group says nothing without it: the others are asked once it is given."""
        first = self.items[0] if self.items else None
        return first if first is not None and first.required and first.kind is not ItemKind.GROUP else None


#: Group of what the examiner says of the examination itself; the model has these fields at its root.
WHO_AND_WHEN: Final = "who-and-when"
#: Group of what the record system says of it.
FOR_THE_RECORD: Final = "for-the-record"
#: Hidden group of the items that say how the skin at the site is read.
READING_STYLES: Final = "reading-styles"
#: Group of the structures to tick.
CHECKLIST: Final = "checklist"
#: Group of the published scores.
SCORES: Final = "scores"

#: What the groups are called that are no part of the model.
GROUP_LABELS: Final = MappingProxyType(
    {
        WHO_AND_WHEN: "Who and when",
        FOR_THE_RECORD: "For the record system",
        READING_STYLES: "How the skin at the site is read",
        CHECKLIST: "Structures",
        SCORES: "Published scores",
    }
)
#: The fields of these groups, in the order of the form.
AT_THE_ROOT: Final = MappingProxyType(
    {
        WHO_AND_WHEN: ("examined", "mode", "status"),
        FOR_THE_RECORD: ("identifier", "revision", "earlier", "order", "encounter", "organisation", "recorded"),
    }
)
#: The fields of a part that a form asks first or last; the others stand between, in the model's order.
_FIRST: Final = MappingProxyType(
    {
        "Patient": ("details",),
        "Examiner": ("details",),
        "Reference": ("display",),
        "Lesion": ("site", "side", "site_detail", "label", "identifier"),
        "View": ("light", "contact", "key"),
        "Finding": ("structure", "presence", "not_assessed_because"),
        "NamedImpression": ("impression", "certainty"),
        "Action": ("action", "urgency"),
        "Departure": ("departs_from", "reason"),
        "Outcome": ("kind", "date"),
        "Image": ("view", "role"),
    }
)
_LAST: Final = MappingProxyType(
    {
        "Lesion": ("nodes", "history", "bedside_tests"),
        "NamedImpression": ("key",),
        "Action": ("key",),
        "Departure": ("key",),
        "Outcome": ("key",),
        "Image": ("key",),
    }
)
#: Forms of a time, by the title of its type.
_WRITTEN: Final = MappingProxyType(
    {
        "PartialTime": "2026, 2026-03, 2026-03-04 or 2026-03-04T10:30:00+01:00",
        "DayTime": "2026-03-04 or 2026-03-04T10:30:00+01:00",
        "Instant": "2026-03-04T10:30:00+01:00",
    }
)
_BYTES: Final = Unit(" bytes", "bytes", "By")
#: Codes of units that measure nothing: a count, a share, how many times.
_UNMEASURED: Final = "1"
_LARGEST_INTEGER: Final = 2**31 - 1


@cache
def layout() -> tuple[FormItem, ...]:
    """Return the items of the examination's own fields, in the order of the form."""
    items = {item.name: item for item in _Items().of(Examination, "", asked=True)}
    return tuple(items[name] for root in ROOTS for name in AT_THE_ROOT.get(root, (root,)) if name in items)


#: LinkIds at the root of the form, in the order in which an examination is done.
ROOTS: Final = (
    WHO_AND_WHEN,
    "patient",
    "examiner",
    "background",
    "lesion",
    READING_STYLES,
    "views",
    "lists_gone_through",
    CHECKLIST,
    "findings",
    "description",
    SCORES,
    "assessment",
    "plan",
    "outcomes",
    "note",
    "images",
    FOR_THE_RECORD,
)


def fields_at_the_root(group: str) -> tuple[FormItem, ...]:
    """Return the items of a group whose fields the model has at its root; none for another group."""
    return tuple(by_link_id()[name] for name in AT_THE_ROOT.get(group, ()))


@cache
def by_link_id() -> Mapping[str, FormItem]:
    """Return the items of all fields by their linkId."""
    return MappingProxyType({item.path: item for root in layout() for item in _within(root)})


def help_id(link_id: str) -> str:
    """Return the linkId of the explanation of an item."""
    return f"{link_id}.help"


def way(path: str) -> tuple[str, ...]:
    """Return the linkIds that lead from the root of the form to the item of a field, its own included."""
    names = path.split(".")
    outer = tuple(group for group, fields in AT_THE_ROOT.items() if names[0] in fields)
    return (*outer, *(".".join(names[:length]) for length in range(1, len(names) + 1)))


def _within(item: FormItem) -> Iterator[FormItem]:
    yield item
    for inner in item.items:
        yield from _within(inner)


# --- The checklist, and how the skin at the site is read -------------------------------------------------------------


def checklist() -> tuple[tuple[Element, tuple[Structure, ...]], ...]:
    """Return the structures to tick, by the element that they are made of, in the order of the tables."""
    return tuple(
        (element, tuple(structure for structure in Structure if structure.element is element)) for element in Element
    )


def checklist_group(element: Element) -> str:
    """Return the linkId of the group of an element's structures."""
    return f"{CHECKLIST}.{element}"


def tick(structure: Structure) -> str:
    """Return the linkId of a structure on the checklist."""
    return f"findings.{structure}"


def tick_reason(structure: Structure) -> str:
    """Return the linkId of the question why a structure on the checklist was not assessed."""
    return f"{tick(structure)}.not_assessed_because"


def style_item(style: ReadingStyle) -> str:
    """Return the linkId of the hidden item that says whether structures of a reading style are asked."""
    return f"{READING_STYLES}.{style}"


def asked_styles(site: object) -> frozenset[ReadingStyle]:
    """Return the reading styles whose structures are asked at a site; all of them where the place is not known."""
    known = site.styles if isinstance(site, Site) else frozenset[ReadingStyle]()
    return known or frozenset(ReadingStyle)


# --- Fields of the model ---------------------------------------------------------------------------------------------


@cache
def _told() -> Mapping[str, tuple[Attribute, Unit]]:
    """Return what each field is about and its unit, by path, where an Observation carries it."""
    found: dict[str, tuple[Attribute, Unit]] = {}
    for item in ITEMS:
        here = f"{item.path}." if item.path else ""
        if item.value:
            found[f"{here}{item.value}"] = item.attribute, item.unit
        found.update({f"{here}{part.field}": (part.attribute, part.unit) for part in item.parts})
    return MappingProxyType(found)


class _Items:
    """Reads the items of a part from the model and from its JSON Schema."""

    def __init__(self) -> None:
        schema = json_schema(Examination)
        self._definitions: dict[str, dict[str, Any]] = {**schema["$defs"], Examination.__name__: schema}

    def of(self, model: type[Model], path: str, *, asked: bool) -> tuple[FormItem, ...]:
        """Return the items of a part's fields.

        Args:
            model: The part.
            path: Its path, ``""`` for the examination.
            asked: Whether a required field of it is asked: the part is there, or one row of a list.
        """
        return tuple(self._item(model, name, f"{path}.{name}".lstrip("."), asked) for name in _ordered(model))

    def _item(self, model: type[Model], name: str, path: str, asked: bool) -> FormItem:  # noqa: FBT001 - passed on
        field = model.model_fields[name]
        classes = classes_of(model, name)
        described = self._definitions[model.__name__]["properties"][name]
        owner = f"{model.__name__}.{name}"
        about, unit = _told().get(path, (None, None))
        repeats = "items" in described
        required = field.is_required()
        common: dict[str, Any] = {
            "path": path,
            "name": name,
            "label": LABELS[owner] if about is None else LABELS.get(owner) or _capitalised(about.display),
            "help": HELP.get(owner) or described.get("description", ""),
            "about": about,
            "repeats": repeats,
            "required": required,
        }
        part = next((one for one in classes if issubclass(one, Model) and one is not OtherCode), None)
        if part is not None:
            inner = self.of(part, path, asked=repeats or (asked and required))
            return FormItem(kind=ItemKind.GROUP, items=inner, **common)
        answer = self._answer(classes, described.get("items", described), unit)
        return FormItem(asked=asked and required and name != "key", **common, **answer)

    def _answer(self, classes: tuple[type, ...], described: dict[str, Any], unit: Unit | None) -> dict[str, Any]:
        """Return what an item says of its answers."""
        table = next((one for one in classes if issubclass(one, Term)), None)
        if table is not None:
            return {"kind": ItemKind.CODE, "table": table, "other": OtherCode in classes}
        if bool in classes:
            return {"kind": ItemKind.BOOLEAN}
        scalar = self._definitions[_references(described)[0]]
        if scalar["type"] == "string":
            return _text(scalar)
        return _number(scalar, _BYTES if scalar["title"] == "Bytes" else unit)


def _ordered(model: type[Model]) -> list[str]:
    """Return the names of a part's fields in the order of the form."""
    first, last = _FIRST.get(model.__name__, ()), _LAST.get(model.__name__, ())
    between = [name for name in model.model_fields if name not in {*first, *last}]
    return [*first, *between, *last]


def _references(described: dict[str, Any]) -> list[str]:
    """Return the names of the definitions that a schema refers to."""
    return [one["$ref"].rpartition("/")[2] for one in described.get("anyOf", [described]) if "$ref" in one]


def _text(scalar: dict[str, Any]) -> dict[str, Any]:
    longest = scalar["maxLength"]
    words = scalar["pattern"] == TEXT_PATTERN and longest > MAX_SHORT
    return {
        "kind": ItemKind.TEXT if words else ItemKind.STRING,
        "longest": longest,
        "pattern": scalar["pattern"],
        "written": _WRITTEN.get(scalar["title"], ""),
    }


def _number(scalar: dict[str, Any], unit: Unit | None) -> dict[str, Any]:
    lowest, highest = scalar.get("minimum", scalar.get("exclusiveMinimum")), scalar["maximum"]
    measured = unit if unit is not None and unit.ucum != _UNMEASURED else None
    if scalar["type"] == "integer":
        # The standard's integer has 31 bits; a file can be larger.
        kind = ItemKind.INTEGER if highest <= _LARGEST_INTEGER else ItemKind.DECIMAL
    else:
        kind = ItemKind.DECIMAL if measured is None else ItemKind.QUANTITY
    return {"kind": kind, "unit": measured, "limits": (lowest, highest)}


def _capitalised(text: str) -> str:
    return text[:1].upper() + text[1:]
