"""The form in a real browser: drawn by a general renderer, filled by the keyboard alone, checked by ``axe-core``."""

from __future__ import annotations

import json
import subprocess
from pathlib import Path
from typing import Any

from conformance import building

FOLDER = Path(__file__).parent / "browser"


def install() -> None:
    """Install renderer, driver and checker as locked, unless they are there."""
    building.npm(FOLDER)


def fill(
    questionnaire: dict[str, Any], steps: list[dict[str, Any]], release: str = "R4", screenshots: Path | None = None
) -> dict[str, Any]:
    """Draw a Questionnaire, fill it step by step, and return what came of it: see ``browser/form.mjs``."""
    task = {
        "questionnaire": questionnaire,
        "release": release,
        "steps": steps,
        "screenshots": str(screenshots) if screenshots is not None else None,
    }
    done = subprocess.run(
        ["node", str(FOLDER / "form.mjs")],
        input=json.dumps(task),
        capture_output=True,
        text=True,
        check=True,
        encoding="utf-8",
    )
    answer: dict[str, Any] = json.loads(done.stdout)
    return answer
