"""The outbox: what has to go to the server, in a SQLite file that outlives a crash of this machine."""

from __future__ import annotations

import hashlib
import os
import sqlite3
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from enum import StrEnum
from pathlib import Path
from typing import Final

from forwarder.messages import Message


class State(StrEnum):
    """Where a message stands."""

    WAITING = "waiting"
    """It has to be sent."""
    STORED = "stored"
    """The server has it."""
    PERSON = "person"
    """Sending it again can't help: a person has to look."""
    DROPPED = "dropped"
    """A person looked, and took it out."""


class OutboxError(Exception):
    """What was asked can't be done; the text names no examination."""


class SameRevisionError(OutboxError):
    """This revision was put in with another content: what is changed needs a revision of its own."""


@dataclass(frozen=True, slots=True)
class Row:
    """A message in the outbox.

    Attributes:
        id: Its number here: the only name that goes into a log.
        urgent: Whether it goes first.
        attempts: How often it failed by itself, while the server took others.
        tried: Whether it was sent before: perhaps the server has it.
        put_at: When it was put in, in seconds since 1970.
        proof: The resource that only this message brings.
        body: The transaction.
    """

    id: int
    urgent: bool
    attempts: int
    tried: bool
    put_at: float
    proof: str = field(repr=False)
    body: bytes = field(repr=False)


@dataclass(frozen=True, slots=True)
class Waiting:
    """A message for which a person has to look.

    Attributes:
        id: Its number.
        urgent: Whether it is urgent.
        status: What the server answered, ``None`` where it didn't.
        reason: Why it was given to a person.
        text: What the server said: it can quote the record.
    """

    id: int
    urgent: bool
    status: int | None
    reason: str
    text: str = field(repr=False)


_TABLES: Final = """
CREATE TABLE IF NOT EXISTS messages (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    key TEXT NOT NULL UNIQUE,
    stream TEXT NOT NULL,
    urgent INTEGER NOT NULL,
    proof TEXT NOT NULL,
    digest TEXT NOT NULL,
    body BLOB,
    state TEXT NOT NULL DEFAULT 'waiting',
    attempts INTEGER NOT NULL DEFAULT 0,
    tried INTEGER NOT NULL DEFAULT 0,
    put_at REAL NOT NULL,
    not_before REAL NOT NULL,
    ended_at REAL,
    status INTEGER,
    reason TEXT NOT NULL DEFAULT '',
    text TEXT NOT NULL DEFAULT ''
) STRICT;
CREATE INDEX IF NOT EXISTS messages_by_stream ON messages (stream, state, id);
CREATE INDEX IF NOT EXISTS messages_by_state ON messages (state, not_before);
CREATE TABLE IF NOT EXISTS gate (
    one INTEGER PRIMARY KEY CHECK (one = 1),
    not_before REAL NOT NULL,
    failures INTEGER NOT NULL
) STRICT;
INSERT OR IGNORE INTO gate VALUES (1, 0, 0);
"""

#: A stream with something urgent goes first, from its oldest message on. An earlier revision that waits holds the later
#: ones; one that a person has to look at holds them too, for a later one withdraws only what the one before it had, but
#: never an urgent one.
_NEXT: Final = """
SELECT id, urgent, attempts, tried, put_at, proof, body FROM messages AS m
WHERE state = 'waiting' AND not_before <= :now AND NOT EXISTS (
    SELECT 1 FROM messages AS e WHERE e.stream = m.stream AND e.id < m.id
    AND (e.state = 'waiting' OR (e.state = 'person' AND NOT m.urgent))
)
ORDER BY EXISTS (
    SELECT 1 FROM messages AS u WHERE u.stream = m.stream AND u.state = 'waiting' AND u.urgent
) DESC, id LIMIT 1
"""


class Outbox:
    """An outbox in a file; any number of processes may put into it, one at a time sends from it."""

    def __init__(self, path: Path) -> None:
        """Open the file, or make it: only its owner can read it, for it holds records of patients."""
        self._path = path
        os.close(os.open(path, os.O_CREAT | os.O_RDWR, 0o600))
        self._db = sqlite3.connect(path, timeout=30, isolation_level=None)
        # What was acknowledged is on the disk, and what was deleted is overwritten.
        for pragma in ("synchronous = FULL", "secure_delete = ON"):
            self._db.execute(f"PRAGMA {pragma}")
        self._db.executescript(_TABLES)

    def close(self) -> None:
        """Close the file."""
        self._db.close()

    @contextmanager
    def _change(self) -> Iterator[None]:
        self._db.execute("BEGIN IMMEDIATE")
        try:
            yield
        except BaseException:
            self._db.execute("ROLLBACK")
            raise
        self._db.execute("COMMIT")

    @contextmanager
    def only_sender(self) -> Iterator[None]:
        """Hold the right to send; it ends with the process, however that ends.

        Raises:
            OutboxError: Another process holds it.
        """
        lock = sqlite3.connect(f"{self._path}.sender", timeout=0, isolation_level=None)
        try:
            try:
                lock.execute("BEGIN EXCLUSIVE")
            except sqlite3.OperationalError:
                raise OutboxError("another process sends from this outbox") from None
            yield
        finally:
            lock.close()

    def put(self, message: Message, now: float) -> int:
        """Put a message in, and return its number; the same message again changes nothing.

        Raises:
            SameRevisionError: There is a message of the same revision with another content.
        """
        digest = hashlib.sha256(message.body).hexdigest()
        with self._change():
            there = self._db.execute("SELECT id, digest FROM messages WHERE key = ?", (message.key,)).fetchone()
            if there is not None:
                if there[1] != digest:
                    raise SameRevisionError(
                        "this revision is there with another content: a change needs a new revision"
                    )
                return int(there[0])
            made = self._db.execute(
                "INSERT INTO messages (key, stream, urgent, proof, digest, body, put_at, not_before) "
                "VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
                (message.key, message.stream, message.urgent, message.proof, digest, message.body, now, now),
            )
            return int(made.lastrowid or 0)

    def next(self, now: float) -> Row | None:
        """Return the message to send now."""
        found = self._db.execute(_NEXT, {"now": now}).fetchone()
        if found is None:
            return None
        number, urgent, attempts, tried, *rest = found
        return Row(number, bool(urgent), attempts, bool(tried), *rest)

    def holds_urgent(self, number: int) -> bool:
        """Return whether an urgent message waits behind this one."""
        (found,) = self._db.execute(
            "SELECT EXISTS (SELECT 1 FROM messages AS m, messages AS u WHERE m.id = ? AND u.stream = m.stream "
            "AND u.id > m.id AND u.state = 'waiting' AND u.urgent)",
            (number,),
        ).fetchone()
        return bool(found)

    def urgent_since(self) -> tuple[int, float] | None:
        """Return the number of the urgent message that waits longest, and since when."""
        found: tuple[int, float] | None = self._db.execute(
            "SELECT id, put_at FROM messages WHERE state IN ('waiting', 'person') AND urgent ORDER BY put_at LIMIT 1"
        ).fetchone()
        return found

    def trying(self, number: int) -> None:
        """Note that a message is about to be sent: from now on, perhaps the server has it."""
        self._db.execute("UPDATE messages SET tried = 1 WHERE id = ?", (number,))

    def stored(self, number: int, now: float) -> None:
        """Note that the server has a message, whose body is then deleted."""
        self._db.execute(
            "UPDATE messages SET state = 'stored', body = NULL, text = '', ended_at = ? WHERE id = ?", (now, number)
        )

    def later(self, number: int, not_before: float, status: int | None, *, counts: bool) -> None:
        """Note that a message wasn't taken, when to send it again, and whether that counts against it."""
        self._db.execute(
            "UPDATE messages SET attempts = attempts + ?, not_before = ?, status = ? WHERE id = ?",
            (counts, not_before, status, number),
        )

    def to_person(self, number: int, reason: str, status: int | None, text: str) -> None:
        """Give a message to a person."""
        self._db.execute(
            "UPDATE messages SET state = 'person', reason = ?, status = ?, text = ? WHERE id = ?",
            (reason, status, text, number),
        )

    def for_person(self) -> list[Waiting]:
        """Return the messages for which a person has to look, urgent ones first."""
        rows = self._db.execute(
            "SELECT id, urgent, status, reason, text FROM messages WHERE state = 'person' ORDER BY urgent DESC, id"
        )
        return [Waiting(number, bool(urgent), *rest) for number, urgent, *rest in rows]

    def again(self, number: int, now: float) -> None:
        """Send a message again that a person has looked at.

        Raises:
            OutboxError: It doesn't wait for a person, or a later revision is stored, which an older one would replace.
        """
        with self._change():
            self._must_be(number, State.PERSON)
            (newer,) = self._db.execute(
                "SELECT EXISTS (SELECT 1 FROM messages AS m, messages AS n WHERE m.id = ? AND n.stream = m.stream "
                "AND n.id > m.id AND n.state = 'stored')",
                (number,),
            ).fetchone()
            if newer:
                raise OutboxError("a later revision is stored: enter a new revision and drop this one")
            self._db.execute(
                "UPDATE messages SET state = 'waiting', attempts = 0, not_before = ? WHERE id = ?",
                (now, number),
            )
            self._db.execute("UPDATE gate SET not_before = 0")

    def drop(self, number: int, reason: str, now: float) -> None:
        """Take a message out that a person has looked at, in either state that isn't an end; the reason is kept.

        Raises:
            OutboxError: It isn't there any more, or no reason is given.
        """
        if not reason.strip():
            raise OutboxError("why a message is dropped has to be said")
        with self._change():
            self._must_be(number, State.PERSON, State.WAITING)
            self._db.execute(
                "UPDATE messages SET state = 'dropped', reason = ?, body = NULL, text = '', ended_at = ? WHERE id = ?",
                (reason, now, number),
            )

    def _must_be(self, number: int, *states: State) -> None:
        found = self._db.execute("SELECT state FROM messages WHERE id = ?", (number,)).fetchone()
        if found is None or found[0] not in states:
            raise OutboxError(f"no message of this number is {' or '.join(states)}")

    def gate(self) -> tuple[float, int]:
        """Return before when nothing is sent, and how often in a row the server took nothing."""
        not_before, failures = self._db.execute("SELECT not_before, failures FROM gate").fetchone()
        return float(not_before), int(failures)

    def shut(self, not_before: float) -> None:
        """Send nothing before a time."""
        self._db.execute("UPDATE gate SET not_before = ?, failures = failures + 1", (not_before,))

    def open(self) -> None:
        """Note that the server takes messages."""
        self._db.execute("UPDATE gate SET not_before = 0, failures = 0 WHERE failures > 0")

    def counts(self) -> dict[State, int]:
        """Return how many messages stand where."""
        found = Counter(dict(self._db.execute("SELECT state, count(*) FROM messages GROUP BY state")))
        return {state: found[state.value] for state in State}
