"""What the hosts' READMEs print is run, in the folder that they name."""

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent.parent
HOSTS = ROOT / "examples" / "hosts"
READMES = sorted(HOSTS.rglob("README.md"))
BLOCKS = [
    pytest.param(kind, text, id=f"{path.parent.name}-{place}")
    for path in READMES
    for place, (kind, text) in enumerate(
        re.findall(r"^```(\w+)\n(.*?)^```$", path.read_text(encoding="utf-8"), re.MULTILINE | re.DOTALL)
    )
]


@pytest.fixture
def hosts(tmp_path: Path) -> Path:
    """A copy of the hosts and the examples beside them, so that what a command makes stays there."""
    copy = tmp_path / "examples"
    shutil.copytree(HOSTS, copy / "hosts", ignore=shutil.ignore_patterns("__pycache__", "*.sqlite3"))
    for path in HOSTS.parent.glob("*.json"):
        shutil.copy(path, copy)
    return copy / "hosts"


@pytest.mark.parametrize(("kind", "text"), BLOCKS)
def test_what_is_printed_runs(kind: str, text: str, hosts: Path) -> None:
    assert kind in {"sh", "python"}
    # What installs is the environment's matter: this one has it.
    lines = [line for line in text.splitlines() if not line.startswith("python -m pip install")]
    environment = {
        **os.environ,
        "PYTHONPATH": str(ROOT),
        "PATH": f"{Path(sys.executable).parent}{os.pathsep}{os.environ['PATH']}",
    }
    command = [sys.executable, "-c", text] if kind == "python" else ["bash", "-euo", "pipefail", "-c", "\n".join(lines)]
    done = subprocess.run(command, cwd=hosts, env=environment, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    assert done.stdout


def test_every_host_has_a_readme_and_every_link_leads_somewhere() -> None:
    folders = {path.parent for path in HOSTS.glob("*/requirements.txt")}
    assert {path.parent for path in READMES} == {HOSTS, *folders}
    for readme in READMES:
        for target in re.findall(r"\]\(([^)#]+)\)", readme.read_text(encoding="utf-8")):
            assert (readme.parent / target).exists(), (readme, target)
