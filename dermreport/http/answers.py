"""Resources and refusals as bytes, in the media type that is asked for."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from dermreport.fhir.write import to_json, to_xml
from dermreport.http import media
from dermreport.http.messages import Answer

if TYPE_CHECKING:
    from http import HTTPStatus

    from dermreport.profiles.operations.refusals import Refusal


def answer(status: HTTPStatus, resource: dict[str, Any], accepts: str, rule: str = "") -> Answer:
    """Write a resource as it is asked for; one that stands in for bytes of another kind is JSON."""
    name = accepts if accepts in media.RESOURCE_TYPES else media.FHIR_JSON
    text = to_xml(resource) if name in media.AS_XML else to_json(resource)
    return Answer(status, name, text.encode(), rule=rule)


def refused(refusal: Refusal, accepts: str, **parameters: str) -> Answer:
    """Return the answer that refuses a request."""
    return answer(refusal.status, refusal.outcome(**parameters), accepts, refusal.rule.id)
