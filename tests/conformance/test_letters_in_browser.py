"""Letters as HTML in Chromium: accessible in every mode, readable at every width, whole on paper, and quiet.

The widths: 320 CSS pixels are 1280 at 400 % (WCAG 2.2, 1.4.10), 640 are 1280 at 200 % (1.4.4).
"""

from __future__ import annotations

import os
import re
import unicodedata
from pathlib import Path
from typing import Any

import pytest
from conformance import browser
from html_trees import TREES
from pypdfium2 import PdfDocument

from dermreport.letters.blocks import Block, Facts, Items, Line, Paragraph, Signature, plain
from dermreport.letters.standard_page import standard_page

WAYS: dict[str, dict[str, Any]] = {
    "light": {"pdf": True},
    "dark": {"colorScheme": "dark"},
    "forced-colours": {"forcedColors": "active"},
    "forced-colours-dark": {"forcedColors": "active", "colorScheme": "dark"},
    "zoom-200": {"width": 640, "height": 450, "scale": 2},
    "zoom-400": {"width": 320, "height": 256, "scale": 4},
}
#: Damages of a good page, with who must notice them.
DAMAGES = {
    "contrast": ("--quiet: #50575e", "--quiet: #b0b0b0", "violations", "color-contrast"),
    "language": ('<html lang="en"', "<html", "violations", "html-has-lang"),
    "words": (' alt="', ' title="" data-alt="', "violations", "image-alt"),
    "drawing": ("aria-label=", "data-label=", "violations", "svg-img-alt"),
    "title": ("<title>Referral, report 41</title>", "", "violations", "document-title"),
    "order": ("<h2>Patient</h2>", "<h4>Patient</h4>", "violations", "heading-order"),
    "landmark": ("<main>", "<div>", "violations", "landmark-one-main"),
    "zoom": ("initial-scale=1", "initial-scale=1, user-scalable=no", "violations", "meta-viewport"),
    "term": ("<dt>Name</dt>", "<span>Name</span>", "violations", "definition-list"),
    "wide": ("overflow-wrap: anywhere", "white-space: nowrap", "clipped", "page"),
    "cut": (".running { ", ".running { overflow: hidden; height: 4px; ", "clipped", "cut"),
    "script": ("<main>", "<script>window.harmed = 1</script><main>", "said", "Content Security Policy"),
    "fetched": ("<main>", '<img src="https://clinic.example/a.png" alt=""><main>', "said", "Content Security Policy"),
}


def open_pages(pages: dict[str, str], ways: dict[str, dict[str, Any]], folder: Path) -> dict[str, Any]:
    browser.install()
    files = {}
    for name, text in pages.items():
        files[name] = folder / f"{name}.html"
        files[name].write_bytes(text.encode())
    return browser.look(files, ways, folder)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return where pages and pictures of them go: a folder that whoever wants to look can name."""
    folder = Path(os.environ.get("DERMREPORT_SCREENSHOTS") or tmp_path_factory.mktemp("letters"))
    folder.mkdir(parents=True, exist_ok=True)
    return folder


@pytest.fixture(scope="module")
def looks(folder: Path) -> dict[str, Any]:
    return open_pages({name: standard_page(make()) for name, make in TREES.items()}, WAYS, folder)


@pytest.fixture(scope="module")
def damaged(folder: Path) -> dict[str, Any]:
    good = standard_page(TREES["urgent"]())
    pages = {}
    for name, (part, other, _, _) in DAMAGES.items():
        assert part in good, name
        pages[f"damaged-{name}"] = good.replace(part, other)
    return open_pages(pages, {"narrow": {"width": 320, "height": 600}}, folder)


@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize("name", TREES)
def test_the_page_is_accessible_and_nothing_sticks_out(looks: dict[str, Any], name: str, way: str) -> None:
    found = looks[name][way]
    assert found["violations"] == []
    # The letters of a drawing stand on white, which the checker can't see through the lines.
    assert [one for one in found["undecided"] if not one.startswith("color-contrast: <text")] == []
    assert found["clipped"] == []
    assert {"html-has-lang", "document-title", "color-contrast", "region"} <= set(found["passed"])


@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize("name", TREES)
def test_the_page_asks_nobody_runs_nothing_and_stops_no_keyboard(looks: dict[str, Any], name: str, way: str) -> None:
    found = looks[name][way]
    assert (found["asked"], found["said"], found["harmed"]) == ([], [], None)
    assert set(found["reached"]) == {"BODY"}
    assert all(found["pictures"])


def test_dark_is_dark_and_light_is_light(looks: dict[str, Any]) -> None:
    paper = {way: sum(map(int, re.findall(r"\d+", looks["plain"][way]["paper"])[:3])) for way in WAYS}
    assert paper["light"] == 765
    assert paper["dark"] < 100
    assert paper["forced-colours-dark"] < 100


@pytest.mark.parametrize("name", TREES)
def test_every_mode_says_the_same(looks: dict[str, Any], name: str) -> None:
    said = {way: "".join(looks[name][way]["text"].split()) for way in WAYS}
    assert len(set(said.values())) == 1


@pytest.mark.parametrize("damage", DAMAGES)
def test_a_damage_is_noticed(damaged: dict[str, Any], damage: str) -> None:
    found = damaged[f"damaged-{damage}"]["narrow"]
    _, _, where, what = DAMAGES[damage]
    assert any(what in one for one in found[where])
    assert found["harmed"] is None


# -- on paper ----------------------------------------------------------------------------------------------------------


def solid(text: str) -> str:
    """Return text without spaces, for a line may break anywhere, and without the ligatures of a font."""
    return "".join(unicodedata.normalize("NFKC", text).split())


def pages_of(folder: Path, name: str) -> list[str]:
    with PdfDocument(folder / f"{name}-light.pdf") as document:
        return [solid(page.get_textpage().get_text_range()) for page in document]


def outside(folder: Path, name: str) -> list[str]:
    """Return the characters on paper that stand outside of the margins, the numbers of the pages apart."""
    found = []
    with PdfDocument(folder / f"{name}-light.pdf") as document:
        for page in document:
            wide, high = page.get_size()
            assert (round(wide), round(high)) == (595, 842)
            text = page.get_textpage()
            for at in range(text.count_chars()):
                left, bottom, right, top = text.get_charbox(at)
                character = text.get_text_range(at, 1).strip()
                number = bottom < 50 and (character.isdigit() or character == "/")
                within = 60 < left <= right < wide - 55 and 48 < bottom <= top < high - 40
                if character and not number and not within:
                    found.append(character)
    return found


@pytest.mark.parametrize("name", ["plain", "urgent", "long", "long-words"])
def test_every_page_of_paper_says_whom_it_is_about_and_which_it_is(
    looks: dict[str, Any], folder: Path, name: str
) -> None:
    assert looks[name]
    tree = TREES[name]()
    pages = pages_of(folder, name)
    for number, page in enumerate(pages, 1):
        for line in (*tree.banner, tree.running):
            assert solid(plain(line)) in page
        assert f"{number}/{len(pages)}" in page


def test_everything_gets_on_paper_and_no_heading_row_or_signature_is_torn(looks: dict[str, Any], folder: Path) -> None:
    assert looks["long"]
    pages = pages_of(folder, "long")
    assert len(pages) > 3
    tree = TREES["long"]()
    blocks = [block for section in tree.sections for block in section.blocks]
    rows = [row for block in blocks if isinstance(block, Facts) for row in block.rows]
    kept = [row.label + "".join(map(plain, row.lines)) for row in rows]
    kept += ["".join(map(plain, block.lines)) for block in blocks if isinstance(block, Signature)]
    assert len(kept) > 60
    assert [one for one in kept if not any(solid(one) in page for page in pages)] == []
    for section in tree.sections:
        heading = solid(plain(section.heading))
        first = next(solid(plain(line))[:20] for line in _begin(section.blocks[0]))
        assert any(heading + first in page for page in pages), heading


def _begin(block: Block) -> tuple[Line, ...]:
    match block:
        case Facts(rows):
            return ((rows[0].label,),)
        case Paragraph(line, _):
            return (line,)
        case Items(lines) | Signature(lines):
            return lines
        case _:
            raise AssertionError(block)


@pytest.mark.parametrize("name", ["plain", "urgent", "long", "long-words", "hostile", "scripts", "arabic"])
def test_nothing_is_printed_outside_the_margins(looks: dict[str, Any], folder: Path, name: str) -> None:
    assert looks[name]
    assert outside(folder, name) == []
    if name == "long-words":
        assert "".join(pages_of(folder, name)).count(solid("Donaudampfschifffahrtsgesellschaft" * 12)) > 10


def test_a_line_that_leaves_the_paper_is_noticed(folder: Path) -> None:
    wide = standard_page(TREES["long-words"]()).replace("overflow-wrap: anywhere", "white-space: nowrap")
    open_pages({"damaged-paper": wide}, {"light": {"pdf": True}}, folder)
    assert outside(folder, "damaged-paper")
