"""A real FHIR server as a process, on the loopback address alone, and the plain REST calls of a record system."""

from __future__ import annotations

import subprocess
import threading
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from http.client import HTTPConnection
from pathlib import Path
from typing import Any, NamedTuple, Self
from urllib.parse import quote, urlsplit

from conformance import building

from dermreport.examination.reader import read_json, write_json

PROJECT = Path(__file__).parent / "server"
JAR = PROJECT / "target" / "report-server.jar"
#: A start takes about 12 s on an idle machine, and more with a package; one that takes longer than this hangs.
START_SECONDS = 600
ANSWER_SECONDS = 300
#: No search of the tests has more pages.
MOST_PAGES = 40

JSON = "application/fhir+json"
XML = "application/fhir+xml"


def build() -> None:
    """Build the server unless it is newer than its sources."""
    building.maven(PROJECT, JAR)


class Answer(NamedTuple):
    """What the server answered: the text, and its JSON where it is some."""

    status: int
    headers: dict[str, str]
    text: str

    @property
    def resource(self) -> dict[str, Any]:
        value: dict[str, Any] = read_json(self.text)
        return value

    @property
    def problems(self) -> list[str]:
        """Diagnostics of the errors of an OperationOutcome."""
        issues = self.resource.get("issue", ())
        return [one.get("diagnostics", "") for one in issues if one["severity"] in {"error", "fatal"}]


class Server:
    """One server process; ``with`` stops it."""

    def __init__(self, release: str, log: Path, *, database: str = "memory", packages: tuple[Path, ...] = ()) -> None:
        self.log = log
        self.installed: list[str] = []
        command = ["java", "-XX:+UseSerialGC", "-XX:TieredStopAtLevel=1", "-Xmx1500m", "-jar", str(JAR)]
        with log.open("ab") as errors:
            self.process = subprocess.Popen(
                [*command, release, "0", database, *map(str, packages)],
                stdout=subprocess.PIPE,
                stderr=errors,
                text=True,
                encoding="utf-8",
            )
        self.url = self._ready()

    def _ready(self) -> str:
        assert self.process.stdout is not None
        patience = threading.Timer(START_SECONDS, self.process.kill)
        patience.start()
        try:
            for line in self.process.stdout:
                word, _, rest = line.strip().partition(" ")
                if word == "ready":
                    return rest
                if word == "installed":
                    self.installed.append(rest)
        finally:
            patience.cancel()
        code = self._ended()
        raise RuntimeError(f"the server didn't start ({code}): {self.log.read_text(encoding='utf-8')[-2000:]}")

    def _ended(self) -> int:
        assert self.process.stdout is not None
        self.process.stdout.close()
        return self.process.wait(timeout=60)

    def stop(self) -> int:
        """Ask the process to end, and return its code."""
        self.process.terminate()
        return self._ended()

    def kill(self) -> int:
        """End the process in the middle of whatever it does (SIGKILL), and return its code."""
        self.process.kill()
        return self._ended()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        if self.process.poll() is None:
            self.stop()

    def send(self, method: str, path: str, body: str | None = None, **headers: str) -> Answer:
        """Send one request; ``path`` is relative to the base, and names of headers have ``_`` for ``-``."""
        address = urlsplit(self.url)
        assert address.hostname == "127.0.0.1"
        connection = HTTPConnection(address.hostname, address.port, timeout=ANSWER_SECONDS)
        try:
            given = {"Accept": JSON, "Content-Type": f"{JSON}; charset=utf-8"}
            given |= {name.replace("_", "-"): value for name, value in headers.items()}
            separator = "/" if path else ""
            connection.request(method, f"{address.path}{separator}{path}", body and body.encode(), given)
            answer = connection.getresponse()
            text = answer.read().decode()
            return Answer(answer.status, {name.lower(): value for name, value in answer.getheaders()}, text)
        finally:
            connection.close()

    def get(self, path: str, **headers: str) -> dict[str, Any]:
        """Return what is at a path; it must be there."""
        answer = self.send("GET", path, **headers)
        assert answer.status == 200, (path, answer.status, answer.text[:2000])
        return answer.resource

    def post(self, path: str, resource: Any, **headers: str) -> Answer:
        return self.send("POST", path, write_json(resource), **headers)

    def put(self, resource: dict[str, Any]) -> Answer:
        """Put a resource at its own id."""
        return self.send("PUT", f"{resource['resourceType']}/{resource['id']}", write_json(resource))

    def pages(self, kind: str, parameters: list[tuple[str, str]]) -> Iterator[dict[str, Any]]:
        """Return each page of a search."""
        query = "&".join(f"{name}={quote(value, safe='/:|~.-_,$')}" for name, value in parameters)
        page = self.get(f"{kind}?{query}")
        for _ in range(MOST_PAGES):
            yield page
            following = [link["url"] for link in page.get("link", ()) if link["relation"] == "next"]
            if not following:
                return
            page = self.get(following[0].removeprefix(self.url).removeprefix("/"))
        raise AssertionError("a search with too many pages")

    def search(self, kind: str, *parameters: tuple[str, str]) -> list[dict[str, Any]]:
        """Return every resource that a search finds or includes, over all its pages."""
        return [one["resource"] for page in self.pages(kind, list(parameters)) for one in page.get("entry", ())]

    def count(self, kind: str, *parameters: tuple[str, str]) -> int:
        """Return how many resources match."""
        (page,) = self.pages(kind, [*parameters, ("_summary", "count")])
        total: int = page["total"]
        return total


def at_once(tasks: list[Any], senders: int) -> list[Any]:
    """Run tasks without arguments at the same time and return their results in order; the first error is raised."""
    with ThreadPoolExecutor(senders) as pool:
        return [one.result() for one in [pool.submit(task) for task in tasks]]
