"""The flat table: its cells against facts worked out by hand, its files read back by others, its views by FHIRPath.

Outside facts: RFC 4180 for CSV, read back by the standard library and by Arrow; Parquet, read back by Arrow; the
SQL-on-FHIR specification, version 2.0.0, for the views. What each cell of the three examples must be was worked out by
hand from the entries. That a spreadsheet takes a cell that begins with ``= + - @``, a tab or a carriage return for a
formula is common practice, no source.
"""

from __future__ import annotations

import copy
import csv
import io
import re
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

import profiles_output
import pyarrow as pa
import pytest
import strategies
import view_rows
from examples_output import ENTRIES, examinations
from fhir_cases import FULL
from hypothesis import HealthCheck, given, settings
from pyarrow import csv as arrow_csv
from pyarrow import parquet

import dermreport
from dermreport import cli
from dermreport.doors.table.column import ColumnType
from dermreport.doors.table.tables import PLACES, TableKind, asked_columns
from dermreport.profiles.views import view_files

KINDS = list(TableKind)
ASKED = [column.name for column in asked_columns()]
FORMULA_SIGNS = ("=", "+", "-", "@", "\t", "\r")


def also(kind: TableKind) -> list[str]:
    return [column.name for column in asked_columns(kind)]


def example(name: str) -> dermreport.Review:
    (path,) = (one for one in ENTRIES if one.stem == name)
    (examination,) = examinations(path)
    return dermreport.review(examination)


def visit(review: dermreport.Review, *asked: str) -> dict[str, Any]:
    made = dermreport.table(review, also=asked)
    (row,) = made.rows
    return dict(zip((column.name for column in made.columns), row, strict=True))


def as_csv(table: dermreport.Table) -> str:
    out = io.StringIO()
    table.write_csv(out)
    return out.getvalue()


EXAMPLES = [dermreport.review(one) for path in ENTRIES for one in examinations(path)]

# -- worked out by hand ------------------------------------------------------------------------------------------------

BY_HAND = {
    "usual": {
        "examination": "https://clinic.example/examinations|2026-0417",
        "revision": 1,
        "status": "final",
        "lesion": "https://clinic.example/examinations|2026-0417/lesion",
        "lesion_numbered": False,
        "examined": "2026-03-04T10:30:00+01:00",
        "examined_precision": "time",
        "examined_date": date(2026, 3, 4),
        "site": "scapular-area",
        "side": "right",
        "reading_style": "trunk-limb",
        "longest_mm": Decimal("4.5"),
        "elevation": "flat",
        "ulcerated": None,
        "told_growing": "no",
        "told_changed_shape": None,
        "views": 1,
        "view_polarised": True,
        "view_non_polarised": False,
        "view_contact": False,
        "view_non_contact": True,
        "highest_magnification": None,
        "list_pigmented_lesion": True,
        "list_vessels": False,
        "findings_present": 1,
        "findings_absent": 0,
        "colour_light_brown": True,
        "colour_black": False,
        "pattern": "pattern-reticular",
        "concern": "benign",
        "unequivocal": None,
        "impression": "naevus-junctional",
        "impression_certainty": "confident",
        # No asymmetry, no abrupt border, two colours, one structure: 2 × 0.5 + 1 × 0.5.
        "total_dermoscopy_score_low": Decimal("1.5"),
        "total_dermoscopy_score_high": Decimal("1.5"),
        "total_dermoscopy_score_verdict": "below-threshold",
        "total_dermoscopy_score_settled": True,
        "braaff_low": None,
        "braaff_verdict": "not-valid",
        "braaff_settled": None,
        "actions": 1,
        "soonest_action": "reassure-with-advice",
        "soonest_urgency": None,
        "histologies": 0,
        "histology_result": None,
        "age_years": 42,
        "sex": None,
        "patient": "Patient/p-1042",
    },
    "calf-excised-with-histology": {
        "revision": 2,
        "status": "amended",
        "lesion": "https://clinic.example/lesions|L-6677-1",
        "lesion_numbered": True,
        "site": "calf",
        "compared_with_others": "stands-out",
        "told_new": "yes",
        "views": 2,
        "view_polarised": True,
        "view_non_polarised": True,
        "view_contact": True,
        "view_non_contact": True,
        "highest_magnification": Decimal(10),
        "findings_present": 4,
        "colour_dark_brown": True,
        "colour_blue": False,
        "concern": "suspicious",
        "impressions": 2,
        "impression": "melanoma-in-situ-suspected",
        # Asymmetry of structure and colour, atypical network, no blue-white structure.
        "three_point_low": Decimal(2),
        "three_point_high": Decimal(2),
        "actions": 3,
        "soonest_action": "excise-complete",
        "soonest_urgency": "urgent",
        "histologies": 1,
        "histology_result": "melanoma-in-situ",
        "histology_date": date(2026, 2, 25),
        "histology_specimen": "whole",
        "histology_thickness_mm": None,
        "histology_agreement": "agrees",
        "opinions": 0,
        "monitorings": 0,
        "phototype": "type-ii",
    },
    "scalp-firm-growing-nodule-urgent": {
        "site": "scalp-vertex",
        "side": None,
        "reading_style": "face-scalp",
        "longest_mm": Decimal("14.0"),
        "elevation": "nodular",
        "pigmentation": "none",
        "view_contact": False,
        "list_no_pigment_clues": True,
        "list_vessels": True,
        "list_pigmented_lesion": False,
        "findings_present": 5,
        "colour_pink": True,
        "colour_red": True,
        "colour_white": True,
        "colour_light_brown": False,
        "concern": "suspicious",
        "unequivocal": False,
        "impressions": 3,
        "impression": "melanoma-nodular-suspected",
        "summary": "suspicious",
        "three_point_verdict": "not-valid",
        "soonest_action": "refer-suspected-cancer",
        "soonest_urgency": "immediate",
    },
}


@pytest.mark.parametrize("name", BY_HAND)
def test_the_cells_of_an_example_are_what_a_person_reads_in_it(name: str) -> None:
    row = visit(example(name), *ASKED)
    assert {column: row[column] for column in BY_HAND[name]} == BY_HAND[name]


def test_digits_stay_as_written() -> None:
    text = as_csv(dermreport.table(example("scalp-firm-growing-nodule-urgent")))
    names, cells = csv.reader(io.StringIO(text))
    assert dict(zip(names, cells, strict=True))["longest_mm"] == "14.0"


def test_findings_of_an_example_and_the_items_of_its_list() -> None:
    made = dermreport.table(example("usual"), "findings")
    rows = [dict(zip((column.name for column in made.columns), row, strict=True)) for row in made.rows]
    (finding,) = (row for row in rows if row["recorded_as"] == "finding")
    assert finding["structure"] == "network-typical"
    assert finding["presence"] == finding["recorded"] == "present"
    assert (finding["distribution"], finding["regularity"]) == ("all-over", "regular")
    assert (finding["in_polarised_light"], finding["in_non_polarised_light"]) == (True, False)
    items = {row["structure"]: row["presence"] for row in rows if row["recorded_as"] == "list"}
    assert items["network-atypical"] == items["blue-white-veil"] == "absent"
    # A typical network is a network.
    assert items["network"] == "present"
    assert "network-typical" not in items
    assert all(row["recorded"] is None for row in rows if row["recorded_as"] == "list")


def test_what_no_light_could_show_counts_as_not_assessed_and_the_clinicians_answer_stays_beside() -> None:
    entry = copy.deepcopy(FULL)
    entry["views"] = [{"key": "a", "light": "non-polarised"}]
    entry["findings"] = [{"structure": "lines-white-perpendicular", "presence": "absent", "views": ["a"]}]
    entry["lists_gone_through"] = []
    review = dermreport.review(dermreport.Examination.model_validate(entry))
    row = visit(review)
    assert (row["findings_absent"], row["findings_not_assessed"]) == (0, 1)
    made = dermreport.table(review, "findings")
    (cells,) = made.rows
    finding = dict(zip((column.name for column in made.columns), cells, strict=True))
    assert finding["presence"] == "not-assessed"
    assert finding["recorded"] == "absent"
    assert finding["because"] == "not-visible-in-this-light"


def with_outcomes(*outcomes: dict[str, Any], **changes: Any) -> dermreport.Review:
    entry = copy.deepcopy(FULL) | changes
    entry["outcomes"] = [{"key": f"o{position}", **one} for position, one in enumerate(outcomes)]
    return dermreport.review(dermreport.Examination.model_validate(entry))


def test_of_several_histologies_the_latest_counts_and_their_number_is_told() -> None:
    row = visit(
        with_outcomes(
            {"kind": "histology", "date": "2026-05-01", "result": "melanoma", "thickness_mm": Decimal("0.80")},
            {"kind": "histology", "date": "2026-04-20", "result": "melanoma-in-situ"},
            {"kind": "histology", "result": "seborrhoeic-keratosis"},
        )
    )
    assert row["histologies"] == 3
    assert row["histology_result"] == "melanoma"
    assert row["histology_date"] == date(2026, 5, 1)
    assert str(row["histology_thickness_mm"]) == "0.80"


#: A record in which the columns are filled that no example fills: none of them has such an outcome yet.
OTHER_OUTCOMES = with_outcomes(
    {"kind": "histology", "date": "2026-05-01", "result": "melanoma", "thickness_mm": Decimal("0.80")},
    {"kind": "opinion", "date": "2026-03-30", "agreement": "differs"},
    {"kind": "monitoring", "date": "2026-06-01", "change": "changed", "days_since_baseline": 90},
)
FILLED_BY_NO_EXAMPLE = {
    "histology_thickness_mm",
    "opinion_date",
    "opinion_agreement",
    # No example has a finding with a reason.
    "because",
}


@pytest.mark.parametrize("kind", KINDS)
def test_every_column_is_filled_by_an_example_or_it_is_said_why_not(kind: TableKind) -> None:
    made = dermreport.table(EXAMPLES, kind, also=also(kind))
    cells = zip(*made.rows, strict=True)
    empty = {
        column.name
        for column, values in zip(made.columns, cells, strict=True)
        if all(value is None for value in values)
    }
    assert empty == FILLED_BY_NO_EXAMPLE & {column.name for column in made.columns}
    filled = visit(OTHER_OUTCOMES)
    assert [name for name in empty - {"because"} if filled[name] is None] == []


def test_what_is_not_known_is_empty_and_never_no_absent_or_nought() -> None:
    bare = {name: FULL[name] for name in ("identifier", "status", "patient")} | {"examined": "2026-03-04"}
    row = visit(dermreport.review(dermreport.Examination.model_validate(bare)), *ASKED)
    said = {name: cell for name, cell in row.items() if cell is not None}
    counts = {name for name, cell in said.items() if type(cell) is int}
    assert counts == {
        "revision",
        "views",
        *(f"findings_{one}" for one in ("present", "absent", "uncertain", "not_assessed")),
        "impressions",
        "warning_signs",
        "errors",
        "actions",
        "histologies",
        "opinions",
        "monitorings",
    }
    assert {name for name, cell in said.items() if cell is False} == {
        "lesion_numbered",
        *(name for name in row if name.startswith("list_")),
        *(name for name in row if name.endswith("_settled") and row[name] is not None),
    }
    # Whatever a score asks is open: it has no number, or everything that it can come to.
    for name in (name.removesuffix("_verdict") for name in row if name.endswith("_verdict")):
        assert row[f"{name}_verdict"] in {"not-valid", "not-settled"}
        assert row[f"{name}_low"] is row[f"{name}_high"] is None or row[f"{name}_low"] < row[f"{name}_high"]
    assert row["examined_precision"] == "day"


def test_what_was_entered_in_error_has_no_summary_and_says_so() -> None:
    row = visit(with_outcomes(status="entered-in-error"))
    assert row["status"] == row["report_status"] == "entered-in-error"
    assert row["summary"] is None


def test_the_light_that_is_not_known_leaves_open_what_it_could_have_been() -> None:
    lights = {
        ("polarised", "unknown"): (True, None),
        ("unknown",): (None, None),
        ("non-polarised",): (False, True),
        (): (None, None),
    }
    for given_lights, expected in lights.items():
        views = [{"key": f"v{position}", "light": light} for position, light in enumerate(given_lights)]
        row = visit(with_outcomes(views=views, findings=[], lists_gone_through=[], images=[]))
        assert (row["view_polarised"], row["view_non_polarised"]) == expected


# -- who is meant stays out --------------------------------------------------------------------------------------------


MARKER = "Marker-Zebra"
#: Free text and names, by their field; codes, keys, numbers and times aren't among them.
FREE_TEXT = re.compile(
    r"family|given|phone|email|address|training|display|label|site_detail|region|note|equipment|words|text"
    r"|reason|if_not_attended|watch_for|contact|for_pathologist|specimen_orientation|marked_area|laboratory_reference"
    r"|needs|reach_quickly|allergy_to|blood_thinner_name"
)


def planted(part: Any, field: str = "") -> tuple[Any, int]:
    """Return a part of an entry with a marker in each free text, and how many there are."""
    if isinstance(part, dict):
        found = {name: planted(value, name) for name, value in part.items()}
        return {name: value for name, (value, _) in found.items()}, sum(number for _, number in found.values())
    if isinstance(part, list):
        several = [planted(value, field) for value in part]
        return [value for value, _ in several], sum(number for _, number in several)
    # A view's contact is a code and a picture's address a URI; in words both have blanks.
    in_words = field not in {"contact", "address"} or " " in str(part)
    if isinstance(part, str) and FREE_TEXT.fullmatch(field) and in_words:
        return f"={MARKER} {part}", 1
    return part, 0


@pytest.mark.parametrize("kind", KINDS)
def test_no_name_no_birth_date_and_no_free_text_comes_into_a_table(kind: TableKind, tmp_path: Path) -> None:
    entry, number = planted(FULL)
    assert number >= 15
    review = dermreport.review(dermreport.Examination.model_validate(entry))
    assert MARKER in review.examination.to_json()
    text = as_csv(dermreport.table(review, kind, also=also(kind)))
    assert MARKER not in text
    assert FULL["patient"]["details"]["birth_date"] not in text
    path = tmp_path / "table.parquet"
    dermreport.table(review, kind, also=also(kind)).write_parquet(path)
    assert MARKER.encode() not in path.read_bytes()


def test_the_patient_is_in_the_table_only_where_that_is_asked_for() -> None:
    review = example("usual")
    assert "p-1042" not in as_csv(dermreport.table(review))
    assert "p-1042" not in as_csv(dermreport.table(review, "findings"))
    assert "Patient/p-1042" in as_csv(dermreport.table(review, also=["patient"]))


# -- files -------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", KINDS)
def test_csv_is_read_back_by_others(kind: TableKind) -> None:
    made = dermreport.table(EXAMPLES, kind, also=also(kind))
    text = as_csv(made)
    assert text.endswith("\r\n")
    assert "\n" not in text.replace("\r\n", "")
    names, *rows = csv.reader(io.StringIO(text, newline=""))
    assert names == [column.name for column in made.columns]
    assert len(rows) == len(list(made.rows))
    everything = arrow_csv.ConvertOptions(column_types=dict.fromkeys(names, pa.string()))
    read = arrow_csv.read_csv(io.BytesIO(text.encode()), convert_options=everything)
    assert [list(row.values()) for row in read.to_pylist()] == rows
    for row, cells in zip(made.rows, rows, strict=True):
        for column, cell, written in zip(made.columns, row, cells, strict=True):
            assert meant(column.type, written) == cell, column.name


def meant(sort: ColumnType, written: str) -> Any:
    """Return what a text of CSV means by the column's documentation."""
    if not written:
        return None
    return {
        ColumnType.TEXT: str,
        ColumnType.CODE: str,
        ColumnType.INTEGER: int,
        ColumnType.DECIMAL: Decimal,
        ColumnType.BOOLEAN: {"true": True, "false": False}.__getitem__,
        ColumnType.DATE: date.fromisoformat,
    }[sort](written)


@pytest.mark.parametrize("kind", KINDS)
def test_parquet_is_read_back_equal_with_its_documentation(kind: TableKind, tmp_path: Path) -> None:
    made = dermreport.table(EXAMPLES, kind, also=also(kind))
    path = tmp_path / "table.parquet"
    assert made.write_parquet(path) == len(list(made.rows))
    read = parquet.read_table(path)
    assert [tuple(row.values()) for row in read.to_pylist()] == list(made.rows)
    for column, field in zip(made.columns, read.schema, strict=True):
        assert field.name == column.name
        assert field.metadata[b"description"].decode() == column.description
        assert field.metadata.get(b"unit", b"").decode() == column.unit


def test_a_parquet_decimal_is_exact_as_far_as_its_places_go(tmp_path: Path) -> None:
    lesion = FULL["lesion"]
    for digits, kept in (
        ("4.12345678901234567", "4.12345678901234567"),
        ("0.000000000000000001", "1E-18"),
        ("1E-20", "0"),
    ):
        review = with_outcomes(lesion={**lesion, "longest_mm": Decimal(digits), "crosswise_mm": None})
        path = tmp_path / "one.parquet"
        dermreport.table(review).write_parquet(path)
        (row,) = parquet.read_table(path).to_pylist()
        assert row["longest_mm"] == Decimal(kept)
        assert -row["longest_mm"].as_tuple().exponent == PLACES
    names, cells = csv.reader(io.StringIO(as_csv(dermreport.table(review))))
    assert dict(zip(names, cells, strict=True))["longest_mm"] == f"{Decimal('1E-20'):f}"


def test_an_empty_table_has_its_columns(tmp_path: Path) -> None:
    assert as_csv(dermreport.table([])).count("\r\n") == 1
    path = tmp_path / "empty.parquet"
    assert dermreport.table([]).write_parquet(path) == 0
    assert len(parquet.read_table(path).schema) == len(dermreport.table([]).columns)


def test_without_pyarrow_the_error_names_what_to_install(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setitem(__import__("sys").modules, "pyarrow", None)
    with pytest.raises(dermreport.MissingExtraError, match=r"dermreport\[parquet\]"):
        dermreport.table(EXAMPLES[0]).write_parquet(tmp_path / "table.parquet")


def test_rows_are_made_one_by_one() -> None:
    taken = []

    def reviews() -> Any:
        for one in EXAMPLES:
            taken.append(one)
            yield one

    rows = dermreport.table(reviews()).rows
    next(rows)
    assert len(taken) == 1


def test_the_same_reviews_give_the_same_bytes(tmp_path: Path) -> None:
    paths = [tmp_path / "one.parquet", tmp_path / "two.parquet"]
    for path in paths:
        dermreport.table(EXAMPLES).write_parquet(path)
    assert paths[0].read_bytes() == paths[1].read_bytes()
    assert as_csv(dermreport.table(EXAMPLES)) == as_csv(dermreport.table(EXAMPLES))


def test_a_table_or_column_that_there_is_not_is_refused() -> None:
    with pytest.raises(dermreport.SettingsError, match=r"^table: kind is one of visits, findings$"):
        dermreport.table([], "marker")
    with pytest.raises(dermreport.SettingsError, match=r"^asked_columns: kind is one of visits, findings$"):
        asked_columns("marker")
    for unknown in (["marker"], ["marker", 7, None]):
        with pytest.raises(dermreport.SettingsError, match=r"^table: also names columns that the table of visits has"):
            dermreport.table([], also=unknown)


@settings(max_examples=40, suppress_health_check=list(HealthCheck))
@given(strategies.usual_examinations())
def test_any_examination_is_one_row_whose_cells_are_of_their_columns_types(examination: dermreport.Examination) -> None:
    review = dermreport.review(examination)
    made = dermreport.table(review, also=ASKED)
    (row,) = made.rows
    kinds = {
        ColumnType.TEXT: str,
        ColumnType.CODE: str,
        ColumnType.INTEGER: int,
        ColumnType.DECIMAL: Decimal,
        ColumnType.BOOLEAN: bool,
        ColumnType.DATE: date,
    }
    for column, cell in zip(made.columns, row, strict=True):
        assert cell is None or type(cell) is kinds[column.type], column.name
    for kind in KINDS:
        _, *written = csv.reader(io.StringIO(as_csv(dermreport.table(review, kind, also=also(kind))), newline=""))
        texts = [cell for cells in written for cell in cells if not re.fullmatch(r"-?[0-9.]+", cell)]
        assert [text for text in texts if text.startswith(FORMULA_SIGNS)] == []
    counted = [row[position] for position, column in enumerate(made.columns) if column.name.startswith("findings_")]
    assert sum(counted) == len(examination.findings)


# -- the columns' own words --------------------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", KINDS)
def test_each_column_is_documented_once_and_a_database_takes_its_name(kind: TableKind) -> None:
    columns = (*dermreport.table([], kind).columns, *asked_columns(kind))
    names = [column.name for column in columns]
    assert len(set(names)) == len(names)
    for column in columns:
        assert re.fullmatch(r"[a-z][a-z0-9_]*", column.name)
        assert column.description.endswith(".")
        assert column.origin
        assert (column.found is None) is bool(column.not_in_views)
        assert not re.search(r"normal|negative|harmless", column.description)


# -- views -------------------------------------------------------------------------------------------------------------


def test_the_committed_views_are_what_the_tables_give() -> None:
    """``python tests/profiles_output.py`` writes them anew."""
    made, there = view_files(), profiles_output.written(profiles_output.VIEWS)
    assert made.keys() == there.keys()
    assert [name for name, text in made.items() if there[name] != text] == []


#: Elements of a shareable ViewDefinition and of its columns, in the specification's order: version 2.0.0,
#: StructureDefinition-ShareableViewDefinition.
ELEMENTS = (
    *("resourceType", "url", "identifier", "name", "title", "meta", "status", "experimental", "publisher", "contact"),
    *("description", "useContext", "copyright", "resource", "fhirVersion", "constant", "select", "where"),
)
REQUIRED = {"url", "name", "status", "resource", "fhirVersion", "select"}
#: Functions that the specification asks of every engine for shared views, version 2.0.0.
FUNCTIONS = {"where", "exists", "empty", "extension", "join", "ofType", "first", "getResourceKey", "getReferenceKey"}


@pytest.mark.parametrize("folder", ["r4", "r5"])
def test_a_view_has_what_the_specification_asks_of_shared_views(folder: str) -> None:
    found = view_rows.definitions(folder)
    assert len({view["url"] for view in found}) == len(found) == 14
    for view in found:
        assert list(view) == [name for name in ELEMENTS if name in view]
        assert set(view) >= REQUIRED
        columns = [column for part in view["select"] for column in part["column"]]
        assert all(re.fullmatch(r"[A-Za-z][A-Za-z0-9_]*", one["name"]) and one["type"] for one in [*columns])
        assert re.fullmatch(r"[A-Za-z][A-Za-z0-9_]*", view["name"])
        names = [one["name"] for one in columns]
        assert len(set(names)) == len(names)
        paths = [one["path"] for one in (*columns, *view["where"])]
        paths += [part["forEach"] for part in view["select"] if "forEach" in part]
        assert {name for path in paths for name in re.findall(r"(\w+)\(", path)} <= FUNCTIONS


@pytest.mark.parametrize("release", ["R4", "R5"])
def test_the_views_give_the_same_tables(release: str) -> None:
    """One examination with a histology, one with much in it; an engine of others runs all of them for conformance."""
    folder = view_rows.FOLDERS[release]
    examples = view_rows.kept_examples(release, ["calf-excised-with-histology"])
    own = view_rows.kept([dermreport.to_fhir(OTHER_OUTCOMES, release=release)], [OTHER_OUTCOMES])
    resources = [*examples.resources, *own.resources]
    found = {view["name"]: list(view_rows.rows(view, resources)) for view in view_rows.definitions(folder)}
    assert view_rows.differences([*examples.reviews, *own.reviews], found, folder) == []
    assert all(found.values())
    # The comparison sees a cell that is wrong.
    found["dermoscopy_outcome"][0]["result"] = "naevus"
    assert view_rows.differences([*examples.reviews, *own.reviews], found, folder) != []


# -- on the command line -----------------------------------------------------------------------------------------------


def test_the_command_writes_what_the_library_writes(tmp_path: Path, capsysbinary: pytest.CaptureFixture[bytes]) -> None:
    names = ["usual", "calf-excised-with-histology"]
    paths = [str(path) for path in ENTRIES if path.stem in names]
    expected = as_csv(dermreport.table([example(Path(path).stem) for path in paths])).encode()
    assert cli.main(["table", *paths]) == cli.DONE
    assert capsysbinary.readouterr().out == expected
    assert cli.main(["table", *paths, "-o", str(tmp_path / "visits.csv")]) == cli.DONE
    assert (tmp_path / "visits.csv").read_bytes() == expected
    target = tmp_path / "findings.parquet"
    assert cli.main(["table", "--kind", "findings", "--format", "parquet", *paths, "-o", str(target)]) == cli.DONE
    assert parquet.read_table(target).num_rows > 10


def test_the_command_goes_on_after_what_it_cannot_read(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    broken = tmp_path / "broken.json"
    broken.write_text('{"status": "final", "patient": {"details": {"family": "Marker-Zebra"}}', encoding="utf-8")
    usual = next(str(path) for path in ENTRIES if path.stem == "usual")
    assert cli.main(["table", str(broken), usual]) == cli.NOT_DONE
    printed = capsys.readouterr()
    assert printed.out.count("\r\n") + printed.out.count("\n") >= 2
    assert MARKER not in printed.out + printed.err
    flawed = next(str(path) for path in ENTRIES if path.stem.startswith("flawed"))
    assert cli.main(["table", flawed]) == cli.ERROR_STANDS


def test_the_command_reads_lines_from_standard_input(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    lines = tmp_path / "lines.ndjson"
    lines.write_text("".join(f"{one.examination.to_json()}\n" for one in EXAMPLES[:3]), encoding="utf-8")
    target = tmp_path / "visits.csv"
    with lines.open("rb") as stream:
        monkeypatch.setattr("sys.stdin", io.TextIOWrapper(stream))
        assert cli.main(["table", "--lines", "-o", str(target)]) == cli.DONE
    assert target.read_bytes() == as_csv(dermreport.table(EXAMPLES[:3])).encode()


@pytest.mark.parametrize("kind", ["csv", "parquet"])
def test_a_place_that_cannot_be_written_to_ends_with_3(
    kind: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    place = tmp_path / "no-such-folder" / "table"
    assert cli.main(["table", "--format", kind, "-o", str(place), str(ENTRIES[0])]) == cli.NOT_DONE
    assert str(place) in capsys.readouterr().err


@pytest.mark.parametrize("arguments", [["--format", "parquet"], ["--also", "family"]])
def test_a_wrong_call_ends_with_2(arguments: list[str]) -> None:
    assert cli.main(["table", *arguments, str(ENTRIES[0])]) == cli.WRONG_CALL


def test_the_columns_are_told_each_with_its_type(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["table", "--columns"]) == cli.DONE
    text = capsys.readouterr().out
    for column in (*dermreport.table([]).columns, *asked_columns()):
        assert f"\n{column.name} ({column.type.value}" in text
    assert "Left out unless asked for" in text
    assert cli.main(["table", "--columns", "--kind", "findings"]) == cli.DONE
    assert "presence (code)" in capsys.readouterr().out
