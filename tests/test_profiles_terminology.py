"""What is published of the terminology, held against the standard's own definitions and against what is sent.

Outside facts: ``fhir.resources`` (the elements of R4B, which are R4's in all of these, and of R5), the value sets,
search parameters and code systems of FHIR in the reference implementation's archives (see ``terminology``), and
Python's own ``uuid``. That the artefacts pass the reference validator is shown under ``tests/conformance``.
"""

from __future__ import annotations

import importlib
import re
import uuid
from collections import Counter
from typing import TYPE_CHECKING, Any

import fhir_cases
import pytest
from examples_output import ENTRIES, examinations
from terminology import definitions

import dermreport
from dermreport.examination.entry_rules import ENTRY_RULES
from dermreport.fhir.canonical import head
from dermreport.fhir.read.rules import READ_RULES
from dermreport.fhir.releases import Release, shape_of
from dermreport.form.rules import FORM_RULES
from dermreport.issues import IssueRule
from dermreport.languages.language import language
from dermreport.letters.drawn import NOT_IN_THE_RECORD
from dermreport.letters.pdf import rules as pdf_rules
from dermreport.letters.picture_rules import PICTURE_RULES
from dermreport.letters.rules import LETTER_RULES
from dermreport.letters.template_rules import TEMPLATE_RULES
from dermreport.plugins.issue_rules import PLUGIN_RULES
from dermreport.profiles.capability import capability_statements, kept
from dermreport.profiles.operations.refusals import REFUSALS
from dermreport.profiles.search_parameters import SEARCHES, search_parameters
from dermreport.profiles.structures.structure_definitions import structure_definitions
from dermreport.profiles.terminology.code_systems import code_systems
from dermreport.profiles.terminology.concept_maps import concept_maps
from dermreport.profiles.terminology.naming_systems import naming_systems
from dermreport.profiles.terminology.value_sets import value_sets
from dermreport.publication import CANONICAL_BASE, VOCABULARY_VERSION
from dermreport.rules.tables import RULES
from dermreport.settings import DEFAULTS
from dermreport.vocabulary.impressions import Impression
from dermreport.vocabulary.mapping import MAPPINGS
from dermreport.vocabulary.sites import Site
from dermreport.vocabulary.standard_codes import DICOM, DICOM_CODES_NOT_IN_FHIR_R4, LOINC, SNOMED_CT
from dermreport.vocabulary.structures import Structure
from dermreport.vocabulary.tables import tables
from dermreport.vocabulary.term import Term, code_system

if TYPE_CHECKING:
    from collections.abc import Iterator

RELEASES = list(Release)
GENERATORS = (capability_statements, code_systems, concept_maps, naming_systems, search_parameters, value_sets)
SYSTEMS = {one["url"]: one for one in code_systems(Release.R4)}
OURS = f"{CANONICAL_BASE}/CodeSystem/"


def made(release: Release) -> list[dict[str, Any]]:
    return [one for generator in GENERATORS for one in generator(release)]


def concepts(system: dict[str, Any]) -> Iterator[dict[str, Any]]:
    def below(given: list[dict[str, Any]]) -> Iterator[dict[str, Any]]:
        for one in given:
            yield one
            yield from below(one.get("concept", []))

    return below(system["concept"])


def values(concept: dict[str, Any], code: str) -> list[Any]:
    found = [one for one in concept["property"] if one["code"] == code]
    return [value for one in found for name, value in one.items() if name != "code"]


def codings(value: Any) -> Iterator[dict[str, Any]]:
    if isinstance(value, dict):
        if isinstance(value.get("system"), str) and isinstance(value.get("code"), str):
            yield value
        for one in value.values():
            yield from codings(one)
    elif isinstance(value, list):
        for one in value:
            yield from codings(one)


# -- the standard's elements -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("release", RELEASES)
def test_the_reference_classes_take_each_artefact_with_its_elements_in_the_standards_order(release: Release) -> None:
    home = "fhir.resources" if release is Release.R5 else "fhir.resources.R4B"
    for one in made(release):
        kind = one["resourceType"]
        model = getattr(importlib.import_module(f"{home}.{kind.lower()}"), kind)
        model.model_validate(one)
        order = ["resourceType", *model.elements_sequence()]
        assert list(one) == sorted(one, key=order.index), one["id"]


@pytest.mark.parametrize("kind", ["StructureDefinition", "Questionnaire", "NamingSystem"])
def test_the_head_puts_what_a_kind_has_beside_its_status_where_the_standard_has_it(kind: str) -> None:
    model = getattr(importlib.import_module(f"fhir.resources.{kind.lower()}"), kind)
    order = ["resourceType", *model.elements_sequence()]
    parts = {"kind": "resource" if kind == "StructureDefinition" else "identifier", "subjectType": ["Patient"]}
    one = head(kind, "an-id", "A title", "What it is.", {name: parts[name] for name in order if name in parts})
    assert {"kind", "subjectType"} & set(one)
    assert list(one) == sorted(one, key=order.index)


@pytest.mark.parametrize("release", RELEASES)
def test_addresses_are_unique_and_names_are_such_as_the_standard_asks(release: Release) -> None:
    artefacts = made(release)
    assert len({(one["resourceType"], one["id"]) for one in artefacts}) == len(artefacts)
    for one in artefacts:
        # The invariants cnl-0 of R5 and csd-0, vsd-0 … of R4, and the data type id.
        assert re.fullmatch(r"[A-Z][A-Za-z0-9_]{0,254}", one["name"]), one["name"]
        assert re.fullmatch(r"[A-Za-z0-9.-]{1,64}", one["id"]), one["id"]
        assert one.get("url", f"{CANONICAL_BASE}/{one['resourceType']}/{one['id']}").endswith(
            f"/{one['resourceType']}/{one['id']}"
        )
        assert one["status"] == "active"
        assert one["text"]["status"] == "generated"


# -- code systems ------------------------------------------------------------------------------------------------------


def test_there_is_one_code_system_for_each_table_and_two_more() -> None:
    assert set(SYSTEMS) == {code_system(table) for table in tables().values()} | {f"{OURS}rule", f"{OURS}criterion"}


@pytest.mark.parametrize("table", tables().values(), ids=tables().keys())
def test_a_code_system_holds_every_row_with_names_and_definition(table: type[Term]) -> None:
    system = SYSTEMS[code_system(table)]
    assert (system["content"], system["caseSensitive"], system["version"]) == ("complete", True, VOCABULARY_VERSION)
    rows = {one["code"]: one for one in concepts(system)}
    assert rows.keys() == {term.value for term in table}
    assert system["count"] == len(rows) == len(list(concepts(system)))
    for term in table:
        row = rows[term.value]
        assert (row["display"], row["definition"]) == (term.display, term.definition)
        names = [one["value"] for one in row.get("designation", []) if one["language"] == "en"]
        assert set(term.synonyms) - {term.display} <= set(names)
        assert row["display"] not in names
        assert len(set(names)) == len(names)
        # A SNOMED CT code for the use of a name makes the reference validator warn.
        assert all(one.keys() == {"language", "value"} for one in row.get("designation", []))
        assert values(row, "known") == [term.basis.text]


def test_both_names_of_a_structure_are_there_for_a_search_by_name() -> None:
    for row in concepts(SYSTEMS[code_system(Structure)]):
        structure = Structure(row["code"])
        names = {row["display"], *(one["value"] for one in row.get("designation", []))}
        assert {structure.descriptive, structure.metaphoric} - {""} <= names
        assert values(row, "descriptive-name") == [structure.descriptive]
        assert values(row, "metaphoric-name") == ([structure.metaphoric] if structure.metaphoric else [])


@pytest.mark.parametrize("table", tables().values(), ids=tables().keys())
def test_every_concept_is_named_in_each_language_and_the_system_says_it_is_a_draft(table: type[Term]) -> None:
    system = SYSTEMS[code_system(table)]
    german = language("de")
    assert f"«de»: {german.draft.state} (drafted {german.draft.drafted})" in system["description"]
    for row in concepts(system):
        term = table(row["code"])
        names = [one["value"] for one in row["designation"] if one["language"] == "de"]
        both = german.structure_names(term) if isinstance(term, Structure) else (german.term(term),)
        assert names[0] == german.term(term)
        assert sorted(names) == sorted({*both} - {""})


def test_a_criterion_is_named_in_german_and_a_rule_whose_display_is_its_id_is_not() -> None:
    criteria, rules = SYSTEMS[f"{OURS}criterion"], SYSTEMS[f"{OURS}rule"]
    for row in concepts(criteria):
        assert row["designation"] == [{"language": "de", "value": language("de").text(row["display"])}]
    assert language("de").draft.state in criteria["description"]
    assert not any("designation" in row for row in concepts(rules))
    assert language("de").draft.state not in rules["description"]


def test_every_structure_says_its_depth_its_light_and_its_skin_and_each_site_its_place_above() -> None:
    for row in concepts(SYSTEMS[code_system(Structure)]):
        structure = Structure(row["code"])
        assert [one["code"] for one in values(row, "depth")] == [structure.depth.value]
        assert [one["code"] for one in values(row, "light")] == [structure.light.value]
        assert {one["code"] for one in values(row, "reading-style")} == {one.value for one in structure.reading_styles}
        assert {one["code"] for one in values(row, "implied-colour")} == {
            one.value for one in structure.implied_colours
        }
    roots = [row["code"] for row in concepts(SYSTEMS[code_system(Site)]) if not values(row, "parent")]
    assert roots == ["skin"]


@pytest.mark.parametrize("system", SYSTEMS.values(), ids=lambda one: one["id"])
def test_properties_are_declared_and_given_in_the_type_that_the_standard_asks(system: dict[str, Any]) -> None:
    declared = {one["code"]: one for one in system["property"]}
    codes = {one["code"] for one in concepts(system)}
    used = set()
    for concept in concepts(system):
        for given in concept["property"]:
            kind = declared[given["code"]]["type"]
            element = f"value{kind[0].upper()}{kind[1:]}"
            assert given.keys() == {"code", element}
            used.add(given["code"])
            if kind == "code":
                # FHIR: a value of type code identifies a concept of the same code system.
                assert given[element] in codes
            if kind == "Coding":
                assert given[element]["system"] != system["url"]
    assert used == set(declared)


def test_a_property_that_names_a_row_of_another_table_names_one_that_is_there() -> None:
    named = Counter()
    for system in SYSTEMS.values():
        for coding in codings([concept["property"] for concept in concepts(system)]):
            named[coding["system"]] += 1
            if coding["system"].startswith(OURS):
                rows = {one["code"]: one["display"] for one in concepts(SYSTEMS[coding["system"]])}
                assert rows[coding["code"]] == coding["display"]
            else:
                assert coding["code"] in definitions.r4_code_system(coding["system"])
    assert {"http://hl7.org/fhir/request-priority", "http://hl7.org/fhir/issue-severity"} <= set(named)


def test_the_parent_is_the_standards_property_and_agrees_with_the_nesting() -> None:
    assert "parent" in definitions.r4_code_system("http://hl7.org/fhir/concept-properties")
    nested = 0
    for system in SYSTEMS.values():
        for concept in concepts(system):
            for child in concept.get("concept", []):
                assert values(child, "parent") == [concept["code"]]
                nested += 1
        for one in system["concept"]:
            assert values(one, "parent") == []
        for one in system["property"]:
            assert (one["code"] == "parent") == ("uri" in one)
            assert one.get("uri") in {None, "http://hl7.org/fhir/concept-properties#parent"}
        assert ("hierarchyMeaning" in system) == any("concept" in one for one in system["concept"])
    assert nested == sum(1 for table in (Structure, Site) for row in table if row.parent is not None)


def test_every_rule_that_an_issue_can_name_has_a_code() -> None:
    codes = {one["code"] for one in concepts(SYSTEMS[f"{OURS}rule"])}
    assert {rule.id for rule in RULES} <= codes
    assert set(ENTRY_RULES) | set(READ_RULES) | set(FORM_RULES) <= codes
    # Whatever the HTTP door answers: its own refusals, and the issues of letters.
    assert {one.rule.id for one in REFUSALS} | set(PICTURE_RULES) | set(TEMPLATE_RULES) <= codes
    assert {one.id for one in (*LETTER_RULES, NOT_IN_THE_RECORD, *PLUGIN_RULES)} <= codes
    assert {one.id for one in vars(pdf_rules).values() if isinstance(one, IssueRule)} <= codes
    for path in ENTRIES:
        reviews = [dermreport.review(one) for one in examinations(path)]
        outcome = dermreport.to_fhir(reviews).outcome()
        named = {one["code"] for one in codings(outcome) if one["system"] == f"{OURS}rule"}
        assert named <= codes, path.name


def test_the_policy_on_codes_is_said_where_a_reader_of_the_codes_sees_it() -> None:
    for system in SYSTEMS.values():
        assert "never changed, removed or used again" in system["description"]


# -- value sets --------------------------------------------------------------------------------------------------------


def listed(value_set: dict[str, Any]) -> dict[str, dict[str, str] | None]:
    """What a value set lists: for each system its codes with display, or all of them."""
    return {
        include["system"]: {one["code"]: one["display"] for one in include["concept"]} if "concept" in include else None
        for include in value_set["compose"]["include"]
    }


@pytest.mark.parametrize("release", RELEASES)
def test_a_value_set_lists_every_coding_that_is_sent_of_its_table(release: Release) -> None:
    sets = {one["id"]: listed(one) for one in value_sets(release)}
    assert sets.keys() == tables().keys()
    shape = shape_of(release)
    beside = Counter()
    for identity, table in tables().items():
        systems = sets[identity]
        assert systems[code_system(table)] is None
        sent: dict[str, dict[str, str]] = {}
        for term in table:
            for coding in shape.codes(DEFAULTS).concept(term)["coding"]:
                if coding["system"] != code_system(table):
                    sent.setdefault(coding["system"], {})[coding["code"]] = coding["display"]
        # Nothing is missing, and nothing is listed that is never sent.
        assert {system: codes for system, codes in systems.items() if codes is not None} == sent
        beside.update({system: len(codes) for system, codes in sent.items()})
    assert set(beside) == {SNOMED_CT, LOINC, DICOM}


@pytest.mark.parametrize("release", RELEASES)
def test_the_codes_of_dicom_that_r4_lacks_stand_in_r5_alone(release: Release) -> None:
    codes = {code for one in value_sets(release) for code in (listed(one).get(DICOM) or {})}
    mapped = {one["code"] for one in codings_of_maps(release, DICOM)}
    if release is Release.R5:
        assert mapped >= DICOM_CODES_NOT_IN_FHIR_R4
    else:
        known = definitions.r4_code_system(DICOM)
        assert codes | mapped <= set(known)
        assert not (codes | mapped) & DICOM_CODES_NOT_IN_FHIR_R4


@pytest.mark.parametrize("release", RELEASES)
def test_every_code_of_ours_that_an_example_sends_is_published_with_that_display(release: Release) -> None:
    seen = 0
    for path in ENTRIES:
        reviews = [dermreport.review(one) for one in examinations(path)]
        bundle = dermreport.to_fhir(reviews, release=release.value).bundle("collection").to_dict()
        for coding in codings(bundle):
            if coding["system"].startswith(OURS):
                rows = {one["code"]: one["display"] for one in concepts(SYSTEMS[coding["system"]])}
                assert coding["code"] in rows, (path.name, coding)
                assert coding.get("display", rows[coding["code"]]) == rows[coding["code"]]
                seen += 1
    assert seen > 1000


# -- concept maps ------------------------------------------------------------------------------------------------------


def targets(release: Release, system: str) -> Iterator[tuple[str, str, dict[str, Any]]]:
    for concept_map in concept_maps(release):
        for group in concept_map["group"]:
            if group["target"] == system:
                for element in group["element"]:
                    for target in element["target"]:
                        yield group["source"], element["code"], target


def codings_of_maps(release: Release, system: str) -> list[dict[str, Any]]:
    return [target for _, _, target in targets(release, system)]


@pytest.mark.parametrize("release", RELEASES)
def test_every_correspondence_stands_in_the_map_of_its_terminology(release: Release) -> None:
    wanted = Counter(
        (code_system(table), term.value, one.system, one.code)
        for table, rows in MAPPINGS.items()
        for term, mappings in rows.items()
        for one in mappings
        if release is Release.R5 or one.code not in DICOM_CODES_NOT_IN_FHIR_R4
    )
    found = Counter(
        (source, code, system, target["code"])
        for system in (SNOMED_CT, LOINC, DICOM)
        for source, code, target in targets(release, system)
    )
    assert found == wanted
    assert set(found.values()) == {1}


@pytest.mark.parametrize("release", RELEASES)
def test_relations_are_words_of_the_release_and_a_narrower_target_is_explained(release: Release) -> None:
    if release is Release.R5:
        words, element = definitions.r5_code_system("concept-map-relationship"), "relationship"
    else:
        words, element = definitions.r4_code_system("http://hl7.org/fhir/concept-map-equivalence"), "equivalence"
    for system in (SNOMED_CT, LOINC, DICOM):
        for _, _, target in targets(release, system):
            assert target[element] in words
            # The invariant cmd-1 of both releases asks it of what is narrower.
            assert target["comment"]


#: The frontal scalp is a part of the scalp, so its skin is narrower; the gum of one jaw is a part of the gums. Anatomy.
POINTS_OF_VIEW = (
    ("scalp-frontal", "43067004", "The target mapping is wider in meaning than the source", "source-is-narrower"),
    ("scalp-parietal", None, "The definitions of the concepts mean the same thing", "equivalent"),
    ("gum", "mandibular", "The target mapping is narrower in meaning than the source", "source-is-broader"),
)


@pytest.mark.parametrize(("site", "target_code", "r4_definition", "r5_word"), POINTS_OF_VIEW, ids=str)
def test_r4_and_r5_tell_the_same_relation_from_their_own_points_of_view(
    site: str, target_code: str | None, r4_definition: str, r5_word: str
) -> None:
    r4_words = definitions.r4_code_system("http://hl7.org/fhir/concept-map-equivalence")

    def wanted(target: dict[str, Any]) -> bool:
        return target_code is None or target_code == target["code"] or target_code in target["display"]

    def of(release: Release) -> dict[str, Any]:
        found = targets(release, SNOMED_CT)
        return next(one for source, code, one in found if (source, code) == (code_system(Site), site) and wanted(one))

    assert r4_words[of(Release.R4)["equivalence"]].startswith(r4_definition)
    assert of(Release.R5)["relationship"].startswith(r5_word)


def test_a_suspected_cancer_is_only_related_to_the_disorder_and_the_map_says_that_it_is_not_sent() -> None:
    found = [
        target
        for source, code, target in targets(Release.R4, SNOMED_CT)
        if source == code_system(Impression) and code.startswith("melanoma")
    ]
    assert found
    for target in found:
        assert target["equivalence"] == "relatedto"
        assert "Not sent" in target["comment"]


@pytest.mark.parametrize("release", RELEASES)
def test_a_notice_stands_wherever_codes_of_another_owner_do(release: Release) -> None:
    owners = {SNOMED_CT: "SNOMED CT", LOINC: "LOINC is copyright", DICOM: "DICOM"}
    for one in (*value_sets(release), *concept_maps(release)):
        systems = {group["target"] for group in one.get("group", ())} or set(listed(one))
        for system, owner in owners.items():
            assert (owner in one.get("copyright", "")) == (system in systems), one["id"]


# -- namespaces, searches, capability ----------------------------------------------------------------------------------


def test_the_namespace_of_items_makes_the_identifiers_that_are_sent() -> None:
    published = {one["id"]: one["uniqueId"][0]["value"] for one in naming_systems(Release.R4)}
    namespace = uuid.UUID(published["item-identifier"])
    entry = {
        "identifier": {"value": "1f0a7e0e-4f3a-4b60-9d52-6f1d0f7c9b11"},
        "status": "final",
        "patient": {"reference": "Patient/1"},
        "examined": "2026-03-04",
        "views": [{"key": "a", "light": "polarised"}],
    }
    review = dermreport.review(dermreport.from_entry(entry).examination)
    bundle = dermreport.to_fhir(review).bundle("collection").to_dict()
    # RFC 9562, version 5, by Python's own library, of the text that the description names.
    number = f"urn:uuid:{entry['identifier']['value']}"
    expected = uuid.uuid5(namespace, f"urn:ietf:rfc:3986|{number}|view|a")
    identifiers = [one["resource"].get("identifier") for one in bundle["entry"]]
    assert [{"system": "urn:ietf:rfc:3986", "value": f"urn:uuid:{expected}"}] in identifiers
    provenance = next(one["resource"] for one in bundle["entry"] if one["resource"]["resourceType"] == "Provenance")
    assert published["software"] in {one["system"] for one in provenance_identifiers(provenance)}


def provenance_identifiers(provenance: dict[str, Any]) -> Iterator[dict[str, Any]]:
    for part in (*(one["who"] for one in provenance["agent"]), *(one["what"] for one in provenance["entity"])):
        if "identifier" in part:
            yield part["identifier"]


def test_r4_names_a_namespace_without_the_elements_that_only_r5_has() -> None:
    for r4, r5 in zip(naming_systems(Release.R4), naming_systems(Release.R5), strict=True):
        assert set(r5) - set(r4) == {"url", "version", "title", "experimental"}


@pytest.mark.parametrize("release", RELEASES)
def test_each_search_of_ours_is_one_that_the_standard_lacks(release: Release) -> None:
    standard = definitions.searches(release)
    for one in search_parameters(release):
        assert (one["base"][0], one["code"]) not in standard
        assert one["expression"].startswith(one["base"][0])
    assert len(SEARCHES) == len({one.identity for one in SEARCHES})


@pytest.mark.parametrize("release", RELEASES)
def test_our_searches_lead_from_every_example_to_what_belongs_together(release: Release) -> None:
    """By fhirpathpy, an independent FHIRPath engine; it doesn't resolve references, so the test does."""
    from fhirpathpy import evaluate
    from fhirpathpy.models import models

    model = models["r5" if release is Release.R5 else "r4"]
    found = Counter()
    for entry in ENTRIES:
        reviews = [dermreport.review(one) for one in examinations(entry)]
        bundle = dermreport.to_fhir(reviews, release=release.value).bundle("collection").to_dict()
        resources = {one["fullUrl"]: one["resource"] for one in bundle["entry"]}
        for search in search_parameters(release):
            path = search["expression"].removesuffix(f".where(resolve() is {search['target'][0]})")
            for resource in (one for one in resources.values() if one["resourceType"] == search["base"][0]):
                for reference in evaluate(resource, path, [], model):
                    if reference.get("reference") in resources:
                        assert resources[reference["reference"]]["resourceType"] in search["target"]
                        found[search["id"]] += 1
        reports = [one for one in resources.values() if one["resourceType"] == "DiagnosticReport"]
        assert found["DiagnosticReport-lesion"] >= len(reports) > 0
    assert found.keys() == {"DiagnosticReport-lesion", "ServiceRequest-report", "Communication-report"}


@pytest.mark.parametrize("release", RELEASES)
def test_the_search_for_what_came_after_follows_the_earlier_report_that_was_entered(release: Release) -> None:
    from fhirpathpy import evaluate
    from fhirpathpy.models import models

    search = next(one for one in search_parameters(release) if one["code"] == "earlier-report")
    path = search["expression"].removesuffix(".where(resolve() is DiagnosticReport)")
    assert fhir_cases.FULL["earlier"] == {"reference": "DiagnosticReport/3"}
    report = fhir_cases.the(fhir_cases.resources(release.value), "DiagnosticReport")
    found = evaluate(report, path, [], models["r5" if release is Release.R5 else "r4"])
    assert [one["reference"] for one in found] == ["DiagnosticReport/3"]


@pytest.mark.parametrize("release", RELEASES)
def test_every_search_that_a_server_must_offer_is_the_standards_or_ours(release: Release) -> None:
    standard = definitions.searches(release)
    ours = {(one["base"][0], one["code"]): one for one in search_parameters(release)}
    rest = capability_statements(release)[0]["rest"][0]
    strengths = Counter()
    for resource in rest["resource"]:
        for search in resource["searchParam"]:
            key = (resource["type"], search["name"])
            strengths[search["extension"][0]["valueCode"]] += 1
            if key in ours:
                assert (search["definition"], search["type"]) == (ours.pop(key)["url"], "reference")
            else:
                assert (search["definition"], search["type"]) == tuple(standard[key])
    assert ours == {}
    assert set(strengths) == {"SHALL", "SHOULD"}


@pytest.mark.parametrize("release", RELEASES)
def test_a_server_is_asked_to_keep_every_kind_that_is_sent_and_names_each_profile_once(release: Release) -> None:
    sent = set()
    for path in ENTRIES:
        reviews = [dermreport.review(one) for one in examinations(path)]
        letters = [dermreport.letter(reviews)]
        bundle = dermreport.to_fhir(reviews, release=release.value, letters=letters).bundle("transaction").to_dict()
        for entry in bundle["entry"]:
            kind, request = entry["resource"]["resourceType"], entry["request"]
            sent.add(kind)
            row = next(one for one in kept(release) if one.kind == kind)
            # How it is sent is what the server is asked for.
            if request["method"] == "POST":
                assert row.conditional
            else:
                assert row.updated
                assert ("?" in request["url"]) == row.conditional
    # The examples point to the host's own patients, and documents are stored by themselves.
    assert sent | {"Patient", "Bundle"} == {one.kind for one in kept(release)}
    resources = capability_statements(release)[0]["rest"][0]["resource"]
    named = Counter(url for one in resources for url in one.get("supportedProfile", []))
    published = {one["url"]: one["type"] for one in structure_definitions(release)}
    assert set(named.values()) == {1}
    for one in resources:
        assert {published[url] for url in one.get("supportedProfile", [])} <= {one["type"]}
    assert set(published) - set(named) <= {url for url, kind in published.items() if kind == "Composition"}
