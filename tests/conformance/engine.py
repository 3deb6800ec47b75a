"""The reference validator as a process: built once by Maven, asked once for all files of a release."""

from __future__ import annotations

import json
import os
import subprocess
from pathlib import Path
from typing import Any

PROJECT = Path(__file__).parent / "validator"
JAR = PROJECT / "target" / "conformance.jar"
HOW = "needs Java 17 and Maven: DERMREPORT_ENGINES=required python -m pytest tests/conformance"


def asked_for() -> bool:
    """Whether this run asks for the engines: a missing one is then a failure, and without it the tests are skipped."""
    return os.environ.get("DERMREPORT_ENGINES") == "required"


def build() -> None:
    """Build the validator unless it is newer than its sources."""
    sources = [PROJECT / "pom.xml", *(PROJECT / "src").rglob("*.*")]
    if not JAR.exists() or JAR.stat().st_mtime < max(path.stat().st_mtime for path in sources):
        subprocess.run(["mvn", "-q", "-B", "package"], cwd=PROJECT, check=True)


def validate(release: str, files: list[Path], known: list[Path]) -> dict[str, list[dict[str, Any]]]:
    """Return the messages of warning and above for each file, by its path."""
    command = ["java", "-XX:+UseSerialGC", "-XX:TieredStopAtLevel=1", "-jar", str(JAR), release, *map(str, known)]
    done = subprocess.run(
        command, input="\n".join(map(str, files)) + "\n", capture_output=True, text=True, check=True, encoding="utf-8"
    )
    answers = [json.loads(line) for line in done.stdout.splitlines()]
    return {answer["file"]: answer["messages"] for answer in answers}
