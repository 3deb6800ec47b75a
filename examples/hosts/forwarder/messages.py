"""A report as a message of the outbox."""

from __future__ import annotations

import json
from dataclasses import dataclass, field
from typing import Any, Final, NamedTuple

import dermreport

#: A planned step with one of these priorities can't wait (http://hl7.org/fhir/request-priority).
_URGENT: Final = frozenset({"urgent", "asap", "stat"})


@dataclass(frozen=True, slots=True)
class Message:
    """A transaction bundle to be sent; its texts say whom it is about, so none of them belongs into a log.

    Attributes:
        key: Which revision of which examination, in which release of FHIR. One key is sent once.
        stream: Which examination: its revisions go out in the order in which they were put in.
        urgent: Whether it goes before the others.
        proof: A resource, as ``Provenance/…``, that only this revision brings. A transaction is stored whole or not at
            all, so where the server has it, this revision was stored.
        body: The bundle, as JSON.
    """

    key: str = field(repr=False)
    stream: str = field(repr=False)
    urgent: bool
    proof: str
    body: bytes = field(repr=False)


class Version(NamedTuple):
    """The version of a report that a host knows of: its address, as ``DiagnosticReport/17``, and its ETag."""

    reference: str
    etag: str


def message_of(
    review: dermreport.Review,
    *,
    earlier: dermreport.Review | None = None,
    replaces: Version | None = None,
    release: str = "R4",
) -> Message:
    """Return the message of one examination.

    Args:
        review: What the library says of it.
        earlier: The review of the revision that was sent before this one, if one was.
        replaces: The version that this revision replaces: if the server has another one by then, somebody changed it,
            and a person is told. Some servers heed a version only where an update names the resource by its id, so it
            goes there.
        release: R4, R4B or R5, as the server has.
    """
    if_match = replaces.etag if replaces is not None else None
    bundle = dermreport.to_fhir(review, release=release, earlier=earlier, if_match=if_match).bundle("transaction")
    content = bundle.to_dict()
    for entry in content["entry"]:
        if replaces is not None and "ifMatch" in entry["request"]:
            entry["request"]["url"] = replaces.reference
    entries = [entry["resource"] for entry in content["entry"]]
    stream = json.dumps(next(one["identifier"][0] for one in entries if one["resourceType"] == "DiagnosticReport"))
    proof = next(entry["request"]["url"] for entry in content["entry"] if _is_provenance(entry["resource"]))
    return Message(
        key=f"{stream} {review.examination.revision} {bundle.release}",
        stream=stream,
        # What calls for action goes first, whether or not its plan says how soon.
        urgent=review.summary == "suspicious" or any(map(_is_urgent, entries)),
        proof=proof,
        # The library's writer keeps each digit, which the standard library's doesn't.
        body=dermreport.form_json(content).encode(),
    )


def _is_provenance(resource: dict[str, Any]) -> bool:
    return bool(resource["resourceType"] == "Provenance")


def _is_urgent(resource: dict[str, Any]) -> bool:
    return resource.get("priority") in _URGENT and resource.get("status") == "active"
