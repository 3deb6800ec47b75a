"""The HTML page of a letter: what it says and in which order, and that nothing entered becomes more than text.

How it looks, and what ``axe-core`` says, is shown in Chromium under ``tests/conformance``.
"""

from __future__ import annotations

import base64
import hashlib
import io
import re
import subprocess
import sys
from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path

import html_trees
import pytest
from html_trees import TREES, letter
from hypothesis import assume, given
from hypothesis import strategies as st
from lxml import html as parsed
from PIL import Image

import dermreport
from dermreport.letters.blocks import (
    Beside,
    Code,
    Entered,
    Facts,
    Figure,
    Figures,
    Items,
    LetterPart,
    Line,
    Paragraph,
    Picture,
    Section,
    Signature,
    Tone,
    Tree,
    plain,
)
from dermreport.letters.characters import balanced, printable
from dermreport.letters.pdf.page import placed
from dermreport.letters.standard_page import standard_page

ROOT = Path(__file__).parent.parent
#: Elements without an end tag (HTML standard, section 13.1.2).
VOID = {"meta", "img"}
#: Elements that say a line each.
SAYING = ("p", "li", "dt", "dd", "figcaption", "h1", "h2", "h3")
DIRECTION = re.compile("[\u202a-\u202e\u2066-\u2069]")


def page(tree: Tree) -> parsed.HtmlElement:
    return parsed.document_fromstring(standard_page(tree).encode(), parser=parsed.HTMLParser(encoding="utf-8"))


def said(tree: Tree) -> list[str]:
    """Return what the page has to say, piece by piece, in the tree's order."""
    lines = [*tree.banner, *([tree.running] if tree.running else []), *tree.sender, *tree.recipient]
    lines += [*([tree.date] if tree.date else []), tree.title, *tree.header]
    for section in tree.sections:
        lines += [section.heading] if section.heading else []
        for block in section.blocks:
            lines += of_block(block)
    return [seen(plain(line)) for line in (*lines, *tree.footer)]


def of_block(block: object) -> Iterator[Line]:
    match block:
        case Paragraph(line, _):
            yield line
        case Items(lines) | Signature(lines):
            yield from lines
        case Facts(rows):
            for row in rows:
                yield (row.label,)
                yield from row.lines
        case Figures(figures):
            yield from (one.caption for one in figures)
        case Beside(facts, figure):
            yield from of_block(facts)
            yield figure.caption
        case Code(content, _, caption):
            yield caption
            yield (content,)


def seen(text: str) -> str:
    """Return text as a reader of a file sees it: what no file can hold is replaced, signs of direction don't show."""
    shown = DIRECTION.sub("", text.replace("\r\n", "\n"))
    return re.sub("[\x00-\x08\x0e-\x1f\ud800-\udfff]", "\ufffd", shown)


@pytest.mark.parametrize("name", TREES)
def test_the_page_says_all_lines_in_the_tree_s_order_and_nothing_else(name: str) -> None:
    tree = TREES[name]()
    shown = page(tree).xpath(f"//body//*[{' or '.join(f'self::{tag}' for tag in SAYING)}]")
    assert [DIRECTION.sub("", one.text_content()) for one in shown] == said(tree)
    # What stands in no such element is in a drawing.
    outside = page(tree).xpath(
        "//body//text()[normalize-space() and not(ancestor::svg) "
        f"and not({' or '.join(f'ancestor::{tag}' for tag in SAYING)})]"
    )
    assert outside == []


@pytest.mark.parametrize("name", TREES)
def test_every_element_is_closed(name: str) -> None:
    class Balance(HTMLParser):
        def __init__(self) -> None:
            super().__init__()
            self.open: list[str] = []

        def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
            assert len({key for key, _ in attrs}) == len(attrs)
            if tag not in VOID:
                self.open.append(tag)

        def handle_endtag(self, tag: str) -> None:
            assert self.open.pop() == tag

        def handle_startendtag(self, *_: object) -> None:
            assert "svg" in self.open

    reader = Balance()
    reader.feed(standard_page(TREES[name]()))
    reader.close()
    assert reader.open == []


@pytest.mark.parametrize("name", TREES)
def test_nothing_runs_and_nothing_is_fetched(name: str) -> None:
    for element in page(TREES[name]()).iter():
        assert element.tag not in {"script", "iframe", "object", "embed", "link", "base", "form", "a"}
        for key, value in element.attrib.items():
            assert not key.startswith("on")
            assert key != "href"
            assert key != "src" or re.fullmatch(r"data:image/(png|jpeg|svg\+xml);base64,[A-Za-z0-9+/=]+", value)
    assert "url(" not in (style := page(TREES[name]()).findtext(".//style"))
    assert "@import" not in style


def test_the_head_says_what_a_reader_and_a_browser_need_and_nothing_of_the_patient() -> None:
    tree = TREES["urgent"]()
    head = page(tree).find("head")
    assert head.findtext("title") == tree.subject
    metas = {one.get("http-equiv") or one.get("name") or "charset": one.get("content") for one in head.iter("meta")}
    assert metas["Content-Security-Policy"] == "default-src 'none'; img-src data:; style-src 'unsafe-inline'"
    assert metas["robots"] == "noindex"
    assert "user-scalable" not in metas["viewport"]
    assert metas["viewport"].startswith("width=device-width")
    for told in ("Ines", "90017", "1961", "Noor"):
        assert told not in parsed.tostring(head, encoding="unicode")
        assert told in standard_page(tree)


@pytest.mark.parametrize(
    ("language", "direction"), [("en", "ltr"), ("de-CH", "ltr"), ("ar", "rtl"), ("he-IL", "rtl"), ("FA", "rtl")]
)
def test_the_language_and_its_direction_stand_on_the_page(language: str, direction: str) -> None:
    root = page(letter((), language=language))
    assert (root.get("lang"), root.get("dir")) == (language, direction)


def test_one_title_and_headings_by_level() -> None:
    tree = TREES["long"]()
    headings = [(one.tag, one.text_content()) for one in page(tree).xpath("//h1|//h2|//h3|//h4")]
    expected = [(f"h{one.level}", plain(one.heading)) for one in tree.sections if one.heading]
    assert headings == [("h1", plain(tree.title)), *expected]
    assert {tag for tag, _ in headings} == {"h1", "h2", "h3"}


def test_a_fact_is_a_term_and_what_is_said_of_it() -> None:
    tree = TREES["plain"]()
    lists = page(tree).xpath("//dl")
    assert [[(row.findtext("dt"), len(row.findall("dd"))) for row in one.findall("div")] for one in lists][1] == [
        ("Where", 1),
        ("Size", 1),
        ("Noticed", 2),
    ]


def test_sixty_findings_are_sixty_rows() -> None:
    rows = page(TREES["long"]()).xpath("//section[@class='part-findings']//dl/div")
    assert len(rows) == 60


@pytest.mark.parametrize(
    ("tone", "path"),
    [
        (Tone.URGENT, "//p[@class='urgent']/strong"),
        (Tone.WARNING, "//p[@class='warning']"),
        (Tone.SMALL, "//p[@class='small']"),
        (Tone.PLAIN, "//section/p[not(@class)]"),
    ],
)
def test_a_tone_is_an_element_or_a_class_and_never_changes_the_words(tone: Tone, path: str) -> None:
    tree = letter((Section(LetterPart.FIRST, (), (Paragraph(("Words ", Entered("entered")), tone),)),))
    assert [one.text_content() for one in page(tree).xpath(path)] == ["Words entered"]


@pytest.mark.parametrize("name", TREES)
def test_what_was_entered_stands_in_an_element_that_isolates_it(name: str) -> None:
    tree = TREES[name]()
    entered = [piece for line in lines_of(tree) for piece in line if isinstance(piece, Entered) and piece]
    shown = [DIRECTION.sub("", one.text_content()) for one in page(tree).iter("bdi")]
    assert shown == [seen(piece) for piece in entered]


def pictures(tree: Tree) -> Iterator[Picture]:
    for section in tree.sections:
        for block in section.blocks:
            match block:
                case Figures(figures):
                    yield from (one.picture for one in figures)
                case Beside(_, figure):
                    yield figure.picture
                case Code(_, Picture() as picture, _):
                    yield picture
                case _:
                    pass


def lines_of(tree: Tree) -> Iterator[Line]:
    yield from (*tree.banner, tree.running, *tree.sender, *tree.recipient, tree.date, tree.title, *tree.header)
    for section in tree.sections:
        yield section.heading
        for block in section.blocks:
            for line in of_block(block):
                # The content of a code is data, of whatever it is made.
                yield (Entered(line[0]),) if isinstance(block, Code) and line == (block.content,) else line
    yield from tree.footer


@given(st.lists(st.text(st.characters(codec=None)), min_size=1, max_size=4))
def test_any_text_is_text(pieces: list[str]) -> None:
    line = tuple(Entered(piece) for piece in pieces)
    tree = letter((Section(LetterPart.FIRST, line, (Paragraph(line, Tone.URGENT),)),), title=line, running=line)
    assert standard_page(tree).encode()
    usual = letter(
        (Section(LetterPart.FIRST, ("a",), (Paragraph(("a",), Tone.URGENT),)),), title=("a",), running=("a",)
    )
    assume(any(pieces))
    assert elements(tree) == elements(usual)


def elements(tree: Tree) -> list[object]:
    return [one.tag for one in page(tree).iter() if one.tag != "bdi"]


def test_words_that_look_like_a_template_stay_as_they_are() -> None:
    written = standard_page(TREES["hostile"]())
    assert "{{ 7 * 7 }}{% for a in b %}" in written
    assert "49" not in page(TREES["hostile"]()).text_content()


# -- pictures ----------------------------------------------------------------------------------------------------------


def test_a_drawing_is_a_part_of_the_page_and_a_photograph_is_embedded_each_with_its_words() -> None:
    tree = TREES["urgent"]()
    root = page(tree)
    drawings = root.xpath("//*[name()='svg']")
    assert [(one.get("role"), one.get("aria-label")) for one in drawings] == [
        ("img", plain(one.words))
        for one in (each.picture for each in placed(tree))
        if one.media_type == "image/svg+xml"
    ]
    assert all(one.get("aria-labelledby") is None for one in drawings)
    photographs = [one for one in (each.picture for each in placed(tree)) if one.media_type == "image/png"]
    assert [one.get("alt") for one in root.iter("img")] == [plain(one.words) for one in photographs]
    for shown, picture in zip(root.iter("img"), photographs, strict=True):
        data = base64.b64decode(shown.get("src").removeprefix("data:image/png;base64,"))
        assert data == picture.content
        assert Image.open(io.BytesIO(data)).size == (90, 60)


SVG = 'xmlns="http://www.w3.org/2000/svg"'


@pytest.mark.parametrize(
    "content",
    [
        f"<svg {SVG}><script>window.harmed=1</script></svg>",
        f'<svg {SVG} onload="window.harmed=1"/>',
        f'<svg {SVG}><a href="https://clinic.example"><text>a</text></a></svg>',
        f'<svg {SVG}><image href="https://clinic.example/a.png"/></svg>',
        f'<svg {SVG}><use href="https://clinic.example/a.svg#b"/></svg>',
        f'<svg {SVG} xmlns:xlink="http://www.w3.org/1999/xlink"><use xlink:href="https://clinic.example/a#b"/></svg>',
        f"<svg {SVG}><style>@import 'https://clinic.example/a.css';</style></svg>",
        f'<svg {SVG}><rect style="fill:url(https://clinic.example/a)"/></svg>',
        f'<svg {SVG}><rect fill="url(https://clinic.example/a)"/></svg>',
        f"<svg {SVG}><foreignObject><p>a</p></foreignObject></svg>",
        f'<svg {SVG}><path><animate attributeName="href" to="x"/></path></svg>',
        '<s:svg xmlns:s="http://www.w3.org/2000/svg"/>',
        "<svg/>",
        f"<svg {SVG}>",
        f'<!DOCTYPE svg [<!ENTITY a SYSTEM "file:///etc/hostname">]><svg {SVG}><text>&a;</text></svg>',
        "",
    ],
)
def test_a_drawing_that_is_more_than_lines_and_text_is_an_image_that_can_not_act(content: str) -> None:
    picture = Picture(content.encode(), "image/svg+xml", ("A drawing.",))
    root = page(letter((Section(LetterPart.LESION, (), (Figures((Figure(picture, ("A",)),)),)),)))
    (image,) = root.xpath("//div[@class='picture']/*")
    assert image.tag == "img"
    assert image.get("alt") == "A drawing."
    assert base64.b64decode(image.get("src").partition(",")[2]) == content.encode()


def test_a_drawing_that_refers_to_itself_stays_a_part_of_the_page() -> None:
    content = f'<svg {SVG}><defs><pattern id="p"/></defs><rect fill="url(#p)"/><use href="#p"/></svg>'
    picture = Picture(content.encode(), "image/svg+xml", ('Words "quoted" <b>',))
    written = standard_page(letter((Section(LetterPart.LESION, (), (Figures((Figure(picture, ("A",)),)),)),)))
    assert 'aria-label="Words &quot;quoted&quot; &lt;b&gt;"' in written
    assert '<rect fill="url(#p)"/>' in written


def test_a_drawing_without_a_view_box_is_scaled_and_not_cut() -> None:
    """What segno writes has a size alone; SVG 2, section 8.2: without viewBox nothing is scaled."""
    import segno

    written = io.BytesIO()
    segno.make("report 41").save(written, kind="svg", scale=4)
    assert b"viewBox" not in written.getvalue()
    picture = Picture(written.getvalue(), "image/svg+xml", ("A code.",))
    (made,) = page(letter((Section(LetterPart.REPORT, (), (Code("report 41", picture, ("A",)),)),))).xpath(
        "//*[name()='svg']"
    )
    assert made.get("viewbox") == f"0 0 {made.get('width')} {made.get('height')}"


def test_the_drawing_of_a_series_is_a_part_of_the_page() -> None:
    drawn = (ROOT / "examples" / "lower-back-after-9-months" / "series.svg").read_bytes()
    picture = Picture(drawn, "image/svg+xml", ("The lesion over time.",), 1.0)
    root = page(letter((Section(LetterPart.HISTORY, (), (Figures((Figure(picture, ("A",)),)),)),)))
    assert root.xpath("//div[@class='picture']/*[name()='svg']/@role") == ["img"]


@pytest.mark.parametrize(("width", "shown"), [(0.3, "30%"), (1.0, "100%"), (0.0, "0%"), (7.0, "100%"), (-1.0, "0%")])
def test_the_width_of_a_picture_is_a_share_of_the_text(width: float, shown: str) -> None:
    figure = Figure(html_trees.photograph(("a",), width), ("a",))
    (made,) = page(letter((Section(LetterPart.IMAGES, (), (Figures((figure,)),)),))).iter("figure")
    assert made.get("style") == f"--width: {shown}"


# -- characters --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("plain", "plain"),
        ("\u202eabc", "\u202eabc\u202c"),
        ("\u2067abc", "\u2067abc\u2069"),
        ("\u2068a\u202bb", "\u2068a\u202bb\u202c\u2069"),
        ("a\u202cb\u2069c", "abc"),
        ("\u2066a\u202eb\u2069c", "\u2066a\u202eb\u202c\u2069c"),
        ("\u2067one\ntwo", "\u2067one\u2069\ntwo"),
        ("\u200eא\u200f", "\u200eא\u200f"),
    ],
)
def test_each_change_of_direction_ends_in_its_own_line(text: str, shown: str) -> None:
    assert balanced(text) == shown


@given(st.text("ab\n\u202a\u202c\u202e\u2067\u2068\u2069"))
def test_balanced_text_closes_what_it_opens_and_keeps_all_else(text: str) -> None:
    made = balanced(text)
    assert DIRECTION.sub("", made) == DIRECTION.sub("", text)
    assert balanced(made) == made
    for line in made.split("\n"):
        depth = 0
        for character in line:
            depth += 1 if character in "\u202a\u202e\u2067\u2068" else -1 if character in "\u202c\u2069" else 0
            assert depth >= 0
        assert depth == 0


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("a\tb\nc", "a\tb\nc"),
        ("a\r\nb\rc\u2028d", "a\nb\nc\nd"),
        ("\x00\x1f\x7f\x9f", "\ufffd" * 4),
        ("\ud800\ufffe\ufdd0", "\ufffd" * 3),
        ("\u00a0é👩🏽\u200d⚕️", "\u00a0é👩🏽\u200d⚕️"),
    ],
)
def test_what_no_file_can_hold_is_replaced_by_the_sign_for_it(text: str, shown: str) -> None:
    assert printable(text) == shown
    assert shown.encode()


# -- the same every time, and what it needs ----------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["urgent", "scripts"])
def test_the_same_letter_has_the_same_bytes_in_every_process(name: str) -> None:
    code = (
        "import sys, hashlib; sys.path.insert(0, 'tests')\n"
        "from html_trees import TREES\n"
        "from dermreport.letters.standard_page import standard_page\n"
        f"print(hashlib.sha256(standard_page(TREES[{name!r}]()).encode()).hexdigest())"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT)
    assert done.stdout.strip() == hashlib.sha256(standard_page(TREES[name]()).encode()).hexdigest()


def test_without_jinja2_the_error_names_the_command(monkeypatch: pytest.MonkeyPatch) -> None:
    from dermreport.letters import standard_page as module

    module._environment.cache_clear()
    for name in ("jinja2", *[name for name in sys.modules if name.startswith("jinja2.")]):
        monkeypatch.setitem(sys.modules, name, None)
    with pytest.raises(dermreport.MissingExtraError, match=r"pip install 'dermreport\[letter\]'"):
        standard_page(TREES["plain"]())


def test_jinja2_and_lxml_are_loaded_on_first_use() -> None:
    code = "import dermreport.letters.html, sys; print('jinja2' in sys.modules, 'lxml' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT)
    assert done.stdout == "False False\n"
