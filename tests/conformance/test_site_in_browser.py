"""The site in Chromium: each kind of page accessible in every mode, readable when narrow, whole without a script and on
paper; search and filters by keyboard alone, from a disk.

320 CSS pixels are 1280 at 400 % (WCAG 2.2, 1.4.10).
"""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

import pytest
from conformance import browser
from pypdfium2 import PdfDocument
from site_building import Site, build

from dermreport.vocabulary.light_fits import LightFit
from dermreport.vocabulary.structures import Structure

#: One page of each kind.
PAGES = {
    "start": "index.html",
    "tutorial": "tutorial/one-examination.html",
    "how-to": "how-to/form.html",
    "command-line": "how-to/command-line.html",
    "vocabulary": "reference/vocabulary/index.html",
    "structures": "reference/vocabulary/structures.html",
    "other-tables": "reference/vocabulary/other.html",
    "methods": "reference/methods/index.html",
    "method": "reference/methods/total-dermoscopy-score.html",
    "list": "reference/methods/two-step.html",
    "rules": "reference/rules.html",
    "issues": "reference/issues.html",
    "mapping": "reference/fhir/index.html",
    "resource": "reference/fhir/observation.html",
    "schema": "reference/json-schema.html",
    "settings": "reference/settings.html",
    "api": "reference/api/records.html",
    "intended-use": "safety/intended-use.html",
    "hazard-log": "safety/hazard-log.html",
    "changelog": "project/changelog.html",
}
WAYS: dict[str, dict[str, Any]] = {
    "light": {"pdf": True},
    "dark": {"colorScheme": "dark"},
    "narrow": {"width": 320, "height": 640},
    "no-script": {"script": False},
}
#: Damages of a good page, with who must notice them.
DAMAGES = {
    "contrast": ("../../css/site.css", "--quiet: #535b62", "--quiet: #b5b5b5", "color-contrast"),
    "label": (None, 'label for="search"', 'span data-for="search"', "label"),
    "landmark": (None, "<main id", "<div id", "landmark-one-main"),
    "language": (None, '<html lang="en"', "<html", "html-has-lang"),
}


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return where pictures of the pages go: a folder that whoever wants to look can name."""
    folder = Path(os.environ.get("DERMREPORT_SCREENSHOTS") or tmp_path_factory.mktemp("looks"))
    folder.mkdir(parents=True, exist_ok=True)
    return folder


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Site:
    browser.install()
    made = tmp_path_factory.mktemp("site")
    build(made)
    return Site(made.resolve())


@pytest.fixture(scope="module")
def looks(site: Site, folder: Path) -> dict[str, Any]:
    return browser.look({name: site.folder / page for name, page in PAGES.items()}, WAYS, folder)


@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize("name", PAGES)
def test_a_page_is_accessible_and_nothing_sticks_out(looks: dict[str, Any], name: str, way: str) -> None:
    found = looks[name][way]
    assert found["violations"] == []
    assert found["undecided"] == []
    assert {"html-has-lang", "document-title", "color-contrast", "region"} <= set(found["passed"])
    # The contents scroll by themselves, and the heads of a stacked table are there for a screen reader alone.
    expected = ('cut: <nav id="contents"', "cut: <thead", '<th scope="col"', '<th role="columnheader"')
    assert [one for one in found["clipped"] if not one.startswith(expected)] == []
    assert not any(one.startswith("page:") for one in found["clipped"])


@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize("name", PAGES)
def test_a_page_asks_nobody_and_the_first_tab_skips_to_the_text(looks: dict[str, Any], name: str, way: str) -> None:
    found = looks[name][way]
    assert [one for one in found["asked"] if not one.startswith("file:")] == []
    # A browser says of each script that was kept from it that it failed.
    assert [one for one in found["said"] if way != "no-script" or "ERR_FAILED" not in one] == []
    assert found["reached"][0] == "A"


@pytest.mark.parametrize("name", PAGES)
def test_without_a_script_a_page_says_the_same(looks: dict[str, Any], name: str) -> None:
    """All but the search and the filters, which need one."""
    with_script, without = (" ".join(looks[name][way]["text"].split()) for way in ("light", "no-script"))
    assert "rows shown" not in without
    ends = "It supports judgement and never replaces it. It is not a certified medical device."
    assert ends in without
    assert len(without) > 0.97 * len(with_script) - 600
    if name == "structures":
        assert all(one.definition in without for one in Structure)


def test_dark_is_dark_and_light_is_light(looks: dict[str, Any]) -> None:
    paper = {way: sum(map(int, looks["start"][way]["paper"][4:-1].split(","))) for way in ("light", "dark")}
    assert paper["light"] == 765
    assert paper["dark"] < 100


@pytest.mark.parametrize("name", PAGES)
def test_paper_has_the_text_and_none_of_the_navigation(
    looks: dict[str, Any], folder: Path, site: Site, name: str
) -> None:
    assert looks[name]
    with PdfDocument(folder / f"{name}-light.pdf") as document:
        printed = "".join("".join(page.get_textpage().get_text_range().split()) for page in document)
    heading = next(site.main(PAGES[name]).iter("h1")).text_content()
    assert "".join(heading.split()) in printed
    assert "Skiptothetext" not in printed
    assert "Onthispage" not in printed
    assert "excludesnothing" in printed


@pytest.mark.parametrize("damage", DAMAGES)
def test_a_damage_is_noticed(site: Site, folder: Path, damage: str) -> None:
    file, good, bad, rule = DAMAGES[damage]
    page = site.folder / "reference" / "methods" / f"damaged-{damage}.html"
    text = (page.parent / "menzies.html").read_text(encoding="utf-8")
    if file is not None:
        style = page.parent / f"damaged-{damage}.css"
        sheet = (page.parent / file).read_text(encoding="utf-8")
        assert good in sheet
        style.write_text(sheet.replace(good, bad), encoding="utf-8")
        good, bad = file, style.name
    assert good in text
    page.write_text(text.replace(good, bad), encoding="utf-8")
    found = browser.look({page.stem: page}, {"light": {}}, folder)[page.stem]["light"]
    page.unlink()
    assert any(one.startswith(f"{rule}:") for one in found["violations"])


# -- by keyboard -------------------------------------------------------------------------------------------------------


def test_the_vocabulary_is_filtered_by_keyboard(site: Site, folder: Path) -> None:
    page = site.folder / PAGES["structures"]
    steps = [
        {"until": "#table-structure-words"},
        {"type": "VEIL  blue"},
        {"until": "form.filter button"},
        {"press": "Enter"},
        {"back": "#table-structure-light"},
        {"type": LightFit.ONLY_POLARISED.display[:12]},
        {"until": "form.filter button"},
        {"press": "Space"},
        {"until": "tbody a"},
    ]
    start, typed, _, cleared, _, chosen, _, again, into = browser.keys(page, steps, folder / "filtered.png")
    every = [f"structure.{one.value}" for one in Structure]
    assert start["shown"] == every
    assert start["outlined"]
    assert 0 < len(typed["shown"]) < 10
    assert f"structure.{Structure.BLUE_WHITE_VEIL.value}" in typed["shown"]
    assert typed["status"][-1] == f"{len(typed['shown'])} of {len(every)} rows shown"
    assert (cleared["shown"], cleared["hidden"]) == (every, 0)
    only = [f"structure.{one.value}" for one in Structure if one.light is LightFit.ONLY_POLARISED]
    assert chosen["shown"] == only
    assert 0 < len(only) < len(every)
    assert again["shown"] == every
    assert into["focus"]


def test_a_search_is_done_by_keyboard_from_a_disk(site: Site, folder: Path) -> None:
    steps = [
        {"until": "#search"},
        {"type": "hazard log"},
        {"press": "Enter"},
        {"press": "Enter"},
    ]
    _, typed, first, there = browser.keys(site.folder / PAGES["method"], steps, folder / "searched.png")
    assert typed["results"][0].endswith("safety/hazard-log.html")
    assert typed["status"][0].endswith("found")
    assert first["focus"] == "Hazard log"
    assert there["address"].endswith("/safety/hazard-log.html")


def test_a_search_that_finds_nothing_says_so_and_escape_ends_it(site: Site) -> None:
    steps = [{"until": "#search"}, {"type": "zzzzqqq"}, {"press": "Escape"}, {"type": "dermoscop"}]
    _, nothing, ended, found = browser.keys(site.folder / PAGES["start"], steps)
    assert (nothing["results"], nothing["status"][0]) == ([], "0 found")
    assert (ended["results"], ended["focus"]) == ([], "search")
    assert found["results"]


def test_the_first_tab_leads_past_the_head_of_the_page(site: Site) -> None:
    steps = [{"press": "Tab"}, {"press": "Enter"}, {"press": "Tab"}]
    skip, there, after = browser.keys(site.folder / PAGES["methods"], steps)
    assert skip["focus"] == "Skip to the text"
    assert there["focus"] == "content"
    assert "weighted seven-point" in after["focus"].lower() or after["focus"] == "On this page"
