"""The built site: whole, nothing dead in it, nothing fetched, and every row of every table is on its page."""

from __future__ import annotations

import ast
import csv
import io
import json
import re
from dataclasses import fields
from importlib import import_module
from pathlib import Path
from typing import Any

import pytest
from site_building import DOCS, ROOT, SOURCES, Site
from test_fhir_fields import CARRIED, model_paths

import dermreport
from dermreport.fhir.places import PLACES
from dermreport.hazards import HAZARDS, Hazard
from dermreport.issues import DermReportError
from dermreport.profiles.structures.tables import PROFILES
from dermreport.publication import CANONICAL_BASE
from dermreport.rules.tables import RULES
from dermreport.scores.method import CAUTIONS, ClueList, Counted, Method
from dermreport.scores.methods import CLUE_LISTS, METHODS
from dermreport.sources import Basis
from dermreport.vocabulary.mapping import MAPPINGS
from dermreport.vocabulary.structures import Structure
from dermreport.vocabulary.tables import tables
from dermreport.vocabulary.term import code_system

VOCABULARY = "reference/vocabulary"
OF_TABLE = {
    "structure": "structures",
    "colour": "colours",
    "site": "sites",
    "impression": "impressions",
    "plan-action": "plan-actions",
    "histology-result": "histology-results",
}
BOTH = (*METHODS, *CLUE_LISTS)


def words(text: str) -> str:
    return " ".join(text.split())


def said(basis: Basis) -> list[str]:
    """What a page says of how a fact is known, piece by piece."""
    return [*(source.title for source in basis.sources), *([basis.note] if basis.note else [])]


# -- the whole ---------------------------------------------------------------------------------------------------------


def test_no_link_is_dead(site: Site) -> None:
    assert len(site.pages) > 60
    assert [dead for page in site.pages for dead in site.dead_links(page)] == []


@pytest.mark.parametrize(
    ("link", "found"),
    [("b.html", False), ("b.html#there", False), ("b.html#nowhere", True), ("c.html", True), ("../b.html", True)],
)
def test_a_dead_link_is_found(tmp_path: Path, link: str, *, found: bool) -> None:
    (tmp_path / "a.html").write_text(f'<html><body><a href="{link}">x</a></body></html>')
    (tmp_path / "b.html").write_text('<html><body><p id="there">x</p></body></html>')
    assert bool(Site(tmp_path.resolve()).dead_links("a.html")) is found


@pytest.mark.parametrize(
    ("page", "words", "target"),
    [
        ("how-to/plugins.html", "examples/plugin", "plugins.html#examples-plugin-readme-md"),
        ("how-to/hosts.html", "examples/hosts", "hosts.html#examples-hosts-readme-md"),
        ("how-to/hosts.html", "forwarder", "../files/examples/hosts/forwarder/README.md.txt"),
        ("how-to/form.html", "profiles/", "../reference/files.html"),
    ],
)
def test_a_link_to_a_folder_leads_to_what_tells_of_it(site: Site, page: str, words: str, target: str) -> None:
    links = [one.get("href") for one in site.tree(page).iter("a") if one.text_content() == words]
    assert target in links


def test_a_link_to_a_folder_that_nothing_tells_of_fails_the_build(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.syspath_prepend(str(ROOT / "examples" / "site"))
    included: Any = import_module("made.included")
    with pytest.raises(LookupError, match=r"how-to/x\.md: the folder tests is on no page"):
        included.Includes({}).replaced("how-to/x.md", "[x](../../../../tests)", str)


def test_nothing_is_fetched_from_elsewhere(site: Site) -> None:
    assert [one for page in site.pages for one in site.fetched(page)] == []
    for path in [*site.folder.rglob("*.css"), *(site.folder / "js").glob("*.js")]:
        assert re.search(r"https?:|@import|url\(", path.read_text(encoding="utf-8")) is None, path


def test_what_would_be_fetched_is_found(tmp_path: Path) -> None:
    (tmp_path / "a.html").write_text('<html><body><script src="https://x.example/a.js"></script></body></html>')
    assert Site(tmp_path.resolve()).fetched("a.html") == ["https://x.example/a.js"]


def test_every_page_has_one_title_a_language_and_each_id_once(site: Site) -> None:
    titles = []
    for page in site.pages:
        tree = site.tree(page)
        assert tree.get("lang") == "en"
        assert len(tree.xpath("//h1")) == 1, page
        ids = tree.xpath("//@id")
        assert sorted({one for one in ids if ids.count(one) > 1}) == [], page
        titles.append(tree.findtext("head/title"))
    assert len(set(titles)) == len(titles)


def test_every_page_is_in_the_contents_and_in_the_search(site: Site) -> None:
    listed = {link.get("href") for link in site.tree("index.html").get_element_by_id("contents").iter("a")}
    assert listed == set(site.pages)
    index = json.loads((site.folder / "search" / "index.js").read_text().removeprefix("window.searchIndex = "))
    found = {one["location"].partition("#")[0] for one in index["docs"]}
    assert found >= set(site.pages) - {"index.html"}


def test_nothing_of_a_template_or_a_workplace_is_left(site: Site) -> None:
    for page in site.pages:
        text = (site.folder / page).read_text(encoding="utf-8")
        for left in ("[[include", "[[issues", "[[file", "{{", "{%", ":::", "Traceback"):
            assert left not in text, (page, left)
        assert re.search(r"/work/|/tmp/", text) is None, page
    for path in (path for path in SOURCES.rglob("*") if path.is_file() and "__pycache__" not in path.parts):
        assert re.search(r"/work/|/tmp/", path.read_text(encoding="utf-8")) is None, path


def test_the_cautions_are_on_every_page(site: Site) -> None:
    for page in site.pages:
        footer = words(site.tree(page).find(".//footer").text_content())
        assert "supports judgement and never replaces it" in footer
        assert "A total below a threshold excludes nothing. When in doubt, refer." in footer


# -- texts that other files own ----------------------------------------------------------------------------------------


def prose(path: Path) -> str:
    """A file without its code."""
    return re.sub(r"^```.*?^```$", "", path.read_text(encoding="utf-8"), flags=re.MULTILINE | re.DOTALL)


def sections(file: str) -> list[str]:
    return re.findall(r"^## (.+)$", prose(ROOT / file), re.MULTILINE)


@pytest.mark.parametrize("section", sections("README.md"))
def test_every_section_of_the_readme_is_on_a_page_or_points_to_one(section: str) -> None:
    sources = [*DOCS.rglob("*.md"), *(SOURCES / "made").glob("*.py")]
    lines = (f"[[include README.md#{section}]]", f"[[include? README.md#{section}]]")
    if any(line in path.read_text(encoding="utf-8") for path in sources for line in lines):
        return
    body = (ROOT / "README.md").read_text(encoding="utf-8").partition(f"\n## {section}\n")[2].partition("\n## ")[0]
    pages = re.findall(rf"\]\({DOCS.relative_to(ROOT).as_posix()}/([^)#]+)\)", body)
    assert pages, f"write [[include README.md#{section}]] on its page of examples/site/docs, or link to that page"
    assert all(len((DOCS / page).read_text(encoding="utf-8")) > len(body) for page in pages)


@pytest.mark.parametrize("page", sorted(DOCS.rglob("*.md")), ids=lambda page: page.stem)
def test_links_out_of_a_pages_source_lead_somewhere_in_a_checkout(page: Path) -> None:
    """The README points to the sources of pages, so they are read there, too."""
    for target in re.findall(r"\]\(([^)#\s]+)", page.read_text(encoding="utf-8")):
        path = (page.parent / target).resolve()
        assert path.is_relative_to(DOCS) or path.exists(), target


def test_no_page_copies_the_readme() -> None:
    owned = [words(part) for file in ("README.md", "DEVELOPERS.md") for part in prose(ROOT / file).split("\n\n")]
    # The library's one sentence of caution stands in bold wherever somebody begins to read.
    caution = next(part for part in owned if part.startswith("**It supports judgement"))
    long = {part for part in owned if len(part) > 120 and part != caution}
    copied = [
        (path.name, part)
        for path in DOCS.rglob("*.md")
        for part in map(words, prose(path).split("\n\n"))
        if part in long
    ]
    assert copied == []


def test_the_changelog_and_the_policy_are_those_of_developers(site: Site) -> None:
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    for page, heading in (("project/changelog.html", "Changelog"), ("project/versions.html", "Versions")):
        body = re.split(rf"^## {heading}\n", text, flags=re.MULTILINE)[1]
        first = next(line for line in body.splitlines() if len(line) > 60 and not line.startswith(("#", "|", "`")))
        plain = re.sub(r"[`*]|^- |\]\([^)]*\)|\[", "", first)
        assert words(plain) in site.text(page)


# -- vocabulary --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", tables())
def test_every_row_of_a_table_is_on_its_page(site: Site, name: str) -> None:
    page = f"{VOCABULARY}/{OF_TABLE.get(name, 'other')}.html"
    table = tables()[name]
    assert code_system(table) in site.text(page)
    for term in table:
        row = site.row(page, f"{name}.{term.value}")
        for piece in (term.display, term.value, term.definition, *term.synonyms, *said(term.basis)):
            assert words(piece) in row, (term, piece)
        for mapping in MAPPINGS.get(table, {}).get(term, ()):
            assert f"{mapping.code} {words(mapping.display)} ({mapping.relation}" in row
            assert ("not sent" in row) or mapping.implied


@pytest.mark.parametrize("structure", Structure)
def test_a_structure_says_depth_light_and_skin_and_how_each_is_known(site: Site, structure: Structure) -> None:
    page = f"{VOCABULARY}/structures.html"
    row = site.tree(page).get_element_by_id(f"structure.{structure.value}")
    cells = {cell.get("data-label"): words(cell.text_content()) for cell in row.iterfind("td")}
    known = {"Depth": structure.depth_basis, "Light": structure.light_basis, "Skin": structure.styles_basis}
    for head, basis in known.items():
        assert all(words(piece) in cells[head] for piece in said(basis))
        assert any(how in cells[head] for how in ("seen:", "from memory", "common practice")), head
    assert cells["Depth"].startswith(structure.depth.display)
    assert cells["Light"].startswith(structure.light.display)
    assert all(style.display in cells["Skin"] for style in structure.reading_styles)
    assert (row.get("data-depth"), row.get("data-light")) == (structure.depth.value, structure.light.value)
    assert set(row.get("data-skin").split()) == {style.value for style in structure.reading_styles}


def test_without_a_script_no_row_is_hidden_and_the_filters_are(site: Site) -> None:
    tree = site.tree(f"{VOCABULARY}/structures.html")
    assert len(tree.xpath("//table/tbody/tr")) == len(Structure)
    assert tree.xpath("//tr[@hidden]") == []
    assert all("hidden" in form.attrib for form in tree.iter("form"))


# -- methods -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("method", BOTH, ids=lambda method: method.code.value)
def test_a_methods_page_says_all_that_the_table_has(site: Site, method: Method | ClueList) -> None:
    page = f"reference/methods/{method.code.value}.html"
    text = site.text(page)
    pieces = [method.id, *CAUTIONS, *method.cautions, *said(method.basis)]
    for figure in method.figures:
        pieces += [figure.text, *said(figure.basis)]
    for condition in method.validity:
        pieces += [condition.reason, condition.effect.value, condition.unknown, *said(condition.basis)]
    if isinstance(method, Method):
        pieces += [one.text for one in method.thresholds] + [one.verdict.display for one in method.thresholds]
        pieces += [piece for one in method.variants for piece in (one.name, one.text, *said(one.basis))]
    if method.steps is not None:
        pieces += [piece for step in method.steps.steps for piece in (step.asks, step.end.says)]
    for piece in pieces:
        assert words(piece) in text, piece
    assert method.figures or "No figure was found" in text


@pytest.mark.parametrize("method", METHODS, ids=lambda method: method.code.value)
def test_each_criterion_has_its_points_and_how_it_is_known(site: Site, method: Method) -> None:
    page = f"reference/methods/{method.code.value}.html"
    for criterion in method.criteria:
        row = site.tree(page).get_element_by_id(f"criterion-{criterion.id}")
        label, counts, weight, _ = (words(cell.text_content()) for cell in row)
        assert label == words(criterion.label)
        assert all(words(piece) in counts for piece in said(criterion.basis))
        if not isinstance(criterion, Counted) and criterion.vetoes:
            assert weight == "below the threshold, whatever else is met"
        else:
            assert float(weight.replace("\N{MINUS SIGN}", "-")) == criterion.tenths / 10


@pytest.mark.parametrize("method", METHODS, ids=lambda method: method.code.value)
def test_no_total_is_called_harmless(site: Site, method: Method) -> None:
    page = f"reference/methods/{method.code.value}.html"
    heading = next(one for one in site.main(page).iter("h2") if one.text_content() == "Threshold")
    table = heading.xpath("following-sibling::table[1]")[0]
    verdicts = " ".join(cell.text_content() for cell in table.xpath(".//td"))
    assert re.search(r"\b(benign|normal|negative|harmless)\b", verdicts, re.IGNORECASE) is None
    assert "threshold" in verdicts


# -- rules, issues, errors ---------------------------------------------------------------------------------------------


def shown(message: str) -> str:
    return words(re.sub(r"\{(\w+)\}", r"[\1]", message))


def test_every_rule_is_on_the_page_of_rules(site: Site) -> None:
    for rule in RULES:
        row = site.row("reference/rules.html", rule.id)
        for piece in (rule.id, rule.severity.value, shown(rule.message), rule.hazard, *map(words, said(rule.basis))):
            assert piece in row, (rule.id, piece)


def issue_ids() -> set[str]:
    """The ids of all rows of issues in the source, wherever one is made."""
    found = set()
    for path in (ROOT / "dermreport").rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "IssueRule":
                given = [*node.args[:1], *(word.value for word in node.keywords if word.arg == "id")]
                found |= {one.value for one in given if isinstance(one, ast.Constant)}
    return found


def test_every_issue_and_error_is_in_the_catalogue(site: Site) -> None:
    ids = set(site.tree("reference/issues.html").xpath("//tr/@id"))
    assert len(issue_ids()) > 100
    assert issue_ids() - ids == set()
    for error in DermReportError.__subclasses__():
        assert error.__name__ in ids


# -- FHIR, schema, settings, API ---------------------------------------------------------------------------------------


def test_every_field_of_the_record_has_its_place(site: Site) -> None:
    ids = set(site.tree("reference/fhir/index.html").xpath("//tr/@id"))
    assert {f"field-{path}" for path in model_paths()} <= ids
    for path in set(PLACES) - CARRIED:
        assert words(PLACES[path]) in site.row("reference/fhir/index.html", f"field-{path}")


@pytest.mark.parametrize("profile", PROFILES, ids=lambda one: f"{one.name}-{one.resource}")
def test_every_element_of_a_profile_is_on_its_resources_page(site: Site, profile: Any) -> None:
    page = f"reference/fhir/{profile.resource.lower()}.html"
    heading = site.tree(page).get_element_by_id(f"dermoscopy-{profile.name}")
    table = heading.xpath("following-sibling::table[1]")[0]
    rows = [words(row.text_content()) for row in table.xpath("./tbody/tr")]
    assert len(rows) == len(profile.elements)
    for row, element in zip(rows, profile.elements, strict=True):
        assert row.startswith(element.path)
        assert words(element.means) in row
        for rule in element.rules:
            assert rule.key in row
        for one in element.profiles:
            assert one.removeprefix(f"{CANONICAL_BASE}/") in row


def test_every_object_and_field_of_the_schema_is_there(site: Site) -> None:
    schema = dermreport.json_schema()
    text = site.main("reference/json-schema.html")
    heads = [one.text_content() for one in text.iter("h2")]
    assert set(schema["$defs"]) <= set(heads)
    for name, one in {"Examination": schema, **schema["$defs"]}.items():
        heading = next(head for head in text.iter("h2") if head.text_content() == name)
        if "properties" in one:
            table = heading.xpath("following-sibling::table[1]")[0]
            assert [words(cell.text_content()) for cell in table.xpath("./tbody/tr/th")] == list(one["properties"])
    for file in ("examination", "visit"):
        copied = site.folder / "files" / "profiles" / f"{file}.schema.json"
        assert copied.read_bytes() == (ROOT / "profiles" / f"{file}.schema.json").read_bytes()


def test_every_setting_says_what_it_decides(site: Site) -> None:
    text = site.main("reference/settings.html")
    for name in ("Settings", "LetterSettings", "Limits", "HttpLimits", "DicomLimits", "Routing", "IdentifierSystems"):
        heading = next(head for head in text.iter("h2") if head.text_content() == name)
        rows = heading.xpath("following-sibling::table[1]")[0].xpath("./tbody/tr")
        assert [words(row[0].text_content()) for row in rows] == [
            one.name for one in fields(getattr(dermreport, name)) if one.init
        ]
        assert all(len(words(row[-1].text_content())) >= len("MSH-4.") for row in rows)


def test_every_public_name_is_on_a_page_with_its_text(site: Site) -> None:
    pages = [page for page in site.pages if page.startswith("reference/api/") and not page.endswith("index.html")]
    ids = {one for page in pages for one in site.tree(page).xpath("//@id")}
    text = " ".join(map(site.text, pages))
    for name in set(dermreport.__all__) - {"__version__"}:
        assert f"dermreport.{name}" in ids, name
        doc = getattr(dermreport, name).__doc__
        assert re.sub(r"`|:\w+:", "", words(doc.split("\n\n")[0]))[:60] in re.sub(r"`|:\w+:", "", text), name


# -- hazards -----------------------------------------------------------------------------------------------------------

DECIDED_ELSEWHERE = (
    "Initial likelihood",
    "Initial risk",
    "Residual severity",
    "Residual likelihood",
    "Residual risk",
    "Accepted by, and when",
)


@pytest.mark.parametrize("hazard", HAZARDS, ids=lambda hazard: hazard.id)
def test_a_hazard_has_every_column_and_nobody_signed_it(site: Site, hazard: Hazard) -> None:
    heading = site.tree("safety/hazard-log.html").get_element_by_id(hazard.id.lower())
    table = heading.xpath("following-sibling::table[1]")[0]
    rows = {words(row[0].text_content()): words(row[1].text_content()) for row in table.xpath("./tbody/tr")}
    assert hazard.hazard.rstrip(".") in words(heading.text_content())
    assert rows["Causes"] == words(hazard.causes)
    assert rows["Effect on the patient"] == words(hazard.effects)
    assert rows["Initial severity (proposed)"] == hazard.severity.value
    assert rows["Why so grave"] == words(hazard.severity_because)
    assert rows["Controls in the library"] == words(hazard.controls)
    assert all(rule in rows["Evidence: rules"] for rule in hazard.rules)
    assert all(test in rows["Evidence: tests"] for test in hazard.tests)
    assert words(hazard.open) in rows["What the library leaves open"]
    for head in DECIDED_ELSEWHERE:
        assert rows[head].startswith("to be decided by the clinical safety officer"), head
    assert "not accepted" in rows["Status"]
    assert "clinical safety officer" in rows["Owner"]


def test_the_log_as_csv_has_the_same_rows_and_no_acceptance(site: Site) -> None:
    text = (site.folder / "safety" / "hazard-log.csv").read_bytes().decode()
    rows = list(csv.DictReader(io.StringIO(text, newline="")))
    assert [row["Number"] for row in rows] == [hazard.id for hazard in HAZARDS]
    for row, hazard in zip(rows, HAZARDS, strict=True):
        assert (row["Hazard"], row["Controls in the library"]) == (hazard.hazard, hazard.controls)
        assert row["Evidence: tests"].split() == list(hazard.tests)
        assert row["Accepted by, and when"] == ""
        assert row["Initial likelihood"].startswith("to be decided")
