"""Scores as Observations: the number or the interval, the verdict, the method, and what it rests on."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Any, Final, NamedTuple

from msgspec import Struct

from dermreport.expressions.nodes import ColourSeen, Found, Leaf, Present, entry_path, leaves, paths_of
from dermreport.fhir import software
from dermreport.fhir.codes import ABSENT, CRITERION_SYSTEM, TERMINOLOGY, coding, fixed
from dermreport.fhir.ids import Thing
from dermreport.fhir.narrative import narrative
from dermreport.fhir.values import POINTS, component, quantity
from dermreport.publication import VOCABULARY_VERSION
from dermreport.scores.method import Criterion, OwnCode
from dermreport.vocabulary.attributes import Attribute
from dermreport.vocabulary.verdicts import Verdict
from dermreport.wording.items import SINGLE
from dermreport.wording.sentences import input_words, threshold_words

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from dermreport.fhir.codes import Codes
    from dermreport.fhir.frame import Built, Frame
    from dermreport.scores.engine import OpenInput, ScoreResult
    from dermreport.scores.method import Method
    from dermreport.vocabulary.structures import Structure
    from dermreport.wording.items import Item


class Inputs(NamedTuple):
    """Observations that a score can rest on.

    Attributes:
        by_item: The Observation of each single item.
        by_structure: Those that say something of a structure, by the identity of its row.
        coloured: Findings with a colour.
    """

    by_item: Mapping[Item, Built]
    by_structure: Mapping[int, Sequence[Built]]
    coloured: Sequence[Built]


#: At or above a threshold. The standard's word is «abnormal»; nothing is ever sent for a total below it.
_ABNORMAL: Final = [fixed(f"{TERMINOLOGY}/v3-ObservationInterpretation", "A", "Abnormal")]


class _Asked(Struct, frozen=True):
    """What a method asks: structures, colours or not, and single items."""

    structures: tuple[Structure, ...]
    colours: bool
    items: tuple[Item, ...]


@cache
def _item_at() -> dict[str, Item]:
    """Return the single item that carries each path."""
    return {path: item for item in SINGLE for path in item.fields}


def _items_of(leaf: Leaf | str) -> tuple[Item, ...]:
    """Return the single items that an input reads."""
    paths = (leaf,) if isinstance(leaf, str) else paths_of(leaf)
    table = _item_at()
    found = (table.get(entry_path(path)) for path in paths)
    return tuple(item for item in found if item is not None)


@cache
def _asked(method: Method) -> _Asked:
    structures: dict[Structure, None] = {}
    items: dict[Item, None] = {}
    colours = False
    for criterion in method.criteria:
        asked: tuple[Leaf | str, ...] = (
            leaves(criterion.when) if isinstance(criterion, Criterion) else (criterion.path,)
        )
        for leaf in asked:
            if isinstance(leaf, Present | Found):
                structures[leaf.structure] = None
            elif isinstance(leaf, ColourSeen):
                colours = True
            else:
                items.update(dict.fromkeys(_items_of(leaf)))
    if colours:
        items.update({item: None for item in SINGLE if item.attribute is Attribute.LESION_COLOURS})
    return _Asked(tuple(structures), colours, tuple(items))


@cache
def _criteria(codes: Codes, method: Method) -> dict[tuple[str, str], dict[str, Any]]:
    """Return the component of each criterion of a method, ``met`` and ``open``."""
    made = {}
    for one in method.criteria:
        system = method.code.system if isinstance(method.code, OwnCode) else CRITERION_SYSTEM
        coded = {"system": system, "code": f"{method.code.value}.{one.id}", "display": one.label}
        concept = {"coding": [coded], "text": one.label}
        for state, attribute in (("met", Attribute.CRITERION_MET), ("open", Attribute.CRITERION_OPEN)):
            made[state, one.id] = component(codes, attribute, "valueCodeableConcept", concept)
    return made


@cache
def _verdict(codes: Codes, verdict: Verdict) -> dict[str, Any]:
    return component(codes, Attribute.VERDICT, "valueCodeableConcept", codes.concept(verdict))


@cache
def _method_concept(method: Method) -> dict[str, Any]:
    text = f"{method.code.display}, version {method.version}"
    coded = _coding(method)
    if not isinstance(method.code, OwnCode):
        coded = {"system": coded.pop("system"), "version": VOCABULARY_VERSION, **coded}
    return {"coding": [coded], "text": text}


def _coding(method: Method) -> dict[str, Any]:
    """Return our coding of a method, or a plugin's in its own system."""
    code = method.code
    if isinstance(code, OwnCode):
        return {"system": code.system, "code": code.value, "display": code.title}
    return coding(code)


@cache
def _note(method: Method, reasons: tuple[str, ...], cautions: tuple[str, ...]) -> list[dict[str, Any]]:
    """Return who recorded the findings, what added them up by which method, and what a reader must know.

    Reasons and cautions are rows of the method's own table, so there are few of these.
    """
    made_by = (
        f"Findings recorded by the examiner; added up by software ({software.NAME} {software.VERSION}). "
        f"Method: {method.code.display}, version {method.version}. Threshold: {threshold_words(method)}. "
        f"Source: {method.basis.text}."
    )
    return [{"text": " ".join((made_by, *reasons, *cautions))}]


def _rests_on(method: Method, inputs: Inputs) -> list[dict[str, Any]] | None:
    """Return References to the Observations that the method reads, each once."""
    asked = _asked(method)
    used: dict[str, dict[str, Any]] = {}
    for structure in asked.structures:
        for one in inputs.by_structure.get(id(structure), ()):
            used[one.uuid] = one.reference
    if asked.colours:
        for one in inputs.coloured:
            used[one.uuid] = one.reference
    for item in asked.items:
        stated = inputs.by_item.get(item)
        if stated is not None:
            used[stated.uuid] = stated.reference
    return list(used.values()) or None


def _would_settle(codes: Codes, one: OpenInput) -> dict[str, Any]:
    """Return an open input: a structure by its code where it is one, always in words with the light to use."""
    settling: dict[str, Any] = {"text": input_words(one)}
    if isinstance(one.leaf, Present | Found):
        settling = {"coding": codes.concept(one.leaf.structure)["coding"], **settling}
    return component(codes, Attribute.WOULD_SETTLE, "valueCodeableConcept", settling)


def score_observation(frame: Frame, result: ScoreResult, sentence: str, inputs: Inputs) -> Built:
    """Return a score: its number or interval, or that its method is not valid here."""
    method = result.method
    codes = frame.codes
    made = [_verdict(codes, result.verdict)]
    parts: dict[str, Any] = {}
    lowest, highest = result.low, result.high
    if lowest is None or highest is None:
        parts["dataAbsentReason"] = ABSENT["not-applicable"]
    elif lowest == highest:
        parts["valueQuantity"] = quantity(lowest, POINTS)
    else:
        low, high = quantity(lowest, POINTS), quantity(highest, POINTS)
        parts["valueRange"] = {"low": low, "high": high}
        made.append(component(codes, Attribute.SCORE_LOW, "valueQuantity", low))
        made.append(component(codes, Attribute.SCORE_HIGH, "valueQuantity", high))
    if result.valid and Verdict.BELOW_THRESHOLD not in result.possible:
        parts["interpretation"] = _ABNORMAL
    parts["note"] = _note(method, result.reasons, result.cautions)
    parts["bodySite"] = frame.body_site
    parts["method"] = _method_concept(method)
    parts["derivedFrom"] = _rests_on(method, inputs)
    criteria = _criteria(codes, method)
    made.extend([criteria["met", one] for one in result.met])
    made.extend([criteria["open", one] for one in result.open])
    made.extend([_would_settle(codes, one) for one in result.would_settle])
    parts["component"] = made
    told = narrative(sentence)
    if isinstance(method.code, OwnCode):
        # Our profile of a score binds its code to our methods, so it isn't claimed.
        code = {"coding": [_coding(method)], "text": method.code.display}
        own = frame.observation(Thing.PLUGIN, f"{method.code.plugin}/score/{method.code.value}", told, code, parts)
        own.resource.pop("meta", None)
        return own
    return frame.observation(Thing.SCORE, method.code.value, told, codes.concept(method.code), parts)
