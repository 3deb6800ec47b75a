"""What can be planned for a lesion."""

from __future__ import annotations

from typing import TYPE_CHECKING, Self

from dermreport.sources import COMMON_PRACTICE, Source, seen
from dermreport.vocabulary.action_kinds import ActionKind
from dermreport.vocabulary.term import Term

if TYPE_CHECKING:
    from dermreport.sources import Basis

_PARTIAL_BIOPSY = seen(
    Source.BIOPSY_TECHNIQUE_REVIEWS,
    note="Seen: shave and partial biopsies limit staging. The wording is common practice, no source.",
)


class PlanAction(Term):
    """What can be planned for a lesion; ``kind`` says what it does for it."""

    kind: ActionKind

    def __new__(  # noqa: PLR0913, PLR0917 - a row is positional: a term's five fields and the one of this table
        cls,
        code: str,
        display: str,
        definition: str,
        basis: Basis,
        kind: ActionKind,
        synonyms: tuple[str, ...] = (),
    ) -> Self:
        """Make one row: a term and its kind."""
        member = str.__new__(cls, code)
        member._value_ = code
        member.display = display
        member.definition = definition
        member.basis = basis
        member.synonyms = synonyms
        member.kind = kind
        return member

    REFER_SUSPECTED_CANCER = (
        "refer-suspected-cancer",
        "refer as suspected cancer",
        "Refer on the local pathway for suspected cancer. The request stands at once, whatever else is incomplete.",
        COMMON_PRACTICE,
        ActionKind.REFERRAL,
    )
    REFER_DERMATOLOGY = (
        "refer-dermatology",
        "refer to dermatology",
        "Refer to a dermatologist outside the pathway for suspected cancer.",
        COMMON_PRACTICE,
        ActionKind.REFERRAL,
    )
    REFER_OTHER = (
        "refer-other",
        "refer to another service",
        "Refer to a service named in the note: surgery, eye, mouth, gynaecology, podiatry.",
        COMMON_PRACTICE,
        ActionKind.REFERRAL,
    )
    ADVICE_AND_GUIDANCE = (
        "advice-and-guidance",
        "ask a specialist with pictures",
        "Send pictures and a question to a specialist and act on the answer; never in place of an urgent referral.",
        COMMON_PRACTICE,
        ActionKind.OPINION,
        ("teledermatology opinion",),
    )
    EXCISE_COMPLETE = (
        "excise-complete",
        "excise completely for histology",
        "Remove the whole lesion with a margin and send it to a pathologist; competence and local rules first.",
        COMMON_PRACTICE,
        ActionKind.TISSUE_WHOLE,
        ("excision biopsy",),
    )
    BIOPSY_INCISIONAL = (
        "biopsy-incisional",
        "incisional biopsy",
        "Cut out a part and send it; where melanoma is possible only by a specialist's choice.",
        _PARTIAL_BIOPSY,
        ActionKind.TISSUE_PART,
    )
    BIOPSY_PUNCH = (
        "biopsy-punch",
        "punch biopsy",
        "Punch out a cylinder and send it: a part only, so a result without tumour does not clear the rest.",
        _PARTIAL_BIOPSY,
        ActionKind.TISSUE_PART,
    )
    BIOPSY_SHAVE_DEEP = (
        "biopsy-shave-deep",
        "deep shave for histology",
        "Shave the lesion off into the dermis and send it; guidance differs, so the local rule belongs in the note.",
        _PARTIAL_BIOPSY,
        ActionKind.TISSUE_PART,
        ("saucerisation", "shave excision"),
    )
    BIOPSY_NAIL_MATRIX = (
        "biopsy-nail-matrix",
        "nail matrix biopsy",
        "Sample the matrix from which a band grows; a specialist's procedure.",
        COMMON_PRACTICE,
        ActionKind.TISSUE_PART,
    )
    CURETTAGE_WITH_HISTOLOGY = (
        "curettage-with-histology",
        "curettage with histology",
        "Scrape the lesion off and send the pieces: their margins can't be read, so not where melanoma is possible.",
        COMMON_PRACTICE,
        ActionKind.TISSUE_PART,
    )
    CURETTAGE_WITHOUT_HISTOLOGY = (
        "curettage-without-histology",
        "curettage without histology",
        "Scrape the lesion off and send nothing.",
        COMMON_PRACTICE,
        ActionKind.DESTRUCTION,
    )
    CRYOTHERAPY = (
        "cryotherapy",
        "freeze",
        "Destroy the lesion with cold: nothing is left to examine.",
        COMMON_PRACTICE,
        ActionKind.DESTRUCTION,
        ("cryosurgery", "liquid nitrogen"),
    )
    LASER = (
        "laser",
        "laser",
        "Destroy the lesion with laser light: nothing is left to examine.",
        COMMON_PRACTICE,
        ActionKind.DESTRUCTION,
    )
    CAUTERY = (
        "cautery",
        "cautery or diathermy",
        "Destroy the lesion with heat or current: nothing is left to examine.",
        COMMON_PRACTICE,
        ActionKind.DESTRUCTION,
        ("electrosurgery",),
    )
    PHOTODYNAMIC_THERAPY = (
        "photodynamic-therapy",
        "photodynamic therapy",
        "Destroy the lesion with a light-activated substance: nothing is left to examine.",
        COMMON_PRACTICE,
        ActionKind.DESTRUCTION,
    )
    TOPICAL_TREATMENT = (
        "topical-treatment",
        "treat with a cream",
        "Treat with a substance put on the skin, with a date to look again.",
        COMMON_PRACTICE,
        ActionKind.DESTRUCTION,
    )
    OTHER_TREATMENT = (
        "other-treatment",
        "other treatment",
        "Treatment without tissue that is named in the note.",
        COMMON_PRACTICE,
        ActionKind.DESTRUCTION,
    )
    MONITOR_SHORT = (
        "monitor-short",
        "short-term dermatoscopic monitoring",
        "Compare one flat lesion with its baseline picture after 2.5 to 4.5 months; a change leads to removal.",
        seen(Source.SHORT_TERM_MONITORING_PAGE, Source.MONITORING_CONTRAINDICATIONS),
        ActionKind.MONITORING,
    )
    MONITOR_SHORT_FACE = (
        "monitor-short-face",
        "monitoring of a flat facial lesion",
        "Compare a flat lesion of the face with its baseline picture after 6 to 12 months, as a specialist agreed.",
        seen(Source.SHORT_TERM_MONITORING_PAGE, note="The specialist's agreement is common practice, no source."),
        ActionKind.MONITORING,
    )
    MONITOR_LONG = (
        "monitor-long",
        "long-term dermatoscopic monitoring",
        "Compare many naevi with their baseline pictures every 6 to 12 months.",
        seen(Source.SEQUENTIAL_IMAGING_2011),
        ActionKind.MONITORING,
    )
    WHOLE_SKIN_EXAMINATION = (
        "whole-skin-examination",
        "examine the whole skin",
        "Look at the whole skin, scalp and soles included.",
        COMMON_PRACTICE,
        ActionKind.EXAMINATION,
    )
    TOTAL_BODY_PHOTOGRAPHY = (
        "total-body-photography",
        "photographs of the whole skin",
        "Photograph the whole skin as a baseline to find what is new.",
        COMMON_PRACTICE,
        ActionKind.EXAMINATION,
    )
    REVIEW_IN_PERSON = (
        "review-in-person",
        "see again in person",
        "See the lesion again at a date, for example when blood, crust or inflammation has cleared.",
        COMMON_PRACTICE,
        ActionKind.EXAMINATION,
    )
    REPEAT_VIEW_OTHER_LIGHT = (
        "repeat-view-other-light",
        "look again in the other light",
        "Look once more in the light that was not used.",
        COMMON_PRACTICE,
        ActionKind.EXAMINATION,
    )
    LYMPH_NODE_EXAMINATION = (
        "lymph-node-examination",
        "feel the regional nodes",
        "Feel for enlarged lymph nodes in the region that drains the site.",
        COMMON_PRACTICE,
        ActionKind.EXAMINATION,
    )
    REASSURE_WITH_ADVICE = (
        "reassure-with-advice",
        "no action, advice what to watch for",
        "Nothing is arranged; the patient knows what to watch for and the way back.",
        COMMON_PRACTICE,
        ActionKind.REASSURANCE,
    )
    SELF_MONITORING = (
        "self-monitoring",
        "the patient watches it",
        "The patient watches the lesion and comes back if it changes; never the only step for a suspicious one.",
        COMMON_PRACTICE,
        ActionKind.REASSURANCE,
    )
    SUN_PROTECTION_ADVICE = (
        "sun-protection-advice",
        "advice on sun and tanning",
        "Advice on sun and tanning devices.",
        COMMON_PRACTICE,
        ActionKind.ADVICE,
    )
    OBTAIN_EARLIER_HISTOLOGY = (
        "obtain-earlier-histology",
        "obtain earlier histology or pictures",
        "Ask for the earlier result or pictures of this spot.",
        COMMON_PRACTICE,
        ActionKind.ADMINISTRATION,
    )
    DISCUSS_MULTIDISCIPLINARY = (
        "discuss-multidisciplinary",
        "discuss with the pathologist",
        "Clinic and pathology look at picture and slide together, above all where they disagree.",
        COMMON_PRACTICE,
        ActionKind.OPINION,
        ("multidisciplinary meeting", "clinicopathological correlation"),
    )
    INFORM_PATHOLOGY_RESULT = (
        "inform-pathology-result",
        "tell the patient the result",
        "Tell the patient what the pathologist found, by whom and by when is given.",
        COMMON_PRACTICE,
        ActionKind.ADMINISTRATION,
    )
    DISCHARGE_TO_USUAL_CARE = (
        "discharge-to-usual-care",
        "end of this episode",
        "The episode ends: nothing is pending.",
        COMMON_PRACTICE,
        ActionKind.ADMINISTRATION,
    )
    DECLINED_BY_PATIENT = (
        "declined-by-patient",
        "declined by the patient",
        "The patient declined the step advised, which the note names; the offer stays open.",
        COMMON_PRACTICE,
        ActionKind.ADMINISTRATION,
    )
    OTHER_STEP = (
        "other-step",
        "another step, in words",
        "A step that no other word of this list says: the note says what. It stands for no referral and no removal.",
        COMMON_PRACTICE,
        ActionKind.ADMINISTRATION,
    )
