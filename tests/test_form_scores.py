"""The scores that the form calculates: the same totals, verdicts and reasons as the library's, whatever is open."""

from __future__ import annotations

import random
import re
from collections import Counter
from decimal import Decimal
from itertools import product
from typing import TYPE_CHECKING, Any

import pytest
from examples_output import ENTRIES, examinations
from form_scores import (
    PARTS_OF_TOTAL,
    aimed,
    compiled,
    evaluated,
    expected,
    needed,
    ticked,
    used,
    variables_of,
    with_total,
)
from hypothesis import HealthCheck, Phase, assume, event, given, settings
from hypothesis import strategies as st
from records import finding, gone_through, record
from strategies import usual_examinations

from dermreport.answers import answers
from dermreport.examination.model import Examination
from dermreport.examination.reader import read_json, write_json
from dermreport.expressions.evaluate import Scope
from dermreport.expressions.nodes import AtLeastOf, Expression, Holds, Not, Unresolved, every, some
from dermreport.fhir.releases import Release
from dermreport.form import scores as form_scores
from dermreport.form.reading import from_response
from dermreport.form.response import to_response
from dermreport.form.score_intervals import NotExactError, Sheet, camel, interval
from dermreport.form.scores import CALCULATED_URL, VARIABLE_URL, link_id, score_expressions, score_items, variables
from dermreport.scores.engine import score
from dermreport.scores.method import CAUTIONS, Counted, Criterion, Method, PartRange, Threshold
from dermreport.scores.methods import BY_CODE, CHECKLISTS
from dermreport.sources import COMMON_PRACTICE
from dermreport.vocabulary.finding_lists import FindingList
from dermreport.vocabulary.presences import Presence
from dermreport.vocabulary.score_methods import ScoreMethod
from dermreport.vocabulary.verdicts import Verdict

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping

# --- Intervals of any method -----------------------------------------------------------------------------------------

_PATHS = [
    *(
        f"whole.{axis}.{aspect}"
        for axis in ("first_axis", "second_axis")
        for aspect in ("contour", "colour", "structure")
    ),
    "whole.symmetric_all_axes",
    "whole.white_paler_than_skin",
]
_INPUTS: list[Expression] = [*(Holds(path) for path in _PATHS), Unresolved("left open"), Unresolved("left open too")]


class _Told:
    """A binding that says the state of each input as a literal."""

    def __init__(self, states: Mapping[str, str]) -> None:
        self._states = states

    def holds(self, path: str) -> str:
        return {"yes": "true", "no": "false"}.get(self._states[path], "{}")

    def number(self, path: str) -> str:
        return self._states[path]


def _joints(inputs: list[Expression], most: int) -> st.SearchStrategy[Expression]:
    """Draw small expressions of some inputs, which may ask one of them twice."""
    alone = st.sampled_from(inputs)
    several = st.lists(alone, min_size=1, max_size=most)
    return st.one_of(
        alone,
        alone.map(Not),
        several.map(lambda parts: every(*parts)),
        several.map(lambda parts: some(*parts)),
        st.tuples(alone, several).map(lambda drawn: every(drawn[0], Not(some(*drawn[1])))),
    )


@st.composite
def methods(draw: st.DrawFn) -> Method:
    """Draw a method: criteria that share no input, a part of limited range that may, and one that counts parts."""
    kinds = draw(
        st.sampled_from([("apart",), ("limited",), ("apart", "limited"), ("counting",), ("apart", "counting")])
    )
    vetoes = st.sampled_from([False, False, True]) if "counting" in kinds else st.just(value=False)
    criteria: list[Criterion | Counted] = []
    ranges: list[PartRange] = []
    if "apart" in kinds:
        for number in range(draw(st.integers(1, 3))):
            when = draw(st.sampled_from([_INPUTS[number], Not(_INPUTS[number]), _INPUTS[-1 - number]]))
            tenths = draw(st.sampled_from([-20, -10, 0, 5, 10, 13]))
            criteria.append(_criterion(f"a{number}", when, tenths, vetoes=draw(vetoes)))
        weight = draw(st.sampled_from([1, -5]))
        criteria.append(Counted("number", "number", "whole.border_segments", weight, 0, 8, COMMON_PRACTICE))
    if "limited" in kinds:
        tenths = draw(st.sampled_from([5, 10]))
        drawn = draw(st.lists(_joints(_INPUTS[3:8], 3), min_size=1, max_size=4))
        criteria += [_criterion(f"b{number}", when, tenths, "part") for number, when in enumerate(drawn)]
        lowest = draw(st.integers(0, 2))
        ranges.append(PartRange("part", lowest, lowest + draw(st.integers(0, 3)), "Outside."))
    if "counting" in kinds:
        parts = tuple(draw(st.lists(_joints(_INPUTS[3:], 2), min_size=2, max_size=4)))
        for number in range(draw(st.integers(1, 2))):
            least = draw(st.integers(1, len(parts)))
            exactly = every(AtLeastOf(least, parts), Not(AtLeastOf(least + 1, parts)))
            when = draw(st.sampled_from([AtLeastOf(least, parts), exactly]))
            criteria.append(_criterion(f"c{number}", when, draw(st.sampled_from([0, 5, 10])), vetoes=draw(vetoes)))
    return Method(
        code=ScoreMethod.MENZIES,
        version="drawn",
        criteria=tuple(criteria),
        thresholds=(Threshold(draw(st.integers(1, 20)), Verdict.ABOVE_THRESHOLD, ""),),
        lowest_tenths=-100,
        highest_tenths=200,
        validity=(),
        cautions=(),
        figures=(),
        basis=COMMON_PRACTICE,
        part_ranges=tuple(ranges),
    )


def _criterion(name: str, when: Expression, tenths: int, group: str = "", *, vetoes: bool = False) -> Criterion:
    return Criterion(name, name, when, tenths, COMMON_PRACTICE, group, vetoes=vetoes)


@settings(max_examples=60, suppress_health_check=[HealthCheck.filter_too_much, HealthCheck.too_slow])
@given(methods(), st.lists(st.sampled_from(["yes", "no", "uncertain"]), min_size=8, max_size=8), st.integers(-1, 8))
def test_a_printed_interval_is_the_engine_s_or_is_refused(method: Method, said: list[str], number: int) -> None:
    states = dict(zip(_PATHS, said, strict=True)) | {"whole.border_segments": "{}" if number < 0 else str(number)}
    sheet = Sheet(_Told(states))  # type: ignore[arg-type] # nothing else of the form is asked
    try:
        items = form_scores._method(sheet, method)
    except NotExactError:
        event("refused")
        assume(False)  # noqa: FBT003 - Hypothesis's own way to leave an example out
    event("printed")
    environment = variables_of({}, sheet.variables)
    said_by_form = {ending: list(compiled(text)({}, environment)) for ending, text in items.items()}
    description: dict[str, Any] = {"border_segments": number} if number >= 0 else {}
    for path, state in zip(_PATHS, said, strict=True):
        *within, field = path.split(".")[1:]
        place = description
        for name in within:
            place = place.setdefault(name, {})
        place[field] = state
    result = score(method, Scope(answers(record(description=description)), {}))
    assert said_by_form["low"] == ([] if result.low is None else [result.low])
    assert said_by_form["high"] == ([] if result.high is None else [result.high])
    assert said_by_form["verdict"] == [result.verdict.display]
    assert said_by_form["met"] == ([", ".join(result.met)] if result.met else [])
    assert said_by_form["open"] == ([", ".join(result.open)] if result.open else [])
    assert said_by_form["remarks"] == ([" ".join(result.reasons)] if result.reasons else [])


@pytest.mark.parametrize(
    "criteria",
    [
        # Both shared and of different weight; one that looks at a number and at something else; a veto that counts.
        (_criterion("a", _INPUTS[0], 10), _criterion("b", Not(_INPUTS[0]), 20)),
        (_criterion("a", AtLeastOf(1, (_INPUTS[0], _INPUTS[1])), 10), _criterion("b", _INPUTS[0], 0)),
        (_criterion("a", _INPUTS[0], 10, vetoes=True), _criterion("b", _INPUTS[1], 10)),
        # Both or neither of two: no number between them.
        (_criterion("a", _INPUTS[0], 5, "part"), _criterion("b", _INPUTS[0], 5, "part")),
    ],
    ids=["weights", "number and more", "veto that counts", "gap"],
)
def test_a_method_whose_interval_could_not_be_exact_is_refused(criteria: tuple[Criterion, ...]) -> None:
    ranges = tuple(PartRange("part", 1, 2, "Outside.") for one in criteria[:1] if one.group)
    method = Method(
        ScoreMethod.MENZIES,
        "drawn",
        criteria,
        (Threshold(10, Verdict.ABOVE_THRESHOLD, ""),),
        0,
        100,
        (),
        (),
        (),
        COMMON_PRACTICE,
        ranges,
    )
    with pytest.raises(NotExactError):
        interval(Sheet(_Told(dict.fromkeys(_PATHS, "uncertain"))), "drawn", method)  # type: ignore[arg-type] # as above


# --- The same as the library's ---------------------------------------------------------------------------------------

_ALL = tuple(score_expressions().items)
_ALL_EXAMPLES = [
    pytest.param(examination, id=f"{path.stem}-{number}")
    for path in ENTRIES
    for number, examination in enumerate(examinations(path), 1)
]


@pytest.mark.parametrize("examination", _ALL_EXAMPLES)
def test_each_example_has_the_library_s_scores(examination: Examination) -> None:
    assert evaluated(to_response(examination), _ALL) == expected(examination)


@pytest.mark.parametrize("seed", range(8))
def test_any_examination_has_the_library_s_scores(seed: int) -> None:
    examination = aimed(random.Random(seed), most=5)  # noqa: S311 - it draws examinations, not secrets
    assert evaluated(to_response(examination), _ALL) == expected(examination)


@settings(max_examples=6, suppress_health_check=[HealthCheck.too_slow], phases=[Phase.generate])
@given(usual_examinations())
def test_any_examination_however_unusual_has_the_library_s_scores(examination: Examination) -> None:
    assert evaluated(to_response(examination), _ALL) == expected(examination)


def _as_received(response: dict[str, Any]) -> dict[str, Any]:
    """Return a response as a server gives it: new dicts, numbers as they are written."""
    received: dict[str, Any] = read_json(write_json(response))
    return received


@pytest.mark.parametrize("seed", range(8))
def test_ticks_on_the_checklist_count_as_the_findings_that_they_become(seed: int) -> None:
    draw = random.Random(seed)  # noqa: S311 - as above
    some_ticks = draw.sample(FindingList.PIGMENTED_LESION.structures, draw.choice([0, 1, 6]))
    more = {structure: draw.choice(list(Presence)) for structure in some_ticks}
    response = _as_received(ticked(to_response(aimed(draw, most=5)), more))
    read = from_response(response).examination
    assert read is not None
    assert len(read.findings) >= len(more)
    assert evaluated(response, _ALL) == expected(read)


def _without(link_id: str) -> Callable[[dict[str, Any]], None]:
    def damage(response: dict[str, Any]) -> None:
        for item in _of(response, link_id.partition(".")[0]):
            item["item"] = [one for one in item["item"] if one["linkId"] != link_id]

    return damage


def _in_words(link_id: str) -> Callable[[dict[str, Any]], None]:
    def damage(response: dict[str, Any]) -> None:
        for item in _of(response, link_id.partition(".")[0]):
            item["item"] = [one for one in item["item"] if one["linkId"] != link_id]
            item["item"].append({"linkId": link_id, "answer": [{"valueString": "in words"}]})

    return damage


def _twice(link_id: str) -> Callable[[dict[str, Any]], None]:
    def damage(response: dict[str, Any]) -> None:
        response["item"].extend(_of(response, link_id))

    return damage


def _of(response: dict[str, Any], link_id: str) -> list[dict[str, Any]]:
    return [item for item in response["item"] if item["linkId"] == link_id]


@pytest.mark.parametrize(
    "damage",
    [
        _without("findings.presence"),
        _without("findings.structure"),
        _in_words("findings.structure"),
        _in_words("findings.place"),
        _in_words("findings.colours"),
        _twice("findings"),
        _in_words("description.colours"),
    ],
    ids=[
        "presence",
        "structure",
        "structure in words",
        "place in words",
        "colour in words",
        "twice",
        "colours in words",
    ],
)
def test_what_no_examination_can_hold_makes_nothing_absent(damage: Callable[[dict[str, Any]], None]) -> None:
    # Without one of the findings nobody can tell what a list that was gone through left unticked (see the entry).
    examination = record(
        lists_gone_through=gone_through("pigmented-lesion"),
        findings=[finding("network-atypical")],
        description={"colours": ["black", "light-brown"], "border_segments": 2},
    )
    sound, damaged = to_response(examination), _as_received(to_response(examination))
    damage(damaged)
    entry = from_response(damaged)
    assert entry.issues
    assert entry.examination is not None
    before, after = evaluated(sound, _ALL), evaluated(damaged, _ALL)
    assert after == expected(entry.examination)
    assert after != before
    sure, unsure = (Scope(answers(one), {}) for one in (examination, entry.examination))
    assert all(set(score(method, sure).open) <= set(score(method, unsure).open) for method in CHECKLISTS)


def test_a_view_counts_though_nobody_gave_it_a_key() -> None:
    hidden = {"key": "a", "light": "polarised", "limits": ["hair"]}
    examination = record(views=[hidden], findings=[finding("network-atypical", "absent", views=["polarised"])])
    response = _as_received(to_response(examination))
    _without("views.key")(response)
    read = from_response(response).examination
    assert read is not None
    assert [view.key for view in read.views] == ["polarised"]
    assert evaluated(response, _ALL) == expected(read)
    assert "atypical pigment network" in evaluated(response, _ALL)["scores.three-point.open"][0]


# --- Published totals ------------------------------------------------------------------------------------------------


def test_each_of_the_810_totals_is_calculated() -> None:
    # 810 combinations: Tas 2019, doi:10.5812/jssc.102138 (abstract read); weights and thresholds of Nachbar 1994,
    # doi:10.1016/s0190-9622(94)70061-3. No answer belongs to two parts of the total, so what answers make of criteria
    # is evaluated once for each state of a part; the conformance run evaluates the 810 responses whole.
    method = BY_CODE[ScoreMethod.TOTAL_DERMOSCOPY_SCORE]
    prefix = "totalDermoscopyScore"
    texts = [score_expressions().items[link_id(method, ending)] for ending in ("low", "high", "verdict")]
    criteria = {
        part: [f"{prefix}{camel(one.id)}" for one in method.criteria if one.group == part] for part in PARTS_OF_TOTAL
    }
    sums = [
        step
        for step in needed(texts)
        if step.name.startswith(prefix) and not any(step.name in names for names in criteria.values())
    ]
    assert not any("resource" in step.expression for step in sums)
    lowest = {part: span[0] for part, span in PARTS_OF_TOTAL.items()}
    valid = needed([f"%{prefix}Unfit"])
    environment = variables_of(to_response(with_total(**lowest)), valid)
    states = {
        part: {
            number: variables_of(
                to_response(with_total(**{**lowest, part: number})), needed([f"%{name}" for name in criteria[part]])
            )
            for number in span
        }
        for part, span in PARTS_OF_TOTAL.items()
    }
    totals: Counter[Decimal] = Counter()
    for asymmetry, border, colours, structures in product(*PARTS_OF_TOTAL.values()):
        environment |= states["structures"][structures] | states["colours"][colours]
        environment |= states["border"][border] | states["asymmetry"][asymmetry]
        for step in sums:
            environment[step.name] = list(compiled(step.expression)({}, environment))
        (low,), (high,), (verdict,) = (list(compiled(text)({}, environment)) for text in texts)
        tenths = 13 * asymmetry + border + 5 * colours + 5 * structures
        assert low == high == Decimal(tenths) / 10
        assert verdict == method.verdict(tenths).display
        totals[low] += 1
    assert totals.total() == 810
    assert len(totals) == 80


# --- The items -------------------------------------------------------------------------------------------------------

RELEASES = tuple(Release)


def _inner(items: list[dict[str, Any]]) -> Iterator[dict[str, Any]]:
    for item in items:
        yield item
        yield from _inner(item.get("item", []))


@pytest.mark.parametrize("release", RELEASES)
def test_each_method_stands_with_its_cautions_threshold_and_source(release: Release) -> None:
    groups = score_items(release)
    assert [group["linkId"] for group in groups] == [link_id(method) for method in CHECKLISTS]
    for method, group in zip(CHECKLISTS, groups, strict=True):
        shown = " ".join(item["text"] for item in _inner([group]))
        assert all(caution in group["item"][0]["text"] for caution in (*CAUTIONS, *method.cautions))
        assert all(threshold.text in shown for threshold in method.thresholds)
        assert method.basis.text in shown


@pytest.mark.parametrize("release", RELEASES)
def test_nothing_of_a_score_is_typed_or_preselected(release: Release) -> None:
    items = list(_inner(score_items(release)))
    assert len({item["linkId"] for item in items}) == len(items)
    calculated = [item for item in items if item["type"] not in {"group", "display"}]
    assert {item["linkId"] for item in calculated} == set(_ALL)
    for item in calculated:
        assert item["readOnly"] is True
        assert not {"initial", "required", "repeats"} & set(item)
        (expression,) = item["extension"]
        assert expression["url"] == CALCULATED_URL
        assert expression["valueExpression"]["language"] == "text/fhirpath"
        assert expression["valueExpression"]["expression"] == score_expressions().items[item["linkId"]]


@pytest.mark.parametrize("release", RELEASES)
def test_variables_are_named_once_and_used_after_they_are_made(release: Release) -> None:
    made: set[str] = {"resource"}
    for extension in variables(release):
        assert extension["url"] == VARIABLE_URL
        named = extension["valueExpression"]
        # A name is both an id of FHIR, without underscore, and an identifier of FHIRPath, without hyphen.
        assert re.fullmatch(r"[a-z][A-Za-z0-9]{0,63}", named["name"])
        assert used(named["expression"]) <= made
        assert named["name"] not in made
        made.add(named["name"])
    for text in score_expressions().items.values():
        assert used(text) <= made


def test_a_form_evaluates_less_than_a_hundred_thousand_characters() -> None:
    expressions = [*(text for _, text in score_expressions().variables), *score_expressions().items.values()]
    assert sum(map(len, expressions)) < 100_000
    assert max(map(len, expressions)) < 5_000


def test_every_variable_is_used() -> None:
    texts = [*(text for _, text in score_expressions().variables), *score_expressions().items.values()]
    unused = {name for name, _ in score_expressions().variables} - {name for text in texts for name in used(text)}
    assert unused == set()
