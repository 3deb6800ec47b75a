"""Rules on views: how much of the lesion they show, what hid it, and what was put on the skin."""

from __future__ import annotations

from functools import partial

from dermreport.expressions.nodes import Exists, Fact, Given, MoreThanAt, Not, every, is_one_of, some, some_present
from dermreport.issues import Severity
from dermreport.rules.conditions import recorded_as
from dermreport.rules.rule import Group, Rule
from dermreport.sources import COMMON_PRACTICE, Source, seen
from dermreport.vocabulary.coverages import Coverage
from dermreport.vocabulary.judgements import Judgement
from dermreport.vocabulary.mediums import Medium
from dermreport.vocabulary.reading_styles import ReadingStyle
from dermreport.vocabulary.site_traits import SiteTrait
from dermreport.vocabulary.sites import Site
from dermreport.vocabulary.structures import Structure

_VIEWS = "views"
_PARTLY_COVERED = recorded_as("@.covers", Coverage.PART)
_WHOLE_LESION_VALUES = some(
    *(
        Given(f"description.{value}")
        for value in ("first_axis", "second_axis", "symmetric_all_axes", "architecture", "border_segments", "colours")
    )
)
#: Where alcohol stings or harms: the eye, mucosa, thin genital skin, an open wound.
_ALCOHOL_HARMS = some(
    Exists("lesion.site.traits", is_one_of("@", SiteTrait.EYE)),
    Exists("lesion.site.styles", is_one_of("@", ReadingStyle.MUCOSA)),
    recorded_as("lesion.site", Site.SCROTUM),
    recorded_as("lesion.ulcerated", Judgement.YES),
    some_present(Structure.ULCERATION, Structure.NAIL_BED_ULCER),
)

_warning = partial(Rule, group=Group.VIEW, severity=Severity.WARNING)

VIEW_RULES: tuple[Rule, ...] = (
    Rule(
        id="view-image-unknown-view",
        group=Group.VIEW,
        severity=Severity.ERROR,
        each="images",
        when=Fact("image-names-unknown-view"),
        at="view",
        message="This picture names a view that isn’t in the record: correct the key.",
        basis=COMMON_PRACTICE,
        hazard="H03",
    ),
    _warning(
        id="view-partial-whole-lesion",
        when=every(Given(_VIEWS), Not(Exists(_VIEWS, Not(_PARTLY_COVERED))), _WHOLE_LESION_VALUES),
        at="description",
        message="No view shows the whole lesion: its symmetry, border and full list of colours count as not assessed.",
        basis=COMMON_PRACTICE,
        hazard="H04",
    ),
    _warning(
        id="view-larger-than-field",
        each=_VIEWS,
        when=every(
            MoreThanAt("lesion.longest_mm", "@.field_of_view_mm"),
            Not(_PARTLY_COVERED),
        ),
        at="covers",
        message="The lesion is larger than this field of view: add views, and say what each covers.",
        basis=COMMON_PRACTICE,
        hazard="H04",
    ),
    _warning(
        id="view-quality-limited-absent",
        when=Fact("absent-behind-limits"),
        at=_VIEWS,
        message="What hid the lesion can hide a structure too: what was called absent counts as uncertain.",
        basis=COMMON_PRACTICE,
        hazard="H04",
    ),
    _warning(
        id="view-alcohol-sensitive-site",
        each=_VIEWS,
        when=every(Exists("@.immersion", is_one_of("@", Medium.ALCOHOL)), _ALCOHOL_HARMS),
        at="immersion",
        message="Alcohol stings and harms here: use gel or water.",
        basis=COMMON_PRACTICE,
        hazard="H20",
    ),
    Rule(
        id="view-nail-without-gel",
        group=Group.VIEW,
        severity=Severity.INFORMATION,
        when=every(
            recorded_as("lesion.site.reading_style", ReadingStyle.NAIL),
            Exists(_VIEWS, Given("@.immersion")),
            Not(Exists(_VIEWS, Exists("@.immersion", is_one_of("@", Medium.GEL)))),
        ),
        at=_VIEWS,
        message="Gel levels the curved plate for its pigment; look dry for its surface only.",
        basis=seen(Source.NAIL_DERMOSCOPY_TECHNIQUE),
        hazard="H04",
    ),
)
