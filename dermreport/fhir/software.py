"""Which software made a report."""

from __future__ import annotations

from typing import Final

from dermreport import __version__

NAME: Final = "dermreport"
VERSION: Final = __version__
