"""The addresses of the HTTP door, one row each: the program, OpenAPI and CapabilityStatement are made of this table."""

from __future__ import annotations

from dataclasses import dataclass
from http import HTTPStatus
from types import MappingProxyType
from typing import Final

from dermreport.fhir.releases import Release
from dermreport.form.questionnaire import FORM_ID
from dermreport.http import media
from dermreport.profiles.operations import refusals, table
from dermreport.profiles.operations.refusals import Refusal
from dermreport.profiles.operations.table import Operation

#: What a release is called in an address.
RELEASES: Final = MappingProxyType({one.value.lower(): one for one in Release})

_RECORDS: Final = (media.JSON, media.FHIR_JSON, media.FHIR_XML, media.XML, media.TEXT_XML)
_REPORTS: Final = (media.FHIR_JSON, media.JSON, media.FHIR_XML, media.XML, media.TEXT_XML)


@dataclass(frozen=True, slots=True, kw_only=True)
class Route:
    """One address.

    Attributes:
        name: What it is called in the log.
        method: Its method.
        path: Its address; braces stand for a part that varies.
        words: What is there.
        takes: Media types of the body; none where there is no body.
        gives: Media types of the answer, the preferred one first.
        operation: The operation that it calls.
        refuses: What it can answer instead.
    """

    name: str
    method: str
    path: str
    words: str
    takes: tuple[str, ...] = ()
    gives: tuple[str, ...] = (media.JSON,)
    operation: Operation | None = None
    refuses: tuple[Refusal, ...] = ()

    @property
    def of_a_release(self) -> bool:
        """Whether what is there is of one release of FHIR."""
        return "{release}" in self.path

    @property
    def statuses(self) -> dict[HTTPStatus, tuple[Refusal, ...]]:
        """What it can answer instead, by status."""
        return {
            one.status: tuple(other for other in self.refuses if other.status is one.status) for one in self.refuses
        }


_ALWAYS: Final = (refusals.FAILED,)
_FHIR: Final = (refusals.NOT_FOUND, refusals.NOT_ACCEPTABLE, refusals.PARAMETER_UNKNOWN, refusals.PARAMETER_TWICE)
_WORK: Final = (refusals.BUSY, refusals.TOO_SLOW, *_ALWAYS)
_BODY: Final = (refusals.MEDIA_TYPE, refusals.TOO_LARGE, refusals.LATE, refusals.NOT_MADE)
_OPERATION: Final = (*_FHIR, refusals.PARAMETER_VALUE, refusals.PARAMETER_MISSING, *_BODY, *_WORK)


def _operation(operation: Operation, takes: tuple[str, ...], gives: tuple[str, ...], *refuses: Refusal) -> Route:
    return Route(
        name=operation.code,
        method="POST",
        path=f"/fhir/{{release}}/${operation.code}",
        words=operation.words,
        takes=takes,
        gives=gives,
        operation=operation,
        refuses=(*_OPERATION, *refuses),
    )


HEALTH: Final = Route(name="health", method="GET", path="/health", words="That the program runs.", refuses=_ALWAYS)
READY: Final = Route(
    name="ready",
    method="GET",
    path="/ready",
    words="That it can work: a process for it is there.",
    refuses=(refusals.NOT_READY, *_ALWAYS),
)
OPENAPI: Final = Route(name="openapi", method="GET", path="/openapi.json", words="This description.", refuses=_ALWAYS)
METADATA: Final = Route(
    name="metadata",
    method="GET",
    path="/fhir/{release}/metadata",
    words="The CapabilityStatement.",
    gives=media.RESOURCE_TYPES,
    refuses=(*_FHIR, *_ALWAYS),
)
DEFINITION: Final = Route(
    name="operation-definition",
    method="GET",
    path="/fhir/{release}/OperationDefinition/{id}",
    words="The definition of an operation.",
    gives=media.RESOURCE_TYPES,
    refuses=(*_FHIR, *_ALWAYS),
)
FORM: Final = Route(
    name="questionnaire",
    method="GET",
    path=f"/fhir/{{release}}/Questionnaire/{FORM_ID}",
    words="The form, whose answers the operations take.",
    gives=media.RESOURCE_TYPES,
    refuses=(*_FHIR, *_WORK),
)

ROUTES: Final = (
    HEALTH,
    READY,
    OPENAPI,
    METADATA,
    DEFINITION,
    FORM,
    _operation(table.CHECK, _RECORDS, media.RESOURCE_TYPES),
    _operation(
        table.LETTER,
        _RECORDS,
        (*media.RESOURCE_TYPES, media.TEXT, media.HTML, media.PDF),
        refusals.NOT_INSTALLED,
    ),
    _operation(table.READ, _REPORTS, (*media.RESOURCE_TYPES, media.NDJSON)),
    _operation(table.REPORT, _RECORDS, media.RESOURCE_TYPES),
)
