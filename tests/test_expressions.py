"""The condition language in three values: Kleene's strong logic, and each leaf true, false and open.

The truth tables are those of Kleene's strong three-valued logic (Kleene, Introduction to Metamathematics, 1952, section
64; from memory): «and» is the lower, «or» the higher of two values in the order false, open, true.
"""

from __future__ import annotations

import itertools
from typing import Any

import pytest
from records import NON_POLARISED_ONLY, at, entry, finding, gone_through, merged, scope, scope_of

from dermreport.answers import answers
from dermreport.expressions.evaluate import Scope, Truth, all_of, any_of, evaluator, getter
from dermreport.expressions.nodes import (
    All,
    AtLeast,
    AtLeastOf,
    ColourSeen,
    Exists,
    Expression,
    Fact,
    Found,
    Given,
    Holds,
    Is,
    MoreThan,
    MoreThanAt,
    Not,
    Present,
    Unresolved,
    every,
    is_one_of,
    leaves,
    some,
    some_present,
)
from dermreport.expressions.nodes import Any as AnyOf
from dermreport.vocabulary.colours import Colour
from dermreport.vocabulary.elevations import Elevation
from dermreport.vocabulary.lights import Light
from dermreport.vocabulary.places import Place
from dermreport.vocabulary.reading_styles import ReadingStyle
from dermreport.vocabulary.structures import Structure

VALUES: tuple[Truth, ...] = (True, False, None)
_RANK = {False: 0, None: 1, True: 2}

#: Leaves whose truth is known whatever the scope: nothing is recorded under the paths of the first two.
_TRUE: Expression = Not(Given("note"))
_FALSE: Expression = Given("note")
_OPEN: Expression = Unresolved("open")
CONSTANT: dict[Truth, Expression] = {True: _TRUE, False: _FALSE, None: _OPEN}


def truth(expression: Expression, here: Scope | None = None, item: Any = None) -> Truth:
    """Return the truth of an expression, on the sound lesion where no scope is given."""
    return evaluator(expression)(scope() if here is None else here, item)


@pytest.mark.parametrize("value", VALUES)
def test_the_constants_of_this_module(value: Truth) -> None:
    assert truth(CONSTANT[value]) is value


@pytest.mark.parametrize(("value", "opposite"), [(True, False), (False, True), (None, None)])
def test_not(value: Truth, opposite: Truth) -> None:
    assert truth(Not(CONSTANT[value])) is opposite


@pytest.mark.parametrize("values", [pair for size in range(4) for pair in itertools.product(VALUES, repeat=size)])
def test_all_and_any_are_the_lowest_and_the_highest(values: tuple[Truth, ...]) -> None:
    parts = tuple(CONSTANT[value] for value in values)
    lowest = min(values, key=_RANK.__getitem__, default=True)
    highest = max(values, key=_RANK.__getitem__, default=False)
    assert truth(All(parts)) is lowest
    assert truth(AnyOf(parts)) is highest
    assert all_of(values) is lowest
    assert any_of(values) is highest
    assert truth(every(*parts)) is lowest
    assert truth(some(*parts)) is highest


@pytest.mark.parametrize("number", range(5))
@pytest.mark.parametrize("values", [three for size in range(4) for three in itertools.product(VALUES, repeat=size)])
def test_at_least_so_many(number: int, values: tuple[Truth, ...]) -> None:
    # True when the sure ones are enough, false when even the open ones don't suffice.
    expected = {
        sum(completed) >= number
        for completed in itertools.product(*((True, False) if value is None else (value,) for value in values))
    }
    found = truth(AtLeastOf(number, tuple(CONSTANT[value] for value in values)))
    assert found is (expected.pop() if len(expected) == 1 else None)


@pytest.mark.parametrize(("one", "other"), list(itertools.product(VALUES, repeat=2)))
def test_the_laws_of_de_morgan_hold(one: Truth, other: Truth) -> None:
    first, second = CONSTANT[one], CONSTANT[other]
    assert truth(Not(every(first, second))) is truth(some(Not(first), Not(second)))
    assert truth(Not(some(first, second))) is truth(every(Not(first), Not(second)))


@pytest.mark.parametrize(("one", "other"), list(itertools.product(VALUES, repeat=2)))
def test_one_of_one_and_two_of_two(one: Truth, other: Truth) -> None:
    parts = (CONSTANT[one], CONSTANT[other])
    assert truth(AtLeastOf(1, parts)) is truth(AnyOf(parts))
    assert truth(AtLeastOf(2, parts)) is truth(All(parts))


# --- Leaves ----------------------------------------------------------------------------------------------------------

_NETWORK = Structure.NETWORK
_DOTS = Structure.DOTS_BROWN
_MORE_THAN_TWO = MoreThan("@.count", 2)
_DIAMETERS = MoreThanAt("lesion.crosswise_mm", "lesion.longest_mm")
_OTHER = {"system": "https://host.example/codes", "code": "x"}
_RAISED = Is("lesion.elevation", (Elevation.RAISED, Elevation.NODULAR))
_TRUNK = is_one_of("lesion.site.reading_style", ReadingStyle.TRUNK_LIMB)
_POLARISED = Exists("views", is_one_of("@.light", Light.POLARISED))
_OVER_A_TENTH = Exists("findings", MoreThan("@.area_percent", 10))

CASES: list[tuple[str, Expression, dict[str, Any], Truth]] = [
    ("present", Present(_NETWORK), {"findings": [finding("network")]}, True),
    ("a kind of it is present", Present(_NETWORK), {"findings": [finding("network-thick")]}, True),
    ("absent", Present(_NETWORK), {"findings": [finding("network", "absent")]}, False),
    ("absent by a list", Present(_NETWORK), {"lists_gone_through": gone_through("pigmented-lesion")}, False),
    ("uncertain", Present(_NETWORK), {"findings": [finding("network", "uncertain")]}, None),
    ("not assessed", Present(_NETWORK), {"findings": [finding("network", "not-assessed")]}, None),
    ("not recorded", Present(_NETWORK), {}, None),
    (
        "absent in a light that can't show it",
        Present(Structure.SHINY_WHITE_AREAS),
        {"findings": [finding("shiny-white-areas", "absent")], "views": NON_POLARISED_ONLY},
        None,
    ),
    ("found", Found(_DOTS, _MORE_THAN_TWO), {"findings": [finding("dots-brown", count=3)]}, True),
    ("found, not so", Found(_DOTS, _MORE_THAN_TWO), {"findings": [finding("dots-brown", count=2)]}, False),
    ("found, detail missing", Found(_DOTS, _MORE_THAN_TWO), {"findings": [finding("dots-brown")]}, None),
    ("found, absent", Found(_DOTS, _MORE_THAN_TWO), {"findings": [finding("dots-brown", "absent", count=5)]}, False),
    (
        "found, uncertain",
        Found(_DOTS, _MORE_THAN_TWO),
        {"findings": [finding("dots-brown", "uncertain", count=5)]},
        None,
    ),
    ("found, not recorded", Found(_DOTS, _MORE_THAN_TWO), {}, None),
    (
        "found at one of two places",
        Found(_DOTS, _MORE_THAN_TWO),
        {
            "findings": [
                finding("dots-brown", place="central", count=1),
                finding("dots-brown", place="eccentric", count=3),
            ]
        },
        True,
    ),
    (
        "found, but only where it's absent",
        Found(_DOTS, _MORE_THAN_TWO),
        {
            "findings": [
                finding("dots-brown", place="central", count=1),
                finding("dots-brown", "absent", place="eccentric", count=3),
            ]
        },
        False,
    ),
    (
        "found, present by a pattern alone",
        Found(_NETWORK, Given("@.count")),
        {"description": {"pattern": "pattern-reticular"}},
        None,
    ),
    ("colour seen", ColourSeen(Colour.RED), {"description": {"colours": ["red"]}}, True),
    ("colour not in the list", ColourSeen(Colour.RED), {"description": {"colours": ["black"]}}, False),
    (
        "colour in doubt",
        ColourSeen(Colour.RED),
        {"description": {"colours": ["black"], "doubtful_colours": ["red"]}},
        None,
    ),
    ("no list of colours", ColourSeen(Colour.RED), {}, None),
    ("is one of", _RAISED, at("lesion.elevation", "nodular"), True),
    ("is another", _RAISED, at("lesion.elevation", "flat"), False),
    ("is, not recorded", _RAISED, {}, None),
    ("a row's attribute is", _TRUNK, at("lesion.site", "back-upper"), True),
    ("a row's attribute is another", _TRUNK, at("lesion.site", "sole"), False),
    ("somebody else's code has no attribute", _TRUNK, at("lesion.site", _OTHER), None),
    (
        "somebody else's code is another",
        Exists("findings", is_one_of("@.place", Place.PERIPHERAL)),
        {"findings": [finding("network", place=_OTHER)]},
        False,
    ),
    ("a truth value", is_one_of("assessment.unequivocal", True), {"assessment": {"unequivocal": True}}, True),  # noqa: FBT003 - the value that is asked
    ("another truth value", is_one_of("assessment.unequivocal", True), {"assessment": {"unequivocal": False}}, False),  # noqa: FBT003 - as above
    ("no truth value", is_one_of("assessment.unequivocal", True), {}, None),  # noqa: FBT003 - as above
    ("holds: yes", Holds("lesion.in_scar"), at("lesion.in_scar", "yes"), True),
    ("holds: no", Holds("lesion.in_scar"), at("lesion.in_scar", "no"), False),
    ("holds: unknown", Holds("lesion.in_scar"), at("lesion.in_scar", "unknown"), None),
    ("holds: nothing there", Holds("lesion.injured"), {}, None),
    ("holds: judged yes", Holds("lesion.ulcerated"), at("lesion.ulcerated", "yes"), True),
    ("holds: judged no", Holds("lesion.ulcerated"), at("lesion.ulcerated", "no"), False),
    ("holds: judged uncertain", Holds("lesion.ulcerated"), at("lesion.ulcerated", "uncertain"), None),
    ("holds: the way ends early", Holds("lesion.history.growing.answer"), {"lesion": None}, None),
    ("holds: a truth value", Holds("assessment.unequivocal"), {"assessment": {"unequivocal": True}}, True),
    ("holds: the other one", Holds("assessment.unequivocal"), {"assessment": {"unequivocal": False}}, False),
    ("given", Given("lesion.site"), {}, True),
    ("given, somebody else's code", Given("lesion.site"), at("lesion.site", _OTHER), True),
    ("not given", Given("lesion.side"), {}, False),
    ("not given, the way ends early", Given("assessment.concern"), {}, False),
    ("a list given", Given("views"), {}, True),
    ("an empty list isn't", Given("views"), {"views": []}, False),
    ("at least, on the boundary", AtLeast("lesion.longest_mm", 7), at("lesion.longest_mm", 7.0), True),
    ("at least, under it", AtLeast("lesion.longest_mm", 7), at("lesion.longest_mm", 6.9), False),
    ("at least, nothing there", AtLeast("lesion.longest_mm", 7), {}, None),
    ("more than, over the boundary", MoreThan("lesion.longest_mm", 7), at("lesion.longest_mm", 7.1), True),
    ("more than, on it", MoreThan("lesion.longest_mm", 7), at("lesion.longest_mm", 7), False),
    ("more than, nothing there", MoreThan("lesion.longest_mm", 7), {}, None),
    ("more than another", _DIAMETERS, {"lesion": {"crosswise_mm": 5, "longest_mm": 4.9}}, True),
    ("as much as another", _DIAMETERS, {"lesion": {"crosswise_mm": 5, "longest_mm": 5}}, False),
    ("the one missing", _DIAMETERS, at("lesion.longest_mm", 5), None),
    ("the other missing", _DIAMETERS, at("lesion.crosswise_mm", 5), None),
    ("some item", _POLARISED, {}, True),
    ("no item", _POLARISED, {"views": NON_POLARISED_ONLY}, False),
    ("no items", _POLARISED, {"views": []}, False),
    ("an item that can't be told", _OVER_A_TENTH, {"findings": [finding("network")]}, None),
    (
        "one that can, beside it",
        _OVER_A_TENTH,
        {"findings": [finding("network"), finding("blotch-regular", area_percent=11)]},
        True,
    ),
    ("a list that isn't there", Exists("assessment.impressions", _TRUE), {}, False),
    ("left open", Unresolved("pink counts as red"), {"description": {"colours": ["red", "pink"]}}, None),
    ("left open by a word", Unresolved("which shade", answerable=True), {}, None),
    ("some present", some_present(_NETWORK, _DOTS), {"findings": [finding("dots-brown")]}, True),
    ("of the whole lesion", Holds("whole.symmetric_all_axes"), at("description.symmetric_all_axes", "yes"), True),
    ("of the whole lesion, no", Holds("whole.symmetric_all_axes"), at("description.symmetric_all_axes", "no"), False),
    ("of the whole lesion, nothing said", Holds("whole.symmetric_all_axes"), {"description": None}, None),
    (
        "of the whole lesion, and no view shows it",
        Holds("whole.symmetric_all_axes"),
        {"description": {"symmetric_all_axes": "yes"}, "views": [{**NON_POLARISED_ONLY[0], "covers": "part"}]},
        None,
    ),
]


@pytest.mark.parametrize(
    ("expression", "changes", "expected"), [case[1:] for case in CASES], ids=[case[0] for case in CASES]
)
def test_a_leaf(expression: Expression, changes: dict[str, Any], expected: Truth) -> None:
    assert truth(expression, scope_of(merged(entry(), changes))) is expected


#: Given is never open, and an unresolved thing always is.
_KINDS = (Present, Found, ColourSeen, Is, Holds, AtLeast, MoreThan, MoreThanAt, Exists)


@pytest.mark.parametrize("kind", _KINDS, ids=lambda kind: kind.__name__)
def test_each_kind_of_leaf_is_seen_in_three_values(kind: type) -> None:
    seen = {expected for _, expression, _, expected in CASES if type(expression) is kind}
    assert seen == set(VALUES)


@pytest.mark.parametrize("value", VALUES)
def test_a_fact_is_what_its_function_says(value: Truth) -> None:
    asked: list[tuple[Scope, Any]] = []

    def fact(here: Scope, item: Any) -> Truth:
        asked.append((here, item))
        return value

    here = Scope(answers(scope().answers.examination), {"some-fact": fact})
    item = object()
    assert truth(Fact("some-fact"), here, item) is value
    assert asked == [(here, item)]


def test_a_fact_that_nobody_defined_is_an_error() -> None:
    with pytest.raises(KeyError):
        truth(Fact("unheard-of"))


def test_an_item_s_own_path_is_read_from_the_item() -> None:
    here = scope(findings=[finding("network", count=4), finding("globules")])
    network, globules = here.answers.examination.findings
    assert truth(MoreThan("@.count", 3), here, network) is True
    assert truth(MoreThan("@.count", 4), here, network) is False
    assert truth(MoreThan("@.count", 3), here, globules) is None
    assert truth(MoreThan("@.count", 3), here, None) is None
    # What doesn't start with the item's mark is read from the examination, whatever the item.
    assert truth(Given("lesion.site"), here, network) is True


@pytest.mark.parametrize(
    ("path", "value"),
    [
        ("status", "final"),
        ("lesion.site", "back-upper"),
        ("lesion.site.reading_style", "trunk-limb"),
        ("lesion.site.head_and_neck", False),
        ("lesion.history.treated_before.answer", "no"),
        ("background.age_years", 50),
        ("lesion.history.growing.answer", None),
        ("lesion.site.no_such_attribute", None),
        ("whole.step_one", "melanocytic"),
        ("whole.first_axis.colour", None),
    ],
)
def test_a_path(path: str, value: Any) -> None:
    assert getter(path)(scope(), None) == value


def test_leaves_are_told_in_order_and_as_often_as_they_occur() -> None:
    one, two, three = (Unresolved(name) for name in ("one", "two", "three"))
    expression = every(one, some(two, Not(one)), AtLeastOf(1, (three, Not(two))))
    assert leaves(expression) == (one, two, one, three, two)
    assert leaves(one) == (one,)
    assert leaves(All(())) == ()
    # A condition inside a leaf belongs to the leaf.
    found = Found(_DOTS, every(one, two))
    assert leaves(Not(found)) == (found,)


def test_equal_expressions_are_one_key() -> None:
    def made() -> Expression:
        return every(Present(_NETWORK), Found(_DOTS, MoreThan("@.count", 2)), is_one_of("@.light", Light.POLARISED))

    assert made() == made()
    assert len({made(), made()}) == 1
    assert made() != Not(made())


def test_something_that_is_no_expression_is_refused() -> None:
    with pytest.raises(TypeError, match="str"):
        evaluator("lesion.site")  # type: ignore[arg-type]
