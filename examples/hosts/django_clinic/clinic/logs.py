"""A log without patients: an exception is named with its place, never quoted."""

import logging
import traceback
from types import TracebackType


class Careful(logging.Formatter):
    """Writes the message, and of an exception its type and the lines of code: its text can quote what was entered."""

    def __init__(self) -> None:
        super().__init__("%(asctime)s %(levelname)s %(name)s %(message)s")

    def formatException(  # noqa: N802 - the name is the standard library's
        self, ei: tuple[type[BaseException], BaseException, TracebackType | None] | tuple[None, None, None]
    ) -> str:
        """Return the type and the places."""
        kind, _, trace = ei
        places = [f"  {one.filename}:{one.lineno} {one.name}" for one in traceback.extract_tb(trace)]
        return "\n".join((kind.__name__ if kind is not None else "", *places))
