"""What holds for every test with an engine: it is skipped unless the engines are asked for, and who runs it."""

from __future__ import annotations

import re
from pathlib import Path, PurePosixPath
from typing import TYPE_CHECKING, Any

import pytest
from conformance import engine
from xdist.scheduler import LoadScopeScheduling  # type: ignore[import-untyped]  # xdist publishes no types

if TYPE_CHECKING:
    from collections.abc import Iterable

_OF_THE_VALIDATOR = frozenset(
    {
        "test_bundles",
        "test_constraint_instances",
        "test_profiles",
        "test_random",
        "test_requirements_in_engine",
        "test_xsd",
    }
)
_OF_ONE_SERVER = frozenset({"test_server", "test_server_changes", "test_server_reading"})


class _ByEngine(LoadScopeScheduling):  # type: ignore[misc]  # the same
    """Keeps together what shares an engine, which is slow until it is warm: by release, by server, else by file."""

    def _split_scope(self, nodeid: str) -> str:
        name, _, test = nodeid.partition("::")
        file = PurePosixPath(name).stem
        if file in _OF_THE_VALIDATOR:
            release = re.search(r"\bR4B?\b|\bR5\b", test)
            return release[0] if release is not None else "R4"
        return "server" if file in _OF_ONE_SERVER else file


def pytest_collection_modifyitems(items: Iterable[pytest.Item]) -> None:
    """Skip every test of this folder unless the run asks for the engines; no file can forget it."""
    if engine.asked_for():
        return
    here = Path(__file__).parent
    for item in items:
        if item.path.is_relative_to(here):
            item.add_marker(pytest.mark.skip(reason=engine.HOW))


def pytest_xdist_make_scheduler(config: pytest.Config, log: Any) -> LoadScopeScheduling | None:
    """Divide a run that asks for scopes (``--dist loadscope``) by engine."""
    return _ByEngine(config, log) if config.getvalue("dist") == "loadscope" else None
