"""Commands and snippets of a Markdown text, to be executed as they stand; the README and the site share this."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parent.parent
#: The environment that the README makes, and the one that runs this test.
MADE, HERE = ".venv/bin/", str(Path(sys.executable).parent) + "/"


def blocks(text: str) -> list[tuple[str, str]]:
    """Return the fenced blocks of a text: kind and content."""
    return re.findall(r"^```(\w+)\n(.*?)^```$", text, re.MULTILINE | re.DOTALL)


def commands(block: str) -> list[str]:
    """Split a block into its commands: joined by && or one a line."""
    joined = block.replace("\\\n", " ").replace("&&\n", "&& ")
    return [command.strip() for line in joined.splitlines() for command in line.split("&&") if command.strip()]


def run_command(command: str) -> subprocess.CompletedProcess[str]:
    """Run a command of a text at the top of the checkout, in the environment of this run."""
    told = command.replace(MADE, HERE)
    return subprocess.run(told, shell=True, cwd=ROOT, capture_output=True, text=True, check=False)


def run_snippet(snippet: str) -> subprocess.CompletedProcess[str]:
    """Run a snippet by itself at the top of the checkout."""
    return subprocess.run([sys.executable, "-c", snippet], cwd=ROOT, capture_output=True, text=True, check=False)
