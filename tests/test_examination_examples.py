"""The examples: each is an entry as it is written, invented, and shows what its name says.

The clinical content is invented; what is asserted of it is what the vocabulary's own rows say of sites and lights.
"""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest

import dermreport
from dermreport import Examination, Severity, Visit
from dermreport.examination.reader import read_json, write_json
from dermreport.vocabulary.concerns import Concern
from dermreport.vocabulary.light_fits import LightFit
from dermreport.vocabulary.lights import Light
from dermreport.vocabulary.modes import Mode
from dermreport.vocabulary.outcome_kinds import OutcomeKind
from dermreport.vocabulary.pigmentations import Pigmentation
from dermreport.vocabulary.presences import Presence
from dermreport.vocabulary.reading_styles import ReadingStyle
from dermreport.vocabulary.sites import Site
from dermreport.vocabulary.statuses import Status
from dermreport.vocabulary.structures import Structure

EXAMPLES = Path(__file__).parent.parent / "examples"
PATHS = {path.stem: path for path in sorted(EXAMPLES.glob("*.json"))}
EVERY_JSON = sorted([*EXAMPLES.glob("*.json"), *EXAMPLES.glob("entries/*.json")])


def of(name: str) -> tuple[Examination, ...]:
    value = read_json(PATHS[name].read_bytes())
    return Visit.model_validate(value).examinations if "lesions" in value else (Examination.model_validate(value),)


def one(name: str) -> Examination:
    (examination,) = of(name)
    return examination


ALL = [(name, examination) for name in PATHS for examination in of(name)]
GOOD = [(name, examination) for name, examination in ALL if not name.startswith("flawed")]


def ids(cases: list[tuple[str, Examination]]) -> list[str]:
    return [f"{name}-{examination.identifier.value}" for name, examination in cases]


def without_nothing(value: Any) -> Any:
    """Return an entry in one order of fields, without the revision that is understood."""
    if isinstance(value, dict):
        return {name: without_nothing(value[name]) for name in sorted(value) if (name, value[name]) != ("revision", 1)}
    return [without_nothing(below) for below in value] if isinstance(value, list) else value


@pytest.mark.parametrize("name", PATHS)
def test_an_example_is_written_as_it_is_read_digit_for_digit(name: str) -> None:
    value = read_json(PATHS[name].read_bytes())
    model = Visit if "lesions" in value else Examination
    again = read_json(model.model_validate(value).to_json())
    assert write_json(without_nothing(again)) == write_json(without_nothing(value))


@pytest.mark.parametrize("path", EVERY_JSON, ids=lambda path: path.stem)
def test_addresses_are_reserved_ones_and_nobody_is_real(path: Path) -> None:
    """RFC 2606 and RFC 6761: ``.example`` belongs to nobody. Numbers begin with 555, names say that they are none."""
    text = path.read_text(encoding="utf-8")
    hosts = re.findall(r"https?://([^/\"]+)", text)
    assert all(host.endswith(".example") for host in hosts)
    assert set(re.findall(r'"family": "([^"]+)"', text)) <= {"Sample", "Example"}
    assert all(number.startswith("+00 555") for number in re.findall(r"\+[0-9][0-9 ]+[0-9]", text))


def test_there_are_at_least_twelve_over_all_reading_styles() -> None:
    assert len(PATHS) >= 12
    by_style: dict[ReadingStyle, list[str]] = {}
    for name, examination in GOOD:
        assert examination.lesion is not None
        assert isinstance(examination.lesion.site, Site)
        assert examination.lesion.site.reading_style is not None
        by_style.setdefault(examination.lesion.site.reading_style, []).append(name)
    assert set(by_style) == set(ReadingStyle)


def test_the_names_say_what_they_show() -> None:
    assert len(of("visit-three-lesions")) == 3
    assert one("cheek-grey-circles-from-images-only").mode is Mode.IMAGES_ONLY
    nose = one("nose-little-pigment-basal-cell-suspected").lesion
    assert nose is not None
    assert nose.pigmentation is Pigmentation.SLIGHT
    child = one("child-thigh-starburst-referred").background
    assert child is not None
    assert child.age_years is not None
    assert child.age_years < 18
    assert [outcome.kind for outcome in one("calf-excised-with-histology").outcomes] == [OutcomeKind.HISTOLOGY]
    concerns = {examination.assessment.concern for _, examination in GOOD if examination.assessment}
    assert concerns == set(Concern)


def test_the_amended_one_withdraws_something_of_its_first_revision() -> None:
    first, second = one("forearm-revision-1-reassured"), one("forearm-revision-2-amended-to-excision")
    assert first.identifier == second.identifier
    assert (first.status, first.revision) == (Status.FINAL, 1)
    assert (second.status, second.revision) == (Status.AMENDED, 2)
    assert first.plan is not None
    assert second.plan is not None
    assert {action.key for action in first.plan.actions} - {action.key for action in second.plan.actions}
    assert {finding.structure for finding in first.findings} - {finding.structure for finding in second.findings}


def test_the_ordinary_record_is_what_two_minutes_at_the_couch_give() -> None:
    usual = one("usual")
    assert usual.lesion is not None
    assert usual.lesion.site is not None
    assert usual.lesion.side is not None
    assert usual.lesion.longest_mm is not None
    assert usual.lesion.history is not None
    assert len(usual.lesion.history.model_dump(exclude_defaults=True)) == 7
    assert [view.light for view in usual.views] == [Light.POLARISED]
    assert len(usual.lists_gone_through) == 1
    assert usual.assessment is not None
    assert usual.assessment.concern is Concern.BENIGN
    assert usual.plan is not None
    assert usual.plan.actions
    assert usual.plan.safety_net is not None


@pytest.mark.parametrize(("name", "examination"), GOOD, ids=ids(GOOD))
def test_what_is_present_has_a_meaning_at_its_site_and_could_be_seen_in_its_light(
    name: str, examination: Examination
) -> None:
    assert examination.lesion is not None
    site = examination.lesion.site
    assert isinstance(site, Site)
    lights = {view.key: view.light for view in examination.views}
    present = [finding for finding in examination.findings if finding.presence is Presence.PRESENT]
    assert present, name
    for finding in present:
        assert isinstance(finding.structure, Structure)
        assert set(finding.views) <= set(lights)
        assert site.reading_style in finding.structure.reading_styles
        if finding.structure.light is LightFit.ONLY_POLARISED:
            assert Light.POLARISED in {lights[key] for key in finding.views}


@pytest.mark.parametrize(("name", "examination"), GOOD, ids=ids(GOOD))
def test_a_good_one_has_no_error_and_at_most_three_warnings(name: str, examination: Examination) -> None:
    issues = dermreport.review(examination).issues
    assert [str(issue) for issue in issues if issue.severity is Severity.ERROR] == [], name
    assert len([issue for issue in issues if issue.severity is Severity.WARNING]) <= 3


def test_the_flawed_one_is_told_what_is_wrong_with_it() -> None:
    review = dermreport.review(one("flawed-frozen-without-histology"))
    rules = {issue.rule for issue in review.issues}
    assert review.has_errors
    assert rules >= {
        "flag-elevated-firm-growing",
        "plan-destroy-without-histology",
        "site-side-missing",
        "describe-crosswise-longer",
        "light-structure-not-visible",
        "light-medium-without-contact",
        "site-structure-without-meaning",
    }


def test_the_form_that_is_partly_filled_is_no_examination_yet() -> None:
    entry = json.loads((EXAMPLES / "entries" / "partly-filled.json").read_bytes())
    with pytest.raises(dermreport.EntryError):
        Examination.model_validate(entry)
    assert dermreport.from_entry(entry).examination is not None
