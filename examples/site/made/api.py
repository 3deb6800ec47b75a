"""The public names of the library, by what they are for; their texts are the docstrings."""

from __future__ import annotations

from collections.abc import Iterator

import dermreport
from made.markup import Page

FOLDER = "reference/api"
INDEX = f"{FOLDER}/index.md"
#: Title, and names in the order in which one meets them. Every public name stands in one group.
GROUPS: dict[str, tuple[str, tuple[str, ...]]] = {
    "records": (
        "Records and entries",
        ("Examination", "Visit", "Reference", "from_entry", "Entry", "from_visit", "VisitEntry", "json_schema"),
    ),
    "reviews": ("Reviews and series", ("review", "Review", "Issue", "Severity", "series", "Series", "SeriesVerdict")),
    "fhir": (
        "FHIR",
        ("to_fhir", "Report", "Bundle", "BundleKind", "Release", "to_outcome", "from_fhir", "Reading", "Limits"),
    ),
    "form": ("The form", ("questionnaire", "to_response", "from_response", "form_json")),
    "letters": (
        "Letters",
        (
            "letter",
            "LetterFile",
            "LetterKind",
            "LetterFormat",
            "LetterSettings",
            "LetterDetail",
            "LetterPart",
            "Party",
            "PicturePurpose",
            "Reviewed",
            "letter_settings_from_toml",
        ),
    ),
    "doors": (
        "HL7 v2, tables, DICOM, HTTP",
        (
            "to_hl7v2",
            "Message",
            "Routing",
            "CharacterSet",
            "table",
            "Table",
            "TableKind",
            "view_from_dicom",
            "DicomView",
            "view_into_dicom",
            "WrittenView",
            "DicomLimits",
            "http_app",
            "HttpLimits",
        ),
    ),
    "settings": (
        "Settings, pathways, languages",
        (
            "Settings",
            "settings_from_toml",
            "IdentifierSystems",
            "ExtraCoding",
            "Intent",
            "PersonEntry",
            "Pathway",
            "pathway_from_toml",
            "shipped_pathway",
            "shipped_pathway_text",
            "language",
            "Language",
        ),
    ),
    "errors": (
        "Errors",
        (
            "DermReportError",
            "EntryError",
            "PathwayError",
            "SettingsError",
            "SeriesError",
            "BuildError",
            "MissingExtraError",
        ),
    ),
}
#: What has no docstring of its own, or stands beside what has it.
_BESIDE = {"reviews": ("Comparison", "series_plot")}
#: What its classes hold is a page of its own.
_FIELDS = "\n\nIts fields, and those of all its parts: [JSON Schema](../json-schema.md)."
_AFTER = {"Examination": _FIELDS, "Visit": _FIELDS}
_ELSEWHERE = frozenset({"__version__"})


def names() -> dict[str, tuple[str, ...]]:
    """Return the names of each page.

    A public name that no group has stands on a page of its own kind, so that none is missing.
    """
    found = {key: (*group, *_BESIDE.get(key, ())) for key, (_, group) in GROUPS.items()}
    grouped = {name for group in found.values() for name in group} | _ELSEWHERE
    rest = tuple(name for name in dermreport.__all__ if name not in grouped)
    return found | ({"more": rest} if rest else {})


def pages() -> Iterator[Page]:
    """Return a page for each group, and the list of them."""
    titles = {key: title for key, (title, _) in GROUPS.items()} | {"more": "More"}
    lines = [
        f"- [{titles[key]}]({key}.md): " + ", ".join(f"[`{name}`]({key}.md#dermreport.{name})" for name in group)
        for key, group in names().items()
    ]
    yield Page(
        INDEX,
        "Python API",
        "Every public name of `dermreport`, with its docstring. What isn’t here is no promise; what is, is [kept by "
        "version](../../project/versions.md).\n\n" + "\n".join(lines),
    )
    for key, group in names().items():
        body = "\n\n".join(f"::: dermreport.{name}{_AFTER.get(name, '')}" for name in group)
        yield Page(f"{FOLDER}/{key}.md", titles[key], body)
