"""OperationDefinition: https://hl7.org/fhir/R4/operationdefinition.html, https://hl7.org/fhir/R5/operationdefinition.html."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from dermreport.fhir.canonical import canonical, head
from dermreport.profiles.operations.table import OPERATIONS, Operation, Parameter

if TYPE_CHECKING:
    from collections.abc import Iterator

    from dermreport.fhir.releases import Release


def operation_url(operation: Operation) -> str:
    """Return the address of an operation's definition."""
    return canonical("OperationDefinition", operation.code)


def operation_definitions(release: Release) -> list[dict[str, Any]]:
    """Return the OperationDefinitions, sorted by id; what is said of an operation is the same in each release."""
    del release
    return [_made(one) for one in OPERATIONS]


def _made(operation: Operation) -> dict[str, Any]:
    return head(
        "OperationDefinition",
        operation.code,
        operation.title,
        operation.words,
        {
            "kind": "operation",
            "affectsState": False,
            "code": operation.code,
            "system": True,
            "type": False,
            "instance": False,
            "parameter": list(_parameters(operation)),
        },
    )


def _parameters(operation: Operation) -> Iterator[dict[str, Any]]:
    for use, several in (("in", operation.takes), ("out", operation.gives)):
        for one in several:
            yield {
                "name": one.name,
                "use": use,
                "min": one.least,
                "max": one.most,
                "documentation": _words(one),
                "type": one.kind,
            }


def _words(parameter: Parameter) -> str:
    listed = f" One of: {', '.join(parameter.codes)}." if parameter.codes else ""
    return f"{parameter.words}{listed}"
