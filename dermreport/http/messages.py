"""What goes between the door and its processes: jobs and answers, as bytes in frames of a length and a body."""

from __future__ import annotations

import pickle
import struct
from dataclasses import dataclass
from io import BytesIO
from types import MappingProxyType
from typing import Any, Final

import msgspec

from dermreport.letters.settings import LetterSettings
from dermreport.settings import Settings

LENGTH: Final = struct.Struct(">Q")


@dataclass(frozen=True, slots=True)
class Host:
    """What the host decides.

    Attributes:
        settings: Of reviews and reports.
        letters: Of letters.
    """

    settings: Settings
    letters: LetterSettings


class Job(msgspec.Struct, frozen=True):
    """One request.

    Attributes:
        operation: Code of the operation.
        release: The release of FHIR.
        media: Media type of the body.
        accepts: Media type of the answer.
        given: Parameters of the address.
        body: The body.
    """

    operation: str
    release: str
    media: str
    accepts: str
    given: dict[str, str]
    body: bytes


class Answer(msgspec.Struct, frozen=True):
    """What became of it.

    Attributes:
        status: Status of HTTP.
        media: Content-Type, without parameters.
        content: The body.
        rule: Id of the refusal, ``""`` where there is none.
        counts: How many errors, warnings and informations were found; empty where the body says so itself.
        name: File name of a letter, ``""`` for anything else.
        failed: What failed: kind and place; empty where nothing did.
    """

    status: int
    media: str
    content: bytes
    rule: str = ""
    counts: tuple[int, ...] = ()
    name: str = ""
    failed: tuple[str, ...] = ()


def fixed(values: dict[Any, Any]) -> MappingProxyType[Any, Any]:
    """Return a mapping that can't be changed: its class can't be named in what is pickled."""
    return MappingProxyType(values)


class _Pickler(pickle.Pickler):
    """Settings have mappings that can't be changed, which pickle doesn't know."""

    def reducer_override(self, value: Any) -> Any:  # noqa: ANN401 - the protocol's own type
        if type(value) is MappingProxyType:
            return fixed, (dict(value),)
        return NotImplemented


def host_bytes(host: Host) -> bytes:
    """Return what the host decides, for a process of ours."""
    out = BytesIO()
    _Pickler(out).dump(host)
    return out.getvalue()


def host_of(content: bytes) -> Host:
    """Return what :func:`host_bytes` wrote; it comes from the process that started this one and from nowhere else."""
    host: Host = pickle.loads(content)  # noqa: S301 - see above
    return host


def framed(content: bytes) -> bytes:
    """Return bytes with their length before them."""
    return LENGTH.pack(len(content)) + content
