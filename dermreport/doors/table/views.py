"""The views over FHIR resources from which a query makes the tables: one row here is one column of a view.

The paths keep to the part of FHIRPath that the SQL-on-FHIR specification, version 2.0.0, asks of every engine for
shared views (https://sql-on-fhir.org/ig/2.0.0/StructureDefinition-ShareableViewDefinition.html). No view has a name, a
birth date or free text.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple

from dermreport.fhir.codes import TERMINOLOGY
from dermreport.fhir.extensions import Extension
from dermreport.fhir.releases import shape_of
from dermreport.vocabulary.attributes import Attribute
from dermreport.vocabulary.documents import Document
from dermreport.vocabulary.score_methods import ScoreMethod
from dermreport.vocabulary.structures import Structure
from dermreport.vocabulary.term import code_system

if TYPE_CHECKING:
    from dermreport.fhir.releases import Release
    from dermreport.vocabulary.term import Term

#: Name of the constant that holds the address of the code system of attributes, which most paths need.
ATTRIBUTE_CONSTANT: Final = "attribute"
_ATTRIBUTE: Final = f"%{ATTRIBUTE_CONSTANT}"


class ViewColumn(NamedTuple):
    """One column of a view: its name, its FHIRPath, FHIR's type of it, and what it says."""

    name: str
    path: str
    type: str
    description: str


class View(NamedTuple):
    """One view over resources of one type.

    Attributes:
        name: Its name, also as a table of a database.
        resource: The resource type.
        description: What one row is.
        where: FHIRPath that a resource must fulfil.
        columns: Columns of the resource.
        each: FHIRPath of the parts that give a row each; ``""`` where a resource gives one row.
        each_columns: Columns of such a part.
    """

    name: str
    resource: str
    description: str
    where: str
    columns: tuple[ViewColumn, ...]
    each: str = ""
    each_columns: tuple[ViewColumn, ...] = ()


def _of(term: Term) -> str:
    """Return the condition that a coding is this term."""
    system = _ATTRIBUTE if isinstance(term, Attribute) else f"'{code_system(type(term))}'"
    return f"system = {system} and code = '{term.value}'"


def _is(term: Term) -> str:
    """Return the condition that the code of a resource or component is this term."""
    return f"code.coding.where({_of(term)}).exists()"


def _codes(name: str, path: str, means: str) -> tuple[ViewColumn, ViewColumn]:
    """Return system and code of a concept: the first coding is the recorded one, ours or somebody else's."""
    return (
        ViewColumn(f"{name}_system", f"{path}.coding.first().system", "uri", f"Code system of: {means}"),
        ViewColumn(name, f"{path}.coding.first().code", "code", means),
    )


def _part(attribute: Attribute) -> str:
    return f"component.where({_is(attribute)})"


def _coded_part(name: str, attribute: Attribute, means: str) -> tuple[ViewColumn, ViewColumn]:
    """Return system and code of a component, and nothing where the observation has none such."""
    return _codes(name, f"{_part(attribute)}.value.ofType(CodeableConcept)", means)


def _number_part(name: str, attribute: Attribute, means: str) -> ViewColumn:
    path = f"{_part(attribute)}.value.ofType(Quantity).value"
    return ViewColumn(name, path, "decimal", means)


def _reason(path: str = "") -> ViewColumn:
    """Return why there is no answer, by the standard's code."""
    found = f"{path}dataAbsentReason.coding.where(system = '{TERMINOLOGY}/data-absent-reason').code.first()"
    return ViewColumn("absent_reason", found, "code", "Why there is no answer, by FHIR’s code.")


_KEY: Final = ViewColumn("observation_key", "getResourceKey()", "string", "Key of the Observation.")
_VALUE: Final = "value.ofType(CodeableConcept)"
_KEY_EXTENSION: Final = f"extension('{Extension.ENTRY_KEY.url}').value.ofType(string)"


def _report(release: Release) -> View:
    lesion = shape_of(release).report_lesion({})["url"]
    return View(
        "dermoscopy_report",
        "DiagnosticReport",
        "A report of a dermatoscopic examination of one lesion.",
        _is(Document.DERMOSCOPY_REPORT),
        (
            ViewColumn("report_key", "getResourceKey()", "string", "Key of the report."),
            ViewColumn("patient_key", "subject.getReferenceKey()", "string", "Key of the patient."),
            ViewColumn(
                "lesion_key",
                f"extension('{lesion}').value.ofType(Reference).getReferenceKey().first()",
                "string",
                "Key of the lesion.",
            ),
            ViewColumn("identifier_system", "identifier.first().system", "uri", "System of the examination’s number."),
            ViewColumn("identifier_value", "identifier.first().value", "string", "The examination’s number."),
            ViewColumn("report_status", "status", "code", "FHIR’s status: preliminary while an error stands."),
            ViewColumn(
                "status",
                f"extension('{Extension.ENTRY_STATUS.url}').value.ofType(code)",
                "code",
                "Status as recorded.",
            ),
            ViewColumn(
                "revision",
                f"extension('{Extension.ENTRY_REVISION.url}').value.ofType(positiveInt)",
                "positiveInt",
                "Revision of the examination.",
            ),
            ViewColumn("examined", "effective.ofType(dateTime)", "dateTime", "When the lesion was looked at."),
            ViewColumn("summary", "conclusionCode.first().coding.first().code", "code", "One word on the whole."),
        ),
    )


_REPORT_RESULT: Final = View(
    "dermoscopy_report_result",
    "DiagnosticReport",
    "What a report points to: panels, scores, impressions and outcomes.",
    _is(Document.DERMOSCOPY_REPORT),
    (ViewColumn("report_key", "getResourceKey()", "string", "Key of the report."),),
    "result",
    (ViewColumn("observation_key", "getReferenceKey()", "string", "Key of the Observation."),),
)
_PANEL_MEMBER: Final = View(
    "dermoscopy_panel_member",
    "Observation",
    "What a panel of a report holds.",
    " or ".join(f"({_is(panel)})" for panel in (Attribute.FINDINGS, Attribute.HISTORY, Attribute.ASSESSMENT)),
    (ViewColumn("panel_key", "getResourceKey()", "string", "Key of the panel."),),
    "hasMember",
    (ViewColumn("observation_key", "getReferenceKey()", "string", "Key of the member."),),
)
_LESION: Final = View(
    "dermoscopy_lesion",
    "BodyStructure",
    "A lesion.",
    f"morphology.coding.where({_of(Document.SKIN_LESION)}).exists()",
    (
        ViewColumn("lesion_key", "getResourceKey()", "string", "Key of the lesion."),
        ViewColumn("identifier_system", "identifier.first().system", "uri", "System of the lesion’s number."),
        ViewColumn("identifier_value", "identifier.first().value", "string", "The lesion’s number."),
    ),
)
_STATEMENT: Final = View(
    "dermoscopy_statement",
    "Observation",
    "What an examination states on one item: site, size, elevation, history, concern and the like.",
    f"code.coding.where(system = {_ATTRIBUTE}).exists()",
    (
        _KEY,
        ViewColumn(
            "item", f"code.coding.where(system = {_ATTRIBUTE}).code.first()", "code", "What it is about, by our code."
        ),
        *_codes("answer", _VALUE, "The answer."),
        _reason(),
        ViewColumn("number", "value.ofType(Quantity).value", "decimal", "The answer, where it is a number."),
        ViewColumn("truth", "value.ofType(boolean)", "boolean", "The answer, where it is yes or no."),
        *_coded_part("side", Attribute.SIDE, "Side of the site."),
        _number_part("longest_mm", Attribute.LONGEST_DIAMETER, "Longest diameter in millimetres."),
        _number_part("crosswise_mm", Attribute.CROSSWISE_DIAMETER, "Diameter at right angles in millimetres."),
    ),
)
_VIEW: Final = View(
    "dermoscopy_view",
    "Observation",
    "A look through the dermatoscope in one light.",
    _is(Attribute.VIEW),
    (
        _KEY,
        *_codes("light", _VALUE, "The light; empty where it isn’t known."),
        *_coded_part("contact", Attribute.CONTACT, "Whether the faceplate touched the skin."),
        *_coded_part("covers", Attribute.COVERAGE, "Whether the whole lesion is in the field."),
        _number_part("magnification", Attribute.MAGNIFICATION, "Optical magnification, times."),
    ),
)
_LIST: Final = View(
    "dermoscopy_list",
    "Observation",
    "A list that was gone through.",
    _is(Attribute.LIST_GONE_THROUGH),
    (_KEY, *_codes("gone_through", _VALUE, "Which list.")),
)
_STRUCTURE: Final = code_system(Structure)
_LIST_ITEM: Final = View(
    "dermoscopy_list_item",
    "Observation",
    "An item of a list that was gone through, which no finding names.",
    _is(Attribute.LIST_GONE_THROUGH),
    (_KEY,),
    f"component.where(code.coding.where(system = '{_STRUCTURE}').exists())",
    (
        *_codes("structure", "code", "The structure."),
        *_codes("presence", _VALUE, "What it counts as."),
        _reason(),
        ViewColumn(
            "because",
            f"extension('{Extension.NOT_ASSESSED_BECAUSE.url}').value.ofType(Coding).code",
            "code",
            "Why it isn’t assessed, or why an absent one counts as uncertain.",
        ),
    ),
)


def _in_light(name: str, code: str) -> ViewColumn:
    light = f"{_part(Attribute.LIGHT)}.where(value.ofType(CodeableConcept).coding.where(code = '{code}').exists())"
    return ViewColumn(name, f"{light}.exists()", "boolean", f"Whether a view that shows it is in {code} light.")


_FINDING: Final = View(
    "dermoscopy_finding",
    "Observation",
    "A finding: one structure at one place, with what it counts as.",
    f"category.coding.where({_of(Attribute.FINDING)}).exists()",
    (
        _KEY,
        *_codes("structure", "code", "The structure."),
        *_codes("presence", _VALUE, "What it counts as."),
        _reason(),
        *_coded_part("place", Attribute.PLACE, "Where in the lesion."),
        *_coded_part("recorded", Attribute.RECORDED_ANSWER, "The clinician’s answer, where it counts otherwise."),
        *_coded_part("because", Attribute.NOT_ASSESSED_BECAUSE, "Why it isn’t assessed."),
        *_coded_part("distribution", Attribute.DISTRIBUTION, "How it is spread."),
        *_coded_part("regularity", Attribute.REGULARITY, "Whether it is even."),
        _number_part("number", Attribute.COUNT, "How many."),
        _number_part("area_percent", Attribute.AREA, "Share of the lesion’s area, per cent."),
        _number_part("size_mm", Attribute.STRUCTURE_SIZE, "Measured size of one, millimetres."),
        _in_light("polarised", "polarised"),
        _in_light("non_polarised", "non-polarised"),
    ),
)
_COLOUR: Final = View(
    "dermoscopy_colour",
    "Observation",
    "A colour of the lesion as a whole, a doubtful one, or one of a finding.",
    " or ".join(f"{_part(one)}.exists()" for one in (Attribute.COLOUR, Attribute.DOUBTFUL_COLOUR)),
    (
        _KEY,
        *_codes("about", "code", "The structure that has it, or that it is a colour of the lesion as a whole."),
        *_codes("presence", _VALUE, "What the structure counts as."),
        *_coded_part("place", Attribute.PLACE, "Where in the lesion the structure is."),
    ),
    f"component.where(code.coding.where(system = {_ATTRIBUTE} and "
    f"(code = '{Attribute.COLOUR.value}' or code = '{Attribute.DOUBTFUL_COLOUR.value}')).exists())",
    (
        ViewColumn("sort", "code.coding.first().code", "code", "Whether it was seen or is doubtful."),
        *_codes("colour", _VALUE, "The colour."),
    ),
)
_METHOD: Final = code_system(ScoreMethod)
_SCORE: Final = View(
    "dermoscopy_score",
    "Observation",
    "A score of one method: its total, or lowest and highest possible total.",
    f"code.coding.where(system = '{_METHOD}').exists()",
    (
        _KEY,
        ViewColumn("method", f"code.coding.where(system = '{_METHOD}').code.first()", "code", "The method."),
        ViewColumn("total", "value.ofType(Quantity).value", "decimal", "The total, where it is settled."),
        ViewColumn("low", "value.ofType(Range).low.value", "decimal", "Lowest possible total, where it isn’t."),
        ViewColumn("high", "value.ofType(Range).high.value", "decimal", "Highest possible total, where it isn’t."),
        *_coded_part("verdict", Attribute.VERDICT, "On which side of the method’s threshold."),
    ),
)
_IMPRESSION: Final = View(
    "dermoscopy_impression",
    "Observation",
    "What the clinician takes the lesion for.",
    _is(Attribute.IMPRESSION),
    (
        _KEY,
        *_codes("impression", _VALUE, "What it is taken for."),
        *_coded_part("certainty", Attribute.CERTAINTY, "How sure the clinician is."),
        _number_part("rank", Attribute.RANK, "The clinician’s order, 1 is the likeliest."),
    ),
)
_OUTCOME: Final = View(
    "dermoscopy_outcome",
    "Observation",
    "What became known later.",
    _is(Attribute.OUTCOME),
    (
        _KEY,
        ViewColumn("entry_key", _KEY_EXTENSION, "string", "The entry’s own key."),
        *_codes("sort", _VALUE, "Histology, opinion or monitoring."),
        ViewColumn("known", "effective.ofType(dateTime)", "dateTime", "When it became known."),
        *_coded_part("result", Attribute.HISTOLOGY_RESULT, "The pathologist’s result."),
        *_coded_part("specimen", Attribute.SPECIMEN_EXTENT, "Whether the whole lesion or a part was examined."),
        _number_part("thickness_mm", Attribute.TUMOUR_THICKNESS, "Breslow thickness, millimetres."),
        *_coded_part("change", Attribute.CHANGE_SEEN, "What the comparison showed."),
        _number_part("days", Attribute.DAYS_SINCE_BASELINE, "Days between the pictures compared."),
        *_coded_part("agreement", Attribute.AGREEMENT, "Whether it agrees with the assessment."),
    ),
)


def _plan(release: Release) -> View:
    code = ".".join(("code", *shape_of(release).request_code({})))
    ranked = f"extension('{Extension.ENTRY_RANK.url}').value.ofType(positiveInt)"
    urgency = f"extension('{Extension.URGENCY.url}').value.ofType(Coding)"
    return View(
        "dermoscopy_plan",
        "ServiceRequest",
        "A planned step; it bears the number of its examination.",
        f"extension('{Extension.ENTRY_RANK.url}').exists() and extension('{Extension.ENTRY_KEY.url}').exists()",
        (
            ViewColumn("request_key", "getResourceKey()", "string", "Key of the request."),
            ViewColumn("identifier_system", "requisition.system", "uri", "System of the examination’s number."),
            ViewColumn("identifier_value", "requisition.value", "string", "The examination’s number."),
            ViewColumn("status", "status", "code", "FHIR’s status of the request."),
            ViewColumn("rank", ranked, "positiveInt", "Its place in the plan."),
            *_codes("action", code, "What is to be done."),
            ViewColumn("urgency", f"{urgency}.code", "code", "How soon."),
        ),
    )


def views(release: Release) -> tuple[View, ...]:
    """Return the views over the resources of a release."""
    return (
        _report(release),
        _REPORT_RESULT,
        _PANEL_MEMBER,
        _LESION,
        _STATEMENT,
        _VIEW,
        _LIST,
        _LIST_ITEM,
        _FINDING,
        _COLOUR,
        _SCORE,
        _IMPRESSION,
        _OUTCOME,
        _plan(release),
    )
