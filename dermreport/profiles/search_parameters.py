"""SearchParameters where the standard has none: what belongs to a lesion or to a report.

A report points to its lesion by an extension, and what is planned and told points to the report; no search of the
standard follows these. Chaining goes on from there, as ``DiagnosticReport?lesion.identifier=…``.
"""

from __future__ import annotations

from typing import Any, Final, NamedTuple

from dermreport.fhir.canonical import canonical, head
from dermreport.fhir.releases import Release, shape_of


class Search(NamedTuple):
    """One search of ours.

    Attributes:
        base: Resource type that is searched.
        code: Name of the search.
        target: Resource type to which it leads.
        title: What it finds, as a title.
        words: What it finds.
    """

    base: str
    code: str
    target: str
    title: str
    words: str

    @property
    def identity(self) -> str:
        """Its id, made as the standard makes those of its own."""
        return f"{self.base}-{self.code}"

    @property
    def url(self) -> str:
        """Its address."""
        return canonical("SearchParameter", self.identity)


_LESION: Final = Search(
    "DiagnosticReport",
    "lesion",
    "BodyStructure",
    "Reports on a lesion",
    "Reports on this lesion, of every visit: by the lesion itself, or chained by its identifier or site.",
)
_EARLIER: Final = Search(
    "DiagnosticReport",
    "earlier-report",
    "DiagnosticReport",
    "Reports that go on from an earlier one",
    "Reports that name this one as an earlier report of the same lesion.",
)
_ADVICE: Final = Search(
    "Communication",
    "report",
    "DiagnosticReport",
    "What was told after a report",
    "Advice that was given to the patient and belongs to this report.",
)
_PLANNED: Final = Search(
    "ServiceRequest",
    "report",
    "DiagnosticReport",
    "What was planned after a report",
    "Steps that were planned in this report: referrals, removals, monitoring.",
)

#: All of them, sorted by id.
SEARCHES: Final = (_ADVICE, _EARLIER, _LESION, _PLANNED)


def search_parameters(release: Release) -> list[dict[str, Any]]:
    """Return the SearchParameters, sorted by id."""
    return [_made(one, release) for one in SEARCHES]


def expression(search: Search, release: Release) -> str:
    """Return where a search looks, in FHIRPath, in the words of a release."""
    shape = shape_of(release)
    if search is _LESION:
        url = shape.report_lesion({})["url"]
        return f"DiagnosticReport.extension.where(url = '{url}').value.ofType(Reference)"
    if search is _EARLIER:
        extensions = shape.earlier_report({}).get("extension")
        if extensions is None:
            return "DiagnosticReport.supportingInfo.reference.where(resolve() is DiagnosticReport)"
        return f"DiagnosticReport.extension.where(url = '{extensions[0]['url']}').value.ofType(Reference)"
    if search is _PLANNED:
        within = "" if release is not Release.R5 else ".reference"
        return f"ServiceRequest.supportingInfo{within}.where(resolve() is DiagnosticReport)"
    return "Communication.about.where(resolve() is DiagnosticReport)"


def _made(search: Search, release: Release) -> dict[str, Any]:
    made = head(
        "SearchParameter",
        search.identity,
        search.title,
        search.words,
        {
            "code": search.code,
            "base": [search.base],
            "type": "reference",
            "expression": expression(search, release),
            # R5 asks how an expression is used (spd-1); R4 has no such element.
            "processingMode": "normal" if release is Release.R5 else None,
            "target": [search.target],
        },
    )
    if release is not Release.R5:
        # R4 gives a SearchParameter no title: https://hl7.org/fhir/R4/searchparameter.html.
        del made["title"]
    return made
