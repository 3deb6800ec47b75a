"""Letters as PDF, read back with two readers that share nothing with the writer: pypdf and PDFium."""

from __future__ import annotations

import io
import re
import sys
import traceback
import unicodedata
from collections import defaultdict
from dataclasses import replace
from functools import cache
from typing import TYPE_CHECKING, Any

import pypdf
import pypdfium2
import pytest
import typst
from examples_output import EXAMPLES, LETTERS, examinations
from fontTools.fontBuilder import FontBuilder
from fontTools.pens.ttGlyphPen import TTGlyphPen
from hypothesis import given, settings
from hypothesis import strategies as st
from letter_trees import (
    CAUTIONS,
    DRAWING,
    HOSTILE,
    JPEG,
    PATIENT,
    PNG,
    SCORES,
    SQUARE,
    TALL,
    TREES,
    URGENT,
    USUAL,
    WITHOUT_GLYPHS,
    facts,
    note,
    section,
    tree,
)

import dermreport
from dermreport.letter_file import LetterKind
from dermreport.letters.blocks import (
    Beside,
    Code,
    Entered,
    Figure,
    Figures,
    Items,
    LetterPart,
    Paragraph,
    Picture,
    Signature,
    Tone,
    plain,
)
from dermreport.letters.pdf import rules, write_pdf
from dermreport.letters.pdf.page import lines_of, placed
from dermreport.letters.rules import LETTER_RULES

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from dermreport.letters.blocks import Tree

MM = 72 / 25.4
#: An A4 page is 595.3 points wide (ISO 216); the margins are ours, as is the column of the headings.
LEFT, RIGHT, FOOT = 22 * MM, 595.3 - 18 * MM, 20
HEADINGS, CONTENT = LEFT + 28 * MM, LEFT + 31 * MM
MARK = "Zyxwvut"
ALL = {**TREES, **WITHOUT_GLYPHS}
#: Both layouts: headings beside what they head, as between colleagues, and above it, as for a patient.
KINDS = (LetterKind.REFERRAL, LetterKind.PATIENT)


@cache
def written(name: str, kind: LetterKind) -> tuple[bytes, tuple[dermreport.Issue, ...]]:
    """Return a letter of the table as a letter of this kind."""
    return write_pdf(replace(ALL[name], kind=kind))


def read(content: bytes) -> pypdf.PdfReader:
    return pypdf.PdfReader(io.BytesIO(content))


def squeezed(text: str) -> str:
    """Return a text without spaces and what can't be seen."""
    return "".join(one for one in text if not one.isspace() and unicodedata.category(one) not in {"Cf", "Cc"})


def words_of(letter: Tree) -> Iterator[str]:
    """Yield what has to stand on the page: every line but the running one and the words for pictures."""
    hidden = [plain(one.picture.words) for one in placed(letter)]
    for line in list(lines_of(letter))[:-1]:
        text = plain(line)
        if text in hidden:
            hidden.remove(text)
        elif text:
            yield text


def text_of(content: bytes, letter: Tree) -> str:
    """Return the text of all pages in one, without what stands on every page."""
    pages = [squeezed(page.extract_text()) for page in read(content).pages]
    running = squeezed(plain(letter.running))
    for number, page in enumerate(pages, 1):
        assert page.count(running) == 1
        pages[number - 1] = page.replace(f"{running}{number}/{len(pages)}", "")
        assert pages[number - 1] != page
    return "".join(pages)


def tags(content: bytes) -> list[Any]:
    """Return the structure elements of a file in order."""
    found = []
    waiting = [read(content).trailer["/Root"]["/StructTreeRoot"]]
    while waiting:
        one = waiting.pop(0).get_object()
        if "/S" in one:
            found.append(one)
        children = one.get("/K", [])
        if not isinstance(children, list):
            children = [children]
        waiting = [child for child in children if hasattr(child.get_object(), "get")] + waiting
    return found


def characters(content: bytes, *, loose: bool = False) -> Iterator[tuple[int, str, tuple[float, float, float, float]]]:
    """Yield page, character and box (left, bottom, right, top) of each character that PDFium sees."""
    for number, page in enumerate(pypdfium2.PdfDocument(content)):
        text = page.get_textpage()
        for position in range(text.count_chars()):
            one = text.get_text_range(position, 1)
            if one.strip():
                yield number, one, text.get_charbox(position, loose=loose)


# What it says

#: Letters whose lines aren't in the order of the page's text: of another direction, with breaks, or beside a figure.
OUT_OF_ORDER = {
    "Hebrew and Arabic",
    "long words",
    "beside over a page",
    "long everywhere",
    "long labels",
    "labels of several lines",
}


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("name", [name for name in TREES if name not in OUT_OF_ORDER])
def test_every_line_stands_in_the_text_in_order(name: str, kind: LetterKind) -> None:
    content, _ = written(name, kind)
    all_in_order(content, TREES[name])


def all_in_order(content: bytes, letter: Tree) -> None:
    """Expect every line of a letter in the order of its tree."""
    text, place = text_of(content, letter), 0
    for words in words_of(letter):
        found = text.find(squeezed(words), place)
        assert found >= 0, words
        place = found + len(squeezed(words))


@pytest.mark.parametrize("kind", KINDS)
def test_long_words_are_all_there(kind: LetterKind) -> None:
    content, issues = written("long words", kind)
    assert issues == ()
    text = "".join(squeezed(page.extract_text()) for page in read(content).pages)
    assert text.count("W") >= 300 * 8
    assert (text.count("M"), text.count("i")) >= (60, 300)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("name", ALL)
def test_nothing_leaves_the_text_column(name: str, kind: LetterKind) -> None:
    content, _ = written(name, kind)
    inside = [
        left >= LEFT - 2 and right <= RIGHT + 2 and bottom > FOOT
        for _, _, (left, bottom, right, _) in characters(content)
    ]
    assert inside
    assert all(inside)


def overlapping(content: bytes) -> list[str]:
    """Return the pairs of characters of which one covers another by more than a third, but for those of a ligature."""
    cells: dict[tuple[int, int, int], list[tuple[int, str, tuple[float, float, float, float]]]] = defaultdict(list)
    found = []
    seen = [found for found in characters(content) if unicodedata.category(found[1]) != "Cf"]
    for number, (page, one, box) in enumerate(seen):
        left, bottom, right, top = box
        row, column = int((bottom + top) / 20), int((left + right) / 20)
        near = [cells[page, row + up, column + over] for up in (-1, 0, 1) for over in (-1, 0, 1)]
        for before, other, (left_2, bottom_2, right_2, top_2) in (each for cell in near for each in cell):
            width = min(right, right_2) - max(left, left_2)
            height = min(top, top_2) - max(bottom, bottom_2)
            smaller = min((right - left) * (top - bottom), (right_2 - left_2) * (top_2 - bottom_2))
            if number - before > 2 and width > 0 and height > 0 and width * height > smaller / 3:
                found.append(f"page {page}: {other} and {one}")
        cells[page, row, column].append((number, one, box))
    return found


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("name", [name for name in TREES if name not in {"Hebrew and Arabic", "short lines"}])
def test_nothing_covers_anything(name: str, kind: LetterKind) -> None:
    """Letters of other scripts join or bear marks, so they are left out."""
    assert overlapping(written(name, kind)[0]) == []


def test_what_covers_something_is_found(monkeypatch: pytest.MonkeyPatch) -> None:
    """The check above sees headings that run into each other: here without the room that is made for them."""
    compile_as_is = typst.compile

    def compiled(files: dict[str, bytes], **options: Any) -> Any:
        page = files["main.typ"]
        files = {**files, "main.typ": page.replace(b"calc.max(0pt, tall - taken)", b"0pt")}
        assert files["main.typ"] != page
        return compile_as_is(files, **options)

    monkeypatch.setattr(typst, "compile", compiled)
    assert overlapping(write_pdf(TREES["tall headings"])[0])


def test_headings_beside_keep_to_their_column() -> None:
    content, issues = written("tall headings", LetterKind.REFERRAL)
    assert issues == ()
    boxes = [box for _, _, box in characters(content) if box[1] > 30 * MM]
    headings = [box for box in boxes if box[0] < CONTENT - 1]
    assert 0 < len(headings) < len(boxes)
    assert all(right <= HEADINGS + 1 for _, _, right, _ in headings)


def test_a_tall_heading_stays_on_its_page_with_what_it_heads() -> None:
    many = section("A heading of many words, " * 8, Items((("One of many lines",),) * 60))
    for lines in range(0, 60, 6):
        content, issues = write_pdf(tree(note("\n".join("x" * lines)), *TALL, many, *TALL[:1]))
        assert issues == ()
        assert overlapping(content) == []
        # Nothing stands between the text and the foot.
        assert not any(13 * MM < bottom < 16.5 * MM for _, _, (_, bottom, _, _) in characters(content))
        pages = [squeezed(page.extract_text()) for page in read(content).pages]
        (page,) = [page for page in pages if squeezed(plain(many.heading)) in page]
        assert "Oneofmanylines" in page
        for number, one in list(enumerate(TALL))[1:]:
            (page,) = [page for page in pages if squeezed(plain(one.heading)) in page]
            assert page.count(f"ofpart{number}.") == 3


def test_a_heading_that_is_too_tall_for_its_column_stands_above() -> None:
    content, issues = written("headings too tall", LetterKind.REFERRAL)
    assert issues == ()
    assert max(right for _, one, (_, _, right, _) in characters(content) if one == "W") > RIGHT - 10 * MM
    assert any(one.startswith("Aheadingofmanywords" * 3) for one in lines_as_seen(content))


def test_a_short_part_of_a_patients_copy_stands_on_one_page() -> None:
    part = section("Whom to call", *(Paragraph((f"Number {number}.",)) for number in range(5)))
    divided = 0
    for lines in range(0, 50, 5):
        letter = tree(note("\n".join("x" * lines)), part, kind=LetterKind.PATIENT)
        pages = [page.extract_text() for page in read(write_pdf(letter)[0]).pages]
        assert sum("Whom to call" in page and "Number 4." in page for page in pages) == 1
        divided += len(pages) > 1 and "Whom to call" in pages[1]
    assert divided


def lines_as_seen(content: bytes) -> list[str]:
    """Return the lines of the first page as an eye meets their characters from left to right."""
    lines: list[tuple[float, list[tuple[float, str]]]] = []
    for _, one, (left, bottom, _, top) in characters(content, loose=True):
        if unicodedata.category(one) != "Cf":
            middle = (bottom + top) / 2
            line = next((found for height, found in lines if abs(height - middle) < 5), None)
            if line is None:
                lines.append((middle, line := []))
            line.append((left, one))
    return ["".join(one for _, one in sorted(line)) for _, line in lines]


@pytest.mark.parametrize(("kind", "heading"), [(LetterKind.REFERRAL, "Patient"), (LetterKind.PATIENT, "")])
def test_words_of_another_direction_turn_none_round_them(kind: LetterKind, heading: str) -> None:
    """Where the characters stand on the page, against the order that Unicode Annex 9 gives isolates."""
    content, issues = written("Hebrew and Arabic", kind)
    assert issues == ()
    seen = lines_as_seen(content)
    hebrew, arabic = "יולדוד", "يلعدمحم"
    assert f"Patient{hebrew},64years,number12-345(copy)." in seen
    assert f"Seenby{arabic}:3lesions,2ofthemchosen." in seen
    # In a letter between colleagues the section's heading stands beside its first fact.
    assert f"{heading}Name{hebrew}" in seen
    # In a name that has a number in brackets, these go with the name and stand at its end: left.
    assert any(re.fullmatch(f"About.12.{hebrew},born1May1961·report2026-01171/1", one) for one in seen)


def test_what_was_entered_is_no_markup() -> None:
    content, issues = write_pdf(TREES["hostile"])
    assert issues == ()
    text = "".join(squeezed(page.extract_text()) for page in read(content).pages)
    assert text.count(squeezed(HOSTILE)) == 9
    figure = next(one for one in tags(content) if one["/S"] == "/Figure")
    assert figure["/Alt"] == f"Drawing: {HOSTILE}"


def test_a_line_ends_where_it_was_ended() -> None:
    content, _ = write_pdf(TREES["many lines"])
    said = read(content).pages[0].extract_text().splitlines()
    assert [one.strip() for one in said if one.strip() in {"two", "three", "four", "five"}] == [
        "two",
        "three",
        "four",
        "five",
    ] * 2


def test_controls_are_left_out_and_what_has_no_meaning_is_marked() -> None:
    content, issues = write_pdf(TREES["controls"])
    assert issues == ()
    assert "abcde" in read(content).pages[0].extract_text()
    for words in ("bell \x07", "private \ue000", "half \ud800", "never \ufdd0", "never \U0001ffff"):
        content, issues = write_pdf(tree(note(words)))
        assert [(one.rule, dict(one.parameters)) for one in issues] == [("letter-character-replaced", {"count": "2"})]
        assert read(content).pages[0].extract_text().count("\ufffd") == 2


@given(st.lists(st.text(max_size=80), min_size=3, max_size=3))
@settings(max_examples=40)
def test_whatever_is_entered_gives_a_letter_and_no_character_in_an_issue(words: list[str]) -> None:
    letter = tree(note(words[0]), section("Facts", facts((words[1], words[2]))), name=words[2])
    content, issues = write_pdf(letter)
    assert content.startswith(b"%PDF-")
    assert {one.rule for one in issues} <= {"letter-character-replaced", "letter-glyph-missing"}


# How it is made


def test_the_file_is_tagged_for_screen_readers() -> None:
    content, issues = write_pdf(USUAL)
    assert issues == ()
    root = read(content).trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"]
    assert root["/Lang"] == "en"
    assert root["/ViewerPreferences"]["/DisplayDocTitle"]
    found = tags(content)
    kinds = [one["/S"] for one in found]
    assert kinds.count("/H1") == 1
    assert [one for one in kinds if re.fullmatch("/H[1-6]", one)] == ["/H1", "/H2", "/H2", "/H3", "/H2", "/H2", "/H2"]
    # Facts: a list of labels and what is said of each, 3 of the patient, 5 of the lesion, 4 findings.
    assert kinds.count("/Lbl") >= 12
    assert kinds.count("/LBody") == kinds.count("/LI") == 12 + 4
    assert [one["/Alt"] for one in found if one["/S"] == "/Figure"] == [plain(DRAWING.words), plain(SQUARE.words)]
    assert kinds.count("/Caption") == 1


def test_the_outline_leaves_no_level_out() -> None:
    content, issues = write_pdf(TREES["a level left out"])
    assert issues == ()
    assert [one["/S"] for one in tags(content) if one["/S"].startswith("/H")] == ["/H1"]


@pytest.mark.parametrize("name", ["usual", "photographs", "Chinese", "bare"])
def test_the_same_letter_gives_the_same_bytes(name: str) -> None:
    assert write_pdf(ALL[name]) == write_pdf(ALL[name])


def test_metadata_say_the_subject_and_the_day_and_nothing_else() -> None:
    marked = tuple((Entered(f"{MARK} {number}"),) for number in range(3))
    letter = tree(
        PATIENT,
        note(MARK),
        section("Lesion", Beside(facts((MARK, MARK)), Figure(replace(DRAWING, words=(Entered(MARK),)), marked[0]))),
        sender=marked,
        recipient=marked,
        title=marked[0],
        name=MARK,
    )
    content, issues = write_pdf(letter)
    assert issues == ()
    reader = read(content)
    information = dict(reader.metadata)
    assert set(information) == {"/Title", "/Creator", "/CreationDate", "/ModDate"}
    assert information["/Title"] == letter.subject
    assert information["/Creator"].startswith("Typst")
    assert information["/CreationDate"].startswith("D:20260304000000")
    assert information["/ModDate"].startswith("D:20260304000000")
    about = reader.xmp_metadata.stream.get_data().decode()
    assert letter.subject in about
    assert "<pdfuaid:part>1</pdfuaid:part>" in about
    assert "<pdfaid:part>2</pdfaid:part>" in about
    assert "<pdfaid:conformance>A</pdfaid:conformance>" in about
    assert "creator>" not in about
    assert MARK not in about + str(information)
    # The mark is found where it belongs, so the search can find it.
    assert MARK in reader.pages[0].extract_text()


@pytest.mark.parametrize(
    ("written", "kept"),
    [("2026-03-04", True), ("2026-03-04T09:30:00+01:00", True), ("2026-03", False), ("2026-02-30", False), ("", False)],
)
def test_a_letter_without_a_day_is_no_archive_file(written: str, kept: bool) -> None:  # noqa: FBT001 - a case
    content, issues = write_pdf(tree(PATIENT, written=written))
    about = read(content).xmp_metadata.stream.get_data().decode()
    assert [one.rule for one in issues] == [] if kept else ["letter-without-day"]
    assert ("pdfaid:part" in about) is kept
    assert "pdfuaid:part" in about


@pytest.mark.parametrize(
    ("language", "said"), [("en", "en"), ("de-CH", "de-CH"), ("zh-Hant-TW", "zh-TW"), ("?", "und")]
)
def test_the_language_is_said(language: str, said: str) -> None:
    content, issues = write_pdf(tree(PATIENT, language=language))
    assert issues == ()
    assert read(content).trailer["/Root"]["/Lang"] == said


@pytest.mark.parametrize("kind", KINDS)
def test_every_page_says_whom_it_is_about_and_its_number(kind: LetterKind) -> None:
    content, _ = written("long note", kind)
    pages = read(content).pages
    assert len(pages) >= 3
    for number, page in enumerate(pages, 1):
        assert f"{squeezed(plain(USUAL.running))}{number}/{len(pages)}" in squeezed(page.extract_text())


@pytest.mark.parametrize("kind", KINDS)
def test_what_is_short_isnt_divided(kind: LetterKind) -> None:
    """A signature, a code, five facts and a heading with what follows stand on one page, wherever it ends."""
    wholes = (
        ("Yours sincerely", "Dr Robin Sample"),
        ("The report in the record system", "urn:report"),
        ("Patient", "Name", "Born", "Number"),
        ("Findings", "Atypical", "Streaks"),
    )
    for lines in range(0, 60, 4):
        letter = replace(USUAL, kind=kind, sections=(note("\n".join("x" * lines)), *USUAL.sections))
        pages = [page.extract_text() for page in read(write_pdf(letter)[0]).pages]
        for whole in wholes:
            assert any(all(one in page for one in whole) for page in pages), (lines, whole)


@pytest.mark.parametrize("kind", KINDS)
def test_a_label_stands_with_its_fact(kind: LetterKind) -> None:
    letter = TREES["labels of several lines"]
    pages = [squeezed(page.extract_text()) for page in read(written("labels of several lines", kind)[0]).pages]
    assert len(pages) > 4
    for block in (letter.sections[0].blocks[0], letter.sections[1].blocks[0].facts):
        for row in block.rows:
            whole = squeezed(row.label + plain(row.lines[0]))
            assert any(whole in page for page in pages), whole


def frames(content: bytes) -> list[tuple[float, float, float, float]]:
    """Return the boxes (left, bottom, right, top) of the drawn paths of the first page."""
    drawn = pypdfium2.PdfDocument(content)[0].get_objects(filter=[pypdfium2.raw.FPDF_PAGEOBJ_PATH])
    return [one.get_bounds() for one in drawn]


@pytest.mark.parametrize("kind", KINDS)
def test_what_is_urgent_is_framed_bold_and_first(kind: LetterKind) -> None:
    content, _ = write_pdf(tree(URGENT, PATIENT, kind=kind))
    text = read(content).pages[0].extract_text()
    assert text.index("Urgent:") < text.index("Patient")
    # The only exclamation in it marks the line.
    shouting = replace(URGENT.blocks[0], line=("!!! !!!",))
    for block, framed in ((shouting, True), (replace(shouting, tone=Tone.PLAIN), False)):
        content, _ = write_pdf(tree(section("", block), kind=kind))
        marks = [box for _, one, box in characters(content) if one == "!"]
        assert len(marks) == 6
        around = [
            (left, bottom, right, top)
            for left, bottom, right, top in frames(content)
            if all(left < one[0] and bottom < one[1] and one[2] < right and one[3] < top for one in marks)
        ]
        assert bool(around) is framed


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("count", [1, 3, 6])
def test_recipient_and_sender_stand_side_by_side(count: int, kind: LetterKind) -> None:
    """Long names too: each keeps to its own half, and what comes after stands under both."""
    name = "Department of Dermatology, Allergology and Venereology of the Example University Hospital"
    to = ("Ä" + name, *("Ä" * 70 for _ in range(count)))
    sender = ("Ö" + name, *("Ö" * 70 for _ in range(7 - count)))
    letter = tree(
        section("", Paragraph(("Ü",))),
        recipient=tuple((Entered(one),) for one in to),
        sender=tuple((Entered(one),) for one in sender),
        title=(),
        kind=kind,
    )
    boxes: dict[str, list[tuple[float, float, float, float]]] = defaultdict(list)
    for _, one, box in characters(write_pdf(letter)[0]):
        boxes[one].append(box)
    assert [len(boxes[one]) for one in "ÄÖÜ"] == [1 + 70 * count, 1 + 70 * (7 - count), 1]
    middle = LEFT + 90 * MM
    assert all(right < middle for _, _, right, _ in boxes["Ä"])
    assert all(left > middle for left, _, _, _ in boxes["Ö"])
    assert boxes["Ä"][0][3] == pytest.approx(boxes["Ö"][0][3], abs=1)
    assert all(bottom > boxes["Ü"][0][3] for one in "ÄÖ" for _, bottom, _, _ in boxes[one])


def test_a_patient_reads_large_letters() -> None:
    """At least 12 points, as associations of the blind ask of clear print (from memory); 11 for cautions."""
    for kind, least, least_of_all in ((LetterKind.PATIENT, 12, 11), (LetterKind.REFERRAL, 9, 8)):
        page = pypdfium2.PdfDocument(write_pdf(tree(PATIENT, SCORES, CAUTIONS, kind=kind))[0])[0].get_textpage()
        sizes = defaultdict(set)
        small = page.get_text_range().index("Cautions")
        for place in range(page.count_chars()):
            if page.get_charbox(place)[1] > 30 * MM and page.get_text_range(place, 1).strip():
                sizes[place >= small].add(round(pypdfium2.raw.FPDFText_GetFontSize(page, place), 1))
        assert min(sizes[False]) == least
        assert min(sizes[True]) == least_of_all


def test_a_code_stands_beside_the_signature() -> None:
    code = Code("urn:report:2026-0117", SQUARE, ("The report",))
    letter = tree(section("Signature", Signature((("Dr Robin Sample",),), (code,)), part=LetterPart.SIGNATURE))
    content, issues = write_pdf(letter)
    assert issues == ()
    all_in_order(content, letter)
    assert [one["/Alt"] for one in tags(content) if one["/S"] == "/Figure"] == [plain(SQUARE.words)]
    line = next(one for one in lines_as_seen(content) if "RobinSample" in one)
    assert "urn:report" in line or "Thereport" in line
    broken = replace(code, picture=replace(SQUARE, content=b"<svg"))
    content, issues = write_pdf(tree(section("", Signature((("Dr Robin Sample",),), (broken,)))))
    assert [(one.rule, one.path) for one in issues] == [
        ("letter-picture-unreadable", "$.sections[0].blocks[0].codes[0].picture")
    ]
    assert "urn:report:2026-0117" in read(content).pages[0].extract_text()


# Letters of examples


@pytest.fixture
def composed(monkeypatch: pytest.MonkeyPatch) -> list[Tree]:
    """The trees that were written as PDF, in order."""
    trees: list[Tree] = []

    def recorded(tree_of_letter: Tree, fonts: Path | None = None) -> tuple[bytes, tuple[dermreport.Issue, ...]]:
        trees.append(tree_of_letter)
        return write_pdf(tree_of_letter, fonts)

    monkeypatch.setattr("dermreport.letters.pdf.write_pdf", recorded)
    return trees


@pytest.mark.parametrize(
    ("name", "kind", "detail", "most"),
    [
        ("usual", "referral", "short", 1),
        ("usual", "referral", "complete", 4),
        ("usual", "patient", "short", 1),
        ("back-melanoma-suspected-referred", "referral", "short", 2),
        ("back-melanoma-suspected-referred", "patient", "short", 1),
        ("calf-excised-with-histology", "pathologist", "short", 2),
        ("visit-three-lesions", "referral", "short", 4),
        ("visit-three-lesions", "patient", "complete", 2),
        ("flawed-frozen-without-histology", "referral", "complete", 5),
    ],
)
def test_letters_of_examples(name: str, kind: str, detail: str, most: int, composed: list[Tree]) -> None:
    reviews = [dermreport.review(one) for one in examinations(EXAMPLES / f"{name}.json")]
    wanted = replace(LETTERS, detail=detail)
    made = dermreport.letter(reviews, kind=kind, format="pdf", settings=wanted)
    # What a record lacks is an issue of the letter; nothing is one of its writing.
    assert {one.rule for one in made.issues} <= {one.id for one in LETTER_RULES}
    pages = len(read(made.content).pages)
    assert pages <= most
    all_in_order(made.content, composed[0])
    assert overlapping(made.content) == []
    assert all(left >= LEFT - 2 and right <= RIGHT + 2 for _, _, (left, _, right, _) in characters(made.content))
    assert dermreport.letter(reviews, kind=kind, format="pdf", settings=wanted) == made


# Pictures


def test_pictures_are_embedded() -> None:
    content, issues = write_pdf(TREES["photographs"])
    assert issues == ()
    assert sum(len(page.images) for page in read(content).pages) >= 2
    assert [one["/S"] for one in tags(content)].count("/Figure") == 5


@pytest.mark.parametrize(
    "picture",
    [
        Picture(b"", "image/png", ("What it shows",)),
        Picture(PNG.content[:90], "image/png", ("What it shows",)),
        Picture(PNG.content, "image/svg+xml", ("What it shows",)),
        Picture(b"<svg", "image/svg+xml", ("What it shows",)),
        Picture(b"\xff\xd8\xff", "image/jpeg", ("What it shows",)),
        Picture(JPEG.content, "image/heic", ("What it shows",)),
        Picture(
            b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"><image href="letter.typ" width="9"/></svg>',
            "image/svg+xml",
            ("What it shows",),
        ),
        Picture(
            b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"><image href="http://clinic.example/a.png"/></svg>',
            "image/svg+xml",
            ("What it shows",),
        ),
        Picture(
            b'<!DOCTYPE svg [<!ENTITY a SYSTEM "file:///etc/passwd">]><svg xmlns="http://www.w3.org/2000/svg" '
            b'viewBox="0 0 9 9"><text>&a;</text></svg>',
            "image/svg+xml",
            ("What it shows",),
        ),
    ],
    ids=["empty", "cut off", "called SVG", "no SVG", "no JPEG", "another format", "a file", "a host", "an entity"],
)
def test_of_a_picture_that_cant_be_read_the_words_stand(picture: Picture) -> None:
    letter = tree(
        section("Images", Figures((Figure(PNG, ("First",)), Figure(picture, ("Second",))))),
        section("Lesion", Beside(facts(("Site", "Back")), Figure(picture, ("Third",)))),
        section("", Code("urn:report:1", picture, ("Report",))),
    )
    content, issues = write_pdf(letter)
    assert [(one.rule, one.path) for one in issues] == [
        ("letter-picture-unreadable", "$.sections[0].blocks[0].figures[1].picture"),
        ("letter-picture-unreadable", "$.sections[1].blocks[0].figure.picture"),
        ("letter-picture-unreadable", "$.sections[2].blocks[0].picture"),
    ]
    text = read(content).pages[0].extract_text()
    assert text.count("What it shows") == 3
    assert [text.count(one) for one in ("First", "Second", "Third", "urn:report:1")] == [1, 1, 1, 1]
    assert [one["/S"] for one in tags(content)].count("/Figure") == 1


# Fonts


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder with a font that has squares for three Chinese characters."""
    names = {"小": "a", "明": "b", "王": "c"}
    pen = TTGlyphPen(None)
    pen.moveTo((100, 0))
    for point in ((100, 700), (800, 700), (800, 0)):
        pen.lineTo(point)
    pen.closePath()
    glyph = pen.glyph()
    font = FontBuilder(1000, isTTF=True)
    order = [".notdef", *names.values()]
    font.setupGlyphOrder(order)
    font.setupCharacterMap({ord(one): name for one, name in names.items()})
    font.setupGlyf(dict.fromkeys(order, glyph))
    font.setupHorizontalMetrics(dict.fromkeys(order, (900, 100)))
    font.setupHorizontalHeader(ascent=800, descent=-200)
    names_of_the_font = {"familyName": "Example Squares", "styleName": "Regular", "psName": "ExampleSquares-Regular"}
    font.setupNameTable(names_of_the_font)
    font.setupOS2(sTypoAscender=800, sTypoDescender=-200, usWinAscent=800, usWinDescent=200)
    font.setupPost()
    font.save(tmp_path / "squares.ttf")
    return tmp_path


@pytest.mark.parametrize("name", WITHOUT_GLYPHS)
def test_a_letter_without_glyphs_is_written_and_says_so(name: str) -> None:
    letter = WITHOUT_GLYPHS[name]
    content, issues = write_pdf(letter)
    assert [one.rule for one in issues] == ["letter-glyph-missing"]
    assert all(one.isascii() or one in "’“”" for one in str(issues[0]))
    assert "pdfaid:part" not in read(content).xmp_metadata.stream.get_data().decode()
    assert "born 1 May 1961" in read(content).pages[0].extract_text()


def test_the_hosts_fonts_are_taken(folder: Path) -> None:
    content, issues = write_pdf(WITHOUT_GLYPHS["Chinese"], folder)
    assert issues == ()
    assert "王小明" in read(content).pages[0].extract_text()
    assert [one.rule for one in write_pdf(WITHOUT_GLYPHS["Thai"], folder)[1]] == ["letter-glyph-missing"]


def test_a_folder_without_fonts_is_told(tmp_path: Path) -> None:
    (tmp_path / "broken.ttf").write_bytes(b"no font")
    for one in (tmp_path, tmp_path / "nowhere", tmp_path / "broken.ttf"):
        content, issues = write_pdf(USUAL, one)
        assert [issue.rule for issue in issues] == ["letter-fonts-unreadable"]
        assert content == write_pdf(USUAL)[0]
        assert str(tmp_path) not in str(issues)


# Never no letter, and nothing of it in an error


def failing(monkeypatch: pytest.MonkeyPatch, fails: Any, error: BaseException | None = None) -> None:
    """Let typst fail, with the letter in its words, where it is asked so."""
    compile_as_is = typst.compile

    def compiled(files: dict[str, bytes], **options: Any) -> Any:
        if fails(files, options):
            raise error or typst.TypstError(f"{MARK} can't be set", MARK)
        return compile_as_is(files, **options)

    monkeypatch.setattr(typst, "compile", compiled)


class PanicException(BaseException):
    """As a fault in typst comes."""


WAYS = {
    "the standards": (lambda _, options: options["pdf_standards"] and "letter.json", ["letter-not-archivable"]),
    "the pictures": (
        lambda files, _: any(name.startswith("picture-") for name in files),
        ["letter-not-archivable", "letter-pictures-left-out"],
    ),
    "the page": (
        lambda files, _: b"A letter on A4" in files["main.typ"],
        ["letter-not-archivable", "letter-pictures-left-out", "letter-not-set"],
    ),
}


@pytest.mark.parametrize("what", WAYS)
@pytest.mark.parametrize("error", [None, RuntimeError(MARK), PanicException(MARK)], ids=["typst's", "any", "a panic"])
def test_whatever_fails_there_is_a_letter(
    what: str, error: BaseException | None, monkeypatch: pytest.MonkeyPatch
) -> None:
    fails, said = WAYS[what]
    failing(
        monkeypatch, lambda files, options: fails(files, options) and b"Words, to see" not in files["main.typ"], error
    )
    content, issues = write_pdf(USUAL)
    assert [one.rule for one in issues] == said
    text = "".join(page.extract_text() for page in read(content).pages)
    for words in words_of(USUAL):
        assert squeezed(words) in squeezed(text)


def test_an_error_holds_nothing_of_the_letter(
    monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    failing(monkeypatch, lambda *_: True)
    with pytest.raises(dermreport.BuildError, match="take the letter as text or HTML") as refused:
        write_pdf(tree(note(MARK), name=MARK))
    assert refused.value.__cause__ is refused.value.__context__ is None
    assert MARK not in "".join(map(str, refused.value.args))
    printed = capfd.readouterr()
    assert printed.out + printed.err == ""
    assert "TypstError" not in "".join(traceback.format_exception(refused.value))


def test_who_stops_the_program_is_heard(monkeypatch: pytest.MonkeyPatch) -> None:
    failing(monkeypatch, lambda *_: True, KeyboardInterrupt())
    with pytest.raises(KeyboardInterrupt):
        write_pdf(USUAL)


def test_without_typst_the_error_names_the_command(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("typst", *[name for name in sys.modules if name.startswith("typst.")]):
        monkeypatch.setitem(sys.modules, name, None)
    with pytest.raises(dermreport.MissingExtraError, match=r"pip install 'dermreport\[letter\]'"):
        write_pdf(USUAL)


def test_every_rule_of_the_table_is_tried_here() -> None:
    with open(__file__, encoding="utf-8") as file:  # noqa: PTH123 - this file
        here = file.read()
    table = [rule for rule in vars(rules).values() if isinstance(rule, dermreport.issues.IssueRule)]
    assert len(table) == 8
    assert [rule.id for rule in table if f'"{rule.id}"' not in here] == []
