"""Resources that carry everything a profile can ask, and how each requirement is broken in one of them.

The entry holds every field of the model at least once: a new line of a profile that no resource of it has fails.
"""

from __future__ import annotations

import copy
import json
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

from fhir_cases import FULL, SYSTEM
from structure_check import Definition, Place

import dermreport
from dermreport.examination.reader import read_json
from dermreport.fhir.releases import Release
from dermreport.fhir.write import fresh
from dermreport.profiles.structures.extension_definitions import extension_definitions
from dermreport.profiles.structures.requirements import Requirement
from dermreport.profiles.structures.structure_definitions import structure_definitions
from dermreport.profiles.terminology.value_sets import value_sets
from dermreport.rules.tables import RULES

Json = Any

OURS = "https://dermreport.example/fhir/CodeSystem"
OTHER = {"system": "https://other.example/codes", "code": "x1", "display": "something else"}
_SETTINGS = dermreport.Settings(claim_profiles=True, unsuitable_scores=True)

#: What the full examination of the other tests lacks.
_MORE: dict[str, Json] = {
    "background": {
        "genetic_syndrome": "none",
        "naevi": "unknown",
        "atypical_naevi": "unknown",
        "sunbeds": "no",
        "outdoor_work": "yes",
        "pregnancy": "not-applicable",
        "blood_thinner": "none",
        "blood_thinner_name": "none taken",
        "implanted_device": "no",
        "allergy": "yes",
        "allergy_to": "latex",
        "skin_examined": "whole",
        "needs": "an interpreter",
        "note": "comes with a carer",
    },
    "lesion": {
        "in_scar": "no",
        "palpation": {"consistency": "firm", "mobile": "yes", "tender": "no", "dimple": "no", "blanches": "no"},
        "injured": "no",
        "satellites": "no",
        "irregular_shape": "yes",
        "irregular_colour": "yes",
        "nodes": {"state": "enlarged", "region": "left axilla", "size_mm": 12},
        "history": {
            **{
                name: {"answer": "no"}
                for name in ("from_birth", "changed_colour", "changed_shape", "pain", "inflamed", "treated_before")
            },
            "since": "2024",
            "note": "first seen in summer",
        },
        "bedside_tests": [{"test": "tape", "positive": "no", "note": "done twice"}, {"test": OTHER, "positive": "yes"}],
    },
    "views": [
        {
            "key": "v4",
            "light": "polarised",
            "contact": "contact",
            "immersion": [OTHER, "gel"],
            "pressure": "light",
            "limits": ["hair", OTHER],
            "field_of_view_mm": 20,
            "note": "a corner is dark",
        }
    ],
    "images": [
        {"key": "i3", "view": "nowhere", "role": "close-up", "size_bytes": 5_000_000_000, "note": "blurred"},
        {"key": "i4", "consent": {"recorded": "2026-03-04", "research": "not-asked"}},
    ],
    "lists_gone_through": [{"list": OTHER, "views": ["nowhere"]}],
    "findings": [
        {
            "structure": "globules",
            "presence": "present",
            "place": "peripheral",
            "size_mm": 0.2,
            "distribution": OTHER,
            "colours": [OTHER],
            "views": ["v1"],
        },
        {
            "structure": "shiny-white-strands",
            "presence": "absent",
            "not_assessed_because": "hidden",
            "place": "central",
            "views": ["v2"],
        },
        {
            "structure": "blue-white-veil",
            "presence": "not-assessed",
            "not_assessed_because": "hidden",
            "place": OTHER,
            "views": ["v1"],
        },
    ],
    "description": {
        "doubtful_colours": ["red"],
        "white_paler_than_skin": "no",
        "note": "two halves",
    },
    "assessment": {
        "impressions": [{"key": "c", "impression": {**OTHER, "code": "two  spaces"}, "certainty": "possible"}],
        "methods_used": ["three-point", OTHER],
    },
    "plan": {
        "note": "as agreed",
        "departures": [{"key": "d2", "departs_from": "light-unknown", "reason": "the light was never noted"}],
        "actions": [{"key": "p3", "action": OTHER, "urgency": "soon"}],
    },
    "outcomes": [
        {
            "key": "o2",
            "kind": "monitoring",
            "change": "unchanged",
            "days_since_baseline": 90,
            "specimen": "whole",
            "laboratory_reference": "L 1",
            "patient_informed": "yes",
            "result": OTHER,
        },
        {"key": "o3", "kind": "opinion", "patient_informed": "unknown"},
    ],
}


def _joined(base: Json, more: Json) -> Json:
    if isinstance(base, dict) and isinstance(more, dict):
        return {name: _joined(base.get(name), more.get(name)) for name in {**base, **more}}
    if isinstance(base, list) and isinstance(more, list):
        return [*base, *more]
    return base if more is None else more


ENTRY: Json = _joined(copy.deepcopy(FULL), _MORE)
#: Examples with what the full entry can't have at the same time: settled scores, a total below a threshold.
EXAMPLE_FOLDER = Path(__file__).parent.parent / "examples"
EXAMPLES = tuple(
    EXAMPLE_FOLDER / f"{name}.json" for name in ("usual", "back-melanoma-suspected-referred", "visit-three-lesions")
)


def reviews_of(path: Path) -> list[dermreport.Review]:
    """Return the reviews of an example, whose settings claim the profiles."""
    value = read_json(path.read_bytes())
    if "lesions" in value:
        return [dermreport.review(one, _SETTINGS) for one in dermreport.Visit.model_validate(value).examinations]
    return [dermreport.review(dermreport.Examination.model_validate(value), _SETTINGS)]


@cache
def _previous() -> dermreport.Review:
    """Return the review of an examination of the same lesion half a year before."""
    number = {"system": f"{SYSTEM}/examination", "value": "e-0"}
    entry = {**FULL, "identifier": number, "examined": "2025-09-01", "recorded": None, "earlier": None}
    text = json.dumps({name: one for name, one in entry.items() if one is not None})
    return dermreport.review(dermreport.Examination.from_json(text))


@cache
def bundles(release: str) -> tuple[Json, ...]:
    """Return bundles with profiles claimed: the full entry in each kind, a later revision of it, and some examples."""
    made = []
    for revision, value in enumerate((ENTRY, {**ENTRY, "revision": 2, "earlier": None, "background": {}}), start=1):
        exam = dermreport.Examination.from_json(
            json.dumps({name: one for name, one in value.items() if one is not None})
        )
        review = dermreport.review(exam, _SETTINGS)
        letters = [dermreport.letter(review)]
        report = dermreport.to_fhir(review, release=release, after=_previous(), letters=letters)
        kinds = ("transaction", "document") if revision == 1 else ("document",)
        made += [report.bundle(kind).to_dict() for kind in kinds]
    for path in EXAMPLES:
        report = dermreport.to_fhir(reviews_of(path), release=release)
        made += [report.bundle(kind).to_dict() for kind in ("collection", "document")]
    return tuple(made)


@cache
def definitions(release: str) -> dict[str, Definition]:
    """Return the profiles and extensions of a release by their URL."""
    codes = _codes(release)
    rules = {rule.id for rule in RULES}
    made = [*structure_definitions(Release(release)), *extension_definitions(Release(release))]
    for definition in made:
        # The rules' conditions have tests of their own: they look at a whole bundle.
        for element in definition["differential"]["element"]:
            element["constraint"] = [one for one in element.get("constraint", ()) if one["key"] not in rules]
    return {one["url"]: Definition(release, one, codes) for one in made}


@cache
def _codes(release: str) -> dict[str, frozenset[tuple[str, str]]]:
    from dermreport.vocabulary.tables import tables
    from dermreport.vocabulary.term import code_system

    ours = {code_system(table): [term.value for term in table] for table in tables().values()}
    return {
        one["url"]: frozenset(
            (part["system"], code)
            for part in one["compose"]["include"]
            for code in ([each["code"] for each in part["concept"]] if "concept" in part else ours[part["system"]])
        )
        for one in value_sets(Release(release))
    }


class Case(NamedTuple):
    """A resource of a profile, or an extension within a resource.

    Attributes:
        bundle: Position of the bundle.
        path: Keys from the bundle to it; none where it is the bundle.
    """

    bundle: int
    path: tuple[str | int, ...]

    def within(self, bundle: Json) -> Json:
        """Return it in its bundle, or in a copy of that."""
        found = bundle
        for step in self.path:
            found = found[step]
        return found


@cache
def cases(release: str) -> dict[str, tuple[Case, ...]]:
    """Return the cases of each profile and extension, by its URL."""
    found: dict[str, list[Case]] = {}
    for number, bundle in enumerate(bundles(release)):
        for url, path in _claims(bundle, ()):
            found.setdefault(url, []).append(Case(number, path))
    for several in found.values():
        # A damaged bundle is validated as a whole: the smallest one that can be damaged is enough.
        several.sort(key=lambda case: 0 if case.path else len(bundles(release)[case.bundle]["entry"]))
    return {url: tuple(several) for url, several in found.items()}


def _claims(value: Json, path: tuple[str | int, ...]) -> Iterator[tuple[str, tuple[str | int, ...]]]:
    if isinstance(value, dict):
        for url in value.get("meta", {}).get("profile", ()):
            yield url, path
        if "url" in value and path and path[-2:-1] == ("extension",):
            yield value["url"], path
        for name, one in value.items():
            yield from _claims(one, (*path, name))
    elif isinstance(value, list):
        for position, one in enumerate(value):
            yield from _claims(one, (*path, position))


def resolved(bundle: Json) -> dict[str, str]:
    """Return the resource type by the reference that leads to it, within a bundle."""
    found = {one["fullUrl"]: one["resource"]["resourceType"] for one in bundle["entry"]}
    for one in bundle["entry"]:
        found |= {f"#{inner['id']}": inner["resourceType"] for inner in one["resource"].get("contained", ())}
    return found


class Broken(NamedTuple):
    """A bundle in which one requirement is broken.

    Attributes:
        bundle: The bundle.
        case: Where the broken resource or extension is.
        resolve: Resource type by reference, in the bundle as it was.
    """

    bundle: Json
    case: Case
    resolve: dict[str, str]


def broken(requirement: Requirement, release: str, url: str) -> Broken | None:
    """Return a bundle in which a requirement is broken; ``None`` where no case has what it asks."""
    definition = definitions(release)[url]
    for case in cases(release).get(url, ()):
        bundle = _with_its_own(bundles(release)[case.bundle], case)
        if _damage(requirement, definition, case, bundle):
            return Broken(bundle, case, {**resolved(bundles(release)[case.bundle]), **_WRONG_TARGETS})
    return None


def _with_its_own(bundle: Json, case: Case) -> Json:
    """Return a bundle of which the part at hand can be changed; the rest is shared with the original."""
    if case.path[:1] != ("entry",):
        return fresh(bundle)
    made = {**bundle, "entry": list(bundle["entry"])}
    made["entry"][case.path[1]] = fresh(bundle["entry"][case.path[1]])
    return made


#: A resource that no reference of a report may lead to: contained, so that it is there to be looked at.
_WRONG_RESOURCE = {"resourceType": "Medication", "id": "wrong", "code": {"text": "a medicine"}}
_WRONG_TARGETS = {"#wrong": "Medication"}
_WRONG_CONCEPT = {"coding": [{"system": f"{OURS}/attribute", "code": "needs", "display": "needs"}], "text": "needs"}
_WRONG_COLOUR = {"coding": [{"system": f"{OURS}/colour", "code": "black", "display": "black"}], "text": "black"}
_REASON = {"coding": [{"system": "http://terminology.hl7.org/CodeSystem/data-absent-reason", "code": "unknown"}]}
_OTHER_TYPES = {
    "value": ("Time", "10:15:00"),
    "effective": ("Period", {"start": "2026-03-04"}),
    "occurrence": ("Timing", {"code": {"text": "daily"}}),
    "created": ("Period", {"start": "2026-03-04"}),
    "identified": ("Period", {"start": "2026-03-04"}),
    "occurred": ("Period", {"start": "2026-03-04"}),
    "content": ("Reference", {"reference": "DocumentReference/1"}),
}


def _damage(requirement: Requirement, definition: Definition, case: Case, bundle: Json) -> bool:
    """Break a requirement in a resource; return whether there was something to break."""
    kind = requirement.aspect.value
    root = case.within(bundle)
    if kind == "rule":
        return _break_rule(requirement, definition, root)
    groups = definition.places(root, requirement.element)
    if "NOT be given" in requirement.sentence:
        return _add(definition, root, requirement.element)
    places = next((group for group in groups if group), None)
    if places is None:
        return False
    if kind == "given":
        for place in reversed(places):
            _remove(place)
    elif kind == "at-most":
        return _double(places[0])
    elif kind == "kind":
        _retype(requirement, places[0], bundle, case)
    else:
        _recode(places[0])
    return True


def _remove(place: Place) -> None:
    del place.holder[place.key]


def _double(place: Place) -> bool:
    if not isinstance(place.holder, list):
        return False
    place.holder.insert(place.key, copy.deepcopy(place.value))
    return True


_ADDED = {
    "dataAbsentReason": _REASON,
    "focus": [{"reference": "Patient/1"}],
    "bodySite": {"text": "somewhere"},
    "value[x]": "10:15:00",
    "component": [{"code": {"text": "something"}, "valueString": "something"}],
}


def _add(definition: Definition, root: Json, element: str) -> bool:
    parent, _, name = element.rpartition(".")
    for group in definition.places(root, parent):
        for place in group:
            for key in [one for one in place.value if one.startswith("value")]:
                # A reason stands only where there is no value: the base asks that too.
                if name == "dataAbsentReason":
                    del place.value[key]
            place.value["valueTime" if name == "value[x]" else name] = copy.deepcopy(_ADDED[name])
            return True
    return False


def _retype(requirement: Requirement, place: Place, bundle: Json, case: Case) -> None:
    name = requirement.element.rpartition(".")[2].partition(":")[0]
    if "lead to" in requirement.sentence:
        place.holder[place.key] = {"reference": "#wrong"}
        resource = bundle["entry"][case.path[1]]["resource"]
        resource["contained"] = [*resource.get("contained", ()), _WRONG_RESOURCE]
        return
    stem = name.removesuffix("[x]")
    suffix, value = _OTHER_TYPES[stem]
    _remove(place)
    place.holder.pop(f"_{place.key}", None)
    place.holder[f"{stem}{suffix}"] = value


def _recode(place: Place) -> None:
    """Put a valid code of the wrong table, a wrong unit or another word."""
    value = place.value
    if isinstance(value, str):
        place.holder[place.key] = {"document": "collection"}.get(value, "no-such-code")
    elif "unit" in value or ("value" in value and "code" in value):
        place.holder[place.key] = {**value, "unit": "kg", "code": "kg"}
    elif "coding" in value or "text" in value:
        wrong = _WRONG_COLOUR if "/attribute" in str(value) else _WRONG_CONCEPT
        place.holder[place.key] = copy.deepcopy(wrong)
    else:
        place.holder[place.key] = {"system": value["system"], "code": "no-such-code"}


def _codes_of(concept: Json) -> list[str]:
    return [one.get("code", "") for one in concept.get("coding", ())]


def _answer_key(value: Json) -> str | None:
    return next((one for one in value if one.startswith("value")), None)


def _component(root: Json, code: str) -> Json | None:
    return next((one for one in root.get("component", ()) if code in _codes_of(one["code"])), None)


def _break_rule(requirement: Requirement, definition: Definition, root: Json) -> bool:  # noqa: C901, PLR0911, PLR0912 - one case a kind
    """Break one condition where the resource can break it."""
    key = requirement.key
    if key in ("statement-code", "panel-code"):
        root["code"] = {"coding": [{"system": f"{OURS}/attribute", "code": "finding", "display": "finding"}]}
        return True
    if key.startswith("statement-"):
        return _break_statement(key.removeprefix("statement-"), root)
    if key.endswith("-said"):
        name = key.removesuffix("-said")
        places = [root] if definition.id == f"dermoscopy-{name}" else [_component(root, name)]
        for place in places:
            answer = _answer_key(place) if place is not None else None
            if answer is not None:
                del place[answer]
                return True
        return False
    if key.startswith("own-"):
        return _break_own(key, definition, root)
    if key.startswith("bundle-"):
        return _break_light(key.removeprefix("bundle-"), root)
    if key == "list-item":
        for one in root.get("component", ()):
            if "view-key" not in _codes_of(one["code"]):
                one["code"] = copy.deepcopy(_WRONG_COLOUR)
                return True
        return False
    if key == "score-points" and "valueQuantity" in root:
        root["valueQuantity"] = {**root["valueQuantity"], "unit": "mm", "code": "mm"}
        return True
    if key == "score-range" and "valueRange" in root:
        _component(root, "score-low")["valueQuantity"]["value"] += 1  # type: ignore[index]  # it has one
        return True
    if key == "score-never-normal" and "below-threshold" in _codes_of(
        _component(root, "verdict")["valueCodeableConcept"]
    ):  # type: ignore[index]  # it has one
        system = "http://terminology.hl7.org/CodeSystem/v3-ObservationInterpretation"
        root["interpretation"] = [{"coding": [{"system": system, "code": "A", "display": "Abnormal"}]}]
        return True
    if key == "score-criterion":
        return _break_answer(requirement, definition, root)
    return False


_OTHER_LIGHT = {"polarised": "non-polarised", "non-polarised": "polarised"}


def _break_light(light: str, root: Json) -> bool:
    """Give a view another light than the findings say that rest on it."""
    for resource in (entry["resource"] for entry in root["entry"]):
        codes = _codes_of(resource.get("valueCodeableConcept", {}))
        if "view" in _codes_of(resource.get("code", {})) and light in codes:
            coding = {"system": f"{OURS}/light", "code": _OTHER_LIGHT[light], "display": _OTHER_LIGHT[light]}
            resource["valueCodeableConcept"] = {"coding": [coding]}
            return True
    return False


def _break_answer(requirement: Requirement, definition: Definition, root: Json) -> bool:
    for place in (place for group in definition.places(root, requirement.element) for place in group):
        place.holder[place.key] = copy.deepcopy(_WRONG_COLOUR)
        return True
    return False


def _break_own(key: str, definition: Definition, root: Json) -> bool:
    for element, asked in definition.elements.items():
        if any(one["key"] == key for one in asked.get("constraint", ())):
            for place in (place for group in definition.places(root, element) for place in group):
                wrong = (
                    _WRONG_CONCEPT if "coding" in place.value or "text" in place.value else _WRONG_CONCEPT["coding"][0]
                )
                place.holder[place.key] = copy.deepcopy(wrong)
                return True
    return False


def _break_statement(attribute: str, root: Json) -> bool:
    """Give a statement a valid answer of another kind: a code of another table, another unit, words for a code."""
    if attribute not in _codes_of(root["code"]):
        return False
    answer = _answer_key(root)
    if answer is None and "component" in root:
        root["component"][0] = {"code": root["component"][0]["code"], "valueTime": "10:15:00"}
    elif answer is None:
        root.pop("dataAbsentReason", None)
        root["valueCodeableConcept"] = copy.deepcopy(_WRONG_CONCEPT)
    elif answer == "valueCodeableConcept":
        root[answer] = copy.deepcopy(_WRONG_CONCEPT)
    elif answer == "valueQuantity":
        root[answer] = {**root[answer], "unit": "kg", "code": "kg"}
    else:
        del root[answer]
        root["valueTime"] = "10:15:00"
    return True
