"""Conditions of validity that several methods share."""

from __future__ import annotations

from dermreport.expressions.nodes import AtLeast, Exists, Given, Holds, Is, Not, every, is_one_of, some
from dermreport.scores.method import Effect, Validity
from dermreport.sources import COMMON_PRACTICE, MEMORY
from dermreport.vocabulary.lights import Light
from dermreport.vocabulary.pigmentations import Pigmentation
from dermreport.vocabulary.reading_styles import ReadingStyle
from dermreport.vocabulary.step_ones import StepOne

#: From this age in years on the methods count as studied.
ADULT_YEARS = 18


SITE_NOT_TOLD = "The site isn't recorded, or not closely enough: check that the method fits it."


def only_at(style: ReadingStyle, reason: str) -> tuple[Validity, Validity]:
    """Return the conditions that the site is read in this style, in its first or its second one, and in no other."""
    between_two = Given("lesion.site.second_style")
    here = some(
        is_one_of("lesion.site.reading_style", style),
        every(between_two, is_one_of("lesion.site.second_style", style)),
    )
    return (
        Validity(
            Not(here),
            Effect.NO_NUMBER,
            reason,
            COMMON_PRACTICE,
            SITE_NOT_TOLD,
        ),
        Validity(
            every(here, between_two),
            Effect.CAUTION,
            "The site lies between two kinds of skin, and the method is for one of them: check that it fits.",
            COMMON_PRACTICE,
        ),
    )


MELANOCYTIC_ONLY = (
    Validity(
        Is("description.step_one", (StepOne.NON_MELANOCYTIC,)),
        Effect.NO_NUMBER,
        "The method is for melanocytic lesions, and this one is recorded as not melanocytic.",
        COMMON_PRACTICE,
        "Nobody recorded whether the lesion is melanocytic: it counts as melanocytic.",
    ),
    Validity(
        Is("description.step_one", (StepOne.UNCERTAIN,)),
        Effect.CAUTION,
        "Whether the lesion is melanocytic is uncertain: it counts as melanocytic.",
        COMMON_PRACTICE,
    ),
)

PIGMENTED = (
    Validity(
        Is("lesion.pigmentation", (Pigmentation.NONE,)),
        Effect.NO_NUMBER,
        "The method is for pigmented lesions, and this one has no pigment; that lowers no suspicion.",
        COMMON_PRACTICE,
        "How much pigment the lesion has isn't recorded.",
    ),
    Validity(
        Is("lesion.pigmentation", (Pigmentation.SLIGHT,)),
        Effect.CAUTION,
        "The lesion has little pigment: a low total means nothing.",
        COMMON_PRACTICE,
    ),
)

UNTREATED = (
    Validity(
        some(Holds("lesion.history.treated_before.answer"), Holds("lesion.in_scar")),
        Effect.NO_NUMBER,
        "The lesion was treated or biopsied before, or lies in a scar: scars imitate melanoma and its regression.",
        COMMON_PRACTICE,
    ),
)

ADULT = (
    Validity(
        Not(AtLeast("background.age_years", ADULT_YEARS)),
        Effect.CAUTION,
        "The patient is under 18: the method was studied mostly in adults and settles nothing in a child.",
        MEMORY,
    ),
)

NON_POLARISED_STUDY = (
    Validity(
        Not(Exists("views", is_one_of("@.light", Light.NON_POLARISED))),
        Effect.CAUTION,
        "The method was studied in non-polarised light with contact; no view here is recorded in that light.",
        MEMORY,
    ),
)

#: Beside ``only_at(ReadingStyle.ACRAL, …)``: ridged skin borders the nail unit, so it is acral in its second style.
NOT_NAIL = Validity(
    is_one_of("lesion.site.reading_style", ReadingStyle.NAIL),
    Effect.NO_NUMBER,
    "The method is for palms and soles: a nail unit is read another way, though ridged skin borders it.",
    COMMON_PRACTICE,
)

#: From birth to 17: the list holds for adults alone.
ADULTS_ALONE = (
    Validity(
        Not(AtLeast("background.age_years", ADULT_YEARS)),
        Effect.NO_NUMBER,
        "The list is for adults: in children such signs are common and mean something else.",
        COMMON_PRACTICE,
        "The patient's age isn't recorded: the list is for adults.",
    ),
)
