"""What an entry states, item by item: one row says which field it is, what it is about, and in which unit.

Sentences and FHIR Observations are both made from these rows, so that a new field of the model is one row. A test
finds a field of the model that no row and no resource carries.
"""

from __future__ import annotations

from enum import StrEnum
from functools import cache
from typing import TYPE_CHECKING, Any, NamedTuple

from msgspec import Struct

from dermreport.vocabulary.attributes import Attribute

if TYPE_CHECKING:
    from dermreport.examination.model import Examination


class Kind(StrEnum):
    """What kind of value a field holds."""

    CODE = "code"
    TEXT = "text"
    TIME = "time"
    NUMBER = "number"
    TRUTH = "truth"


class Unit(NamedTuple):
    """A unit: in words, as FHIR shows it, and its UCUM code."""

    words: str
    shown: str
    ucum: str


MILLIMETRES = Unit(" mm", "mm", "mm")
YEARS = Unit(" years", "years", "a")
DAYS = Unit(" days", "days", "d")
PER_CENT = Unit(" %", "%", "%")
TIMES = Unit("×", "times", "1")
COUNT = Unit("", "count", "1")
SEGMENTS = Unit(" of 8", "segments", "1")
SHARE = Unit("", "share", "1")
RANK = Unit("", "rank", "1")


class Part(Struct, frozen=True, eq=False):
    """One detail of an item; a list gives one detail for each of its members.

    Attributes:
        field: The field of the item's object.
        attribute: What it is about.
        kind: What kind of value it holds.
        unit: Unit of a number.
    """

    field: str
    attribute: Attribute
    kind: Kind = Kind.CODE
    unit: Unit = COUNT


class Item(Struct, frozen=True, eq=False):
    """One thing that an entry can state.

    Attributes:
        path: Where its object is in the examination; ``""`` is the examination itself.
        group: The panel that it belongs to: findings, history or assessment.
        attribute: What it is about.
        value: The object's field that is the answer; ``""`` where there are only details.
        kind: What kind of value the answer is.
        unit: Unit of a number.
        parts: Details.
        note: The object's field with words on it, ``""`` where there is none.
        each: Whether the path leads to a list, each of whose members is one item.
        private: Whether its words tell how to reach the patient: they stay out of every narrative.
    """

    path: str
    group: Attribute
    attribute: Attribute
    value: str = ""
    kind: Kind = Kind.CODE
    unit: Unit = COUNT
    parts: tuple[Part, ...] = ()
    note: str = ""
    each: bool = False
    private: bool = False

    @property
    def key(self) -> str:
        """What the item is known by: the code of its attribute, which no other item has."""
        return str.__str__(self.attribute)

    @property
    def fields(self) -> tuple[str, ...]:
        """Paths of the model's fields that this row carries."""
        names = (self.value, *(part.field for part in self.parts), self.note)
        return tuple(f"{self.path}.{name}".lstrip(".") for name in names if name)


_F, _H, _A = Attribute.FINDINGS, Attribute.HISTORY, Attribute.ASSESSMENT


def _code(path: str, group: Attribute, attribute: Attribute) -> Item:
    """Return the row of one coded field."""
    parent, _, field = path.rpartition(".")
    return Item(parent, group, attribute, field)


def _text(path: str, group: Attribute, attribute: Attribute) -> Item:
    """Return the row of one field in words."""
    parent, _, field = path.rpartition(".")
    return Item(parent, group, attribute, field, Kind.TEXT)


def _number(path: str, group: Attribute, attribute: Attribute, unit: Unit) -> Item:
    """Return the row of one number."""
    parent, _, field = path.rpartition(".")
    return Item(parent, group, attribute, field, Kind.NUMBER, unit)


_AXIS = (
    Part("contour", Attribute.ASYMMETRY_CONTOUR),
    Part("colour", Attribute.ASYMMETRY_COLOUR),
    Part("structure", Attribute.ASYMMETRY_STRUCTURE),
)
_HISTORY_ANSWER = (
    Part("known_by", Attribute.KNOWN_BY),
    Part("since", Attribute.SINCE, Kind.TIME),
    Part("for_days", Attribute.FOR_DAYS, Kind.NUMBER, DAYS),
)


def _answer(field: str, attribute: Attribute) -> Item:
    """Return the row of one answer of the lesion's history."""
    return Item(f"lesion.history.{field}", _H, attribute, "answer", parts=_HISTORY_ANSWER, note="note")


VIEW = Item(
    "views",
    _F,
    Attribute.VIEW,
    "light",
    parts=(
        Part("contact", Attribute.CONTACT),
        Part("immersion", Attribute.MEDIUM),
        Part("pressure", Attribute.PRESSURE),
        Part("magnification", Attribute.MAGNIFICATION, Kind.NUMBER, TIMES),
        Part("equipment", Attribute.EQUIPMENT, Kind.TEXT),
        Part("taken", Attribute.TAKEN, Kind.TIME),
        Part("covers", Attribute.COVERAGE),
        Part("limits", Attribute.VIEW_LIMIT),
        Part("field_of_view_mm", Attribute.FIELD_OF_VIEW, Kind.NUMBER, MILLIMETRES),
    ),
    note="note",
    each=True,
)
FINDING = Item(
    "findings",
    _F,
    Attribute.FINDING,
    "presence",
    parts=(
        Part("not_assessed_because", Attribute.NOT_ASSESSED_BECAUSE),
        Part("place", Attribute.PLACE),
        Part("distribution", Attribute.DISTRIBUTION),
        Part("regularity", Attribute.REGULARITY),
        Part("colours", Attribute.COLOUR),
        Part("count", Attribute.COUNT, Kind.NUMBER, COUNT),
        Part("area_percent", Attribute.AREA, Kind.NUMBER, PER_CENT),
        Part("size_mm", Attribute.STRUCTURE_SIZE, Kind.NUMBER, MILLIMETRES),
    ),
    note="note",
    each=True,
)
BEDSIDE_TEST = Item("lesion.bedside_tests", _F, Attribute.BEDSIDE_TEST, "positive", note="note", each=True)
EARLIER_SKIN_CANCER = Item(
    "background.earlier_skin_cancers",
    _H,
    Attribute.EARLIER_SKIN_CANCER,
    "kind",
    parts=(Part("year", Attribute.CANCER_YEAR, Kind.TIME), Part("site", Attribute.SITE)),
    note="note",
    each=True,
)
IMPRESSION = Item(
    "assessment.impressions",
    _A,
    Attribute.IMPRESSION,
    "impression",
    parts=(Part("certainty", Attribute.CERTAINTY),),
    note="note",
    each=True,
)
OUTCOME = Item(
    "outcomes",
    _A,
    Attribute.OUTCOME,
    "kind",
    parts=(
        Part("result", Attribute.HISTOLOGY_RESULT),
        Part("specimen", Attribute.SPECIMEN_EXTENT),
        Part("thickness_mm", Attribute.TUMOUR_THICKNESS, Kind.NUMBER, MILLIMETRES),
        Part("change", Attribute.CHANGE_SEEN),
        Part("days_since_baseline", Attribute.DAYS_SINCE_BASELINE, Kind.NUMBER, DAYS),
        Part("agreement", Attribute.AGREEMENT),
        Part("laboratory_reference", Attribute.LABORATORY_REFERENCE, Kind.TEXT),
        Part("patient_informed", Attribute.PATIENT_INFORMED),
    ),
    note="text",
    each=True,
)

#: Items of which an entry has one each, in the order in which they are told.
SINGLE: tuple[Item, ...] = (
    Item(
        "lesion",
        _F,
        Attribute.SITE,
        "site",
        parts=(
            Part("side", Attribute.SIDE),
            Part("site_detail", Attribute.SITE_DETAIL, Kind.TEXT),
            Part("label", Attribute.LESION_LABEL, Kind.TEXT),
        ),
    ),
    Item(
        "lesion.map_point",
        _F,
        Attribute.MAP_POINT,
        "map",
        parts=(
            Part("x", Attribute.MAP_X, Kind.NUMBER, SHARE),
            Part("y", Attribute.MAP_Y, Kind.NUMBER, SHARE),
        ),
    ),
    Item(
        "lesion",
        _F,
        Attribute.LESION_SIZE,
        parts=(
            Part("longest_mm", Attribute.LONGEST_DIAMETER, Kind.NUMBER, MILLIMETRES),
            Part("crosswise_mm", Attribute.CROSSWISE_DIAMETER, Kind.NUMBER, MILLIMETRES),
        ),
    ),
    _code("lesion.in_scar", _F, Attribute.IN_SCAR),
    _code("lesion.elevation", _F, Attribute.ELEVATION),
    Item(
        "lesion.palpation",
        _F,
        Attribute.PALPATION,
        parts=(
            Part("consistency", Attribute.CONSISTENCY),
            Part("mobile", Attribute.MOBILE),
            Part("tender", Attribute.TENDER),
            Part("dimple", Attribute.DIMPLE),
            Part("blanches", Attribute.BLANCHES),
        ),
    ),
    _code("lesion.pigmentation", _F, Attribute.PIGMENTATION),
    _code("lesion.ulcerated", _F, Attribute.ULCERATED),
    _code("lesion.injured", _F, Attribute.INJURED),
    _code("lesion.satellites", _F, Attribute.SATELLITES),
    _code("lesion.irregular_shape", _F, Attribute.IRREGULAR_SHAPE),
    _code("lesion.irregular_colour", _F, Attribute.IRREGULAR_COLOUR),
    _code("lesion.compared_with_others", _F, Attribute.COMPARED_WITH_OTHERS),
    Item(
        "lesion.nodes",
        _F,
        Attribute.NODES,
        "state",
        parts=(
            Part("region", Attribute.NODE_REGION, Kind.TEXT),
            Part("size_mm", Attribute.NODE_SIZE, Kind.NUMBER, MILLIMETRES),
        ),
    ),
    Item("description.first_axis", _F, Attribute.ASYMMETRY_FIRST_AXIS, parts=_AXIS),
    Item("description.second_axis", _F, Attribute.ASYMMETRY_SECOND_AXIS, parts=_AXIS),
    _code("description.symmetric_all_axes", _F, Attribute.SYMMETRIC_ALL_AXES),
    _code("description.architecture", _F, Attribute.ARCHITECTURE),
    _number("description.border_segments", _F, Attribute.BORDER_SEGMENTS, SEGMENTS),
    Item(
        "description",
        _F,
        Attribute.LESION_COLOURS,
        parts=(Part("colours", Attribute.COLOUR), Part("doubtful_colours", Attribute.DOUBTFUL_COLOUR)),
    ),
    _code("description.white_paler_than_skin", _F, Attribute.WHITE_PALER_THAN_SKIN),
    _code("description.pattern", _F, Attribute.PATTERN),
    _code("description.step_one", _F, Attribute.STEP_ONE),
    _text("description.note", _F, Attribute.DESCRIPTION_NOTE),
    _code("mode", _H, Attribute.MODE),
    _answer("from_birth", Attribute.FROM_BIRTH),
    _answer("new", Attribute.NEW),
    _answer("growing", Attribute.GROWING),
    _answer("changed_colour", Attribute.CHANGED_COLOUR),
    _answer("changed_shape", Attribute.CHANGED_SHAPE),
    _answer("itching", Attribute.ITCHING),
    _answer("pain", Attribute.PAIN),
    _answer("inflamed", Attribute.INFLAMED),
    _answer("bleeding", Attribute.BLEEDING),
    _answer("treated_before", Attribute.TREATED_BEFORE),
    Item("lesion.history", _H, Attribute.LESION_SINCE, "since", Kind.TIME),
    _text("lesion.history.note", _H, Attribute.LESION_HISTORY_NOTE),
    _number("background.age_years", _H, Attribute.AGE, YEARS),
    _code("background.sex", _H, Attribute.SEX),
    _code("background.phototype", _H, Attribute.PHOTOTYPE),
    _code("background.had_skin_cancer", _H, Attribute.HAD_SKIN_CANCER),
    _code("background.family_melanoma", _H, Attribute.FAMILY_MELANOMA),
    _code("background.genetic_syndrome", _H, Attribute.GENETIC_SYNDROME),
    _code("background.naevi", _H, Attribute.NAEVI),
    _code("background.atypical_naevi", _H, Attribute.ATYPICAL_NAEVI),
    _code("background.sun_damage", _H, Attribute.SUN_DAMAGE),
    _code("background.sunbeds", _H, Attribute.SUNBEDS),
    _code("background.outdoor_work", _H, Attribute.OUTDOOR_WORK),
    _code("background.immune_suppression", _H, Attribute.IMMUNE_SUPPRESSION),
    _code("background.pregnancy", _H, Attribute.PREGNANCY),
    _code("background.blood_thinner", _H, Attribute.BLOOD_THINNER),
    _text("background.blood_thinner_name", _H, Attribute.BLOOD_THINNER_NAME),
    _code("background.implanted_device", _H, Attribute.IMPLANTED_DEVICE),
    _code("background.allergy", _H, Attribute.ALLERGY),
    _text("background.allergy_to", _H, Attribute.ALLERGY_TO),
    _code("background.skin_examined", _H, Attribute.SKIN_EXAMINED),
    _text("background.needs", _H, Attribute.NEEDS),
    Item("background", _H, Attribute.REACH_QUICKLY, "reach_quickly", Kind.TEXT, private=True),
    _text("background.note", _H, Attribute.BACKGROUND_NOTE),
    _code("assessment.concern", _A, Attribute.CONCERN),
    Item("assessment", _A, Attribute.UNEQUIVOCAL, "unequivocal", Kind.TRUTH),
    Item("assessment", _A, Attribute.METHOD_USED, parts=(Part("methods_used", Attribute.METHOD_USED),)),
    _text("assessment.words", _A, Attribute.ASSESSMENT_WORDS),
    Item("plan.patient_told", _A, Attribute.PATIENT_TOLD, "told", note="words"),
    _text("plan.for_pathologist", _A, Attribute.FOR_PATHOLOGIST),
    _text("plan.specimen_orientation", _A, Attribute.SPECIMEN_ORIENTATION),
    _text("plan.marked_area", _A, Attribute.MARKED_AREA),
    _text("plan.note", _A, Attribute.PLAN_NOTE),
    _text("note", _A, Attribute.EXAMINATION_NOTE),
)

#: Items of which an entry can have several.
SEVERAL: tuple[Item, ...] = (VIEW, FINDING, BEDSIDE_TEST, EARLIER_SKIN_CANCER, IMPRESSION, OUTCOME)

ITEMS: tuple[Item, ...] = (*SINGLE, *SEVERAL)


class Statement(NamedTuple):
    """What an entry states on one item.

    Attributes:
        item: The row.
        value: The answer, or ``None`` where there are only details.
        parts: Details in the order of the row, one for each member of a list.
        note: Words on it.
    """

    item: Item
    value: Any
    parts: tuple[tuple[Part, Any], ...]
    note: str | None


def statement(item: Item, source: Any) -> Statement | None:  # noqa: ANN401 - any part of an examination
    """Return what an object of the entry states on an item, or ``None`` where it states nothing."""
    value = getattr(source, item.value) if item.value else None
    parts = details(item, source) if item.parts else ()
    note = getattr(source, item.note) if item.note else None
    if value is None and not parts and note is None:
        return None
    return Statement(item, value, parts, note)


def details(item: Item, source: Any) -> tuple[tuple[Part, Any], ...]:  # noqa: ANN401 - any part of an examination
    """Return the details that an object of the entry gives on an item, lists taken apart."""
    found: list[tuple[Part, Any]] = []
    for part in item.parts:
        value = getattr(source, part.field)
        if value is None:
            continue
        if type(value) is tuple:
            found.extend((part, one) for one in value)
        else:
            found.append((part, value))
    return tuple(found)


@cache
def _by_object() -> tuple[tuple[tuple[str, ...], tuple[Item, ...]], ...]:
    """Return the single items by the object that they are read from, so that each path is walked once."""
    grouped: dict[str, list[Item]] = {}
    for item in SINGLE:
        grouped.setdefault(item.path, []).append(item)
    return tuple((tuple(path.split(".")) if path else (), tuple(items)) for path, items in grouped.items())


_PLACE = {item: position for position, item in enumerate(SINGLE)}


def statements(examination: Examination) -> list[Statement]:
    """Return what an entry states on the single items, in the order of the table."""
    found: list[Statement] = []
    for names, items in _by_object():
        source: Any = examination
        for name in names:
            source = getattr(source, name)
            if source is None:
                break
        else:
            for item in items:
                stated = statement(item, source)
                if stated is not None:
                    found.append(stated)
    found.sort(key=_place)
    return found


def _place(stated: Statement) -> int:
    return _PLACE[stated.item]


@cache
def attributes_of_paths() -> dict[str, tuple[Attribute, ...]]:
    """Return what the field at each path is about, for the fields that these rows carry: item, then detail."""
    about: dict[str, tuple[Attribute, ...]] = {}
    for item in ITEMS:
        if item.value:
            about[f"{item.path}.{item.value}".lstrip(".")] = (item.attribute,)
        for part in item.parts:
            about[f"{item.path}.{part.field}".lstrip(".")] = (item.attribute, part.attribute)
    return about


@cache
def names_of_paths() -> dict[str, str]:
    """Return what the field at each path is called, for the fields that these rows carry."""
    return {path: ", ".join(one.display for one in about) for path, about in attributes_of_paths().items()}
