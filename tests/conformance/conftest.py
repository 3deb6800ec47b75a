"""Which tests a worker of a parallel run keeps together: those that share an engine, which is slow until it is warm."""

from __future__ import annotations

import re
from pathlib import PurePosixPath
from typing import TYPE_CHECKING, Any

from xdist.scheduler import LoadScopeScheduling  # type: ignore[import-untyped]  # xdist publishes no types

if TYPE_CHECKING:
    import pytest

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
    """Keeps the tests of the validator together by release, those of one server, and all others by file."""

    def _split_scope(self, nodeid: str) -> str:
        name, _, test = nodeid.partition("::")
        file = PurePosixPath(name).stem
        if file in _OF_THE_VALIDATOR:
            release = re.search(r"\bR4B?\b|\bR5\b", test)
            return release[0] if release is not None else "R4"
        return "server" if file in _OF_ONE_SERVER else file


def pytest_xdist_make_scheduler(config: pytest.Config, log: Any) -> LoadScopeScheduling | None:
    """Divide a run that asks for scopes (``--dist loadscope``) by engine."""
    return _ByEngine(config, log) if config.getvalue("dist") == "loadscope" else None
