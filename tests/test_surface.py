"""The public surface: what is exported, that it stays light, and that nothing is global."""

import subprocess
import sys
from pathlib import Path

import pytest

import dermreport

ROOT = Path(__file__).parent.parent


def python(code: str) -> str:
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT)
    return done.stdout


def test_public_names_are_sorted_and_each_is_there() -> None:
    assert dermreport.__all__ == sorted(dermreport.__all__)
    assert dir(dermreport) == sorted(dermreport.__all__)
    for name in dermreport.__all__:
        assert getattr(dermreport, name) is not None


def test_unknown_name_is_an_attribute_error() -> None:
    with pytest.raises(AttributeError, match="no attribute 'nothing'"):
        _ = dermreport.nothing


def test_version_is_the_metadata_version() -> None:
    from importlib.metadata import version

    assert dermreport.__version__ == version("dermreport")


@pytest.mark.parametrize("library", ["fhir.resources", "lxml", "msgspec", "tqdm", "argparse", "jsonschema"])
def test_import_loads_no_dependency_but_pydantic(library: str) -> None:
    assert python(f"import dermreport, sys; print({library!r} in sys.modules)") == "False\n"


@pytest.mark.parametrize("library", ["fhir.resources", "lxml", "tqdm"])
def test_a_report_in_json_loads_only_what_it_needs(library: str) -> None:
    code = (
        "import dermreport, sys, pathlib\n"
        "exam = dermreport.Examination.from_json(pathlib.Path('examples/usual.json').read_bytes())\n"
        "dermreport.to_fhir(dermreport.review(exam)).bundle('transaction').to_json()\n"
        f"print({library!r} in sys.modules)"
    )
    assert python(code) == "False\n"


def test_the_review_is_also_a_public_name_after_its_room_is_loaded() -> None:
    code = "import dermreport, dermreport.reviews; print(callable(dermreport.review))"
    assert python(code) == "True\n"
