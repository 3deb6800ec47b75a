"""The forwarder on the command line: ``python -m forwarder --help``."""

from __future__ import annotations

import argparse
import logging
import os
import signal
import sys
import threading
import time
from collections.abc import Mapping
from contextlib import closing
from pathlib import Path

import dermreport
from forwarder.forwarding import Forwarder
from forwarder.messages import message_of
from forwarder.outbox import Outbox, OutboxError, State
from forwarder.sending import AddressError, FhirServer

#: A token for the server, for each request anew; a file or a keystore serves as well.
TOKEN = "FORWARDER_TOKEN"  # noqa: S105 - the name of a variable


def headers() -> Mapping[str, str]:
    """Return the headers that say who sends."""
    token = os.environ.get(TOKEN)
    return {} if token is None else {"Authorization": f"Bearer {token}"}


def put(outbox: Outbox, options: argparse.Namespace) -> int:
    """Put examinations in; their revisions in the order of the files, each with the one before it as the earlier."""
    former: dermreport.Review | None = None
    code = 0
    for file in options.files:
        try:
            review = _reviewed(file)
            earlier = former if former and former.examination.identifier == review.examination.identifier else None
            message = message_of(review, earlier=earlier, release=options.release)
            # What wasn't put in may be the revision before this one, which waits for it; what is urgent never waits.
            if code and not message.urgent:
                print(f"{file}: not put in, for a file before it wasn't: mend that one first", file=sys.stderr)
                continue
            print("message", outbox.put(message, time.time()), "urgent" if message.urgent else "")
        except (_NotPutInError, OutboxError, dermreport.DermReportError) as error:
            # Whatever is wrong with one file, the urgent ones behind it are put in.
            print(f"{file}: not put in. {_SEE_TO_IT}", error, sep="\n", file=sys.stderr)
            code = 3
            continue
        former = review
    return code


_SEE_TO_IT = "If something in it is urgent, see to it at once another way."


class _NotPutInError(Exception):
    """A file can't be read, or nothing of it can be held: its text says why, without anything of the record."""


def _reviewed(file: Path) -> dermreport.Review:
    try:
        entry = file.read_bytes()
    except OSError as error:
        raise _NotPutInError(error.strerror) from None
    held = dermreport.from_entry(entry)
    if held.examination is None:
        raise _NotPutInError("\n".join(map(str, held.issues)))
    return dermreport.review(held.examination)


def run(outbox: Outbox, options: argparse.Namespace) -> int:
    """Send until a signal comes."""
    stop = threading.Event()
    for number in (signal.SIGINT, signal.SIGTERM):
        signal.signal(number, lambda *_: stop.set())
    server = FhirServer(options.server, headers=headers)
    try:
        Forwarder(outbox, server).run(stop.wait)
    finally:
        server.close()
    return 0


def status(outbox: Outbox, _: argparse.Namespace) -> int:
    """Print how many messages stand where; 1 where a person has to look, for whatever watches this."""
    for state, count in outbox.counts().items():
        print(state, count)
    waiting = outbox.for_person()
    for one in waiting:
        print(f"message {one.id}{' URGENT' if one.urgent else ''}: status {one.status}, {one.reason}")
    return 1 if waiting else 0


def show(outbox: Outbox, options: argparse.Namespace) -> int:
    """Print what the server said of a message: it can quote the record, so for the person's eyes only."""
    for one in outbox.for_person():
        if one.id == options.id:
            print(one.text)
            return 0
    raise OutboxError("no message of this number is person")


def again(outbox: Outbox, options: argparse.Namespace) -> int:
    """Send a message again."""
    outbox.again(options.id, time.time())
    print("message", options.id, State.WAITING)
    return 0


def drop(outbox: Outbox, options: argparse.Namespace) -> int:
    """Take a message out."""
    outbox.drop(options.id, options.reason, time.time())
    print("message", options.id, State.DROPPED)
    return 0


def parser() -> argparse.ArgumentParser:
    """Return the commands."""
    made = argparse.ArgumentParser(prog="forwarder", description="Forwards reports to a FHIR server.")
    made.add_argument("--outbox", type=Path, default=Path("outbox.sqlite3"))
    commands = made.add_subparsers(required=True)
    one = commands.add_parser("put", help=put.__doc__)
    one.add_argument("files", type=Path, nargs="+")
    one.add_argument("--release", default="R4", choices=[str(one) for one in dermreport.Release])
    one.set_defaults(command=put)
    one = commands.add_parser("run", help=run.__doc__)
    one.add_argument("server")
    one.set_defaults(command=run)
    commands.add_parser("status", help=status.__doc__).set_defaults(command=status)
    for command in (show, again, drop):
        one = commands.add_parser(command.__name__, help=command.__doc__)
        one.add_argument("id", type=int)
        one.set_defaults(command=command)
    one.add_argument("reason")
    return made


def main(arguments: list[str] | None = None) -> int:
    """Run one command, and return the exit code: 2 where the call is wrong."""
    logging.basicConfig(level=logging.INFO, format="%(asctime)s %(levelname)s %(name)s %(message)s")
    options = parser().parse_args(arguments)
    try:
        with closing(Outbox(options.outbox)) as outbox:
            code: int = options.command(outbox, options)
    except (AddressError, OutboxError, dermreport.DermReportError) as error:
        print(f"forwarder: {error}", file=sys.stderr)
        return 2
    except OSError as error:
        print(f"forwarder: {error.strerror}: {error.filename}", file=sys.stderr)
        return 2
    return code


if __name__ == "__main__":
    sys.exit(main())
