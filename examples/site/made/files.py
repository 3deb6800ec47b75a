"""What is published as files: FHIR packages' content, views, requirements, schemas."""

from __future__ import annotations

from collections import Counter
from html import escape

from made.included import FILES_PAGE, ROOT
from made.markup import Page, Row, table

PAGE = FILES_PAGE


def page() -> Page:
    """Return the page."""
    published = ROOT / "profiles"
    releases = sorted(path.name for path in published.glob("r*") if path.is_dir())
    kinds = {
        release: Counter(path.name.partition("-")[0] for path in (published / release).glob("*.json"))
        for release in releases
    }
    every = sorted({kind for found in kinds.values() for kind in found})
    rows = [Row((escape(kind), *(str(kinds[release][kind]) for release in releases))) for kind in every]
    views = sorted(path.relative_to(ROOT).as_posix() for path in (published / "views").rglob("*.*"))
    return Page(
        PAGE,
        "Published files",
        "The folder `profiles/` of the source holds what receivers install, one file each, with examples of every "
        "profile. `dermreport profiles pack` writes them as a FHIR package.\n\n"
        + table(("Kind", *(release.upper() for release in releases)), rows)
        + "\n\n[[file profiles/requirements.csv]] numbers every SHALL and names its test. Views for SQL-on-FHIR: "
        + ", ".join(f"[[file {name}]]" for name in views)
        + ".\n",
    )
