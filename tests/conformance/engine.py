"""The reference engine as a process a release, built by Maven: it validates, and evaluates FHIRPath."""

from __future__ import annotations

import atexit
import json
import os
import subprocess
from collections.abc import Sequence
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Any

from conformance import building

PROJECT = Path(__file__).parent / "validator"
JAR = PROJECT / "target" / "conformance.jar"
#: The validator keeps packages in the user's home, and would fetch what isn't there: it has a home of its own.
HOME = PROJECT / "target" / "home"
COMMAND = ("java", f"-Duser.home={HOME}", "-XX:+UseSerialGC", "-jar", str(JAR))
HOW = "needs Java 17, Maven, Node and Chromium: DERMREPORT_ENGINES=required python -m pytest tests/conformance"


def asked_for() -> bool:
    """Whether this run asks for the engines: a missing one is then a failure, and without it the tests are skipped."""
    return os.environ.get("DERMREPORT_ENGINES") == "required"


def build() -> None:
    """Build the engine unless it is newer than its sources."""
    building.maven(PROJECT, JAR)


class Engine:
    """One process for one release: it answers each request line with a line."""

    def __init__(self, release: str) -> None:
        self._process = subprocess.Popen(
            [*COMMAND, release], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, encoding="utf-8"
        )

    def ask(self, request: str) -> Any:
        """Return the answer to a request in JSON, its decimals exact."""
        assert self._process.stdin is not None
        assert self._process.stdout is not None
        self._process.stdin.write(request + "\n")
        self._process.stdin.flush()
        answer = self._process.stdout.readline()
        if not answer:
            raise RuntimeError(f"the engine ended with {self._process.wait()}")
        return json.loads(answer, parse_float=Decimal)

    def stop(self) -> None:
        """End the process."""
        self._process.communicate(timeout=60)


@cache
def engine(release: str) -> Engine:
    """Return the engine of a release: started at its first use, stopped at the end of the run."""
    build()
    started = Engine(release)
    atexit.register(started.stop)
    return started


def validate(release: str, files: Sequence[Path], known: Sequence[Path]) -> dict[str, list[dict[str, Any]]]:
    """Return the messages of warning and above for each file, by its path.

    Args:
        release: R4, R4B or R5.
        files: What to validate, JSON or XML.
        known: Files, or folders of JSON files, of definitions to know besides those of the standard.
    """
    name = _told(release, tuple(known))
    paths = list(map(str, files))
    answers = engine(release).ask(json.dumps({"validate": paths, "as": name}))
    return dict(zip(paths, answers, strict=True))


@cache
def _told(release: str, known: tuple[Path, ...]) -> str:
    """Tell an engine once what it shall know, and return the name for it."""
    name = " ".join(map(str, known))
    engine(release).ask(json.dumps({"know": list(map(str, known)), "as": name}))
    return name
