"""The list of libraries and their licences says what the project file asks for and what their own metadata names."""

from __future__ import annotations

import re
import tomllib
from importlib.metadata import metadata
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
NOTICES = (ROOT / "dermreport" / "NOTICES.md").read_text(encoding="utf-8")
ROWS = re.findall(r"^\| ([\w.-]+) \| (dermreport(?:\[\w+\])?) \| (.+) \|$", NOTICES, re.MULTILINE)
#: Licences that metadata names without saying which text of them, by what they are called there.
FAMILIES = {"BSD": "BSD", "MIT": "MIT", "MPL": "MPL", "Mozilla": "MPL", "Apache": "Apache", "GPL": "GPL"}


def asked() -> list[tuple[str, str]]:
    """Each library that a host installs, with what installs it."""
    with_each = {"dermreport": PROJECT["dependencies"]} | {
        f"dermreport[{extra}]": names
        for extra, names in PROJECT["optional-dependencies"].items()
        if extra not in {"dev", "docs", "test"}
    }
    return [(re.split(r"[<>=!~\[ ]", one)[0], by) for by, names in with_each.items() for one in names]


def families(statement: str) -> set[str]:
    return {family for name, family in FAMILIES.items() if name in statement}


def test_the_list_names_what_the_project_asks_for() -> None:
    assert [(name, by) for name, by, _ in ROWS] == asked()


@pytest.mark.parametrize(("name", "licence"), [(name, licence) for name, _, licence in ROWS])
def test_a_licence_is_what_the_metadata_names(name: str, licence: str) -> None:
    about = metadata(name)
    said = about["License-Expression"]
    if said is not None:
        assert licence == said
    else:
        classifiers = [one for one in about.get_all("Classifier", []) if one.startswith("License ::")]
        assert families(licence) == families(" ".join((about["License"] or "", *classifiers))) != set()
