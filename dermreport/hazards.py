"""What can harm somebody, and what controls it: the hazard table.

Each row says the hazard, how it comes about, what it does to a patient, what in this library controls it, the tests
that hold the control, and what isn't built. The rules that control it say so themselves: a rule carries the id of its
hazard, and a row collects them. A test finds a row without a rule or test, and a name of a test that doesn't exist.

A control makes a hazard less likely or easier to notice; none makes it impossible. How likely a hazard is depends on
where the library is used, by whom and how it is built in, so this table holds no likelihood, no risk and no acceptance:
the clinical safety officer of whoever deploys it decides these, and may judge a severity otherwise.

This library supports judgement
and never replaces it, and it is not a certified medical device.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Self

from dermreport.pathways.issue_rules import HAZARD, PATHWAY_RULES
from dermreport.plugins.issue_rules import PLUGIN_RULES
from dermreport.rules.tables import RULES


class Harm(StrEnum):
    """How grave a harm is, in the five words that England's standards for clinical risk management of health IT use.

    The words are those of the example in NHS England's DCB0129, from memory; what each means is in our own words.
    """

    means: str

    def __new__(cls, word: str, means: str) -> Self:
        """Make one row: the word is the value, what it means an attribute."""
        member = str.__new__(cls, word)
        member._value_ = word
        member.means = means
        return member

    MINOR = "minor", "inconvenience, or a slight upset from which a person soon recovers"
    SIGNIFICANT = "significant", "a slight injury or upset of one person that needs some care"
    CONSIDERABLE = "considerable", "a severe injury or distress of one person who can be expected to recover"
    MAJOR = "major", "death or lasting harm of one person, or severe injury of several"
    CATASTROPHIC = "catastrophic", "death or lasting harm of several persons"


@dataclass(frozen=True, slots=True, kw_only=True)
class Hazard:
    """One hazard.

    Attributes:
        id: Its id, ``H01`` and so on.
        hazard: What can go wrong.
        causes: How it comes about.
        effects: What it does to a patient.
        severity: How grave its worst credible effect is, before any control; this project's proposal.
        severity_because: Why so grave.
        controls: What in this library makes it less likely, or lets somebody notice.
        tests: Tests that hold the controls: a file under ``tests/``, or one test in it as ``file::name``.
        open: What isn't built, or what only the host can do; ``""`` where nothing is known to be missing.
    """

    id: str
    hazard: str
    causes: str
    effects: str
    severity: Harm
    severity_because: str
    controls: str
    tests: tuple[str, ...] = ()
    open: str = ""

    @property
    def rules(self) -> tuple[str, ...]:
        """Ids of the rules that control it, in the order of the rule tables, then those on pathways and plugins."""
        own = tuple(rule.id for rule in RULES if rule.hazard == self.id)
        plugins = tuple(rule.id for rule in PLUGIN_RULES if rule.hazard == self.id)
        return (*own, *(PATHWAY_RULES if self.id == HAZARD else ()), *plugins)


HAZARDS: tuple[Hazard, ...] = (
    Hazard(
        id="H01",
        hazard="A record of the wrong patient.",
        causes="Two patients in one visit or bundle; a host that passes an old reference; a copied form.",
        effects="A cancer missed in one person, an operation on another; confidence broken.",
        severity=Harm.MAJOR,
        severity_because="A cancer missed in one of the two persons can kill.",
        controls="A visit holds one patient and refuses a second. Every resource of a report names the same subject. "
        "Patients are never merged and never updated. A withdrawn record goes out as entered in error. Dates "
        "before birth and ages that don't fit are issues. No text of an entry reaches an issue, an error or "
        "a path. Every page of a letter says whom it is about and which report it is.",
        tests=(
            "tests/test_letters.py::test_letters_are_of_one_patient",
            "tests/test_letter_pdf.py::test_every_page_says_whom_it_is_about_and_its_number",
            "tests/test_visit.py::test_two_patients_are_refused_and_nothing_is_merged",
            "tests/test_fhir_identity.py::test_two_patients_are_refused",
            "tests/test_series.py::test_patients_who_differ_only_from_each_other_are_noticed_in_any_order",
            "tests/test_fhir_mapping.py::test_row_09_the_patient_everywhere",
            "tests/test_fhir_identity.py::test_later_revisions_are_updated_by_identifier_and_people_and_lesions_never",
            "tests/test_fhir_identity.py::test_a_withdrawn_examination_is_withdrawn_in_every_part",
            "tests/test_rules.py::test_no_issue_holds_a_text_or_key_of_the_entry",
            "tests/test_entry.py::test_no_entered_value_and_no_foreign_name_gets_into_an_issue",
            "tests/test_http.py::test_nothing_of_a_record_is_in_a_log_a_header_or_an_outcome",
            "tests/test_http.py::test_nothing_of_an_address_or_a_header_is_in_a_log_or_an_answer",
        ),
        open="Whether a reference is that of the person in the room only the host can tell. The HTTP door knows "
        "nobody: who may ask it is the matter of the gateway before it.",
    ),
    Hazard(
        id="H02",
        hazard="The wrong site, side or digit, or the wrong one of several lesions.",
        causes="A side in free text; a vague site; a label used twice; a body map seen as in a mirror.",
        effects="Surgery at the wrong place; follow-up compares two different lesions.",
        severity=Harm.MAJOR,
        severity_because="An operation at the wrong place is lasting harm, and the lesion stays.",
        controls="Side and site are codes of their own, and rules ask for them: a paired site needs its side, a nail "
        "its digit. Labels and identifiers are unique within a visit. A picture of another day is an issue. A "
        "series refuses lesions of different numbers, and another site under one number is an issue. The body map "
        "marks each site within its own area, hatched and edged, on drawings that say left and right in letters and "
        "words; it tells a point as entered from the centre of a site, and marks no side that nobody gave. A point "
        "outside its site, or on the other side, is an issue.",
        tests=(
            "tests/test_body_map.py::test_the_mark_of_each_site_lies_in_its_area_on_its_side",
            "tests/test_body_map.py::test_left_and_right_are_mirror_images",
            "tests/test_series.py::test_what_is_refused_is_all_said_at_once_without_an_entered_value",
            "tests/test_series.py::test_what_does_not_fit_is_an_issue",
            "tests/test_visit.py::test_two_lesions_that_are_called_the_same_are_refused",
            "tests/test_vocabulary_sites_structures.py::test_part_of_a_sided_site_is_sided",
            "tests/test_vocabulary_sites_structures.py::test_twenty_nails_are_ten_sites_with_two_sides",
            "tests/test_fhir_mapping.py::test_row_16_every_observation_points_to_the_lesion_and_names_the_site",
        ),
        open="The letters don't show the body map yet. A point on it isn't compared with that of an earlier "
        "examination, and a point of another system's drawing with nothing. On a hand's drawing the point doesn't tell "
        "left from right.",
    ),
    Hazard(
        id="H03",
        hazard="«Absent» is read as true although it could not have been seen.",
        causes="A light that isn't known or doesn't show the structure; a form filled in beforehand.",
        effects="A low score, reassurance, a melanoma found late.",
        severity=Harm.MAJOR,
        severity_because="A melanoma that is found late can kill.",
        controls="Each view has one light, and a finding names its views. Absent in a light that can't show the "
        "structure counts as not assessed, says which light to use, and leaves the entry as written. Nothing is "
        "absent by default. A report sends the recorded answer and the reason beside it.",
        tests=(
            "tests/test_answers.py::test_every_structure_in_every_light_and_limit",
            "tests/test_answers.py::test_no_answer_is_absent_without_a_statement_that_its_views_support",
            "tests/test_answers.py::test_nothing_is_absent_by_default",
            "tests/test_scores_engine.py::test_light_that_cannot_show_a_structure_opens_only_the_criterion_that_asks_it",
            "tests/test_fhir_mapping.py::test_row_26_the_lights_of_a_finding_are_those_of_its_views",
            "tests/test_fhir_mapping.py::test_row_28_absent_where_no_view_could_show_it_is_not_assessed",
            "tests/test_hl7v2.py::test_absent_in_a_light_that_can_not_show_it_is_not_assessed",
            "tests/test_hl7v2.py::test_items_of_a_list_that_no_light_could_show_are_not_assessed_there_too",
        ),
    ),
    Hazard(
        id="H04",
        hazard="Only a part of the lesion was seen, or something hid it.",
        causes="A lesion larger than the field; hair, crust, blood, blur, nail polish.",
        effects="Asymmetry, border and colours are counted too low.",
        severity=Harm.MAJOR,
        severity_because="A melanoma that is counted too low and found late can kill.",
        controls="Coverage and limits stand on each view. Without a view of the whole lesion its whole-lesion values "
        "count as not assessed, and absent in limited views counts as uncertain: the score becomes an interval.",
        tests=(
            "tests/test_answers.py::test_the_whole_lesion_is_described_only_where_a_view_shows_it",
            "tests/test_scores_engine.py::test_what_is_said_of_the_whole_lesion_is_open_where_no_view_shows_it",
            "tests/test_scores_engine.py::test_acral_asymmetry_is_open_where_no_view_shows_the_whole_lesion",
        ),
    ),
    Hazard(
        id="H05",
        hazard="A method is used where it was not studied.",
        causes="Face, palm, nail, mucosa, a child, a scar, no pigment, a lesion that isn't melanocytic, another light.",
        effects="A low number that means nothing.",
        severity=Harm.MAJOR,
        severity_because="A melanoma that a meaningless number hides can kill.",
        controls="Each method has a table of validity over site, class, pigment, age, earlier treatment and light: "
        "where it doesn't hold there is no number and a reason, where that can't be told a caution.",
        tests=("tests/test_scores_validity.py",),
    ),
    Hazard(
        id="H06",
        hazard="The software's low result talks a doctor out of acting.",
        causes="A total below a threshold called harmless; a warning sign not weighed; a nodule that is watched.",
        effects="Delay in melanoma, worst in nodular melanoma.",
        severity=Harm.MAJOR,
        severity_because="A melanoma that is found late can kill, soonest a nodular one.",
        controls="A score says «below this method's threshold», never benign, normal or negative, and carries its "
        "cautions. Red flags outrank every score and are listed first. Reassurance or watching against a score, a "
        "name or a sign is an issue until a reason is recorded, and the reason goes with the report. No rule makes a "
        "plan less urgent.",
        tests=(
            "tests/test_red_flags.py",
            "tests/test_plan_safety.py",
            "tests/test_rules.py::test_no_message_calls_a_lesion_or_a_score_harmless",
            "tests/test_scores_engine.py::test_nothing_that_a_score_shows_calls_a_low_total_harmless",
            "tests/test_fhir_safety.py::test_no_interpretation_calls_anything_normal",
            "tests/test_fhir_safety.py::test_below_a_threshold_is_never_called_more_than_that",
            "tests/test_fhir_mapping.py::test_row_43_a_departure_is_a_detected_issue",
        ),
    ),
    Hazard(
        id="H07",
        hazard="A wrong total.",
        causes="Colours that methods count differently; two axes of symmetry for a method that asks for all; another "
        "threshold; rounding.",
        effects="A wrong verdict, either way.",
        severity=Harm.CATASTROPHIC,
        severity_because="A wrong table is wrong in every record that it counts: several persons.",
        controls="One description feeds every method through one table of criteria and one of colours; what sources "
        "leave open stays open and widens the interval. Totals are whole tenths, never rounded. Method, version, "
        "variant and threshold are named.",
        tests=(
            "tests/test_scores_published.py",
            "tests/test_scores_engine.py::test_an_interval_is_that_of_every_completion",
            "tests/test_fhir_mapping.py::test_row_32_a_settled_score_is_a_quantity",
        ),
    ),
    Hazard(
        id="H08",
        hazard="Too much typing, or a term picked wrongly.",
        causes="Many choices; names that look alike; «all absent» in one go; messages nobody reads.",
        effects="False certainty; a true warning overlooked.",
        severity=Harm.MAJOR,
        severity_because="A warning that nobody saw can be the one on a melanoma.",
        controls="Lists that were gone through are named and hold the absences. Both names and a definition stand "
        "beside each code. Uncertain and not assessed are answers. Contradictions are issues. An ordinary good record "
        "gives no error and at most three warnings, and issues come the gravest first.",
        tests=(
            "tests/test_rules.py::test_the_ordinary_good_record_passes_without_error_and_with_at_most_three_warnings",
            "tests/test_examination_examples.py::test_a_good_one_has_no_error_and_at_most_three_warnings",
            "tests/test_answers.py::test_an_unticked_item_of_a_list_is_absent_as_far_as_its_views_show",
            "tests/test_vocabulary_sites_structures.py::test_two_names_stand_side_by_side",
            "tests/test_review.py::test_the_gravest_issues_stand_first",
        ),
    ),
    Hazard(
        id="H09",
        hazard="Missing history makes a report look complete.",
        causes="Fields that may be left out.",
        effects="A risk isn't seen.",
        severity=Harm.MAJOR,
        severity_because="A risk that isn’t seen can be that of a melanoma found late.",
        controls="Unknown is told apart from no, and from not recorded. Completeness against the published report "
        "standard is a result of its own, item by item, and a report tells what is missing. A letter says «not "
        "recorded» of the usual risk factors and of what an operator asks.",
        tests=(
            "tests/test_completeness.py",
            "tests/test_fhir_mapping.py::test_row_11_history_is_observations_with_an_answer_or_a_reason",
            "tests/test_fhir_fields.py::test_every_answer_called_unknown_is_a_reason",
        ),
    ),
    Hazard(
        id="H10",
        hazard="A reader believes that the patient was seen when only pictures were.",
        causes="An examination at a distance that isn't marked.",
        effects="A nodule or an enlarged node is missed.",
        severity=Harm.MAJOR,
        severity_because="A nodule or a node that nobody felt can be a melanoma’s.",
        controls="How examiner and patient met is part of the record and of the report. Feeling a lesion in pictures "
        "is an issue, and so are pictures too few for a reader at a distance. Letters say it, the patient's copy too.",
        tests=(
            "tests/test_letters.py::test_the_patients_copy_says_when_only_pictures_were_seen",
            "tests/test_fhir_fields.py::test_no_leaf_of_a_full_examination_is_lost",
            "tests/test_examination_examples.py::test_the_names_say_what_they_show",
        ),
    ),
    Hazard(
        id="H11",
        hazard="A referral is lost, or too slow.",
        causes="No urgency; a request held back for a flaw in the data; no word on what to do when nothing comes.",
        effects="Delay.",
        severity=Harm.MAJOR,
        severity_because="A melanoma whose referral never comes can kill.",
        controls="Errors never hold a report back: it goes out as preliminary, and an urgent request goes out active "
        "and as urgent as written. Rules ask for urgency, question, safety-net advice and the date by which the "
        "patient should have heard. The plan is compared with a pathway; no pathway lowers an urgency, and a step on "
        "warning signs is in each. No issue withholds a letter: the urgent step stands in its first lines, and the "
        "patient's copy says by when to have heard and whom to call. The HTTP door "
        "and the command line hold what can be held, of a visit lesion by lesion, and whatever HTTP refuses says that "
        "nothing has been made of what was sent. Of what no "
        "door can read or hold each says once that its plan wasn't sent or isn't known, and the same of a plan that "
        "is set aside whole, or of what may be one, while the rest goes out.",
        tests=(
            "tests/test_http.py::test_what_can_not_be_held_withholds_no_urgent_step",
            "tests/test_visit_entry.py::test_whatever_is_wrong_in_a_visit_each_urgent_step_goes_out_or_is_said_not_to",
            "tests/test_http.py::test_what_is_wrong_with_one_lesion_of_a_visit_withholds_no_other_and_is_said",
            "tests/test_cli.py::test_what_cannot_be_held_of_an_entry_withholds_nothing_else_and_is_said",
            "tests/test_cli.py::test_one_lesion_of_which_nothing_is_held_withholds_no_other",
            "tests/test_http.py::test_a_refusal_of_a_record_says_that_nothing_was_made_of_it",
            "tests/test_http.py::test_a_refusal_says_that_a_plan_was_not_sent",
            "tests/test_entry.py::test_a_record_that_is_cut_off_sends_its_urgent_step_or_says_that_it_did_not",
            "tests/test_entry.py::test_a_plan_that_is_set_aside_is_told_and_the_rest_goes_out",
            "tests/test_entry.py::test_where_nothing_is_held_what_is_known_of_the_plan_is_told_once",
            "tests/test_entry.py::test_where_nothing_goes_out_no_issue_says_how_something_does",
            "tests/test_form_reading.py::test_a_form_that_is_cut_off_sends_its_urgent_step_or_says_that_it_did_not",
            "tests/test_from_fhir_hostile.py::test_a_report_that_is_cut_off_gives_its_urgent_step_or_says_that_it_is_not_known",
            "tests/test_cli.py::test_of_what_is_not_read_each_command_says_once_that_its_plan_was_not_sent",
            "tests/test_http.py::test_when_it_is_stopped_under_load_everything_is_answered_whole_or_not_at_all",
            "tests/test_letters.py::test_no_letter_is_withheld_and_an_urgent_step_stands_in_it",
            "tests/test_letter_pdf.py::test_whatever_fails_there_is_a_letter",
            "tests/test_letter_templates.py::test_what_somebody_must_do_is_put_back_whole",
            "tests/test_letters.py::test_what_a_letter_lacks_is_an_issue_and_never_withholds_it",
            "tests/test_fhir_safety.py::test_an_urgent_request_is_active_whatever_the_issues_are",
            "tests/test_hl7v2.py::test_an_error_withholds_no_urgent_step",
            "tests/test_fhir_safety.py::test_the_code_never_says_less_than_the_word",
            "tests/test_fhir_mapping.py::test_row_05_an_error_makes_it_preliminary",
            "tests/test_vocabulary_assessment_plan.py::test_nothing_sooner_than_routine_goes_out_as_routine",
            "tests/test_plan_safety.py::test_the_plan_stays_as_entered_whatever_is_found",
            "tests/test_pathways.py::test_a_warning_sign_is_urgent_whatever_the_scores_say",
            "tests/test_pathways.py::test_no_file_makes_a_warning_sign_less_urgent",
            "tests/test_pathways.py::test_any_entry_is_compared_and_nothing_of_it_is_changed_or_withheld",
        ),
        open="Whether a request or a letter arrives only the host can watch.",
    ),
    Hazard(
        id="H12",
        hazard="Monitoring that isn't.",
        causes="No first picture, nobody who calls back, too early, the patient doesn't come, another light.",
        effects="Growth is missed.",
        severity=Harm.MAJOR,
        severity_because="A melanoma that grows while nobody looks can kill.",
        controls="Monitoring needs a first dermatoscopic picture in a known light, with a scale; a date, an owner, and "
        "what happens if nobody comes. «Unchanged» before the studied interval is an issue; an earlier visit never is. "
        "A series compares two examinations in each light that both used: it never says that nothing changed in "
        "another light, before the interval or while something is open. A change, a look or a result that nobody acted "
        "on is an issue.",
        tests=(
            "tests/test_series.py::test_without_a_common_light_nothing_is_compared_and_nothing_is_called_the_same",
            "tests/test_series.py::test_an_absence_that_the_light_could_not_show_is_no_loss_and_no_gain",
            "tests/test_series.py::test_no_change_is_said_only_of_the_same_light_after_the_interval_and_with_nothing_open",
            "tests/test_series.py::test_a_change_counts_though_it_is_too_soon",
            "tests/test_series.py::test_a_change_asks_for_removal_or_referral",
            "tests/test_series.py::test_what_was_due_and_did_not_come",
            "tests/test_plan_facts.py::test_function_and_fhirpath_agree",
            "tests/test_plan_facts.py::test_they_agree_on_any_two_days",
            "tests/test_pathways.py::test_watching_needs_a_suited_lesion_a_picture_an_owner_and_a_reason_for_a_single_one",
        ),
        open="A host that gives no series has nothing compared. No picture is read for what it shows: what nobody "
        "recorded is not seen.",
    ),
    Hazard(
        id="H13",
        hazard="Evidence is destroyed or only partly sampled.",
        causes="Freezing or scraping a pigmented lesion; a punch from a melanoma; tissue that isn't sent.",
        effects="A late or wrong diagnosis.",
        severity=Harm.MAJOR,
        severity_because="A melanoma whose depth can’t be told is treated late or wrongly.",
        controls="Rules on destruction, partial sampling and unsent tissue, by kind of procedure, concern, names and "
        "scores.",
        tests=(
            "tests/test_vocabulary_assessment_plan.py::test_what_leaves_no_tissue_is_destruction_and_what_sends_tissue_is_not",
            "tests/test_vocabulary_assessment_plan.py::test_melanoma_is_possible_under_every_name_that_says_so_or_leaves_a_melanocytic_lesion_open",
        ),
    ),
    Hazard(
        id="H14",
        hazard="A result isn't acted on, or doesn't match and nobody notices.",
        causes="No owner; a disagreement overlooked; a request with little in it.",
        effects="An untreated melanoma; a wrong diagnosis.",
        severity=Harm.MAJOR,
        severity_because="A melanoma that was found and that nobody treats can kill.",
        controls="An outcome is part of the record, with who was told. Rules ask for an owner and a date, notice an "
        "overdue, partial, insufficient or disagreeing result, and want somebody to act on a cancer. The letter to the "
        "pathologist has what published guidance asks of a request, orientation and marked area among it, and says "
        "what of it isn’t recorded.",
        tests=(
            "tests/test_letter_guidance.py::test_the_letter_says_what_is_asked",
            "tests/test_letter_guidance.py::test_the_letter_says_that_it_is_not_recorded",
            "tests/test_vocabulary_assessment_plan.py::test_a_result_without_a_tumour_clears_nothing",
            "tests/test_series.py::test_what_does_not_fit_is_an_issue",
            "tests/test_red_flags.py::test_only_histology_of_the_whole_lesion_answers_a_sign",
            "tests/test_letters.py::test_the_pathologist_gets_site_kind_size_question_history_and_who_gets_the_result",
            "tests/test_letters.py::test_what_a_letter_lacks_is_an_issue_and_never_withholds_it",
        ),
        open="Day and time of taking have no field: the letter has a line for them. Whether a result comes back only "
        "the host can watch.",
    ),
    Hazard(
        id="H15",
        hazard="A picture or a word reaches the wrong eyes, or a patient learns of cancer from paper.",
        causes="No consent; use for teaching; data inside a picture; a copy that says more than the patient was told.",
        effects="Harm, complaint, unlawful use.",
        severity=Harm.CONSIDERABLE,
        severity_because="Severe distress of one person, and no injury of the body.",
        controls="Consent is recorded by purpose, and a missing, refused or withdrawn one is an issue. A report "
        "references pictures. A letter embeds those alone that consent covers for its purpose, drawn anew, so that no "
        "place, name or time within them stays. The patient's copy says nothing of suspicion but the words that the "
        "record says were told. No entered text reaches an issue, an error or a log.",
        tests=(
            "tests/test_letters.py::test_the_patients_copy_says_nothing_of_suspicion_that_was_not_told",
            "tests/test_letter_pictures.py::test_only_consent_to_this_purpose_embeds_a_picture",
            "tests/test_letter_pictures.py::test_nothing_of_what_stands_beside_the_pixels_stays",
            "tests/test_letters.py::test_a_file_name_and_title_hold_nothing_of_the_patient",
            "tests/test_fhir_safety.py::test_the_patients_own_facts_are_in_no_narrative",
            "tests/test_fhir_safety.py::test_no_error_of_a_bundle_tells_of_the_patient",
            "tests/test_fhir_identity.py::test_no_fact_on_the_patient_is_in_an_id_or_an_identifier_of_ours",
            "tests/test_rules.py::test_no_issue_holds_a_text_or_key_of_the_entry",
        ),
        open="A face or a tattoo in a picture isn't noticed. The advice that a clinician wrote for the patient goes "
        "into the copy as it was written.",
    ),
    Hazard(
        id="H16",
        hazard="Data change on the way.",
        causes="Rounding; conversion between releases; an extension that is dropped; a format without a word for it.",
        effects="A wrong light or size is acted on.",
        severity=Harm.CATASTROPHIC,
        severity_because="What is changed on the way is changed in every record that goes it: several persons.",
        controls="One exact reader and one exact writer: digits, offsets and precision stay as written. JSON and XML "
        "hold the same content, and each release is checked against an independent implementation of its types.",
        tests=(
            "tests/test_reader.py",
            "tests/test_fhir_write.py",
            "tests/test_fhir_fields.py::test_every_single_item_reads_back_exactly",
            "tests/test_dicom.py::test_a_view_comes_back_as_far_as_the_module_has_words",
            "tests/test_dicom.py::test_where_the_file_says_something_else_nothing_is_written",
        ),
        open="What a DICOM file has no word for stands in the record alone.",
    ),
    Hazard(
        id="H17",
        hazard="A receiver misreads newer or foreign content.",
        causes="An unknown code or modifier that is ignored.",
        effects="The meaning is reversed.",
        severity=Harm.CATASTROPHIC,
        severity_because="What a reader misreads it misreads in every record that has it: several persons.",
        controls="A code that isn't ours is kept and sent as it came, with its display, and never counts for a rule "
        "or a score. No modifier extension is sent; one that isn't known stops the reading of its resource, "
        "which is kept.",
        tests=(
            "tests/test_reader.py::test_another_code_is_kept_as_written",
            "tests/test_answers.py::test_a_list_of_somebody_elses_says_nothing",
            "tests/test_red_flags.py::test_a_sign_of_an_action_that_is_not_ours_stands",
            "tests/test_fhir_safety.py::test_our_extensions_never_change_the_meaning_of_an_element",
            "tests/test_from_fhir_foreign.py::test_what_others_add_is_kept_and_sent_again",
            "tests/test_from_fhir_unsettled.py",
        ),
    ),
    Hazard(
        id="H18",
        hazard="An old version is acted on.",
        causes="An amended report that doesn't replace the former one; a wrong clock or zone; an old copy sent late.",
        effects="A wrong plan.",
        severity=Harm.MAJOR,
        severity_because="A plan that was withdrawn can leave a melanoma where it is.",
        controls="A revision rises with every change; the first is created once, later ones update what they name, "
        "and what a revision withdraws goes out as entered in error. No clock is read: every time comes from the "
        "entry, with its offset. Times that can't be are issues.",
        tests=(
            "tests/test_fhir_identity.py::test_revision_one_is_created_where_it_does_not_exist",
            "tests/test_fhir_identity.py::test_a_late_copy_only_creates",
            "tests/test_fhir_identity.py::test_sent_again_it_is_the_same_request",
            "tests/test_fhir_identity.py::test_what_a_revision_lacks_is_sent_as_entered_in_error",
            "tests/test_fhir_mapping.py::test_row_08_times_are_those_of_the_entry",
            "tests/test_times.py",
            "tests/test_series.py::test_the_latest_revision_counts_and_what_was_withdrawn_is_left_out_with_a_word",
            "tests/conformance/test_server_changes.py::test_an_older_revision_that_comes_late_is_refused_whole",
        ),
    ),
    Hazard(
        id="H19",
        hazard="The hospital lacks what it needs to act.",
        causes="No word on nodes, blood thinners, an implanted device, allergies, or who examined.",
        effects="Cancelled surgery, a second journey.",
        severity=Harm.CONSIDERABLE,
        severity_because="A cancelled operation, or bleeding at one, of one person.",
        controls="Fields for what an operator and a reader ask, and rules that notice the gap when it matters. A "
        "referral names each item that published guidance asks and the record lacks, and issues say when patient or "
        "sender can’t be reached.",
        tests=(
            "tests/test_fhir_fields.py::test_every_field_of_the_model_has_its_place",
            "tests/test_letter_guidance.py::test_the_letter_says_what_is_asked",
            "tests/test_letter_guidance.py::test_the_letter_says_that_it_is_not_recorded",
            "tests/test_letter_guidance.py::test_an_issue_says_that_it_is_missing",
        ),
        open="Guidance also asks what no field holds: all medicines, other illnesses and performance status, smoking, "
        "the usual doctor, the patient’s consent to the referral and days without time for it.",
    ),
    Hazard(
        id="H20",
        hazard="The examination itself does harm.",
        causes="Alcohol on an eye, on mucosa or in a wound; a faceplate that carries an infection.",
        effects="Pain, infection.",
        severity=Harm.CONSIDERABLE,
        severity_because="Alcohol in an eye is a severe injury, from which one recovers.",
        controls="A rule on alcohol where it stings.",
        open="Cleaning the faceplate is a matter of practice.",
    ),
    Hazard(
        id="H21",
        hazard="A suspicion is stored as a diagnosis.",
        causes="An impression sent as a disorder or a confirmed condition, and taken into a problem list.",
        effects="A false label of cancer.",
        severity=Harm.CONSIDERABLE,
        severity_because="Severe distress, and treatment that nobody needs.",
        controls="An impression is an observation with its certainty, in a code of ours. A conclusion carries our "
        "summary words only. The code of a disorder is kept for a pathologist's result, and no condition is sent.",
        tests=(
            "tests/test_fhir_safety.py::test_no_suspicion_carries_a_disorder",
            "tests/test_fhir_safety.py::test_a_conclusion_has_our_summary_alone",
            "tests/test_fhir_mapping.py::test_row_37_an_impression_is_an_observation",
            "tests/test_vocabulary_mapping.py::test_only_a_pathologists_result_sends_the_code_of_a_cancer_or_its_precursor",
        ),
    ),
    Hazard(
        id="H22",
        hazard="The library is taken for a diagnostic device or an automatic opinion.",
        causes="A product that shows a verdict by itself.",
        effects="Too much trust; a breach of regulation.",
        severity=Harm.MAJOR,
        severity_because="Whoever trusts a verdict instead of looking can miss a melanoma.",
        controls="No call returns a bare verdict: a score always holds its method, what it asked, what is open and "
        "its cautions. A report says who recorded the findings and that software only added them up.",
        tests=(
            "tests/test_fhir_safety.py::test_a_score_shows_its_cautions_wherever_it_is_shown",
            "tests/test_scores_engine.py::test_every_score_carries_the_cautions_of_all_scores",
            "tests/test_scores_engine.py::test_any_examination_has_every_score_or_a_reason_why_not",
            "tests/test_cli.py::test_score_shows_every_method_with_the_cautions",
            "tests/test_fhir_mapping.py::test_row_45_who_made_it_with_which_versions",
        ),
        open="What a host shows of it is the host's.",
    ),
    Hazard(
        id="H23",
        hazard="A host's or plugin's own rules weaken safety.",
        causes="A file that drops a red flag or lengthens a limit.",
        effects="As for H06.",
        severity=Harm.CATASTROPHIC,
        severity_because="A file holds for every record of its host: several persons.",
        controls="The rules are constants of the library; no setting removes or changes one. A pathway's file can't "
        "weaken or leave out the core steps, and names itself wherever it speaks. A host's page that leaves "
        "out what calls for action, whom a letter is about or the cautions gets them back; a host's wording "
        "keeps every name in braces.",
        tests=(
            "tests/test_plan_safety.py::test_no_setting_takes_an_issue_away",
            "tests/test_pathways.py::test_no_file_makes_a_warning_sign_less_urgent",
            "tests/test_letter_templates.py::test_a_page_gets_back_what_it_leaves_out",
        ),
        open="Plugins have a row of their own, H27. A host's style sheet can hide by a class what its page shows.",
    ),
    Hazard(
        id="H24",
        hazard="A translation drafted by a machine misleads a patient.",
        causes="A language that nobody reviewed.",
        effects="A wrong instruction.",
        severity=Harm.MAJOR,
        severity_because="An instruction that says the opposite can keep a person with a melanoma at home.",
        controls="English is the tables themselves. Each file of another language begins with its state, a machine's "
        "draft that needs a clinician's review, and whoever asks for the language gets that state with it; "
        "the CodeSystems say it beside their names. No row, rule or sentence is missing or left over; "
        "numbers, names in braces and what excludes nothing are those of the English; a changed English text "
        "makes a test fail until its translation was looked at. What isn't translated is said in English, "
        "never left out. A patient's copy in such a language is refused until the host names a reviewer and a "
        "day, and every other letter says above everything that a machine drafted it. Nothing of ours stays "
        "English in the German letters of the examples, they give back what was entered, and the patient's "
        "copy has short words and says nothing of suspicion that wasn't told.",
        tests=(
            "tests/test_languages.py::test_each_file_says_first_that_a_machine_drafted_it_and_a_clinician_must_review_it",
            "tests/test_languages.py::test_every_row_of_every_table_has_a_name_and_no_name_is_left_over",
            "tests/test_languages.py::test_every_rule_has_a_message_and_no_message_is_left_over",
            "tests/test_languages.py::test_every_sentence_is_there_and_none_is_left_over",
            "tests/test_languages.py::test_no_english_text_changed_since_its_translation_was_looked_at",
            "tests/test_languages.py::test_numbers_are_those_of_the_english",
            "tests/test_languages.py::test_no_text_calls_anything_benign_normal_or_negative",
            "tests/test_languages.py::test_a_word_is_the_one_of_hl7_germany",
            "tests/test_profiles_terminology.py::test_every_concept_is_named_in_each_language_and_the_system_says_it_is_a_draft",
            "tests/test_letters_german.py::test_a_patients_copy_waits_until_somebody_reviewed_the_language",
            "tests/test_letters_german.py::test_a_letter_says_who_reviewed_the_language_and_when",
            "tests/test_letters_german.py::test_no_word_of_the_english_letter_stands_in_the_german_one",
            "tests/test_letters_german.py::test_it_says_nothing_of_suspicion_that_was_not_told",
            "tests/test_letters_german.py::test_it_is_read_at_eleven_or_twelve",
            "tests/test_letters.py::test_a_reader_of_the_letter_finds_every_finding_in_its_light",
        ),
        open="No clinician has reviewed the German. Nothing here can tell a wrong translation that keeps to all these "
        "checks, and `reviewed` is the host's word: nothing can tell whether anybody reviewed it. What was entered "
        "stays in its language within a German letter. A received report's other score is named in English within a "
        "German message.",
    ),
    Hazard(
        id="H25",
        hazard="The point is buried.",
        causes="Many findings, many messages.",
        effects="A reader misses what matters.",
        severity=Harm.MAJOR,
        severity_because="A reader who misses the urgent step leaves a melanoma where it is.",
        controls="Issues come the gravest first and red flags before the rest. The narrative of a report begins with "
        "the step that is most urgent, the warning signs and the clinician's concern; then comes the plan. A "
        "letter begins with urgency, site, question and concern, whatever order a host wants, and is short "
        "unless all is asked for.",
        tests=(
            "tests/test_letters.py::test_urgency_site_question_and_concern_stand_right_under_the_title",
            "tests/test_fhir_safety.py::test_what_calls_for_action_stands_first",
            "tests/test_review.py::test_the_gravest_issues_stand_first",
        ),
    ),
    Hazard(
        id="H26",
        hazard="A picture is swapped or altered.",
        causes="The same address, another content.",
        effects="A wrong comparison.",
        severity=Harm.MAJOR,
        severity_because="A wrong comparison can call a growing melanoma unchanged.",
        controls="A hash with its algorithm is part of the picture's record and of the report, so a receiver can "
        "compare. A letter embeds a file only if it is the one that was recorded, by hash and size.",
        tests=(
            "tests/test_fhir_mapping.py::test_row_22_the_hash_of_a_picture",
            "tests/test_letter_pictures.py::test_only_the_picture_that_was_recorded_is_embedded",
        ),
        open="Without a recorded hash nobody can tell; the letter says so.",
    ),
    Hazard(
        id="H27",
        hazard="A plugin weakens what the library says, or stops it.",
        causes="A plugin with a mistake; one that fails with some records only; one that isn’t loaded, unnoticed.",
        effects="A warning sign or an urgent step is missed; no report when one is needed.",
        severity=Harm.MAJOR,
        severity_because="A melanoma that is found late can kill.",
        controls="A plugin is loaded only where a host names it, and is held to what it may add before anything of "
        "it is used: its own ids, codes of its own system, rules that are no errors, paths and codes of the model, a "
        "source for each fact. Its results stand beside the library’s, named as the plugin’s; they can make the word "
        "on the whole suspicious and nothing else. Its pathway has the core. Its resources get their own numbers, "
        "and can ask for nothing, withdraw, replace or contradict nothing. Its lines in a letter come after what the "
        "library says and are no markup. One that doesn’t fit isn’t used at all, and each review says so; one that "
        "fails is an issue, and everything else is what it is without it. A report names each that had part in it, "
        "with version.",
        tests=(
            "tests/test_plugins.py::test_what_does_not_fit_is_refused_whole_and_each_review_says_so",
            "tests/test_plugins.py::test_no_plugin_makes_the_word_on_the_whole_more_reassuring",
            "tests/test_plugins.py::test_every_issue_score_and_resource_of_the_library_stays_as_it_is",
            "tests/test_plugins.py::test_a_maker_that_makes_what_it_may_not_is_an_issue_and_the_report_is_that_without_it",
            "tests/test_plugins.py::test_a_section_that_fails_is_an_issue_and_the_letter_is_that_without_it",
            "tests/test_plugins.py::test_rules_that_fail_with_a_record_are_an_issue_and_all_else_is_that_without_the_plugin",
            "tests/test_plugins.py::test_what_a_plugin_gets_cannot_be_changed",
            "tests/test_plugins.py::test_what_a_plugin_says_never_stands_before_what_calls_for_action",
        ),
        open="A plugin is code in the host’s process: these checks hold mistakes and not malice, and nothing stops one "
        "that never ends, but the time limit of the HTTP door. Its sources, weights and words are its author’s: nobody "
        "here knows them. In a patient’s copy its lines are as plain as it writes them.",
    ),
)
