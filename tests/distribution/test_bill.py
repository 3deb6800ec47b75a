"""The bills of materials: one of the library alone and one with each extra, as CycloneDX.

Outside facts: the schema of CycloneDX 1.6 (https://cyclonedx.org/docs/1.6/json), by the validator of its own library,
and what the package installer put into each environment.
"""

from __future__ import annotations

import json
import sys
import tomllib
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from distribution.building import ROOT, environment, run

import dermreport

PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
EXTRAS = tuple(name for name in PROJECT["optional-dependencies"] if name not in {"dev", "docs", "test"})
LIST = """\
import json
from importlib.metadata import distributions
print(json.dumps({one.metadata["Name"]: one.version for one in distributions()}))
"""


def plain(name: str) -> str:
    """A distribution's name as indexes compare it."""
    return name.lower().replace("_", "-").replace(".", "-")


@pytest.fixture(scope="module", params=[None, *EXTRAS], ids=lambda extra: extra or "alone")
def made(
    request: pytest.FixtureRequest,
    built: list[tuple[Path, Path]],
    distribution: Path,
    tmp_path_factory: pytest.TempPathFactory,
) -> tuple[dict[str, Any], dict[str, str]]:
    """A bill, which is kept, and what is installed in its environment."""
    extra = request.param
    wheel = built[0][0]
    interpreter = environment(
        tmp_path_factory.mktemp("bill") / "host", sys.executable, f"{wheel}[{extra}]" if extra else str(wheel)
    )
    name = f"dermreport-{dermreport.__version__}{f'-{extra}' if extra else ''}.cdx.json"
    command = [sys.executable, "-m", "cyclonedx_py", "environment", "--output-reproducible", "--sv", "1.6"]
    command += ["--mc-type", "library", "--pyproject", str(ROOT / "pyproject.toml"), "-o", str(distribution / name)]
    run([*command, str(interpreter)])
    installed = json.loads(run([str(interpreter), "-c", LIST], cwd=distribution))
    return json.loads((distribution / name).read_bytes()), {
        plain(one): version for one, version in installed.items() if one != "dermreport"
    }


@cache
def validator() -> Any:
    from cyclonedx.schema import SchemaVersion
    from cyclonedx.validation.json import JsonStrictValidator

    return JsonStrictValidator(SchemaVersion.V1_6)


Made = tuple[dict[str, Any], dict[str, str]]


def test_it_keeps_the_schema_and_one_that_does_not_is_refused(made: Made) -> None:
    bill = made[0]
    assert validator().validate_str(json.dumps(bill)) is None
    del bill["components"][0]["name"]
    assert validator().validate_str(json.dumps(bill)) is not None
    bill["components"][0]["name"] = bill["components"][0]["bom-ref"].partition("==")[0]


def test_it_names_all_that_is_installed_and_nothing_else(made: Made) -> None:
    bill, installed = made
    assert {plain(one["name"]): one["version"] for one in bill["components"]} == installed
    about = bill["metadata"]["component"]
    assert (about["name"], about["version"]) == ("dermreport", dermreport.__version__)


def test_each_component_has_a_licence_and_an_address_in_the_index(made: Made) -> None:
    for one in made[0]["components"]:
        assert one["licenses"], one["name"]
        assert one["purl"].startswith("pkg:pypi/")


def test_it_names_no_place_of_the_machine(made: Made) -> None:
    text = json.dumps(made[0])
    assert "file:" not in text
    assert str(Path.home()) not in text
    assert str(ROOT) not in text


def test_the_library_depends_on_what_it_asks(made: Made) -> None:
    (ours,) = [one for one in made[0]["dependencies"] if one["ref"] == made[0]["metadata"]["component"]["bom-ref"]]
    direct = {plain(one.partition("==")[0]) for one in ours["dependsOn"]}
    assert {"pydantic", "fhir-resources", "lxml", "msgspec", "tqdm"} <= direct
