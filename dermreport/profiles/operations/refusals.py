"""What the HTTP door answers instead of what was asked for: one row each, with status, FHIR's type of issue, words.

Statuses are those of RFC 9110; types are https://hl7.org/fhir/R4/valueset-issue-type.html, which R5 shares.
Whoever is refused must know that nothing was made, for a plan may be urgent.
"""

from __future__ import annotations

from dataclasses import dataclass
from http import HTTPStatus
from typing import Any, Final

from dermreport.fhir.outcome import to_outcome
from dermreport.issues import IssueRule

_HTTP: Final = "RFC 9110 (HTTP)"
_DOOR: Final = "the HTTP door of this library"
_OPERATIONS: Final = "FHIR R4 and R5, operations"
#: What every refusal ends with.
NOTHING_MADE: Final = (
    "Nothing has been made of what was sent: if something in it is urgent, see to it at once another way."
)


@dataclass(frozen=True, slots=True)
class Refusal:
    """One way to be refused.

    Attributes:
        status: The status.
        kind: FHIR's type of issue.
        rule: Its rule: id and message.
        retry: Seconds after which to try again; ``None`` where trying again won't help.
    """

    status: HTTPStatus
    kind: str
    rule: IssueRule
    retry: int | None = None

    def outcome(self, **parameters: str) -> dict[str, Any]:
        """Return it as a new OperationOutcome; parameters are names and limits of ours, never what was sent."""
        made = to_outcome((self.rule.at("$", **parameters),))
        (issue,) = made["issue"]
        issue["code"] = self.kind
        # It isn't about a part of the record.
        del issue["expression"]
        return made


def _row(  # noqa: PLR0913, PLR0917 - the columns of a table
    status: HTTPStatus, kind: str, name: str, message: str, source: str, retry: int | None = None
) -> Refusal:
    return Refusal(status, kind, IssueRule(f"http-{name}", message, source), retry)


NOT_FOUND: Final = _row(
    HTTPStatus.NOT_FOUND,
    "not-found",
    "not-found",
    f"Nothing is here: /openapi.json lists what there is. {NOTHING_MADE}",
    _HTTP,
)
METHOD: Final = _row(
    HTTPStatus.METHOD_NOT_ALLOWED,
    "not-supported",
    "method",
    f"This address takes another method: the header Allow names it. {NOTHING_MADE}",
    _HTTP,
)
NOT_ACCEPTABLE: Final = _row(
    HTTPStatus.NOT_ACCEPTABLE,
    "not-supported",
    "not-acceptable",
    "None of the media types that are accepted can be given here, or not in this release: ask for {types}. "
    f"{NOTHING_MADE}",
    _HTTP,
)
MEDIA_TYPE: Final = _row(
    HTTPStatus.UNSUPPORTED_MEDIA_TYPE,
    "not-supported",
    "media-type",
    f"Send {{types}}, in UTF-8 and without a content coding. {NOTHING_MADE}",
    _HTTP,
)
TOO_LARGE: Final = _row(
    HTTPStatus.REQUEST_ENTITY_TOO_LARGE,
    "too-long",
    "too-large",
    f"The body is larger than {{limit}} bytes. {NOTHING_MADE}",
    _HTTP,
)
LATE: Final = _row(
    HTTPStatus.REQUEST_TIMEOUT,
    "timeout",
    "late",
    f"The body didn’t come within {{limit}} seconds. {NOTHING_MADE}",
    _HTTP,
    1,
)
PARAMETER_UNKNOWN: Final = _row(
    HTTPStatus.BAD_REQUEST,
    "not-supported",
    "parameter-unknown",
    f"There is a parameter that isn’t known here: those of this address are {{names}}. {NOTHING_MADE}",
    _OPERATIONS,
)
PARAMETER_TWICE: Final = _row(
    HTTPStatus.BAD_REQUEST,
    "structure",
    "parameter-twice",
    f"The parameter {{name}} is given more often than it may be. {NOTHING_MADE}",
    _OPERATIONS,
)
PARAMETER_VALUE: Final = _row(
    HTTPStatus.BAD_REQUEST,
    "code-invalid",
    "parameter-value",
    f"The parameter {{name}} is {{form}}. {NOTHING_MADE}",
    _OPERATIONS,
)
PARAMETER_MISSING: Final = _row(
    HTTPStatus.BAD_REQUEST,
    "required",
    "parameter-missing",
    f"Give the parameter {{name}}. {NOTHING_MADE}",
    _OPERATIONS,
)
NOT_MADE: Final = _row(HTTPStatus.UNPROCESSABLE_ENTITY, "processing", "not-made", f"{{reason}} {NOTHING_MADE}", _DOOR)
NOT_INSTALLED: Final = _row(
    HTTPStatus.NOT_IMPLEMENTED, "not-supported", "not-installed", f"{{reason}} {NOTHING_MADE}", _DOOR
)
BUSY: Final = _row(
    HTTPStatus.SERVICE_UNAVAILABLE,
    "throttled",
    "busy",
    f"Too much is being asked at once: try again. {NOTHING_MADE}",
    "RFC 9110 (HTTP), Retry-After",
    1,
)
TOO_SLOW: Final = _row(
    HTTPStatus.GATEWAY_TIMEOUT,
    "timeout",
    "too-slow",
    f"The work was stopped after {{limit}} seconds; the same body will hardly be faster. {NOTHING_MADE}",
    "RFC 9110 (HTTP), Retry-After",
    30,
)
NOT_READY: Final = _row(
    HTTPStatus.SERVICE_UNAVAILABLE, "transient", "not-ready", "This isn’t ready yet, or is about to stop.", _DOOR, 1
)
FAILED: Final = _row(
    HTTPStatus.INTERNAL_SERVER_ERROR,
    "exception",
    "failed",
    f"Something failed here; the log has the place, under the X-Request-Id of this answer. {NOTHING_MADE}",
    _DOOR,
)

REFUSALS: Final = (
    NOT_FOUND,
    METHOD,
    NOT_ACCEPTABLE,
    MEDIA_TYPE,
    TOO_LARGE,
    LATE,
    PARAMETER_UNKNOWN,
    PARAMETER_TWICE,
    PARAMETER_VALUE,
    PARAMETER_MISSING,
    NOT_MADE,
    NOT_INSTALLED,
    BUSY,
    TOO_SLOW,
    NOT_READY,
    FAILED,
)
