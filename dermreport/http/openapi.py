"""OpenAPI 3.1 of the door, made of the table of addresses: https://spec.openapis.org/oas/v3.1.0."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from dermreport.examination.model import Examination, Visit
from dermreport.examination.schema import json_schema
from dermreport.fhir.software import VERSION
from dermreport.http import media
from dermreport.http.routes import DEFINITION, OPENAPI, RELEASES, ROUTES, Route
from dermreport.profiles.operations.table import OPERATIONS, READ

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from dermreport.profiles.operations.refusals import Refusal
    from dermreport.profiles.operations.table import Parameter

Json = dict[str, Any]

_WORDS: Final = (
    "Stateless: nothing is stored, nothing is fetched. It supports judgement and never replaces it; a total below a "
    "threshold excludes nothing; when in doubt, refer; local pathways and licensed practice come first. Not a "
    "certified medical device. Authentication, encryption and audit are the matter of the gateway before it. JSON is "
    "read and written digit for digit: a client that reads 6.0 as 6 loses what was measured."
)
_REF: Final = "#/components/schemas"


def openapi() -> Json:
    """Return the description."""
    return {
        "openapi": "3.1.0",
        "info": {"title": "dermreport", "version": VERSION, "description": _WORDS},
        "servers": [{"url": "/"}],
        "paths": {one.path: {one.method.lower(): _operation(one)} for one in ROUTES},
        "components": {"schemas": _schemas()},
    }


def _schemas() -> Json:
    resource: Json = {
        "type": "object",
        "description": "A resource of FHIR; the standard has its schema.",
        "required": ["resourceType"],
        "properties": {"resourceType": {"type": "string"}},
    }
    return {
        **_hoisted("Examination", json_schema(Examination)),
        **_hoisted("Visit", json_schema(Visit)),
        "Resource": resource,
        "OperationOutcome": {
            **resource,
            "properties": {"resourceType": {"const": "OperationOutcome"}, "issue": {"type": "array", "minItems": 1}},
            "required": ["resourceType", "issue"],
        },
        "State": {"type": "object", "required": ["status"], "properties": {"status": {"type": "string"}}},
    }


def _hoisted(name: str, schema: Json) -> Json:
    """Return a schema and its definitions as components: a document has one place for what is referred to."""
    definitions = schema.pop("$defs")
    own = {key: value for key, value in schema.items() if key not in {"$schema", "$id"}}
    hoisted: Json = _referring({name: own, **definitions})
    return hoisted


def _referring(value: Any) -> Any:  # noqa: ANN401 - any JSON
    if isinstance(value, dict):
        return {
            key: item.replace("#/$defs", _REF) if key == "$ref" and isinstance(item, str) else _referring(item)
            for key, item in value.items()
        }
    return [_referring(one) for one in value] if isinstance(value, list) else value


def _operation(route: Route) -> Json:
    made: Json = {
        "operationId": route.name,
        "summary": route.operation.title if route.operation is not None else route.words,
        "description": route.words,
    }
    parameters = list(_parameters(route))
    if parameters:
        made["parameters"] = parameters
    if route.takes:
        made["requestBody"] = {
            "required": True,
            "content": {one: {"schema": _taken(route, one)} for one in route.takes},
        }
    made["responses"] = {"200": _given(route), **{str(int(status)): _refused(of) for status, of in _statuses(route)}}
    return made


def _parameters(route: Route) -> Iterator[Json]:
    if route.of_a_release:
        yield {
            "name": "release",
            "in": "path",
            "required": True,
            "description": "The release of FHIR.",
            "schema": {"enum": list(RELEASES)},
        }
        yield {
            "name": "_format",
            "in": "query",
            "description": "The media type of the answer, in place of Accept.",
            "schema": {"enum": ["json", "xml", *route.gives]},
        }
    if route is DEFINITION:
        yield {"name": "id", "in": "path", "required": True, "schema": {"enum": [one.code for one in OPERATIONS]}}
    for one in route.operation.settable if route.operation is not None else ():
        yield {"name": one.name, "in": "query", "description": one.words, "schema": _schema_of(one)}


def _schema_of(one: Parameter) -> Json:
    if one.codes:
        return {"enum": list(one.codes), "default": one.codes[0]}
    return {"type": "string", **({"pattern": f"^{one.form}$"} if one.form else {})}


def _taken(route: Route, name: str) -> Json:
    if name in media.AS_XML:
        return {"type": "string", "description": "A Bundle in which reports came, as XML."}
    resource = {"$ref": f"{_REF}/Resource"}
    if name != media.JSON or route.operation is READ:
        return resource
    return {"anyOf": [{"$ref": f"{_REF}/Examination"}, {"$ref": f"{_REF}/Visit"}, resource]}


def _given(route: Route) -> Json:
    headers = {"X-Request-Id": _header("The request’s UUID, or a new one.", {"type": "string", "format": "uuid"})}
    if route.operation is not None:
        headers["Dermreport-Issues"] = _header(
            "How many errors, warnings and informations were found, as error=1, warning=0, information=2 (RFC 8941), "
            "where the body doesn’t say them itself.",
            {"type": "string"},
        )
    return {
        "description": "Done.",
        "headers": headers,
        "content": {one: {"schema": _given_as(route, one)} for one in route.gives},
    }


def _given_as(route: Route, name: str) -> Json:
    if name in {media.FHIR_JSON, media.JSON} and route.of_a_release:
        return {"$ref": f"{_REF}/Resource"}
    if name == media.JSON:
        return {"$ref": f"{_REF}/State"} if route is not OPENAPI else {"type": "object"}
    return {"type": "string"} if name != media.PDF else {}


def _header(words: str, schema: Json) -> Json:
    return {"description": words, "schema": schema}


def _statuses(route: Route) -> Iterator[tuple[int, Sequence[Refusal]]]:
    yield from sorted(route.statuses.items())


def _refused(several: Sequence[Refusal]) -> Json:
    headers = {"Retry-After": _header("Seconds.", {"type": "integer"})} if any(one.retry for one in several) else {}
    return {
        "description": " ".join(one.rule.message for one in several),
        **({"headers": headers} if headers else {}),
        "content": {
            media.FHIR_JSON: {"schema": {"$ref": f"{_REF}/OperationOutcome"}},
            **({one: {"schema": {}} for one in media.RESOURCE_TYPES if one != media.FHIR_JSON}),
        },
    }
