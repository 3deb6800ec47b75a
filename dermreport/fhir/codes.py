"""Codes as FHIR has them: ours first, then the standard codes that it implies, then the text.

The dicts made here are shared by all resources of a report; whoever hands one out copies it.
"""

from __future__ import annotations

from functools import lru_cache
from itertools import product
from typing import TYPE_CHECKING, Any, Final, TypeAlias

from dermreport.codings import is_fhir_code
from dermreport.examination.base import OtherCode
from dermreport.fhir.extensions import Extension, extension
from dermreport.publication import CANONICAL_BASE
from dermreport.vocabulary.atypical_naevus_counts import AtypicalNaevusCount
from dermreport.vocabulary.blood_thinners import BloodThinner
from dermreport.vocabulary.comparisons import Comparison
from dermreport.vocabulary.consistencies import Consistency
from dermreport.vocabulary.family_histories import FamilyHistory
from dermreport.vocabulary.genetic_syndromes import GeneticSyndrome
from dermreport.vocabulary.immune_suppressions import ImmuneSuppression
from dermreport.vocabulary.lights import Light
from dermreport.vocabulary.mapping import standard_codes
from dermreport.vocabulary.naevus_counts import NaevusCount
from dermreport.vocabulary.node_states import NodeState
from dermreport.vocabulary.pregnancies import Pregnancy
from dermreport.vocabulary.presences import Presence
from dermreport.vocabulary.replies import Reply
from dermreport.vocabulary.sexes import Sex
from dermreport.vocabulary.standard_codes import DICOM, LOINC, SNOMED_CT
from dermreport.vocabulary.structures import Structure
from dermreport.vocabulary.term import Term, code_system
from dermreport.wording.names import structure_words

if TYPE_CHECKING:
    from collections.abc import Callable

    from dermreport.codings import ExtraCoding
    from dermreport.plugin import Row
    from dermreport.settings import Settings

TERMINOLOGY: Final = "http://terminology.hl7.org/CodeSystem"
ABSENT_REASON_URL: Final = "http://hl7.org/fhir/StructureDefinition/data-absent-reason"

#: Codes of rules and criteria: not tables of terms, but ids of other rooms.
RULE_SYSTEM: Final = f"{CANONICAL_BASE}/CodeSystem/rule"
CRITERION_SYSTEM: Final = f"{CANONICAL_BASE}/CodeSystem/criterion"

#: Answers that say why there is no answer, as FHIR's data-absent-reason. In one table no reason is used twice, so
#: that a reader can tell the answer from the reason.
ABSENT_REASONS: Final[dict[Any, dict[Any, str]]] = {
    Presence: {Presence.NOT_ASSESSED: "not-performed"},
    Light: {Light.UNKNOWN: "unknown"},
    Reply: {Reply.UNKNOWN: "asked-unknown"},
    Sex: {Sex.UNKNOWN: "unknown"},
    Pregnancy: {Pregnancy.UNKNOWN: "asked-unknown", Pregnancy.NOT_APPLICABLE: "not-applicable"},
    FamilyHistory: {FamilyHistory.UNKNOWN: "asked-unknown"},
    GeneticSyndrome: {GeneticSyndrome.UNKNOWN: "asked-unknown"},
    ImmuneSuppression: {ImmuneSuppression.UNKNOWN: "asked-unknown"},
    BloodThinner: {BloodThinner.UNKNOWN: "asked-unknown"},
    NaevusCount: {NaevusCount.UNKNOWN: "not-performed"},
    AtypicalNaevusCount: {AtypicalNaevusCount.UNKNOWN: "not-performed"},
    Comparison: {Comparison.NOT_COMPARED: "not-performed"},
    Consistency: {Consistency.NOT_FELT: "not-performed"},
    NodeState: {NodeState.NOT_FELT_FOR: "not-performed"},
}

_ABSENT_DISPLAYS: Final = {
    "unknown": "Unknown",
    "asked-unknown": "Asked But Unknown",
    "not-performed": "Not Performed",
    "not-applicable": "Not Applicable",
}


def fixed(system: str, code: str, display: str) -> dict[str, Any]:
    """Return a concept of one standard code: for elements that a standard binds."""
    return {"coding": [{"system": system, "code": code, "display": display}]}


ABSENT: Final = {
    code: fixed(f"{TERMINOLOGY}/data-absent-reason", code, display) for code, display in _ABSENT_DISPLAYS.items()
}
UNKNOWN_PRIMITIVE: Final[dict[str, Any]] = {"extension": [{"url": ABSENT_REASON_URL, "valueCode": "unknown"}]}


def coding(term: Term) -> dict[str, Any]:
    """Return our coding of a term."""
    return {"system": code_system(type(term)), "code": term.value, "display": term.display}


class Codes:
    """Concepts of our terms in one release, with the codings that a host wants beside ours; each is made once.

    A row of a table is one object that lives as long as the program, so what is made of it is kept by its identity:
    rows of two tables with the same code are equal as text.
    """

    def __init__(
        self,
        unlisted: frozenset[str],
        left_out: frozenset[str],
        extra: tuple[ExtraCoding, ...],
        rows: tuple[tuple[str, Row], ...] = (),
    ) -> None:
        """Take the standard codes that the release doesn't list, the systems that aren't sent, and what stands beside.

        Args:
            unlisted: Standard codes that the release doesn't list.
            left_out: Systems that aren't sent.
            extra: Codes beside ours.
            rows: Rows of plugins, each with its system.
        """
        self._unlisted = unlisted
        self._left_out = left_out
        self._extra = extra
        self._rows = {(system, row.code): row for system, row in rows}
        self._concepts: dict[int, dict[str, Any]] = {}
        self._answers: dict[int, tuple[str, dict[str, Any]]] = {}

    def concept(self, code: Term | OtherCode) -> dict[str, Any]:
        """Return the concept of a term, or of somebody else's code by itself."""
        made = self._concepts.get(id(code))
        if made is not None:
            return made
        if isinstance(code, OtherCode):
            return self._other(code)
        return self._concepts.setdefault(id(code), self._made(code))

    def _other(self, code: OtherCode) -> dict[str, Any]:
        """Return the concept of somebody else's code; a plugin's row has its other codes beside it.

        The row's display is the text where the entry gives none: as the coding's own it would be read back as entered.
        """
        row = self._rows.get((code.system, code.code))
        beside = row.codings if row is not None else ()
        codings = [other_coding(one) for one in (code, *(one for one in beside if one.system not in self._left_out))]
        return {"coding": codings, "text": code.display or (row.display if row is not None else code.code)}

    def _made(self, term: Term) -> dict[str, Any]:
        standard = [
            {"system": one.system, "code": one.code, "display": one.display}
            for one in standard_codes(term)
            if one.code not in self._unlisted and one.system not in self._left_out
        ]
        text = structure_words(term) if isinstance(term, Structure) else term.display
        extra = [other_coding(one.coding) for one in self._extra if one.of is term]
        known = {(one["system"], one["code"]) for one in standard}
        added = [one for one in extra if (one["system"], one.get("code")) not in known]
        return {"coding": [coding(term), *standard, *added], "text": text}

    def answer(self, code: Term | OtherCode) -> tuple[str, dict[str, Any]]:
        """Return a code as an Observation has it: a value, or the reason why there is none."""
        made = self._answers.get(id(code))
        if made is not None:
            return made
        if isinstance(code, OtherCode):
            return "valueCodeableConcept", self._other(code)
        reason = ABSENT_REASONS.get(type(code), _NONE).get(code)
        made = ("valueCodeableConcept", self.concept(code)) if reason is None else ("dataAbsentReason", ABSENT[reason])
        return self._answers.setdefault(id(code), made)


_NONE: Final[dict[Any, str]] = {}


def other_coding(code: OtherCode) -> dict[str, Any]:
    """Return somebody else's coding; a code that FHIR's type can't hold is kept as it was entered."""
    made: dict[str, Any] = {"system": code.system}
    if code.version is not None:
        made["version"] = code.version
    if is_fhir_code(code.code) is not None:
        made["code"] = code.code
    else:
        made["_code"] = {"extension": [extension(Extension.AS_ENTERED, "valueString", code.code)]}
    if code.display is not None:
        made["display"] = code.display
    return made


def any_coding(code: Term | OtherCode) -> dict[str, Any]:
    """Return one coding for an extension: ours, or somebody else's."""
    return other_coding(code) if isinstance(code, OtherCode) else coding(code)


_Maker: TypeAlias = (
    "Callable[[frozenset[str], frozenset[str], tuple[ExtraCoding, ...], tuple[tuple[str, Row], ...]], Codes]"
)
#: Hosts with codings of their own whose concepts are kept at once, in each release.
_HOSTS: Final = 64


@lru_cache(maxsize=_HOSTS)
def _made_once(
    kind: _Maker,
    unlisted: frozenset[str],
    left_out: frozenset[str],
    extra: tuple[ExtraCoding, ...],
    rows: tuple[tuple[str, Row], ...],
) -> Codes:
    return kind(unlisted, left_out, extra, rows)


def codes(settings: Settings, unlisted: frozenset[str] = frozenset(), kind: _Maker = Codes) -> Codes:
    """Return the concepts of one release with the codings that a host wants: the same for equal settings.

    Args:
        settings: The host's settings.
        unlisted: Standard codes that the release doesn't list.
        kind: How answers are written.
    """
    left_out = _LEFT_OUT[settings.snomed, settings.loinc, settings.dicom]
    return _made_once(kind, unlisted, left_out, _extra(settings, left_out), settings.plugins.rows)


def _extra(settings: Settings, left_out: frozenset[str]) -> tuple[ExtraCoding, ...]:
    """Return what stands beside ours: what a host gives itself always, what plugins bring where its system is sent."""
    if not settings.plugins.loaded or not left_out:
        return settings.codings
    own = len(settings.extra_codings)
    return (*settings.extra_codings, *(one for one in settings.codings[own:] if one.system not in left_out))


#: By whether SNOMED CT, LOINC and DICOM are sent: the systems that aren't.
_LEFT_OUT: Final = {
    sent: frozenset(system for system, one in zip((SNOMED_CT, LOINC, DICOM), sent, strict=True) if not one)
    for sent in product((False, True), repeat=3)
}
