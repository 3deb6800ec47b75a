"""The site is built once for a run, whichever worker is first."""

from __future__ import annotations

from pathlib import Path

import pytest
from filelock import FileLock
from site_building import Site, build


@pytest.fixture(scope="session")
def site(tmp_path_factory: pytest.TempPathFactory, worker_id: str) -> Site:
    base = tmp_path_factory.getbasetemp()
    shared: Path = base if worker_id == "master" else base.parent
    folder = shared / "site"
    with FileLock(shared / "site.lock"):
        if not (shared / "site.built").exists():
            build(folder)
            (shared / "site.built").touch()
    return Site(folder.resolve())
