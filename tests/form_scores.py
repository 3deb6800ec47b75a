"""What the form's calculated scores must say by the library, and what they say by ``fhirpathpy``.

Shared by the unit tests and the conformance run, which asks two further engines.
"""

from __future__ import annotations

import random
import re
from collections.abc import Callable, Iterable, Mapping
from decimal import Decimal
from functools import cache
from types import MappingProxyType
from typing import Any

from records import entry, finding, gone_through, record

from dermreport.answers import answers
from dermreport.examination.model import Examination
from dermreport.expressions.evaluate import Scope
from dermreport.form.layout import CHECKLIST, checklist, checklist_group, tick
from dermreport.form.questionnaire import coding
from dermreport.form.score_variables import Variable
from dermreport.form.scores import link_id, score_expressions
from dermreport.scores.engine import ScoreResult, score
from dermreport.scores.method import CAUTIONS
from dermreport.scores.methods import CHECKLISTS
from dermreport.vocabulary.colours import Colour
from dermreport.vocabulary.finding_lists import FindingList
from dermreport.vocabulary.presences import Presence
from dermreport.vocabulary.structure_kinds import StructureKind
from dermreport.vocabulary.structures import Structure
from dermreport.vocabulary.term import code_system

#: What an item says; empty where it says nothing.
Said = list[Any]


def expected(examination: Examination) -> dict[str, Said]:
    """Return what each calculated item must say of an examination, by the library's scores."""
    scope = Scope(answers(examination), {})
    return {
        link_id(method, ending): said
        for method in CHECKLISTS
        for ending, said in _of_result(score(method, scope)).items()
    }


def _of_result(result: ScoreResult) -> dict[str, Said]:
    labels = {criterion.id: criterion.label for criterion in result.method.criteria}
    beside = result.cautions[len(CAUTIONS) : len(result.cautions) - len(result.method.cautions)]
    return {
        "low": [] if result.low is None else [result.low],
        "high": [] if result.high is None else [result.high],
        "verdict": [result.verdict.display],
        "met": _text(", ", (labels[one] for one in result.met)),
        "open": _text(", ", (labels[one] for one in result.open)),
        "remarks": _text(" ", (*result.reasons, *beside)),
    }


def _text(between: str, texts: Iterable[str]) -> Said:
    text = between.join(texts)
    return [text] if text else []


# --- Evaluation ------------------------------------------------------------------------------------------------------


def needed(expressions: Iterable[str]) -> list[Variable]:
    """Return the variables that some expressions build on, in their order."""
    wanted = {name for expression in expressions for name in used(expression)}
    kept = []
    for variable in reversed(score_expressions().variables):
        if variable.name in wanted:
            kept.append(variable)
            wanted |= used(variable.expression)
    return kept[::-1]


def used(expression: str) -> set[str]:
    """Return the variables that an expression uses."""
    without_texts = re.sub(r"'(?:[^'\\]|\\.)*'", "''", expression)
    return set(re.findall(r"%(\w+)", without_texts))


def evaluated(response: Mapping[str, Any], items: Iterable[str]) -> dict[str, Said]:
    """Return what some calculated items say of a response, by ``fhirpathpy``."""
    expressions = {item: score_expressions().items[item] for item in items}
    environment = variables_of(response, needed(expressions.values()))
    return {item: list(compiled(text)(response, environment)) for item, text in expressions.items()}


def variables_of(response: Mapping[str, Any], variables: Iterable[Variable]) -> dict[str, Any]:
    """Return the environment in which a response's expressions are evaluated."""
    environment: dict[str, Any] = {"resource": response}
    for variable in variables:
        environment[variable.name] = list(compiled(variable.expression)(response, environment))
    return environment


@cache
def compiled(expression: str) -> Callable[[Any, Any], Iterable[Any]]:
    """Return an expression as a function of a resource and its environment."""
    import fhirpathpy
    from fhirpathpy.models import models

    made: Callable[[Any, Any], Iterable[Any]] = fhirpathpy.compile(expression, models["r4"])
    return made


# --- Examinations that reach what scores look at ---------------------------------------------------------------------

_ASKED = tuple(
    one
    for one in Structure
    if one in FindingList.PIGMENTED_LESION.structures
    or one in FindingList.ACRAL_PATTERNS.structures
    or one.kind in {StructureKind.PATTERN, StructureKind.COMPOSITE}
    or one.name in {"LACUNAE", "CLODS_BLUE_LARGE", "SHINY_WHITE_STRANDS", "NETWORK_WHITE", "VESSELS_DOTTED"}
)
_PATTERNS = [one.value for one in Structure if one.kind is StructureKind.PATTERN]
_SITES = ["back-upper", "back-upper", "back-upper", "sole", "forehead", "skin", "foot-edge-medial"]


def aimed(draw: random.Random, most: int = 30) -> Examination:
    """Return an examination with much of what scores look at: views that limit, several places, lists, patterns.

    Args:
        draw: What decides.
        most: Findings, at most.
    """
    keys = ["a", "b", "c"][: draw.randint(0, 3)]
    sometimes = draw.random
    views = [
        {
            "key": key,
            "light": draw.choice(["polarised", "non-polarised", "unknown"]),
            **({"covers": draw.choice(["part", "whole"])} if sometimes() < 0.4 else {}),
            **({"limits": ["hair"]} if sometimes() < 0.3 else {}),
        }
        for key in keys
    ]

    def seen_in() -> dict[str, Any]:
        return {"views": draw.sample([*keys, "none"], draw.randint(1, len(keys) + 1))} if sometimes() < 0.4 else {}

    findings = {}
    for _ in range(min(most, draw.choice([0, 2, 5, 12, 30]))):
        structure = draw.choice(_ASKED)
        place = draw.choice([None, None, "peripheral", "whole-lesion", "outside", "central"])
        findings[structure, place] = {
            "structure": structure.value,
            "presence": draw.choice(["present", "present", "absent", "absent", "uncertain", "not-assessed"]),
            **seen_in(),
            **({"place": place} if place else {}),
            **({"count": draw.randint(0, 4)} if sometimes() < 0.4 else {}),
            **({"area_percent": draw.choice([5, 10, Decimal("10.1"), 50])} if sometimes() < 0.4 else {}),
            **({"regularity": draw.choice(["regular", "irregular"])} if sometimes() < 0.4 else {}),
            **({"distribution": draw.choice(["segmental", "all-round", "focal"])} if sometimes() < 0.4 else {}),
            **({"colours": draw.sample([one.value for one in Colour], 2)} if sometimes() < 0.3 else {}),
        }
    colours = draw.sample([one.value for one in Colour], draw.randint(1, 7)) if sometimes() < 0.6 else []
    description: dict[str, Any] = {
        "step_one": draw.choice(["melanocytic", "uncertain"]),
        "colours": colours,
        "doubtful_colours": [one.value for one in draw.sample(list(Colour), 2) if one.value not in colours],
    }
    for axis in ("first_axis", "second_axis"):
        description[axis] = {
            aspect: draw.choice(["yes", "no", "no", "uncertain"])
            for aspect in ("contour", "colour", "structure")
            if sometimes() < 0.8
        }
    for field in ("symmetric_all_axes", "white_paler_than_skin"):
        if sometimes() < 0.7:
            description[field] = draw.choice(["yes", "no", "uncertain"])
    if sometimes() < 0.7:
        description["border_segments"] = draw.randint(0, 8)
    if sometimes() < 0.3:
        description["pattern"] = draw.choice(_PATTERNS)
    lists = draw.sample([one.value for one in FindingList], draw.choice([0, 0, 1, 2, 3]))
    return Examination.model_validate(
        entry(
            lesion={"site": draw.choice(_SITES)},
            views=views,
            findings=list(findings.values()),
            lists_gone_through=[{"list": one, **seen_in()} for one in lists],
            description=description,
        )
    )


# --- The checklist ---------------------------------------------------------------------------------------------------


def ticked(response: Mapping[str, Any], more: Mapping[Structure, Presence] = MappingProxyType({})) -> dict[str, Any]:
    """Return a response in which findings without further details are ticks on the checklist.

    Args:
        response: Answers with every finding in detail.
        more: Further ticks, whatever stands in detail.
    """
    kept: list[dict[str, Any]] = []
    ticks: dict[Structure, list[dict[str, Any]]] = {}
    for item in response["item"]:
        structure = _plain(item) if item["linkId"] == "findings" else None
        if structure is None:
            kept.append(item)
        else:
            ticks[structure] = item["item"][1]["answer"]
    ticks |= {structure: [{"valueCoding": coding(presence)}] for structure, presence in more.items()}
    groups = [
        {"linkId": checklist_group(element), "item": ticked_here}
        for element, structures in checklist()
        if (
            ticked_here := [
                {"linkId": tick(structure), "answer": ticks[structure]}
                for structure in structures
                if structure in ticks
            ]
        )
    ]
    return {**response, "item": [*kept, *([{"linkId": CHECKLIST, "item": groups}] if groups else [])]}


def _plain(item: Mapping[str, Any]) -> Structure | None:
    """Return the structure of a finding of which nothing is told but that and its presence."""
    if [one["linkId"] for one in item["item"]] != ["findings.structure", "findings.presence"]:
        return None
    given = item["item"][0]["answer"][0]["valueCoding"]
    return Structure(given["code"]) if given["system"] == code_system(Structure) else None


# --- The total dermoscopy score --------------------------------------------------------------------------------------

#: How each of the four parts of the total dermoscopy score can turn out.
PARTS_OF_TOTAL = {"asymmetry": range(3), "border": range(9), "colours": range(1, 7), "structures": range(1, 6)}
_COLOURS = ("light-brown", "dark-brown", "black", "blue", "red", "white")
_STRUCTURES = (
    finding("network"),
    finding("globules"),
    finding("dots-brown", count=3),
    finding("lines-branched", count=3),
    finding("blotch-irregular", area_percent=11),
)
_ASPECTS = ("contour", "colour", "structure")


def with_total(asymmetry: int, border: int, colours: int, structures: int) -> Examination:
    """Return an examination with these parts of the total dermoscopy score; nothing of it is open."""
    return record(
        findings=list(_STRUCTURES[:structures]),
        lists_gone_through=gone_through("pigmented-lesion"),
        description={
            "first_axis": dict.fromkeys(_ASPECTS, "yes" if asymmetry > 0 else "no"),
            "second_axis": dict.fromkeys(_ASPECTS, "yes" if asymmetry > 1 else "no"),
            "border_segments": border,
            "colours": list(_COLOURS[:colours]),
            "white_paler_than_skin": "yes",
        },
    )
