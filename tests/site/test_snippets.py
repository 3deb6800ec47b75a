"""Every command and snippet of the site's own pages is executed; what it takes from elsewhere is tested there."""

from __future__ import annotations

import pytest
from site_building import DOCS
from snippets import blocks, commands, run_command, run_snippet

FOUND = [
    (f"{path.relative_to(DOCS).with_suffix('').as_posix()}-{number}", kind, text)
    for path in sorted(DOCS.rglob("*.md"))
    for number, (kind, text) in enumerate(blocks(path.read_text(encoding="utf-8")))
]
PYTHON = [pytest.param(text, id=name) for name, kind, text in FOUND if kind == "python"]
SHELL = [
    pytest.param(command, id=f"{name}-{place}")
    for name, kind, text in FOUND
    if kind == "sh"
    for place, command in enumerate(commands(text))
]


def test_every_block_is_of_a_kind_that_is_executed() -> None:
    assert {kind for _, kind, _ in FOUND} == {"python", "sh"}
    assert len(PYTHON) > 20
    assert len(SHELL) > 4


@pytest.mark.parametrize("snippet", PYTHON)
def test_snippets_run(snippet: str) -> None:
    done = run_snippet(snippet)
    assert done.returncode == 0, done.stderr
    assert done.stdout


@pytest.mark.parametrize("command", SHELL)
def test_commands_run(command: str) -> None:
    done = run_command(command)
    assert done.returncode == 0, done.stderr
    assert done.stdout
