"""A real browser: forms drawn by a general renderer and filled by keyboard, pages looked at; ``axe-core`` checks."""

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
    answer: dict[str, Any] = _told("form.mjs", task)
    return answer


def look(pages: dict[str, Path], ways: dict[str, dict[str, Any]], folder: Path) -> dict[str, Any]:
    """Open pages in several ways, and return what a reader would meet in each: see ``browser/page.mjs``."""
    files = {name: str(path) for name, path in pages.items()}
    answer: dict[str, Any] = _told("page.mjs", {"pages": files, "ways": ways, "folder": str(folder)})
    return answer


def keys(page: Path, steps: list[dict[str, str]], screenshot: Path | None = None) -> list[dict[str, Any]]:
    """Go through a page by keyboard alone, and return what stands there after each step: see ``browser/keys.mjs``."""
    task = {"page": str(page), "steps": steps, "screenshot": str(screenshot) if screenshot is not None else None}
    answer: list[dict[str, Any]] = _told("keys.mjs", task)
    return answer


def _told(script: str, task: dict[str, Any]) -> Any:
    done = subprocess.run(
        ["node", str(FOLDER / script)],
        input=json.dumps(task),
        capture_output=True,
        text=True,
        check=True,
        encoding="utf-8",
    )
    return json.loads(done.stdout)
