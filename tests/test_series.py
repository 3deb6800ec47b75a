"""One lesion over time: like is compared with like, both sides of each interval, and what must never be said.

The windows: 2.5 to 4.5 months and 6 to 12 months are read in ``Source.SHORT_TERM_MONITORING_PAGE``, «six weeks are too
soon» in ``Source.SHORT_TERM_MONITORING_2008`` (doi:10.1001/archderm.144.4.502). The two lists of the rule for a long
interval are read in ``Source.LONG_TERM_MONITORING_PAGE``. What is measurable (0.5 mm) and even (ten per cent) is common
practice, no source. All examinations here are invented.
"""

from __future__ import annotations

import json
import re
from datetime import date, timedelta
from decimal import Decimal
from itertools import permutations
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from lxml import etree
from records import BOTH_LIGHTS, NON_POLARISED_ONLY, POLARISED_ONLY, merged, record
from strategies import WHOLE_EXAMINATIONS, usual_examinations

import dermreport
from dermreport import Comparison, SeriesError, SeriesVerdict, SettingsError, Severity
from dermreport.examination.reader import write_json
from dermreport.over_time import kinds
from dermreport.over_time.alike import Course
from dermreport.over_time.comparison import Interval
from dermreport.over_time.growth import Diameter, Evenness, Growth
from dermreport.over_time.kinds import CAUTIONS, KINDS, FollowUpRule, Gap, Weight
from dermreport.over_time.rules import FINDINGS, REFUSALS
from dermreport.over_time.series import Series, series
from dermreport.rules.tables import RULES
from dermreport.rules.windows import FACE, LONG, SHORT
from dermreport.sources import Basis
from dermreport.vocabulary.score_methods import ScoreMethod
from dermreport.vocabulary.structures import Structure
from dermreport.wording.series import series_as_data, series_as_text

EXAMPLES = Path(__file__).parent.parent / "examples"
FIRST = date(2026, 1, 2)
Change = dict[str, Any]

NO_AXIS = {"contour": "no", "colour": "no", "structure": "no"}
#: A flat lesion of which everything is told that the rules of follow-up ask.
WHOLE: Change = {
    "lesion": {
        "identifier": {"system": "https://host.example/lesions", "value": "L-1"},
        "longest_mm": Decimal("6.0"),
        "crosswise_mm": Decimal("5.0"),
        "elevation": "flat",
    },
    "lists_gone_through": [{"list": "pigmented-lesion"}],
    "findings": [{"structure": "network-typical", "presence": "present", "views": ["plain", "crossed"]}],
    "description": {"first_axis": NO_AXIS, "second_axis": NO_AXIS, "colours": ["light-brown"]},
    "assessment": {"concern": "benign"},
}


def look(number: int = 1, days: int = 0, **changes: Any) -> dermreport.Review:
    """Return the review of one look at the lesion, so many days after the first."""
    told = merged(
        WHOLE,
        {
            "identifier": {"system": "https://host.example/examinations", "value": str(number)},
            "examined": f"{FIRST + timedelta(days)}T10:00:00Z",
        },
    )
    return dermreport.review(record(**merged(told, changes)))


def two(days: int, then: Change | None = None, **now: Any) -> Series:
    """Return a series of two looks."""
    return series([look(1, **(then or {})), look(2, days, **now)])


def step(days: int, then: Change | None = None, **now: Any) -> Comparison:
    """Return the comparison of two looks."""
    return two(days, then, **now).overall


def rules_of(made: Series) -> list[str]:
    return [issue.rule for issue in made.issues]


def kinds_of(made: Comparison) -> list[str]:
    return [one.change.kind.id for one in made.changes]


def refusal(*reviews: dermreport.Review) -> list[str]:
    with pytest.raises(SeriesError) as caught:
        series(reviews)
    return [issue.rule for issue in caught.value.issues]


# What the tables say


def test_every_kind_is_in_the_table_once_and_says_how_it_is_known() -> None:
    named = {one for one in vars(kinds).values() if isinstance(one, kinds.Kind)}
    assert set(KINDS) == named
    assert len({one.id for one in KINDS}) == len(KINDS)
    for one in KINDS:
        for rule in FollowUpRule:
            assert isinstance(one.basis(rule), Basis)
            assert one.weight(rule) in set(Weight)


def test_the_rule_for_a_short_interval_lets_only_what_was_published_pass() -> None:
    """Source.SHORT_TERM_MONITORING_PAGE: any change but overall darker or lighter, or milia-like cysts."""
    passed = {one for one in KINDS if one.short is Weight.NOT_SIGNIFICANT}
    assert passed == {kinds.MILIA_LIKE_CYSTS, kinds.HARDLY_DIFFERS}
    # The page names pictures: what is told or felt is left open, which is common practice, no source.
    felt_or_told = {kinds.FEELS_OTHERWISE, kinds.STANDS_OTHERWISE, kinds.SURFACE_DIFFERS, kinds.TOLD}
    assert {one for one in KINDS if one.short is Weight.UNDECIDED} == {kinds.SHADE, *felt_or_told}


def test_the_rule_for_a_long_interval_is_that_of_the_page() -> None:
    """Source.LONG_TERM_MONITORING_PAGE, table «Classification of Changes»."""
    significant = {
        kinds.ENLARGED_UNEVENLY,
        kinds.COLOUR_GAINED,
        kinds.COLOUR_LOST,
        kinds.REGRESSION_GAINED,
        kinds.STRUCTURE_GAINED,
        kinds.STRUCTURE_PLACE,
        kinds.ASYMMETRY_GAINED,
    }
    passed = {kinds.GLOBULES_DETAIL, kinds.BLACK_DOTS_FEWER, kinds.INFLAMMATION_SETTLED}
    assert all(one.long is Weight.SIGNIFICANT for one in significant)
    assert all(one.long is Weight.NOT_SIGNIFICANT for one in passed)


def test_no_kind_is_judged_milder_after_a_short_interval_but_what_is_never_judged() -> None:
    order = (Weight.NOT_SIGNIFICANT, Weight.UNDECIDED, Weight.SIGNIFICANT)
    assert all(order.index(one.short) >= order.index(one.long) for one in KINDS)


def test_every_rule_of_a_series_has_an_id_of_its_own_and_a_source() -> None:
    ids = [rule.id for rule in (*REFUSALS, *FINDINGS)]
    assert len(set(ids)) == len(ids)
    assert not set(ids) & {rule.id for rule in RULES}
    for rule in (*REFUSALS, *FINDINGS):
        assert re.fullmatch(r"series-[a-z-]{1,57}", rule.id)
        assert rule.source


# The intervals, both sides


@pytest.mark.parametrize(
    ("days", "interval", "verdict"),
    [
        (0, Interval.TOO_SOON, SeriesVerdict.NOT_SETTLED),
        (42, Interval.TOO_SOON, SeriesVerdict.NOT_SETTLED),  # six weeks: doi:10.1001/archderm.144.4.502
        (74, Interval.TOO_SOON, SeriesVerdict.NOT_SETTLED),
        (75, Interval.SHORT, SeriesVerdict.NO_SIGNIFICANT_CHANGE),
        (76, Interval.SHORT, SeriesVerdict.NO_SIGNIFICANT_CHANGE),
        (137, Interval.SHORT, SeriesVerdict.NO_SIGNIFICANT_CHANGE),
        (138, Interval.BETWEEN, SeriesVerdict.NO_SIGNIFICANT_CHANGE),
        (179, Interval.BETWEEN, SeriesVerdict.NO_SIGNIFICANT_CHANGE),
        (180, Interval.LONG, SeriesVerdict.NO_SIGNIFICANT_CHANGE),
        (365, Interval.LONG, SeriesVerdict.NO_SIGNIFICANT_CHANGE),
        (366, Interval.LATER, SeriesVerdict.NO_SIGNIFICANT_CHANGE),
        (900, Interval.LATER, SeriesVerdict.NO_SIGNIFICANT_CHANGE),
    ],
)
def test_intervals(days: int, interval: Interval, verdict: SeriesVerdict) -> None:
    made = two(days)
    assert made.overall.days == days
    assert (made.overall.interval, made.verdict) == (interval, verdict)
    assert (Gap.TOO_SOON in made.overall.gaps) is (interval is Interval.TOO_SOON)
    assert ("series-too-soon" in rules_of(made)) is (interval is Interval.TOO_SOON)
    assert ("series-late" in rules_of(made)) is (interval is Interval.LATER)
    assert made.overall.rule is (FollowUpRule.LONG if days >= LONG.from_days else FollowUpRule.SHORT)


def test_the_windows_are_those_published() -> None:
    """2.5 to 4.5 months of 30.44 days: 76.1 and 136.98; no window begins later than published."""
    assert (SHORT.from_days, SHORT.to_days) == (75, 137)
    assert SHORT.from_days <= Decimal("2.5") * Decimal("30.44")
    assert SHORT.to_days >= Decimal("4.5") * Decimal("30.44")
    assert FACE.from_days <= 6 * Decimal("30.44")


LENTIGO = {"assessment": {"impressions": [{"key": "i", "impression": "lentigo-maligna-suspected"}]}}


@pytest.mark.parametrize(("days", "soon"), [(90, True), (179, True), (180, False)])
def test_suspected_lentigo_maligna_needs_six_months_and_then_any_change_counts(days: int, *, soon: bool) -> None:
    made = step(days, LENTIGO)
    assert (Gap.TOO_SOON in made.gaps) is soon
    assert made.rule is FollowUpRule.SHORT
    assert made.window is FACE


def test_a_lesion_chosen_for_a_short_interval_is_never_read_by_the_rule_for_a_long_one() -> None:
    chosen = {"plan": {"actions": [{"key": "a", "action": "monitor-short"}]}}
    assert step(200, chosen).rule is FollowUpRule.SHORT
    assert step(200).rule is FollowUpRule.LONG


def test_days_are_those_of_the_calendar_as_written_and_the_order_that_of_the_instants() -> None:
    late = look(1, examined="2026-03-18T23:30:00-08:00")
    soon = look(2, examined="2026-03-19T09:00:00+09:00")
    made = series([late, soon])
    # 09:00 in a zone nine hours ahead is midnight in Greenwich, seven and a half hours before the other.
    assert [one.examination.identifier.value for one in made.reviews] == ["2", "1"]
    assert made.overall.days == 0


@pytest.mark.parametrize(("first", "second"), [("2026-03-18", "2026-03-18"), ("2026-03-18", "2026-03-18T10:00:00Z")])
def test_two_looks_of_one_day_say_that_their_order_is_not_told(first: str, second: str) -> None:
    made = series([look(1, examined=first), look(2, examined=second)])
    assert "series-same-day" in rules_of(made)
    assert made.verdict is SeriesVerdict.NOT_SETTLED


# Like with like


def in_views(views: list[Change], keys: list[str]) -> Change:
    return {"views": views, "findings": [{"structure": "network-typical", "presence": "present", "views": keys}]}


def test_without_a_common_light_nothing_is_compared_and_nothing_is_called_the_same() -> None:
    made = two(90, in_views(NON_POLARISED_ONLY, ["plain"]), **in_views(POLARISED_ONLY, ["crossed"]))
    assert made.verdict is SeriesVerdict.NOT_COMPARABLE
    assert made.overall.lights == ()
    assert all(course is Course.OPEN for _, course in made.overall.structures)
    assert "series-no-common-light" in rules_of(made)


@pytest.mark.parametrize("views", [[{"key": "plain", "light": "unknown"}], []])
def test_a_light_that_nobody_knows_is_no_common_light(views: list[Change]) -> None:
    made = two(90, {"views": views, "findings": []}, views=views, findings=[])
    assert made.verdict is SeriesVerdict.NOT_COMPARABLE


def test_growth_counts_in_whatever_light_it_is_measured() -> None:
    made = two(
        90, in_views(NON_POLARISED_ONLY, ["plain"]), **in_views(POLARISED_ONLY, ["crossed"]), lesion={"longest_mm": 9}
    )
    assert made.verdict is SeriesVerdict.CHANGED
    assert "series-no-common-light" in rules_of(made)


WHITE_LINES = Structure.LINES_WHITE_PERPENDICULAR


def test_an_absence_that_the_light_could_not_show_is_no_loss_and_no_gain() -> None:
    """White lines show in polarised light only (Source.WHITE_SHINY_STRUCTURES_2011)."""
    seen = {"structure": WHITE_LINES.value, "presence": "present", "views": ["crossed"]}
    network = {"structure": "network-typical", "presence": "present", "views": ["plain"]}
    lost = step(90, {"findings": [network, seen]}, **in_views(NON_POLARISED_ONLY, ["plain"]))
    gained = step(90, in_views(NON_POLARISED_ONLY, ["plain"]), findings=[network, seen])
    for made in (lost, gained):
        assert dict(made.structures)[WHITE_LINES] is Course.OPEN
        assert made.verdict is SeriesVerdict.NOT_SETTLED
        assert Gap.LIGHTS_DIFFER in made.gaps
    both = step(90, findings=[*WHOLE["findings"], seen])
    assert dict(both.structures)[WHITE_LINES] is Course.GAINED
    assert both.verdict is SeriesVerdict.CHANGED


def test_a_finding_of_one_light_is_not_absent_in_the_other_because_a_list_leaves_it_unticked() -> None:
    np_only = {"findings": [{"structure": "dots-black", "presence": "present", "views": ["plain"]}]}
    pol_only = {"findings": [{"structure": "dots-black", "presence": "present", "views": ["crossed"]}]}
    assert dict(step(90, np_only, **pol_only).structures)[Structure.DOTS_BLACK] is Course.OPEN
    assert dict(step(90, np_only, **np_only).structures)[Structure.DOTS_BLACK] is Course.PRESENT


def test_a_present_finding_that_names_no_view_of_several_lights_stays_open() -> None:
    unnamed = {"findings": [{"structure": "dots-black", "presence": "present"}]}
    assert dict(step(90, None, **unnamed).structures)[Structure.DOTS_BLACK] is Course.OPEN
    views = {"views": NON_POLARISED_ONLY}
    alone = step(90, {"views": NON_POLARISED_ONLY, "findings": []}, **views, **unnamed)
    assert dict(alone.structures)[Structure.DOTS_BLACK] is Course.GAINED


def test_colours_symmetry_and_totals_are_compared_in_the_same_lights_only() -> None:
    made = step(90, in_views(NON_POLARISED_ONLY, ["plain"]), description={"colours": ["light-brown", "black"]})
    assert "colour-gained" not in kinds_of(made)
    assert made.open_colours
    assert all(one.difference is None for one in made.scores)
    assert made.verdict is SeriesVerdict.NOT_SETTLED


@pytest.mark.parametrize(
    ("gap", "now"),
    [
        (Gap.SIZE_OPEN, {"lesion": {"longest_mm": None}}),
        (Gap.SIZE_OPEN, {"lesion": {"crosswise_mm": None}}),
        (Gap.COLOURS_OPEN, {"description": {"colours": None}}),
        (Gap.COLOURS_OPEN, {"description": {"doubtful_colours": ["blue"]}}),
        (Gap.STRUCTURES_OPEN, {"findings": [*WHOLE["findings"], {"structure": "dots-black", "presence": "uncertain"}]}),
        (Gap.STRUCTURES_OPEN, {"lists_gone_through": None}),
        (Gap.REGRESSION_OPEN, {"lists_gone_through": None}),
        (Gap.SYMMETRY_OPEN, {"description": {"second_axis": None}}),
        (Gap.SYMMETRY_OPEN, {"description": {"first_axis": {"colour": "uncertain"}}}),
        (Gap.ANOTHER_SITE, {"lesion": {"site": "chest"}}),
        (Gap.CHANGE_UNDECIDED, {"description": {"colours": ["dark-brown"]}}),
        (Gap.NOT_FOR_FOLLOW_UP, {"lesion": {"pigmentation": "none"}}),
        (Gap.DRAFT, {"status": "draft"}),
        (Gap.IMAGES_ONLY, {"mode": "images-only"}),
        (Gap.NOT_FOR_FOLLOW_UP, {"lesion": {"palpation": {"consistency": "firm"}}}),
    ],
    ids=lambda one: one.value if isinstance(one, Gap) else "",
)
def test_what_is_open_is_never_no_change(gap: Gap, now: Change) -> None:
    assert step(90).verdict is SeriesVerdict.NO_SIGNIFICANT_CHANGE
    made = step(90, None, **now)
    assert gap in made.gaps
    assert made.verdict is SeriesVerdict.NOT_SETTLED


def test_a_raised_lesion_that_was_raised_before_is_not_cleared_by_staying_so() -> None:
    raised = {"lesion": {"elevation": "nodular"}}
    made = step(90, raised, **raised)
    assert Gap.NOT_FOR_FOLLOW_UP in made.gaps
    assert made.verdict is SeriesVerdict.NOT_SETTLED


def test_nothing_shared_when_nobody_looked_for_anything() -> None:
    nothing = {"findings": None, "lists_gone_through": None}
    made = step(90, nothing, **nothing)
    assert Gap.NOTHING_SHARED in made.gaps
    assert made.verdict is SeriesVerdict.NOT_SETTLED


# Changes


def felt(**palpation: str) -> Change:
    return {"lesion": {"palpation": palpation}}


def tells(item: str, answer: str = "yes", **more: Any) -> Change:
    return {"lesion": {"history": {item: {"answer": answer, **more}}}}


GLOBULES = {"structure": "globules-regular", "presence": "present", "views": ["plain", "crossed"]}
NETWORK = WHOLE["findings"][0]
CHANGES: list[tuple[str, Change, Change, Weight, Weight]] = [
    ("enlarged-unevenly", {}, {"lesion": {"longest_mm": Decimal("7.5")}}, Weight.SIGNIFICANT, Weight.SIGNIFICANT),
    ("enlarged-evenly", {}, {"lesion": {"longest_mm": 7, "crosswise_mm": 6}}, Weight.SIGNIFICANT, Weight.UNDECIDED),
    ("enlarged", {}, {"lesion": {"longest_mm": 7, "crosswise_mm": None}}, Weight.SIGNIFICANT, Weight.UNDECIDED),
    ("smaller", {}, {"lesion": {"longest_mm": Decimal("5.5")}}, Weight.SIGNIFICANT, Weight.UNDECIDED),
    (
        "size-hardly-differs",
        {},
        {"lesion": {"longest_mm": Decimal("6.4")}},
        Weight.NOT_SIGNIFICANT,
        Weight.NOT_SIGNIFICANT,
    ),
    (
        "colour-gained",
        {},
        {"description": {"colours": ["light-brown", "dark-brown"]}},
        Weight.SIGNIFICANT,
        Weight.SIGNIFICANT,
    ),
    (
        "colour-lost",
        {"description": {"colours": ["light-brown", "red"]}},
        {},
        Weight.SIGNIFICANT,
        Weight.SIGNIFICANT,
    ),
    ("shade-of-brown", {}, {"description": {"colours": ["dark-brown"]}}, Weight.UNDECIDED, Weight.UNDECIDED),
    (
        "regression-gained",
        {},
        {"findings": [NETWORK, {"structure": "dots-grey", "presence": "present", "views": ["plain", "crossed"]}]},
        Weight.SIGNIFICANT,
        Weight.SIGNIFICANT,
    ),
    ("structure-gained", {}, {"findings": [NETWORK, GLOBULES]}, Weight.SIGNIFICANT, Weight.SIGNIFICANT),
    ("structure-lost", {}, {"findings": []}, Weight.SIGNIFICANT, Weight.UNDECIDED),
    (
        "structure-place",
        {"findings": [NETWORK, {**GLOBULES, "place": "central"}]},
        {"findings": [NETWORK, {**GLOBULES, "place": "central"}, {**GLOBULES, "place": "peripheral"}]},
        Weight.SIGNIFICANT,
        Weight.SIGNIFICANT,
    ),
    (
        "structure-irregular",
        {"findings": [{**NETWORK, "regularity": "regular"}]},
        {"findings": [{**NETWORK, "regularity": "irregular"}]},
        Weight.SIGNIFICANT,
        Weight.SIGNIFICANT,
    ),
    (
        "structure-colour",
        {"findings": [{**NETWORK, "colours": ["light-brown"]}]},
        {"findings": [{**NETWORK, "colours": ["light-brown", "dark-brown"]}]},
        Weight.SIGNIFICANT,
        Weight.SIGNIFICANT,
    ),
    (
        "structure-detail",
        {"findings": [{**NETWORK, "area_percent": 40}]},
        {"findings": [{**NETWORK, "area_percent": 60}]},
        Weight.SIGNIFICANT,
        Weight.UNDECIDED,
    ),
    (
        "globules-detail",
        {"findings": [NETWORK, {**GLOBULES, "count": 8}]},
        {"findings": [NETWORK, {**GLOBULES, "count": 12}]},
        Weight.SIGNIFICANT,
        Weight.NOT_SIGNIFICANT,
    ),
    (
        "black-dots-fewer",
        {"findings": [NETWORK, {"structure": "dots-black", "presence": "present", "views": ["plain"], "count": 9}]},
        {"findings": [NETWORK, {"structure": "dots-black", "presence": "present", "views": ["plain"], "count": 4}]},
        Weight.SIGNIFICANT,
        Weight.NOT_SIGNIFICANT,
    ),
    (
        "milia-like-cysts",
        {"findings": [NETWORK, {"structure": "milia-like-cysts", "presence": "absent", "views": ["plain"]}]},
        {"findings": [NETWORK, {"structure": "milia-like-cysts", "presence": "present", "views": ["plain"]}]},
        Weight.NOT_SIGNIFICANT,
        Weight.NOT_SIGNIFICANT,
    ),
    (
        "asymmetry-gained",
        {},
        {"description": {"first_axis": {"structure": "yes"}}},
        Weight.SIGNIFICANT,
        Weight.SIGNIFICANT,
    ),
    (
        "asymmetry-lost",
        {"description": {"first_axis": {"structure": "yes"}}},
        {},
        Weight.SIGNIFICANT,
        Weight.UNDECIDED,
    ),
    (
        "pattern",
        {"description": {"pattern": "pattern-reticular"}},
        {"description": {"pattern": "pattern-homogeneous"}},
        Weight.SIGNIFICANT,
        Weight.UNDECIDED,
    ),
    (
        "border",
        {"description": {"border_segments": 1}},
        {"description": {"border_segments": 3}},
        Weight.SIGNIFICANT,
        Weight.UNDECIDED,
    ),
    (
        "inflammation-settled",
        {"lesion": {"history": {"inflamed": {"answer": "yes"}}}},
        {"lesion": {"history": {"inflamed": {"answer": "no"}}}},
        Weight.SIGNIFICANT,
        Weight.NOT_SIGNIFICANT,
    ),
    ("raised", {}, {"lesion": {"elevation": "palpable"}}, Weight.SIGNIFICANT, Weight.SIGNIFICANT),
    (
        "ulcerated",
        {"lesion": {"ulcerated": "no"}},
        {"lesion": {"ulcerated": "yes"}},
        Weight.SIGNIFICANT,
        Weight.SIGNIFICANT,
    ),
    (
        "structure-gained-all-over",
        {},
        {"findings": [NETWORK, {**GLOBULES, "distribution": "all-over"}]},
        Weight.SIGNIFICANT,
        Weight.UNDECIDED,
    ),
    ("firmer", felt(consistency="soft"), felt(consistency="firm"), Weight.SIGNIFICANT, Weight.SIGNIFICANT),
    ("feels-otherwise", felt(mobile="yes"), felt(mobile="no"), Weight.UNDECIDED, Weight.UNDECIDED),
    ("stands-otherwise", {"lesion": {"elevation": "palpable"}}, {}, Weight.UNDECIDED, Weight.UNDECIDED),
    (
        "surface-differs",
        {"lesion": {"ulcerated": "yes"}},
        {"lesion": {"ulcerated": "no"}},
        Weight.UNDECIDED,
        Weight.UNDECIDED,
    ),
    ("shown", {}, tells("growing", known_by="photograph"), Weight.SIGNIFICANT, Weight.UNDECIDED),
    ("told", {}, tells("growing"), Weight.UNDECIDED, Weight.UNDECIDED),
]


def test_every_kind_has_a_case() -> None:
    assert {one[0] for one in CHANGES} == {one.id for one in KINDS}


@pytest.mark.parametrize("days", [90, 200])
@pytest.mark.parametrize(("kind", "then", "now", "short", "long"), CHANGES, ids=[one[0] for one in CHANGES])
def test_each_change_is_found_and_weighed_by_the_rule(  # noqa: PLR0913, PLR0917 - a case of the table
    kind: str, then: Change, now: Change, short: Weight, long: Weight, days: int
) -> None:
    made = step(days, then, **now)
    assert kind in kinds_of(made)
    weights = {one.weight for one in made.changes if one.change.kind.id == kind}
    assert weights == {short if days == 90 else long}
    if Weight.SIGNIFICANT in weights:
        assert made.verdict is SeriesVerdict.CHANGED
    elif Weight.UNDECIDED in weights:
        assert made.verdict is not SeriesVerdict.NO_SIGNIFICANT_CHANGE


@pytest.mark.parametrize(("kind", "then", "now", "short", "long"), CHANGES, ids=[one[0] for one in CHANGES])
def test_a_change_counts_though_it_is_too_soon(
    kind: str, then: Change, now: Change, short: Weight, long: Weight
) -> None:
    del kind, long
    made = two(10, then, **now)
    assert (made.verdict is SeriesVerdict.CHANGED) is (short is Weight.SIGNIFICANT)
    assert made.verdict is not SeriesVerdict.NO_SIGNIFICANT_CHANGE


@pytest.mark.parametrize(
    ("longest", "crosswise", "evenness", "kind"),
    [
        ("6.4", "5.0", None, "size-hardly-differs"),
        ("6.5", "5.0", Evenness.EVENLY, "enlarged-evenly"),  # 0.5 mm and 8.3 %
        ("6.6", "5.0", Evenness.EVENLY, "enlarged-evenly"),  # 10.0 %
        ("6.7", "5.0", Evenness.UNEVENLY, "enlarged-unevenly"),  # 0.7 mm and 11.7 %
        ("7.0", "6.0", Evenness.EVENLY, "enlarged-evenly"),  # the same millimetres
        ("9.0", "7.5", Evenness.EVENLY, "enlarged-evenly"),  # the same share
        ("7.0", "4.0", Evenness.UNEVENLY, "enlarged-unevenly"),
        ("6.0", "5.0", None, None),
        ("5.5", "5.0", None, "smaller"),
        ("5.6", "5.0", None, "size-hardly-differs"),
        ("6.5", None, Evenness.NOT_TOLD, "enlarged"),
        (None, None, None, None),
    ],
)
def test_growth_along_both_axes(
    longest: str | None, crosswise: str | None, evenness: Evenness | None, kind: str | None
) -> None:
    now = [None if one is None else Decimal(one) for one in (longest, crosswise)]
    grown = Growth(Diameter(Decimal("6.0"), now[0]), Diameter(Decimal("5.0"), now[1]))
    assert grown.evenness is evenness
    assert (grown.kind.id if grown.kind is not None else None) == kind


def test_per_cent_of_nothing_is_not_told() -> None:
    assert Diameter(Decimal(0), Decimal(2)).percent is None
    assert Growth(Diameter(Decimal(0), Decimal(2)), Diameter(Decimal(0), Decimal(2))).evenness is Evenness.NOT_TOLD


# What the patient tells, and what is felt: common practice, no source. Change in size, oozing and change in sensation
# count in the checklist of NICE NG12 (read); "any change" is Source.SHORT_TERM_MONITORING_PAGE.


TOLD_ITEMS = ("new", "growing", "changed_colour", "changed_shape", "bleeding", "itching", "pain")


@pytest.mark.parametrize("then", [None, "no", "unknown"])
@pytest.mark.parametrize("days", [90, 200])
@pytest.mark.parametrize("item", TOLD_ITEMS)
def test_what_the_patient_newly_tells_is_never_no_change(item: str, days: int, then: str | None) -> None:
    before = {} if then is None else tells(item, then)
    made = two(days, before, **tells(item))
    assert Gap.CHANGE_TOLD in made.overall.gaps
    assert kinds_of(made.overall) == ["told"]
    assert made.verdict is SeriesVerdict.NOT_SETTLED
    assert Gap.CHANGE_TOLD.words in series_as_text(made)


@pytest.mark.parametrize(
    ("item", "known_by", "kind", "verdict"),
    [
        ("growing", "photograph", "shown", SeriesVerdict.CHANGED),
        ("growing", "measured", "shown", SeriesVerdict.CHANGED),
        ("growing", "patient", "told", SeriesVerdict.NOT_SETTLED),
        ("growing", "record", "told", SeriesVerdict.NOT_SETTLED),
        ("changed_colour", "photograph", "shown", SeriesVerdict.CHANGED),
        ("changed_shape", "photograph", "shown", SeriesVerdict.CHANGED),
        ("new", "photograph", "told", SeriesVerdict.NOT_SETTLED),  # it was examined before, so it isn't new since
        ("bleeding", "photograph", "told", SeriesVerdict.NOT_SETTLED),
    ],
)
def test_a_change_that_a_picture_shows_counts_more_than_one_that_is_told(
    item: str, known_by: str, kind: str, verdict: SeriesVerdict
) -> None:
    made = step(90, None, **tells(item, known_by=known_by))
    assert kinds_of(made) == [kind]
    assert made.verdict is verdict
    after = step(200, None, **tells(item, known_by=known_by))
    assert after.verdict is SeriesVerdict.NOT_SETTLED


@pytest.mark.parametrize(
    ("then", "now"),
    [
        (tells("growing"), tells("growing")),
        (tells("growing", known_by="photograph"), tells("growing", known_by="photograph")),
        (tells("growing", known_by="photograph"), tells("growing", known_by="patient")),
        (tells("growing"), tells("growing", "no")),
        (tells("growing"), {}),
        ({}, tells("growing", "unknown")),
        (tells("growing"), tells("growing", since="2025-06")),
        (tells("growing"), tells("growing", since="2026")),  # the year of both examinations
        (tells("growing"), tells("growing", for_days=90)),
        ({}, tells("from_birth")),
        ({"lesion": {"ulcerated": "no"}}, {"lesion": {"ulcerated": "no"}}),
        ({}, {"lesion": {"ulcerated": "no"}}),
        (felt(consistency="soft"), felt(consistency="soft")),
        (felt(consistency="not-felt"), felt(consistency="soft")),
        (felt(mobile="unknown"), felt(mobile="yes")),
    ],
)
def test_what_was_told_or_felt_before_is_nothing_new(then: Change, now: Change) -> None:
    made = step(90, then, **now)
    assert kinds_of(made) == []
    assert made.verdict is SeriesVerdict.NO_SIGNIFICANT_CHANGE


@pytest.mark.parametrize(
    ("then", "now", "kind"),
    [
        (tells("growing"), tells("growing", known_by="photograph"), "shown"),
        (tells("growing"), tells("growing", since="2026-02"), "told"),
        (tells("growing"), tells("growing", for_days=89), "told"),
        (felt(consistency="soft"), felt(consistency="hard"), "firmer"),
        (felt(consistency="hard"), felt(consistency="soft"), "feels-otherwise"),
        (felt(tender="no"), felt(tender="yes"), "feels-otherwise"),
        ({"lesion": {"elevation": "flat"}}, {"lesion": {"elevation": "depressed"}}, "stands-otherwise"),
        ({"lesion": {"ulcerated": "no"}}, {"lesion": {"ulcerated": "uncertain"}}, "surface-differs"),
        ({}, {"lesion": {"ulcerated": "uncertain"}}, "surface-differs"),
    ],
)
def test_what_was_told_or_felt_otherwise_before_is_a_change(then: Change, now: Change, kind: str) -> None:
    made = step(90, then, **now)
    assert kinds_of(made) == [kind]
    assert made.verdict is not SeriesVerdict.NO_SIGNIFICANT_CHANGE


@pytest.mark.parametrize(
    ("last", "verdict"),
    [
        ({}, SeriesVerdict.NOT_SETTLED),
        (tells("bleeding", "unknown"), SeriesVerdict.NOT_SETTLED),
        (tells("bleeding"), SeriesVerdict.NOT_SETTLED),
        (tells("bleeding", "no"), SeriesVerdict.NO_SIGNIFICANT_CHANGE),
    ],
)
def test_what_was_told_between_stands_until_it_is_denied(last: Change, verdict: SeriesVerdict) -> None:
    made = series([look(1), look(2, 90, **tells("bleeding")), look(3, 180, **last)])
    assert made.steps[0].verdict is SeriesVerdict.NOT_SETTLED
    assert made.steps[1].verdict is SeriesVerdict.NO_SIGNIFICANT_CHANGE
    assert made.verdict is verdict


def test_slow_growth_is_found_from_first_to_last() -> None:
    sizes = ["6.0", "6.3", "6.6"]
    made = series([look(i, 90 * i, lesion={"longest_mm": Decimal(size)}) for i, size in enumerate(sizes)])
    assert [one.verdict for one in made.steps] == [SeriesVerdict.NO_SIGNIFICANT_CHANGE] * 2
    assert "enlarged-evenly" in kinds_of(made.overall)
    assert made.verdict is SeriesVerdict.NOT_SETTLED  # 180 days: the rule for a long interval leaves even growth open


def test_a_difference_of_totals_is_told_where_both_are_single_numbers() -> None:
    made = step(90, None, findings=[NETWORK, {**GLOBULES, "structure": "globules-irregular"}])
    by_method = {one.now.method.code.value: one for one in made.scores}
    original = by_method["seven-point"]
    # Irregular globules are a minor criterion: one point (seven-point checklist, doi:10.1001/archderm.134.12.1563).
    assert (original.then.low, original.now.low, original.difference) == (0, 1, 1)
    openly = [one for one in made.scores if one.then.low != one.then.high or one.now.low != one.now.high]
    assert openly
    assert all(one.difference is None for one in openly)


# What is no series


def test_what_is_refused_is_all_said_at_once_without_an_entered_value() -> None:
    other = look(2, 90, patient={"reference": "Patient/secret-2"}, lesion={"identifier": {"value": "secret-L"}})
    nobody = look(3, 180, lesion={"identifier": None})
    with pytest.raises(SeriesError) as caught:
        series([look(), other, nobody])
    assert {(issue.rule, issue.path) for issue in caught.value.issues} == {
        ("series-two-patients", "$[1].patient"),
        ("series-two-patients", "$[2].patient"),
        ("series-mixed-lesions", "$[1].lesion.identifier"),
        ("series-lesion-not-identified", "$[2].lesion.identifier"),
    }
    assert "secret" not in str(caught.value)
    assert caught.value.__cause__ is None
    assert isinstance(caught.value, dermreport.DermReportError)


def test_one_examination_is_no_series() -> None:
    assert refusal(look()) == ["series-too-few"]
    assert refusal() == ["series-too-few"]
    assert refusal(look(1), look(2, 90, status="entered-in-error")) == ["series-too-few"]


def test_patients_who_differ_only_from_each_other_are_noticed_in_any_order() -> None:
    numbers = [{"identifiers": [{"system": "https://h.example/p", "value": one}]} for one in ("1", "2")]
    reviews = [
        look(1, patient={"reference": None, "details": {"family": "Sample"}}),
        look(2, 90, patient={"reference": None, **numbers[0]}),
        look(3, 180, patient={"reference": None, **numbers[1]}),
    ]
    for given_so in permutations(reviews):
        assert refusal(*given_so) == ["series-two-patients"]


@pytest.mark.parametrize("lesions", [[None, None, None], ["a", "b", "c"], ["a", None, "a"]])
def test_several_lesions_of_one_visit_are_one_issue(lesions: list[str | None]) -> None:
    reviews = [
        look(number, lesion={"label": f"spot {number}", "identifier": {"value": one} if one is not None else None})
        for number, one in enumerate(lesions)
    ]
    assert refusal(*reviews) == ["series-one-visit"]


def test_two_looks_at_one_lesion_at_one_time_are_no_visit_of_several() -> None:
    assert "series-same-day" in rules_of(series([look(1, examined="2026-03-18"), look(2, examined="2026-03-18")]))
    patients = [{"patient": {"reference": f"Patient/{one}"}, "lesion": {"identifier": None}} for one in "12"]
    assert set(refusal(look(1, **patients[0]), look(2, **patients[1]))) == {
        "series-two-patients",
        "series-lesion-not-identified",
    }


def on_map(drawing: str) -> Change:
    return {"lesion": {"map_point": {"map": drawing, "x": Decimal("0.4"), "y": Decimal("0.3")}}}


@pytest.mark.parametrize(
    ("told", "paths"),
    [
        ([on_map("body-back"), on_map("body-front"), {}], ["$[1].lesion.map_point.map"]),
        ([on_map("body-back"), {}, on_map("body-front")], ["$[2].lesion.map_point.map"]),
        ([on_map("body-back"), {}, on_map("body-back")], []),
        ([{"lesion": {"label": "A"}}, {"lesion": {"label": "B"}}, {"lesion": {"label": "B"}}], ["$[1].lesion.label"]),
        ([{"lesion": {"label": "A"}}, {"lesion": {"label": "a"}}, {}], []),
    ],
)
def test_another_drawing_or_label_under_one_identifier_is_told(told: list[Change], paths: list[str]) -> None:
    made = series([look(1, **told[0]), look(2, 90, **told[1]), look(3, 180, **told[2])])
    found = [issue for issue in made.issues if issue.rule == "series-named-otherwise"]
    assert [issue.path for issue in found] == paths
    assert {issue.severity for issue in found} <= {Severity.INFORMATION}


def test_one_call_to_the_patient_is_asked_for_though_several_looks_came_late() -> None:
    watched = [{"plan": {"actions": [{"key": "a", "action": "monitor-short", "latest": one}]}} for one in
               ("2026-03-01", "2026-06-01")]  # fmt: skip
    made = series([look(1, **watched[0]), look(2, 900, **watched[1])], as_of="2029-01-01")
    assert [issue.path for issue in made.issues if issue.rule == "series-follow-up-overdue"] == ["$[1].plan.actions[0]"]


def test_other_dates_of_birth_are_two_patients_and_a_year_of_birth_is_not() -> None:
    born = [{"patient": {"details": {"birth_date": one}}} for one in ("1980-05-01", "1980-05-02", "1980")]
    assert refusal(look(1, **born[0]), look(2, 90, **born[1])) == ["series-two-patients"]
    assert series([look(1, **born[0]), look(2, 90, **born[2])]).verdict is SeriesVerdict.NO_SIGNIFICANT_CHANGE


def test_the_latest_revision_counts_and_what_was_withdrawn_is_left_out_with_a_word() -> None:
    former, latest = look(2, 90, lesion={"longest_mm": 9}), look(2, 90, revision=2, status="amended")
    gone = look(3, 120, status="entered-in-error")
    for given_so in permutations([look(), former, latest, gone]):
        made = series(given_so)
        assert [one.examination.revision for one in made.reviews] == [1, 2]
        assert made.verdict is SeriesVerdict.NO_SIGNIFICANT_CHANGE
        assert rules_of(made) == ["series-withdrawn", "series-revisions"]


def test_two_contents_of_one_revision_are_refused_and_the_same_twice_is_one() -> None:
    assert refusal(look(), look(2, 90), look(2, 90, note="other")) == ["series-revision-twice"]
    assert len(series([look(), look(2, 90), look(2, 90)]).reviews) == 2


@pytest.mark.parametrize("wrong", [look(), [1, 2], [{"identifier": 1}]])
def test_what_is_no_review_is_a_type_error(wrong: Any) -> None:
    with pytest.raises(TypeError, match=r"dermreport\.review"):
        series(wrong)


# What somebody has to act on


GROWN = {"lesion": {"longest_mm": 9}}


def acting(action: str) -> Change:
    return {"plan": {"actions": [{"key": "a", "action": action, "urgency": "urgent"}]}}


@pytest.mark.parametrize(
    ("now", "rule", "severity"),
    [
        (GROWN, "series-change-significant", Severity.ERROR),
        (GROWN | acting("monitor-short"), "series-change-significant", Severity.ERROR),
        (GROWN | acting("reassure-with-advice"), "series-change-significant", Severity.ERROR),
        (GROWN | acting("refer-suspected-cancer"), "series-change-answered", Severity.INFORMATION),
        (GROWN | acting("excise-complete"), "series-change-answered", Severity.INFORMATION),
        (GROWN | acting("biopsy-punch"), "series-change-answered", Severity.INFORMATION),
    ],
)
def test_a_change_asks_for_removal_or_referral(now: Change, rule: str, severity: Severity) -> None:
    found = {issue.rule: issue for issue in two(90, None, **now).issues}
    assert found[rule].severity is severity
    assert found[rule].path == "$[1]"
    assert len({"series-change-significant", "series-change-answered"} & set(found)) == 1


def test_no_change_asks_for_nothing() -> None:
    assert two(90).issues == ()


def histology(result: str | None, **more: Any) -> Change:
    found = {} if result is None else {"result": result}
    return {"outcomes": [{"key": "h", "kind": "histology", **found, **more}]}


DOUBTED = {"assessment": {"concern": "uncertain", "impressions": [{"key": "i", "impression": "naevus-atypical"}]}}


@pytest.mark.parametrize("agreement", [None, "agrees", "differs", "unclear"])
@pytest.mark.parametrize("specimen", ["part", "whole"])
@pytest.mark.parametrize("place", [0, 1, 2])
@pytest.mark.parametrize(
    ("result", "name"),
    [
        ("melanoma", "melanoma"),
        ("melanoma-in-situ", "melanoma in situ"),
        ("lentigo-maligna", "lentigo maligna"),
        ("basal-cell-carcinoma", "basal cell carcinoma"),
    ],
)
def test_a_cancer_by_histology_outranks_every_comparison(
    result: str, name: str, place: int, specimen: str, agreement: str | None
) -> None:
    agreed = {} if agreement is None else {"agreement": agreement}
    told = [DOUBTED, DOUBTED, DOUBTED]
    told[place] = told[place] | histology(result, specimen=specimen, **agreed)
    made = series([look(1, **told[0]), look(2, 90, **told[1]), look(3, 180, **told[2])])
    assert {one.verdict for one in made.comparisons} == {SeriesVerdict.CANCER_FOUND}
    assert made.verdict is SeriesVerdict.CANCER_FOUND
    found = next(issue for issue in made.issues if issue.rule == "series-cancer-found")
    assert found.severity is Severity.ERROR
    assert found.path == f"$[{place}].outcomes[0].result"
    assert f": {name}." in found.message
    assert name in series_as_text(made)


@pytest.mark.parametrize(
    ("then", "now", "answered"),
    [
        (histology("melanoma"), {}, False),
        # The removal by which it became known isn't an answer to it.
        (histology("melanoma") | acting("excise-complete"), {}, False),
        (histology("melanoma"), acting("monitor-short"), False),
        (histology("melanoma"), acting("refer-suspected-cancer"), True),
        (
            histology("melanoma", patient_informed="yes")
            | {
                "plan": {
                    "actions": [
                        {"key": "a", "action": "refer-suspected-cancer", "responsible": {"reference": "Practitioner/1"}}
                    ]
                }
            },
            {},
            True,
        ),
    ],
)
def test_a_cancer_by_histology_asks_who_acts_on_it(then: Change, now: Change, *, answered: bool) -> None:
    rules = set(rules_of(two(90, then, **now)))
    assert ("series-cancer-answered" in rules) is answered
    assert ("series-cancer-found" in rules) is not answered


def test_a_change_beside_a_cancer_is_still_told_and_asks_for_a_plan() -> None:
    made = two(90, histology("melanoma"), **GROWN)
    assert made.verdict is SeriesVerdict.CANCER_FOUND
    assert {"series-cancer-found", "series-change-significant"} <= set(rules_of(made))
    said = two(90, histology("melanoma"), **GROWN, **monitoring("unchanged"))
    assert "series-recorded-unchanged-but-changed" in rules_of(said)


@pytest.mark.parametrize(
    ("result", "clear"),
    [
        ("naevus-compound", True),
        ("melanocytic-uncertain", False),
        ("no-tumour-found", False),
        ("insufficient", False),
        ("actinic-keratosis", False),
        (None, False),
        ({"system": "https://host.example/results", "code": "x", "display": "x"}, False),
    ],
)
def test_a_result_that_names_no_harmless_lesion_is_a_gap(result: Any, *, clear: bool) -> None:
    made = two(90, histology(result, specimen="part"))
    assert (Gap.RESULT_OPEN in made.overall.gaps) is not clear
    assert (made.verdict is SeriesVerdict.NO_SIGNIFICANT_CHANGE) is clear


def monitoring(change: str, day: int | None = 90, **more: Any) -> Change:
    dated = {} if day is None else {"date": str(FIRST + timedelta(day))}
    return {"outcomes": [{"key": "o", "kind": "monitoring", "change": change, **dated, **more}]}


@pytest.mark.parametrize(
    ("then", "now", "rule"),
    [
        (monitoring("unchanged"), GROWN, "series-recorded-unchanged-but-changed"),
        (monitoring("unchanged", None), GROWN, "series-recorded-unchanged-but-changed"),
        ({}, GROWN | monitoring("unchanged"), "series-recorded-unchanged-but-changed"),
        ({}, GROWN | monitoring("unchanged", None), "series-recorded-unchanged-but-changed"),
        ({}, monitoring("changed"), "series-outcome-disagrees"),
        ({}, monitoring("unchanged", agreement="differs"), "series-outcome-disagrees"),
        ({}, {"lesion": {"crosswise_mm": None}} | monitoring("unchanged"), "series-unchanged-not-supported"),
        ({}, {"views": POLARISED_ONLY} | monitoring("unchanged"), "series-unchanged-not-supported"),
        ({"outcomes": [{"key": "o", "kind": "opinion", "agreement": "differs"}]}, {}, "series-outcome-disagrees"),
        (
            {"outcomes": [{"key": "o", "kind": "histology", "result": "melanoma", "specimen": "part"}]},
            {},
            "series-outcome-disagrees",
        ),
        (
            {
                "outcomes": [
                    {"key": "o", "kind": "histology", "result": "melanoma", "specimen": "whole", "date": "2026-01-20"}
                ]
            },
            {},
            "series-removed-and-seen-again",
        ),
        ({}, {"lesion": {"site": "chest"}}, "series-other-site"),
        ({"lesion": {"side": "left"}}, {"lesion": {"side": "right"}}, "series-other-site"),
    ],
)
def test_what_does_not_fit_is_an_issue(then: Change, now: Change, rule: str) -> None:
    assert rule in rules_of(two(90, then, **now))
    assert rule not in rules_of(two(90))


@pytest.mark.parametrize(
    ("then", "now"),
    [
        (monitoring("unchanged"), {}),
        ({}, monitoring("unchanged")),
        (monitoring("changed"), GROWN | acting("excise-complete")),
        (monitoring("not-attended"), {}),
        # Of a look on a day that isn't in the series nothing is known here.
        (monitoring("unchanged", 45), GROWN | acting("excise-complete")),
    ],
)
def test_what_fits_is_none(then: Change, now: Change) -> None:
    found = set(rules_of(two(90, then, **now)))
    assert found <= {"series-change-answered"}


@pytest.mark.parametrize(
    ("action", "as_of", "late"),
    [
        ({"action": "excise-complete", "result_by": "2026-02-01"}, None, "series-outcome-overdue"),
        ({"action": "excise-complete", "result_by": "2026-05-01"}, None, None),
        ({"action": "excise-complete", "result_by": "2026-05-01"}, "2026-05-03", "series-outcome-overdue"),
        ({"action": "excise-complete", "result_by": "2026-05-01"}, "2026-05-01", None),
        ({"action": "biopsy-punch", "date": "2026-02-01"}, None, "series-outcome-overdue"),
        ({"action": "advice-and-guidance", "latest": "2026-02-01"}, None, "series-outcome-overdue"),
        ({"action": "advice-and-guidance"}, "2030-01-01", None),
        ({"action": "sun-protection-advice", "latest": "2026-02-01"}, None, None),
        ({"action": "monitor-short", "latest": "2026-03-01"}, None, "series-follow-up-overdue"),
        ({"action": "monitor-short", "latest": "2026-04-02"}, None, None),
        ({"action": "monitor-short", "latest": "2026-05-17"}, "2026-09-01", None),
    ],
)
def test_what_was_due_and_did_not_come(action: Change, as_of: str | None, late: str | None) -> None:
    then = look(1, plan={"actions": [{"key": "a", **action}]})
    made = series([then, look(2, 90)], as_of=as_of)  # 2026-04-02
    found = [rule for rule in rules_of(made) if rule.endswith("-overdue")]
    assert found == ([late] if late else [])


def test_an_answer_in_a_later_examination_is_an_answer() -> None:
    then = look(1, plan={"actions": [{"key": "a", "action": "biopsy-punch", "result_by": "2026-02-01"}]})
    answered = {"outcomes": [{"key": "o", "kind": "histology", "result": "naevus-compound", "specimen": "part"}]}
    assert "series-outcome-overdue" not in rules_of(series([then, look(2, 90, **answered)]))


# The same whatever the order, and no data of the entry in what goes into logs


NAMES = ("watched-with-baseline", "after-3-months", "after-6-months", "after-9-months")


def example(name: str) -> dermreport.Review:
    return dermreport.review(dermreport.Examination.from_json((EXAMPLES / f"lower-back-{name}.json").read_bytes()))


def test_the_examples_show_all_that_there_is_to_say() -> None:
    made = series([example(name) for name in NAMES])
    assert [one.days for one in made.comparisons] == [91, 91, 91, 273]
    assert [one.verdict for one in made.steps] == [
        SeriesVerdict.NOT_SETTLED,
        SeriesVerdict.NO_SIGNIFICANT_CHANGE,
        SeriesVerdict.CHANGED,
    ]
    assert made.steps[0].structures_of(Course.OPEN) == (Structure.GLOBULES_IRREGULAR,)
    assert rules_of(made) == ["series-change-answered"]


def test_order_never_matters_in_the_examples() -> None:
    reviews = [example(name) for name in NAMES]
    texts = {series_as_text(series(given_so)) for given_so in permutations(reviews)}
    assert len(texts) == 1


LOOKS = st.lists(
    st.tuples(
        st.integers(0, 400),
        st.sampled_from([BOTH_LIGHTS, NON_POLARISED_ONLY, POLARISED_ONLY, []]),
        st.sampled_from([None, Decimal("5.8"), Decimal("6.0"), Decimal("7.0")]),
        st.sampled_from([[], [GLOBULES], [{**GLOBULES, "presence": "uncertain"}], [{**GLOBULES, "views": ["plain"]}]]),
    ),
    min_size=2,
    max_size=4,
)


def _looks(drawn: list[tuple[int, list[Change], Decimal | None, list[Change]]]) -> list[dermreport.Review]:
    return [
        look(i, days, views=views, findings=found, lesion={"longest_mm": size})
        for i, (days, views, size, found) in enumerate(drawn)
    ]


@settings(max_examples=40)
@given(LOOKS, st.randoms(use_true_random=False))
def test_order_never_matters(drawn: Any, random: Any) -> None:
    reviews = _looks(drawn)
    made = series(reviews)
    random.shuffle(reviews)
    assert series_as_text(series(reviews)) == series_as_text(made)
    assert dermreport.series_plot(series(reviews)) == dermreport.series_plot(made)


@settings(max_examples=40)
@given(LOOKS)
def test_no_change_is_said_only_of_the_same_light_after_the_interval_and_with_nothing_open(drawn: Any) -> None:
    made = series(_looks(drawn))
    for one in made.comparisons:
        if one.verdict is SeriesVerdict.NO_SIGNIFICANT_CHANGE:
            assert one.lights
            assert one.days >= one.window.from_days
            assert one.growth.settled
            assert not one.open_colours
            assert not one.structures_of(Course.OPEN)
            assert not one.of_weight(Weight.SIGNIFICANT)
            assert not one.of_weight(Weight.UNDECIDED)
        else:
            assert one.gaps or one.of_weight(Weight.SIGNIFICANT)
    text = series_as_text(made)
    assert "unchanged" not in text.casefold()
    assert "benign" not in text.casefold()
    assert "harmless" not in text.casefold()
    for caution in CAUTIONS:
        assert caution in text


@WHOLE_EXAMINATIONS
@given(st.lists(usual_examinations(), min_size=2, max_size=3, unique_by=lambda one: one.identifier.value))
def test_any_examinations_of_one_lesion_can_be_compared(entries: list[dermreport.Examination]) -> None:
    lesion = {"identifier": {"system": "https://host.example/lesions", "value": "L-1"}}
    same = [{**one.to_dict(), "patient": {"reference": "Patient/1"}, "status": "final"} for one in entries]
    reviews = [
        dermreport.review(dermreport.Examination.model_validate({**one, "lesion": {**one.get("lesion", {}), **lesion}}))
        for one in same
    ]
    made = series(reviews)
    assert len(made.reviews) == len(entries)
    assert series_as_text(made) == series_as_text(series(reviews[::-1]))
    assert drawn(made).tag == f"{SVG}svg"
    assert write_json(series_as_data(made))


def test_the_data_are_json_and_hold_nothing_of_the_patient() -> None:
    made = series([example(name) for name in NAMES])
    told = json.loads(write_json(series_as_data(made)))
    assert told["verdict"] == "changed"
    assert [one["days"] for one in told["comparisons"]] == [91, 91, 91, 273]
    private = ("Sample", "p-7145", "L-7145", "rings twice", "555")
    for text in (json.dumps(told), series_as_text(made), repr(made.issues), dermreport.series_plot(made)):
        assert not [word for word in private if word in text]


# The drawing


SVG = "{http://www.w3.org/2000/svg}"


def drawn(made: Series, **how: Any) -> etree._Element:
    return etree.fromstring(dermreport.series_plot(made, **how).encode())


@settings(max_examples=30)
@given(
    LOOKS,
    st.sampled_from([one.value for one in dermreport.review(record()).scores.values() for one in [one.method.code]]),
)
def test_the_drawing_is_well_formed_and_says_in_words_what_it_shows(drawn_looks: Any, method: str) -> None:
    made = series(_looks(drawn_looks))
    root = drawn(made, method=method)
    assert root.tag == f"{SVG}svg"
    assert root.get("role") == "img"
    title, desc = root.find(f"{SVG}title"), root.find(f"{SVG}desc")
    assert root.get("aria-labelledby") == f"{title.get('id')} {desc.get('id')}"
    for review in made.reviews:
        assert review.examination.examined[:10] in desc.text
    assert {element.tag.removeprefix(SVG) for element in root.iter()} <= {
        "svg", "title", "desc", "rect", "circle", "line", "path", "text"
    }  # fmt: skip
    names = {name for element in root.iter() for name in element.attrib}
    assert not [name for name in names if name.startswith("on") or "href" in name or name == "style"]
    for element in root.iter():
        for name in ("x", "y", "cx", "cy", "x1", "x2", "y1", "y2"):
            if (value := element.get(name)) is not None:
                assert -1 <= float(value) <= 760


def test_the_drawing_of_the_examples() -> None:
    made = series([example(name) for name in NAMES])
    root = drawn(made)
    words = ["".join(element.itertext()) for element in root.iter(f"{SVG}text")]
    assert [one for one in words if one in {"longest", "crosswise", "threshold 3", "0 to 1"}] == [
        "longest",
        "crosswise",
        "threshold 3",
        "0 to 1",
    ]
    assert len(list(root.iter(f"{SVG}circle"))) == 4 + 3  # a dot for each longest diameter, and each single total
    squares = [one for one in root.iter(f"{SVG}rect") if one.get("fill") == "none"]
    assert len(squares) == 4
    assert "2026-12-16: longest diameter 7.5 mm, crosswise diameter 5.5 mm" in root.find(f"{SVG}desc").text


@pytest.mark.parametrize("method", sorted(ScoreMethod))
def test_only_a_method_with_a_total_can_be_drawn(method: str) -> None:
    made = two(90)
    if method in made.reviews[0].scores:
        assert drawn(made, method=method).tag == f"{SVG}svg"
        return
    with pytest.raises(SettingsError) as caught:
        dermreport.series_plot(made, method=method)
    assert "seven-point" in str(caught.value)
    assert method not in str(caught.value).split(": method is one of ")[1].split(", ")


@pytest.mark.parametrize("method", ["Doe Jane", "", "SEVEN_POINT", "seven-point ", None, 7, ["seven-point"]])
def test_a_method_that_is_not_there_is_refused_without_its_value(method: Any) -> None:
    with pytest.raises(SettingsError) as caught:
        dermreport.series_plot(two(90), method=method)
    assert "Doe" not in str(caught.value)
    assert "method is one of" in str(caught.value)
    assert caught.value.__cause__ is None
    assert caught.value.__context__ is None


@pytest.mark.parametrize(
    "as_of",
    ["Doe Jane", "", "2026", "2026-09", "2026-02-30", "20260901", "2026-09-01 Doe", "2026-09-01T10:00:00", 20260901, 0],
)
def test_a_day_that_is_none_is_refused_without_its_value(as_of: Any) -> None:
    with pytest.raises(SettingsError) as caught:
        series([look(), look(2, 90)], as_of=as_of)
    assert str(caught.value) == "series: as_of is a day, as 2026-09-01, or a time with its offset"
    assert caught.value.__cause__ is None
    assert caught.value.__context__ is None


@pytest.mark.parametrize("as_of", [None, "2026-09-01", "2026-09-01T10:00:00Z", "2028-02-29"])
def test_a_day_or_a_time_is_taken(as_of: str | None) -> None:
    assert series([look(), look(2, 90)], as_of=as_of).verdict is SeriesVerdict.NO_SIGNIFICANT_CHANGE
