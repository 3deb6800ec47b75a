"""What comes out of each example, as files a person can read, in a folder beside it.

``python tests/examples_output.py`` writes them anew; ``test_examples.py`` compares.
"""

from __future__ import annotations

import io
from contextlib import redirect_stdout
from dataclasses import replace
from pathlib import Path

import msgspec
from lxml import etree

import dermreport
from dermreport import cli
from dermreport.examination.reader import read_json
from dermreport.vocabulary.action_kinds import ActionKind
from dermreport.vocabulary.plan_actions import PlanAction

EXAMPLES = Path(__file__).parent.parent / "examples"
ENTRIES = sorted(EXAMPLES.glob("*.json"))
#: Examples that also lie there as a message of HL7 v2, a segment a line: one lesion, and three of one visit.
MESSAGES = {"usual", "visit-three-lesions"}
#: Examples that go on from another one of the same lesion, which their reports point to; and the last of the series,
#: which shows them all.
PREVIOUS = {
    "lower-back-after-3-months": "lower-back-watched-with-baseline",
    "lower-back-after-6-months": "lower-back-after-3-months",
    "lower-back-after-9-months": "lower-back-after-6-months",
}
LAST_OF_SERIES = "lower-back-after-9-months"


def previous(path: Path) -> dermreport.Review | None:
    """Return the review of the previous examination of an example's lesion, where there is one."""
    name = PREVIOUS.get(path.stem)
    if name is None:
        return None
    return dermreport.review(dermreport.Examination.from_json(path.with_name(f"{name}.json").read_bytes()))


def series_paths() -> list[Path]:
    """Return the examples of one lesion."""
    return [EXAMPLES / f"{name}.json" for name in (*PREVIOUS.values(), LAST_OF_SERIES)]


def examinations(path: Path) -> tuple[dermreport.Examination, ...]:
    """Return the examinations of an example: one, or those of a visit."""
    text = path.read_bytes()
    if "lesions" in read_json(text):
        return dermreport.Visit.from_json(text).examinations
    return (dermreport.Examination.from_json(text),)


def printed(*arguments: str) -> str:
    """Return what the command line prints, with the example's name in place of its path."""
    out = io.StringIO()
    with redirect_stdout(out):
        cli.main([*arguments])
    return out.getvalue().replace(str(EXAMPLES) + "/", "")


def table(reviews: list[dermreport.Review], kind: str) -> str:
    """Return a table as CSV, with the line ends of the other files."""
    out = io.StringIO()
    dermreport.table(reviews, kind).write_csv(out)
    return out.getvalue().replace("\r\n", "\n")


#: Examples whose letters also lie there in German: a harmless one, a suspected one, one with a pathologist's result.
GERMAN = {"usual", "back-melanoma-suspected-referred", "calf-excised-with-histology"}
#: Who reviewed the German of the examples' letters: nobody did, and the name is invented.
REVIEWED = dermreport.Reviewed(by="Dr. Example", on="2026-12-01")
#: The practice of the examples' letters: invented.
PRACTICE = dermreport.Party(
    name="Harbour Lane Practice",
    lines=("2 Harbour Lane", "00000 Sampleton"),
    phone="+00 555 0100",
    email="desk@clinic.example",
)
LETTERS = dermreport.LetterSettings(sender=PRACTICE, recipient=dermreport.Party(name="Skin clinic, Example Hospital"))


def kinds(reviews: list[dermreport.Review]) -> list[str]:
    """Return the kinds of letters of an example: one to the pathologist where a specimen is taken."""
    return ["referral", "patient", *(["pathologist"] if any(specimens(one) for one in reviews) else [])]


def letters(reviews: list[dermreport.Review]) -> dict[str, str]:
    """Return each letter in text by its file name."""
    short = {
        f"letter.{kind}.txt": dermreport.letter(reviews, kind=kind, settings=LETTERS).text for kind in kinds(reviews)
    }
    complete = dermreport.letter(reviews, settings=replace(LETTERS, detail="complete"))
    return {**short, "letter.referral.complete.txt": complete.text}


def german_letters(reviews: list[dermreport.Review]) -> dict[str, str]:
    """Return each letter in German by its file name; only the patient's copy asks for a reviewer."""
    german = replace(LETTERS, language="de")
    given = {"patient": replace(german, reviewed=REVIEWED)}
    return {
        f"letter.{kind}.de.txt": dermreport.letter(reviews, kind=kind, settings=given.get(kind, german)).text
        for kind in kinds(reviews)
    }


def specimens(review: dermreport.Review) -> bool:
    """Return whether a step of the plan takes a specimen."""
    plan = review.examination.plan
    kinds = {one.action.kind for one in plan.actions if isinstance(one.action, PlanAction)} if plan else set()
    return bool(kinds & {ActionKind.TISSUE_WHOLE, ActionKind.TISSUE_PART})


def outputs(path: Path) -> dict[str, str]:
    """Return each output of an example by its file name."""
    reviews = [dermreport.review(examination) for examination in examinations(path)]
    after = previous(path)
    r4 = dermreport.to_fhir(reviews, release="R4", after=after).bundle("transaction").to_json()
    r5 = dermreport.to_fhir(reviews, release="R5", after=after).bundle("collection").to_xml()
    pretty = etree.tostring(etree.fromstring(r5.encode()), pretty_print=True, encoding="unicode")
    message = {}
    series = {}
    if path.stem == LAST_OF_SERIES:
        found = dermreport.series([dermreport.review(one) for each in series_paths() for one in examinations(each)])
        names = [str(each) for each in series_paths()]
        series = {"series.txt": printed("series", *names), "series.svg": dermreport.series_plot(found)}
    if path.stem in MESSAGES:
        message = {"hl7v2.txt": dermreport.to_hl7v2(reviews).text.replace("\r", "\n")}
    return {
        **message,
        **series,
        **letters(reviews),
        **(german_letters(reviews) if path.stem in GERMAN else {}),
        "check.txt": printed("check", str(path)),
        "score.txt": printed("score", str(path)),
        "r4.transaction.json": msgspec.json.format(r4, indent=1) + "\n",
        "r5.collection.xml": pretty,
        "visits.csv": table(reviews, "visits"),
        "findings.csv": table(reviews, "findings"),
    }


def main() -> None:
    """Write the outputs of all examples."""
    for path in ENTRIES:
        folder = path.with_suffix("")
        folder.mkdir(exist_ok=True)
        for name, text in outputs(path).items():
            (folder / name).write_text(text, encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
