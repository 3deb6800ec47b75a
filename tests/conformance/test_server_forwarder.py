"""The example of a forwarder against a real server (R4), with a proxy between them that loses, cuts and doubles.

Every report takes effect once: nothing on the server has a second version, a Provenance more, or is missing.
"""

from __future__ import annotations

import os
import signal
import socketserver
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from http.client import HTTPConnection
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest
from conformance import server, server_reports
from conformance.server import Server
from conformance.server_reports import Known, Store, number, short
from forwarder.forwarding import Forwarder, Policy
from forwarder.messages import Version, message_of
from forwarder.outbox import Outbox, State
from forwarder.sending import FhirServer
from hosts.loopback import served

import dermreport

ROOT = Path(__file__).parent.parent.parent
HOSTS = ROOT / "examples" / "hosts"
#: Short waits: the server is on this machine.
HASTE = Policy(first_wait=0.05, longest_wait=0.2, longest_wait_urgent=0.2)
ENOUGH_SECONDS = 300


@pytest.fixture(scope="module")
def store(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Store]:
    server.build()
    folder = tmp_path_factory.mktemp("forwarded")
    with Server("R4", folder / "server.log") as started:
        yield Store(started, "R4")


# --- a proxy that does harm


#: What happens to a transaction: it doesn't arrive, its answer is lost, or it arrives twice, the second time late.
CUT, LOST, TWICE = "cut", "lost", "twice"


class Proxy(socketserver.ThreadingTCPServer):
    """Hands requests on to a server, and harms transactions as its script says."""

    daemon_threads = True

    def __init__(self, target: str, script: list[str]) -> None:
        self.target, self.script, self.late = urlsplit(target), script, []
        self.done: list[tuple[str, str]] = []
        super().__init__(("127.0.0.1", 0), Handler)

    @property
    def url(self) -> str:
        return f"http://127.0.0.1:{self.server_address[1]}{self.target.path}"

    def ask(self, head: str, headers: dict[str, str], body: bytes) -> tuple[int, bytes]:
        method, path, _ = head.split(" ", 2)
        connection = HTTPConnection(self.target.hostname or "", self.target.port or 0, timeout=server.ANSWER_SECONDS)
        try:
            connection.request(method, path, body or None, headers)
            answer = connection.getresponse()
            return answer.status, answer.read()
        finally:
            connection.close()


class Handler(socketserver.StreamRequestHandler):
    """One connection, one request."""

    server: Proxy

    def handle(self) -> None:
        head = self.rfile.readline().decode().strip()
        headers: dict[str, str] = {}
        while line := self.rfile.readline().decode().strip():
            name, _, value = line.partition(": ")
            headers[name] = value
        body = self.rfile.read(int(headers.get("Content-Length", "0")))
        kept = {name: headers[name] for name in ("Accept", "Content-Type") if name in headers}
        harm = self.server.script.pop(0) if head.startswith("POST") and self.server.script else ""
        self.server.done.append((head.split(" ", 1)[0], harm))
        if harm == CUT:
            return
        status, text = self.server.ask(head, kept, body)
        if harm == TWICE:
            self.server.late.append((head, kept, body))
        if harm == LOST:
            return
        lines = (f"HTTP/1.1 {status} answer", f"Content-Length: {len(text)}", "Connection: close", "", "")
        self.wfile.write("\r\n".join(lines).encode() + text)


@contextmanager
def harmful(target: str, *script: str) -> Iterator[Proxy]:
    proxy = Proxy(target, list(script))
    with served(proxy):
        yield proxy


# --- what is on the server


def reviewed(clinic: str, value: str = "e-1", **changes: Any) -> dermreport.Review:
    """Return the review of a short examination; this server has no package of ours, so nothing claims a profile."""
    return server_reports.reviewed(short(clinic, value, **changes), dermreport.Settings())


def routine(clinic: str, value: str = "e-1", **changes: Any) -> dermreport.Review:
    plan = {"actions": [{"key": "1", "action": "reassure-with-advice"}]}
    assessment = {"concern": "benign"}
    given = {"findings": [], "plan": plan, "assessment": assessment, **changes}
    return reviewed(clinic, value, **given)


def versions(store: Store, kind: str, known: Known) -> list[dict[str, Any]]:
    """Return every version of the one resource of an identifier, the newest first."""
    there = store.the(kind, known)
    return [one["resource"] for one in store.server.get(f"{kind}/{there['id']}/_history")["entry"]]


def made_by(store: Store, report: str) -> list[str]:
    """Return the versions of each Provenance of a report."""
    found = store.server.search("Provenance", ("target", f"DiagnosticReport/{report}"))
    return [one["meta"]["versionId"] for one in found]


@contextmanager
def forwarding(folder: Path, url: str) -> Iterator[tuple[Outbox, Callable[..., None], list[str]]]:
    """Give an outbox, what sends all of it, and what was told."""
    told: list[str] = []
    outbox, to = Outbox(folder / "outbox.sqlite3"), FhirServer(url)
    forwarder = Forwarder(outbox, to, policy=HASTE, alarm=told.append)

    def drain(until: Callable[[], object] = lambda: False) -> None:
        end = time.monotonic() + ENOUGH_SECONDS
        while not until() and outbox.next(float("inf")) is not None:
            assert time.monotonic() < end
            if not forwarder.step():
                time.sleep(0.02)

    try:
        yield outbox, drain, told
    finally:
        to.close()
        outbox.close()


def put(store: Store, outbox: Outbox, *reviews: dermreport.Review, **options: Any) -> None:
    for review in reviews:
        store.give_host_records(store.report(review).to_dict())
        outbox.put(message_of(review, **options), time.time())


# --- the tests


@pytest.mark.parametrize("harm", ["", CUT, LOST, TWICE])
def test_whatever_happens_on_the_way_a_report_takes_effect_once(store: Store, tmp_path: Path, harm: str) -> None:
    review = reviewed(f"forward-{harm or 'well'}")
    with harmful(store.server.url, harm) as proxy, forwarding(tmp_path, proxy.url) as (outbox, drain, told):
        put(store, outbox, review)
        drain()
        for late in proxy.late:
            assert proxy.ask(*late)[0] == 200
        asked = [method for method, _ in proxy.done]
    assert asked == {"": ["POST"], CUT: ["POST", "GET", "POST"], LOST: ["POST", "GET"], TWICE: ["POST"]}[harm]
    (report,) = versions(store, "DiagnosticReport", number(review))
    assert made_by(store, report["id"]) == ["1"]
    (request,) = store.server.search("ServiceRequest", ("requisition", "|".join(number(review))))
    assert (request["status"], request["priority"], request["meta"]["versionId"]) == ("active", "urgent", "1")
    assert told == []


def replaced(store: Store, review: dermreport.Review) -> Version:
    """Return the version of a report that the server has now."""
    there = store.the("DiagnosticReport", number(review))
    return Version(f"DiagnosticReport/{there['id']}", f'W/"{there["meta"]["versionId"]}"')


def test_a_revision_that_replaces_a_version_and_whose_answer_is_lost_is_no_conflict(
    store: Store, tmp_path: Path
) -> None:
    first = routine("forward-match")
    later = reviewed("forward-match", status="amended", revision=2)
    with harmful(store.server.url, "", LOST) as proxy, forwarding(tmp_path, proxy.url) as (outbox, drain, told):
        put(store, outbox, first)
        drain()
        version = replaced(store, first)
        put(store, outbox, later, earlier=first, replaces=version)
        drain()
        assert outbox.counts()[State.STORED] == 2
    assert told == []
    history = versions(store, "DiagnosticReport", number(later))
    assert [one["status"] for one in history] == ["amended", "final"]
    # Sent again without asking, as a plain retry would do, the same is a conflict with itself.
    again = message_of(later, earlier=first, replaces=version).body
    assert store.server.send("POST", "", again.decode()).status in {409, 412}


def test_what_somebody_else_changed_is_told_to_a_person_and_not_overwritten(store: Store, tmp_path: Path) -> None:
    first = routine("forward-changed")
    later = reviewed("forward-changed", status="amended", revision=2)
    with forwarding(tmp_path, store.server.url) as (outbox, drain, told):
        put(store, outbox, first)
        drain()
        version = replaced(store, first)
        theirs = store.the("DiagnosticReport", number(first))
        assert store.server.put(theirs | {"conclusion": "Changed by somebody else"}).status == 200
        put(store, outbox, later, earlier=first, replaces=version)
        # This server says 409, as HTTP lets it: that is tried again, and then told; it is urgent, so tried on.
        drain(until=lambda: told)
        counts = outbox.counts()
    assert counts[State.STORED] == 1
    assert told[0].startswith("URGENT, not stored")
    assert versions(store, "DiagnosticReport", number(first))[0]["conclusion"] == "Changed by somebody else"


def test_what_the_server_refuses_is_told_and_the_others_go_on(store: Store, tmp_path: Path) -> None:
    wrong, right = reviewed("forward-refused"), reviewed("forward-right")
    with forwarding(tmp_path, store.server.url) as (outbox, drain, told):
        # Its patient isn't on the server.
        outbox.put(message_of(wrong), time.time())
        put(store, outbox, right)
        drain()
        (waiting,) = outbox.for_person()
        assert outbox.counts()[State.STORED] == 1
    assert waiting.status in {400, 404, 409, 412, 422}
    assert len(told) == 1
    assert "forward-refused" in waiting.text
    assert "forward-refused" not in told[0]
    assert store.server.count("DiagnosticReport", ("identifier", "|".join(number(wrong)))) == 0


def test_a_forwarder_that_is_killed_again_and_again_sends_everything_once(store: Store, tmp_path: Path) -> None:
    reviews = [
        *(routine("forward-killed", f"r-{place}") for place in range(20)),
        *(reviewed("forward-killed", f"u-{place}") for place in range(5)),
    ]
    revised = routine("forward-killed", "r-0", status="amended", revision=2, examined="2026-05-04T10:15:00+02:00")
    outbox = Outbox(tmp_path / "outbox.sqlite3")
    put(store, outbox, *reviews)
    put(store, outbox, revised, earlier=reviews[0])
    with harmful(store.server.url, *[LOST, "", "", CUT] * 3) as proxy:
        kills = 0
        while outbox.counts()[State.WAITING]:
            running = run(tmp_path, proxy.url)
            target = outbox.counts()[State.STORED] + 5
            end = time.monotonic() + ENOUGH_SECONDS
            while outbox.counts()[State.STORED] < min(target, len(reviews) + 1):
                assert time.monotonic() < end
                assert running.poll() is None
                time.sleep(0.01)
            running.send_signal(signal.SIGKILL)
            running.wait()
            kills += 1
    assert kills >= 5
    assert outbox.counts() | {} == {State.WAITING: 0, State.STORED: 26, State.PERSON: 0, State.DROPPED: 0}
    outbox.close()
    for review in reviews:
        history = versions(store, "DiagnosticReport", number(review))
        first = number(review) == number(revised)
        assert [one["status"] for one in history] == (["amended", "final"] if first else ["final"])
        assert made_by(store, history[0]["id"]) == ["1"] * (2 if first else 1)


def run(folder: Path, url: str) -> subprocess.Popen[bytes]:
    environment = {**os.environ, "PYTHONPATH": f"{ROOT}{os.pathsep}{HOSTS}"}
    with (folder / "log").open("ab") as log:
        return subprocess.Popen(
            [sys.executable, "-m", "forwarder", "run", url], cwd=folder, env=environment, stderr=log
        )
