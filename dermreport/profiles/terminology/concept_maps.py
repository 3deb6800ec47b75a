"""ConceptMaps: our terms to SNOMED CT, LOINC and DICOM, with every relation, sent or not.

R4 and R5 differ in words and in point of view. R4's equivalence says what the target is, seen from the source
(https://hl7.org/fhir/R4/valueset-concept-map-equivalence.html); R5's relationship says what the source is, seen from
the target (https://hl7.org/fhir/R5/valueset-concept-map-relationship.html). Our own table says what the standard
concept is, seen from our term, as R4 does.

R4's own list of DICOM codes is older than some that we map to, so those stand in the map of R5 alone.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final, NamedTuple

from dermreport.fhir.canonical import head
from dermreport.fhir.releases import Release, shape_of
from dermreport.profiles.terminology.notices import notice
from dermreport.publication import VOCABULARY_VERSION
from dermreport.vocabulary.mapping import MAPPINGS, Mapping, Relation
from dermreport.vocabulary.standard_codes import DICOM, LOINC, SNOMED_CT
from dermreport.vocabulary.term import code_system

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from dermreport.vocabulary.term import Term


class _Target(NamedTuple):
    """A terminology to which our terms are mapped."""

    identity: str
    name: str
    system: str


_TARGETS: Final = (
    _Target("to-dicom", "DICOM", DICOM),
    _Target("to-loinc", "LOINC", LOINC),
    _Target("to-snomed-ct", "SNOMED CT", SNOMED_CT),
)

_EQUIVALENCE: Final = {
    Relation.EQUIVALENT: "equivalent",
    Relation.BROADER: "wider",
    Relation.NARROWER: "narrower",
    Relation.RELATED: "relatedto",
}
_RELATIONSHIP: Final = {
    Relation.EQUIVALENT: "equivalent",
    Relation.BROADER: "source-is-narrower-than-target",
    Relation.NARROWER: "source-is-broader-than-target",
    Relation.RELATED: "related-to",
}
_MEANS: Final = {
    Relation.EQUIVALENT: "It means the same as our term",
    Relation.BROADER: "It is wider: whatever is ours is this too",
    Relation.NARROWER: "It is narrower: our term says less than this",
    Relation.RELATED: "It is related, and our term doesn’t imply it",
}


def concept_maps(release: Release) -> list[dict[str, Any]]:
    """Return the ConceptMaps, sorted by id: one for each terminology, a group for each of our tables."""
    return [_to(target, release) for target in _TARGETS]


def _to(target: _Target, release: Release) -> dict[str, Any]:
    return head(
        "ConceptMap",
        target.identity,
        f"Our terms in {target.name}",
        f"Which codes of {target.name} our terms correspond to, and how closely. A code is sent beside ours only where "
        "our term implies it; a suspected cancer implies no disorder. That a code exists is known from the source that "
        "stands with it; how closely it corresponds is our judgement.",
        {
            "copyright": notice((target.system,)),
            "group": [
                {"source": code_system(table), "target": target.system, "element": elements}
                for table, rows in MAPPINGS.items()
                if (elements := list(_elements(rows.items(), target, release)))
            ],
        },
        VOCABULARY_VERSION,
    )


def _elements(
    rows: Iterable[tuple[Term, tuple[Mapping, ...]]], target: _Target, release: Release
) -> Iterator[dict[str, Any]]:
    unlisted = shape_of(release).unlisted
    for term, mappings in rows:
        targets = [
            _target(one, release) for one in mappings if one.system == target.system and one.code not in unlisted
        ]
        if targets:
            yield {"code": term.value, "display": term.display, "target": targets}


def _target(mapping: Mapping, release: Release) -> dict[str, Any]:
    relation = (
        {"relationship": _RELATIONSHIP[mapping.relation]}
        if release is Release.R5
        else {"equivalence": _EQUIVALENCE[mapping.relation]}
    )
    return {
        "code": mapping.code,
        "display": mapping.display,
        **relation,
        "comment": f"{_MEANS[mapping.relation]}. {'Sent beside our code' if mapping.implied else 'Not sent'}. "
        f"The code is known so: {mapping.basis.text}",
    }
