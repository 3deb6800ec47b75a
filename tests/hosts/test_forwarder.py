"""The example of a forwarder: each answer of a server, what is lost on the way, who goes first, and who is told.

A scripted server answers on the loopback address; ``tests/conformance/test_forwarder.py`` asks a real one.
"""

from __future__ import annotations

import logging
import os
import random
import re
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from email.utils import format_datetime
from itertools import pairwise
from pathlib import Path

import pytest
from forwarder.answers import MEANINGS, Answer, Meaning, meaning_of, proves, seconds_asked
from forwarder.forwarding import Forwarder, Policy
from forwarder.messages import Message, Version, message_of
from forwarder.outbox import Outbox, OutboxError, State
from forwarder.sending import AddressError, FhirServer
from hosts.loopback import CUT, LOST, STORES, Scripted, Step, scripted
from hypothesis import given
from hypothesis import strategies as st

import dermreport

ROOT = Path(__file__).parent.parent.parent
EXAMPLES = ROOT / "examples"
POLICY = Policy()


def reviewed(name: str) -> dermreport.Review:
    return dermreport.review(dermreport.Examination.from_json((EXAMPLES / f"{name}.json").read_bytes()))


ROUTINE, OTHER = reviewed("usual"), reviewed("lip-brown-macule-benign")
URGENT = reviewed("back-melanoma-suspected-referred")
FIRST, SECOND = reviewed("forearm-revision-1-reassured"), reviewed("forearm-revision-2-amended-to-excision")


def number(review: dermreport.Review) -> str:
    value = review.examination.identifier.value
    assert value is not None
    return value


class Clock:
    """A clock that only the test moves."""

    def __init__(self) -> None:
        self.now = 1_800_000_000.0

    def __call__(self) -> float:
        return self.now


class Host:
    """A forwarder with its outbox, the time, what was told, and a scripted server."""

    def __init__(self, folder: Path, server: Scripted) -> None:
        self.path, self.server = folder / "outbox.sqlite3", server
        self.clock, self.told = Clock(), []
        self.start()

    def start(self) -> None:
        self.outbox, self.http = Outbox(self.path), FhirServer(self.server.url, read=2)
        self.forwarder = Forwarder(self.outbox, self.http, alarm=self.told.append, clock=self.clock, jitter=lambda: 1.0)

    def stop(self) -> None:
        self.http.close()
        self.outbox.close()

    def restart(self) -> None:
        self.stop()
        self.start()

    def put(self, *reviews: dermreport.Review, **options: object) -> list[int]:
        return [self.outbox.put(message_of(one, **options), self.clock()) for one in reviews]

    def drain(self) -> None:
        """Send all that is due now."""
        for _ in range(100):
            if not self.forwarder.step():
                return
        raise AssertionError("it sends without end")

    def after(self, seconds: float) -> None:
        """Let time pass in steps of a second."""
        end = self.clock.now + seconds
        while self.clock.now < end:
            self.clock.now += 1
            self.drain()

    def counts(self) -> dict[str, int]:
        return {state.value: count for state, count in self.outbox.counts().items() if count}


@pytest.fixture
def host(tmp_path: Path) -> Iterator[Host]:
    with scripted() as server:
        made = Host(tmp_path, server)
        yield made
        made.stop()


# --- what an answer means


def test_every_status_has_a_meaning_and_only_200_of_a_whole_answer_is_stored() -> None:
    whole = '{"resourceType":"Bundle","type":"transaction-response","entry":[{"response":{"status":"201"}}]}'
    meanings = {status: meaning_of(Answer(status, whole), 1) for status in range(100, 1000)}
    assert [status for status, meaning in meanings.items() if meaning is Meaning.STORED] == [200]
    assert {meanings[status] for status in (400, 410, 412, 413, 415, 422, 201, 999)} == {Meaning.PERSON}
    assert {status: meaning for status, meaning in meanings.items() if meaning is not Meaning.PERSON} == MEANINGS


@pytest.mark.parametrize(
    "text",
    [
        "",
        "<html>Sign in</html>",
        "[]",
        '{"resourceType":"Bundle","type":"transaction-response","entry":[]}',
        '{"resourceType":"Bundle","type":"batch-response","entry":[{"response":{"status":"201"}}]}',
        '{"resourceType":"Bundle","type":"transaction-response","entry":[{"response":{"status":"422"}}]}',
        '{"resourceType":"Bundle","type":"transaction-response","entry":[{"response":{}}]}',
    ],
)
def test_a_200_that_does_not_answer_each_entry_is_not_stored(text: str) -> None:
    assert meaning_of(Answer(200, text), 1) is Meaning.SETUP


@pytest.mark.parametrize(
    ("answer", "shown"),
    [
        (Answer(200, '{"resourceType":"Provenance","id":"a"}'), True),
        (Answer(200, '{"resourceType":"Provenance","id":"b"}'), None),
        (Answer(200, "<html>Sign in</html>"), None),
        (Answer(404), False),
        (Answer(410), True),
        (Answer(401), None),
        (Answer(None), None),
    ],
)
def test_only_the_resource_itself_proves_that_it_is_there(answer: Answer, shown: bool | None) -> None:  # noqa: FBT001
    assert proves(answer, "Provenance/a") is shown


def test_a_server_asks_to_wait_in_seconds_or_until_a_date() -> None:
    now = datetime(2026, 3, 4, 10, 0, tzinfo=UTC)
    later = format_datetime(now + timedelta(seconds=90), usegmt=True)
    for text, seconds in (("120", 120), (" 5 ", 5), (later, 90), (None, 0), ("soon", 0), ("-3", 0)):
        assert seconds_asked(text, now.timestamp()) == seconds
    assert seconds_asked(format_datetime(now - timedelta(days=1), usegmt=True), now.timestamp()) == 0


def test_addresses_are_encrypted_or_of_this_machine() -> None:
    for good in ("https://fhir.example/r4", "http://127.0.0.1:8080/fhir", "http://[::1]/fhir", "http://localhost/f"):
        FhirServer(good).close()
    for bad in (
        "http://fhir.example/r4",
        "http://127.0.0.1.example/",
        "ftp://127.0.0.1/",
        "fhir.example",
        "",
        "https://",
        "https:///r4",
        "https://[::1",
        "https://fhir.example:x/r4",
        "https://fhir.example:99999/r4",
    ):
        with pytest.raises(AddressError) as error:
            FhirServer(bad)
        assert "example" not in str(error.value)


# --- stored once


def test_a_report_is_stored_and_its_body_leaves_the_file(host: Host) -> None:
    host.put(URGENT)
    assert b"Observation" in host.path.read_bytes()
    host.drain()
    assert host.server.stored == [(number(URGENT), "final")]
    assert host.counts() == {"stored": 1}
    assert b"Observation" not in host.path.read_bytes()
    assert host.path.stat().st_mode & 0o077 == 0


def test_what_is_sent_is_the_bundle_of_the_library(host: Host) -> None:
    host.put(ROUTINE)
    host.drain()
    sent = dermreport.to_fhir(ROUTINE).bundle("transaction").to_json()
    import json

    assert host.server.posts == [json.loads(sent)]


def test_putting_twice_sends_once_and_another_content_needs_a_new_revision(host: Host) -> None:
    (first,), (again,) = host.put(ROUTINE), host.put(ROUTINE)
    assert first == again
    host.drain()
    assert host.put(ROUTINE) == [first]
    host.drain()
    assert len(host.server.posts) == 1
    message = message_of(ROUTINE)
    changed = Message(message.key, message.stream, message.urgent, message.proof, message.body + b" ")
    with pytest.raises(OutboxError) as error:
        host.outbox.put(changed, 0)
    assert number(ROUTINE) not in str(error.value)


@pytest.mark.parametrize(
    "lost", [LOST, LOST._replace(status=504), LOST._replace(status=500), LOST._replace(status=200, body=b"<html>")]
)
def test_a_lost_answer_has_no_second_effect(host: Host, lost: Step) -> None:
    host.server.script = [lost]
    host.put(ROUTINE)
    host.after(30)
    assert host.counts() == {"stored": 1}
    assert len(host.server.posts) == len(host.server.stored) == 1
    assert host.server.gets == [message_of(ROUTINE).proof]


def test_what_never_arrived_is_sent_again(host: Host) -> None:
    host.server.script = [CUT, CUT]
    host.put(ROUTINE)
    host.after(30)
    assert host.counts() == {"stored": 1}
    assert len(host.server.posts) == 3
    assert len(host.server.stored) == 1


def test_a_sign_in_page_in_place_of_the_proof_is_not_taken_for_it(host: Host) -> None:
    host.server.script, host.server.lookups = [CUT], [Step(200, body=b"<html>Sign in</html>")]
    host.put(ROUTINE)
    host.drain()
    host.after(3)
    assert host.counts() == {"waiting": 1}
    host.after(60)
    assert host.counts() == {"stored": 1}
    assert len(host.server.stored) == 1


def test_a_later_revision_whose_answer_was_lost_is_no_conflict_with_itself(host: Host) -> None:
    """Sent again with its If-Match, the server would answer 412, for the version is its own."""
    host.put(SECOND, replaces=Version("DiagnosticReport/17", 'W/"1"'))
    host.server.script = [LOST, Step(412)]
    host.after(30)
    assert host.counts() == {"stored": 1}
    assert host.told == []


@pytest.mark.parametrize("stores", [True, False])
def test_a_crash_before_the_answer_is_settled_by_asking(host: Host, stores: bool) -> None:  # noqa: FBT001
    (row,) = host.put(ROUTINE)
    host.outbox.trying(row)
    if stores:
        host.http.post(message_of(ROUTINE).body)
    host.restart()
    host.drain()
    assert host.counts() == {"stored": 1}
    assert len(host.server.stored) == len(host.server.posts) == 1


def test_only_one_process_sends(host: Host) -> None:
    other = Outbox(host.path)
    with host.outbox.only_sender(), pytest.raises(OutboxError), other.only_sender():
        pass
    with other.only_sender():
        other.put(message_of(ROUTINE), 0)
    other.close()


# --- waiting and giving up


def test_409_is_retried_with_growing_waits_and_nobody_is_called(host: Host) -> None:
    host.server.script = [Step(409)] * 4
    host.put(ROUTINE)
    times = []
    for _ in range(60):
        before = len(host.server.posts)
        host.drain()
        if len(host.server.posts) > before:
            times.append(host.clock.now)
        host.clock.now += 1
    assert [later - sooner for sooner, later in pairwise(times)] == [2, 4, 8, 16]
    assert host.counts() == {"stored": 1}
    assert host.told == []


@pytest.mark.parametrize("status", [409, 500])
def test_what_fails_by_itself_too_often_goes_to_a_person_and_the_others_go_on(host: Host, status: int) -> None:
    host.server.script = [Step(status), STORES, *[Step(status)] * 50]
    host.put(ROUTINE, OTHER)
    host.after(4000)
    assert host.counts() == {"person": 1, "stored": 1}
    assert len(host.server.posts) == POLICY.attempts + 1
    assert "failed too often" in host.told[0]
    assert f"status {status}" in host.told[0]


@pytest.mark.parametrize("status", [400, 410, 412, 413, 422, 418, 501])
def test_what_is_refused_is_told_at_once_and_never_sent_again_by_itself(host: Host, status: int) -> None:
    secret = b'{"resourceType":"OperationOutcome","issue":[{"diagnostics":"p-1042"}]}'
    host.server.script = [Step(status, body=secret)]
    (row,) = host.put(ROUTINE)
    host.after(4000)
    assert len(host.server.posts) == 1
    assert host.counts() == {"person": 1}
    # Told once, and reminded after an hour.
    assert [f"message {row} needs a person" in one for one in host.told] == [True, True]
    assert "p-1042" not in "".join(host.told)
    (waiting,) = host.outbox.for_person()
    assert "p-1042" in waiting.text
    assert "p-1042" not in repr(waiting)


@pytest.mark.parametrize("status", [None, 408, 425, 429, 502, 503, 504])
def test_while_the_server_takes_nothing_everything_waits_and_nothing_is_given_up(
    host: Host, status: int | None
) -> None:
    host.server.script = [Step(status)] * 30
    host.put(ROUTINE, OTHER)
    host.after(1200)
    sent = len(host.server.posts)
    assert sent < 15
    assert host.counts() == {"waiting": 2}
    host.server.script = []
    host.after(1200)
    assert host.counts() == {"stored": 2}
    assert len(host.server.stored) == 2


def test_an_outage_that_lasts_is_told_once_an_hour(host: Host) -> None:
    host.server.script = [Step(503)] * 500
    host.put(ROUTINE)
    host.after(4 * 3600)
    assert 1 <= len(host.told) <= 4
    assert all("took nothing" in one for one in host.told)
    assert host.counts() == {"waiting": 1}


@pytest.mark.parametrize("status", [301, 302, 401, 403, 404])
def test_a_wrong_address_or_credential_is_told_at_once_and_mended_without_loss(host: Host, status: int) -> None:
    host.server.script = [Step(status, headers=(("Location", "http://127.0.0.1:1/elsewhere"),))]
    host.put(ROUTINE)
    host.drain()
    assert len(host.told) == 1
    assert f"status {status}" in host.told[0]
    host.after(30)
    assert host.counts() == {"stored": 1}


@pytest.mark.parametrize("status", [429, 503])
def test_the_server_says_how_long_to_wait_within_limits(host: Host, status: int) -> None:
    for asked, waits in (("30", 30), ("999999", POLICY.longest_wait)):
        host.server.script = [Step(status, headers=(("Retry-After", asked),))]
        host.put(ROUTINE if asked == "30" else OTHER)
        host.drain()
        sent = len(host.server.posts)
        host.after(waits - 1)
        assert len(host.server.posts) == sent
        host.after(5)
        assert len(host.server.posts) == sent + 1
    assert host.counts() == {"stored": 2}


def test_no_server_makes_an_urgent_one_wait_longer_than_a_minute(host: Host) -> None:
    host.server.script = [Step(503, headers=(("Retry-After", "86400"),))]
    host.put(URGENT)
    host.drain()
    host.after(POLICY.longest_wait_urgent + POLICY.first_wait)
    assert host.counts() == {"stored": 1}


def test_one_message_that_breaks_its_connection_holds_no_other_up(host: Host) -> None:
    poisoned, other = message_of(ROUTINE), message_of(OTHER)
    host.outbox.put(poisoned, host.clock())
    host.outbox.put(other, host.clock())
    host.server.script = [CUT, STORES]
    host.after(10)
    assert host.counts()["stored"] >= 1
    assert host.server.stored[0] == (number(OTHER), "final")


@given(st.integers(0, 100_000), st.floats(0, 1), st.booleans(), st.none() | st.integers(0, 10**12))
def test_every_wait_is_between_a_half_and_the_limit(
    failures: int,
    jitter: float,
    urgent: bool,  # noqa: FBT001
    asked: int | None,
) -> None:
    forwarder = Forwarder(None, None, jitter=lambda: jitter, clock=lambda: 0.0)
    answer = Answer(503, retry_after=None if asked is None else str(asked))
    wait = forwarder._wait(failures, answer, urgent=urgent)
    limit = POLICY.longest_wait_urgent if urgent else POLICY.longest_wait
    assert POLICY.first_wait / 2 <= wait <= limit
    assert wait >= min(limit, asked or 0)


# --- order


def test_urgent_ones_go_first(host: Host) -> None:
    host.put(ROUTINE, OTHER, URGENT)
    host.drain()
    assert [value for value, _ in host.server.stored] == [number(one) for one in (URGENT, ROUTINE, OTHER)]


def test_revisions_keep_their_order_though_the_later_one_is_urgent(host: Host) -> None:
    assert not message_of(FIRST).urgent
    assert message_of(SECOND, earlier=FIRST).urgent
    host.put(ROUTINE, FIRST)
    host.put(SECOND, earlier=FIRST)
    host.server.script = [Step(409)]
    host.after(10)
    assert host.server.stored == [(number(ROUTINE), "final"), (number(FIRST), "final"), (number(SECOND), "amended")]


def test_a_refused_revision_holds_a_later_one_but_never_an_urgent_one(host: Host) -> None:
    host.server.script = [Step(412)]
    (refused,) = host.put(FIRST)
    host.drain()
    urgent = message_of(SECOND, earlier=FIRST)
    calm = Message(urgent.key, urgent.stream, urgent=False, proof=urgent.proof, body=urgent.body)
    (held,) = [host.outbox.put(calm, host.clock())]
    host.after(10)
    assert host.server.stored == []
    assert host.counts() == {"person": 1, "waiting": 1}
    host.outbox._db.execute("DELETE FROM messages WHERE id = ?", (held,))
    host.outbox.put(urgent, host.clock())
    host.drain()
    assert host.server.stored == [(number(SECOND), "amended")]
    # The older one would now replace it.
    with pytest.raises(OutboxError):
        host.outbox.again(refused, host.clock())
    host.outbox.drop(refused, "superseded", host.clock())
    assert host.counts() == {"dropped": 1, "stored": 1}


def test_an_earlier_revision_that_fails_by_itself_holds_an_urgent_one_only_a_while(host: Host) -> None:
    host.server.script = [Step(500)] * POLICY.attempts_urgent
    host.put(FIRST)
    host.put(SECOND, earlier=FIRST)
    host.after(120)
    assert host.server.stored == [(number(SECOND), "amended")]
    assert host.counts() == {"person": 1, "stored": 1}


def test_an_urgent_one_that_is_not_stored_is_told_so_that_somebody_telephones(host: Host) -> None:
    host.server.script = [Step(503)] * 1000
    host.put(ROUTINE, URGENT)
    host.after(POLICY.alarm_urgent - 1)
    assert host.told == []
    host.after(5)
    assert len(host.told) == 1
    assert host.told[0].startswith("URGENT")
    host.server.script = []
    host.after(120)
    assert host.counts() == {"stored": 2}


def test_an_urgent_one_that_fails_by_itself_is_told_and_tried_on(host: Host) -> None:
    host.server.script = [Step(500)] * (POLICY.attempts + 5)
    host.put(URGENT)
    host.after(900)
    assert len(host.server.posts) > POLICY.attempts
    assert host.told[0].startswith("URGENT, not stored: telephone.")
    host.after(600)
    assert host.counts() == {"stored": 1}


def test_a_corrected_urgent_revision_goes_though_the_urgent_one_before_it_fails(host: Host) -> None:
    host.server.script = [Step(500)] * POLICY.attempts_urgent
    urgent = message_of(SECOND, earlier=FIRST)
    host.outbox.put(urgent, host.clock())
    corrected = Message(urgent.key + " corrected", urgent.stream, urgent=True, proof="Provenance/b", body=urgent.body)
    host.outbox.put(corrected, host.clock())
    host.after(120)
    assert host.counts() == {"person": 1, "stored": 1}


def test_what_waits_can_be_dropped_too(host: Host) -> None:
    host.server.script = [Step(500)]
    (row,) = host.put(URGENT)
    host.drain()
    host.outbox.drop(row, "entered anew", host.clock())
    assert host.counts() == {"dropped": 1}
    with pytest.raises(OutboxError):
        host.outbox.drop(row, "again", host.clock())


def test_a_version_that_is_replaced_is_named_at_its_id_and_nothing_else_changes() -> None:
    import json

    plain = dermreport.to_fhir(SECOND, earlier=FIRST, if_match='W/"1"').bundle("transaction").to_json()
    made = message_of(SECOND, earlier=FIRST, replaces=Version("DiagnosticReport/17", 'W/"1"')).body.decode()
    report = json.dumps("DiagnosticReport?identifier=https://clinic.example/examinations|2026-0427")
    assert plain.count(f'"url":{report}') == 1
    assert made == plain.replace(f'"url":{report}', '"url":"DiagnosticReport/17"')
    assert (
        message_of(SECOND, earlier=FIRST).body.decode() == dermreport.to_fhir(SECOND, earlier=FIRST).bundle().to_json()
    )


def test_a_refused_urgent_one_says_so_first(host: Host) -> None:
    host.server.script = [Step(422)]
    host.put(URGENT)
    host.drain()
    assert host.told[0].startswith("URGENT, not stored: telephone.")


def test_a_person_sends_again_or_drops_with_a_reason(host: Host) -> None:
    host.server.script = [Step(422)]
    (row,) = host.put(ROUTINE)
    host.drain()
    for wrong in (lambda: host.outbox.drop(row, " ", 0), lambda: host.outbox.drop(99, "x", 0)):
        with pytest.raises(OutboxError):
            wrong()
    host.outbox.again(row, host.clock())
    host.drain()
    assert host.counts() == {"stored": 1}
    with pytest.raises(OutboxError):
        host.outbox.again(row, host.clock())


# --- many faults


@pytest.mark.parametrize("seed", range(8))
def test_under_random_faults_every_report_takes_effect_once_in_its_order(host: Host, seed: int) -> None:
    dice = random.Random(seed)  # noqa: S311 - faults, no secrets
    faults = [LOST, CUT, Step(429), Step(503), LOST._replace(status=502), STORES]
    script = [*(dice.choice(faults) for _ in range(9)), Step(409), Step(500), LOST._replace(status=500)]
    host.server.script = dice.sample(script, len(script))
    host.server.lookups = [Step(dice.choice([503, 500])) for _ in range(2)]
    host.put(ROUTINE, FIRST)
    host.put(SECOND, earlier=FIRST)
    host.put(URGENT, OTHER)
    for _ in range(6):
        host.after(dice.randrange(200))
        host.restart()
    host.server.script, host.server.lookups = [], []
    host.after(1500)
    assert host.counts() == {"stored": 5}
    assert sorted(value for value, _ in host.server.stored) == sorted(
        number(one) for one in (ROUTINE, FIRST, SECOND, URGENT, OTHER)
    )
    assert [status for value, status in host.server.stored if value == number(FIRST)] == ["final", "amended"]


# --- nothing of a record


def test_nothing_of_a_record_is_in_a_log_an_alarm_or_a_text(host: Host, caplog: pytest.LogCaptureFixture) -> None:
    caplog.set_level(logging.DEBUG)
    host.server.script = [LOST, Step(409), Step(422, body=message_of(URGENT).body), Step(500), CUT]
    host.put(URGENT, ROUTINE, OTHER)
    host.after(60)
    texts = [*host.told, *(record.getMessage() for record in caplog.records), repr(message_of(URGENT))]
    texts += [repr(one) for one in host.outbox.for_person()]
    assert len(texts) > 5
    names = [number(one) for one in (URGENT, ROUTINE, OTHER)]
    names += [str(one.examination.patient.reference) for one in (URGENT, ROUTINE, OTHER)]
    assert [text for text in texts for name in names if name in text] == []


# --- the command line


def command(folder: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    environment = {**os.environ, "PYTHONPATH": f"{ROOT}{os.pathsep}{EXAMPLES / 'hosts'}"}
    return subprocess.run(
        [sys.executable, "-m", "forwarder", *arguments],
        cwd=folder,
        env=environment,
        capture_output=True,
        text=True,
        check=False,
    )


def cut(tmp_path: Path, file: Path) -> str:
    path = tmp_path / "broken.json"
    path.write_bytes(file.read_bytes()[:-9])
    return str(path)


def put_in_before(tmp_path: Path, file: Path) -> str:
    assert command(tmp_path, "put", str(file)).returncode == 0
    path = tmp_path / "other.json"
    path.write_bytes(file.read_bytes().replace(b'"final"', b'"draft"', 1))
    return str(path)


@pytest.mark.parametrize(
    ("broken", "words"),
    [
        (cut, "[entry-plan-not-known]"),
        (lambda folder, _: str(folder / "none.json"), "No such file"),
        (lambda folder, _: str(folder), "Is a directory"),
        (put_in_before, "needs a new revision"),
    ],
    ids=["nothing held", "no file", "a folder", "the same revision with another content"],
)
def test_a_file_that_is_not_put_in_holds_nothing_urgent_behind_it(
    tmp_path: Path, broken: Callable[[Path, Path], str], words: str
) -> None:
    urgent, calm, other = (
        EXAMPLES / f"{name}.json"
        for name in ("back-melanoma-suspected-referred", "usual", "forearm-revision-1-reassured")
    )
    name = broken(tmp_path, other)
    done = command(tmp_path, "put", name, str(calm), str(urgent))
    assert done.returncode == 3
    assert done.stdout.split()[::2] == ["message", "urgent"]
    assert f"{calm}: not put in" in done.stderr
    assert f"{name}: not put in. If something in it is urgent, see to it at once another way." in done.stderr
    assert done.stderr.count(words) == 1
    assert "Patient" not in done.stderr


def test_a_wrong_call_is_one_line_and_2(tmp_path: Path) -> None:
    missing, good = str(tmp_path / "no.json"), str(EXAMPLES / "usual.json")
    for arguments, said in (
        (("run", "http://fhir.example/r4"), "the server's address begins with https://"),
        (("run", "fhir.example"), "the server's address begins with https://"),
        (("--outbox", missing + "/o", "status"), f"No such file or directory: {missing}/o"),
    ):
        done = command(tmp_path, *arguments)
        assert done.returncode == 2, done.stderr
        (line,) = done.stderr.splitlines()
        assert line.startswith(f"forwarder: {said}")
    assert command(tmp_path, "put", good, "--release", "R3").returncode == 2
    # Nothing was put in.
    done = command(tmp_path, "status")
    assert (done.returncode, done.stdout.split()[1::2]) == (0, ["0"] * (len(done.stdout.split()) // 2))


def test_the_commands_of_a_day(tmp_path: Path) -> None:
    names = ("usual", "forearm-revision-1-reassured", "forearm-revision-2-amended-to-excision")
    files = [str(EXAMPLES / f"{name}.json") for name in names]
    done = command(tmp_path, "put", *files)
    assert done.returncode == 0, done.stderr
    assert [line.strip() for line in done.stdout.splitlines()] == ["message 1", "message 2", "message 3 urgent"]
    assert command(tmp_path, "put", str(tmp_path / "no.json")).returncode != 0
    with scripted([Step(422, body=b"said so")]) as server:
        environment = {**os.environ, "PYTHONPATH": f"{ROOT}{os.pathsep}{EXAMPLES / 'hosts'}"}
        log = tmp_path / "log"
        with log.open("w") as errors:
            running = subprocess.Popen(
                [sys.executable, "-m", "forwarder", "run", server.url], cwd=tmp_path, env=environment, stderr=errors
            )
            end = time.monotonic() + 60
            while len(server.stored) < 2 and time.monotonic() < end:
                time.sleep(0.05)
            running.send_signal(signal.SIGTERM)
            assert running.wait(timeout=30) == 0
    assert server.stored == [(number(SECOND), "amended"), (number(ROUTINE), "final")]
    assert "CRITICAL" in log.read_text()
    done = command(tmp_path, "status")
    assert done.returncode == 1
    assert "message 2: status 422" in done.stdout
    assert command(tmp_path, "show", "2").stdout == "said so\n"
    assert command(tmp_path, "again", "2").returncode == 2
    assert command(tmp_path, "drop", "2", "a later revision is stored").returncode == 0
    done = command(tmp_path, "status")
    assert done.returncode == 0
    assert re.findall(r"^(\w+) (\d+)$", done.stdout, re.MULTILINE) == [
        (state.value, {"stored": "2", "dropped": "1"}.get(state.value, "0")) for state in State
    ]
