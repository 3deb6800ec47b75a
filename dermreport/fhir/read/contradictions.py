"""What says two things at once: nobody can tell which is meant, whatever comes first, so neither is read.

FHIR lets several codings stand in one concept where they mean the same, and one value in an Observation (obs-6: none
beside the reason why there is none). Codings of others that aren't known here are taken for such translations; what is
known here to mean something else is a contradiction.
"""

from __future__ import annotations

from functools import cache
from typing import Final, NamedTuple

from dermreport.fhir.codes import codes
from dermreport.fhir.read.parts import Json, codings, first, objects, text
from dermreport.publication import CANONICAL_BASE
from dermreport.settings import DEFAULTS
from dermreport.vocabulary.earlier_cancers import EarlierCancer
from dermreport.vocabulary.histology_results import HistologyResult
from dermreport.vocabulary.impressions import Impression
from dermreport.vocabulary.mapping import MAPPINGS, Relation
from dermreport.vocabulary.plan_actions import PlanAction
from dermreport.vocabulary.presences import Presence
from dermreport.vocabulary.replies import Reply
from dermreport.vocabulary.sites import Site
from dermreport.vocabulary.structures import Structure
from dermreport.vocabulary.term import Term, code_system

#: Tables in which one term can include another: a standard code of the wider one contradicts nothing.
_INCLUDING: Final = frozenset((Site, Structure, Impression, HistologyResult, EarlierCancer, PlanAction))
_OURS: Final = f"{CANONICAL_BASE}/"
#: Answers that say that something is there, and that it isn't.
_THERE: Final = frozenset((Presence.PRESENT.value, Reply.YES.value))
_NOT_THERE: Final = frozenset((Presence.ABSENT.value, Reply.NO.value))
#: Codes of http://terminology.hl7.org/CodeSystem/v3-ObservationInterpretation (FHIR R4 and R5, value set
#: observation-interpretation, from memory) that may stand beside such an answer.
_MAY_BE_THERE: Final = frozenset(("POS", "DET", "A", "AA", "H", "HH", "SIG"))
_MAY_NOT_BE_THERE: Final = frozenset(("NEG", "ND", "N"))


def values_of(holder: Json) -> list[str]:
    """Return the names of the elements that give an Observation or component a value, or say why it has none."""
    return [name for name in holder if name[:5] == "value" or name == "dataAbsentReason"]


def is_contradictory(concept: Json) -> bool:
    """Return whether the codings of a concept, or its words, mean different things."""
    # One of ours exactly as we write it: most are, and nothing finds it out faster.
    return not as_written(concept) and _contradicts_itself(concept)


def as_written(concept: Json) -> bool:
    """Return whether a concept is one of ours exactly as we write it."""
    try:
        own = concept["coding"][0]
        return bool(concept == _meanings()[own["system"]].concepts[own["code"]])
    except (LookupError, TypeError):
        # Whatever stands there, it isn't what we write.
        return False


def has_other_words(concept: Json) -> bool:
    """Return whether the words beside a code of ours are neither those that we write nor the coding's own."""
    for one in objects(concept, "coding"):
        system, code = one.get("system"), one.get("code")
        meaning = _meanings().get(system) if type(system) is str else None
        written = meaning.concepts.get(code) if meaning is not None and type(code) is str else None
        if written is not None:
            own = written["coding"][0]["display"]
            given = one.get("display", own), concept.get("text", own)
            return given[0] != own or given[1] not in (own, written["text"])
    return False


def is_known_component(code: Json) -> bool:
    """Return whether a component is one that is written here."""
    for system, own in codings(code):
        table = _meanings().get(system) if system is not None else None
        if table is not None and own in table.known:
            return True
    return False


def _is_anothers(concept: Json) -> bool:
    """Return whether a concept has one coding, in no table of ours: nothing is known here that contradicts it."""
    given = concept.get("coding")
    own = given[0] if type(given) is list and len(given) == 1 else None
    return type(own) is dict and text(own, "system") not in _meanings()


def _contradicts_itself(concept: Json) -> bool:
    given = objects(concept, "coding")
    ours = {
        (system, text(one, "code"))
        for one in given
        if type(system := one.get("system")) is str and system.startswith(_OURS)
    }
    if len(ours) != 1:
        return len(ours) > 1
    ((own, code),) = ours
    meaning = _meanings().get(own)
    if meaning is None or code not in meaning.known:
        return False
    return meaning.says_another(code, text(concept, "text")) or any(
        meaning.contradicts(code, one, own) for one in given
    )


class _Meaning:
    """What codes and words mean in one of our tables.

    Attributes:
        known: The codes.
        concepts: The concept of each as we write it.
        excluding: Whether one term of the table excludes the others.
        standard: For each standard code those of ours beside which it may stand.
    """

    def __init__(self, table: type[Term]) -> None:
        concept = codes(DEFAULTS).concept
        self.concepts = {term.value: concept(term) for term in table}
        self.known = frozenset(term.value for term in table)
        self._codes_of: dict[str, set[str]] = {}
        for term in table:
            self._codes_of.setdefault(term.display.casefold(), set()).add(term.value)
        self.standard: dict[tuple[str | None, str | None], set[str]] = {}
        self.excluding = table not in _INCLUDING
        if not self.excluding:
            return
        rows = [(term.value, one) for term, several in MAPPINGS.get(table, {}).items() for one in several]
        if table is Presence:
            rows += [
                ((Presence.PRESENT if reply is Reply.YES else Presence.ABSENT).value, one)
                for reply, several in MAPPINGS.get(Reply, {}).items()
                if reply in {Reply.YES, Reply.NO}
                for one in several
            ]
        equivalent = {(one.system, one.code) for _, one in rows if one.relation is Relation.EQUIVALENT}
        for code, one in rows:
            if one.implied and (one.system, one.code) in equivalent:
                self.standard.setdefault((one.system, one.code), set()).add(code)

    def says_another(self, code: str, word: str | None) -> bool:
        """Return whether a word is that of other terms alone."""
        codes_of_word = self._codes_of.get(word.casefold()) if word is not None else None
        return codes_of_word is not None and code not in codes_of_word

    def contradicts(self, code: str, coding: Json, own: str) -> bool:
        """Return whether a coding beside one of ours, or the display of ours itself, means something else."""
        display = text(coding, "display")
        if coding.get("system") == own:
            return self.says_another(code, display)
        # A standard's name for something wider can be ours for another term.
        return self.excluding and (
            self.says_another(code, display)
            or code not in self.standard.get((text(coding, "system"), text(coding, "code")), (code,))
        )


@cache
def _meanings() -> dict[str | None, _Meaning]:
    return {code_system(table): _Meaning(table) for table in Term.__subclasses__()}


def says_two_things(holder: Json) -> bool:
    """Return whether an Observation or component has two values, or one that contradicts itself."""
    if len(values_of(holder)) > 1:
        return True
    concept = first(holder, "valueCodeableConcept")
    if concept and is_contradictory(concept):
        return True
    interpretations = objects(holder, "interpretation")
    return bool(interpretations) and not _fits(concept, interpretations)


def _fits(concept: Json, interpretations: list[Json]) -> bool:
    """Return whether interpretations may stand beside an answer; one that isn't known here fits no «absent»."""
    answers = {code for system, code in codings(concept) if (system or "").startswith(_OURS)}
    said = {code for one in interpretations for _, code in codings(one)}
    if answers & _NOT_THERE:
        return bool(said) and said <= _MAY_NOT_BE_THERE
    return not (answers & _THERE and said & _MAY_NOT_BE_THERE)


class Looked(NamedTuple):
    """What was found in an Observation.

    Attributes:
        contradictory: Whether it contradicts itself anywhere.
        plain: Whether all its concepts are ours exactly as we write them: nobody need look at their words.
    """

    contradictory: bool
    plain: bool


def looked_through(observation: Json) -> Looked:
    """Return whether an Observation contradicts itself, and whether somebody else's words can stand in it."""
    contradictory, plain = False, True
    for holder in (observation, *objects(observation, "component")):
        code, value = first(holder, "code"), first(holder, "valueCodeableConcept")
        if code and not as_written(code):
            plain = False
            contradictory = contradictory or _contradicts_itself(code)
        if value and not as_written(value) and not _is_anothers(value):
            plain = plain and not any(system in _meanings() for system, _ in codings(value))
            contradictory = contradictory or _contradicts_itself(value)
        # Beside its code most have one member alone.
        several = len(holder) > 1 + bool(code)
        contradictory = contradictory or (several and len(values_of(holder)) > 1)
        if "interpretation" in holder:
            interpretations = objects(holder, "interpretation")
            contradictory = contradictory or (bool(interpretations) and not _fits(value, interpretations))
        plain = plain and bool(code)
    return Looked(contradictory, plain)


def contradictions_of(observation: Json) -> bool:
    """Return whether an Observation contradicts itself anywhere."""
    return looked_through(observation).contradictory
