"""How a public name goes: it works on for a while, and warns whoever uses it of what takes its place."""

from __future__ import annotations

import sys
import warnings


def deprecated(what: str, *, instead: str, until: str) -> None:
    """Warn that something public goes; the warning points to the line of the host's code.

    Args:
        what: What goes, as the host writes it: ``Settings(colour=…)``.
        instead: What takes its place, written the same way.
        until: The version of the library that no longer has it.
    """
    outside = 2
    frame = sys._getframe(1)  # noqa: SLF001 - the one way to find the host's line behind a dataclass's own constructor
    while frame.f_back is not None and str(frame.f_globals.get("__name__")).split(".")[0] == __name__.split(".")[0]:
        frame, outside = frame.f_back, outside + 1
    told = f"{what} goes with version {until}: use {instead}"
    warnings.warn(told, DeprecationWarning, stacklevel=outside)
