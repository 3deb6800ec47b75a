"""What the concepts of our CodeSystems say beyond names and definition: one table of properties for each table of rows.

A property that names a row of the same table is of FHIR's type ``code``; one that names a row of another table is a
``Coding``, as the standard asks (https://hl7.org/fhir/R4/codesystem.html, concept properties).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from dermreport.fhir.codes import coding
from dermreport.vocabulary.finding_lists import FindingList
from dermreport.vocabulary.histology_results import HistologyResult
from dermreport.vocabulary.implied_concerns import ImpliedConcern
from dermreport.vocabulary.impressions import Impression
from dermreport.vocabulary.map_regions import MapRegion
from dermreport.vocabulary.plan_actions import PlanAction
from dermreport.vocabulary.sites import Site
from dermreport.vocabulary.structures import Structure
from dermreport.vocabulary.urgencies import Urgency

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from dermreport.vocabulary.term import Term

_CONCEPT_PROPERTIES: Final = "http://hl7.org/fhir/concept-properties"
_REQUEST_PRIORITY: Final = "http://hl7.org/fhir/request-priority"


@dataclass(frozen=True, slots=True)
class Property:
    """One property of the concepts of a table.

    Attributes:
        code: Its code.
        kind: FHIR's type of its value: ``code``, ``Coding``, ``string``, ``boolean`` or ``integer``.
        means: What it says.
        read: Its values for one row, in an order that stays; none where the row has none.
        uri: Its formal definition, where the standard has one.
    """

    code: str
    kind: str
    means: str
    read: Callable[[Any], Iterable[Any]]
    uri: str = ""

    def declared(self) -> dict[str, Any]:
        """Return the property as a CodeSystem declares it."""
        uri = {"uri": self.uri} if self.uri else {}
        return {"code": self.code, **uri, "description": self.means, "type": self.kind}

    def given(self, row: object) -> list[dict[str, Any]]:
        """Return the property's values for one row."""
        element = f"value{self.kind[0].upper()}{self.kind[1:]}"
        return [{"code": self.code, element: value} for value in self.read(row)]


def attribute(name: str) -> Callable[[Any], Iterable[Any]]:
    """Return a reader of one attribute, without a value where it is ``None`` or empty."""
    return lambda row: () if getattr(row, name) in (None, "") else (getattr(row, name),)


def _basis(name: str) -> Callable[[Any], Iterable[str]]:
    return lambda row: (getattr(row, name).text,)


def _one_term(name: str) -> Callable[[Any], Iterable[Any]]:
    return lambda row: () if getattr(row, name) is None else (coding(getattr(row, name)),)


def _terms(name: str) -> Callable[[Any], Iterable[Any]]:
    """Return a reader of several terms: in the row's order, or in their table's where the row has a set of them."""

    def read(row: object) -> Iterable[Any]:
        given = getattr(row, name)
        if isinstance(given, frozenset):
            given = [term for table in {type(term) for term in given} for term in table if term in given]
        return [coding(term) for term in given]

    return read


def _codes(name: str) -> Callable[[Any], Iterable[str]]:
    return lambda row: [term.value for term in getattr(row, name)]


def _parent(row: Any) -> Iterable[str]:  # noqa: ANN401 - a row of any table that has parents
    return () if row.parent is None else (row.parent.value,)


def _parents(means: str) -> Property:
    return Property("parent", "code", means, _parent, f"{_CONCEPT_PROPERTIES}#parent")


#: What every row says: how it is known.
_KNOWN: Final = Property(
    "known", "string", "How the row is known: read in a source, from memory, or common practice.", _basis("basis")
)

#: What the rows of one table say beyond code, names, definition and how they are known.
_PROPERTIES: Final[dict[type[Term], tuple[Property, ...]]] = {
    Structure: (
        Property("descriptive-name", "string", "Its name in the descriptive terminology.", attribute("descriptive")),
        Property("metaphoric-name", "string", "Its name in the metaphoric terminology.", attribute("metaphoric")),
        Property("element", "Coding", "The element that it is made of.", _one_term("element")),
        Property("kind", "Coding", "What sort of finding it is.", _one_term("kind")),
        Property("depth", "Coding", "How deep in the skin it lies.", _one_term("depth")),
        Property("depth-known", "string", "How the depth is known.", _basis("depth_basis")),
        Property("light", "Coding", "Which light shows it.", _one_term("light")),
        Property("light-known", "string", "How the fit of the light is known.", _basis("light_basis")),
        Property("reading-style", "Coding", "The skin in which it has a meaning.", _terms("reading_styles")),
        Property("reading-style-known", "string", "How the reading styles are known.", _basis("styles_basis")),
        Property("pigmented", "boolean", "Whether it is made of melanin by definition.", attribute("pigmented")),
        Property("implied-colour", "Coding", "A colour that its definition fixes.", _terms("implied_colours")),
        _parents("The wider structure that it is a kind of."),
        Property(
            "any-of",
            "code",
            "A part: where one is present a composite is; where all are absent a pattern isn’t.",
            _codes("any_of"),
        ),
        Property(
            "all-of",
            "code",
            "A part: where all are present a composite is; where one is absent a pattern isn’t.",
            _codes("all_of"),
        ),
    ),
    Site: (
        Property("laterality", "Coding", "Whether it lies on a side.", _one_term("laterality")),
        Property("reading-style", "Coding", "How a lesion in it is read.", _one_term("reading_style")),
        Property(
            "second-reading-style",
            "Coding",
            "Another way of reading, where two kinds of skin meet.",
            _one_term("second_style"),
        ),
        Property("head-and-neck", "boolean", "Whether it belongs to head and neck.", attribute("head_and_neck")),
        Property("map-region", "Coding", "Its region on the body map.", _one_term("map_region")),
        Property("trait", "Coding", "What is special about it.", _terms("traits")),
        _parents("The wider site that it is part of."),
    ),
    Impression: (
        Property("group", "Coding", "Family of the name.", _one_term("group")),
        Property(
            "concern", "Coding", "What the name implies, apart from the clinician’s concern.", _one_term("concern")
        ),
        Property("specific", "boolean", "Whether it names one recognisable entity.", attribute("specific")),
        Property(
            "melanoma-possible",
            "boolean",
            "Whether melanoma is suspected or can’t be excluded under this name.",
            attribute("melanoma_possible"),
        ),
        Property("expectation", "string", "What usually follows.", attribute("expectation")),
        Property("histology", "string", "When a pathologist’s result is expected.", attribute("histology")),
    ),
    HistologyResult: (
        Property("concern", "Coding", "What the result implies about the lesion.", _one_term("concern")),
    ),
    PlanAction: (Property("kind", "Coding", "What the step does for the lesion.", _one_term("kind")),),
    ImpliedConcern: (Property("rank", "integer", "Order of the rows; higher is more worrying.", attribute("rank")),),
    Urgency: (
        Property("rank", "integer", "Order in time; higher is sooner.", attribute("rank")),
        Property(
            "request-priority",
            "Coding",
            "FHIR’s priority of a request that is as urgent.",
            lambda row: ({"system": _REQUEST_PRIORITY, "code": row.fhir_priority},),
        ),
    ),
    FindingList: (
        Property("structure", "Coding", "An item of the list, in the order of looking.", _terms("structures")),
    ),
    MapRegion: (Property("map", "Coding", "A drawing on which it can be marked, the best first.", _terms("maps")),),
}


def properties(table: type[Term]) -> tuple[Property, ...]:
    """Return the properties of the rows of a table."""
    return (*_PROPERTIES.get(table, ()), _KNOWN)
