"""Lines of profiles that the rows of the items imply: which value, in which unit, belongs to which attribute.

The rows write the Observations, the model says which table stands in which field; nothing of either is said again.
"""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Any, Final, NamedTuple, get_args, get_origin

from dermreport.examination.base import Model, OtherCode
from dermreport.examination.fields import classes_of
from dermreport.examination.model import Examination
from dermreport.fhir.codes import ABSENT_REASONS, TERMINOLOGY
from dermreport.profiles.structures.element import Element, Fixed, Invariant, Slicing
from dermreport.publication import CANONICAL_BASE
from dermreport.vocabulary.attributes import Attribute
from dermreport.vocabulary.standard_codes import UCUM
from dermreport.vocabulary.term import Term, code_system, table_id
from dermreport.wording.items import COUNT, SINGLE, Item, Kind, Part, Unit

if TYPE_CHECKING:
    from collections.abc import Iterable

#: What every code system of ours begins with.
OURS: Final = f"{CANONICAL_BASE}/CodeSystem/"
ABSENT_REASON_SYSTEM: Final = f"{TERMINOLOGY}/data-absent-reason"

_TYPES: Final = {
    Kind.CODE: "CodeableConcept",
    Kind.TEXT: "string",
    Kind.TIME: "dateTime",
    Kind.NUMBER: "Quantity",
    Kind.TRUTH: "boolean",
}
_UNIT_WORDS: Final = "a quantity in UCUM’s unit {}"


class Held(NamedTuple):
    """What a field of the model can hold.

    Attributes:
        kind: What kind of value.
        unit: Unit of a number.
        table: The table of its codes, or ``None``.
        other: Whether somebody else's code may stand there.
        many: Whether it is a list.
        required: Whether its object can't be without it.
        reasons: Codes of FHIR's reasons that stand for some of its answers.
    """

    kind: Kind = Kind.CODE
    unit: Unit = COUNT
    table: type[Term] | None = None
    other: bool = False
    many: bool = False
    required: bool = False
    reasons: tuple[str, ...] = ()


def _is_list(annotation: Any) -> bool:  # noqa: ANN401 - any annotation
    return get_origin(annotation) is tuple or any(map(_is_list, get_args(annotation)))


@cache
def held(path: str, name: str, kind: Kind = Kind.CODE, unit: Unit = COUNT) -> Held:
    """Return what a field of the object at a path of the examination can hold."""
    owner: type[Model] = Examination
    for step in filter(None, path.split(".")):
        owner = next(one for one in classes_of(owner, step) if issubclass(one, Model))
    found = classes_of(owner, name)
    table = next((one for one in found if issubclass(one, Term)), None)
    reasons = ABSENT_REASONS.get(table, {})
    return Held(
        kind=kind,
        unit=unit,
        table=table,
        other=OtherCode in found,
        many=_is_list(owner.model_fields[name].annotation),
        required=owner.model_fields[name].is_required(),
        reasons=tuple(dict.fromkeys(reasons.values())),
    )


def held_by(item: Item, part: Part) -> Held:
    """Return what a detail of an item can hold."""
    return held(item.path, part.field, part.kind, part.unit)


def answer_of(item: Item) -> Held:
    """Return what the answer of an item can be."""
    return held(item.path, item.value, item.kind, item.unit)


def concept(term: Term) -> Fixed:
    """Return the pattern of a concept that has our code of a term."""
    coding = {"system": code_system(type(term)), "code": term.value}
    return Fixed("pattern", "CodeableConcept", {"coding": [coding]}, f"our code `{term.value}` ({term.display})")


def quantity(unit: Unit) -> Fixed:
    """Return the pattern of a quantity in a unit."""
    return Fixed("pattern", "Quantity", {"system": UCUM, "code": unit.ucum}, _UNIT_WORDS.format(f"`{unit.ucum}`"))


def coded(number: int, path: str, table: type[Term], *, other: bool, family: str = "") -> list[Element]:
    """Return the lines of a coded element below its own: which table its codes come from.

    Where somebody else's codes may stand there, ours are told apart by their system; where not, the whole concept is
    bound, and the ValueSet lists the standard codes that are sent beside ours.
    """
    if not other:
        return []
    bound = table_id(table)
    rule = own_table(table, "coding.where({})")
    ours = f"{path}.coding:ours"
    system = Fixed("pattern", "uri", code_system(table), f"`{code_system(table)}`")
    return [
        Element(number, path, rules=(rule,), family=family),
        Element(number, f"{path}.coding", slicing=Slicing("value", "system"), supported=False, family=family),
        Element(number, ours, f"our code, of the table `{bound}`", high=1, value_set=bound, family=family),
        Element(number, f"{ours}.system", low=1, fixed=system, family=family),
    ]


def own_table(table: type[Term], where: str = "where({})") -> Invariant:
    """Return the condition that a code of ours is one of a table, where somebody else's may stand too.

    Args:
        table: The table.
        where: FHIRPath of the codings that meet a condition, which stands for ``{}``.
    """
    identity = table_id(table)
    ours = where.format(f"system.startsWith('{OURS}')")
    return Invariant(
        f"own-{identity}",
        f"A code of ours SHALL be one of the table `{identity}`.",
        f"{ours}.all(system = '{code_system(table)}')",
    )


def answer(number: int, path: str, what: Held, family: str = "") -> list[Element]:
    """Return the lines of ``value[x]`` and ``dataAbsentReason`` below a path: ``""``, or a component with a dot."""
    optional = bool(what.reasons)
    plain = what.table is not None and not what.other
    lines = [
        Element(
            number,
            f"{path}value[x]",
            "the answer",
            low=None if optional else 1,
            types=(_TYPES[what.kind],),
            fixed=quantity(what.unit) if what.kind is Kind.NUMBER else None,
            value_set=table_id(what.table) if plain and what.table is not None else "",
            family=family,
        )
    ]
    if what.table is not None:
        lines += coded(number, f"{path}value[x]", what.table, other=what.other, family=family)
    reason = Element(number, f"{path}dataAbsentReason", high=0, supported=False, family=family)
    if optional:
        reason = Element(number, f"{path}dataAbsentReason", "why there is no answer", family=family)
    return [*lines, reason]


def components(number: int, item: Item) -> list[Element]:
    """Return one slice of ``component`` for each detail of an item."""
    return [line for part in item.parts for line in component(number, part.attribute, held_by(item, part))]


def component(number: int, attribute: Attribute, what: Held, *, low: int | None = None) -> list[Element]:
    """Return one slice of ``component``."""
    name = attribute.value
    path = f"component:{name}"
    rules: tuple[Invariant, ...] = ()
    if what.reasons:
        rules = (either(f"{name}-said", f"A component `{name}` SHALL have a value, or the reason why there is none."),)
    return [
        Element(number, path, attribute.definition, low, None if what.many else 1, rules=rules, family=name),
        Element(number, f"{path}.code", attribute.display, fixed=concept(attribute), family=name),
        *answer(number, f"{path}.", what, name),
    ]


def either(key: str, human: str) -> Invariant:
    """Return the condition that there is an answer or a reason."""
    return Invariant(key, human, "value.exists() or dataAbsentReason.exists()")


# Statements: one profile for all of them, so a condition for each says which answer belongs to which attribute.


def coded_as(term: Term) -> str:
    """Return FHIRPath on a coding: that it is our code of a term."""
    return f"system = '{code_system(type(term))}' and code = '{term.value}'"


def about(attribute: Attribute) -> str:
    """Return FHIRPath: that an Observation or a component is about an attribute."""
    return f"code.coding.where({coded_as(attribute)}).exists()"


def says(what: Held) -> str:
    """Return FHIRPath on a value and its reason: that they are what a field holds."""
    if what.kind is Kind.NUMBER:
        return f"value.ofType(Quantity).where(system = '{UCUM}' and code = '{what.unit.ucum}').exists()"
    if what.table is None:
        return f"value.ofType({_TYPES[what.kind]}).exists()"
    system = code_system(what.table)
    codings = "value.ofType(CodeableConcept).coding"
    said = f"{codings}.where(system = '{system}').exists()"
    if what.other:
        # Somebody else's code may stand here by itself, a code of another table of ours may not.
        foreign = f"{codings}.where(system.startsWith('{OURS}')).all(system = '{system}')"
        said = f"(value.ofType(CodeableConcept).exists() and {foreign})"
    if not what.reasons:
        return said
    named = " or ".join(f"code = '{reason}'" for reason in what.reasons)
    return f"({said} or dataAbsentReason.coding.where(system = '{ABSENT_REASON_SYSTEM}' and ({named})).exists())"


def _details(item: Item) -> Iterable[str]:
    if not item.parts:
        yield "component.empty()"
        return
    each = (f"({about(part.attribute)} and {says(held_by(item, part))})" for part in item.parts)
    yield f"component.all({' or '.join(each)})"
    for part in item.parts:
        if not held_by(item, part).many:
            yield f"component.where({about(part.attribute)}).count() <= 1"


_NO_ANSWER: Final = "(value.empty() and dataAbsentReason.empty())"


def _answered(item: Item) -> Iterable[str]:
    """Return FHIRPath on the answer of an item, and that it states something at all."""
    if not item.value:
        yield _NO_ANSWER
        yield "(component.exists() or note.exists())" if item.note else "component.exists()"
        return
    what = answer_of(item)
    said = says(what)
    alone = not item.parts and not item.note
    if what.required or alone:
        yield said
        return
    yield f"({_NO_ANSWER} or {said})"
    others = [name for name, has in (("component", item.parts), ("note", item.note)) if has]
    yield f"(value.exists() or dataAbsentReason.exists() or {' or '.join(f'{name}.exists()' for name in others)})"


def _words(what: Held) -> str:
    if what.table is not None:
        table = f"a code of the table `{table_id(what.table)}`"
        return f"{table} or somebody else’s code" if what.other else table
    if what.kind is Kind.NUMBER:
        return _UNIT_WORDS.format(f"`{what.unit.ucum}`")
    return {Kind.TEXT: "words", Kind.TIME: "a time", Kind.TRUTH: "true or false"}[what.kind]


def _human(item: Item) -> str:
    told = []
    if item.value:
        told.append(f"as its value {_words(answer_of(item))}")
    named = [f"`{part.attribute.value}` ({_words(held_by(item, part))})" for part in item.parts]
    if named:
        told.append(f"as its components only {', '.join(named)}")
    else:
        told.append("no component")
    return f"A statement on `{item.key}` SHALL have {' and '.join(told)}."


def statement_rule(item: Item) -> Invariant:
    """Return the condition that a statement about an item's attribute says what that item can say."""
    conditions = " and ".join((*_answered(item), *_details(item)))
    return Invariant(f"statement-{item.key}", _human(item), f"{about(item.attribute)} implies ({conditions})")


def statement_codes() -> str:
    """Return FHIRPath: that the code is that of a single item."""
    return " or ".join(f"code = '{item.key}'" for item in SINGLE)
