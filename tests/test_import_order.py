"""The rooms import in one direction; the test reads the imports themselves."""

import ast
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parent.parent / "dermreport"

#: Each room may import from the rooms before it, and from itself.
ORDER = (
    ("issues", "sources", "publication", "deprecation", "harmless_words"),
    ("extras",),
    ("vocabulary",),
    ("body_map",),
    ("languages", "dicom_files"),
    ("examination",),
    ("answers",),
    ("expressions",),
    ("scores",),
    ("codings", "pathway", "letter_file", "limits", "settings_file"),
    ("plugin",),
    ("settings",),
    ("rules",),
    ("pathways",),
    ("plugins",),
    ("host_file",),
    ("hazards",),
    ("reviews",),
    ("over_time",),
    ("wording",),
    ("plots",),
    ("letters",),
    ("fhir",),
    ("form",),
    ("doors",),
    ("profiles",),
    ("http",),
    ("cli",),
    ("__main__",),
)
RANK = {room: rank for rank, rooms in enumerate(ORDER) for room in rooms}


def room_of(module: str) -> str:
    return module.split(".")[1] if "." in module else module


def imports(path: Path) -> list[tuple[str, int]]:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    found = []
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom) and node.module and node.module.startswith("dermreport."):
            found.append((node.module, node.lineno))
        elif isinstance(node, ast.ImportFrom) and node.module == "dermreport":
            found.extend((f"dermreport.{name.name}", node.lineno) for name in node.names)
        elif isinstance(node, ast.Import):
            found.extend((name.name, node.lineno) for name in node.names if name.name.startswith("dermreport."))
    return found


MODULES = sorted(path for path in PACKAGE.rglob("*.py") if path != PACKAGE / "__init__.py")


def test_every_module_is_in_a_room_of_the_order() -> None:
    rooms = {path.relative_to(PACKAGE).parts[0].removesuffix(".py") for path in MODULES}
    assert rooms == set(RANK)


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_a_room_imports_only_from_earlier_rooms(path: Path) -> None:
    room = path.relative_to(PACKAGE).parts[0].removesuffix(".py")
    later = [
        f"line {line}: {module}"
        for module, line in imports(path)
        if room_of(module) != room and RANK.get(room_of(module), -1) >= RANK[room]
    ]
    assert later == []


def test_no_cycle_within_one_rank() -> None:
    for rooms in ORDER:
        for room in rooms:
            paths = [path for path in MODULES if path.relative_to(PACKAGE).parts[0].removesuffix(".py") == room]
            others = {room_of(module) for path in paths for module, _ in imports(path)} & (set(rooms) - {room})
            assert others == set() or room == "settings"
