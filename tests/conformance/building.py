"""What the engines need, built or installed where it is missing or older than its sources.

Two workers of a run may want the same at once: the second waits, and finds it there.
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from filelock import FileLock


def maven(project: Path, jar: Path) -> None:
    """Build a Java project."""
    sources = [project / "pom.xml", *(project / "src").rglob("*.*")]
    _make(jar, sources, ["mvn", "-q", "-B", "package"], project)


def npm(folder: Path) -> None:
    """Install the JavaScript packages of a folder as locked."""
    installed = folder / "node_modules" / ".package-lock.json"
    command = ["npm", "ci", "--ignore-scripts", "--silent"]
    _make(installed, [folder / "package-lock.json"], command, folder)


def pip(folder: Path) -> Path:
    """Install the Python packages that a folder requires, and return where: only who asks for them finds them there."""
    site = folder / "target" / "site"
    command = [sys.executable, "-m", "pip", "install", "--quiet", "--upgrade", "--target", str(site)]
    requirements = folder / "requirements.txt"
    _make(site / "pyspark" / "__init__.py", [requirements], [*command, "-r", requirements.name], folder)
    return site


def _make(product: Path, sources: list[Path], command: list[str], folder: Path) -> None:
    with FileLock(folder / ".building"):
        newest = max(source.stat().st_mtime for source in sources)
        if not product.exists() or product.stat().st_mtime < newest:
            subprocess.run(command, cwd=folder, check=True)
            product.touch()
