"""A dermatoscopic skin examination, checked, scored and written as HL7 FHIR resources.

::

    import dermreport

    exam = dermreport.Examination.from_json(text)      # exact; from_entry(...) for a partly filled form
    review = dermreport.review(exam)                   # answers, issues, scores, completeness, what is open
    report = dermreport.to_fhir(review, release="R4")  # the resources, in order
    bundle = report.bundle("transaction")              # .to_dict() .to_json() .to_xml() .typed()

It supports judgement and never replaces it. It is not a certified medical device.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

from dermreport.codings import ExtraCoding
from dermreport.examination.model import Examination, Visit
from dermreport.examination.people import Reference
from dermreport.issues import (
    BuildError,
    DermReportError,
    EntryError,
    Issue,
    MissingExtraError,
    PathwayError,
    SeriesError,
    SettingsError,
    Severity,
)
from dermreport.limits import Limits
from dermreport.pathway import Pathway
from dermreport.plugin import Plugins
from dermreport.settings import IdentifierSystems, Intent, PersonEntry, Settings

if TYPE_CHECKING:
    from dermreport.dicom_files.limits import DicomLimits
    from dermreport.doors.dicom.reading import DicomView, view_from_dicom
    from dermreport.doors.dicom.writing import WrittenView, view_into_dicom
    from dermreport.doors.hl7v2.message import CharacterSet, Message, Routing, to_hl7v2
    from dermreport.doors.table.tables import Table, TableKind, table
    from dermreport.examination.entry import Entry, from_entry
    from dermreport.examination.schema import json_schema
    from dermreport.examination.visits import VisitEntry, from_visit
    from dermreport.fhir import Bundle, BundleKind, Release, Report, to_fhir
    from dermreport.fhir.outcome import to_outcome
    from dermreport.fhir.read import Reading, from_fhir
    from dermreport.form.questionnaire import questionnaire
    from dermreport.form.reading import from_response
    from dermreport.form.response import form_json, to_response
    from dermreport.host_file import settings_from_toml
    from dermreport.http.door import http_app
    from dermreport.http.limits import HttpLimits
    from dermreport.languages.language import Language, language
    from dermreport.letter_file import LetterFile, LetterFormat, LetterKind
    from dermreport.letters.blocks import LetterPart
    from dermreport.letters.letter import letter
    from dermreport.letters.settings import LetterDetail, LetterSettings, Party, PicturePurpose, Reviewed
    from dermreport.letters.settings_file import letter_settings_from_toml
    from dermreport.over_time.comparison import Comparison, SeriesVerdict
    from dermreport.over_time.series import Series, series
    from dermreport.pathways.reading import pathway_from_toml, shipped_pathway, shipped_pathway_text
    from dermreport.plots import series_plot
    from dermreport.plugins.loading import load_plugins
    from dermreport.reviews.review import Review, review

#: Loaded on first use, so that the import stays light: the name, and the module that has it.
_ON_FIRST_USE = {
    "Bundle": "dermreport.fhir",
    "BundleKind": "dermreport.fhir",
    "CharacterSet": "dermreport.doors.hl7v2.message",
    "Comparison": "dermreport.over_time",
    "DicomLimits": "dermreport.dicom_files.limits",
    "DicomView": "dermreport.doors.dicom.reading",
    "Entry": "dermreport.examination.entry",
    "HttpLimits": "dermreport.http.limits",
    "Language": "dermreport.languages.language",
    "LetterDetail": "dermreport.letters.settings",
    "LetterFile": "dermreport.letter_file",
    "LetterFormat": "dermreport.letter_file",
    "LetterKind": "dermreport.letter_file",
    "LetterPart": "dermreport.letters.blocks",
    "LetterSettings": "dermreport.letters.settings",
    "Message": "dermreport.doors.hl7v2.message",
    "Party": "dermreport.letters.settings",
    "PicturePurpose": "dermreport.letters.settings",
    "Reading": "dermreport.fhir.read",
    "Release": "dermreport.fhir",
    "Report": "dermreport.fhir",
    "Review": "dermreport.reviews",
    "Reviewed": "dermreport.letters.settings",
    "Routing": "dermreport.doors.hl7v2.message",
    "Series": "dermreport.over_time",
    "SeriesVerdict": "dermreport.over_time",
    "Table": "dermreport.doors.table.tables",
    "TableKind": "dermreport.doors.table.tables",
    "VisitEntry": "dermreport.examination.visits",
    "WrittenView": "dermreport.doors.dicom.writing",
    "form_json": "dermreport.form.response",
    "from_entry": "dermreport.examination.entry",
    "from_fhir": "dermreport.fhir.read",
    "from_response": "dermreport.form.reading",
    "from_visit": "dermreport.examination.visits",
    "http_app": "dermreport.http.door",
    "json_schema": "dermreport.examination.schema",
    "language": "dermreport.languages.language",
    "letter": "dermreport.letters.letter",
    "letter_settings_from_toml": "dermreport.letters.settings_file",
    "load_plugins": "dermreport.plugins.loading",
    "pathway_from_toml": "dermreport.pathways.reading",
    "questionnaire": "dermreport.form.questionnaire",
    "review": "dermreport.reviews",
    "settings_from_toml": "dermreport.host_file",
    "shipped_pathway": "dermreport.pathways.reading",
    "shipped_pathway_text": "dermreport.pathways.reading",
    "series": "dermreport.over_time",
    "series_plot": "dermreport.plots",
    "table": "dermreport.doors.table.tables",
    "to_fhir": "dermreport.fhir",
    "to_hl7v2": "dermreport.doors.hl7v2.message",
    "to_outcome": "dermreport.fhir.outcome",
    "to_response": "dermreport.form.response",
    "view_from_dicom": "dermreport.doors.dicom.reading",
    "view_into_dicom": "dermreport.doors.dicom.writing",
}

__version__ = "0.1.0"

__all__ = [
    "BuildError",
    "Bundle",
    "BundleKind",
    "CharacterSet",
    "Comparison",
    "DermReportError",
    "DicomLimits",
    "DicomView",
    "Entry",
    "EntryError",
    "Examination",
    "ExtraCoding",
    "HttpLimits",
    "IdentifierSystems",
    "Intent",
    "Issue",
    "Language",
    "LetterDetail",
    "LetterFile",
    "LetterFormat",
    "LetterKind",
    "LetterPart",
    "LetterSettings",
    "Limits",
    "Message",
    "MissingExtraError",
    "Party",
    "Pathway",
    "PathwayError",
    "PersonEntry",
    "PicturePurpose",
    "Plugins",
    "Reading",
    "Reference",
    "Release",
    "Report",
    "Review",
    "Reviewed",
    "Routing",
    "Series",
    "SeriesError",
    "SeriesVerdict",
    "Settings",
    "SettingsError",
    "Severity",
    "Table",
    "TableKind",
    "Visit",
    "VisitEntry",
    "WrittenView",
    "__version__",
    "form_json",
    "from_entry",
    "from_fhir",
    "from_response",
    "from_visit",
    "http_app",
    "json_schema",
    "language",
    "letter",
    "letter_settings_from_toml",
    "load_plugins",
    "pathway_from_toml",
    "questionnaire",
    "review",
    "series",
    "series_plot",
    "settings_from_toml",
    "shipped_pathway",
    "shipped_pathway_text",
    "table",
    "to_fhir",
    "to_hl7v2",
    "to_outcome",
    "to_response",
    "view_from_dicom",
    "view_into_dicom",
]


if not TYPE_CHECKING:
    # Hidden from type checkers, so that they refuse a name that there isn't.
    def __getattr__(name: str) -> Any:  # noqa: ANN401 - the protocol's own type
        """Load a public name on first use."""
        if name not in _ON_FIRST_USE:
            raise AttributeError(f"module 'dermreport' has no attribute {name!r}")
        value = getattr(import_module(_ON_FIRST_USE[name]), name)
        globals()[name] = value
        return value


def __dir__() -> list[str]:
    """List the public names, loaded or not."""
    return __all__
