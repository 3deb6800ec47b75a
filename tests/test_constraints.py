"""The rules as FHIRPath constraints: that each stands somewhere or says why not, and that it says what the rule says.

The library's own engine is the oracle for the meaning; FHIRPath is evaluated by ``fhirpathpy`` here, and by the
reference validator and npm ``fhirpath`` in the conformance run. The functions that may be used are those of FHIRPath
2.0.0 (http://hl7.org/fhirpath/N1/), sections 5 and 6, and FHIR's own ``extension`` (https://hl7.org/fhir/R4/fhirpath.html).
"""

from __future__ import annotations

import json
import re
from calendar import monthrange
from datetime import date, timedelta
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from conformance.constraint_checks import settled
from constraint_instances import Instance, broken_places, expected_places, instances
from fhirpathpy import compile as compile_fhirpath
from hypothesis import given, settings
from hypothesis import strategies as st
from test_rules import base

import dermreport
from dermreport.answers import MADE_OF_PARTS, NOT_LOOKED_FOR, ONLY_WITHOUT, PARENT, answers
from dermreport.examination.model import Examination
from dermreport.examination.times import certainly_before as certainly_before_in_python
from dermreport.examination.times import whole_years
from dermreport.expressions.structure_fhirpath import StructureTexts, wholes_that_need
from dermreport.fhir.ids import Thing
from dermreport.fhir.releases import Release
from dermreport.issues import Severity
from dermreport.profiles.constraints.printed import all_constraints, constraints, human, reason_against
from dermreport.profiles.constraints.times import (
    certainly_before,
    certainly_less_before,
    first_day,
    last_day,
    years_between,
)
from dermreport.rules.tables import BY_ID, RULES
from dermreport.settings import Settings
from dermreport.vocabulary.structures import Structure, family_of

PLACES: dict[str, str] = json.loads((Path(__file__).parent / "constraints" / "places.json").read_text(encoding="utf-8"))
RELEASES = tuple(Release)
PROFILES = tuple(f"dermoscopy-{thing.value}" for thing in Thing)


# --- each rule has its place ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("release", RELEASES)
def test_each_rule_stands_where_the_table_says_or_for_the_reason_that_it_gives(release: Release) -> None:
    placed = {one.rule.id: one.profile for one in all_constraints(release)}
    assert {rule.id: placed.get(rule.id) or reason_against(rule) for rule in RULES} == PLACES


@pytest.mark.parametrize("release", RELEASES)
def test_the_profiles_share_all_constraints_out(release: Release) -> None:
    shared = [one["key"] for profile in PROFILES for one in constraints(profile, release)]
    assert sorted(shared) == sorted(one.rule.id for one in all_constraints(release))


def test_what_only_informs_is_no_constraint() -> None:
    # R4 and R5 bind the severity to error and warning: https://hl7.org/fhir/R4/valueset-constraint-severity.html.
    severities = {one["severity"] for profile in PROFILES for one in constraints(profile, Release.R4)}
    assert severities == {"error", "warning"}
    assert all(reason_against(rule) for rule in RULES if rule.severity is Severity.INFORMATION)


@pytest.mark.parametrize("profile", PROFILES)
def test_a_constraint_is_what_an_element_definition_asks(profile: str) -> None:
    for one in constraints(profile, Release.R5):
        # The order and the form of the key: https://hl7.org/fhir/R4/elementdefinition.html; a key is an id.
        assert list(one) == ["key", "requirements", "severity", "human", "expression"]
        assert re.fullmatch(r"[A-Za-z0-9\-.]{1,64}", one["key"])
        assert one["severity"] == BY_ID[one["key"]].severity.value
        assert "{" not in one["human"]
        assert one["requirements"]


def test_the_words_of_a_constraint_are_the_rules_own() -> None:
    assert human(BY_ID["plan-missing"]) == BY_ID["plan-missing"].message
    assert human(BY_ID["site-side-missing"]) == "Left or right? There is one on each side (the site named)."


# --- what every engine can read ---------------------------------------------------------------------------------------

#: Functions of FHIRPath 2.0.0, and those whose answer doesn't differ between releases and engines.
FUNCTIONS = {
    *("empty", "exists", "all", "distinct", "count", "where", "select", "ofType", "first", "intersect", "iif", "not"),
    *("toString", "toInteger", "indexOf", "substring", "endsWith", "contains", "matches", "replace", "length"),
    *("extension", "join"),
}
#: What looks like a function where an operator or a type test stands before a bracket.
OPERATORS = {"and", "or", "in", "div", "mod", "implies"}


@pytest.mark.parametrize("release", RELEASES)
def test_only_functions_that_all_engines_know_are_used(release: Release) -> None:
    used = {
        name
        for one in all_constraints(release)
        for name in re.findall(r"\b([A-Za-z]+) ?\(", re.sub(r"'[^']*'", "''", one.expression))
    }
    assert used - OPERATORS <= FUNCTIONS
    # The whole list is in use, or an entry has outlived its use.
    assert used >= FUNCTIONS


@pytest.mark.parametrize("release", RELEASES)
def test_a_pattern_is_of_the_whole_text(release: Release) -> None:
    # FHIRPath 2.0.0 doesn't say whether a pattern may be a part of the text, and engines differ.
    patterns = [
        pattern for one in all_constraints(release) for pattern in re.findall(r"matches\('([^']*)'\)", one.expression)
    ]
    assert len(patterns) > 100
    assert all(pattern.startswith("^") and pattern.endswith("$") for pattern in patterns)


@pytest.mark.parametrize("release", RELEASES)
def test_no_reference_is_followed(release: Release) -> None:
    assert not any("resolve(" in one.expression for one in all_constraints(release))


@pytest.mark.parametrize("release", [Release.R4, Release.R4B])
def test_r4_and_r4b_have_the_same_constraints(release: Release) -> None:
    assert [one.expression for one in all_constraints(release)] == [
        one.expression for one in all_constraints(Release.R4)
    ]


# --- each constraint broken and held ----------------------------------------------------------------------------------


def test_each_constraint_has_an_instance_that_breaks_it_and_one_that_holds_it() -> None:
    wanted = {(one.rule.id, breaks) for one in all_constraints(Release.R4) for breaks in (True, False)}
    assert {(one.rule, one.breaks) for one in instances()} == wanted


@pytest.mark.parametrize("instance", instances(), ids=lambda one: f"{one.rule}-{'broken' if one.breaks else 'held'}")
def test_a_constraint_is_broken_where_its_rule_fires(instance: Instance) -> None:
    bundle = instance.bundle("R4")
    broken = broken_places("python", "R4", bundle, instance.rule)
    assert broken == expected_places(instance, bundle, "R4")
    assert bool(broken) is instance.breaks


# --- what is out of account -------------------------------------------------------------------------------------------


def _broken(bundle: dict[str, Any], *rules: str) -> set[str]:
    return {rule for rule in rules if broken_places("python", "R4", bundle, rule)}


@cache
def _bundle_without_site_and_plan() -> str:
    exam = base() | {"lesion": {"site": None, "longest_mm": 4}, "plan": None}
    review = dermreport.review(Examination.model_validate(exam), Settings(claim_profiles=True))
    return dermreport.to_fhir(review).bundle("collection").to_json()


def _with_status(status: str) -> dict[str, Any]:
    bundle: dict[str, Any] = json.loads(_bundle_without_site_and_plan())
    for entry in bundle["entry"]:
        if entry["resource"].get("status") == "preliminary":
            entry["resource"]["status"] = status
    return bundle


@pytest.mark.parametrize(
    ("status", "broken"),
    [
        ("final", {"site-missing", "plan-missing"}),
        ("amended", {"site-missing", "plan-missing"}),
        # An error makes the report preliminary; a record is never lost to a rule.
        ("preliminary", {"plan-missing"}),
        ("entered-in-error", set()),
    ],
)
def test_an_error_is_asked_of_final_reports_only(status: str, broken: set[str]) -> None:
    assert _broken(_with_status(status), "site-missing", "plan-missing") == broken


def test_a_bundle_with_two_reports_holds_every_constraint_of_the_bundle() -> None:
    bundle = _with_status("final")
    reports = [one for one in bundle["entry"] if one["resource"]["resourceType"] == "DiagnosticReport"]
    bundle["entry"].append({**reports[0], "fullUrl": "urn:uuid:00000000-0000-4000-8000-000000000001"})
    assert _broken(bundle, "site-missing", "plan-missing") == set()


def test_what_was_withdrawn_is_out_of_account() -> None:
    review = dermreport.review(
        Examination.model_validate(base() | {"lesion": {"site": "back", "longest_mm": 0}}),
        Settings(claim_profiles=True),
    )
    bundle = settled(dermreport.to_fhir(review).bundle("collection").to_dict())
    assert _broken(bundle, "describe-size-zero") == {"describe-size-zero"}
    for entry in bundle["entry"]:
        if entry["resource"]["resourceType"] == "Observation":
            entry["resource"]["status"] = "entered-in-error"
    assert _broken(bundle, "describe-size-zero", "site-missing") == {"site-missing"}


def test_a_request_is_never_refused_by_itself() -> None:
    # It doesn't tell whether its report is preliminary, so no error stands on its profile.
    on_requests = [*constraints("dermoscopy-plan", Release.R4), *constraints("dermoscopy-image", Release.R4)]
    assert on_requests
    assert {one["severity"] for one in on_requests} == {"warning"}


# --- structures -------------------------------------------------------------------------------------------------------


class _InSets:
    """Recorded structures by the names of four sets."""

    def any_present(self, structures: tuple[Structure, ...]) -> str:
        names = " or ".join(f"$this = '{one.value}'" for one in structures)
        return f"%present.exists({names})"

    def absent(self, structure: Structure) -> str:
        return f"('{structure.value}' in %absent)"

    def said(self, structure: Structure) -> str:
        return f"('{structure.value}' in %said)"

    def found(self, structure: Structure) -> str:
        return f"('{structure.value}' in %found)"


#: Structures of which something follows, or from which it follows.
DERIVED = tuple(
    one
    for one in Structure
    if one in PARENT or len(family_of(one)) > 1 or one in MADE_OF_PARTS or wholes_that_need(one) or one in ONLY_WITHOUT
)


@cache
def _truth(structure: Structure) -> Any:
    return compile_fhirpath(StructureTexts(_InSets()).truth(structure))


@settings(max_examples=60)
@given(st.data())
def test_structures_follow_as_in_the_answers(data: st.DataObject) -> None:
    """The oracle is ``answers``, on findings and the statement of a list."""
    presences = st.sampled_from(["present", "absent", "uncertain", "not-assessed"])
    chosen = data.draw(st.dictionaries(st.sampled_from(DERIVED), presences, max_size=8))
    listed = data.draw(st.booleans())
    pattern = data.draw(st.none() | st.sampled_from([one for one in DERIVED if one.value.startswith("pattern-")]))
    exam = {
        **{name: base()[name] for name in ("identifier", "status", "patient", "examined")},
        "findings": [{"structure": one.value, "presence": said} for one, said in chosen.items()],
        "lists_gone_through": [{"list": "pigmented-lesion"}] if listed else [],
        "views": [{"key": "a", "light": "polarised"}],
        "description": {"pattern": pattern.value} if pattern is not None else None,
    }
    examination = Examination.model_validate(exam)
    items = {one for gone in examination.lists_gone_through for one in gone.list.structures}  # type: ignore[union-attr]
    as_pattern = {pattern} - {None} - chosen.keys()
    sets = {
        "present": {one for one, said in chosen.items() if said == "present"} | as_pattern,
        "absent": {one for one, said in chosen.items() if said == "absent"} | (items - chosen.keys() - as_pattern),
        "said": {*chosen, *items, *as_pattern},
        "found": set(chosen),
    }
    known = {name: [one.value for one in Structure if one in members] for name, members in sets.items()}
    found = answers(examination)
    for structure in DERIVED:
        result = _truth(structure)({}, known)
        assert (result[0] if result else None) is found.structures.get(structure, NOT_LOOKED_FOR).truth, structure


def test_kinds_are_one_deep_and_parts_are_no_wholes() -> None:
    """The order in which the answers derive can't matter, as long as this holds."""
    assert all(parent not in PARENT for parent in PARENT.values())
    assert not any(part in MADE_OF_PARTS for any_of, all_of in MADE_OF_PARTS.values() for part in (*any_of, *all_of))
    assert not any(one in PARENT or one in PARENT.values() for one in MADE_OF_PARTS)


# --- times ------------------------------------------------------------------------------------------------------------

_YEARS = st.integers(1800, 2400)
_DAYS = st.dates(min_value=date(1800, 1, 1), max_value=date(2400, 12, 31))
_OFFSETS = st.sampled_from(["Z", "+00:00", "+01:00", "-12:00", "+14:00", "+05:45", "-03:30"])
_CLOCKS = st.times().map(lambda clock: clock.replace(microsecond=0).isoformat())
_AFTER_THE_SECOND = st.sampled_from(["", ".5", ".123456"])
TIMES = st.one_of(
    _YEARS.map(str),
    _DAYS.map(lambda day: day.isoformat()[:7]),
    _DAYS.map(str),
    st.builds("{}T{}{}{}".format, _DAYS.map(str), _CLOCKS, _AFTER_THE_SECOND, _OFFSETS),
)
NEAR = st.sampled_from(
    [
        *("2023", "2024", "2024-02", "2024-03", "2023-02", "2024-02-28", "2024-02-29", "2024-03-01", "2024-12-31"),
        *("2024-02-29T23:59:59-12:00", "2024-03-01T11:59:59Z", "2024-03-01T12:00:00Z", "2024-02-28T10:00:00+14:00"),
        *("2024-02-29T10:00:00Z", "2024-02-29T10:10:00Z", "2024-02-29T10:10:01Z", "2024-02-29T11:10:01.5+01:00"),
    ]
)
MARGINS = {0: timedelta(), 600: timedelta(minutes=10), 86400: timedelta(days=1), 2419200: timedelta(days=28)}


@cache
def _compiled(text: str) -> Any:
    return compile_fhirpath(text)


def _told(text: str, one: str, other: str) -> Any:
    return _compiled(text)({}, {"one": one, "other": other})[0]


def _same_second(one: str, other: str) -> bool:
    """Whether the answer hangs on a fraction of a second, which the constraints leave out of account."""
    return "." in one or "." in other


@settings(max_examples=250)
@given(TIMES | NEAR, TIMES | NEAR, st.sampled_from(list(MARGINS)))
def test_times_are_ordered_as_the_library_orders_them(one: str, other: str, margin: int) -> None:
    expected = certainly_before_in_python(one, other, MARGINS[margin])
    before = _told(certainly_before("%one", "%other", margin), one, other)
    if _same_second(one, other):
        assert expected is not False or before is False
    else:
        assert before is (expected is True)
    if not _same_second(one, other) and margin:
        # «Not by more than the margin» differs from «by less» on the second of the margin itself, where it is open.
        less = _told(certainly_less_before("%one", "%other", margin), one, other)
        assert expected is not True or less is False


@settings(max_examples=200)
@given(TIMES | NEAR)
def test_days_of_a_time_are_counted_as_the_calendar_counts_them(text: str) -> None:
    """The oracle is the calendar of the standard library."""
    written = text[:10]
    begin = date.fromisoformat(written + "-01-01"[len(written) - 4 :] if len(written) < 10 else written)
    if len(written) == 4:
        end = date(begin.year, 12, 31)
    else:
        end = date(begin.year, begin.month, monthrange(begin.year, begin.month)[1]) if len(written) == 7 else begin
    origin = date(2000, 1, 1)
    nought = _told(first_day("%one"), "2000-01-01", "")
    assert _told(first_day("%one"), text, "") - nought == (begin - origin).days
    assert _told(last_day("%one"), text, "") - nought == (end - origin).days


@settings(max_examples=300)
@given(TIMES | NEAR, _DAYS.map(str) | st.just("2024-02-28") | st.just("2023-02-28"))
def test_years_are_counted_as_the_library_counts_them(begin: str, end: str) -> None:
    fewest, most = whole_years(begin, end)
    # Never fewer than they are: who was born on a leap day can be a day early.
    assert _told(f"({years_between('%one', '%other', most=True)})", begin, end) in {most, most + 1}
    assert _told(f"({years_between('%one', '%other', most=False)})", begin, end) in {fewest, fewest - 1}
    if not begin[:10].endswith(("-02", "-02-29")) and len(begin) != 7:
        assert _told(f"({years_between('%one', '%other', most=True)})", begin, end) == most
        assert _told(f"({years_between('%one', '%other', most=False)})", begin, end) == fewest
