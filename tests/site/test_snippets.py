"""Every snippet of the site's own pages is executed; those that it takes from elsewhere are where they stand."""

from __future__ import annotations

import pytest
from site_building import DOCS
from snippets import blocks, run_snippet

FOUND = [
    (f"{path.relative_to(DOCS).with_suffix('').as_posix()}-{number}", kind, text)
    for path in sorted(DOCS.rglob("*.md"))
    for number, (kind, text) in enumerate(blocks(path.read_text(encoding="utf-8")))
]


def test_every_block_is_of_a_kind_that_is_executed() -> None:
    assert {kind for _, kind, _ in FOUND} == {"python"}
    assert len(FOUND) > 10


@pytest.mark.parametrize("snippet", [text for _, _, text in FOUND], ids=[name for name, _, _ in FOUND])
def test_snippets_run(snippet: str) -> None:
    done = run_snippet(snippet)
    assert done.returncode == 0, done.stderr
    assert done.stdout
