"""Letters as PDF in veraPDF, the reference checker of the standards for archives and for accessibility.

PDF/UA-1 (ISO 14289-1) and PDF/A-2a (ISO 19005-2), each with all checks that a machine can do.
"""

from __future__ import annotations

import json
import subprocess
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from conformance import building, engine
from examples_output import ENTRIES, LETTERS, examinations
from letter_trees import TREES, USUAL, WITHOUT_GLYPHS

import dermreport
from dermreport.letter_file import LetterKind
from dermreport.letters.pdf import write_pdf
from dermreport.letters.pdf.page import page_of
from dermreport.letters.pdf.setting import READABLE, pdf_of, typefaces
from dermreport.letters.rules import LETTER_RULES
from dermreport.letters.settings import LetterDetail

pytestmark = pytest.mark.skipif(not engine.asked_for(), reason=engine.HOW)

_PROJECT = Path(__file__).parent / "pdf"
_JAR = _PROJECT / "target" / "pdf.jar"
_READABLE, _KEPT = "ua1", "2a"


def _checked(folder: Path, files: dict[str, bytes]) -> dict[str, dict[str, Any]]:
    """Return for each file, by its name, what veraPDF says of each profile."""
    building.maven(_PROJECT, _JAR)
    paths = []
    for number, content in enumerate(files.values()):
        path = folder / f"{number}.pdf"
        path.write_bytes(content)
        paths.append(str(path))
    done = subprocess.run(
        ["java", "-jar", str(_JAR)],
        input="\n".join(paths),
        stdout=subprocess.PIPE,
        text=True,
        encoding="utf-8",
        check=True,
    )
    return dict(zip(files, map(json.loads, done.stdout.splitlines()), strict=True))


def test_every_letter_keeps_both_standards(tmp_path: Path) -> None:
    """Letters built by hand in both layouts, and those of all examples: each kind, short and complete."""
    letters = {
        f"{name}, {kind}": write_pdf(replace(letter, kind=kind))
        for name, letter in TREES.items()
        for kind in (LetterKind.REFERRAL, LetterKind.PATIENT)
        if letter.written
    }
    for path in ENTRIES:
        reviews = [dermreport.review(one) for one in examinations(path)]
        for kind in LetterKind:
            for detail in LetterDetail:
                made = dermreport.letter(reviews, kind=kind, format="pdf", settings=replace(LETTERS, detail=detail))
                # What the record lacks is no fault of the file.
                lacks = {one.id for one in LETTER_RULES}
                issues = tuple(one for one in made.issues if one.rule not in lacks)
                letters[f"{path.stem}, {kind}, {detail}"] = (made.content, issues)
    assert {name for name, (_, issues) in letters.items() if issues} == set()
    for name, said in _checked(tmp_path, {name: content for name, (content, _) in letters.items()}).items():
        assert (name, said[_READABLE]["failures"], said[_KEPT]["failures"]) == (name, [], [])
        assert said[_READABLE]["compliant"]
        assert said[_KEPT]["compliant"]
        # All of the file was looked at.
        assert min(said[_READABLE]["checks"], said[_KEPT]["checks"]) > 500


def test_a_letter_without_a_day_can_still_be_read_aloud(tmp_path: Path) -> None:
    (said,) = _checked(tmp_path, {"bare": write_pdf(TREES["bare"])[0]}).values()
    assert said[_READABLE]["failures"] == []
    assert "6.6.4-1" in {one.split()[0] for one in said[_KEPT]["failures"]}


def test_a_letter_that_breaks_a_standard_is_found(tmp_path: Path) -> None:
    """What is said to be kept would otherwise be kept by a checker that finds nothing."""
    page = page_of(USUAL)
    without = {
        "no standard": pdf_of("letter", page.as_files(), typefaces(None)),
        "no archive": pdf_of("letter", page.as_files(), typefaces(None), standards=READABLE),
        "no glyph": write_pdf(WITHOUT_GLYPHS["Chinese"])[0],
        "no title": write_pdf(USUAL)[0].replace(b"/DisplayDocTitle true", b"/DisplayDocTitle null"),
    }
    assert all(without.values())
    said = _checked(tmp_path, {name: content or b"" for name, content in without.items()})
    broken = {
        name: {profile: sorted({one.split()[0] for one in of["failures"]}) for profile, of in each.items()}
        for name, each in said.items()
    }
    assert broken["no standard"] == {_READABLE: ["5-1", "7.1-10"], _KEPT: ["6.6.4-1"]}
    # The other two are on the name of PDF/UA in the metadata, which PDF/A wants described.
    assert broken["no archive"] == {_READABLE: [], _KEPT: ["6.6.2.3.1-1", "6.6.2.3.1-2", "6.6.4-1"]}
    # Clauses on the glyph .notdef: ISO 14289-1, 7.21.8; ISO 19005-2, 6.2.11.8.
    assert "7.21.8-1" in broken["no glyph"][_READABLE]
    assert "6.2.11.8-1" in broken["no glyph"][_KEPT]
    assert broken["no title"] == {_READABLE: ["7.1-10"], _KEPT: []}
