"""One request to a FHIR server, and what came back. Nothing is tried twice here: the outbox does that."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from ipaddress import ip_address
from typing import Final
from urllib.parse import urlsplit

import urllib3

from forwarder.answers import Answer

FHIR_JSON: Final = "application/fhir+json"
#: More than a server answers to one transaction.
_MOST_BYTES: Final = 8_000_000


class AddressError(ValueError):
    """The server's address can't be used; the text doesn't quote it."""


class FhirServer:
    """A FHIR server.

    Args:
        base: Its base address, ``https://…``; ``http://`` is taken for a loopback address only.
        headers: Gives the headers of each request, such as ``Authorization``: a token can be renewed between two.
        connect: Seconds to wait for a connection.
        read: Seconds to wait for an answer. A message whose answer doesn't come is in doubt, not lost.

    Raises:
        AddressError: The address isn't one of these.
    """

    def __init__(
        self,
        base: str,
        *,
        headers: Callable[[], Mapping[str, str]] = dict,
        connect: float = 10,
        read: float = 120,
    ) -> None:
        scheme, host = _split(base)
        if not host or not (scheme == "https" or (scheme == "http" and _is_loopback(host))):
            raise AddressError(
                "the server's address begins with https:// and its name: a record goes encrypted, or with http:// to "
                "an address of this machine alone"
            )
        self._base = base.rstrip("/")
        self._headers = headers
        self._pool = urllib3.PoolManager(retries=False, timeout=urllib3.Timeout(connect=connect, read=read))

    def post(self, transaction: bytes) -> Answer:
        """Send a transaction."""
        return self._ask("POST", self._base, transaction)

    def get(self, reference: str) -> Answer:
        """Ask for a resource."""
        return self._ask("GET", f"{self._base}/{reference}")

    def close(self) -> None:
        """Close the connections."""
        self._pool.clear()

    def _ask(self, method: str, url: str, body: bytes | None = None) -> Answer:
        own = {"Accept": FHIR_JSON, "Content-Type": f"{FHIR_JSON}; charset=utf-8"}
        try:
            with self._pool.request(
                method, url, body=body, headers={**own, **self._headers()}, redirect=False, preload_content=False
            ) as answer:
                text = answer.read(_MOST_BYTES, decode_content=True).decode("utf-8", "replace")
                return Answer(answer.status, text, answer.headers.get("Retry-After"))
        except (urllib3.exceptions.HTTPError, OSError):
            # Its text has the address, and an address can have a number of a record in it.
            return Answer(None)


def _split(base: str) -> tuple[str, str]:
    """Return scheme and host, empty where it is no address."""
    try:
        address = urlsplit(base)
        # A port that is none is found when it is asked for.
        port = address.port
    except ValueError:
        return "", ""
    return address.scheme, "" if port == 0 else address.hostname or ""


def _is_loopback(host: str) -> bool:
    try:
        return host == "localhost" or ip_address(host).is_loopback
    except ValueError:
        return False
