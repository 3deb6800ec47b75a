"""Which tests a worker of a parallel run keeps together: those that share an engine, which is slow until it is warm."""

from __future__ import annotations

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


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Group the tests of the validator by release (R4 where one is enough), those of one server, all others by file."""
    for item in items:
        item.add_marker(pytest.mark.xdist_group(_group(item)))


def _group(item: pytest.Item) -> str:
    file = item.path.stem
    if file in _OF_THE_VALIDATOR:
        parameters = item.callspec.params if isinstance(item, pytest.Function) and hasattr(item, "callspec") else {}
        return str(parameters.get("release", "R4"))
    return "server" if file in _OF_ONE_SERVER else file
