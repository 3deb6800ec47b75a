"""The examples as files to validate: each release, kind of bundle and format, with the settings that a test needs."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

from examples_output import previous

import dermreport
from dermreport.examination.reader import read_json
from dermreport.fhir.bundle import Bundle
from dermreport.settings import DEFAULTS, Settings

EXAMPLES = sorted((Path(__file__).parent.parent.parent / "examples").glob("*.json"))
KINDS = ("transaction", "collection", "document")
FORMATS = ("json", "xml")
RELEASES = ("R4", "R4B", "R5")


class Written(NamedTuple):
    """A file with a bundle of an example."""

    path: Path
    example: str
    kind: str
    format: str


def reviews_of(path: Path, settings: Settings = DEFAULTS) -> list[dermreport.Review]:
    """Return the reviews of an example: one, or one for each lesion of a visit."""
    value = read_json(path.read_bytes())
    if "lesions" in value:
        visit = dermreport.Visit.model_validate(value)
        return [dermreport.review(one, settings) for one in visit.examinations]
    return [dermreport.review(dermreport.Examination.model_validate(value), settings)]


def bundles(path: Path, release: str, settings: Settings = DEFAULTS) -> Iterator[tuple[str, Bundle]]:
    """Yield an example's bundles with their kinds; without a document where nobody could be its author."""
    reviews = reviews_of(path, settings)
    letters = [dermreport.letter(reviews, kind=kind) for kind in dermreport.LetterKind]
    report = dermreport.to_fhir(reviews, release=release, after=previous(path), letters=letters)
    authored = reviews[0].examination.examiner is not None
    for kind in KINDS if authored else KINDS[:2]:
        yield kind, report.bundle(kind)


def write_all(folder: Path, release: str, settings: Settings = DEFAULTS) -> list[Written]:
    """Write every example's bundles in both formats."""
    written = []
    for example in EXAMPLES:
        for kind, bundle in bundles(example, release, settings):
            for form in FORMATS:
                path = folder / f"{example.stem}.{kind}.{form}"
                path.write_text(bundle.to_json() if form == "json" else bundle.to_xml(), encoding="utf-8")
                written.append(Written(path, example.stem, kind, form))
    return written
