"""These tests build, install and ask a generator: ``.ci/run`` names the folder in which what they make stays."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

#: The folder, relative to the project.
FOLDER = os.environ.get("DERMREPORT_DISTRIBUTION")


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    skipped = pytest.mark.skip(reason="they build and install: DERMREPORT_DISTRIBUTION names the folder for it")
    for item in items:
        if FOLDER is None and item.path.parent == Path(__file__).parent:
            item.add_marker(skipped)


@pytest.fixture(scope="session")
def distribution() -> Path:
    folder = Path(__file__).parent.parent.parent / str(FOLDER)
    folder.mkdir(exist_ok=True)
    return folder


@pytest.fixture(scope="session")
def built(tmp_path_factory: pytest.TempPathFactory, distribution: Path) -> list[tuple[Path, Path]]:
    """Wheel and source distribution, built twice; the first ones are kept."""
    from shutil import copy

    from distribution.building import Surroundings, build

    home = tmp_path_factory.mktemp("built")
    one, other = Surroundings("one", 0o022, "UTC", "1"), Surroundings("another-place", 0o077, "Pacific/Apia", "2")
    made = [build(home, surroundings, EPOCH) for surroundings in (one, other)]
    for file in made[0]:
        copy(file, distribution)
    return made


#: Any time will do that no file has by itself.
EPOCH = 1_767_225_600
