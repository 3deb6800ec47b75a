"""How much the HTTP door takes at once, how long it may take, and where it listens."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Final

from dermreport.examination.reader import MAX_ENTRY
from dermreport.issues import SettingsError, refuse_all, wrong_counts

#: Where it listens unless it is told: on this machine alone.
LOOPBACK: Final = "127.0.0.1"
PORT: Final = 8080


@dataclass(frozen=True, slots=True, kw_only=True)
class HttpLimits:
    """What the HTTP door takes at most.

    Attributes:
        body: Bytes of a body. One that is made to fill memory takes a hundred times its size in a process.
        workers: Processes that do the work, some 130 MiB each.
        waiting: Requests that are read or wait while every process is at work; one more is told to come again.
        read_seconds: Until a body must be there.
        wait_seconds: Until a process must be free.
        work_seconds: How long a process may work on one request; then it is stopped, and another started.
        connections: Open connections, beyond which the server says 503 in words of its own: of
            :func:`~dermreport.http.door.serve` alone, elsewhere the server's matter.
    """

    body: int = MAX_ENTRY
    workers: int = 2
    waiting: int = 16
    read_seconds: int = 10
    wait_seconds: int = 10
    work_seconds: int = 20
    connections: int = 256

    def __post_init__(self) -> None:
        """Refuse what isn't a limit; no value is in the error."""
        refuse_all(wrong_counts("http limits", {one.name: getattr(self, one.name) for one in fields(self)}))
        if not all((self.workers, self.read_seconds, self.wait_seconds, self.work_seconds, self.connections)):
            raise SettingsError("http limits: workers, seconds and connections are at least 1")


DEFAULT_HTTP_LIMITS = HttpLimits()
