"""Tables of assessment and plan: what names and steps imply, held against names and codes made elsewhere."""

from __future__ import annotations

import re
from collections import Counter

import pytest
from fhir.resources.R4B.servicerequest import ServiceRequest as R4ServiceRequest
from fhir.resources.servicerequest import ServiceRequest as R5ServiceRequest

from dermreport.sources import Known
from dermreport.vocabulary.action_kinds import ActionKind
from dermreport.vocabulary.histology_results import HistologyResult
from dermreport.vocabulary.implied_concerns import ImpliedConcern
from dermreport.vocabulary.impression_groups import ImpressionGroup
from dermreport.vocabulary.impressions import Impression
from dermreport.vocabulary.mapping import MAPPINGS, Relation
from dermreport.vocabulary.plan_actions import PlanAction
from dermreport.vocabulary.urgencies import Urgency

TABLES = (ActionKind, HistologyResult, ImpliedConcern, Impression, ImpressionGroup, PlanAction, Urgency)
ROWS = [pytest.param(row, id=f"{table.__name__}-{row}") for table in TABLES for row in table]


# -- form --------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("row", ROWS)
def test_a_row_has_its_code_for_a_name_and_says_what_it_is_and_how_that_is_known(row):
    assert row.name == row.value.upper().replace("-", "_")
    assert re.fullmatch(r"[a-z0-9.-]{1,64}", row.value)
    assert row.display.strip() == row.display != ""
    assert re.fullmatch(r"[A-Z].*[.]", row.definition)
    assert row.basis.known in Known
    assert bool(row.basis.sources) is (row.basis.known is Known.SEEN)


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.__name__)
def test_no_two_rows_of_a_table_read_the_same(table):
    words = Counter(word.lower() for row in table for word in {row.display, *row.synonyms})
    assert [word for word, times in words.items() if times > 1] == []


@pytest.mark.parametrize("row", ROWS)
def test_no_row_calls_a_lesion_normal_or_a_result_negative(row):
    assert not re.search(r"\b(normal|negative)\b", f"{row.display} {row.definition}", re.IGNORECASE)


# -- urgency -----------------------------------------------------------------------------------------------------------

# FHIR, request-priority: each of these is defined as a higher priority than the one before it
FHIR_ORDER = ("routine", "urgent", "asap", "stat")


@pytest.mark.parametrize("resource", [R4ServiceRequest, R5ServiceRequest])
def test_priorities_are_those_of_fhir(resource):
    allowed = resource.model_fields["priority"].json_schema_extra["enum_values"]
    assert sorted(allowed) == sorted(FHIR_ORDER)
    assert {urgency.fhir_priority for urgency in Urgency} == set(allowed)


def test_what_is_wanted_sooner_never_has_the_lower_priority():
    by_rank = sorted(Urgency, key=lambda urgency: urgency.rank)
    assert [urgency.rank for urgency in by_rank] == list(range(len(Urgency)))
    priorities = [FHIR_ORDER.index(urgency.fhir_priority) for urgency in by_rank]
    assert priorities == sorted(priorities)


@pytest.mark.parametrize("urgency", [Urgency.SOON, Urgency.URGENT, Urgency.SAME_VISIT, Urgency.IMMEDIATE])
def test_nothing_sooner_than_routine_goes_out_as_routine(urgency):
    assert urgency.rank > Urgency.ROUTINE.rank
    assert urgency.fhir_priority != "routine"


@pytest.mark.parametrize("urgency", Urgency)
def test_urgency_words_hold_no_days(urgency):
    assert not re.search(r"\d|\bweek|\bmonth|\bhour", f"{urgency.display} {urgency.definition}")


# -- impressions -------------------------------------------------------------------------------------------------------


def test_concerns_are_ordered():
    assert [concern.value for concern in sorted(ImpliedConcern, key=lambda concern: concern.rank)] == [
        "benign",
        "uncertain",
        "premalignant-or-in-situ",
        "malignant",
    ]


@pytest.mark.parametrize("impression", Impression)
def test_a_cancer_is_called_suspected_and_only_a_cancer_is(impression):
    suspected = impression.value.endswith("-suspected")
    assert suspected is impression.display.endswith("suspected")
    if impression.concern is ImpliedConcern.MALIGNANT:
        assert suspected
    if suspected:
        assert impression.concern.rank >= ImpliedConcern.PREMALIGNANT_OR_IN_SITU.rank


@pytest.mark.parametrize("impression", Impression)
def test_melanoma_is_possible_under_every_name_that_says_so_or_leaves_a_melanocytic_lesion_open(impression):
    if re.search(r"melanoma|lentigo-maligna", impression.value):
        assert impression.melanoma_possible
    if impression.group is ImpressionGroup.MELANOCYTIC and impression.concern is not ImpliedConcern.BENIGN:
        assert impression.melanoma_possible
    if impression.concern is ImpliedConcern.BENIGN:
        assert not impression.melanoma_possible


# common practice, no source: what melanoma hides behind most often, outside the melanocytic names
@pytest.mark.parametrize(
    "imitator",
    [
        Impression.PYOGENIC_GRANULOMA,
        Impression.LICHEN_PLANUS_LIKE_KERATOSIS,
        Impression.ACTINIC_KERATOSIS_PIGMENTED,
        Impression.HAEMORRHAGE,
        Impression.PIGMENTED_LESION_UNSPECIFIED,
        Impression.LESION_UNSPECIFIED,
    ],
)
def test_names_that_melanoma_hides_behind_leave_it_open(imitator):
    assert imitator.melanoma_possible
    assert imitator.concern is ImpliedConcern.UNCERTAIN


@pytest.mark.parametrize(
    ("impression", "specific"),
    [
        (Impression.DERMATOFIBROMA, True),
        (Impression.SEBORRHOEIC_KERATOSIS, True),
        (Impression.NAEVUS_DERMAL, True),
        (Impression.HAEMANGIOMA, True),
        (Impression.NAEVUS_MELANOCYTIC, False),
        (Impression.CYST, False),
        (Impression.INFLAMMATORY, False),
        (Impression.LESION_UNSPECIFIED, False),
        (Impression.NO_LESION_FOUND, False),
    ],
)
def test_a_specific_name_is_told_from_a_general_one(impression, specific):
    assert impression.specific is specific


@pytest.mark.parametrize("impression", [one for one in Impression if one.group is ImpressionGroup.UNCLASSIFIED])
def test_what_is_not_classified_is_uncertain_and_not_specific(impression):
    assert impression.concern is ImpliedConcern.UNCERTAIN
    assert not impression.specific


@pytest.mark.parametrize("impression", Impression)
def test_every_name_says_what_usually_follows_and_when_histology_is_expected(impression):
    assert impression.expectation
    assert impression.histology
    if impression.concern is ImpliedConcern.MALIGNANT or impression.melanoma_possible:
        assert "reassurance" not in impression.expectation
        assert impression.histology != "not expected"


# -- histology ---------------------------------------------------------------------------------------------------------

RESULTS_WITH_A_STANDARD_NAME = [
    pytest.param(result, mapping.display, id=f"{result}-{mapping.code}")
    for result, mappings in MAPPINGS[HistologyResult].items()
    for mapping in mappings
]


# SNOMED CT's own names decide: what they call malignant is malignant here, what they call in situ is in situ
@pytest.mark.parametrize(("result", "name"), RESULTS_WITH_A_STANDARD_NAME)
def test_a_result_implies_what_its_standard_name_says(result, name):
    if re.search(r"in situ", name):
        expected = {ImpliedConcern.PREMALIGNANT_OR_IN_SITU}
    elif re.search(r"carcinoma|melanoma|sarcoma|lymphoma|malignant|Paget", name):
        expected = {ImpliedConcern.MALIGNANT}
    elif re.search(r"uncertain|unsatisfactory|[Dd]ysplastic", name):
        expected = {ImpliedConcern.UNCERTAIN}
    elif re.search(r"Actinic keratosis", name):
        expected = {ImpliedConcern.PREMALIGNANT_OR_IN_SITU}
    elif re.search(r"Keratoacanthoma", name):
        expected = {ImpliedConcern.MALIGNANT}  # common practice, no source: handled as squamous cell carcinoma
    else:
        expected = {ImpliedConcern.BENIGN}
    assert {result.concern} == expected


def test_a_suspicion_and_the_result_it_waits_for_imply_the_same():
    concern_of_code = {
        mapping.code: result.concern for result, mappings in MAPPINGS[HistologyResult].items() for mapping in mappings
    }
    compared = 0
    for impression, mappings in MAPPINGS[Impression].items():
        for mapping in mappings:
            waits = mapping.relation is Relation.RELATED and impression.value.endswith("-suspected")
            if waits and mapping.code in concern_of_code:
                compared += 1
                assert impression.concern is concern_of_code[mapping.code], (impression, mapping)
    assert compared >= 15


@pytest.mark.parametrize("result", [HistologyResult.NO_TUMOUR_FOUND, HistologyResult.INSUFFICIENT])
def test_a_result_without_a_tumour_clears_nothing(result):
    assert result.concern is ImpliedConcern.UNCERTAIN


def test_every_concern_can_be_a_result_without_a_name_of_its_own():
    assert HistologyResult.OTHER_BENIGN.concern is ImpliedConcern.BENIGN
    assert HistologyResult.OTHER_MALIGNANT.concern is ImpliedConcern.MALIGNANT
    assert HistologyResult.UNCERTAIN_BEHAVIOUR.concern is ImpliedConcern.UNCERTAIN
    assert {result.concern for result in HistologyResult} == set(ImpliedConcern)


# -- plan --------------------------------------------------------------------------------------------------------------

# the words of SNOMED CT's and DICOM's own names (CID 4409 for the last three)
KIND_BY_STANDARD_WORD = {
    "eferral": ActionKind.REFERRAL,
    "Excision biopsy": ActionKind.TISSUE_WHOLE,
    "Incisional biopsy": ActionKind.TISSUE_PART,
    "Punch biopsy": ActionKind.TISSUE_PART,
    "Shave biopsy": ActionKind.TISSUE_PART,
    "monitoring": ActionKind.MONITORING,
    "Examination": ActionKind.EXAMINATION,
    "Photography": ActionKind.EXAMINATION,
    "Follow-up": ActionKind.EXAMINATION,
    "Diathermy": ActionKind.DESTRUCTION,
    "Cryotherapy": ActionKind.DESTRUCTION,
    "Photodynamic": ActionKind.DESTRUCTION,
    "Laser": ActionKind.DESTRUCTION,
}


@pytest.mark.parametrize(
    ("action", "name"),
    [
        pytest.param(action, mapping.display, id=f"{action}-{mapping.code}")
        for action, mappings in MAPPINGS[PlanAction].items()
        for mapping in mappings
    ],
)
def test_an_action_is_of_the_kind_that_its_standard_name_says(action, name):
    assert [kind for word, kind in KIND_BY_STANDARD_WORD.items() if word in name] == [action.kind]


@pytest.mark.parametrize("action", PlanAction)
def test_what_leaves_no_tissue_is_destruction_and_what_sends_tissue_is_not(action):
    sends = action.kind in {ActionKind.TISSUE_WHOLE, ActionKind.TISSUE_PART}
    if re.search(r"biopsy|with-histology|excise", action.value):
        assert sends
    if re.search(r"without-histology|cryotherapy|laser|cautery|topical|photodynamic|other-treatment", action.value):
        assert action.kind is ActionKind.DESTRUCTION


@pytest.mark.parametrize(
    "action",
    [
        PlanAction.REASSURE_WITH_ADVICE,
        PlanAction.SELF_MONITORING,
        PlanAction.SUN_PROTECTION_ADVICE,
        PlanAction.DISCHARGE_TO_USUAL_CARE,
        PlanAction.DECLINED_BY_PATIENT,
        PlanAction.ADVICE_AND_GUIDANCE,
    ],
)
def test_what_arranges_no_care_of_the_lesion_counts_as_none(action):
    arranges = {ActionKind.REFERRAL, ActionKind.TISSUE_WHOLE, ActionKind.TISSUE_PART, ActionKind.MONITORING}
    assert action.kind not in arranges


def test_every_kind_is_used():
    assert {action.kind for action in PlanAction} == set(ActionKind)
