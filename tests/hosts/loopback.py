"""A FHIR server that does as a script says, on the loopback address: for answers that a real one gives seldom."""

from __future__ import annotations

import json
import threading
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from socketserver import BaseServer
from typing import NamedTuple


class Step(NamedTuple):
    """What the server does with one transaction: whether it stores it, and what it answers (``None``: nothing)."""

    status: int | None = 200
    stores: bool = False
    headers: tuple[tuple[str, str], ...] = ()
    body: bytes | None = None


STORES = Step(stores=True)
#: It is stored, and the connection ends before the answer.
LOST = Step(status=None, stores=True)
CUT = Step(status=None)


class Scripted:
    """The server; without a script it stores everything.

    Attributes:
        script: Steps for the next transactions.
        lookups: What the next look-ups are answered, in place of the truth.
        posts: The transactions that came.
        stored: The reports that are stored, in their order, each as often as it took effect.
        proofs: The Provenances that are there.
    """

    def __init__(self, url: str) -> None:
        self.url = url
        self.script: list[Step] = []
        self.lookups: list[Step] = []
        self.posts: list[dict] = []
        self.gets: list[str] = []
        self.stored: list[tuple[str, str]] = []
        self.proofs: dict[str, dict] = {}

    def take(self, content: bytes) -> Step:
        bundle = json.loads(content)
        self.posts.append(bundle)
        step = self.script.pop(0) if self.script else STORES
        if step.stores:
            (report,) = (
                one["resource"] for one in bundle["entry"] if one["resource"]["resourceType"] == "DiagnosticReport"
            )
            self.stored.append((report["identifier"][0]["value"], report["status"]))
            for one in bundle["entry"]:
                if one["resource"]["resourceType"] == "Provenance":
                    self.proofs[f"Provenance/{one['resource']['id']}"] = one["resource"]
        if step.status == 200 and step.body is None:
            entries = [{"response": {"status": "201 Created"}} for _ in bundle["entry"]]
            made = {"resourceType": "Bundle", "type": "transaction-response", "entry": entries}
            return step._replace(body=json.dumps(made).encode())
        return step

    def look(self, path: str) -> Step:
        reference = path.removeprefix("/fhir/")
        self.gets.append(reference)
        if self.lookups:
            return self.lookups.pop(0)
        found = self.proofs.get(reference)
        return Step(404) if found is None else Step(200, body=json.dumps(found).encode())


@contextmanager
def served(listening: BaseServer) -> Iterator[None]:
    """Let a server answer in a thread of its own until the block ends."""
    thread = threading.Thread(target=listening.serve_forever, args=(0.05,))
    thread.start()
    try:
        yield
    finally:
        listening.shutdown()
        thread.join()
        listening.server_close()


@contextmanager
def scripted(script: Sequence[Step] = ()) -> Iterator[Scripted]:
    """Run a scripted server."""

    class Handler(BaseHTTPRequestHandler):
        def do_POST(self):
            self.answer(server.take(self.rfile.read(int(self.headers["Content-Length"]))))

        def do_GET(self):
            self.answer(server.look(self.path))

        def answer(self, step: Step) -> None:
            self.close_connection = True
            if step.status is None:
                return
            body = step.body or b""
            self.send_response(step.status)
            for name, value in (*step.headers, ("Content-Length", str(len(body)))):
                self.send_header(name, value)
            self.end_headers()
            self.wfile.write(body)

        def log_message(self, *_: object) -> None:
            pass

    listening = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    server = Scripted(f"http://127.0.0.1:{listening.server_port}/fhir")
    server.script = list(script)
    with served(listening):
        yield server
