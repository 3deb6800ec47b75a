"""The engine: intervals against every completion by the second implementation, and the tables of the methods."""

from __future__ import annotations

import itertools
import re
from decimal import Decimal
from typing import TYPE_CHECKING, Any

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from records import NON_POLARISED_ONLY, finding, gone_through, merged, scope, scope_of
from score_facts import FACTS, UNSAYABLE_FACTS, State, answers_to, entry_of, lesion_for, said, sayable_answers
from scores_independent import ARCHITECTURE, BY_CODE, GREY_IS_BLUE, PINK_IS_RED, Outcome
from strategies import usual_examinations

from dermreport.answers import answers
from dermreport.examination.model import Examination
from dermreport.expressions.evaluate import Scope, evaluator
from dermreport.expressions.nodes import (
    All,
    AtLeastOf,
    ColourSeen,
    Exists,
    Expression,
    Fact,
    Found,
    Given,
    Is,
    Leaf,
    Not,
    Present,
    Unresolved,
    every,
    leaves,
    some,
)
from dermreport.expressions.nodes import (
    Any as AnyOf,
)
from dermreport.rules.facts import FACTS as DERIVED
from dermreport.scores.completions import completions_of, remainder, true_in
from dermreport.scores.engine import MAX_SHARED, OpenInput, ScoreResult, score
from dermreport.scores.method import CAUTIONS, ClueList, Counted, Criterion, Method, PartRange, Steps, Threshold
from dermreport.scores.methods import BY_CODE as METHOD_BY_CODE
from dermreport.scores.methods import CHECKLISTS, CLUE_LISTS, METHODS
from dermreport.sources import COMMON_PRACTICE, Basis, Known
from dermreport.vocabulary.colours import Colour
from dermreport.vocabulary.finding_lists import FindingList
from dermreport.vocabulary.score_methods import ScoreMethod
from dermreport.vocabulary.structures import Structure
from dermreport.vocabulary.verdicts import Verdict

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

each_method = pytest.mark.parametrize("method", METHODS, ids=lambda method: method.code)
#: Methods and their named variants.
EVERY_METHOD = [one for method in METHODS for one in (method, *(method.variant(v.name) for v in method.variants))]
each_reading = pytest.mark.parametrize("method", EVERY_METHOD, ids=lambda method: method.id)

_TRUE, _FALSE = All(()), AnyOf(())

#: Open inputs of one examination that are tried in every way, at most.
TRIED = 10
_SAYABLE = {code: [name for name in facts if name not in UNSAYABLE_FACTS] for code, facts in FACTS.items()}
_LEFT_OPEN_BY_SOURCES = frozenset((PINK_IS_RED, GREY_IS_BLUE))
#: Facts that a method asks by more than one input, so that an answer stands for the answers to several.
_ASKED_BY_SEVERAL = frozenset((("cash", ARCHITECTURE),))
#: What an input is called that isn't called as its fact.
_FACT_OF_INPUT = {
    "growing-for-a-month": "lesion.history.growing",
    "the lesion feels firm": "lesion.palpation.consistency",
}


def scored(method: Method, entry: dict[str, Any]) -> ScoreResult:
    """Return a method's score of an entry."""
    return score(method, scope_of(entry))


def completions(method: str, states: Mapping[str, State]) -> list[tuple[dict[str, State], Outcome]]:
    """Return every completion of what is open, each with what the second implementation says of it."""
    opened = [name for name, state in states.items() if state is None]
    found = []
    for values in itertools.product(*(answers_to(method, name) for name in opened)):
        complete = {**states, **dict(zip(opened, values, strict=True))}
        found.append((complete, BY_CODE[method](complete)))
    return found


def fact_of(leaf: Leaf | str) -> str:
    """Return the fact that an open input asks."""
    match leaf:
        case Present(structure) | Found(structure, _):
            return structure.value
        case ColourSeen(colour):
            return f"colour {colour.value}"
        case Unresolved(name) | Fact(name):
            return _FACT_OF_INPUT.get(name, name)
        case str(path):
            return path
        case _:
            path: str = leaf.path  # type: ignore[union-attr]
            return path


@st.composite
def partly_known(draw: st.DrawFn, method: str) -> tuple[dict[str, State], dict[str, Any]]:
    """Draw the states of a method's facts, some of them open, and an entry that says them in some way."""
    names = _SAYABLE[method]
    unsayable = [name for name in FACTS[method] if name in UNSAYABLE_FACTS]
    can_be_open = st.sampled_from([name for name in names if None in FACTS[method][name]])
    opened = draw(st.sets(can_be_open, max_size=TRIED - len(unsayable)))
    states: dict[str, State] = {
        name: None if name in opened else draw(st.sampled_from(said(method, name))) for name in names
    }
    states |= dict.fromkeys(unsayable)
    pick = draw(st.randoms(use_true_random=False)).choice
    return states, entry_of(method, states, pick)


def inside(found: list[tuple[dict[str, State], Outcome]]) -> tuple[list[Decimal], set[str]]:
    """Return the totals and the verdicts of completions that have a total."""
    with_total = [outcome for _, outcome in found if outcome is not None]
    return [total for total, _ in with_total], {verdict for _, verdict in with_total}


def hangs_on(fact: str, found: list[tuple[dict[str, State], Outcome]]) -> bool:
    """Return whether some completion of all but one fact gives two verdicts by its answer."""
    verdicts: dict[tuple[State, ...], set[str]] = {}
    for states, outcome in found:
        if outcome is not None:
            others = tuple(state for name, state in states.items() if name != fact)
            verdicts.setdefault(others, set()).add(outcome[1])
    return any(len(each) > 1 for each in verdicts.values())


def check_interval(method: Method, states: Mapping[str, State], result: ScoreResult) -> None:
    """Hold a score against every completion of the facts that are open."""
    found = completions(method.code, states)
    totals, verdicts = inside(found)
    assert result.valid is bool(totals)
    if not totals:
        return
    assert (result.low, result.high) == (min(totals), max(totals))
    assert {verdict.value for verdict in result.possible} == verdicts
    assert result.settled is (len(verdicts) == 1)
    assert result.verdict is (result.possible[0] if len(verdicts) == 1 else Verdict.NOT_SETTLED)
    listed: dict[str, list[OpenInput]] = {}
    for one in result.open_inputs:
        listed.setdefault(fact_of(one.leaf), []).append(one)
    opened = {name for name, state in states.items() if state is None}
    assert set(listed) <= opened
    for name in opened:
        after = [inside([one for one in found if one[0][name] == value]) for value in answers_to(method.code, name)]
        if name in listed:
            settling = not result.settled and any(len(verdicts) == 1 for _, verdicts in after)
            settles = any(one.settles for one in listed[name])
            if (method.code, name) in _ASKED_BY_SEVERAL:
                # Each input is answered apart: what one answer to all of them settles, no single one need.
                assert settling or not settles, name
            else:
                assert len(listed[name]) == 1, name
                assert settles is settling, name
            assert any(one.changes for one in listed[name]) is hangs_on(name, found), name
            assert {one.answerable for one in listed[name]} == {name not in _LEFT_OPEN_BY_SOURCES}
        else:
            # What isn't listed makes no difference, whatever the others turn out to be.
            assert all(set(totals) == set(other[0]) and verdicts == other[1] for other in after), name


@pytest.mark.parametrize("code", [code for code in FACTS if code != "total-dermoscopy-score"])
@settings(max_examples=60)
@given(data=st.data())
def test_an_interval_is_that_of_every_completion(code: str, data: st.DataObject) -> None:
    method = METHOD_BY_CODE[ScoreMethod(code)]
    states, entry = data.draw(partly_known(code))
    check_interval(method, states, scored(method, entry))


@settings(max_examples=40)
@given(data=st.data())
def test_an_interval_of_the_total_dermoscopy_score_is_that_of_every_completion(data: st.DataObject) -> None:
    # Apart from the others because a missing border stands for nine numbers.
    method = METHOD_BY_CODE[ScoreMethod.TOTAL_DERMOSCOPY_SCORE]
    states, entry = data.draw(partly_known(method.code))
    check_interval(method, states, scored(method, entry))


@pytest.mark.parametrize("code", FACTS)
@settings(max_examples=40)
@given(data=st.data())
def test_answering_never_widens_an_interval(code: str, data: st.DataObject) -> None:
    method = METHOD_BY_CODE[ScoreMethod(code)]
    states, entry = data.draw(partly_known(code))
    before = scored(method, entry)
    can_be_said = [name for name, state in states.items() if state is None and name not in UNSAYABLE_FACTS]
    assume(can_be_said and before.valid)
    name = data.draw(st.sampled_from(can_be_said))
    states[name] = data.draw(st.sampled_from(sayable_answers(code, name)))
    after = scored(method, entry_of(code, states))
    assume(after.valid)
    assert before.low is not None
    assert before.high is not None
    assert after.low is not None
    assert after.high is not None
    assert before.low <= after.low <= after.high <= before.high
    assert set(after.possible) <= set(before.possible)
    # An input stays open only where it was open, and a settled verdict stays.
    assert {fact_of(one.leaf) for one in after.open_inputs} <= {fact_of(one.leaf) for one in before.open_inputs}
    if before.settled:
        assert after.verdict is before.verdict


@pytest.mark.parametrize("code", FACTS)
def test_with_every_input_open_the_interval_is_the_published_range(code: str) -> None:
    method = METHOD_BY_CODE[ScoreMethod(code)]
    result = score(method, scope(lesion=lesion_for(code)))
    assert (result.low_tenths, result.high_tenths) == (method.lowest_tenths, method.highest_tenths)
    assert result.verdict is Verdict.NOT_SETTLED
    assert set(result.possible) == {Verdict.BELOW_THRESHOLD, *(one.verdict for one in method.thresholds)}
    assert result.met == ()
    # Nobody said that there is no doubt at all: that is known.
    assert result.open == tuple(one.id for one in method.criteria if not one.id.startswith("unequivocal-"))


# --- Shared inputs, words that are too wide, partial views -----------------------------------------------------------

_NO_AXIS = dict.fromkeys(("contour", "colour", "structure"), "no")
_KNOWN: dict[str, Any] = {
    "findings": [finding("network")],
    "lists_gone_through": gone_through("pigmented-lesion"),
    "description": {
        "colours": ["black"],
        "border_segments": 0,
        "first_axis": _NO_AXIS,
        "second_axis": _NO_AXIS,
        "symmetric_all_axes": "no",
    },
}


def known_but(method: ScoreMethod, **changes: Any) -> ScoreResult:
    """Return the score of a record in which every input is known, with these changes."""
    return score(METHOD_BY_CODE[method], scope(**merged(_KNOWN, changes)))


def test_colours_that_two_criteria_share_are_completed_together() -> None:
    # Four colours sure and one in doubt: five or six colours, or none of the two criteria; never both.
    colours = ["black", "grey", "blue", "dark-brown"]
    result = known_but(ScoreMethod.MENZIES, description={"colours": colours, "doubtful_colours": ["red"]})
    assert (result.low, result.high) == (0, 1)
    assert [(one.leaf, one.criteria, one.settles) for one in result.open_inputs] == [
        (ColourSeen(Colour.RED), ("many-colours",), True)
    ]
    # One colour sure and one in doubt: a single colour or two.
    single = known_but(ScoreMethod.MENZIES, description={"colours": ["black"], "doubtful_colours": ["red"]})
    assert (single.low, single.high, single.verdict) == (0, 0, Verdict.BELOW_THRESHOLD)
    assert single.open == ("single-colour",)


@pytest.mark.parametrize(
    ("colours", "low", "high"),
    [
        # One shade or both; with the light one told, the dark one may be there too.
        (["brown"], "1", "1.5"),
        (["brown", "light-brown"], "1", "1.5"),
        (["brown", "light-brown", "dark-brown"], "1.5", "1.5"),
        (["brown", "black"], "1.5", "2"),
    ],
)
def test_a_brown_of_unknown_shade_is_at_least_one_of_two(colours: list[str], low: str, high: str) -> None:
    result = known_but(ScoreMethod.TOTAL_DERMOSCOPY_SCORE, description={"colours": colours})
    assert (result.low, result.high) == (Decimal(low), Decimal(high))
    # A look at the lesion tells the shade.
    assert all(one.answerable for one in result.open_inputs)
    assert bool(result.open_inputs) is (low != high)


def test_no_answer_settles_what_pink_counts_as() -> None:
    # Four structures, three colours and pink: 4.8 with pink as red, 4.3 without, so pink decides.
    structures = [
        finding("network"),
        finding("globules"),
        finding("dots-black", count=3),
        finding("lines-branched", count=3),
    ]
    result = known_but(
        ScoreMethod.TOTAL_DERMOSCOPY_SCORE,
        findings=structures,
        description={"colours": ["black", "blue", "light-brown", "pink"], "border_segments": 8},
    )
    assert (result.low, result.high) == (Decimal("4.3"), Decimal("4.8"))
    assert result.verdict is Verdict.NOT_SETTLED
    (pink,) = result.open_inputs
    assert (pink.settles, pink.answerable) == (True, False)
    assert result.would_settle == ()


def test_pink_and_brown_ask_nothing_where_they_were_not_seen() -> None:
    result = known_but(ScoreMethod.TOTAL_DERMOSCOPY_SCORE, description={"doubtful_colours": ["red", "light-brown"]})
    assert [fact_of(one.leaf) for one in result.open_inputs] == ["colour red", "colour light-brown"]


def test_a_missing_border_is_any_of_nine_numbers() -> None:
    result = known_but(ScoreMethod.TOTAL_DERMOSCOPY_SCORE, description={"border_segments": None})
    assert (result.low, result.high) == (1, Decimal("1.8"))
    assert result.open == ("border",)
    assert [one.leaf for one in result.open_inputs] == ["whole.border_segments"]


def test_a_border_that_decides_is_said_to_settle() -> None:
    # 2.6 for two axes and 2 for four parts; the border's 0 to 0.8 reaches 4.75 or not.
    axis = {**_NO_AXIS, "colour": "yes"}
    result = known_but(
        ScoreMethod.TOTAL_DERMOSCOPY_SCORE,
        findings=[finding("network"), finding("globules")],
        description={
            "first_axis": axis,
            "second_axis": axis,
            "colours": ["black", "blue"],
            "border_segments": None,
        },
    )
    assert (result.low, result.high) == (Decimal("4.6"), Decimal("5.4"))
    assert result.possible == (Verdict.BELOW_THRESHOLD, Verdict.BETWEEN_THRESHOLDS)
    assert [one.leaf for one in result.would_settle] == ["whole.border_segments"]


_PARTIAL = [{**NON_POLARISED_ONLY[0], "covers": "part"}]


@pytest.mark.parametrize(
    ("method", "opened"),
    [
        (ScoreMethod.TOTAL_DERMOSCOPY_SCORE, {"first-axis", "second-axis", "border"}),
        (ScoreMethod.THREE_POINT, {"asymmetry"}),
        (ScoreMethod.MENZIES, {"symmetric", "single-colour", "many-colours"}),
    ],
)
def test_what_is_said_of_the_whole_lesion_is_open_where_no_view_shows_it(method: ScoreMethod, opened: set[str]) -> None:
    assert known_but(method).open == ()
    partial = known_but(method, views=_PARTIAL)
    assert opened <= set(partial.open)
    assert known_but(method, views=[*_PARTIAL, {**NON_POLARISED_ONLY[0], "key": "all", "covers": "whole"}]).open == ()


@pytest.mark.parametrize("aspect", ["structure", "colour"])
def test_acral_asymmetry_is_open_where_no_view_shows_the_whole_lesion(aspect: str) -> None:
    acral = {"lesion": {"site": "sole"}, "lists_gone_through": gone_through("acral-patterns"), "findings": []}
    assert known_but(ScoreMethod.BRAAFF, **acral).open == ()
    assert f"asymmetry-{aspect}" in known_but(ScoreMethod.BRAAFF, **acral, views=_PARTIAL).open


#: Shiny white structures that a method asks outright, so that it is open without the light that shows them: triage
#: (https://dermoscopedia.org/05-TADA, read in part) and the white lines of revised pattern analysis.
_WHITE_ASKED = {
    ScoreMethod.TRIAGE: {"lines-white-perpendicular", "shiny-white-strands", "shiny-white-areas"},
    ScoreMethod.REVISED_PATTERN_ANALYSIS: {"lines-white-perpendicular", "shiny-white-strands"},
}
#: Structures that methods ask and no list does.
_IN_NO_LIST = {"lines-angulated"}


@each_method
@pytest.mark.parametrize("asked", [set(), {"lists"}], ids=["found absent", "lists gone through"])
def test_light_that_cannot_show_a_structure_opens_only_the_criterion_that_asks_it(
    method: Method, asked: set[str]
) -> None:
    # Shiny white structures, seen in polarised light only, were called absent in another light: not assessed.
    white = ("lines-white-perpendicular", "shiny-white-strands", "shiny-white-areas", "rosettes")
    lists = (
        FindingList if asked else (FindingList.PIGMENTED_LESION, FindingList.ACRAL_PATTERNS, FindingList.MUCOSAL_SIGNS)
    )
    changes = merged(
        _KNOWN,
        {
            "views": NON_POLARISED_ONLY,
            "findings": [*_KNOWN["findings"], *(finding(one, "absent") for one in white)],
            "lesion": lesion_for(method.code),
            "lists_gone_through": gone_through(*(one.value for one in lists)),
        },
    )
    here = scope(**changes)
    assert all(here.answers.of(Structure(one)).truth is None for one in white)
    result = score(method, here)
    assert result.valid
    still_open = {one.leaf.structure.value for one in result.open_inputs if isinstance(one.leaf, Present | Found)}
    assert still_open & set(white) == _WHITE_ASKED.get(method.code, set())
    if asked or method in CHECKLISTS:
        assert still_open <= {*white, *_IN_NO_LIST}


# --- A veto, a part's range, and the order of what is told -----------------------------------------------------------


def test_an_open_veto_leaves_the_verdict_open_and_settles_it() -> None:
    result = known_but(
        ScoreMethod.MENZIES,
        findings=[finding("network-thick")],
        description={"colours": ["black", "blue"], "symmetric_all_axes": "uncertain"},
    )
    assert (result.low, result.high) == (1, 1)
    assert result.possible == (Verdict.BELOW_THRESHOLD, Verdict.ABOVE_THRESHOLD)
    assert result.verdict is Verdict.NOT_SETTLED
    assert [fact_of(one.leaf) for one in result.would_settle] == ["whole.symmetric_all_axes"]


def test_a_completion_outside_a_part_s_range_has_no_total() -> None:
    # The only structure is in doubt: without it the method has no total, so each total that remains has it.
    result = known_but(ScoreMethod.TOTAL_DERMOSCOPY_SCORE, findings=[finding("network", "uncertain")])
    assert (result.low, result.high) == (1, 1)
    assert result.open == ("network",)


def test_met_and_open_criteria_are_in_the_method_s_order() -> None:
    result = known_but(
        ScoreMethod.TOTAL_DERMOSCOPY_SCORE,
        findings=[finding("network"), finding("globules", "uncertain")],
        description={"border_segments": 3, "second_axis": None, "first_axis": {"colour": "yes"}},
    )
    assert result.met == ("first-axis", "border", "black", "network")
    assert result.open == ("second-axis", "globules")
    assert [one.criteria[0] for one in result.open_inputs] == [*["second-axis"] * 3, "globules"]


def test_a_settled_verdict_may_have_open_inputs_that_settle_nothing() -> None:
    # Two of three points sure, the third open.
    result = known_but(
        ScoreMethod.THREE_POINT,
        findings=[finding("network-atypical"), finding("blue-white-veil")],
        description={"first_axis": None},
    )
    assert (result.low, result.high, result.verdict) == (2, 3, Verdict.ABOVE_THRESHOLD)
    assert result.settled
    assert [one.settles for one in result.open_inputs] == [False, False]
    assert result.would_settle == ()


def test_more_open_inputs_than_are_completed_together_are_refused() -> None:
    too_many = AtLeastOf(1, tuple(Unresolved(str(number)) for number in range(MAX_SHARED + 1)))
    three_point = METHOD_BY_CODE[ScoreMethod.THREE_POINT]
    first = three_point.criteria[0]
    assert isinstance(first, Criterion)
    broken = Method(
        code=three_point.code,
        version="one criterion that asks too much",
        criteria=(Criterion("a", "a", too_many, 10, first.basis),),
        thresholds=three_point.thresholds,
        lowest_tenths=0,
        highest_tenths=10,
        validity=(),
        cautions=(),
        figures=(),
        basis=first.basis,
    )
    with pytest.raises(ValueError, match=str(MAX_SHARED + 1)):
        score(broken, scope())


@st.composite
def methods(draw: st.DrawFn) -> Method:
    """Draw a method of two groups whose inputs are all open or known for sure, with vetoes and ranges."""
    criteria: list[Criterion | Counted] = []
    for group in "ab":
        inputs = st.sampled_from(
            [*(Unresolved(f"{group}{number}", answerable=True) for number in range(3)), _TRUE, _FALSE]
        )
        for number in range(draw(st.integers(1, 3))):
            when = draw(
                st.recursive(
                    inputs,
                    lambda inner: st.one_of(
                        st.lists(inner, max_size=3).map(lambda parts: every(*parts)),
                        st.lists(inner, max_size=3).map(lambda parts: some(*parts)),
                        inner.map(Not),
                    ),
                    max_leaves=4,
                )
            )
            tenths = draw(st.sampled_from([-20, -10, 0, 5, 10, 13, 30]))
            vetoes = draw(st.sampled_from([False, False, False, True]))
            criteria.append(Criterion(f"{group}{number}", "drawn", when, tenths, COMMON_PRACTICE, group, vetoes=vetoes))
    if draw(st.booleans()):
        criteria.append(
            Counted(
                "number", "drawn", "whole.border_segments", draw(st.sampled_from([1, -5])), 0, 8, COMMON_PRACTICE, "b"
            )
        )
    lowest = draw(st.integers(0, 2))
    return Method(
        code=ScoreMethod.MENZIES,
        version="drawn",
        criteria=tuple(criteria),
        thresholds=(
            Threshold(draw(st.integers(1, 10)), Verdict.BETWEEN_THRESHOLDS, ""),
            Threshold(draw(st.integers(11, 30)), Verdict.ABOVE_THRESHOLD, ""),
        ),
        lowest_tenths=-100,
        highest_tenths=200,
        validity=(),
        cautions=(),
        figures=(),
        basis=COMMON_PRACTICE,
        part_ranges=(PartRange("a", lowest, lowest + draw(st.integers(0, 2)), "Outside."),),
    )


def drawn_outcomes(method: Method, known: Mapping[Leaf | str, int]) -> tuple[int, Verdict] | None:
    """Return the total in tenths and the verdict of a drawn method when every input is known."""
    total, vetoed, numbers = 0, False, {"a": 0, "b": 0}
    for criterion in method.criteria:
        if isinstance(criterion, Counted):
            value = known[criterion.path]
        else:
            value = int(truth_by_hand(criterion.when, {leaf: bool(one) for leaf, one in known.items()}))
            vetoed = vetoed or (criterion.vetoes and value == 1)
        total += value * criterion.tenths
        numbers[criterion.group] += value
    for limit in method.part_ranges:
        if not limit.lowest <= numbers[limit.group] <= limit.highest:
            return None
    return total, Verdict.BELOW_THRESHOLD if vetoed else method.verdict(total)


@settings(max_examples=100)
@given(methods())
def test_any_method_s_interval_is_that_of_every_completion(method: Method) -> None:
    asked: dict[Leaf | str, Sequence[int]] = {}
    for criterion in method.criteria:
        if isinstance(criterion, Counted):
            asked[criterion.path] = range(criterion.lowest, criterion.highest + 1)
        else:
            asked |= dict.fromkeys(leaves(criterion.when), (0, 1))
    inputs = list(asked)
    found = [
        (dict(zip(inputs, values, strict=True)), drawn_outcomes(method, dict(zip(inputs, values, strict=True))))
        for values in itertools.product(*asked.values())
    ]
    results = [outcome for _, outcome in found if outcome is not None]
    result = score(method, scope())
    assert result.valid is bool(results)
    if not results:
        assert result.reasons == ("Outside.",)
        return
    totals = [total for total, _ in results]
    verdicts = {verdict for _, verdict in results}
    assert (result.low_tenths, result.high_tenths) == (min(totals), max(totals))
    assert set(result.possible) == verdicts
    assert list(result.possible) == [one for one in Verdict if one in verdicts]
    for one in result.open_inputs:
        after = [
            {outcome[1] for known, outcome in found if outcome is not None and known[one.leaf] == value}
            for value in asked[one.leaf]
        ]
        assert one.settles is (len(verdicts) > 1 and any(len(each) == 1 for each in after))


def test_what_a_part_s_range_leaves_out_settles_nothing_and_unsettles_nothing() -> None:
    # 4.3 without the structures, which are one to three: 4.8, 5.3 or 5.8. Each one lacking leaves 4.8 or 5.3.
    result = known_but(
        ScoreMethod.TOTAL_DERMOSCOPY_SCORE,
        findings=[finding(name, "uncertain") for name in ("network", "globules", "lines-branched")],
        description={
            "first_axis": {"colour": "yes"},
            "colours": ["black", "blue", "red", "light-brown", "dark-brown"],
            "border_segments": 5,
        },
    )
    assert (result.low, result.high) == (Decimal("4.8"), Decimal("5.8"))
    assert result.possible == (Verdict.BETWEEN_THRESHOLDS, Verdict.ABOVE_THRESHOLD)
    assert [one.settles for one in result.open_inputs] == [True, True, True]


# --- Completions -----------------------------------------------------------------------------------------------------

_A, _B, _C, _D = (Unresolved(name) for name in "abcd")


def expressions() -> st.SearchStrategy[Expression]:
    """Draw expressions of four open leaves and two known ones."""
    return st.recursive(
        st.sampled_from([_A, _B, _C, _D, _TRUE, _FALSE]),
        lambda inner: st.one_of(
            st.builds(All, st.lists(inner, max_size=3).map(tuple)),
            st.builds(AnyOf, st.lists(inner, max_size=3).map(tuple)),
            st.builds(Not, inner),
            st.builds(AtLeastOf, st.integers(0, 4), st.lists(inner, max_size=4).map(tuple)),
        ),
        max_leaves=12,
    )


def truth_by_hand(expression: Expression, known: Mapping[Leaf, bool]) -> bool:
    """Return the truth of an expression whose every leaf is known, in two values."""
    match expression:
        case All(parts):
            return all(truth_by_hand(part, known) for part in parts)
        case AnyOf(parts):
            return any(truth_by_hand(part, known) for part in parts)
        case Not(part):
            return not truth_by_hand(part, known)
        case AtLeastOf(number, parts):
            return sum(truth_by_hand(part, known) for part in parts) >= number
        case leaf:
            return known[leaf]


@given(expressions())
def test_a_remainder_and_its_completions_are_those_of_the_expression(expression: Expression) -> None:
    rest = remainder(expression)(scope())
    truth = evaluator(expression)(scope(), None)
    assert (rest if isinstance(rest, bool) else None) is truth
    names = (_A, _B, _C, _D)
    every_one, yes = completions_of(4)
    tables: dict[Leaf, int] = dict(zip(names, yes, strict=True))
    where = true_in(expression, tables, every_one)
    for completion, values in enumerate(itertools.product((False, True), repeat=4)):
        known: dict[Leaf, bool] = dict(zip(names, reversed(values), strict=True))
        by_hand = truth_by_hand(expression, known)
        assert bool(where >> completion & 1) is by_hand
        if isinstance(rest, bool):
            assert by_hand is rest
        else:
            assert truth_by_hand(rest, known) is by_hand


@pytest.mark.parametrize("number", range(7))
def test_completions_are_all_and_each_once(number: int) -> None:
    every_one, yes = completions_of(number)
    assert every_one == 2 ** (2**number) - 1
    for position, table in enumerate(yes):
        assert [bool(table >> index & 1) for index in range(2**number)] == [
            bool(index >> position & 1) for index in range(2**number)
        ]


# --- The tables of the methods ---------------------------------------------------------------------------------------


def bases(method: Method) -> Iterator[tuple[str, Basis]]:
    """Return every row of a method that says how it is known."""
    yield method.id, method.basis
    for criterion in method.criteria:
        yield criterion.id, criterion.basis
    for validity in method.validity:
        yield validity.reason, validity.basis
    for figure in method.figures:
        yield figure.text, figure.basis
    for variant in method.variants:
        yield variant.name, variant.basis
        for criterion in variant.criteria:
            yield f"{variant.name}, {criterion.id}", criterion.basis


@each_method
def test_every_row_says_how_it_is_known(method: Method) -> None:
    rows = list(bases(method))
    assert len(rows) > len(method.criteria)
    for name, basis in rows:
        assert isinstance(basis, Basis), name
        assert bool(basis.sources) is (basis.known is Known.SEEN), name
    assert method.basis.known is Known.SEEN
    assert method.figures or "No study of its accuracy was found." in method.cautions


def test_every_method_is_in_the_list_once() -> None:
    assert [method.code for method in METHODS] == list(dict.fromkeys(method.code for method in METHODS))
    assert {method.code for method in METHODS} == set(METHOD_BY_CODE)
    lists = [one.code for one in CLUE_LISTS]
    assert set(ScoreMethod) == {*METHOD_BY_CODE, *lists}
    assert len(ScoreMethod) == len(METHODS) + len(lists)
    assert len({method.id for method in EVERY_METHOD}) == len(EVERY_METHOD)


@each_reading
def test_ids_are_unique_and_well_formed(method: Method) -> None:
    ids = [criterion.id for criterion in method.criteria]
    assert len(set(ids)) == len(ids)
    assert all(re.fullmatch(r"[a-z0-9.-]{1,64}", one) for one in ids)
    assert all(criterion.label for criterion in method.criteria)


@each_reading
def test_thresholds_rise_within_the_published_range(method: Method) -> None:
    starts = [threshold.from_tenths for threshold in method.thresholds]
    assert starts == sorted(set(starts))
    assert method.lowest_tenths < starts[0]
    assert starts[-1] <= method.highest_tenths
    assert method.thresholds[-1].verdict is Verdict.ABOVE_THRESHOLD
    assert method.verdict(starts[0] - 1) is Verdict.BELOW_THRESHOLD
    for threshold in method.thresholds:
        assert method.verdict(threshold.from_tenths) is threshold.verdict
        # As printed: a total at the number printed (first, or after a word), rounded up to tenths, reaches it.
        printed = Decimal(re.findall(r"\d+(?:\.\d+)?", threshold.text)[0])
        assert Decimal(threshold.from_tenths - 1) / 10 < printed <= Decimal(threshold.from_tenths) / 10


@each_reading
def test_part_ranges_are_of_groups_that_the_method_has(method: Method) -> None:
    groups = {criterion.group for criterion in method.criteria}
    for limit in method.part_ranges:
        assert limit.group in groups
        assert 0 <= limit.lowest <= limit.highest
        assert limit.reason


def can_be_open(leaf: Leaf) -> bool:
    """Return whether an input can be open: not what asks only if something is recorded."""
    match leaf:
        case Given():
            return False
        case Exists("findings", All(parts)):
            return {part.path for part in parts if isinstance(part, Is)} != {"@.structure", "@.presence"}
        case _:
            return True


@each_reading
def test_criteria_that_share_inputs_are_few_and_of_one_group(method: Method) -> None:
    # The worst case: every leaf of every criterion open.
    clusters: list[tuple[set[Leaf], set[str], list[str]]] = []
    for criterion in method.criteria:
        if isinstance(criterion, Counted):
            continue
        asked = {leaf for leaf in leaves(criterion.when) if can_be_open(leaf)}
        groups, ids = {criterion.group}, [criterion.id]
        for cluster in [one for one in clusters if one[0] & asked]:
            asked, groups, ids = asked | cluster[0], groups | cluster[1], ids + cluster[2]
            clusters.remove(cluster)
        clusters.append((asked, groups, ids))
    for asked, groups, ids in clusters:
        assert len(groups) == 1, ids
        assert len(asked) <= MAX_SHARED, ids


@each_reading
def test_only_what_sources_leave_open_is_unanswerable(method: Method) -> None:
    unresolved = {
        leaf.name
        for criterion in method.criteria
        if isinstance(criterion, Criterion)
        for leaf in leaves(criterion.when)
        if isinstance(leaf, Unresolved) and not leaf.answerable
    }
    assert unresolved <= _LEFT_OPEN_BY_SOURCES


# --- Lists to go through ---------------------------------------------------------------------------------------------

#: By method, the list that asks for the structures of its criteria.
LISTS = {
    ScoreMethod.TOTAL_DERMOSCOPY_SCORE: (FindingList.PIGMENTED_LESION,),
    ScoreMethod.SEVEN_POINT: (FindingList.PIGMENTED_LESION, FindingList.SEVEN_POINT_CRITERIA),
    ScoreMethod.SEVEN_POINT_REVISED: (FindingList.PIGMENTED_LESION, FindingList.SEVEN_POINT_CRITERIA),
    ScoreMethod.THREE_POINT: (FindingList.PIGMENTED_LESION,),
    ScoreMethod.MENZIES: (FindingList.PIGMENTED_LESION,),
    ScoreMethod.BRAAFF: (FindingList.ACRAL_PATTERNS,),
}


@pytest.mark.parametrize(
    ("method", "gone"),
    [(reading, gone) for reading in EVERY_METHOD for gone in LISTS.get(reading.code, ())],
    ids=lambda value: getattr(value, "id", value),
)
@pytest.mark.parametrize("present", [None, "one"])
def test_a_list_gone_through_answers_every_structure_that_its_methods_ask(
    method: Method, gone: FindingList, present: str | None
) -> None:
    findings = [] if present is None else [finding(gone.structures[0].value)]
    here = scope(
        lists_gone_through=gone_through(gone.value),
        findings=findings,
        lesion=lesion_for(method.code),
        description=_KNOWN["description"],
    )
    result = score(method, here)
    still_open = [one.leaf for one in result.open_inputs if isinstance(one.leaf, Present | Found)]
    assert still_open == []
    assert result.open == ()


@pytest.mark.parametrize("gone", FindingList)
def test_a_list_names_each_structure_once(gone: FindingList) -> None:
    assert len(set(gone.structures)) == len(gone.structures)


# --- Words -----------------------------------------------------------------------------------------------------------

#: Phrases in which one of the words stands for something else than a verdict.
_JUSTIFIED = (
    # The two features of the Menzies method are called so by its authors; the sentence tells what they do to a total.
    "Either negative feature puts the lesion below the method's threshold",
    "1, with neither negative feature",
    # A structure's name.
    "negative network",
)
_FORBIDDEN = re.compile(
    r"\b(benign\w*|normal\w*|negative\w*|harmless|healthy|reassur\w*|excluded|safe\w*)\b", re.IGNORECASE
)


def texts(method: Method) -> Iterator[str]:
    """Return every sentence that a method's score can show."""
    yield method.code.display
    yield method.code.definition
    yield method.version
    yield from method.cautions
    yield from CAUTIONS
    yield from (threshold.text for threshold in method.thresholds)
    yield from (figure.text for figure in method.figures)
    yield from (limit.reason for limit in method.part_ranges)
    for variant in method.variants:
        yield variant.text
        yield variant.name
        yield from (criterion.label for criterion in variant.criteria)
    for validity in method.validity:
        yield validity.reason
        yield validity.unknown
    for criterion in method.criteria:
        yield criterion.label
    for criterion in method.criteria:
        if isinstance(criterion, Criterion):
            yield from (leaf.name for leaf in leaves(criterion.when) if isinstance(leaf, Unresolved))
    yield from words_of_steps(method.steps)


def words_of_steps(steps: Steps | None) -> Iterator[str]:
    """Return every sentence of a sequence."""
    if steps is not None:
        for step in steps.steps:
            yield step.asks
            yield step.end.says
        yield steps.otherwise.says


def texts_of_list(method: ClueList) -> Iterator[str]:
    """Return every sentence that a list can show."""
    yield method.code.display
    yield method.code.definition
    yield from method.cautions
    yield from (figure.text for figure in method.figures)
    for clue in method.clues:
        yield clue.label
        yield clue.speaks_for
        yield clue.strength
    for validity in method.validity:
        yield validity.reason
        yield validity.unknown
    yield from words_of_steps(method.steps)


#: The trade's name of what such a list holds, and sentences that say when something is not taken for harmless.
_JUSTIFIED_IN_LISTS = (
    "patterns associated with harmless lesions",
    "everything that isn't clearly something harmless calls for histology",
    "without a confident name of something specific and harmless calls for excision",
    "are no harmless pattern",
)


@pytest.mark.parametrize("method", CLUE_LISTS, ids=lambda method: method.code)
def test_nothing_that_a_list_shows_calls_a_lesion_harmless(method: ClueList) -> None:
    shown = list(texts_of_list(method))
    assert len(shown) > 10
    for text in shown:
        for phrase in _JUSTIFIED_IN_LISTS:
            text = text.replace(phrase, "")  # noqa: PLW2901 - the phrase is taken out of this one text
        assert _FORBIDDEN.search(text) is None, text


@each_method
def test_nothing_that_a_score_shows_calls_a_low_total_harmless(method: Method) -> None:
    shown = list(texts(method))
    assert len(shown) > 15
    for text in shown:
        for phrase in _JUSTIFIED:
            text = text.replace(phrase, "")  # noqa: PLW2901 - the phrase is taken out of this one text
        assert _FORBIDDEN.search(text) is None, text


@pytest.mark.parametrize("verdict", Verdict)
def test_a_verdict_speaks_of_the_method_s_threshold_and_of_nothing_else(verdict: Verdict) -> None:
    for text in (verdict.value, verdict.display, verdict.definition):
        assert _FORBIDDEN.search(text) is None
    if verdict in {Verdict.BELOW_THRESHOLD, Verdict.BETWEEN_THRESHOLDS, Verdict.ABOVE_THRESHOLD}:
        assert "this method’s" in verdict.display
        assert "threshold" in verdict.display


@each_reading
@pytest.mark.parametrize("site", ["back-upper", "sole", "forehead"])
def test_every_score_carries_the_cautions_of_all_scores(method: Method, site: str) -> None:
    result = score(method, scope(lesion={"site": site}))
    assert result.cautions[: len(CAUTIONS)] == CAUTIONS
    assert result.cautions[len(result.cautions) - len(method.cautions) :] == method.cautions
    assert all(result.cautions)
    assert result.valid is not bool(result.reasons)
    assert (result.low is None) is (result.high is None) is (not result.valid)


@settings(max_examples=20, suppress_health_check=[HealthCheck.too_slow])
@given(usual_examinations())
def test_any_examination_has_every_score_or_a_reason_why_not(examination: Examination) -> None:
    here = Scope(answers(examination), DERIVED)
    for method in EVERY_METHOD:
        result = score(method, here)
        assert result.valid is not bool(result.reasons)
        if result.valid:
            assert result.low_tenths is not None
            assert result.high_tenths is not None
            assert method.lowest_tenths <= result.low_tenths <= result.high_tenths <= method.highest_tenths
            assert bool(result.open_inputs) is bool(result.open)
            assert {name for one in result.open_inputs for name in one.criteria} == set(result.open)
            assert not set(result.met) & set(result.open)


def test_a_score_of_one_examination_is_the_same_each_time() -> None:
    here = scope(**_KNOWN)
    assert [score(method, here) for method in METHODS] == [score(method, here) for method in METHODS]
