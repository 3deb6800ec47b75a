"""Writes what is published into ``profiles/``: ``python tests/profiles_output.py``; a test compares."""

from __future__ import annotations

import shutil
from pathlib import Path

from requirement_cases import EXAMPLE_FOLDER, reviews_of

from dermreport.fhir.releases import Release
from dermreport.profiles.artefacts import artefacts, file_name, file_text
from dermreport.profiles.structures.example_resources import example_resources
from dermreport.profiles.structures.requirements import FILE_NAME, csv_text
from dermreport.profiles.structures.tables import profile_id
from dermreport.profiles.views import view_files

PROFILES = Path(__file__).parent.parent / "profiles"
VIEWS = PROFILES / "views"


def folder(release: Release) -> Path:
    return PROFILES / release.value.lower()


def files(release: Release) -> dict[str, str]:
    """Each file of a release by its path within the release's folder."""
    reports = [reviews_of(path) for path in sorted(EXAMPLE_FOLDER.glob("*.json"))]
    examples = example_resources(reports, release)
    return {
        **{file_name(one): file_text(one) for one in artefacts(release)},
        **{f"examples/{profile_id(name)}.json": file_text(one) for name, one in examples.items()},
    }


def written(home: Path) -> dict[str, str]:
    """Each file that is in a folder, the same way."""
    return {
        path.relative_to(home).as_posix(): path.read_text(encoding="utf-8")
        for path in sorted(home.rglob("*"))
        if path.is_file()
    }


def write() -> None:
    (PROFILES / FILE_NAME).write_text(csv_text(), encoding="utf-8", newline="\n")
    folders = {folder(release): files(release) for release in Release} | {VIEWS: view_files()}
    for home, made in folders.items():
        shutil.rmtree(home, ignore_errors=True)
        for name, text in made.items():
            path = home / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text, encoding="utf-8", newline="\n")
        print(f"{home.name}: {len(made)} files")


if __name__ == "__main__":
    write()
