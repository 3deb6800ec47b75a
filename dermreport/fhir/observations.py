"""The Observations of one examination: what was stated, seen, added up and assessed, under panels that keep the order.

Each Observation has one parent. Panels are the findings, the history and the assessment; scores, impressions and
outcomes hang on the report itself, one hop away for a search.
"""

from __future__ import annotations

from collections import Counter
from functools import cache
from typing import TYPE_CHECKING, Any, Final

from msgspec import Struct, field

from dermreport.fhir.codes import UNKNOWN_PRIMITIVE, coding
from dermreport.fhir.extensions import Extension, extension
from dermreport.fhir.frame import EXAM, Built, Frame, key_extension
from dermreport.fhir.ids import Thing, code_key
from dermreport.fhir.narrative import narrative
from dermreport.fhir.score_observations import Inputs, score_observation
from dermreport.fhir.values import component, components, quantity, value
from dermreport.vocabulary.attributes import Attribute
from dermreport.vocabulary.term import Term
from dermreport.wording.items import FINDING, IMPRESSION, RANK, VIEW, Item, Statement, details
from dermreport.wording.sentences import CAUTION, statement_sentence

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from dermreport.answers import Answer
    from dermreport.examination.lesion import BedsideTestResult
    from dermreport.examination.observed import Finding
    from dermreport.fhir.codes import Codes
    from dermreport.vocabulary.not_assessed_reasons import NotAssessedReason
    from dermreport.vocabulary.presences import Presence
    from dermreport.vocabulary.structures import Structure
    from dermreport.wording.report import ToldFinding, ToldList


class Observed(Struct):
    """The Observations that were made so far, by what they are about.

    Attributes:
        all: Every Observation in the order of a bundle.
        by_item: The Observation of each single item.
        views: By the view's key in the entry.
        lists: In the entry's order.
        findings: In the entry's order.
        tests: In the entry's order.
        earlier_cancers: In the entry's order.
        scores: In the order of the review.
        impressions: In the clinician's order.
        outcomes: In the entry's order.
        panels: Those that have a member.
        plugin_scores: Scores of plugins: nothing of the library's rests on them.
    """

    all: list[Built] = field(default_factory=list)
    by_item: dict[Item, Built] = field(default_factory=dict)
    views: dict[str, Built] = field(default_factory=dict)
    lists: list[Built] = field(default_factory=list)
    findings: list[Built] = field(default_factory=list)
    tests: list[Built] = field(default_factory=list)
    earlier_cancers: list[Built] = field(default_factory=list)
    scores: list[Built] = field(default_factory=list)
    impressions: list[Built] = field(default_factory=list)
    outcomes: list[Built] = field(default_factory=list)
    panels: list[Built] = field(default_factory=list)
    plugin_scores: list[Built] = field(default_factory=list)

    @property
    def results(self) -> list[Built]:
        """What the report points to: panels, scores, impressions, outcomes."""
        return [*self.panels, *self.scores, *self.impressions, *self.outcomes, *self.plugin_scores]


def observations(frame: Frame, images: dict[str, list[Built]]) -> Observed:
    """Return the Observations of an examination.

    Args:
        frame: What all resources share.
        images: The pictures of each view, by the view's key.
    """
    made = Observed()
    told = frame.told
    for stated, sentence in told.statements:
        made.by_item[stated.item] = _statement(frame, stated, sentence)
    examination = frame.examination
    for view, sentence in zip(examination.views, told.views, strict=True):
        made.views[view.key] = _view(frame, view, sentence, images.get(view.key, ()))
    for gone_through, one in zip(examination.lists_gone_through, told.lists, strict=True):
        made.lists.append(_list(frame, made, (gone_through.list, gone_through.views), one))
    for finding, seen in zip(examination.findings, told.findings, strict=True):
        made.findings.append(_finding(frame, made, finding, seen))
    if examination.lesion is not None:
        made.tests.extend(_tests(frame, examination.lesion.bedside_tests))
    made.earlier_cancers.extend(_earlier_cancers(frame))
    inputs = _inputs(made, frame)
    made.scores.extend(score_observation(frame, result, sentence, inputs) for result, sentence in told.scores)
    made.impressions.extend(_impressions(frame, made))
    made.outcomes.extend(_outcomes(frame))
    _panels(frame, made)
    made.plugin_scores.extend(score_observation(frame, one, sentence, inputs) for one, sentence in told.plugin_scores)
    made.all = [
        *made.by_item.values(),
        *made.views.values(),
        *made.lists,
        *made.findings,
        *made.tests,
        *made.earlier_cancers,
        *made.scores,
        *made.impressions,
        *made.outcomes,
        *made.panels,
        *made.plugin_scores,
    ]
    return made


def references(built: Iterable[Built]) -> list[dict[str, Any]] | None:
    """Return References to resources, ``None`` where there are none."""
    return [one.reference for one in built] or None


def note(text: str | None) -> list[dict[str, Any]] | None:
    """Return an annotation in a list, ``None`` where there is no text."""
    return [{"text": text}] if text is not None else None


def _stated_parts(frame: Frame, stated: Statement) -> dict[str, Any]:
    """Return value, note, site and details of a statement, in the standard's order."""
    item = stated.item
    parts: dict[str, Any] = {}
    if stated.value is not None:
        element, answer = value(frame.codes, item.kind, item.unit, stated.value)
        parts[element] = answer
    if stated.note is not None:
        parts["note"] = [{"text": stated.note}]
    parts["bodySite"] = frame.body_site
    if stated.parts:
        parts["component"] = components(frame.codes, stated.parts)
    return parts


def _statement(frame: Frame, stated: Statement, sentence: str) -> Built:
    item = stated.item
    if not stated.parts and stated.note is None and isinstance(stated.value, Term):
        text, element, answer = _coded(frame.codes, item, stated.value)
        parts = {element: answer, "bodySite": frame.body_site}
    else:
        text = narrative(sentence)
        parts = _stated_parts(frame, stated)
    return frame.observation(Thing.STATEMENT, item.key, text, frame.codes.concept(item.attribute), parts)


@cache
def _coded(codes: Codes, item: Item, answer: Term) -> tuple[dict[str, Any], str, dict[str, Any]]:
    """Return narrative, element and value of an item that is one of our codes alone: few, and in every report."""
    sentence = statement_sentence(Statement(item, answer, (), None))
    return narrative(sentence), *codes.answer(answer)


def _view(frame: Frame, view: Any, sentence: str, images: Sequence[Built]) -> Built:  # noqa: ANN401 - a view
    codes = frame.codes
    element, light = codes.answer(view.light)
    parts = {
        element: light,
        "note": note(view.note),
        "bodySite": frame.body_site,
        "derivedFrom": references(images),
        "component": components(codes, details(VIEW, view)) or None,
    }
    head: dict[str, Any] = {"extension": key_extension(view.key)}
    if view.taken is not None:
        head["effectiveDateTime"] = view.taken
    return frame.observation(Thing.VIEW, view.key, narrative(sentence), codes.concept(Attribute.VIEW), parts, head)


def _seen_in(
    frame: Frame, made: Observed, keys: tuple[str, ...]
) -> tuple[list[dict[str, Any]] | None, list[dict[str, Any]]]:
    """Return references to the views named, and components with their keys where one of them doesn't exist."""
    found = [made.views[key] for key in keys if key in made.views]
    if len(found) == len(keys):
        return references(found), []
    named = [component(frame.codes, Attribute.VIEW_KEY, "valueString", key) for key in keys]
    return references(found), named


def _list(frame: Frame, made: Observed, gone_through: tuple[Any, tuple[str, ...]], told: ToldList) -> Built:
    named, keys = gone_through
    codes = frame.codes
    views, named_views = _seen_in(frame, made, keys)
    parts = {
        "valueCodeableConcept": codes.concept(named),
        "bodySite": frame.body_site,
        "derivedFrom": views,
        "component": [
            *(_unticked(codes, one, answer.presence, answer.because) for one, answer in told.unticked),
            *named_views,
        ]
        or None,
    }
    code = codes.concept(Attribute.LIST_GONE_THROUGH)
    return frame.observation(Thing.LIST, code_key(named), narrative(told.sentence), code, parts)


@cache
def _unticked(
    codes: Codes, structure: Structure, counted: Presence, because: NotAssessedReason | None
) -> dict[str, Any]:
    """Return an item of a list that no finding names: absent, uncertain, or not assessed and why.

    Such components are few, and in every report.
    """
    made = component(codes, structure, *codes.answer(counted))
    if because is None:
        return made
    return {"extension": [extension(Extension.NOT_ASSESSED_BECAUSE, "valueCoding", coding(because))], **made}


#: A finding and a bedside test have somebody else's code now and then: the second category says what they are.
_FINDING_CATEGORY: Final = [*EXAM, {"coding": [coding(Attribute.FINDING)], "text": Attribute.FINDING.display}]
_TEST_CATEGORY: Final = [*EXAM, {"coding": [coding(Attribute.BEDSIDE_TEST)], "text": Attribute.BEDSIDE_TEST.display}]


def finding_key(finding: Finding) -> str:
    """Return the key of a finding: structure and place."""
    place = f"/{code_key(finding.place)}" if finding.place is not None else ""
    return f"{code_key(finding.structure)}{place}"


def _finding(frame: Frame, made: Observed, finding: Finding, seen: ToldFinding) -> Built:
    codes = frame.codes
    answer = seen.answer
    element, counted = codes.answer(answer.presence)
    views, named_views = _seen_in(frame, made, finding.views)
    lights = []
    for light in seen.lights:
        kind, shown = codes.answer(light)
        lights.append(component(codes, Attribute.LIGHT, kind, shown))
    parts = {
        element: counted,
        "note": note(finding.note),
        "bodySite": frame.body_site,
        "derivedFrom": views,
        "component": [*lights, *named_views, *_counted_otherwise(frame, finding, answer)] or None,
    }
    head = {"category": _FINDING_CATEGORY}
    code = codes.concept(finding.structure)
    return frame.observation(Thing.FINDING, finding_key(finding), narrative(seen.sentence), code, parts, head)


def _counted_otherwise(frame: Frame, finding: Finding, answer: Answer) -> list[dict[str, Any]]:
    """Return the details of a finding; where it counts otherwise, the reason and the clinician's own answer too."""
    given = details(FINDING, finding)
    if answer.recorded is None:
        return components(frame.codes, given)
    codes = frame.codes
    made = []
    if answer.because is not None:
        made.append(component(codes, Attribute.NOT_ASSESSED_BECAUSE, *codes.answer(answer.because)))
    # The clinician's answer is said by name, never as a missing value.
    made.append(component(codes, Attribute.RECORDED_ANSWER, "valueCodeableConcept", codes.concept(answer.recorded)))
    if finding.not_assessed_because is not None:
        reason = codes.answer(finding.not_assessed_because)
        made.append(component(codes, Attribute.RECORDED_REASON, *reason))
        given = tuple((part, one) for part, one in given if part.attribute is not Attribute.NOT_ASSESSED_BECAUSE)
    made.extend(components(codes, given))
    return made


def _counted_keys(codes: Iterable[Any]) -> list[str]:
    """Return a key for each code of a list without keys: the code, and from its second occurrence on a count."""
    seen: Counter[str] = Counter()
    keys = []
    for code in codes:
        key = code_key(code)
        seen[key] += 1
        keys.append(key if seen[key] == 1 else f"{key}/{seen[key]}")
    return keys


def _tests(frame: Frame, tests: tuple[BedsideTestResult, ...]) -> Iterable[Built]:
    keys = _counted_keys(test.test for test in tests)
    for test, (stated, sentence), key in zip(tests, frame.told.tests, keys, strict=True):
        parts = _stated_parts(frame, stated)
        code = frame.codes.concept(test.test)
        yield frame.observation(Thing.TEST, key, narrative(sentence), code, parts, {"category": _TEST_CATEGORY})


def _earlier_cancers(frame: Frame) -> Iterable[Built]:
    stated = frame.told.earlier_cancers
    keys = _counted_keys(one.value for one, _ in stated)
    for (one, sentence), key in zip(stated, keys, strict=True):
        parts = _stated_parts(frame, one)
        # The lesion of the report and its site are not those of the earlier cancer.
        parts["bodySite"] = None
        code = frame.codes.concept(Attribute.EARLIER_SKIN_CANCER)
        yield frame.observation(Thing.EARLIER_CANCER, key, narrative(sentence), code, parts, {"focus": None})


def _inputs(made: Observed, frame: Frame) -> Inputs:
    """Return what scores can rest on; a row of a table is one object, found faster by its identity than its name."""
    lists = zip(frame.examination.lists_gone_through, made.lists, strict=True)
    by_list = {id(gone_through.list): (built,) for gone_through, built in lists}
    by_structure: dict[int, tuple[Built, ...]] = {}
    for structure, answer in frame.review.answers.structures.items():
        found = by_list.get(id(answer.by_list), ())
        if answer.findings:
            found = (*(made.findings[position] for position in answer.findings), *found)
        if found:
            by_structure[id(structure)] = found
    findings = zip(frame.examination.findings, made.findings, strict=True)
    return Inputs(made.by_item, by_structure, [built for finding, built in findings if finding.colours])


def _impressions(frame: Frame, made: Observed) -> Iterable[Built]:
    assessment = frame.examination.assessment
    if assessment is None:
        return
    codes = frame.codes
    scores = references(made.scores)
    for rank, (named, sentence) in enumerate(zip(assessment.impressions, frame.told.impressions, strict=True), start=1):
        element, answer = codes.answer(named.impression)
        ranked = component(codes, Attribute.RANK, "valueQuantity", quantity(rank, RANK))
        parts = {
            element: answer,
            "note": [*(note(named.note) or ()), {"text": CAUTION}],
            "bodySite": frame.body_site,
            "derivedFrom": scores,
            "component": [*components(codes, details(IMPRESSION, named)), ranked],
        }
        head = {"extension": key_extension(named.key)}
        code = codes.concept(Attribute.IMPRESSION)
        yield frame.observation(Thing.IMPRESSION, named.key, narrative(sentence), code, parts, head)


def _outcomes(frame: Frame) -> Iterable[Built]:
    for outcome, (stated, sentence) in zip(frame.examination.outcomes, frame.told.outcomes, strict=True):
        parts = _stated_parts(frame, stated)
        head = {
            "extension": key_extension(outcome.key),
            # What became known later has its own time, or none.
            "effectiveDateTime": outcome.date,
            "_effectiveDateTime": UNKNOWN_PRIMITIVE if outcome.date is None else None,
        }
        code = frame.codes.concept(Attribute.OUTCOME)
        yield frame.observation(Thing.OUTCOME, outcome.key, narrative(sentence), code, parts, head)


def _panels(frame: Frame, made: Observed) -> None:
    members = {
        Attribute.FINDINGS: [*made.views.values(), *made.lists, *made.findings, *made.tests],
        Attribute.HISTORY: list(made.earlier_cancers),
        Attribute.ASSESSMENT: [],
    }
    singles: dict[Attribute, list[Built]] = {panel: [] for panel in members}
    for item, built in made.by_item.items():
        singles[item.group].append(built)
    for panel, several in members.items():
        children = [*singles[panel], *several]
        if children:
            parts = {"bodySite": frame.body_site, "hasMember": references(children)}
            sentence = f"{panel.display}: {len(children)} {'entry' if len(children) == 1 else 'entries'}"
            code = frame.codes.concept(panel)
            made.panels.append(frame.observation(Thing.PANEL, panel.value, narrative(sentence), code, parts))
