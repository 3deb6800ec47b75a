"""Every citation of the project, once: what was read, where, and how a fact is known.

A row of a table (a structure, a rule, a criterion, a code) carries a :class:`Basis`. It says whether the fact
was *seen* in a named source, is recalled from *memory* and not checked, or is *common practice* of the trade
with no source. A test refuses a row without one.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Self


class Known(StrEnum):
    """How a fact is known."""

    SEEN = "seen"
    MEMORY = "memory"
    COMMON_PRACTICE = "common practice"


class Source(StrEnum):
    """A published source: its key, its title, and where it is (a doi, or an address)."""

    title: str  # type: ignore[assignment]  # a source has a title; the method of the same name is of no use here
    locator: str

    def __new__(cls, key: str, title: str, locator: str) -> Self:
        """Make one row: the key is the value, title and locator are attributes."""
        member = str.__new__(cls, key)
        member._value_ = key
        member.title = title
        member.locator = locator
        return member

    TERMINOLOGY_CONSENSUS_2016 = (
        "terminology-consensus-2016",
        "Standardization of terminology in dermoscopy/dermatoscopy: third consensus conference",
        "doi:10.1016/j.jaad.2015.12.038",
    )
    TERMINOLOGY_CONSENSUS_2003 = (
        "terminology-consensus-2003",
        "Dermoscopy of pigmented skin lesions: consensus meeting via the internet",
        "doi:10.1067/mjd.2003.281",
    )
    TERMINOLOGY_OF_LINES = (
        "terminology-of-lines",
        "Terminology of lines, descriptive and metaphoric",
        "https://dermoscopedia.org/Terminology_Lines",
    )
    METAPHORIC_TERM_DEFINITIONS = (
        "metaphoric-term-definitions",
        "Definitions of metaphoric terms",
        "https://dermoscopedia.org/Definitions_of_metaphoric_terms",
    )
    TERMINOLOGY_OF_DOTS = (
        "terminology-of-dots",
        "Terminology of dots, descriptive and metaphoric",
        "https://dermoscopedia.org/Terminology_Dots",
    )
    TERMINOLOGY_OF_STRUCTURELESS_AREAS = (
        "terminology-of-structureless-areas",
        "Terminology of structureless areas, descriptive and metaphoric",
        "https://dermoscopedia.org/Terminology_Structureless",
    )
    TERMINOLOGY_OF_PATTERNS = (
        "terminology-of-patterns",
        "Metaphoric terms: patterns",
        "https://dermoscopedia.org/Metaphoric_term_%22Patterns%22",
    )
    TERMINOLOGY_OF_FACIAL_SKIN = (
        "terminology-of-facial-skin",
        "Metaphoric terms on facial skin",
        "https://dermoscopedia.org/Metaphoric_terms_on_facial_skin",
    )
    TERMINOLOGY_OF_SHINY_WHITE_STRUCTURES = (
        "terminology-of-shiny-white-structures",
        "Metaphoric terms: shiny white structures",
        "https://dermoscopedia.org/Metaphoric_term_%22Shiny_white_structures%22",
    )
    TERMINOLOGY_OF_VESSEL_SHAPES = (
        "terminology-of-vessel-shapes",
        "Terminology for vessel morphology",
        "https://dermoscopedia.org/Terminology_for_vessel_morphology",
    )
    TERMINOLOGY_OF_VESSEL_ARRANGEMENTS = (
        "terminology-of-vessel-arrangements",
        "Terminology for vessel arrangement",
        "https://dermoscopedia.org/Terminology_for_vessel_arrangement",
    )
    GLOSSARY_OF_DOTS = "glossary-of-dots", "Glossary: dots", "https://dermoscopedia.org/Glossary:Dots"
    DESCRIPTIVE_CLODS_CASE = (
        "descriptive-clods-case",
        "Atlas case with the descriptive names of clods",
        "https://dermoscopyatlas.com/public/case/85/2154",
    )
    STRUCTURES_AND_HISTOLOGY_TABLE = (
        "structures-and-histology-table",
        "Dermoscopic structures, their definitions and histological correlates (supplement, 2013)",
        "https://www.aafp.org/pubs/afp/issues/2013/1001/p441-s1",
    )
    LIGHTS_COMPARED_2007 = (
        "lights-compared-2007",
        "Differences between polarized light dermoscopy and immersion contact dermoscopy",
        "doi:10.1001/archderm.143.3.329",
    )
    LIGHTS_COMPARED_PAGE = (
        "lights-compared-page",
        "Differences between polarized and non-polarized dermoscopy",
        "https://dermoscopedia.org/Differences_between_polarized_and_non_polarized_dermoscopy",
    )
    LIGHTS_BOOK_CHAPTER = (
        "lights-book-chapter",
        "Non-polarized and polarized dermoscopy: book chapter, abstract",
        "https://www.taylorfrancis.com/books/9780429161964/chapters/10.1201/b18754-1",
    )
    WHITE_SHINY_STRUCTURES_2011 = (
        "white-shiny-structures-2011",
        "White shiny structures: dermoscopic features revealed under polarized light",
        "doi:10.1111/j.1468-3083.2011.04317.x",
    )
    ABCD_RULE_1994 = (
        "abcd-rule-1994",
        "The ABCD rule of dermatoscopy: high prospective value in the diagnosis of doubtful melanocytic skin lesions",
        "doi:10.1016/s0190-9622(94)70061-3",
    )
    ABCD_RULE_DEFINITIONS = (
        "abcd-rule-definitions",
        "ABCD rule of dermatoscopy: definitions of the criteria and bands of the total",
        "https://dshakhmatov.narod.ru/ABCD_Rule.htm",
    )
    ABCD_COMBINATIONS_2019 = (
        "abcd-combinations-2019",
        "Combinations of the ABCD rule and the totals that they give",
        "doi:10.5812/jssc.102138",
    )
    ABCD_RULE_BEDSIDE_2016 = (
        "abcd-rule-bedside-2016",
        "Validity of ABCD rule of dermoscopy in clinical practice",
        "doi:10.2340/00015555-2239",
    )
    SEVEN_POINT_1998 = (
        "seven-point-1998",
        "Epiluminescence microscopy of doubtful melanocytic skin lesions: the ABCD rule and a 7-point checklist",
        "doi:10.1001/archderm.134.12.1563",
    )
    SEVEN_POINT_CRITERIA_PAGES = (
        "seven-point-criteria-pages",
        "Seven-point checklist: definitions of the criteria",
        "https://dermoscopy.org/atlas/4step/point_d.htm",
    )
    SEVEN_POINT_2011 = (
        "seven-point-2011",
        "Seven-point checklist of dermoscopy revisited",
        "doi:10.1111/j.1365-2133.2010.10194.x",
    )
    SEVEN_POINT_PAGE = (
        "seven-point-page",
        "Seven-point checklist, original and revised",
        "https://dermoscopedia.org/Seven_Point_Checklist",
    )
    THREE_POINT_2004 = (
        "three-point-2004",
        "Three-point checklist of dermoscopy: a new screening method for early detection of melanoma",
        "doi:10.1159/000075042",
    )
    THREE_POINT_COURSE = (
        "three-point-course",
        "Three-point checklist: course page",
        "https://dermnetnz.org/cme/dermoscopy-course/three-point-checklist",
    )
    MENZIES_METHOD_1996 = (
        "menzies-method-1996",
        "Frequency and morphologic characteristics of invasive melanomas lacking specific surface microscopic features",
        "doi:10.1001/archderm.1996.03890340038007",
    )
    MENZIES_METHOD_DEFINITIONS = (
        "menzies-method-definitions",
        "Menzies method: definitions of the features and colours",
        "https://dshakhmatov.narod.ru/Menzies_Method.htm",
    )
    MENZIES_METHOD_PAGE = (
        "menzies-method-page",
        "Menzies method: figures and derivation",
        "https://dermoscopedia.org/Menzies_Method",
    )
    CASH_2007 = (
        "cash-2007",
        "CASH (color, architecture, symmetry, and homogeneity) algorithm for dermoscopy",
        "doi:10.1016/j.jaad.2006.09.003",
    )
    CHAOS_AND_CLUES_PAGE = "chaos-and-clues-page", "Chaos and clues", "https://dermoscopedia.org/Chaos_and_clues"
    CHAOS_AND_CLUES_REVIEW_2018 = (
        "chaos-and-clues-review-2018",
        "Review of dermoscopic methods, with the original eight clues",
        "doi:10.1007/s11864-018-0573-6",
    )
    DIAGNOSTIC_METHODS_COURSE = (
        "diagnostic-methods-course",
        "Diagnostic methods: course page",
        "https://dermnetnz.org/cme/teledermatology-skin-cancer/diagnostic-methods",
    )
    TRIAGE_ALGORITHM_2016 = (
        "triage-algorithm-2016",
        "Triage amalgamated dermoscopic algorithm: first study",
        "doi:10.3122/jabfm.2016.06.160079",
    )
    TRIAGE_ALGORITHM_PAGE = (
        "triage-algorithm-page",
        "Triage amalgamated dermoscopic algorithm: steps",
        "https://dermoscopedia.org/05-TADA",
    )
    METHODS_COMPARED_2016 = (
        "methods-compared-2016",
        "Validating 2-step, pattern-based and checklist methods of dermoscopy on one set of 477 lesions",
        "doi:10.1001/jamadermatol.2016.0624",
    )
    NICE_NG12 = (
        "nice-ng12",
        "Suspected cancer: recognition and referral (NICE guideline NG12)",
        "https://www.nice.org.uk/guidance/ng12",
    )
    NG12_SKIN_SUMMARY = (
        "ng12-skin-summary",
        "Suspected cancer guideline NG12: summary of its skin section",
        "https://primarycarenotebook.com/simplepage.cfm?ID=-617283509",
    )
    WEIGHTED_SEVEN_POINT_PRIMARY_CARE_2013 = (
        "weighted-seven-point-primary-care-2013",
        "Weighted 7-point checklist in primary care: evaluation on pigmented lesions",
        "doi:10.3399/bjgp13X667213",
    )
    BRAAFF_2015 = "braaff-2015", "BRAAFF checklist: scoring acral melanoma by dermoscopy", "doi:10.1111/bjd.14045"
    BRAAFF_VALIDATION_2024 = "braaff-validation-2024", "BRAAFF checklist: validation study", "doi:10.1159/000541591"
    BRAAFF_TABLE = (
        "braaff-table",
        "Acral melanoma: table of the checklist's points",
        "http://regionalderm.com/Regional_Derm/files/melanoma_acral.html",
    )
    ACRAL_THREE_STEP_REVISED_2011 = (
        "acral-three-step-revised-2011",
        "Revised 3-step dermoscopic algorithm for the management of acral melanocytic lesions",
        "https://docslib.org/doc/10735953/revised-3-step-dermoscopic-algorithm-for-the-management-of",
    )
    ACRAL_WITHOUT_TYPICAL_PATTERN_2019 = (
        "acral-without-typical-pattern-2019",
        "Melanocytic lesions on the volar skin without typical dermoscopic patterns",
        "doi:10.1001/jamadermatol.2018.5926",
    )
    ACRAL_PATTERNS_CENTRAL_ITALY = (
        "acral-patterns-central-italy",
        "Dermoscopic patterns of acral melanocytic nevi and melanomas in a White population in central Italy",
        "https://www.scilit.net/publications/4e2ea1baa14ec7da7accef7228b36e2f",
    )
    ACRAL_PATTERNS_PAGE = (
        "acral-patterns-page",
        "Acrolentiginous melanoma: acral patterns",
        "https://dermoscopedia.org/Acrolentiginous_Melanoma",
    )
    DERMOSCOPIC_TESTS_REVIEW = (
        "dermoscopic-tests-review",
        "Adhesive tape, skin scraping and ink furrow tests in dermoscopy",
        "https://pmc.ncbi.nlm.nih.gov/articles/PMC3519649",
    )
    LENTIGO_MALIGNA_2000 = (
        "lentigo-maligna-2000",
        "Improvement of early recognition of lentigo maligna using dermatoscopy",
        "pmid:10607316",
    )
    LENTIGO_MALIGNA_REVIEW_2016 = (
        "lentigo-maligna-review-2016",
        "Lentigo maligna: keys to dermoscopic diagnosis",
        "Actas Dermosifiliogr 2016;107(6):489-497",
    )
    HEAD_AND_NECK_MACULES_REVIEW = (
        "head-and-neck-macules-review",
        "Pigmented macules on the head and neck: a systematic review of dermoscopy features",
        "https://dpcj.org/index.php/dpc/article/view/2268",
    )
    FLAT_FACIAL_LESIONS_2018 = (
        "flat-facial-lesions-2018",
        "Dermatoscopy of flat pigmented facial lesions: evolution of lentigo maligna diagnostic criteria",
        "doi:10.5826/dpc.0803a10",
    )
    FACIAL_CRITERIA_CHAPTER = (
        "facial-criteria-chapter",
        "Atlas chapter on facial dermoscopic criteria",
        "https://dermatology.mhmedical.com/content.aspx?bookid=2804&sectionid=238014890",
    )
    NAIL_BANDS_2017 = (
        "nail-bands-2017",
        "Clinical and dermoscopic clues to differentiate pigmented nail bands",
        "https://moh-it.pure.elsevier.com/en/publications/clinical-and-dermoscopic-clues-to-differentiate-pigmented-nail-ba",
    )
    SUBUNGUAL_IN_SITU_2018 = (
        "subungual-in-situ-2018",
        "Dermoscopic findings and a predictive scoring model of subungual melanoma in situ",
        "doi:10.1001/jamadermatol.2018.1372",
    )
    NAIL_DERMOSCOPY_REVIEW_2019 = (
        "nail-dermoscopy-review-2019",
        "Use of nail dermoscopy in the management of melanonychia: review",
        "doi:10.5826/dpc.0901a10",
    )
    NAIL_DERMOSCOPY_TECHNIQUE = (
        "nail-dermoscopy-technique",
        "Nail dermoscopy: dry for the plate's surface, gel for pigment and the free edge",
        "https://pmc.ncbi.nlm.nih.gov/articles/PMC5436058",
    )
    NAIL_DERMOSCOPY_COURSE = (
        "nail-dermoscopy-course",
        "Dermoscopy of the nail: course page",
        "https://www.dermnetnz.org/cme/dermoscopy-course/dermoscopy-of-the-nail/",
    )
    MUCOSA_2011 = (
        "mucosa-2011",
        "Dermoscopy of pigmented lesions of the mucosa and the mucocutaneous junction (Arch Dermatol 2011;147:1181-7)",
        "https://www.zora.uzh.ch/58222/",
    )
    MUCOSA_COURSE = (
        "mucosa-course",
        "Dermoscopy of the mucosa: course module",
        "https://dermoscopy.ramiefathy.com/modules/32",
    )
    PIGMENTED_BASAL_CELL_CARCINOMA_2000 = (
        "pigmented-basal-cell-carcinoma-2000",
        "Surface microscopy of pigmented basal cell carcinoma",
        "doi:10.1001/archderm.136.8.1012",
    )
    BASAL_CELL_SUBTYPES = (
        "basal-cell-subtypes",
        "The use of dermoscopy in distinguishing the histopathological subtypes of basal cell carcinoma",
        "https://ijdvl.com/the-use-of-dermoscopy-in-distinguishing-the-histopathological-subtypes-of-basal-cell-carcinoma-a-retrospective-morphological-study",
    )
    LITTLE_PIGMENT_2008 = (
        "little-pigment-2008",
        "Dermoscopic evaluation of amelanotic and hypomelanotic melanoma",
        "doi:10.1001/archderm.144.9.1120",
    )
    PREDICTION_WITHOUT_PIGMENT_2014 = (
        "prediction-without-pigment-2014",
        "Prediction without pigment: a decision algorithm for non-pigmented skin malignancy",
        "doi:10.5826/dpc.0401a09",
    )
    PREDICTION_WITHOUT_PIGMENT_COURSE = (
        "prediction-without-pigment-course",
        "Prediction without pigment: course module",
        "https://dermoscopy.ramiefathy.com/modules/05",
    )
    BLUE_BLACK_RULE_2011 = (
        "blue-black-rule-2011",
        "Blue-black rule for pigmented nodular melanoma: 283 nodular lesions",
        "doi:10.1111/j.1365-2133.2011.10621.x",
    )
    BLUE_NAEVUS_TEXTBOOK = (
        "blue-naevus-textbook",
        "Blue naevi: unchanged for years, or else evaluated (textbook section)",
        "https://accessmedicine.mhmedical.com/content.aspx?bookid=3081&sectionid=258956551",
    )
    ELEVATED_FIRM_GROWING = (
        "elevated-firm-growing",
        "Recognising atypical melanomas: elevated, firm and growing",
        "https://www.ausdoc.com.au/news/how-identify-atypical-melanomas",
    )
    DIFFERENT_LESION_SIGN = (
        "different-lesion-sign",
        "The lesion unlike its neighbours, and the patient's worry: teaching case",
        "https://ualbertadermatology.ca/case-9-q3-explanation/",
    )
    REPORT_STANDARD_2007 = (
        "report-standard-2007",
        "Dermoscopy report: proposal for standardization",
        "doi:10.1016/j.jaad.2006.02.051",
    )
    REPORT_COURSE = (
        "report-course",
        "The dermoscopy report: course page",
        "https://dermnetnz.org/cme/dermoscopy-course/the-dermoscopy-report",
    )
    SKIN_LESION_HISTORY_COURSE = (
        "skin-lesion-history-course",
        "Skin lesion history for a remote referral: course page",
        "https://dermnetnz.org/cme/teledermatology-skin-cancer/skin-lesion-history",
    )
    REMOTE_REFERRAL_2021 = (
        "remote-referral-2021",
        "Remote referral of skin lesions with regional, close-up and dermatoscopic images",
        "doi:10.3390/cancers13225828",
    )
    PIGMENTED_SKIN_REVIEW = (
        "pigmented-skin-review",
        "Dermatoscopy of pigmentary diseases, with emphasis on ethnic skin: review",
        "https://pmc.ncbi.nlm.nih.gov/articles/PMC7982038",
    )
    NAEVUS_COUNT_META_ANALYSIS = (
        "naevus-count-meta-analysis",
        "Naevus phenotype and melanoma risk: pooled analysis",
        "https://pmc.ncbi.nlm.nih.gov/articles/PMC2656967",
    )
    NAEVUS_COUNT_ATTRIBUTABLE_FRACTION = (
        "naevus-count-attributable-fraction",
        "Attributable fraction of melanoma by naevus count",
        "https://aacrjournals.org/cancerpreventionresearch/article/3/2/233/48611",
    )
    SHORT_TERM_MONITORING_PAGE = (
        "short-term-monitoring-page",
        "Short-term monitoring",
        "https://dermoscopedia.org/Short_Term_Monitoring",
    )
    SHORT_TERM_MONITORING_2008 = (
        "short-term-monitoring-2008",
        "Assessment of the optimal interval for and sensitivity of short-term sequential digital dermoscopy monitoring",
        "doi:10.1001/archderm.144.4.502",
    )
    SEQUENTIAL_IMAGING_2011 = (
        "sequential-imaging-2011",
        "Long- and short-term sequential digital dermoscopy imaging",
        "doi:10.1001/archdermatol.2011.133",
    )
    LONG_TERM_MONITORING_PAGE = (
        "long-term-monitoring-page",
        "Long-term monitoring",
        "https://dermoscopedia.org/Long_Term_Monitoring",
    )
    SLOW_GROWING_MELANOMAS_2012 = (
        "slow-growing-melanomas-2012",
        "Changes observed in slow-growing melanomas during long-term dermoscopic monitoring",
        "doi:10.1111/j.1365-2133.2012.10846.x",
    )
    MONITORING_DELPHI = (
        "monitoring-delphi",
        "Expert consensus on monitoring naevi: Delphi study",
        "https://dpcj.org/index.php/dpc/article/view/2213",
    )
    MONITORING_CONTRAINDICATIONS = (
        "monitoring-contraindications",
        "Contraindications to monitoring a solitary lesion",
        "https://iris.unicampania.it/handle/11591/539369",
    )
    MONITORING_ATTENDANCE = (
        "monitoring-attendance",
        "Attendance at dermoscopic follow-up in a practice series",
        "https://epub.uni-regensburg.de/72182",
    )
    MONITORING_ATTENDANCE_SOLITARY = (
        "monitoring-attendance-solitary",
        "Monitoring of a solitary lesion: attendance in one clinic",
        "J Am Acad Dermatol, S0190-9622(16)30490-X",
    )
    BIOPSY_TECHNIQUE_REVIEWS = (
        "biopsy-technique-reviews",
        "Biopsy and definitive excision of primary cutaneous melanomas (textbook chapter)",
        "https://hemonc.mhmedical.com/content.aspx?bookid=2209&sectionid=168937390",
    )
    PATHOLOGY_REQUEST_FORMS_2019 = (
        "pathology-request-forms-2019",
        "Improving diagnostic accuracy for suspicious melanocytic lesions: what request forms hold",
        "https://www1.racgp.org.au/ajgp/2019/june/improving-diagnostic-accuracy-for-suspicious-melan",
    )
    HISTOLOGY_REQUEST_PLYMOUTH = (
        "histology-request-plymouth",
        "Completing request forms for histopathology (hospitals in Plymouth, 2024)",
        "https://www.plymouthhospitals.nhs.uk/path-request-forms",
    )
    REFERRAL_MINIMUM_VICTORIA = (
        "referral-minimum-victoria",
        "Minimum information for referrals to non-admitted specialist services (state of Victoria)",
        "https://health.vic.gov.au/patient-care/minimum-information-referrals-non-admitted-specialist-services",
    )
    MELANOMA_PATHOLOGY_REPORT = (
        "melanoma-pathology-report",
        "Cutaneous melanoma guideline: core items of a pathology report",
        "https://rightdecisions.scot.nhs.uk/cutaneous-melanoma-sign/diagnosis-and-prognostic-indicators",
    )
    FASTER_DIAGNOSIS_STANDARD_2023 = (
        "faster-diagnosis-standard-2023",
        "Cancer waiting-time standards for England from October 2023",
        "https://www.england.nhs.uk/2023/08/widespread-clinical-support-for-reforming-nhs-cancer-standards-to-speed-up-diagnosis-for-patients/",
    )
    FORMER_UK_REFERRAL_TEXT_2005 = (
        "former-uk-referral-text-2005",
        "Referral guidelines for suspected skin cancer, former UK text of 2005",
        "http://liverpoolmedics.co.uk/two-week-rules/skin.php",
    )
    SCOTTISH_REFERRAL_GUIDELINES = (
        "scottish-referral-guidelines",
        "Scottish referral guidelines for suspected cancer: quick reference guide, skin cancers",
        "https://www.gov.scot/publications/scottish-referral-guidelines-suspected-cancer-quick-reference-guide/pages/7/",
    )
    DICOM_SKIN_CONTEXT_GROUPS = (
        "dicom-skin-context-groups",
        "DICOM PS3.16 context groups for skin (4029, 4401 to 4411), as shipped in pydicom 3.0.2",
        "https://dicom.nema.org/medical/dicom/current/output/chtml/part16/sect_CID_4029.html",
    )
    DICOM_DERMOSCOPIC_PHOTOGRAPHY = (
        "dicom-dermoscopic-photography",
        "DICOM PS3.3: dermoscopic photography image and dermoscopic image module",
        "https://dicom.nema.org/medical/dicom/current/output/chtml/part03/PS3.3.html",
    )
    DICOM_CODE_DICTIONARIES = (
        "dicom-code-dictionaries",
        "DICOM and SNOMED CT code dictionaries of pydicom 3.0.2",
        "https://pypi.org/project/pydicom/3.0.2/",
    )
    FHIR_R4 = "fhir-r4", "HL7 FHIR R4 (4.0.1): resource definitions and value sets", "https://hl7.org/fhir/R4/"
    FHIR_R4B = "fhir-r4b", "HL7 FHIR R4B (4.3.0): resource definitions and value sets", "https://hl7.org/fhir/R4B/"
    FHIR_R5 = "fhir-r5", "HL7 FHIR R5 (5.0.0): resource definitions and value sets", "https://hl7.org/fhir/R5/"
    HL7_V2_5_1 = (
        "hl7-v2-5-1",
        "HL7 Version 2.5.1: segments, data types and tables, as the open library hl7apy 1.3.5 carries them",
        "https://pypi.org/project/hl7apy/1.3.5/",
    )
    HL7_TERMINOLOGY = (
        "hl7-terminology",
        "HL7 Terminology, with the LOINC and SNOMED CT value sets it carries",
        "https://terminology.hl7.org/",
    )
    SNOMED_GLOBAL_PATIENT_SET = (
        "snomed-global-patient-set",
        "SNOMED CT Global Patient Set, as carried by hl7.terminology 5.1.0",
        "https://www.snomed.org/gps",
    )
    EUROPEAN_CROSS_BORDER_TERMINOLOGY_2025 = (
        "european-cross-border-terminology-2025",
        "European cross-border terminology release of 2025",
        "https://art-decor.ehdsi.eu/",
    )
    UCUM = "ucum", "The Unified Code for Units of Measure", "https://ucum.org/ucum"
    SHINY_WHITE_STREAKS_PAGE = (
        "shiny-white-streaks-page",
        "Shiny white streaks and their histological correlate",
        "https://dermoscopedia.org/Shiny_white_streaks",
    )
    BASAL_CELL_HISTOLOGY_PAGE = (
        "basal-cell-histology-page",
        "Correlation of dermoscopic structures of basal cell carcinoma",
        "https://dermoscopedia.org/Correlation_of_dermoscopic_structures_of_basal_cell_carcinoma",
    )
    KERATINISING_TUMOURS_HISTOLOGY_PAGE = (
        "keratinising-tumours-histology-page",
        "Correlation of keratinizing tumors",
        "https://dermoscopedia.org/Correlation_of_keratinizing_tumors",
    )
    REGRESSION_HISTOLOGY_PAGE = (
        "regression-histology-page",
        "Regression structures and blue-white structures, with their histological correlate",
        "https://dermoscopedia.org/Regression_structures_/_Blue_white_structures",
    )
    MUCOSAL_HISTOLOGY_PAGE = (
        "mucosal-histology-page",
        "Correlation of dermoscopic structures on mucosal sites",
        "https://dermoscopedia.org/Correlation_of_dermoscopic_structures_on_mucosal_sites",
    )
    NAIL_HISTOLOGY_PAGE = (
        "nail-histology-page",
        "Correlation of dermoscopic structures on nails",
        "https://dermoscopedia.org/Correlation_of_dermoscopic_structures_on_nails",
    )
    SEBORRHOEIC_KERATOSIS_FEATURES_PAGE = (
        "seborrhoeic-keratosis-features-page",
        "Seborrheic keratosis: dermoscopic features with example images",
        "https://academy.dermoscopedia.org/Seborrheic_keratosis",
    )
    SEBORRHOEIC_KERATOSIS_LEVEL_PAGE = (
        "seborrhoeic-keratosis-level-page",
        "Two-step algorithm, level 6: seborrheic keratosis and lentigo",
        "https://dermoscopedia.org/Level_6:_SK_%26_lentigo",
    )
    SEBACEOUS_HYPERPLASIA_PAGE = (
        "sebaceous-hyperplasia-page",
        "Sebaceous hyperplasia",
        "https://dermoscopedia.org/Sebaceous_hyperplasia",
    )
    YELLOW_LOBULAR_STRUCTURES_2008 = (
        "yellow-lobular-structures-2008",
        "The dermoscopic differential diagnosis of yellow lobularlike structures",
        "doi:10.1001/archderm.144.7.962",
    )
    PYOGENIC_GRANULOMA_PAGE = (
        "pyogenic-granuloma-page",
        "Pyogenic granuloma",
        "https://dermoscopedia.org/Pyogenic_granuloma",
    )
    RAINBOW_PATTERN_PAGE = (
        "rainbow-pattern-page",
        "Kaposi sarcoma: rainbow-like appearance",
        "https://dermoscopedia.org/Kaposi%E2%80%99s_sarcoma",
    )
    MILKY_RED_PAGE = (
        "milky-red-page",
        "Milky red globules and areas",
        "https://dermoscopedia.org/Milky_red_globules_/_areas",
    )
    CIRCLES_PAGE = "circles-page", "Circles", "https://dermoscopedia.org/Circles"
    ACRAL_CONSENSUS_PAGE = (
        "acral-consensus-page",
        "Acral melanocytic lesions: criteria of the consensus meeting via the internet",
        "https://dermoscopy.org/consensus/2a_12.asp",
    )
    ACRAL_CONGENITAL_NAEVI_2011 = (
        "acral-congenital-naevi-2011",
        "Dermoscopic characteristics of congenital melanocytic nevi affecting acral volar skin",
        "doi:10.1001/archdermatol.2011.150",
    )
    ACRAL_PATTERN_DEFINITIONS_2018 = (
        "acral-pattern-definitions-2018",
        "Definitions of dermoscopic patterns of acral lesions (table of a cohort study)",
        "doi:10.1111/jdv.14712",
    )
    PATTERN_ANALYSIS_COURSE = (
        "pattern-analysis-course",
        "Pattern analysis: course page",
        "https://dermnetnz.org/cme/dermoscopy-course/pattern-analysis",
    )
    BENIGN_NAEVUS_PATTERNS_PAGE = (
        "benign-naevus-patterns-page",
        "Benign nevus pattern",
        "https://dermoscopedia.org/Benign_nevi_pattern",
    )
    CASH_ITEM_TABLE = (
        "cash-item-table",
        "CASH system: table of items and points",
        "https://newmedicalterms.com/classic-medicine-2/dermatology/cash-system/",
    )
    CHAOS_AND_CLUES_IN_PRACTICE = (
        "chaos-and-clues-in-practice",
        "Dermatoscopy: chaos and clues, with the figures of its trial in one practice",
        "https://docslib.org/doc/10489089",
    )
    FIRST_STEP_CONSENSUS_PAGE = (
        "first-step-consensus-page",
        "Consensus meeting via the internet: first step, with its exceptions",
        "https://dermoscopy.org/cnmd/3-UC-1a.htm",
    )
    ACRAL_THREE_STEP_REVISED_AGAIN = (
        "acral-three-step-revised-again",
        "Revision of the 3-step algorithm and refined definition of the fibrillar pattern: commentary, opening",
        "https://dpcj.org/index.php/dpc/article/view/1813",
    )
    NAIL_PIGMENTATION_2002 = (
        "nail-pigmentation-2002",
        "Dermoscopic examination of nail pigmentation (Arch Dermatol 2002;138:1327-33)",
        "https://jamanetwork.com/journals/jamadermatology/fullarticle/1184365",
    )
    NAIL_ABCDEF_2000 = (
        "nail-abcdef-2000",
        "The ABC rule for clinical detection of subungual melanoma (J Am Acad Dermatol 2000;42:269-74): its items",
        "https://jfootankleres.biomedcentral.com/articles/10.1186/1757-1146-3-25/tables/6",
    )
    NAIL_ABCDEF_TABLE = (
        "nail-abcdef-table",
        "Table of the ABCDEF items, with 3 mm or more",
        "https://pmc.ncbi.nlm.nih.gov/articles/PMC7001389/table/T7",
    )
    ELEVATED_FIRM_GROWING_PATHWAY = (
        "elevated-firm-growing-pathway",
        "Optimal care pathway for melanoma: elevated, firm and growing for over a month",
        "https://www.optimalcarepathways.com.au/ocp-mna-step-section-2-1/",
    )
    PREDICTION_WITHOUT_PIGMENT_PAGE = (
        "prediction-without-pigment-page",
        "Prediction without pigment: order and limits",
        "https://dermoscopedia.org/Prediction_without_Pigment",
    )
    DERMATOFIBROMA_PAGE = (
        "dermatofibroma-page",
        "Dermatofibroma: dermoscopic features",
        "https://dermoscopedia.org/03-Dermatofibroma",
    )
    ANGIOMA_PAGE = "angioma-page", "Angioma: dermoscopic features", "https://dermoscopedia.org/Angioma"
    SOLAR_LENTIGO_PAGE = (
        "solar-lentigo-page",
        "Solar lentigines: dermoscopic features",
        "https://dermoscopic.blogspot.com/2008/07/solar-lentigos.html",
    )
    NAEVUS_PATTERNS_PAGE = (
        "naevus-patterns-page",
        "Overview of benign naevus patterns",
        "https://academy.dermoscopedia.org/Overview_of_benign_nevi_patterns",
    )


@dataclass(frozen=True, slots=True)
class Cited:
    """A source that a plugin names: its title, and where it is (a doi, or an address)."""

    title: str
    locator: str


@dataclass(frozen=True, slots=True)
class Basis:
    """How one fact is known, from which sources, and what is open about it."""

    known: Known
    sources: tuple[Source | Cited, ...] = ()
    note: str = ""

    @property
    def text(self) -> str:
        """One line for a reader: «seen: title (locator)», «memory», «common practice, no source»."""
        if self.known is Known.SEEN:
            line = "seen: " + "; ".join(f"{source.title} ({source.locator})" for source in self.sources)
        elif self.known is Known.MEMORY:
            line = "from memory, not checked"
        else:
            line = "common practice, no source"
        return f"{line}. {self.note}" if self.note else line


def seen(*sources: Source | Cited, note: str = "") -> Basis:
    """Return the basis of a fact that was read in the sources named."""
    return Basis(Known.SEEN, sources, note)


def memory(note: str = "") -> Basis:
    """Return the basis of a fact that is recalled and was not checked."""
    return Basis(Known.MEMORY, (), note)


def common_practice(note: str = "") -> Basis:
    """Return the basis of a fact of the trade that has no source."""
    return Basis(Known.COMMON_PRACTICE, (), note)


MEMORY = memory()
COMMON_PRACTICE = common_practice()
