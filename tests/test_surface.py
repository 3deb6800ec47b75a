"""The public surface: what is exported, that it stays light, that nothing is global, and that it is what was promised.

How a change raises a version is Semantic Versioning 2.0.0 (https://semver.org): 6 to 8, and 4 for what begins with 0.
"""

import subprocess
import sys
import warnings
from pathlib import Path

import pytest
import surface_output
from surface_output import Part

import dermreport
from dermreport.deprecation import deprecated

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


# -- what was promised -------------------------------------------------------------------------------------------------


def test_the_surface_is_the_committed_one() -> None:
    """``python tests/surface_output.py`` writes it anew."""
    then, before = surface_output.read(surface_output.FILE.read_text(encoding="utf-8"))
    found = surface_output.changes(before, surface_output.lines())
    assert not found, f"what others rely on changed:\n{surface_output.told(found, then)}"
    assert surface_output.FILE.read_text(encoding="utf-8") == surface_output.text()


def test_the_surface_has_something_of_each_kind() -> None:
    lines = surface_output.lines()
    for one in (
        "python to_fhir(by name: release: Release | str = 'R4')",
        "python ScoreResult.verdict: Verdict",
        "python EntryError.issues: tuple[Issue, ...]",
        "python exception EntryError is DermReportError, ValueError, Exception",
        "python Severity.ERROR = 'error'",
        "command dermreport check: --format takes json",
        "command exits with ERROR_STANDS = 1",
        "schema Examination Examination: identifier, required",
        "code light polarised",
        "artefact R4 CodeSystem-light",
        f"version library {dermreport.__version__}",
    ):
        assert one in lines
    assert len(lines) == len(set(lines))


LIBRARY = ("python f(…) -> int", "python f(1: one: int, required)", "python class C", "python C.name: str")
HOSTS = ("python class Made", "python Made(by name: size: int = 1)", "command d check", "schema Visit Visit: lesions")


@pytest.mark.parametrize(
    ("gone", "new", "part"),
    [
        ("", "python f(by name: more: int = 0)", Part.MINOR),
        ("", "python C.more: str", Part.MINOR),
        ("", "python g(1: one: int, required)", Part.MINOR),
        ("", "python f(2: more: int, required)", Part.MAJOR),
        ("", "python Made(by name: more: str, required)", Part.MAJOR),
        ("", "python Made(by name: more: str = '')", Part.MINOR),
        ("python C.name: str", "", Part.MAJOR),
        ("python f(…) -> int", "python f(…) -> str", Part.MAJOR),
        ("", "command d check: --more", Part.MINOR),
        ("", "command d check: --more, required", Part.MAJOR),
        ("", "command d new: --more, required", Part.MINOR),
        ("", "schema Visit Visit: more", Part.MINOR),
        ("", "schema Visit Visit: more, required", Part.MAJOR),
        ("", "code light green", Part.MINOR),
        ("artefact R4 content 1", "artefact R4 content 2", Part.PATCH),
    ],
)
def test_what_changed_says_which_part_of_a_version_rises(gone: str, new: str, part: Part) -> None:
    before = [*LIBRARY, *HOSTS, "artefact R4 content 1"]
    after = [line for line in (*before, new) if line not in ("", gone)]
    (found,) = surface_output.changes(before, after)
    assert found.part is part
    assert found.gone == tuple(line for line in (gone,) if line)
    assert found.new == tuple(line for line in (new,) if line)
    said = surface_output.told([found], {found.version: "0.1.0"})
    assert part.name.lower() in said
    assert new in said


@pytest.mark.parametrize(
    ("before", "after", "part"),
    [
        ("1.2.3", "2.0.0", Part.MAJOR),
        ("1.2.3", "1.3.0", Part.MINOR),
        ("1.2.3", "1.2.4", Part.PATCH),
        ("1.2.3", "1.2.3", Part.NONE),
        ("1.2.3", "1.1.9", Part.NONE),
        ("0.1.0", "0.2.0", Part.MAJOR),
        ("0.1.0", "0.1.1", Part.MINOR),
        ("0.1.0", "1.0.0", Part.MAJOR),
        ("1", "2", Part.MAJOR),
    ],
)
def test_the_part_that_rose(before: str, after: str, part: Part) -> None:
    assert surface_output.part_of(before, after) is part


@pytest.mark.parametrize(("now", "enough"), [("1.2.0", False), ("1.2.9", False), ("1.3.0", True), ("2.0.0", True)])
def test_a_version_that_has_not_risen_enough_is_named(now: str, enough: bool) -> None:  # noqa: FBT001 - a case
    found = surface_output.changes(LIBRARY, [*LIBRARY, "python C.more: str"])
    missing = surface_output.not_risen(found, {"library": "1.2.0"}, {"library": now})
    assert (missing == []) is enough


def test_a_deprecation_names_what_takes_its_place_and_points_to_the_hosts_line() -> None:
    inside = {"__name__": "dermreport.somewhere", "deprecated": deprecated}
    exec("def call():\n    deprecated('old()', instead='new()', until='2.0.0')", inside)  # noqa: S102 - a room of ours
    with warnings.catch_warnings(record=True) as caught:
        warnings.simplefilter("always")
        inside["call"]()
    (one,) = caught
    assert one.category is DeprecationWarning
    assert str(one.message) == "old() goes with version 2.0.0: use new()"
    assert one.filename == __file__
