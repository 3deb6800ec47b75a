"""What is special about a site, where a rule or a form needs to know."""

from __future__ import annotations

from dermreport.sources import COMMON_PRACTICE, Source, seen
from dermreport.vocabulary.term import Term


class SiteTrait(Term):
    """What is special about a site."""

    VAGUE = "vague", "large region", "Too wide to find one lesion again; a narrower site is wanted.", COMMON_PRACTICE
    EYE = "eye", "at the eye", "At the margin of the eye, where a specialist decides.", COMMON_PRACTICE
    INTIMATE = "intimate", "intimate", "A picture of it exposes the patient.", COMMON_PRACTICE
    IDENTIFIABLE = "identifiable", "identifying", "A picture of it can show who the patient is.", COMMON_PRACTICE
    DIGIT = "digit", "digit", "Part of one finger or toe.", COMMON_PRACTICE
    NAIL = "nail", "nail unit", "Nail plate, its bed and folds of one digit.", COMMON_PRACTICE
    HAIR = "hair", "hairy", "Dense hair can hide a lesion or part of it.", COMMON_PRACTICE
    FOLD = "fold", "skin fold", "Skin lies on skin: moist, rubbed and easily missed.", COMMON_PRACTICE
    TRANSITION = (
        "transition",
        "between two kinds of skin",
        "Ridged and hairy skin meet, so two ways of reading apply.",
        COMMON_PRACTICE,
    )
    WEIGHT_BEARING = (
        "weight-bearing",
        "weight-bearing",
        "Bears the weight of the body; melanomas of the sole tended to lie there.",
        seen(Source.ACRAL_WITHOUT_TYPICAL_PATTERN_2019),
    )
