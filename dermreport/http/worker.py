"""A process that works for the HTTP door: jobs come on standard input, answers go to standard output.

It ends when its input does, so it never outlives the door. A signal that stops the whole group is the door's matter:
what is being answered is answered. Nothing is written to a log or to standard error here, for a text of somebody
else's exception could hold what was sent.
"""

from __future__ import annotations

import os
import signal
import sys
import traceback
from pathlib import Path
from typing import IO, Final

import msgspec

from dermreport.examination.reader import write_json
from dermreport.fhir.releases import Release
from dermreport.http import media
from dermreport.http.answers import refused
from dermreport.http.messages import LENGTH, Host, Job, framed, host_of
from dermreport.http.work import done
from dermreport.profiles.operations import table
from dermreport.profiles.operations.refusals import FAILED

_PACKAGE: Final = Path(__file__).parent.parent


def work(jobs: IO[bytes], answers: IO[bytes]) -> None:
    """Read what the host decides, then answer jobs until there are no more.

    Args:
        jobs: Frames: what the host decides, then jobs.
        answers: Frames: an empty one when the process is ready, then one for each job.
    """
    host = host_of(_frame(jobs))
    _warm(host)
    decoder = msgspec.msgpack.Decoder(Job)
    _write(answers, b"")
    while content := _frame(jobs):
        job = decoder.decode(content)
        try:
            answer = done(job, host)
        except Exception as error:  # noqa: BLE001 - whatever it is, the door must answer
            made = refused(FAILED, job.accepts)
            answer = msgspec.structs.replace(made, failed=(type(error).__name__, place(error)))
        _write(answers, msgspec.msgpack.encode(answer))


def _warm(host: Host) -> None:
    """Load what is loaded on first use, so that the first request isn't slower than the others."""
    entry = {
        "identifier": {"system": "urn:x-dermreport:warming", "value": "1"},
        "status": "draft",
        "patient": {"reference": "Patient/1"},
        "examined": "2026-01-01",
    }
    body = write_json(entry).encode()
    for name in (media.FHIR_XML, media.FHIR_JSON):
        made = done(Job(table.REPORT.code, Release.R4, media.JSON, name, {}, body), host)
        done(Job(table.READ.code, Release.R4, made.media, name, {}, made.content), host)
    done(Job(table.LETTER.code, Release.R4, media.JSON, media.TEXT, {}, body), host)


def place(error: BaseException) -> str:
    """Return the innermost place of ours at which something failed: file and line, never a text of it."""
    frames = [one for one in traceback.extract_tb(error.__traceback__) if _PACKAGE in Path(one.filename).parents]
    if not frames:
        return ""
    return f"{Path(frames[-1].filename).relative_to(_PACKAGE).as_posix()}:{frames[-1].lineno}"


def _frame(stream: IO[bytes]) -> bytes:
    """Return the next frame; nothing where the stream has ended."""
    head = stream.read(LENGTH.size)
    if len(head) < LENGTH.size:
        return b""
    (length,) = LENGTH.unpack(head)
    return stream.read(length)


def _write(stream: IO[bytes], content: bytes) -> None:
    stream.write(framed(content))
    stream.flush()


def main() -> None:
    """Work for the door that started this process."""
    for one in (signal.SIGINT, signal.SIGTERM):
        signal.signal(one, signal.SIG_IGN)
    # Whatever else writes to standard output must not get between the answers.
    answers = os.fdopen(os.dup(sys.stdout.fileno()), "wb")
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    try:
        work(sys.stdin.buffer, answers)
    except BrokenPipeError:
        # The door is gone.
        os._exit(0)
