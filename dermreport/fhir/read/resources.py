"""Lesion, pictures, plan, advice and departures as an entry has them."""

from __future__ import annotations

from base64 import b64decode
from binascii import Error as Base64Error
from functools import cache
from typing import Any, Final

from dermreport.examination.base import Model
from dermreport.examination.decided import Action
from dermreport.examination.observed import Image, ImageConsent, ImageHash
from dermreport.fhir.extensions import Extension
from dermreport.fhir.read.contradictions import is_contradictory
from dermreport.fhir.read.either import (
    attachment,
    picture_note,
    picture_size,
    picture_taken,
    request_concept,
    request_reason,
)
from dermreport.fhir.read.parts import Json, codings, extended, extended_parts, first, objects, text
from dermreport.fhir.read.values import Coded, code_of, coded, coding_of, reference_of
from dermreport.vocabulary.hash_algorithms import HashAlgorithm
from dermreport.vocabulary.plan_actions import PlanAction
from dermreport.vocabulary.urgencies import Urgency

_DICOM: Final = "urn:dicom:uid"
_OID: Final = "urn:oid:"


def _given(made: Json) -> Json:
    return {name: value for name, value in made.items() if value is not None}


@cache
def _codes(owner: type[Model], name: str) -> Coded:
    return coded(owner, name)


def _extended_code(resource: Json, which: Extension, owner: type[Model], name: str) -> Any:  # noqa: ANN401 - any JSON
    coding = extended(resource, which, "valueCoding")
    return None if coding is None else coding_of(coding, _codes(owner, name))


def image(resource: Json, key: Any, view: Any) -> Json:  # noqa: ANN401 - keys, as received
    """Return a picture; ``view`` is the key of the view that points to it."""
    content = attachment(resource)
    named = extended(resource, Extension.VIEW_KEY, "valueString")
    return _given(
        {
            "key": key,
            "view": named if named is not None else view,
            "address": content.get("url"),
            "media_type": content.get("contentType"),
            "size_bytes": picture_size(resource),
            "hash": _hash(content),
            "role": _extended_code(resource, Extension.IMAGE_ROLE, Image, "role"),
            "scale": _extended_code(resource, Extension.IMAGE_SCALE, Image, "scale"),
            "taken": picture_taken(resource),
            "dicom_uid": _dicom_uid(resource),
            "consent": _consent(resource),
            "note": picture_note(resource),
        }
    )


def _hash(content: Json) -> Any:  # noqa: ANN401 - any JSON
    kept = extended_parts(content, Extension.HASH)
    if kept:
        algorithm, value = kept.get("algorithm", {}), kept.get("value", {})
        coding = coding_of(algorithm.get("valueCoding"), _codes(ImageHash, "algorithm"))
        return {"algorithm": coding, "value": value.get("valueString")}
    standard = content.get("hash")
    if type(standard) is not str:
        return standard
    try:
        return {"algorithm": HashAlgorithm.SHA_1.value, "value": b64decode(standard, validate=True).hex()}
    except (Base64Error, ValueError):
        return standard


def _dicom_uid(resource: Json) -> str | None:
    for identifier in objects(resource, "identifier"):
        value = text(identifier, "value")
        if identifier.get("system") == _DICOM and value is not None:
            return value.removeprefix(_OID)
    return None


def _consent(resource: Json) -> Json | None:
    told = extended_parts(resource, Extension.IMAGE_CONSENT)
    made: Json = {
        name: coding_of(told[name].get("valueCoding"), _codes(ImageConsent, name))
        for name in ("care", "teaching", "research")
        if name in told
    }
    for name, part, kind in (("recorded", "recorded", "valueDateTime"), ("given_by", "given-by", "valueString")):
        if part in told:
            made[name] = told[part].get(kind)
    return made or None


def action(resource: Json, key: Any) -> Json:  # noqa: ANN401 - a key, as received
    """Return a planned step: in our extensions, and where a server took them out in the standard's own elements."""
    interval = extended_parts(resource, Extension.PLAN_INTERVAL)
    owner = extended(resource, Extension.RESULT_OWNER, "valueReference")
    performer = first(resource, "performer")
    return _given(
        {
            "key": key,
            "action": _action_code(request_concept(resource)),
            "urgency": _urgency(resource),
            **(
                {name: part.get("valueDateTime") for name, part in interval.items() if name in _INTERVAL}
                or _occurrence(resource)
            ),
            "responsible": reference_of(performer) if performer else None,
            "reason": request_reason(resource),
            "histology": _extended_code(resource, Extension.HISTOLOGY_REQUESTED, Action, "histology"),
            "result_owner": reference_of(owner) if type(owner) is dict else owner,
            "result_by": extended(resource, Extension.RESULT_BY, "valueDateTime"),
            "if_not_attended": extended(resource, Extension.IF_NOT_ATTENDED, "valueString"),
            "note": first(resource, "note").get("text"),
        }
    )


_INTERVAL: Final = frozenset(("date", "earliest", "latest"))


def _action_code(concept: Json) -> Any:  # noqa: ANN401 - a code, somebody else's code, or what was received
    """Return what is to be done; of several of ours the first of the table, in which referrals come first.

    A step is never lost because it is also called something else.
    """
    what = _codes(Action, "action")
    if is_contradictory(concept):
        given = {code for system, code in codings(concept) if system == what.system}
        named = next((one.value for one in PlanAction if one.value in given), None)
        if named is not None:
            return named
    return code_of(concept, what)


def _soonest(priority: Any) -> Urgency | None:  # noqa: ANN401 - any JSON
    """Return the most urgent word that goes out with a priority of FHIR."""
    return max((one for one in Urgency if one.fhir_priority == priority), key=lambda one: one.rank, default=None)


def is_stopped(request: Json) -> bool:
    """Return whether a request says that its step isn't wanted, or not yet: in any of its modifier elements."""
    return (
        text(request, "status") not in _GOES_ON
        or text(request, "intent") not in _IS_ASKED
        or request.get("doNotPerform", False) is not False
    )


#: Status of a request that stands, or was carried out.
_GOES_ON: Final = frozenset(("active", "completed", "entered-in-error"))
#: Intents by which something is asked or planned; a proposal and an option ask for nothing yet.
_IS_ASKED: Final = frozenset(
    ("plan", "order", "original-order", "reflex-order", "filler-order", "instance-order", "directive")
)


def urgency_differs(resource: Json) -> bool:
    """Return whether a request's priority isn't that of its urgency."""
    given = _extended_code(resource, Extension.URGENCY, Action, "urgency")
    priority = resource.get("priority")
    if given is None or priority is None:
        return False
    word = _word(given)
    return word is None or priority != word.fhir_priority


def _urgency(resource: Json) -> Any:  # noqa: ANN401 - any JSON
    """Return how soon: the word that was sent, unless the priority says sooner, for nothing is ever downgraded."""
    given = _extended_code(resource, Extension.URGENCY, Action, "urgency")
    by_priority = _soonest(resource.get("priority"))
    word = _word(given)
    if by_priority is None:
        return given
    if word is None or (urgency_differs(resource) and by_priority.rank > word.rank):
        return by_priority.value
    return word.value


def _word(given: Any) -> Urgency | None:  # noqa: ANN401 - any JSON
    return _WORDS.get(given) if type(given) is str else None


_WORDS: Final = {one.value: one for one in Urgency}


def _occurrence(resource: Json) -> Json:
    """Return when, as the standard's own elements say it."""
    period = first(resource, "occurrencePeriod")
    given = {
        "date": resource.get("occurrenceDateTime"),
        "earliest": period.get("start"),
        "latest": period.get("end"),
    }
    return _given(given)


_ADVICE: Final = (
    ("watch_for", "watch-for", "valueString"),
    ("by_when", "by-when", "valueDateTime"),
    ("contact", "contact", "valueString"),
    ("heard_by", "heard-by", "valueDateTime"),
)


def safety_net(resource: Json) -> Json:
    """Return the advice that was given."""
    told = extended_parts(resource, Extension.SAFETY_NET)
    return {name: told[part].get(kind) for name, part, kind in _ADVICE if part in told}


def departure(resource: Json, key: Any) -> Json:  # noqa: ANN401 - a key, as received
    """Return where the plan departs from a rule or score, and why."""
    return _given(
        {
            "key": key,
            "departs_from": first(resource, "code").get("text"),
            "reason": first(first(resource, "mitigation"), "action").get("text"),
        }
    )


def entry_rank(resource: Json) -> int | None:
    """Return the place of an item in its list."""
    rank = extended(resource, Extension.ENTRY_RANK, "valuePositiveInt")
    return rank if type(rank) is int else None
