"""Sends what is in the outbox: waits longer after each failure, asks before it sends anew, tells a person loudly."""

from __future__ import annotations

import json
import logging
import random
import time
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final, Protocol

from forwarder.answers import MEANINGS, Answer, Meaning, meaning_of, proves, seconds_asked
from forwarder.outbox import Outbox, Row

LOG: Final = logging.getLogger("forwarder")
_TOO_OFTEN: Final = "it failed too often"


class Server(Protocol):
    """What is asked of a server."""

    def post(self, transaction: bytes) -> Answer:
        """Send a transaction."""

    def get(self, reference: str) -> Answer:
        """Ask for a resource."""


@dataclass(frozen=True, slots=True)
class Policy:
    """How patient it is; times in seconds. All are common practice, no source: agree on yours.

    Attributes:
        first_wait: After the first failure; doubled after each further one.
        longest_wait: At most so long, and no ``Retry-After`` asks for more.
        longest_wait_urgent: The same while something urgent waits.
        attempts: After it failed so often by itself, a message goes to a person.
        attempts_urgent: The same for one that an urgent one waits behind; an urgent one is told then, and tried on.
        alarm_urgent: An urgent message that isn't stored after so long is told to a person, who telephones.
        remind: What waits for a person is told again after so long.
    """

    first_wait: float = 2
    longest_wait: float = 600
    longest_wait_urgent: float = 60
    attempts: int = 12
    attempts_urgent: int = 4
    alarm_urgent: float = 300
    remind: float = 3600


def _log_alarm(text: str) -> None:
    LOG.critical(text)


class Forwarder:
    """Sends from an outbox to a server.

    Args:
        outbox: What to send.
        server: Where to.
        policy: How patient.
        alarm: Tells a person; the text has numbers of messages and statuses, nothing of a record. Give one that rings
            somewhere: a log that nobody reads is no alarm.
        clock: Seconds since 1970.
        jitter: A number from 0 to 1, so that many senders don't come back at the same moment.
    """

    def __init__(  # noqa: PLR0913 - what a program gives, by name only
        self,
        outbox: Outbox,
        server: Server,
        *,
        policy: Policy = Policy(),
        alarm: Callable[[str], None] = _log_alarm,
        clock: Callable[[], float] = time.time,
        jitter: Callable[[], float] = random.random,
    ) -> None:
        self._outbox = outbox
        self._server = server
        self._policy = policy
        self._alarm = alarm
        self._clock = clock
        self._jitter = jitter
        self._told: dict[str, float] = {}

    def run(self, wait: Callable[[float], bool], *, idle: float = 1) -> None:
        """Send until ``wait`` says to stop; one process at a time.

        Args:
            wait: Waits so many seconds, and returns whether to stop, as ``threading.Event().wait`` does.
            idle: How often to look for new messages.

        Raises:
            OutboxError: Another process sends from this outbox.
        """
        with self._outbox.only_sender():
            while not wait(0 if self.step() else idle):
                pass

    def step(self) -> bool:
        """Send at most one message, and return whether one was due."""
        now = self._clock()
        self._remind(now)
        row = self._outbox.next(now) if self._outbox.gate()[0] <= now else None
        if row is None:
            return False
        if not row.tried:
            self._send(row)
            return True
        # Perhaps the server stored it and its answer was lost.
        asked = self._server.get(row.proof)
        match proves(asked, row.proof):
            case True:
                LOG.info("message %d was stored before", row.id)
                self._stored(row)
            case False:
                self._send(row)
            case _:
                self._server_takes_nothing(row, asked, MEANINGS.get(asked.status or 0, Meaning.SERVER))
        return True

    def _send(self, row: Row) -> None:
        # Written down before it is sent: after a crash between the two the server is asked.
        self._outbox.trying(row.id)
        answer = self._server.post(row.body)
        meaning = meaning_of(answer, len(json.loads(row.body)["entry"]))
        LOG.info("message %d: status %s, %s", row.id, answer.status, meaning)
        match meaning:
            case Meaning.STORED:
                self._stored(row)
            case Meaning.LATER:
                self._outbox.open()
                self._later(row, answer)
            case Meaning.SERVER | Meaning.SETUP:
                self._server_takes_nothing(row, answer, meaning)
            case Meaning.PERSON:
                self._outbox.open()
                self._to_person(row, answer, "the server refuses it")

    def _stored(self, row: Row) -> None:
        self._outbox.stored(row.id, self._clock())
        self._outbox.open()

    def _later(self, row: Row, answer: Answer) -> None:
        if self._failed_too_often(row, answer):
            return
        wait = self._wait(row.attempts, answer, urgent=row.urgent or self._outbox.holds_urgent(row.id))
        self._outbox.later(row.id, self._clock() + wait, answer.status, counts=True)

    def _failed_too_often(self, row: Row, answer: Answer) -> bool:
        holds = self._outbox.holds_urgent(row.id)
        if row.attempts + 1 < (self._policy.attempts_urgent if row.urgent or holds else self._policy.attempts):
            return False
        if row.urgent and not holds:
            # A person is told, and it is tried on: nothing withholds what is urgent.
            self._tell(f"message {row.id}", self._about(row.id, answer.status, _TOO_OFTEN, urgent=True))
            return False
        self._to_person(row, answer, _TOO_OFTEN)
        return True

    def _server_takes_nothing(self, row: Row, answer: Answer, meaning: Meaning) -> None:
        failures = self._outbox.gate()[1]
        if meaning is Meaning.SETUP:
            self._tell("setup", f"the server refuses this sender or isn't at this address (status {answer.status})")
        elif failures + 1 >= self._policy.attempts:
            self._tell("outage", f"the server took nothing {failures + 1} times in a row (status {answer.status})")
        # Anything urgent that waits is as good a reason to hurry as this message.
        wait = self._wait(failures, answer, urgent=self._outbox.urgent_since() is not None)
        until = self._clock() + wait
        self._outbox.shut(until)
        # Where the server took the one before, perhaps only this message is too much for it: others go first next time,
        # and it counts. In an outage nothing counts.
        counts = failures == 0 and meaning is Meaning.SERVER
        if not (counts and self._failed_too_often(row, answer)):
            self._outbox.later(row.id, until + self._policy.first_wait, answer.status, counts=counts)

    def _wait(self, failures: int, answer: Answer, *, urgent: bool) -> float:
        longest = self._policy.longest_wait_urgent if urgent else self._policy.longest_wait
        # 2 to the 30th is longer than any limit, and no number grows without end.
        wait = min(longest, self._policy.first_wait * 2.0 ** min(failures, 30))
        spread = wait * (0.5 + self._jitter() / 2)
        return max(spread, min(longest, seconds_asked(answer.retry_after, self._clock())))

    def _to_person(self, row: Row, answer: Answer, reason: str) -> None:
        self._outbox.to_person(row.id, reason, answer.status, answer.text)
        self._tell(f"message {row.id}", self._about(row.id, answer.status, reason, urgent=row.urgent))

    @staticmethod
    def _about(number: int, status: int | None, reason: str, *, urgent: bool) -> str:
        first = "URGENT, not stored: telephone. " if urgent else ""
        return f"{first}message {number} needs a person: {reason} (status {status})"

    def _remind(self, now: float) -> None:
        for one in self._outbox.for_person():
            self._tell(f"message {one.id}", self._about(one.id, one.status, one.reason, urgent=one.urgent))
        oldest = self._outbox.urgent_since()
        if oldest is not None and now - oldest[1] >= self._policy.alarm_urgent:
            minutes = int((now - oldest[1]) // 60)
            self._tell("urgent", f"URGENT, not stored since {minutes} minutes: telephone. message {oldest[0]}")

    def _tell(self, about: str, text: str) -> None:
        now = self._clock()
        if about not in self._told or now - self._told[about] >= self._policy.remind:
            self._told[about] = now
            self._alarm(text)
