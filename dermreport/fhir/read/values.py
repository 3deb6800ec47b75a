"""Values of resources as an entry has them.

What isn't understood is handed on as it was received: the model refuses it there, so that a partly readable part is
set aside by the same rules as an entry that is typed wrongly.
"""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Any, Final, NamedTuple

from dermreport.examination.base import Model, OtherCode
from dermreport.examination.fields import classes_of
from dermreport.examination.model import Examination
from dermreport.examination.people import URN_SYSTEM
from dermreport.fhir.codes import ABSENT_REASONS, TERMINOLOGY
from dermreport.fhir.extensions import Extension
from dermreport.fhir.ids import Identity, usual_entry
from dermreport.fhir.read.contradictions import is_contradictory, says_two_things, values_of
from dermreport.fhir.read.parts import Json, extended, first, objects, text
from dermreport.vocabulary.standard_codes import UCUM
from dermreport.vocabulary.term import Term, code_system
from dermreport.wording.items import Kind

if TYPE_CHECKING:
    from dermreport.wording.items import Item, Unit

ABSENT_SYSTEM: Final = f"{TERMINOLOGY}/data-absent-reason"


class Coded(NamedTuple):
    """What a coded field can hold.

    Attributes:
        system: The code system of its table.
        other: Whether somebody else's code can stand there.
        absent: The codes of answers that are sent as a reason why there is none, by the reason.
    """

    system: str
    other: bool
    absent: dict[str, str]


class Field(NamedTuple):
    """A field of the model, and how its value is found.

    Attributes:
        name: The field's name.
        kind: What kind of value it holds.
        unit: Unit of a number.
        coded: What a coded one can hold.
        listed: Whether it holds a list.
    """

    name: str
    kind: Kind
    unit: Unit
    coded: Coded | None
    listed: bool


def owner_of(path: str) -> type[Model]:
    """Return the class of the part of the model at a path, as ``lesion.history``."""
    owner: type[Model] = Examination
    for name in path.split(".") if path else ():
        (owner,) = [one for one in classes_of(owner, name) if issubclass(one, Model)]
    return owner


def coded(owner: type[Model], name: str) -> Coded:
    """Return what a coded field of the model can hold."""
    classes = classes_of(owner, name)
    (table,) = [one for one in classes if issubclass(one, Term)]
    return coded_by(table, other=OtherCode in classes)


@cache
def coded_by(table: type[Term], *, other: bool) -> Coded:
    """Return what a field with codes of a table can hold."""
    absent = {reason: term.value for term, reason in ABSENT_REASONS.get(table, {}).items()}
    return Coded(code_system(table), other, absent)


def field(item: Item, name: str, kind: Kind, unit: Unit) -> Field:
    """Return how a field of a row's object is read."""
    owner = owner_of(item.path)
    listed = "tuple" in str(owner.model_fields[name].annotation)
    return Field(name, kind, unit, coded(owner, name) if kind is Kind.CODE else None, listed)


def code_of(concept: Json, what: Coded, *, consistent: bool = False) -> Any:  # noqa: ANN401 - a code, somebody else's code, or what was received
    """Return the code of a concept as an entry has it: ours by itself, another one with its system.

    The concept itself where its codings mean different things, unless it is known that they don't.
    """
    if not consistent and is_contradictory(concept):
        return concept
    given = objects(concept, "coding")
    for coding in given:
        if text(coding, "system") == what.system:
            return our_coding(coding, what)
    if what.other and given:
        return other_coding(given[0])
    return concept


def our_coding(coding: Json, what: Coded) -> Any:  # noqa: ANN401 - a code, somebody else's code, or what was received
    """Return the code of a coding in our system; one that this version doesn't know keeps its display where it can."""
    code = text(coding, "code")
    if code is None:
        return coding
    if what.other and code not in known_codes(what.system):
        return other_coding(coding)
    return code


@cache
def known_codes(system: str) -> frozenset[str]:
    """Return the codes that this version of the vocabulary has in one of our systems."""
    for table in Term.__subclasses__():
        if code_system(table) == system:
            return frozenset(term.value for term in table)
    return frozenset()


def other_coding(coding: Json) -> Json:
    """Return a coding that isn't ours as an entry has it."""
    made: Json = {name: coding[name] for name in ("system", "code", "display", "version") if name in coding}
    said = coding.get("_code")
    if type(said) is dict and "code" not in made:
        made["code"] = extended(said, Extension.AS_ENTERED, "valueString")
    return made


def coding_of(coding: Any, what: Coded) -> Any:  # noqa: ANN401 - any JSON, a code, somebody else's code
    """Return the code of a coding of an extension as an entry has it."""
    if type(coding) is not dict:
        return coding
    if text(coding, "system") == what.system:
        return our_coding(coding, what)
    return other_coding(coding) if what.other else coding


def number_of(quantity: Any, unit: Unit) -> Any:  # noqa: ANN401 - any JSON, or a number
    """Return the number of a Quantity in the unit expected; with another one, or «less than», it isn't that number."""
    if type(quantity) is not dict or quantity.get("system") != UCUM or quantity.get("code") != unit.ucum:
        return quantity
    if "comparator" in quantity or "value" not in quantity:
        return quantity
    return quantity["value"]


_ELEMENTS: Final = {Kind.TEXT: "valueString", Kind.TIME: "valueDateTime", Kind.TRUTH: "valueBoolean"}


def value_of(holder: Json, what: Field, *, consistent: bool = False) -> Any:  # noqa: ANN401 - a value of any kind, or what was received
    """Return the value of an Observation or a component as an entry has it.

    ``None`` where nothing is said; the holder itself where what it says isn't understood, or two things are said,
    unless it is known that they aren't.
    """
    if not consistent and says_two_things(holder):
        return holder
    if what.coded is not None:
        concept = holder.get("valueCodeableConcept")
        if type(concept) is dict:
            return code_of(concept, what.coded, consistent=consistent)
        reason = absent_reason(holder)
        if reason is not None:
            return what.coded.absent.get(reason, holder)
    elif what.kind is Kind.NUMBER:
        if "valueQuantity" in holder:
            return number_of(holder["valueQuantity"], what.unit)
    elif (element := _ELEMENTS[what.kind]) in holder:
        return holder[element]
    return holder if values_of(holder) else None


def absent_reason(holder: Json) -> str | None:
    """Return why there is no value, as the standard's code."""
    concept = holder.get("dataAbsentReason")
    if type(concept) is not dict:
        return None
    for coding in objects(concept, "coding"):
        if text(coding, "system") == ABSENT_SYSTEM:
            return text(coding, "code")
    return None


def identifier_of(identifier: Json) -> Json:
    """Return an Identifier as an entry has it."""
    system, value = text(identifier, "system"), text(identifier, "value")
    entered = extended(identifier, Extension.AS_ENTERED, "valueString")
    if system == URN_SYSTEM and entered == value:
        return {"value": value}
    if system == URN_SYSTEM and entered == f"{system}|{value}":
        return {"system": system, "value": value}
    if system is None or value is None:
        return {name: one for name, one in (("system", system), ("value", value)) if one is not None}
    found, plain = usual_entry(system, value)
    return {"value": plain} if found is None else {"system": found, "value": plain}


def is_made_of(identity: Identity, thing: Any, identifier: Json) -> bool:  # noqa: ANN401 - a kind of resource
    """Return whether an Identifier is one that the writer made of an examination's own."""
    own = identity.item(thing, "").identifier
    return (text(identifier, "system"), text(identifier, "value")) == (own["system"], own["value"])


def reference_of(reference: Json) -> Json | None:
    """Return a Reference to something of the host's as an entry has it; ``None`` where it says nothing."""
    made: Json = {}
    kept = extended(reference, Extension.HOST_REFERENCE, "valueString")
    literal = kept if kept is not None else text(reference, "reference")
    if literal is not None:
        made["reference"] = literal
    identifier = first(reference, "identifier")
    if identifier:
        made["identifier"] = identifier_of(identifier)
    display = text(reference, "display")
    made_up = kept is not None and not identifier and display == literal
    if display is not None and (not made_up or extended(reference, Extension.AS_ENTERED, "valueString") is not None):
        made["display"] = display
    return made or None


__all__ = [
    "Coded",
    "Field",
    "absent_reason",
    "code_of",
    "coded",
    "coded_by",
    "coding_of",
    "field",
    "identifier_of",
    "is_made_of",
    "number_of",
    "reference_of",
    "value_of",
]
