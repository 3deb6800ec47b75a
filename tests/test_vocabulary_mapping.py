"""Standard codes and correspondences, checked against the libraries that carry the terminologies.

The code dictionaries of pydicom 3.0.2 (DICOM PS3.16) are always asked. The SNOMED CT Global Patient Set and FHIR R4's
value sets lie in Java archives: where they are missing, those tests are skipped with the command that fetches them;
with ``DERMREPORT_ENGINES=required`` they are fetched, and not getting them is a failure. Whether a code is still
active is not checked: no library here says so, but that the Global Patient Set lists what was active in July 2020.
"""

from __future__ import annotations

import re
import subprocess
import sys
from collections import Counter

import pytest
from terminology import libraries

from dermreport.sources import Source
from dermreport.vocabulary import standard_codes as code_table
from dermreport.vocabulary.histology_results import HistologyResult
from dermreport.vocabulary.implied_concerns import ImpliedConcern
from dermreport.vocabulary.impression_groups import ImpressionGroup
from dermreport.vocabulary.impressions import Impression
from dermreport.vocabulary.mapping import MAPPINGS, Relation, standard_codes
from dermreport.vocabulary.sites import Site
from dermreport.vocabulary.standard_codes import (
    DICOM,
    DICOM_CODES_NOT_IN_FHIR_R4,
    LOINC,
    SNOMED_CT,
    STANDARD_CODES,
    StandardCode,
)

#: Codes that no library of these tests carries, and why they are in the table all the same. Nothing may join it.
NOT_CHECKABLE = {
    "Skin structure of trunk (body structure)": "European cross-border release only",
    "Skin structure of shoulder (body structure)": "European cross-border release only",
    "Skin structure of forearm (body structure)": "European cross-border release only",
    "Skin structure of lower leg (body structure)": "European cross-border release only",
    "Skin structure of sole of foot (body structure)": "European cross-border release only",
    "Seborrheic keratosis (morphologic abnormality)": "European cross-border release only",
    "Size.maximum dimension in Tumor": "LOINC, in no value set of FHIR R4",
}

#: Context groups of DICOM PS3.16 that were read: sites, earlier cancers, disorders, symptoms, procedures, colours.
CONTEXT_GROUPS = (4029, 4402, 4403, 4404, 4405, 4406, 4409, 4411)

CARRIED_BY_PYDICOM = {Source.DICOM_SKIN_CONTEXT_GROUPS, Source.DICOM_CODE_DICTIONARIES}
CARRIED_BY_ARCHIVES = {Source.SNOMED_GLOBAL_PATIENT_SET, Source.FHIR_R4}

ALL_MAPPINGS = [
    pytest.param(table, term, mapping, id=f"{table.__name__}-{term}-{mapping.code}")
    for table, rows in MAPPINGS.items()
    for term, mappings in rows.items()
    for mapping in mappings
]


def codes_of(*sources: Source) -> list[StandardCode]:
    return [code for code in STANDARD_CODES.values() if set(sources) & set(code.basis.sources)]


@pytest.fixture
def global_patient_set():
    libraries.at_hand(libraries.GLOBAL_PATIENT_SET[0])
    return libraries.global_patient_set()


@pytest.fixture
def fhir_r4_loinc():
    libraries.at_hand(libraries.FHIR_R4[0])
    return libraries.fhir_r4_loinc()


# -- the codes ---------------------------------------------------------------------------------------------------------


def test_every_code_names_one_library_or_is_listed_as_not_checkable():
    for code in STANDARD_CODES.values():
        sources = set(code.basis.sources)
        assert (code.display in NOT_CHECKABLE) is not bool(sources & (CARRIED_BY_PYDICOM | CARRIED_BY_ARCHIVES)), code


@pytest.mark.parametrize("code", codes_of(*CARRIED_BY_PYDICOM), ids=lambda code: code.code)
def test_pydicom_carries_the_code_with_this_meaning(code):
    assert code.display in libraries.dicom_dictionaries()[code.system, code.code]


@pytest.mark.parametrize("code", codes_of(Source.DICOM_SKIN_CONTEXT_GROUPS), ids=lambda code: code.code)
def test_a_context_group_of_the_skin_carries_the_code_with_this_meaning(code):
    groups = [libraries.dicom_context_group(number) for number in CONTEXT_GROUPS]
    assert frozenset((code.display,)) in [group.get((code.system, code.code)) for group in groups]


def test_the_global_patient_set_is_the_one_that_was_read(global_patient_set):
    assert len(global_patient_set) == 26_158  # the number that the value set's own description states


@pytest.mark.parametrize("code", codes_of(Source.SNOMED_GLOBAL_PATIENT_SET), ids=lambda code: code.code)
def test_the_global_patient_set_carries_the_code_with_this_name(code, global_patient_set):
    assert global_patient_set[code.system, code.code] == {code.display}


@pytest.mark.parametrize("code", codes_of(Source.FHIR_R4), ids=lambda code: code.code)
def test_a_value_set_of_fhir_r4_carries_the_loinc_code_with_this_display(code, fhir_r4_loinc):
    assert code.display in fhir_r4_loinc[code.system, code.code]


def test_what_no_library_carries_is_exactly_what_is_listed(global_patient_set, fhir_r4_loinc):
    carried = libraries.dicom_dictionaries().keys() | global_patient_set.keys() | fhir_r4_loinc.keys()
    not_carried = {code.display for code in STANDARD_CODES.values() if (code.system, code.code) not in carried}
    assert not_carried == set(NOT_CHECKABLE)


def test_pydicom_carries_none_of_the_codes_listed_as_not_checkable():
    carried = libraries.dicom_dictionaries()
    assert [STANDARD_CODES[name] for name in NOT_CHECKABLE if _key(STANDARD_CODES[name]) in carried] == []


def test_the_list_of_what_no_library_carries_does_not_grow():
    assert len(NOT_CHECKABLE) <= 7


def test_the_dicom_codes_kept_from_fhir_r4_are_those_that_its_code_system_lacks():
    libraries.at_hand(libraries.FHIR_R4[0])
    known = libraries.fhir_r4_code_system(DICOM)
    used = {code.code for code in STANDARD_CODES.values() if code.system == DICOM}
    assert used - known == DICOM_CODES_NOT_IN_FHIR_R4


def test_no_two_codes_are_the_same_and_no_display_is_lost():
    keys = Counter(_key(code) for code in STANDARD_CODES.values())
    assert [key for key, times in keys.items() if times > 1] == []
    assert all(display == code.display for display, code in STANDARD_CODES.items())
    blocks = [block for name, block in vars(code_table).items() if re.match(r"_(SNOMED|DICOM|LOINC)_", name)]
    assert sum(map(len, blocks)) == len(STANDARD_CODES)


def test_every_code_is_used():
    by_term = {mapping.display for rows in MAPPINGS.values() for mappings in rows.values() for mapping in mappings}
    by_element = {value.display for value in vars(code_table).values() if isinstance(value, StandardCode)}
    assert STANDARD_CODES.keys() - by_term - by_element == set()


@pytest.mark.parametrize("code", STANDARD_CODES.values(), ids=lambda code: code.code)
def test_codes_have_the_form_of_their_system(code):
    assert re.fullmatch({SNOMED_CT: r"\d{6,18}", LOINC: r"\d{1,5}-\d", DICOM: r"\d{6}"}[code.system], code.code)
    if code.system == SNOMED_CT:
        assert _verhoeff(code.code), "the check digit is wrong"


@pytest.mark.parametrize(
    "avoided",
    [
        "372244006",  # malignant melanoma, of any site
        "402815007",  # squamous cell carcinoma, of any site
        "2092003",
        "28899001",
        "2099007",  # morphologies that were superseded
        "403598008",  # «painful skin» in DICOM, but the skin-ache syndrome in SNOMED CT
        "39126-8",  # the length of a wound
        "1237125003",
        *(f"4032{end}" for end in ("21005", "22003", "26003", "31003", "35007", "36008")),  # one indirect source only
    ],
)
def test_codes_that_were_ruled_out_are_not_there(avoided):
    assert avoided not in {code.code for code in STANDARD_CODES.values()}


# -- what they correspond to -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("table", "term", "mapping"), ALL_MAPPINGS)
def test_rows_stand_in_their_own_table_and_quote_the_code_table(table, term, mapping):
    assert type(term) is table
    standard = STANDARD_CODES[mapping.display]
    assert (mapping.system, mapping.code, mapping.basis) == (standard.system, standard.code, standard.basis)


@pytest.mark.parametrize("table", MAPPINGS, ids=lambda table: table.__name__)
def test_a_standard_code_equals_one_term_and_a_term_equals_one_code_of_a_system(table):
    equal = [
        (term, mapping)
        for term, mappings in MAPPINGS[table].items()
        for mapping in mappings
        if mapping.relation is Relation.EQUIVALENT
    ]
    terms_of_code = Counter((mapping.system, mapping.code) for _, mapping in equal)
    codes_of_term = Counter((term, mapping.system) for term, mapping in equal)
    assert [code for code, times in terms_of_code.items() if times > 1] == []
    assert [term for term, times in codes_of_term.items() if times > 1] == []


@pytest.mark.parametrize(("table", "term", "mapping"), ALL_MAPPINGS)
def test_only_what_a_term_implies_stands_beside_it(table, term, mapping):
    assert (mapping in standard_codes(term)) is (mapping.relation in {Relation.EQUIVALENT, Relation.BROADER})
    assert set(standard_codes(term)) <= set(MAPPINGS[table][term])


def test_equal_codes_come_before_broader_ones():
    for rows in MAPPINGS.values():
        for term in rows:
            relations = [mapping.relation for mapping in standard_codes(term)]
            assert relations == sorted(relations, key=[Relation.EQUIVALENT, Relation.BROADER].index)


def test_terms_without_a_row_have_no_code():
    assert standard_codes(Site.CONJUNCTIVA) == ()
    assert standard_codes(ImpliedConcern.BENIGN) == ()


def test_terms_of_two_tables_that_share_a_code_keep_their_own_standard_codes():
    assert Impression.SEBORRHOEIC_KERATOSIS == HistologyResult.SEBORRHOEIC_KERATOSIS
    assert standard_codes(Impression.SEBORRHOEIC_KERATOSIS) == ()
    assert [mapping.code for mapping in standard_codes(HistologyResult.SEBORRHOEIC_KERATOSIS)] == ["25499005"]


@pytest.mark.parametrize("site", [site for site in Site if site not in {Site.CONJUNCTIVA, Site.NOSTRIL_MUCOSA}])
def test_every_site_but_two_has_a_correspondence(site):
    assert MAPPINGS[Site][site]


def test_sites_that_dicom_lists_come_from_its_context_group():
    group = libraries.dicom_context_group(4029)
    for mappings in MAPPINGS[Site].values():
        for mapping in mappings:
            from_group = Source.DICOM_SKIN_CONTEXT_GROUPS in mapping.basis.sources
            assert from_group is ((mapping.system, mapping.code) in group and mapping.system == SNOMED_CT), mapping


@pytest.mark.parametrize("site", Site)
def test_a_site_whose_code_is_broader_lies_within_the_site_whose_code_that_is(site):
    equal = {
        mapping.code: owner
        for owner, mappings in MAPPINGS[Site].items()
        for mapping in mappings
        if mapping.relation is Relation.EQUIVALENT
    }
    around = set()
    outer = site.parent
    while outer is not None:
        around.add(outer)
        outer = outer.parent
    for mapping in standard_codes(site):
        if mapping.relation is Relation.BROADER and mapping.code in equal:
            assert equal[mapping.code] in around


# DICOM PS3.16, CID 4029: the meaning is the anterior surface only, and a part of the dorsal surface only.
@pytest.mark.parametrize(("site", "code"), [(Site.KNEE, "181553006"), (Site.HAND_DORSUM, "281642007")])
def test_codes_for_a_part_of_a_site_are_narrower_and_do_not_go_out(site, code):
    relations = {mapping.code: mapping.relation for mapping in MAPPINGS[Site][site]}
    assert relations[code] is Relation.NARROWER
    assert code not in {mapping.code for mapping in standard_codes(site)}


@pytest.mark.parametrize("digit", [site for site in Site if site.endswith("-nail")])
def test_each_nail_unit_has_the_code_of_its_digit(digit):
    # DICOM PS3.16, CID 4029 names a nail unit for each digit in these words
    name = digit.removesuffix("-nail").replace("-", " ")
    assert [mapping.display for mapping in standard_codes(digit)] == [f"Nail unit of {name}"]


# -- no diagnosis by code ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("impression", [one for one in Impression if one.concern is not ImpliedConcern.BENIGN])
def test_an_impression_that_is_not_harmless_carries_no_disorder(impression):
    if impression.group is ImpressionGroup.UNCLASSIFIED:
        assert {mapping.display for mapping in standard_codes(impression)} <= {
            "Pigmented skin lesion (disorder)",
            "Skin lesion",
        }
    else:
        assert standard_codes(impression) == ()
        assert Relation.EQUIVALENT not in {mapping.relation for mapping in MAPPINGS[Impression].get(impression, ())}


@pytest.mark.parametrize("impression", [one for one in Impression if "suspected" in one or "excluded" in one])
def test_a_suspected_cancer_is_at_most_related_to_the_disorder(impression):
    assert impression.concern is not ImpliedConcern.BENIGN
    assert {mapping.relation for mapping in MAPPINGS[Impression].get(impression, ())} <= {Relation.RELATED}


def test_only_a_pathologists_result_sends_the_code_of_a_cancer_or_its_precursor():
    cancers = {
        mapping.code
        for result in HistologyResult
        if result.concern in {ImpliedConcern.MALIGNANT, ImpliedConcern.PREMALIGNANT_OR_IN_SITU}
        for mapping in MAPPINGS[HistologyResult].get(result, ())
    }
    assert len(cancers) >= 12
    senders = {
        table.__name__
        for table, rows in MAPPINGS.items()
        for term in rows
        for mapping in standard_codes(term)
        if mapping.code in cancers
    }
    assert senders == {"HistologyResult"}


def test_displays_that_name_a_cancer_go_out_with_a_result_or_a_history_only():
    # the words of SNOMED CT's own names; «history of» is a statement about the past, not a diagnosis
    cancer = re.compile(r"carcinoma|melanoma|sarcoma|lymphoma|malignant|neoplasm", re.IGNORECASE)
    for table, rows in MAPPINGS.items():
        for term in rows:
            for mapping in standard_codes(term):
                if cancer.search(mapping.display) and "history of" not in mapping.display.lower():
                    assert table is HistologyResult, (term, mapping)


# -- loading -----------------------------------------------------------------------------------------------------------


def test_the_package_does_not_load_the_correspondences():
    loaded = "import sys, dermreport; print(*sys.modules)"
    modules = subprocess.run([sys.executable, "-c", loaded], capture_output=True, text=True, check=True).stdout.split()
    assert "dermreport" in modules
    assert not {"dermreport.vocabulary.mapping", "dermreport.vocabulary.standard_codes"} & set(modules)


def _key(code: StandardCode) -> tuple[str, str]:
    return code.system, code.code


def _verhoeff(number: str) -> bool:
    """Return whether the check digit fits, by the dihedral scheme that SNOMED CT's identifiers use."""
    position = (1, 5, 7, 6, 2, 8, 3, 0, 9, 4)
    remainder = 0
    for place, digit in enumerate(map(int, reversed(number))):
        permuted = digit
        for _ in range(place % 8):
            permuted = position[permuted]
        remainder = _dihedral(remainder, permuted)
    return remainder == 0


def _dihedral(left: int, right: int) -> int:
    """Multiply in the dihedral group of order ten."""
    if left < 5:
        return (left + right) % 5 if right < 5 else (left + right - 5) % 5 + 5
    return (left - right) % 5 + 5 if right < 5 else (left - right) % 5
