"""What each structure counts as: every structure, light, recorded answer and limit, enumerated.

No outside source states these joins; they are this library's own rules (common practice, no source), said a second time
here. Which light shows a structure is the vocabulary's, with its sources.
"""

from __future__ import annotations

from collections import Counter
from itertools import combinations_with_replacement, product
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from strategies import usual_examinations

from dermreport.answers import NOT_LOOKED_FOR, Answers, answers, from_parts, views_named
from dermreport.examination.model import Examination
from dermreport.expressions.evaluate import Scope, evaluator
from dermreport.expressions.nodes import AtLeast, Found, Present
from dermreport.vocabulary.colours import Colour
from dermreport.vocabulary.coverages import Coverage
from dermreport.vocabulary.finding_lists import FindingList
from dermreport.vocabulary.light_fits import LightFit
from dermreport.vocabulary.lights import Light
from dermreport.vocabulary.not_assessed_reasons import NotAssessedReason
from dermreport.vocabulary.places import Place
from dermreport.vocabulary.presences import Presence
from dermreport.vocabulary.structure_kinds import StructureKind
from dermreport.vocabulary.structures import Structure

BARE: dict[str, Any] = {
    "identifier": {"value": "6f1a2c34-5b7d-4e8f-9a01-23456789abcd"},
    "status": "draft",
    "patient": {"reference": "Patient/1001"},
    "examined": "2026-03-04",
}


def answered(**parts: Any) -> Answers:
    return answers(Examination.model_validate({**BARE, **parts}))


def found(*findings: dict[str, Any], **parts: Any) -> Answers:
    return answered(findings=list(findings), **parts)


def view(light: Light, *, clear: bool = True, covers: Coverage | None = None, key: str = "v1") -> dict[str, Any]:
    limits = {} if clear else {"limits": ["hair"]}
    return {"key": key, "light": light.value} | limits | ({"covers": covers.value} if covers else {})


#: All kinds of a view that matter here: three lights, clear or limited, whole, part or not told.
VIEWS = [
    (light, clear, covers)
    for light, clear, covers in product(Light, (True, False), (Coverage.WHOLE, Coverage.PART, None))
]
#: No view, each single view, each pair.
SETS_OF_VIEWS = [(), *((one,) for one in VIEWS), *combinations_with_replacement(VIEWS, 2)]


def entry_of(views: tuple[Any, ...]) -> list[dict[str, Any]]:
    return [view(light, clear=clear, covers=covers, key=f"v{i}") for i, (light, clear, covers) in enumerate(views)]


def expected(structure: Structure, presence: Presence, views: tuple[Any, ...]) -> Presence:
    """Return what a recorded answer counts as, said independently of the library."""
    if presence is not Presence.ABSENT:
        return presence
    able = [one for one in views if structure.light is not LightFit.ONLY_POLARISED or one[0] is Light.POLARISED]
    if structure.light is LightFit.ONLY_POLARISED and not able:
        return Presence.NOT_ASSESSED
    if able and all(not clear or covers is Coverage.PART for _, clear, covers in able):
        return Presence.UNCERTAIN
    return Presence.ABSENT


@pytest.mark.parametrize("presence", Presence)
@pytest.mark.parametrize("structure", Structure, ids=str)
def test_every_structure_in_every_light_and_limit(structure: Structure, presence: Presence) -> None:
    counted: Counter[Presence] = Counter()
    # The fit of the light is all that tells structures apart here: pairs of views are gone through for one of each fit.
    one_of_its_fit = structure is next(one for one in Structure if one.light is structure.light)
    for views in SETS_OF_VIEWS if one_of_its_fit else SETS_OF_VIEWS[: 1 + len(VIEWS)]:
        entry = {"structure": structure.value, "presence": presence.value}
        answer = found(entry, views=entry_of(views)).of(structure)
        assert answer.presence is expected(structure, presence, views), views
        assert answer.findings == (0,)
        # The clinician's own answer stays beside what it counts as.
        assert answer.recorded is (None if answer.presence is presence else presence)
        counted[answer.presence] += 1
    if presence is Presence.ABSENT:
        never_in_vain = {Presence.ABSENT, Presence.UNCERTAIN}
        only = structure.light is LightFit.ONLY_POLARISED
        assert counted.keys() == never_in_vain | ({Presence.NOT_ASSESSED} if only else set())


@pytest.mark.parametrize("structure", [one for one in Structure if one.light is LightFit.ONLY_POLARISED], ids=str)
def test_what_only_polarised_light_shows_says_why_and_where_to_look(structure: Structure) -> None:
    entry = {"structure": structure.value, "presence": "absent"}
    known = found(entry, views=[view(Light.NON_POLARISED)]).of(structure)
    assert (known.because, known.look_in) == (NotAssessedReason.NOT_VISIBLE_IN_THIS_LIGHT, Light.POLARISED)
    for views in ([], [view(Light.UNKNOWN)], [view(Light.NON_POLARISED), view(Light.UNKNOWN, key="v2")]):
        unknown = found(entry, views=views).of(structure)
        assert (unknown.because, unknown.look_in) == (NotAssessedReason.LIGHT_NOT_KNOWN, Light.POLARISED)


def test_a_clear_view_in_the_wrong_light_does_not_make_up_for_a_hidden_one_in_the_right_light() -> None:
    entry = {"structure": "lines-white-perpendicular", "presence": "absent"}
    views = [view(Light.NON_POLARISED), view(Light.POLARISED, clear=False, key="v2")]
    answer = found(entry, views=views).of(Structure.LINES_WHITE_PERPENDICULAR)
    assert (answer.presence, answer.because) == (Presence.UNCERTAIN, NotAssessedReason.HIDDEN)


def test_a_finding_counts_in_the_views_that_it_names() -> None:
    views = [view(Light.NON_POLARISED), view(Light.POLARISED, key="v2")]
    for keys, presence in (
        ([], Presence.ABSENT),
        (["v1"], Presence.NOT_ASSESSED),
        (["v2"], Presence.ABSENT),
        (["v1", "v2"], Presence.ABSENT),
        (["v1", "gone"], Presence.NOT_ASSESSED),
        (["gone"], Presence.NOT_ASSESSED),
    ):
        entry = {"structure": "rosettes", "presence": "absent", "views": keys}
        assert found(entry, views=views).of(Structure.ROSETTES).presence is presence, keys


@pytest.mark.parametrize("views", [[], [view(Light.POLARISED, key="v2")]])
@pytest.mark.parametrize("structure", [Structure.NETWORK, Structure.ROSETTES])
def test_what_names_only_views_that_are_not_there_makes_nothing_absent(
    views: list[dict[str, Any]], structure: Structure
) -> None:
    one = found({"structure": structure.value, "presence": "absent", "views": ["gone"]}, views=views).of(structure)
    assert (one.presence, one.because) == (Presence.NOT_ASSESSED, NotAssessedReason.LIGHT_NOT_KNOWN)
    assert one.recorded is Presence.ABSENT
    for name in FindingList:
        counted = answered(lists_gone_through=[{"list": name.value, "views": ["gone"]}], views=views)
        assert [one for one in Structure if counted.of(one).truth is False] == []
        counted = answered(lists_gone_through=[{"list": name.value, "views": ["gone", "v2"]}], views=views)
        assert any(counted.of(one).truth is False for one in name.structures) is bool(views)


def test_a_key_without_a_view_names_none() -> None:
    examination = Examination.model_validate({**BARE, "views": [view(Light.POLARISED)]})
    assert views_named(examination, ()) == examination.views
    assert views_named(examination, ("gone",)) == ()


# --- several records of one structure ---------------------------------------------------------------------------

#: Seen anywhere is seen; absent only where nothing stays open.
STRONGER = (Presence.PRESENT, Presence.UNCERTAIN, Presence.NOT_ASSESSED, Presence.ABSENT)


@pytest.mark.parametrize(("one", "other"), list(product(Presence, Presence)))
def test_two_places_of_one_structure(one: Presence, other: Presence) -> None:
    answer = found(
        {"structure": "globules", "place": "central", "presence": one.value},
        {"structure": "globules", "place": "peripheral", "presence": other.value},
    ).of(Structure.GLOBULES)
    assert answer.presence is min(one, other, key=STRONGER.index)
    assert answer.findings == (0, 1)


def test_an_absent_that_could_not_be_seen_at_one_place_is_not_absent_because_another_place_could() -> None:
    views = [view(Light.NON_POLARISED), view(Light.POLARISED, key="v2")]
    answer = found(
        {"structure": "rosettes", "place": "central", "presence": "absent", "views": ["v2"]},
        {"structure": "rosettes", "place": "peripheral", "presence": "absent", "views": ["v1"]},
        views=views,
    ).of(Structure.ROSETTES)
    assert answer.presence is Presence.NOT_ASSESSED


# --- lists ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", FindingList, ids=str)
def test_an_unticked_item_of_a_list_is_absent_as_far_as_its_views_show(name: FindingList) -> None:
    for views in SETS_OF_VIEWS[: 1 + len(VIEWS)]:
        counted = answered(lists_gone_through=[{"list": name.value}], views=entry_of(views))
        for structure in name.structures:
            answer = counted.of(structure)
            assert answer.presence is expected(structure, Presence.ABSENT, views)
            assert answer.by_list is name


def test_nothing_is_absent_by_default() -> None:
    counted = answered(views=[view(Light.POLARISED)])
    assert all(counted.of(structure) is NOT_LOOKED_FOR for structure in Structure)


def test_what_is_ticked_or_recorded_outranks_the_list() -> None:
    for presence in Presence:
        counted = found(
            {"structure": "dots-brown", "presence": presence.value},
            lists_gone_through=[{"list": "pigmented-lesion"}],
        )
        answer = counted.of(Structure.DOTS_BROWN)
        assert (answer.presence, answer.by_list) == (presence, None)


@pytest.mark.parametrize("order", [(0, 1), (1, 0)])
def test_of_two_lists_the_one_that_could_see_it_counts(order: tuple[int, int]) -> None:
    lists = [{"list": "pigmented-lesion", "views": ["v1"]}, {"list": "no-pigment-clues", "views": ["v2"]}]
    counted = answered(
        lists_gone_through=[lists[position] for position in order],
        views=[view(Light.NON_POLARISED), view(Light.POLARISED, key="v2")],
    )
    answer = counted.of(Structure.SHINY_WHITE_STRANDS)
    assert (answer.presence, answer.by_list) == (Presence.ABSENT, FindingList.NO_PIGMENT_CLUES)


def test_a_list_of_somebody_elses_says_nothing() -> None:
    counted = answered(lists_gone_through=[{"list": {"system": "urn:x-host:lists", "code": "1"}}])
    assert counted.structures == {}


# --- kinds, composites, patterns --------------------------------------------------------------------------------

KINDS = [structure for structure in Structure if structure.parent is not None]


@pytest.mark.parametrize("kind", KINDS, ids=str)
def test_a_kind_that_is_present_makes_the_wider_structure_present(kind: Structure) -> None:
    assert kind.parent is not None
    answer = found({"structure": kind.value, "presence": "present"}).of(kind.parent)
    assert (answer.presence, answer.findings, answer.recorded) == (Presence.PRESENT, (0,), None)


@pytest.mark.parametrize("kind", KINDS, ids=str)
@pytest.mark.parametrize("presence", Presence)
def test_what_was_recorded_of_the_wider_structure_stays_beside(kind: Structure, presence: Presence) -> None:
    assert kind.parent is not None
    answer = found(
        {"structure": kind.parent.value, "presence": presence.value},
        {"structure": kind.value, "presence": "present"},
    ).of(kind.parent)
    assert answer.presence is Presence.PRESENT
    assert answer.recorded is (None if presence is Presence.PRESENT else presence)
    assert answer.findings == (0, 1)


@pytest.mark.parametrize("kind", KINDS, ids=str)
@pytest.mark.parametrize("presence", [one for one in Presence if one is not Presence.PRESENT])
def test_a_kind_follows_a_wider_structure_only_where_that_is_absent(kind: Structure, presence: Presence) -> None:
    assert kind.parent is not None
    counted = found({"structure": kind.parent.value, "presence": presence.value})
    expected_of_kind = Presence.ABSENT if presence is Presence.ABSENT else Presence.NOT_ASSESSED
    assert counted.of(kind).presence is expected_of_kind
    assert found({"structure": kind.value, "presence": presence.value}).of(kind.parent) is NOT_LOOKED_FOR


def test_a_finding_of_a_kind_is_a_finding_of_the_wider_structure() -> None:
    counted = found(
        {"structure": "lines-radial", "presence": "present"},
        {"structure": "lines-radial-segmental", "presence": "present", "count": 4},
    )
    scope = Scope(counted, {})
    assert evaluator(Found(Structure.LINES_RADIAL, AtLeast("@.count", 4)))(scope, None) is True


COMPOSITES = [structure for structure in Structure if structure.kind is StructureKind.COMPOSITE]
PATTERNS = [
    structure
    for structure in Structure
    if structure.kind is not StructureKind.COMPOSITE and (structure.any_of or structure.all_of)
]
#: Atypical vessels are counted only where nothing regresses.
WITHOUT = {Structure.VESSELS_ATYPICAL: (Structure.SCAR_LIKE_AREA, Structure.DOTS_GREY)}


def combined(structure: Structure) -> list[dict[Structure, Presence]]:
    parts = (*structure.any_of, *structure.all_of)
    return [dict(zip(parts, each, strict=True)) for each in product(Presence, repeat=len(parts))]


def truths(structure: Structure, parts: dict[Structure, Presence]) -> bool | None:
    """Kleene's logic on the parts, said a second time."""
    truth = {Presence.PRESENT: True, Presence.ABSENT: False}
    either = [truth.get(parts[part]) for part in structure.any_of]
    every = [truth.get(parts[part]) for part in structure.all_of]
    if False in every or (either and set(either) == {False}):
        return False
    return True if all(every) and (not either or True in either) else None


@pytest.mark.parametrize("structure", COMPOSITES + PATTERNS, ids=str)
def test_a_whole_follows_from_every_combination_of_its_parts(structure: Structure) -> None:
    absent = [{"structure": part.value, "presence": "absent"} for part in WITHOUT.get(structure, ())]
    seen = set()
    for parts in combined(structure):
        entries = [{"structure": part.value, "presence": presence.value} for part, presence in parts.items()]
        counted = found(*entries, *absent)
        truth = truths(structure, parts)
        if structure in PATTERNS and truth:
            truth = None  # a pattern needs its parts, and more than them
        assert counted.of(structure).truth is truth, parts
        if truth:
            assert all(entries[position]["presence"] == "present" for position in counted.of(structure).findings)
        seen.add(truth)
    assert seen == ({False, None} if structure in PATTERNS else {True, False, None})


def test_atypical_vessels_stay_open_while_regression_may_be_there() -> None:
    dotted = {"structure": "vessels-dotted", "presence": "present"}
    scar = {"structure": "scar-like-area", "presence": "absent"}
    for grey, truth in (("absent", True), ("uncertain", None), ("not-assessed", None), ("present", None)):
        counted = found(dotted, scar, {"structure": "dots-grey", "presence": grey})
        assert counted.of(Structure.VESSELS_ATYPICAL).truth is truth
    recorded = {"structure": "vessels-atypical", "presence": "present"}
    assert found(recorded).of(Structure.VESSELS_ATYPICAL).truth is True


@pytest.mark.parametrize("structure", COMPOSITES + PATTERNS, ids=str)
@pytest.mark.parametrize("presence", Presence)
def test_what_was_recorded_of_a_whole_outranks_its_parts(structure: Structure, presence: Presence) -> None:
    parts = [{"structure": part.value, "presence": "absent"} for part in (*structure.any_of, *structure.all_of)]
    counted = found({"structure": structure.value, "presence": presence.value}, *parts)
    assert counted.of(structure).presence is presence
    said = from_parts(structure, counted.structures)
    assert said is not None
    assert said.presence is Presence.ABSENT


@pytest.mark.parametrize("structure", [one for one in COMPOSITES + PATTERNS if one.all_of], ids=str)
def test_a_whole_that_is_present_needs_its_parts(structure: Structure) -> None:
    counted = found({"structure": structure.value, "presence": "present"})
    for part in structure.all_of:
        assert counted.of(part).truth is True
        # Nothing is told of a part that nobody recorded by itself.
        scope = Scope(counted, {})
        assert evaluator(Present(part))(scope, None) is True
        assert evaluator(Found(part, AtLeast("@.count", 1)))(scope, None) is None
        recorded = {"structure": part.value, "presence": "absent"}
        assert found({"structure": structure.value, "presence": "present"}, recorded).of(part).truth is False


def test_the_pattern_of_the_whole_lesion_counts_as_present() -> None:
    counted = answered(description={"pattern": "pattern-reticular"}, lists_gone_through=[{"list": "pigmented-lesion"}])
    assert counted.of(Structure.PATTERN_RETICULAR).truth is True
    assert counted.of(Structure.NETWORK).truth is True
    assert counted.of(Structure.NETWORK_ATYPICAL).truth is False
    recorded = {"structure": "pattern-reticular", "presence": "uncertain"}
    assert found(recorded, description={"pattern": "pattern-reticular"}).of(Structure.PATTERN_RETICULAR).truth is None


def test_a_structure_without_parts_has_nothing_said_by_them() -> None:
    counted = answered()
    for structure in Structure:
        if not structure.any_of and not structure.all_of:
            assert from_parts(structure, counted.structures) is None


# --- colours ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("colour", Colour, ids=str)
def test_every_colour(colour: Colour) -> None:
    other = Colour.PURPLE if colour is not Colour.PURPLE else Colour.ORANGE
    for listed, doubtful, of_a_finding, others, whole in product((True, False), repeat=5):
        counted = found(
            {"structure": "globules", "presence": "present", "colours": [colour.value] * of_a_finding},
            views=[view(Light.POLARISED, covers=Coverage.WHOLE if whole else Coverage.PART)],
            description={
                "colours": [colour.value] * listed + [other.value] * others,
                "doubtful_colours": [colour.value] * doubtful,
            },
        )
        if listed:
            truth: bool | None = True
        elif of_a_finding:
            truth = None if others else True  # the full list lacks it: a contradiction
        else:
            truth = False if others and whole and not doubtful else None
        assert counted.colours[colour] is truth


@pytest.mark.parametrize("presence", [one for one in Presence if one is not Presence.PRESENT])
def test_only_a_present_finding_in_the_lesion_tells_its_colours(presence: Presence) -> None:
    entry = {"structure": "globules", "presence": presence.value, "colours": ["black"]}
    assert found(entry).colours[Colour.BLACK] is None
    for place in Place:
        entry = {"structure": "globules", "presence": "present", "place": place.value, "colours": ["black"]}
        assert found(entry).colours[Colour.BLACK] is (None if place is Place.OUTSIDE else True)


@pytest.mark.parametrize(("listed", "brown"), [("light-brown", False), ("dark-brown", False), ("black", None)])
def test_brown_of_a_shade_not_given_is_no_colour_beside_its_shades(listed: str, brown: bool | None) -> None:  # noqa: FBT001 - the datum
    entry = {"structure": "globules", "presence": "present", "colours": ["brown"]}
    assert found(entry, description={"colours": [listed]}).colours[Colour.BROWN] is brown


def test_the_whole_lesion_is_described_only_where_a_view_shows_it() -> None:
    description = {"border_segments": 3}
    for covers, described in ((Coverage.WHOLE, True), (None, True), (Coverage.PART, False)):
        counted = answered(description=description, views=[view(Light.POLARISED, covers=covers)])
        assert (counted.whole_lesion is not None) is described
    assert answered(description=description).whole_lesion is not None
    both = [view(Light.POLARISED, covers=Coverage.PART), view(Light.POLARISED, covers=Coverage.WHOLE, key="v2")]
    assert answered(description=description, views=both).whole_lesion is not None


# --- what holds for all entries ---------------------------------------------------------------------------------


@settings(max_examples=150, suppress_health_check=list(HealthCheck))
@given(usual_examinations())
def test_no_answer_is_absent_without_a_statement_that_its_views_support(examination: Examination) -> None:
    counted = answers(examination)
    assert counted.examination is examination
    for structure, answer in counted.structures.items():
        if answer.presence is not Presence.ABSENT:
            continue
        own = [examination.findings[position] for position in answer.findings]
        if structure.light is LightFit.ONLY_POLARISED:
            assert any(one.light is Light.POLARISED for one in examination.views)
        assert not any(finding.structure is structure and finding.presence is Presence.PRESENT for finding in own)
        stated = bool(own) or answer.by_list is not None
        assert stated or structure.any_of or structure.all_of


@settings(max_examples=100, suppress_health_check=list(HealthCheck))
@given(usual_examinations())
def test_what_was_recorded_present_is_present_and_its_wider_structures_too(examination: Examination) -> None:
    counted = answers(examination)
    for finding in examination.findings:
        structure = finding.structure
        while isinstance(structure, Structure) and finding.presence is Presence.PRESENT:
            assert counted.of(structure).presence is Presence.PRESENT
            structure = structure.parent  # type: ignore[assignment]
