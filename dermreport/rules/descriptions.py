"""Rules on what was seen: findings, colours and sizes that contradict each other, or that nobody can have meant."""

from __future__ import annotations

from decimal import Decimal
from functools import partial

from dermreport.expressions.nodes import (
    AtLeast,
    Exists,
    Fact,
    Found,
    Given,
    MoreThan,
    MoreThanAt,
    Not,
    Present,
    every,
    is_one_of,
    some,
)
from dermreport.issues import Severity
from dermreport.rules.conditions import FIRM, IMPRESSIONS, JUDGED_ELSEWHERE, STANDS_UP, planned, recorded_as
from dermreport.rules.rule import Group, Rule
from dermreport.sources import COMMON_PRACTICE, Source, common_practice, seen
from dermreport.vocabulary.action_kinds import ActionKind
from dermreport.vocabulary.bedside_tests import BedsideTest
from dermreport.vocabulary.colours import Colour
from dermreport.vocabulary.distributions import Distribution
from dermreport.vocabulary.elevations import Elevation
from dermreport.vocabulary.impression_groups import ImpressionGroup
from dermreport.vocabulary.impressions import Impression
from dermreport.vocabulary.judgements import Judgement
from dermreport.vocabulary.pigmentations import Pigmentation
from dermreport.vocabulary.places import Place
from dermreport.vocabulary.presences import Presence
from dermreport.vocabulary.regularities import Regularity
from dermreport.vocabulary.score_methods import ScoreMethod
from dermreport.vocabulary.step_ones import StepOne
from dermreport.vocabulary.structures import Structure

#: Dots are smaller than this, globules larger, in millimetres.
_DOT_LIMIT_MM = Decimal("0.1")
#: A lesion smaller than this in millimetres was mostly measured in another unit.
_SMALLEST_USUAL_MM = 1
_LARGEST_USUAL_MM = 300

_FINDINGS = "findings"
_PRESENT = recorded_as("@.presence", Presence.PRESENT)
_ABSENT = recorded_as("@.presence", Presence.ABSENT)
_NO_PIGMENT = recorded_as("lesion.pigmentation", Pigmentation.NONE)

_DOTS = tuple(structure for structure in Structure if structure.startswith("dots-"))
_GLOBULES = tuple(structure for structure in Structure if structure.startswith("globules"))
_STREAKS = (Structure.LINES_RADIAL, Structure.LINES_RADIAL_SEGMENTAL, Structure.PSEUDOPODS)

_SYMMETRIC = some(
    recorded_as("description.symmetric_all_axes", Judgement.YES),
    every(
        *(
            recorded_as(f"description.{axis}.{aspect}", Judgement.NO)
            for axis in ("first_axis", "second_axis")
            for aspect in ("structure", "colour")
        )
    ),
)
_OFF_CENTRE = Exists(
    _FINDINGS,
    every(
        _PRESENT,
        some(
            recorded_as("@.place", Place.ECCENTRIC),
            recorded_as("@.distribution", Distribution.SEGMENTAL),
            recorded_as(
                "@.structure",
                Structure.STRUCTURELESS_ECCENTRIC,
                Structure.LINES_RADIAL_SEGMENTAL,
                Structure.BLOTCH_IRREGULAR,
            ),
        ),
    ),
)
_AXIS_ASYMMETRIC = some(
    *(
        recorded_as(f"description.{axis}.{aspect}", Judgement.YES)
        for axis in ("first_axis", "second_axis")
        for aspect in ("structure", "colour")
    )
)
_BLOOD_NAMED = Exists(IMPRESSIONS, recorded_as("@.impression", Impression.HAEMORRHAGE))
_BLOOD_TESTED = Exists("lesion.bedside_tests", recorded_as("@.test", BedsideTest.SCRAPING, BedsideTest.TAPE))
#: Names whose definition in the vocabulary says that the spot is flat.
_FLAT_BY_DEFINITION = (
    Impression.NAEVUS_JUNCTIONAL,
    Impression.LENTIGO_SIMPLEX,
    Impression.LENTIGO_MUCOSAL,
    Impression.EPHELIS,
    Impression.SOLAR_LENTIGO,
)
_SEEN_AGAIN = some(JUDGED_ELSEWHERE, planned(ActionKind.EXAMINATION, ActionKind.MONITORING))

_error = partial(Rule, group=Group.DESCRIPTION, severity=Severity.ERROR)
_warning = partial(Rule, group=Group.DESCRIPTION, severity=Severity.WARNING)
_information = partial(Rule, group=Group.DESCRIPTION, severity=Severity.INFORMATION)

DESCRIPTION_RULES: tuple[Rule, ...] = (
    _error(
        id="describe-kind-contradiction",
        each=_FINDINGS,
        when=Fact("absent-but-kind-present"),
        at="presence",
        message="Recorded absent, and the same or a kind of it is recorded present: {structure}. Which is right?",
        basis=COMMON_PRACTICE,
        hazard="H08",
        shown=(("structure", "@.structure"),),
    ),
    _error(
        id="describe-no-pigment-conflict",
        each=_FINDINGS,
        when=every(
            _PRESENT,
            _NO_PIGMENT,
            recorded_as("@.structure.pigmented", True),  # noqa: FBT003 - the truth value is what the table holds
            Not(recorded_as("@.place", Place.OUTSIDE)),
        ),
        at="structure",
        message="A lesion without pigment has no structure made of pigment: {structure}. Which is right?",
        basis=COMMON_PRACTICE,
        hazard="H05",
        shown=(("structure", "@.structure"),),
    ),
    _error(
        id="describe-no-pigment-colour",
        when=every(
            _NO_PIGMENT,
            Exists(
                "description.colours",
                is_one_of(
                    "@",
                    Colour.LIGHT_BROWN,
                    Colour.DARK_BROWN,
                    Colour.BROWN,
                    Colour.BLACK,
                    Colour.BLUE,
                    Colour.GREY,
                ),
            ),
        ),
        at="description.colours",
        message="Without pigment there is no brown, black, blue or grey: correct the pigmentation or the colours.",
        basis=COMMON_PRACTICE,
        hazard="H05",
    ),
    _error(
        id="describe-symmetry-axes-conflict",
        when=every(recorded_as("description.symmetric_all_axes", Judgement.YES), _AXIS_ASYMMETRIC),
        at="description.symmetric_all_axes",
        message="Symmetric across all axes, and asymmetric along one of them: which is right?",
        basis=common_practice("Both leave the outline out of account"),
        hazard="H07",
    ),
    _error(
        id="describe-crosswise-longer",
        when=MoreThanAt("lesion.crosswise_mm", "lesion.longest_mm"),
        at="lesion.crosswise_mm",
        message="The crosswise diameter is larger than the longest: the longest comes first.",
        basis=COMMON_PRACTICE,
        hazard="H08",
    ),
    _error(
        id="describe-size-zero",
        when=some(
            every(Given("lesion.longest_mm"), Not(MoreThan("lesion.longest_mm", 0))),
            every(Given("lesion.crosswise_mm"), Not(MoreThan("lesion.crosswise_mm", 0))),
        ),
        at="lesion",
        message="A diameter of nothing: measure it, or leave it out.",
        basis=COMMON_PRACTICE,
        hazard="H08",
    ),
    _warning(
        id="describe-size-implausible",
        when=every(
            MoreThan("lesion.longest_mm", 0),
            some(
                Not(AtLeast("lesion.longest_mm", _SMALLEST_USUAL_MM)),
                MoreThan("lesion.longest_mm", _LARGEST_USUAL_MM),
            ),
        ),
        at="lesion.longest_mm",
        message="Check the size: it is in millimetres.",
        basis=COMMON_PRACTICE,
        hazard="H08",
    ),
    _warning(
        id="describe-size-missing",
        when=Not(Given("lesion.longest_mm")),
        at="lesion.longest_mm",
        message="Measure the longest diameter: without it growth can’t be judged later.",
        basis=COMMON_PRACTICE,
        hazard="H09",
    ),
    _warning(
        id="describe-elevation-conflict",
        each=IMPRESSIONS,
        when=every(
            recorded_as("lesion.elevation", Elevation.FLAT),
            recorded_as("@.impression", Impression.MELANOMA_NODULAR_SUSPECTED),
        ),
        at="impression",
        message="Flat, and named for a nodule: which is right?",
        basis=COMMON_PRACTICE,
        hazard="H06",
    ),
    _warning(
        id="describe-flat-name-raised",
        each=IMPRESSIONS,
        when=every(
            recorded_as("@.impression", *_FLAT_BY_DEFINITION),
            some(STANDS_UP, FIRM),
        ),
        at="impression",
        message="Raised or firm, and the name is that of a flat spot: which is right? What is raised and firm needs "
        "histology or an opinion unless its name is sure.",
        basis=COMMON_PRACTICE,
        hazard="H06",
    ),
    _warning(
        id="describe-step-one-conflict",
        when=every(
            recorded_as("description.step_one", StepOne.NON_MELANOCYTIC),
            Exists(IMPRESSIONS, recorded_as("@.impression.group", ImpressionGroup.MELANOCYTIC)),
        ),
        at="description.step_one",
        message="Not melanocytic, yet a melanocytic lesion is among the names: methods then give no total. Check both.",
        basis=COMMON_PRACTICE,
        hazard="H05",
    ),
    _warning(
        id="describe-composite-contradiction",
        each=_FINDINGS,
        when=Fact("differs-from-parts"),
        at="presence",
        message="The structures that make it up say the opposite: {structure}. Check them and it.",
        basis=COMMON_PRACTICE,
        hazard="H08",
        shown=(("structure", "@.structure"),),
    ),
    _warning(
        id="describe-pattern-contradiction",
        when=Fact("pattern-without-parts"),
        at="description.pattern",
        message="The pattern needs structures that are absent: {pattern}. Check them and it.",
        basis=COMMON_PRACTICE,
        hazard="H08",
        shown=(("pattern", "description.pattern"),),
    ),
    _warning(
        id="describe-colour-not-listed",
        each=_FINDINGS,
        when=Fact("colour-missing-from-list"),
        at="colours",
        message="A colour of this finding isn’t in the list for the whole lesion: complete it, or totals miss it.",
        basis=COMMON_PRACTICE,
        hazard="H07",
    ),
    _warning(
        id="describe-colour-doubtful",
        when=Fact("colour-sure-and-doubtful"),
        at="description.doubtful_colours",
        message="A colour is listed as seen and as doubtful: which is right?",
        basis=COMMON_PRACTICE,
        hazard="H07",
    ),
    _warning(
        id="describe-symmetry-conflict",
        when=every(_SYMMETRIC, _OFF_CENTRE),
        at="description",
        message="Something lies off the centre, yet the lesion is called symmetric: check both.",
        basis=COMMON_PRACTICE,
        hazard="H07",
    ),
    _warning(
        id="describe-veil-whole-lesion",
        each=_FINDINGS,
        when=every(
            _PRESENT,
            recorded_as("@.structure", Structure.BLUE_WHITE_VEIL),
            some(
                recorded_as("@.place", Place.WHOLE_LESION),
                recorded_as("@.distribution", Distribution.ALL_OVER),
            ),
        ),
        at="structure",
        message="By definition a veil covers a part of the lesion, not the whole: check the name.",
        basis=seen(Source.MENZIES_METHOD_DEFINITIONS),
        hazard="H08",
    ),
    _warning(
        id="describe-veil-with-lacunae",
        each=_FINDINGS,
        when=every(_PRESENT, recorded_as("@.structure", Structure.BLUE_WHITE_VEIL), Present(Structure.LACUNAE)),
        at="structure",
        message="By definition a veil doesn’t go with lacunae: check both names.",
        basis=seen(Source.MENZIES_METHOD_DEFINITIONS),
        hazard="H08",
    ),
    _warning(
        id="describe-vessels-conflict",
        when=every(Present(Structure.VESSELS_MONOMORPHOUS), Present(Structure.VESSELS_POLYMORPHOUS)),
        at=_FINDINGS,
        message="Vessels of one shape and of several shapes at once: which is right?",
        basis=COMMON_PRACTICE,
        hazard="H08",
    ),
    _warning(
        id="describe-absent-described",
        each=_FINDINGS,
        when=every(
            _ABSENT,
            some(
                Given("@.distribution"),
                Given("@.regularity"),
                Given("@.colours"),
                MoreThan("@.count", 0),
                MoreThan("@.area_percent", 0),
                MoreThan("@.size_mm", 0),
            ),
        ),
        at="presence",
        message="Recorded absent and described all the same: was it seen?",
        basis=COMMON_PRACTICE,
        hazard="H08",
    ),
    _warning(
        id="describe-reason-without-need",
        each=_FINDINGS,
        when=every(some(_PRESENT, _ABSENT), Given("@.not_assessed_because")),
        at="not_assessed_because",
        message="A reason for not assessing it, yet it is answered: which is right?",
        basis=COMMON_PRACTICE,
        hazard="H08",
    ),
    _warning(
        id="describe-bulk-negative",
        when=Fact("many-absent-without-list"),
        at="lists_gone_through",
        message="Many structures are recorded absent: name the list that was gone through, and tick what was seen.",
        basis=COMMON_PRACTICE,
        hazard="H08",
    ),
    _warning(
        id="describe-blood-explains",
        when=every(_BLOOD_NAMED, Not(_BLOOD_TESTED), Not(_SEEN_AGAIN)),
        at=IMPRESSIONS,
        message="Blood can lie over a tumour: scrape it, or see it again at a date.",
        basis=seen(Source.DERMOSCOPIC_TESTS_REVIEW, Source.NAIL_DERMOSCOPY_COURSE),
        hazard="H06",
    ),
    _information(
        id="describe-ulcer-cause",
        when=every(
            some(
                recorded_as("lesion.ulcerated", Judgement.YES),
                Present(Structure.ULCERATION),
                Present(Structure.NAIL_BED_ULCER),
            ),
            Not(Given("lesion.injured")),
        ),
        at="lesion.injured",
        message="Was it scratched or injured? An ulcer without an injury is a warning sign.",
        basis=seen(Source.PREDICTION_WITHOUT_PIGMENT_2014),
        hazard="H06",
    ),
    _information(
        id="describe-streaks-all-round",
        when=every(
            Exists("assessment.methods_used", is_one_of("@", ScoreMethod.MENZIES)),
            some(
                *(
                    Found(
                        structure,
                        every(
                            recorded_as("@.regularity", Regularity.REGULAR),
                            recorded_as("@.distribution", Distribution.ALL_ROUND),
                        ),
                    )
                    for structure in _STREAKS
                )
            ),
        ),
        at=_FINDINGS,
        message="The Menzies method counts uneven streaks only: even ones all round make a starburst pattern.",
        basis=seen(Source.MENZIES_METHOD_DEFINITIONS),
        hazard="H07",
    ),
    _information(
        id="describe-dot-globule-size",
        each=_FINDINGS,
        when=every(
            _PRESENT,
            some(
                every(recorded_as("@.structure", *_DOTS), AtLeast("@.size_mm", _DOT_LIMIT_MM)),
                every(recorded_as("@.structure", *_GLOBULES), Not(AtLeast("@.size_mm", _DOT_LIMIT_MM))),
            ),
        ),
        at="size_mm",
        message="By its measure this is the other one: dots are under 0.1 mm, globules over. Nobody need measure it.",
        basis=seen(Source.GLOSSARY_OF_DOTS, Source.STRUCTURES_AND_HISTOLOGY_TABLE),
        hazard="H08",
    ),
    _information(
        id="describe-unknown-structure",
        each=_FINDINGS,
        when=Given("@.structure.system"),
        at="structure",
        message="This structure isn’t in the vocabulary: it is kept and sent with its text, and no method counts it.",
        basis=COMMON_PRACTICE,
        hazard="H17",
    ),
)
