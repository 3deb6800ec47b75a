"""A server that is killed in the middle of a batch of 200 reports: after a restart and a resend, all are there once.

This server is as its maker ships it: it has no package of ours, which shows too that nothing of ours is needed.
"""

from __future__ import annotations

import signal
import threading
from collections.abc import Iterator
from dataclasses import dataclass, replace
from http.client import HTTPException
from typing import Any

import pytest
from conformance import server
from conformance.server import Server, at_once
from conformance.server_reports import Known, Store, identifier_of, number, reviewed, short

import dermreport

REPORTS = 200
#: The server is killed when so many are acknowledged, with the others on their way.
KILLED_AFTER = 60
SENDERS = 4

PLAIN = dermreport.Settings()


def entry(position: int) -> dict[str, Any]:
    """Return one of many short examinations, of a few patients."""
    return short("clinic-batch", f"b-{position:03}", patient={"reference": f"Patient/batch-{position % 8}"})


KINDS = ("DiagnosticReport", "Observation", "BodyStructure", "ServiceRequest")


def contents(store: Store) -> dict[str, list[Known]]:
    """Return the identifiers of all that a server has of the reports, by type."""
    return {kind: sorted(map(identifier_of, store.server.search(kind, ("_count", "500")))) for kind in KINDS}


def sent_with(store: Store, reviews: list[dermreport.Review]) -> dict[str, list[Known]]:
    """Return what a server has when it has these reports whole, each once."""
    found: dict[str, list[Known]] = {kind: [] for kind in KINDS}
    for review in reviews:
        for made in store.report(review).to_dict()["entry"]:
            if made["resource"]["resourceType"] in found:
                found[made["resource"]["resourceType"]].append(identifier_of(made["resource"]))
    return {kind: sorted(known) for kind, known in found.items()}


@dataclass(frozen=True)
class Killed:
    """A server that was killed and started again on its database.

    Attributes:
        store: The server.
        reviews: The reports of the batch.
        acknowledged: Those that the sender knew to be stored when the server was killed.
    """

    store: Store
    reviews: list[dermreport.Review]
    acknowledged: set[Known]


@pytest.fixture(scope="module")
def killed(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Killed]:
    server.build()
    folder = tmp_path_factory.mktemp("killed")
    file, log = str(folder / "reports"), folder / "server.log"
    reviews = [reviewed(entry(position), PLAIN) for position in range(REPORTS)]
    acknowledged = send_until_killed(Server("R4", log, database=file), reviews)
    with Server("R4", log, database=file) as restarted:
        yield Killed(Store(restarted, "R4"), reviews, acknowledged)


def send_until_killed(running: Server, reviews: list[dermreport.Review]) -> set[Known]:
    """Send reports by several senders at once, kill the server on the way, and return what it acknowledged."""
    store = Store(running, "R4")
    for one in reviews[:8]:
        store.give_host_records(store.report(one).to_dict())
    acknowledged: set[Known] = set()
    enough = threading.Event()

    def send(one: dermreport.Review) -> None:
        try:
            answer = running.send("POST", "", store.report(one).to_json())
        except (OSError, HTTPException):
            # It was on its way when the server died, or came after that.
            assert enough.is_set()
            return
        assert answer.status == 200, answer.problems
        acknowledged.add(number(one))
        if len(acknowledged) >= KILLED_AFTER:
            enough.set()

    def kill() -> None:
        assert enough.wait(timeout=server.START_SECONDS)
        assert running.kill() == -signal.SIGKILL

    at_once([kill, *(lambda one=one: send(one) for one in reviews)], SENDERS + 1)
    return acknowledged


def test_nothing_acknowledged_is_lost_and_nothing_is_there_in_part(killed: Killed) -> None:
    assert KILLED_AFTER <= len(killed.acknowledged) < REPORTS
    found = contents(killed.store)
    there = set(found["DiagnosticReport"])
    assert killed.acknowledged <= there
    assert len(there) < REPORTS
    assert found == sent_with(killed.store, [one for one in killed.reviews if number(one) in there])


def test_all_are_stored_once_after_a_resend(killed: Killed) -> None:
    store = killed.store
    answers = at_once([lambda one=one: store.store(one) for one in killed.reviews], SENDERS)
    assert len(answers) == REPORTS
    expected = sent_with(store, killed.reviews)
    assert len(expected["DiagnosticReport"]) == REPORTS
    assert contents(store) == expected
    targets = [one["target"][0]["reference"] for one in store.server.search("Provenance", ("_count", "500"))]
    assert len(targets) == len(set(targets)) == REPORTS


def test_a_server_without_our_package_refuses_only_a_claim_to_our_profiles(killed: Killed) -> None:
    claiming = reviewed(entry(REPORTS), replace(PLAIN, claim_profiles=True))
    refused = killed.store.post(killed.store.report(claiming))
    assert refused.status == 422
    assert any("StructureDefinition/dermoscopy-" in one for one in refused.problems)
