"""Rules on the patient: what changes how a lesion is judged, and what has to be asked."""

from __future__ import annotations

from dermreport.expressions.nodes import Exists, Expression, Given, Holds, Not, Present, every, some
from dermreport.issues import Severity
from dermreport.rules.conditions import (
    CHILD,
    FIRM,
    JUDGED_ELSEWHERE,
    NOTHING_ARRANGED,
    URGENT_STEP,
    recorded_as,
)
from dermreport.rules.rule import Group, Rule
from dermreport.sources import COMMON_PRACTICE, Source, memory, seen
from dermreport.vocabulary.atypical_naevus_counts import AtypicalNaevusCount
from dermreport.vocabulary.comparisons import Comparison
from dermreport.vocabulary.earlier_cancers import EarlierCancer
from dermreport.vocabulary.immune_suppressions import ImmuneSuppression
from dermreport.vocabulary.naevus_counts import NaevusCount
from dermreport.vocabulary.phototypes import Phototype
from dermreport.vocabulary.pregnancies import Pregnancy
from dermreport.vocabulary.reading_styles import ReadingStyle
from dermreport.vocabulary.skin_extents import SkinExtent
from dermreport.vocabulary.structures import Structure


def _history(item: str) -> Expression:
    """Return the condition that an answer of the lesion's history is yes."""
    return Holds(f"lesion.history.{item}.answer")


_CHANGES = ("new", "growing", "changed_colour", "changed_shape")
_CHANGE_RECORDED = some(*(Given(f"lesion.history.{item}") for item in _CHANGES))

PATIENT_RULES: tuple[Rule, ...] = (
    Rule(
        id="patient-child-nail",
        group=Group.PATIENT,
        severity=Severity.WARNING,
        when=every(CHILD, recorded_as("lesion.site.reading_style", ReadingStyle.NAIL), Not(JUDGED_ELSEWHERE)),
        at="background.age_years",
        message="Nail signs of adults are common in harmless bands of children and settle nothing: ask a specialist.",
        basis=memory(),
        hazard="H05",
    ),
    Rule(
        id="patient-immune-suppressed",
        group=Group.PATIENT,
        severity=Severity.WARNING,
        when=every(
            recorded_as(
                "background.immune_suppression",
                ImmuneSuppression.TRANSPLANT,
                ImmuneSuppression.BLOOD_CANCER,
                ImmuneSuppression.HIV,
                ImmuneSuppression.MEDICINE,
                ImmuneSuppression.OTHER,
            ),
            some(
                _history("growing"),
                FIRM,
                Holds("lesion.ulcerated"),
                Present(Structure.ULCERATION),
                Present(Structure.SURFACE_SCALE),
                Present(Structure.KERATIN_MASS),
            ),
            Not(URGENT_STEP),
        ),
        at="background.immune_suppression",
        message="With weakened immunity skin cancers grow faster and look unlike the book: refer or remove it sooner.",
        basis=seen(
            Source.FORMER_UK_REFERRAL_TEXT_2005,
            note="Seen: a new or growing lesion after a transplant. The rest from memory.",
        ),
        hazard="H06",
    ),
    Rule(
        id="patient-pregnancy-change",
        group=Group.PATIENT,
        severity=Severity.WARNING,
        when=every(
            recorded_as("background.pregnancy", Pregnancy.YES),
            some(*(_history(item) for item in _CHANGES)),
            NOTHING_ARRANGED,
        ),
        at="background.pregnancy",
        message="Pregnancy doesn’t explain a suspicious change: judge the spot as in anyone.",
        basis=COMMON_PRACTICE,
        hazard="H06",
    ),
    Rule(
        id="patient-history-unknown",
        group=Group.PATIENT,
        severity=Severity.WARNING,
        when=every(
            Not(_CHANGE_RECORDED),
            Not(some(Given("background.had_skin_cancer"), Given("background.earlier_skin_cancers"))),
            Not(Given("background.immune_suppression")),
        ),
        at="background",
        message="Ask: change, earlier skin cancer, weakened immunity. None of the three is recorded.",
        basis=seen(Source.SKIN_LESION_HISTORY_COURSE),
        hazard="H09",
    ),
    Rule(
        id="patient-child",
        group=Group.PATIENT,
        severity=Severity.INFORMATION,
        when=CHILD,
        at="background.age_years",
        message="The scores were studied mostly in adults: they settle nothing in a child.",
        basis=seen(
            Source.NAIL_BANDS_2017,
            Source.SUBUNGUAL_IN_SITU_2018,
            note="Seen for nails. The rest is common practice, no source.",
        ),
        hazard="H05",
    ),
    Rule(
        id="patient-phototype-dark",
        group=Group.PATIENT,
        severity=Severity.INFORMATION,
        when=every(
            recorded_as("background.phototype", Phototype.TYPE_IV, Phototype.TYPE_V, Phototype.TYPE_VI),
            Not(recorded_as("background.skin_examined", SkinExtent.WHOLE)),
        ),
        at="background.phototype",
        message="The methods were studied mostly in lighter skin. Look at the rest of the skin too: palms, soles, "
        "nails and mucosa.",
        basis=seen(Source.PIGMENTED_SKIN_REVIEW),
        hazard="H05",
    ),
    Rule(
        id="patient-previous-melanoma",
        group=Group.PATIENT,
        severity=Severity.INFORMATION,
        when=every(
            Exists(
                "background.earlier_skin_cancers",
                recorded_as("@.kind", EarlierCancer.MELANOMA, EarlierCancer.MELANOMA_IN_SITU),
            ),
            Not(every(Given("background.skin_examined"), Given("lesion.nodes"))),
        ),
        at="background.earlier_skin_cancers",
        message="After a melanoma, record how much of the skin was examined and the nodes, or that they weren’t.",
        basis=COMMON_PRACTICE,
        hazard="H06",
    ),
    Rule(
        id="patient-naevi-many",
        group=Group.PATIENT,
        severity=Severity.INFORMATION,
        when=every(
            some(
                recorded_as("background.naevi", NaevusCount.FROM_50_TO_99, NaevusCount.FROM_100),
                recorded_as("background.atypical_naevi", AtypicalNaevusCount.FROM_1_TO_4, AtypicalNaevusCount.FROM_5),
            ),
            Not(
                recorded_as(
                    "lesion.compared_with_others", Comparison.ALIKE, Comparison.STANDS_OUT, Comparison.ONLY_LESION
                )
            ),
        ),
        at="lesion.compared_with_others",
        message="Many or atypical naevi: say whether this spot looks like the others.",
        basis=seen(Source.NAEVUS_COUNT_META_ANALYSIS),
        hazard="H06",
    ),
)
