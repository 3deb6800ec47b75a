"""What a server's answer means for a message: one table, by status.

Statuses are RFC 9110's and RFC 6585's; what FHIR says of them: https://hl7.org/fhir/R4/http.html.
"""

from __future__ import annotations

import json
from dataclasses import dataclass, field
from datetime import UTC, datetime
from email.utils import parsedate_to_datetime
from enum import StrEnum
from types import MappingProxyType
from typing import Final


class Meaning(StrEnum):
    """What to do with a message after an answer."""

    STORED = "stored"
    """It is there, whole."""
    LATER = "later"
    """Try this message again; the others go on."""
    SERVER = "server"
    """The server, or the way to it, takes nothing now: everything waits, and nothing counts against the message."""
    SETUP = "setup"
    """As ``SERVER``, and it ends only when somebody mends credentials or address: they are told at once."""
    PERSON = "person"
    """Sending it again can't help: a person has to look."""


#: Every status that isn't here goes to a person.
MEANINGS: Final = MappingProxyType(
    {
        200: Meaning.STORED,
        # Two senders met: the transaction was rolled back, and is right when it is sent again.
        409: Meaning.LATER,
        # The server failed at this message. It may fail at this one only, so the others go on.
        500: Meaning.LATER,
        408: Meaning.SERVER,
        425: Meaning.SERVER,
        429: Meaning.SERVER,
        502: Meaning.SERVER,
        503: Meaning.SERVER,
        504: Meaning.SERVER,
        301: Meaning.SETUP,
        302: Meaning.SETUP,
        307: Meaning.SETUP,
        308: Meaning.SETUP,
        401: Meaning.SETUP,
        403: Meaning.SETUP,
        404: Meaning.SETUP,
        407: Meaning.SETUP,
    }
)


@dataclass(frozen=True, slots=True)
class Answer:
    """What came back; the text can quote what was sent, so it is kept beside the message and never logged.

    Attributes:
        status: The status, or ``None`` where no answer came: then nobody knows whether the message was stored.
        text: The body.
        retry_after: Header ``Retry-After`` as it came.
    """

    status: int | None
    text: str = field(default="", repr=False)
    retry_after: str | None = None


def meaning_of(answer: Answer, sent: int) -> Meaning:
    """Return what an answer to a transaction means.

    Args:
        answer: What came back.
        sent: How many entries the transaction had.
    """
    if answer.status is None:
        return Meaning.SERVER
    meaning = MEANINGS.get(answer.status, Meaning.PERSON)
    # A page of a gateway can have status 200 too: only a server that answers for every entry has stored it.
    if meaning is Meaning.STORED and not _answers_each(answer.text, sent):
        return Meaning.SETUP
    return meaning


def _answers_each(text: str, sent: int) -> bool:
    try:
        bundle = json.loads(text)
        statuses = [entry["response"]["status"] for entry in bundle["entry"]]
        whole = bundle["type"] == "transaction-response" and all(one.startswith("2") for one in statuses)
    except (ValueError, TypeError, KeyError, AttributeError, RecursionError):
        return False
    return whole and len(statuses) == sent


def proves(answer: Answer, reference: str) -> bool | None:
    """Return whether an answer shows that a server has, or had, a resource; ``None`` where it says neither."""
    if answer.status in {404, 410}:
        return answer.status == _DELETED
    try:
        found = json.loads(answer.text)
        shown = f"{found['resourceType']}/{found['id']}"
    except (ValueError, TypeError, KeyError, RecursionError):
        return None
    return True if answer.status == _FOUND and shown == reference else None


#: It was there, and somebody deleted it since.
_DELETED: Final = 410
_FOUND: Final = 200


def seconds_asked(retry_after: str | None, now: float) -> float:
    """Return how long a server asks to wait (RFC 9110, 10.2.3: seconds, or a date); 0 where it doesn't say."""
    if retry_after is None:
        return 0.0
    if retry_after.strip().isdecimal():
        return float(retry_after)
    try:
        until = parsedate_to_datetime(retry_after)
    except ValueError:
        return 0.0
    # A date in GMT that is written with -0000 comes without a zone.
    aware = until if until.tzinfo is not None else until.replace(tzinfo=UTC)
    return max(0.0, (aware - datetime.fromtimestamp(now, UTC)).total_seconds())
