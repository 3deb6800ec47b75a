"""What published guidance asks of a referral, a histology request and a patient's sheet, item by item.

Each row names the item in our own words, who asks it, where the letter says it, and what the letter says where the
record doesn't hold it. Every page of ``Guidance`` was read as stored text in November 2026, some only in part; how each
is known stands beside it. What nobody of them asks in words that were read is common practice, no source.

The parser of this file knows the headings and the words of a letter, and nothing of how one is made.
"""

from __future__ import annotations

import copy
import re
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from decimal import Decimal
from enum import Enum
from typing import Any

import pytest

import dermreport
from dermreport.letters.settings import LetterDetail
from dermreport.sources import Known, Source
from dermreport.vocabulary.plan_actions import PlanAction


class Guidance(Enum):
    """Who asks: what it is, where it was read, and how it is known."""

    #: Its own lines: patient, referrer, date, urgency, reason, service, interpreter, carer, transport, decision-maker.
    MINIMUM_VICTORIA = (
        Source.REFERRAL_MINIMUM_VICTORIA.title,
        Source.REFERRAL_MINIMUM_VICTORIA.locator,
        Known.SEEN,
    )
    #: Must: onset, duration, site, size, change, ulceration, bleeding, pain, histology, anticoagulant, immune state.
    #: Criteria: enlarged nodes, fixed to deep tissues, rapid growth.
    LESIONS_VICTORIA_SURGERY = (
        "State-wide referral criteria of Victoria: skin lesions and other skin cancers, surgery",
        "https://src.health.vic.gov.au/skin-lesions-and-other-skin-cancers",
        Known.SEEN,
    )
    #: Must: onset, duration, site, size, change and speed, biopsy, immune state. If there: photographs with consent.
    LESIONS_VICTORIA_DERMATOLOGY = (
        "State-wide referral criteria of Victoria: skin lesions and other skin cancers, dermatology",
        "https://www.health.vic.gov.au/statewide-referral-criteria/skin-lesions-and-other-skin-cancers-dermatology",
        Known.SEEN,
    )
    #: Essential: reason, site, measured size, suspected diagnosis, duration, pathology, own and family's skin cancer,
    #: skin type.
    SKIN_SOUTH_AUSTRALIA = (
        "Clinical prioritisation criteria of South Australia: skin malignancies, adult",
        (
            "https://www.sahealth.sa.gov.au/wps/wcm/connect/public+content/sa+health+internet/services/outpatients/cpc/"
            "specialities/dermatology/skin+malignancies+adult+cpc"
        ),
        Known.SEEN,
    )
    #: Name, birth, address, telephone, interpreter; referrer, provider number, date, signature; symptoms, findings,
    #: earlier treatment, medicines, drug allergies, reason.
    GENERAL_QUEENSLAND = (
        "General referral criteria (South West Hospital and Health Service, Queensland)",
        "https://www.southwest.health.qld.gov.au/refer-your-patient/general-referral-criteria/",
        Known.SEEN,
    )
    #: Date of the decision, interpreter, transport, capacity; cancer was spoken of, a leaflet given.
    FORM_SURREY = (
        "Suspected cancer referral form: skin (hospitals of Surrey and Sussex, England), a copy",
        "https://docsbay.net/suspected-cancer-referral-form-skin",
        Known.SEEN,
    )
    #: Telephone, translator, consent, each blood thinner, patient aware, how concerned the referrer is, family history.
    FORM_ENGLAND_2015 = (
        "Suspected skin cancer referral form (England, after the guideline of 2015), a copy",
        "https://docsbay.net/suspected-skin-cancer-referral-form",
        Known.SEEN,
    )
    #: Major and minor features, diameter, site, family, many naevi, fair skin, ultraviolet light, immune state.
    FORM_SOUTH_EAST_LONDON = (
        "Skin: urgent suspected cancer referral (cancer network of South East London), a copy",
        "https://studylib.net/doc/5823348/skin-urgent-suspected-cancer-referral",
        Known.SEEN,
    )
    #: 1.14.1 to 1.14.5 in part: told that it is a cancer service, the possible diagnosis, where, how long, what tests,
    #: how long until results, whether somebody can come along, whom to call if nothing is confirmed.
    NG12_SUPPORT = (
        "NICE guideline NG12: patient support, safety netting and the diagnostic process",
        (
            "https://www.nice.org.uk/guidance/ng12/chapter/"
            "recommendations-on-patient-support-safety-netting-and-the-diagnostic-process"
        ),
        Known.SEEN,
    )
    #: The specialist is told of extra needs; the patient calls again with any concern.
    NG12_PUBLIC = (
        "NICE guideline NG12, for the public: if you are referred for suspected cancer",
        "https://www.nice.org.uk/guidance/ng12/ifp/chapter/If-you-are-referred-for-suspected-cancer",
        Known.SEEN,
    )
    #: A dermatoscopic suspicion and the weighted checklist at 3 are what the referral rests on.
    SKIN_DEVON = (
        "Referral guidance of Devon: skin, two weeks",
        "https://northeast.devonformularyguidance.nhs.uk/referral-guidance/eastern-locality/2-week-wait/skin-2ww",
        Known.SEEN,
    )
    #: A picture of the place, a close-up, a dermatoscopic one; consent.
    PICTURES_DEVON = (
        "Referral guidance of Devon: teledermatology",
        "https://northeast.devonformularyguidance.nhs.uk/referral-guidance/eastern-locality/dermatology/teledermatology",
        Known.SEEN,
    )
    REPORT_STANDARD = (Source.REPORT_STANDARD_2007.title, Source.REPORT_STANDARD_2007.locator, Known.MEMORY)
    #: Abstract: implanted defibrillators and electrosurgery, blood thinners, medicines, allergies.
    PREOPERATIVE = (
        "Preoperative evaluation (textbook chapter on skin surgery)",
        "https://link.springer.com/chapter/10.1007/978-1-4471-2152-7_3",
        Known.SEEN,
    )
    #: The patient says before skin surgery: pregnancy, medicines, drug allergies.
    PREOPERATIVE_PATIENT = (
        "Advice before skin surgery (Cambridge University Hospitals)",
        "https://www.cuh.nhs.uk/patient-information/pre-operative-advice-for-patients-who-are-due-to-have-skin-surgery/",
        Known.SEEN,
    )
    #: A heading with a plan or an instruction stands at the top, and stands out.
    LETTER_TIPS = (
        "Ten top tips for writing an outpatient letter (Royal College of Radiologists), a copy",
        "https://info.5y1.org/top-writing-colleges_1_90f35a.html",
        Known.SEEN,
    )
    #: Told of by others: to the patient as «you», plain words for medical ones, no Latin; readability can be measured.
    PLEASE_WRITE_TO_ME = (
        "Please, write to me (Academy of Medical Royal Colleges, 2018), as told by a journal",
        (
            "https://pharmaceutical-journal.com/article/news/"
            "doctors-encouraged-to-write-directly-to-patients-using-plain-english"
        ),
        Known.SEEN,
    )
    #: Uncertainty, what exactly to look out for, how to seek help, what to expect of time, no delay if worried.
    SAFETY_NETTING = (
        "What should safety net advice include? (box in the British Journal of General Practice)",
        "https://bjgp.org/highwire/markup/23414/expansion",
        Known.SEEN,
    )
    #: Its abstract: age, sex, site, orientation, history, suspicious areas, pictures, earlier reports, risk, pregnancy.
    SUSPICIOUS_MELANOCYTIC = (
        Source.PATHOLOGY_REQUEST_FORMS_2019.title,
        "https://pubmed.ncbi.nlm.nih.gov/31220881/",
        Known.SEEN,
    )
    #: Name, numbers, birth, address, sex, requester and place, sample, urgency, details, day and time, signature;
    #: nature, look and site, duration, symptoms, differential diagnosis.
    REQUEST_PLYMOUTH = (
        Source.HISTOLOGY_REQUEST_PLYMOUTH.title,
        Source.HISTOLOGY_REQUEST_PLYMOUTH.locator,
        Known.SEEN,
    )
    #: Whom the report goes to, contact of the sender, site, address from outside.
    REQUEST_MANCHESTER = (
        "Histopathology request cards (Manchester University NHS Foundation Trust)",
        (
            "https://mft.nhs.uk/the-trust/other-departments/laboratory-medicine/histopathology/adult-histopathology/"
            "request-cards/"
        ),
        Known.SEEN,
    )
    #: If malignancy is suspected; earlier malignancies; signature and printed name.
    REQUEST_BLACK_COUNTRY = (
        "Cellular pathology: request forms (Black Country Pathology Services)",
        "http://www.bcpathology.org.uk/bcps-services/cellular-pathology/",
        Known.SEEN,
    )
    #: Specimen kind, clinical information, diagnosis or differential diagnosis.
    SPECIMEN_COLORADO = (
        "Specimen information (dermatopathology, University of Colorado)",
        "http://cudermpath.com/SpecimenInfo.html",
        Known.SEEN,
    )
    COMMON_PRACTICE = ("Common practice", "no source", Known.COMMON_PRACTICE)

    @property
    def known(self) -> Known:
        """How it is known."""
        return self.value[2]


BARE = dermreport.LetterSettings()
SENDER = dermreport.Party(name="Zebra Practice", lines=("7 Zebra Lane",), phone="+00 555 0177")
RECIPIENT = dermreport.Party(name="Quagga Hospital, skin clinic")

#: The part of a letter above its title.
HEAD = ""


@dataclass(frozen=True)
class Asked:
    """One item that guidance asks of a kind of letter.

    Attributes:
        item: What is asked.
        by: Who asks it.
        under: Heading of the part that says it; ``HEAD`` is what stands above the title.
        says: What the letter says there, once the entry holds it.
        entry: What is entered, by dotted path.
        lacks: What the letter says where the entry doesn't hold it; ``""`` where nobody requires it, with the reason.
        lacks_under: Where it says so, if not in the same part.
        issue: Id of the letter's own issue that says so too.
        settings: What the host sets for it.
        beside: What the entry holds even where the item is missing.
        optional: Why nothing is said where it is missing.
        alone: Why a letter that holds everything else doesn't say it; ``""`` where it does.
    """

    item: str
    by: tuple[Guidance, ...]
    under: str
    says: tuple[str, ...]
    entry: dict[str, Any] = field(default_factory=dict)
    lacks: str = ""
    lacks_under: str | None = None
    issue: str = ""
    settings: dict[str, Any] = field(default_factory=dict)
    beside: dict[str, Any] = field(default_factory=dict)
    optional: str = ""
    alone: str = ""


G = Guidance
_REQUIRED_ALREADY = "an entry without it is no entry"
_ONLY_IF = "asked only where there is one"
_WORDS = "asked for where it is known"

REFERRAL = (
    Asked(
        "name",
        (G.MINIMUM_VICTORIA, G.GENERAL_QUEENSLAND, G.FORM_SURREY),
        "Patient",
        ("Name: Zoe Zebra",),
        {"patient.details.family": "Zebra", "patient.details.given": ["Zoe"]},
        "Name: not recorded",
    ),
    Asked(
        "date of birth",
        (G.MINIMUM_VICTORIA, G.FORM_SURREY),
        "Patient",
        ("Born: 4 March 1961",),
        {"patient.details.birth_date": "1961-03-04"},
        r"Not recorded: .*Born",
    ),
    Asked(
        "age and sex",
        (G.FORM_SURREY, G.FORM_SOUTH_EAST_LONDON),
        "Patient",
        ("65 years", "female"),
        {"background.age_years": 65, "background.sex": "female"},
        r"Not recorded: .*Age and sex",
    ),
    Asked(
        "number in the health service",
        (G.MINIMUM_VICTORIA, G.FORM_SURREY),
        "Patient",
        ("Numbers: Z-4711",),
        {"patient.identifiers.0.value": "Z-4711", "patient.identifiers.0.system": "https://host.example/patients"},
        r"Not recorded: .*Numbers",
    ),
    Asked(
        "telephone of the patient",
        (G.MINIMUM_VICTORIA, G.GENERAL_QUEENSLAND, G.FORM_ENGLAND_2015),
        "Patient",
        ("Telephone: +00 555 0111",),
        {"patient.details.phone": "+00 555 0111"},
        r"Not recorded: .*Telephone",
        issue="letter-no-patient-contact",
    ),
    Asked(
        "e-mail of the patient",
        (G.MINIMUM_VICTORIA, G.FORM_SURREY),
        "Patient",
        ("E-mail: zoe@clinic.example",),
        {"patient.details.email": "zoe@clinic.example"},
        r"Not recorded: .*E-mail",
        issue="letter-no-patient-contact",
    ),
    Asked(
        "address of the patient",
        (G.MINIMUM_VICTORIA, G.GENERAL_QUEENSLAND, G.FORM_SURREY),
        "Patient",
        ("Address: 9 Zebra Street",),
        {"patient.details.address": "9 Zebra Street"},
        r"Not recorded: .*Address",
    ),
    Asked(
        "another way to reach the patient",
        (G.MINIMUM_VICTORIA,),
        "Patient",
        ("To reach quickly: ring the zebra keeper",),
        {"background.reach_quickly": "ring the zebra keeper"},
        issue="letter-no-patient-contact",
        optional="an alternative to the telephone",
    ),
    Asked(
        "interpreter, carer, transport, capacity",
        (G.MINIMUM_VICTORIA, G.GENERAL_QUEENSLAND, G.FORM_SURREY, G.FORM_ENGLAND_2015, G.NG12_PUBLIC),
        "Patient",
        ("Needs: an interpreter of zebra",),
        {"background.needs": "an interpreter of zebra"},
        r"Not recorded: .*Needs",
    ),
    Asked(
        "whether the patient knows what is suspected",
        (G.FORM_SURREY, G.FORM_ENGLAND_2015, G.NG12_SUPPORT),
        "Patient",
        ("Knows what is suspected: yes",),
        {"plan.patient_told.told": "yes"},
        "Knows what is suspected: not recorded",
    ),
    Asked(
        "in which words the patient was told",
        (G.NG12_SUPPORT,),
        "What the patient was told",
        ("In these words: a zebra may be in it",),
        {"plan.patient_told.told": "yes", "plan.patient_told.words": "a zebra may be in it"},
        "It isn’t recorded whether the patient knows what is suspected.",
    ),
    Asked(
        "who refers, and how to reach them",
        (G.MINIMUM_VICTORIA, G.GENERAL_QUEENSLAND, G.FORM_SURREY),
        HEAD,
        ("From: Zebra Practice", "7 Zebra Lane", "Telephone +00 555 0177"),
        issue="letter-no-sender",
        settings={"sender": SENDER},
        optional="an issue says it: the host's own letterhead may name the sender",
    ),
    Asked(
        "to which service",
        (G.MINIMUM_VICTORIA,),
        HEAD,
        ("To: Quagga Hospital, skin clinic",),
        settings={"recipient": RECIPIENT},
        optional="the planned step says which service is asked for",
    ),
    Asked(
        "what is requested",
        (G.MINIMUM_VICTORIA, G.GENERAL_QUEENSLAND),
        "In short",
        ("Planned: refer to dermatology",),
        {"plan.actions.0.action": "refer-dermatology", "plan.actions.0.key": "1"},
        "No step is planned in this record.",
    ),
    Asked(
        "date of the referral",
        (G.MINIMUM_VICTORIA, G.GENERAL_QUEENSLAND, G.FORM_SURREY),
        HEAD,
        ("5 May 2026",),
        settings={"written": "2026-05-05"},
        optional="without a day of the letter it is the day on which the entry was recorded or examined",
    ),
    Asked(
        "date of the examination",
        (G.COMMON_PRACTICE,),
        "Signature",
        ("Examined 2 January 2026",),
        optional=_REQUIRED_ALREADY,
    ),
    Asked(
        "who examined, and in which role",
        (G.MINIMUM_VICTORIA, G.GENERAL_QUEENSLAND),
        "Signature",
        ("Ada Zebra", "nurse of zebras"),
        {
            "examiner.details.family": "Zebra",
            "examiner.details.given": ["Ada"],
            "examiner.details.role": "nurse of zebras",
        },
        "The examiner isn’t named in this record.",
    ),
    Asked(
        "number of the referrer",
        (G.MINIMUM_VICTORIA, G.GENERAL_QUEENSLAND),
        "Signature",
        ("R-0815",),
        {
            "examiner.details.family": "Zebra",
            "examiner.identifiers.0.value": "R-0815",
            "examiner.identifiers.0.system": "https://host.example/examiners",
        },
        "The examiner isn’t named in this record.",
    ),
    Asked("where to sign", (G.GENERAL_QUEENSLAND,), "Signature", ("____",), optional="it is always there"),
    Asked(
        "how urgent",
        (G.MINIMUM_VICTORIA, G.FORM_SOUTH_EAST_LONDON),
        "In short",
        ("!! Urgent: refer as suspected cancer",),
        {"plan.actions.0.urgency": "urgent"},
        r"Error: How urgent is the referral\?",
        lacks_under="To be checked",
        beside={"plan.actions.0.key": "1", "plan.actions.0.action": "refer-suspected-cancer"},
    ),
    Asked(
        "who is responsible for an urgent step",
        (G.COMMON_PRACTICE,),
        "Plan",
        ("responsible: Dr Quagga",),
        {"plan.actions.0.responsible.display": "Dr Quagga"},
        "responsible: not recorded",
        beside={
            "plan.actions.0.key": "1",
            "plan.actions.0.action": "refer-suspected-cancer",
            "plan.actions.0.urgency": "urgent",
        },
    ),
    Asked(
        "reason and question",
        (G.MINIMUM_VICTORIA, G.SKIN_SOUTH_AUSTRALIA, G.GENERAL_QUEENSLAND),
        "In short",
        ("Question: Is it a zebra?",),
        {"plan.actions.0.reason": "Is it a zebra?"},
        "Question: none recorded",
        beside={"plan.actions.0.key": "1", "plan.actions.0.action": "refer-suspected-cancer"},
    ),
    Asked(
        "what is suspected, and how concerned the referrer is",
        (G.SKIN_SOUTH_AUSTRALIA, G.FORM_ENGLAND_2015),
        "In short",
        ("Clinician’s concern: suspicious; taken for: melanoma suspected",),
        {
            "assessment.concern": "suspicious",
            "assessment.impressions.0.key": "1",
            "assessment.impressions.0.impression": "melanoma-suspected",
        },
        "Clinician’s concern: not recorded",
    ),
    Asked(
        "site",
        (G.LESIONS_VICTORIA_SURGERY, G.LESIONS_VICTORIA_DERMATOLOGY, G.SKIN_SOUTH_AUSTRALIA, G.FORM_SOUTH_EAST_LONDON),
        "Lesion",
        ("Site: calf",),
        {"lesion.site": "calf"},
        "Site: not recorded",
    ),
    Asked(
        "side, where the body has two",
        (G.COMMON_PRACTICE,),
        "Lesion",
        ("Site: calf, left",),
        {"lesion.side": "left"},
        "Site: calf, side not recorded",
        beside={"lesion.site": "calf"},
    ),
    Asked(
        "measured size",
        (G.LESIONS_VICTORIA_SURGERY, G.SKIN_SOUTH_AUSTRALIA, G.FORM_SOUTH_EAST_LONDON),
        "Lesion",
        ("Size: 7.5 × 6.0 mm",),
        {"lesion.longest_mm": 7.5, "lesion.crosswise_mm": Decimal("6.0")},
        "Size: not recorded",
    ),
    Asked(
        "duration",
        (G.LESIONS_VICTORIA_SURGERY, G.SKIN_SOUTH_AUSTRALIA, G.GENERAL_QUEENSLAND),
        "Why now",
        ("Lesion noticed since: 2024",),
        {"lesion.history.since": "2024"},
        "Not recorded: .*lesion noticed since",
        beside={"lesion.history.new.answer": "yes"},
    ),
    *(
        Asked(
            item,
            by,
            "Why now",
            (f"{name} (the patient’s word",),
            {f"lesion.history.{key}.answer": "yes", f"lesion.history.{key}.known_by": "patient"},
            f"Not recorded: .*{name}",
            beside={"lesion.history.note": "bites zebras"},
        )
        for item, key, name, by in (
            ("growth", "growing", "growing", (G.LESIONS_VICTORIA_SURGERY, G.FORM_SOUTH_EAST_LONDON)),
            ("change of colour", "changed_colour", "changed colour", (G.FORM_SOUTH_EAST_LONDON,)),
            ("change of shape", "changed_shape", "changed shape", (G.FORM_SOUTH_EAST_LONDON,)),
            ("itch", "itching", "itching", (G.FORM_SOUTH_EAST_LONDON,)),
            ("pain", "pain", "pain", (G.LESIONS_VICTORIA_SURGERY,)),
            ("inflammation", "inflamed", "inflamed", (G.FORM_SOUTH_EAST_LONDON,)),
            ("bleeding", "bleeding", "bleeding or oozing", (G.LESIONS_VICTORIA_SURGERY, G.FORM_SOUTH_EAST_LONDON)),
            ("earlier treatment", "treated_before", "treated or biopsied before", (G.GENERAL_QUEENSLAND,)),
        )
    ),
    Asked(
        "any history of it",
        (G.LESIONS_VICTORIA_SURGERY,),
        "Why now",
        ("bites zebras",),
        {"lesion.history.note": "bites zebras"},
        "[Hh]istory of the lesion",
    ),
    Asked(
        "ulceration",
        (G.LESIONS_VICTORIA_SURGERY,),
        "Lesion",
        ("ulcerated: yes",),
        {"lesion.ulcerated": "yes"},
        "Not recorded: .*ulcerated",
    ),
    Asked(
        "whether it is fixed, firm, raised",
        (G.LESIONS_VICTORIA_SURGERY,),
        "Lesion",
        ("Palpation: ", "firm", "elevation: "),
        {"lesion.palpation.consistency": "firm", "lesion.elevation": "nodular"},
        "Not recorded: .*elevation.*Palpation: not recorded|Not recorded: .*palpation.*elevation",
    ),
    Asked(
        "regional lymph nodes",
        (G.LESIONS_VICTORIA_SURGERY,),
        "Lesion",
        ("Regional lymph nodes: ", "left groin", "12 mm"),
        {"lesion.nodes.state": "enlarged", "lesion.nodes.region": "left groin", "lesion.nodes.size_mm": 12},
        "[Nn]ot recorded.*regional lymph nodes|Regional lymph nodes: not recorded",
    ),
    Asked(
        "what the dermatoscope shows, and in which light",
        (G.SKIN_DEVON, G.REPORT_STANDARD),
        "Dermatoscopic findings",
        ("Seen: ", "atypical pigment network", "in non-polarised light"),
        {
            "views.0.key": "v1",
            "views.0.light": "non-polarised",
            "findings.0.structure": "network-atypical",
            "findings.0.presence": "present",
            "findings.0.views": ["v1"],
        },
        "No finding is recorded.",
    ),
    Asked(
        "the light in which it was looked at",
        (G.REPORT_STANDARD,),
        "Views",
        ("Non-polarised light",),
        {"views.0.key": "v1", "views.0.light": "non-polarised"},
        "it isn’t known in which light anything was looked for",
    ),
    Asked(
        "the clinical checklist",
        (G.SKIN_DEVON, G.FORM_SOUTH_EAST_LONDON),
        "Scores",
        ("Weighted seven-point checklist, clinical: ", "at or above this method’s threshold", "met: change in size"),
        {"lesion.pigmentation": "pigmented", "lesion.history.growing.answer": "yes", "lesion.longest_mm": 7.5},
        optional="a score is made of what is recorded; what it lacks is told elsewhere",
        alone="no clinical checklist is worked out on a lesion that was treated",
    ),
    Asked(
        "pictures, with consent",
        (G.PICTURES_DEVON, G.LESIONS_VICTORIA_DERMATOLOGY),
        "Pictures",
        ("Close-up", "consent for care: given"),
        {"images.0.key": "i1", "images.0.role": "close-up", "images.0.consent.care": "given"},
        "No picture is recorded.",
    ),
    Asked(
        "consent to a picture",
        (G.PICTURES_DEVON,),
        "Pictures",
        ("consent for care: given",),
        {"images.0.consent.care": "given"},
        "Consent to a picture isn’t recorded",
        lacks_under="To be checked",
        beside={"images.0.key": "i1", "images.0.role": "close-up"},
    ),
    Asked(
        "histology that is known",
        (G.LESIONS_VICTORIA_SURGERY, G.LESIONS_VICTORIA_DERMATOLOGY, G.SKIN_SOUTH_AUSTRALIA),
        "Results known",
        ("Histology (basal cell carcinoma",),
        {"outcomes.0.key": "o1", "outcomes.0.kind": "histology", "outcomes.0.result": "basal-cell-carcinoma"},
        optional=_ONLY_IF,
    ),
    Asked(
        "earlier skin cancer",
        (G.SKIN_SOUTH_AUSTRALIA,),
        "Background",
        ("kin cancer before: yes", "Earlier skin cancer: Basal cell carcinoma"),
        {"background.had_skin_cancer": "yes", "background.earlier_skin_cancers.0.kind": "basal-cell"},
        "Not recorded: .*skin cancer before",
    ),
    *(
        Asked(item, by, "Background", (says,), {f"background.{key}": value}, f"Not recorded: .*{name}")
        for item, key, value, says, name, by in (
            (
                "melanoma in the family",
                "family_melanoma",
                "none",
                "elanoma in the family: none",
                "melanoma in the family",
                (G.SKIN_SOUTH_AUSTRALIA, G.FORM_ENGLAND_2015, G.FORM_SOUTH_EAST_LONDON),
            ),
            (
                "skin type",
                "phototype",
                "type-i",
                "kin phototype: type I",
                "skin phototype",
                (G.SKIN_SOUTH_AUSTRALIA, G.FORM_SOUTH_EAST_LONDON),
            ),
            (
                "many naevi",
                "naevi",
                "from-25-to-49",
                "umber of naevi: 25 to 49",
                "number of naevi",
                (G.FORM_SOUTH_EAST_LONDON,),
            ),
            ("tanning devices", "sunbeds", "yes", "unbed use: yes", "sunbed use", (G.FORM_SOUTH_EAST_LONDON,)),
            ("work in the sun", "outdoor_work", "yes", "utdoor work: yes", "outdoor work", (G.FORM_SOUTH_EAST_LONDON,)),
            ("damage by the sun", "sun_damage", "yes", "un damage: yes", "sun damage", (G.FORM_SOUTH_EAST_LONDON,)),
        )
    ),
    Asked(
        "weakened immunity",
        (G.LESIONS_VICTORIA_SURGERY, G.LESIONS_VICTORIA_DERMATOLOGY, G.FORM_SOUTH_EAST_LONDON),
        "For whoever operates",
        ("mmune suppression: organ transplant",),
        {"background.immune_suppression": "transplant"},
        "Not recorded: .*immune suppression",
    ),
    Asked(
        "blood thinners",
        (G.LESIONS_VICTORIA_SURGERY, G.FORM_ENGLAND_2015, G.PREOPERATIVE),
        "For whoever operates",
        ("lood thinner: against clotting", "zebraxaban 5 mg"),
        {"background.blood_thinner": "anticoagulant", "background.blood_thinner_name": "zebraxaban 5 mg"},
        "Not recorded: .*blood thinner",
    ),
    Asked(
        "allergies",
        (G.GENERAL_QUEENSLAND, G.PREOPERATIVE, G.PREOPERATIVE_PATIENT),
        "For whoever operates",
        ("llergy: yes", "zebra hair"),
        {"background.allergy": "yes", "background.allergy_to": "zebra hair"},
        "Not recorded: .*allergy",
    ),
    Asked(
        "implanted devices",
        (G.PREOPERATIVE,),
        "For whoever operates",
        ("mplanted electrical device: yes",),
        {"background.implanted_device": "yes"},
        "Not recorded: .*implanted electrical device",
    ),
    Asked(
        "pregnancy",
        (G.PREOPERATIVE_PATIENT,),
        "For whoever operates",
        ("regnancy: yes",),
        {"background.pregnancy": "yes"},
        optional=_ONLY_IF,
    ),
    Asked(
        "advice on what to watch for",
        (G.SAFETY_NETTING,),
        "What the patient was told",
        ("To watch for: stripes",),
        {"plan.safety_net.watch_for": "stripes"},
        r"What should the patient watch for\? No advice is recorded\.",
        lacks_under="To be checked",
        beside={"plan.actions.0.key": "1", "plan.actions.0.action": "refer-suspected-cancer"},
    ),
    Asked(
        "whom the patient calls, and by when to have heard",
        (G.NG12_SUPPORT, G.SAFETY_NETTING),
        "What the patient was told",
        ("Whom to call: zebra desk", "To call if nothing was heard by 7 January 2026"),
        {"plan.safety_net.contact": "zebra desk", "plan.safety_net.heard_by": "2026-01-07"},
        "Give the date after which the patient rings if no appointment has come.",
        lacks_under="To be checked",
        beside={"plan.actions.0.key": "1", "plan.actions.0.action": "refer-suspected-cancer"},
    ),
)

_TAKEN = {"plan.actions.0.key": "1", "plan.actions.0.action": "excise-complete"}

PATHOLOGIST = (
    *(
        replace(one, by=by, issue="")
        for one in REFERRAL
        for item, by in (
            ("name", (G.REQUEST_PLYMOUTH, G.REQUEST_MANCHESTER, G.REQUEST_BLACK_COUNTRY)),
            ("date of birth", (G.REQUEST_PLYMOUTH, G.REQUEST_MANCHESTER, G.REQUEST_BLACK_COUNTRY)),
            ("age and sex", (G.SUSPICIOUS_MELANOCYTIC, G.REQUEST_PLYMOUTH)),
            ("number in the health service", (G.REQUEST_PLYMOUTH, G.REQUEST_MANCHESTER)),
            ("address of the patient", (G.REQUEST_PLYMOUTH, G.REQUEST_MANCHESTER, G.REQUEST_BLACK_COUNTRY)),
            ("who examined, and in which role", (G.REQUEST_PLYMOUTH, G.REQUEST_BLACK_COUNTRY)),
            ("where to sign", (G.REQUEST_PLYMOUTH, G.REQUEST_BLACK_COUNTRY)),
            ("duration", (G.REQUEST_PLYMOUTH,)),
            ("growth", (G.SUSPICIOUS_MELANOCYTIC, G.REQUEST_PLYMOUTH)),
            ("any history of it", (G.SUSPICIOUS_MELANOCYTIC, G.REQUEST_PLYMOUTH)),
            ("ulceration", (G.REQUEST_PLYMOUTH,)),
            ("what the dermatoscope shows, and in which light", (G.SUSPICIOUS_MELANOCYTIC,)),
            ("pictures, with consent", (G.SUSPICIOUS_MELANOCYTIC,)),
            ("histology that is known", (G.SUSPICIOUS_MELANOCYTIC,)),
            ("earlier skin cancer", (G.SUSPICIOUS_MELANOCYTIC, G.REQUEST_BLACK_COUNTRY)),
            ("melanoma in the family", (G.SUSPICIOUS_MELANOCYTIC,)),
            ("many naevi", (G.SUSPICIOUS_MELANOCYTIC,)),
        )
        if one.item == item
    ),
    Asked(
        "who sends it, and how to reach them",
        (G.REQUEST_PLYMOUTH, G.REQUEST_MANCHESTER),
        HEAD,
        ("From: Zebra Practice", "7 Zebra Lane", "Telephone +00 555 0177"),
        issue="letter-no-sender",
        settings={"sender": SENDER},
        optional="an issue says it: the host's own letterhead may name the sender",
    ),
    Asked(
        "kind of specimen",
        (G.REQUEST_PLYMOUTH, G.REQUEST_BLACK_COUNTRY, G.SPECIMEN_COLORADO),
        "Specimen",
        ("Specimen: Excise completely for histology",),
        _TAKEN,
        "No step of the plan takes a specimen from this lesion.",
        issue="letter-no-specimen",
    ),
    Asked(
        "site and side",
        (G.SUSPICIOUS_MELANOCYTIC, G.REQUEST_PLYMOUTH, G.REQUEST_MANCHESTER),
        "Specimen",
        ("Site: calf, left",),
        {"lesion.site": "calf", "lesion.side": "left"},
        "Site: not recorded",
    ),
    Asked(
        "side, where the body has two",
        (G.COMMON_PRACTICE,),
        "Specimen",
        ("Site: calf, left",),
        {"lesion.side": "left"},
        "Site: calf, side not recorded",
        beside={"lesion.site": "calf"},
    ),
    Asked(
        "urgency",
        (G.REQUEST_PLYMOUTH, G.REQUEST_BLACK_COUNTRY),
        "Specimen",
        ("!! Urgent: excise completely for histology",),
        {"plan.actions.0.urgency": "urgent"},
        "Urgency: not recorded",
        beside=_TAKEN,
    ),
    Asked(
        "day and time of taking",
        (G.REQUEST_PLYMOUTH,),
        "Specimen",
        ("Taken on: ____",),
        beside=_TAKEN,
        optional="a line to write on: no field holds it",
    ),
    Asked(
        "orientation",
        (G.SUSPICIOUS_MELANOCYTIC,),
        "Specimen",
        ("Orientation: stitch towards the mane",),
        {"plan.specimen_orientation": "stitch towards the mane"},
        "Orientation: not recorded",
        beside=_TAKEN,
    ),
    Asked(
        "the most suspicious area",
        (G.SUSPICIOUS_MELANOCYTIC,),
        "Specimen",
        ("Area to look at first: the third stripe, inked",),
        {"plan.marked_area": "the third stripe, inked"},
        "Area to look at first: not recorded",
        beside=_TAKEN,
    ),
    Asked(
        "size of the lesion",
        (G.COMMON_PRACTICE,),
        "Specimen",
        ("Lesion’s size: 7.5 × 6.0 mm",),
        {"lesion.longest_mm": 7.5, "lesion.crosswise_mm": Decimal("6.0")},
        "Lesion’s size: not recorded",
    ),
    Asked(
        "clinical diagnosis and what else it may be",
        (G.REQUEST_PLYMOUTH, G.SPECIMEN_COLORADO, G.REQUEST_BLACK_COUNTRY),
        "Specimen",
        ("melanoma suspected", "dermatofibroma"),
        {
            "assessment.impressions.0.key": "1",
            "assessment.impressions.0.impression": "melanoma-suspected",
            "assessment.impressions.1.key": "2",
            "assessment.impressions.1.impression": "dermatofibroma",
        },
        "Taken for, in order: not recorded",
    ),
    Asked(
        "question",
        (G.COMMON_PRACTICE,),
        "Specimen",
        ("Question: Is it a zebra?",),
        {"plan.actions.0.reason": "Is it a zebra?"},
        "Question: not recorded",
        beside=_TAKEN,
    ),
    Asked(
        "words of the sender",
        (G.REQUEST_PLYMOUTH,),
        "Specimen",
        ("From the examiner: mind the stripes",),
        {"plan.for_pathologist": "mind the stripes"},
        optional=_WORDS,
    ),
    Asked(
        "earlier biopsy or treatment",
        (G.SUSPICIOUS_MELANOCYTIC,),
        "Specimen",
        ("Earlier biopsy or treatment: yes",),
        {"lesion.history.treated_before.answer": "yes"},
        "Earlier biopsy or treatment: not recorded",
    ),
    Asked(
        "whom the result goes to",
        (G.REQUEST_MANCHESTER, G.REQUEST_BLACK_COUNTRY),
        "Specimen",
        ("Result to: Dr Quagga",),
        {"plan.actions.0.result_owner.display": "Dr Quagga"},
        "Result to: not recorded",
        issue="letter-no-result-owner",
        beside=_TAKEN,
    ),
    Asked(
        "by when the result is wanted",
        (G.COMMON_PRACTICE,),
        "Specimen",
        ("Result wanted by: 9 February 2026",),
        {"plan.actions.0.result_by": "2026-02-09"},
        beside=_TAKEN,
        optional=_WORDS,
    ),
    Asked(
        "weakened immunity",
        (G.SUSPICIOUS_MELANOCYTIC,),
        "Background",
        ("mmune suppression: organ transplant",),
        {"background.immune_suppression": "transplant"},
        "Not recorded: .*immune suppression",
    ),
    Asked(
        "pregnancy",
        (G.SUSPICIOUS_MELANOCYTIC,),
        "Background",
        ("regnancy: yes",),
        {"background.pregnancy": "yes"},
        optional=_ONLY_IF,
    ),
)

_REFERRED = {"plan.actions.0.key": "1", "plan.actions.0.action": "refer-suspected-cancer"}

PATIENT = (
    Asked(
        "by when to have heard, and what to do then",
        (G.NG12_SUPPORT,),
        "Who to call",
        ("by 7 January 2026. If you have heard nothing by then, call us.",),
        {"plan.safety_net.heard_by": "2026-01-07"},
        issue="letter-no-heard-by",
        beside={"plan.actions.0.key": "1", "plan.actions.0.action": "biopsy-punch"},
        optional="an issue says it: the sheet can't make up a day",
    ),
    Asked(
        "what is suspected, in the words that were used, and never beyond them",
        (G.NG12_SUPPORT, G.NG12_PUBLIC),
        "What we told you",
        ("a zebra may be in it",),
        {"plan.patient_told.told": "yes", "plan.patient_told.words": "a zebra may be in it"},
        optional="a sheet must not be the first to say it",
    ),
    Asked(
        "what happens next, and with whom",
        (G.NG12_SUPPORT, G.NG12_PUBLIC),
        "What happens next",
        ("You will see a skin doctor at a clinic.",),
        _REFERRED,
        "No next step is written down here. Please ask us what comes next.",
    ),
    Asked(
        "how long it will take",
        (G.NG12_SUPPORT, G.NG12_PUBLIC),
        "What happens next",
        ("This should be done by 16 January 2026.",),
        {"plan.actions.0.latest": "2026-01-16"},
        "when you will know more",
        lacks_under="Who to call",
        beside=_REFERRED,
    ),
    Asked(
        "where it will be, what tests there may be, how long results take",
        (G.NG12_SUPPORT, G.NG12_PUBLIC),
        "Who to call",
        ("Ask us where it will be, what may be done there, and when you will know more.",),
        beside=_REFERRED,
        optional="only the place itself can say: the sheet says to ask",
    ),
    Asked(
        "whether somebody can come along",
        (G.NG12_SUPPORT, G.NG12_PUBLIC),
        "Who to call",
        ("Ask if you can bring someone.",),
        beside=_REFERRED,
        optional="only the place itself can say: the sheet says to ask",
    ),
    Asked(
        "whom to call",
        (G.NG12_SUPPORT, G.SAFETY_NETTING),
        "Who to call",
        ("Whom to call: zebra desk",),
        {"plan.safety_net.contact": "zebra desk"},
        "Call the place that gave you this sheet.",
        issue="letter-no-contact",
    ),
    Asked(
        "what exactly to look out for",
        (G.SAFETY_NETTING,),
        "What to look out for",
        ("stripes that run",),
        {"plan.safety_net.watch_for": "stripes that run"},
        "ny change that makes you worry",
    ),
    Asked(
        "by when to come back",
        (G.SAFETY_NETTING,),
        "What to look out for",
        ("If this is not sorted out by 2 February 2026, come back to us.",),
        {"plan.safety_net.by_when": "2026-02-02"},
        "If you see a change, call us.",
    ),
    Asked(
        "that nothing is certain",
        (G.SAFETY_NETTING,),
        "What to look out for",
        ("A check can miss things. This sheet does not say that your spot is harmless.",),
        optional="it is always there",
    ),
    Asked(
        "not to wait when worried",
        (G.SAFETY_NETTING, G.NG12_PUBLIC),
        "What to look out for",
        ("If you see a change, call us. Do not wait for your next visit.",),
        optional="it is always there",
    ),
    Asked(
        "to whom it is written",
        (G.PLEASE_WRITE_TO_ME,),
        HEAD,
        ("Zoe Zebra", "9 Zebra Street"),
        {
            "patient.details.family": "Zebra",
            "patient.details.given": ["Zoe"],
            "patient.details.address": "9 Zebra Street",
        },
        optional="the sheet is handed over where no address is recorded",
    ),
)

KINDS = {"referral": REFERRAL, "pathologist": PATHOLOGIST, "patient": PATIENT}
ROWS = [pytest.param(kind, one, id=f"{kind}: {one.item}") for kind, rows in KINDS.items() for one in rows]
#: All that the model requires.
NOTHING: dict[str, Any] = {
    "identifier": {"system": "https://host.example/examinations", "value": "1"},
    "status": "final",
    "patient": {"reference": "Patient/1"},
    "examined": "2026-01-02T10:00:00Z",
}


def holding(*changes: dict[str, Any]) -> dermreport.Review:
    """Return the review of an entry that holds what is required, and these values by their dotted paths."""
    entry: Any = copy.deepcopy(NOTHING)
    for path, value in [pair for one in changes for pair in one.items()]:
        *steps, last = path.split(".")
        place = entry
        for step, after in zip(steps, [*steps[1:], last], strict=True):
            place = inner(place, step, [] if after.isdigit() else {})
        place[last] = value
    return dermreport.review(dermreport.Examination.model_validate(entry))


def inner(place: Any, step: str, empty: Any) -> Any:
    """Return what lies at a step of a path, made where it isn't there yet."""
    if not isinstance(place, list):
        return place.setdefault(step, empty)
    while len(place) <= int(step):
        place.append(copy.deepcopy(empty))
    return place[int(step)]


#: Where a short letter says what a complete one has under a heading of its own.
JOINED = {
    "Why now": "Lesion",
    "Lesion": "In short",
    "Views": "Dermatoscopic findings",
    "Assessment": "In short",
    "Plan": "In short",
    "For whoever operates": "Background",
    "Report": "Signature",
    "Pictures": "Not recorded",
}


def parts(text: str) -> dict[str, str]:
    """Return what a letter says under each heading, whatever the line breaks; above its title under ``HEAD``."""
    lines = text.splitlines()
    found: dict[str, list[str]] = {HEAD: []}
    heading = HEAD
    for line, after in zip(lines, [*lines[1:], ""], strict=True):
        if re.fullmatch(r"[-=]{3,}", after) and line:
            heading = line
            found[heading] = []
        elif not re.fullmatch(r"[-=]{3,}", line):
            found[heading].append(line)
    told = {name: " ".join(" ".join(said).split()) for name, said in found.items()}
    for name, joined in JOINED.items():
        if told.get(joined):
            told[name] = f"{told.get(name, '')} {told[joined]}".strip()
    return told


def letters(kind: str, review: dermreport.Review, **settings: Any) -> Iterator[dermreport.LetterFile]:
    """Yield a letter in both details."""
    for detail in LetterDetail:
        yield dermreport.letter(review, kind=kind, settings=replace(BARE, detail=detail, **settings))


@pytest.mark.parametrize(("kind", "asked"), ROWS)
def test_the_letter_says_what_is_asked(kind: str, asked: Asked) -> None:
    for file in letters(kind, holding(asked.beside, asked.entry), **asked.settings):
        said = parts(file.text)[asked.under]
        assert [one for one in asked.says if one not in said] == []
        assert asked.issue == "" or asked.issue not in [one.rule for one in file.issues]


@pytest.mark.parametrize(("kind", "asked"), [one for one in ROWS if one.values[1].entry or one.values[1].settings])
def test_the_letter_says_nothing_of_it_where_it_is_not_entered(kind: str, asked: Asked) -> None:
    # Without this the row above could be kept by words that always stand there.
    for file in letters(kind, holding(asked.beside)):
        said = parts(file.text).get(asked.under, "")
        assert not all(one in said for one in asked.says)


@pytest.mark.parametrize(("kind", "asked"), [one for one in ROWS if one.values[1].lacks])
def test_the_letter_says_that_it_is_not_recorded(kind: str, asked: Asked) -> None:
    under = asked.under if asked.lacks_under is None else asked.lacks_under
    for file in letters(kind, holding(asked.beside)):
        assert re.search(asked.lacks, parts(file.text)[under])
    for file in letters(kind, holding(asked.beside, asked.entry), **asked.settings):
        # A heading of nothing but gaps is gone when there are none.
        said = parts(file.text).get(under, "")
        assert re.search(asked.lacks, said) is None or asked.lacks in _STAYS


#: What the patient's sheet says whether or not the record says more.
_STAYS = frozenset(("when you will know more", "If you see a change, call us."))


@pytest.mark.parametrize(("kind", "asked"), [one for one in ROWS if one.values[1].issue])
def test_an_issue_says_that_it_is_missing(kind: str, asked: Asked) -> None:
    for file in letters(kind, holding(asked.beside)):
        (issue,) = [one for one in file.issues if one.rule == asked.issue]
        assert issue.severity == "warning"
        assert file.content


@pytest.mark.parametrize("kind", KINDS)
def test_one_letter_holds_all_that_is_asked(kind: str) -> None:
    rows = KINDS[kind]
    settings = {name: value for one in rows for name, value in one.settings.items()}
    review = holding(*(changes for one in rows for changes in (one.beside, one.entry)))
    for file in letters(kind, review, **settings):
        said = parts(file.text)
        # Where two rows answer the same item, the later one stands.
        told = [row for row in rows if not row.alone and not overwritten(row, rows)]
        assert len(told) >= len(rows) - 2
        assert [one for row in told for one in row.says if one not in said[row.under]] == []


def overwritten(row: Asked, rows: tuple[Asked, ...]) -> bool:
    """Return whether a later row enters another value at a path of this one."""
    own = row.beside | row.entry
    later = [one.beside | one.entry for one in rows[rows.index(row) + 1 :]]
    return any(one.get(path, value) != value for path, value in own.items() for one in later)


@pytest.mark.parametrize("kind", KINDS)
def test_a_letter_of_nothing_says_all_that_is_missing(kind: str) -> None:
    for file in letters(kind, holding()):
        said = parts(file.text)
        rows = [one for one in KINDS[kind] if one.lacks and not one.beside]
        assert rows
        for one in rows:
            assert re.search(one.lacks, said[one.under if one.lacks_under is None else one.lacks_under])


def test_every_row_says_who_asks_and_what_follows_where_it_is_missing() -> None:
    for rows in KINDS.values():
        assert len({one.item for one in rows}) == len(rows)
        for one in rows:
            assert one.by
            assert one.says
            # What guidance asks is told as missing, or it is said why not.
            assert bool(one.lacks) != bool(one.optional)
    used = {guidance for rows in KINDS.values() for one in rows for guidance in one.by}
    assert used == set(Guidance) - {Guidance.LETTER_TIPS}


def test_every_guidance_says_where_it_was_read_and_how_it_is_known() -> None:
    for one in Guidance:
        title, place, known = one.value
        assert title
        assert (known is Known.COMMON_PRACTICE) == (place == "no source")
        if known is Known.SEEN:
            assert place.startswith(("https://", "http://"))


def test_what_calls_for_action_stands_on_top() -> None:
    # LETTER_TIPS: a heading with a plan or an instruction stands at the top of the letter.
    urgent = {"plan.actions.0.urgency": "urgent"}
    tops = {"referral": "In short", "pathologist": "Specimen"}
    for kind, top in tops.items():
        for file in letters(kind, holding(_TAKEN, urgent)):
            headings = list(parts(file.text))
            assert headings[2] == top
            assert parts(file.text)[top].startswith("!! Urgent")


#: Words of the trade that a patient needn't know: common practice, no source.
_JARGON = re.compile(
    r"lesion|referr|biops|histolog|patholog|excis|dermat|nevus|naevus|benign|malign|palpat|lymph|curett|cauter|cryo"
    r"|topical|bilateral|anterior|posterior|b\.?d\.?\b|\bprn\b",
    re.IGNORECASE,
)


@pytest.mark.parametrize("action", [one.value for one in PlanAction])
def test_the_patients_copy_speaks_to_the_patient_in_plain_words(action: str) -> None:
    # PLEASE_WRITE_TO_ME: the second person, and no words of the trade. Reading ages are in test_letters.py.
    step = {"plan.actions.0.key": "1", "plan.actions.0.action": action}
    for file in letters("patient", holding(step, {"lesion.site": "calf"})):
        body = " ".join(said for heading, said in parts(file.text).items() if heading)
        assert re.search(r"\byour?\b", body)
        assert not re.search(r"\b(the|this) patient\b", body, re.IGNORECASE)
        assert _JARGON.findall(body) == []
