"""The log: one JSON object a line, of what this program knows by itself; nothing that was sent is in it.

Of other libraries' records only logger, level and the fixed text are written, for their values may be somebody's; but
where the server tells of itself, its values are in the text.
"""

from __future__ import annotations

import logging
import sys
from datetime import UTC, datetime
from typing import Any, Final

from dermreport.examination.reader import write_json

NAME: Final = "dermreport.http"
LOGGER: Final = logging.getLogger(NAME)
#: What uvicorn says of itself, with a process's number, a count, or where it listens: nothing that was sent. Another
#: text, as of another version of it, is written as it stands.
_OF_THE_SERVER: Final = frozenset(
    (
        "Started server process [%d]",
        "Finished server process [%d]",
        "Uvicorn running on socket %s (Press CTRL+C to quit)",
        "Cancel %s running task(s), timeout graceful shutdown exceeded",
    )
)


def log(level: int, event: str, **fields: str | float) -> None:
    """Write what happened.

    Args:
        level: As ``logging.INFO``.
        event: What it is.
        fields: What belongs to it: names of ours, counts and times.
    """
    if LOGGER.isEnabledFor(level):
        known = {"event": event, **fields}
        LOGGER.log(level, write_json(known), extra={"fields": known})


class JsonLines(logging.Formatter):
    """Each record as one JSON object."""

    def format(self, record: logging.LogRecord) -> str:
        """Return the line of a record."""
        known: dict[str, Any] = {
            "time": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname.lower(),
            "logger": record.name,
        }
        if record.name == NAME:
            return write_json({**known, **getattr(record, "fields", {})})
        kind = record.exc_info[0].__name__ if record.exc_info and record.exc_info[0] else None
        fixed = isinstance(record.msg, str) and (record.args or record.name.startswith("uvicorn"))
        own = record.name == "uvicorn.error" and isinstance(record.msg, str) and record.msg in _OF_THE_SERVER
        known["message"] = record.getMessage() if own else record.msg if fixed else type(record.msg).__name__
        return write_json({**known, "exception": kind} if kind else known)


def log_to_standard_error() -> None:
    """Write every record of the process, from information on, to standard error."""
    handler = logging.StreamHandler(sys.stderr)
    handler.setFormatter(JsonLines())
    logging.basicConfig(level=logging.INFO, handlers=[handler], force=True)
