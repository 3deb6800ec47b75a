"""Which software made a report."""

from __future__ import annotations

from typing import Final

from dermreport import __version__
from dermreport.publication import CANONICAL_BASE

NAME: Final = "dermreport"
VERSION: Final[str] = __version__
#: System of the identifiers of software, vocabulary and rules: ``name|version``.
SYSTEM: Final = f"{CANONICAL_BASE}/software"
